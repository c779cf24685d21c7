//! Panels: where they stand on the sheet, their axes, and their legend.

use super::axis::{Axis, AxisKind, Span, marks};
use super::error::PlotError;
use super::geometry::{Point, Rect};
use super::sheet::Sheet;
use super::svg::{Anchor, Stroke};
use super::text::{ASCENT, MIDDLE, bold_width, width};
use super::ticks::Tick;

/// Most panels in one figure; more cannot be read.
pub(crate) const PANELS_MAX: usize = 12;

/// Least width of a panel with its margins, in font sizes.
const PANEL_WIDTH_MIN_EM: f64 = 14.0;

/// How panels are spread over rows and columns.
#[derive(Debug, Clone)]
pub(crate) struct Plan {
    pub columns: usize,
    /// Width of a panel's frame, pt.
    pub width: f64,
    /// Left edge of the first frame, pt.
    pub left: f64,
    /// From the left edge of one frame to that of the next, pt.
    pub stride: f64,
}

/// Room a panel needs beside its frame, pt.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Margins {
    /// Left of the first frame of a row.
    pub first: f64,
    /// Between frames.
    pub between: f64,
    /// Right of the last frame.
    pub last: f64,
}

/// Checks a ratio of height to width.
pub(crate) fn check_aspect(aspect: f64) -> Result<(), PlotError> {
    if (0.1..=10.0).contains(&aspect) {
        Ok(())
    } else {
        Err(PlotError::OutOfRange {
            what: "aspect".to_owned(),
            value: aspect,
            from: 0.1,
            to: 10.0,
        })
    }
}

/// Number of columns for `count` panels on the sheet.
pub(crate) fn columns(sheet: &Sheet, count: usize) -> usize {
    let room = (sheet.width / (PANEL_WIDTH_MIN_EM * sheet.em)).floor() as usize;
    let count = count.max(1);
    let rows = count.div_ceil(room.clamp(1, count));
    count.div_ceil(rows)
}

impl Plan {
    pub fn new(sheet: &Sheet, count: usize, margins: Margins) -> Self {
        let columns = columns(sheet, count);
        let left = sheet.left() + margins.first;
        let gaps = margins.between * (columns - 1) as f64;
        let room = sheet.right() - margins.last - left - gaps;
        let width = (room / columns as f64).max(sheet.em);
        Self {
            columns,
            width,
            left,
            stride: width + margins.between,
        }
    }

    /// Left edge of the frame in `column`, pt.
    pub fn column_left(&self, column: usize) -> f64 {
        self.left + self.stride * column as f64
    }

    /// Right edge of the last frame of a full row, pt.
    pub fn right(&self) -> f64 {
        self.column_left(self.columns - 1) + self.width
    }
}

/// A frame and the axes along it.
#[derive(Debug)]
pub(crate) struct Panel<'a> {
    pub frame: Rect,
    pub x: &'a Span,
    pub y: &'a Span,
}

impl Panel<'_> {
    pub fn x_at(&self, value: f64) -> f64 {
        self.frame.left + self.x.fraction(value) * self.frame.width()
    }

    pub fn y_at(&self, value: f64) -> f64 {
        self.frame.bottom - self.y.fraction(value) * self.frame.height()
    }

    pub fn place(&self, x: f64, y: f64) -> Point {
        [self.x_at(x), self.y_at(y)]
    }

    pub fn holds(&self, x: f64, y: f64) -> bool {
        self.x.holds(x) && self.y.holds(y)
    }
}

/// Widest tick label of an upright axis, as a part of the sheet's width.
const TICK_LABEL_WIDTH_MAX: f64 = 0.22;

/// Room left of a frame for the marks and the label of an upright axis, pt.
pub(crate) fn upright_axis_room(sheet: &Sheet, axis: &Axis, ticks: &[Tick]) -> f64 {
    let labels = widest(sheet, ticks).min(sheet.width * TICK_LABEL_WIDTH_MAX);
    let heading = if axis.heading().is_empty() {
        0.0
    } else {
        sheet.em * 1.35
    };
    heading + labels + sheet.em * 0.7
}

/// Room that half a label needs right of the last frame, pt.
pub(crate) fn half_label_room(sheet: &Sheet, ticks: &[Tick]) -> f64 {
    widest(sheet, ticks).min(sheet.em * 4.0) / 2.0
}

fn widest(sheet: &Sheet, ticks: &[Tick]) -> f64 {
    ticks
        .iter()
        .map(|tick| width(&tick.label, sheet.small))
        .fold(0.0, f64::max)
}

/// Look of the frame around a panel.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum FrameLook {
    /// All four sides, for cells that fill it.
    Closed,
    /// A base line and light lines across at the marks, for charts.
    Ruled,
}

/// Draws the upright axis of a panel; labels only where `labelled`.
pub(crate) fn upright_axis(
    sheet: &mut Sheet,
    panel: &Panel,
    axis: &Axis,
    ticks: &[Tick],
    labelled: bool,
    look: FrameLook,
) {
    let frame = panel.frame;
    let quiet = Stroke::solid(sheet.palette.quiet, sheet.em * 0.06);
    let mut strokes = Vec::new();
    let mut rules = Vec::new();
    let mut text_left = frame.left;
    for tick in ticks {
        let y = panel.y_at(tick.value);
        let length = if tick.label.is_empty() { 0.18 } else { 0.32 } * sheet.em;
        strokes.push(([frame.left - length, y], [frame.left, y]));
        if look == FrameLook::Ruled && !tick.label.is_empty() && y < frame.bottom - 0.1 {
            rules.push(([frame.left, y], [frame.right, y]));
        }
        if labelled && !tick.label.is_empty() {
            let limit = sheet.width * TICK_LABEL_WIDTH_MAX;
            let text = sheet.fitted(&tick.label, sheet.small, limit);
            let at = [frame.left - sheet.em * 0.5, y + MIDDLE * sheet.small];
            let label = sheet.label(text, at, Anchor::End);
            text_left = text_left.min(label.rect().left);
            sheet.text(&label);
        }
    }
    let rule = Stroke::solid(sheet.palette.rule, sheet.em * 0.05);
    sheet.svg.strokes(&rules, rule);
    if look == FrameLook::Closed {
        sheet.svg.strokes(&strokes, quiet);
    }
    let heading = axis.heading();
    if labelled && !heading.is_empty() {
        // Centred on the frame, it may stick out as far as there is sheet above.
        let above = (frame.top - sheet.em * 0.4).clamp(0.0, sheet.em);
        let limit = frame.height() + 2.0 * above;
        let text = sheet.fitted(&heading, sheet.em, limit);
        let at = [text_left - sheet.em * 0.55, frame.centre()[1]];
        let mut label = sheet.label(text, at, Anchor::Middle);
        label.size = sheet.em;
        label.turn_deg = -90.0;
        sheet.text(&label);
    }
}

/// Draws the marks and labels below a panel and returns the lowest y they reach, pt.
pub(crate) fn level_axis(sheet: &mut Sheet, panel: &Panel, axis: &Axis, ticks: &[Tick]) -> f64 {
    let frame = panel.frame;
    let slot = if matches!(axis.kind, AxisKind::Names(_)) {
        frame.width() * (panel.x.fraction(1.0) - panel.x.fraction(0.0)) - sheet.small * 0.5
    } else {
        f64::INFINITY
    };
    let mut strokes = Vec::new();
    for tick in ticks {
        let x = panel.x_at(tick.value);
        let length = if tick.label.is_empty() { 0.18 } else { 0.32 } * sheet.em;
        strokes.push(([x, frame.bottom], [x, frame.bottom + length]));
        if !tick.label.is_empty() {
            let text = sheet.fitted(&tick.label, sheet.small, slot);
            let at = [x, frame.bottom + sheet.em * 0.45 + ASCENT * sheet.small];
            let mut label = sheet.label(text, at, Anchor::Middle);
            let half = label.width() / 2.0;
            let leftmost = sheet.left() + half;
            label.at[0] = x.clamp(leftmost, (sheet.right() - half).max(leftmost));
            if sheet.is_free(&label.rect()) {
                sheet.text(&label);
            }
        }
    }
    let quiet = Stroke::solid(sheet.palette.quiet, sheet.em * 0.06);
    sheet.svg.strokes(&strokes, quiet);
    frame.bottom + sheet.em * 0.5 + sheet.small
}

/// Draws the label of the level axis, centred between `left` and `right`, and moves the
/// cursor below it.
pub(crate) fn level_heading(sheet: &mut Sheet, axis: &Axis, left: f64, right: f64) {
    let heading = axis.heading();
    if heading.is_empty() {
        return;
    }
    let text = sheet.fitted(&heading, sheet.em, sheet.right() - sheet.left());
    let half = width(&text, sheet.em) / 2.0;
    let centre = ((left + right) / 2.0).clamp(sheet.left() + half, sheet.right() - half);
    let at = [centre, sheet.y + ASCENT * sheet.em];
    let mut label = sheet.label(text, at, Anchor::Middle);
    label.size = sheet.em;
    sheet.text(&label);
    sheet.y += sheet.em * 1.2;
}

/// Draws the frame line of a panel.
pub(crate) fn frame_line(sheet: &mut Sheet, frame: &Rect, look: FrameLook) {
    let stroke = Stroke::solid(sheet.palette.quiet, sheet.em * 0.07);
    match look {
        FrameLook::Closed => sheet.svg.rect(frame, None, Some(stroke)),
        FrameLook::Ruled => {
            let base = [[frame.left, frame.bottom], [frame.right, frame.bottom]];
            sheet.svg.polyline(&base, stroke);
        }
    }
}

/// Draws the heading of a panel above its frame; the cursor stays.
pub(crate) fn panel_title(sheet: &mut Sheet, title: &str, left: f64, room: f64) {
    let (size, mut text) = (sheet.em, title.to_owned());
    if bold_width(&text, size) > room {
        text = sheet.fitted(title, size, room / 1.07);
    }
    let mut label = sheet.label(text, [left, sheet.y + ASCENT * size], Anchor::Start);
    label.size = size;
    label.bold = true;
    sheet.text(&label);
}

/// Marks and span of the axes that all panels of a figure share.
#[derive(Debug)]
pub(crate) struct SharedAxis<'a> {
    pub axis: &'a Axis,
    pub span: Span,
    pub ticks: Vec<Tick>,
}

impl<'a> SharedAxis<'a> {
    pub fn new(sheet: &Sheet, axis: &'a Axis, span: Span, length: f64, upright: bool) -> Self {
        let ticks = marks(axis, &span, length, sheet.small, upright);
        Self { axis, span, ticks }
    }
}
