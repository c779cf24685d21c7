//! Checks re-run: `calotte verify --json`.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::safety::Safety;

/// All checks.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ChecksDocument {
    /// One for each.
    pub checks: Vec<CheckDocument>,
    /// What to know before anything is built, fitted or used.
    pub safety: Safety,
}

/// A value the program computes beside a value from elsewhere.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct CheckDocument {
    /// Short name, unique among all checks.
    pub id: String,
    /// Where the reference comes from: published, derived, from-memory or common-practice.
    pub kind: String,
    /// The publication with its table or page; or the file and its method; or what is recalled;
    /// or what is done.
    pub source: String,
    /// File of the source repository that derives the reference; null if it is not derived.
    pub file: Option<String>,
    /// What is computed.
    pub quantity: String,
    /// Unit of the four numbers below; "1" for pure numbers.
    pub unit: String,
    /// The value from elsewhere.
    pub reference: f64,
    /// The value of the program; null where it gave an error.
    pub computed: Option<f64>,
    /// |computed − reference|; null where the program gave an error.
    pub difference: Option<f64>,
    /// Maximum difference that holds.
    pub tolerance: f64,
    /// Whether the difference is within the tolerance.
    pub holds: bool,
}
