//! Legends: a row of samples with their names, or a column inside a panel.

use super::colour::Colour;
use super::geometry::{HatchDirection, Point, Rect, hatch};
use super::sheet::Sheet;
use super::svg::{Anchor, Stroke, path_data};
use super::text::{MIDDLE, WIDER, width};

/// Shape of a data point.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Marker {
    Disc,
    Square,
    Triangle,
    Diamond,
    HollowDisc,
    HollowSquare,
}

impl Marker {
    /// The marker of series `index`.
    pub fn of(index: usize) -> Self {
        const ALL: [Marker; 6] = [
            Marker::Disc,
            Marker::Square,
            Marker::Triangle,
            Marker::HollowDisc,
            Marker::Diamond,
            Marker::HollowSquare,
        ];
        ALL[index % ALL.len()]
    }

    /// Draws the marker with `radius` pt around `at`.
    pub fn draw(self, sheet: &mut Sheet, at: Point, radius: f64, colour: Colour) {
        let paper = sheet.palette.paper;
        let solid = Some(Stroke::solid(paper, radius * 0.3));
        let hollow = Some(Stroke::solid(colour, radius * 0.5));
        let r = radius;
        let square = |half: f64| Rect::around(at, 2.0 * half, 2.0 * half).corners();
        match self {
            Self::Disc => sheet.svg.circle(at, r, Some(colour), solid),
            Self::HollowDisc => sheet.svg.circle(at, r * 0.85, Some(paper), hollow),
            Self::Square => sheet.svg.polygon(&square(r * 0.9), Some(colour), solid),
            Self::HollowSquare => sheet.svg.polygon(&square(r * 0.8), Some(paper), hollow),
            Self::Triangle => {
                let corners = [
                    [at[0], at[1] - 1.2 * r],
                    [at[0] + 1.1 * r, at[1] + 0.8 * r],
                    [at[0] - 1.1 * r, at[1] + 0.8 * r],
                ];
                sheet.svg.polygon(&corners, Some(colour), solid);
            }
            Self::Diamond => {
                let corners = [
                    [at[0], at[1] - 1.3 * r],
                    [at[0] + 1.3 * r, at[1]],
                    [at[0], at[1] + 1.3 * r],
                    [at[0] - 1.3 * r, at[1]],
                ];
                sheet.svg.polygon(&corners, Some(colour), solid);
            }
        }
    }
}

/// Shape of small dots of which there are many.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum DotShape {
    Round,
    Square,
    Triangle,
    Diamond,
}

impl DotShape {
    /// The shape of group `index`.
    pub fn of(index: usize) -> Self {
        const ALL: [DotShape; 4] = [
            DotShape::Round,
            DotShape::Square,
            DotShape::Triangle,
            DotShape::Diamond,
        ];
        ALL[index % ALL.len()]
    }

    /// Draws dots of `size` pt in one element; all shapes have about the same area.
    pub fn draw(self, sheet: &mut Sheet, places: &[Point], size: f64, colour: Colour) {
        let polygons = |corners: &[Point]| -> String {
            places
                .iter()
                .map(|at| {
                    let moved: Vec<Point> = corners
                        .iter()
                        .map(|c| [at[0] + c[0] * size, at[1] + c[1] * size])
                        .collect();
                    path_data(&moved, true)
                })
                .collect()
        };
        match self {
            Self::Round => sheet.svg.dots(places, size, colour),
            Self::Square => sheet.svg.square_dots(places, size * 0.88, colour),
            Self::Triangle => {
                let data = polygons(&[[0.0, -0.72], [0.66, 0.45], [-0.66, 0.45]]);
                sheet.svg.path(&data, Some(colour), None);
            }
            Self::Diamond => {
                let data = polygons(&[[0.0, -0.68], [0.6, 0.0], [0.0, 0.68], [-0.6, 0.0]]);
                sheet.svg.path(&data, Some(colour), None);
            }
        }
    }
}

/// The sample beside a legend's text.
#[derive(Debug, Clone)]
pub(crate) enum Sample {
    /// A line with an optional marker; dash lengths in font sizes.
    Line {
        colour: Colour,
        dash: Vec<f64>,
        marker: Option<Marker>,
        cased: bool,
    },
    /// A thin line.
    Rule,
    /// A box of colour.
    Fill(Colour),
    /// A hatched box.
    Hatch(HatchDirection),
    /// A dotted box.
    Dotted,
    /// A single dot of a shape and the size given in font sizes.
    Dot(Colour, DotShape, f64),
    /// The ring around what is best or chosen.
    Ring(Colour),
    /// A line with end strokes: a range.
    Range,
    /// The cross of the ideal point.
    Cross(Colour),
    /// The slanting cross of what is left out.
    SlantingCross(Colour),
    /// A marker of the legend's own size.
    Mark(Marker, Colour),
}

/// One line of a legend.
#[derive(Debug, Clone)]
pub(crate) struct Entry {
    pub sample: Sample,
    pub text: String,
}

const SAMPLE_WIDTH: f64 = 2.0;
const SAMPLE_GAP: f64 = 0.5;
const ENTRY_GAP: f64 = 1.3;
/// Line height of a legend, in small sizes.
const LINE: f64 = 1.45;

fn sample_width(sample: &Sample) -> f64 {
    match sample {
        Sample::Line { .. } | Sample::Range | Sample::Rule => SAMPLE_WIDTH,
        Sample::Fill(_) | Sample::Hatch(_) | Sample::Dotted => 1.3,
        Sample::Dot(..)
        | Sample::Ring(_)
        | Sample::Cross(_)
        | Sample::SlantingCross(_)
        | Sample::Mark(..) => 0.9,
    }
}

fn entry_width(sheet: &Sheet, entry: &Entry) -> f64 {
    let text = width(&entry.text, sheet.small) * WIDER;
    (sample_width(&entry.sample) + SAMPLE_GAP) * sheet.small + text
}

/// Draws the entries in rows from the cursor down, between `left` and `right`.
pub(crate) fn legend_rows(sheet: &mut Sheet, entries: &[Entry], left: f64, right: f64) {
    if entries.is_empty() {
        return;
    }
    sheet.svg.open("legend");
    sheet.y += sheet.em * 0.35;
    let mut x = left;
    for entry in entries {
        let mut entry = entry.clone();
        let room = right - left - (SAMPLE_WIDTH + SAMPLE_GAP) * sheet.small;
        entry.text = sheet.fitted(&entry.text, sheet.small, room);
        let needed = entry_width(sheet, &entry);
        if x > left && x + needed > right {
            x = left;
            sheet.y += sheet.small * LINE;
        }
        let middle = sheet.y + sheet.small * LINE / 2.0;
        draw_entry(sheet, &entry, [x, middle]);
        x += needed + ENTRY_GAP * sheet.small;
    }
    sheet.y += sheet.small * LINE;
    sheet.svg.close();
}

/// Size of the entries stacked in one column, pt.
pub(crate) fn column_size(sheet: &Sheet, entries: &[Entry]) -> [f64; 2] {
    let widest = entries
        .iter()
        .map(|entry| entry_width(sheet, entry))
        .fold(0.0, f64::max);
    [
        widest + sheet.small * 0.8,
        entries.len() as f64 * sheet.small * LINE + sheet.small * 0.4,
    ]
}

/// Draws the entries stacked inside `rect`, whose size is that of [`column_size`].
pub(crate) fn legend_column(sheet: &mut Sheet, entries: &[Entry], rect: &Rect) {
    sheet.svg.open("legend");
    sheet.svg.rect(rect, Some(sheet.palette.paper), None);
    let mut middle = rect.top + sheet.small * (0.2 + LINE / 2.0);
    for entry in entries {
        draw_entry(sheet, entry, [rect.left + sheet.small * 0.4, middle]);
        middle += sheet.small * LINE;
    }
    sheet.take(*rect);
    sheet.svg.close();
}

fn draw_entry(sheet: &mut Sheet, entry: &Entry, at: Point) {
    let size = sheet.small;
    let across = sample_width(&entry.sample) * size;
    draw_sample(sheet, &entry.sample, at, across);
    let place = [at[0] + across + SAMPLE_GAP * size, at[1] + MIDDLE * size];
    let label = sheet.label(entry.text.clone(), place, Anchor::Start);
    sheet.text(&label);
}

fn draw_sample(sheet: &mut Sheet, sample: &Sample, at: Point, across: f64) {
    let size = sheet.small;
    let centre = [at[0] + across / 2.0, at[1]];
    let thin = Stroke::solid(sheet.palette.quiet, sheet.em * 0.06);
    match sample {
        Sample::Line {
            colour,
            dash,
            marker,
            cased,
        } => {
            let line = [at, [at[0] + across, at[1]]];
            let dash: Vec<f64> = dash.iter().map(|d| d * sheet.em).collect();
            if *cased {
                named_line_stroke(sheet, &line, *colour, &dash);
            } else {
                let stroke = Stroke {
                    colour: *colour,
                    width: sheet.em * LINE_WIDTH,
                    dash: &dash,
                };
                sheet.svg.polyline(&line, stroke);
            }
            if let Some(marker) = marker {
                marker.draw(sheet, centre, sheet.em * MARKER_RADIUS, *colour);
            }
        }
        Sample::Rule => {
            let line = [at, [at[0] + across, at[1]]];
            sheet.svg.polyline(&line, thin);
        }
        Sample::Fill(colour) => {
            let rect = Rect::around(centre, across, size * 0.75);
            sheet.svg.rect(&rect, Some(*colour), Some(thin));
        }
        Sample::Hatch(direction) => {
            let rect = Rect::around(centre, across, size * 0.75);
            sheet.svg.rect(&rect, Some(sheet.palette.blank), None);
            hatched(sheet, &[rect.corners().to_vec()], *direction);
            sheet.svg.rect(&rect, None, Some(thin));
        }
        Sample::Dotted => {
            let rect = Rect::around(centre, across, size * 0.75);
            sheet.svg.rect(&rect, Some(sheet.palette.blank), None);
            dotted(sheet, &[rect.corners().to_vec()]);
            sheet.svg.rect(&rect, None, Some(thin));
        }
        Sample::Dot(colour, shape, size) => {
            shape.draw(sheet, &[centre], size * sheet.em, *colour);
        }
        Sample::Ring(colour) => {
            let stroke = Stroke::solid(*colour, sheet.em * 0.14);
            sheet.svg.circle(centre, size * 0.38, None, Some(stroke));
        }
        Sample::Range => {
            let end = size * 0.28;
            let (left, right) = (at[0], at[0] + across);
            let strokes = [
                ([left, at[1]], [right, at[1]]),
                ([left, at[1] - end], [left, at[1] + end]),
                ([right, at[1] - end], [right, at[1] + end]),
            ];
            let stroke = Stroke::solid(sheet.palette.ink, sheet.em * 0.11);
            sheet.svg.strokes(&strokes, stroke);
        }
        Sample::Cross(colour) => cross(sheet, centre, size * 0.4, *colour),
        Sample::SlantingCross(colour) => slanting_cross(sheet, centre, size * 0.3, *colour),
        Sample::Mark(marker, colour) => {
            marker.draw(sheet, centre, sheet.em * MARKER_RADIUS, *colour);
        }
    }
}

/// Width of data lines, in font sizes.
pub(crate) const LINE_WIDTH: f64 = 0.16;
/// Radius of data markers, in font sizes.
pub(crate) const MARKER_RADIUS: f64 = 0.3;

/// A dark line with a light edge, seen on any ground.
pub(crate) fn named_line_stroke(sheet: &mut Sheet, points: &[Point], colour: Colour, dash: &[f64]) {
    let casing = Stroke::solid(sheet.palette.paper, sheet.em * 0.28);
    sheet.svg.polyline(points, casing);
    let stroke = Stroke {
        colour,
        width: sheet.em * 0.13,
        dash,
    };
    sheet.svg.polyline(points, stroke);
}

/// A small cross with a light edge.
pub(crate) fn cross(sheet: &mut Sheet, at: Point, arm: f64, colour: Colour) {
    crossed(sheet, at, [[arm, 0.0], [0.0, arm]], colour);
}

/// A small cross with slanting arms and a light edge; `arm` is along each axis, pt.
pub(crate) fn slanting_cross(sheet: &mut Sheet, at: Point, arm: f64, colour: Colour) {
    crossed(sheet, at, [[arm, arm], [arm, -arm]], colour);
}

fn crossed(sheet: &mut Sheet, at: Point, arms: [Point; 2], colour: Colour) {
    let strokes = arms.map(|[x, y]| ([at[0] - x, at[1] - y], [at[0] + x, at[1] + y]));
    let casing = Stroke::solid(sheet.palette.paper, sheet.em * 0.4);
    sheet.svg.strokes(&strokes, casing);
    sheet
        .svg
        .strokes(&strokes, Stroke::solid(colour, sheet.em * 0.16));
}

/// Hatches each of `outlines`.
pub(crate) fn hatched(sheet: &mut Sheet, outlines: &[Vec<Point>], direction: HatchDirection) {
    let spacing = sheet.em * 0.42;
    let strokes: Vec<(Point, Point)> = outlines
        .iter()
        .flat_map(|outline| hatch(outline, spacing, direction))
        .collect();
    let stroke = Stroke::solid(sheet.palette.hatch, sheet.em * 0.07);
    sheet.svg.strokes(&strokes, stroke);
}

/// Fills each of `outlines` with a mesh of small dots.
pub(crate) fn dotted(sheet: &mut Sheet, outlines: &[Vec<Point>]) {
    let pitch = sheet.em * 0.38;
    let diameter = sheet.em * 0.11;
    let mut places = Vec::new();
    for outline in outlines {
        for (from, to) in hatch(outline, pitch, HatchDirection::Rising) {
            // The mesh belongs to the sheet: it runs on through neighbouring outlines.
            let along = |p: Point| (p[0] - p[1]) / std::f64::consts::SQRT_2;
            let (low, high) = (along(from).min(along(to)), along(from).max(along(to)));
            let across = (from[0] + from[1]) / std::f64::consts::SQRT_2;
            let mut index = (low / pitch).ceil();
            while index * pitch < high {
                let (s, t) = (across, index * pitch);
                let half = std::f64::consts::FRAC_1_SQRT_2;
                places.push([(s + t) * half, (s - t) * half]);
                index += 1.0;
            }
        }
    }
    sheet.svg.dots(&places, diameter, sheet.palette.hatch);
}
