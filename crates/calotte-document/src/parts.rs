//! Parts to be made: `parts.json` and `calotte parts --json`.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::safety::Safety;

/// The parts of a design.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PartsDocument {
    /// In the order of its solids.
    pub parts: Vec<PartToMake>,
    /// What the reader should know, in words.
    #[serde(default)]
    pub warnings: Vec<String>,
    /// What to know before anything is built, fitted or used.
    pub safety: Safety,
}

/// One part of which a design needs one or more.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PartToMake {
    /// Name of its mesh, binary STL in mm.
    pub file: String,
    /// How many of it the design needs.
    pub count: usize,
    /// Names of the solids it stands for.
    pub solids: Vec<String>,
    /// Volume of the mesh.
    pub volume_mm3: f64,
    /// Size along the three axes of the file.
    pub size_mm: [f64; 3],
    /// Number of triangles.
    pub triangles: usize,
}
