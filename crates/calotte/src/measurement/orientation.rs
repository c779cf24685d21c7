//! Measured orientations against the linkage's: a witness of the fit of points, in which
//! they take no part.
//!
//! Derived in `docs/theory/measurement.md`.

use nalgebra::{Matrix3, Rotation3, Vector3};
use thiserror::Error;

use super::data::Points;
use super::fit::{PointFit, approaches};
use super::statistics::ResidualStatistics;
use crate::family::real::PhysicalModel;
use crate::number::shown::degrees;

use mean::{ROUNDING, angles, median, robust_mean, rotation_vector, weights_of};

mod mean;

pub use mean::chordal_mean;

/// Rows a comparison needs.
const ROWS_MIN: usize = 3;
/// Turn of the tool's frame below which all rows count as one orientation, rad: 1°.
const ALIKE: f64 = std::f64::consts::PI / 180.0;
/// Standard errors that make a difference between before and after one that counts.
const COUNTS: f64 = 3.0;
/// How much better inverse orientations must go with the linkage, and what the given ones
/// must miss at least, rad, to be called inverse.
const INVERSE: f64 = 10.0;
const INVERSE_MIN: f64 = 0.02;

/// What orientations say of a fit of points.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Witness {
    /// The fit made them agree better.
    Better,
    /// No difference beyond three standard errors.
    Same,
    /// The fit made them agree worse: it explains the points by what the linkage is not.
    Worse,
}

/// How orientations agree with the linkage, for one set of its values.
#[derive(Debug, Clone, PartialEq)]
pub struct OrientationAgreement {
    /// The sensor on the tool: turns directions of the sensor's frame into the tool's frame
    /// (x along, y across, z radial).
    pub sensor: Rotation3<f64>,
    /// Rotation vector of what is measured beyond what is predicted, each row compared, in
    /// the tool's frame at that row (along, across, radial), rad.
    pub residuals: Vec<Vector3<f64>>,
    /// Angles of the rows that are not off, rad.
    pub angle: ResidualStatistics,
    /// Of these the part about the tool direction (the radial component, its size), rad.
    pub roll: ResidualStatistics,
    /// Of these the part that tilts the tool direction (the other two components), rad.
    /// Squares of roll and direction add to those of the angle.
    pub direction: ResidualStatistics,
}

/// Measured orientations compared with the linkage before and after a fit of points.
#[derive(Debug, Clone, PartialEq)]
pub struct Orientations {
    /// Numbers of the rows compared: used by the fit and measured with an orientation.
    pub rows: Vec<usize>,
    /// Numbers of those that are plainly off after the fit: beyond six deviations of roll or
    /// of direction (by medians). They count in no mean and no statistics, before or after.
    pub off: Vec<usize>,
    /// With the design's values.
    pub before: OrientationAgreement,
    /// With the fitted values.
    pub after: OrientationAgreement,
    /// Standard deviation of a component of the residuals after the fit (root mean square of
    /// the three), rad.
    pub deviation: f64,
    /// Standard error of `after.sensor` about an axis by that deviation, rad. Errors of the
    /// fitted values come on top: an offset of the sensor badly told beside a zero turns it.
    pub sensor_standard_error: f64,
    /// Greatest turn of the tool's frame between the first row compared and another, rad.
    pub turn: f64,
    /// Whether the fit made the orientations agree better.
    pub witness: Witness,
}

/// Orientations that bear no witness.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum OrientationError {
    /// Too few rows; 0 if no orientation was measured.
    #[error(
        "{0} rows that the fit uses have an orientation; 3 or more are required to compare them"
    )]
    TooFew(usize),
    /// An orientation that is no number.
    #[error("an orientation is no finite rotation; give unit quaternions")]
    NotFinite,
    /// The tool hardly turns: the sensor's unknown rotation takes up whatever is wrong.
    #[error(
        "over all {rows} rows with an orientation the tool turns by {} only: how the sensor sits on it is found, but nothing is left to judge the linkage by; measure orientations far apart",
        degrees(.turn)
    )]
    Alike {
        /// Rows compared.
        rows: usize,
        /// Greatest turn of the tool's frame, rad.
        turn: f64,
        /// The sensor on the tool by the fitted values, as in [`OrientationAgreement`].
        sensor: Rotation3<f64>,
    },
    /// The inverse rotations go with the linkage, those given do not.
    #[error(
        "orientations miss the linkage by {} (median), their inverses by {}: they turn the tracker's frame into the sensor's; turn them over (change the signs of qx, qy, qz)",
        degrees(.given), degrees(.inverse)
    )]
    Inverse {
        /// Median of the residual angles, rad.
        given: f64,
        /// The same of the inverse rotations, rad.
        inverse: f64,
    },
}

/// Rotation of the tool's frame at readings: its columns are the axes along, across and
/// radial, base frame; `None` where the bars do not close.
///
/// # Arguments
/// As [`PhysicalModel::sensor`].
///
/// # Theory
/// The sensor's place is linear in its radius and its offsets along and across, and their
/// derivatives are the axes themselves, exact to rounding.
pub fn tool_frame(
    model: &PhysicalModel,
    readings: [f64; 2],
    approach: [f64; 2],
    values: &[f64],
) -> Option<Rotation3<f64>> {
    let [along, across] = model.sensor_offsets();
    let axes = [along, across, model.sensor_radius()];
    let place = model.sensor_with_gradient::<3>(readings, approach, values, &axes)?;
    let frame = Matrix3::from_fn(|axis, column| place[axis].by[column]);
    Some(Rotation3::from_matrix_unchecked(frame))
}

/// Compares measured orientations with the linkage before and after a fit of points.
///
/// # Arguments
/// - `points`, `fit`: the points fitted and their fit by `model`.
///
/// # Errors
/// [`OrientationError`] where there are none, or where they can say nothing.
pub fn compare_orientations(
    model: &PhysicalModel,
    points: &Points,
    fit: &PointFit,
) -> Result<Orientations, OrientationError> {
    let approach = approaches(&points.rows);
    let nominal = model.nominal();
    let (mut rows, mut frames) = (Vec::new(), Vec::new());
    let (mut before, mut after, mut inverse) = (Vec::new(), Vec::new(), Vec::new());
    for place in &fit.used {
        let Some(row) = points.rows.get(*place) else {
            continue;
        };
        let Some(measured) = row.orientation else {
            continue;
        };
        let measured = measured.to_rotation_matrix();
        let frame_of = |values: &[f64]| tool_frame(model, row.readings, approach[*place], values);
        // Rows used close with both.
        let (Some(designed), Some(fitted)) = (frame_of(&nominal), frame_of(&fit.values)) else {
            continue;
        };
        let designed = fit.pose_before.rotation * designed.matrix();
        let predicted = fit.pose.rotation * fitted.matrix();
        let seen_from =
            |frame: &Matrix3<f64>| Rotation3::from_matrix_unchecked(frame.transpose()) * measured;
        before.push(seen_from(&designed));
        after.push(seen_from(&predicted));
        inverse.push(Rotation3::from_matrix_unchecked(predicted.transpose()) * measured.inverse());
        frames.push(fitted);
        rows.push(row.row);
    }
    if rows.len() < ROWS_MIN {
        return Err(OrientationError::TooFew(rows.len()));
    }
    let lost = OrientationError::NotFinite;
    let (sensor, good) = robust_mean(&after).ok_or(lost.clone())?;
    let turn = frames
        .iter()
        .map(|frame| rotation_vector(&(frames[0].inverse() * frame)).norm())
        .fold(0.0, f64::max);
    if turn < ALIKE {
        return Err(OrientationError::Alike {
            rows: rows.len(),
            turn,
            sensor,
        });
    }
    let given = median(&angles(&after, &sensor));
    let other = robust_mean(&inverse).ok_or(lost.clone())?.0;
    let other = median(&angles(&inverse, &other));
    if given > INVERSE_MIN && given > INVERSE * other {
        return Err(OrientationError::Inverse {
            given,
            inverse: other,
        });
    }
    let before = agreement(&before, &good).ok_or(lost.clone())?;
    let after = agreement(&after, &good).ok_or(lost)?;
    let counted = after.angle.count as f64;
    // The sensor's rotation takes three of the components.
    let deviation = after.angle.rms * (counted / (3.0 * (counted - 1.0).max(1.0))).sqrt();
    Ok(Orientations {
        off: of_good(&rows, &good, false).copied().collect(),
        witness: witness(&before, &after, &good),
        rows,
        before,
        after,
        deviation,
        sensor_standard_error: deviation / counted.sqrt(),
        turn,
    })
}

fn agreement(rotations: &[Rotation3<f64>], good: &[bool]) -> Option<OrientationAgreement> {
    let sensor = chordal_mean(rotations, &weights_of(good))?;
    let residuals: Vec<Vector3<f64>> = rotations
        .iter()
        .map(|rotation| rotation_vector(&(rotation * sensor.inverse())))
        .collect();
    let statistics = |share: [f64; 3]| {
        let parts: Vec<Vector3<f64>> = of_good(&residuals, good, true)
            .map(|residual| residual.component_mul(&Vector3::from(share)))
            .collect();
        ResidualStatistics::of(&parts)
    };
    Some(OrientationAgreement {
        sensor,
        angle: statistics([1.0, 1.0, 1.0]),
        roll: statistics([0.0, 0.0, 1.0]),
        direction: statistics([1.0, 1.0, 0.0]),
        residuals,
    })
}

/// Paired row by row: the mean difference of squares over its standard error.
fn witness(before: &OrientationAgreement, after: &OrientationAgreement, good: &[bool]) -> Witness {
    let pairs: Vec<(Vector3<f64>, Vector3<f64>)> = before
        .residuals
        .iter()
        .copied()
        .zip(after.residuals.iter().copied())
        .collect();
    let gains: Vec<f64> = of_good(&pairs, good, true)
        .map(|(before, after)| before.norm_squared() - after.norm_squared())
        .collect();
    let count = gains.len() as f64;
    let mean = gains.iter().sum::<f64>() / count;
    let square: f64 = gains.iter().map(|gain| (gain - mean).powi(2)).sum();
    let error = (square / ((count - 1.0).max(1.0) * count)).sqrt();
    let rounding = (before.angle.rms - after.angle.rms).abs() <= ROUNDING;
    if rounding || mean.abs() <= COUNTS * error {
        Witness::Same
    } else if mean > 0.0 {
        Witness::Better
    } else {
        Witness::Worse
    }
}

fn of_good<'l, T>(list: &'l [T], good: &'l [bool], wanted: bool) -> impl Iterator<Item = &'l T> {
    list.iter()
        .zip(good)
        .filter(move |(_, good)| **good == wanted)
        .map(|(item, _)| item)
}
