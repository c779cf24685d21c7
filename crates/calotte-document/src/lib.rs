//! Results as typed values: the one source of JSON, JSON Schema and the page's types.
//!
//! Keys carry the unit of their numbers. "No value" is null, with a reason beside it; a number
//! that is not finite is no number of these types: reading a document back refuses null for it.
//!
//! The crate knows the shapes alone; crate `calotte-report` fills them.

pub mod analysis;
pub mod built;
pub mod certificate;
pub mod common;
pub mod comparison;
pub mod configuration;
pub mod design;
pub mod differing;
pub mod fitted;
pub mod judged;
pub mod map;
pub mod measured;
pub mod opinion;
pub mod parts;
pub mod planned;
pub mod releases;
pub mod run;
pub mod safety;
pub mod verified;
pub mod weighed;
pub mod written;

use schemars::JsonSchema;
use serde::Serialize;
use serde_json::Value;

/// A document as JSON with its keys in alphabetical order.
pub fn json(document: &impl Serialize) -> Value {
    // Maps have string keys and no value refuses to be written.
    serde_json::to_value(document).unwrap_or_default()
}

/// A document as the text of a file, without a last line end.
pub fn text(document: &impl Serialize) -> String {
    format!("{:#}", json(document))
}

/// The JSON Schema (draft 2020-12) of a kind of document.
pub fn schema<T: JsonSchema>() -> Value {
    schemars::schema_for!(T).to_value()
}
