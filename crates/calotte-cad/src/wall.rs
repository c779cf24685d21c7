//! Walls: what a stretch of the outline sweeps between two levels.

use crate::level::PathPoint;

/// Adds the strip between the paths of one stretch on a lower and an upper level, both
/// with the solid to their left.
///
/// Points are joined in the order of their parameters, so that equal parameters, which
/// lie on one straight line of the wall, face each other.
pub(crate) fn join(lower: &[PathPoint], upper: &[PathPoint], triangles: &mut Vec<[u32; 3]>) {
    let (mut i, mut j) = (0, 0);
    while i + 1 < lower.len() || j + 1 < upper.len() {
        let along_lower = match (lower.get(i + 1), upper.get(j + 1)) {
            (Some(next_lower), Some(next_upper)) => next_lower.parameter <= next_upper.parameter,
            (next_lower, _) => next_lower.is_some(),
        };
        let triangle = if along_lower {
            i += 1;
            [lower[i - 1].vertex, lower[i].vertex, upper[j].vertex]
        } else {
            j += 1;
            [lower[i].vertex, upper[j].vertex, upper[j - 1].vertex]
        };
        let [a, b, c] = triangle;
        if a != b && b != c && c != a {
            triangles.push(triangle);
        }
    }
}
