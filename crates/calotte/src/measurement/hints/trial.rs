//! How well rows fit a design whose parameters stay near their values: first the pose alone, then
//! with the parameters.

use nalgebra::{DVector, Vector3};

use super::super::data::PointRow;
use super::super::problem::{Problem, Sample};
use super::super::registration::{Registration, register};
use crate::family::real::PhysicalModel;

/// Rows of which the best share counts: a fifth may be outliers.
const BEST: f64 = 0.8;
/// Times rows are weighed anew.
const ROUNDS: usize = 12;
/// Assumed tolerances a parameter may be off.
const NEAR: f64 = 3.0;
/// Least scale, m: rounding.
const SCALE_MIN: f64 = 1e-9;

/// Root mean squares of what rows miss, m.
#[derive(Debug, Clone, Copy)]
pub(super) struct Left {
    /// Of the best four fifths.
    pub(super) best: f64,
    /// Of all.
    pub(super) all: f64,
}

/// Rows against a design.
pub(super) struct Trial<'m> {
    model: &'m PhysicalModel,
    rows: Vec<PointRow>,
    /// Where the design's values put each, m; `None` where the bars do not close.
    places: Vec<Option<Vector3<f64>>>,
}

impl<'m> Trial<'m> {
    pub(super) fn new(model: &'m PhysicalModel, rows: Vec<PointRow>) -> Self {
        let nominal = model.nominal();
        let places = rows
            .iter()
            .map(|row| {
                let place = model.sensor(row.readings, [0.0; 2], &nominal);
                place.filter(|place| place.iter().all(|c| c.is_finite()))
            })
            .collect();
        Self {
            model,
            rows,
            places,
        }
    }

    /// What the design's own values miss.
    pub(super) fn posed(&self) -> Left {
        self.left(self.pose().map(|pose| self.lengths(&pose)))
    }

    /// What is missed with parameters near the design's values.
    ///
    /// # Theory
    /// Gauss–Newton with weights 1/(1 + (r/s)²), s being the median length, and priors of the
    /// assumed tolerances about the design, which count by s: while nothing fits the parameters
    /// stay where they are.
    pub(super) fn fitted(&self) -> Left {
        let Some(pose) = self.pose() else {
            return self.left(None);
        };
        let samples: Vec<Sample> = self
            .rows
            .iter()
            .zip(&self.places)
            .filter(|(_, place)| place.is_some())
            .map(|(row, _)| Sample {
                row,
                approach: [0.0; 2],
                sag: Vector3::zeros(),
            })
            .collect();
        let model = self.model;
        let free: Vec<usize> = (0..model.parameters.len())
            .filter(|index| *index != model.unobservable_zero())
            .collect();
        let weights = vec![1.0; samples.len()];
        let mut problem = Problem::new(
            model,
            &samples,
            weights,
            free,
            model.nominal(),
            pose.clone(),
        );
        let mut best = self.posed();
        for _ in 0..ROUNDS {
            let lengths = lengths(&problem);
            let left = self.left(Some(lengths.clone()));
            if left.best < best.best {
                best = left;
            }
            let scale = median(&lengths).max(SCALE_MIN);
            problem.weights = lengths
                .iter()
                .map(|r| 1.0 / (1.0 + (r / scale).powi(2)))
                .collect();
            let Some(moved) = stepped(&problem, scale) else {
                break;
            };
            problem = moved;
        }
        best
    }

    /// How far the places of the design lie from their middle, root mean square, m: rows that it
    /// puts into one spot are fitted by anything.
    pub(super) fn spread(&self) -> f64 {
        let places: Vec<&Vector3<f64>> = self.places.iter().flatten().collect();
        let count = places.len().max(1) as f64;
        let middle = places.iter().copied().sum::<Vector3<f64>>() / count;
        let square: f64 = places.iter().map(|p| (*p - middle).norm_squared()).sum();
        (square / count).sqrt()
    }

    /// The pose of least distances, rows far off counting less; `None` where none is determined.
    fn pose(&self) -> Option<Registration> {
        let (from, to): (Vec<Vector3<f64>>, Vec<Vector3<f64>>) = self
            .places
            .iter()
            .zip(&self.rows)
            .filter_map(|(place, row)| Some(((*place)?, row.point)))
            .unzip();
        let mut weights = vec![1.0; from.len()];
        let mut pose = register(&from, &to, &weights).ok()?;
        for _ in 0..ROUNDS {
            let lengths: Vec<f64> = from
                .iter()
                .zip(&to)
                .map(|(p, q)| (pose.of(p) - q).norm())
                .collect();
            let scale = median(&lengths).max(SCALE_MIN);
            weights = lengths
                .iter()
                .map(|r| 1.0 / (1.0 + (r / scale).powi(2)))
                .collect();
            pose = register(&from, &to, &weights).ok()?;
        }
        Some(pose)
    }

    fn lengths(&self, pose: &Registration) -> Vec<f64> {
        self.places
            .iter()
            .zip(&self.rows)
            .filter_map(|(place, row)| Some((pose.of(&(*place)?) - row.point).norm()))
            .collect()
    }

    /// Root mean squares; rows that are not reached are as far off as points of the design can be,
    /// and all are without a pose.
    fn left(&self, reached: Option<Vec<f64>>) -> Left {
        let far = 2.0 * self.model.parameters[self.model.sensor_radius()].nominal;
        let mut lengths = reached.unwrap_or_default();
        lengths.resize(self.rows.len(), far);
        lengths.sort_by(f64::total_cmp);
        let rms = |lengths: &[f64]| {
            let square: f64 = lengths.iter().map(|r| r * r).sum();
            (square / lengths.len().max(1) as f64).sqrt()
        };
        let count = (BEST * lengths.len() as f64).round() as usize;
        Left {
            best: rms(&lengths[..count]),
            all: rms(&lengths),
        }
    }
}

/// One step of the parameters and the pose; parameters stay near the design's values.
fn stepped<'d>(problem: &Problem<'d>, scale: f64) -> Option<Problem<'d>> {
    let normal = problem.normal(&problem.free);
    let (mut matrix, mut gradient) = (normal.matrix, normal.gradient);
    let square = scale * scale;
    let off: DVector<f64> = DVector::from_iterator(
        problem.free.len(),
        problem.free.iter().map(|index| {
            let parameter = &problem.model.parameters[*index];
            (problem.values[*index] - parameter.nominal) / parameter.typical
        }),
    );
    for (slot, off) in off.iter().enumerate() {
        matrix[(slot, slot)] += square;
        gradient[slot] += square * off;
    }
    let mut step = -matrix.cholesky()?.solve(&gradient);
    for (slot, off) in off.iter().enumerate() {
        step[slot] = (off + step[slot]).clamp(-NEAR, NEAR) - off;
    }
    step.iter()
        .all(|s| s.is_finite())
        .then(|| problem.moved(&step))
}

/// What the rows miss; infinite where the bars no longer close.
fn lengths(problem: &Problem) -> Vec<f64> {
    let misses = problem.misses_where(|_| true);
    let lengths = misses
        .iter()
        .map(|miss| miss.map_or(f64::INFINITY, |m| m.norm()));
    lengths.collect()
}

fn median(values: &[f64]) -> f64 {
    let mut sorted = values.to_vec();
    let middle = sorted.len() / 2;
    if sorted.is_empty() {
        return f64::INFINITY;
    }
    *sorted.select_nth_unstable_by(middle, f64::total_cmp).1
}
