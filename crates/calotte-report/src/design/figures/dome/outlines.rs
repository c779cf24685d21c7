//! Lines over the dome: the region's edges and circles.

use calotte::sphere::region::circle_outline;
use calotte::sphere::{self, Region, Shape};
use calotte_plot::plot::{Direction, DomeOutline};

/// Half-angle of the circle that marks a single needed direction, degrees.
const POINT_DEG: f64 = 1.0;

/// A direction in the units of the figures.
pub(super) fn shown(direction: sphere::Direction) -> Direction {
    Direction {
        polar_deg: direction.polar.to_degrees(),
        azimuth_deg: direction.azimuth.to_degrees(),
    }
}

/// Directions with azimuths that run on over a full turn: lines between them run
/// evenly in azimuth, and from 359° to 1° is 2°, not 358°.
fn running(vectors: impl IntoIterator<Item = sphere::Direction>) -> Vec<Direction> {
    let mut points: Vec<Direction> = Vec::new();
    for direction in vectors {
        let mut point = shown(direction);
        if let Some(last) = points.last() {
            let turns = ((last.azimuth_deg - point.azimuth_deg) / 360.0).round();
            point.azimuth_deg += 360.0 * turns;
        }
        points.push(point);
    }
    points
}

/// A circle around an axis.
pub(super) fn circle(axis: &nalgebra::Vector3<f64>, half_angle: f64) -> Vec<Direction> {
    let around = circle_outline(axis, half_angle, 144);
    running(around.iter().map(sphere::Direction::of))
}

/// The edges of the region.
pub(super) fn outlines(region: &Region) -> Vec<DomeOutline> {
    let outline = |points: Vec<Direction>, label: &str| DomeOutline {
        label: label.to_string(),
        points,
        closed: true,
    };
    match &region.shape {
        Shape::Cap { axis, half_angle } => {
            vec![outline(circle(axis, *half_angle), "required region")]
        }
        Shape::Band {
            axis,
            polar_from,
            polar_to,
        } => vec![
            outline(circle(axis, *polar_to), "required region"),
            outline(circle(axis, *polar_from), ""),
        ],
        Shape::Polygon(polygon) => {
            let corners = polygon.vertices();
            let edges = (0..corners.len()).flat_map(|i| {
                let (a, b) = (corners[i], corners[(i + 1) % corners.len()]);
                // Great circles are no straight lines in polar angle and azimuth.
                (0..24).map(move |k| {
                    let share = f64::from(k) / 24.0;
                    sphere::Direction::of(&(a * (1.0 - share) + b * share))
                })
            });
            vec![outline(running(edges), "required region")]
        }
        Shape::Points(_) => region
            .points()
            .iter()
            .enumerate()
            .map(|(index, point)| {
                let label = if index == 0 { "required direction" } else { "" };
                outline(circle(point, POINT_DEG.to_radians()), label)
            })
            .collect(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use nalgebra::Vector3;

    /// Derived: a circle around an axis at azimuth 0 stays within asin(sin h / sin p)
    /// of that azimuth, on both sides of it.
    #[test]
    fn an_outline_across_azimuth_zero_does_not_run_around_the_dome() {
        let (polar, half) = (50.0_f64.to_radians(), 20.0_f64.to_radians());
        let axis = Vector3::new(polar.sin(), 0.0, polar.cos());
        let points = circle(&axis, half);
        let widest = (half.sin() / polar.sin()).asin().to_degrees();
        let azimuths = || points.iter().map(|p| p.azimuth_deg);
        let span = azimuths().fold(f64::MIN, f64::max) - azimuths().fold(f64::MAX, f64::min);
        assert!(
            (span - 2.0 * widest).abs() < 0.1,
            "{span} for {}",
            2.0 * widest
        );
        for pair in points.windows(2) {
            assert!((pair[1].azimuth_deg - pair[0].azimuth_deg).abs() < 10.0);
        }
    }
}
