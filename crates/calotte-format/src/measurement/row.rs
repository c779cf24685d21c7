//! One data row: its values in SI units, or why it is refused.

use std::f64::consts::TAU;

use nalgebra::Vector3;

use super::RefusedRow;
use super::columns::Quantity;
use super::finder::Column;
use super::heading::{Heading, column_of};
use super::number::{Mark, NumberFault, is_missing, read};
use super::problems::{listed, short};
use super::split::Cell;
use crate::problem::Problem;

/// Largest coordinate or displacement, m.
const LENGTH_MAX: f64 = 100.0;
/// Largest reading, turns.
const TURNS_MAX: f64 = 100.0;
/// Largest weight, kg.
const MASS_MAX: f64 = 10_000.0;
/// Largest component of a direction or an orientation.
const RATIO_MAX: f64 = 1e6;
/// A direction shorter than this has none.
const DIRECTION_MIN: f64 = 1e-6;

/// Why a row is refused.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Refusal {
    /// Number of the data row.
    pub(super) row: usize,
    /// Line in the file.
    pub(super) line: usize,
    /// Column in characters.
    pub(super) column: usize,
    /// Name of the column; empty for the row as a whole.
    pub(super) name: String,
    /// The value as written.
    pub(super) value: String,
    /// What is wrong.
    pub(super) message: String,
    /// What is allowed.
    pub(super) allowed: String,
    /// What to try.
    pub(super) hint: String,
}

impl Refusal {
    /// As the caller gets it.
    pub(super) fn refused(&self) -> RefusedRow {
        let reason = match (self.name.as_str(), self.allowed.as_str()) {
            ("", "") => self.message.clone(),
            ("", allowed) => format!("{}; allowed: {allowed}", self.message),
            (name, "") => format!("`{name}`: {}", self.message),
            (name, allowed) => format!("`{name}`: {}; allowed: {allowed}", self.message),
        };
        RefusedRow {
            row: self.row,
            line: self.line,
            reason,
        }
    }

    /// As one of the problems of a file.
    pub(super) fn problem(&self) -> Problem {
        Problem {
            line: self.line,
            column: self.column,
            // What stands before a point is not printed.
            key: self.name.replace('.', " "),
            value: self.value.clone(),
            message: format!("row {}: {}", self.row, self.message),
            allowed: self.allowed.clone(),
            hint: self.hint.clone(),
        }
    }
}

/// One data row as written.
#[derive(Debug, Clone, Copy)]
pub(super) struct Row<'r, 'a> {
    /// Number of the data row.
    pub(super) row: usize,
    /// Line in the file.
    pub(super) line: usize,
    /// The text of the line.
    pub(super) text: &'r str,
    /// The heading.
    pub(super) heading: &'r Heading<'a>,
    /// The file's decimal mark.
    pub(super) mark: Mark,
    /// The values.
    pub(super) cells: &'r [Cell<'r>],
}

impl<'r> Row<'r, '_> {
    /// A refusal of the row as a whole.
    pub(super) fn refuse_at(
        &self,
        at: usize,
        message: impl Into<String>,
        allowed: impl Into<String>,
        hint: impl Into<String>,
    ) -> Box<Refusal> {
        Box::new(Refusal {
            row: self.row,
            line: self.line,
            column: column_of(self.text, at),
            name: String::new(),
            value: short(self.text),
            message: message.into(),
            allowed: allowed.into(),
            hint: hint.into(),
        })
    }

    /// A refusal for one value.
    pub(super) fn refuse(
        &self,
        column: Column,
        message: impl Into<String>,
        allowed: impl Into<String>,
        hint: impl Into<String>,
    ) -> Box<Refusal> {
        let cell = self.cells.get(column.index);
        let mut refusal = self.refuse_at(cell.map_or(0, |cell| cell.at), message, allowed, hint);
        refusal.name = self.name(column);
        refusal.value = cell.map_or_else(String::new, |cell| short(&cell.text));
        refusal
    }

    /// The name of a column as its heading has it.
    pub(super) fn name(&self, column: Column) -> String {
        let cell = self.heading.cells.get(column.index);
        cell.map_or_else(String::new, |cell| short(&cell.text))
    }

    /// The text of a value; empty where there is none.
    pub(super) fn text(&self, column: Column) -> &'r str {
        self.cells.get(column.index).map_or("", |cell| &cell.text)
    }

    /// Whether a value is empty or says that there is none.
    pub(super) fn is_missing(&self, column: Column) -> bool {
        is_missing(self.text(column))
    }

    /// The text of a value that names something: what was put in quotes stands as it is.
    pub(super) fn name_of(&self, column: Option<Column>) -> &'r str {
        let cell = column.and_then(|column| self.cells.get(column.index));
        match cell {
            Some(cell) if cell.quoted || !is_missing(&cell.text) => &cell.text,
            _ => "",
        }
    }

    /// Refuses a row with values missing, naming all of them.
    pub(super) fn complete(&self, columns: &[Column]) -> Result<(), Box<Refusal>> {
        let missing = || columns.iter().filter(|column| self.is_missing(**column));
        let Some(first) = missing().next() else {
            return Ok(());
        };
        let names: Vec<String> = missing().map(|column| self.name(*column)).collect();
        let verb = if names.len() == 1 { "is" } else { "are" };
        let mut refusal = self.refuse(
            *first,
            format!("{} {verb} missing", listed(&names)),
            "",
            "measure it again, or take the row out",
        );
        // The message names the columns.
        refusal.name.clear();
        Err(refusal)
    }

    /// One number in SI units, within what can be meant.
    pub(super) fn number(&self, column: Column) -> Result<f64, Box<Refusal>> {
        let text = self.text(column);
        let separator = self.heading.separator;
        let value = read(text, column.unit, self.mark, separator)
            .map_err(|fault| self.no_number(column, fault))?;
        let (least, most, words) = match column.quantity {
            Quantity::Angle => (-TURNS_MAX * TAU, TURNS_MAX * TAU, "at most 100 turns"),
            Quantity::Length => (-LENGTH_MAX, LENGTH_MAX, "-100 m to 100 m"),
            Quantity::Mass => (0.0, MASS_MAX, "0 to 10000 kg"),
            Quantity::Ratio | Quantity::Text => (-RATIO_MAX, RATIO_MAX, "-1000000 to 1000000"),
        };
        if (least..=most).contains(&value) {
            return Ok(value);
        }
        let message = match column.quantity {
            Quantity::Mass if value < 0.0 => format!("{} is below zero", short(text)),
            _ => format!("{} is out of range", short(text)),
        };
        let hint = format!(
            "the column is read in {}; check its unit and the value",
            column.unit.words()
        );
        Err(self.refuse(column, message, words, hint))
    }

    /// Numbers in SI units.
    pub(super) fn numbers<const N: usize>(
        &self,
        columns: &[Column; N],
    ) -> Result<[f64; N], Box<Refusal>> {
        let mut values = [0.0; N];
        for (value, column) in values.iter_mut().zip(columns) {
            *value = self.number(*column)?;
        }
        Ok(values)
    }

    /// Three numbers as a vector.
    pub(super) fn vector(&self, columns: &[Column; 3]) -> Result<Vector3<f64>, Box<Refusal>> {
        Ok(Vector3::from(self.numbers(columns)?))
    }

    /// Three numbers as a unit vector.
    pub(super) fn direction(&self, columns: &[Column; 3]) -> Result<Vector3<f64>, Box<Refusal>> {
        let vector = self.vector(columns)?;
        if vector.norm() < DIRECTION_MIN {
            let names: Vec<String> = columns.iter().map(|column| self.name(*column)).collect();
            let mut refusal = self.refuse(
                columns[0],
                format!("{} have no direction", listed(&names)),
                "a vector of any length above zero",
                "straight down is 0, 0, -1",
            );
            refusal.name.clear();
            return Err(refusal);
        }
        Ok(vector.normalize())
    }

    fn no_number(&self, column: Column, fault: NumberFault) -> Box<Refusal> {
        let shown = short(self.text(column));
        let (message, hint) = match fault {
            NumberFault::Missing => (
                "the value is missing".to_string(),
                "measure it again, or take the row out",
            ),
            NumberFault::Infinite => (
                format!("{shown} is not finite"),
                "take the row out, or measure it again",
            ),
            NumberFault::Grouped => (
                format!("{shown} has its digits in groups"),
                "write the number without blanks or marks between thousands, such as 1234.5",
            ),
            NumberFault::CommaBetweenCommas => (
                format!("{shown} has a decimal comma, and commas separate the values"),
                "separate the values by semicolons or tabs, or write a decimal point",
            ),
            NumberFault::OtherMark => (
                match self.mark {
                    Mark::Point => {
                        format!("{shown} has a comma, and other numbers have a decimal point")
                    }
                    Mark::Comma => {
                        format!("{shown} has a point, and other numbers have a decimal comma")
                    }
                },
                "write all numbers with the same decimal mark, and none between thousands",
            ),
            NumberFault::WithUnit => (
                format!("{shown} has more than a number"),
                "write the number alone; the unit stands in the name of the column",
            ),
            NumberFault::NotNumber => (
                format!("{shown} is not a number"),
                "write a number such as 12.5 or -3e-2",
            ),
        };
        self.refuse(column, message, "", hint)
    }
}
