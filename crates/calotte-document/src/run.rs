//! What every result says about its making.

use std::collections::BTreeMap;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use serde_json::Value;
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

/// What a result was made of and how.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct Run {
    /// Name of the program.
    pub program: String,
    /// Version of the program.
    pub version: String,
    /// Files read.
    pub inputs: Vec<InputFile>,
    /// Seed of random numbers; null where none are used.
    pub seed: Option<u64>,
    /// Why there is no seed.
    pub seed_reason: String,
    /// Options as resolved.
    #[cfg_attr(feature = "typescript", ts(type = "Record<string, unknown>"))]
    pub options: BTreeMap<String, Value>,
    /// What the reader should know, in words.
    pub warnings: Vec<String>,
}
