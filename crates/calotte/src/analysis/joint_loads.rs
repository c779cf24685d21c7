//! What joints carry at one direction, and what their pins and bearings say to it.

use nalgebra::Vector6;

use super::safety::{SafetyResult, StressedPart};
use crate::subject::Model;

/// What a joint carries, at its bearings where it has layers.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct JointLoad {
    /// Along the joint's own axis (radial to the sphere), N.
    pub axial: f64,
    /// Across the joint's own axis, N.
    pub radial: f64,
    /// About an axis across the joint's own, N·m.
    pub tilt: f64,
}

impl JointLoad {
    /// Of a joint force [F; M] in its group's frame (u, t, n).
    pub(super) fn of(force: &Vector6<f64>) -> Self {
        Self {
            axial: force[0].abs(),
            radial: force[1].hypot(force[2]),
            tilt: force[4].hypot(force[5]),
        }
    }

    /// The greater of each.
    pub fn envelope(self, other: Self) -> Self {
        Self {
            axial: self.axial.max(other.axial),
            radial: self.radial.max(other.radial),
            tilt: self.tilt.max(other.tilt),
        }
    }
}

/// Force and moment of every joint at its reference radius, (u, t, n).
pub(super) struct JointForces {
    /// Index of the load case that acts with the weight; `None` is weight alone.
    pub(super) load: Option<usize>,
    /// In the order of the joints, N and N·m.
    pub(super) of_joint: Vec<Vector6<f64>>,
}

/// Every force with the load and the joint it belongs to.
fn each(forces: &[JointForces]) -> impl Iterator<Item = (Option<usize>, usize, &Vector6<f64>)> {
    forces.iter().flat_map(|forces| {
        let of_joint = forces.of_joint.iter().enumerate();
        of_joint.map(|(joint, force)| (forces.load, joint, force))
    })
}

/// Widens the envelope of joint loads, taken at the bearings.
pub(super) fn widen(model: &Model, forces: &[JointForces], envelope: &mut [JointLoad]) {
    for (_, joint, force) in each(forces) {
        let at_bearings = model
            .joint_strength
            .as_ref()
            .map_or(*force, |strength| strength.at_bearings(joint, force));
        envelope[joint] = envelope[joint].envelope(JointLoad::of(&at_bearings));
    }
}

pub(super) fn least_safety(
    bar: Option<SafetyResult>,
    pin: Option<SafetyResult>,
) -> Option<SafetyResult> {
    match (bar, pin) {
        (Some(bar), Some(pin)) if pin.factor < bar.factor => Some(pin),
        (bar, pin) => bar.or(pin),
    }
}

/// Least safety of a pin.
pub(super) fn pin_safety(model: &Model, forces: &[JointForces]) -> Option<SafetyResult> {
    let strength = model.joint_strength.as_ref()?;
    each(forces)
        .map(|(load, joint, force)| {
            let stress = strength.pin_stress(joint, force);
            SafetyResult {
                factor: strength.pin_yield_strength / stress,
                stress,
                part: StressedPart::Pin(joint),
                load,
            }
        })
        .filter(|result| result.stress > 0.0)
        .min_by(|a, b| a.factor.total_cmp(&b.factor))
}

/// Least static safety of a bearing, and its joint.
pub(super) fn bearing_safety(model: &Model, forces: &[JointForces]) -> Option<(f64, usize)> {
    let strength = model.joint_strength.as_ref()?;
    each(forces)
        .filter_map(|(_, joint, force)| Some((strength.bearing_safety(joint, force)?, joint)))
        .filter(|(safety, _)| safety.is_finite())
        .min_by(|a, b| a.0.total_cmp(&b.0))
}
