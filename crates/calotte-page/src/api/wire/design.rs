//! Designs, briefs and what depends on neither.

use calotte_document::safety::Safety;
use serde::{Deserialize, Serialize};
use serde_json::value::RawValue;
#[cfg(test)]
use ts_rs::TS;

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
    /// Combinations that a search goes through; null where it searches without going through all.
    pub combinations: Option<u32>,
    /// Kinds of linkage that are searched, each by itself.
    pub kinds: u32,
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
    /// What comes first among the cautions, in one sentence.
    pub first: String,
    /// What can hurt someone, where no design is open.
    pub safety: Safety,
    /// What a map can vary: word, label, unit, least and greatest value.
    pub variables: Vec<VariableRow>,
    /// What a map can show: word, label, unit.
    pub quantities: Vec<QuantityRow>,
    /// What the dome can be coloured by.
    pub colours: Vec<ColourRow>,
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

/// What the dome can be coloured by.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(test, derive(TS))]
pub(crate) struct ColourRow {
    /// The word to ask with.
    pub word: String,
    /// What a list of choices calls it.
    pub choice: String,
    /// Whether each load case of the brief has its own.
    pub per_load: bool,
    /// What a list of curves along a path calls it; null where it is not drawn there.
    pub curve: Option<String>,
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
}
