//! How much a drift in time looks like what is measured: the correlation of the row number
//! with readings and directions, and of a steady drift of the tracker with each parameter.

use nalgebra::{
    DMatrix, DVector, Matrix2, Matrix3, Matrix3x6, Matrix6, SymmetricEigen, Vector3, Vector6,
};

use crate::family::real::{Cause, PhysicalModel};
use crate::measurement::problem::{SHIFT, TURN};
use crate::number::gradient::Gradient;
use crate::sphere::Direction;

/// Numbers of a configuration that a drift must not go along with: both readings; cosine and
/// sine of the azimuth; the polar angle with its cosine and sine.
const FEATURES: usize = 7;
/// Parameters whose derivatives are computed together.
const LANES: usize = 8;
/// Halvings by which a least eigenvalue is found.
const HALVED: usize = 12;

/// What an order of rows mistakes a drift for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Mistaken {
    /// Greatest correlation of the row number with either reading, without sign.
    pub readings: f64,
    /// Greatest correlation of the row number with polar angle, its cosine and sine, and cosine
    /// and sine of the azimuth.
    pub directions: f64,
    /// Greatest multiple correlation of a parameter's effect with a steady drift of the tracker
    /// in any direction, the tracker's pose free, and the parameter's position; `None` where
    /// nothing is identified.
    pub parameter: Option<(usize, f64)>,
}

/// Configurations with what an order of them is judged by.
#[derive(Debug)]
pub(super) struct Judge {
    features: Vec<[f64; FEATURES]>,
    /// Positions of the parameters, without the backlash.
    plain: Vec<usize>,
    /// Their effects at each configuration, 3 by parameters, the pose's share taken out.
    effects: Vec<DMatrix<f64>>,
    /// Squares of their lengths over all rows.
    lengths: Vec<f64>,
    /// Position of each active joint's backlash if it is identified.
    backlash: [Option<usize>; 2],
    /// Effect of each joint's backlash approached upwards.
    upward: Vec<[Vector3<f64>; 2]>,
    /// Effect of the pose: translation and rotation.
    pose: Vec<Matrix3x6<f64>>,
    /// Inverse of its normal matrix over all rows.
    pose_inverse: Matrix6<f64>,
    /// Effects of parameters without the backlash and of the pose, nothing taken out, along the
    /// directions of those eigenvalues.
    raw: Vec<DMatrix<f64>>,
    /// Eigenvalues of their normal matrix, every configuration once.
    eigenvalues: DVector<f64>,
    /// Least singular value to be kept, m.
    keep: f64,
}

impl Judge {
    /// Makes configurations ready; `None` where they do not place the tracker.
    ///
    /// # Arguments
    /// - `visits`: how often each configuration is measured.
    /// - `told`: positions of the parameters looked at.
    /// - `keep`: least singular value that all of them and the pose together are to keep, m.
    pub(super) fn new(
        model: &PhysicalModel,
        readings: &[[f64; 2]],
        visits: &[usize],
        told: &[usize],
        keep: f64,
    ) -> Option<Self> {
        let joint_of = |index: usize| match model.parameters[index].cause {
            Cause::Backlash(name) => model.active_names.iter().position(|joint| *joint == name),
            _ => None,
        };
        let plain: Vec<usize> = told
            .iter()
            .copied()
            .filter(|index| joint_of(*index).is_none())
            .collect();
        let backlash = [0, 1].map(|joint| {
            told.iter()
                .copied()
                .find(|index| joint_of(*index) == Some(joint))
        });
        let values = model.nominal();
        let radius = model.sensor(readings[0], [0.0; 2], &values)?.norm();
        let mut features = Vec::new();
        let mut effects = Vec::new();
        let mut upward = Vec::new();
        let mut pose = Vec::new();
        for reading in readings {
            let place = model.sensor(*reading, [0.0; 2], &values)?;
            let direction = Direction::of(&place);
            let (sin, cos) = direction.azimuth.sin_cos();
            let polar = direction.polar;
            let [a, b] = *reading;
            features.push([a, b, cos, sin, polar, polar.cos(), polar.sin()]);
            let mut turn_and_shift = Matrix3x6::zeros();
            turn_and_shift
                .fixed_view_mut::<3, 3>(0, 0)
                .copy_from(&Matrix3::identity());
            turn_and_shift
                .fixed_view_mut::<3, 3>(0, 3)
                .copy_from(&(place.cross_matrix() / radius));
            pose.push(turn_and_shift);
            effects.push(columns(model, *reading, [0.0; 2], &values, &plain)?);
            let mut up = [Vector3::zeros(); 2];
            for (joint, up) in up.iter_mut().enumerate() {
                if let Some(index) = backlash[joint] {
                    let mut approach = [0.0; 2];
                    approach[joint] = 1.0;
                    let column = columns(model, *reading, approach, &values, &[index])?;
                    *up = Vector3::new(column[(0, 0)], column[(1, 0)], column[(2, 0)]);
                }
            }
            upward.push(up);
        }
        let raw: Vec<DMatrix<f64>> = effects
            .iter()
            .zip(&pose)
            .map(|(effects, pose)| {
                let mut raw = effects.clone().resize_horizontally(plain.len() + 6, 0.0);
                raw.columns_mut(plain.len(), 3)
                    .copy_from(&(pose.columns(0, 3) * SHIFT));
                raw.columns_mut(plain.len() + 3, 3)
                    .copy_from(&(pose.columns(3, 3) * (TURN * radius)));
                raw
            })
            .collect();
        let size = plain.len() + 6;
        let once = raw.iter().fold(DMatrix::zeros(size, size), |sum, raw| {
            sum + raw.transpose() * raw
        });
        let found = SymmetricEigen::new(once);
        let raw = raw.iter().map(|raw| raw * &found.eigenvectors).collect();
        let rows = || visits.iter().map(|visits| *visits as f64).zip(&pose);
        let normal: Matrix6<f64> = rows().map(|(n, pose)| pose.transpose() * pose * n).sum();
        let pose_inverse = normal.cholesky()?.inverse();
        let mut shares = DMatrix::zeros(6, plain.len());
        for ((n, pose), effects) in rows().zip(&effects) {
            shares += pose.transpose() * effects * n;
        }
        let shares = pose_inverse * shares;
        let mut lengths = vec![0.0; plain.len()];
        for ((n, pose), effects) in visits.iter().zip(&pose).zip(&mut effects) {
            *effects -= pose * &shares;
            for (length, column) in lengths.iter_mut().zip(effects.column_iter()) {
                *length += *n as f64 * column.norm_squared();
            }
        }
        Some(Self {
            features,
            plain,
            effects,
            lengths,
            backlash,
            upward,
            pose,
            pose_inverse,
            raw,
            eigenvalues: found.eigenvalues,
            keep,
        })
    }

    /// Least singular value of all parameters and the pose over what is to be kept of it, each
    /// configuration at its first visit but the first of all.
    ///
    /// # Theory
    /// All eigenvalues of a matrix exceed a number if, that number taken off its diagonal, one
    /// block is positive definite and its Schur complement too. The block of all parameters but
    /// the backlash is the same in every order, so that it is solved once; the complement is
    /// 2×2. The number is found by halving.
    pub(super) fn kept(&self, order: &[usize], approaches: &[[f64; 2]]) -> f64 {
        let mut known = vec![false; self.raw.len()];
        let mut own = Matrix2::<f64>::zeros();
        let mut shared = [0, 1].map(|_| DVector::zeros(self.eigenvalues.len()));
        // The first row is reached from neither side; its configuration is come back to.
        for (stop, approach) in order.iter().zip(approaches).skip(1) {
            if std::mem::replace(&mut known[*stop], true) {
                continue;
            }
            let effect = [0, 1].map(|joint| self.upward[*stop][joint] * approach[joint]);
            for joint in 0..2 {
                shared[joint].gemv_tr(1.0, &self.raw[*stop], &effect[joint], 1.0);
                for other in 0..2 {
                    own[(joint, other)] += effect[joint].dot(&effect[other]);
                }
            }
        }
        let exceed = |number: f64| {
            let mut left = own;
            for (place, eigenvalue) in self.eigenvalues.iter().enumerate() {
                let at = [shared[0][place], shared[1][place]];
                for joint in 0..2 {
                    for other in 0..2 {
                        left[(joint, other)] -= at[joint] * at[other] / (eigenvalue - number);
                    }
                }
            }
            let sound = |joint: usize| left[(joint, joint)] > number;
            match self.backlash.map(|one| one.is_some()) {
                [false, false] => true,
                [true, false] => sound(0),
                [false, true] => sound(1),
                [true, true] => {
                    let across = left[(0, 1)];
                    let (a, b) = (left[(0, 0)] - number, left[(1, 1)] - number);
                    sound(0) && a * b > across * across
                }
            }
        };
        let (mut under, mut over) = (0.0, self.eigenvalues.min().max(0.0));
        for _ in 0..HALVED {
            let middle = 0.5 * (under + over);
            if exceed(middle) {
                under = middle;
            } else {
                over = middle;
            }
        }
        under.sqrt() / self.keep
    }

    /// What an order mistakes a drift for.
    ///
    /// # Arguments
    /// - `order`: configurations in the order of the rows.
    /// - `approaches`: from which side each row's readings were reached.
    pub(super) fn mistaken(&self, order: &[usize], approaches: &[[f64; 2]]) -> Mistaken {
        let features = self.correlations(order);
        let greatest = |some: &[f64]| some.iter().copied().fold(0.0, f64::max);
        Mistaken {
            readings: greatest(&features[..2]),
            directions: greatest(&features[2..]),
            parameter: self
                .looks(order, approaches)
                .into_iter()
                .max_by(|a, b| a.1.total_cmp(&b.1)),
        }
    }

    /// Correlations of the row number with each feature, without sign; 0 with what stays the
    /// same.
    pub(super) fn correlations(&self, order: &[usize]) -> [f64; FEATURES] {
        let count = order.len() as f64;
        let (mut sums, mut squares) = ([0.0; FEATURES], [0.0; FEATURES]);
        let (mut along, mut times) = ([0.0; FEATURES], 0.0);
        for (row, stop) in order.iter().enumerate() {
            let time = time(row, order.len());
            times += time * time;
            for (k, value) in self.features[*stop].iter().enumerate() {
                sums[k] += value;
                squares[k] += value * value;
                along[k] += time * value;
            }
        }
        std::array::from_fn(|k| {
            let spread = squares[k] - sums[k] * sums[k] / count;
            // Angles that differ by rounding alone stay the same.
            if spread <= 1e-12 * count.max(squares[k]) {
                return 0.0;
            }
            (along[k] / (spread * times).sqrt()).abs()
        })
    }

    /// Multiple correlation of each parameter's effect with a steady drift in any direction.
    ///
    /// # Theory
    /// Both with the share of the pose taken out: R² = dᵀ M⁻¹ d / |c|², where M is the normal
    /// matrix of drifts along the three axes, c the effect and d its products with them.
    pub(super) fn looks(&self, order: &[usize], approaches: &[[f64; 2]]) -> Vec<(usize, f64)> {
        let mut products = vec![Vector3::zeros(); self.plain.len()];
        let mut of_pose = Matrix3x6::zeros();
        let mut times = 0.0;
        let mut back_products = [Vector3::zeros(); 2];
        let mut back_pose = [Vector6::zeros(); 2];
        let mut back_lengths = [0.0; 2];
        for (row, stop) in order.iter().enumerate() {
            let time = time(row, order.len());
            times += time * time;
            let pose = &self.pose[*stop];
            of_pose += pose * time;
            let effects = &self.effects[*stop];
            for (product, column) in products.iter_mut().zip(effects.column_iter()) {
                *product += Vector3::new(column[0], column[1], column[2]) * time;
            }
            for joint in 0..2 {
                let effect = self.upward[*stop][joint] * approaches[row][joint];
                back_products[joint] += effect * time;
                back_pose[joint] += pose.transpose() * effect;
                back_lengths[joint] += effect.norm_squared();
            }
        }
        let normal =
            Matrix3::identity() * times - of_pose * self.pose_inverse * of_pose.transpose();
        let Some(inverse) = normal.try_inverse() else {
            return Vec::new();
        };
        let correlation = |product: &Vector3<f64>, length: f64| {
            let square = product.dot(&(inverse * product)) / length;
            if square.is_finite() {
                square.max(0.0).sqrt().min(1.0)
            } else {
                0.0
            }
        };
        let mut found: Vec<(usize, f64)> = self
            .plain
            .iter()
            .zip(products.iter().zip(&self.lengths))
            .map(|(index, (product, length))| (*index, correlation(product, *length)))
            .collect();
        for joint in 0..2 {
            let Some(index) = self.backlash[joint] else {
                continue;
            };
            let share = self.pose_inverse * back_pose[joint];
            let product = back_products[joint] - of_pose * share;
            let length = back_lengths[joint] - back_pose[joint].dot(&share);
            found.push((index, correlation(&product, length)));
        }
        found
    }
}

/// Row number from the middle of the campaign, in parts of it.
fn time(row: usize, count: usize) -> f64 {
    (row as f64 - 0.5 * (count as f64 - 1.0)) / count as f64
}

/// Derivatives of the sensor's place by parameters in typical sizes, 3 by parameters.
fn columns(
    model: &PhysicalModel,
    readings: [f64; 2],
    approach: [f64; 2],
    values: &[f64],
    of: &[usize],
) -> Option<DMatrix<f64>> {
    let mut found = DMatrix::zeros(3, of.len());
    for (chunk, some) in of.chunks(LANES).enumerate() {
        let place: [Gradient<LANES>; 3] =
            model.sensor_with_gradient(readings, approach, values, some)?;
        for (lane, index) in some.iter().enumerate() {
            for (axis, component) in place.iter().enumerate() {
                found[(axis, chunk * LANES + lane)] =
                    component.by[lane] * model.parameters[*index].typical;
            }
        }
    }
    Some(found)
}
