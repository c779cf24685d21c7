//! Whether what a fit leaves is noise: residuals tested against the order of measuring, the
//! readings of the joints, the azimuth, the polar angle and repeats.
//!
//! Parts: `columns` (what residuals may follow), `score` (one test of columns), `repeats` (pure
//! error), `rejected` (configurations that are outliers as a whole), `tail` (p-values). Derived in
//! `docs/theory/measurement.md`.

mod columns;
mod rejected;
mod repeats;
mod score;
mod tail;
#[cfg(test)]
mod tests;

use nalgebra::{DVector, Vector3};

use super::problem::Problem;
use rejected::wholly_rejected;
pub use rejected::{Rejected, Whole};
use score::Residuals;

/// Probability that any test at all finds something where there is only noise (common
/// practice, no source). The tests share it.
pub const FAMILY_LEVEL: f64 = 0.02;
/// Share of the level that is the even drift's own (common practice, no source): of what is not
/// the linkage's, a tracker that settles or warms up is what happens most.
const DRIFTS_SHARE: f64 = 0.5;

/// Effects below it are not called found, m: readings and points written with few decimals leave
/// as much, and less than trackers tell (common practice, no source).
const RESOLUTION: f64 = 5e-6;

/// What residuals are tested against.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum LackKind {
    /// Points that move evenly with the order of measuring, any direction.
    Drift,
    /// Points that move unevenly with the order of measuring: second and third degree.
    UnevenDrift,
    /// A reading, by its position among the active joints, that is off once or twice a turn: an
    /// eccentric encoder or joint.
    Reading(usize),
    /// What is off once or twice a turn about the base axis.
    Azimuth,
    /// What changes with the polar angle, first and second degree.
    Polar,
    /// Repeats that agree with each other better than with the fit.
    Repeats,
}

/// Why a campaign cannot be tested for something.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Untestable {
    /// The parameters and the pose explain all of it as well.
    Confounded,
    /// No configuration was measured twice.
    NoRepeats,
    /// Nothing is left to know the noise by.
    TooFewRows,
}

/// One test that was carried out.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tested {
    /// Fisher's ratio of variances, or χ² over its degrees of freedom where the noise is known.
    pub statistic: f64,
    /// Degrees of freedom of numerator and denominator; the latter infinite for a known noise.
    pub degrees: [f64; 2],
    /// Probability of a statistic as great by noise alone.
    pub p_value: f64,
    /// Level of this test, its share of the family's.
    pub level: f64,
    /// Whether the probability is below it, and the effect more than files and trackers resolve.
    pub found: bool,
    /// What the columns explain of the residuals, root mean square length over the rows, m; noise
    /// alone gives about noise · √(degrees / rows). Of repeats: what the fit leaves beyond the
    /// pure error.
    pub effect: f64,
}

/// One test.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LackTest {
    /// Against what.
    pub kind: LackKind,
    /// What came out, or why nothing could.
    pub outcome: Result<Tested, Untestable>,
}

/// How the points move with the order of measuring, if they do.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Movement {
    /// Evenly.
    Even {
        /// From the first row to the last, tracker's frame, m.
        by: Vector3<f64>,
    },
    /// Once.
    Step {
        /// Number of the last row before it.
        after_row: usize,
        /// Tracker's frame, m.
        by: Vector3<f64>,
    },
    /// Along a curve.
    Uneven {
        /// Root mean square length over the rows, m.
        rms: f64,
    },
}

/// What residuals show beyond noise.
#[derive(Debug, Clone, PartialEq)]
pub struct LackOfFit {
    /// Level of all tests together.
    pub family_level: f64,
    /// Every test.
    pub tests: Vec<LackTest>,
    /// Even drift from the first row to the last, m, that would have been found nine times of ten,
    /// whatever its direction; `None` where none can be told from a turn of the tracker.
    pub drift_seen: Option<f64>,
    /// What describes the movement best where a test against the order of measuring found one.
    pub movement: Option<Movement>,
    /// Configurations and readings of which no row counts, least likely by chance first.
    pub rejected: Vec<Rejected>,
    /// Rows that do not count, as share of all.
    pub outlier_share: f64,
}

impl LackOfFit {
    /// The tests that found something, the surest first.
    pub fn found(&self) -> Vec<(LackKind, Tested)> {
        let mut found: Vec<(LackKind, Tested)> = self
            .tests
            .iter()
            .filter_map(|test| Some((test.kind, test.outcome.ok()?)))
            .filter(|(_, tested)| tested.found)
            .collect();
        found.sort_by(|a, b| {
            let p = a.1.p_value.total_cmp(&b.1.p_value);
            p.then(b.1.statistic.total_cmp(&a.1.statistic))
        });
        found
    }

    /// Whether anything was found, configurations rejected as a whole included.
    pub fn is_found(&self) -> bool {
        !self.found().is_empty() || self.rejected.iter().any(|one| one.found)
    }
}

/// Tests what a fit leaves.
///
/// # Arguments
/// - `problem`: at its solution, the parameters that are free having the priors below; rows without
///   weight do not count, the others count alike.
/// - `precision`: of each free parameter's prior about the design's value, 1/(standard deviation in
///   typical sizes)², in the order of `problem.free`: 1 where the assumed tolerance is believed, 0
///   where nothing is. With the square of the noise it is what JᵀJ gets on its diagonal. The pose
///   has none. It may be less than the fit's own: the tests then find only what these wider
///   parameters could not do either.
/// - `noise`: standard deviation of a component, m.
/// - `degrees_of_freedom`: by which the noise is known; infinite if it was not taken from these
///   residuals.
///
/// # Theory
/// Score tests; `docs/theory/measurement.md`, "Lack of fit". The even drift has half of the
/// family's level, the others share the rest equally: levels 1 − (1 − level)^share (Šidák 1967;
/// from memory).
pub(super) fn lack_of_fit(
    problem: &Problem,
    precision: &DVector<f64>,
    noise: f64,
    degrees_of_freedom: f64,
) -> LackOfFit {
    let residuals = Residuals::new(problem, precision, noise, degrees_of_freedom);
    let families = columns::families(problem, &residuals.rows);
    let mut tests: Vec<LackTest> = families
        .iter()
        .map(|(kind, columns)| LackTest {
            kind: *kind,
            outcome: residuals.tested(columns),
        })
        .collect();
    tests.push(LackTest {
        kind: LackKind::Repeats,
        outcome: repeats::tested(problem, &residuals),
    });
    let mut rejected = wholly_rejected(problem);
    // What could have been rejected as a whole is one more test.
    let others = tests.iter().filter(|test| test.outcome.is_ok()).count();
    let drifts = f64::from(u8::from(tests[0].outcome.is_ok()));
    let [own, shared] = [
        DRIFTS_SHARE,
        (1.0 - drifts * DRIFTS_SHARE) / (1.0 + others as f64 - drifts),
    ]
    .map(|share| 1.0 - (1.0 - FAMILY_LEVEL).powf(share));
    for test in &mut tests {
        if let Ok(tested) = &mut test.outcome {
            tested.level = if test.kind == LackKind::Drift {
                own
            } else {
                shared
            };
            tested.found = tested.p_value < tested.level && tested.effect > RESOLUTION;
        }
    }
    for one in &mut rejected {
        one.found = one.by_chance < shared;
    }
    let order = columns::order_of(problem, &residuals.rows);
    let drift_seen = tests[0]
        .outcome
        .ok()
        .and_then(|tested| residuals.drift_seen(&order, &tested, own));
    let moves = tests.iter().any(|test| {
        matches!(test.kind, LackKind::Drift | LackKind::UnevenDrift)
            && test.outcome.is_ok_and(|tested| tested.found)
    });
    let outliers = problem.samples.len() - residuals.rows.len();
    LackOfFit {
        family_level: FAMILY_LEVEL,
        tests,
        drift_seen,
        movement: if moves {
            residuals.movement(problem)
        } else {
            None
        },
        rejected,
        outlier_share: outliers as f64 / problem.samples.len().max(1) as f64,
    }
}
