//! Measured files: points under joint readings, and displacements under weights, as text
//! with one row for each measurement.
//!
//! A file that as a whole makes no sense is refused with every problem of its heading
//! ([`crate::FormatError`]); a row that makes none is refused by itself, with its reason
//! ([`RefusedRow`]). Nothing is left out without being named.
//!
//! The heading names the columns, in any order, with the unit in the name: the active
//! joints of the design (`swing_deg`), `x_mm`, and so on. Values are separated by commas,
//! semicolons or tabs; with the last two a decimal may have a comma. `#` begins a remark,
//! at the beginning of a line or after a blank.

mod columns;
mod finder;
mod heading;
mod lines;
mod names;
mod no_value;
mod number;
mod points;
mod problems;
mod row;
mod sheet;
mod split;
mod template;
mod text;
mod weights;

pub use points::{PointsRead, read_points};
pub use template::{
    PlannedPoint, PlannedWeight, template_reading, write_points_template, write_weights_template,
};
pub use weights::{WeightsRead, read_weights};

/// Largest measured file that is read, bytes.
pub const BYTES_MAX: usize = 50_000_000;

/// Most data rows of a measured file.
pub const ROWS_MAX: usize = 1_000_000;

/// Fewest rows that must remain; so many are needed to place a tracker at all.
pub const ROWS_MIN: usize = 4;

/// Most columns of a measured file.
pub const COLUMNS_MAX: usize = 1000;

/// A data row that is not used.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RefusedRow {
    /// Number of the data row, from 1; heading, remarks and empty lines do not count.
    pub row: usize,
    /// Line in the file, from 1.
    pub line: usize,
    /// What is wrong with it, with the column and the value.
    pub reason: String,
}
