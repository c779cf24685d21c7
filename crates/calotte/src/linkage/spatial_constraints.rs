//! The constraints of a linkage in space, row by row, and their null space.
//!
//! A revolute joint constrains three displacements of its point (two across its
//! axis, one along it) and two rotations across its axis; a released joint fewer.
//! Unknown is one twist per moving body.

use nalgebra::{DMatrix, Vector3};
use thiserror::Error;

use crate::number::shown::{degrees, millimetres};
use crate::sphere::direction::any_perpendicular;

use super::constraints::RANK_TOLERANCE;
use super::{Configuration, Joint, Linkage};

/// A pivot between these shares of the greatest one neither holds nor is zero:
/// the configuration is nearly singular.
const UNCLEAR: [f64; 2] = [1e-2 * RANK_TOLERANCE, 1e2 * RANK_TOLERANCE];

/// What the constraints are taken of.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RedundancyOptions {
    /// Distance of the joints' points from the remote centre, m.
    pub joint_radius: f64,
    /// Length by which rotations become displacements and moments become
    /// forces, before ranks and shares are taken, m.
    pub characteristic_length: f64,
    /// Whether the driven joints are held: one more constraint each.
    pub drives_locked: bool,
}

impl RedundancyOptions {
    /// Drives free, joints and characteristic length at one radius, m.
    pub fn at_radius(radius: f64) -> Self {
        Self {
            joint_radius: radius,
            characteristic_length: radius,
            drives_locked: false,
        }
    }
}

/// Which relative motion a row constrains.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ConstraintKind {
    /// Displacement of the joint's point across its axis; two rows.
    Radial,
    /// Displacement along the joint's own axis.
    Axial,
    /// Rotation across the joint's axis; two rows.
    Tilt,
    /// Rotation about the axis of a held drive.
    Drive,
    /// A follower's rotation, kept at the mean of two others.
    Mean,
}

/// One constraint.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ConstraintRow {
    /// Index of the joint.
    pub joint: usize,
    /// Which of its motions.
    pub kind: ConstraintKind,
}

/// Why redundancy has no answer.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum RedundancyError {
    /// A length that is none.
    #[error("{name} is {}, must be a positive length", millimetres(.value))]
    Length {
        /// Which length.
        name: &'static str,
        /// Its value, m.
        value: f64,
    },
    /// Joints whose two directions lie apart, or no numbers at all.
    #[error(
        "the configuration does not close: a joint's directions lie {} apart; close it first",
        degrees(.0)
    )]
    NotClosed(f64),
    /// A rank that is not clear.
    #[error(
        "the configuration is nearly singular: a constraint of relative size {size:.1e} neither holds nor is redundant; take one further from the singularity"
    )]
    NearlySingular {
        /// Size of the pivot relative to the greatest.
        size: f64,
    },
    /// More freedoms on the sphere than the count gives.
    #[error(
        "the configuration is singular: mobility on the sphere is {by_rank} there and {by_counting} by counting; take a regular one"
    )]
    Singular {
        /// Freedoms found.
        by_rank: usize,
        /// Freedoms counted.
        by_counting: i64,
    },
    /// Two configurations that disagree.
    #[error(
        "{} redundant constraints and mobility {} in one configuration, {} and {} in another; one of them is singular",
        first[0], first[1], second[0], second[1]
    )]
    Disagree {
        /// Redundant constraints and mobility in the first.
        first: [usize; 2],
        /// The same in the second.
        second: [usize; 2],
    },
}

/// Two directions across a joint's axis that turn with its first body.
pub(super) fn tangents(
    linkage: &Linkage,
    joint: &Joint,
    configuration: &Configuration,
) -> [Vector3<f64>; 2] {
    let axis = linkage.joint_axis(joint, configuration);
    let reference = configuration.rotations[joint.first.body] * joint.first_reference;
    let across = reference - axis * axis.dot(&reference);
    let first = crate::sphere::unit(&across).unwrap_or_else(|| any_perpendicular(&axis));
    [first, axis.cross(&first)]
}

/// What one row asks of one body: index, sign, factors of its velocity and its rotation.
type BodyEntry = (usize, f64, Vector3<f64>, Vector3<f64>);

/// Constraints on the twists [v/L; ω] of the moving bodies at the remote
/// centre, L the characteristic length, with what each row is.
pub fn constraints(
    linkage: &Linkage,
    configuration: &Configuration,
    options: &RedundancyOptions,
) -> (DMatrix<f64>, Vec<ConstraintRow>) {
    let mut rows = Vec::new();
    let mut entries: Vec<Vec<BodyEntry>> = Vec::new();
    let arm = options.joint_radius / options.characteristic_length;
    let none = Vector3::zeros();
    for (index, joint) in linkage.joints.iter().enumerate() {
        let axis = linkage.joint_axis(joint, configuration);
        let [t1, t2] = tangents(linkage, joint, configuration);
        let mut relative = |kind: ConstraintKind, v: Vector3<f64>, w: Vector3<f64>| {
            rows.push(ConstraintRow { joint: index, kind });
            entries.push(vec![
                (joint.second.body, 1.0, v, w),
                (joint.first.body, -1.0, v, w),
            ]);
        };
        // Displacement along d of the point ρu: d·(v + ω × ρu) = d·v + ρ(u × d)·ω.
        relative(ConstraintKind::Radial, t1, axis.cross(&t1) * arm);
        relative(ConstraintKind::Radial, t2, axis.cross(&t2) * arm);
        if !joint.release.axial {
            relative(ConstraintKind::Axial, axis, none);
        }
        if !joint.release.tilt {
            relative(ConstraintKind::Tilt, none, t1);
            relative(ConstraintKind::Tilt, none, t2);
        }
        if options.drives_locked && linkage.driven.contains(&index) {
            relative(ConstraintKind::Drive, none, axis);
        }
    }
    if let Some(follower) = &linkage.follower {
        let axis = linkage.joint_axis(&linkage.joints[follower.joint], configuration);
        rows.push(ConstraintRow {
            joint: follower.joint,
            kind: ConstraintKind::Mean,
        });
        let [a, b] = follower.between;
        entries.push(vec![
            (follower.body, 1.0, none, axis),
            (a, -0.5, none, axis),
            (b, -0.5, none, axis),
        ]);
    }
    let mut matrix = DMatrix::zeros(rows.len(), 6 * (linkage.bodies.len() - 1));
    for (row, parts) in entries.iter().enumerate() {
        for (body, sign, v, w) in parts.iter().filter(|part| part.0 > 0) {
            for k in 0..3 {
                matrix[(row, 6 * (body - 1) + k)] += sign * v[k];
                matrix[(row, 6 * (body - 1) + 3 + k)] += sign * w[k];
            }
        }
    }
    (matrix, rows)
}

/// Rank of a matrix and an orthonormal basis of its null space, columns.
///
/// By Householder QR with column pivoting: A P = Q [R₁₁ R₁₂; 0 0], null space
/// P [−R₁₁⁻¹R₁₂; 1]. Its pivots fall from their own size to rounding at the
/// rank, while singular values taken by iteration keep fewer digits.
pub(super) fn null_space(matrix: &DMatrix<f64>) -> Result<(usize, DMatrix<f64>), RedundancyError> {
    let columns = matrix.ncols();
    if matrix.is_empty() || matrix.amax() == 0.0 {
        return Ok((0, DMatrix::identity(columns, columns)));
    }
    let qr = matrix.clone().col_piv_qr();
    let r = qr.r();
    let sizes: Vec<f64> = (0..r.nrows()).map(|k| r[(k, k)].abs()).collect();
    let greatest = sizes.iter().copied().fold(0.0, f64::max);
    let pivots: Vec<f64> = sizes.iter().map(|size| size / greatest).collect();
    let unclear = |p: &&f64| p.is_nan() || (**p > UNCLEAR[0] && **p < UNCLEAR[1]);
    if let Some(size) = pivots.iter().find(unclear) {
        return Err(RedundancyError::NearlySingular { size: *size });
    }
    let rank = pivots
        .iter()
        .position(|p| *p <= RANK_TOLERANCE)
        .unwrap_or(pivots.len());
    let free = columns - rank;
    let mut basis = DMatrix::zeros(columns, free);
    if free == 0 {
        return Ok((rank, basis));
    }
    let solved = r
        .view((0, 0), (rank, rank))
        .solve_upper_triangular(&r.view((0, rank), (rank, free)))
        .ok_or(RedundancyError::NearlySingular { size: 0.0 })?;
    basis.rows_mut(0, rank).copy_from(&-solved);
    basis.rows_mut(rank, free).fill_with_identity();
    qr.p().inv_permute_rows(&mut basis);
    Ok((rank, basis.qr().q()))
}
