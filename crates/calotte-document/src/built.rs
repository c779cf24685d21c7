//! What is built, and what it keeps clear of.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
#[cfg(feature = "typescript")]
use ts_rs::TS;

use crate::common::Triple;

/// What layers, bosses and pins leave of the motion.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct Clearing {
    /// Number of layers.
    pub layers: usize,
    /// Distance that parts keep.
    pub clearance_mm: f64,
    /// Working range if no parts were in each other's way.
    pub range_without_parts_deg: Option<FreeRange>,
    /// Pairs that end the working range.
    pub ends: [Option<NearPair>; 2],
    /// Pairs that come nearest, nearest first.
    pub nearest: Vec<NearPair>,
}

/// A working range, °.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct FreeRange {
    /// Ends of the second mechanism angle.
    pub second_mechanism_angle: [f64; 2],
    /// Minimum polar angle.
    pub polar_min: f64,
    /// Maximum polar angle.
    pub polar_max: f64,
}

/// Two parts where they come nearest.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct NearPair {
    /// The one.
    pub first: String,
    /// The other.
    pub second: String,
    /// Their distance; negative where they pass through one another.
    pub distance_mm: f64,
    /// Where; null where their distance never changes.
    pub second_mechanism_angle_deg: Option<f64>,
    /// Polar angle of the tool there.
    pub polar_deg: Option<f64>,
}

/// Two parts at one configuration.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct PartDistance {
    /// The one.
    pub first: String,
    /// The other.
    pub second: String,
    /// Their distance; negative where they pass through one another.
    pub distance_mm: f64,
}

/// What keep-outs leave.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct Surroundings {
    /// Share of the region that surely remains.
    pub coverage_fraction: f64,
    /// Share that is not decided.
    pub coverage_fraction_undecided: f64,
    /// Coverage lost to each keep-out.
    pub coverage_lost: Vec<TakenShare>,
    /// Room that the motion takes.
    pub swept: Option<SweptRoom>,
    /// The stowed position; null where nothing is clear.
    pub stowed: Option<Park>,
}

/// Coverage lost to a keep-out.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct TakenShare {
    /// Its name.
    pub keep_out: String,
    /// Share of the region.
    pub fraction: f64,
}

/// Room that the motion takes.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct SweptRoom {
    /// Radius about the centre.
    pub outer_radius_mm: f64,
    /// Radius about the base axis.
    pub radius_from_base_axis_mm: f64,
    /// Lowest corner.
    pub low_mm: Triple,
    /// Highest corner.
    pub high_mm: Triple,
}

/// The stowed position.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct Park {
    /// Mechanism angles.
    pub mechanism_deg: [f64; 2],
    /// Angle about the base axis within which parts stay.
    pub cap_deg: f64,
    /// What is nearest there.
    pub nearest: Option<NearKeepOut>,
    /// Whether all clear directions are reached freely from there.
    pub all_directions_joined: bool,
    /// The straight insertion; null where none is asked for.
    pub insertion: Option<WayIn>,
}

/// A part near a keep-out.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct NearKeepOut {
    /// The part.
    pub part: String,
    /// The keep-out.
    pub keep_out: String,
    /// Their distance.
    pub distance_mm: f64,
}

/// The straight insertion.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct WayIn {
    /// Direction of the way, world.
    pub direction: Triple,
    /// Whether it is free.
    pub free: bool,
    /// What it meets; null where it is free.
    pub meets: Option<Meeting>,
    /// A way that is free; null where none is required or found.
    pub free_instead: Option<Triple>,
}

/// What a way meets.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct Meeting {
    /// The part; null where the way leads out of the keep-out.
    pub part: Option<String>,
    /// The keep-out.
    pub keep_out: String,
    /// How far from its place.
    pub remaining_mm: Option<f64>,
}

/// Centre lines of the parts at one configuration, base frame.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct Parts {
    /// Diameter of the bosses of joints whose level has none of its own.
    pub boss_diameter_mm: f64,
    /// Bars.
    pub bars: Vec<BarLines>,
    /// Pins.
    pub pins: Vec<PinLine>,
    /// The tool.
    pub tool: ToolLine,
}

/// A bar.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct BarLines {
    /// Its name.
    pub name: String,
    /// Radius of its sphere.
    pub radius_mm: f64,
    /// Its arcs.
    pub arcs: Vec<ArcLine>,
}

/// An arc.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct ArcLine {
    /// From.
    pub from_mm: Triple,
    /// To.
    pub to_mm: Triple,
    /// Lengths within bosses, at both ends.
    pub rigid_mm: [f64; 2],
}

/// A pin.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct PinLine {
    /// Its joint.
    pub joint: String,
    /// What it is clamped in.
    pub clamped_in: String,
    /// What holds its bearings.
    pub bearings_in: String,
    /// From.
    pub from_mm: Triple,
    /// To.
    pub to_mm: Triple,
    /// Diameter.
    pub diameter_mm: f64,
    /// Bore.
    pub bore_mm: f64,
    /// Whether a drive turns it.
    pub driven: bool,
}

/// The tool.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct ToolLine {
    /// What carries it.
    pub carried_by: String,
    /// Its tip.
    pub tip_mm: Triple,
    /// Where it points.
    pub direction: Triple,
}

/// One arrangement of the layers with what it leaves and costs.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct Arrangement {
    /// Number of layers.
    pub layers: usize,
    /// Layer of each bar.
    pub of_bars: Vec<usize>,
    /// Polar angles that it leaves, margins left out.
    pub free_polar_deg: [f64; 2],
    /// Sum of the lengths of the pins.
    pub pin_length_mm: f64,
    /// Minimum stiffness; null without an elastic answer.
    pub minimum_stiffness_n_per_mm: Option<f64>,
    /// Mass that moves; null where it cannot be built.
    pub moving_mass_kg: Option<f64>,
    /// Whether it leaves all that is asked.
    pub leaves_what_is_asked: bool,
}
