//! One combination judged against the brief.

use std::sync::Arc;

use crate::analysis::Requirements;
use crate::analysis::judge::not_described;
use crate::analysis::ring::{RingResult, ring_grid, solve_ring};
use crate::analysis::values::{At, Reached, Source, at_direction, source, worse};
use crate::brief::{Brief, Objective};
use crate::kinematics::WorkingRange;
use crate::kinematics::conditioning::conditioning;
use crate::quantity::{Quantity, Values};
use crate::subject::{Model, Motion, Subject};
use crate::surroundings::{Obstacle, Scratch, Surroundings};

use super::complete::complete_on;
use super::grid::{Candidate, Grid};
use super::verdict::{Depth, Verdict};

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
        let value = self.verdict.values.get(objective.quantity)?;
        Some(if objective.maximise { value } else { -value })
    }
}

/// The kinematic part of a group, shared by all its candidates.
#[derive(Debug, Clone)]
pub struct Screen {
    /// How the group moves; `None` where it cannot be built.
    motion: Option<Arc<Motion>>,
    range: Option<WorkingRange>,
    obstacles: Arc<[Obstacle]>,
    verdict: Verdict,
}

impl Screen {
    /// Judges what a working range reaches.
    fn judge_reach(&mut self, requirements: &Requirements, motion: &Motion) {
        let Some(range) = &self.range else {
            self.verdict = Verdict::stopped(Depth::NoRange, "no working range with the margins");
            return;
        };
        let summary = conditioning(&motion.kinematics, range, &motion.region);
        let reached = Reached {
            kinematics: &motion.kinematics,
            range: Some(range),
            free: None,
            coverage: summary.coverage.fraction,
            summary: Some(&summary),
        };
        let verdict = &mut self.verdict;
        (verdict.depth, verdict.reason) = (Depth::Reach, None);
        verdict.polar = Some([range.polar_min(), range.polar_max()]);
        for quantity in asked(requirements) {
            let Source::Reached(value) = source(quantity) else {
                continue;
            };
            let Some(placed) = value(&reached) else {
                continue;
            };
            verdict.values.set(quantity, placed.value);
            verdict.judge(quantity, limit(requirements, quantity), Ok(placed.value));
        }
    }

    /// Whether a candidate is a near miss at most, worth looking at further.
    fn is_near(&self) -> bool {
        self.verdict.depth >= Depth::Reach && self.verdict.missed_by() < NEAR_MISS
    }
}

/// What is computed of every candidate: columns, objectives, and what is limited.
fn asked(requirements: &Requirements) -> impl Iterator<Item = Quantity> {
    Quantity::ALL.into_iter().filter(|quantity| {
        let facts = quantity.facts();
        facts.column.is_some()
            || facts.objective.is_some()
            || limit(requirements, *quantity).is_some()
    })
}

/// The limit to judge a quantity by; margins hold wherever there is a working range.
fn limit(requirements: &Requirements, quantity: Quantity) -> Option<f64> {
    requirements
        .limit(quantity)
        .filter(|_| !quantity.is_margin())
}

/// Judges all candidates of a group, in order.
pub fn evaluate_group(brief: &Brief, grid: &Grid, group: usize) -> Vec<Outcome> {
    let requirements = Requirements::from_brief(brief);
    let candidates = grid.group(group);
    let Some(first) = candidates.first() else {
        return Vec::new();
    };
    let screen = screen(brief, &requirements, first);
    candidates
        .iter()
        .map(|candidate| evaluate(brief, &requirements, &screen, candidate))
        .collect()
}

/// Reach and conditioning of a candidate's group.
pub fn screen(brief: &Brief, requirements: &Requirements, candidate: &Candidate) -> Screen {
    let design = candidate.before_layers(brief);
    let mut screen = Screen {
        motion: None,
        range: None,
        obstacles: Arc::default(),
        verdict: Verdict::default(),
    };
    if brief.layers.is_some() {
        match brief.keep_outs.iter().map(Obstacle::new).collect() {
            Ok(obstacles) => screen.obstacles = obstacles,
            Err(error) => {
                screen.verdict = Verdict::stopped(Depth::NotBuilt, error.to_string());
                return screen;
            }
        }
    }
    let motion = match requirements.motion(&design) {
        Ok(motion) => Arc::new(motion),
        Err(error) => {
            screen.verdict = cannot_be_built(error);
            return screen;
        }
    };
    screen.range = motion.range().cloned();
    screen.judge_reach(requirements, &motion);
    screen.motion = Some(motion);
    screen
}

/// Judges one candidate whose group has been screened.
pub fn evaluate(
    brief: &Brief,
    requirements: &Requirements,
    screen: &Screen,
    candidate: &Candidate,
) -> Outcome {
    // The group's kinematics are what the angles alone allow; parts take their share.
    let worth_building = screen.is_near();
    // Whether kept parts find their place is asked of every candidate.
    let design = (worth_building || brief.kept.is_some())
        .then(|| complete_on(brief, requirements, candidate, screen.motion.as_ref()));
    let (subject, misfit) = match (design, &screen.motion) {
        (Some(design), Some(motion)) if worth_building => {
            let ready = |design| Subject::on(motion, design).map_err(|error| error.to_string());
            (Some(design.and_then(ready)), None)
        }
        (design, _) => (None, design.and_then(Result::err)),
    };
    let own = match &subject {
        Some(subject) if brief.layers.is_some() => {
            Some(screen_as_built(requirements, screen, subject))
        }
        _ => None,
    };
    let screen = own.as_ref().unwrap_or(screen);
    let mut verdict = screen.verdict.clone();
    if let Some(range) = &screen.range {
        let judged = match subject {
            Some(subject) if screen.is_near() => subject.and_then(|subject| {
                judge_directions(brief, requirements, screen, range, &subject, &mut verdict)
            }),
            // Kept parts without a place keep it from being built, whatever else it misses.
            _ => misfit.map_or(Ok(()), |reason| {
                verdict.depth = Depth::NotBuilt;
                Err(reason)
            }),
        };
        verdict.reason = judged.err();
    }
    Outcome {
        candidate: *candidate,
        verdict,
    }
}

fn cannot_be_built(reason: impl std::fmt::Display) -> Verdict {
    Verdict::stopped(Depth::NotBuilt, format!("cannot be built: {reason}"))
}

/// Reach and conditioning of one candidate with its layers and bosses.
fn screen_as_built(
    requirements: &Requirements,
    group: &Screen,
    subject: &Result<Subject, String>,
) -> Screen {
    let mut screen = Screen {
        range: None,
        verdict: Verdict::default(),
        ..group.clone()
    };
    let found = subject.as_ref().map_err(String::clone).and_then(|subject| {
        let range = subject.range().map_err(|error| error.to_string())?;
        Ok((&subject.motion, range))
    });
    match found {
        Ok((motion, range)) => {
            screen.range = range.cloned();
            screen.judge_reach(requirements, motion);
        }
        Err(reason) => screen.verdict = cannot_be_built(reason),
    }
    screen
}

/// Rings without the directions in which something touches a keep-out, and the share
/// of the rings' area that remains.
fn clear_rings(
    brief: &Brief,
    screen: &Screen,
    subject: &Subject,
    grid: &mut Vec<(f64, Vec<f64>)>,
) -> f64 {
    if screen.obstacles.is_empty() {
        return 1.0;
    }
    let kinematics = subject.kinematics();
    let surroundings = Surroundings::new(
        &subject.design,
        kinematics,
        &subject.built,
        &screen.obstacles,
        brief.allowance,
    );
    let mut scratch = Scratch::default();
    let (mut all, mut clear) = (0.0, 0.0);
    for (second, azimuths) in grid.iter_mut() {
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
        azimuths.retain(|_| *flags.next().unwrap_or(&false));
        clear += weight * azimuths.len() as f64;
    }
    grid.retain(|(_, azimuths)| !azimuths.is_empty());
    if all > 0.0 { clear / all } else { 0.0 }
}

/// Judges what a candidate carries, over the directions it covers among the keep-outs.
///
/// # Errors
/// Why there is no answer, in words; the verdict then stays as it was.
fn judge_directions(
    brief: &Brief,
    requirements: &Requirements,
    screen: &Screen,
    range: &WorkingRange,
    subject: &Subject,
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
    let remaining = clear_rings(brief, screen, subject, &mut grid);
    let quantities: Vec<Quantity> = asked(requirements)
        .filter(|quantity| !matches!(source(*quantity), Source::Reached(_)))
        .collect();
    let mut worst = Values::default();
    for quantity in &quantities {
        if let Source::Linkage(value) = source(*quantity) {
            worst.set(*quantity, value(model));
        }
    }
    if grid.is_empty() {
        return Err("covers no direction".to_string());
    }
    for (second, azimuths) in grid {
        let ring = solve_ring(model, second, &azimuths, &requirements.loads)
            .map_err(|error| error.to_string())?;
        absorb(&mut worst, &quantities, model, &ring);
    }
    verdict.depth = Depth::Whole;
    for quantity in quantities {
        let value = worst.get(quantity);
        if let Some(value) = value {
            verdict.values.set(quantity, value);
        }
        let judged = match (not_described(model, quantity), value) {
            (Some(missing), _) => Err(missing),
            (None, Some(value)) => Ok(value),
            // Nothing loads it anywhere.
            (None, None) => continue,
        };
        verdict.judge(
            quantity,
            limit(requirements, quantity),
            judged.as_ref().copied(),
        );
    }
    judge_remaining(requirements, remaining, verdict);
    Ok(())
}

/// Takes the worst over a ring's directions into what was the worst before.
fn absorb(worst: &mut Values, quantities: &[Quantity], model: &Model, ring: &RingResult) {
    for point in &ring.points {
        let at = At {
            model,
            ring,
            point,
            load: None,
        };
        for quantity in quantities {
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
