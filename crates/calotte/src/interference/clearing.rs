//! The part of a range in which every two parts keep their clearance.
//!
//! Turning the first mechanism angle turns everything, and what stands still is
//! coaxial with it, so distances depend on the second angle alone. Between samples
//! they are bounded by the bodies' relative angular speed; a piece of the range that
//! is neither surely free nor surely blocked is halved, down to [`RESOLUTION`].

use thiserror::Error;

use crate::built::Built;
use crate::design::Design;
use crate::kinematics::Kinematics;
use crate::linkage::Configuration;

use super::cores::PreparedCore;
use super::least::PairDistance;
use super::motion::Closure;
use super::pairs::{Pairs, looked_at};
use super::sampler::{Sampler, Speeds, starting_pieces};
use super::strips::{Shape, Strips};

/// Ends of free ranges are located to this, rad.
pub const RESOLUTION: f64 = 1e-9;

/// Pieces narrower than this are not halved, rad: the end of a range is then known to
/// [`RESOLUTION`] if the pair closes in at a fiftieth of the bound of its speed or faster.
const NARROW: f64 = 0.04 * RESOLUTION;

/// Pieces narrower than this that are not decided are walked by the bounds' own steps, rad.
const WALK_WIDTH: f64 = 0.02;

/// Margin over the rounding of chords, 1.
const ROUNDING: f64 = 1e-12;

/// Samples after which what is undecided counts as blocked: a pair that runs along its
/// limit for a stretch cannot be decided by more of them.
const EVALUATIONS_MAX: usize = 100_000;

/// A built design prepared for looking at its clearances.
#[derive(Debug, Clone)]
pub struct Clearing<'a> {
    pub(super) design: &'a Design,
    pub(super) kinematics: &'a Kinematics,
    pub(super) built: &'a Built,
    pub(super) pairs: Pairs,
    clearance: f64,
}

/// Two solids that reach their clearance.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Contact {
    /// Indices in `Built::solids`.
    pub solids: [usize; 2],
    /// Second mechanism angle, rad.
    pub second: f64,
    /// Their distance there, m; negative where they pass through one another.
    pub distance: f64,
}

/// What ends a free range.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum RangeEnd {
    /// The range asked for ends; nothing has come near.
    Asked,
    /// The first pair reaches its clearance.
    Contact(Contact),
    /// The bars no longer close.
    NotClosed,
}

impl RangeEnd {
    /// The pair that comes near, if one does.
    pub fn contact(&self) -> Option<&Contact> {
        match self {
            RangeEnd::Contact(contact) => Some(contact),
            _ => None,
        }
    }
}

/// A connected range in which every pair keeps its clearance.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FreeRange {
    /// Lower and upper end of the second mechanism angle, rad.
    pub range: [f64; 2],
    /// What ends it at either end.
    pub ends: [RangeEnd; 2],
}

/// Why clearances cannot be told.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum ClearingError {
    /// Without layers bars pass through one another by intent.
    #[error("the design has no layers; without [layers] the bars pass through one another")]
    NoLayers,
    /// A clearance that is no distance.
    #[error("clearance {0} m, must be zero or a positive number")]
    Clearance(f64),
    /// A solid whose sizes or directions are no finite numbers.
    #[error("{0} has a size or a direction that is no finite number, or an arc of a half turn")]
    Solid(String),
    /// A range that holds nothing.
    #[error("range {lo} to {hi} rad of the second mechanism angle is empty")]
    EmptyRange {
        /// Lower end, rad.
        lo: f64,
        /// Upper end, rad.
        hi: f64,
    },
    /// The value to start from lies outside the range.
    #[error("{inside} rad lies outside the range {lo} to {hi} rad")]
    Outside {
        /// The value, rad.
        inside: f64,
        /// Lower end, rad.
        lo: f64,
        /// Upper end, rad.
        hi: f64,
    },
    /// Two solids lack their clearance at the value to start from.
    #[error("{first} and {second} are {} m apart at {} rad, too near", contact.distance, contact.second)]
    Blocked {
        /// Name of the first.
        first: String,
        /// Name of the second.
        second: String,
        /// Where and how near.
        contact: Contact,
    },
    /// The bars do not close at this value.
    #[error("the bars do not close at {0} rad")]
    NotClosed(f64),
}

impl<'a> Clearing<'a> {
    /// Prepares a built design.
    ///
    /// # Errors
    /// [`ClearingError`] without layers, and for sizes that are no finite numbers.
    pub fn new(
        design: &'a Design,
        kinematics: &'a Kinematics,
        built: &'a Built,
    ) -> Result<Self, ClearingError> {
        let layers = design.layers.as_ref().ok_or(ClearingError::NoLayers)?;
        let clearance = layers.clearance;
        if !(clearance >= 0.0 && clearance.is_finite()) {
            return Err(ClearingError::Clearance(clearance));
        }
        Ok(Self {
            design,
            kinematics,
            built,
            pairs: Pairs::new(built, &kinematics.linkage, clearance)?,
            clearance,
        })
    }

    /// The pairs that are looked at.
    pub fn pairs(&self) -> &Pairs {
        &self.pairs
    }

    /// The clearance that is kept, m.
    pub fn clearance(&self) -> f64 {
        self.clearance
    }

    /// Names of two solids.
    pub fn names(&self, solids: [usize; 2]) -> [&'a str; 2] {
        solids.map(|index| self.built.solids[index].name.as_str())
    }

    /// The connected part of a range about a value in which every pair keeps its
    /// clearance; its ends are located to [`RESOLUTION`].
    ///
    /// # Errors
    /// [`ClearingError`] for an empty range, a value outside it, and a value at which
    /// a pair is too near or the bars do not close.
    pub fn free_range(&self, range: [f64; 2], inside: f64) -> Result<FreeRange, ClearingError> {
        let [lo, hi] = check_range(range)?;
        if !(lo <= inside && inside <= hi) {
            return Err(ClearingError::Outside { inside, lo, hi });
        }
        if let Some(contact) = self.least_at(inside)?
            && contact.distance < self.clearance
        {
            let [first, second] = self.names(contact.solids).map(str::to_string);
            return Err(ClearingError::Blocked {
                first,
                second,
                contact,
            });
        }
        let mut walk = Walk::new(self);
        let (upper, upper_end) = walk.outward(inside, hi);
        let (lower, lower_end) = walk.outward(inside, lo);
        Ok(FreeRange {
            range: [lower, upper],
            ends: [lower_end, upper_end],
        })
    }

    /// All maximal parts of a range in which every pair keeps its clearance, ascending;
    /// parts narrower than [`RESOLUTION`] are left out.
    ///
    /// # Errors
    /// [`ClearingError::EmptyRange`].
    pub fn allowed_intervals(&self, range: [f64; 2]) -> Result<Vec<[f64; 2]>, ClearingError> {
        let [lo, hi] = check_range(range)?;
        let mut walk = Walk::new(self);
        let mut found = Vec::new();
        for piece in starting_pieces(lo, hi) {
            let active = walk.all_checks();
            walk.intervals(piece, active, None, &mut found);
        }
        found.retain(|piece: &[f64; 2]| piece[1] - piece[0] > RESOLUTION);
        Ok(found)
    }

    /// The widest free part of a range; `None` if no part is free.
    ///
    /// # Errors
    /// [`ClearingError::EmptyRange`].
    pub fn widest_free_range(&self, range: [f64; 2]) -> Result<Option<FreeRange>, ClearingError> {
        let mut widest: Option<[f64; 2]> = None;
        for piece in self.allowed_intervals(range)? {
            if widest.is_none_or(|best| piece[1] - piece[0] > best[1] - best[0]) {
                widest = Some(piece);
            }
        }
        widest
            .map(|piece| self.free_range(range, 0.5 * (piece[0] + piece[1])))
            .transpose()
    }

    /// The pair with the least distance at a second mechanism angle among those that
    /// are sampled; `None` if all keep their radial distance.
    ///
    /// # Errors
    /// [`ClearingError::NotClosed`].
    pub fn least_at(&self, second: f64) -> Result<Option<Contact>, ClearingError> {
        let mut sampler = Sampler::new(self);
        if !second.is_finite() || !sampler.place(second) {
            return Err(ClearingError::NotClosed(second));
        }
        let mut least: Option<Contact> = None;
        for pair in &self.pairs.solids {
            for piece in &self.pairs.pieces[pair.pieces.clone()] {
                let chord = sampler.chord(piece.between);
                let distance = self.pairs.strips[piece.strips].distance(chord);
                if least.is_none_or(|best| distance < best.distance) {
                    least = Some(Contact {
                        solids: pair.solids,
                        second,
                        distance,
                    });
                }
            }
        }
        Ok(least)
    }

    /// Distances of all pairs at a configuration, those whose radial distance never
    /// changes included, in the order of the solids.
    pub fn distances_at(&self, configuration: &Configuration) -> Vec<PairDistance> {
        let solids = &self.built.solids;
        let placed: Vec<Vec<(PreparedCore, Shape)>> = solids
            .iter()
            .map(|solid| {
                let rotation = &configuration.rotations[solid.body];
                let pieces = solid.pieces.iter();
                pieces
                    .filter_map(|piece| {
                        let core = PreparedCore::new(&piece.core)?.turned(rotation);
                        Some((core, Shape::of(piece)?))
                    })
                    .collect()
            })
            .collect();
        let mut distances = Vec::new();
        for second in 0..solids.len() {
            for first in 0..second {
                if !looked_at(&solids[first], &solids[second]) {
                    continue;
                }
                let mut least = f64::INFINITY;
                for (core, shape) in &placed[first] {
                    for (other_core, other_shape) in &placed[second] {
                        let chord = super::cores::chord(core, other_core);
                        least = least.min(Strips::new(shape, other_shape).distance(chord));
                    }
                }
                distances.push(PairDistance {
                    solids: [first, second],
                    distance: least,
                    second: None,
                });
            }
        }
        distances
    }
}

pub(super) fn check_range(range: [f64; 2]) -> Result<[f64; 2], ClearingError> {
    let [lo, hi] = range;
    if lo <= hi && (hi - lo).is_finite() {
        Ok(range)
    } else {
        Err(ClearingError::EmptyRange { lo, hi })
    }
}

/// A walk over a range by halving.
struct Walk<'c> {
    clearing: &'c Clearing<'c>,
    sampler: Sampler<'c>,
    /// Indices of the checks that are undecided, a block for each level.
    undecided: Vec<u32>,
}

/// What a piece of the range turned out to be.
enum Verdict {
    Free,
    /// Blocked all over, by this check or because the bars do not close.
    Blocked(Option<usize>),
    /// These checks are undecided, and this one has the least margin.
    Undecided(std::ops::Range<usize>, Option<usize>),
}

impl<'c> Walk<'c> {
    fn new(clearing: &'c Clearing<'c>) -> Self {
        Self {
            clearing,
            sampler: Sampler::new(clearing),
            undecided: (0..clearing.pairs.checks.len() as u32).collect(),
        }
    }

    fn all_checks(&self) -> std::ops::Range<usize> {
        0..self.clearing.pairs.checks.len()
    }

    /// Looks at a piece: which checks it surely keeps, surely breaks or leaves open.
    fn look(
        &mut self,
        piece: [f64; 2],
        active: std::ops::Range<usize>,
        within: Option<Speeds>,
    ) -> (Verdict, Speeds) {
        let (lo, hi) = (piece[0].min(piece[1]), piece[0].max(piece[1]));
        let speeds = self.sampler.speeds(lo, hi, within);
        let half = 0.5 * (hi - lo);
        if speeds.closure == Closure::Nowhere {
            return (Verdict::Blocked(None), speeds);
        }
        if speeds.closure == Closure::Everywhere {
            self.sampler.place_closed(0.5 * (lo + hi));
        } else if !self.sampler.place(0.5 * (lo + hi)) {
            return (Verdict::Undecided(active, None), speeds);
        }
        self.undecided.truncate(active.end);
        let start = self.undecided.len();
        let (mut least, mut nearest) = (f64::INFINITY, None);
        for place in active {
            let index = self.undecided[place];
            let check = &self.clearing.pairs.checks[index as usize];
            let margin = self.sampler.chord(check.between) - check.chord;
            let change = self.sampler.speed(speeds, check.between) * half + ROUNDING;
            if margin < -change {
                return (Verdict::Blocked(Some(index as usize)), speeds);
            }
            if margin <= change || !change.is_finite() {
                self.undecided.push(index);
                if margin < least {
                    (least, nearest) = (margin, Some(index as usize));
                }
            }
        }
        let end = self.undecided.len();
        if start == end && speeds.closure == Closure::Everywhere {
            (Verdict::Free, speeds)
        } else {
            (Verdict::Undecided(start..end, nearest), speeds)
        }
    }

    fn stop_here(&self, piece: [f64; 2]) -> bool {
        (piece[1] - piece[0]).abs() < NARROW || self.sampler.evaluations > EVALUATIONS_MAX
    }

    /// The first place outward from `inside` that is not surely free, and why.
    fn outward(&mut self, inside: f64, end: f64) -> (f64, RangeEnd) {
        let active = self.all_checks();
        self.sampler.evaluations = 0;
        let blocked = starting_pieces(inside, end)
            .find_map(|piece| self.first_blocked(piece, active.clone(), None));
        match blocked {
            None => (end, RangeEnd::Asked),
            Some((second, None)) => (second, RangeEnd::NotClosed),
            Some((second, Some(check))) => (second, RangeEnd::Contact(self.contact(check, second))),
        }
    }

    fn contact(&mut self, check: usize, second: f64) -> Contact {
        let pairs = &self.clearing.pairs;
        let pair = &pairs.solids[pairs.checks[check].pair];
        let mut distance = f64::INFINITY;
        if self.sampler.place(second) {
            for piece in &pairs.pieces[pair.pieces.clone()] {
                let chord = self.sampler.chord(piece.between);
                distance = distance.min(pairs.strips[piece.strips].distance(chord));
            }
        }
        Contact {
            solids: pair.solids,
            second,
            distance,
        }
    }

    /// Walks a piece from its first end on, which may lie above the other.
    fn first_blocked(
        &mut self,
        piece: [f64; 2],
        active: std::ops::Range<usize>,
        within: Option<Speeds>,
    ) -> Option<(f64, Option<usize>)> {
        let (verdict, speeds) = self.look(piece, active, within);
        match verdict {
            Verdict::Free => None,
            Verdict::Blocked(check) => Some((piece[0], check)),
            Verdict::Undecided(open, nearest) => {
                let middle = 0.5 * (piece[0] + piece[1]);
                if self.stop_here(piece) || middle == piece[0] || middle == piece[1] {
                    return Some((piece[0], nearest));
                }
                let narrow = (piece[1] - piece[0]).abs() < WALK_WIDTH;
                if narrow && speeds.tight {
                    return self.step_along(piece, open, speeds);
                }
                self.first_blocked([piece[0], middle], open.clone(), Some(speeds))
                    .or_else(|| self.first_blocked([middle, piece[1]], open, Some(speeds)))
            }
        }
    }

    /// Walks a piece by steps, each as long as the least margin allows.
    ///
    /// A sample keeps its surroundings free as far as its reach, margin over speed. The
    /// next sample is set ahead of what is free, just so far that by the slope of the
    /// reach it will reach back there.
    fn step_along(
        &mut self,
        piece: [f64; 2],
        active: std::ops::Range<usize>,
        speeds: Speeds,
    ) -> Option<(f64, Option<usize>)> {
        let [start, end] = piece;
        let (length, side) = ((end - start).abs(), (end - start).signum());
        // Distances from the start: free up to `free`, the next sample `ahead` of it.
        let (mut free, mut ahead) = (0.0, 0.0);
        let mut last: Option<(f64, f64)> = None;
        loop {
            let at = free + ahead;
            let (reach, check) = self.reach(start + side * at, active.clone(), speeds);
            // How fast the reach falls, 0 to 1; taken as fast until it is known.
            let fall = last.map_or(1.0, |(place, before)| {
                ((before - reach) / (at - place)).clamp(0.0, 1.0)
            });
            last = Some((at, reach));
            if reach < ahead {
                ahead = 0.0;
                continue;
            }
            free = at + reach.max(0.0);
            if free >= length {
                return None;
            }
            if reach < NARROW || self.sampler.evaluations > EVALUATIONS_MAX {
                return Some((start + side * free, check));
            }
            ahead = (0.98 * reach * (1.0 - fall) / (1.0 + fall)).min(length - free);
        }
    }

    /// How far the angle may change from a sample with every check surely kept, and the
    /// check that allows least.
    fn reach(
        &mut self,
        second: f64,
        active: std::ops::Range<usize>,
        speeds: Speeds,
    ) -> (f64, Option<usize>) {
        self.sampler.place_closed(second);
        let mut least = (f64::INFINITY, None);
        for place in active {
            let index = self.undecided[place] as usize;
            let check = &self.clearing.pairs.checks[index];
            let margin = self.sampler.chord(check.between) - check.chord - ROUNDING;
            let speed = self.sampler.speed(speeds, check.between);
            let reach = if margin <= 0.0 {
                margin
            } else {
                margin / speed
            };
            if reach < least.0 {
                least = (reach, Some(index));
            }
        }
        least
    }

    /// Collects the free parts of a piece, ascending.
    fn intervals(
        &mut self,
        piece: [f64; 2],
        active: std::ops::Range<usize>,
        within: Option<Speeds>,
        found: &mut Vec<[f64; 2]>,
    ) {
        let (verdict, speeds) = self.look(piece, active, within);
        match verdict {
            Verdict::Blocked(_) => {}
            Verdict::Free => match found.last_mut() {
                Some(last) if last[1] == piece[0] => last[1] = piece[1],
                _ => found.push(piece),
            },
            Verdict::Undecided(open, _) => {
                let middle = 0.5 * (piece[0] + piece[1]);
                if self.stop_here(piece) || middle == piece[0] || middle == piece[1] {
                    return;
                }
                self.intervals([piece[0], middle], open.clone(), Some(speeds), found);
                self.intervals([middle, piece[1]], open, Some(speeds), found);
            }
        }
    }
}
