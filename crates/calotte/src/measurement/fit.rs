//! A real linkage's parameters from measured points: least squares with the tracker's pose,
//! robust against rows that are plainly wrong, told from the noise what can be told.

use nalgebra::{DMatrix, Vector3};
use rayon::prelude::*;
use thiserror::Error;

use super::causes::{Explained, ranked};
use super::data::{PointRow, Points};
use super::hold_out::{HoldOut, hold_out};
use super::problem::{Problem, Sample};
use super::registration::{Registration, RegistrationError, register};
use super::robust::{Run, Task};
use super::selection::Told;
use super::watch::{FitStage, Stopped, Watch};
use crate::family::real::PhysicalModel;

/// Settings of a fit.
#[derive(Debug, Clone, PartialEq)]
pub struct FitOptions {
    /// Names of parameters that stay at the design's values.
    pub hold: Vec<String>,
    /// What is added to the closed form of each row, base frame, m; empty for nothing.
    pub sag: Vec<Vector3<f64>>,
    /// Least effect of a parameter's typical error over the noise for it to be fitted.
    pub signal_min: f64,
}

impl Default for FitOptions {
    fn default() -> Self {
        Self {
            hold: Vec::new(),
            sag: Vec::new(),
            signal_min: 1.0,
        }
    }
}

/// One parameter after a fit.
#[derive(Debug, Clone, PartialEq)]
pub struct FittedParameter {
    /// Position in the model's list.
    pub index: usize,
    /// Value, SI.
    pub value: f64,
    /// Standard error by the noise alone, SI; `None` for one that is held.
    pub standard_error: Option<f64>,
    /// Standard error if every held parameter is off by its typical error too, SI.
    pub with_held: Option<f64>,
    /// What the points tell of it.
    pub told: Told,
}

/// A fit of points.
#[derive(Debug, Clone, PartialEq)]
pub struct PointFit {
    /// Base frame to tracker, the design's values taken.
    pub pose_before: Registration,
    /// Base frame to tracker after the fit.
    pub pose: Registration,
    /// Values of all parameters, SI.
    pub values: Vec<f64>,
    /// Every parameter.
    pub parameters: Vec<FittedParameter>,
    /// Standard deviation of a component of the noise, m.
    pub noise: f64,
    /// Measured less predicted, each row, the design's values taken, tracker's frame, m.
    pub before: Vec<Vector3<f64>>,
    /// The same after the fit.
    pub after: Vec<Vector3<f64>>,
    /// Numbers of the rows that are plainly off, ascending.
    pub outliers: Vec<usize>,
    /// Rows whose readings the design cannot take, ascending.
    pub unreachable: Vec<usize>,
    /// Positions of the rows used, in the list of points.
    pub used: Vec<usize>,
    /// Singular values of the scaled derivatives of the fitted parameters and the pose over
    /// the noise, greatest first.
    pub singular_values: Vec<f64>,
    /// Correlations of the fitted parameters, in the order of `fitted`.
    pub correlation: DMatrix<f64>,
    /// Positions of the fitted parameters in the model's list.
    pub fitted: Vec<usize>,
    /// What rows left out of the fit say; `None` with too few rows.
    pub hold_out: Option<HoldOut>,
    /// What each cause explains alone, most first.
    pub causes: Vec<Explained>,
}

/// Points that cannot be fitted.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum FitError {
    /// Too few rows for the pose.
    #[error("{0} usable rows are too few to fit; 8 or more are required")]
    TooFew(usize),
    /// The points determine no pose.
    #[error(transparent)]
    Registration(#[from] RegistrationError),
    /// A name in `hold` that no parameter has.
    #[error("no parameter is called {name}; there are {}", known.join(", "))]
    UnknownParameter {
        /// The name.
        name: String,
        /// Those there are.
        known: Vec<String>,
    },
    /// A sag for each row, or none.
    #[error("{got} sags are given for {rows} rows")]
    Sags {
        /// Sags.
        got: usize,
        /// Rows.
        rows: usize,
    },
    /// Whoever watches waits no longer.
    #[error(transparent)]
    Stopped(#[from] Stopped),
}

/// Rows a fit needs.
const ROWS_MIN: usize = 8;

/// The side each reading was approached from: +1 if it last grew, −1 if it last shrank, 0
/// before it ever changed. A reading that stays keeps its side.
pub fn approaches(rows: &[PointRow]) -> Vec<[f64; 2]> {
    let mut side = [0.0; 2];
    (0..rows.len())
        .map(|i| {
            for (k, side) in side.iter_mut().enumerate() {
                let change = if i == 0 {
                    0.0
                } else {
                    rows[i].readings[k] - rows[i - 1].readings[k]
                };
                if change.abs() > MOVED {
                    *side = change.signum();
                }
            }
            side
        })
        .collect()
}

/// Change of a reading below which it stays, rad: a hundredth of a degree and less is an
/// encoder's noise (common practice, no source).
const MOVED: f64 = 1e-2 / 180.0 * std::f64::consts::PI;

/// Fits a real linkage's parameters and the tracker's pose to points, and tells whoever watches.
///
/// # Errors
/// [`FitError`] for points that determine nothing, or settings that do not go with them; or if
/// whoever watches says so.
pub fn fit_points(
    model: &PhysicalModel,
    points: &Points,
    options: &FitOptions,
    watch: Watch,
) -> Result<PointFit, FitError> {
    let rows = &points.rows;
    let held = held_positions(model, options)?;
    if !options.sag.is_empty() && options.sag.len() != rows.len() {
        return Err(FitError::Sags {
            got: options.sag.len(),
            rows: rows.len(),
        });
    }
    let nominal = model.nominal();
    let approach = approaches(rows);
    let mut unreachable = Vec::new();
    let mut kept = Vec::new();
    for (place, row) in rows.iter().enumerate() {
        if model
            .sensor(row.readings, approach[place], &nominal)
            .is_some_and(|p| p.iter().all(|c| c.is_finite()))
        {
            kept.push(place);
        } else {
            unreachable.push(row.row);
        }
    }
    if kept.len() < ROWS_MIN {
        return Err(FitError::TooFew(kept.len()));
    }
    let samples: Vec<Sample> = kept
        .iter()
        .map(|place| Sample {
            row: &rows[*place],
            approach: approach[*place],
            sag: options.sag.get(*place).copied().unwrap_or_default(),
        })
        .collect();
    let candidates: Vec<usize> = (0..model.parameters.len())
        .filter(|index| !held.contains(index))
        .collect();
    let task = Task {
        model,
        samples: &samples,
        candidates,
        signal_min: options.signal_min,
        watch,
    };
    watch.tell(FitStage::Pose {
        rows: samples.len(),
    })?;
    let pose = task.first_pose(&nominal)?;
    let found = task.run(nominal.clone(), pose)?;
    Ok(task.report(found, &nominal, &kept, rows, unreachable)?)
}

fn held_positions(model: &PhysicalModel, options: &FitOptions) -> Result<Vec<usize>, FitError> {
    let mut held = vec![model.unobservable_zero()];
    for name in &options.hold {
        held.push(
            model
                .index_of(name)
                .ok_or_else(|| FitError::UnknownParameter {
                    name: name.clone(),
                    known: model.parameters.iter().map(|p| p.name.clone()).collect(),
                })?,
        );
    }
    Ok(held)
}

impl<'d> Task<'d> {
    fn report(
        &self,
        run: Run<'d>,
        nominal: &[f64],
        kept: &[usize],
        rows: &[PointRow],
        unreachable: Vec<usize>,
    ) -> Result<PointFit, Stopped> {
        let Run {
            problem,
            told,
            noise,
        } = run;
        let fitted: Vec<usize> = problem.free.clone();
        let information = problem.normal(&self.candidates).matrix;
        let covariance = self.covariance(&information, &fitted);
        let columns = self.columns(&information, &fitted);
        let chosen = information.select_rows(&columns);
        let mut singular: Vec<f64> = chosen
            .select_columns(&columns)
            .symmetric_eigenvalues()
            .iter()
            .map(|value| value.max(0.0).sqrt() / noise)
            .collect();
        singular.sort_by(|a, b| b.total_cmp(a));
        let held_sensitivity = covariance.as_ref().map(|covariance| {
            let held: Vec<usize> = (0..self.candidates.len())
                .filter(|slot| !fitted.contains(&self.candidates[*slot]))
                .collect();
            covariance * chosen.select_columns(&held)
        });
        let parameters = (0..self.model.parameters.len())
            .map(|index| {
                let typical = self.model.parameters[index].typical;
                let place = fitted.iter().position(|f| *f == index);
                let errors = place.zip(covariance.as_ref()).map(|(i, covariance)| {
                    let own = noise * covariance[(i, i)].max(0.0).sqrt();
                    let by_held = held_sensitivity.as_ref().map_or(0.0, |s| s.row(i).norm());
                    (own * typical, own.hypot(by_held) * typical)
                });
                FittedParameter {
                    index,
                    value: problem.values[index],
                    standard_error: errors.map(|e| e.0),
                    with_held: errors.map(|e| e.1),
                    told: told
                        .iter()
                        .find(|t| t.index == index)
                        .cloned()
                        .unwrap_or(Told {
                            index,
                            fitted: false,
                            signal: 0.0,
                            looks_like: Vec::new(),
                        }),
                }
            })
            .collect();
        let correlation = covariance.map_or_else(
            || DMatrix::zeros(0, 0),
            |covariance| {
                DMatrix::from_fn(fitted.len(), fitted.len(), |i, j| {
                    covariance[(i, j)] / (covariance[(i, i)] * covariance[(j, j)]).sqrt()
                })
            },
        );
        let used: Vec<usize> = (0..kept.len())
            .filter(|slot| problem.weights[*slot] > 0.0)
            .collect();
        let pose_before = self.pose_before(nominal, &used, &problem.pose);
        let misses_by = |values: &[f64], pose: &Registration| -> Vec<Vector3<f64>> {
            self.samples
                .par_iter()
                .map(|s| {
                    let place = self.model.sensor(s.row.readings, s.approach, values);
                    place.map_or(Vector3::zeros(), |p| s.row.point - pose.of(&(p + s.sag)))
                })
                .collect()
        };
        let mut outliers: Vec<usize> = (0..kept.len())
            .filter(|slot| problem.weights[*slot] == 0.0)
            .map(|slot| rows[kept[slot]].row)
            .collect();
        outliers.sort_unstable();
        self.watch.tell(FitStage::HoldOut)?;
        let hold_out = hold_out(&problem, &used);
        self.watch.tell(FitStage::Causes)?;
        let causes = self.causes(nominal, &pose_before, &problem.weights, noise);
        Ok(PointFit {
            hold_out,
            causes,
            before: misses_by(nominal, &pose_before),
            after: misses_by(&problem.values, &problem.pose),
            pose_before,
            pose: problem.pose.clone(),
            values: problem.values.clone(),
            parameters,
            noise,
            outliers,
            unreachable,
            used: used.iter().map(|slot| kept[*slot]).collect(),
            singular_values: singular,
            correlation,
            fitted,
        })
    }

    /// What single causes explain, about the design's values.
    fn causes(
        &self,
        nominal: &[f64],
        pose: &Registration,
        weights: &[f64],
        noise: f64,
    ) -> Vec<Explained> {
        let about = Problem::new(
            self.model,
            self.samples,
            weights.to_vec(),
            Vec::new(),
            nominal.to_vec(),
            pose.clone(),
        );
        ranked(
            self.model,
            &about.normal(&self.candidates),
            &self.candidates,
            noise,
        )
    }

    /// The pose that lays the design's points onto those used.
    fn pose_before(
        &self,
        nominal: &[f64],
        used: &[usize],
        otherwise: &Registration,
    ) -> Registration {
        let from: Vec<Vector3<f64>> = used
            .iter()
            .map(|slot| {
                let s = &self.samples[*slot];
                let place = self.model.sensor(s.row.readings, s.approach, nominal);
                place.unwrap_or_default() + s.sag
            })
            .collect();
        let to: Vec<Vector3<f64>> = used
            .iter()
            .map(|slot| self.samples[*slot].row.point)
            .collect();
        register(&from, &to, &vec![1.0; from.len()]).unwrap_or_else(|_| otherwise.clone())
    }
}
