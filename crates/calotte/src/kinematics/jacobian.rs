//! The Jacobian of any linkage from the null space of its constraints.

use nalgebra::{DMatrix, Matrix2, Vector3};

use crate::linkage::constraints::locked_matrix;
use crate::linkage::{Configuration, Linkage};
use crate::sphere::LocalFrame;

use super::closure::ClosureError;

/// Angular velocity of every body per unit rate of each active joint: one
/// vector a body and active joint, base frame, rad/rad; the ground's is zero.
///
/// # Errors
/// [`ClosureError::Singular`] at a type 2 singularity.
pub fn body_rates(
    linkage: &Linkage,
    configuration: &Configuration,
) -> Result<Vec<[Vector3<f64>; 2]>, ClosureError> {
    let matrix = locked_matrix(linkage, configuration);
    let (rows, columns) = matrix.shape();
    let mut right = DMatrix::zeros(rows, 2);
    for joint in 0..2 {
        for active in 0..2 {
            right[(rows - 2 + joint, active)] = linkage.driven_from_active[(joint, active)];
        }
    }
    let solved = if rows == columns {
        matrix.lu().solve(&right)
    } else {
        None
    };
    let solved = solved
        .filter(|x| x.iter().all(|v| v.is_finite()))
        .ok_or(ClosureError::Singular { least: 0.0 })?;
    let mut rates = vec![[Vector3::zeros(); 2]];
    for body in 0..columns / 3 {
        let of = |active: usize| {
            Vector3::new(
                solved[(3 * body, active)],
                solved[(3 * body + 1, active)],
                solved[(3 * body + 2, active)],
            )
        };
        rates.push([of(0), of(1)]);
    }
    Ok(rates)
}

/// Jacobian from active joint rates to the velocity of the tool direction on
/// the unit sphere, 2×2, rows (polar, azimuth) of the local frame.
///
/// # Errors
/// [`ClosureError::Singular`] at a type 2 singularity.
pub fn tool_jacobian(
    linkage: &Linkage,
    configuration: &Configuration,
    frame: &LocalFrame,
) -> Result<Matrix2<f64>, ClosureError> {
    let rates = body_rates(linkage, configuration)?;
    let tool = linkage.tool_direction(configuration);
    let column = |active: usize| {
        let velocity = rates[linkage.tool.body][active].cross(&tool);
        [velocity.dot(&frame.polar), velocity.dot(&frame.azimuth)]
    };
    let (first, second) = (column(0), column(1));
    Ok(Matrix2::new(first[0], second[0], first[1], second[1]))
}

/// Local conditioning index of a 2×2 Jacobian, in [0, 1].
///
/// Singular values in closed form, without cancellation:
/// σ₁ ± σ₂ = √((a ± d)² + (b ∓ c)²).
pub fn local_conditioning_index(jacobian: &Matrix2<f64>) -> f64 {
    let (a, b, c, d) = (jacobian.m11, jacobian.m12, jacobian.m21, jacobian.m22);
    let sum = (a + d).hypot(b - c);
    let difference = (a - d).hypot(b + c);
    let greatest = 0.5 * (sum + difference);
    if greatest == 0.0 {
        return 0.0;
    }
    // The product of both singular values is the determinant.
    ((a * d - b * c).abs() / (greatest * greatest)).min(1.0)
}
