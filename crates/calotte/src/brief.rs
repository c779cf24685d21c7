//! The need: what every candidate is judged by.
//!
//! All quantities are SI and radians; the text of a brief is read by `calotte-format`.

use nalgebra::Vector3;

use crate::design::{
    Arrangement, Design, Drive, DriveLayout, JointProperties, Layers, Support, ToolEnvelope,
};
pub use crate::family::parameters::FamilyName;
pub use crate::number::worst_direction::{Directions, Sought};
use crate::quantity::{JudgedAt, Quantity};
use crate::sphere::Region;
use crate::stock::Bearing;
use crate::stock::{Material, Process, Section};
use crate::uncertain::Uncertain;

/// A whole brief.
#[derive(Debug, Clone, PartialEq)]
pub struct Brief {
    /// Name printed in results.
    pub title: String,
    /// Whether people are near the instrument; `false` only when the brief says so.
    pub people_near: bool,
    /// Tool directions needed, in the world, as seen from the centre.
    pub region: Region,
    /// Share of the region's area that must be covered, in (0, 1].
    pub coverage_min: f64,
    /// Remote centre in the world, m.
    pub centre: Vector3<f64>,
    /// Radii on which the bars may lie, m.
    pub joint_radius: Range,
    /// The tool.
    pub tool: ToolNeed,
    /// Load cases, each judged by itself; what acts together is a case of its own.
    pub loads: Vec<LoadCase>,
    /// Limits; an absent limit is no limit.
    pub limits: Limits,
    /// Who set each limit, as far as the brief says.
    pub limit_sources: LimitSources,
    /// What the search may use.
    pub choice: Choice,
    /// What every candidate's joints are; `None` where no stiffness is asked for.
    pub joints: Option<JointProperties>,
    /// How every candidate's bars lie over one another; `None` puts them in one sphere.
    pub layers: Option<Layers>,
    /// What every candidate is driven by; a candidate takes those of its own active joints.
    pub drives: Vec<DriveNeed>,
    /// What every candidate stands on; `None` is rigid ground.
    pub support: Option<SupportNeed>,
    /// What moving parts must keep clear of, in the world.
    pub keep_outs: Vec<KeepOut>,
    /// Cover and cleaning, added to every distance from a keep-out, m.
    pub allowance: f64,
    /// The way the whole instrument, parked, is brought in to its place, in the world;
    /// `None` is along the base axis towards the centre.
    pub way_in: Option<Vector3<f64>>,
    /// What the choice weighs.
    pub objectives: Vec<Objective>,
    /// Parts of a built prototype that every candidate has; no file says it.
    pub kept: Option<Kept>,
}

/// What turns an active joint, whichever candidate has it.
#[derive(Debug, Clone, PartialEq)]
pub struct DriveNeed {
    /// Name of the active joint; `None` is every one.
    pub joint: Option<String>,
    /// Its drive.
    pub drive: Drive,
}

impl Brief {
    /// The drive of the active joint of this name; one that the brief does not describe is
    /// rigid and without mass.
    pub fn drive(&self, joint: &str) -> Drive {
        drive_of(&self.drives, joint)
    }
}

/// The drive of an active joint: the entry that names it, else the one for every joint, else
/// a rigid one without mass.
pub fn drive_of(needs: &[DriveNeed], joint: &str) -> Drive {
    let find = |name: Option<&str>| needs.iter().find(|need| need.joint.as_deref() == name);
    let own = find(Some(joint)).or_else(|| find(None));
    own.map(|need| need.drive.clone()).unwrap_or_default()
}

/// What a candidate stands on.
#[derive(Debug, Clone, PartialEq)]
pub struct SupportNeed {
    /// Springs or a column.
    pub support: Support,
    /// Whether their point on the base axis lies at the candidate's own joint radius.
    pub at_joint_radius: bool,
}

impl SupportNeed {
    /// What a candidate of this joint radius, m, stands on.
    pub fn at(&self, joint_radius: f64) -> Support {
        let mut support = self.support.clone();
        if self.at_joint_radius {
            match &mut support {
                Support::Springs { at_radius, .. } | Support::Column { at_radius, .. } => {
                    *at_radius = joint_radius;
                }
            }
        }
        support
    }
}

/// Parts of a prototype that the next one keeps.
#[derive(Debug, Clone, PartialEq)]
pub struct Kept {
    /// The prototype, as measured where it was.
    pub design: Design,
    /// Whether the ground stays: mount, drives, shafts and housing.
    pub ground: bool,
    /// Whether the base bars stay; of a two-arc arm the first arc.
    pub base: bool,
    /// Numbers of the bars of either branch that stay, from 1 at the base bars outward; of a
    /// two-arc arm 1 is the second arc.
    pub bars: Vec<usize>,
    /// The radii on which bars may lie, m; `None` anywhere.
    pub space: Option<Range>,
}

impl Kept {
    /// Whether any bar stays.
    pub fn any_bar(&self) -> bool {
        self.base || !self.bars.is_empty()
    }
}

/// Equally spaced values from `from` to `to`; both ends belong to it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Range {
    /// First value.
    pub from: f64,
    /// Last value, not below the first.
    pub to: f64,
    /// Distance between values; the last may be nearer.
    pub step: f64,
}

impl Range {
    /// One value alone.
    pub fn single(value: f64) -> Self {
        Self {
            from: value,
            to: value,
            step: 1.0,
        }
    }

    /// How many values there are, without listing them.
    pub fn count(&self) -> f64 {
        if self.step.is_nan() || self.step <= 0.0 || self.from > self.to {
            return 1.0;
        }
        ((self.to - self.from) / self.step - 1e-9).ceil().max(0.0) + 1.0
    }

    /// The values, ascending; the upper end closes the list where the step does not meet it.
    pub fn values(&self) -> Vec<f64> {
        let mut values = Vec::new();
        if self.step.is_nan() || self.step <= 0.0 || self.from > self.to {
            return vec![self.from];
        }
        let tolerance = 1e-9 * self.step;
        let mut index = 0u32;
        loop {
            let value = self.from + f64::from(index) * self.step;
            if value > self.to - tolerance {
                break;
            }
            values.push(value);
            index += 1;
        }
        values.push(self.to);
        values
    }
}

/// The tool as the brief knows it.
#[derive(Debug, Clone, PartialEq)]
pub struct ToolNeed {
    /// Mass, kg; `None` gives no sag and no holding torque of the tool.
    pub mass: Option<Uncertain>,
    /// Distance of the centre of mass from the centre along the tool direction, m.
    pub centre_of_mass_radius: f64,
    /// Distance of the tip from the centre along the tool direction, m.
    pub tip_radius: f64,
    /// Distance of the grip from the centre along the tool direction, m; `None` is the tip.
    pub grip_radius: Option<f64>,
    /// The room the tool takes; `None` is not looked at.
    pub envelope: Option<ToolEnvelope>,
}

/// A volume that moving parts must keep clear of.
#[derive(Debug, Clone, PartialEq)]
pub struct KeepOut {
    /// Name printed in results.
    pub name: String,
    /// Its shape in the world.
    pub shape: KeepOutShape,
    /// Whether the tool may touch it; all other parts may not.
    pub tool_may_touch: bool,
}

/// Shape of a keep-out in the world, m.
#[derive(Debug, Clone, PartialEq)]
pub enum KeepOutShape {
    /// A ball.
    Sphere {
        /// Its middle.
        centre: Vector3<f64>,
        /// Radius.
        radius: f64,
    },
    /// A round cylinder with flat ends.
    Cylinder {
        /// Middle of one end.
        from: Vector3<f64>,
        /// Middle of the other end.
        to: Vector3<f64>,
        /// Radius.
        radius: f64,
    },
    /// A box along the world's axes.
    Box {
        /// Its middle.
        centre: Vector3<f64>,
        /// Sizes along x, y and z.
        size: Vector3<f64>,
    },
    /// Everything on the far side of a plane.
    HalfSpace {
        /// Points to the free side, unit.
        normal: Vector3<f64>,
        /// A point of the plane.
        at: Vector3<f64>,
    },
    /// A closed surface of triangles, outward right-handed.
    Mesh {
        /// Corners.
        vertices: Vec<Vector3<f64>>,
        /// Corners of each triangle.
        triangles: Vec<[usize; 3]>,
    },
}

/// One load case: what acts at the same time.
#[derive(Debug, Clone, PartialEq)]
pub struct LoadCase {
    /// Name printed in results.
    pub name: String,
    /// What acts, at least one; at most one vector of any direction among them.
    pub loads: Vec<Load>,
    /// Limits for this case alone, in the place of those for all.
    pub limits: Limits,
}

impl LoadCase {
    /// A case of one load, without limits of its own.
    pub fn single(name: impl Into<String>, load: Load) -> Self {
        Self {
            name: name.into(),
            loads: vec![load],
            limits: Limits::default(),
        }
    }

    /// Whether all of it acts along the tool and so through the centre, where it turns no joint.
    pub fn meets_the_centre(&self) -> bool {
        let along = |vector: &LoadVector| match vector {
            LoadVector::Local(local) => local.xy().norm() == 0.0,
            LoadVector::World(world) => world.norm() == 0.0,
            LoadVector::Any(_) => false,
        };
        let nothing = |vector: &LoadVector| match vector {
            LoadVector::Local(vector) | LoadVector::World(vector) => vector.norm() == 0.0,
            LoadVector::Any(_) => false,
        };
        self.loads.iter().all(|load| {
            let on_tool = matches!(load.on, LoadPlace::Tip | LoadPlace::Grip);
            on_tool && along(&load.force) && nothing(&load.moment)
        })
    }

    /// Whether a force or moment of it has any direction.
    pub fn is_of_any_direction(&self) -> bool {
        let any = |vector: &LoadVector| matches!(vector, LoadVector::Any(_));
        let mut loads = self.loads.iter();
        loads.any(|load| any(&load.force) || any(&load.moment))
    }
}

/// A force and a moment on one place.
#[derive(Debug, Clone, PartialEq)]
pub struct Load {
    /// Where it acts.
    pub on: LoadPlace,
    /// Force that acts on the mechanism, N.
    pub force: LoadVector,
    /// Moment that acts on the mechanism, N·m.
    pub moment: LoadVector,
    /// What force and moment keep their direction to while the linkage moves, which the index
    /// under load asks; `None` is as they are written: local components turn with the tool,
    /// components in the world stay.
    pub frame: Option<LoadFrame>,
}

/// What a load keeps its direction to while the linkage moves.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LoadFrame {
    /// The local frame (polar, azimuth, radial) at the tool.
    Tool,
    /// The world.
    World,
}

impl Load {
    /// No force and no moment, on the tip.
    pub const NOTHING: Load = Load {
        on: LoadPlace::Tip,
        force: LoadVector::ZERO,
        moment: LoadVector::ZERO,
        frame: None,
    };
}

/// Where a load acts.
#[derive(Debug, Clone, PartialEq)]
pub enum LoadPlace {
    /// The tool tip.
    Tip,
    /// The grip on the tool.
    Grip,
    /// A bar.
    Bar {
        /// Name of the bar, as results print it, such as `bar-left-1`.
        name: String,
        /// Place along the bar's whole arc, 0 at its first joint, 1 at its last.
        fraction: f64,
    },
}

/// A vector in the local frame of the tool, in the world, or of any direction.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum LoadVector {
    /// Components (polar, azimuth, radial), radial outward, at the tool direction.
    Local(Vector3<f64>),
    /// Components in the world.
    World(Vector3<f64>),
    /// Any direction; what is asked for is sought at its worst.
    Any(Sought),
}

impl LoadVector {
    /// No load.
    pub const ZERO: LoadVector = LoadVector::Local(Vector3::new(0.0, 0.0, 0.0));
}

/// Limits of the brief; an absent limit is no limit.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Limits {
    values: [Option<f64>; Quantity::ALL.len()],
    /// Where in the stated uncertainty they must hold.
    pub judged_at: JudgedAt,
}

impl Limits {
    /// Limits on some quantities, SI.
    pub fn of(limits: impl IntoIterator<Item = (Quantity, f64)>) -> Self {
        let mut all = Self::default();
        for (quantity, limit) in limits {
            all.set(quantity, Some(limit));
        }
        all
    }

    /// The limit on a quantity, SI: the greatest value where less is better, else the least.
    pub fn get(&self, quantity: Quantity) -> Option<f64> {
        self.values[quantity as usize]
    }

    /// Sets or lifts a limit, SI.
    pub fn set(&mut self, quantity: Quantity, limit: Option<f64>) {
        self.values[quantity as usize] = limit;
    }
}

/// Who set each limit of a brief: a person, a standard, a document.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct LimitSources(Vec<(Quantity, String)>);

impl LimitSources {
    /// Sources of some limits.
    pub fn of(sources: impl IntoIterator<Item = (Quantity, String)>) -> Self {
        Self(sources.into_iter().collect())
    }

    /// Who set the limit on a quantity; `None` where the brief does not say.
    pub fn get(&self, quantity: Quantity) -> Option<&str> {
        let mut all = self.0.iter();
        all.find(|(of, _)| *of == quantity)
            .map(|(_, source)| source.as_str())
    }
}

/// What the search may use.
#[derive(Debug, Clone, PartialEq)]
pub struct Choice {
    /// Families to search.
    pub families: Vec<FamilyName>,
    /// Numbers of stages of a scissor linkage.
    pub stages: Vec<usize>,
    /// Arc of each scissor half-link, rad.
    pub arc: Range,
    /// Bend between the stages of a scissor linkage, rad.
    pub bend: Range,
    /// Whether all arcs of a scissor linkage are to be equal, and all its bends.
    pub equal_arcs: bool,
    /// Whether every combination of the steps is gone through, arcs and bends equal, in place of
    /// a search.
    pub full_grid: bool,
    /// Step to which angles are rounded, rad; steps of ranges are those of a full grid alone.
    pub round_angle: f64,
    /// Distance between the two bearings of a joint, m; `None` leaves it as the joints have it.
    pub bearing_spacing: Option<Range>,
    /// Arcs of a two-arc arm, rad; each of the two runs over it.
    pub arm_arc: Range,
    /// Sections.
    pub sections: Vec<Section>,
    /// Materials.
    pub materials: Vec<Material>,
    /// How bars are to be made, whose walls and lands are then asked for; `None` takes the
    /// usual process of each material and asks for nothing.
    pub process: Option<Process>,
    /// Bearings; empty uses the joints as given.
    pub bearings: Vec<Bearing>,
    /// Arrangements of the layers; empty uses the layers as given.
    pub arrangements: Vec<ArrangementChoice>,
    /// Tilt of the base axis against the region's axis, rad.
    pub mount_tilt: Vec<f64>,
    /// Azimuth about the region's axis towards which the mount tilts, rad.
    pub mount_tilt_towards: f64,
    /// Drive layouts of a scissor linkage.
    pub drive_layouts: Vec<DriveLayout>,
}

impl Choice {
    /// Whether all arcs of a scissor linkage are equal, and all its bends: where that is asked for,
    /// and in a full grid.
    pub fn arcs_are_equal(&self) -> bool {
        self.equal_arcs || self.full_grid
    }
}

/// Which bar lies in which layer, as a search may choose.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum ArrangementChoice {
    /// As stated.
    Of(Arrangement),
    /// The fewest layers that leave free what each candidate uses of its range.
    Fewest,
}

/// One objective, with its sense.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Objective {
    /// What is weighed.
    pub quantity: Quantity,
    /// Whether more is better.
    pub maximise: bool,
}
