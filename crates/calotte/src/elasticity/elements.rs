//! The parts a structure is made of: places with their motions, arcs, joints, drives.

use nalgebra::{Matrix2, Vector3};

use crate::linkage::Place;

use super::arc::ArcElement;
use super::joint::JointLaw;

/// One motion of a place: an unknown of the structure, or fixed.
pub(super) type Motion = Option<usize>;

#[derive(Debug, Clone)]
pub(super) struct StructuralPlace {
    pub(super) place: Place,
    pub(super) group: usize,
    /// Displacements along u, t, n and rotations about them.
    pub(super) motions: [Motion; 6],
}

#[derive(Debug, Clone)]
pub(super) struct StructuralArc {
    pub(super) body: usize,
    pub(super) ends: [usize; 2],
    pub(super) element: ArcElement,
    /// Tangents at both ends in the body frame, start to end.
    pub(super) tangents: [Vector3<f64>; 2],
}

/// A joint between the motions of two places.
#[derive(Debug, Clone)]
pub(super) struct StructuralJoint {
    pub(super) law: JointLaw,
    /// Motions of the first and second place that the joint carries.
    pub(super) ends: [[Motion; 5]; 2],
}

/// The driven joints where they give way.
#[derive(Debug, Clone)]
pub(super) struct DriveSprings {
    /// Spins (second, first) of the driven joints.
    pub(super) spins: [[Motion; 2]; 2],
    /// Torques from relative spins, N·m/rad; zero rows where a drive is locked rigidly.
    pub(super) stiffness: Matrix2<f64>,
    /// A sum of the relative spins that a rigid drive keeps at zero; `None` where rigid
    /// drives hold single joints, which then share their spin, or where none is rigid.
    pub(super) held: Option<[f64; 2]>,
    /// Twist of the shafts by their torques, rad/(N·m).
    pub(super) torsion: [f64; 2],
}
