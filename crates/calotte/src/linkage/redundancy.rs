//! Redundant constraints of a linkage in space, and where they sit.
//!
//! In space a revolute joint constrains five relative motions: three
//! displacements of its point (two across its axis, one along it) and two
//! rotations across its axis; a released joint fewer. Unknown is one twist per
//! moving body. Rows beyond the rank are redundant; for each of them the joints
//! can hold a state of forces in equilibrium without load (a self-stress), which
//! is a null vector of the transposed constraints. [`release_sets`](super::release_sets)
//! reads from them which releases remove the redundancy.

use nalgebra::DMatrix;

use super::mobility::mobility;
use super::spatial_constraints::null_space;
use super::{Configuration, Linkage, self_stress};

pub use super::self_stress::{JointShare, SelfStress};
pub use super::spatial_constraints::{
    ConstraintKind, ConstraintRow, RedundancyError, RedundancyOptions, constraints,
};

/// Greatest distance between a joint's two directions in a closed configuration, rad.
const CLOSURE_TOLERANCE: f64 = 1e-8;

/// Share of a body's motion in a free motion above which it counts as moving.
const MOVES: f64 = 1e-6;

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
    /// Constraints: five a joint less its releases, one a held drive, one a follower.
    pub constraints: usize,
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
        constraints: rows.len(),
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
