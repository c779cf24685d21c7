//! Lines over the cells of a heat map: contours with their values, and named lines of a
//! second quantity.

use super::cells::Grid;
use super::{HeatPanel, NamedLine};
use crate::number::shortest;
use crate::plot::callout::Callout;
use crate::plot::colour_scale::{Gradient, shown};
use crate::plot::contour_lines::{Nodes, contour_lines};
use crate::plot::error::PlotError;
use crate::plot::geometry::{Point, Rect, distance, turned_box};
use crate::plot::legend::{Sample, named_line_stroke};
use crate::plot::polyline::{beads, length, point_along, with_gap};
use crate::plot::sheet::Sheet;
use crate::plot::svg::{Anchor, Stroke};
use crate::plot::text::{MIDDLE, width};

/// Lengths of dashes and gaps, in font sizes.
type Dash = &'static [f64];

/// Dashes that tell named lines apart, in font sizes.
const NAMED_DASHES: [Dash; 4] = [&[], &[0.9, 0.4], &[0.25, 0.35], &[0.9, 0.35, 0.25, 0.35]];

impl Grid<'_> {
    /// Contour lines of `values` over this grid's cells, pt.
    ///
    /// Cells reach half a step beyond the outer nodes; there the values of a continuous
    /// variable are continued evenly, so that lines run up to the frame.
    fn lines_of(
        &self,
        what: &str,
        values: &[Option<f64>],
        level: f64,
    ) -> Result<Vec<Vec<Point>>, PlotError> {
        let mut rows: Vec<Vec<Option<f64>>> = if self.x.is_empty() {
            Vec::new()
        } else {
            values.chunks(self.x.len()).map(<[_]>::to_vec).collect()
        };
        let (mut x, mut y) = (self.x.clone(), self.y.clone());
        if let Some(ends) = self.x_ends.filter(|_| !x.is_empty()) {
            for row in &mut rows {
                *row = continued(&x, row, ends);
            }
            x = [vec![ends[0]], x, vec![ends[1]]].concat();
        }
        if let Some(ends) = self.y_ends.filter(|_| !y.is_empty()) {
            let columns: Vec<Vec<Option<f64>>> = (0..x.len())
                .map(|c| {
                    let column: Vec<Option<f64>> = rows.iter().map(|row| row[c]).collect();
                    continued(&y, &column, ends)
                })
                .collect();
            y = [vec![ends[0]], y, vec![ends[1]]].concat();
            rows = (0..y.len())
                .map(|r| columns.iter().map(|column| column[r]).collect())
                .collect();
        }
        let nodes = Nodes {
            what,
            x: &x,
            y: &y,
            values: &rows.concat(),
        };
        let lines = contour_lines(&nodes, level)?;
        Ok(lines
            .into_iter()
            .flat_map(|line| inside(&line, &self.frame))
            .collect())
    }

    fn values(&self) -> Vec<Option<f64>> {
        (0..self.y.len())
            .flat_map(|row| (0..self.x.len()).map(move |column| (column, row)))
            .map(|(column, row)| self.value(column, row))
            .collect()
    }
}

/// `values` at `places` with one more at either of `ends`, on the straight line through the
/// two nearest; as the nearest where there is only that one.
fn continued(places: &[f64], values: &[Option<f64>], ends: [f64; 2]) -> Vec<Option<f64>> {
    let beyond = |end: f64, nearest: usize, next: Option<usize>| {
        let value = shown(values[nearest])?;
        let slope = next.and_then(|next| {
            let other = shown(values[next])?;
            Some((value - other) / (places[nearest] - places[next]))
        });
        Some(value + slope.unwrap_or(0.0) * (end - places[nearest]))
    };
    let last = values.len() - 1;
    let inner = values.len() > 1;
    let before = beyond(ends[0], 0, inner.then_some(1));
    let after = beyond(ends[1], last, inner.then(|| last - 1));
    [vec![before], values.to_vec(), vec![after]].concat()
}

/// The parts of a polyline inside `frame`, for axes whose range cuts the data.
fn inside(line: &[Point], frame: &Rect) -> Vec<Vec<Point>> {
    let mut parts: Vec<Vec<Point>> = Vec::new();
    for pair in line.windows(2) {
        if let Some((from, to)) = frame.clip(pair[0], pair[1]) {
            match parts.last_mut() {
                Some(part) if part.last().is_some_and(|p| distance(*p, from) < 1e-9) => {
                    part.push(to);
                }
                _ => parts.push(vec![from, to]),
            }
        }
    }
    parts
}

/// Draws the contour lines with their values set into them.
///
/// A contour of value v runs over the colour of v, so its ink is chosen for that colour.
pub(super) fn contours(
    sheet: &mut Sheet,
    grid: &Grid,
    gradient: &Gradient,
    levels: &[f64],
    keep_off: &[Rect],
) -> Result<(), PlotError> {
    if levels.is_empty() {
        return Ok(());
    }
    let values = grid.values();
    sheet.svg.open("contours");
    for level in levels {
        let ink = gradient.colour(*level).ink_on();
        let dash_lengths = [sheet.em * 0.5, sheet.em * 0.3];
        let stroke = Stroke {
            colour: ink,
            width: sheet.em * 0.07,
            dash: if *level < 0.0 { &dash_lengths } else { &[] },
        };
        let text = level_text(*level);
        for line in grid.lines_of("the values", &values, *level)? {
            // A stub shorter than a letter says nothing.
            if length(&line) > sheet.em {
                draw_labelled_line(sheet, &line, &text, stroke, &grid.frame, keep_off);
            }
        }
    }
    sheet.svg.close();
    Ok(())
}

fn level_text(level: f64) -> String {
    if level == 0.0 || (1e-3..1e6).contains(&level.abs()) {
        shortest(level, 4)
    } else {
        crate::number::significant(level, 2)
    }
}

fn draw_labelled_line(
    sheet: &mut Sheet,
    line: &[Point],
    text: &str,
    stroke: Stroke,
    frame: &Rect,
    keep_off: &[Rect],
) {
    let size = sheet.small * 0.88;
    match label_place(sheet, line, text, size, frame, keep_off) {
        None => sheet.svg.polyline(line, stroke),
        Some(place) => {
            for part in with_gap(line, place.from, place.to) {
                sheet.svg.polyline(&part, stroke);
            }
            let (sin, cos) = place.turn_deg.to_radians().sin_cos();
            let drop = MIDDLE * size;
            let at = [place.centre[0] - sin * drop, place.centre[1] + cos * drop];
            let mut label = sheet.label(text, at, Anchor::Middle);
            label.size = size;
            label.colour = stroke.colour;
            label.turn_deg = place.turn_deg;
            sheet.text(&label);
        }
    }
}

struct LabelPlace {
    from: f64,
    to: f64,
    centre: Point,
    turn_deg: f64,
}

/// The straightest free stretch of `line` for `text`, middle first.
fn label_place(
    sheet: &Sheet,
    line: &[Point],
    text: &str,
    size: f64,
    frame: &Rect,
    keep_off: &[Rect],
) -> Option<LabelPlace> {
    let total = length(line);
    let needed = width(text, size) + size * 0.5;
    if total < needed * 1.6 {
        return None;
    }
    let bounds = frame.grown(-size * 0.15);
    let mut best: Option<(f64, LabelPlace)> = None;
    for part in [0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8, 0.1, 0.9] {
        let middle = total * part;
        let (from, to) = (middle - needed / 2.0, middle + needed / 2.0);
        if from < 0.0 || to > total {
            continue;
        }
        let (a, b) = (point_along(line, from), point_along(line, to));
        let straightness = distance(a, b) / needed;
        let mut turn_deg = (b[1] - a[1]).atan2(b[0] - a[0]).to_degrees();
        // Upright for the reader: never more than a quarter turn either way.
        if turn_deg > 90.0 {
            turn_deg -= 180.0;
        } else if turn_deg <= -90.0 {
            turn_deg += 180.0;
        }
        let centre = [(a[0] + b[0]) / 2.0, (a[1] + b[1]) / 2.0];
        let rect = turned_box(centre, needed, size, turn_deg);
        let free = bounds.encloses(&rect)
            && sheet.is_free(&rect)
            && keep_off.iter().all(|other| other.overlap(&rect) == 0.0);
        if straightness < 0.9 || !free {
            continue;
        }
        if best
            .as_ref()
            .is_none_or(|(found, _)| straightness > found + 0.02)
        {
            let place = LabelPlace {
                from,
                to,
                centre,
                turn_deg,
            };
            best = Some((straightness, place));
        }
    }
    best.map(|(_, place)| place)
}

/// The named lines of one panel, laid out on the sheet.
pub(super) struct NamedLines<'a> {
    lines: Vec<(&'a NamedLine, Dash, Vec<Vec<Point>>)>,
    frame: Rect,
    /// Boxes along the lines, which texts keep off.
    pub beads: Vec<Rect>,
}

impl<'a> NamedLines<'a> {
    pub fn new(sheet: &mut Sheet, grid: &Grid, data: &'a HeatPanel) -> Result<Self, PlotError> {
        let mut lines = Vec::new();
        for (index, named) in data.lines.iter().enumerate() {
            let dash = NAMED_DASHES[index % NAMED_DASHES.len()];
            let found = grid.lines_of(&named.label, &named.values, named.level)?;
            if found.is_empty() {
                sheet.notes.push(format!(
                    "The line “{}” does not cross panel “{}”.",
                    named.label, data.title
                ));
            }
            lines.push((named, dash, found));
        }
        let beads = lines
            .iter()
            .flat_map(|(_, _, parts)| parts.iter().flat_map(|p| beads(p, sheet.em * 0.25)))
            .collect();
        Ok(Self {
            lines,
            frame: grid.frame,
            beads,
        })
    }

    /// Draws the lines, each with its text beside it; returns those whose text found no
    /// room, for the legend.
    pub fn draw(&self, sheet: &mut Sheet) -> Vec<(Sample, String)> {
        let mut unlabelled = Vec::new();
        sheet.svg.open("lines");
        for (_, dash, parts) in &self.lines {
            let lengths: Vec<f64> = dash.iter().map(|d| d * sheet.em).collect();
            for part in parts {
                named_line_stroke(sheet, part, sheet.palette.ink, &lengths);
            }
        }
        for (named, dash, parts) in &self.lines {
            let longest = parts.iter().max_by(|a, b| length(a).total_cmp(&length(b)));
            let Some(longest) = longest else { continue };
            let total = length(longest);
            let anchors: Vec<Point> = (1..20)
                .map(|i| 0.5 + 0.048 * f64::from(if i % 2 == 0 { i / 2 } else { -(i / 2) }))
                .map(|part| point_along(longest, total * part))
                .collect();
            let callout = Callout {
                text: &named.label,
                anchors: &anchors,
                clearance: sheet.em * 0.35,
                leader_start: 0.0,
                bounds: self.frame,
                obstacles: &self.beads,
            };
            if !callout.draw(sheet) {
                let sample = Sample::Line {
                    colour: sheet.palette.ink,
                    dash: dash.to_vec(),
                    marker: None,
                    cased: true,
                };
                unlabelled.push((sample, named.label.clone()));
            }
        }
        sheet.svg.close();
        unlabelled
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn values_continue_on_the_straight_line_of_the_last_two() {
        let places = [10.0, 20.0, 40.0];
        let values = [Some(1.0), Some(2.0), Some(6.0)];
        let found = continued(&places, &values, [5.0, 50.0]);
        assert_eq!(
            found,
            [Some(0.5), Some(1.0), Some(2.0), Some(6.0), Some(8.0)]
        );
        let found = continued(&places, &[None, Some(2.0), Some(f64::NAN)], [5.0, 50.0]);
        assert_eq!((found[0], found[4]), (None, None));
        let found = continued(&[10.0], &[Some(3.0)], [5.0, 15.0]);
        assert_eq!(found, [Some(3.0); 3]);
    }
}
