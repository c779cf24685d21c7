//! Texts beside what they name, with a leader line where there is no room close by.

use super::geometry::{Point, Rect, distance};
use super::polyline::beads;
use super::sheet::Sheet;
use super::svg::{Anchor, Stroke};
use super::text::{LINE_BOX, MIDDLE, WIDER};

/// A text and what it must keep clear of.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Callout<'a> {
    pub text: &'a str,
    /// Places that the text may point at, best first.
    pub anchors: &'a [Point],
    /// Least distance from the anchor to the text, pt.
    pub clearance: f64,
    /// Distance from the anchor at which a leader line begins, pt.
    pub leader_start: f64,
    /// The text stays inside.
    pub bounds: Rect,
    /// The text covers none of these.
    pub obstacles: &'a [Rect],
}

/// A place found for a callout.
struct Spot {
    rect: Rect,
    leader: Option<[Point; 2]>,
}

/// Distances of the text from its anchor, in font sizes.
const REACHES: [f64; 7] = [0.0, 0.9, 1.8, 3.0, 4.5, 6.5, 9.0];

/// Where a text may stand relative to what it names, best first.
const DIRECTIONS: [Point; 12] = [
    [1.0, -0.8],
    [1.0, 0.0],
    [-1.0, -0.8],
    [1.0, 0.8],
    [-1.0, 0.0],
    [-1.0, 0.8],
    [0.0, -1.0],
    [0.0, 1.0],
    [0.5, -1.0],
    [-0.5, -1.0],
    [0.5, 1.0],
    [-0.5, 1.0],
];

impl Callout<'_> {
    /// Draws the text in the nearest free place; leaders that cross nothing are tried
    /// before those that cross data.
    ///
    /// Returns `false`, with nothing drawn, where there is no free place.
    pub fn draw(&self, sheet: &mut Sheet) -> bool {
        let pad = sheet.small * 0.2;
        let mut label = sheet.label(self.text, [0.0, 0.0], Anchor::Middle);
        let size = [
            label.width() * WIDER + 2.0 * pad,
            LINE_BOX * sheet.small + pad,
        ];
        let found = [true, false]
            .into_iter()
            .find_map(|clear| self.find(sheet, size, clear));
        let Some(spot) = found else { return false };
        if let Some(line) = spot.leader {
            let casing = Stroke::solid(sheet.palette.paper, sheet.em * 0.2);
            sheet.svg.polyline(&line, casing);
            let stroke = Stroke::solid(sheet.palette.ink, sheet.em * 0.07);
            sheet.svg.polyline(&line, stroke);
            for bead in beads(&line, sheet.em * 0.2) {
                sheet.take(bead);
            }
        }
        sheet.svg.rect(&spot.rect, Some(sheet.palette.paper), None);
        let baseline = spot.rect.centre()[1] + MIDDLE * sheet.small;
        label.at = [spot.rect.centre()[0], baseline];
        sheet.text(&label);
        sheet.take(spot.rect);
        true
    }

    fn find(&self, sheet: &Sheet, size: [f64; 2], clear: bool) -> Option<Spot> {
        for reach in REACHES {
            for anchor in self.anchors {
                for direction in DIRECTIONS {
                    let away = self.clearance + reach * sheet.em;
                    let centre = [
                        anchor[0] + direction[0] * (away + size[0] / 2.0),
                        anchor[1] + direction[1] * (away + size[1] / 2.0),
                    ];
                    let rect = Rect::around(centre, size[0], size[1]);
                    if !self.is_free(sheet, &rect) {
                        continue;
                    }
                    let leader = if reach > 0.0 {
                        self.leader(*anchor, &rect)
                    } else {
                        None
                    };
                    let passes =
                        leader.is_none_or(|line| self.leader_is_free(sheet, *anchor, &line, clear));
                    if passes {
                        return Some(Spot { rect, leader });
                    }
                }
            }
        }
        None
    }

    fn is_free(&self, sheet: &Sheet, rect: &Rect) -> bool {
        self.bounds.encloses(rect)
            && sheet.is_free(rect)
            && self.obstacles.iter().all(|o| o.overlap(rect) == 0.0)
    }

    fn leader(&self, anchor: Point, rect: &Rect) -> Option<[Point; 2]> {
        let end = [
            anchor[0].clamp(rect.left, rect.right),
            anchor[1].clamp(rect.top, rect.bottom),
        ];
        let length = distance(anchor, end);
        let part = self.leader_start / length;
        (length > self.leader_start).then(|| {
            let start = [
                anchor[0] + part * (end[0] - anchor[0]),
                anchor[1] + part * (end[1] - anchor[1]),
            ];
            [start, end]
        })
    }

    /// Whether the leader crosses no text and, where `clear`, no data away from its anchor.
    fn leader_is_free(&self, sheet: &Sheet, anchor: Point, line: &[Point; 2], clear: bool) -> bool {
        let near = self.clearance + sheet.em * 0.3;
        beads(line, sheet.em * 0.2)
            .iter()
            .filter(|bead| distance(bead.centre(), anchor) > near)
            .all(|bead| {
                sheet.is_free(bead)
                    && (!clear || self.obstacles.iter().all(|o| o.overlap(bead) == 0.0))
            })
    }
}
