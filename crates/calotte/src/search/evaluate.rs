//! One design judged by the limits of a brief, and all combinations of a group.

use std::sync::Arc;

use crate::analysis::Requirements;
use crate::analysis::RollRange;
use crate::analysis::judge::not_described;
use crate::analysis::ring::{
    Envelope, RingPlace, RingResult, needs_no_samples, ring_grid, solve_ring_over,
};
use crate::analysis::values::{At, Reached, Source, at_direction, source, worse};
use crate::brief::{Brief, Objective};
use crate::built::listed;
use crate::design::{Constant, Design, Input};
use crate::family::parameters::Capability;
use crate::kinematics::conditioning::ConditioningSummary;
use crate::kinematics::{Kinematics, WorkingRange};
use crate::quantity::{JudgedAt, Missing, Quantity, Standing, Values};
use crate::sphere::{AzimuthSet, Region};
use crate::subject::{Model, Motion, Subject};
use crate::surroundings::{Scratch, ShapeError, Surroundings};
use crate::uncertain::Uncertain;

use super::complete::complete_on;
use super::grid::{Candidate, Grid};
use super::verdict::{Depth, JudgedBy, Verdict};

/// Polar angles per candidate in the search; the choice is analysed finer.
pub const SEARCH_RINGS: usize = 7;
/// Azimuths per polar angle in the search.
pub const SEARCH_AROUND: usize = 8;

/// Sum of relative kinematic violations up to which a candidate is a near miss
/// whose elastic values are worth knowing.
const NEAR_MISS: f64 = 0.05;

/// One candidate with its verdict.
#[derive(Debug, Clone, PartialEq)]
pub struct Outcome {
    /// The candidate.
    pub candidate: Candidate,
    /// What judging it found.
    pub verdict: Verdict,
}

impl Outcome {
    /// Whether every limit is met.
    pub fn feasible(&self) -> bool {
        self.verdict.feasible()
    }

    /// The value of an objective, greater is better; `None` without it.
    pub fn score(&self, objective: &Objective) -> Option<f64> {
        self.verdict.objective(objective)
    }
}

/// What is computed of every candidate: columns, objectives, and what is limited.
fn asked(requirements: &Requirements) -> impl Iterator<Item = Quantity> {
    Quantity::ALL.into_iter().filter(|quantity| {
        let facts = quantity.facts();
        facts.column.is_some() || facts.objective.is_some() || requirements.is_limited(*quantity)
    })
}

/// Judges all candidates of a group, in order; how the group moves is found once.
pub fn evaluate_group(brief: &Brief, grid: &Grid, group: usize) -> Vec<Outcome> {
    let requirements = Requirements::from_brief(brief);
    let candidates = grid.group(group);
    let Some(first) = candidates.first() else {
        return Vec::new();
    };
    let (motion, reached) = group_of(brief, &requirements, first);
    let mut known: Vec<(usize, Design)> = Vec::new();
    let mut judged = |candidate: &Candidate| {
        let Some(motion) = &motion else {
            return reached.clone();
        };
        // The group's kinematics are what the angles alone allow; parts take their share.
        let worth_building = is_near(&reached);
        if !worth_building && brief.kept.is_none() {
            return reached.clone();
        }
        let design = complete_on(brief, candidate, motion);
        // What is found or kept may be what another choice names: no design comes twice.
        if let (true, Ok(design)) = (may_repeat(brief), &design) {
            let mut own = design.clone();
            let listed = listed(design, &motion.kinematics.linkage);
            if let (Some(layers), Some(listed)) = (&mut own.layers, listed) {
                layers.arrangement = listed;
            }
            if let Some((index, _)) = known.iter().find(|(_, other)| *other == own) {
                let reason = format!("the same design as number {index}");
                return Verdict::stopped(Depth::NotBuilt, reason);
            }
            known.push((candidate.index, own));
        }
        in_group(brief, &requirements, motion, &reached, design)
    };
    candidates
        .iter()
        .map(|candidate| Outcome {
            candidate: *candidate,
            verdict: judged(candidate),
        })
        .collect()
}

/// Whether two choices of a brief may lead to one design: the fewest layers are found, and kept
/// parts have their own.
fn may_repeat(brief: &Brief) -> bool {
    brief.kept.is_some() || brief.choice.arrangements.len() > 1
}

/// How the group of a candidate moves, `None` if it cannot, and the verdict on what that
/// reaches.
fn group_of(
    brief: &Brief,
    requirements: &Requirements,
    candidate: &Candidate,
) -> (Option<Arc<Motion>>, Verdict) {
    if brief.layers.is_some()
        && let Err(error) = requirements.obstacles()
    {
        return (None, Verdict::stopped(Depth::NotBuilt, error.to_string()));
    }
    let design = candidate.before_layers(brief);
    if let Err(error) = design.family.offers(Capability::Search) {
        return (None, Verdict::stopped(Depth::NotBuilt, error.to_string()));
    }
    match requirements.motion(&design) {
        Ok(motion) => {
            let (kinematics, range) = (&motion.kinematics, motion.range());
            let region = &motion.region;
            let verdict = reach(requirements, kinematics, range, region, motion.summary());
            (Some(Arc::new(motion)), verdict)
        }
        Err(error) => (None, cannot_be_built(error)),
    }
}

/// Judges one candidate of a group whose motion and reach are known.
fn in_group(
    brief: &Brief,
    requirements: &Requirements,
    motion: &Arc<Motion>,
    group: &Verdict,
    design: Result<Design, String>,
) -> Verdict {
    let worth_building = is_near(group);
    let stopped = match design {
        Ok(design) if worth_building => match Subject::on(motion, design) {
            Ok(subject) => return evaluate(&subject, requirements),
            Err(error) => error.to_string(),
        },
        Ok(_) => return group.clone(),
        Err(reason) => reason,
    };
    if worth_building && brief.layers.is_some() {
        return cannot_be_built(stopped);
    }
    let mut verdict = group.clone();
    // Kept parts without a place keep it from being built, whatever else it misses.
    if verdict.depth >= Depth::Reach {
        if !worth_building {
            verdict.depth = Depth::NotBuilt;
        }
        verdict.reason = Some(stopped);
    }
    verdict
}

/// Judges a design made ready for these requirements, over the rings of the search: what it
/// reaches, and where that is a near miss at most, what it carries among the keep-outs.
pub fn evaluate(subject: &Subject, requirements: &Requirements) -> Verdict {
    if let Err(error) = subject.design.family.offers(Capability::Search) {
        return Verdict::stopped(Depth::NotBuilt, error.to_string());
    }
    let reached = subject.range().and_then(|range| {
        let summary = subject.summary()?;
        Ok((range, summary))
    });
    let (range, summary) = match reached {
        Ok(reached) => reached,
        Err(error) => return cannot_be_built(error),
    };
    let (kinematics, region) = (subject.kinematics(), subject.region());
    let mut verdict = reach(requirements, kinematics, range, region, summary);
    if range.is_some() && is_near(&verdict) {
        let judged = match subject.elastic_range() {
            Ok(Some(range)) => judge_directions(subject, requirements, range, &mut verdict),
            Ok(None) => Err("no working range with the margins of elastic values".to_string()),
            Err(error) => Err(error.to_string()),
        };
        if let Err(reason) = judged {
            verdict.reason = Some(reason);
        }
    }
    verdict
}

/// Judges what a working range reaches.
fn reach(
    requirements: &Requirements,
    kinematics: &Kinematics,
    range: Option<&WorkingRange>,
    region: &Region,
    summary: &ConditioningSummary,
) -> Verdict {
    let Some(range) = range else {
        return Verdict::stopped(Depth::NoRange, "no working range with the margins");
    };
    let reached = Reached {
        kinematics,
        range: Some(range),
        required: None,
        roll: RollRange::over(kinematics, range, region),
        reach: None,
        cells: None,
        coverage: summary.coverage.fraction,
        summary: Some(summary),
    };
    let mut verdict = Verdict {
        depth: Depth::Reach,
        polar: Some([range.polar_min(), range.polar_max()]),
        ..Verdict::default()
    };
    for quantity in asked(requirements) {
        let Source::Reached(value) = source(quantity) else {
            continue;
        };
        let value = value(&reached).map(|placed| placed.value);
        if let Some(value) = value {
            verdict.values.set(quantity, value);
        }
        // A limit that nobody can judge is not met.
        let missing = Missing::NotComputed("the search has no value of it".to_string());
        verdict.judge(
            quantity,
            requirements.limit(quantity),
            value.as_ref().copied().ok_or(&missing),
        );
    }
    verdict
}

/// Whether a verdict on reach is a near miss at most, worth looking at further.
fn is_near(verdict: &Verdict) -> bool {
    verdict.depth >= Depth::Reach && verdict.missed_by() < NEAR_MISS
}

fn cannot_be_built(reason: impl std::fmt::Display) -> Verdict {
    Verdict::stopped(Depth::NotBuilt, format!("cannot be built: {reason}"))
}

/// Rings without the directions in which something touches a keep-out, and the share
/// of the rings' area that remains.
fn clear_rings(
    subject: &Subject,
    requirements: &Requirements,
    grid: &mut Vec<RingPlace>,
) -> Result<f64, ShapeError> {
    let obstacles = requirements.obstacles()?;
    if !subject.design.is_built() || obstacles.is_empty() {
        return Ok(1.0);
    }
    let kinematics = subject.kinematics();
    let surroundings = Surroundings::new(
        &subject.design,
        kinematics,
        &subject.built,
        obstacles,
        requirements.allowance,
    );
    let mut scratch = Scratch::default();
    let (mut all, mut clear) = (0.0, 0.0);
    for place in grid.iter_mut() {
        let RingPlace {
            second, azimuths, ..
        } = place;
        let state = kinematics.meridian.state(*second);
        // The first mechanism angle that brings the tool to an azimuth.
        let turned = state.azimuth_ahead();
        let firsts: Vec<f64> = azimuths.iter().map(|azimuth| azimuth - turned).collect();
        let free = surroundings
            .ring_is_clear(*second, &firsts, &mut scratch)
            .unwrap_or_else(|_| vec![false; firsts.len()]);
        let weight = state.polar_angle().sin();
        all += weight * azimuths.len() as f64;
        let mut flags = free.iter();
        let all_clear = free.iter().all(|clear| *clear);
        azimuths.retain(|_| *flags.next().unwrap_or(&false));
        clear += weight * azimuths.len() as f64;
        if !all_clear {
            // Between clear azimuths and others nothing is known.
            place.arcs = AzimuthSet::empty();
        }
    }
    grid.retain(|place| !place.azimuths.is_empty());
    Ok(if all > 0.0 { clear / all } else { 0.0 })
}

/// Judges what a candidate carries, over the directions it covers among the keep-outs.
///
/// # Errors
/// Why there is no answer, in words; the verdict then stays as it was.
fn judge_directions(
    subject: &Subject,
    requirements: &Requirements,
    range: &WorkingRange,
    verdict: &mut Verdict,
) -> Result<(), String> {
    let model = subject.model().map_err(|error| error.to_string())?;
    let mut grid = ring_grid(
        &model.kinematics,
        range,
        subject.region(),
        SEARCH_RINGS,
        SEARCH_AROUND,
    );
    let remaining =
        clear_rings(subject, requirements, &mut grid).map_err(|error| error.to_string())?;
    let quantities: Vec<Quantity> = asked(requirements)
        .filter(|quantity| !matches!(source(*quantity), Source::Reached(_)))
        .collect();
    if grid.is_empty() {
        return Err("covers no direction".to_string());
    }
    let over = Over {
        requirements,
        grid: &grid,
        quantities: &quantities,
    };
    let carried = over.carried(model)?;
    verdict.depth = Depth::Whole;
    for quantity in &quantities {
        if let Some(value) = carried.worst.get(*quantity) {
            verdict.values.set(*quantity, value);
        }
        let (limit, value) = over.judged(model, &carried, *quantity);
        verdict.judge(*quantity, limit, value.as_ref().copied());
    }
    judge_remaining(requirements, remaining, verdict);
    if verdict.feasible() && requirements.limits.judged_at == JudgedAt::WorstEnd {
        judge_corners(subject, &over, verdict);
    }
    Ok(())
}

/// Judges what holds at nominal values at corners of the stated uncertainty, so that what
/// misses a limit there needs no further look: the corners lie in it.
fn judge_corners(subject: &Subject, over: &Over<'_>, verdict: &mut Verdict) {
    let inputs = subject.given.uncertain_inputs();
    if inputs.is_empty() {
        return;
    }
    verdict.judged_by = JudgedBy::Corner;
    let quantities = over.quantities.iter().copied();
    let limited: Vec<Quantity> = quantities
        .filter(|quantity| over.requirements.is_limited(*quantity))
        .collect();
    // Stiffness that is to stay below a limit is worst where all is stiff.
    let too_stiff = |quantity: &Quantity| {
        matches!(source(*quantity), Source::Compliance(_)) && !quantity.more_is_better()
    };
    let (stiff, soft): (Vec<Quantity>, Vec<Quantity>) = limited.into_iter().partition(too_stiff);
    for (quantities, is_stiff) in [(soft, false), (stiff, true)] {
        if quantities.is_empty() {
            continue;
        }
        let corner: Vec<(Input, f64)> = inputs
            .iter()
            .map(|(input, number)| (*input, at_corner(*input, number, is_stiff)))
            .collect();
        let over = Over {
            quantities: &quantities,
            ..*over
        };
        // What cannot be judged here is judged by the analysis.
        let Ok(design) = subject.given.with_inputs(&corner) else {
            continue;
        };
        let Ok(subject) = subject.beside(design) else {
            continue;
        };
        let Ok(model) = subject.model() else {
            continue;
        };
        let Ok(carried) = over.carried(model) else {
            continue;
        };
        for quantity in &quantities {
            let (limit, value) = over.judged(model, &carried, *quantity);
            if value.is_ok() {
                verdict.judge_elsewhere(*quantity, limit, value.as_ref().copied());
            }
        }
    }
    if !verdict.missed.is_empty() {
        verdict.reason = Some("at a corner of the stated uncertainty".to_string());
    }
}

/// An input where the linkage gives way most under most weight and is weakest, or least.
fn at_corner(input: Input, number: &Uncertain, stiff: bool) -> f64 {
    let yields = [Input::Bars, Input::Pins, Input::Column].map(|of| of(Constant::YieldStrength));
    let resists = input.stiffens() || yields.contains(&input);
    if resists == stiff {
        number.high
    } else {
        number.low
    }
}

/// Rings with what is looked for on them.
struct Over<'a> {
    requirements: &'a Requirements,
    grid: &'a [RingPlace],
    quantities: &'a [Quantity],
}

/// Worst values over rings: of all load cases, and of each by itself.
struct Carried {
    worst: Values,
    by_load: Vec<Values>,
}

impl Over<'_> {
    /// What a design carries there.
    fn carried(&self, model: &Model) -> Result<Carried, String> {
        let loads = &self.requirements.loads;
        let mut worst = Values::default();
        let mut by_load = vec![Values::default(); loads.len()];
        for quantity in self.quantities {
            if let Source::Linkage(value) = source(*quantity) {
                worst.set(*quantity, value(model));
            }
        }
        let by_equations = needs_no_samples(model, loads);
        for place in self.grid {
            let mut place = place.clone();
            if by_equations && !place.arcs.is_empty() {
                place.azimuths.clear();
            }
            let ring = solve_ring_over(model, &place, loads, Envelope::OfSamples)
                .map_err(|error| error.to_string())?;
            absorb(&mut worst, None, self.quantities, model, &ring);
            for (load, values) in by_load.iter_mut().enumerate() {
                absorb(values, Some(load), self.quantities, model, &ring);
            }
        }
        Ok(Carried { worst, by_load })
    }

    /// The value that a quantity is judged by, with its limit: of load cases, each by its own,
    /// the one that misses it most.
    fn judged(
        &self,
        model: &Model,
        carried: &Carried,
        quantity: Quantity,
    ) -> (Option<f64>, Result<f64, Missing>) {
        let judged = |value: Option<f64>| match (not_described(model, quantity), value) {
            (Some(missing), _) => Err(missing),
            (None, Some(value)) => Ok(value),
            // As in the analysis, a limit without a value is not met.
            (None, None) => Err(Missing::NotComputed("nothing loads it".to_string())),
        };
        let limit_of = |load| self.requirements.limit_of(quantity, load);
        let missed = |case: &(Option<f64>, Result<f64, Missing>)| {
            case.0.map_or(-1.0, |limit| {
                let standing = Standing::of(quantity, limit, case.1.as_ref().copied());
                standing.missed_by().unwrap_or(f64::INFINITY)
            })
        };
        let all = (limit_of(None), judged(carried.worst.get(quantity)));
        if !quantity.is_per_load() {
            return all;
        }
        let cases = carried.by_load.iter().enumerate();
        cases
            .map(|(load, values)| (limit_of(Some(load)), judged(values.get(quantity))))
            .reduce(|a, b| if missed(&b) > missed(&a) { b } else { a })
            .unwrap_or(all)
    }
}

/// Takes the worst over a ring's directions into what was the worst before; of one load case
/// what each has for itself alone.
fn absorb(
    worst: &mut Values,
    load: Option<usize>,
    quantities: &[Quantity],
    model: &Model,
    ring: &RingResult,
) {
    let of_loads = |quantity: &&Quantity| load.is_none() || quantity.is_per_load();
    for point in ring.directions() {
        let at = At {
            model,
            ring,
            point,
            load,
        };
        for quantity in quantities.iter().filter(of_loads) {
            if let Some(value) = at_direction(*quantity, &at) {
                let before = worst.get(*quantity).unwrap_or(value);
                worst.set(*quantity, worse(*quantity, before, value));
            }
        }
    }
}

/// Coverage among keep-outs, where they take anything.
fn judge_remaining(requirements: &Requirements, remaining: f64, verdict: &mut Verdict) {
    let Some(before) = verdict.values.get(Quantity::Coverage) else {
        return;
    };
    let after = before * remaining;
    verdict.values.set(Quantity::Coverage, after);
    let missed = verdict.missed.iter().map(|(quantity, _)| *quantity);
    if after < before && !missed.into_iter().any(|one| one == Quantity::Coverage) {
        verdict.judge(Quantity::Coverage, requirements.coverage_min, Ok(after));
    }
}
