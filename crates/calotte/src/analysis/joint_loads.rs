//! What joints carry at one direction, and what their pins and bearings say to it.

use nalgebra::{SMatrix, Vector2, Vector6};

use super::safety::{SafetyResult, StressedPart};
use crate::number::worst_direction::{Sought, greatest_convex, greatest_norm, greatest_sum};
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
    /// By all but what has any direction, in the order of the joints, N and N·m.
    pub(super) of_joint: Vec<Vector6<f64>>,
    /// By a force or moment of any direction.
    pub(super) free: Option<FreeJoints>,
}

/// Joint forces by a force or moment of any direction.
pub(super) struct FreeJoints {
    /// Per unit along polar, azimuth, radial, in the order of the joints.
    pub(super) of_joint: Vec<SMatrix<f64, 6, 3>>,
    /// Size and directions.
    pub(super) sought: Sought,
}

/// What one joint carries.
#[derive(Clone, Copy)]
struct Carried<'a> {
    fixed: &'a Vector6<f64>,
    free: Option<(&'a SMatrix<f64, 6, 3>, Sought)>,
}

impl Carried<'_> {
    /// Greatest value of a convex function of the joint's force; `above` where none passes it.
    fn greatest(&self, value: impl Fn(&Vector6<f64>) -> f64, above: f64) -> f64 {
        match self.free {
            None => value(self.fixed).max(above),
            Some((map, sought)) => {
                greatest_convex(|vector| value(&(self.fixed + map * vector)), sought, above)
            }
        }
    }

    /// Widens a joint's load by this one at the bearings, each part by itself at its greatest.
    fn widen(&self, load: &mut JointLoad, at_bearings: impl Fn(&Vector6<f64>) -> Vector6<f64>) {
        let fixed = at_bearings(self.fixed);
        let Some((map, sought)) = self.free else {
            *load = load.envelope(JointLoad::of(&fixed));
            return;
        };
        let mut moved = *map;
        for mut column in moved.column_iter_mut() {
            let there = at_bearings(&column.clone_owned());
            column.copy_from(&there);
        }
        let across = |row: usize, above: f64| {
            let map = moved.fixed_rows::<2>(row).into_owned();
            let constant = Vector2::new(fixed[row], fixed[row + 1]);
            if constant.norm() + sought.size * map.norm() <= above {
                return above;
            }
            greatest_norm(&map, &constant, sought).value.max(above)
        };
        let along = moved.row(0).transpose();
        *load = JointLoad {
            axial: greatest_sum(&along, fixed[0], sought).max(load.axial),
            radial: across(1, load.radial),
            tilt: across(4, load.tilt),
        };
    }
}

/// What every joint carries, with the load case it belongs to.
fn each(forces: &[JointForces]) -> impl Iterator<Item = (Option<usize>, usize, Carried<'_>)> {
    forces.iter().flat_map(|forces| {
        let of_joint = forces.of_joint.iter().enumerate();
        of_joint.map(|(joint, fixed)| {
            let free = forces.free.as_ref();
            let free = free.map(|free| (&free.of_joint[joint], free.sought));
            (forces.load, joint, Carried { fixed, free })
        })
    })
}

/// Widens the envelope of joint loads, taken at the bearings.
pub(super) fn widen(model: &Model, forces: &[JointForces], envelope: &mut [JointLoad]) {
    for (_, joint, carried) in each(forces) {
        carried.widen(&mut envelope[joint], |force| {
            let strength = model.joint_strength.as_ref();
            strength.map_or(*force, |strength| strength.at_bearings(joint, force))
        });
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
    let mut worst: Option<SafetyResult> = None;
    for (load, joint, carried) in each(forces) {
        let above = worst.map_or(0.0, |worst| worst.stress);
        let stress = carried.greatest(|force| strength.pin_stress(joint, force), above);
        if stress > above {
            worst = Some(SafetyResult {
                factor: strength.pin_yield_strength / stress,
                stress,
                part: StressedPart::Pin(joint),
                load,
            });
        }
    }
    worst
}

/// Least static safety of a bearing, and its joint.
pub(super) fn bearing_safety(model: &Model, forces: &[JointForces]) -> Option<(f64, usize)> {
    let strength = model.joint_strength.as_ref()?;
    let mut worst: Option<(f64, usize)> = None;
    for (_, joint, carried) in each(forces) {
        let safety = if carried.free.is_none() {
            strength.bearing_safety(joint, carried.fixed)?
        } else {
            // The load over the rating is convex in the force, the safety is its inverse.
            let used = |force: &Vector6<f64>| {
                let safety = strength.bearing_safety(joint, force);
                safety.map_or(0.0, |safety| 1.0 / safety)
            };
            let above = worst.map_or(0.0, |(safety, _)| 1.0 / safety);
            1.0 / carried.greatest(used, above)
        };
        if safety.is_finite() && worst.is_none_or(|(than, _)| safety < than) {
            worst = Some((safety, joint));
        }
    }
    worst
}
