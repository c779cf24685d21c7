//! Text of brief and design files to values of crate `calotte`, and back.
//!
//! Files speak mm, degrees, GPa and MPa, with the unit in the key; inside
//! everything is SI and radians. All conversion lives in [`units`]. [`keys`]
//! is the one table of every key: the reader ([`read_brief`], [`read_design`])
//! checks against it and reports every problem at once ([`FormatError`]), and
//! the JSON Schemas and the reference are made from it, so they cannot drift.
//!
//! The crate touches no file.

pub mod inputs;
pub mod keys;
pub mod map_request;
pub mod measurement;
mod problem;
mod read;
mod reference;
pub mod safety;
mod schema;
pub mod units;
pub mod words;
mod write;

pub use problem::{FormatError, InFile, Problem};
pub use read::{
    LoadFile, Refusal, TEXT_MAX, read_brief, read_brief_to_judge, read_design, read_design_json,
    refused, refused_to_keep, refused_to_measure, refused_to_solve, stiffness_words, text_of,
};
pub use reference::reference_markdown;
pub use schema::{schema_brief, schema_design};
pub use write::{tidied, write_design};

/// The commented brief that a new folder begins with.
pub fn brief_template() -> &'static str {
    include_str!("template.toml")
}
