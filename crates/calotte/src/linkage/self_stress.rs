//! Self-stress states, one for each redundant constraint, each in as few joints
//! as it can be.
//!
//! Round a closed loop of joints whose axes span space, the forces that do no
//! work on rotations about the remote centre are the forces through it: each
//! loop holds three. Where releases leave states that run through several loops,
//! those are added as they come.

use std::collections::VecDeque;

use nalgebra::{DMatrix, DVector, Matrix3, Vector3};

use super::spatial_constraints::{
    ConstraintKind, ConstraintRow, RedundancyError, null_space, tangents,
};
use super::{Configuration, Linkage};

/// Below this a part of a unit vector is rounding.
const SMALL: f64 = 1e-7;

/// Forces in the joints, in equilibrium without load; the squares of all parts sum to 1.
#[derive(Debug, Clone, PartialEq)]
pub struct SelfStress {
    /// Joints of the loop it runs round; `None` if it runs through several.
    pub around: Option<Vec<usize>>,
    /// The force through the remote centre that goes round the loop, base frame,
    /// unit; `None` where there is no such one.
    pub force: Option<Vector3<f64>>,
    /// What each joint takes part with, in order.
    pub joints: Vec<JointShare>,
}

/// Part of one joint in a self-stress state: force, and moment by the
/// characteristic length, on one scale.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct JointShare {
    /// Force along the joint's own axis, on its second body outward.
    pub axial: f64,
    /// Size of the force across it.
    pub radial: f64,
    /// Size of the moment across it, by the characteristic length.
    pub tilt: f64,
}

/// A state, the loop it lies in and the axis it belongs to, where it has them.
type FoundState = (DVector<f64>, Option<Vec<usize>>, Option<Vector3<f64>>);

/// States that span the row space of `stresses`.
pub(super) fn states(
    linkage: &Linkage,
    configuration: &Configuration,
    matrix: &DMatrix<f64>,
    rows: &[ConstraintRow],
    stresses: &DMatrix<f64>,
) -> Result<Vec<SelfStress>, RedundancyError> {
    let mut found: Vec<FoundState> = Vec::new();
    let mut span = Span::default();
    for around in loops(linkage) {
        let own: Vec<usize> = (0..rows.len())
            .filter(|k| around.contains(&rows[*k].joint))
            .collect();
        let (_, basis) = null_space(&matrix.select_rows(&own).transpose())?;
        let mut wide = DMatrix::zeros(rows.len(), basis.ncols());
        for (k, row) in own.iter().enumerate() {
            wide.row_mut(*row).copy_from(&basis.row(k));
        }
        for (state, force) in aligned(linkage, configuration, rows, &around, wide) {
            if span.take(&state) {
                found.push((state, Some(around.clone()), force));
            }
        }
    }
    // What runs through several loops.
    for state in stresses.row_iter() {
        if found.len() == stresses.nrows() {
            break;
        }
        if let Some(rest) = span.beyond(&state.transpose()) {
            span.take(&rest);
            found.push((rest, None, None));
        }
    }
    Ok(found
        .into_iter()
        .map(|(state, around, force)| SelfStress {
            around,
            force,
            joints: parts(linkage.joints.len(), rows, &state),
        })
        .collect())
}

/// Orthonormal vectors met so far.
#[derive(Default)]
struct Span(Vec<DVector<f64>>);

impl Span {
    /// The unit part of a vector beyond the span; `None` if there is none.
    fn beyond(&self, vector: &DVector<f64>) -> Option<DVector<f64>> {
        let mut rest = vector.clone();
        // Twice, so that what is left is orthogonal to rounding.
        for _ in 0..2 {
            for known in &self.0 {
                rest.axpy(-known.dot(&rest), known, 1.0);
            }
        }
        let norm = rest.norm();
        (norm > SMALL).then(|| rest / norm)
    }

    /// Adds a vector; whether it was new.
    fn take(&mut self, vector: &DVector<f64>) -> bool {
        let rest = self.beyond(vector);
        rest.map(|unit| self.0.push(unit)).is_some()
    }
}

/// Three states of a loop turned so that their forces point along its middle
/// and across it; fewer states stay as they are.
fn aligned(
    linkage: &Linkage,
    configuration: &Configuration,
    rows: &[ConstraintRow],
    around: &[usize],
    basis: DMatrix<f64>,
) -> Vec<(DVector<f64>, Option<Vector3<f64>>)> {
    let first = around[0];
    let joint = &linkage.joints[first];
    let axis = linkage.joint_axis(joint, configuration);
    let [t1, t2] = tangents(linkage, joint, configuration);
    // Force on the first joint's second body, per state.
    let mut forces = Vec::new();
    for state in basis.column_iter() {
        let mut across = [t1, t2].into_iter();
        let mut force = Vector3::zeros();
        for (row, value) in rows.iter().zip(state.iter()) {
            match (row.joint == first, row.kind) {
                (true, ConstraintKind::Radial) => {
                    force += across.next().unwrap_or_else(Vector3::zeros) * *value;
                }
                (true, ConstraintKind::Axial) => force += axis * *value,
                _ => {}
            }
        }
        forces.push(force);
    }
    let turned = (forces.len() == 3)
        .then(|| Matrix3::from_columns(&forces).try_inverse())
        .flatten();
    let Some(turned) = turned else {
        return basis
            .column_iter()
            .map(|state| (state.into_owned(), None))
            .collect();
    };
    let spread: Matrix3<f64> = around
        .iter()
        .map(|j| linkage.joint_axis(&linkage.joints[*j], configuration))
        .map(|u| u * u.transpose())
        .sum();
    let eigen = spread.symmetric_eigen();
    let mut order = [0, 1, 2];
    order.sort_by(|a, b| eigen.eigenvalues[*b].total_cmp(&eigen.eigenvalues[*a]));
    order
        .into_iter()
        .map(|k| {
            let direction: Vector3<f64> = eigen.eigenvectors.column(k).into_owned();
            let direction = direction * direction[direction.iamax()].signum();
            let state = &basis * (turned * direction);
            (state.normalize(), Some(direction))
        })
        .collect()
}

fn parts(joints: usize, rows: &[ConstraintRow], state: &DVector<f64>) -> Vec<JointShare> {
    (0..joints)
        .map(|joint| {
            let of = |kind: ConstraintKind| {
                rows.iter()
                    .zip(state.iter())
                    .filter(move |(row, _)| row.joint == joint && row.kind == kind)
                    .map(|(_, value)| *value)
            };
            let size = |kind| of(kind).map(|v| v * v).sum::<f64>().sqrt();
            JointShare {
                axial: of(ConstraintKind::Axial).sum(),
                radial: size(ConstraintKind::Radial),
                tilt: size(ConstraintKind::Tilt),
            }
        })
        .collect()
}

/// The shortest closed loop through each joint, as ascending joint indices,
/// each once, in order of their first joints.
pub fn loops(linkage: &Linkage) -> Vec<Vec<usize>> {
    let mut found: Vec<Vec<usize>> = (0..linkage.joints.len())
        .filter_map(|joint| shortest_loop(linkage, joint))
        .collect();
    found.sort();
    found.dedup();
    found
}

/// Breadth-first from one body of a joint to the other without that joint.
fn shortest_loop(linkage: &Linkage, through: usize) -> Option<Vec<usize>> {
    let ends = &linkage.joints[through];
    let (start, goal) = (ends.first.body, ends.second.body);
    // The joint by which each body was reached, and from which body.
    let mut reached: Vec<Option<(usize, usize)>> = vec![None; linkage.bodies.len()];
    let mut queue = VecDeque::from([start]);
    while let Some(body) = queue.pop_front() {
        for (index, joint) in linkage.joints.iter().enumerate() {
            let next = match (joint.first.body, joint.second.body) {
                (a, b) if a == body => b,
                (a, b) if b == body => a,
                _ => continue,
            };
            if index != through && next != start && reached[next].is_none() {
                reached[next] = Some((index, body));
                queue.push_back(next);
            }
        }
    }
    let mut joints = vec![through];
    let mut body = goal;
    while body != start {
        let (joint, from) = reached[body]?;
        joints.push(joint);
        body = from;
    }
    joints.sort_unstable();
    Some(joints)
}
