//! The rounds in which bars end, and the shafts and housing that follow from them.

use crate::design::{BaseDrives, Design};
use crate::linkage::{Linkage, Place};

/// The round in which a bar ends at a joint.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Boss {
    /// Diameter, m: as the joint's level says, at least the bar's width.
    pub diameter: f64,
    /// Radial size, m: as stated, or the greater of the bar's and what the bearing pair of
    /// its level takes; without layers the bar's.
    pub height: f64,
}

impl Boss {
    fn at(design: &Design, linkage: &Linkage, place: Place) -> Self {
        let section = linkage.bodies[place.body].section(design);
        let joints = linkage.joints_at(design, place);
        let depth = section.depth();
        Self {
            diameter: joints.boss_diameter.max(section.width()),
            height: design.layers.as_ref().map_or(depth, |layers| {
                layers
                    .boss_height
                    .unwrap_or(depth.max(joints.pair_height()))
            }),
        }
    }
}

/// The bosses of a design, by body and station.
pub(super) fn all(design: &Design, linkage: &Linkage) -> Vec<Vec<Boss>> {
    let bodies = linkage.bodies.iter().enumerate();
    bodies
        .map(|(body, description)| {
            (0..description.stations.len())
                .map(|station| Boss::at(design, linkage, Place { body, station }))
                .collect()
        })
        .collect()
}

/// The places of the base bars on the base axes.
fn base_places(linkage: &Linkage) -> impl Iterator<Item = Place> {
    linkage
        .joints
        .iter()
        .filter_map(|joint| match (joint.first.body, joint.second.body) {
            (0, _) => Some(joint.second),
            (_, 0) => Some(joint.first),
            _ => None,
        })
}

/// Shafts and housing at the base with all their sizes; `None` without layers. What is not
/// stated follows from the base joints' pin and from the greatest boss about them.
pub fn base_drives(design: &Design, linkage: &Linkage) -> Option<BaseDrives> {
    let layers = design.layers.as_ref()?;
    let pin = base_joints(design, linkage).pin_diameter();
    let (mut diameter, mut height) = (0.0_f64, 0.0_f64);
    for place in base_places(linkage) {
        let boss = Boss::at(design, linkage, place);
        diameter = diameter.max(boss.diameter);
        height = height.max(boss.height);
    }
    Some(layers.base.beside(pin, diameter, height))
}

/// Bearings and boss of the joints at the base.
fn base_joints<'a>(design: &'a Design, linkage: &Linkage) -> &'a crate::design::JointProperties {
    let place = base_places(linkage).next();
    place.map_or(&design.joints, |place| linkage.joints_at(design, place))
}
