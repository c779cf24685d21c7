//! The range of every row over the box of the stated uncertainty, and the inputs that give
//! its ends.
//!
//! A stiffness quantity falls with every stiffness: its corners are known. Any other one is
//! taken to a corner by the signs of its own differences at the place where it is worst; they
//! are looked at again there, and the worst place again at the corner, until both repeat. With
//! few inputs all corners are looked at in that place. The end itself is the analysis of the
//! design at that corner, so whoever analyses it finds the same number.

use std::cell::RefCell;
use std::collections::HashMap;
use std::sync::Arc;

use crate::brief::LoadCase;
use crate::design::Input;
use crate::quantity::{Missing, Over, Quantity, Standing};
use crate::subject::{Model, Subject};
use crate::uncertain::Uncertain;

use super::ring::RingResult;
use super::rows::{Alone, Row, Suffices};
use super::values::{Source, around, source};

/// With at most so many inputs that matter every corner is looked at.
const ALL_CORNERS: usize = 6;
/// An input matters where its band changes the worst value by this share.
const MATTERS: f64 = 1e-3;
/// Corners taken one after the other at most.
const ROUNDS: usize = 8;
/// Parts of a range that are looked at before the one where a limit begins to hold is halved.
const PARTS: u32 = 4;
/// Share of a range to which it is told from where on a limit holds.
const TOLD: f64 = 2e-4;
/// Differences below this share of the value are none.
const NONE: f64 = 1e-13;

/// Where an input stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
enum Side {
    Low,
    Nominal,
    High,
}

impl Side {
    fn other(self) -> Self {
        match self {
            Side::Low => Side::High,
            Side::High => Side::Low,
            Side::Nominal => Side::Nominal,
        }
    }

    fn of(self, number: &Uncertain) -> f64 {
        match self {
            Side::Low => number.low,
            Side::Nominal => number.value,
            Side::High => number.high,
        }
    }
}

type Corner = Vec<Side>;

/// How a design is looked at for its bands.
pub(super) struct Questions<'a, E> {
    /// The rings or poses of the nominal values, solved for another design; as many as there
    /// are places, `None` where there is no answer.
    pub(super) everywhere: &'a dyn Fn(&Model) -> Vec<Option<RingResult>>,
    /// One of them.
    pub(super) at: &'a dyn Fn(&Model, usize) -> Option<RingResult>,
    /// The rows of another design's whole analysis.
    pub(super) rows: &'a dyn Fn(&Subject) -> Result<Vec<Row>, E>,
}

/// Which ends of bands are looked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Ends {
    Both,
    /// The worst alone, by which limits are judged; the other stays at the nominal value.
    Worst,
}

/// Notes the bands of all rows. The worst end is the same whichever ends are looked for.
///
/// # Errors
/// That of a corner that has no analysis.
pub(super) fn add_bands<E>(
    subject: &Subject,
    questions: &Questions<'_, E>,
    loads: &[LoadCase],
    rows: &mut [Row],
    which: Ends,
) -> Result<(), E> {
    let inputs = subject.given.uncertain_inputs();
    if inputs.is_empty() {
        return Ok(());
    }
    let banded: Vec<usize> = (0..rows.len())
        .filter(|index| {
            let row = &rows[*index];
            row.got.is_ok() && row.quantity.facts().over != Over::WorkingRange
        })
        .collect();
    let measures: Vec<Measure> = banded
        .iter()
        .map(|index| Measure::of(&rows[*index], loads))
        .collect();
    let space = Space {
        subject,
        questions,
        inputs: &inputs,
        measures: &measures,
        models: RefCell::default(),
        over: RefCell::default(),
        at: RefCell::default(),
    };
    let nominal = vec![Side::Nominal; inputs.len()];
    let slopes = space.slopes(&nominal);
    let mut ends: HashMap<Corner, Vec<Row>> = HashMap::new();
    for (measure, index) in banded.iter().enumerate() {
        let relevant = slopes.relevant(measure);
        if relevant.is_empty() {
            continue;
        }
        let mut end_at = |sense: f64| -> Result<Option<BandEnd>, E> {
            let corner = space.corner(&Aim {
                measure,
                sense,
                relevant: &relevant,
                slopes: &slopes,
            });
            if !ends.contains_key(&corner) {
                let at_corner = space.subject_at(&corner);
                let judged = at_corner
                    .map(|subject| (questions.rows)(&subject))
                    .transpose()?;
                ends.insert(corner.clone(), judged.unwrap_or_default());
            }
            let same = ends[&corner]
                .iter()
                .find(|other| other.is_like(&rows[*index]));
            Ok(match same.map(|other| &other.got) {
                Some(Ok(value)) => Some(BandEnd {
                    value: *value,
                    inputs: space.values(&corner),
                }),
                _ => None,
            })
        };
        let Some(mut worst) = end_at(1.0)? else {
            // Nobody knows how bad it is there: no limit may be said to be met.
            let why = "no value where the uncertain numbers are at their worst";
            rows[*index].got = Err(Missing::NotComputed(why.to_string()));
            continue;
        };
        let best = match which {
            Ends::Both => end_at(-1.0)?,
            Ends::Worst => None,
        };
        if which == Ends::Both && rows[*index].needed.is_some() {
            rows[*index].alone = space.each_alone(measure, &relevant, &nominal);
        }
        let row = &mut rows[*index];
        let got = row.got.clone().unwrap_or(worst.value);
        let here = || BandEnd {
            value: got,
            inputs: space.values(&nominal),
        };
        // The nominal values lie in the box too.
        let better = best.filter(|best| row.is_worse(got, best.value));
        let better = better.unwrap_or_else(here);
        if row.is_worse(got, worst.value) {
            worst = here();
        }
        let [low, high] = if row.at_least() {
            [worst, better]
        } else {
            [better, worst]
        };
        if low.value < high.value {
            row.band = Some([low.value, high.value]);
            row.band_inputs = Some([low.inputs, high.inputs]);
        }
    }
    for index in banded {
        let beams = space.worst_end_as_beams(&rows[index])?;
        rows[index].worst_end_as_beams = beams;
        if which == Ends::Both {
            rows[index].suffices = space.suffices(&rows[index])?;
        }
    }
    Ok(())
}

/// An end of a band.
struct BandEnd {
    value: f64,
    inputs: Vec<(Input, f64)>,
}

/// A row as a number that grows where the row gets worse.
struct Measure {
    quantity: Quantity,
    load: Option<usize>,
}

impl Measure {
    fn of(row: &Row, loads: &[LoadCase]) -> Self {
        let index = |name: &String| loads.iter().position(|load| load.name == *name);
        Self {
            quantity: row.quantity,
            load: row.load.as_ref().and_then(index),
        }
    }

    /// How bad a ring is, or a design as a whole; `None` without a value.
    fn of_ring(&self, model: &Model, ring: &RingResult) -> Option<f64> {
        let value = match source(self.quantity) {
            Source::Linkage(value) => Some(value(model)),
            _ => around(self.quantity, model, ring, self.load),
        }?;
        Some(if self.quantity.more_is_better() {
            1.0 / value
        } else {
            value
        })
    }

    /// Where stiffnesses alone matter and which way is known: the side of all of them where it is
    /// worst, or least bad.
    fn side_of_stiffness(&self, sense: f64) -> Option<Side> {
        let low = (sense > 0.0) == self.quantity.more_is_better();
        let side = if low { Side::Low } else { Side::High };
        matches!(source(self.quantity), Source::Compliance(_)).then_some(side)
    }
}

/// How bad one place is, by every measure.
type AtPlace = Vec<Option<f64>>;
/// How bad every place is.
type Field = Vec<AtPlace>;

/// The box of inputs with what was computed of it.
struct Space<'a, E> {
    subject: &'a Subject,
    questions: &'a Questions<'a, E>,
    inputs: &'a [(Input, Uncertain)],
    measures: &'a [Measure],
    models: RefCell<HashMap<Corner, Option<Arc<Model>>>>,
    over: RefCell<HashMap<Corner, Arc<Field>>>,
    at: RefCell<HashMap<(Corner, usize), Arc<AtPlace>>>,
}

impl<E> Space<'_, E> {
    fn values(&self, corner: &Corner) -> Vec<(Input, f64)> {
        let sides = self.inputs.iter().zip(corner);
        sides
            .map(|((input, number), side)| (*input, side.of(number)))
            .collect()
    }

    fn subject_at(&self, corner: &Corner) -> Option<Subject> {
        let design = self.subject.given.with_inputs(&self.values(corner)).ok()?;
        self.subject.beside(design).ok()
    }

    /// What each input does to a measure by itself, at its worse end.
    fn each_alone(&self, measure: usize, relevant: &[usize], nominal: &Corner) -> Vec<Alone> {
        let more_is_better = self.measures[measure].quantity.more_is_better();
        let alone = relevant.iter().filter_map(|index| {
            let (input, number) = &self.inputs[*index];
            let ends = [Side::Low, Side::High].into_iter().filter_map(|side| {
                let mut corner = nominal.clone();
                corner[*index] = side;
                let (_, bad) = self.worst(&corner, measure)?;
                Some((side, bad))
            });
            let (side, bad) = ends.max_by(|a, b| a.1.total_cmp(&b.1))?;
            Some(Alone {
                input: *input,
                at: side.of(number),
                value: if more_is_better { 1.0 / bad } else { bad },
            })
        });
        alone.collect()
    }

    /// Each number by which alone a limit that is missed at its worst end comes to hold, from
    /// the other end of its range on as far as it does.
    fn suffices(&self, row: &Row) -> Result<Vec<Suffices>, E> {
        let (Some(false), Some(true), Some(needed)) =
            (row.band_met(), row.met_at_nominal(), row.needed)
        else {
            return Ok(Vec::new());
        };
        let Some(worst) = row.worst_end_inputs() else {
            return Ok(Vec::new());
        };
        let mut found = Vec::new();
        for (index, (input, number)) in self.inputs.iter().enumerate() {
            let bad = worst[index].1;
            let to = if bad == number.low {
                number.high
            } else {
                number.low
            };
            let holds = |at: f64| -> Result<bool, E> {
                let mut inputs = worst.to_vec();
                inputs[index].1 = at;
                let design = self.subject.given.with_inputs(&inputs).ok();
                let Some(subject) = design.and_then(|design| self.subject.beside(design).ok())
                else {
                    return Ok(false);
                };
                let rows = (self.questions.rows)(&subject)?;
                let same = rows.iter().find(|other| other.is_like(row));
                let got = same.and_then(|same| same.got.clone().ok());
                Ok(got.is_some_and(|got| {
                    Standing::of(row.quantity, needed, Ok(got)) == Standing::Met
                }))
            };
            // Where a number stands at its nominal value it does nothing to this row.
            let moves = bad == number.low || bad == number.high;
            if !moves || bad == to || !holds(to)? {
                continue;
            }
            let mut from = to;
            let mut missed = bad;
            // Not every quantity changes one way: nothing between is passed over unseen.
            for part in 1..PARTS {
                let at = to + (bad - to) * f64::from(part) / f64::from(PARTS);
                if !holds(at)? {
                    missed = at;
                    break;
                }
                from = at;
            }
            while (from - missed).abs() > TOLD * (to - bad).abs() {
                let middle = 0.5 * (from + missed);
                if holds(middle)? {
                    from = middle;
                } else {
                    missed = middle;
                }
            }
            found.push(Suffices {
                input: *input,
                from,
                to,
            });
        }
        Ok(found)
    }

    /// A limit that is missed at its worst end, there with short bars as stiff as beam theory has
    /// them.
    fn worst_end_as_beams(&self, row: &Row) -> Result<Option<f64>, E> {
        let (Some(false), Some(true)) = (row.band_met(), row.met_at_nominal()) else {
            return Ok(None);
        };
        let mut inputs = row.worst_end_inputs().unwrap_or_default().to_vec();
        let short_bars = inputs
            .iter_mut()
            .find(|(input, _)| *input == Input::ShortBars);
        let Some((_, factor)) = short_bars else {
            return Ok(None);
        };
        *factor = 1.0;
        let design = self.subject.given.with_inputs(&inputs).ok();
        let Some(subject) = design.and_then(|design| self.subject.beside(design).ok()) else {
            return Ok(None);
        };
        let rows = (self.questions.rows)(&subject)?;
        let same = rows.iter().find(|other| other.is_like(row));
        Ok(same.and_then(|same| same.got.clone().ok()))
    }

    fn model(&self, corner: &Corner) -> Option<Arc<Model>> {
        let known = self.models.borrow().get(corner).cloned();
        known.unwrap_or_else(|| {
            let subject = self.subject_at(corner);
            let model = subject.and_then(|subject| subject.model().ok().cloned());
            self.models
                .borrow_mut()
                .insert(corner.clone(), model.clone());
            model
        })
    }

    fn judge(&self, model: &Model, ring: Option<&RingResult>) -> Vec<Option<f64>> {
        let measures = self.measures.iter();
        measures
            .map(|measure| measure.of_ring(model, ring?))
            .collect()
    }

    /// Every place at a corner.
    fn field(&self, corner: &Corner) -> Arc<Field> {
        let known = self.over.borrow().get(corner).cloned();
        known.unwrap_or_else(|| {
            let field = Arc::new(self.model(corner).map_or(Vec::new(), |model| {
                let rings = (self.questions.everywhere)(&model);
                rings
                    .iter()
                    .map(|ring| self.judge(&model, ring.as_ref()))
                    .collect()
            }));
            self.over.borrow_mut().insert(corner.clone(), field.clone());
            field
        })
    }

    /// One place at a corner.
    fn place(&self, corner: &Corner, place: usize, measure: usize) -> Option<f64> {
        if let Some(field) = self.over.borrow().get(corner) {
            return *field.get(place)?.get(measure)?;
        }
        let key = (corner.clone(), place);
        let known = self.at.borrow().get(&key).cloned();
        let found = known.unwrap_or_else(|| {
            let found = Arc::new(self.model(corner).map_or(Vec::new(), |model| {
                let ring = (self.questions.at)(&model, place);
                self.judge(&model, ring.as_ref())
            }));
            self.at.borrow_mut().insert(key, found.clone());
            found
        });
        *found.get(measure)?
    }

    /// The worst place at a corner with its value.
    fn worst(&self, corner: &Corner, measure: usize) -> Option<(usize, f64)> {
        let field = self.field(corner);
        let places = field.iter().enumerate();
        places
            .filter_map(|(place, values)| Some((place, values[measure]?)))
            .max_by(|a, b| a.1.total_cmp(&b.1))
    }

    /// What each input does by itself, from a corner to its farther end.
    fn slopes(&self, from: &Corner) -> Slopes {
        let moved = self.inputs.iter().enumerate().map(|(index, (_, number))| {
            let up = number.high - number.value >= number.value - number.low;
            let side = if up { Side::High } else { Side::Low };
            let mut corner = from.clone();
            corner[index] = side;
            // The change over the whole band.
            let share = (number.high - number.low) / (side.of(number) - number.value);
            (self.field(&corner), share)
        });
        Slopes {
            base: self.field(from),
            moved: moved.collect(),
        }
    }

    /// The corner where a measure is greatest or least in its worst place.
    fn corner(&self, aim: &Aim<'_>) -> Corner {
        let nominal = vec![Side::Nominal; self.inputs.len()];
        if let Some(side) = self.measures[aim.measure].side_of_stiffness(aim.sense) {
            return with(&nominal, aim.relevant.iter().map(|index| (*index, side)));
        }
        let mut best: Option<(f64, Corner)> = None;
        for place in aim.slopes.candidates(aim.measure, aim.sense) {
            let sides = aim
                .relevant
                .iter()
                .map(|index| (*index, aim.side(*index, place)));
            self.follow(aim, with(&nominal, sides), &mut best);
        }
        best.map_or(nominal, |(_, corner)| corner)
    }

    /// From a corner to better ones until nothing changes.
    fn follow(&self, aim: &Aim<'_>, start: Corner, best: &mut Option<(f64, Corner)>) {
        let mut corner = start;
        for _ in 0..ROUNDS {
            let Some((place, value)) = self.worst(&corner, aim.measure) else {
                return;
            };
            if best
                .as_ref()
                .is_some_and(|(than, _)| aim.sense * value <= aim.sense * than)
            {
                return;
            }
            *best = Some((value, corner.clone()));
            match self.better(aim, &corner, place, value) {
                Some(next) => corner = next,
                None => return,
            }
        }
    }

    /// A corner that is better in one place, where the present one has a value.
    fn better(&self, aim: &Aim<'_>, corner: &Corner, place: usize, value: f64) -> Option<Corner> {
        let gain = |corner: &Corner| -> f64 {
            let there = self.place(corner, place, aim.measure);
            there.map_or(f64::NEG_INFINITY, |there| aim.sense * (there - value))
        };
        let least = NONE * value.abs();
        let mut flips: Vec<(f64, usize)> = aim
            .relevant
            .iter()
            .map(|index| (gain(&flipped(corner, *index)), *index))
            .filter(|(gain, _)| *gain > least)
            .collect();
        flips.sort_by(|a, b| b.0.total_cmp(&a.0));
        let mut next = (least, None);
        if let Some((first, index)) = flips.first() {
            next = (*first, Some(flipped(corner, *index)));
            let all = flips.iter().fold(corner.clone(), |corner, (_, index)| {
                flipped(&corner, *index)
            });
            let together = gain(&all);
            if together > next.0 {
                next = (together, Some(all));
            }
        }
        let changes = |index: &&usize| aim.slopes.change(**index, place, aim.measure).abs();
        let mattering: Vec<usize> = aim
            .relevant
            .iter()
            .filter(|index| changes(index) > MATTERS * value.abs())
            .copied()
            .collect();
        if mattering.len() <= ALL_CORNERS {
            for bits in 0..1u32 << mattering.len() {
                let sides = mattering.iter().zip(0u32..).map(|(index, bit)| {
                    let high = bits >> bit & 1 == 1;
                    (*index, if high { Side::High } else { Side::Low })
                });
                let other = with(corner, sides);
                let there = gain(&other);
                if there > next.0 {
                    next = (there, Some(other));
                }
            }
        }
        next.1
    }
}

/// Which end of which measure is looked for.
struct Aim<'a> {
    measure: usize,
    /// 1 for the greatest, −1 for the least.
    sense: f64,
    /// Inputs that change it anywhere.
    relevant: &'a [usize],
    slopes: &'a Slopes,
}

impl Aim<'_> {
    fn side(&self, input: usize, place: usize) -> Side {
        if self.sense * self.slopes.change(input, place, self.measure) < 0.0 {
            Side::Low
        } else {
            Side::High
        }
    }
}

fn with(corner: &Corner, sides: impl Iterator<Item = (usize, Side)>) -> Corner {
    let mut changed = corner.clone();
    for (index, side) in sides {
        changed[index] = side;
    }
    changed
}

fn flipped(corner: &Corner, index: usize) -> Corner {
    with(corner, [(index, corner[index].other())].into_iter())
}

/// What each input does by itself.
struct Slopes {
    base: Arc<Field>,
    /// The field with the input moved, and what turns its change into that over the band.
    moved: Vec<(Arc<Field>, f64)>,
}

impl Slopes {
    /// The change of a measure in a place over the band of an input.
    fn change(&self, input: usize, place: usize, measure: usize) -> f64 {
        let (field, share) = &self.moved[input];
        let of = |field: &Field| *field.get(place)?.get(measure)?;
        match (of(&self.base), of(field)) {
            (Some(here), Some(there)) if (there - here).abs() > NONE * here.abs() => {
                (there - here) * share
            }
            _ => 0.0,
        }
    }

    /// Inputs that change a measure anywhere.
    fn relevant(&self, measure: usize) -> Vec<usize> {
        let changes = |input: &usize| {
            (0..self.base.len()).any(|place| self.change(*input, place, measure) != 0.0)
        };
        (0..self.moved.len()).filter(changes).collect()
    }

    /// Places to start from: the worst, and the one that the differences promise to be worst.
    fn candidates(&self, measure: usize, sense: f64) -> Vec<usize> {
        let places =
            || (0..self.base.len()).filter_map(|place| Some((place, self.base[place][measure]?)));
        let promise = |(place, here): (usize, f64)| {
            let inputs = 0..self.moved.len();
            let changes = inputs.map(|input| self.change(input, place, measure).abs());
            (place, here + 0.5 * sense * changes.sum::<f64>())
        };
        let greatest = |a: &(usize, f64), b: &(usize, f64)| a.1.total_cmp(&b.1);
        let worst = places().max_by(greatest);
        let promised = places().map(promise).max_by(greatest);
        let mut found: Vec<usize> = [worst, promised]
            .iter()
            .flatten()
            .map(|one| one.0)
            .collect();
        found.dedup();
        found
    }
}
