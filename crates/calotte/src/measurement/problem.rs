//! Residuals of measured points against the closed form, with their derivatives.

use levenberg_marquardt::{LeastSquaresProblem, LevenbergMarquardt};
use nalgebra::{DMatrix, DVector, Dyn, Matrix3, Owned, Rotation3, U1, Vector3};
use rayon::prelude::*;

use super::data::PointRow;
use super::model::PhysicalModel;
use super::registration::Registration;

/// Unknowns of the tracker's pose: three of rotation, three of translation.
pub(super) const POSE: usize = 6;
/// Scale of the pose's rotation, rad.
const TURN: f64 = 1e-2;
/// Scale of the pose's translation, m.
const SHIFT: f64 = 1e-3;
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
    /// The pose about which the unknown turn is counted.
    reference: Registration,
    unknowns: DVector<f64>,
    reference_values: Vec<f64>,
}

impl<'d> Problem<'d> {
    pub(super) fn new(
        model: &'d PhysicalModel,
        samples: &'d [Sample<'d>],
        weights: Vec<f64>,
        free: Vec<usize>,
        values: Vec<f64>,
        pose: Registration,
    ) -> Self {
        Self {
            model,
            samples,
            weights,
            unknowns: DVector::zeros(free.len() + POSE),
            free,
            reference_values: values.clone(),
            values,
            reference: pose.clone(),
            pose,
        }
    }

    /// Runs until the residuals no longer shrink.
    pub(super) fn solved(self) -> Self {
        let (mut found, _) = LevenbergMarquardt::new()
            .with_tol(1e-13)
            .with_patience(60)
            .minimize(self);
        found.settle();
        found
    }

    /// Counts the unknowns from here on.
    pub(super) fn settle(&mut self) {
        self.reference = self.pose.clone();
        self.reference_values = self.values.clone();
        self.unknowns = DVector::zeros(self.free.len() + POSE);
    }

    /// Predicted point less the measured one, m, tracker's frame; `None` where the bars do
    /// not close.
    pub(super) fn misses(&self) -> Vec<Option<Vector3<f64>>> {
        self.samples
            .par_iter()
            .map(|sample| self.predicted(sample).map(|p| p - sample.row.point))
            .collect()
    }

    fn predicted(&self, sample: &Sample) -> Option<Vector3<f64>> {
        let place = self
            .model
            .sensor(sample.row.readings, sample.approach, &self.values)?;
        Some(self.pose.of(&(place + sample.sag)))
    }

    /// Derivatives of three residuals a row, unweighted, by parameters (each by its typical
    /// size, in the order of `of`) and then by the pose.
    pub(super) fn derivatives(&self, of: &[usize]) -> DMatrix<f64> {
        match of.len() {
            0..=8 => self.derivatives_of::<8>(of),
            9..=16 => self.derivatives_of::<16>(of),
            17..=32 => self.derivatives_of::<32>(of),
            33..=64 => self.derivatives_of::<64>(of),
            _ => self.derivatives_of::<160>(of),
        }
    }

    fn derivatives_of<const N: usize>(&self, of: &[usize]) -> DMatrix<f64> {
        let columns = of.len() + POSE;
        let typical: Vec<f64> = of
            .iter()
            .map(|index| self.model.parameters[*index].typical)
            .collect();
        let turn = right_jacobian(&self.turn());
        let blocks: Vec<Vec<f64>> = self
            .samples
            .par_iter()
            .map(|sample| {
                let mut block = vec![0.0; 3 * columns];
                let found = self.model.sensor_with_gradient::<N>(
                    sample.row.readings,
                    sample.approach,
                    &self.values,
                    of,
                );
                let Some(place) = found else {
                    return block;
                };
                for (slot, size) in typical.iter().enumerate() {
                    let by = Vector3::from(place.map(|c| c.by[slot]));
                    let by = self.pose.rotation * by * *size;
                    for axis in 0..3 {
                        block[axis * columns + slot] = by[axis];
                    }
                }
                let at = Vector3::from(place.map(|c| c.value)) + sample.sag;
                // d(R exp[w] x)/dw = −R exp[w] [x] J(w).
                let by_turn = -self.pose.rotation * at.cross_matrix() * turn * TURN;
                for axis in 0..3 {
                    for k in 0..3 {
                        block[axis * columns + of.len() + k] = by_turn[(axis, k)];
                    }
                    block[axis * columns + of.len() + 3 + axis] = SHIFT;
                }
                block
            })
            .collect();
        let flat: Vec<f64> = blocks.concat();
        DMatrix::from_row_slice(3 * self.samples.len(), columns, &flat)
    }

    fn turn(&self) -> Vector3<f64> {
        let at = self.free.len();
        Vector3::new(
            self.unknowns[at],
            self.unknowns[at + 1],
            self.unknowns[at + 2],
        ) * TURN
    }
}

/// J(w) of exp[w + dw] = exp[w] exp[J dw].
fn right_jacobian(w: &Vector3<f64>) -> Matrix3<f64> {
    let angle = w.norm();
    let skew = w.cross_matrix();
    if angle < 1e-8 {
        return Matrix3::identity() - 0.5 * skew;
    }
    Matrix3::identity() - (1.0 - angle.cos()) / (angle * angle) * skew
        + (angle - angle.sin()) / angle.powi(3) * skew * skew
}

impl LeastSquaresProblem<f64, Dyn, Dyn> for Problem<'_> {
    type ParameterStorage = Owned<f64, Dyn, U1>;
    type ResidualStorage = Owned<f64, Dyn, U1>;
    type JacobianStorage = Owned<f64, Dyn, Dyn>;

    fn set_params(&mut self, unknowns: &DVector<f64>) {
        self.unknowns.copy_from(unknowns);
        for (slot, index) in self.free.iter().enumerate() {
            self.values[*index] = self.reference_values[*index]
                + unknowns[slot] * self.model.parameters[*index].typical;
        }
        let shift = unknowns.rows(self.free.len() + 3, 3) * SHIFT;
        self.pose.rotation = self.reference.rotation * Rotation3::new(self.turn()).into_inner();
        self.pose.translation = self.reference.translation + shift;
    }

    fn params(&self) -> DVector<f64> {
        self.unknowns.clone()
    }

    fn residuals(&self) -> Option<DVector<f64>> {
        let far = Vector3::repeat(UNREACHED);
        let all = self.misses();
        let weighted = all.iter().zip(&self.weights).flat_map(|(miss, weight)| {
            let miss = if *weight == 0.0 {
                Vector3::zeros()
            } else {
                miss.unwrap_or(far) * weight.sqrt()
            };
            [miss.x, miss.y, miss.z]
        });
        Some(DVector::from_iterator(3 * self.samples.len(), weighted))
    }

    fn jacobian(&self) -> Option<DMatrix<f64>> {
        let mut derivatives = self.derivatives(&self.free);
        for (row, weight) in self.weights.iter().enumerate() {
            derivatives.rows_mut(3 * row, 3).scale_mut(weight.sqrt());
        }
        Some(derivatives)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// exp[w + dw] against exp[w] exp[J dw].
    #[test]
    fn the_turns_derivative_is_that_of_differences() {
        for w in [
            Vector3::new(0.3, -0.8, 0.5),
            Vector3::new(1e-10, 0.0, 2e-10),
        ] {
            let step = 1e-6;
            for axis in 0..3 {
                let mut dw = Vector3::zeros();
                dw[axis] = step;
                let ahead = Rotation3::new(w + dw).into_inner();
                let by = right_jacobian(&w) * dw;
                let wanted = (Rotation3::new(w) * Rotation3::new(by)).into_inner();
                assert!((ahead - wanted).norm() < 1e-11);
            }
        }
    }
}
