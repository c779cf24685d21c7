//! What every result says about its making.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
#[cfg(feature = "typescript")]
use ts_rs::TS;

/// A file that a result was made of.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct InputFile {
    /// What it is: design, brief, points, weights, fit or prototype.
    pub kind: String,
    /// Name without folder.
    pub file: Option<String>,
    /// SHA-256 of its bytes, hexadecimal.
    pub sha256: String,
}

/// What a result was made of and how; each kind of result has its own options.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct Run<Options> {
    /// Name of the program.
    pub program: String,
    /// Version of the program.
    pub version: String,
    /// Files read.
    pub inputs: Vec<InputFile>,
    /// Seed of random numbers; null where none are used.
    pub seed: Option<u64>,
    /// What the seed begins, or why there is none.
    pub seed_reason: String,
    /// Options as resolved.
    pub options: Options,
    /// What the reader should know, in words.
    pub warnings: Vec<String>,
}

/// Options of an analysis.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct AnalysisRun {
    /// Polar angles in the region, both ends included.
    pub rings: usize,
    /// Azimuths on each, about.
    pub azimuths_a_ring: usize,
    /// Whether the ends of bands are evaluated too.
    pub bands: bool,
    /// Where the region comes from.
    pub region: String,
}

/// Options of a search and of the analysis of its choice.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct SearchRun {
    /// How candidates are gone through.
    pub search: String,
    /// Effort: angles screened on each kind of linkage for each free angle; four times as many
    /// where no parts lie in layers, up to 20,000. Null of a full grid.
    pub screened: Option<usize>,
    /// Effort: candidates looked at on each kind of linkage for each free angle and once more;
    /// twice as many where parts lie in layers. Null of a full grid.
    pub looked_at: Option<usize>,
    /// Polar angles by which a combination is judged.
    pub search_rings: usize,
    /// Azimuths on each, about.
    pub search_azimuths_a_ring: usize,
    /// Polar angles in the analysis, both ends included.
    pub rings: usize,
    /// Azimuths on each, about.
    pub azimuths_a_ring: usize,
    /// Whether the ends of bands are evaluated too.
    pub bands: bool,
}

/// Options of a map.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct MapRun {
    /// Quantities shown.
    pub show: Vec<String>,
    /// Variables changed for the whole map, each with its value.
    pub set: Vec<(String, f64)>,
    /// Polar angle where elastic quantities are taken; null for the worst over the region.
    pub at_polar_deg: Option<f64>,
    /// Reaches whose lines are drawn.
    pub lines_of_reach_deg: Vec<f64>,
    /// Whether values are given without unit.
    pub dimensionless: bool,
    /// Polar angles in the region, both ends included.
    pub polar_angles_in_region: usize,
    /// Azimuths at each, about.
    pub azimuths_at_each: usize,
}

/// Options of a fit.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct FitRun {
    /// Parameters that stay at the design's values, by name.
    pub hold: Vec<String>,
    /// Whether the sag that the elastic model gives is added.
    pub sag: bool,
}

/// No options.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct NoOptions {}
