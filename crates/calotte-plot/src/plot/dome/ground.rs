//! What every figure of a dome stands on: the projection laid out on the sheet, circles of
//! polar angle, lines of azimuth and their labels.

use super::Direction;
use super::projection::Projection;
use crate::number::fixed;
use crate::plot::geometry::{Point, Rect, distance};
use crate::plot::sheet::Sheet;
use crate::plot::svg::{Anchor, Label, Stroke, path_data};
use crate::plot::text::{LINE_BOX, MIDDLE, width};
use crate::plot::ticks;

/// Longest straight stretch of a curved line, degrees: 0.03 pt off on a dome 200 pt wide.
const STEP_DEG: f64 = 2.0;

/// A dome's place on the sheet.
pub(crate) struct Ground {
    projection: Projection,
    /// The dome with its azimuth labels, pt.
    pub frame: Rect,
    /// Place on the sheet of the projection's origin, pt.
    origin: Point,
    /// Points to the projection's unit.
    scale: f64,
    polar_max_deg: f64,
}

pub(crate) fn direction(polar_deg: f64, azimuth_deg: f64) -> Direction {
    Direction {
        polar_deg,
        azimuth_deg,
    }
}

impl Ground {
    /// Fits the dome up to `polar_max_deg` into the width of `side`, leaving `rim` pt at
    /// the sides and at the ends for azimuth labels.
    pub fn new(projection: Projection, polar_max_deg: f64, side: &Rect, rim: [f64; 2]) -> Self {
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

    /// Place of a direction on the sheet; `None` on the far side.
    pub fn place(&self, direction: Direction) -> Option<Point> {
        self.projection.place(direction).map(|p| self.on_sheet(p))
    }

    /// Places of a line through `corners`; `None` where part of it lies on the far side.
    pub fn line(&self, corners: &[Direction]) -> Option<Vec<Point>> {
        let line = self.projection.line(corners, STEP_DEG)?;
        Some(line.into_iter().map(|p| self.on_sheet(p)).collect())
    }

    /// Draws circles of polar angle and lines of azimuth; returns the circles' angles.
    pub fn graticule(&self, sheet: &mut Sheet) -> Vec<f64> {
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

    /// Writes the azimuths around the rim. Those that would lie on one of `marks` are pushed
    /// outwards by `push` pt.
    pub fn azimuth_labels(&self, sheet: &mut Sheet, marks: &[Rect], push: f64) {
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
            let placed = [0.0, push]
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

    /// Writes the polar angles along the azimuth where they cover least: none of
    /// `obstacles` and, if that can be had, none of `zones`. Returns `false`, with nothing
    /// written, where there is no such azimuth.
    pub fn polar_labels(
        &self,
        sheet: &mut Sheet,
        polars: &[f64],
        obstacles: &[Rect],
        zones: &[Rect],
    ) -> bool {
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
        let found = [zones, &[]].into_iter().find_map(|zones| {
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
        let Some(labels) = found else { return false };
        for label in labels {
            let ground = path_data(&label.rect().grown(size * 0.08).corners(), true);
            sheet.svg.veil(&ground, sheet.palette.paper, 0.85);
            sheet.text(&label);
        }
        true
    }

    /// Radius of the rim where the dome is seen along its axis, pt.
    pub fn radius(&self) -> f64 {
        self.rim()
            .first()
            .map_or(0.0, |at| distance(*at, self.origin))
    }

    /// On the sheet, the unit vectors of growing polar angle and of growing azimuth where the
    /// dome is seen along its axis.
    pub fn tangents(&self, azimuth_deg: f64) -> [Point; 2] {
        let rim = |azimuth: f64| {
            self.projection
                .place(direction(self.polar_max_deg, azimuth))
                .map_or([1.0, 0.0], |[x, y]| {
                    let length = x.hypot(y).max(1e-12);
                    [x / length, -y / length]
                })
        };
        [rim(azimuth_deg), rim(azimuth_deg + 90.0)]
    }

    /// The rim's places.
    pub fn rim(&self) -> Vec<Point> {
        let circle = [
            direction(self.polar_max_deg, 0.0),
            direction(self.polar_max_deg, 360.0),
        ];
        self.line(&circle).unwrap_or_default()
    }
}

fn centred(sheet: &Sheet, text: String, centre: Point) -> Label {
    let at = [centre[0], centre[1] + MIDDLE * sheet.small];
    sheet.label(text, at, Anchor::Middle)
}
