//! Which unknowns the weights tell, what they are, which rows are off.

use nalgebra::{DMatrix, Vector3};

use super::choice::{NOISE_MIN, Task};
use super::error::WeightError;
use super::forward::Forward;
use super::parameter::WeightParameter;
use super::station::{Station, same_readings};
use crate::design::Design;
use crate::measurement::data::{Displacement, WeightRow, Weights};
use crate::measurement::selection::Told;
use crate::measurement::statistics::ResidualStatistics;

/// Settings of a fit.
#[derive(Debug, Clone, PartialEq)]
pub struct WeightOptions {
    /// Names of unknowns that stay as designed.
    pub hold: Vec<String>,
    /// Least effect of an unknown's typical error over the noise for it to be fitted.
    pub signal_min: f64,
}

impl Default for WeightOptions {
    fn default() -> Self {
        Self {
            hold: Vec::new(),
            signal_min: 1.0,
        }
    }
}

/// One unknown after a fit.
#[derive(Debug, Clone, PartialEq)]
pub struct FittedWeight {
    /// What it is.
    pub parameter: WeightParameter,
    /// Factor, rad/(N·m) or m; as designed for one that is held.
    pub value: f64,
    /// The value as designed: 1 for factors, 0 otherwise.
    pub nominal: f64,
    /// Standard error, as the value, every held unknown off by its typical error too; `None` for
    /// one that is held.
    pub standard_error: Option<f64>,
    /// Part of it that the noise makes.
    pub by_noise: Option<f64>,
    /// Whether it is 0 because the rows ask for less than nothing, or a factor at its limit,
    /// 1/20 or 20.
    pub at_bound: bool,
    /// What the weights tell of it; positions are those in [`WeightFit::parameters`].
    pub told: Told,
}

/// What one unknown explains alone.
#[derive(Debug, Clone, PartialEq)]
pub struct WeightCause {
    /// The unknown.
    pub parameter: WeightParameter,
    /// Share of the squared residuals above the noise that it takes away, 0 to 1.
    pub share: f64,
    /// What it would be.
    pub value: f64,
}

/// A fit of weights.
#[derive(Debug, Clone, PartialEq)]
pub struct WeightFit {
    /// Every unknown of the design.
    pub parameters: Vec<FittedWeight>,
    /// Their coordinates, for [`super::applied`].
    pub coordinates: Vec<f64>,
    /// Positions of the fitted ones that are not at a bound.
    pub fitted: Vec<usize>,
    /// Their correlations.
    pub correlation: DMatrix<f64>,
    /// Standard deviation of a gauge reading about the fitted model, m.
    pub noise: f64,
    /// The same about a straight line of each configuration's own, with its own play and
    /// friction: what the gauge itself scatters; `None` with too few rows.
    pub scatter: Option<f64>,
    /// Whether the model explains the readings to within three times that scatter; `None`
    /// where it is not known.
    pub explained: Option<bool>,
    /// Residuals of the rows used, as designed (no play, no friction).
    pub before: ResidualStatistics,
    /// The same after the fit.
    pub after: ResidualStatistics,
    /// Measured less predicted after the fit, m, by number of the row: one component
    /// along a gauge (in x) or all three, outliers included.
    pub residuals: Vec<(usize, Vector3<f64>)>,
    /// Numbers of the rows that are plainly off, ascending.
    pub outliers: Vec<usize>,
    /// Rows whose readings the design cannot take, ascending.
    pub unreachable: Vec<usize>,
    /// Rows with a mass whose gauge looks across the tip's motion, ascending.
    pub across: Vec<usize>,
    /// Rows used.
    pub used: usize,
    /// Whether any weight was taken off again: without, the friction loop is not seen.
    pub unloaded_again: bool,
    /// Each configuration by itself.
    pub stations: Vec<Station>,
    /// What each unknown explains alone, most first.
    pub causes: Vec<WeightCause>,
}

/// Readings under load that a fit needs.
const READINGS_MIN: usize = 6;
/// Cosine to the pull and to the motion below which a gauge looks across both: 3°.
const ACROSS: f64 = 0.052;

/// Fits what weights tell of a prototype.
///
/// # Arguments
/// - `design`: with its bands, from which the predicted band of stiffness comes.
/// - `weights`: as measured, world frame.
///
/// # Errors
/// [`WeightError`] for weights that determine nothing, or settings that do not go with them.
pub fn fit_weights(
    design: &Design,
    weights: &Weights,
    options: &WeightOptions,
) -> Result<WeightFit, WeightError> {
    let loaded: Vec<&WeightRow> = weights.rows.iter().filter(|row| row.mass > 0.0).collect();
    let forward = Forward::new(design, weights)?;
    if loaded.is_empty() {
        return Err(WeightError::NoLoad);
    }
    let across = usable(&forward, &loaded)?;
    let held = held_positions(&forward, &options.hold)?;
    let task = Task {
        forward: &forward,
        candidates: (0..forward.parameters.len())
            .filter(|index| !held.contains(index))
            .collect(),
        signal_min: options.signal_min,
    };
    let (problem, told) = task.run();
    let noise = problem.noise(NOISE_MIN);
    task.report(&problem, &told, noise, across)
}

/// Checks that the rows say something; numbers of those with a gauge across the motion.
fn usable(forward: &Forward, loaded: &[&WeightRow]) -> Result<Vec<usize>, WeightError> {
    let numbers = |rows: &mut dyn Iterator<Item = usize>| {
        let mut list: Vec<usize> = rows.collect();
        list.sort_unstable();
        list
    };
    let reached = |row: &WeightRow| !forward.unreachable.contains(&row.row);
    let there: Vec<&WeightRow> = loaded.iter().copied().filter(|r| reached(r)).collect();
    let Some(first) = there.first() else {
        let rows = numbers(&mut loaded.iter().map(|row| row.row));
        return Err(WeightError::Unreachable { rows });
    };
    if there.iter().all(|row| same_readings(row, first)) {
        return Err(WeightError::OneConfiguration);
    }
    let readings = forward.components.iter().filter(|c| c.force > 0.0).count();
    if readings < READINGS_MIN {
        return Err(WeightError::TooFew {
            got: readings,
            needed: READINGS_MIN,
        });
    }
    let answers = forward.answers(&vec![0.0; forward.parameters.len()])?;
    let blind = |slot: usize, row: &WeightRow| match row.displacement {
        Displacement::Along { axis, .. } => {
            let moved = forward.of_row(&answers, slot).moved;
            axis.dot(&row.pull).abs() < ACROSS && axis.dot(&moved).abs() < ACROSS * moved.norm()
        }
        Displacement::Vector(_) => false,
    };
    let rows = forward.rows.iter().enumerate();
    let across = numbers(
        &mut rows
            .filter(|(slot, row)| row.mass > 0.0 && blind(*slot, row))
            .map(|(_, row)| row.row),
    );
    if across.len() == there.len() {
        return Err(WeightError::GaugeAcross { rows: across });
    }
    Ok(across)
}

fn held_positions(forward: &Forward, names: &[String]) -> Result<Vec<usize>, WeightError> {
    let known = || forward.parameters.iter().map(|p| p.name());
    names
        .iter()
        .map(|name| {
            known()
                .position(|own| own == name)
                .ok_or_else(|| WeightError::UnknownParameter {
                    name: name.clone(),
                    known: known().map(str::to_string).collect(),
                })
        })
        .collect()
}
