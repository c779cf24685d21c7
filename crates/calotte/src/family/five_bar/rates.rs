//! Velocity and both types of singularity.
//!
//! Differentiating the arc condition apex · elbow = cos(distal arc) of each chain
//! gives A ṗ = B q̇: row i of A is the elbow axis in the tangent plane of the
//! apex, B is diagonal with −base · (elbow × apex). det B = 0 is type 1 (a chain in
//! line), det A = 0 is type 2 (distal arcs in one great circle). Derived.

use nalgebra::{Matrix2, Vector2, Vector3};

use crate::sphere::LocalFrame;

use super::modes::Side;
use super::position::FiveBarPose;
use super::{Carrier, FiveBar, FiveBarError};

/// How far a configuration lies from both types of singularity.
///
/// These belong to one configuration; over a region they are sampled and prove
/// nothing between the samples.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SingularityMargins {
    /// Type 1: angle of each elbow from in line, 0° and 180°, left and right, rad in [0, π/2].
    pub type_one: [f64; 2],
    /// Type 2: angle between the distal arcs from 0° and 180°, rad in [0, π/2]; the
    /// transmission angle.
    pub type_two: f64,
    /// Determinant of the inverse side, B, 1.
    pub inverse_determinant: f64,
    /// Determinant of the forward side, A, 1.
    pub forward_determinant: f64,
}

impl SingularityMargins {
    /// The side whose chain is nearer to being in line, with its margin, rad.
    pub fn nearest_type_one(&self) -> (Side, f64) {
        if self.type_one[0] <= self.type_one[1] {
            (Side::Left, self.type_one[0])
        } else {
            (Side::Right, self.type_one[1])
        }
    }
}

/// Angle from 0° and 180°, rad in [0, π/2].
fn from_in_line(angle: f64) -> f64 {
    let size = angle.abs();
    size.min(std::f64::consts::PI - size)
}

impl FiveBarPose {
    /// Velocity of the apex, base frame, per unit rate of the left and of the right
    /// drive, 1.
    ///
    /// # Errors
    /// [`FiveBarError::TypeTwo`] where the distal arcs lie in one great circle.
    pub fn apex_rates(&self) -> Result<[Vector3<f64>; 2], FiveBarError> {
        let determinant = self.forward_determinant();
        // In units of both sines: the sine of the angle between the distal arcs.
        let sines = self.elbows.map(|elbow| elbow.cross(&self.apex).norm());
        let margin = determinant.abs() / (sines[0] * sines[1]);
        if margin.is_nan() || margin <= 1e-12 {
            return Err(FiveBarError::TypeTwo);
        }
        // Tangent vectors across one elbow's arc each: the other elbow's condition is kept.
        Ok(Side::BOTH.map(|side| {
            let (k, o) = (side.index(), side.other().index());
            let keeps_other = self.elbows[o].cross(&self.apex);
            let rate = -self.drive_arm(side);
            keeps_other * (rate / self.elbows[k].dot(&keeps_other))
        }))
    }

    /// base · (elbow × apex) of a chain: the sine of both arcs and of the elbow's angle.
    fn drive_arm(&self, side: Side) -> f64 {
        let k = side.index();
        self.bases[k].dot(&self.elbows[k].cross(&self.apex))
    }

    fn forward_determinant(&self) -> f64 {
        self.apex.dot(&self.elbows[0].cross(&self.elbows[1]))
    }

    /// Margins to both types of singularity.
    pub fn margins(&self) -> SingularityMargins {
        SingularityMargins {
            type_one: Side::BOTH.map(|side| from_in_line(self.elbow_turn(side))),
            type_two: from_in_line(self.apex_angle()),
            inverse_determinant: self.drive_arm(Side::Left) * self.drive_arm(Side::Right),
            forward_determinant: self.forward_determinant(),
        }
    }
}

impl FiveBar {
    /// Velocity of the tool direction, base frame, per unit rate of the left and of the
    /// right drive, 1.
    ///
    /// # Errors
    /// [`FiveBarError::TypeTwo`].
    pub fn tool_rates(
        &self,
        pose: &FiveBarPose,
        carrier: Carrier,
    ) -> Result<[Vector3<f64>; 2], FiveBarError> {
        let apex = pose.apex_rates()?;
        if carrier.bracket == 0.0 {
            return Ok(apex);
        }
        let carrying = carrier.side.index();
        let distal = self.distal_arcs[carrying];
        Ok(Side::BOTH.map(|side| {
            let mut velocity =
                apex[side.index()] * ((distal + carrier.bracket).sin() / distal.sin());
            if side == carrier.side {
                let elbow = pose.bases[carrying].cross(&pose.elbows[carrying]);
                velocity -= elbow * (carrier.bracket.sin() / distal.sin());
            }
            velocity
        }))
    }

    /// Jacobian from drive rates (left, right) to the velocity of the tool direction on
    /// the unit sphere, 2×2, rows (polar, azimuth) of the given local frame, 1.
    ///
    /// The frame is the caller's: on the base frame's z axis, where polar and azimuth
    /// have no direction of their own, any tangent frame gives the same singular values.
    ///
    /// # Errors
    /// [`FiveBarError::TypeTwo`].
    pub fn jacobian(
        &self,
        pose: &FiveBarPose,
        carrier: Carrier,
        frame: &LocalFrame,
    ) -> Result<Matrix2<f64>, FiveBarError> {
        let columns = self
            .tool_rates(pose, carrier)?
            .map(|velocity| Vector2::new(velocity.dot(&frame.polar), velocity.dot(&frame.azimuth)));
        Ok(Matrix2::from_columns(&columns))
    }
}
