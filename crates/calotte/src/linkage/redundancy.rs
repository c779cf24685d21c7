//! Redundant constraints of a linkage in space, and where they sit.
//!
//! In space a revolute joint constrains five relative motions: three
//! displacements of its point (two across its axis, one along it) and two
//! rotations across its axis; a released joint fewer. Unknown is one twist per
//! moving body. Rows beyond the rank are redundant; for each of them the joints
//! can hold a state of forces in equilibrium without load (a self-stress), which
//! is a null vector of the transposed constraints. [`release_sets`](super::release_sets)
//! reads from them which releases remove the redundancy.

use nalgebra::{DMatrix, Vector3};
use thiserror::Error;

use crate::sphere::direction::any_perpendicular;

use super::mobility::{RANK_TOLERANCE, mobility};
use super::{Configuration, Joint, Linkage, self_stress};

pub use super::self_stress::{JointShare, SelfStress};

/// A pivot between these shares of the greatest one neither holds nor is zero:
/// the configuration is nearly singular.
const UNCLEAR: [f64; 2] = [1e-2 * RANK_TOLERANCE, 1e2 * RANK_TOLERANCE];

/// Greatest distance between a joint's two directions in a closed configuration, rad.
const CLOSURE_TOLERANCE: f64 = 1e-8;

/// Share of a body's motion in a free motion above which it counts as moving.
const MOVES: f64 = 1e-6;

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

/// How much of a joint's constraints is redundant.
///
/// The share of one constraint is the diagonal entry of the projector onto the
/// self-stress states: 0 if it takes part in none (its release frees a motion),
/// 1 if all others hold without it. Shares depend on no choice of states, and
/// over all joints they sum to the number of redundant constraints.
#[derive(Debug, Clone, PartialEq)]
pub struct JointRedundancy {
    /// Name of the joint.
    pub joint: String,
    /// Of the two displacements across its axis, 0 to 2.
    pub radial: f64,
    /// Of the displacement along its axis, 0 to 1.
    pub axial: f64,
    /// Of the two rotations across its axis, 0 to 2.
    pub tilt: f64,
}

/// Constraints, rank and self-stress states at one configuration.
#[derive(Debug, Clone)]
pub struct Redundancy {
    /// Bodies, ground included.
    pub bodies: usize,
    /// Joints.
    pub joints: usize,
    /// Constraints: five a joint less its releases, one a held drive, one a follower.
    pub constraints: usize,
    /// Rank of the constraints.
    pub rank: usize,
    /// 6(bodies − 1) less the rank.
    pub mobility: usize,
    /// Constraints less their rank.
    pub redundant: usize,
    /// Joints in order, with their shares.
    pub per_joint: Vec<JointRedundancy>,
    /// One state for each redundant constraint.
    pub states: Vec<SelfStress>,
    /// What each constraint is, in the order of the columns of `stresses`.
    pub rows: Vec<ConstraintRow>,
    /// Orthonormal rows that span the self-stress states, redundant × constraints;
    /// forces, moments by the characteristic length.
    pub stresses: DMatrix<f64>,
}

/// Why redundancy has no answer.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum RedundancyError {
    /// A length that is none.
    #[error("{name} is {value} m, must be a positive number")]
    Length {
        /// Which length.
        name: &'static str,
        /// Its value, m.
        value: f64,
    },
    /// Joints whose two directions lie apart, or no numbers at all.
    #[error(
        "the configuration does not close: a joint's directions lie {0} rad apart; close it first"
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

/// Redundancy at one configuration.
///
/// # Errors
/// [`RedundancyError`] for lengths that are none and configurations that do not
/// close or are too near a singular one for a clear rank.
pub fn redundancy(
    linkage: &Linkage,
    configuration: &Configuration,
    options: &RedundancyOptions,
) -> Result<Redundancy, RedundancyError> {
    check(linkage, configuration, options)?;
    let (matrix, rows) = constraints(linkage, configuration, options);
    let (rank, basis) = null_space(&matrix.transpose())?;
    let stresses = basis.transpose();
    Ok(Redundancy {
        bodies: linkage.bodies.len(),
        joints: linkage.joints.len(),
        constraints: rows.len(),
        rank,
        mobility: matrix.ncols() - rank,
        redundant: stresses.nrows(),
        per_joint: shares(linkage, &rows, &stresses),
        states: self_stress::states(linkage, configuration, &matrix, &rows, &stresses)?,
        rows,
        stresses,
    })
}

/// Redundancy at two configurations, which must be regular and agree.
///
/// # Errors
/// As [`redundancy`]; [`RedundancyError::Singular`] and [`RedundancyError::Disagree`].
pub fn checked_redundancy(
    linkage: &Linkage,
    configurations: [&Configuration; 2],
    options: &RedundancyOptions,
) -> Result<[Redundancy; 2], RedundancyError> {
    let at = |configuration: &Configuration| {
        let found = redundancy(linkage, configuration, options)?;
        let count = mobility(linkage, configuration);
        if count.by_rank as i64 > count.by_counting {
            return Err(RedundancyError::Singular {
                by_rank: count.by_rank,
                by_counting: count.by_counting,
            });
        }
        Ok(found)
    };
    let (first, second) = (at(configurations[0])?, at(configurations[1])?);
    let counts = |r: &Redundancy| [r.redundant, r.mobility];
    if counts(&first) != counts(&second) {
        return Err(RedundancyError::Disagree {
            first: counts(&first),
            second: counts(&second),
        });
    }
    Ok([first, second])
}

/// A motion that is free although the drives are held.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FreedMotion {
    /// Freedoms with the drives held.
    pub freedoms: usize,
    /// Names of the bodies that move.
    pub bodies: Vec<String>,
    /// Names of those whose point at the remote centre moves: they leave the sphere.
    pub off_sphere: Vec<String>,
}

impl std::fmt::Display for FreedMotion {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        if self.freedoms == 0 {
            return write!(f, "nothing moves with the drives held");
        }
        let verb = |names: &[String]| if names.len() == 1 { "moves" } else { "move" };
        write!(
            f,
            "with the drives held, {} {}",
            self.bodies.join(", "),
            verb(&self.bodies)
        )?;
        match self.off_sphere.len() {
            0 => write!(f, " on the sphere"),
            n if n == self.bodies.len() => write!(f, " out of the sphere"),
            _ => write!(f, ", {} out of the sphere", self.off_sphere.join(", ")),
        }
    }
}

/// The motion left with the drives held, whatever the options say of them.
///
/// # Errors
/// As [`redundancy`].
pub fn freed_motion(
    linkage: &Linkage,
    configuration: &Configuration,
    options: &RedundancyOptions,
) -> Result<FreedMotion, RedundancyError> {
    let locked = RedundancyOptions {
        drives_locked: true,
        ..*options
    };
    check(linkage, configuration, &locked)?;
    let (matrix, _) = constraints(linkage, configuration, &locked);
    let (_, basis) = null_space(&matrix)?;
    let named = |rows: usize| -> Vec<String> {
        (1..linkage.bodies.len())
            .filter(|body| basis.rows(6 * (body - 1), rows).norm() > MOVES)
            .map(|body| linkage.bodies[body].name.clone())
            .collect()
    };
    Ok(FreedMotion {
        freedoms: basis.ncols(),
        bodies: named(6),
        off_sphere: named(3),
    })
}

fn check(
    linkage: &Linkage,
    configuration: &Configuration,
    options: &RedundancyOptions,
) -> Result<(), RedundancyError> {
    for (name, value) in [
        ("joint radius", options.joint_radius),
        ("characteristic length", options.characteristic_length),
    ] {
        if !(value.is_finite() && value > 0.0) {
            return Err(RedundancyError::Length { name, value });
        }
    }
    for joint in &linkage.joints {
        let [a, b] = [joint.first, joint.second].map(|p| linkage.direction(p, configuration));
        let apart = (a - b).norm();
        if apart.is_nan() || apart > CLOSURE_TOLERANCE {
            return Err(RedundancyError::NotClosed(apart));
        }
    }
    Ok(())
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

/// Sum of the squares of a column: the share of one constraint.
fn share(column: nalgebra::DVectorView<'_, f64>) -> f64 {
    column.norm_squared()
}

fn shares(
    linkage: &Linkage,
    rows: &[ConstraintRow],
    stresses: &DMatrix<f64>,
) -> Vec<JointRedundancy> {
    linkage
        .joints
        .iter()
        .enumerate()
        .map(|(index, joint)| {
            let of = |kind: ConstraintKind| -> f64 {
                rows.iter()
                    .enumerate()
                    .filter(|(_, row)| row.joint == index && row.kind == kind)
                    .map(|(k, _)| share(stresses.column(k)))
                    .sum()
            };
            JointRedundancy {
                joint: joint.name.clone(),
                radial: of(ConstraintKind::Radial),
                axial: of(ConstraintKind::Axial),
                tilt: of(ConstraintKind::Tilt),
            }
        })
        .collect()
}
