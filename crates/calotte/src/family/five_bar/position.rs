//! Forward and inverse kinematics in closed form.

use nalgebra::Vector3;

use crate::sphere::arc_between;
use crate::sphere::direction::rotation_about;

use super::chain::{corner_angle, enclosed_angle};
use super::modes::{Sense, Side, WorkingMode};
use super::{Carrier, FiveBar, FiveBarError};

/// One configuration: every axis in the base frame, unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FiveBarPose {
    /// Drive angles, left and right, rad in (−π, π], each from the direction of the
    /// other base axis, right-handed about the outward axis.
    pub angles: [f64; 2],
    /// Base axes, left and right.
    pub bases: [Vector3<f64>; 2],
    /// Elbow axes, left and right.
    pub elbows: [Vector3<f64>; 2],
    /// Apex axis.
    pub apex: Vector3<f64>,
    /// Tool direction.
    pub tool: Vector3<f64>,
}

impl FiveBarPose {
    /// Signed turn of the path base axis → elbow → apex at a side's elbow, rad in
    /// (−π, π]: 0 stretched in line, ±π folded back.
    pub fn elbow_turn(&self, side: Side) -> f64 {
        let k = side.index();
        corner_angle(&self.elbows[k], &-self.bases[k], &self.apex)
    }

    /// Signed angle at the apex from the left distal arc to the right one, rad in
    /// (−π, π], counterclockwise seen from outside.
    pub fn apex_angle(&self) -> f64 {
        corner_angle(&self.apex, &self.elbows[0], &self.elbows[1])
    }

    /// The working mode; `None` where a chain is in line.
    pub fn mode(&self) -> Option<WorkingMode> {
        let turn = |side: Side| {
            let k = side.index();
            Sense::of(self.bases[k].dot(&self.elbows[k].cross(&self.apex)))
        };
        Some(WorkingMode {
            left: turn(Side::Left)?,
            right: turn(Side::Right)?,
        })
    }

    /// The assembly of the distal pair: the sense in which the path left elbow →
    /// right elbow → apex turns; `None` where the distal arcs are in one great circle.
    pub fn assembly(&self) -> Option<Sense> {
        Sense::of(self.elbows[0].dot(&self.elbows[1].cross(&self.apex)))
    }
}

impl FiveBar {
    /// The configuration that points the tool along a direction.
    ///
    /// # Arguments
    /// - `direction`: base frame, unit.
    /// - `mode`: how the chains are folded.
    /// - `carrier`: the bar that carries the tool.
    ///
    /// # Errors
    /// [`FiveBarError::OutOfReach`] and [`FiveBarError::OnBaseAxis`], the chain named.
    ///
    /// # Theory
    /// The carrying chain ends at the tool with its distal arc lengthened by the
    /// bracket; its elbow fixes the apex, and the apex the other chain.
    pub fn inverse(
        &self,
        direction: &Vector3<f64>,
        mode: WorkingMode,
        carrier: Carrier,
    ) -> Result<FiveBarPose, FiveBarError> {
        if !direction.iter().all(|x| x.is_finite()) {
            return Err(FiveBarError::NotFinite("tool direction"));
        }
        let (side, other) = (carrier.side, carrier.side.other());
        let distal = self.distal_arcs[side.index()];
        let whole = distal + carrier.bracket;
        let first = self.chain_angle(side, whole, direction, mode.of(side))?;
        let elbow = self.elbow(side, first);
        let apex = if carrier.bracket == 0.0 {
            *direction
        } else {
            (elbow * carrier.bracket.sin() + direction * distal.sin()) / whole.sin()
        };
        let second = self.chain_angle(
            other,
            self.distal_arcs[other.index()],
            &apex,
            mode.of(other),
        )?;
        let mut angles = [first; 2];
        let mut elbows = [elbow; 2];
        angles[other.index()] = second;
        elbows[other.index()] = self.elbow(other, second);
        Ok(FiveBarPose {
            angles,
            bases: Side::BOTH.map(|side| self.base_axis(side)),
            elbows,
            apex,
            tool: *direction,
        })
    }

    /// The configuration at drive angles (left, right), rad, with the apex on the
    /// stated side of the elbows.
    ///
    /// # Errors
    /// [`FiveBarError::DoNotMeet`] and [`FiveBarError::ElbowsInLine`].
    pub fn forward(
        &self,
        angles: [f64; 2],
        assembly: Sense,
        carrier: Carrier,
    ) -> Result<FiveBarPose, FiveBarError> {
        if !angles.iter().all(|angle| angle.is_finite()) {
            return Err(FiveBarError::NotFinite("drive angle"));
        }
        let elbows = Side::BOTH.map(|side| self.elbow(side, angles[side.index()]));
        let apart = arc_between(&elbows[0], &elbows[1]);
        let [left, right] = self.distal_arcs;
        if apart.sin() < 1e-9 {
            return Err(FiveBarError::ElbowsInLine);
        }
        let at_left =
            enclosed_angle([left, apart], right).ok_or(FiveBarError::DoNotMeet { apart })?;
        let towards = elbows[1] - elbows[0] * elbows[0].dot(&elbows[1]);
        let tangent = rotation_about(&elbows[0], assembly.sign() * at_left) * towards.normalize();
        let apex = elbows[0] * left.cos() + tangent * left.sin();
        let carrying = carrier.side.index();
        let distal = self.distal_arcs[carrying];
        let tool = if carrier.bracket == 0.0 {
            apex
        } else {
            (apex * (distal + carrier.bracket).sin() - elbows[carrying] * carrier.bracket.sin())
                / distal.sin()
        };
        Ok(FiveBarPose {
            angles: angles.map(crate::sphere::direction::wrap_signed),
            bases: Side::BOTH.map(|side| self.base_axis(side)),
            elbows,
            apex,
            tool,
        })
    }

    /// The configuration at drive angles in one working mode. Where both assemblies
    /// of the distal pair are in that mode, the stated one is taken.
    ///
    /// # Errors
    /// As [`FiveBar::forward`]; `Ok(None)` where the drive angles have no
    /// configuration in the mode.
    pub fn forward_in_mode(
        &self,
        angles: [f64; 2],
        mode: WorkingMode,
        preferred: Sense,
        carrier: Carrier,
    ) -> Result<Option<FiveBarPose>, FiveBarError> {
        let other = match preferred {
            Sense::Counterclockwise => Sense::Clockwise,
            Sense::Clockwise => Sense::Counterclockwise,
        };
        for assembly in [preferred, other] {
            let pose = self.forward(angles, assembly, carrier)?;
            if pose.mode() == Some(mode) {
                return Ok(Some(pose));
            }
        }
        Ok(None)
    }
}
