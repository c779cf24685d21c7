//! Series on the sheet: their look, lines and marks.

use super::Series;
use crate::plot::callout::Callout;
use crate::plot::colour::Colour;
use crate::plot::colour_scale::shown;
use crate::plot::geometry::{Point, Rect};
use crate::plot::legend::{Entry, LINE_WIDTH, MARKER_RADIUS, Marker, Sample};
use crate::plot::panel::Panel;
use crate::plot::polyline::beads;
use crate::plot::sheet::Sheet;
use crate::plot::svg::{Anchor, Stroke};
use crate::plot::text::MIDDLE;

/// Colour, dash and marker of a series; all three differ between neighbours, so that the
/// series stay apart in grey.
#[derive(Debug, Clone)]
pub(super) struct Look {
    colour: Colour,
    dash: &'static [f64],
    marker: Marker,
}

/// Dashes of the series, in font sizes.
const DASHES: [&[f64]; 6] = [
    &[],
    &[0.8, 0.35],
    &[0.22, 0.32],
    &[0.9, 0.3, 0.22, 0.3],
    &[1.6, 0.4],
    &[0.45, 0.25],
];

impl Look {
    pub fn of(sheet: &Sheet, index: usize) -> Self {
        // From the seventh series on the dash moves on against colour and marker.
        let turn = index / DASHES.len();
        Self {
            colour: sheet.palette.series[index % sheet.palette.series.len()],
            dash: DASHES[(index + turn) % DASHES.len()],
            marker: Marker::of(index + 2 * turn),
        }
    }
}

/// Markers are drawn only where they do not run together.
const MARKERS_MAX: usize = 45;

/// A series laid out on the sheet.
pub(super) struct Traced<'a> {
    series: &'a Series,
    look: Look,
    frame: Rect,
    /// Runs of points without a gap.
    runs: Vec<Vec<Point>>,
    /// Points inside the frame.
    inside: Vec<Point>,
    outside: usize,
    best: Option<Point>,
}

impl<'a> Traced<'a> {
    pub fn new(series: &'a Series, look: Look, panel: &Panel) -> Self {
        let mut traced = Self {
            series,
            look,
            frame: panel.frame,
            runs: Vec::new(),
            inside: Vec::new(),
            outside: 0,
            best: None,
        };
        let mut run = Vec::new();
        for (index, (x, y)) in series.x.iter().zip(&series.y).enumerate() {
            let Some(y) = shown(*y) else {
                traced.end_run(&mut run);
                continue;
            };
            let place = panel.place(*x, y);
            if !place.iter().all(|c| c.abs() < 1e7) {
                // Zero or less on a logarithmic axis, or far beyond the given range.
                traced.outside += 1;
                traced.end_run(&mut run);
                continue;
            }
            run.push(place);
            if panel.holds(*x, y) {
                traced.inside.push(place);
                if series.best == Some(index) {
                    traced.best = Some(place);
                }
            } else {
                traced.outside += 1;
            }
        }
        traced.end_run(&mut run);
        traced
    }

    fn end_run(&mut self, run: &mut Vec<Point>) {
        if !run.is_empty() {
            self.runs.push(std::mem::take(run));
        }
    }

    pub fn name(&self) -> &str {
        &self.series.name
    }

    pub fn is_empty(&self) -> bool {
        self.runs.is_empty()
    }

    /// The visible parts of the line.
    fn parts(&self) -> Vec<Vec<Point>> {
        let mut parts: Vec<Vec<Point>> = Vec::new();
        for run in &self.runs {
            let mut part: Vec<Point> = Vec::new();
            for pair in run.windows(2) {
                match self.frame.grown(1e-6).clip(pair[0], pair[1]) {
                    Some((from, to)) => {
                        if part.last() != Some(&from) {
                            if part.len() > 1 {
                                parts.push(std::mem::take(&mut part));
                            }
                            part = vec![from];
                        }
                        part.push(to);
                    }
                    None if part.len() > 1 => parts.push(std::mem::take(&mut part)),
                    None => part.clear(),
                }
            }
            if part.len() > 1 {
                parts.push(part);
            }
        }
        parts
    }

    pub fn draw(&self, sheet: &mut Sheet) {
        sheet.svg.open("series");
        let dash: Vec<f64> = self.look.dash.iter().map(|d| d * sheet.em).collect();
        let stroke = Stroke {
            colour: self.look.colour,
            width: sheet.em * LINE_WIDTH,
            dash: &dash,
        };
        for part in self.parts() {
            sheet.svg.polyline(&part, stroke);
        }
        let few = self.inside.len() <= MARKERS_MAX;
        for (index, place) in self.inside.iter().enumerate() {
            // A long series keeps a marker now and then, so that the line can be named.
            if few || index % self.inside.len().div_ceil(8) == self.inside.len() / 16 {
                self.look
                    .marker
                    .draw(sheet, *place, sheet.em * MARKER_RADIUS, self.look.colour);
            }
        }
        sheet.svg.close();
    }

    /// Boxes that texts and legends must keep off.
    pub fn boxes(&self, sheet: &Sheet) -> Vec<Rect> {
        let radius = sheet.em * (MARKER_RADIUS + 0.1);
        self.parts()
            .iter()
            .flat_map(|part| beads(part, radius))
            .chain(
                self.inside
                    .iter()
                    .map(|at| Rect::around(*at, 2.0 * radius, 2.0 * radius)),
            )
            .chain(
                self.best
                    .map(|at| Rect::around(at, 2.9 * radius, 2.9 * radius)),
            )
            .collect()
    }

    pub fn entry(&self) -> Entry {
        Entry {
            sample: Sample::Line {
                colour: self.look.colour,
                dash: self.look.dash.to_vec(),
                marker: Some(self.look.marker),
                cased: false,
            },
            text: self.series.name.clone(),
        }
    }

    /// Rings the best point and writes its text beside it.
    pub fn mark_best(&self, sheet: &mut Sheet, frame: &Rect, taken: &[Rect]) {
        let Some(at) = self.best else { return };
        let radius = sheet.em * 0.52;
        let stroke = Stroke::solid(sheet.palette.ink, sheet.em * 0.11);
        sheet.svg.circle(at, radius, None, Some(stroke));
        if !self.series.best_label.is_empty() {
            let callout = Callout {
                text: &self.series.best_label,
                anchors: &[at],
                clearance: radius + sheet.em * 0.15,
                leader_start: radius,
                bounds: *frame,
                obstacles: taken,
            };
            if !callout.draw(sheet) {
                let note = format!(
                    "Best point of “{}”: {}.",
                    self.series.name, self.series.best_label
                );
                sheet.notes.push(note);
            }
        }
    }
}

/// Says how many points the given ranges leave out.
pub(super) fn note_outside(sheet: &mut Sheet, traced: &[Traced]) {
    for trace in traced.iter().filter(|t| t.outside > 0) {
        sheet.notes.push(format!(
            "{} points of “{}” lie outside the axes.",
            trace.outside, trace.series.name
        ));
    }
}

/// Writes in the frame that there is nothing to show.
pub(crate) fn say_empty(sheet: &mut Sheet, frame: &Rect) {
    sheet.notes.push("No data in this figure.".to_owned());
    let centre = frame.centre();
    let at = [centre[0], centre[1] + MIDDLE * sheet.small];
    let label = sheet.label("No data", at, Anchor::Middle);
    sheet.text(&label);
}
