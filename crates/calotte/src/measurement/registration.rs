//! One set of points laid onto another: rotation and translation of least squared distances.

use nalgebra::{Matrix3, Matrix4, Quaternion, UnitQuaternion, Vector3};
use thiserror::Error;

/// A rigid motion that lays points onto others.
#[derive(Debug, Clone, PartialEq)]
pub struct Registration {
    /// Rotation, never a reflection.
    pub rotation: Matrix3<f64>,
    /// Translation, m.
    pub translation: Vector3<f64>,
}

/// Points that determine no rigid motion.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum RegistrationError {
    /// Two lists of different length.
    #[error("{0} points cannot be laid onto {1}")]
    Unequal(usize, usize),
    /// Too few.
    #[error("{0} points determine no rotation; 3 or more that do not lie in one line do")]
    TooFew(usize),
    /// All in one line, mirrored so that no rotation is best, or not finite.
    #[error(
        "the points lie in one line, are a mirror image of those they are laid onto, or are no finite numbers: no rotation is determined"
    )]
    OneLine,
}

impl Registration {
    /// Nothing is moved.
    pub fn identity() -> Self {
        Self {
            rotation: Matrix3::identity(),
            translation: Vector3::zeros(),
        }
    }

    /// A point laid onto the others.
    pub fn of(&self, point: &Vector3<f64>) -> Vector3<f64> {
        self.rotation * point + self.translation
    }
}

/// Relative size below which a spread counts as none.
const FLAT: f64 = 1e-12;

/// Rotation and translation that lay `from` onto `to`, row by row, each row with a weight.
///
/// # Errors
/// [`RegistrationError`] for lists that do not go together or determine no rotation.
///
/// # Theory
/// The unit quaternion of the rotation is the eigenvector of the greatest eigenvalue of a
/// symmetric 4 × 4 matrix of the covariance's entries (Horn 1987; from memory): always a
/// rotation, and for points nearly in one line as exact as the covariance itself, where a
/// singular value decomposition by its square is not.
pub fn register(
    from: &[Vector3<f64>],
    to: &[Vector3<f64>],
    weights: &[f64],
) -> Result<Registration, RegistrationError> {
    if from.len() != to.len() || from.len() != weights.len() {
        return Err(RegistrationError::Unequal(from.len(), to.len()));
    }
    let used = weights.iter().filter(|w| **w > 0.0).count();
    if used < 3 {
        return Err(RegistrationError::TooFew(used));
    }
    let total: f64 = weights.iter().sum();
    let middle = |points: &[Vector3<f64>]| {
        let sum: Vector3<f64> = points.iter().zip(weights).map(|(p, w)| p * *w).sum();
        sum / total
    };
    let (from_middle, to_middle) = (middle(from), middle(to));
    let mut covariance = Matrix3::zeros();
    for ((p, q), w) in from.iter().zip(to).zip(weights) {
        covariance += (q - to_middle) * (p - from_middle).transpose() * *w;
    }
    if !covariance.iter().all(|c| c.is_finite()) {
        return Err(RegistrationError::OneLine);
    }
    let c = &covariance;
    let turn = Vector3::new(
        c[(2, 1)] - c[(1, 2)],
        c[(0, 2)] - c[(2, 0)],
        c[(1, 0)] - c[(0, 1)],
    );
    let mut matrix = Matrix4::zeros();
    matrix[(0, 0)] = c.trace();
    matrix.fixed_view_mut::<3, 1>(1, 0).copy_from(&turn);
    matrix
        .fixed_view_mut::<1, 3>(0, 1)
        .copy_from(&turn.transpose());
    let rest = c + c.transpose() - Matrix3::identity() * c.trace();
    matrix.fixed_view_mut::<3, 3>(1, 1).copy_from(&rest);
    let eigen = matrix.symmetric_eigen();
    let mut order = [0, 1, 2, 3];
    order.sort_by(|a, b| eigen.eigenvalues[*b].total_cmp(&eigen.eigenvalues[*a]));
    let [first, second] = [order[0], order[1]].map(|i| eigen.eigenvalues[i]);
    if first - second <= FLAT * first {
        return Err(RegistrationError::OneLine);
    }
    let q = eigen.eigenvectors.column(order[0]);
    let q = UnitQuaternion::from_quaternion(Quaternion::new(q[0], q[1], q[2], q[3]));
    let rotation = q.to_rotation_matrix().into_inner();
    Ok(Registration {
        rotation,
        translation: to_middle - rotation * from_middle,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use nalgebra::Rotation3;

    /// R01: three points of a plane and their mirror image; the published result is the
    /// planar rotation with scale. In space the mirrored set can be turned over: exact.
    #[test]
    fn a_mirrored_triangle_is_turned_over_and_a_mirrored_body_is_not() {
        let from = [[0., 0., 0.], [1., 0., 0.], [0., 2., 0.]].map(Vector3::from);
        let to = [[0., 0., 0.], [-1., 0., 0.], [0., 2., 0.]].map(Vector3::from);
        let found = register(&from, &to, &[1.0; 3]).unwrap();
        assert!((found.rotation.determinant() - 1.0).abs() < 1e-12);
        for (p, q) in from.iter().zip(&to) {
            assert!((found.of(p) - q).norm() < 1e-12);
        }
        let body: Vec<Vector3<f64>> = [[0., 0., 0.], [1., 0., 0.], [0., 2., 0.], [0., 0., 3.]]
            .map(Vector3::from)
            .to_vec();
        let mirrored: Vec<Vector3<f64>> =
            body.iter().map(|p| Vector3::new(-p.x, p.y, p.z)).collect();
        let found = register(&body, &mirrored, &[1.0; 4]).unwrap();
        assert!((found.rotation.determinant() - 1.0).abs() < 1e-12);
        let worst = body
            .iter()
            .zip(&mirrored)
            .map(|(p, q)| (found.of(p) - q).norm())
            .fold(0.0, f64::max);
        assert!(worst > 0.1);
    }

    /// R03 of a published set of checks (derived, 60 digits).
    #[test]
    fn five_points_with_known_noise() {
        let from = [
            [0., 0., 0.],
            [100., 0., 0.],
            [0., 150., 0.],
            [0., 0., 80.],
            [60., 70., 50.],
        ]
        .map(Vector3::from);
        let noise = [
            [0.1, -0.05, 0.02],
            [-0.08, 0.04, 0.],
            [0.03, 0.07, -0.06],
            [-0.02, -0.09, 0.05],
            [-0.03, 0.03, -0.01],
        ]
        .map(Vector3::from);
        let turn = Rotation3::new(Vector3::new(0.1, -0.2, 0.3));
        let shift = Vector3::new(12.5, -7.25, 300.0);
        let to: Vec<Vector3<f64>> = from
            .iter()
            .zip(&noise)
            .map(|(p, n)| turn * p + shift + n)
            .collect();
        let found = register(&from, &to, &[1.0; 5]).unwrap();
        let rows = [
            [0.935_639_668_151, -0.303_081_193_852, -0.180_887_261_34],
            [0.283_333_544_707, 0.950_556_629_242, -0.127_138_495_54],
            [0.210_476_872_425, 0.067_704_390_829, 0.975_251_558_131],
        ];
        for (i, row) in rows.iter().enumerate() {
            for (j, wanted) in row.iter().enumerate() {
                assert!((found.rotation[(i, j)] - wanted).abs() < 1e-11);
            }
        }
        let wanted = Vector3::new(12.519_244_264_621, -7.259_437_255_134, 300.006_266_919_569);
        assert!((found.translation - wanted).norm() < 1e-10);
        let square: f64 = from
            .iter()
            .zip(&to)
            .map(|(p, q)| (found.of(p) - q).norm_squared())
            .sum();
        assert!(((square / 5.0).sqrt() - 0.088_238_196_712_74).abs() < 1e-12);
    }

    /// Points of a rod a thousand to a hundred thousand times as long as wide, moved exactly:
    /// the rotation moved by comes back.
    #[test]
    fn points_nearly_in_one_line_keep_their_second_direction() {
        let turn = Rotation3::new(Vector3::new(0.7, -1.1, 2.0));
        for width in [1e-3, 1e-4, 1e-5] {
            let from: Vec<Vector3<f64>> = (0..12)
                .map(|i| {
                    let at = f64::from(i);
                    let across = Vector3::new(0.0, at.cos(), (2.0 * at).sin()) * width;
                    Rotation3::new(Vector3::new(1.0, 0.5, -0.2))
                        * (Vector3::x() * (0.1 * at) + across)
                })
                .collect();
            let to: Vec<Vector3<f64>> = from.iter().map(|p| turn * p).collect();
            let found = register(&from, &to, &[1.0; 12]).unwrap();
            let off = (found.rotation - turn.matrix()).norm();
            assert!(off < 1e-15 / (width * width), "{width}: {off}");
        }
    }

    #[test]
    fn what_determines_no_motion_is_an_error() {
        let line = [[0., 0., 0.], [1., 0., 0.], [2., 0., 0.]].map(Vector3::from);
        assert_eq!(
            register(&line, &line, &[1.0; 3]),
            Err(RegistrationError::OneLine)
        );
        assert_eq!(
            register(&line[..2], &line[..2], &[1.0; 2]),
            Err(RegistrationError::TooFew(2))
        );
        assert_eq!(
            register(&line, &line[..2], &[1.0; 3]),
            Err(RegistrationError::Unequal(3, 2))
        );
        let bad = [[f64::NAN, 0., 0.], [1., 0., 0.], [0., 1., 0.]].map(Vector3::from);
        assert!(register(&bad, &bad, &[1.0; 3]).is_err());
    }
}
