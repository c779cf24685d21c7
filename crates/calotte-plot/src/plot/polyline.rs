//! Walking along polylines on the sheet.

use super::geometry::{Point, Rect, distance};

/// Length of a polyline, pt.
pub(crate) fn length(line: &[Point]) -> f64 {
    line.windows(2).map(|w| distance(w[0], w[1])).sum()
}

/// The place `along` pt from the start of a polyline.
pub(crate) fn point_along(line: &[Point], along: f64) -> Point {
    let mut left = along.max(0.0);
    for pair in line.windows(2) {
        let piece = distance(pair[0], pair[1]);
        if left <= piece && piece > 0.0 {
            let part = left / piece;
            return [
                pair[0][0] + part * (pair[1][0] - pair[0][0]),
                pair[0][1] + part * (pair[1][1] - pair[0][1]),
            ];
        }
        left -= piece;
    }
    line.last().copied().unwrap_or([0.0, 0.0])
}

/// A polyline with the stretch from `from` to `to` pt cut out.
pub(crate) fn with_gap(line: &[Point], from: f64, to: f64) -> [Vec<Point>; 2] {
    let (mut before, mut after) = (Vec::new(), vec![point_along(line, to)]);
    let mut along = 0.0;
    for (index, point) in line.iter().enumerate() {
        if index > 0 {
            along += distance(line[index - 1], *point);
        }
        if along < from {
            before.push(*point);
        } else if along > to {
            after.push(*point);
        }
    }
    before.push(point_along(line, from));
    [before, after]
}

/// Small boxes strung along a polyline: what a text must keep off.
pub(crate) fn beads(line: &[Point], radius: f64) -> Vec<Rect> {
    let total = length(line);
    let count = (total / radius).ceil().clamp(1.0, 2000.0) as usize;
    (0..=count)
        .map(|i| {
            let at = point_along(line, total * i as f64 / count as f64);
            Rect::around(at, radius * 1.2, radius * 1.2)
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn gap_leaves_the_rest_of_the_line() {
        let line = [[0.0, 0.0], [10.0, 0.0], [10.0, 10.0]];
        let [before, after] = with_gap(&line, 4.0, 12.0);
        assert_eq!(before, [[0.0, 0.0], [4.0, 0.0]]);
        assert_eq!(after, [[10.0, 2.0], [10.0, 10.0]]);
    }
}
