//! Told parameters: how well a measurement tells each parameter of a fit, how far each one is
//! off the design, and which are held and why.

mod rows;
mod scales;

use super::axis::check_finite;
use super::error::PlotError;
use super::geometry::Rect;
use super::legend::{Entry, Marker, Sample, legend_rows};
use super::sheet::Sheet;
use super::text::{bold_width, width};
use crate::number::{MAGNITUDE_MAX, significant};
use rows::Table;
use scales::{ErrorScale, OffsetScale};

/// Most parameters of one figure.
const ROWS_MAX: usize = 40;
/// Widest name as a part of the sheet.
const NAME_WIDTH_MAX: f64 = 0.32;
/// Sheets wider than this have room for standard errors in figures, in font sizes.
const WIDE_EM: f64 = 42.0;

/// Parameters of a fit, one a row, in two panels that share the rows.
///
/// All numbers are in typical errors: the error of a parameter that a workshop usually leaves
/// is 1. Left stands the standard error on a logarithmic axis, right what was found less the
/// design's value.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct ToldParameters {
    /// Parameters, in drawing order.
    pub rows: Vec<ToldRow>,
}

/// One parameter.
#[derive(Debug, Clone, PartialEq)]
pub struct ToldRow {
    /// Its name.
    pub name: String,
    /// What the fit did with it.
    pub state: ToldState,
}

/// What a fit did with a parameter.
#[derive(Debug, Clone, PartialEq)]
pub enum ToldState {
    /// It was fitted.
    Fitted {
        /// Found less the design's value, in typical errors.
        offset: f64,
        /// Standard error of what was found, in typical errors; 0 or more.
        standard_error: f64,
        /// Standard error if every held parameter is off by its typical error too, in typical
        /// errors, `standard_error` or more; `None` where it is not known.
        with_held: Option<f64>,
        /// Whether it counts as off, which the verdict on the fit says.
        off: bool,
    },
    /// It kept the design's value.
    Held {
        /// Effect of a typical error over the noise of all rows together, 0 or more; its
        /// inverse is the standard error the parameter would have had, in typical errors.
        /// `None` where it is not known.
        signal: Option<f64>,
        /// Why.
        because: HeldBecause,
    },
}

/// Why a parameter is held.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum HeldBecause {
    /// Its effect looks like that of these fitted ones.
    LooksLike(Vec<String>),
    /// Its effect is lost in the noise.
    Noise,
    /// Something else, said in a few words.
    Other(String),
}

impl HeldBecause {
    fn words(&self) -> String {
        match self {
            Self::LooksLike(names) => format!("fixed: not separable from {}", names.join(", ")),
            Self::Noise => "fixed: below the noise".to_owned(),
            Self::Other(words) => format!("held: {words}"),
        }
    }
}

impl ToldRow {
    fn check(&self) -> Result<(), PlotError> {
        let not_negative = |what: String, value: f64| {
            check_finite(&what, [value])?;
            if value < 0.0 {
                return Err(PlotError::OutOfRange {
                    what,
                    value,
                    from: 0.0,
                    to: MAGNITUDE_MAX,
                });
            }
            Ok(())
        };
        match &self.state {
            ToldState::Fitted {
                offset,
                standard_error,
                with_held,
                ..
            } => {
                check_finite(&format!("offset of `{}`", self.name), [*offset])?;
                let what = format!("standard error of `{}`", self.name);
                not_negative(what.clone(), *standard_error)?;
                not_negative(what, with_held.unwrap_or_default())
            }
            ToldState::Held { signal, .. } => signal.map_or(Ok(()), |signal| {
                not_negative(format!("signal of `{}`", self.name), signal)
            }),
        }
    }

    /// The number beside a fitted row; empty for a held one.
    fn number(&self, with_error: bool) -> String {
        match &self.state {
            ToldState::Fitted {
                offset,
                standard_error,
                ..
            } => {
                let sign = if *offset > 0.0 { "+" } else { "" };
                let offset = format!("{sign}{}", significant(*offset, 2));
                if with_error {
                    format!("{offset} ± {}", significant(*standard_error, 2))
                } else {
                    offset
                }
            }
            ToldState::Held { .. } => String::new(),
        }
    }
}

impl ToldParameters {
    fn check(&self) -> Result<(), PlotError> {
        if self.rows.len() > ROWS_MAX {
            return Err(PlotError::TooMany {
                what: "parameters".to_owned(),
                found: self.rows.len(),
                allowed: ROWS_MAX,
            });
        }
        self.rows.iter().try_for_each(ToldRow::check)
    }

    pub(crate) fn draw(&self, sheet: &mut Sheet) -> Result<(), PlotError> {
        self.check()?;
        let left = sheet.left();
        if self.rows.is_empty() {
            sheet.notes.push("No data in this figure.".to_owned());
            let size = sheet.small;
            sheet.paragraph(&["No data".to_owned()], left, size, false);
            return Ok(());
        }
        let with_error = sheet.width > WIDE_EM * sheet.em;
        let names = self
            .rows
            .iter()
            .map(|row| bold_width(&row.name, sheet.small))
            .fold(0.0, f64::max)
            .min(sheet.width * NAME_WIDTH_MAX);
        let numbers = self
            .rows
            .iter()
            .map(|row| width(&row.number(with_error), sheet.small) * 1.07)
            .fold(0.0, f64::max);
        let gap = sheet.em * 0.9;
        let first = left + names + gap;
        let room = (sheet.right() - first - 2.0 * gap - numbers).max(sheet.em * 6.0);
        let frame = |from: f64, part: f64| Rect::new(from, sheet.y, room * part, 0.0);
        let errors = frame(first, 0.42);
        let offsets = frame(errors.right + gap, 0.58);
        let table = Table {
            names,
            errors: ErrorScale::new(sheet, &self.rows, errors)?,
            offsets: OffsetScale::new(&self.rows, offsets),
            with_error,
        };
        table.draw(sheet, &self.rows);
        legend_rows(sheet, &self.legend(sheet), left, sheet.right());
        if !table.offsets.is_linear() {
            sheet.notes.push(
                "The axis of offsets is linear from −1 to 1 and logarithmic beyond.".to_owned(),
            );
        }
        Ok(())
    }

    fn legend(&self, sheet: &Sheet) -> Vec<Entry> {
        let has = |wanted: fn(&ToldState) -> bool| self.rows.iter().any(|r| wanted(&r.state));
        let palette = &sheet.palette;
        let mut entries = Vec::new();
        let mut add = |sample, text: &str| {
            entries.push(Entry {
                sample,
                text: text.to_owned(),
            });
        };
        if has(|state| matches!(state, ToldState::Fitted { .. })) {
            let sample = Sample::Mark(Marker::Disc, palette.series[0]);
            add(sample, "fitted");
            add(Sample::Range, "two standard errors");
        }
        if has(|state| {
            matches!(
                state,
                ToldState::Fitted {
                    with_held: Some(_),
                    ..
                }
            )
        }) {
            let sample = Sample::Line {
                colour: palette.series[0],
                dash: Vec::new(),
                marker: None,
                cased: false,
            };
            add(sample, "up to the error if the fixed ones deviate too");
        }
        if has(|state| matches!(state, ToldState::Fitted { off: true, .. })) {
            add(
                Sample::Mark(Marker::Diamond, palette.accent),
                "deviates, by the verdict",
            );
        }
        if has(|state| {
            matches!(
                state,
                ToldState::Held {
                    signal: Some(_),
                    ..
                }
            )
        }) {
            let sample = Sample::Mark(Marker::HollowDisc, palette.quiet);
            add(sample, "fixed: the error it would have had");
        }
        add(Sample::Fill(palette.blank), "within the assumed tolerance");
        entries
    }
}
