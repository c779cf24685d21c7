//! Layers of one dome: cells, graticule, outlines, marks.

use super::projection::Projection;
use super::{Direction, DomeCell, DomeMark, DomeOutline, DomePanel, DomeRing, DomeView};
use crate::number::fixed;
use crate::plot::callout::Callout;
use crate::plot::colour::Colour;
use crate::plot::colour_scale::Gradient;
use crate::plot::geometry::{HatchDirection, Point, Rect, bounding_box, distance};
use crate::plot::legend::{dotted, hatched, named_line_stroke};
use crate::plot::line_chart::say_empty;
use crate::plot::sheet::Sheet;
use crate::plot::svg::{Anchor, Label, Stroke, path_data};
use crate::plot::text::{LINE_BOX, MIDDLE, width};
use crate::plot::ticks;
use std::collections::BTreeMap;

/// Longest straight stretch of a curved line, degrees: 0.03 pt off on a dome 200 pt wide.
const STEP_DEG: f64 = 2.0;
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
    projection: Projection,
    /// The dome with its azimuth labels, pt.
    pub frame: Rect,
    /// Place on the sheet of the projection's origin, pt.
    origin: Point,
    /// Points to the projection's unit.
    scale: f64,
    polar_max_deg: f64,
}

fn direction(polar_deg: f64, azimuth_deg: f64) -> Direction {
    Direction {
        polar_deg,
        azimuth_deg,
    }
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
        let [rim, rim_level] = rim;
        // From behind, inner circles lie outside the rim: all of them count.
        let places: Vec<Point> = (0..=12)
            .flat_map(|ring| {
                let polar = polar_max_deg * f64::from(ring) / 12.0;
                (0..180).map(move |i| direction(polar, f64::from(i) * 2.0))
            })
            .filter_map(|d| projection.place(d))
            .collect();
        let bound = |pick: fn(f64, f64) -> f64, axis: usize| {
            places.iter().map(|p| p[axis]).reduce(pick).unwrap_or(0.0)
        };
        let (left, right) = (bound(f64::min, 0), bound(f64::max, 0));
        let (low, high) = (bound(f64::min, 1), bound(f64::max, 1));
        let extent = (right - left).max(high - low).max(1e-3);
        let scale = (side.width() - 2.0 * rim).max(1.0) / extent;
        let height = (high - low) * scale + 2.0 * rim_level;
        let origin = [
            side.centre()[0] - (left + right) / 2.0 * scale,
            side.top + rim_level + high * scale,
        ];
        Self {
            panel,
            projection,
            frame: Rect::new(side.left, side.top, side.width(), height),
            origin,
            scale,
            polar_max_deg,
        }
    }

    fn on_sheet(&self, place: Point) -> Point {
        [
            self.origin[0] + place[0] * self.scale,
            self.origin[1] - place[1] * self.scale,
        ]
    }

    fn place(&self, direction: Direction) -> Option<Point> {
        self.projection.place(direction).map(|p| self.on_sheet(p))
    }

    fn line(&self, corners: &[Direction]) -> Option<Vec<Point>> {
        let line = self.projection.line(corners, STEP_DEG)?;
        Some(line.into_iter().map(|p| self.on_sheet(p)).collect())
    }

    pub fn draw(&self, sheet: &mut Sheet, gradient: &Gradient) {
        self.cells(sheet, gradient);
        self.excluded(sheet);
        let polars = self.graticule(sheet);
        self.outlines(sheet);
        if self.panel.rings.iter().all(|ring| ring.cells.is_empty()) {
            say_empty(sheet, &self.frame);
        }
        self.azimuth_labels(sheet);
        let obstacles = self.rings_of_marks(sheet);
        self.mark_labels(sheet, &obstacles);
        self.polar_labels(sheet, &polars, &obstacles);
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
                self.line(&corners)
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
            .filter_map(|zone| self.line(&closed(zone, true)))
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

    /// Draws circles of polar angle and lines of azimuth; returns the circles' angles.
    fn graticule(&self, sheet: &mut Sheet) -> Vec<f64> {
        let parts = if self.scale > sheet.em * 5.0 { 6 } else { 3 };
        let polars: Vec<f64> = ticks::angle(0.0, self.polar_max_deg, parts)
            .into_iter()
            .map(|tick| tick.value)
            .filter(|polar| *polar > 0.0 && *polar < self.polar_max_deg * 0.96)
            .collect();
        let first = polars.first().copied().unwrap_or(self.polar_max_deg);
        let line = Stroke::solid(sheet.palette.rule, sheet.em * 0.05);
        let rim = Stroke::solid(sheet.palette.quiet, sheet.em * 0.07);
        sheet.svg.open("graticule");
        for azimuth in self.azimuths(sheet) {
            let spoke = [
                direction(first.min(self.polar_max_deg), azimuth),
                direction(self.polar_max_deg, azimuth),
            ];
            if let Some(points) = self.line(&spoke) {
                sheet.svg.polyline(&points, line);
            }
        }
        for (polar, stroke) in polars
            .iter()
            .map(|p| (*p, line))
            .chain([(self.polar_max_deg, rim)])
        {
            let circle = [direction(polar, 0.0), direction(polar, 360.0)];
            if let Some(points) = self.line(&circle) {
                sheet.svg.polygon(&points, None, Some(stroke));
            }
        }
        sheet.svg.close();
        polars
    }

    fn azimuths(&self, sheet: &Sheet) -> Vec<f64> {
        let step = if self.scale > sheet.em * 5.0 { 30 } else { 45 };
        (0..360).step_by(step).map(f64::from).collect()
    }

    fn azimuth_labels(&self, sheet: &mut Sheet) {
        let reach = 2.0 * MARK_REACH * sheet.em;
        let marks: Vec<Rect> = self
            .marks_on_sheet()
            .iter()
            .map(|(_, at)| Rect::around(*at, reach, reach))
            .collect();
        for azimuth in self.azimuths(sheet) {
            let rim = direction(self.polar_max_deg, azimuth);
            let beside = [-0.5, 0.5].map(|step| direction(rim.polar_deg, azimuth + step));
            let inner = direction(self.polar_max_deg * 0.98, azimuth);
            let [Some(at), Some(a), Some(b), Some(from)] =
                [rim, beside[0], beside[1], inner].map(|d| self.place(d))
            else {
                continue;
            };
            // Square to the rim, away from the dome.
            let length = distance(a, b).max(1e-9);
            let square = [(b[1] - a[1]) / length, (a[0] - b[0]) / length];
            let side = square[0] * (at[0] - from[0]) + square[1] * (at[1] - from[1]);
            let outward = square.map(|c| c * side.signum());
            let text = format!("{}°", fixed(azimuth, 0));
            let half = [
                width(&text, sheet.small) / 2.0,
                LINE_BOX * sheet.small / 2.0,
            ];
            let shift = sheet.em * 0.2 + outward[0].abs() * half[0] + outward[1].abs() * half[1];
            // A ringed place on the rim pushes the label outwards.
            let placed = [0.0, MARK_REACH * sheet.em]
                .into_iter()
                .map(|more| outward.map(|c| c * (shift + more)))
                .map(|away| {
                    let centre = [at[0] + away[0], at[1] + away[1]];
                    let mut label = centred(sheet, text.clone(), centre);
                    label.colour = sheet.palette.quiet;
                    label
                })
                .find(|label| {
                    let rect = label.rect();
                    sheet.is_free(&rect)
                        && rect.left >= sheet.left()
                        && rect.right <= sheet.right()
                        && marks.iter().all(|mark| mark.overlap(&rect) == 0.0)
                });
            if let Some(label) = placed {
                sheet.text(&label);
            }
        }
    }

    /// Writes the polar angles along the azimuth where they cover least.
    fn polar_labels(&self, sheet: &mut Sheet, polars: &[f64], obstacles: &[Rect]) {
        let half_step = if self.scale > sheet.em * 5.0 {
            15.0
        } else {
            22.5
        };
        let size = sheet.small * 0.88;
        let labels_at = |sheet: &Sheet, azimuth: f64| -> Vec<Label> {
            polars
                .iter()
                .filter_map(|polar| {
                    let at = self.place(direction(*polar, azimuth))?;
                    let mut label = sheet.label(
                        format!("{}°", fixed(*polar, 0)),
                        [at[0], at[1] + MIDDLE * size],
                        Anchor::Middle,
                    );
                    label.size = size;
                    Some(label)
                })
                .collect()
        };
        let free = |sheet: &Sheet, labels: &[Label]| {
            labels.iter().enumerate().all(|(index, label)| {
                let rect = label.rect().grown(size * 0.15);
                sheet.is_free(&rect)
                    && obstacles.iter().all(|o| o.overlap(&rect) == 0.0)
                    && labels[..index]
                        .iter()
                        .all(|l| l.rect().overlap(&rect) == 0.0)
            })
        };
        let spokes = [13, 14, 1, 2, 12, 9, 10, 5, 6, 0, 3, 4, 7, 8, 11, 15];
        // Beside the excluded zones first.
        let zones: Vec<Rect> = self
            .panel
            .excluded
            .iter()
            .filter_map(|zone| self.line(&closed(zone, true)))
            .filter_map(|zone| bounding_box(&zone))
            .collect();
        let found = [zones.as_slice(), &[]].into_iter().find_map(|zones| {
            spokes
                .into_iter()
                .map(|k| labels_at(sheet, (2.0 * f64::from(k) + 1.0) * half_step))
                .filter(|labels| {
                    let boxes: Vec<Rect> = labels.iter().map(Label::rect).collect();
                    zones
                        .iter()
                        .all(|z| boxes.iter().all(|b| b.overlap(z) == 0.0))
                })
                .find(|labels| free(sheet, labels))
        });
        let Some(labels) = found else {
            let list: Vec<String> = polars
                .iter()
                .map(|p| format!("{}°", fixed(*p, 0)))
                .collect();
            sheet
                .notes
                .push(format!("Circles of polar angle: {}.", list.join(", ")));
            return;
        };
        for label in labels {
            let ground = path_data(&label.rect().grown(size * 0.08).corners(), true);
            sheet.svg.veil(&ground, sheet.palette.paper, 0.85);
            sheet.text(&label);
        }
    }

    fn outlines(&self, sheet: &mut Sheet) {
        sheet.svg.open("outlines");
        for (index, outline) in self.panel.outlines.iter().enumerate() {
            let dash: Vec<f64> = outline_dash(&self.panel.outlines, index)
                .iter()
                .map(|d| d * sheet.em)
                .collect();
            if let Some(line) = self.line(&closed(&outline.points, outline.closed)) {
                named_line_stroke(sheet, &line, sheet.palette.ink, &dash);
            }
        }
        sheet.svg.close();
    }

    fn rim(&self) -> Vec<Point> {
        let circle = [
            direction(self.polar_max_deg, 0.0),
            direction(self.polar_max_deg, 360.0),
        ];
        self.line(&circle).unwrap_or_default()
    }

    fn marks_on_sheet(&self) -> Vec<(&DomeMark, Point)> {
        self.panel
            .marks
            .iter()
            .filter_map(|mark| self.place(mark.at).map(|at| (mark, at)))
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
        let rim = self.rim();
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
                bounds: self.frame,
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

fn centred(sheet: &Sheet, text: String, centre: Point) -> Label {
    let at = [centre[0], centre[1] + MIDDLE * sheet.small];
    sheet.label(text, at, Anchor::Middle)
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
