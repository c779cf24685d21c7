//! What the main job found, in words, figures, pages and files.
//!
//! Parts: `found` (the value all others are made of), `explain` (the choice in words),
//! `figures`, `page` (summary.html), `document` (results.json), `evidence` (what stands behind
//! each requirement), `certificate` (what was proved), `candidates`
//! (candidates.csv, front.csv), `explained` (rows of the terminal besides), `files` (the whole folder).

mod candidates;
mod certificate;
mod document;
mod evidence;
mod explain;
mod explained;
mod figures;
mod files;
mod found;
mod page;

pub use candidates::{candidates_csv, front_csv};
pub use document::document;
pub use evidence::{NO_SOURCE, assumptions, evidence};
pub use explain::{
    choice_words, class_of, failed_words, nearest_feasible_need, nearest_need,
    nearest_need_heading, objective_value, rejected, rejected_among,
};
pub use explained::explained;
pub use files::files;
pub use found::{Found, Searched};
