//! A fit as it is handed out: values with their errors, residuals, causes.

use nalgebra::{DMatrix, Vector3};

use super::choice::{Task, covariance, in_or_out};
use super::error::WeightError;
use super::fit::{FittedWeight, WeightCause, WeightFit};
use super::problem::Problem;
use super::station::{scatter, stations};
use crate::measurement::data::Course;
use crate::measurement::selection::Told;
use crate::measurement::statistics::ResidualStatistics;

/// Scatter of the gauge beyond which the model leaves something out.
const EXPLAINED: f64 = 3.0;

impl<'f> Task<'f> {
    /// Everything about a fit; `across` are the rows whose gauge looks across the motion.
    pub(super) fn report(
        &self,
        problem: &Problem<'f>,
        told: &[Told],
        noise: f64,
        across: Vec<usize>,
    ) -> Result<WeightFit, WeightError> {
        let forward = self.forward;
        let everything: Vec<usize> = (0..forward.parameters.len()).collect();
        let mut about = problem.clone();
        about.weights = in_or_out(&problem.weights);
        let derivatives = about
            .weighted(&everything)
            .unwrap_or_else(|| DMatrix::zeros(forward.components.len(), everything.len()));
        let inside = about.inside();
        let own = covariance(&derivatives, &inside);
        // One at its bound has the error it would have with all others free.
        let with_bound = covariance(&derivatives, &about.free);
        let held: Vec<usize> = everything
            .iter()
            .copied()
            .filter(|index| !about.free.contains(index))
            .collect();
        let by_held = own.as_ref().map(|covariance| {
            let chosen = derivatives.select_columns(&inside);
            covariance * chosen.tr_mul(&derivatives.select_columns(&held))
        });
        let parameters = everything
            .iter()
            .map(|index| {
                let parameter = forward.parameters[*index];
                let coordinate = about.coordinates[*index];
                let at_bound = about.free.contains(index) && !inside.contains(index);
                let (list, matrix) = if at_bound {
                    (&about.free, &with_bound)
                } else {
                    (&inside, &own)
                };
                let place = list.iter().position(|own| own == index);
                let value = parameter.value(coordinate);
                let nominal = parameter.value(0.0);
                // d value/d coordinate is the value for a logarithm, 1 otherwise.
                let scale = parameter.typical() * if nominal == 1.0 { value } else { 1.0 };
                let errors = place.zip(matrix.as_ref()).map(|(i, matrix)| {
                    let own = noise * matrix[(i, i)].max(0.0).sqrt();
                    let moved = by_held.as_ref().filter(|_| !at_bound);
                    let moved = moved.map_or(0.0, |sensitivity| sensitivity.row(i).norm());
                    (own * scale, own.hypot(moved) * scale)
                });
                FittedWeight {
                    parameter,
                    value,
                    nominal,
                    standard_error: errors.map(|e| e.1),
                    by_noise: errors.map(|e| e.0),
                    at_bound,
                    told: told
                        .iter()
                        .find(|t| t.index == *index)
                        .cloned()
                        .unwrap_or_else(|| held_by_wish(*index)),
                }
            })
            .collect();
        let used: Vec<bool> = about.weights.iter().map(|w| *w > 0.0).collect();
        let residuals = by_row(&about);
        let nominal = Problem {
            coordinates: vec![0.0; everything.len()],
            ..about.clone()
        };
        let of_used = |all: &[(usize, Vector3<f64>)]| {
            let kept = all.iter().zip(&used).filter(|(_, used)| **used);
            ResidualStatistics::of(kept.map(|((_, residual), _)| residual))
        };
        let scatter = scatter(forward, &used);
        let mut outliers: Vec<usize> = (0..used.len())
            .filter(|slot| !used[*slot])
            .map(|slot| forward.rows[slot].row)
            .collect();
        outliers.sort_unstable();
        let mut unreachable = forward.unreachable.clone();
        unreachable.sort_unstable();
        Ok(WeightFit {
            parameters,
            coordinates: about.coordinates.clone(),
            fitted: inside,
            correlation: own.map_or_else(
                || DMatrix::zeros(0, 0),
                |c| {
                    DMatrix::from_fn(c.nrows(), c.ncols(), |i, j| {
                        c[(i, j)] / (c[(i, i)] * c[(j, j)]).sqrt()
                    })
                },
            ),
            noise,
            scatter,
            explained: scatter.map(|scatter| noise <= EXPLAINED * scatter),
            before: of_used(&by_row(&nominal)),
            after: of_used(&residuals),
            residuals,
            outliers,
            unreachable,
            across,
            used: used.iter().filter(|used| **used).count(),
            unloaded_again: forward
                .rows
                .iter()
                .any(|row| row.course == Course::Unloading),
            stations: stations(forward, &about.coordinates, &used, scatter.unwrap_or(noise))?,
            causes: self.causes(&nominal, noise),
        })
    }

    /// What each unknown explains alone, on the rows used.
    fn causes(&self, nominal: &Problem<'f>, noise: f64) -> Vec<WeightCause> {
        let left = |problem: &Problem<'f>| {
            let misses = problem.misses().unwrap_or_default();
            let seen = misses.iter().zip(&self.forward.components);
            seen.map(|(miss, component)| problem.weights[component.slot] * miss * miss)
                .sum::<f64>()
        };
        let before = left(nominal);
        let telling = (0..self.forward.components.len())
            .filter(|component| {
                let slot = self.forward.components[*component].slot;
                nominal.weights[slot] > 0.0 && nominal.says_something(*component)
            })
            .count();
        let above = before - noise * noise * telling as f64;
        let mut list: Vec<WeightCause> = self
            .candidates
            .iter()
            .map(|index| {
                let start = Problem::new(
                    self.forward,
                    nominal.weights.clone(),
                    vec![*index],
                    nominal.coordinates.clone(),
                );
                let found = start.solved();
                let parameter = self.forward.parameters[*index];
                let share = if above > 0.0 {
                    ((before - left(&found)) / above).clamp(0.0, 1.0)
                } else {
                    0.0
                };
                WeightCause {
                    parameter,
                    share,
                    value: parameter.value(found.coordinates[*index]),
                }
            })
            .collect();
        list.sort_by(|a, b| b.share.total_cmp(&a.share));
        list
    }
}

fn held_by_wish(index: usize) -> Told {
    Told {
        index,
        fitted: false,
        signal: 0.0,
        looks_like: Vec::new(),
    }
}

/// Measured less predicted of every row, with its number.
fn by_row(problem: &Problem) -> Vec<(usize, Vector3<f64>)> {
    let rows = &problem.forward.rows;
    let mut list: Vec<(usize, Vector3<f64>)> =
        rows.iter().map(|row| (row.row, Vector3::zeros())).collect();
    let mut filled = vec![0usize; list.len()];
    let misses = problem.misses().unwrap_or_default();
    for (miss, component) in misses.iter().zip(&problem.forward.components) {
        let slot = component.slot;
        list[slot].1[filled[slot]] = -miss;
        filled[slot] += 1;
    }
    list
}
