//! Looking columns up, and everything that is wrong with a heading at once.

use calotte::design::Design;

use super::columns::{Known, Quantity};
use super::heading::{Heading, allowed, column_of};
use super::names::Meaning;
use super::number::ColumnUnit;
use super::problems::{listed, problem};
use crate::problem::{FormatError, Problem};
use crate::words;

/// A column of a file that is read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Column {
    /// Place among the values of a row, from 0.
    pub(super) index: usize,
    /// What it holds.
    pub(super) quantity: Quantity,
    /// Unit of its numbers.
    pub(super) unit: ColumnUnit,
}

/// Looks up columns and gathers what is wrong with the heading.
#[derive(Debug)]
pub(super) struct Finder<'h, 'a> {
    heading: &'h Heading<'a>,
    problems: Vec<Problem>,
    missing: Vec<String>,
}

impl<'h, 'a> Finder<'h, 'a> {
    /// Begins with what is wrong with single names.
    pub(super) fn new(heading: &'h Heading<'a>, design: &Design) -> Self {
        let mut finder = Finder {
            heading,
            problems: Vec::new(),
            missing: Vec::new(),
        };
        for index in 0..heading.cells.len() {
            finder.check_name(index, design);
        }
        finder
    }

    fn check_name(&mut self, index: usize, design: &Design) {
        let heading = self.heading;
        match &heading.meanings[index] {
            Meaning::Known(which, _) => {
                let earlier = heading.meanings[..index]
                    .iter()
                    .any(|other| matches!(other, Meaning::Known(same, _) if same == which));
                if earlier {
                    let name = &heading.known[*which].stem;
                    let message = format!("`{name}` is given by two columns");
                    self.raise(index, message, "keep one of them");
                }
            }
            Meaning::OtherJoint(joint) => {
                let message = format!(
                    "`{joint}` is no active joint of this design, which is driven by {}",
                    self.driven_by(design)
                );
                let present = self.stems(0..2).all(|stem| self.is_written(stem));
                self.raise(index, message, &other_layout(design, joint, present));
            }
            Meaning::Unknown(unknown) => {
                self.raise(index, unknown.message.clone(), &unknown.hint);
            }
            Meaning::Remark | Meaning::Nameless => {}
        }
    }

    fn driven_by(&self, design: &Design) -> String {
        let active: Vec<&str> = self.stems(0..2).collect();
        if design.family.family_name().has_drive_layouts() {
            format!(
                "{} (layout {})",
                listed(&active),
                words::drive_layout(design)
            )
        } else {
            listed(&active)
        }
    }

    fn stems(&self, range: std::ops::Range<usize>) -> impl Iterator<Item = &'h str> {
        let heading = self.heading;
        range.filter_map(|index| heading.known.get(index).map(|known| known.stem.as_str()))
    }

    fn raise(&mut self, index: usize, message: String, hint: &str) {
        let heading = self.heading;
        let cell = &heading.cells[index];
        let place = (heading.line, column_of(heading.text, cell.at));
        let allowed = allowed(&heading.known);
        self.problems
            .push(problem(place, &cell.text, message, allowed, hint));
    }

    /// Whether a column is in the heading, readable or not.
    pub(super) fn is_written(&self, stem: &str) -> bool {
        let heading = self.heading;
        heading.meanings.iter().any(|meaning| match meaning {
            Meaning::Known(index, _) => heading.known[*index].stem == stem,
            Meaning::Unknown(unknown) => unknown
                .meant
                .is_some_and(|index| heading.known[index].stem == stem),
            _ => false,
        })
    }

    /// A column by its name without the unit.
    pub(super) fn column(&self, stem: &str) -> Option<Column> {
        let heading = self.heading;
        heading
            .meanings
            .iter()
            .enumerate()
            .find_map(|(index, meaning)| match meaning {
                Meaning::Known(which, unit) if heading.known[*which].stem == stem => Some(Column {
                    index,
                    quantity: heading.known[*which].quantity,
                    unit: *unit,
                }),
                _ => None,
            })
    }

    /// Columns that must be there.
    pub(super) fn needed<const N: usize>(&mut self, stems: [&str; N]) -> Option<[Column; N]> {
        for stem in stems {
            if !self.is_written(stem) {
                let known = self.heading.known.iter();
                self.missing
                    .extend(known.filter(|k| k.stem == stem).map(Known::name));
            }
        }
        let found = stems.map(|stem| self.column(stem));
        let columns: Vec<Column> = found.into_iter().flatten().collect();
        columns.try_into().ok()
    }

    /// Columns of which all or none must be there.
    pub(super) fn together<const N: usize>(&mut self, stems: [&str; N]) -> Option<[Column; N]> {
        if stems.iter().any(|stem| self.is_written(stem)) {
            self.needed(stems)
        } else {
            None
        }
    }

    /// A problem of the heading as a whole.
    pub(super) fn wrong(&mut self, message: &str, allowed: &str, hint: &str) {
        let place = (self.heading.line, 1);
        self.problems
            .push(problem(place, self.heading.text, message, allowed, hint));
    }

    /// The columns, if nothing is wrong with the heading.
    pub(super) fn finish<C>(mut self, columns: Option<C>) -> Result<C, FormatError> {
        let heading = self.heading;
        // Joints of another layout already say which ones are missing.
        let other_joint = |meaning: &Meaning| matches!(meaning, Meaning::OtherJoint(_));
        if heading.meanings.iter().any(other_joint) {
            let joints: Vec<String> = heading.known.iter().take(2).map(Known::name).collect();
            self.missing.retain(|name| !joints.contains(name));
        }
        if !self.missing.is_empty() {
            let any_known = heading
                .meanings
                .iter()
                .any(|meaning| matches!(meaning, Meaning::Known(..)));
            let hint = if any_known {
                let missing = listed(&self.missing);
                format!("add {missing} to the heading and a value to each row")
            } else {
                "the first line is the heading; put # before lines above it".to_string()
            };
            self.problems.push(problem(
                (heading.line, 1),
                heading.text,
                format!("missing in the heading: {}", listed(&self.missing)),
                allowed(&heading.known),
                hint,
            ));
        }
        match columns {
            Some(columns) if self.problems.is_empty() => Ok(columns),
            _ => {
                if self.problems.is_empty() {
                    self.wrong(
                        "the heading cannot be read",
                        &allowed(&heading.known),
                        "begin with a template",
                    );
                }
                self.problems.sort_by_key(|p| (p.line, p.column));
                Err(FormatError {
                    problems: self.problems,
                })
            }
        }
    }
}

/// What to do with readings of another layout.
fn other_layout(design: &Design, joint: &str, present: bool) -> String {
    if present {
        return "take the column out, or give it a name without a unit to keep it as a remark"
            .to_string();
    }
    let convert = match (words::drive_layout(design).as_str(), joint) {
        ("swing-and-opening", "left" | "right") => {
            "convert the readings: swing = (left + right)/2, opening = left - right"
        }
        ("two-bars", "swing" | "opening") => {
            "convert the readings: left = swing + opening/2, right = swing - opening/2"
        }
        _ => return "check that this file was measured with this design".to_string(),
    };
    let [first, second] = design.drives.ratio;
    if first == 1.0 && second == 1.0 {
        convert.to_string()
    } else {
        format!("{convert}; then times the drive ratios {first} and {second} of the design")
    }
}
