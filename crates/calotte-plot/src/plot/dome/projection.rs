//! Lambert's azimuthal equal-area projection of directions, seen from outside.

use super::Direction;
use crate::plot::geometry::Point;

/// Directions farther from the view axis than this are not drawn: the projection tears the
/// opposite point into a circle.
const FARTHEST_DEG: f64 = 172.0;

/// A projection along one view axis onto a plane with x right and y up; the whole sphere
/// fills a disc of radius 2.
#[derive(Debug, Clone)]
pub(crate) struct Projection {
    /// Right, up and towards the viewer, in the map's frame.
    axes: [[f64; 3]; 3],
    /// Azimuth to the right where the view is along the pole and shows the whole sphere.
    whole_from_deg: Option<f64>,
}

/// Unit vector of a direction; polar angle from z, azimuth from x towards y.
pub(super) fn unit_vector(direction: Direction) -> [f64; 3] {
    let (sin_polar, cos_polar) = direction.polar_deg.to_radians().sin_cos();
    let (sin_azimuth, cos_azimuth) = direction.azimuth_deg.to_radians().sin_cos();
    [sin_polar * cos_azimuth, sin_polar * sin_azimuth, cos_polar]
}

fn dot(a: [f64; 3], b: [f64; 3]) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

impl Projection {
    /// View from outside along `axis`, which points at the viewer. Seen along the pole,
    /// the azimuth `right_deg` points right and azimuth grows against the clock; other
    /// views follow by the shortest turn.
    pub fn new(axis: Direction, right_deg: f64) -> Self {
        let polar = axis.polar_deg.to_radians();
        let azimuth = axis.azimuth_deg.to_radians();
        // Shortest turn from the pole to the view axis: Rz(azimuth)·Ry(polar)·Rz(−azimuth).
        let turned = |direction_deg: f64| {
            let angle = direction_deg.to_radians() - azimuth;
            let (x, y) = (angle.cos() * polar.cos(), angle.sin());
            let z = -angle.cos() * polar.sin();
            let (sin, cos) = azimuth.sin_cos();
            [x * cos - y * sin, x * sin + y * cos, z]
        };
        Self {
            axes: [
                turned(right_deg),
                turned(right_deg + 90.0),
                unit_vector(axis),
            ],
            whole_from_deg: None,
        }
    }

    /// View along the pole of the whole sphere: azimuth keeps its sense at the point opposite
    /// the viewer, which becomes the circle of radius 2.
    pub fn whole(right_deg: f64) -> Self {
        Self {
            whole_from_deg: Some(right_deg),
            ..Self::new(Direction::default(), right_deg)
        }
    }

    /// Place of a direction in the plane, or `None` near the point opposite the viewer.
    ///
    /// # Theory
    /// Lambert's equal-area projection: X = √(2/(1+z))·x, Y = √(2/(1+z))·y; Snyder, "Map
    /// projections: a working manual", US Geological Survey, 1987, equations 24-2 to 24-4.
    pub fn place(&self, direction: Direction) -> Option<Point> {
        if let Some(right_deg) = self.whole_from_deg {
            // The same projection in polar coordinates: equation 24-1.
            let radius = 2.0 * (direction.polar_deg / 2.0).to_radians().sin();
            let (sin, cos) = (direction.azimuth_deg - right_deg).to_radians().sin_cos();
            return Some([radius * cos, radius * sin]);
        }
        let vector = unit_vector(direction);
        let [x, y, z] = self.axes.map(|axis| dot(axis, vector));
        if z < FARTHEST_DEG.to_radians().cos() {
            return None;
        }
        let stretch = (2.0 / (1.0 + z)).sqrt();
        Some([stretch * x, stretch * y])
    }

    /// A line through `corners`, each stretch cut into steps of at most `step_deg` along
    /// polar angle and azimuth; `None` where part of it cannot be drawn.
    pub fn line(&self, corners: &[Direction], step_deg: f64) -> Option<Vec<Point>> {
        let mut points = Vec::new();
        for (index, corner) in corners.iter().enumerate() {
            let from = corners[index.saturating_sub(1)];
            let polar = corner.polar_deg - from.polar_deg;
            let azimuth = corner.azimuth_deg - from.azimuth_deg;
            // Near the pole a step in azimuth is short on the sphere; on the sheet the far pole
            // of the whole view is a wide circle.
            let farther = corner.polar_deg.max(from.polar_deg);
            let width = match self.whole_from_deg {
                Some(_) => 2.0 * (farther / 2.0).to_radians().sin(),
                None => farther.to_radians().sin().abs(),
            };
            let reach = polar.abs().max(azimuth.abs() * width.max(0.02));
            let steps = (reach / step_deg).ceil().clamp(1.0, 1000.0) as usize;
            for step in 1..=steps {
                let part = step as f64 / steps as f64;
                points.push(self.place(Direction {
                    polar_deg: from.polar_deg + part * polar,
                    azimuth_deg: from.azimuth_deg + part * azimuth,
                })?);
            }
        }
        Some(points)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn direction(polar_deg: f64, azimuth_deg: f64) -> Direction {
        Direction {
            polar_deg,
            azimuth_deg,
        }
    }

    fn area(points: &[Point]) -> f64 {
        (0..points.len())
            .map(|i| {
                let (a, b) = (points[i], points[(i + 1) % points.len()]);
                (a[0] * b[1] - b[0] * a[1]) / 2.0
            })
            .sum()
    }

    /// Seen along the pole the radius is 2 sin(polar/2) (Snyder 1987, equation 24-1 with
    /// R = 1) and azimuth runs against the clock.
    #[test]
    fn polar_view_has_lamberts_radius() {
        let projection = Projection::new(direction(0.0, 77.0), 0.0);
        for polar in [0.0, 10.0, 45.0, 90.0, 150.0_f64] {
            for azimuth in [0.0, 30.0, 200.0_f64] {
                let [x, y] = projection.place(direction(polar, azimuth)).expect("seen");
                let radius = 2.0 * (polar / 2.0).to_radians().sin();
                assert!((x - radius * azimuth.to_radians().cos()).abs() < 1e-12);
                assert!((y - radius * azimuth.to_radians().sin()).abs() < 1e-12);
            }
        }
        assert!(projection.place(direction(180.0, 0.0)).is_none());
    }

    #[test]
    fn whole_view_is_the_polar_view_and_reaches_the_far_pole() {
        let (whole, polar) = (
            Projection::whole(20.0),
            Projection::new(direction(0.0, 0.0), 20.0),
        );
        for (theta, phi) in [(0.0, 5.0), (30.0, 100.0), (90.0, 350.0), (171.0, 200.0)] {
            let [a, b] = [&whole, &polar].map(|p| p.place(direction(theta, phi)).expect("seen"));
            assert!((a[0] - b[0]).abs() < 1e-12 && (a[1] - b[1]).abs() < 1e-12);
        }
        let far = whole.place(direction(180.0, 110.0)).expect("seen");
        assert!(far[0].abs() < 1e-12 && (far[1] - 2.0).abs() < 1e-12);
        let rim = [direction(180.0, 0.0), direction(180.0, 360.0)];
        assert!(whole.line(&rim, 2.0).expect("seen").len() > 180);
    }

    /// Areas stay equal from any side: a cell covers (cos θ₁ − cos θ₂)·Δφ of the unit
    /// sphere (derived), and a positive area proves that the view is not mirrored.
    #[test]
    fn areas_are_kept_from_every_side() {
        for view in [
            direction(0.0, 0.0),
            direction(40.0, 110.0),
            direction(120.0, 300.0),
        ] {
            let projection = Projection::new(view, 25.0);
            for (polar, azimuth) in [(10.0, 0.0), (60.0, 80.0), (85.0, 190.0_f64)] {
                let corners = [
                    direction(polar, azimuth),
                    direction(polar + 10.0, azimuth),
                    direction(polar + 10.0, azimuth + 15.0),
                    direction(polar, azimuth + 15.0),
                    direction(polar, azimuth),
                ];
                let outline = projection.line(&corners, 0.05).expect("seen");
                let low = f64::to_radians(polar);
                let high = f64::to_radians(polar + 10.0);
                let expected = (low.cos() - high.cos()) * 15f64.to_radians();
                let found = area(&outline);
                assert!((found / expected - 1.0).abs() < 1e-5, "{found} {expected}");
            }
        }
    }

    #[test]
    fn view_axis_lands_in_the_middle() {
        let view = direction(65.0, 200.0);
        let place = Projection::new(view, 0.0).place(view).expect("seen");
        assert!(place[0].abs() < 1e-12 && place[1].abs() < 1e-12);
    }
}
