//! The map and the candidates.

use super::design::QuantityRow;
use serde::{Deserialize, Serialize};
use serde_json::value::RawValue;
#[cfg(test)]
use ts_rs::TS;

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
    /// What the values stand beside, in words; null for one kind of value.
    pub beside: Option<String>,
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
    /// Its number: in the order in which candidates come, in the end that of `calotte design`.
    pub index: u32,
    /// What it is called in asking for it.
    pub key: String,
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
    /// The brief's limit on it, in the unit; null without one.
    pub limit: Option<f64>,
}

/// What a search sends as it goes.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(test, derive(TS))]
pub(crate) struct SearchPart {
    /// Columns; only in the first part.
    pub columns: Option<Vec<CandidateColumn>>,
    /// Candidates that are looked at at most.
    pub of: u32,
    /// Candidates looked at so far.
    pub looked_at: u32,
    /// Candidates judged since the last part that have elastic values.
    pub candidates: Vec<CandidateRow>,
    /// The front so far, by index.
    pub front: Vec<u32>,
    /// The choice so far, by index.
    pub chosen: Option<u32>,
    /// Candidates so far that meet every limit as the search looks at them.
    pub feasible: u32,
    /// In the last part: candidates told before as meeting every limit, by index, that miss one
    /// by the whole analysis.
    pub withdrawn: Vec<u32>,
    /// Whether candidates stand in place of all that were told before, with other numbers.
    pub afresh: bool,
}

/// The end of a search.
#[derive(Debug, Clone, Default, Serialize)]
#[cfg_attr(test, derive(TS))]
pub(crate) struct SearchDone {
    /// What is said of the choice.
    pub said: Option<ChoiceSaid>,
    /// Why nothing is.
    pub reason: Option<String>,
}

/// What is said of the choice, in the words of `calotte design`.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(test, derive(TS))]
pub(crate) struct ChoiceSaid {
    /// The choice, by index.
    pub candidate: u32,
    /// The chosen design.
    pub chosen: Labelled,
    /// What it beat.
    pub rejected: Vec<String>,
    /// The limits that govern; null where none is near.
    pub binds: Option<Labelled>,
    /// The nearest need that it meets; null where it meets the brief.
    pub nearest_need: Option<NearestNeed>,
}

/// Words and what stands before them.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(test, derive(TS))]
pub(crate) struct Labelled {
    /// What stands before them.
    pub label: String,
    /// The words.
    pub words: String,
}

/// What a design meets where it misses the brief.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(test, derive(TS))]
pub(crate) struct NearestNeed {
    /// What stands above it.
    pub heading: String,
    /// A line for each limit that is not met.
    pub limits: Vec<String>,
}

/// A candidate, to be seen.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct CandidateAsked {
    /// The text of the brief.
    pub brief: String,
    /// What it is called.
    pub key: String,
}
