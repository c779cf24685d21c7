//! Cells of a heat map panel: their edges, colours, hatching and marks.

use super::{BestCells, HeatMap, HeatPanel};
use crate::number::significant;
use crate::plot::axis::{Axis, AxisKind};
use crate::plot::colour::Colour;
use crate::plot::colour_scale::{Better, Gradient, shown};
use crate::plot::geometry::{HatchDirection, Point, Rect};
use crate::plot::legend::hatched;
use crate::plot::panel::Panel;
use crate::plot::sheet::Sheet;
use crate::plot::svg::{Anchor, Stroke, number};
use crate::plot::text::{MIDDLE, width};
use std::collections::BTreeMap;
use std::fmt::Write;

/// Edges of the cells around growing `values`: midway between neighbours (midway in
/// logarithm on a logarithmic axis), and as far out at the ends.
pub(super) fn edges(values: &[f64], axis: &Axis) -> Vec<f64> {
    let logarithmic = axis.kind == AxisKind::Logarithmic;
    let there = |v: f64| if logarithmic { v.ln() } else { v };
    let back = |v: f64| if logarithmic { v.exp() } else { v };
    let places: Vec<f64> = values.iter().map(|v| there(*v)).collect();
    match places.as_slice() {
        [] => Vec::new(),
        [only] => {
            let whole = matches!(axis.kind, AxisKind::Integer | AxisKind::Names(_));
            let half = if logarithmic {
                0.1
            } else if whole || *only == 0.0 {
                0.5
            } else {
                only.abs() * 0.1
            };
            vec![back(only - half), back(only + half)]
        }
        [first, second, ..] => {
            let last = places[places.len() - 1];
            let before_last = places[places.len() - 2];
            let mut edges = vec![first - (second - first) / 2.0];
            edges.extend(places.windows(2).map(|pair| (pair[0] + pair[1]) / 2.0));
            edges.push(last + (last - before_last) / 2.0);
            edges.into_iter().map(back).collect()
        }
    }
}

/// The cells of one panel on the sheet.
pub(super) struct Grid<'a> {
    pub frame: Rect,
    /// Places of the columns and rows, pt.
    pub x: Vec<f64>,
    pub y: Vec<f64>,
    x_edges: Vec<f64>,
    y_edges: Vec<f64>,
    /// Ends of the cells along a continuous variable, in the order of `x` and `y`, pt;
    /// between whole numbers and names there is nothing to continue.
    pub x_ends: Option<[f64; 2]>,
    pub y_ends: Option<[f64; 2]>,
    values: &'a [Option<f64>],
}

impl<'a> Grid<'a> {
    pub fn new(data: &'a HeatPanel, map: &HeatMap, panel: &Panel) -> Self {
        let frame = panel.frame;
        let clamp_x = |x: f64| x.clamp(frame.left, frame.right);
        let clamp_y = |y: f64| y.clamp(frame.top, frame.bottom);
        let ends = |values: &[f64], axis: &Axis, place: &dyn Fn(f64) -> f64| {
            let edges = edges(values, axis);
            let continuous = !matches!(axis.kind, AxisKind::Integer | AxisKind::Names(_));
            match edges.as_slice() {
                [first, .., last] if continuous => Some([place(*first), place(*last)]),
                _ => None,
            }
        };
        Self {
            frame,
            x: data.x.iter().map(|v| panel.x_at(*v)).collect(),
            y: data.y.iter().map(|v| panel.y_at(*v)).collect(),
            x_edges: edges(&data.x, &map.x)
                .into_iter()
                .map(|v| clamp_x(panel.x_at(v)))
                .collect(),
            y_edges: edges(&data.y, &map.y)
                .into_iter()
                .map(|v| clamp_y(panel.y_at(v)))
                .collect(),
            x_ends: ends(&data.x, &map.x, &|v| panel.x_at(v)),
            y_ends: ends(&data.y, &map.y, &|v| panel.y_at(v)),
            values: &data.values,
        }
    }

    pub fn value(&self, column: usize, row: usize) -> Option<f64> {
        shown(self.values[row * self.x.len() + column])
    }

    fn cell(&self, column: usize, row: usize) -> Rect {
        Rect {
            left: self.x_edges[column],
            right: self.x_edges[column + 1],
            top: self.y_edges[row + 1],
            bottom: self.y_edges[row],
        }
    }

    pub fn centre(&self, column: usize, row: usize) -> Point {
        [self.x[column], self.y[row]]
    }

    /// Draws the cells and says whether any is without a value.
    pub fn fill(&self, sheet: &mut Sheet, gradient: &Gradient) -> bool {
        sheet.svg.open("cells");
        let mut by_colour: BTreeMap<Colour, String> = BTreeMap::new();
        let mut blanks = Vec::new();
        for row in 0..self.y.len() {
            for column in 0..self.x.len() {
                let cell = self.cell(column, row);
                if cell.width() <= 0.0 || cell.height() <= 0.0 {
                    continue;
                }
                match self.value(column, row) {
                    Some(value) => {
                        let data = by_colour.entry(gradient.colour(value)).or_default();
                        let _ = write!(
                            data,
                            "M{} {}H{}V{}H{}Z",
                            number(cell.left),
                            number(cell.top),
                            number(cell.right),
                            number(cell.bottom),
                            number(cell.left)
                        );
                    }
                    None => blanks.push(cell),
                }
            }
        }
        // An edge in the cell's own colour closes the seams between neighbours, which
        // printers and PDF viewers show.
        let edge = sheet.em * 0.07;
        for (colour, data) in by_colour {
            let stroke = Stroke::solid(colour, edge);
            sheet.svg.path(&data, Some(colour), Some(stroke));
        }
        let blank = sheet.palette.blank;
        for cell in merged_along_rows(&blanks) {
            sheet.svg.tile(&cell, blank);
            hatched(sheet, &[cell.corners().to_vec()], HatchDirection::Rising);
        }
        sheet.svg.close();
        if self.values.iter().all(|v| shown(*v).is_none()) {
            self.say_empty(sheet);
        }
        !blanks.is_empty()
    }

    fn say_empty(&self, sheet: &mut Sheet) {
        let text = if self.values.is_empty() {
            "No data"
        } else {
            "No value in any cell"
        };
        sheet.notes.push(format!("{text} in this figure."));
        let centre = self.frame.centre();
        let text = sheet.fitted(text, sheet.small, self.frame.width() - sheet.em);
        let at = [centre[0], centre[1] + MIDDLE * sheet.small];
        let label = sheet.label(text, at, Anchor::Middle);
        let ground = label.rect().grown(sheet.small * 0.3);
        sheet.svg.rect(&ground, Some(sheet.palette.paper), None);
        sheet.text(&label);
    }

    /// Prints the values in cells wide and high enough for all of them.
    pub fn print_values(&self, sheet: &mut Sheet, gradient: &Gradient) {
        let size = sheet.small * 0.95;
        let text = |value: f64| significant(value, 2);
        let fits = (0..self.y.len()).all(|row| {
            (0..self.x.len()).all(|column| {
                let cell = self.cell(column, row);
                self.value(column, row).is_none_or(|value| {
                    width(&text(value), size) + size * 0.4 <= cell.width()
                        && size * 1.15 <= cell.height()
                })
            })
        });
        if !fits {
            let note = "Values are not printed in the cells: the cells are too small for them.";
            if !sheet.notes.iter().any(|n| n == note) {
                sheet.notes.push(note.to_owned());
            }
            return;
        }
        sheet.svg.open("values");
        for row in 0..self.y.len() {
            for column in 0..self.x.len() {
                if let Some(value) = self.value(column, row) {
                    let centre = self.cell(column, row).centre();
                    let at = [centre[0], centre[1] + MIDDLE * size];
                    let mut label = sheet.label(text(value), at, Anchor::Middle);
                    label.size = size;
                    label.colour = gradient.colour(value).ink_on();
                    sheet.text(&label);
                }
            }
        }
        sheet.svg.close();
    }

    /// Rings the best cells; returns the legend's text if any was ringed.
    pub fn mark_best(
        &self,
        sheet: &mut Sheet,
        gradient: &Gradient,
        which: BestCells,
        better: Better,
    ) -> Option<&'static str> {
        let (columns, rows) = (self.x.len(), self.y.len());
        let best = |cells: &mut dyn Iterator<Item = (usize, usize)>| {
            cells
                .filter_map(|(c, r)| self.value(c, r).map(|v| (c, r, v)))
                .reduce(|a, b| if better.prefers(b.2, a.2) { b } else { a })
        };
        let found: Vec<(usize, usize, f64)> = match which {
            BestCells::None => Vec::new(),
            BestCells::Panel => {
                let mut all = (0..rows).flat_map(|r| (0..columns).map(move |c| (c, r)));
                best(&mut all).into_iter().collect()
            }
            BestCells::EachRow => (0..rows)
                .filter_map(|r| best(&mut (0..columns).map(|c| (c, r))))
                .collect(),
        };
        if found.is_empty() {
            return None;
        }
        sheet.svg.open("best");
        for (column, row, value) in &found {
            let ink = gradient.colour(*value).ink_on();
            let at = self.centre(*column, *row);
            let cell = self.cell(*column, *row);
            let radius = (sheet.em * 0.34).min(cell.width().max(cell.height()) * 0.45);
            let stroke = Stroke::solid(ink, sheet.em * 0.14);
            sheet.svg.circle(at, radius, None, Some(stroke));
            sheet.take(Rect::around(at, radius * 2.6, radius * 2.6));
        }
        sheet.svg.close();
        Some(match which {
            BestCells::None | BestCells::Panel => "best",
            BestCells::EachRow => "best in each row",
        })
    }
}

/// Neighbouring cells of a row as one box, so that hatching has no seams.
fn merged_along_rows(cells: &[Rect]) -> Vec<Rect> {
    let mut merged: Vec<Rect> = Vec::new();
    for cell in cells {
        match merged.last_mut() {
            Some(last)
                if last.top == cell.top
                    && last.bottom == cell.bottom
                    && last.right == cell.left =>
            {
                last.right = cell.right;
            }
            _ => merged.push(*cell),
        }
    }
    merged
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn edges_lie_midway_between_uneven_values() {
        let axis = Axis::new("Arc angle", "°");
        assert_eq!(edges(&[0.0, 1.0, 4.0], &axis), [-0.5, 0.5, 2.5, 5.5]);
        let axis = axis.with_kind(AxisKind::Logarithmic);
        let found = edges(&[1.0, 100.0], &axis);
        assert!((found[1] - 10.0).abs() < 1e-9 && (found[2] - 1000.0).abs() < 1e-6);
    }

    #[test]
    fn single_value_gets_a_cell_around_it() {
        let whole = Axis::new("Stages", "").with_kind(AxisKind::Integer);
        assert_eq!(edges(&[3.0], &whole), [2.5, 3.5]);
        assert_eq!(edges(&[20.0], &Axis::new("Arc", "°")), [18.0, 22.0]);
        assert!(edges(&[], &whole).is_empty());
    }

    #[test]
    fn merging_joins_neighbours_only() {
        let a = Rect::new(0.0, 0.0, 1.0, 1.0);
        let b = Rect::new(1.0, 0.0, 1.0, 1.0);
        let c = Rect::new(3.0, 0.0, 1.0, 1.0);
        assert_eq!(
            merged_along_rows(&[a, b, c]),
            [Rect::new(0.0, 0.0, 2.0, 1.0), c]
        );
    }
}
