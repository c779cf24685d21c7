//! Results as documents: the unit is in every name, "no value" is null with a reason beside it.
//!
//! Parts: `analysis` (one design over the region), `differing` (bars and joints where they
//! differ), `built` (what is built and what it keeps
//! clear of), `configuration` (one configuration), `common` (what
//! these share).

mod analysis;
mod built;
mod common;
mod configuration;
mod differing;

pub use analysis::{analysis_document, comparison_document, joint_loads, requirement_document};
pub use built::{distances_document, parts_document};
pub use common::direction_document;
pub use configuration::configuration_document;
