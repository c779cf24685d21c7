//! A map over two variables: a design with some of its numbers changed, and what
//! becomes of its reach, conditioning and stiffness with rigid joints and with
//! its own.
//!
//! Parts: [`variable`] (what is changed), [`cell`] (one pair of values), `by_cells` (what it says of what turns about no fixed axis), [`equal_reach`] (designs of one given reach).

mod by_cells;
pub mod cell;
pub mod equal_reach;
pub mod variable;

pub use cell::{Cell, CellValue, MapTask, NoValue, cell, change};
pub use equal_reach::{EqualReachLine, Fixed, MapGrid, at_reach, lines_of_equal_reach};
pub use variable::{MapError, Variable};
