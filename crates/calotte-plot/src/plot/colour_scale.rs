//! From values to colours, and the bar that says which colour is which value.

use super::axis::{Axis, AxisKind, Fringe, Span, heading, marks, span};
use super::colour::{Colour, ColourMap};
use super::error::PlotError;
use super::geometry::Rect;
use super::sheet::Sheet;
use super::svg::{Anchor, Stroke};
use super::text::ASCENT;
use crate::number::MAGNITUDE_MAX;

/// Which way a quantity is better.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Better {
    /// Less is better: sag, mass, compliance.
    #[default]
    Less,
    /// More is better: stiffness, margin, coverage.
    More,
}

impl Better {
    /// Whether `a` is better than `b`.
    pub fn prefers(self, a: f64, b: f64) -> bool {
        match self {
            Self::Less => a < b,
            Self::More => a > b,
        }
    }
}

/// What the colours of a map mean.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct ColourScale {
    /// Quantity shown, such as "Contact deflection".
    pub label: String,
    /// Its unit; empty for none.
    pub unit: String,
    /// Colours.
    pub map: ColourMap,
    /// Equal factors rather than equal steps; values must be above zero.
    pub logarithmic: bool,
    /// Which way the quantity is better, for the marks of the best cells.
    pub better: Better,
}

impl ColourScale {
    /// A linear viridis scale over the range of the values.
    pub fn new(label: impl Into<String>, unit: impl Into<String>) -> Self {
        Self {
            label: label.into(),
            unit: unit.into(),
            ..Self::default()
        }
    }
}

/// A value that can be shown, or none: NaN and infinities are no values.
pub(crate) fn shown(value: Option<f64>) -> Option<f64> {
    value.filter(|v| v.is_finite())
}

/// A colour scale with its ends settled.
#[derive(Debug, Clone)]
pub(crate) struct Gradient {
    pub span: Span,
    map: ColourMap,
    logarithmic: bool,
    heading: String,
    /// Whether there was any value to settle the ends with.
    pub empty: bool,
}

impl Gradient {
    /// Settles the ends of `scale` over `values`.
    ///
    /// # Errors
    /// [`PlotError::TooLarge`] and [`PlotError::NotPositive`] for
    /// values that have no place on the scale.
    pub fn new(
        scale: &ColourScale,
        values: impl IntoIterator<Item = Option<f64>>,
    ) -> Result<Self, PlotError> {
        let what = || format!("colour scale `{}`", scale.label);
        let mut found: Option<[f64; 2]> = None;
        for value in values.into_iter().filter_map(shown) {
            if value.abs() > MAGNITUDE_MAX {
                return Err(PlotError::TooLarge {
                    what: what(),
                    value,
                });
            }
            if scale.logarithmic && value <= 0.0 {
                return Err(PlotError::NotPositive {
                    what: what(),
                    value,
                });
            }
            found = Some(found.map_or([value, value], |[low, high]| {
                [low.min(value), high.max(value)]
            }));
        }
        let axis = Axis {
            label: scale.label.clone(),
            unit: scale.unit.clone(),
            kind: if scale.logarithmic {
                AxisKind::Logarithmic
            } else {
                AxisKind::Linear
            },
            include_zero: false,
        };
        let mut ends = span(&axis, found, Fringe::None).map_err(|error| rename(error, what()))?;
        if scale.map == ColourMap::Diverging && !scale.logarithmic {
            let reach = ends.low.abs().max(ends.high.abs());
            (ends.low, ends.high) = (-reach, reach);
        }
        Ok(Self {
            span: ends,
            map: scale.map,
            logarithmic: scale.logarithmic,
            heading: heading(&scale.label, &scale.unit),
            empty: found.is_none(),
        })
    }

    pub fn colour(&self, value: f64) -> Colour {
        self.map.at(self.span.fraction(value))
    }

    fn axis(&self) -> Axis {
        Axis::new("", "").with_kind(if self.logarithmic {
            AxisKind::Logarithmic
        } else {
            AxisKind::Linear
        })
    }

    /// About `count` levels inside the scale at round values.
    pub fn levels(&self, count: usize) -> Vec<f64> {
        let ticks = if self.logarithmic {
            super::ticks::logarithmic(self.span.low, self.span.high, count)
        } else {
            super::ticks::linear(self.span.low, self.span.high, count)
        };
        ticks
            .into_iter()
            .filter(|tick| !tick.label.is_empty())
            .map(|tick| tick.value)
            .filter(|v| (1e-6..=1.0 - 1e-6).contains(&self.span.fraction(*v)))
            .collect()
    }
}

fn rename(error: PlotError, name: String) -> PlotError {
    match error {
        PlotError::NotPositive { value, .. } => PlotError::NotPositive { what: name, value },
        other => other,
    }
}

/// Height of a colour bar with its heading and labels, pt.
pub(crate) fn colour_bar_height(sheet: &Sheet) -> f64 {
    sheet.em * 1.3 + sheet.em * 0.75 + sheet.em * 0.45 + sheet.small * 1.2
}

/// Draws a colour bar with its heading above and its marks below, from the cursor down;
/// the cursor stays.
pub(crate) fn colour_bar(sheet: &mut Sheet, gradient: &Gradient, left: f64, length: f64) {
    sheet.svg.open("colour-bar");
    let room = sheet.right() - left;
    let text = sheet.fitted(
        &gradient.heading,
        sheet.em,
        room.min(length.max(room * 0.45)),
    );
    let mut label = sheet.label(text, [left, sheet.y + ASCENT * sheet.em], Anchor::Start);
    label.size = sheet.em;
    sheet.text(&label);
    let bar = Rect::new(left, sheet.y + sheet.em * 1.25, length, sheet.em * 0.75);
    const STEPS: usize = 96;
    for step in 0..STEPS {
        let from = step as f64 / STEPS as f64;
        let colour = gradient.map.at(from + 0.5 / STEPS as f64);
        // Each step reaches to the end and is covered by the next: no seams.
        let rest = Rect::new(
            left + from * length,
            bar.top,
            (1.0 - from) * length,
            bar.height(),
        );
        sheet.svg.tile(&rest, colour);
    }
    let stroke = Stroke::solid(sheet.palette.quiet, sheet.em * 0.06);
    sheet.svg.rect(&bar, None, Some(stroke));
    let ticks = marks(&gradient.axis(), &gradient.span, length, sheet.small, false);
    let mut strokes = Vec::new();
    for tick in &ticks {
        let x = left + gradient.span.fraction(tick.value) * length;
        let depth = if tick.label.is_empty() { 0.15 } else { 0.3 } * sheet.em;
        strokes.push(([x, bar.bottom], [x, bar.bottom + depth]));
        let at = [x, bar.bottom + sheet.em * 0.38 + ASCENT * sheet.small];
        let mut label = sheet.label(tick.label.clone(), at, Anchor::Middle);
        // The bar's neighbour may stand close: labels stay within the bar's own length.
        let half = (label.width() / 2.0).min(length / 2.0);
        label.at[0] = x.clamp(left + half, left + length - half);
        if sheet.is_free(&label.rect()) {
            sheet.text(&label);
        }
    }
    sheet.svg.strokes(&strokes, stroke);
    sheet.svg.close();
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn diverging_scale_is_symmetric_about_zero() {
        let scale = ColourScale {
            map: ColourMap::Diverging,
            ..ColourScale::new("Margin", "%")
        };
        let gradient = Gradient::new(&scale, [Some(-1.0), Some(4.0)]).expect("plain");
        assert_eq!((gradient.span.low, gradient.span.high), (-4.0, 4.0));
    }

    #[test]
    fn missing_values_do_not_move_the_ends() {
        let scale = ColourScale::new("Sag", "mm");
        let values = [
            None,
            Some(f64::NAN),
            Some(f64::INFINITY),
            Some(1.0),
            Some(3.0),
        ];
        let gradient = Gradient::new(&scale, values).expect("plain");
        assert_eq!((gradient.span.low, gradient.span.high), (1.0, 3.0));
        assert!(Gradient::new(&scale, [None]).expect("empty").empty);
    }

    #[test]
    fn logarithmic_scale_refuses_zero_by_name() {
        let scale = ColourScale {
            logarithmic: true,
            ..ColourScale::new("Stiffness", "N/mm")
        };
        let error = Gradient::new(&scale, [Some(0.0)]).expect_err("zero");
        assert!(error.to_string().contains("Stiffness"));
    }

    #[test]
    fn levels_lie_inside_the_scale() {
        let scale = ColourScale::new("Sag", "mm");
        let gradient = Gradient::new(&scale, [Some(0.0), Some(1.0)]).expect("plain");
        assert_eq!(gradient.levels(5), [0.2, 0.4, 0.6, 0.8]);
    }
}
