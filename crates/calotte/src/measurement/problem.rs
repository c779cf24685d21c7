//! Residuals of measured points against the closed form, with their derivatives.

use nalgebra::{DMatrix, DVector, Rotation3, Vector3};
use rayon::prelude::*;

use super::data::PointRow;
use super::registration::Registration;
use crate::family::real::PhysicalModel;

/// Unknowns of the tracker's pose: three of rotation, three of translation.
pub(super) const POSE: usize = 6;
/// Scale of the pose's rotation, rad.
pub(super) const TURN: f64 = 1e-2;
/// Scale of the pose's translation, m.
pub(super) const SHIFT: f64 = 1e-3;
/// Parameters whose derivatives are computed together.
const LANES: usize = 8;
/// Rows whose sums are made together.
const CHUNK: usize = 128;
/// Steps of one fit.
const STEPS_MAX: usize = 30;
/// Dampings tried for one step, and the first of them.
const DAMPINGS_MAX: usize = 8;
const DAMPING_FIRST: f64 = 1e-4;
/// How small a gain is still worth a step.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Gain {
    /// While rows still come and go: parameters may be a thirtieth of their standard errors off.
    Plain,
    /// In the end: a thousandth of them.
    Any,
}

impl Gain {
    /// In squares of a residual component.
    fn least(self) -> f64 {
        match self {
            Gain::Plain => 1e-3,
            Gain::Any => 1e-6,
        }
    }
}

/// Distance that stands for a point the trial values do not reach, m.
const UNREACHED: f64 = 1.0;

/// Rows of points ready to be fitted.
#[derive(Debug, Clone)]
pub(super) struct Sample<'d> {
    pub(super) row: &'d PointRow,
    /// How the readings were approached.
    pub(super) approach: [f64; 2],
    /// What is added to the closed form, base frame, m: sag.
    pub(super) sag: Vector3<f64>,
}

/// Places of the sensor by the closed form, sag included, base frame, each row; sag alone
/// where the bars do not close.
pub(super) fn places(
    model: &PhysicalModel,
    samples: &[Sample],
    values: &[f64],
) -> Vec<Vector3<f64>> {
    samples
        .par_iter()
        .map(|sample| {
            let place = model.sensor(sample.row.readings, sample.approach, values);
            place.unwrap_or_default() + sample.sag
        })
        .collect()
}

/// A fit under way: which parameters are free, where they are, how much each row counts.
#[derive(Clone)]
pub(super) struct Problem<'d> {
    pub(super) model: &'d PhysicalModel,
    pub(super) samples: &'d [Sample<'d>],
    /// Weight of each row's residual; 0 leaves it out.
    pub(super) weights: Vec<f64>,
    /// Positions of the free parameters.
    pub(super) free: Vec<usize>,
    /// Values of all parameters, SI.
    pub(super) values: Vec<f64>,
    /// Base frame to tracker.
    pub(super) pose: Registration,
    /// How much each free parameter is drawn to the design's value: variance of the noise over
    /// the variance that is believed of it beforehand, m² by squared typical sizes.
    pub(super) pull: Vec<f64>,
}

impl<'d> Problem<'d> {
    /// Nothing is drawn to the design's values.
    pub(super) fn new(
        model: &'d PhysicalModel,
        samples: &'d [Sample<'d>],
        weights: Vec<f64>,
        free: Vec<usize>,
        values: Vec<f64>,
        pose: Registration,
    ) -> Self {
        let pull = vec![0.0; free.len()];
        Self {
            model,
            samples,
            weights,
            free,
            values,
            pose,
            pull,
        }
    }

    /// The same, every free parameter drawn to the design's value.
    ///
    /// # Arguments
    /// - `precision`: one over the variance believed beforehand, by squared typical sizes.
    /// - `noise`: standard deviation of a component, m.
    pub(super) fn drawn(mut self, precision: &[f64], noise: f64) -> Self {
        self.pull = precision.iter().map(|p| p * noise * noise).collect();
        self
    }

    /// How far the free parameters are from the design's, in typical sizes.
    pub(super) fn moved_by(&self) -> Vec<f64> {
        let of = |index: &usize| {
            let described = &self.model.parameters[*index];
            (self.values[*index] - described.nominal) / described.typical
        };
        self.free.iter().map(of).collect()
    }

    /// The normal equations of the points, with what draws the parameters to the design.
    pub(super) fn with_pull(&self, mut normal: Normal) -> Normal {
        for (i, (by, pull)) in self.moved_by().iter().zip(&self.pull).enumerate() {
            normal.matrix[(i, i)] += pull;
            normal.gradient[i] += pull * by;
            normal.square_sum += pull * by * by;
        }
        normal
    }

    /// Runs until the residuals no longer shrink by a gain worth it.
    ///
    /// # Theory
    /// Gauss–Newton on the normal equations, which are summed row by row; damped (Levenberg,
    /// Marquardt) while a step does not help.
    pub(super) fn solved(mut self, gain: Gain) -> Self {
        for _ in 0..STEPS_MAX {
            if !self.step(gain) {
                break;
            }
        }
        self
    }

    /// One step that makes the weighted residuals smaller; whether there was one worth it.
    pub(super) fn step(&mut self, gain: Gain) -> bool {
        let normal = self.with_pull(self.normal(&self.free));
        let mut damping = 0.0;
        for _ in 0..DAMPINGS_MAX {
            let mut matrix = normal.matrix.clone();
            for i in 0..matrix.nrows() {
                matrix[(i, i)] += damping * normal.matrix[(i, i)] + f64::MIN_POSITIVE;
            }
            damping = (10.0 * damping).max(DAMPING_FIRST);
            let Some(factor) = matrix.cholesky() else {
                continue;
            };
            let step = -factor.solve(&normal.gradient);
            // What the straight line promises; nothing worth it is the end.
            let component = normal.square_sum / (3 * normal.rows.max(1)) as f64;
            if -step.dot(&normal.gradient) <= gain.least() * component {
                return false;
            }
            let trial = self.moved(&step);
            let square = trial.square_sum();
            if square <= normal.square_sum {
                *self = trial;
                return true;
            }
        }
        false
    }

    /// The same with parameters (in typical sizes) and pose moved.
    pub(super) fn moved(&self, step: &DVector<f64>) -> Self {
        let mut trial = self.clone();
        for (slot, index) in self.free.iter().enumerate() {
            trial.values[*index] += step[slot] * self.model.parameters[*index].typical;
        }
        let at = self.free.len();
        let turn = Vector3::new(step[at], step[at + 1], step[at + 2]) * TURN;
        let shift = Vector3::new(step[at + 3], step[at + 4], step[at + 5]) * SHIFT;
        trial.pose.rotation = self.pose.rotation * Rotation3::new(turn).into_inner();
        trial.pose.translation = self.pose.translation + shift;
        trial
    }

    /// Sum of the weighted squares of what is missed and of what draws to the design, m².
    pub(super) fn square_sum(&self) -> f64 {
        let far = Vector3::repeat(UNREACHED);
        let missed = self.misses_where(|row| self.weights[row] > 0.0);
        let missed = missed.iter().zip(&self.weights);
        let missed: f64 = missed
            .filter(|(_, weight)| **weight > 0.0)
            .map(|(miss, weight)| weight * miss.unwrap_or(far).norm_squared())
            .sum();
        let moved = self.moved_by();
        let drawn = moved
            .iter()
            .zip(&self.pull)
            .map(|(by, pull)| pull * by * by);
        missed + drawn.sum::<f64>()
    }

    /// The normal equations by parameters (in typical sizes) and pose, over the rows with a
    /// weight.
    pub(super) fn normal(&self, of: &[usize]) -> Normal {
        let size = of.len() + POSE;
        let rows: Vec<usize> = (0..self.samples.len())
            .filter(|row| self.weights[*row] > 0.0)
            .collect();
        // Chunks are summed in their order, so that the sum does not depend on threads.
        let parts: Vec<Normal> = rows
            .par_chunks(CHUNK)
            .map(|chunk| {
                let mut sum = Normal::empty(size);
                let mut block = vec![0.0; 3 * size];
                for row in chunk {
                    let weight = self.weights[*row];
                    match self.row(*row, of, &mut block) {
                        Some(miss) => sum.add_row(&block, &miss, weight),
                        None => sum.square_sum += weight * 3.0 * UNREACHED * UNREACHED,
                    }
                }
                sum
            })
            .collect();
        let mut sum = Normal::empty(size);
        for part in &parts {
            sum.add(part);
        }
        sum.mirror();
        sum
    }

    /// Derivatives of one row's three residuals into `block`, row by row, and the residuals;
    /// `None` where the bars do not close.
    pub(super) fn row(&self, row: usize, of: &[usize], block: &mut [f64]) -> Option<Vector3<f64>> {
        let sample = &self.samples[row];
        let columns = of.len() + POSE;
        let mut place = Vector3::zeros();
        // A few parameters at a time, so that the numbers stay in registers.
        for at in (0..of.len().max(1)).step_by(LANES) {
            let some = &of[at..(at + LANES).min(of.len())];
            let found = self.model.sensor_with_gradient::<LANES>(
                sample.row.readings,
                sample.approach,
                &self.values,
                some,
            )?;
            place = Vector3::from(found.map(|c| c.value));
            for (lane, index) in some.iter().enumerate() {
                let by = Vector3::from(found.map(|c| c.by[lane]));
                let by = self.pose.rotation * by * self.model.parameters[*index].typical;
                for axis in 0..3 {
                    block[axis * columns + at + lane] = by[axis];
                }
            }
        }
        let at = place + sample.sag;
        // d(R exp[w] x)/dw = −R [x] at w = 0.
        let by_turn = -self.pose.rotation * at.cross_matrix() * TURN;
        for axis in 0..3 {
            for k in 0..3 {
                block[axis * columns + of.len() + k] = by_turn[(axis, k)];
                block[axis * columns + of.len() + 3 + k] = if k == axis { SHIFT } else { 0.0 };
            }
        }
        Some(self.pose.of(&at) - sample.row.point)
    }

    /// Predicted point less the measured one, m, tracker's frame, of the rows wanted; `None`
    /// for the others and where the bars do not close.
    pub(super) fn misses_where(
        &self,
        wanted: impl Fn(usize) -> bool + Sync,
    ) -> Vec<Option<Vector3<f64>>> {
        self.samples
            .par_iter()
            .enumerate()
            .map(|(row, sample)| {
                if wanted(row) {
                    self.predicted(sample).map(|p| p - sample.row.point)
                } else {
                    None
                }
            })
            .collect()
    }

    fn predicted(&self, sample: &Sample) -> Option<Vector3<f64>> {
        let place = self
            .model
            .sensor(sample.row.readings, sample.approach, &self.values)?;
        Some(self.pose.of(&(place + sample.sag)))
    }
}

/// Normal equations of least squares.
#[derive(Debug, Clone)]
pub(super) struct Normal {
    /// JᵀWJ.
    pub(super) matrix: DMatrix<f64>,
    /// JᵀWr, r being predicted less measured.
    pub(super) gradient: DVector<f64>,
    /// rᵀWr.
    pub(super) square_sum: f64,
    /// Rows summed.
    pub(super) rows: usize,
}

impl Normal {
    fn empty(size: usize) -> Self {
        Self {
            matrix: DMatrix::zeros(size, size),
            gradient: DVector::zeros(size),
            square_sum: 0.0,
            rows: 0,
        }
    }

    /// Adds a row's three residuals; of the matrix only the lower half.
    fn add_row(&mut self, block: &[f64], miss: &Vector3<f64>, weight: f64) {
        let size = self.gradient.len();
        for axis in 0..3 {
            let line = &block[axis * size..(axis + 1) * size];
            let weighted = weight * miss[axis];
            for (column, by) in line.iter().enumerate() {
                let scaled = weight * by;
                self.gradient[column] += weighted * by;
                let target = &mut self.matrix.as_mut_slice()[column * size..(column + 1) * size];
                for (entry, other) in target[column..].iter_mut().zip(&line[column..]) {
                    *entry += scaled * other;
                }
            }
        }
        self.square_sum += weight * miss.norm_squared();
        self.rows += 1;
    }

    pub(super) fn add(&mut self, other: &Normal) {
        self.matrix += &other.matrix;
        self.gradient += &other.gradient;
        self.square_sum += other.square_sum;
        self.rows += other.rows;
    }

    fn mirror(&mut self) {
        self.matrix.fill_upper_triangle_with_lower_triangle();
    }
}
