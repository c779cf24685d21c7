//! The linkage as drawn.

use calotte_document::common::Triple;
use serde::Serialize;
#[cfg(test)]
use ts_rs::TS;

/// The shape of a section, all sizes in mm.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(test, derive(TS))]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub(crate) enum SectionShape {
    /// A rectangle, hollow where it has a wall.
    Rectangle {
        /// Across the bar along the sphere, mm.
        tangential_mm: f64,
        /// Along the sphere's radius, mm.
        radial_mm: f64,
        /// Wall, mm; null if solid.
        wall_mm: Option<f64>,
    },
    /// A round bar, hollow where it has an inner diameter.
    Round {
        /// Outer diameter, mm.
        outer_mm: f64,
        /// Inner diameter, mm; null if solid.
        inner_mm: Option<f64>,
    },
}

/// A body in its own frame.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(test, derive(TS))]
pub(crate) struct BodyShape {
    /// Name as results print it.
    pub name: String,
    /// Joint directions, unit vectors.
    pub stations: Vec<Triple>,
    /// Arcs between stations, by index.
    pub arcs: Vec<[u32; 2]>,
    /// Its section.
    pub section: SectionShape,
}

/// What a joint is in its linkage.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[cfg_attr(test, derive(TS))]
#[serde(rename_all = "kebab-case")]
pub(crate) enum JointRole {
    /// Ties a bar to the ground.
    Base,
    /// Between two bars of one branch.
    Side,
    /// Where the branches meet.
    Apex,
    /// Carries the tool's own body, under the tool's own handle.
    Tool,
}

/// A joint.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(test, derive(TS))]
pub(crate) struct JointShape {
    /// Name as results print it.
    pub name: String,
    /// What it is in its linkage.
    pub role: JointRole,
    /// Body by which its place is drawn.
    pub body: u32,
    /// Station of that body.
    pub station: u32,
    /// Whether it can be dragged: moving it moves the linkage.
    pub handle: bool,
}

/// The linkage as drawn, with what follows at once.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(test, derive(TS))]
pub(crate) struct LinkageAnswer {
    /// The family with its angles in words.
    pub words: String,
    /// Number of stages; null for families without.
    pub stages: Option<u32>,
    /// Sum of the arcs of a branch, °.
    pub total_arc_deg: f64,
    /// Radius of the centre lines, mm.
    pub joint_radius_mm: f64,
    /// Section of bars that have none of their own.
    pub section: SectionShape,
    /// What differs from it and from the joints of most levels, in words; empty where all are
    /// alike.
    pub differing: Vec<String>,
    /// Diameter of the bosses, mm; 0 for none.
    pub boss_diameter_mm: f64,
    /// Bodies; the first is the ground.
    pub bodies: Vec<BodyShape>,
    /// Joints.
    pub joints: Vec<JointShape>,
    /// The tool.
    pub tool: ToolShape,
    /// Base components to world components, 3×3, row by row.
    pub world_from_base: [f64; 9],
    /// Names of the active joints, in order.
    pub active_names: [String; 2],
    /// Bars a load can name.
    pub bars: Vec<String>,
    /// Where to begin: active joint angles in the middle of the range, °.
    pub start_joints_deg: [f64; 2],
    /// Number of layers of what is built; null where nothing is.
    pub layers: Option<u32>,
}

/// The tool on its body.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(test, derive(TS))]
pub(crate) struct ToolShape {
    /// Body that carries it.
    pub body: u32,
    /// Tool direction in that body's frame, unit.
    pub direction: Triple,
    /// Distance of the tip from the centre, mm.
    pub tip_radius_mm: f64,
    /// Distance of the centre of mass from the centre, mm.
    pub centre_of_mass_radius_mm: f64,
}
