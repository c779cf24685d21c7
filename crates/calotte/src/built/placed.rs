//! Centre lines of the built parts at one configuration, for those who want to check
//! the structure from coordinates alone.

use nalgebra::Vector3;

use crate::design::Design;
use crate::linkage::{Configuration, Linkage, Place};

use super::{Built, base_shaft, clamp_and_bearing};

/// Centre lines at one configuration, base frame, m.
#[derive(Debug, Clone, PartialEq)]
pub struct PlacedParts {
    /// Bars with their arcs.
    pub bars: Vec<PlacedBar>,
    /// Pins, and the shafts of the base bars.
    pub pins: Vec<PlacedPin>,
    /// Name of the bar that carries the tool.
    pub tool_carried_by: String,
    /// The tool's tip.
    pub tool_tip: Vector3<f64>,
    /// Where the tool points, unit.
    pub tool_direction: Vector3<f64>,
}

/// A bar's centre line.
#[derive(Debug, Clone, PartialEq)]
pub struct PlacedBar {
    /// Name.
    pub name: String,
    /// Radius about the remote centre.
    pub radius: f64,
    /// Both ends of each arc, a circle about the remote centre.
    pub arcs: Vec<[Vector3<f64>; 2]>,
    /// Rigid length at both ends of each arc, along it.
    pub rigid: Vec<[f64; 2]>,
}

/// A pin's centre line.
#[derive(Debug, Clone, PartialEq)]
pub struct PlacedPin {
    /// Name of the joint.
    pub joint: String,
    /// Bar it is clamped in.
    pub clamped_in: String,
    /// Bar with the bearings, or `ground`.
    pub bearings_in: String,
    /// On the clamping bar's centre line.
    pub from: Vector3<f64>,
    /// Middle of the bearing pair.
    pub to: Vector3<f64>,
    /// Outer diameter and bore, m.
    pub diameters: [f64; 2],
    /// Whether a drive turns it.
    pub driven: bool,
}

impl Built {
    /// Centre lines at a configuration; pins only where the joints have parts.
    pub fn placed(
        &self,
        design: &Design,
        linkage: &Linkage,
        configuration: &Configuration,
    ) -> PlacedParts {
        let bars = linkage
            .bodies
            .iter()
            .enumerate()
            .filter(|(_, body)| !body.arcs.is_empty())
            .map(|(index, body)| PlacedBar {
                name: body.name.clone(),
                radius: self.radii[index],
                arcs: body
                    .arcs
                    .iter()
                    .map(|arc| {
                        [arc.from, arc.to].map(|station| {
                            configuration.rotations[index]
                                * body.stations[station]
                                * self.radii[index]
                        })
                    })
                    .collect(),
                rigid: body
                    .arcs
                    .iter()
                    .map(|arc| {
                        [arc.from, arc.to].map(|station| {
                            let place = Place {
                                body: index,
                                station,
                            };
                            self.rigid_zone(design, linkage, place)
                        })
                    })
                    .collect(),
            })
            .collect();
        let pins = linkage.joints.iter().enumerate();
        let pins = pins.filter_map(|(index, joint)| {
            let parts = joint.properties(design).parts.as_ref()?;
            let (clamp, bearing) = clamp_and_bearing(joint, &self.radii, parts.pin.clamped_in);
            let axis = linkage.joint_axis(joint, configuration);
            Some(PlacedPin {
                joint: joint.name.clone(),
                clamped_in: linkage.bodies[clamp.body].name.clone(),
                bearings_in: linkage.bodies[bearing.body].name.clone(),
                from: axis * self.radii[clamp.body],
                to: axis * self.radii[bearing.body],
                diameters: base_shaft(design, linkage, self, index)
                    .unwrap_or([parts.pin.diameter, parts.pin.bore]),
                driven: linkage.driven.contains(&index),
            })
        });
        PlacedParts {
            bars,
            pins: pins.collect(),
            tool_carried_by: linkage.bodies[linkage.tool.body].name.clone(),
            tool_tip: linkage.tool_direction(configuration) * design.tool.tip_radius,
            tool_direction: linkage.tool_direction(configuration),
        }
    }
}
