//! Axes: what the user says about one, and the one that is drawn.

use super::error::PlotError;
use super::text::{LINE_BOX, width};
use super::ticks::{self, Tick};
use crate::number::MAGNITUDE_MAX;

/// How an axis counts.
#[derive(Debug, Clone, PartialEq, Default)]
pub enum AxisKind {
    /// Equal steps, marked at 1-2-5 multiples.
    #[default]
    Linear,
    /// Equal factors; values must be above zero.
    Logarithmic,
    /// Whole numbers, such as a number of stages.
    Integer,
    /// Names at 0, 1, 2 …, such as cross-sections.
    Names(Vec<String>),
}

/// An axis as the caller describes it.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Axis {
    /// What is shown, such as "Arc angle".
    pub label: String,
    /// Unit, written in brackets after the label; empty for none.
    pub unit: String,
    /// How the axis counts.
    pub kind: AxisKind,
    /// Have zero on the axis even where the data stay away from it.
    pub include_zero: bool,
}

impl Axis {
    /// A linear axis over the range of the data.
    pub fn new(label: impl Into<String>, unit: impl Into<String>) -> Self {
        Self {
            label: label.into(),
            unit: unit.into(),
            ..Self::default()
        }
    }

    /// The same axis counting in `kind`.
    pub fn with_kind(mut self, kind: AxisKind) -> Self {
        self.kind = kind;
        self
    }

    /// The same axis with zero on it.
    pub fn from_zero(mut self) -> Self {
        self.include_zero = true;
        self
    }

    /// Label with its unit in brackets.
    pub(crate) fn heading(&self) -> String {
        heading(&self.label, &self.unit)
    }
}

/// Label with its unit in brackets, or the label alone.
pub(crate) fn heading(label: &str, unit: &str) -> String {
    if unit.is_empty() {
        label.to_owned()
    } else {
        format!("{label} ({unit})")
    }
}

/// Differences below this are none; it keeps clear of the numbers that lose digits.
const MAGNITUDE_MIN: f64 = 1e-100;

/// How far the axis goes beyond the data.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Fringe {
    /// The data's own ends, for cells that fill the panel.
    None,
    /// This fraction of the span on either side.
    Fraction(f64),
    /// To the next mark outwards, with at most this many parts.
    Mark(usize),
}

/// Ends of an axis and how it counts: what turns a value into a place.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Span {
    pub low: f64,
    pub high: f64,
    pub logarithmic: bool,
}

impl Span {
    /// 0 at the low end, 1 at the high end.
    pub fn fraction(&self, value: f64) -> f64 {
        if self.logarithmic {
            if value <= 0.0 {
                return f64::MIN;
            }
            (value / self.low).ln() / (self.high / self.low).ln()
        } else {
            (value - self.low) / (self.high - self.low)
        }
    }

    /// Whether `value` lies on the axis, ends included.
    pub fn holds(&self, value: f64) -> bool {
        let slack = 1e-9;
        (-slack..=1.0 + slack).contains(&self.fraction(value))
    }
}

/// Checks that `values` are finite and not too large.
pub(crate) fn check_finite(
    what: &str,
    values: impl IntoIterator<Item = f64>,
) -> Result<(), PlotError> {
    for (index, value) in values.into_iter().enumerate() {
        if !value.is_finite() {
            return Err(PlotError::NotFinite {
                what: what.to_owned(),
                index,
                value,
            });
        }
        if value.abs() > MAGNITUDE_MAX {
            return Err(PlotError::TooLarge {
                what: what.to_owned(),
                value,
            });
        }
    }
    Ok(())
}

/// Least and greatest of `values`, if there are any.
pub(crate) fn extent(values: impl IntoIterator<Item = f64>) -> Option<[f64; 2]> {
    values.into_iter().fold(None, |found, value| match found {
        None => Some([value, value]),
        Some([low, high]) => Some([low.min(value), high.max(value)]),
    })
}

/// The span of `axis` over data reaching over `data`.
///
/// # Errors
/// [`PlotError::NotPositive`] for a logarithmic axis reaching zero.
pub(crate) fn span(axis: &Axis, data: Option<[f64; 2]>, fringe: Fringe) -> Result<Span, PlotError> {
    let what = format!("axis `{}`", axis.label);
    let logarithmic = axis.kind == AxisKind::Logarithmic;
    if let AxisKind::Names(names) = &axis.kind {
        return Ok(Span {
            low: -0.5,
            high: names.len().max(1) as f64 - 0.5,
            logarithmic,
        });
    }
    let [mut low, mut high] = data.unwrap_or(if logarithmic { [0.1, 1.0] } else { [0.0, 1.0] });
    if logarithmic {
        if low <= 0.0 {
            return Err(PlotError::NotPositive { what, value: low });
        }
        if high / low < 1.0 + 1e-9 {
            (low, high) = (low / 2.0, high * 2.0);
        } else if fringe != Fringe::None {
            let fraction = match fringe {
                Fringe::Fraction(fraction) => fraction,
                _ => 0.05,
            };
            let factor = (high / low).powf(fraction);
            (low, high) = (low / factor, high * factor);
        }
    } else {
        if axis.include_zero {
            (low, high) = (low.min(0.0), high.max(0.0));
        }
        (low, high) = widened(axis, low, high, fringe);
    }
    Ok(Span {
        low,
        high,
        logarithmic,
    })
}

fn widened(axis: &Axis, low: f64, high: f64, fringe: Fringe) -> (f64, f64) {
    let size = low.abs().max(high.abs());
    // Values that differ by rounding only are one value; it gets an axis around it.
    if high - low <= (size * 1e-9).max(MAGNITUDE_MIN) {
        let half = if axis.kind == AxisKind::Integer || size < MAGNITUDE_MIN {
            // Half a step, as long as that can be told from nothing beside the value.
            (size * 1e-6).max(0.5)
        } else {
            size * 0.05
        };
        return (low - half, high + half);
    }
    match fringe {
        Fringe::None => (low, high),
        Fringe::Fraction(fraction) => {
            let room = (high - low) * fraction;
            // Zero as an end stays the end: room below it would suggest negative values.
            let below = if low == 0.0 { 0.0 } else { room };
            let above = if high == 0.0 { 0.0 } else { room };
            (low - below, high + above)
        }
        Fringe::Mark(parts) => {
            let marks = ticks::linear(low, high, parts);
            let step = match marks.as_slice() {
                [first, second, ..] => second.value - first.value,
                _ => high - low,
            };
            let slack = 1e-6;
            let down = (low / step + slack).floor() * step;
            let up = (high / step - slack).ceil() * step;
            (down, up)
        }
    }
}

/// Parts of an upright axis of `length` pt that have room for labels of `size`.
pub(crate) fn upright_parts(length: f64, size: f64) -> usize {
    (length / (LINE_BOX * size * 1.6)).floor().clamp(1.0, 8.0) as usize
}

/// Marks of an axis of `length` pt whose labels, set at `size`, do not touch.
pub(crate) fn marks(axis: &Axis, span: &Span, length: f64, size: f64, upright: bool) -> Vec<Tick> {
    if let AxisKind::Names(names) = &axis.kind {
        return names
            .iter()
            .enumerate()
            .map(|(index, name)| Tick {
                value: index as f64,
                label: name.clone(),
            })
            .filter(|tick| span.holds(tick.value))
            .collect();
    }
    let parts_start = if upright { 8 } else { 10 };
    for parts in (1..=parts_start).rev() {
        let ticks = match axis.kind {
            AxisKind::Logarithmic => ticks::logarithmic(span.low, span.high, parts),
            AxisKind::Integer => ticks::integer(span.low, span.high, parts * 2),
            AxisKind::Linear | AxisKind::Names(_) => ticks::linear(span.low, span.high, parts),
        };
        if labels_apart(&ticks, span, length, size, upright) {
            return ticks;
        }
    }
    // Not even two labels fit: keep the last one alone.
    let mut ticks = ticks::linear(span.low, span.high, 1);
    ticks.drain(..ticks.len().saturating_sub(1));
    ticks
}

fn labels_apart(ticks: &[Tick], span: &Span, length: f64, size: f64, upright: bool) -> bool {
    let named: Vec<&Tick> = ticks.iter().filter(|t| !t.label.is_empty()).collect();
    named.windows(2).all(|pair| {
        let between = (span.fraction(pair[1].value) - span.fraction(pair[0].value)) * length;
        let needed = if upright {
            LINE_BOX * size * 1.6
        } else {
            (width(&pair[0].label, size) + width(&pair[1].label, size)) / 2.0 + 0.7 * size
        };
        between >= needed
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn span_of_one_value_and_of_none() {
        let axis = Axis::new("Sag", "mm");
        let one = span(&axis, Some([2.0, 2.0]), Fringe::Mark(5)).expect("one value");
        assert!(one.low < 2.0 && one.high > 2.0);
        let none = span(&axis, None, Fringe::Mark(5)).expect("no value");
        assert!(none.low < none.high);
        let zero = span(&axis, Some([0.0, 0.0]), Fringe::None).expect("zero");
        assert!(zero.low < 0.0 && zero.high > 0.0);
    }

    #[test]
    fn fringe_goes_to_the_next_mark_outwards() {
        let axis = Axis::new("Sag", "mm");
        let found = span(&axis, Some([0.13, 0.87]), Fringe::Mark(5)).expect("plain");
        assert!((found.low - 0.0).abs() < 1e-12 && (found.high - 1.0).abs() < 1e-12);
    }

    #[test]
    fn logarithmic_axis_refuses_zero_and_places_decades_evenly() {
        let axis = Axis::new("Stiffness", "N/mm").with_kind(AxisKind::Logarithmic);
        assert!(matches!(
            span(&axis, Some([0.0, 1.0]), Fringe::None),
            Err(PlotError::NotPositive { .. })
        ));
        let found = span(&axis, Some([0.1, 1000.0]), Fringe::None).expect("positive");
        assert!((found.fraction(1.0) - 0.25).abs() < 1e-12);
        assert!((found.fraction(10.0) - 0.5).abs() < 1e-12);
    }

    #[test]
    fn labels_thin_out_on_a_short_axis() {
        let axis = Axis::new("Force", "N");
        let whole = span(&axis, Some([0.0, 10_000.0]), Fringe::None).expect("plain");
        let long = marks(&axis, &whole, 400.0, 8.0, false);
        let short = marks(&axis, &whole, 60.0, 8.0, false);
        assert!(long.len() > short.len() && short.len() >= 2);
    }
}
