//! Where the line of the tool goes when the tip gives way: how far it misses the remote
//! centre, and by which angle it tilts.
//!
//! The tip moves by u and the tool body turns by φ, local frame (polar, azimuth, radial);
//! the point of the tool body at the centre then moves by u − ρ φ × radial, whose part
//! across the tool is e = (u_p − ρ φ_a, u_a + ρ φ_p). A shift along the tool's own line and
//! a turn about it leave the line where it is. Both are linear in the motion, and to the
//! order of the elastic model: ρ φ ≪ ρ.

use nalgebra::{SMatrix, Vector2, Vector6};

/// What the motion of the tip does to the tool's line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LineMotion {
    /// Where it passes the remote centre, across the tool (polar, azimuth), m.
    pub shift: Vector2<f64>,
    /// How it turns: about the polar and about the azimuth direction, rad.
    pub turn: Vector2<f64>,
}

impl LineMotion {
    /// Of the motion [u; φ] of the tip, m and rad, local frame.
    ///
    /// # Arguments
    /// - `tip`: motion of the tool tip.
    /// - `tip_radius`: distance of the tip from the remote centre, m.
    pub fn of(tip: &Vector6<f64>, tip_radius: f64) -> Self {
        Self {
            shift: shift_map(tip_radius) * tip,
            turn: turn_map() * tip,
        }
    }

    /// Distance by which the line misses the remote centre, m.
    pub fn centre_shift(&self) -> f64 {
        self.shift.norm()
    }

    /// Angle between the line and the line without load, rad.
    pub fn tilt(&self) -> f64 {
        self.turn.norm()
    }
}

/// From the motion of the tip to how the line turns, 2×6, local frame.
pub fn turn_map() -> SMatrix<f64, 2, 6> {
    let mut map = SMatrix::zeros();
    map[(0, 3)] = 1.0;
    map[(1, 4)] = 1.0;
    map
}

/// From the motion of the tip to where the line passes the centre, 2×6, local frame.
pub fn shift_map(tip_radius: f64) -> SMatrix<f64, 2, 6> {
    let mut map = SMatrix::zeros();
    map[(0, 0)] = 1.0;
    map[(0, 4)] = -tip_radius;
    map[(1, 1)] = 1.0;
    map[(1, 3)] = tip_radius;
    map
}

#[cfg(test)]
mod tests {
    use super::*;
    use nalgebra::{Rotation3, Vector3};

    /// The line through two displaced points of the tool, by distances of lines in space
    /// and without the formula: small motions agree to their own order.
    #[test]
    fn shift_and_tilt_are_those_of_a_displaced_line() {
        let radius = 0.15;
        let (u, turn) = (
            Vector3::new(3e-7, -2e-7, 5e-7),
            Vector3::new(2e-6, 1e-6, -4e-6),
        );
        let tip = Vector6::new(u.x, u.y, u.z, turn.x, turn.y, turn.z);
        let line = LineMotion::of(&tip, radius);
        let place = Vector3::z() * radius + u;
        let direction = Rotation3::new(turn) * Vector3::z();
        let miss = place - direction * direction.dot(&place);
        assert!((line.centre_shift() / miss.norm() - 1.0).abs() < 1e-4);
        assert!((line.shift - miss.xy()).norm() < 1e-4 * miss.norm());
        let tilt = direction.cross(&Vector3::z()).norm().asin();
        assert!((line.tilt() / tilt - 1.0).abs() < 1e-5);
    }

    /// A turn about the centre leaves the line through the centre, whatever its size.
    #[test]
    fn a_turn_about_the_centre_shifts_nothing() {
        let radius = 0.2;
        let turn = Vector3::new(0.3, -0.7, 0.4);
        let u = turn.cross(&(Vector3::z() * radius));
        let tip = Vector6::new(u.x, u.y, u.z, turn.x, turn.y, turn.z);
        assert!(LineMotion::of(&tip, radius).centre_shift() < 1e-16);
    }
}
