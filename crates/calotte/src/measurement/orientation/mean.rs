//! Means of rotations: the nearest to all, and the nearest to those that are not off.

use nalgebra::{Matrix3, Rotation3, UnitQuaternion, Vector3};

/// Roll or tilt over its deviation beyond which a row is called off: 1 of 60 million good
/// rows.
const OFF: f64 = 6.0;
/// Median of the length of one, two and three normal components of deviation 1.
const MEDIAN_OF_ONE: f64 = 0.674_489_8;
const MEDIAN_OF_TWO: f64 = 1.177_410_0;
const MEDIAN_OF_THREE: f64 = 1.538_172_3;
/// Angle below which residuals are rounding, rad.
pub(super) const ROUNDING: f64 = 1e-9;
/// Rounds in which rows are weighed anew.
const ROUNDS: usize = 40;

/// The rotation nearest to all of some, each with a weight; `None` for numbers that are not
/// finite or an empty list.
///
/// # Theory
/// Least sum of squared chordal distances |R − R_i| (Frobenius): M = Σ w_i R_i = U S Vᵀ,
/// R = U diag(1, 1, det UVᵀ) Vᵀ (Moakher 2002, "Means and averaging in the group of
/// rotations", arithmetic mean; from memory).
pub fn chordal_mean(rotations: &[Rotation3<f64>], weights: &[f64]) -> Option<Rotation3<f64>> {
    let mut sum = Matrix3::zeros();
    for (rotation, weight) in rotations.iter().zip(weights) {
        sum += rotation.matrix() * *weight;
    }
    if rotations.is_empty() || !sum.iter().all(|c| c.is_finite()) {
        return None;
    }
    // Singular values come in descending order: the last one gives way.
    let svd = sum.svd(true, true);
    let (u, v_t) = (svd.u?, svd.v_t?);
    let last = (u * v_t).determinant().signum();
    let mean = u * Matrix3::from_diagonal(&Vector3::new(1.0, 1.0, last)) * v_t;
    Some(Rotation3::from_matrix_unchecked(mean))
}

/// The mean without the rows that are plainly off, and which rows are not; z is the axis of
/// roll.
pub(super) fn robust_mean(rotations: &[Rotation3<f64>]) -> Option<(Rotation3<f64>, Vec<bool>)> {
    let mut mean = chordal_mean(rotations, &vec![1.0; rotations.len()])?;
    for _ in 0..ROUNDS {
        let angles = angles(rotations, &mean);
        let scale = (median(&angles) / MEDIAN_OF_THREE).max(ROUNDING);
        // Weights 1/√(1 + (r/s)²): the sum of the angles themselves, nearly.
        let weights: Vec<f64> = angles
            .iter()
            .map(|angle| 1.0 / (1.0 + (angle / scale).powi(2)).sqrt())
            .collect();
        mean = chordal_mean(rotations, &weights)?;
    }
    let mut good = Vec::new();
    for _ in 0..ROUNDS {
        // Trackers often tell roll and tilt unequally well: each by its own deviation.
        let (rolls, tilts): (Vec<f64>, Vec<f64>) = rotations
            .iter()
            .map(|rotation| rotation_vector(&(rotation * mean.inverse())))
            .map(|residual| (residual.z.abs(), residual.x.hypot(residual.y)))
            .unzip();
        let roll_max = OFF * (median(&rolls) / MEDIAN_OF_ONE).max(ROUNDING);
        let tilt_max = OFF * (median(&tilts) / MEDIAN_OF_TWO).max(ROUNDING);
        let now: Vec<bool> = rolls
            .iter()
            .zip(&tilts)
            .map(|(roll, tilt)| *roll <= roll_max && *tilt <= tilt_max)
            .collect();
        if now == good {
            break;
        }
        mean = chordal_mean(rotations, &weights_of(&now))?;
        good = now;
    }
    Some((mean, good))
}

pub(super) fn weights_of(good: &[bool]) -> Vec<f64> {
    good.iter().map(|good| f64::from(u8::from(*good))).collect()
}

/// By the quaternion: the angle from a trace has half the digits only.
pub(super) fn rotation_vector(rotation: &Rotation3<f64>) -> Vector3<f64> {
    UnitQuaternion::from_rotation_matrix(rotation).scaled_axis()
}

pub(super) fn angles(rotations: &[Rotation3<f64>], mean: &Rotation3<f64>) -> Vec<f64> {
    rotations
        .iter()
        .map(|rotation| rotation_vector(&(rotation * mean.inverse())).norm())
        .collect()
}

/// Median; of an even number the greater of the middle two. Zero for an empty list.
pub(super) fn median(values: &[f64]) -> f64 {
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    sorted.get(sorted.len() / 2).copied().unwrap_or(0.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn rotation(x: f64, y: f64, z: f64) -> Rotation3<f64> {
        Rotation3::new(Vector3::new(x, y, z))
    }

    /// Far apart, weighted and not, against scipy 1.17.1 (`Rotation.mean`), which takes the
    /// greatest eigenvector of the summed squares of quaternions: another route to the same
    /// mean.
    #[test]
    fn the_mean_is_that_of_a_library() {
        let all = [
            rotation(0.3, -0.2, 0.5),
            rotation(0.9, 0.1, -0.4),
            rotation(-0.2, 0.7, 1.1),
            rotation(2.0, -1.0, 0.3),
        ];
        let weighted = Matrix3::new(
            0.976_733_831_949_101_2,
            -0.170_826_502_214_778_4,
            -0.129_650_791_232_022_42,
            -0.025_615_708_304_823_084,
            0.507_298_855_085_402_5,
            -0.861_389_405_041_112_7,
            0.212_919_837_060_963_8,
            0.844_669_271_235_851_3,
            0.491_120_112_819_49,
        );
        let plain = Matrix3::new(
            0.928_099_249_805_561_1,
            -0.363_459_734_883_596_73,
            0.080_801_012_547_491_82,
            0.321_638_469_771_214_7,
            0.673_307_628_765_589_6,
            -0.665_736_833_748_358_9,
            0.187_564_594_936_213_3,
            0.643_858_570_001_521_6,
            0.741_798_938_097_116_5,
        );
        for (weights, wanted) in [([1.0, 2.0, 0.5, 1.5], weighted), ([1.0; 4], plain)] {
            let found = chordal_mean(&all, &weights).unwrap();
            assert!((found.matrix() - wanted).norm() < 1e-13);
        }
    }

    /// A third of the rows far off, all to one side: the plain mean goes with them, the
    /// robust one names them and is the mean of the rest.
    #[test]
    fn rows_off_are_left_out_of_the_mean() {
        let truth = rotation(1.0, -2.0, 0.5);
        let mut all: Vec<Rotation3<f64>> = (0..20)
            .map(|i| {
                let turn = 1e-3 * f64::from(i);
                rotation(turn.sin() * 1e-3, (7.0 * turn).cos() * 1e-3, 1e-3) * truth
            })
            .collect();
        let wanted = chordal_mean(&all, &[1.0; 20]).unwrap();
        all.extend((0..10).map(|i| rotation(0.5 + 0.1 * f64::from(i), 0.2, 0.0) * truth));
        let plain = chordal_mean(&all, &[1.0; 30]).unwrap();
        assert!(rotation_vector(&(plain * wanted.inverse())).norm() > 0.1);
        let (found, good) = robust_mean(&all).unwrap();
        assert!(rotation_vector(&(found * wanted.inverse())).norm() < 1e-12);
        assert_eq!(good.iter().position(|good| !good), Some(20));
        assert!(good[20..].iter().all(|good| !good));
    }

    #[test]
    fn what_has_no_mean_gives_none() {
        assert_eq!(chordal_mean(&[], &[]), None);
        let bad = Rotation3::from_matrix_unchecked(Matrix3::repeat(f64::NAN));
        assert_eq!(
            chordal_mean(&[bad, rotation(0.1, 0.0, 0.0)], &[1.0; 2]),
            None
        );
    }
}
