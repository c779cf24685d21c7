//! A real linkage's parameters from measured points: least squares with the tracker's pose,
//! robust against rows that are plainly wrong, each parameter drawn to the design as workshops
//! keep it; with errors that hold what the points cannot separate.

use nalgebra::{DMatrix, DVector, Vector3};
use rayon::prelude::*;
use thiserror::Error;

use super::causes::{Explained, ranked};
use super::data::{PointRow, Points};
use super::faults::{Estimated, Explanation};
use super::hold_out::{HoldOut, hold_out};
use super::lack_of_fit::{LackOfFit, lack_of_fit};
use super::problem::{Gain, POSE, Problem, Sample};
use super::registration::{Registration, RegistrationError, register};
use super::robust::{Run, Task, plain_noise};
use super::separable::{Combination, combinations};
use super::watch::{FitStage, Stopped, Watch};
use crate::family::real::{PhysicalModel, spread};

/// Settings of a fit.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct FitOptions {
    /// Names of parameters that stay at the design's values.
    pub hold: Vec<String>,
    /// What is added to the closed form of each row, base frame, m; empty for nothing.
    pub sag: Vec<Vector3<f64>>,
}

/// One parameter after a fit.
#[derive(Debug, Clone, PartialEq)]
pub struct FittedParameter {
    /// Position in the model's list.
    pub index: usize,
    /// Value, SI: the most probable one; the design's where it is held.
    pub value: f64,
    /// Standard error, SI, with all that the points cannot separate from it and what is held;
    /// `None` for one that is held.
    pub standard_error: Option<f64>,
    /// Part of it that the noise makes, SI.
    pub by_noise: Option<f64>,
    /// Whether the points tell it to better than half its tolerance.
    pub identifiable: bool,
    /// What its tolerance moves the points by, the other parameters within theirs, over the
    /// noise.
    pub signal: f64,
    /// Parameters that move the points alike: for one tolerance of this one, so many of
    /// theirs; only of those not identifiable.
    pub looks_like: Vec<(usize, f64)>,
    /// The least fault of it that would have been seen in nine of ten such campaigns, SI;
    /// `None` if none would.
    pub seen: Option<f64>,
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
    /// Singular values of the derivatives, scaled by tolerances, of the fitted parameters and
    /// the pose over the noise, greatest first.
    pub singular_values: Vec<f64>,
    /// Correlations of the fitted parameters, in the order of `fitted`.
    pub correlation: DMatrix<f64>,
    /// Positions of the fitted parameters in the model's list.
    pub fitted: Vec<usize>,
    /// Second moments of the fitted parameters about their values, SI, in the order of `fitted`:
    /// with all that the points cannot separate and what is held, as the standard errors, whose
    /// squares stand on its diagonal.
    pub moments: DMatrix<f64>,
    /// What is told of parameters that are not told one by one.
    pub combinations: Vec<Combination>,
    /// Parts beyond tolerance that together explain the points, most probable first; one
    /// without parts says that all is within tolerance.
    pub explanations: Vec<Explanation>,
    /// How many unknowns the points determine, the pose's included.
    pub effective_unknowns: f64,
    /// Whether what the fit leaves is noise.
    pub lack_of_fit: LackOfFit,
    /// Distance of the points from the design, root mean square, m, that noise and parts within
    /// tolerance let expect.
    pub expected: f64,
    /// Whether each row of `before` and `after` counts.
    pub counted: Vec<bool>,
    /// What rows left out of the fit say; `None` with too few rows.
    pub hold_out: Option<HoldOut>,
    /// Every cause: the one most probably beyond tolerance first, then by what it explains
    /// alone.
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

/// Standard error, in tolerances, up to which a parameter counts as identifiable.
const IDENTIFIABLE: f64 = 0.5;

/// Whether a standard error, in tolerances, is small enough for its parameter to be identifiable.
pub(super) fn is_identifiable(error: f64) -> bool {
    error <= IDENTIFIABLE
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
    let held: Vec<usize> = held
        .into_iter()
        .filter(|index| *index != model.unobservable_zero())
        .collect();
    let task = Task {
        model,
        samples: &samples,
        candidates,
        held,
        watch,
    };
    watch.tell(FitStage::Pose {
        rows: samples.len(),
    })?;
    let pose = task.first_pose(&nominal)?;
    let found = task.run(nominal.clone(), pose)?;
    let found = found.ok_or(RegistrationError::OneLine)?;
    task.report(found, &nominal, &kept, rows, unreachable)
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
    ) -> Result<PointFit, FitError> {
        let Run {
            problem,
            estimated,
            noise,
        } = run;
        let blamed = self
            .blamed(&problem, noise)
            .ok_or(RegistrationError::OneLine)?;
        let fitted: Vec<usize> = problem.free.clone();
        let information = problem.normal(&self.candidates).matrix;
        let mut singular: Vec<f64> = information
            .symmetric_eigenvalues()
            .iter()
            .map(|value| value.max(0.0).sqrt() / noise)
            .collect();
        singular.sort_by(|a, b| b.total_cmp(a));
        let moments = self.moments(&problem, &estimated);
        let errors = moments.diagonal().map(f64::sqrt);
        let identifiable: Vec<bool> = errors.iter().map(|e| is_identifiable(*e)).collect();
        let parameters = (0..self.model.parameters.len())
            .map(|index| {
                let typical = self.model.parameters[index].typical;
                let place = fitted.iter().position(|f| *f == index);
                let of = |list: &DVector<f64>| place.map(|i| list[i] * typical);
                let told = place.is_some_and(|i| identifiable[i]);
                FittedParameter {
                    index,
                    value: problem.values[index],
                    standard_error: of(&errors),
                    by_noise: of(&estimated.by_noise),
                    identifiable: told,
                    signal: place.map_or(0.0, |i| blamed.signal[i]),
                    looks_like: place.filter(|_| !told).map_or_else(Vec::new, |i| {
                        let like = estimated.looks_like(i);
                        like.into_iter().map(|(j, c)| (fitted[j], c)).collect()
                    }),
                    seen: place
                        .map(|i| blamed.seen[i] * typical)
                        .filter(|seen| seen.is_finite()),
                }
            })
            .collect();
        let covariance = &estimated.covariance;
        let correlation = DMatrix::from_fn(fitted.len(), fitted.len(), |i, j| {
            covariance[(i, j)] / (covariance[(i, i)] * covariance[(j, j)]).sqrt()
        });
        let combinations = combinations(&estimated, &problem, &identifiable);
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
        let lack_of_fit = self.lack_of_fit(&problem, &estimated, noise);
        let explanations = self.refined(&problem, noise, blamed.explanations);
        let causes = self.causes(
            nominal,
            &pose_before,
            &problem.weights,
            noise,
            &explanations,
        );
        let rows_used = used.len().max(1) as f64;
        Ok(PointFit {
            expected: noise * (blamed.squares / rows_used + 3.0).sqrt(),
            counted: problem.weights.iter().map(|weight| *weight > 0.0).collect(),
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
            moments: DMatrix::from_fn(fitted.len(), fitted.len(), |i, j| {
                let typical = |place: usize| self.model.parameters[fitted[place]].typical;
                moments[(i, j)] * typical(i) * typical(j)
            }),
            fitted,
            combinations,
            effective_unknowns: estimated.effective,
            lack_of_fit,
            explanations,
        })
    }

    /// Whether what the fit leaves is noise, whatever the held parameters are within tolerance:
    /// one that is off by less must not look like a drift or an eccentric encoder.
    fn lack_of_fit(&self, problem: &Problem, estimated: &Estimated, noise: f64) -> LackOfFit {
        let mut precision = estimated.precision.clone();
        let mut whole = problem.clone();
        if !self.held.is_empty() {
            whole.free.extend(&self.held);
            precision.extend(
                self.held
                    .iter()
                    .map(|_| 1.0 / (spread::ALLOWED * spread::ALLOWED)),
            );
            whole = whole.drawn(&precision, noise).solved(Gain::Any);
        }
        let unknowns = estimated.effective + self.held.len() as f64;
        let counted = whole.weights.iter().filter(|weight| **weight > 0.0).count();
        let freedom = (3.0 * counted as f64 - unknowns).max(1.0);
        let noise = plain_noise(&whole, unknowns);
        lack_of_fit(&whole, &DVector::from_vec(precision), noise, freedom)
    }

    /// Standard errors, in tolerances, with those that held parameters make.
    pub(super) fn errors(&self, problem: &Problem, estimated: &Estimated) -> DVector<f64> {
        self.moments(problem, estimated).diagonal().map(f64::sqrt)
    }

    /// Second moments, in tolerances, with those that held parameters make, each off by a
    /// tolerance.
    fn moments(&self, problem: &Problem, estimated: &Estimated) -> DMatrix<f64> {
        let mut moments = estimated.moments.clone();
        let held = &self.held;
        if held.is_empty() {
            return moments;
        }
        let count = self.candidates.len();
        let all: Vec<usize> = self.candidates.iter().chain(held).copied().collect();
        let matrix = problem.with_pull(problem.normal(&self.candidates)).matrix;
        let across = problem.normal(&all).matrix;
        let Some(factor) = matrix.cholesky() else {
            return moments;
        };
        for one in count..all.len() {
            let mut by = DVector::zeros(count + POSE);
            by.rows_mut(0, count)
                .copy_from(&across.view((0, one), (count, 1)));
            let pose = across.view((all.len(), one), (POSE, 1));
            by.rows_mut(count, POSE).copy_from(&pose);
            let moved = factor.solve(&by).rows(0, count).clone_owned();
            moments.ger(1.0, &moved, &moved, 1.0);
        }
        moments
    }

    /// What single causes explain, about the design's values.
    fn causes(
        &self,
        nominal: &[f64],
        pose: &Registration,
        weights: &[f64],
        noise: f64,
        explanations: &[Explanation],
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
            explanations,
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
