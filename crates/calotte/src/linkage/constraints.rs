//! The constraints of a linkage on the sphere: which rates its joints allow.
//!
//! Unknown is one angular velocity per moving body. A joint asks that its two
//! directions stay together: two rows on orthonormal tangents of its axis.

use nalgebra::{DMatrix, DVector, Vector3};

use crate::sphere::direction::any_perpendicular;

use super::{Configuration, Joint, Linkage};

/// Relative tolerance below which a singular value counts as zero.
pub const RANK_TOLERANCE: f64 = 1e-9;

/// Constraint matrix of all joints (and the follower): 2 rows a joint, 3
/// columns a moving body, orthonormal tangents; base frame.
pub fn constraint_matrix(linkage: &Linkage, configuration: &Configuration) -> DMatrix<f64> {
    let rows = 2 * linkage.joints.len() + usize::from(linkage.follower.is_some());
    let mut matrix = DMatrix::zeros(rows, 3 * (linkage.bodies.len() - 1));
    for (index, joint) in linkage.joints.iter().enumerate() {
        let (t1, t2) = tangents(&linkage.joint_axis(joint, configuration));
        put_relative(&mut matrix, 2 * index, joint, &t1);
        put_relative(&mut matrix, 2 * index + 1, joint, &t2);
    }
    if let Some(follower) = &linkage.follower {
        let axis = linkage.joint_axis(&linkage.joints[follower.joint], configuration);
        let row = 2 * linkage.joints.len();
        put(&mut matrix, row, follower.body, &axis, 1.0);
        for body in follower.between {
            put(&mut matrix, row, body, &axis, -0.5);
        }
    }
    matrix
}

/// Constraint matrix with the two driven joints' own rows below: square for a
/// linkage with two freedoms.
pub fn locked_matrix(linkage: &Linkage, configuration: &Configuration) -> DMatrix<f64> {
    let free = constraint_matrix(linkage, configuration);
    let rows = free.nrows();
    let mut matrix = free.resize_vertically(rows + 2, 0.0);
    for (index, joint) in linkage.driven.iter().enumerate() {
        let joint = &linkage.joints[*joint];
        let axis = linkage.joint_axis(joint, configuration);
        put_relative(&mut matrix, rows + index, joint, &axis);
    }
    matrix
}

fn put_relative(matrix: &mut DMatrix<f64>, row: usize, joint: &Joint, axis: &Vector3<f64>) {
    put(matrix, row, joint.second.body, axis, 1.0);
    put(matrix, row, joint.first.body, axis, -1.0);
}

fn put(matrix: &mut DMatrix<f64>, row: usize, body: usize, axis: &Vector3<f64>, sign: f64) {
    if body == 0 {
        return;
    }
    for k in 0..3 {
        matrix[(row, 3 * (body - 1) + k)] += sign * axis[k];
    }
}

pub(crate) fn tangents(axis: &Vector3<f64>) -> (Vector3<f64>, Vector3<f64>) {
    let first = any_perpendicular(axis);
    (first, axis.cross(&first))
}

/// Velocities that the constraints leave free: an orthonormal basis of the
/// null space, columns; `tolerance` relative to the greatest singular value.
pub fn null_space(matrix: &DMatrix<f64>, tolerance: f64) -> DMatrix<f64> {
    let columns = matrix.ncols();
    // Square up with zero rows so that the full right basis is returned.
    let padded = if matrix.nrows() < columns {
        matrix.clone().resize_vertically(columns, 0.0)
    } else {
        matrix.clone()
    };
    let svd = padded.svd(false, true);
    let greatest = svd.singular_values.iter().copied().fold(0.0, f64::max);
    let Some(v_t) = svd.v_t else {
        return DMatrix::zeros(columns, 0);
    };
    let free: Vec<DVector<f64>> = svd
        .singular_values
        .iter()
        .enumerate()
        .filter(|(_, value)| **value <= tolerance * greatest)
        .map(|(index, _)| v_t.row(index).transpose())
        .collect();
    if free.is_empty() {
        DMatrix::zeros(columns, 0)
    } else {
        DMatrix::from_columns(&free)
    }
}

/// Number of singular values above the tolerance.
pub fn rank(matrix: &DMatrix<f64>) -> usize {
    if matrix.nrows() == 0 || matrix.ncols() == 0 {
        return 0;
    }
    let values = matrix.singular_values();
    let greatest = values.iter().copied().fold(0.0, f64::max);
    values
        .iter()
        .filter(|value| **value > RANK_TOLERANCE * greatest)
        .count()
}
