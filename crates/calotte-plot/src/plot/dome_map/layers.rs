//! Layers of one dome: cells, graticule, outlines, marks.

use super::{DomeCell, DomeMark, DomeOutline, DomePanel, DomeRing, DomeView};
use crate::number::fixed;
use crate::plot::callout::Callout;
use crate::plot::colour::Colour;
use crate::plot::colour_scale::Gradient;
use crate::plot::dome::{Direction, Ground, Projection, circles_note, direction};
use crate::plot::geometry::{HatchDirection, Point, Rect, bounding_box};
use crate::plot::legend::{dotted, hatched, named_line_stroke};
use crate::plot::line_chart::say_empty;
use crate::plot::sheet::Sheet;
use crate::plot::svg::{Stroke, path_data};
use std::collections::BTreeMap;

/// Extent of a dome without any cell, degrees.
const POLAR_EMPTY_DEG: f64 = 90.0;
/// Radius of the ring around a marked place, in font sizes.
const MARK_RADIUS: f64 = 0.45;
/// The same with its casing.
const MARK_REACH: f64 = 0.63;

/// Dash of outline `index`, in font sizes: one for each label, so that the parts of one
/// edge look alike.
pub(super) fn outline_dash(outlines: &[DomeOutline], index: usize) -> &'static [f64] {
    const DASHES: [&[f64]; 3] = [&[], &[0.8, 0.4], &[0.25, 0.35]];
    let labels = outlines[..=index]
        .iter()
        .filter(|outline| !outline.label.is_empty())
        .count();
    DASHES[labels.saturating_sub(1) % DASHES.len()]
}

/// One dome laid out on the sheet.
pub(super) struct Dome<'a> {
    panel: &'a DomePanel,
    /// Where it stands.
    pub ground: Ground,
}

impl<'a> Dome<'a> {
    /// Fits the dome up to `polar_max_deg` into the width of `side`, leaving `rim` pt at
    /// the sides and at the ends for azimuth labels.
    pub fn new(
        panel: &'a DomePanel,
        view: &DomeView,
        polar_max_deg: f64,
        side: &Rect,
        rim: [f64; 2],
    ) -> Self {
        let projection = Projection::new(view.axis, view.right_azimuth_deg);
        Self {
            panel,
            ground: Ground::new(projection, polar_max_deg, side, rim),
        }
    }

    pub fn draw(&self, sheet: &mut Sheet, gradient: &Gradient) {
        self.cells(sheet, gradient);
        self.excluded(sheet);
        let polars = self.ground.graticule(sheet);
        self.outlines(sheet);
        if self.panel.rings.iter().all(|ring| ring.cells.is_empty()) {
            say_empty(sheet, &self.ground.frame);
        }
        let reach = 2.0 * MARK_REACH * sheet.em;
        let marks: Vec<Rect> = self
            .marks_on_sheet()
            .iter()
            .map(|(_, at)| Rect::around(*at, reach, reach))
            .collect();
        self.ground
            .azimuth_labels(sheet, &marks, MARK_REACH * sheet.em);
        let obstacles = self.rings_of_marks(sheet);
        self.mark_labels(sheet, &obstacles);
        let zones: Vec<Rect> = self
            .panel
            .excluded
            .iter()
            .filter_map(|zone| self.ground.line(&closed(zone, true)))
            .filter_map(|zone| bounding_box(&zone))
            .collect();
        if !self.ground.polar_labels(sheet, &polars, &obstacles, &zones) {
            sheet.notes.push(circles_note(&polars));
        }
    }

    /// Outlines of cell `index` of a ring, cut into parts of at most 90° of azimuth.
    fn cell(&self, ring: &DomeRing, index: usize) -> Vec<Vec<Point>> {
        let step = 360.0 / ring.cells.len() as f64;
        let start = ring.azimuth_start_deg + step * index as f64;
        let [low, high] = ring.polar_deg;
        let parts = (step / 90.0).ceil().max(1.0);
        (0..parts as usize)
            .filter_map(|part| {
                let from = start + step * part as f64 / parts;
                let to = from + step / parts;
                let corners = [
                    direction(low, from),
                    direction(high, from),
                    direction(high, to),
                    direction(low, to),
                    direction(low, from),
                ];
                self.ground.line(&corners)
            })
            .collect()
    }

    fn cells(&self, sheet: &mut Sheet, gradient: &Gradient) {
        let mut by_colour: BTreeMap<Colour, String> = BTreeMap::new();
        let (mut blank, mut hatch) = (Vec::new(), Vec::new());
        for ring in &self.panel.rings {
            for (index, cell) in ring.cells.iter().enumerate() {
                let outlines = || self.cell(ring, index);
                match cell {
                    DomeCell::Outside => {}
                    DomeCell::Excluded => hatch.extend(outlines()),
                    other => match other.value() {
                        None => blank.extend(outlines()),
                        Some(value) => {
                            let data = by_colour.entry(gradient.colour(value)).or_default();
                            for outline in outlines() {
                                data.push_str(&path_data(&outline, true));
                            }
                        }
                    },
                }
            }
        }
        sheet.svg.open("cells");
        // An edge in the cell's own colour closes the seams between neighbours.
        let edge = sheet.em * 0.07;
        for (colour, data) in by_colour {
            let stroke = Stroke::solid(colour, edge);
            sheet.svg.path(&data, Some(colour), Some(stroke));
        }
        let ground = sheet.palette.blank;
        for outlines in [&blank, &hatch] {
            let data: String = outlines.iter().map(|o| path_data(o, true)).collect();
            let stroke = Stroke::solid(ground, edge);
            sheet.svg.path(&data, Some(ground), Some(stroke));
        }
        dotted(sheet, &blank);
        hatched(sheet, &hatch, HatchDirection::Rising);
        sheet.svg.close();
    }

    fn excluded(&self, sheet: &mut Sheet) {
        let zones: Vec<Vec<Point>> = self
            .panel
            .excluded
            .iter()
            .filter_map(|zone| self.ground.line(&closed(zone, true)))
            .collect();
        if zones.is_empty() {
            return;
        }
        sheet.svg.open("excluded");
        for zone in &zones {
            sheet.svg.polygon(zone, Some(sheet.palette.blank), None);
        }
        hatched(sheet, &zones, HatchDirection::Rising);
        let stroke = Stroke::solid(sheet.palette.quiet, sheet.em * 0.07);
        for zone in &zones {
            sheet.svg.polygon(zone, None, Some(stroke));
        }
        sheet.svg.close();
    }

    fn outlines(&self, sheet: &mut Sheet) {
        sheet.svg.open("outlines");
        for (index, outline) in self.panel.outlines.iter().enumerate() {
            let dash: Vec<f64> = outline_dash(&self.panel.outlines, index)
                .iter()
                .map(|d| d * sheet.em)
                .collect();
            if let Some(line) = self.ground.line(&closed(&outline.points, outline.closed)) {
                named_line_stroke(sheet, &line, sheet.palette.ink, &dash);
            }
        }
        sheet.svg.close();
    }

    fn marks_on_sheet(&self) -> Vec<(&DomeMark, Point)> {
        self.panel
            .marks
            .iter()
            .filter_map(|mark| self.ground.place(mark.at).map(|at| (mark, at)))
            .collect()
    }

    /// Rings the marked places and returns what texts must keep off.
    fn rings_of_marks(&self, sheet: &mut Sheet) -> Vec<Rect> {
        let radius = sheet.em * MARK_RADIUS;
        sheet.svg.open("marks");
        let marks = self.marks_on_sheet();
        for (_, at) in &marks {
            let casing = Stroke::solid(sheet.palette.paper, sheet.em * 0.36);
            sheet.svg.circle(*at, radius, None, Some(casing));
            let ring = Stroke::solid(sheet.palette.accent, sheet.em * 0.17);
            sheet.svg.circle(*at, radius, None, Some(ring));
        }
        sheet.svg.close();
        marks
            .iter()
            .map(|(_, at)| Rect::around(*at, radius * 2.4, radius * 2.4))
            .collect()
    }

    fn mark_labels(&self, sheet: &mut Sheet, obstacles: &[Rect]) {
        // Beside the dome a text covers nothing; only where there is no room it goes inside.
        let rim = self.ground.rim();
        let count = rim.len().max(1) as f64;
        let mean = |axis: usize| rim.iter().map(|p| p[axis]).sum::<f64>() / count;
        let middle = [mean(0), mean(1)];
        // Boxes between the middle and each place of the rim fill the disc and no more.
        let covered: Vec<Rect> = rim
            .iter()
            .map(|place| Rect::between(middle, *place))
            .chain(obstacles.iter().copied())
            .collect();
        for (mark, at) in self.marks_on_sheet() {
            let callout = Callout {
                text: &mark.label,
                anchors: &[at],
                clearance: sheet.em * 0.7,
                leader_start: sheet.em * 0.5,
                bounds: self.ground.frame,
                obstacles: &covered,
            };
            let inside = Callout {
                obstacles,
                ..callout
            };
            if !callout.draw(sheet) && !inside.draw(sheet) {
                sheet.notes.push(format!(
                    "Ringed at polar {}°, azimuth {}°: {}.",
                    fixed(mark.at.polar_deg, 0),
                    fixed(mark.at.azimuth_deg, 0),
                    mark.label
                ));
            }
        }
        let hidden = self.panel.marks.len() - self.marks_on_sheet().len();
        if hidden > 0 {
            sheet.notes.push(format!(
                "{hidden} marked places lie on the far side of this view."
            ));
        }
    }
}

fn closed(points: &[Direction], close: bool) -> Vec<Direction> {
    let mut points = points.to_vec();
    if let (true, Some(first), Some(last)) = (close, points.first().copied(), points.last()) {
        // The short way round: 350° to 10° is 20°, not 340°.
        let turns = ((last.azimuth_deg - first.azimuth_deg) / 360.0).round();
        points.push(direction(
            first.polar_deg,
            first.azimuth_deg + 360.0 * turns,
        ));
    }
    points
}

/// Greatest polar angle of anything drawn, degrees.
pub(super) fn polar_max(panels: &[DomePanel]) -> f64 {
    let rings = panels
        .iter()
        .flat_map(|panel| &panel.rings)
        .filter(|ring| ring.cells.iter().any(|c| *c != DomeCell::Outside))
        .map(|ring| ring.polar_deg[1]);
    let outlines = panels
        .iter()
        .flat_map(|p| p.outlines.iter().flat_map(|o| &o.points));
    let marks = panels
        .iter()
        .flat_map(|p| p.marks.iter().map(|m| m.at.polar_deg));
    let zones = panels.iter().flat_map(|p| p.excluded.iter().flatten());
    let greatest = rings
        .chain(outlines.chain(zones).map(|d| d.polar_deg))
        .chain(marks)
        .fold(0.0, f64::max);
    if greatest > 0.0 {
        greatest.min(170.0)
    } else {
        POLAR_EMPTY_DEG
    }
}
