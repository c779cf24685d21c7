//! The smallest cap that holds directions.

use nalgebra::Vector3;

use super::direction::unit;

/// A direction this far outside a cap counts as on its edge, 1 − cosine.
const ON_EDGE: f64 = 1e-14;

/// Steps after which directions are given up; a few dozen are usual.
const STEPS: usize = 1000;

/// Axis of the smallest cap that holds all directions; `None` for none at all, and where they
/// lie so evenly around the sphere that several caps are equally small.
///
/// Two or three directions on its edge fix it. The cap of a few is enlarged by the direction
/// farthest outside until none is; its size grows each time, so that this ends.
pub fn smallest_cap_axis(directions: &[Vector3<f64>]) -> Option<Vector3<f64>> {
    let first = *directions.first()?;
    let mut fixed = vec![first];
    let mut axis = first;
    // Rounding could turn in a circle among directions on one edge.
    for _ in 0..STEPS {
        let depth = |direction: &Vector3<f64>| direction.dot(&axis);
        let farthest = directions
            .iter()
            .min_by(|a, b| depth(a).total_cmp(&depth(b)))?;
        let edge = fixed.iter().map(depth).fold(f64::INFINITY, f64::min);
        if depth(farthest) >= edge - ON_EDGE {
            return Some(axis);
        }
        fixed.push(*farthest);
        (axis, fixed) = cap_of_few(&fixed)?;
    }
    None
}

/// Axis of the smallest cap of at most four directions, and those that fix it.
fn cap_of_few(few: &[Vector3<f64>]) -> Option<(Vector3<f64>, Vec<Vector3<f64>>)> {
    let mut candidates: Vec<(Vector3<f64>, Vec<Vector3<f64>>)> = Vec::new();
    for (i, a) in few.iter().enumerate() {
        for (j, b) in few.iter().enumerate().skip(i + 1) {
            candidates.extend(unit(&(a + b)).map(|axis| (axis, vec![*a, *b])));
            for c in &few[j + 1..] {
                let normal = unit(&(b - a).cross(&(c - a)));
                for axis in normal.into_iter().flat_map(|normal| [normal, -normal]) {
                    candidates.push((axis, vec![*a, *b, *c]));
                }
            }
        }
    }
    let holds_all = |(axis, fixed): &&(Vector3<f64>, Vec<Vector3<f64>>)| {
        let edge = axis.dot(&fixed[0]);
        few.iter().all(|one| one.dot(axis) >= edge - ON_EDGE)
    };
    let size = |(axis, fixed): &(Vector3<f64>, Vec<Vector3<f64>>)| axis.dot(&fixed[0]);
    candidates
        .iter()
        .filter(holds_all)
        .max_by(|a, b| size(a).total_cmp(&size(b)))
        .cloned()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sphere::Direction;
    use crate::sphere::direction::arc_between;

    fn direction(polar: f64, azimuth: f64) -> Vector3<f64> {
        Direction { polar, azimuth }.vector()
    }

    #[test]
    fn directions_on_a_circle_give_its_axis() {
        let axis = direction(0.7, 1.1);
        let u = crate::sphere::direction::any_perpendicular(&axis);
        let v = axis.cross(&u);
        let on_circle = |turn: f64, angle: f64| {
            axis * angle.cos() + (u * turn.cos() + v * turn.sin()) * angle.sin()
        };
        for angle in [0.01, 0.6, 1.4] {
            let mut all: Vec<_> = [0.1, 0.2, 0.3, 2.0, 4.4]
                .iter()
                .map(|turn| on_circle(*turn, angle))
                .collect();
            all.extend([0.5, 3.0, 5.0].map(|turn| on_circle(turn, 0.7 * angle)));
            let found = smallest_cap_axis(&all).unwrap();
            assert!(arc_between(&found, &axis) < 1e-7, "{angle}");
        }
    }

    /// No axis nearby holds them in a smaller cap: the angle to the farthest has its least here.
    #[test]
    fn no_axis_nearby_is_better() {
        for seed in 0..50 {
            let number = |k: u32| (f64::from(seed * 31 + k) * 0.618_034).fract();
            let all: Vec<_> = (0..3 + seed % 20)
                .map(|k| direction(1.3 * number(2 * k + 1), 6.0 * number(2 * k)))
                .collect();
            let axis = smallest_cap_axis(&all).unwrap();
            let size = |axis: &Vector3<f64>| {
                let angles = all.iter().map(|one| arc_between(axis, one));
                angles.fold(0.0, f64::max)
            };
            let u = crate::sphere::direction::any_perpendicular(&axis);
            let v = axis.cross(&u);
            for step in 0..16 {
                let turn = f64::from(step) * 0.4;
                let other = axis + (u * turn.cos() + v * turn.sin()) * 1e-4;
                assert!(size(&other.normalize()) > size(&axis), "{seed}");
            }
        }
    }

    #[test]
    fn one_direction_is_its_own_axis_and_none_has_none() {
        let one = direction(0.4, 2.0);
        assert_eq!(smallest_cap_axis(&[one, one]), Some(one));
        assert_eq!(smallest_cap_axis(&[]), None);
    }
}
