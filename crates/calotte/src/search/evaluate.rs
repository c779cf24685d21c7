//! One combination judged against the brief.

use crate::analysis::point::StiffnessScalars;
use crate::analysis::requirements::{Requirements, base_from_world};
use crate::analysis::ring::{Model, RingResult, ring_grid, solve_ring};
use crate::brief::{Brief, Objective, ObjectiveQuantity};
use crate::kinematics::conditioning::{ConditioningSummary, conditioning};
use crate::kinematics::working_range::working_range;
use crate::kinematics::{Kinematics, WorkingRange};
use crate::sphere::Region;

use super::grid::{Angles, Candidate, Grid};

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
            ObjectiveQuantity::Gci => values.gci,
            ObjectiveQuantity::LciMin => values.lci_min,
            ObjectiveQuantity::Coverage => values.coverage,
            ObjectiveQuantity::Stiffness => elastic?.stiffness,
            ObjectiveQuantity::MovingMass => elastic?.moving_mass,
            ObjectiveQuantity::Sag => elastic?.sag,
            ObjectiveQuantity::ContactDeflection => elastic?.contact,
            ObjectiveQuantity::HoldingTorque => elastic?.torque,
            ObjectiveQuantity::Joints => match self.candidate.angles {
                Angles::Scissor { stages, .. } => (3 * stages + 2) as f64,
                Angles::Arm { .. } => 2.0,
            },
        };
        Some(if objective.maximise { value } else { -value })
    }
}

/// The kinematic part of a group, shared by all its candidates.
#[derive(Debug, Clone)]
pub struct Screen {
    range: Option<WorkingRange>,
    summary: Option<ConditioningSummary>,
    region: Region,
    failed: Vec<String>,
    violation: f64,
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
    let design = candidate.design(brief);
    let region = requirements.region.rotated(&base_from_world(&design));
    let mut screen = Screen {
        range: None,
        summary: None,
        region,
        failed: Vec::new(),
        violation: 0.0,
    };
    let kinematics = match Kinematics::new(&design) {
        Ok(kinematics) => kinematics,
        Err(error) => {
            screen.failed.push(format!("cannot be built: {error}"));
            screen.violation = 3.0 * UNJUDGED;
            return screen;
        }
    };
    screen.range = working_range(
        &kinematics,
        &design.drives.range,
        &requirements.margins,
        &screen.region,
    );
    let Some(range) = &screen.range else {
        screen
            .failed
            .push("no working range with the margins".to_string());
        screen.violation = 2.0 * UNJUDGED;
        return screen;
    };
    let summary = conditioning(&kinematics, range, &screen.region);
    let mut need = |name: &str, needed: Option<f64>, got: f64| {
        if let Some(needed) = needed
            && got < needed * (1.0 - 1e-9)
        {
            screen.failed.push(name.to_string());
            screen.violation += (needed - got) / needed.abs();
        }
    };
    need(
        "coverage",
        requirements.coverage_min,
        summary.coverage.fraction,
    );
    need("gci", brief.limits.gci_min, summary.gci);
    screen.summary = Some(summary);
    screen
}

/// Judges one candidate whose group has been screened.
pub fn evaluate(
    brief: &Brief,
    requirements: &Requirements,
    screen: &Screen,
    candidate: &Candidate,
) -> Outcome {
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
    if screen.violation < NEAR_MISS {
        match elastic_values(brief, requirements, screen, range, candidate) {
            Ok(elastic) => {
                judge_elastic(brief, &elastic, &mut outcome);
                values.elastic = Some(elastic);
            }
            Err(reason) => {
                outcome.failed.push(reason);
                outcome.violation += UNJUDGED;
            }
        }
    } else {
        // Not judged elastically: it ranks after everything that was.
        outcome.violation += UNJUDGED;
    }
    outcome.values = Some(values);
    outcome
}

fn elastic_values(
    brief: &Brief,
    requirements: &Requirements,
    screen: &Screen,
    range: &WorkingRange,
    candidate: &Candidate,
) -> Result<ElasticValues, String> {
    let design = candidate.design(brief);
    let model = Model::new(&design).map_err(|error| error.to_string())?;
    let grid = ring_grid(
        &model.kinematics,
        range,
        &screen.region,
        SEARCH_RINGS,
        SEARCH_AROUND,
    );
    let mut worst = ElasticValues {
        stiffness: f64::INFINITY,
        contact: 0.0,
        sag: 0.0,
        torque: 0.0,
        safety: f64::INFINITY,
        moving_mass: model.holding.moving_mass(),
    };
    for (second, azimuths) in grid {
        let ring = solve_ring(&model, second, &azimuths, &requirements.loads)
            .map_err(|error| error.to_string())?;
        absorb(&mut worst, &ring);
    }
    if worst.stiffness.is_finite() {
        Ok(worst)
    } else {
        Err("covers no direction".to_string())
    }
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
        limits.contact_deflection,
        elastic.contact,
    );
    at_most("sag", limits.sag, elastic.sag);
    at_most("moving-mass", limits.moving_mass, elastic.moving_mass);
    at_most("holding-torque", limits.holding_torque, elastic.torque);
    if let Some(limit) = limits.safety_factor_yield
        && elastic.safety < limit * (1.0 - 1e-9)
    {
        outcome.failed.push("safety-factor".to_string());
        outcome.violation += (limit - elastic.safety) / limit;
    }
}
