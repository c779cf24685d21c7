//! What measuring a prototype gave and what to measure next, in words, figures and tables.
//!
//! Parts: `fit_words` and `weights_words` (80 columns), `fit_figures`, `corrections` (the
//! table of corrections), `plan_words` and `sheet` (a plan on screen and on paper), `sketch`
//! (a pull and its gauge drawn).

mod corrections;
mod fit_figures;
mod fit_words;
mod plan_words;
mod sheet;
mod sketch;
mod weights_words;

pub use corrections::{DEFAULT_MARGINS, corrections_table};
pub use fit_figures::fit_figures;
pub use fit_words::{fit_text, what_to_keep};
pub use plan_words::plan_text;
pub use sheet::sheet;
pub use weights_words::weights_lines;
