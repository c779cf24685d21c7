//! Quantities over two variables, in words, figures, tables and files.
//!
//! Parts: `result` (everything a map found), `names` (axes), `figures`, `table` (80 columns),
//! `csv`, `document` (for programs), `files` (the whole folder).

mod csv;
mod document;
mod figures;
mod files;
mod names;
mod result;
mod table;

pub use document::document;
pub use files::files;
pub use result::{EqualReach, Map, ReachPoint, equal_reach};
pub use table::text;
