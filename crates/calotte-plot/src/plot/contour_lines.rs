//! Contour lines of a grid: the topology by marching squares (crate `contour`), the places
//! by linear interpolation between neighbouring nodes on the sheet.
//!
//! The library works on a regular grid without gaps and closes its lines along the border.
//! Here the nodes lie anywhere along each axis and values may be missing, so its points are
//! taken as the names of grid edges only, and a line ends where an edge lacks a value.

use super::colour_scale::shown;
use super::error::PlotError;
use super::geometry::{Point, distance};
use contour::ContourBuilder;

/// Nodes of a grid on the sheet and the values there, one row of x after the other.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Nodes<'a> {
    /// Name of the grid, for messages.
    pub what: &'a str,
    /// Places of the columns, pt.
    pub x: &'a [f64],
    /// Places of the rows, pt.
    pub y: &'a [f64],
    /// Values, `x.len() * y.len()` of them.
    pub values: &'a [Option<f64>],
}

impl Nodes<'_> {
    fn value(&self, column: i64, row: i64) -> Option<f64> {
        let columns = self.x.len() as i64;
        if column < 0 || row < 0 || column >= columns || row >= self.y.len() as i64 {
            return None;
        }
        shown(self.values[(row * columns + column) as usize])
    }

    /// Where `level` crosses the edge that the library calls (`x`, `y`): whole in one
    /// coordinate, half in the other.
    fn crossing(&self, x: f64, y: f64, level: f64) -> Option<Point> {
        // Node (i, j) sits at (i + ½, j + ½) in the library's frame.
        let between = |a: f64, b: f64, low: f64, high: f64| {
            let part = ((level - low) / (high - low)).clamp(0.0, 1.0);
            a + part * (b - a)
        };
        if x.fract() == 0.0 {
            let (column, row) = (x as i64, y.floor() as i64);
            let (low, high) = (self.value(column - 1, row)?, self.value(column, row)?);
            let (a, b) = (self.x[column as usize - 1], self.x[column as usize]);
            Some([between(a, b, low, high), self.y[row as usize]])
        } else {
            let (column, row) = (x.floor() as i64, y as i64);
            let (low, high) = (self.value(column, row - 1)?, self.value(column, row)?);
            let (a, b) = (self.y[row as usize - 1], self.y[row as usize]);
            Some([self.x[column as usize], between(a, b, low, high)])
        }
    }
}

/// Lines on which the grid has the value `level`, pt; closed ones end where they start.
///
/// # Errors
/// [`PlotError::Contour`] where the library refuses.
pub(crate) fn contour_lines(nodes: &Nodes, level: f64) -> Result<Vec<Vec<Point>>, PlotError> {
    if nodes.x.len() < 2 || nodes.y.len() < 2 {
        return Ok(Vec::new());
    }
    // A missing value counts as below every level; its edges are cut out afterwards.
    let values: Vec<f64> = nodes
        .values
        .iter()
        .map(|v| shown(*v).unwrap_or(f64::MIN))
        .collect();
    let found = ContourBuilder::new(nodes.x.len(), nodes.y.len(), false)
        .lines(&values, &[level])
        .map_err(|error| PlotError::Contour {
            what: nodes.what.to_owned(),
            reason: error.to_string(),
        })?;
    let mut lines = Vec::new();
    for line in found {
        let (geometry, _) = line.into_inner();
        for ring in geometry.0 {
            let crossings: Vec<Option<Point>> = ring
                .0
                .iter()
                .map(|point| nodes.crossing(point.x, point.y, level))
                .collect();
            lines.extend(split_at_gaps(&crossings));
        }
    }
    Ok(lines)
}

/// Cuts a closed ring at its gaps and joins the piece that runs over the ring's start.
fn split_at_gaps(ring: &[Option<Point>]) -> Vec<Vec<Point>> {
    let start = ring.iter().position(Option::is_none);
    let mut lines = Vec::new();
    let mut line: Vec<Point> = Vec::new();
    let rotated: Vec<Option<Point>> = match start {
        // The ring's last point repeats its first one.
        Some(gap) => {
            let open = &ring[..ring.len() - 1];
            let gap = gap % open.len().max(1);
            open[gap..].iter().chain(&open[..gap]).copied().collect()
        }
        None => ring.to_vec(),
    };
    for point in rotated.into_iter().chain([None]) {
        match point {
            Some(point) => {
                // Saddles and values equal to the level give the same place twice.
                if line.last().is_none_or(|last| distance(*last, point) > 1e-9) {
                    line.push(point);
                }
            }
            None if line.len() > 1 => lines.push(std::mem::take(&mut line)),
            None => line.clear(),
        }
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::super::polyline::length;
    use super::*;

    /// A cone over a grid with uneven steps: its contour of height r is the circle of
    /// radius r (derived: value = distance from the middle).
    #[test]
    fn contour_of_a_cone_is_a_circle() {
        let axis: Vec<f64> = (0..=60)
            .map(|i| {
                let t = f64::from(i) / 30.0 - 1.0;
                t + 0.1 * t * (1.0 - t * t)
            })
            .collect();
        let values: Vec<Option<f64>> = axis
            .iter()
            .flat_map(|y| axis.iter().map(move |x| Some(x.hypot(*y))))
            .collect();
        let nodes = Nodes {
            what: "cone",
            x: &axis,
            y: &axis,
            values: &values,
        };
        let lines = contour_lines(&nodes, 0.6).expect("contours");
        assert_eq!(lines.len(), 1);
        let line = &lines[0];
        assert_eq!(line.first(), line.last(), "the circle closes");
        for point in line {
            // Linear interpolation over a step h misses a curve of radius r by h²/(8 r).
            assert!((point[0].hypot(point[1]) - 0.6).abs() < 4e-4, "{point:?}");
        }
        // A polygon with chords h is shorter than its circle by about h²/(24 r²).
        let circle = std::f64::consts::TAU * 0.6;
        assert!((length(line) - circle).abs() / circle < 2e-3);
    }

    /// A plane is interpolated without error: its contour is a straight line from border
    /// to border.
    #[test]
    fn contour_of_a_plane_is_straight_and_open() {
        let x = [0.0, 1.0, 3.0, 3.5, 7.0];
        let y = [0.0, 2.0, 2.5, 6.0];
        let values: Vec<Option<f64>> = y
            .iter()
            .flat_map(|y| x.iter().map(move |x| Some(2.0 * x + 3.0 * y)))
            .collect();
        let nodes = Nodes {
            what: "plane",
            x: &x,
            y: &y,
            values: &values,
        };
        let lines = contour_lines(&nodes, 11.0).expect("contours");
        assert_eq!(lines.len(), 1);
        for point in &lines[0] {
            assert!((2.0 * point[0] + 3.0 * point[1] - 11.0).abs() < 1e-12);
        }
        let mut ends = [lines[0][0], *lines[0].last().expect("points")];
        ends.sort_by(|a, b| a[0].total_cmp(&b[0]));
        assert!(ends[0][0].abs() < 1e-12 && ends[1][1].abs() < 1e-12);
    }

    #[test]
    fn lines_end_at_missing_values() {
        let axis: Vec<f64> = (0..9).map(f64::from).collect();
        let mut values: Vec<Option<f64>> = (0..81).map(|i| Some(f64::from(i / 9))).collect();
        values[4 * 9 + 4] = None;
        let nodes = Nodes {
            what: "step",
            x: &axis,
            y: &axis,
            values: &values,
        };
        let lines = contour_lines(&nodes, 3.5).expect("contours");
        assert_eq!(lines.len(), 2);
        for line in &lines {
            assert!(line.iter().all(|p| (p[1] - 3.5).abs() < 1e-12));
            assert!(line.iter().all(|p| (p[0] - 4.0).abs() >= 1.0 - 1e-12));
        }
    }

    #[test]
    fn degenerate_grids_have_no_lines() {
        for (x, y) in [(0, 0), (1, 1), (1, 5), (5, 1)] {
            let (x, y) = (vec![0.0; x], vec![0.0; y]);
            let values = vec![Some(1.0); x.len() * y.len()];
            let nodes = Nodes {
                what: "small",
                x: &x,
                y: &y,
                values: &values,
            };
            assert!(contour_lines(&nodes, 1.0).expect("no contours").is_empty());
        }
    }
}
