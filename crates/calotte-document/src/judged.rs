//! A line of `calotte judge`: a verdict, or why there is none.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::analysis::AnalysisDocument;
use crate::safety::Safety;

/// The answer to one design.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(untagged)]
pub enum JudgedDocument {
    /// It was judged.
    Verdict(Box<Verdict>),
    /// It could not be judged.
    Refusal(Refusal),
}

/// A design with its verdict and all quantities.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Verdict {
    /// Number of the design's line, counted from 1, blank lines too.
    pub line: usize,
    /// As `calotte analyse --json` answers; the lists of rings and configurations only where
    /// they are asked for.
    #[serde(flatten)]
    pub document: AnalysisDocument,
}

/// A line without a verdict.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Refusal {
    /// Number of the line, counted from 1, blank lines too.
    pub line: usize,
    /// Null: there is no verdict.
    pub met: (),
    /// Why.
    pub error: LineError,
    /// The paragraph alone.
    pub safety: Safety,
}

/// Why a line has no verdict.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct LineError {
    /// What is wrong, in one sentence.
    pub message: String,
    /// What to try.
    pub hint: String,
    /// Every problem of keys of design or brief; empty where no key is at fault.
    pub problems: Vec<KeyProblem>,
}

/// One problem of a design.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct KeyProblem {
    /// The key with the tables it lies in; empty where there is none.
    pub key: String,
    /// The value as a design file would have it.
    pub value: String,
    /// What is wrong.
    pub message: String,
    /// What is allowed.
    pub allowed: String,
    /// What to try.
    pub hint: String,
}
