//! Mobility by the rank of the constraints, beside the counting formulas.

use nalgebra::{DMatrix, Vector3};
use thiserror::Error;

use crate::sphere::direction::any_perpendicular;

use super::constraints::{RANK_TOLERANCE, constraint_matrix, null_space, rank};
use super::{Configuration, Linkage};

/// Mobility of a linkage, counted three ways.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Mobility {
    /// Bodies, ground included.
    pub bodies: usize,
    /// Joints.
    pub joints: usize,
    /// Freedoms by the rank of the constraints on the sphere.
    pub by_rank: usize,
    /// Freedoms by 3(n − 1) − 2j on the sphere (a follower takes one more).
    pub by_counting: i64,
    /// Freedoms by 6(n − 1) − 5j in space (a follower takes one more).
    pub in_space: i64,
    /// Freedoms by the rank of the constraints in space, releases counted.
    pub in_space_by_rank: usize,
    /// Redundant constraints in space: constraints less their rank, releases counted.
    pub redundant: usize,
}

/// A linkage whose mobility is not the number of its drives.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum MobilityError {
    /// Too many or too few freedoms.
    #[error("mobility is {found}, must be 2; free motion: {motion}")]
    NotTwo {
        /// Freedoms found.
        found: usize,
        /// Which bodies move.
        motion: String,
    },
    /// Releases that open a motion out of the sphere.
    #[error(
        "mobility is {found} in space, must be 2: the releases leave a motion out of the sphere; it moves {motion}"
    )]
    Released {
        /// Freedoms found in space.
        found: usize,
        /// Which bodies leave the sphere.
        motion: String,
    },
    /// The two configurations disagree.
    #[error("mobility is {0} in one configuration and {1} in another; one of them is singular")]
    Disagree(usize, usize),
}

/// Mobility at one configuration.
pub fn mobility(linkage: &Linkage, configuration: &Configuration) -> Mobility {
    let matrix = constraint_matrix(linkage, configuration);
    let follower = i64::from(linkage.follower.is_some());
    let (n, j) = (linkage.bodies.len() as i64, linkage.joints.len() as i64);
    let space = spatial_constraint_matrix(linkage, configuration);
    let space_rank = rank(&space);
    Mobility {
        bodies: linkage.bodies.len(),
        joints: linkage.joints.len(),
        by_rank: matrix.ncols() - rank(&matrix),
        by_counting: 3 * (n - 1) - 2 * j - follower,
        in_space: 6 * (n - 1) - 5 * j - follower,
        in_space_by_rank: space.ncols() - space_rank,
        redundant: space.nrows() - space_rank,
    }
}

/// Mobility taken at two configurations, which must agree and be two.
///
/// # Errors
/// [`MobilityError`] with the free motion named.
pub fn checked_mobility(
    linkage: &Linkage,
    first: &Configuration,
    second: &Configuration,
) -> Result<Mobility, MobilityError> {
    let (at_first, at_second) = (mobility(linkage, first), mobility(linkage, second));
    if at_first.by_rank != at_second.by_rank {
        return Err(MobilityError::Disagree(at_first.by_rank, at_second.by_rank));
    }
    if at_first.by_rank != 2 {
        return Err(MobilityError::NotTwo {
            found: at_first.by_rank,
            motion: name_free_motion(linkage, first),
        });
    }
    for (found, configuration) in [(at_first, first), (at_second, second)] {
        if found.in_space_by_rank != 2 {
            return Err(MobilityError::Released {
                found: found.in_space_by_rank,
                motion: name_spatial_motion(linkage, configuration),
            });
        }
    }
    Ok(at_first)
}

/// The bodies that the constraints leave free to move, in words.
pub fn name_free_motion(linkage: &Linkage, configuration: &Configuration) -> String {
    let matrix = constraint_matrix(linkage, configuration);
    let basis = null_space(&matrix, RANK_TOLERANCE);
    if basis.ncols() == 0 {
        return "nothing moves".to_string();
    }
    let mut sentences = Vec::new();
    let mut everywhere = 0;
    for (index, body) in linkage.bodies.iter().enumerate().skip(1) {
        let block = basis.rows(3 * (index - 1), 3);
        if block.norm() > 1e-6 {
            everywhere += 1;
            sentences.push(body.name.clone());
        }
    }
    let local = local_freedoms(linkage, configuration);
    let mut text = if everywhere == linkage.bodies.len() - 1 {
        format!("all {everywhere} bodies move")
    } else {
        format!("{} move", sentences.join(", "))
    };
    if !local.is_empty() {
        text.push_str(&format!("; turning alone: {}", local.join(", ")));
    }
    text
}

/// The bodies that the constraints in space let move out of the sphere, in words.
pub fn name_spatial_motion(linkage: &Linkage, configuration: &Configuration) -> String {
    let basis = null_space(
        &spatial_constraint_matrix(linkage, configuration),
        RANK_TOLERANCE,
    );
    let names: Vec<String> = (1..linkage.bodies.len())
        .filter(|body| {
            // On the sphere no body has a velocity at the centre.
            basis.rows(6 * (body - 1), 3).norm() > 1e-6
        })
        .map(|body| linkage.bodies[body].name.clone())
        .collect();
    if names.is_empty() {
        "no body out of the sphere".to_string()
    } else {
        names.join(", ")
    }
}

/// Bodies that can turn alone about an axis while all others stand still.
pub fn local_freedoms(linkage: &Linkage, configuration: &Configuration) -> Vec<String> {
    let matrix = constraint_matrix(linkage, configuration);
    (1..linkage.bodies.len())
        .filter(|body| {
            let own = matrix.columns(3 * (body - 1), 3).into_owned();
            rank(&own) < 3
        })
        .map(|body| linkage.bodies[body].name.clone())
        .collect()
}

/// Constraints of all joints in space at unit joint radius: up to three rows on
/// the displacement of the joint point and two on the relative rotation;
/// columns [v; ω] at the remote centre for every moving body.
pub fn spatial_constraint_matrix(linkage: &Linkage, configuration: &Configuration) -> DMatrix<f64> {
    let mut rows: Vec<(Vector3<f64>, Vector3<f64>, usize, usize)> = Vec::new();
    for joint in &linkage.joints {
        let axis = linkage.joint_axis(joint, configuration);
        let t1 = any_perpendicular(&axis);
        let t2 = axis.cross(&t1);
        let (first, second) = (joint.first.body, joint.second.body);
        // Displacement along d of the point u: d·(v + ω × u) = d·v + (u × d)·ω.
        let mut displacement = vec![t1, t2];
        if !joint.release.axial {
            displacement.push(axis);
        }
        for d in displacement {
            rows.push((d, axis.cross(&d), first, second));
        }
        if !joint.release.tilt {
            for d in [t1, t2] {
                rows.push((Vector3::zeros(), d, first, second));
            }
        }
    }
    let extra = usize::from(linkage.follower.is_some());
    let mut matrix = DMatrix::zeros(rows.len() + extra, 6 * (linkage.bodies.len() - 1));
    let mut put = |row: usize, body: usize, sign: f64, v: &Vector3<f64>, w: &Vector3<f64>| {
        if body > 0 {
            for k in 0..3 {
                matrix[(row, 6 * (body - 1) + k)] += sign * v[k];
                matrix[(row, 6 * (body - 1) + 3 + k)] += sign * w[k];
            }
        }
    };
    for (index, (v, w, first, second)) in rows.iter().enumerate() {
        put(index, *second, 1.0, v, w);
        put(index, *first, -1.0, v, w);
    }
    if let Some(follower) = &linkage.follower {
        let axis = linkage.joint_axis(&linkage.joints[follower.joint], configuration);
        let none = Vector3::zeros();
        put(rows.len(), follower.body, 1.0, &none, &axis);
        for body in follower.between {
            put(rows.len(), body, -0.5, &none, &axis);
        }
    }
    matrix
}
