//! Tables: the unit in the header, numbers under each other by their decimal points.

use super::HtmlError;
use calotte_plot::markup::escape;
use calotte_plot::number;
use std::fmt::Write;

/// A table.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Table {
    /// Caption above it; empty for none.
    pub caption: String,
    /// Columns.
    pub columns: Vec<Column>,
    /// Rows, with one cell for each column.
    pub rows: Vec<Vec<Cell>>,
    /// Row to set bold, from 0, such as the choice.
    pub emphasised: Option<usize>,
}

/// A column of a table.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Column {
    /// Heading.
    pub heading: String,
    /// Unit of all its numbers, shown below the heading; empty for none.
    pub unit: String,
    /// Numbers: set to the right, by their decimal points.
    pub numeric: bool,
}

impl Column {
    /// A column of text.
    pub fn text(heading: impl Into<String>) -> Self {
        Self {
            heading: heading.into(),
            ..Self::default()
        }
    }

    /// A column of numbers in one unit.
    pub fn number(heading: impl Into<String>, unit: impl Into<String>) -> Self {
        Self {
            heading: heading.into(),
            unit: unit.into(),
            numeric: true,
        }
    }
}

/// A cell of a table.
#[derive(Debug, Clone, PartialEq)]
pub enum Cell {
    /// Text, or a number that the caller has written out.
    Text(String),
    /// A number in the column's unit; one that is not finite is shown as no value.
    Number {
        /// The number.
        value: f64,
        /// Decimals to show.
        decimals: usize,
    },
    /// No value, with the reason; an empty reason gives "no value".
    Missing(String),
}

/// Most decimals shown; more cannot be meant.
const DECIMALS_MAX: usize = 12;

impl Cell {
    fn text(&self) -> String {
        match self {
            Self::Text(text) => text.clone(),
            Self::Number { value, decimals } if value.is_finite() => {
                if value.abs() < 1e9 {
                    number::fixed(*value, (*decimals).min(DECIMALS_MAX))
                } else {
                    number::significant(*value, 4)
                }
            }
            Self::Number { .. } => "no value".to_owned(),
            Self::Missing(reason) if reason.is_empty() => "no value".to_owned(),
            Self::Missing(reason) => reason.clone(),
        }
    }

    fn is_missing(&self) -> bool {
        match self {
            Self::Missing(_) => true,
            Self::Number { value, .. } => !value.is_finite(),
            Self::Text(_) => false,
        }
    }
}

impl Table {
    pub(super) fn write(&self, html: &mut String, count: usize) -> Result<(), HtmlError> {
        self.check()?;
        // A wide table scrolls inside its own box and can be reached by keyboard.
        html.push_str("<div class=\"table\" tabindex=\"0\" role=\"group\" aria-label=\"Table ");
        let _ = writeln!(html, "{count}\">\n<table>");
        if !self.caption.is_empty() {
            let _ = writeln!(
                html,
                "<caption><b>Table {count}</b> {}</caption>",
                escape(&self.caption)
            );
        }
        html.push_str("<thead>\n<tr>");
        for column in &self.columns {
            let class = if column.numeric {
                " class=\"number\""
            } else {
                ""
            };
            let _ = write!(html, "<th scope=\"col\"{class}>{}", escape(&column.heading));
            if !column.unit.is_empty() {
                let _ = write!(
                    html,
                    " <span class=\"unit\">{}</span>",
                    escape(&column.unit)
                );
            }
            html.push_str("</th>");
        }
        html.push_str("</tr>\n</thead>\n<tbody>\n");
        let decimals: Vec<usize> = (0..self.columns.len()).map(|c| self.decimals(c)).collect();
        for (index, row) in self.rows.iter().enumerate() {
            let class = if self.emphasised == Some(index) {
                " class=\"emphasised\""
            } else {
                ""
            };
            let _ = write!(html, "<tr{class}>");
            for (column, cell) in row.iter().enumerate() {
                self.cell(html, column, cell, decimals[column]);
            }
            html.push_str("</tr>\n");
        }
        html.push_str("</tbody>\n</table>\n</div>\n");
        Ok(())
    }

    fn check(&self) -> Result<(), HtmlError> {
        let wrong = |row: &Vec<Cell>| row.len() != self.columns.len();
        match self.rows.iter().position(wrong) {
            None => Ok(()),
            Some(row) => Err(HtmlError::RowLength {
                table: if self.caption.is_empty() {
                    self.columns
                        .first()
                        .map_or_else(String::new, |c| c.heading.clone())
                } else {
                    self.caption.clone()
                },
                row: row + 1,
                expected: self.columns.len(),
                found: self.rows[row].len(),
            }),
        }
    }

    /// Most decimals of any number of a column.
    fn decimals(&self, column: usize) -> usize {
        self.rows
            .iter()
            .filter_map(|row| decimals_of(&row[column].text()))
            .max()
            .unwrap_or(0)
    }

    fn cell(&self, html: &mut String, column: usize, cell: &Cell, decimals: usize) {
        let numeric = self.columns[column].numeric;
        let text = cell.text();
        let padding = match decimals_of(&text) {
            Some(own) if numeric => padding(own, decimals),
            _ => String::new(),
        };
        let class = match (numeric, cell.is_missing()) {
            (true, true) => " class=\"number missing\"",
            (true, false) => " class=\"number\"",
            (false, true) => " class=\"missing\"",
            (false, false) => "",
        };
        // The first column names the row.
        if column == 0 && !numeric {
            let _ = write!(html, "<th scope=\"row\"{class}>{}</th>", escape(&text));
        } else {
            let _ = write!(html, "<td{class}>{}{padding}</td>", escape(&text));
        }
    }
}

/// Number of decimals if `text` is a plain number.
fn decimals_of(text: &str) -> Option<usize> {
    let digits = text.trim_start_matches(['\u{2212}', '-', '+']);
    let (whole, fraction) = digits.split_once('.').unwrap_or((digits, ""));
    let is_plain = |part: &str| part.chars().all(|c| c.is_ascii_digit() || c == '\u{2009}');
    (!whole.is_empty() && is_plain(whole) && is_plain(fraction)).then(|| fraction.chars().count())
}

/// Spaces as wide as the decimals that a number lacks, so that decimal points line up.
fn padding(own: usize, decimals: usize) -> String {
    const FIGURE_SPACE: &str = "\u{2007}";
    const POINT_SPACE: &str = "\u{2008}";
    let mut spaces = FIGURE_SPACE.repeat(decimals.saturating_sub(own));
    if own == 0 && decimals > 0 {
        spaces.push_str(POINT_SPACE);
    }
    spaces
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn decimals_of_plain_numbers_only() {
        assert_eq!(decimals_of("0.41"), Some(2));
        assert_eq!(decimals_of("\u{2212}12"), Some(0));
        assert_eq!(decimals_of("12\u{2009}345.6"), Some(1));
        assert_eq!(decimals_of("≤ 0.5"), None);
        assert_eq!(decimals_of(""), None);
        assert_eq!(decimals_of("1.5×10⁻⁷"), None);
    }

    #[test]
    fn padding_makes_up_for_missing_decimals() {
        assert_eq!(padding(2, 2), "");
        assert_eq!(padding(1, 3).chars().count(), 2);
        assert_eq!(padding(0, 2).chars().count(), 3);
    }

    #[test]
    fn cells_without_a_number_say_so() {
        let cell = Cell::Number {
            value: f64::NAN,
            decimals: 2,
        };
        assert_eq!(cell.text(), "no value");
        assert!(cell.is_missing());
        assert_eq!(
            Cell::Missing("not reached".to_owned()).text(),
            "not reached"
        );
    }
}
