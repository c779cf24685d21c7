//! The fit itself: which parameters are free, which rows count, until neither changes.

use nalgebra::{DMatrix, Vector3};

use super::problem::{Gain, POSE, Problem, Sample, places};
use super::registration::{Registration, RegistrationError, register};
use super::selection::{Told, say_what_held_ones_look_like, select};
use super::watch::{FitStage, Stopped, Watch};
use crate::family::real::PhysicalModel;

/// Median of the length of three normal components of deviation 1.
const MEDIAN_OF_THREE: f64 = 1.538_172_3;
/// Length of a residual over the noise beyond which a row is called off: 1 of 2000 good
/// rows lies there.
const OFF: f64 = 4.2;
/// Length over the noise at which a row no longer counts while outliers are looked for.
const REACH: f64 = 7.0;
/// Rounds in which rows are weighed anew.
const ROUNDS: usize = 40;
/// Rounds in which the choice of parameters follows the noise, and the first of them, in
/// which parameters may come into it.
const CHOICES: usize = 7;
const FREE_CHOICES: usize = 3;
/// How much more noise than the best round had shows that the last went astray.
const ASTRAY: f64 = 1.2;
/// Noise assumed before any is known, m.
const NOISE_AT_FIRST: f64 = 0.1e-3;
/// Noise below which residuals are rounding, m.
const NOISE_MIN: f64 = 1e-12;
/// Rows beyond which a fit begins with so many of them, evenly taken.
const FIRST_ROWS: usize = 600;

/// What is fitted to what.
pub(super) struct Task<'d> {
    pub(super) model: &'d PhysicalModel,
    pub(super) samples: &'d [Sample<'d>],
    /// Positions of the parameters that may be fitted.
    pub(super) candidates: Vec<usize>,
    pub(super) signal_min: f64,
    /// Who is told how far it is.
    pub(super) watch: Watch<'d>,
}

/// What a run ends with.
pub(super) struct Run<'d> {
    pub(super) problem: Problem<'d>,
    pub(super) told: Vec<Told>,
    pub(super) noise: f64,
}

impl<'d> Task<'d> {
    /// The tracker's pose with the design's values, rows far off counting less and less.
    pub(super) fn first_pose(&self, values: &[f64]) -> Result<Registration, RegistrationError> {
        let from = places(self.model, self.samples, values);
        let to: Vec<Vector3<f64>> = self.samples.iter().map(|s| s.row.point).collect();
        let mut weights = vec![1.0; from.len()];
        let mut pose = register(&from, &to, &weights)?;
        for _ in 0..ROUNDS {
            let lengths: Vec<f64> = from
                .iter()
                .zip(&to)
                .map(|(p, q)| (pose.of(p) - q).norm())
                .collect();
            let scale = median(&lengths).max(NOISE_MIN);
            // Weights 1/√(1 + (r/s)²): the sum of the distances themselves, nearly.
            weights = lengths
                .iter()
                .map(|r| 1.0 / (1.0 + (r / scale).powi(2)).sqrt())
                .collect();
            pose = register(&from, &to, &weights)?;
        }
        Ok(pose)
    }

    /// Fits from values and a pose; many rows begin with a part of them.
    pub(super) fn run(&self, values: Vec<f64>, pose: Registration) -> Result<Run<'d>, Stopped> {
        let count = self.samples.len();
        let stride = (count / FIRST_ROWS).max(1);
        let part = |row: usize| f64::from(u8::from(row.is_multiple_of(stride)));
        let weights: Vec<f64> = (0..count).map(part).collect();
        let mut problem = Problem::new(self.model, self.samples, weights, Vec::new(), values, pose);
        let mut told = self.told(&problem, NOISE_AT_FIRST);
        let first: Vec<bool> = (0..count).map(|row| row.is_multiple_of(stride)).collect();
        let all = vec![true; count];
        let mut best: Option<Run> = None;
        for round in 0..CHOICES {
            // The choice moves with the place where derivatives are taken: in the end
            // parameters only leave it.
            let closing = round >= FREE_CHOICES;
            let looked_at = if closing || stride == 1 { &all } else { &first };
            // Many rows are near the fit of a part of them already.
            let near = closing && stride > 1;
            problem = self.robust(round, problem, &told, looked_at, near)?;
            let noise = plain_noise(&problem);
            let mut anew = self.told(&problem, noise);
            let before = sorted_fitted(&told);
            if closing {
                for one in &mut anew {
                    one.fitted &= before.contains(&one.index);
                }
            }
            let same = before == sorted_fitted(&anew);
            if looked_at.iter().all(|looked| *looked)
                && best.as_ref().is_none_or(|run| noise < run.noise)
            {
                best = Some(Run {
                    problem: problem.clone(),
                    told: told.clone(),
                    noise,
                });
            }
            told = anew;
            if same && (closing || stride == 1) {
                return Ok(Run {
                    problem,
                    told,
                    noise,
                });
            }
        }
        // What was chosen last is what is fitted.
        problem = self.robust(CHOICES, problem, &told, &all, stride > 1)?;
        let last = Run {
            noise: plain_noise(&problem),
            problem,
            told,
        };
        // A fit that went astray gives way to the best of those before it.
        Ok(match best {
            Some(best) if best.noise * ASTRAY < last.noise => best,
            _ => last,
        })
    }

    /// The choice of parameters at a state.
    fn told(&self, problem: &Problem, noise: f64) -> Vec<Told> {
        let information = problem.normal(&self.candidates).matrix;
        // A part of the rows tells less than all will.
        let counted = problem.weights.iter().filter(|w| **w > 0.0).count();
        let share = (counted as f64 / problem.weights.len().max(1) as f64).sqrt();
        let noise = noise * share;
        let mut told = select(&information, &self.candidates, noise, self.signal_min);
        // A parameter taken early may be told worse once others are taken: the worst goes.
        loop {
            let fitted: Vec<usize> = told.iter().filter(|t| t.fitted).map(|t| t.index).collect();
            let Some(covariance) = self.covariance(&information, &fitted) else {
                break;
            };
            let worst = (0..fitted.len())
                .map(|i| (fitted[i], noise * covariance[(i, i)].max(0.0).sqrt()))
                .max_by(|a, b| a.1.total_cmp(&b.1))
                .filter(|(_, error)| error * self.signal_min > 1.0);
            let Some((index, _)) = worst else { break };
            if let Some(one) = told.iter_mut().find(|t| t.index == index) {
                one.fitted = false;
            }
        }
        say_what_held_ones_look_like(&mut told, &information, &self.candidates);
        told
    }

    /// (JᵀJ)⁻¹ of the fitted parameters and the pose, in typical sizes.
    pub(super) fn covariance(
        &self,
        information: &DMatrix<f64>,
        fitted: &[usize],
    ) -> Option<DMatrix<f64>> {
        let columns = self.columns(information, fitted);
        let chosen = information.select_columns(&columns).select_rows(&columns);
        chosen.cholesky().map(|factor| factor.inverse())
    }

    /// Columns of fitted parameters and pose.
    pub(super) fn columns(&self, information: &DMatrix<f64>, fitted: &[usize]) -> Vec<usize> {
        let mut columns: Vec<usize> = fitted
            .iter()
            .filter_map(|index| self.candidates.iter().position(|c| c == index))
            .collect();
        columns.extend(information.ncols() - POSE..information.ncols());
        columns
    }

    /// Fits with rows weighed by how well they go with the others; in the end rows count
    /// fully or not at all. Only some rows are looked at. `rounds` have gone before.
    fn robust(
        &self,
        rounds: usize,
        problem: Problem<'d>,
        told: &[Told],
        looked_at: &[bool],
        near: bool,
    ) -> Result<Problem<'d>, Stopped> {
        let free: Vec<usize> = told.iter().filter(|t| t.fitted).map(|t| t.index).collect();
        let parameters = free.len();
        let rows = looked_at.iter().filter(|looked| **looked).count();
        let tell = |step: usize| {
            self.watch.tell(FitStage::Round {
                round: rounds + 1,
                most: CHOICES + 1,
                step,
                parameters,
                rows,
            })
        };
        tell(0)?;
        let mut step = 0;
        let mut values = self.model.nominal();
        for index in &free {
            values[*index] = problem.values[*index];
        }
        let mut now = Problem::new(
            self.model,
            self.samples,
            problem.weights.clone(),
            free,
            values,
            problem.pose.clone(),
        );
        let mut before = f64::INFINITY;
        for _ in 0..if near { 0 } else { ROUNDS } {
            let lengths = lengths(&now, looked_at);
            let scale = (median(&lengths) / MEDIAN_OF_THREE).max(NOISE_MIN);
            let mut reach = lengths.iter().map(|r| {
                let far = r / (REACH * scale);
                if far < 1.0 {
                    (1.0 - far * far).powi(2)
                } else {
                    0.0
                }
            });
            for (weight, looked) in now.weights.iter_mut().zip(looked_at) {
                *weight = if *looked {
                    reach.next().unwrap_or(0.0)
                } else {
                    0.0
                };
            }
            step += 1;
            tell(step)?;
            let moved = now.step(Gain::Any);
            if !moved || (before - scale).abs() < 1e-4 * scale {
                break;
            }
            before = scale;
        }
        // All or nothing.
        let mut last: Vec<f64> = Vec::new();
        let mut ended = false;
        for _ in 0..ROUNDS {
            let lengths = lengths(&now, looked_at);
            let noise = if last.is_empty() {
                (median(&lengths) / MEDIAN_OF_THREE).max(NOISE_MIN)
            } else {
                plain_noise(&now)
            };
            let mut good = lengths
                .iter()
                .map(|r| f64::from(u8::from(*r <= OFF * noise)));
            let weights: Vec<f64> = looked_at
                .iter()
                .map(|looked| {
                    if *looked {
                        good.next().unwrap_or(0.0)
                    } else {
                        0.0
                    }
                })
                .collect();
            if weights == last {
                if ended {
                    break;
                }
                now = now.solved(Gain::Any);
                ended = true;
                continue;
            }
            now.weights.clone_from(&weights);
            step += 1;
            tell(step)?;
            now = now.solved(Gain::Plain);
            ended = false;
            last = weights;
        }
        Ok(now)
    }
}

fn sorted_fitted(told: &[Told]) -> Vec<usize> {
    let mut list: Vec<usize> = told.iter().filter(|t| t.fitted).map(|t| t.index).collect();
    list.sort_unstable();
    list
}

/// Standard deviation of a residual component of the rows that count, m.
fn plain_noise(problem: &Problem) -> f64 {
    let (mut sum, mut count) = (0.0, 0usize);
    let misses = problem.misses_where(|row| problem.weights[row] > 0.0);
    for miss in misses.into_iter().flatten() {
        sum += miss.norm_squared();
        count += 3;
    }
    let unknowns = problem.free.len() + POSE;
    let freedom = count.saturating_sub(unknowns).max(1);
    (sum / freedom as f64).sqrt().max(NOISE_MIN)
}

/// Lengths of what the rows looked at miss.
fn lengths(problem: &Problem, looked_at: &[bool]) -> Vec<f64> {
    problem
        .misses_where(|row| looked_at[row])
        .iter()
        .zip(looked_at)
        .filter(|(_, looked)| **looked)
        .map(|(miss, _)| miss.map_or(f64::INFINITY, |m| m.norm()))
        .collect()
}

/// Median; of an even number the greater of the middle two. Infinite for an empty list.
fn median(values: &[f64]) -> f64 {
    if values.is_empty() {
        return f64::INFINITY;
    }
    let mut sorted = values.to_vec();
    let middle = sorted.len() / 2;
    *sorted.select_nth_unstable_by(middle, f64::total_cmp).1
}
