//! One linkage, complete: what every analysis starts from.
//!
//! All quantities are SI and radians; the text of a design file is read by
//! `calotte-format`. A [`Design`] is plain data; `family::build`
//! turns it into bodies and joints and refuses what cannot be built.

mod ask;
mod drive;
mod inputs;
mod joint_pair;
mod own;

use nalgebra::{Matrix3, Vector3};

pub use crate::family::parameters::{
    EachFamily, Elbows, Family, FiveBar, ScissorLinkage, TwoArcArm,
};
use crate::sphere::direction::any_perpendicular;
use crate::sphere::unit;
use crate::stock::{Bearing, MachineElementError};
use crate::stock::{Material, Section, TYPICAL_DRIVE, TYPICAL_GROUND, TYPICAL_GROUND_TURNING};
use crate::uncertain::{Corner, Uncertain};

pub use drive::{Drive, DriveLayout, DriveRange, Drives, RidesOn};
pub use inputs::{Constant, Input};
pub use joint_pair::PairPlay;
pub use own::{Differing, NotYetWhereDiffering, Own, OwnError, OwnJoints, OwnSection, SectionOf};

/// One linkage with its section, material, joints, drives, tool and mount.
#[derive(Debug, Clone, PartialEq)]
pub struct Design {
    /// Name printed in results.
    pub title: String,
    /// The family and its angles.
    pub family: Family,
    /// Radius of the bars' centre lines about the remote centre, m; with layers,
    /// of the innermost layer.
    pub joint_radius: f64,
    /// Cross-section of every bar that has none of its own.
    pub section: Section,
    /// Material of every bar.
    pub material: Material,
    /// Stiffness of short bars over that of beam theory, 1; `None` takes what
    /// [`crate::elasticity::short_bars`] says of the shortest.
    pub short_bars: Option<Uncertain>,
    /// Stiffness of every joint whose level has none of its own, base joints included, and
    /// the parts it follows from.
    pub joints: JointProperties,
    /// Bars and joints that differ from the two.
    pub own: Own,
    /// How the bars lie over one another; `None` puts all of them at
    /// `joint_radius` and lets them pass through one another.
    pub layers: Option<Layers>,
    /// Drive layout, ratios and ranges.
    pub drives: Drives,
    /// The tool and what carries it.
    pub tool: Tool,
    /// Where the base frame stands in the world.
    pub mount: Mount,
}

/// Stiffness of a joint. The joint's own axis is radial to the sphere, so its
/// *axial* stiffness acts along the sphere's radius and its *radial* stiffness
/// acts tangentially to the sphere.
#[derive(Debug, Clone, PartialEq)]
pub struct JointProperties {
    /// `None` for rigid joints. With `parts` it is the bearing pair's, and the pin
    /// comes in series.
    pub stiffness: Option<JointStiffness>,
    /// Bearings and pin of every joint, if the joints are described by them.
    pub parts: Option<JointParts>,
    /// Diameter of the boss about each joint, m; its radius is a rigid end zone of every arc.
    pub boss_diameter: f64,
    /// Mass of pin and bearing of one joint, kg.
    pub mass: f64,
    /// Joints with released directions, by name.
    pub releases: Vec<NamedRelease>,
}

/// Three stiffnesses of a joint; rotation about its own axis is free.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct JointStiffness {
    /// Along the joint's own axis, N/m.
    pub axial: Uncertain,
    /// Across the joint's own axis, N/m.
    pub radial: Uncertain,
    /// About any axis across the joint's own, N·m/rad.
    pub tilt: Uncertain,
}

/// Bearings, seat and pin of a joint.
#[derive(Debug, Clone, PartialEq)]
pub struct JointParts {
    /// Either bearing of the pair.
    pub bearing: Bearing,
    /// Distance between the middles of the two bearings, m.
    pub pair_spacing: f64,
    /// Whether both bearings hold the pin along its axis (a preloaded pair);
    /// otherwise one locates it.
    pub both_locate: bool,
    /// What gives way and has play between bearing and boss, if anything does.
    pub seat: Option<Seat>,
    /// The pin.
    pub pin: Pin,
    /// What measuring a prototype made of these parts has shown.
    pub measured: MeasuredJoints,
}

/// Stiffness of real joints over the one that follows from their parts; it goes with the
/// workshop that made them, whatever the bearing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MeasuredJoints {
    /// Factor on the radial and the axial stiffness.
    pub radial: Uncertain,
    /// Factor on the tilt stiffness.
    pub tilt: Uncertain,
}

impl MeasuredJoints {
    /// As the parts promise.
    pub const AS_DESIGNED: Self = Self {
        radial: Uncertain::exact(1.0),
        tilt: Uncertain::exact(1.0),
    };
}

/// What a boss of unstated diameter leaves around its bearing, m (common practice,
/// no source: 2.5 mm of wall).
const BOSS_BEYOND_BEARING: f64 = 5e-3;
/// Gap between the two bearings of a pair of unstated spacing, m.
const BETWEEN_BEARINGS: f64 = 1e-3;

impl JointParts {
    /// The usual joint with a bearing: a pair 1 mm apart that both locate, no seat, and a
    /// solid pin of the bearing's bore, clamped in the inner bar.
    pub fn usual(bearing: Bearing, pin_material: Material) -> Self {
        Self {
            pair_spacing: bearing.width + BETWEEN_BEARINGS,
            both_locate: true,
            seat: None,
            pin: Pin {
                diameter: bearing.bore,
                bore: 0.0,
                material: pin_material,
                clamped_in: ClampedIn::Inner,
            },
            measured: MeasuredJoints::AS_DESIGNED,
            bearing,
        }
    }

    /// Boss diameter where none is stated, m.
    pub fn usual_boss_diameter(&self) -> f64 {
        self.bearing.outer_diameter + BOSS_BEYOND_BEARING
    }

    /// The same joint with another bearing: the pin fills its bore and the bearings
    /// stand as far apart as before, but do not overlap.
    pub fn with_bearing(&self, bearing: &Bearing) -> Self {
        let gap = (self.pair_spacing - self.bearing.width).max(0.0);
        let mut parts = self.clone();
        parts.pair_spacing = bearing.width + gap;
        if parts.pin.diameter == self.bearing.bore || parts.pin.diameter > bearing.bore {
            parts.pin.diameter = bearing.bore;
            parts.pin.bore = parts.pin.bore.min(0.5 * bearing.bore);
        }
        parts.bearing = bearing.clone();
        parts
    }
}

impl JointProperties {
    /// Fixes every uncertain number at one end of its band.
    fn fix_at_corner(&mut self, corner: Corner) {
        let resisting = |u: &Uncertain| Uncertain::exact(u.resisting(corner));
        if let Some(stiffness) = &mut self.stiffness {
            *stiffness = JointStiffness {
                axial: resisting(&stiffness.axial),
                radial: resisting(&stiffness.radial),
                tilt: resisting(&stiffness.tilt),
            };
        }
        if let Some(parts) = &mut self.parts {
            parts.pin.material = parts.pin.material.at_corner(corner);
            parts.bearing = parts.bearing.at_corner(corner);
            if let Some(seat) = &mut parts.seat {
                (seat.radial, seat.axial) = (resisting(&seat.radial), resisting(&seat.axial));
            }
        }
    }

    /// Radial size that a pair of bearings takes, m; 0 without bearings.
    pub fn pair_height(&self) -> f64 {
        let parts = self.parts.as_ref();
        parts.map_or(0.0, |parts| parts.pair_spacing + parts.bearing.width)
    }

    /// Diameter of the pin, m; 0 without one.
    pub fn pin_diameter(&self) -> f64 {
        self.parts.as_ref().map_or(0.0, |parts| parts.pin.diameter)
    }

    /// The joints with their two bearings so far apart, m, but never overlapping: stiffness
    /// follows; without parts nothing changes.
    ///
    /// # Errors
    /// [`MachineElementError`] for sizes or stiffnesses that no bearing has.
    pub fn with_spacing(&self, spacing: f64) -> Result<Self, MachineElementError> {
        let mut joints = self.clone();
        if let Some(parts) = &mut joints.parts {
            parts.pair_spacing = spacing.max(parts.bearing.width);
            joints.stiffness = Some(parts.pair_stiffness()?);
        }
        Ok(joints)
    }

    /// The joints with other bearings, under the preload or load the present ones have:
    /// stiffness and boss follow; without parts nothing changes.
    ///
    /// # Errors
    /// [`MachineElementError`] for sizes or stiffnesses that no bearing has.
    pub fn with_bearing(&self, bearing: &Bearing) -> Result<Self, MachineElementError> {
        let Some(parts) = &self.parts else {
            return Ok(self.clone());
        };
        let wall = self.boss_diameter - parts.bearing.outer_diameter;
        let parts = parts.with_bearing(&bearing.loaded_like(&parts.bearing)?);
        Ok(Self {
            stiffness: Some(parts.pair_stiffness()?),
            boss_diameter: bearing.outer_diameter + wall,
            parts: Some(parts),
            ..self.clone()
        })
    }
}

/// What a seat adds to each bearing.
#[derive(Debug, Clone, PartialEq)]
pub struct Seat {
    /// Across the joint's own axis, N/m.
    pub radial: Uncertain,
    /// Along the joint's own axis, N/m.
    pub axial: Uncertain,
    /// Play between bearing and boss, difference of the diameters, m.
    pub play: f64,
}

/// A straight round pin.
#[derive(Debug, Clone, PartialEq)]
pub struct Pin {
    /// Outer diameter, m.
    pub diameter: f64,
    /// Diameter of its bore, m; 0 = solid.
    pub bore: f64,
    /// Material.
    pub material: Material,
    /// The bar it is clamped in; the bearings sit in the other.
    pub clamped_in: ClampedIn,
}

/// Which of a joint's two bars holds the pin.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ClampedIn {
    /// The one nearer to the remote centre.
    Inner,
    /// The one farther from it.
    Outer,
}

/// Radial layers of the bars.
#[derive(Debug, Clone, PartialEq)]
pub struct Layers {
    /// Which bar lies in which layer.
    pub arrangement: Arrangement,
    /// Free radial distance between neighbouring layers, m.
    pub gap: f64,
    /// Distance kept between parts that pass each other, m; the usable range ends
    /// where less is left. Neighbouring layers need only the gap.
    pub clearance: f64,
    /// Radial size of the bosses, m; `None` is the greater of the bar's radial size
    /// and what the bearing pair needs.
    pub boss_height: Option<f64>,
    /// Shafts and housing at the base.
    pub base: BaseSizes,
}

/// Which bar lies in which layer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Arrangement {
    /// Two layers: the fewest that connect a scissor linkage.
    Two,
    /// Every bar in a layer of its own, the tool's carrier innermost.
    Nested,
    /// Layer of each bar in the order of the linkage's bodies, ground and follower
    /// left out; 0 is the innermost.
    Given(Vec<usize>),
}

/// Coaxial shafts of the base bars and the housing that bears them, outside all layers,
/// as far as they are stated; what is not follows from pin and boss.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct BaseSizes {
    /// Outer diameter of the solid shaft of the inner base bar, m.
    pub shaft_diameter: Option<f64>,
    /// Bore of the hollow shaft of the outer base bar, m.
    pub hollow_shaft_bore: Option<f64>,
    /// Outer diameter of the hollow shaft, m.
    pub hollow_shaft_diameter: Option<f64>,
    /// Diameter of the housing, m.
    pub housing_diameter: Option<f64>,
    /// Radial size of the housing, m.
    pub housing_height: Option<f64>,
}

/// Coaxial shafts of the base bars and the housing that bears them, all sizes told.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BaseDrives {
    /// Outer diameter of the solid shaft of the inner base bar, m.
    pub shaft_diameter: f64,
    /// Outer diameter and bore of the hollow shaft of the outer base bar, m.
    pub hollow_shaft: [f64; 2],
    /// Diameter of the housing, m.
    pub housing_diameter: f64,
    /// Radial size of the housing, m.
    pub housing_height: f64,
}

impl BaseSizes {
    /// All sizes beside a pin of this diameter and bosses of this diameter and radial size,
    /// m. What is not stated is usual (common practice, no source): a solid shaft of twice
    /// the pin, at least 6 mm, but so that the hollow one leaves the boss a wall of 1 mm; 1 mm
    /// of air around it in a hollow one with a wall of 2 mm; a housing of 2.5 times that,
    /// twice as high as a boss.
    pub fn beside(&self, pin_diameter: f64, boss_diameter: f64, boss_height: f64) -> BaseDrives {
        let shaft_diameter = self.shaft_diameter.unwrap_or_else(|| {
            let usual = (2.0 * pin_diameter).max(6e-3);
            usual.min(boss_diameter - 8e-3).max(pin_diameter).max(1e-3)
        });
        let bore = self.hollow_shaft_bore.unwrap_or(shaft_diameter + 2e-3);
        let hollow = self.hollow_shaft_diameter.unwrap_or(bore + 4e-3);
        BaseDrives {
            shaft_diameter,
            hollow_shaft: [hollow, bore],
            housing_diameter: self.housing_diameter.unwrap_or(2.5 * hollow),
            housing_height: self.housing_height.unwrap_or(2.0 * boss_height),
        }
    }
}

impl From<BaseDrives> for BaseSizes {
    fn from(drives: BaseDrives) -> Self {
        Self {
            shaft_diameter: Some(drives.shaft_diameter),
            hollow_shaft_bore: Some(drives.hollow_shaft[1]),
            hollow_shaft_diameter: Some(drives.hollow_shaft[0]),
            housing_diameter: Some(drives.housing_diameter),
            housing_height: Some(drives.housing_height),
        }
    }
}

/// A joint with directions that carry no load.
#[derive(Debug, Clone, PartialEq)]
pub struct NamedRelease {
    /// Name of the joint, as results print it, such as `side-left-1`.
    pub joint: String,
    /// Free along the joint's own axis.
    pub axial: bool,
    /// Free to tilt about any axis across the joint's own.
    pub tilt: bool,
}

/// What carries the tool.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ToolCarrier {
    /// The last bar that comes from the left side joint of the last stage.
    Left,
    /// The last bar that comes from the right side joint of the last stage.
    Right,
    /// A follower on the last pin that keeps the tool on the meridian.
    Bisector,
}

/// The tool, rigid from its carrier's end to its tip.
#[derive(Debug, Clone, PartialEq)]
pub struct Tool {
    /// Which bar carries it; ignored by families with one last bar.
    pub carried_by: ToolCarrier,
    /// Distance of the tip from the remote centre along the tool direction, m.
    pub tip_radius: f64,
    /// Mass, kg; `None` gives no sag and no holding torque of the tool.
    pub mass: Option<Uncertain>,
    /// Distance of the centre of mass from the remote centre along the tool direction, m.
    pub centre_of_mass_radius: f64,
    /// Distance of the grip from the remote centre along the tool direction, m; `None` is the tip.
    pub grip_radius: Option<f64>,
    /// Tool direction beyond the last apex along its carrier's arc, rad.
    pub bracket_arc: f64,
    /// Own roll of the tool on its carrier, rad.
    pub roll: f64,
    /// The room the tool takes; `None` is not looked at.
    pub envelope: Option<ToolEnvelope>,
}

/// A round about the tool direction that holds the whole tool.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ToolEnvelope {
    /// Diameter, m.
    pub diameter: f64,
    /// Distance of its outer end from the remote centre, m; `None` is the inner face
    /// of its carrier. The inner end is the tip.
    pub outer_radius: Option<f64>,
}

/// Where the base frame stands in the world; gravity is along −z of the world.
#[derive(Debug, Clone, PartialEq)]
pub struct Mount {
    /// Base axis in the world; need not be a unit vector.
    pub axis: Vector3<f64>,
    /// Direction of azimuth 0 in the world; its part along the axis is removed.
    pub reference: Vector3<f64>,
    /// Remote centre in the world, m.
    pub position: Vector3<f64>,
    /// What the base stands on; `None` is rigid ground.
    pub support: Option<Support>,
}

impl Default for Mount {
    fn default() -> Self {
        Self {
            axis: Vector3::z(),
            reference: Vector3::x(),
            position: Vector3::zeros(),
            support: None,
        }
    }
}

impl Mount {
    /// Rotation that gives base-frame components from world components.
    pub fn base_from_world(&self) -> Matrix3<f64> {
        let z = unit(&self.axis).unwrap_or_else(Vector3::z);
        let across = self.reference - z * z.dot(&self.reference);
        let x = unit(&across).unwrap_or_else(|| any_perpendicular(&z));
        Matrix3::from_rows(&[x.transpose(), z.cross(&x).transpose(), z.transpose()])
    }
}

/// Compliance between the world and the base joints.
#[derive(Debug, Clone, PartialEq)]
pub enum Support {
    /// Springs at a point of the base axis.
    Springs {
        /// Distance of the point from the remote centre along the base axis, m.
        at_radius: f64,
        /// Along the base axis, N/m.
        axial: Uncertain,
        /// Across the base axis, N/m.
        lateral: Uncertain,
        /// About any axis across the base axis, N·m/rad.
        tilt: Uncertain,
        /// About the base axis, N·m/rad.
        twist: Uncertain,
    },
    /// A straight column from a point of the base axis to rigid ground.
    Column {
        /// Distance of the column's head from the remote centre along the base axis, m.
        at_radius: f64,
        /// From the column's head to its foot, in the base frame; need not be a unit vector.
        direction: Vector3<f64>,
        /// Length, m.
        length: f64,
        /// Cross-section; `radial` lies in the plane of column and base axis
        /// (towards the base frame's x when they are parallel).
        section: Section,
        /// Material.
        material: Material,
    },
}

impl Design {
    /// The same design with every uncertain number fixed at one end of its band.
    pub fn at_corner(&self, corner: Corner) -> Design {
        let resisting = |u: &Uncertain| Uncertain::exact(u.resisting(corner));
        let loading = |u: &Uncertain| Uncertain::exact(u.loading(corner));
        let mut design = self.clone();
        design.material = self.material.at_corner(corner);
        design.short_bars = self.short_bars.as_ref().map(resisting);
        for joints in design.each_joints_mut() {
            joints.fix_at_corner(corner);
        }
        design.drives = self.drives.at_corner(corner);
        design.tool.mass = self.tool.mass.as_ref().map(loading);
        design.mount.support = self.mount.support.as_ref().map(|support| match support {
            Support::Springs {
                at_radius,
                axial,
                lateral,
                tilt,
                twist,
            } => Support::Springs {
                at_radius: *at_radius,
                axial: resisting(axial),
                lateral: resisting(lateral),
                tilt: resisting(tilt),
                twist: resisting(twist),
            },
            Support::Column {
                at_radius,
                direction,
                length,
                section,
                material,
            } => Support::Column {
                at_radius: *at_radius,
                direction: *direction,
                length: *length,
                section: section.clone(),
                material: material.at_corner(corner),
            },
        });
        design
    }

    /// The linkage as it is drawn first: rigid joints without pins and bosses, all bars
    /// on one sphere.
    pub fn ideal(&self) -> Design {
        let mut design = self.clone();
        design.joints = JointProperties {
            stiffness: None,
            parts: None,
            boss_diameter: 0.0,
            mass: 0.0,
            releases: Vec::new(),
        };
        design.own.joints.clear();
        design.layers = None;
        design
    }

    /// Whether joints and layers are described by what is built.
    pub fn is_built(&self) -> bool {
        self.layers.is_some()
    }

    /// The design as it gives way to a load that stays; `None` where nothing creeps.
    pub fn sustained(&self) -> Option<Design> {
        let mut design = self.clone();
        let mut creeping = vec![&mut design.material];
        let own = design.own.joints.iter_mut().map(|own| &mut own.joints);
        for joints in std::iter::once(&mut design.joints).chain(own) {
            creeping.extend(joints.parts.as_mut().map(|parts| &mut parts.pin.material));
        }
        if let Some(Support::Column { material, .. }) = &mut design.mount.support {
            creeping.push(material);
        }
        let mut any = false;
        for material in creeping {
            if material.creep.value != 1.0 {
                *material = material.sustained();
                any = true;
            }
        }
        any.then_some(design)
    }

    /// The design on usual drives and a usual ground where it gives none; `None` where it gives
    /// all of them. The ground gives way at the joint radius.
    pub fn with_typical_supports(&self) -> Option<Design> {
        let mut design = self.clone();
        for drive in &mut design.drives.each {
            drive.stiffness.get_or_insert(TYPICAL_DRIVE.into());
        }
        design.mount.support.get_or_insert(Support::Springs {
            at_radius: self.joint_radius,
            axial: TYPICAL_GROUND.into(),
            lateral: TYPICAL_GROUND.into(),
            tilt: TYPICAL_GROUND_TURNING.into(),
            twist: TYPICAL_GROUND_TURNING.into(),
        });
        (design != *self).then_some(design)
    }

    /// Whether any number of the design carries a band.
    pub fn has_bands(&self) -> bool {
        self.at_corner(Corner::Soft) != self.at_corner(Corner::Stiff)
    }
}

/// Small designs for the crate's own unit tests.
#[cfg(test)]
pub(crate) mod sample {
    use super::*;

    /// An aluminium two-arc arm with rigid joints at 150 mm.
    pub(crate) fn two_arc_arm(arcs: [f64; 2]) -> Design {
        Design {
            title: String::new(),
            family: Family::two_arc_arm(arcs),
            joint_radius: 0.15,
            section: Section::Rectangle {
                tangential: 0.012,
                radial: 0.006,
            },
            material: Material::shipped("aluminium 6061-T6").unwrap(),
            short_bars: None,
            joints: JointProperties {
                stiffness: None,
                boss_diameter: 0.0,
                mass: 0.0,
                releases: Vec::new(),
                parts: None,
            },
            own: Own::default(),
            layers: None,
            drives: Drives {
                layout: DriveLayout::TwoBars,
                ratio: [1.0, 1.0],
                range: DriveRange::default(),
                each: Default::default(),
            },
            tool: Tool {
                carried_by: ToolCarrier::Left,
                tip_radius: 0.15,
                mass: None,
                centre_of_mass_radius: 0.15,
                grip_radius: None,
                bracket_arc: 0.0,
                roll: 0.0,
                envelope: None,
            },
            mount: Mount::default(),
        }
    }
}
