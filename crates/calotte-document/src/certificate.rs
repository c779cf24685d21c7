//! What was proved of linkages of two arcs, beside what was searched.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
#[cfg(feature = "typescript")]
use ts_rs::TS;

/// What was proved, and of what nothing was.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
#[serde(deny_unknown_fields)]
pub struct Certificates {
    /// One for each class that can be proved.
    pub proved: Vec<CertificateDocument>,
    /// What was searched only, in words.
    pub searched_only: Vec<String>,
    /// The same in sentences.
    pub words: Vec<String>,
}

/// What no linkage of a class does, over a box of both its arcs.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
#[serde(deny_unknown_fields)]
pub struct CertificateDocument {
    /// The family.
    pub family: String,
    /// Number of stages; null for what is not made of stages.
    pub stages: Option<usize>,
    /// Drive layout; null where the family has one only.
    pub drive_layout: Option<String>,
    /// Minimum and maximum near arc (proximal, or first).
    pub near_arc_deg: [f64; 2],
    /// Minimum and maximum far arc (distal, or second).
    pub far_arc_deg: [f64; 2],
    /// Tilts of the base axis against the axis of the region.
    pub mount_tilts_deg: Vec<f64>,
    /// Share of the region that is to be covered.
    pub coverage_min: f64,
    /// Limit on the transmission angle over what is covered; 0 is none.
    pub transmission_angle_min_deg: f64,
    /// Limit on LCI over what is covered; 0 is none.
    pub lci_min: f64,
    /// Limit on the GCI; null without one.
    pub gci_min: Option<f64>,
    /// Impossible, possible or undecided: whether a linkage of the class keeps these limits.
    pub verdict: String,
    /// The quantity whose limit cannot be kept together with those above it; null unless
    /// impossible.
    pub impossible_for: Option<String>,
    /// The minimum LCI over what is covered, coverage and transmission angle kept.
    pub minimum_lci: BoundDocument,
    /// The GCI, coverage, transmission angle and minimum LCI kept; null where that is impossible.
    pub gci: Option<BoundDocument>,
}

/// A number that no linkage of a class passes.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
#[serde(deny_unknown_fields)]
pub struct BoundDocument {
    /// The bound; null where no linkage of the class covers enough.
    pub upper: Option<f64>,
    /// The best that was found, by the ordinary analysis; null where none was.
    pub found: Option<FoundLinkage>,
    /// Bound less what was found; null without one of them.
    pub gap: Option<f64>,
    /// Boxes that were looked at.
    pub boxes: usize,
}

/// A linkage of two arcs.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
#[serde(deny_unknown_fields)]
pub struct FoundLinkage {
    /// Near arc.
    pub near_arc_deg: f64,
    /// Far arc.
    pub far_arc_deg: f64,
    /// Assembly modes of its stages; empty without stages.
    pub assembly_modes: Vec<i8>,
    /// Tilt of the base axis against the axis of the region.
    pub mount_tilt_deg: f64,
    /// Its minimum LCI, or its GCI.
    pub value: f64,
    /// Share of the region that it covers.
    pub coverage: f64,
}
