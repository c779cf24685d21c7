//! Rows and frames of told parameters.

use super::scales::{ErrorScale, OffsetScale, error_of, with_held};
use super::{ToldRow, ToldState};
use crate::plot::geometry::Rect;
use crate::plot::legend::{LINE_WIDTH, MARKER_RADIUS, Marker};
use crate::plot::sheet::Sheet;
use crate::plot::svg::{Anchor, Stroke};
use crate::plot::text::{ASCENT, MIDDLE, width};
use crate::plot::ticks::Tick;

/// Where the parts of the figure stand.
pub(super) struct Table {
    /// Width of the names, pt.
    pub names: f64,
    pub errors: ErrorScale,
    pub offsets: OffsetScale,
    /// Whether standard errors stand in figures too.
    pub with_error: bool,
}

/// One row laid out.
struct Line<'a> {
    row: &'a ToldRow,
    /// Why it is held, in lines that fit.
    words: Vec<String>,
    height: f64,
}

impl Table {
    pub fn draw(&self, sheet: &mut Sheet, rows: &[ToldRow]) {
        self.headings(sheet);
        let top = sheet.y;
        let lines: Vec<Line> = rows.iter().map(|row| self.line(sheet, row)).collect();
        let height: f64 = lines.iter().map(|line| line.height).sum();
        self.frames(sheet, top, top + height, &lines);
        for line in &lines {
            self.row(sheet, line);
            sheet.y += line.height;
        }
        self.axes(sheet);
    }

    /// What each panel answers.
    fn headings(&self, sheet: &mut Sheet) {
        let top = sheet.y;
        let mut lowest = top;
        for (text, frame) in [
            ("Identifiability", &self.errors.frame),
            ("Deviation", &self.offsets.frame),
        ] {
            sheet.y = top;
            let size = sheet.em;
            let lines = sheet.wrapped(text, size, frame.width() / 1.07, 2);
            sheet.paragraph(&lines, frame.left, size, true);
            lowest = lowest.max(sheet.y);
        }
        sheet.y = lowest + sheet.em * 0.2;
    }

    fn line<'a>(&self, sheet: &mut Sheet, row: &'a ToldRow) -> Line<'a> {
        let words = match &row.state {
            ToldState::Fitted { .. } => Vec::new(),
            ToldState::Held { because, .. } => {
                let room = sheet.right() - self.offsets.frame.left - sheet.em * 0.3;
                let size = sheet.small;
                sheet.wrapped(&because.words(), size, room, 2)
            }
        };
        let text = words.len() as f64 * sheet.small * 1.15 + sheet.em * 0.45;
        Line {
            row,
            words,
            height: text.max(sheet.em * 1.5),
        }
    }

    /// Grounds, lines along the rows, lines at one typical error and at zero.
    fn frames(&self, sheet: &mut Sheet, top: f64, bottom: f64, lines: &[Line]) {
        let (errors, offsets) = (&self.errors, &self.offsets);
        sheet.svg.open("frames");
        // Up to the typical error the points tell more than the workshop does.
        for [from, to] in [
            [errors.frame.left, errors.x_at(1.0)],
            [offsets.x_at(-1.0), offsets.x_at(1.0)],
        ] {
            let rect = Rect::new(from, top, to - from, bottom - top);
            sheet.svg.rect(&rect, Some(sheet.palette.blank), None);
        }
        let mut along = Vec::new();
        let mut y = top;
        for line in lines {
            let middle = y + line.height / 2.0;
            along.push(([errors.frame.left, middle], [errors.frame.right, middle]));
            if line.words.is_empty() {
                along.push(([offsets.frame.left, middle], [offsets.frame.right, middle]));
            }
            y += line.height;
        }
        let rule = Stroke::solid(sheet.palette.rule, sheet.em * 0.05);
        sheet.svg.strokes(&along, rule);
        let edges: Vec<_> = [errors.x_at(1.0), offsets.x_at(-1.0), offsets.x_at(1.0)]
            .map(|x| ([x, top], [x, bottom]))
            .to_vec();
        let dash = [sheet.em * 0.3, sheet.em * 0.25];
        let stroke = Stroke {
            colour: sheet.palette.quiet,
            width: sheet.em * 0.06,
            dash: &dash,
        };
        sheet.svg.strokes(&edges, stroke);
        let zero = offsets.x_at(0.0);
        let ink = Stroke::solid(sheet.palette.ink, sheet.em * 0.07);
        sheet.svg.polyline(&[[zero, top], [zero, bottom]], ink);
        // Where rows say why they are held, nothing runs through the words.
        let mut y = top;
        for run in lines.chunk_by(|a, b| a.words.is_empty() == b.words.is_empty()) {
            let height = run.iter().map(|line| line.height).sum();
            if run.iter().any(|line| !line.words.is_empty()) {
                let frame = &offsets.frame;
                let ground = Rect::new(frame.left, y, frame.width(), height);
                sheet.svg.rect(&ground, Some(sheet.palette.paper), None);
            }
            y += height;
        }
        sheet.svg.close();
    }

    fn row(&self, sheet: &mut Sheet, line: &Line) {
        let middle = sheet.y + line.height / 2.0;
        let baseline = middle + MIDDLE * sheet.small;
        let off = matches!(line.row.state, ToldState::Fitted { off: true, .. });
        let held = matches!(line.row.state, ToldState::Held { .. });
        let name = sheet.fitted(&line.row.name, sheet.small, self.names / 1.07);
        let at = [sheet.left() + self.names, baseline];
        let mut label = sheet.label(name, at, Anchor::End);
        label.bold = off;
        if held {
            label.colour = sheet.palette.quiet;
        }
        sheet.text(&label);
        let radius = sheet.em * MARKER_RADIUS;
        if let Some(error) = error_of(line.row) {
            let (marker, colour) = if held {
                (Marker::HollowDisc, sheet.palette.quiet)
            } else {
                (Marker::Disc, sheet.palette.series[0])
            };
            let x = self.errors.x_at(error);
            let end = with_held(line.row).map_or(x, |worse| self.errors.x_at(worse));
            // One that the mark covers only frays its edge.
            if end - x > radius * 1.3 {
                let half = sheet.em * 0.2;
                let strokes = [
                    ([x, middle], [end, middle]),
                    ([end, middle - half], [end, middle + half]),
                ];
                let stroke = Stroke::solid(colour, sheet.em * LINE_WIDTH);
                sheet.svg.strokes(&strokes, stroke);
            }
            marker.draw(sheet, [x, middle], radius, colour);
        }
        if let ToldState::Fitted {
            offset,
            standard_error,
            ..
        } = &line.row.state
        {
            self.whisker(sheet, *offset, *standard_error, middle);
            let (marker, colour) = if off {
                (Marker::Diamond, sheet.palette.accent)
            } else {
                (Marker::Disc, sheet.palette.series[0])
            };
            marker.draw(sheet, [self.offsets.x_at(*offset), middle], radius, colour);
            let at = [sheet.right(), baseline];
            let mut label = sheet.label(line.row.number(self.with_error), at, Anchor::End);
            if off {
                label.bold = true;
                label.colour = sheet.palette.accent;
            }
            sheet.text(&label);
        }
        self.words(sheet, line, middle);
    }

    fn whisker(&self, sheet: &mut Sheet, offset: f64, standard_error: f64, y: f64) {
        let half = sheet.em * 0.22;
        let ends = [-2.0, 2.0].map(|times| self.offsets.x_at(offset + times * standard_error));
        let mut strokes = vec![([ends[0], y], [ends[1], y])];
        strokes.extend(ends.map(|x| ([x, y - half], [x, y + half])));
        // One that the mark covers only frays its edge.
        if ends[1] - ends[0] > sheet.em * MARKER_RADIUS * 2.6 {
            let stroke = Stroke::solid(sheet.palette.ink, sheet.em * 0.11);
            sheet.svg.strokes(&strokes, stroke);
        }
    }

    fn words(&self, sheet: &mut Sheet, line: &Line, middle: f64) {
        let step = sheet.small * 1.15;
        let first = middle - (line.words.len() as f64 - 1.0) / 2.0 * step;
        let left = self.offsets.frame.left + sheet.em * 0.3;
        for (index, text) in line.words.iter().enumerate() {
            let baseline = first + index as f64 * step + MIDDLE * sheet.small;
            let mut label = sheet.label(text.clone(), [left, baseline], Anchor::Start);
            label.colour = sheet.palette.quiet;
            sheet.text(&label);
        }
    }

    /// Base lines, marks and headings of both axes, from the cursor down.
    fn axes(&self, sheet: &mut Sheet) {
        let bottom = sheet.y;
        let (errors, offsets) = (&self.errors, &self.offsets);
        // The places of their own choose first; labels that must stand together come in one
        // list.
        let mut places: Vec<Vec<(f64, String)>> = Vec::new();
        for (place, label) in [(errors.zero, "0"), (errors.never, "∞")] {
            places.extend(place.map(|x| vec![(x, label.to_owned())]));
        }
        let of_errors = errors.ticks(sheet).into_iter();
        places.extend(of_errors.map(|tick| vec![(errors.x_at(tick.value), tick.label)]));
        let of_offsets = offsets.ticks(sheet);
        let pairs = of_offsets.chunk_by(|a, b| a.value == -b.value);
        places.extend(pairs.map(|pair| {
            let placed = |tick: &Tick| (offsets.x_at(tick.value), tick.label.clone());
            pair.iter().map(placed).collect()
        }));
        let mut strokes = vec![
            ([errors.frame.left, bottom], [errors.frame.right, bottom]),
            ([offsets.frame.left, bottom], [offsets.frame.right, bottom]),
        ];
        for together in places {
            let labels: Vec<_> = together
                .into_iter()
                .map(|(x, text)| {
                    let depth = if text.is_empty() { 0.18 } else { 0.32 } * sheet.em;
                    strokes.push(([x, bottom], [x, bottom + depth]));
                    let at = [x, bottom + sheet.em * 0.45 + ASCENT * sheet.small];
                    sheet.label(text, at, Anchor::Middle)
                })
                .collect();
            let free = labels
                .iter()
                .all(|label| sheet.is_free(&label.rect().grown(sheet.small * 0.12)));
            for label in labels.iter().filter(|_| free) {
                sheet.text(label);
            }
        }
        let quiet = Stroke::solid(sheet.palette.quiet, sheet.em * 0.07);
        sheet.svg.strokes(&strokes, quiet);
        sheet.y = bottom + sheet.em * 0.65 + sheet.small;
        let top = sheet.y;
        let mut lowest = top;
        for (text, frame) in [
            (
                "Standard error (assumed tolerances); less is better",
                &errors.frame,
            ),
            ("Deviation (assumed tolerances)", &offsets.frame),
        ] {
            let lines = sheet.wrapped(text, sheet.small, frame.width(), 4);
            let mut y = top;
            for line in lines {
                let half = width(&line, sheet.small) / 2.0;
                let x = frame.centre()[0].min(sheet.right() - half);
                let at = [x, y + ASCENT * sheet.small];
                let label = sheet.label(line, at, Anchor::Middle);
                sheet.text(&label);
                y += sheet.small * 1.2;
            }
            lowest = lowest.max(y);
        }
        sheet.y = lowest;
    }
}
