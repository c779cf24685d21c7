//! Rows that the fit did not use: crosses and row numbers.

use super::ResidualRow;
use super::layers::Dome;
use crate::plot::callout::Callout;
use crate::plot::geometry::{Point, Rect};
use crate::plot::legend::slanting_cross;
use crate::plot::sheet::Sheet;
use crate::plot::svg::Stroke;

/// Up to this many rows not used are crossed large, each with its number; of more, all get a
/// small cross and only the greatest a number.
pub(super) const NUMBERS_MAX: usize = 20;
/// Most row numbers listed in the notes.
const LISTED_MAX: usize = 100;

impl<'a> Dome<'a> {
    fn not_used(&self) -> impl Iterator<Item = &(&'a ResidualRow, Point)> {
        self.rows.iter().filter(|(row, _)| !row.used)
    }

    /// Rows not used that are crossed large and numbered.
    fn numbered(&self) -> Vec<(&'a ResidualRow, Point)> {
        let all = self.statistics.not_used <= NUMBERS_MAX;
        let greatest = self.statistics.greatest_not_used.map(|found| found.0);
        self.not_used()
            .filter(|(row, _)| all || Some(row.number) == greatest)
            .copied()
            .collect()
    }

    /// Small crosses of many rows not used, below everything else.
    pub fn small_crosses(&self, sheet: &mut Sheet) {
        if self.statistics.not_used <= NUMBERS_MAX {
            return;
        }
        let arm = self.em * 0.13;
        let strokes: Vec<(Point, Point)> = self
            .not_used()
            .flat_map(|(_, at)| {
                [[arm, arm], [arm, -arm]]
                    .map(|[x, y]| ([at[0] - x, at[1] - y], [at[0] + x, at[1] + y]))
            })
            .collect();
        sheet.svg.open("not-used");
        let stroke = Stroke::solid(sheet.palette.quiet, self.em * 0.07);
        sheet.svg.strokes(&strokes, stroke);
        sheet.svg.close();
    }

    /// Draws the large crosses and returns what texts must keep off.
    pub fn crosses(&self, sheet: &mut Sheet) -> Vec<Rect> {
        let arm = self.em * 0.28;
        sheet.svg.open("numbered");
        let ink = sheet.palette.ink;
        let mut boxes = Vec::new();
        for (_, at) in self.numbered() {
            slanting_cross(sheet, at, arm, ink);
            boxes.push(Rect::around(at, arm * 2.6, arm * 2.6));
        }
        sheet.svg.close();
        boxes
    }

    /// Writes the row numbers beside the crosses; over arrows only where there is no other
    /// place.
    pub fn numbers(&self, sheet: &mut Sheet, obstacles: &[Rect], crosses: &[Rect]) {
        let mut named: Vec<usize> = Vec::new();
        for (row, at) in self.numbered() {
            let text = row.number.to_string();
            let near = Rect::around(at, sheet.em * 7.0, sheet.em * 5.0);
            let bounds = self.ground.frame;
            let callout = Callout {
                text: &text,
                anchors: &[at],
                clearance: sheet.em * 0.32,
                leader_start: sheet.em * 0.45,
                bounds: near.within(&bounds),
                obstacles,
            };
            let over = Callout {
                obstacles: crosses,
                ..callout
            };
            let far = Callout { bounds, ..over };
            if [callout, over, far].iter().any(|c| c.draw(sheet)) {
                named.push(row.number);
            }
        }
        let mut unnamed: Vec<usize> = self.not_used().map(|(row, _)| row.number).collect();
        unnamed.retain(|number| !named.contains(number));
        if !unnamed.is_empty() {
            let listed = unnamed.iter().take(LISTED_MAX);
            let list: Vec<String> = listed.map(usize::to_string).collect();
            let more = unnamed.len() - list.len();
            let more = if more > 0 {
                format!(" and {more} more")
            } else {
                String::new()
            };
            sheet.notes.push(format!(
                "Crossed without a number in the drawing: rows {}{more}.",
                list.join(", ")
            ));
        }
    }
}
