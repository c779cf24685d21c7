//! Cells of directions: a region cut into cells until each lies on one side of a
//! question, and the sphere's cells that hang together.
//!
//! A cell lies between two polar angles and two azimuths. It is looked at in its middle
//! and its four corners; where these disagree it is cut in four, down to a smallest size.
//! What is still undecided then is added up and stated: it bounds what cutting further
//! could change, but nothing smaller than the spacing of the samples is seen.

use std::f64::consts::{PI, TAU};

use rayon::prelude::*;

use crate::sphere::{Direction, Region};

/// A cell of directions.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cell {
    /// Polar angles, rad, ascending.
    pub polar: [f64; 2],
    /// Azimuths, rad, ascending.
    pub azimuth: [f64; 2],
}

impl Cell {
    /// Area, sr.
    pub fn area(&self) -> f64 {
        // cos a − cos b without cancellation.
        let [lo, hi] = self.polar;
        2.0 * (0.5 * (lo + hi)).sin()
            * (0.5 * (hi - lo)).sin()
            * (self.azimuth[1] - self.azimuth[0])
    }

    /// The direction at shares of its area along the polar angle and along the azimuth.
    fn at(&self, down: f64, around: f64) -> Direction {
        let [lo, hi] = self.polar.map(f64::cos);
        Direction {
            polar: (lo + (hi - lo) * down).clamp(-1.0, 1.0).acos(),
            azimuth: self.azimuth[0] + (self.azimuth[1] - self.azimuth[0]) * around,
        }
    }

    /// Middle by area.
    pub fn middle(&self) -> Direction {
        self.at(0.5, 0.5)
    }

    /// Corners, just inside so that a common edge with the region belongs to it.
    fn corners(&self) -> [Direction; 4] {
        let inset = 1e-9;
        let [lo, hi] = self.polar;
        let polar = [lo + inset * (hi - lo), hi - inset * (hi - lo)];
        let span = self.azimuth[1] - self.azimuth[0];
        let azimuth = [
            self.azimuth[0] + inset * span,
            self.azimuth[1] - inset * span,
        ];
        [(0, 0), (0, 1), (1, 0), (1, 1)].map(|(p, a)| Direction {
            polar: polar[p],
            azimuth: azimuth[a],
        })
    }

    /// Directions and weights (sum: the area) of a rule exact for cubics.
    pub fn gauss(&self) -> [(Direction, f64); 4] {
        let node = 0.5 - 0.5 / 3.0_f64.sqrt();
        let weight = 0.25 * self.area();
        [
            (node, node),
            (node, 1.0 - node),
            (1.0 - node, node),
            (1.0 - node, 1.0 - node),
        ]
        .map(|(down, around)| (self.at(down, around), weight))
    }

    fn quarters(&self) -> [Cell; 4] {
        let polar = 0.5 * (self.polar[0] + self.polar[1]);
        let azimuth = 0.5 * (self.azimuth[0] + self.azimuth[1]);
        [(0, 0), (0, 1), (1, 0), (1, 1)].map(|(p, a)| Cell {
            polar: if p == 0 {
                [self.polar[0], polar]
            } else {
                [polar, self.polar[1]]
            },
            azimuth: if a == 0 {
                [self.azimuth[0], azimuth]
            } else {
                [azimuth, self.azimuth[1]]
            },
        })
    }
}

/// A region cut by a question that some of its directions answer with yes.
#[derive(Debug, Clone, PartialEq)]
pub struct Cut {
    /// Cells whose samples all said yes, and the smallest ones whose middle did.
    pub inside: Vec<Cell>,
    /// Area of the smallest cells whose samples disagreed, sr.
    pub undecided: f64,
}

/// Cuts a region (base frame; not one of points) by a question.
///
/// # Arguments
/// - `size`: greatest side of a cell, rad.
/// - `depth`: how often a cell on the border is cut in four.
/// - `holds`: whether a direction belongs; asked of directions in the region only.
pub fn cut(
    region: &Region,
    size: f64,
    depth: usize,
    holds: impl Fn(Direction) -> bool + Sync,
) -> Cut {
    let Ok([lo, hi]) = region.polar_extent() else {
        return Cut {
            inside: Vec::new(),
            undecided: 0.0,
        };
    };
    let mut bands = Vec::new();
    for [from, to] in crate::sphere::quadrature::pieces(lo, hi, &region.polar_breaks()) {
        let count = ((to - from) / size).ceil().max(1.0);
        bands.extend((0..count as usize).map(|i| {
            let at = |i: usize| from + (to - from) * i as f64 / count;
            [at(i), at(i + 1)]
        }));
    }
    let belongs = |direction: Direction| region.contains(&direction.vector()) && holds(direction);
    let parts: Vec<Cut> = bands
        .par_iter()
        .map(|polar| {
            let middle = 0.5 * (polar[0] + polar[1]);
            let count = (TAU * middle.sin() / size).ceil().max(4.0);
            let mut cut = Cut {
                inside: Vec::new(),
                undecided: 0.0,
            };
            for i in 0..count as usize {
                let cell = Cell {
                    polar: *polar,
                    azimuth: [i, i + 1].map(|i| TAU * i as f64 / count),
                };
                refine(cell, depth, &belongs, &mut cut);
            }
            cut
        })
        .collect();
    let mut whole = Cut {
        inside: Vec::new(),
        undecided: 0.0,
    };
    for part in parts {
        whole.inside.extend(part.inside);
        whole.undecided += part.undecided;
    }
    whole
}

fn refine(cell: Cell, depth: usize, belongs: &impl Fn(Direction) -> bool, cut: &mut Cut) {
    let middle = belongs(cell.middle());
    let agree = cell
        .corners()
        .into_iter()
        .all(|corner| belongs(corner) == middle);
    if agree || depth == 0 {
        if middle {
            cut.inside.push(cell);
        }
        if !agree {
            cut.undecided += cell.area();
        }
        return;
    }
    for quarter in cell.quarters() {
        refine(quarter, depth - 1, belongs, cut);
    }
}

/// The whole sphere in cells of equal steps of polar angle and azimuth, with one label each
/// that says which hang together.
#[derive(Debug, Clone, PartialEq)]
pub struct Patches {
    rows: usize,
    /// Label of each cell, rows of azimuths by ascending polar angle; `None` where nothing is.
    labels: Vec<Option<usize>>,
    /// Number of patches.
    pub count: usize,
}

/// Rows of the whole sphere's cells: 2° each.
pub(super) const ROWS: usize = 90;

impl Patches {
    /// Finds what hangs together: neighbouring cells whose middles have the same mark.
    pub fn of(mark: impl Fn(Direction) -> Option<i8> + Sync) -> Self {
        let columns = 2 * ROWS;
        let marks: Vec<Option<i8>> = (0..ROWS * columns)
            .into_par_iter()
            .map(|index| mark(middle(ROWS, index)))
            .collect();
        let mut patches = Self {
            rows: ROWS,
            labels: vec![None; marks.len()],
            count: 0,
        };
        for start in 0..marks.len() {
            if marks[start].is_none() || patches.labels[start].is_some() {
                continue;
            }
            let label = patches.count;
            patches.count += 1;
            let mut open = vec![start];
            patches.labels[start] = Some(label);
            while let Some(index) = open.pop() {
                for neighbour in neighbours(ROWS, index) {
                    if patches.labels[neighbour].is_none() && marks[neighbour] == marks[start] {
                        patches.labels[neighbour] = Some(label);
                        open.push(neighbour);
                    }
                }
            }
        }
        patches
    }

    /// Middles and areas (sr) of a patch's cells.
    pub fn cells(&self, label: usize) -> impl Iterator<Item = (Direction, f64)> + '_ {
        self.labels
            .iter()
            .enumerate()
            .filter(move |(_, l)| **l == Some(label))
            .map(|(index, _)| {
                let direction = middle(self.rows, index);
                let step = PI / self.rows as f64;
                let area = 2.0 * direction.polar.sin() * (0.5 * step).sin() * step;
                (direction, area)
            })
    }

    /// Whether a direction lies in a patch or within one cell of it.
    pub fn near(&self, label: usize, direction: Direction) -> bool {
        let own = holding(self.rows, direction);
        let is = |index: usize| self.labels[index] == Some(label);
        is(own)
            || neighbours(self.rows, own)
                .into_iter()
                .any(|beside| is(beside) || neighbours(self.rows, beside).into_iter().any(is))
    }
}

/// Cells that share an edge with one; across a pole all cells of its row do.
pub(super) fn neighbours(rows: usize, index: usize) -> Vec<usize> {
    let columns = 2 * rows;
    let (row, column) = (index / columns, index % columns);
    let mut list = vec![
        row * columns + (column + 1) % columns,
        row * columns + (column + columns - 1) % columns,
    ];
    if row > 0 {
        list.push(index - columns);
    }
    if row + 1 < rows {
        list.push(index + columns);
    }
    if row == 0 || row + 1 == rows {
        list.push(row * columns + (column + rows) % columns);
    }
    list
}

/// The cell that holds a direction.
pub(super) fn holding(rows: usize, direction: Direction) -> usize {
    let columns = 2 * rows;
    let step = PI / rows as f64;
    let row = ((direction.polar / step) as usize).min(rows - 1);
    let column =
        (crate::sphere::direction::wrap_positive(direction.azimuth) / step) as usize % columns;
    row * columns + column
}

/// Middle of a cell.
pub(super) fn middle(rows: usize, index: usize) -> Direction {
    let columns = 2 * rows;
    let step = PI / rows as f64;
    Direction {
        polar: (index / columns) as f64 * step + 0.5 * step,
        azimuth: (index % columns) as f64 * step + 0.5 * step,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use nalgebra::Vector3;

    /// The part of a tilted cap within another cap: both areas by their own integrals.
    #[test]
    fn areas_within_the_stated_error() {
        let step = PI / 90.0;
        let tilted = Vector3::new(0.4_f64.sin(), 0.0, 0.4_f64.cos());
        let small = Region::cap(tilted, 0.5);
        let whole = cut(&small, step, 4, |_| true);
        let area: f64 = whole.inside.iter().map(Cell::area).sum();
        assert!((area - TAU * (1.0 - 0.5_f64.cos())).abs() < whole.undecided);
        assert!(whole.undecided < 0.02 * area);
        // A cap about the base axis is made of whole cells.
        let cap = cut(&Region::cap(Vector3::z(), 1.2), step, 4, |_| true);
        let area: f64 = cap.inside.iter().map(Cell::area).sum();
        assert!((area - TAU * (1.0 - 1.2_f64.cos())).abs() < 1e-12);
        assert_eq!(cap.undecided, 0.0);
        // Half of it.
        let half = cut(&Region::cap(Vector3::z(), 1.2), step, 4, |d| {
            d.vector().x > 0.123
        });
        let area: f64 = half.inside.iter().map(Cell::area).sum();
        let exact = crate::sphere::quadrature::integrate_pieces(0.123, 1.2, &[], |polar| {
            // Azimuths with sin(polar) cos(azimuth) above 0.123.
            let ratio = 0.123 / polar.sin();
            if ratio < 1.0 {
                2.0 * ratio.acos() * polar.sin()
            } else {
                0.0
            }
        });
        assert!((area - exact).abs() < half.undecided, "{area} {exact}");
    }

    #[test]
    fn a_rule_of_four_points_integrates_a_cell() {
        let cell = Cell {
            polar: [0.3, 0.5],
            azimuth: [1.0, 1.2],
        };
        let sum: f64 = cell.gauss().iter().map(|(_, w)| w).sum();
        assert!((sum - cell.area()).abs() < 1e-16);
        assert!((cell.area() - (0.3_f64.cos() - 0.5_f64.cos()) * 0.2).abs() < 1e-15);
        // ∫ z over the cell = ½ (sin² 0.5 − sin² 0.3) · 0.2.
        let z: f64 = cell.gauss().iter().map(|(d, w)| w * d.polar.cos()).sum();
        let exact = 0.5 * (0.5_f64.sin().powi(2) - 0.3_f64.sin().powi(2)) * 0.2;
        assert!((z - exact).abs() < 1e-15);
    }

    #[test]
    fn what_a_gap_parts_does_not_hang_together() {
        let patches = Patches::of(|d| {
            let polar = d.polar;
            (!(1.0..=1.2).contains(&polar)).then_some(0)
        });
        assert_eq!(patches.count, 2);
        let at = |polar| Direction {
            polar,
            azimuth: 3.0,
        };
        assert!(patches.near(0, at(0.5)) && !patches.near(1, at(0.5)));
        assert!(patches.near(1, at(2.5)) && !patches.near(0, at(2.5)));
        // Across the pole one patch, with two marks two.
        let halves = Patches::of(|d| Some(if d.azimuth < PI { 1 } else { -1 }));
        assert_eq!(halves.count, 2);
        let area: f64 = halves.cells(0).map(|(_, area)| area).sum();
        assert!((area - TAU).abs() < 1e-9);
        let across = Patches::of(|d| (d.vector().y.abs() < 0.3).then_some(0));
        assert_eq!(across.count, 1);
    }
}
