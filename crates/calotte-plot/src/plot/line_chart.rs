//! Line chart: series over one variable, told apart in grey, with the best point
//! of each series ringed.

mod series;

use super::axis::{Axis, Fringe, Span, check_finite, extent, span, upright_parts};
use super::colour_scale::shown;
use super::error::PlotError;
use super::geometry::Rect;
use super::legend::{Entry, column_size, legend_column, legend_rows};
use super::panel::{
    FrameLook, Margins, PANELS_MAX, Panel, Plan, SharedAxis, check_aspect, columns, frame_line,
    half_label_room, level_axis, level_heading, panel_title, upright_axis, upright_axis_room,
};
use super::sheet::Sheet;
use series::{Look, Traced};

pub(crate) use series::say_empty;

/// Most series in one chart.
const SERIES_MAX: usize = 12;

/// A line chart of one or more panels over the same axes.
#[derive(Debug, Clone, PartialEq)]
pub struct LineChart {
    /// Variable along the panels.
    pub x: Axis,
    /// Quantity up the panels.
    pub y: Axis,
    /// Panels, side by side where the width allows; all share both axes.
    pub panels: Vec<LinePanel>,
    /// Height of a panel as a part of its width, 0.1 to 10.
    pub aspect: f64,
}

impl Default for LineChart {
    /// No panel, plain axes, height 0.65 of the width.
    fn default() -> Self {
        Self {
            x: Axis::default(),
            y: Axis::default(),
            panels: Vec::new(),
            aspect: 0.65,
        }
    }
}

/// One panel of a line chart.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct LinePanel {
    /// Heading; empty for none.
    pub title: String,
    /// Series; those of one name look alike in all panels.
    pub series: Vec<Series>,
}

/// Values over the variable.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Series {
    /// Name in the legend; empty for none.
    pub name: String,
    /// Places along x.
    pub x: Vec<f64>,
    /// Values at those places; the line has a gap at `None`.
    pub y: Vec<Option<f64>>,
    /// Index of the point to ring.
    pub best: Option<usize>,
    /// Text beside the ringed point; empty for none.
    pub best_label: String,
}

impl LineChart {
    fn check(&self) -> Result<(), PlotError> {
        check_aspect(self.aspect)?;
        let counts = [
            ("panels", self.panels.len(), PANELS_MAX),
            ("series", self.names().len(), SERIES_MAX),
        ];
        for (what, found, allowed) in counts {
            if found > allowed {
                return Err(PlotError::TooMany {
                    what: what.to_owned(),
                    found,
                    allowed,
                });
            }
        }
        for panel in &self.panels {
            for series in &panel.series {
                series.check()?;
            }
        }
        Ok(())
    }

    /// Names of all series in order of first appearance.
    fn names(&self) -> Vec<&str> {
        let mut names = Vec::new();
        for series in self.panels.iter().flat_map(|p| &p.series) {
            if !names.contains(&series.name.as_str()) {
                names.push(series.name.as_str());
            }
        }
        names
    }

    fn spans(&self, parts: usize) -> Result<(Span, Span), PlotError> {
        let all = || self.panels.iter().flat_map(|p| &p.series);
        let x = all().flat_map(|s| s.x.iter().copied());
        let y = all().flat_map(|s| s.y.iter().copied().filter_map(shown));
        Ok((
            span(&self.x, extent(x), Fringe::Fraction(0.03))?,
            span(&self.y, extent(y), Fringe::Mark(parts))?,
        ))
    }

    pub(crate) fn draw(&self, sheet: &mut Sheet) -> Result<(), PlotError> {
        self.check()?;
        let across = columns(sheet, self.panels.len());
        let rough = sheet.width * 0.85 / across as f64;
        let height = rough * self.aspect;
        let (x_span, y_span) = self.spans(upright_parts(height, sheet.small))?;
        let y = SharedAxis::new(sheet, &self.y, y_span, height, true);
        let x = SharedAxis::new(sheet, &self.x, x_span.clone(), rough, false);
        let half = half_label_room(sheet, &x.ticks);
        let margins = Margins {
            first: upright_axis_room(sheet, &self.y, &y.ticks),
            between: (sheet.em * 0.6 + 2.0 * half).max(sheet.em),
            last: half,
        };
        let plan = Plan::new(sheet, self.panels.len(), margins);
        let x = SharedAxis::new(sheet, &self.x, x_span, plan.width, false);
        if self.panels.is_empty() {
            sheet
                .notes
                .push("No panel was given: there is nothing to show.".to_owned());
            let line = ["No data".to_owned()];
            sheet.paragraph(&line, plan.left, sheet.em, false);
            return Ok(());
        }
        let mut canvas = Canvas {
            chart: self,
            names: self.names(),
            x,
            y,
            plan,
            height,
            legend_below: Vec::new(),
        };
        for row in self.panels.chunks(canvas.plan.columns) {
            canvas.row(sheet, row);
        }
        legend_rows(sheet, &canvas.legend_below, canvas.plan.left, sheet.right());
        Ok(())
    }
}

impl Series {
    fn check(&self) -> Result<(), PlotError> {
        let name = format!("series `{}`", self.name);
        check_finite(&format!("{name}, x"), self.x.iter().copied())?;
        let values = self.y.iter().copied().filter_map(shown);
        check_finite(&format!("{name}, y"), values)?;
        let length = |what: &str, found: usize| PlotError::Length {
            what: format!("{name}, {what}"),
            expected: self.x.len(),
            found,
        };
        if self.y.len() != self.x.len() {
            return Err(length("y", self.y.len()));
        }
        match self.best {
            Some(best) if best >= self.x.len() => Err(PlotError::OutOfRange {
                what: format!("{name}, index of the best point"),
                value: best as f64,
                from: 0.0,
                to: self.x.len() as f64 - 1.0,
            }),
            _ => Ok(()),
        }
    }
}

/// What all panels of one chart share while they are drawn.
struct Canvas<'a> {
    chart: &'a LineChart,
    names: Vec<&'a str>,
    x: SharedAxis<'a>,
    y: SharedAxis<'a>,
    plan: Plan,
    height: f64,
    legend_below: Vec<Entry>,
}

impl Canvas<'_> {
    fn row(&mut self, sheet: &mut Sheet, row: &[LinePanel]) {
        if row.iter().any(|panel| !panel.title.is_empty()) {
            for (column, panel) in row.iter().enumerate() {
                let left = self.plan.column_left(column);
                panel_title(sheet, &panel.title, left, self.plan.width);
            }
            sheet.y += sheet.em * 1.45;
        }
        let top = sheet.y;
        let mut lowest = top;
        for (column, panel) in row.iter().enumerate() {
            let left = self.plan.column_left(column);
            let frame = Rect::new(left, top, self.plan.width, self.height);
            lowest = lowest.max(self.panel(sheet, panel, frame, column == 0));
        }
        sheet.y = lowest + sheet.em * 0.15;
        let right = self.plan.column_left(row.len() - 1) + self.plan.width;
        level_heading(sheet, self.x.axis, self.plan.left, right);
        sheet.y += sheet.em * 0.3;
    }

    fn panel(&mut self, sheet: &mut Sheet, data: &LinePanel, frame: Rect, first: bool) -> f64 {
        let panel = Panel {
            frame,
            x: &self.x.span,
            y: &self.y.span,
        };
        upright_axis(
            sheet,
            &panel,
            self.y.axis,
            &self.y.ticks,
            first,
            FrameLook::Ruled,
        );
        let bottom = level_axis(sheet, &panel, self.x.axis, &self.x.ticks);
        let traced: Vec<Traced> = data
            .series
            .iter()
            .map(|series| {
                let index = self.names.iter().position(|n| *n == series.name);
                Traced::new(series, Look::of(sheet, index.unwrap_or(0)), &panel)
            })
            .collect();
        frame_line(sheet, &frame, FrameLook::Ruled);
        for trace in &traced {
            trace.draw(sheet);
        }
        series::note_outside(sheet, &traced);
        let data_boxes: Vec<Rect> = traced.iter().flat_map(|t| t.boxes(sheet)).collect();
        if traced.iter().all(Traced::is_empty) {
            series::say_empty(sheet, &frame);
        }
        for trace in &traced {
            trace.mark_best(sheet, &frame, &data_boxes);
        }
        self.legend(sheet, &traced, &frame, &data_boxes);
        bottom
    }

    /// Puts the legend inside the only panel where it covers nothing, or keeps it for below.
    fn legend(&mut self, sheet: &mut Sheet, traced: &[Traced], frame: &Rect, taken: &[Rect]) {
        let mut entries: Vec<Entry> = Vec::new();
        for trace in traced.iter().filter(|t| !t.name().is_empty()) {
            if !entries.iter().any(|entry| entry.text == trace.name()) {
                entries.push(trace.entry());
            }
        }
        let lone = entries.len() < 2 && self.chart.panels.len() == 1;
        if entries.is_empty() || (lone && self.chart.y.label == entries[0].text) {
            return;
        }
        if self.chart.panels.len() == 1
            && let Some(rect) = free_corner(sheet, &entries, frame, taken)
        {
            legend_column(sheet, &entries, &rect);
            return;
        }
        for entry in entries {
            if !self
                .legend_below
                .iter()
                .any(|known| known.text == entry.text)
            {
                self.legend_below.push(entry);
            }
        }
    }
}

/// A place for a stacked legend inside `frame` that covers neither data nor text.
fn free_corner(sheet: &Sheet, entries: &[Entry], frame: &Rect, taken: &[Rect]) -> Option<Rect> {
    let [width, height] = column_size(sheet, entries);
    let room = frame.grown(-sheet.em * 0.35);
    if width > room.width() || height > room.height() {
        return None;
    }
    let (across, down) = (room.width() - width, room.height() - height);
    // Corners first, then along the edges.
    let places = [
        [1.0, 0.0],
        [0.0, 0.0],
        [1.0, 1.0],
        [0.0, 1.0],
        [0.5, 0.0],
        [0.5, 1.0],
        [1.0, 0.5],
        [0.0, 0.5],
        [0.25, 0.0],
        [0.75, 0.0],
        [0.25, 1.0],
        [0.75, 1.0],
    ];
    places
        .into_iter()
        .map(|[x, y]| Rect::new(room.left + x * across, room.top + y * down, width, height))
        .find(|rect| {
            let near = rect.grown(sheet.em * 0.2);
            sheet.is_free(&near) && taken.iter().all(|t| t.overlap(&near) == 0.0)
        })
}
