//! Designs side by side, and a measured prototype among them.
//!
//! Parts: `column` (one design), `line` (one quantity over all designs), `lines` (what is
//! compared), `measured` and `measured_lines` (what only measuring knows), `table` (80 columns
//! of it), `document` (for programs).

mod column;
mod document;
mod line;
mod lines;
mod measured;
mod measured_lines;
mod table;

pub use column::{Column, safety_of};
pub use document::document;
pub use measured::{Measured, Role};
pub use table::text;
