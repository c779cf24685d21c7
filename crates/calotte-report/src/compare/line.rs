//! One line of a comparison: a quantity over all designs.

use super::column::Column;

/// One line of the table.
pub(super) struct Line {
    /// Name with the unit of its values.
    pub name: String,
    /// What the brief asks for; empty without.
    pub needed: String,
    /// One text for each design.
    pub texts: Vec<String>,
    /// Greater is better; `None` where a design has no value.
    pub scores: Vec<Option<f64>>,
    /// Whether the values are taken over what each design covers.
    pub(super) over_covered: bool,
}

impl Line {
    /// A line in which no design is better than another.
    pub fn plain(name: &str, columns: &[Column], text: impl Fn(&Column) -> String) -> Self {
        Self {
            name: name.to_string(),
            needed: String::new(),
            texts: columns.iter().map(text).collect(),
            scores: vec![None; columns.len()],
            over_covered: false,
        }
    }

    /// A line of numbers of which the greatest is best.
    pub fn greatest(
        name: &str,
        columns: &[Column],
        value: impl Fn(&Column) -> Option<f64>,
        text: impl Fn(f64) -> String,
        without: &str,
    ) -> Self {
        let values: Vec<Option<f64>> = columns.iter().map(value).collect();
        Self {
            name: name.to_string(),
            needed: String::new(),
            texts: values
                .iter()
                .map(|v| v.map_or(without.to_string(), &text))
                .collect(),
            scores: values,
            over_covered: true,
        }
    }
}
