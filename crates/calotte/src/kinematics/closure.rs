//! Loop closure of any bodies and joints by Newton's method.
//!
//! Unknown is one rotation per moving body. A joint asks that its two
//! directions coincide: with u the axis, (1 − uuᵀ)(ω_b − ω_a) = u_b × u_a, two
//! rows on orthonormal tangents. A driven joint adds its angle, a follower the
//! mean of two angles. The linear system of a linkage with two freedoms is
//! square; its least singular value vanishes at a type 2 singularity.

use nalgebra::{DVector, Rotation3, Vector3};
use thiserror::Error;

use crate::linkage::constraints::{locked_matrix, tangents};
use crate::linkage::{Configuration, Follower, Linkage};
use crate::sphere::direction::wrap_signed;

/// A configuration found, and how well.
#[derive(Debug, Clone, PartialEq)]
pub struct ClosureSolution {
    /// The configuration.
    pub configuration: Configuration,
    /// Norm of all closure residuals, rad.
    pub residual: f64,
    /// Newton steps of the last continuation piece.
    pub iterations: usize,
    /// Least singular value of the drive-locked constraint matrix, 1; zero at a
    /// type 2 singularity.
    pub minimum_singular_value: f64,
    /// Estimated turn of the drives to the nearest type 2 singularity, rad:
    /// least singular value over the norm of its gradient; `None` if it does not change.
    pub singularity_distance: Option<f64>,
}

/// Why no configuration was found.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum ClosureError {
    /// Newton's method did not come down to the tolerance.
    #[error(
        "closure stopped after {iterations} steps with residual {residual:.1e} rad (tolerance {tolerance:.0e} rad); try a start nearer to the target or smaller continuation steps"
    )]
    NotConverged {
        /// Steps taken.
        iterations: usize,
        /// Residual left, rad.
        residual: f64,
        /// Residual wanted, rad.
        tolerance: f64,
        /// Best configuration met.
        best: Box<Configuration>,
    },
    /// The system is singular: another freedom or a type 2 singularity.
    #[error(
        "the drive-locked constraints are singular (minimum singular value {least:.1e}): the linkage can move with its drives held"
    )]
    Singular {
        /// Least singular value.
        least: f64,
    },
}

const TOLERANCE: f64 = 1e-13;
const ITERATIONS_MAX: usize = 30;

/// Solves for the configuration at given active joint angles, rad, starting from one nearby.
///
/// # Errors
/// [`ClosureError`] with the best iterate.
pub fn close(
    linkage: &Linkage,
    start: &Configuration,
    active: [f64; 2],
) -> Result<ClosureSolution, ClosureError> {
    let (configuration, residual, iterations) = newton(linkage, start, active)?;
    let least = locked_least_singular_value(linkage, &configuration);
    let distance = singularity_distance(linkage, &configuration, active, least);
    Ok(ClosureSolution {
        configuration,
        residual,
        iterations,
        minimum_singular_value: least,
        singularity_distance: distance,
    })
}

/// Goes from one configuration to another set of active joint angles in steps
/// that are halved where Newton fails; rad.
///
/// # Errors
/// [`ClosureError`] of the step that could not be taken.
pub fn close_by_continuation(
    linkage: &Linkage,
    start: &Configuration,
    start_active: [f64; 2],
    target: [f64; 2],
) -> Result<ClosureSolution, ClosureError> {
    let distance = (target[0] - start_active[0])
        .abs()
        .max((target[1] - start_active[1]).abs());
    let mut step = 1.0 / (distance / 0.1).ceil().max(1.0);
    let mut reached = 0.0;
    let mut configuration = start.clone();
    let at = |t: f64| {
        [
            start_active[0] + t * (target[0] - start_active[0]),
            start_active[1] + t * (target[1] - start_active[1]),
        ]
    };
    while reached < 1.0 {
        let next = (reached + step).min(1.0);
        match newton(linkage, &configuration, at(next)) {
            Ok((found, _, _)) => {
                configuration = found;
                reached = next;
            }
            Err(error) => {
                step *= 0.5;
                if step < 1e-6 {
                    return Err(error);
                }
            }
        }
    }
    close(linkage, &configuration, target)
}

/// The configuration at given active joint angles, rad, from one nearby, without a word on
/// singularities.
///
/// # Errors
/// As [`close`].
pub(super) fn closed(
    linkage: &Linkage,
    start: &Configuration,
    active: [f64; 2],
) -> Result<Configuration, ClosureError> {
    newton(linkage, start, active).map(|(configuration, _, _)| configuration)
}

fn newton(
    linkage: &Linkage,
    start: &Configuration,
    active: [f64; 2],
) -> Result<(Configuration, f64, usize), ClosureError> {
    let target = linkage.driven_from_active * nalgebra::Vector2::from(active);
    let mut configuration = start.clone();
    let mut best = (f64::INFINITY, start.clone());
    for iteration in 0..ITERATIONS_MAX {
        let residual = residuals(linkage, &configuration, [target.x, target.y]);
        let norm = residual.norm();
        if norm < best.0 {
            best = (norm, configuration.clone());
        }
        // Past the tolerance one more step brings the last digits; stop when it no longer helps.
        if norm < TOLERANCE || (iteration > 3 && norm < 1e-11 && norm >= best.0) {
            return Ok((best.1, best.0, iteration));
        }
        let matrix = locked_matrix(linkage, &configuration);
        let step = matrix.lu().solve(&residual);
        let Some(step) = step.filter(|s| s.iter().all(|x| x.is_finite())) else {
            return Err(ClosureError::Singular { least: 0.0 });
        };
        apply(&mut configuration, &step);
    }
    if best.0 < 1e-11 {
        return Ok((best.1, best.0, ITERATIONS_MAX));
    }
    Err(ClosureError::NotConverged {
        iterations: ITERATIONS_MAX,
        residual: best.0,
        tolerance: TOLERANCE,
        best: Box::new(best.1),
    })
}

/// Turns every moving body by its part of a step of rotation vectors in the base frame.
fn apply(configuration: &mut Configuration, step: &DVector<f64>) {
    // A step longer than a right angle would leave the branch; shorten it whole.
    let longest = (0..step.len() / 3)
        .map(|i| step.fixed_rows::<3>(3 * i).norm())
        .fold(0.0, f64::max);
    let factor = if longest > 0.5 { 0.5 / longest } else { 1.0 };
    for (index, rotation) in configuration.rotations.iter_mut().skip(1).enumerate() {
        let vector: Vector3<f64> = step.fixed_rows::<3>(3 * index) * factor;
        *rotation = Rotation3::new(vector) * *rotation;
        rotation.renormalize();
    }
}

fn residuals(linkage: &Linkage, configuration: &Configuration, target: [f64; 2]) -> DVector<f64> {
    let mut values = Vec::with_capacity(2 * linkage.joints.len() + 3);
    for joint in &linkage.joints {
        let first = linkage.direction(joint.first, configuration);
        let second = linkage.direction(joint.second, configuration);
        let miss = second.cross(&first);
        let (t1, t2) = tangents(&linkage.joint_axis(joint, configuration));
        values.push(t1.dot(&miss));
        values.push(t2.dot(&miss));
    }
    if let Some(follower) = &linkage.follower {
        values.push(-follower_angle(linkage, follower, configuration));
    }
    for (joint, wanted) in linkage.driven.iter().zip(target) {
        let angle = linkage.joint_angle(&linkage.joints[*joint], configuration);
        values.push(wrap_signed(wanted - angle));
    }
    DVector::from_vec(values)
}

/// How far the follower lies beyond the mean of its two bars, rad.
fn follower_angle(linkage: &Linkage, follower: &Follower, configuration: &Configuration) -> f64 {
    let axis = linkage.joint_axis(&linkage.joints[follower.joint], configuration);
    let own = configuration.rotations[follower.body] * follower.reference;
    let mean: f64 = (0..2)
        .map(|i| {
            let other =
                configuration.rotations[follower.between[i]] * follower.between_references[i];
            axis.dot(&own.cross(&other)).atan2(own.dot(&other))
        })
        .sum();
    -0.5 * mean
}

/// Least singular value of the drive-locked constraint matrix.
pub fn locked_least_singular_value(linkage: &Linkage, configuration: &Configuration) -> f64 {
    locked_matrix(linkage, configuration)
        .singular_values()
        .iter()
        .copied()
        .fold(f64::INFINITY, f64::min)
}

fn singularity_distance(
    linkage: &Linkage,
    configuration: &Configuration,
    active: [f64; 2],
    least: f64,
) -> Option<f64> {
    let step = 1e-4;
    let mut gradient = [0.0; 2];
    for (index, slope) in gradient.iter_mut().enumerate() {
        let mut ends = [0.0; 2];
        for (end, sign) in ends.iter_mut().zip([1.0, -1.0]) {
            let mut moved = active;
            moved[index] += sign * step;
            let (near, _, _) = newton(linkage, configuration, moved).ok()?;
            *end = locked_least_singular_value(linkage, &near);
        }
        *slope = (ends[0] - ends[1]) / (2.0 * step);
    }
    let norm = gradient[0].hypot(gradient[1]);
    (norm > 1e-9).then(|| least / norm)
}
