//! Safety of people: what every document says first, whoever it is handed to.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
#[cfg(feature = "typescript")]
use ts_rs::TS;

/// What to know before anything is built, fitted or used from these numbers. The paragraph
/// stands in every document; the lists are left out where many documents follow one another.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct Safety {
    /// What comes first, the hazards and what is not assessed, in one paragraph.
    pub notice: String,
    /// Each hazard in a sentence.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[cfg_attr(feature = "typescript", ts(optional))]
    pub hazards: Option<Vec<String>>,
    /// What no result answers.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[cfg_attr(feature = "typescript", ts(optional))]
    pub excluded: Option<Vec<String>>,
    /// What to do at the bench; only of measurements.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[cfg_attr(feature = "typescript", ts(optional))]
    pub bench: Option<Vec<String>>,
    /// Standards from memory; whether one applies is decided by the responsible person.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[cfg_attr(feature = "typescript", ts(optional))]
    pub standards: Option<Vec<String>>,
}
