//! What measuring a prototype gave and what to measure next, in words, figures and tables.
//!
//! Parts: `fit_words` and `weights_words` (80 columns), `fit_figures`, `corrections` (the
//! table of corrections), `files` (what was drawn and what was found), `next` (what to do, with a
//! command), `plan_words` and `sheet` (a plan on screen and on paper), `sketch`
//! (a pull and its gauge drawn).

mod corrections;
mod files;
mod fit_figures;
mod fit_words;
mod next;
mod plan_words;
mod sheet;
mod sketch;
mod weights_words;

pub use corrections::{DEFAULT_MARGINS, corrections_table};
pub use files::{drawn_and_found, files_words};
pub use fit_figures::fit_figures;
pub use fit_words::fit_text;
pub use next::{FitCall, next_lines, what_to_keep};
pub use plan_words::plan_text;
pub use sheet::sheet;
pub use weights_words::weights_lines;
