//! One chain in closed form: spherical triangles from three arcs.

use nalgebra::Vector3;

use crate::sphere::arc_between;
use crate::sphere::direction::rotation_about;

use super::modes::Side;
use super::{FiveBar, FiveBarError};

/// Angle of a spherical triangle between two sides, from all three, rad in [0, π].
///
/// # Arguments
/// - `beside`: the two sides that enclose the angle, rad.
/// - `opposite`: the side across from it, rad.
///
/// # Returns
/// `None` where the sides form no triangle.
///
/// # Theory
/// Half-angle formula tan(A/2) = √(sin(s − b) sin(s − c) / (sin s · sin(s − a))) with
/// s half the sum; unlike the cosine rule it keeps its digits where the triangle
/// is nearly flat, as a chain nearly in line is.
pub(super) fn enclosed_angle(beside: [f64; 2], opposite: f64) -> Option<f64> {
    let half = 0.5 * (beside[0] + beside[1] + opposite);
    let factors = [
        (half - beside[0]).sin(),
        (half - beside[1]).sin(),
        half.sin(),
        (half - opposite).sin(),
    ];
    // A flat triangle at the very end of the reach may lie below zero by rounding.
    if !factors.iter().all(|factor| *factor >= -4.0 * f64::EPSILON) {
        return None;
    }
    let [b, c, s, a] = factors.map(|factor| factor.max(0.0));
    Some(2.0 * (b * c).sqrt().atan2((s * a).sqrt()))
}

/// Signed angle at a corner from the great circle towards one direction to that
/// towards another, rad in (−π, π], counterclockwise seen from outside.
pub(super) fn corner_angle(corner: &Vector3<f64>, from: &Vector3<f64>, to: &Vector3<f64>) -> f64 {
    let (from, to) = (
        from - corner * corner.dot(from),
        to - corner * corner.dot(to),
    );
    corner.dot(&from.cross(&to)).atan2(from.dot(&to))
}

impl FiveBar {
    /// Axis of a side's elbow at its drive angle, base frame, unit.
    pub fn elbow(&self, side: Side, angle: f64) -> Vector3<f64> {
        let axis = self.base_axis(side);
        let (sine, cosine) = self.proximal_arcs[side.index()].sin_cos();
        axis * cosine + rotation_about(&axis, angle) * self.zero_direction(side) * sine
    }

    /// Drive angle of one chain that brings the end of an arc of `distal` rad to a
    /// direction (base frame, unit), rad in (−π, π].
    ///
    /// # Errors
    /// [`FiveBarError::OutOfReach`] or [`FiveBarError::OnBaseAxis`].
    pub(super) fn chain_angle(
        &self,
        side: Side,
        distal: f64,
        end: &Vector3<f64>,
        sense: super::Sense,
    ) -> Result<f64, FiveBarError> {
        let axis = self.base_axis(side);
        let distance = arc_between(&axis, end);
        let proximal = self.proximal_arcs[side.index()];
        let at_elbow = |beside| enclosed_angle(beside, distal);
        let found = at_elbow([proximal, distance]).ok_or_else(|| {
            let sum = proximal + distal;
            FiveBarError::OutOfReach {
                side,
                distance,
                shortest: (proximal - distal).abs(),
                longest: sum.min(std::f64::consts::TAU - sum),
            }
        })?;
        if distance.sin() < 1e-9 {
            return Err(FiveBarError::OnBaseAxis(side));
        }
        // A path that turns clockwise at the elbow has it ahead of the end.
        let to_end = corner_angle(&axis, &self.zero_direction(side), end);
        Ok(crate::sphere::direction::wrap_signed(
            to_end - sense.sign() * found,
        ))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Oblique triangle of sides 50°, 60°, 70° (cosine rule, from memory, recomputed by
    /// an independent program).
    #[test]
    fn angles_of_a_triangle_from_its_sides() {
        let degree = std::f64::consts::PI / 180.0;
        let [a, b, c] = [50.0, 60.0, 70.0].map(|side| side * degree);
        let expected = [54.568_911_369_8, 67.096_176_568_1, 88.218_318_097_3];
        let found = [
            enclosed_angle([b, c], a),
            enclosed_angle([a, c], b),
            enclosed_angle([a, b], c),
        ];
        for (value, reference) in found.into_iter().zip(expected) {
            assert!((value.unwrap() / degree - reference).abs() < 1e-9);
        }
    }

    #[test]
    fn sides_that_do_not_meet_have_no_angle() {
        assert_eq!(enclosed_angle([0.3, 0.4], 0.8), None);
        assert_eq!(enclosed_angle([0.3, 1.0], 0.6), None);
        assert_eq!(enclosed_angle([2.5, 2.5], 2.0), None);
        assert_eq!(enclosed_angle([f64::NAN, 0.4], 0.4), None);
    }

    /// Triangles flat to 1e-3 rad, built from the angle that must come back.
    #[test]
    fn a_nearly_flat_triangle_keeps_its_digits() {
        for angle in [1e-3_f64, 1e-2, 3.1405] {
            let (b, c) = (0.7_f64, 1.1_f64);
            let first = Vector3::new(b.sin(), 0.0, b.cos());
            let second = Vector3::new(c.sin() * angle.cos(), c.sin() * angle.sin(), c.cos());
            let found = enclosed_angle([b, c], arc_between(&first, &second)).unwrap();
            assert!((found - angle).abs() < 2e-12, "{angle}: {found}");
        }
    }
}
