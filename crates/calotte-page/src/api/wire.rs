//! What goes between page and program: one type for each question and answer.
//!
//! Lengths in mm, angles in degrees, the rest SI, with the unit in the name, as in
//! the files. `web/src/api/types.ts` is written from these types by a test.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};
use serde_json::value::RawValue;

#[cfg(test)]
use ts_rs::TS;

/// Three components x, y, z.
pub(crate) type Triple = [f64; 3];

/// A design and, where it is judged, the text of its brief. The design is an object
/// of the keys of a design file.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Judged {
    /// The design, in the keys of a design file.
    pub design: Box<RawValue>,
    /// The brief, as the text of a brief file.
    #[serde(default)]
    pub brief: Option<String>,
}

/// A direction in the base frame.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(test, derive(TS))]
#[serde(deny_unknown_fields)]
pub(crate) struct PolarAzimuth {
    /// From the base axis, °.
    pub polar: f64,
    /// About the base axis, °.
    pub azimuth: f64,
}

/// One problem of a file or of a design on the page.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(test, derive(TS))]
pub(crate) struct FileProblem {
    /// Line in the text, from 1.
    pub line: u32,
    /// The key with its tables; empty where there is none.
    pub key: String,
    /// The value as written.
    pub value: String,
    /// What is wrong.
    pub message: String,
    /// What is allowed.
    pub allowed: String,
    /// What to try.
    pub hint: String,
}

/// A text, to be read.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct TextAsked {
    /// The text of a file.
    pub text: String,
}

/// A design with some numbers changed, in the words of `--set`.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct ChangeAsked {
    /// The design.
    pub design: Box<RawValue>,
    /// Such as `stages=3` or `total_arc_deg=94`.
    pub set: Vec<String>,
}

/// A design as an object and as the text of its file.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(test, derive(TS))]
pub(crate) struct DesignAnswer {
    /// The design with every key written out.
    #[cfg_attr(test, ts(type = "DesignFile"))]
    pub design: serde_json::Value,
    /// The same as the text of a file.
    pub text: String,
}

/// What a brief says, for choosing loads and objectives on the page.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(test, derive(TS))]
pub(crate) struct BriefAnswer {
    /// Its title.
    pub title: String,
    /// The need in a few sentences.
    pub words: Vec<String>,
    /// Names of the load cases.
    pub loads: Vec<String>,
    /// Combinations a search would go through.
    pub combinations: u32,
    /// What no search can mend, in words.
    pub precheck: Vec<String>,
    /// Whether people are near the instrument.
    pub people_near: bool,
    /// Why the brief judges a design but cannot start a search; null if it can.
    pub no_search: Option<String>,
}

/// A material of the table shipped.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(test, derive(TS))]
pub(crate) struct MaterialRow {
    /// Name, as files write it.
    pub name: String,
    /// Its table as files write it, with all values.
    #[cfg_attr(test, ts(type = "DesignFile['material']"))]
    pub table: serde_json::Value,
}

/// What does not depend on any design.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(test, derive(TS))]
pub(crate) struct AboutAnswer {
    /// Version of the program.
    pub version: String,
    /// Materials shipped.
    pub materials: Vec<MaterialRow>,
    /// One line that is always shown.
    pub caution_line: String,
    /// The line where people are near the instrument.
    pub people_line: String,
    /// The cautions in full.
    pub caution_paragraphs: Vec<String>,
    /// Standards by number and title, each with why it matters.
    pub standards: Vec<[String; 2]>,
    /// What a map can vary: word, label, unit, least and greatest value.
    pub variables: Vec<VariableRow>,
    /// What a map can show: word, label, unit.
    pub quantities: Vec<QuantityRow>,
    /// A commented brief to start from.
    pub brief_template: String,
}

/// What a map can vary.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(test, derive(TS))]
pub(crate) struct VariableRow {
    /// The word of the command line.
    pub word: String,
    /// Label in figures.
    pub label: String,
    /// Unit; empty for none.
    pub unit: String,
    /// Least value.
    pub least: f64,
    /// Greatest value.
    pub greatest: f64,
}

/// What a map can show.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(test, derive(TS))]
pub(crate) struct QuantityRow {
    /// The word of the command line.
    pub word: String,
    /// Label in figures.
    pub label: String,
    /// Unit; empty for none.
    pub unit: String,
    /// Whether joints change it, so that rigid ones are worth showing beside.
    pub depends_on_joints: bool,
}

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
}

/// A joint.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(test, derive(TS))]
pub(crate) struct JointShape {
    /// Name as results print it.
    pub name: String,
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
    /// The section in words.
    pub section_words: String,
    /// Number of stages; null for families without.
    pub stages: Option<u32>,
    /// Sum of the arcs of a branch, °.
    pub total_arc_deg: f64,
    /// Radius of the centre lines, mm.
    pub joint_radius_mm: f64,
    /// Section.
    pub section: SectionShape,
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
    /// The one working range; null without a configuration that has the margins.
    pub working_range: Option<WorkingRangeShape>,
    /// Bars a load can name.
    pub bars: Vec<String>,
    /// Mass of what moves without the tool, kg.
    pub moving_mass_kg: f64,
    /// Where to begin: active joint angles in the middle of the range, °.
    pub start_joints_deg: [f64; 2],
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

/// A working range.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(test, derive(TS))]
pub(crate) struct WorkingRangeShape {
    /// Least polar angle, °.
    pub polar_min_deg: f64,
    /// Greatest polar angle, °.
    pub polar_max_deg: f64,
    /// What ends it at the ends of the second mechanism angle.
    pub limited_by: [String; 2],
}

/// Where the tool is to be.
#[derive(Debug, Clone, Deserialize)]
#[cfg_attr(test, derive(TS))]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub(crate) enum Target {
    /// Active joint angles, °.
    JointsDeg([f64; 2]),
    /// Tool direction in the base frame.
    DirectionDeg(PolarAzimuth),
    /// A joint dragged towards a direction.
    Joint {
        /// Index of the joint.
        joint: usize,
        /// Where it is pulled, base frame.
        towards: Triple,
        /// Active joint angles now, °: the nearest solution is taken.
        from_deg: [f64; 2],
    },
}

/// What acts on the linkage.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[cfg_attr(test, derive(TS))]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub(crate) enum LoadAsked {
    /// A load case of the brief, by name.
    Case(String),
    /// Own weight.
    Weight,
    /// A force on the tip, N: polar, azimuth, radial.
    TipN(Triple),
}

/// One configuration.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct PoseAsked {
    /// The design.
    pub design: Box<RawValue>,
    /// The brief.
    #[serde(default)]
    pub brief: Option<String>,
    /// Where to.
    pub to: Target,
    /// What acts.
    #[serde(default)]
    pub load: Option<LoadAsked>,
    /// Whether rigid joints are asked for.
    #[serde(default)]
    pub rigid_joints: bool,
}

/// One configuration of the agreed list of `analyse --json`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(test, derive(TS))]
pub(crate) struct ConfigurationDocument {
    /// Active joint angles, °.
    pub joints_deg: [f64; 2],
    /// Tool direction, base frame.
    pub direction_deg: PolarAzimuth,
    /// Passive joint angles by name, °.
    pub passive_deg: BTreeMap<String, f64>,
    /// Roll of the tool, °.
    pub roll_deg: f64,
    /// Local conditioning index.
    pub lci: f64,
    /// Least transmission angle, °; null for families without.
    pub transmission_angle_deg: Option<f64>,
    /// 6×6, SI, local frame polar, azimuth, radial at the tip.
    pub compliance: Option<Vec<Vec<f64>>>,
    /// Why there is none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[cfg_attr(test, ts(optional))]
    pub compliance_reason: Option<String>,
    /// Its scalars.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[cfg_attr(test, ts(optional))]
    pub stiffness: Option<StiffnessDocument>,
    /// Torque the drives give against weight, N·m.
    pub holding_torque_nm: Option<[f64; 2]>,
    /// Why there is none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[cfg_attr(test, ts(optional))]
    pub holding_torque_reason: Option<String>,
}

/// Scalars of a compliance, N/m.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(test, derive(TS))]
pub(crate) struct StiffnessDocument {
    /// Least translational stiffness.
    pub least_n_per_m: f64,
    /// Greatest.
    pub greatest_n_per_m: f64,
    /// Along the polar direction.
    pub polar_n_per_m: f64,
    /// Along azimuth.
    pub azimuth_n_per_m: f64,
    /// Along the radius.
    pub radial_n_per_m: f64,
    /// λmin/λmax of the tangential compliance.
    pub tangential_isotropy: f64,
}

/// A direction that cannot be reached.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(test, derive(TS))]
pub(crate) struct NotReached {
    /// What was asked.
    pub wanted_deg: PolarAzimuth,
    /// How far the nearest reachable one is, °.
    pub distance_deg: f64,
}

/// The pose asked for.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(test, derive(TS))]
pub(crate) struct PoseAnswer {
    /// Per body base components from body components, 3×3, row by row.
    pub rotations: Vec<[f64; 9]>,
    /// The numbers, as `analyse --json` gives them.
    pub configuration: ConfigurationDocument,
    /// Set where the nearest direction is shown instead of the one asked for.
    pub not_reached: Option<NotReached>,
    /// Whether the configuration lies in the working range.
    pub in_range: bool,
    /// The stage nearest to type 2 with its transmission angle; null for families without.
    pub closing: Option<ClosingStage>,
    /// What the load does.
    pub load: Option<LoadAnswer>,
    /// Why the load has no answer.
    pub load_reason: Option<String>,
    /// Time the program took, ms.
    pub computed_ms: f64,
}

/// The stage nearest to a type 2 singularity.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(test, derive(TS))]
pub(crate) struct ClosingStage {
    /// Counted from 1 at the base.
    pub stage: u32,
    /// Its transmission angle, °.
    pub transmission_angle_deg: f64,
    /// The margin asked for, °.
    pub margin_deg: f64,
}

/// A loaded linkage.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(test, derive(TS))]
pub(crate) struct LoadAnswer {
    /// Name of the load.
    pub name: String,
    /// Point of attack, base frame, mm.
    pub at_mm: Triple,
    /// Force, base frame, N.
    pub force_n: Triple,
    /// Displacement of the tip, local frame polar, azimuth, radial, mm.
    pub tip_mm: Triple,
    /// Its norm, mm.
    pub deflection_mm: f64,
    /// Share of the strain energy in each body's arcs, in the order of the bodies.
    pub shares: Vec<f64>,
    /// Shares of the strain energy: arcs, joints, drives, base.
    pub causes: [f64; 4],
    /// Centre lines and where the load takes them.
    pub arcs: Vec<ArcUnderLoad>,
    /// The tip without and with the load, base frame, mm.
    pub tip: [Triple; 2],
}

/// A centre line under load, base frame, mm.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(test, derive(TS))]
pub(crate) struct ArcUnderLoad {
    /// Points without load.
    pub points: Vec<Triple>,
    /// The same points displaced, not enlarged.
    pub moved: Vec<Triple>,
}

/// A requirement, needed against got.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(test, derive(TS))]
pub(crate) struct RequirementRow {
    /// Name, as the terminal prints it.
    pub name: String,
    /// Name of the quantity in results.
    pub quantity: String,
    /// The load case, for a contact deflection.
    pub load: Option<String>,
    /// Unit of the numbers below; empty for none.
    pub unit: String,
    /// Whether the value must be at least what is needed.
    pub at_least: bool,
    /// Needed; null if nothing is.
    pub needed: Option<f64>,
    /// Got; null with a reason.
    pub got: Option<f64>,
    /// Why there is no value.
    pub reason: Option<String>,
    /// Spread over the bands.
    pub band: Option<[f64; 2]>,
    /// Whether it is met; null if nothing is needed.
    pub met: Option<bool>,
    /// Whether it is met over the bands too.
    pub band_met: Option<bool>,
    /// Needed, in words.
    pub needed_words: String,
    /// Got, in words.
    pub got_words: String,
    /// Margin, in words.
    pub margin_words: String,
    /// Where it is worst.
    pub worst_at_deg: Option<PolarAzimuth>,
    /// What governs.
    pub note: String,
}

/// Values along the polar angle.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(test, derive(TS))]
pub(crate) struct RingRow {
    /// Polar angle, °.
    pub polar_deg: f64,
    /// Local conditioning index.
    pub lci: f64,
    /// Least transmission angle, °.
    pub transmission_angle_deg: Option<f64>,
    /// Least stiffness, N/mm.
    pub least_n_per_mm: f64,
    /// Stiffness along polar, azimuth, radial, N/mm.
    pub along_n_per_mm: Triple,
    /// Greatest contact deflection of each load case, mm.
    pub contact_mm: Vec<f64>,
    /// Greatest sag, mm.
    pub sag_mm: f64,
    /// Greatest holding torque of either drive, N·m.
    pub torque_nm: f64,
    /// Shares of the compliance along the softest direction: arcs, joints, drives, base.
    pub causes: [f64; 4],
}

/// The whole analysis.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(test, derive(TS))]
pub(crate) struct AnalysisAnswer {
    /// Whether every limit is met; null if nothing is required.
    pub met: Option<bool>,
    /// Requirements with a limit first, then what is worth knowing.
    pub rows: Vec<RequirementRow>,
    /// Both types of singularity, in words.
    pub singular_words: String,
    /// Cautions that follow from the numbers.
    pub cautions: Vec<String>,
    /// Values along the polar angle.
    pub rings: Vec<RingRow>,
    /// Names of the load cases, in the order of `contact_mm`.
    pub loads: Vec<String>,
    /// Greatest load on each joint.
    pub joint_loads: Vec<JointLoadRow>,
    /// Polar angle at which the least stiffness lies, °.
    pub softest_polar_deg: Option<f64>,
}

/// The greatest load on a joint.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(test, derive(TS))]
pub(crate) struct JointLoadRow {
    /// The joint.
    pub joint: String,
    /// Along its own axis, N.
    pub axial_n: f64,
    /// Across it, N.
    pub radial_n: f64,
    /// Tilting it, N·m.
    pub tilt_nm: f64,
}

/// What the dome is coloured by.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[cfg_attr(test, derive(TS))]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub(crate) enum DomeQuantity {
    /// Local conditioning index.
    Lci,
    /// Least translational stiffness.
    Stiffness,
    /// Contact deflection by a load case of the brief.
    Contact(String),
    /// Sag by own weight.
    Sag,
    /// Greatest holding torque of either drive.
    HoldingTorque,
}

/// A quantity over the dome.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct DomeAsked {
    /// The design.
    pub design: Box<RawValue>,
    /// The brief.
    #[serde(default)]
    pub brief: Option<String>,
    /// What to colour by.
    pub quantity: DomeQuantity,
    /// Polar angles.
    pub rings: u32,
    /// Azimuths.
    pub around: u32,
    /// Whether rigid joints are asked for.
    #[serde(default)]
    pub rigid_joints: bool,
}

/// A cap on the sphere.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(test, derive(TS))]
pub(crate) struct CapShape {
    /// Base frame, unit.
    pub axis: Triple,
    /// Half angle, °.
    pub half_angle_deg: f64,
    /// Whether it is taken out of the region (else it is the region itself).
    pub excluded: bool,
    /// Why it is excluded.
    pub why: String,
}

/// A part of the sphere to be marked.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(test, derive(TS))]
pub(crate) struct ZoneShape {
    /// What it is.
    pub kind: ZoneKind,
    /// In words.
    pub name: String,
    /// Polylines of unit vectors, base frame.
    pub outlines: Vec<Vec<Triple>>,
    /// Bands about the base axis, polar from and to, °.
    pub bands_deg: Vec<[f64; 2]>,
}

/// What a zone is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[cfg_attr(test, derive(TS))]
#[serde(rename_all = "kebab-case")]
pub(crate) enum ZoneKind {
    /// The required region.
    Region,
    /// Taken out of the region.
    Excluded,
    /// Outside the working range.
    Reach,
    /// Near or at a type 1 singularity.
    #[serde(rename = "type-1")]
    #[cfg_attr(test, ts(rename = "type-1"))]
    TypeOne,
    /// Near or at a type 2 singularity.
    #[serde(rename = "type-2")]
    #[cfg_attr(test, ts(rename = "type-2"))]
    TypeTwo,
}

/// A quantity on a grid of polar angle by azimuth, base frame.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(test, derive(TS))]
pub(crate) struct DomeAnswer {
    /// Label.
    pub label: String,
    /// Unit; empty for none.
    pub unit: String,
    /// Polar angles, °, ascending.
    pub polar_deg: Vec<f64>,
    /// Azimuths, °, ascending from 0 to 360.
    pub azimuth_deg: Vec<f64>,
    /// Row by row (a row is one polar angle); null without a value.
    pub values: Vec<Option<f64>>,
    /// 0 covered, 1 outside the working range, 2 excluded, 3 outside the region.
    pub state: Vec<u8>,
    /// Least value over the covered nodes; null without any.
    pub low: Option<f64>,
    /// Greatest value over the covered nodes.
    pub high: Option<f64>,
    /// Circular edges.
    pub caps: Vec<CapShape>,
    /// Zones.
    pub zones: Vec<ZoneShape>,
    /// Why there is no value anywhere; null if there is one.
    pub reason: Option<String>,
}

/// How many stages are stiffest at equal total arc.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct StagesAsked {
    /// The design.
    pub design: Box<RawValue>,
    /// The brief.
    #[serde(default)]
    pub brief: Option<String>,
    /// Up to how many.
    pub stages_max: u32,
}

/// Least stiffness by number of stages.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(test, derive(TS))]
pub(crate) struct StagesAnswer {
    /// One row each.
    pub rows: Vec<StageRow>,
    /// Stiffest with rigid joints.
    pub best_rigid: Option<u32>,
    /// Stiffest with the design's joints.
    pub best_real: Option<u32>,
}

/// One number of stages.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(test, derive(TS))]
pub(crate) struct StageRow {
    /// Number of stages.
    pub stages: u32,
    /// Least stiffness with rigid joints, N/mm.
    pub rigid_n_per_mm: Option<f64>,
    /// Least stiffness with the design's joints, N/mm.
    pub real_n_per_mm: Option<f64>,
}

/// A map, in the words of `calotte map`.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct MapAsked {
    /// The design.
    pub design: Box<RawValue>,
    /// The brief.
    #[serde(default)]
    pub brief: Option<String>,
    /// Along the figure.
    pub x: String,
    /// Up the figure.
    pub y: String,
    /// The quantity.
    pub show: String,
    /// Lines of equal reach.
    #[serde(default)]
    pub line: Option<String>,
    /// Changed for the whole map.
    #[serde(default)]
    pub set: Vec<String>,
    /// Where elastic quantities are taken.
    #[serde(default)]
    pub at: Option<String>,
}

/// An axis of a map.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(test, derive(TS))]
pub(crate) struct MapAxis {
    /// The word of the variable.
    pub word: String,
    /// Label.
    pub label: String,
    /// Unit; empty for none.
    pub unit: String,
    /// Values.
    pub values: Vec<f64>,
}

/// One cell of a map.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(test, derive(TS))]
pub(crate) struct MapCell {
    /// Position, one row of x after the other.
    pub index: u32,
    /// Value with rigid joints.
    pub rigid: Option<f64>,
    /// Value with the design's joints.
    pub real: Option<f64>,
    /// Why there is none, or why it does not compare.
    pub reason: Option<String>,
    /// Whether the region is reached, so that the value compares with others.
    pub reaches_region: bool,
}

/// What a map sends as it goes.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(test, derive(TS))]
pub(crate) struct MapPart {
    /// Axes and quantity; only in the first part.
    pub head: Option<MapHead>,
    /// Cells done since the last part.
    pub cells: Vec<MapCell>,
}

/// Axes and quantity of a map.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(test, derive(TS))]
pub(crate) struct MapHead {
    /// Along the figure.
    pub x: MapAxis,
    /// Up the figure.
    pub y: MapAxis,
    /// What is shown.
    pub quantity: QuantityRow,
    /// What stays, in words.
    pub settings: Vec<[String; 2]>,
    /// Number of cells.
    pub cells: u32,
}

/// The end of a map.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(test, derive(TS))]
pub(crate) struct MapDone {
    /// Lines of equal reach.
    pub lines: Vec<EqualReach>,
}

/// Designs of one reach on a map.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(test, derive(TS))]
pub(crate) struct EqualReach {
    /// The reach, °.
    pub reach_deg: f64,
    /// Points in the units of the axes, x then y; null where the map does not enclose it.
    pub points: Vec<Option<[f64; 2]>>,
}

/// A search.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct SearchAsked {
    /// The text of the brief.
    pub brief: String,
}

/// One candidate with elastic values.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(test, derive(TS))]
pub(crate) struct CandidateRow {
    /// Position in the grid, from 0.
    pub index: u32,
    /// Whether every limit is met.
    pub met: bool,
    /// Values in the order of the columns.
    pub values: Vec<Option<f64>>,
    /// The linkage in a few words.
    pub name: String,
}

/// A column of the candidates.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(test, derive(TS))]
pub(crate) struct CandidateColumn {
    /// The word of the brief's objectives.
    pub word: String,
    /// Label.
    pub label: String,
    /// Unit; empty for none.
    pub unit: String,
    /// Whether more is better; as the brief has it, or as is plain.
    pub more_is_better: bool,
    /// Whether the brief names it as an objective.
    pub objective: bool,
}

/// What a search sends as it goes.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(test, derive(TS))]
pub(crate) struct SearchPart {
    /// Columns; only in the first part.
    pub columns: Option<Vec<CandidateColumn>>,
    /// Combinations in the grid.
    pub combinations: u32,
    /// Combinations judged so far.
    pub judged: u32,
    /// Candidates judged since the last part that have elastic values.
    pub candidates: Vec<CandidateRow>,
    /// The front so far, by index.
    pub front: Vec<u32>,
    /// The choice so far, by index.
    pub chosen: Option<u32>,
    /// Candidates so far that meet every limit.
    pub feasible: u32,
}

/// A candidate, to be seen.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct CandidateAsked {
    /// The text of the brief.
    pub brief: String,
    /// Its index.
    pub index: u32,
}
