//! Bars: shares of a whole, and margins to the requirements.

mod margin;
mod stacked;

pub use margin::{MarginBars, MarginRow};
pub use stacked::{StackedBars, StackedRow};

/// Most rows of one bar figure.
const ROWS_MAX: usize = 40;
