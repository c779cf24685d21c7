//! Forward and inverse kinematics of a design in closed form.

use nalgebra::{Matrix2, Vector2, Vector3};
use thiserror::Error;

use crate::design::{Design, Family, ToolCarrier};
use crate::family;
use crate::family::by_direction::{ByDirection, Placed};
use crate::family::parameters::Capability;
use crate::linkage::{Configuration, Linkage, LinkageError};
use crate::number::shown::degrees_of;
use crate::sphere::direction::{wrap_positive, wrap_signed};
use crate::sphere::{Direction, LocalFrame};

use crate::family::meridian::{Meridian, MeridianState};

/// A design ready for kinematics: its bodies and joints and its closed form.
#[derive(Debug, Clone, PartialEq)]
pub struct Kinematics {
    /// Bodies and joints.
    pub linkage: Linkage,
    /// The closed form.
    pub meridian: Meridian,
    family: Family,
    tool_roll: f64,
    /// What carries the tool, and its bracket, rad.
    carrier: (ToolCarrier, f64),
}

/// A configuration with what follows from it.
#[derive(Debug, Clone, PartialEq)]
pub struct Pose {
    /// Active joint angles, rad, after the drive ratios.
    pub active: [f64; 2],
    /// Mechanism angles, rad: swing and opening, or base and elbow.
    pub mechanism: [f64; 2],
    /// One rotation per body.
    pub configuration: Configuration,
    /// Tool direction in the base frame.
    pub direction: Direction,
    /// Local frame at the tool, base frame.
    pub frame: LocalFrame,
    /// Roll of the tool body, rad in (−π, π]: from the polar direction to the
    /// carrier's tangent continued outward, right-handed, plus the tool's own.
    pub roll: f64,
    /// Jacobian from active joint rates to the tool-direction velocity, 2×2,
    /// rows (polar, azimuth) of the local frame, 1.
    pub jacobian: Matrix2<f64>,
}

/// Why a pose cannot be computed.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum KinematicsError {
    /// The bars do not close at these joint angles.
    #[error(
        "the bars do not close at active joint angles of {}: a distal arc is too short for this opening",
        degrees_of(.active)
    )]
    NoClosure {
        /// The active joint angles, rad.
        active: [f64; 2],
    },
    /// A joint angle that is no finite number.
    #[error("active joint angle {0} is not a finite number")]
    NotFinite(f64),
    /// The linkage cannot be built.
    #[error(transparent)]
    Linkage(#[from] LinkageError),
}

impl Kinematics {
    /// Prepares a design.
    ///
    /// # Errors
    /// [`LinkageError`] for a design that cannot be built.
    pub fn new(design: &Design) -> Result<Self, LinkageError> {
        let linkage = family::build(design)?;
        let meridian = match design.family.offers(Capability::Rings) {
            Ok(()) => Meridian::of(design)?,
            Err(_) => Meridian::absent(design),
        };
        let tool = &design.tool;
        Ok(Self {
            linkage,
            meridian,
            family: design.family.clone(),
            tool_roll: tool.roll,
            carrier: (tool.carried_by, tool.bracket_arc),
        })
    }

    /// Mechanism angles from active joint angles, rad.
    pub fn mechanism_from_active(&self, active: [f64; 2]) -> [f64; 2] {
        let mechanism = self.meridian.mechanism_from_active * Vector2::from(active);
        [mechanism.x, mechanism.y]
    }

    /// Active joint angles from mechanism angles, rad.
    pub fn active_from_mechanism(&self, mechanism: [f64; 2]) -> [f64; 2] {
        let [a, b, c, d] = [
            self.meridian.mechanism_from_active.m11,
            self.meridian.mechanism_from_active.m12,
            self.meridian.mechanism_from_active.m21,
            self.meridian.mechanism_from_active.m22,
        ];
        let determinant = a * d - b * c;
        [
            (d * mechanism[0] - b * mechanism[1]) / determinant,
            (a * mechanism[1] - c * mechanism[0]) / determinant,
        ]
    }

    /// The pose at active joint angles, rad.
    ///
    /// # Errors
    /// [`KinematicsError::NoClosure`] where a stage cannot close.
    pub fn forward(&self, active: [f64; 2]) -> Result<Pose, KinematicsError> {
        if let Some(bad) = active.iter().find(|angle| !angle.is_finite()) {
            return Err(KinematicsError::NotFinite(*bad));
        }
        let mechanism = self.mechanism_from_active(active);
        self.pose_at(active, mechanism)
    }

    /// The pose at mechanism angles, rad.
    ///
    /// # Errors
    /// As [`Kinematics::forward`].
    pub fn forward_from_mechanism(&self, mechanism: [f64; 2]) -> Result<Pose, KinematicsError> {
        self.pose_at(self.active_from_mechanism(mechanism), mechanism)
    }

    /// Answers by tool direction; `None` for what turns about one fixed axis.
    pub fn by_direction(&self) -> Option<Box<dyn ByDirection>> {
        let (carried_by, bracket) = self.carrier;
        // What cannot carry the tool was refused when the linkage was built.
        self.family.by_direction(carried_by, bracket).ok()?
    }

    /// The pose of a configuration found by tool direction.
    pub fn pose_of(&self, placed: Placed, direction: Direction) -> Pose {
        let frame = LocalFrame::at(direction);
        let columns = placed
            .velocity
            .map(|velocity| Vector2::new(velocity.dot(&frame.polar), velocity.dot(&frame.azimuth)));
        Pose {
            active: self.active_from_mechanism(placed.mechanism),
            mechanism: placed.mechanism,
            direction,
            roll: self.roll(&placed.configuration, &frame),
            configuration: placed.configuration,
            frame,
            jacobian: Matrix2::from_columns(&columns) * self.meridian.mechanism_from_active,
        }
    }

    fn pose_at(&self, active: [f64; 2], mechanism: [f64; 2]) -> Result<Pose, KinematicsError> {
        if let Some(by) = self.by_direction() {
            // Of two assemblies in one mode, the one with the elbows before the tool.
            let placed = by.forward(mechanism, 1);
            let placed = placed.ok_or(KinematicsError::NoClosure { active })?;
            let direction = Direction::of(&placed.tool);
            return Ok(Pose {
                active,
                ..self.pose_of(placed, direction)
            });
        }
        let state = self.meridian.state(mechanism[1]);
        if state.breaks {
            return Err(KinematicsError::NoClosure { active });
        }
        let configuration = self.configuration(&state, mechanism);
        // On the base axis azimuth comes from the drives, not from the tool's vector.
        let direction =
            Direction::from_signed_polar(state.polar.value, mechanism[0] + state.offset.value);
        let frame = LocalFrame::at(direction);
        let roll = self.roll(&configuration, &frame);
        Ok(Pose {
            active,
            mechanism,
            configuration,
            direction,
            frame,
            roll,
            jacobian: self.jacobian_of(&state),
        })
    }

    /// One rotation per body at mechanism angles, rad, at which the linkage closes.
    ///
    /// # Arguments
    /// - `state`: of the meridian at the second of them.
    pub fn configuration(&self, state: &MeridianState<f64>, mechanism: [f64; 2]) -> Configuration {
        self.family.configuration(state, &self.linkage, mechanism)
    }

    fn roll(&self, configuration: &Configuration, frame: &LocalFrame) -> f64 {
        let tool = &self.linkage.tool;
        let tangent: Vector3<f64> = configuration.rotations[tool.body] * tool.tangent;
        let roll = tangent.dot(&frame.azimuth).atan2(tangent.dot(&frame.polar));
        wrap_signed(roll + self.tool_roll)
    }

    /// Jacobian in closed form from a state of the meridian motion, see
    /// [`Meridian::jacobian_of`].
    pub fn jacobian_of(&self, state: &MeridianState<f64>) -> Matrix2<f64> {
        self.meridian.jacobian_of(state)
    }

    /// Mechanism angles that point the tool along a direction, given the second
    /// mechanism angle's value for its polar angle: the first one follows.
    pub fn first_angle_for(&self, direction: Direction, second: f64) -> f64 {
        let state = self.meridian.state(second);
        let turned = if state.signed_polar() < 0.0 {
            std::f64::consts::PI
        } else {
            0.0
        };
        wrap_signed(wrap_positive(
            direction.azimuth - state.offset.value - turned,
        ))
    }
}
