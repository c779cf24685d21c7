//! The two axes of told parameters: standard errors, and offsets from the design.

use super::{ToldRow, ToldState};
use crate::number::significant;
use crate::plot::axis::{Axis, AxisKind, Fringe, Span, marks, span};
use crate::plot::error::PlotError;
use crate::plot::geometry::Rect;
use crate::plot::sheet::Sheet;
use crate::plot::ticks::Tick;

/// Standard errors below this are as good as 0, and signals below it as good as none.
const NONE: f64 = 1e-90;
/// Offsets up to this stand on a linear axis, typical errors.
const LINEAR_MAX: f64 = 3.0;
/// Panels wider than this have room for marks between factors of ten, in font sizes.
const WIDE_EM: f64 = 16.0;
/// Room beyond the outermost mark, as a part of an axis.
const FRINGE: f64 = 0.08;

/// Logarithmic axis of standard errors, with places of their own for 0 and for errors without
/// bound.
#[derive(Debug)]
pub(super) struct ErrorScale {
    /// The panel; its height is settled by the rows.
    pub frame: Rect,
    /// The part with equal factors.
    log: Rect,
    span: Span,
    /// Where 0 stands, if there is one.
    pub zero: Option<f64>,
    /// Where errors without bound stand, if there are any.
    pub never: Option<f64>,
}

/// The standard error of a row: found, or what a held one would have had.
pub(super) fn error_of(row: &ToldRow) -> Option<f64> {
    match &row.state {
        ToldState::Fitted { standard_error, .. } => Some(*standard_error),
        ToldState::Held { signal, .. } => signal.map(|signal| {
            if signal < NONE {
                f64::INFINITY
            } else {
                1.0 / signal
            }
        }),
    }
}

/// The standard error of a fitted row with the held parameters off too.
pub(super) fn with_held(row: &ToldRow) -> Option<f64> {
    match row.state {
        ToldState::Fitted { with_held, .. } => with_held,
        ToldState::Held { .. } => None,
    }
}

impl ErrorScale {
    pub fn new(sheet: &Sheet, rows: &[ToldRow], frame: Rect) -> Result<Self, PlotError> {
        let errors = || {
            rows.iter()
                .flat_map(|row| [error_of(row), with_held(row)])
                .flatten()
        };
        let placed = errors().filter(|e| e.is_finite() && *e >= NONE);
        // The typical error itself is always on the axis.
        let (low, high) = placed.fold((0.5_f64, 2.0_f64), |(low, high), error| {
            (low.min(error), high.max(error))
        });
        let axis = Axis::new("Standard error", "").with_kind(AxisKind::Logarithmic);
        let fringe = (high / low).powf(FRINGE);
        let span = span(&axis, Some([low / fringe, high * fringe]), Fringe::None)?;
        let slot = sheet.em * 1.8;
        let zero = errors()
            .any(|e| e < NONE)
            .then_some(frame.left + slot * 0.3);
        let never = errors()
            .any(f64::is_infinite)
            .then_some(frame.right - slot * 0.4);
        let mut log = frame;
        if zero.is_some() {
            log.left += slot;
        }
        if never.is_some() {
            log.right -= slot;
        }
        Ok(Self {
            frame,
            log,
            span,
            zero,
            never,
        })
    }

    /// Place of a standard error along the axis, pt.
    pub fn x_at(&self, error: f64) -> f64 {
        match (self.zero, self.never) {
            (Some(zero), _) if error < NONE => zero,
            (_, Some(never)) if error.is_infinite() => never,
            _ => self.log.left + self.span.fraction(error) * self.log.width(),
        }
    }

    pub fn ticks(&self, sheet: &Sheet) -> Vec<Tick> {
        let axis = Axis::new("", "").with_kind(AxisKind::Logarithmic);
        let mut ticks = marks(&axis, &self.span, self.log.width(), sheet.small, false);
        let [low, high] = [self.span.low, self.span.high].map(f64::log10);
        if ticks.iter().all(|tick| !tick.label.is_empty()) && high - low < 12.0 {
            // Labels that leave decades out: those get a mark all the same.
            let decades = low.ceil() as i32..=high.floor() as i32;
            ticks.extend(decades.map(|exponent| Tick {
                value: 10f64.powi(exponent),
                label: String::new(),
            }));
        }
        ticks
    }
}

/// Signed axis of offsets: linear where all are small, else linear up to one typical error
/// and with equal factors beyond it.
#[derive(Debug)]
pub(super) struct OffsetScale {
    /// The panel; its height is settled by the rows.
    pub frame: Rect,
    /// Greatest offset on the axis, typical errors.
    reach: f64,
}

impl OffsetScale {
    pub fn new(rows: &[ToldRow], frame: Rect) -> Self {
        let ends = rows.iter().map(|row| match &row.state {
            ToldState::Fitted {
                offset,
                standard_error,
                ..
            } => offset.abs() + 2.0 * standard_error,
            ToldState::Held { .. } => 0.0,
        });
        let reach = ends.fold(1.5, f64::max);
        Self { frame, reach }
    }

    pub fn is_linear(&self) -> bool {
        self.reach <= LINEAR_MAX
    }

    /// The offset as the axis counts: itself up to 1, then one more for every factor of ten.
    fn counted(&self, offset: f64) -> f64 {
        if self.is_linear() || offset.abs() <= 1.0 {
            offset
        } else {
            offset.signum() * (1.0 + offset.abs().log10())
        }
    }

    /// Place of an offset along the axis, pt.
    pub fn x_at(&self, offset: f64) -> f64 {
        let half = self.counted(self.reach) * (1.0 + 2.0 * FRINGE);
        self.frame.centre()[0] + self.counted(offset) / half * self.frame.width() / 2.0
    }

    /// Marks, those first that must have a label.
    pub fn ticks(&self, sheet: &Sheet) -> Vec<Tick> {
        if self.is_linear() {
            let span = Span {
                low: -self.reach,
                high: self.reach,
                logarithmic: false,
            };
            return marks(
                &Axis::new("", ""),
                &span,
                self.frame.width(),
                sheet.small,
                false,
            );
        }
        let decades = self.reach.log10().floor() as i32;
        let stride = decades / 4 + 1;
        let mut sizes = vec![1.0];
        let whole = (1..=decades).rev().filter(|e| e % stride == 0);
        sizes.extend(whole.map(|exponent| 10f64.powi(exponent)));
        if self.frame.width() > WIDE_EM * sheet.em && decades < 2 {
            sizes.extend([2.0, 5.0, 20.0, 50.0]);
        } else if decades == 0 {
            sizes.push(if self.reach < 5.0 { 3.0 } else { 5.0 });
        }
        sizes.retain(|size| *size <= self.reach);
        let signed = sizes.into_iter().flat_map(|size| [-size, size]);
        [0.0]
            .into_iter()
            .chain(signed)
            .map(|value| Tick {
                value,
                label: significant(value, 1),
            })
            .collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plot::style::FigureStyle;
    use crate::plot::told_parameters::HeldBecause;

    fn fitted(offset: f64, standard_error: f64) -> ToldRow {
        ToldRow {
            name: "bar".to_owned(),
            state: ToldState::Fitted {
                offset,
                standard_error,
                with_held: None,
                off: false,
            },
        }
    }

    fn held(signal: f64) -> ToldRow {
        ToldRow {
            name: "zero".to_owned(),
            state: ToldState::Held {
                signal: Some(signal),
                because: HeldBecause::Noise,
            },
        }
    }

    #[test]
    fn every_standard_error_has_a_place_in_order() {
        let sheet = Sheet::new(&FigureStyle::screen());
        let frame = Rect::new(50.0, 0.0, 200.0, 10.0);
        let rows = [fitted(0.0, 0.0), fitted(0.0, 0.01), held(0.2), held(0.0)];
        let scale = ErrorScale::new(&sheet, &rows, frame).expect("valid");
        let places: Vec<f64> = rows
            .iter()
            .map(|row| scale.x_at(error_of(row).expect("given")))
            .collect();
        assert!(
            places.windows(2).all(|pair| pair[0] < pair[1]),
            "{places:?}"
        );
        assert!(places[0] >= frame.left && places[3] <= frame.right);
        // A signal of 0.2 is a standard error of 5; equal factors are equal steps.
        let step = scale.x_at(1.0) - scale.x_at(0.1);
        assert!((scale.x_at(0.1) - places[1] - step).abs() < 1e-9);
        assert!((places[2] - scale.x_at(5.0)).abs() < 1e-9);
    }

    #[test]
    fn offsets_beyond_one_count_in_factors_of_ten() {
        let frame = Rect::new(0.0, 0.0, 100.0, 10.0);
        let scale = OffsetScale::new(&[fitted(-120.0, 1.0)], frame);
        let at = |offset: f64| scale.x_at(offset) - 50.0;
        assert!((at(10.0) - 2.0 * at(1.0)).abs() < 1e-9);
        assert!((at(100.0) - 3.0 * at(1.0)).abs() < 1e-9);
        assert!((at(-100.0) + at(100.0)).abs() < 1e-9 && at(0.0).abs() < 1e-9);
        assert!((at(0.5) - 0.5 * at(1.0)).abs() < 1e-9);
        let linear = OffsetScale::new(&[fitted(2.0, 0.1)], frame);
        assert!(linear.is_linear());
        let at = |offset: f64| linear.x_at(offset) - 50.0;
        assert!((at(2.0) - 2.0 * at(1.0)).abs() < 1e-9);
    }
}
