//! Margin bars: how far each requirement is met or missed.

use super::ROWS_MAX;
use crate::number::{MAGNITUDE_MAX, fixed, significant};
use crate::plot::axis::{Axis, Span, marks};
use crate::plot::colour_scale::shown;
use crate::plot::error::PlotError;
use crate::plot::geometry::{HatchDirection, Rect};
use crate::plot::legend::{Entry, Sample, hatched, legend_rows};
use crate::plot::sheet::Sheet;
use crate::plot::svg::{Anchor, Stroke};
use crate::plot::text::{ASCENT, MIDDLE, WIDER, bold_width, width};

/// Margins beyond this are cut, percent, so that one large margin does not hide the small
/// ones.
const CUT_PERCENT: f64 = 100.0;

/// Margins to the requirements: right of zero is met, left of it is missed.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct MarginBars {
    /// Requirements, in drawing order.
    pub rows: Vec<MarginRow>,
}

/// One requirement.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct MarginRow {
    /// Name, such as "Contact deflection".
    pub name: String,
    /// What is needed, with its unit, such as "≤ 0.50 mm".
    pub needed: String,
    /// What was found, with its unit.
    pub found: String,
    /// What that is; empty is "predicted".
    pub found_is: String,
    /// Margin as a part of what is needed, percent; negative where missed; `None` where
    /// there is no result.
    pub margin_percent: Option<f64>,
    /// Least and greatest margin where inputs are uncertain, percent.
    pub band_percent: Option<[f64; 2]>,
    /// Margin at nominal values, a dot on the range, percent; `None` marks none.
    pub nominal_percent: Option<f64>,
}

impl MarginBars {
    fn check(&self) -> Result<(), PlotError> {
        if self.rows.len() > ROWS_MAX {
            return Err(PlotError::TooMany {
                what: "requirements".to_owned(),
                found: self.rows.len(),
                allowed: ROWS_MAX,
            });
        }
        for row in &self.rows {
            let margins = [row.margin_percent, row.nominal_percent];
            let margins = margins.into_iter().filter_map(shown);
            let band = row.band_percent.into_iter().flatten();
            let band = band.filter(|v| v.is_finite());
            for value in margins.chain(band) {
                if value.abs() > MAGNITUDE_MAX {
                    return Err(PlotError::TooLarge {
                        what: format!("margin of `{}`", row.name),
                        value,
                    });
                }
            }
        }
        Ok(())
    }

    /// Ends of the percent axis: zero, all margins, at most the cut.
    fn span(&self) -> Span {
        let values = self.rows.iter().flat_map(|row| {
            let band = row.band_percent.into_iter().flatten();
            shown(row.margin_percent)
                .into_iter()
                .chain(band.filter(|v| v.is_finite()))
        });
        let (low, high) = values.fold((0.0_f64, 0.0_f64), |(low, high), v| {
            (low.min(v), high.max(v))
        });
        let (low, high) = (low.max(-CUT_PERCENT), high.min(CUT_PERCENT));
        let whole = (high - low).max(1.0);
        Span {
            low: if low < 0.0 { low - whole * 0.02 } else { 0.0 },
            high: if high > 0.0 {
                high + whole * 0.02
            } else {
                whole * 0.1
            },
            logarithmic: false,
        }
    }

    pub(crate) fn draw(&self, sheet: &mut Sheet) -> Result<(), PlotError> {
        self.check()?;
        let left = sheet.left();
        let room = sheet.right() - left;
        if self.rows.is_empty() {
            sheet.notes.push("No data in this figure.".to_owned());
            let size = sheet.small;
            sheet.paragraph(&["No data".to_owned()], left, size, false);
            return Ok(());
        }
        let texts = self
            .rows
            .iter()
            .map(|row| {
                let detail = width(&detail(row), sheet.small * 0.95);
                bold_width(&row.name, sheet.small).max(detail) * WIDER
            })
            .fold(0.0, f64::max)
            .min(room * 0.48);
        let value_room = |met: bool| {
            let of_side = self.rows.iter().filter_map(|r| shown(r.margin_percent));
            of_side
                .filter(|margin| (*margin >= 0.0) == met)
                .map(|margin| bold_width(&percent_label(margin), sheet.small) + sheet.em * 0.6)
                .fold(sheet.em * 0.4, f64::max)
        };
        let bars_left = left + texts + sheet.em * 0.8 + value_room(false);
        let bars_right = sheet.right() - value_room(true);
        let bars_width = (bars_right - bars_left).max(sheet.em * 2.0);
        let bars = Rect::new(bars_left, sheet.y, bars_width, 0.0);
        let rows = Rows {
            bars,
            span: self.span(),
            texts,
            left,
        };
        let top = sheet.y;
        for row in &self.rows {
            rows.row(sheet, row);
        }
        rows.axis(sheet, top);
        if self.rows.iter().any(|row| row.band_percent.is_some()) {
            let dots = self.rows.iter().any(|row| row.nominal_percent.is_some());
            let entry = Entry {
                sample: Sample::Range,
                text: if dots {
                    "range over uncertain inputs, dot at nominal values".to_owned()
                } else {
                    "range over uncertain inputs".to_owned()
                },
            };
            legend_rows(sheet, &[entry], left, sheet.right());
        }
        Ok(())
    }
}

fn detail(row: &MarginRow) -> String {
    let what = match row.found_is.as_str() {
        "" => "predicted",
        what => what,
    };
    match (row.needed.is_empty(), row.found.is_empty()) {
        (false, false) => format!("{} required, {} {what}", row.needed, row.found),
        (false, true) => format!("{} required", row.needed),
        (true, false) => format!("{} {what}", row.found),
        (true, true) => String::new(),
    }
}

/// Where the rows of a margin figure stand.
struct Rows {
    /// Left and right ends of the percent axis.
    bars: Rect,
    span: Span,
    texts: f64,
    left: f64,
}

impl Rows {
    fn x_at(&self, percent: f64) -> f64 {
        let fraction = self.span.fraction(percent).clamp(0.0, 1.0);
        self.bars.left + fraction * self.bars.width()
    }

    fn row(&self, sheet: &mut Sheet, row: &MarginRow) {
        let height = sheet.em * 2.6;
        let top = sheet.y;
        let name = sheet.fitted(&row.name, sheet.small, self.texts / 1.07);
        let mut label = sheet.label(
            name,
            [self.left, top + sheet.em * 0.1 + ASCENT * sheet.small],
            Anchor::Start,
        );
        label.bold = true;
        sheet.text(&label);
        let size = sheet.small * 0.95;
        let text = sheet.fitted(&detail(row), size, self.texts);
        let at = [self.left, top + sheet.em * 1.15 + ASCENT * size];
        let mut label = sheet.label(text, at, Anchor::Start);
        label.size = size;
        label.colour = sheet.palette.quiet;
        sheet.text(&label);
        let middle = top + height * 0.45;
        match shown(row.margin_percent) {
            Some(margin) => self.bar(sheet, row, margin, middle),
            None => {
                let at = [
                    self.x_at(0.0) + sheet.em * 0.5,
                    middle + MIDDLE * sheet.small,
                ];
                let mut label = sheet.label("no value", at, Anchor::Start);
                label.colour = sheet.palette.quiet;
                if label.rect().right > sheet.right() {
                    label.at[0] = self.x_at(0.0) - sheet.em * 0.5;
                    label.anchor = Anchor::End;
                }
                sheet.text(&label);
            }
        }
        sheet.y += height;
    }

    fn bar(&self, sheet: &mut Sheet, row: &MarginRow, margin: f64, middle: f64) {
        let (zero, end) = (self.x_at(0.0), self.x_at(margin));
        let half = sheet.em * 0.42;
        let met = margin >= 0.0;
        let colour = if met {
            sheet.palette.series[0]
        } else {
            sheet.palette.accent
        };
        let bar = Rect {
            left: zero.min(end),
            right: zero.max(end),
            top: middle - half,
            bottom: middle + half,
        };
        if met {
            sheet.svg.rect(&bar, Some(colour), None);
        } else {
            // Hatched as well as coloured: a missed requirement shows in grey too.
            sheet.svg.rect(&bar, Some(sheet.palette.blank), None);
            hatched(sheet, &[bar.corners().to_vec()], HatchDirection::Falling);
            let stroke = Stroke::solid(colour, sheet.em * 0.14);
            sheet.svg.rect(&bar, None, Some(stroke));
        }
        if margin.abs() > CUT_PERCENT {
            self.cut_mark(sheet, end, middle, half);
        }
        let band = row.band_percent.filter(|b| b.iter().all(|v| v.is_finite()));
        let mut reach = [zero.min(end), zero.max(end)];
        if let Some([from, to]) = band.map(|[a, b]| [a.min(b), a.max(b)])
            && self.span.holds(from.max(self.span.low))
            && self.span.holds(to.min(self.span.high))
        {
            // An end beyond the axis gets an arrow and no stroke: the range goes on there.
            let ended = [from, to].map(|end| self.span.holds(end));
            let [from, to] = [from, to].map(|end| self.x_at(end));
            let level = middle + half + sheet.em * 0.32;
            range_bar(sheet, [from, to], ended, level);
            let nominal = shown(row.nominal_percent).filter(|at| self.span.holds(*at));
            if let Some(at) = nominal.map(|at| self.x_at(at)) {
                let ink = sheet.palette.ink;
                sheet
                    .svg
                    .circle([at, level], sheet.em * 0.2, Some(ink), None);
            }
            reach = [reach[0].min(from), reach[1].max(to)];
        }
        let text = percent_label(margin);
        let gap = sheet.em * 0.4;
        let (x, anchor) = if met {
            (reach[1] + gap, Anchor::Start)
        } else {
            (reach[0] - gap, Anchor::End)
        };
        let mut label = sheet.label(text, [x, middle + MIDDLE * sheet.small], anchor);
        if !met {
            label.colour = sheet.palette.accent;
            label.bold = true;
        }
        sheet.text(&label);
    }

    /// Two slanting strokes where a bar is cut.
    fn cut_mark(&self, sheet: &mut Sheet, end: f64, middle: f64, half: f64) {
        let slant = sheet.em * 0.3;
        let toward_zero = (self.x_at(0.0) - end).signum();
        for step in [1.6, 2.8] {
            let x = end + toward_zero * sheet.em * 0.3 * step;
            let stroke = Stroke::solid(sheet.palette.paper, sheet.em * 0.16);
            let line = [
                [x - slant / 2.0, middle + half * 1.2],
                [x + slant / 2.0, middle - half * 1.2],
            ];
            sheet.svg.polyline(&line, stroke);
        }
    }

    /// Zero line and percent axis below the rows.
    fn axis(&self, sheet: &mut Sheet, top: f64) {
        let bottom = sheet.y;
        let zero = self.x_at(0.0);
        let line = Stroke::solid(sheet.palette.ink, sheet.em * 0.09);
        sheet.svg.polyline(&[[zero, top], [zero, bottom]], line);
        let axis = Axis::new("", "");
        let ticks = marks(&axis, &self.span, self.bars.width(), sheet.small, false);
        let mut strokes = Vec::new();
        for tick in &ticks {
            let x = self.x_at(tick.value);
            strokes.push(([x, bottom], [x, bottom + sheet.em * 0.3]));
            let at = [x, bottom + sheet.em * 0.4 + ASCENT * sheet.small];
            let mut label = sheet.label(tick.label.clone(), at, Anchor::Middle);
            let half = label.width() / 2.0;
            label.at[0] = x.min(sheet.right() - half);
            if sheet.is_free(&label.rect()) {
                sheet.text(&label);
            }
        }
        let base = ([self.bars.left, bottom], [self.bars.right, bottom]);
        strokes.push(base);
        let quiet = Stroke::solid(sheet.palette.quiet, sheet.em * 0.06);
        sheet.svg.strokes(&strokes, quiet);
        sheet.y = bottom + sheet.em * 0.45 + sheet.small * 1.1;
        let heading = sheet.fitted(
            "Margin (% of what is required)",
            sheet.small,
            sheet.right() - sheet.left(),
        );
        let half = width(&heading, sheet.small) / 2.0;
        let centre = self.bars.centre()[0].clamp(sheet.left() + half, sheet.right() - half);
        let at = [centre, sheet.y + ASCENT * sheet.small];
        let label = sheet.label(heading, at, Anchor::Middle);
        sheet.text(&label);
        sheet.y += sheet.small * 1.2;
    }
}

fn percent_label(margin: f64) -> String {
    let number = if margin.abs() < 10.0 && margin != 0.0 {
        significant(margin, 2)
    } else if margin.abs() < 1e6 {
        fixed(margin, 0)
    } else {
        significant(margin, 2)
    };
    format!("{number} %")
}

/// A level line with a stroke at each end that is one, and an arrow where it goes on.
fn range_bar(sheet: &mut Sheet, ends: [f64; 2], ended: [bool; 2], level: f64) {
    let half = sheet.em * 0.2;
    let mut strokes = vec![([ends[0], level], [ends[1], level])];
    for (end, (is_end, back)) in ends.into_iter().zip(ended.into_iter().zip([half, -half])) {
        if is_end {
            strokes.push(([end, level - half], [end, level + half]));
        } else {
            strokes.push(([end, level], [end + back, level - half]));
            strokes.push(([end, level], [end + back, level + half]));
        }
    }
    sheet
        .svg
        .strokes(&strokes, Stroke::solid(sheet.palette.ink, sheet.em * 0.11));
}
