//! One combination judged against the brief.

use std::sync::Arc;

use crate::analysis::Requirements;
use crate::analysis::point::StiffnessScalars;
use crate::analysis::ring::{RingResult, ring_grid, solve_ring};
use crate::brief::{Brief, Objective};
use crate::kinematics::WorkingRange;
use crate::kinematics::conditioning::{ConditioningSummary, conditioning};
use crate::quantity::Quantity;
use crate::subject::{Model, Motion, Subject};
use crate::surroundings::{Obstacle, Scratch, Surroundings};

use super::complete::complete_on;
use super::grid::{Candidate, Grid};

/// Polar angles per candidate in the search; the choice is analysed finer.
pub const SEARCH_RINGS: usize = 7;
/// Azimuths per polar angle in the search.
pub const SEARCH_AROUND: usize = 8;

/// Sum of relative kinematic violations up to which a candidate is a near miss
/// whose elastic values are worth knowing.
const NEAR_MISS: f64 = 0.05;

/// Added to the violation of a candidate that was not judged elastically, so
/// that its unknown elastic limits never make it look nearest to feasible.
const UNJUDGED: f64 = 1e3;

/// What was computed of a candidate, SI; elastic values are `None` where the
/// kinematic limits already failed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CandidateValues {
    /// Covered share.
    pub coverage: f64,
    /// Area-weighted GCI over the required region.
    pub gci: f64,
    /// Least LCI over the part reached.
    pub lci_min: f64,
    /// Working range, rad.
    pub polar: [f64; 2],
    /// Elastic values.
    pub elastic: Option<ElasticValues>,
}

/// Elastic values of a candidate over its covered directions.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ElasticValues {
    /// Share of the covered directions that keep-outs leave, on the search's rings.
    pub remaining: f64,
    /// Least translational stiffness, N/m.
    pub stiffness: f64,
    /// Greatest contact deflection over the load cases, m; zero without any.
    pub contact: f64,
    /// Greatest sag, m.
    pub sag: f64,
    /// Greatest holding torque, N·m.
    pub torque: f64,
    /// Least safety factor; infinite where nothing is stressed or known.
    pub safety: f64,
    /// Least static safety of the bearings; infinite where nothing is loaded, not a
    /// number where no rating is known.
    pub bearing_safety: f64,
    /// Moving mass, kg.
    pub moving_mass: f64,
}

/// The verdict on a candidate.
#[derive(Debug, Clone, PartialEq)]
pub struct Outcome {
    /// The candidate.
    pub candidate: Candidate,
    /// Values, if it can be built and reaches anything.
    pub values: Option<CandidateValues>,
    /// Names of the limits it fails, or why it has no values; empty if feasible.
    pub failed: Vec<String>,
    /// Sum of relative violations; zero if feasible.
    pub violation: f64,
}

impl Outcome {
    /// Whether every limit is met.
    pub fn feasible(&self) -> bool {
        self.failed.is_empty()
    }

    /// The value of an objective, greater is better; `None` without it.
    pub fn score(&self, objective: &Objective) -> Option<f64> {
        let values = self.values.as_ref()?;
        let elastic = values.elastic.as_ref();
        let value = match objective.quantity {
            Quantity::Gci => values.gci,
            Quantity::LciMin => values.lci_min,
            Quantity::Coverage => values.coverage,
            Quantity::Stiffness => elastic?.stiffness,
            Quantity::MovingMass => elastic?.moving_mass,
            Quantity::Sag => elastic?.sag,
            Quantity::ContactDeflection => elastic?.contact,
            Quantity::HoldingTorque => elastic?.torque,
            Quantity::Joints => self.candidate.angles.joint_count() as f64,
            _ => return None,
        };
        Some(if objective.maximise { value } else { -value })
    }
}

/// The kinematic part of a group, shared by all its candidates.
#[derive(Debug, Clone)]
pub struct Screen {
    /// How the group moves; `None` where it cannot be built.
    motion: Option<Arc<Motion>>,
    range: Option<WorkingRange>,
    summary: Option<ConditioningSummary>,
    obstacles: Arc<[Obstacle]>,
    failed: Vec<String>,
    violation: f64,
}

impl Screen {
    /// Judges coverage and GCI of a working range.
    fn judge_reach(&mut self, brief: &Brief, requirements: &Requirements, motion: &Motion) {
        let Some(range) = &self.range else {
            self.failed
                .push("no working range with the margins".to_string());
            self.violation = 2.0 * UNJUDGED;
            return;
        };
        let summary = conditioning(&motion.kinematics, range, &motion.region);
        let mut need = |name: &str, needed: Option<f64>, got: f64| {
            if let Some(needed) = needed
                && got < needed * (1.0 - 1e-9)
            {
                self.failed.push(name.to_string());
                self.violation += (needed - got) / needed.abs();
            }
        };
        need(
            "coverage",
            requirements.coverage_min,
            summary.coverage.fraction,
        );
        need("gci", brief.limits.get(Quantity::Gci), summary.gci);
        self.summary = Some(summary);
    }
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
        summary: None,
        obstacles: Arc::default(),
        failed: Vec::new(),
        violation: 0.0,
    };
    if brief.layers.is_some() {
        match brief.keep_outs.iter().map(Obstacle::new).collect() {
            Ok(obstacles) => screen.obstacles = obstacles,
            Err(error) => {
                screen.failed.push(error.to_string());
                screen.violation = 3.0 * UNJUDGED;
                return screen;
            }
        }
    }
    let motion = match requirements.motion(&design) {
        Ok(motion) => Arc::new(motion),
        Err(error) => {
            screen.failed.push(format!("cannot be built: {error}"));
            screen.violation = 3.0 * UNJUDGED;
            return screen;
        }
    };
    screen.range = motion.range().cloned();
    screen.judge_reach(brief, requirements, &motion);
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
    let worth_building = screen.violation < NEAR_MISS;
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
            Some(screen_as_built(brief, requirements, screen, subject))
        }
        _ => None,
    };
    let screen = own.as_ref().unwrap_or(screen);
    let mut outcome = Outcome {
        candidate: *candidate,
        values: None,
        failed: screen.failed.clone(),
        violation: screen.violation,
    };
    let (Some(range), Some(summary)) = (&screen.range, &screen.summary) else {
        return outcome;
    };
    let mut values = CandidateValues {
        coverage: summary.coverage.fraction,
        gci: summary.gci,
        lci_min: summary.lci_min,
        polar: [range.polar_min(), range.polar_max()],
        elastic: None,
    };
    match subject {
        Some(subject) if screen.violation < NEAR_MISS => {
            let found = subject
                .and_then(|subject| elastic_values(brief, requirements, screen, range, &subject));
            match found {
                Ok(elastic) => {
                    judge_elastic(brief, &elastic, &mut outcome);
                    let before = values.coverage;
                    values.coverage *= elastic.remaining;
                    judge_remaining(requirements, before, values.coverage, &mut outcome);
                    values.elastic = Some(elastic);
                }
                Err(reason) => {
                    outcome.failed.push(reason);
                    outcome.violation += UNJUDGED;
                }
            }
        }
        _ => {
            // Not judged elastically: it ranks after everything that was.
            outcome.violation += UNJUDGED;
            if let Some(reason) = misfit {
                outcome.failed.push(reason);
                outcome.violation += 3.0 * UNJUDGED;
            }
        }
    }
    outcome.values = Some(values);
    outcome
}

/// Reach and conditioning of one candidate with its layers and bosses.
fn screen_as_built(
    brief: &Brief,
    requirements: &Requirements,
    group: &Screen,
    subject: &Result<Subject, String>,
) -> Screen {
    let mut screen = Screen {
        range: None,
        summary: None,
        failed: Vec::new(),
        violation: 0.0,
        ..group.clone()
    };
    let found = subject.as_ref().map_err(String::clone).and_then(|subject| {
        let range = subject.range().map_err(|error| error.to_string())?;
        Ok((&subject.motion, range))
    });
    match found {
        Ok((motion, range)) => {
            screen.range = range.cloned();
            screen.judge_reach(brief, requirements, motion);
        }
        Err(reason) => {
            screen.failed.push(format!("cannot be built: {reason}"));
            screen.violation = 3.0 * UNJUDGED;
        }
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

fn elastic_values(
    brief: &Brief,
    requirements: &Requirements,
    screen: &Screen,
    range: &WorkingRange,
    subject: &Subject,
) -> Result<ElasticValues, String> {
    let model = subject.model().map_err(|error| error.to_string())?;
    let mut grid = ring_grid(
        &model.kinematics,
        range,
        subject.region(),
        SEARCH_RINGS,
        SEARCH_AROUND,
    );
    let remaining = clear_rings(brief, screen, subject, &mut grid);
    let mut worst = ElasticValues {
        remaining,
        stiffness: f64::INFINITY,
        contact: 0.0,
        sag: 0.0,
        torque: 0.0,
        safety: f64::INFINITY,
        bearing_safety: if rating_known(model) {
            f64::INFINITY
        } else {
            f64::NAN
        },
        moving_mass: model.holding.moving_mass(),
    };
    for (second, azimuths) in grid {
        let ring = solve_ring(model, second, &azimuths, &requirements.loads)
            .map_err(|error| error.to_string())?;
        absorb(&mut worst, &ring);
    }
    if worst.stiffness.is_finite() {
        Ok(worst)
    } else {
        Err("covers no direction".to_string())
    }
}

fn rating_known(model: &Model) -> bool {
    let strength = model.joint_strength.as_ref();
    strength.is_some_and(|strength| strength.knows_rating())
}

fn absorb(worst: &mut ElasticValues, ring: &RingResult) {
    let StiffnessScalars { least, .. } = ring.stiffness;
    worst.stiffness = worst.stiffness.min(least);
    for point in &ring.points {
        worst.sag = worst.sag.max(point.sag.norm());
        for contact in &point.contact {
            worst.contact = worst.contact.max(*contact);
        }
        for torque in point.torque {
            worst.torque = worst.torque.max(torque.abs());
        }
        if let Some(safety) = &point.safety {
            worst.safety = worst.safety.min(safety.factor);
        }
        if let Some((safety, _)) = point.bearing_safety {
            worst.bearing_safety = worst.bearing_safety.min(safety);
        }
    }
}

/// Coverage among keep-outs, where they take anything.
fn judge_remaining(requirements: &Requirements, before: f64, after: f64, outcome: &mut Outcome) {
    if let Some(needed) = requirements.coverage_min
        && after < before
        && after < needed * (1.0 - 1e-9)
        && !outcome.failed.iter().any(|name| name == "coverage")
    {
        outcome.failed.push("coverage".to_string());
        outcome.violation += (needed - after) / needed;
    }
}

fn judge_elastic(brief: &Brief, elastic: &ElasticValues, outcome: &mut Outcome) {
    let limits = &brief.limits;
    let mut at_most = |name: &str, limit: Option<f64>, got: f64| {
        if let Some(limit) = limit
            && got > limit * (1.0 + 1e-9)
        {
            outcome.failed.push(name.to_string());
            outcome.violation += (got - limit) / limit;
        }
    };
    at_most(
        "contact-deflection",
        limits.get(Quantity::ContactDeflection),
        elastic.contact,
    );
    at_most("sag", limits.get(Quantity::Sag), elastic.sag);
    at_most(
        "moving-mass",
        limits.get(Quantity::MovingMass),
        elastic.moving_mass,
    );
    at_most(
        "holding-torque",
        limits.get(Quantity::HoldingTorque),
        elastic.torque,
    );
    for (name, limit, got) in [
        (
            "safety-factor",
            limits.get(Quantity::SafetyFactor),
            elastic.safety,
        ),
        (
            "bearing-static-safety",
            limits.get(Quantity::BearingStaticSafety),
            elastic.bearing_safety,
        ),
    ] {
        if let Some(limit) = limit
            && (got.is_nan() || got < limit * (1.0 - 1e-9))
        {
            outcome.failed.push(name.to_string());
            outcome.violation += if got.is_nan() {
                UNJUDGED
            } else {
                (limit - got) / limit
            };
        }
    }
}
