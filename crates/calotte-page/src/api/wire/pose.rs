//! One configuration, and what a load does to it.

use calotte_document::common::{PolarAzimuth, Triple};
use calotte_document::configuration::ConfigurationDocument;
use serde::{Deserialize, Serialize};
use serde_json::value::RawValue;
#[cfg(test)]
use ts_rs::TS;

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

/// An answer over the WebSocket of poses.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(test, derive(TS))]
#[serde(untagged)]
pub(crate) enum PoseReply {
    /// What was asked for.
    Answer {
        /// The pose.
        pose: Box<PoseAnswer>,
    },
    /// Why there is none.
    Refusal {
        /// What is wrong and what to try.
        #[cfg_attr(test, ts(type = "{ error: string; hint: string | null }"))]
        refused: serde_json::Value,
        /// The status that a request would have.
        status: u16,
    },
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
    /// Displacement of the tip, mm.
    pub deflection_mm: f64,
    /// Share of the strain energy in each body's arcs, in the order of the bodies.
    pub shares: Vec<f64>,
    /// Shares of the strain energy: arcs, joints, pins, drives, base.
    pub causes: [f64; 5],
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
