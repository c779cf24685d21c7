//! Bringing the whole instrument in along a straight line, from far away to its place.
//!
//! From afar the design is moved in by what its nearest pair has to spare: nothing can
//! touch within that length, whatever the shape of the way (conservative advancement).

use nalgebra::{Matrix3, Vector3};
use thiserror::Error;

use crate::kinematics::KinematicsError;
use crate::sphere::unit;

use super::clear::{MovingSolid, Surroundings};
use super::piece_distance::{DISTANCE_BOUND, Scratch, Window};
use super::shape::{Obstacle, Shape};

/// What a straight way in meets.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Approach {
    /// Nothing comes nearer than the allowance.
    Clear,
    /// Something does.
    Touches {
        /// Index of the solid in the built parts.
        solid: usize,
        /// Index of the keep-out.
        keep_out: usize,
        /// Distance still to go to the place when it first does, m.
        remaining: f64,
    },
    /// The way comes out of a half-space.
    FromInside {
        /// Index of the keep-out.
        keep_out: usize,
    },
}

/// A way in that cannot be looked at.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum ApproachError {
    /// The direction has no length.
    #[error("the insertion direction has no length")]
    NoDirection,
    /// The configuration does not close.
    #[error(transparent)]
    Kinematics(#[from] KinematicsError),
}

/// Where a distance is this much more than the allowance its exact value is not needed, m.
const FAR: f64 = 0.02;

impl Surroundings<'_> {
    /// Brings the whole design, housing included, in along a straight line in a
    /// configuration held (mechanism angles, rad), and says what it meets first.
    ///
    /// # Arguments
    /// - `direction`: the way it moves, in the world; need not be a unit vector.
    ///
    /// A distance within 0.04 mm of the allowance counts as a touch.
    ///
    /// # Errors
    /// [`ApproachError`] for a direction without length or bars that do not close.
    pub fn approach(
        &self,
        mechanism: [f64; 2],
        direction: &Vector3<f64>,
    ) -> Result<Approach, ApproachError> {
        let along = unit(direction).ok_or(ApproachError::NoDirection)?;
        let posture = self.posture(mechanism[1])?;
        let mut scratch = Scratch::default();
        let mut first: Option<(f64, usize, usize)> = None;
        for solid in &self.solids {
            let world_from_body = self.world_from_body(&posture, solid.body, mechanism[0]);
            for (keep_out, obstacle) in self.obstacles.iter().enumerate() {
                if solid.is_tool() && obstacle.tool_may_touch {
                    continue;
                }
                let Some(start) = self.start(solid, &world_from_body, obstacle, &along) else {
                    return Ok(Approach::FromInside { keep_out });
                };
                let so_far = first.map_or(0.0, |(remaining, ..)| remaining);
                let place = (solid, &world_from_body, obstacle);
                if let Some(remaining) = self.advance(place, &along, start, so_far, &mut scratch) {
                    first = Some((remaining, solid.index, keep_out));
                }
            }
        }
        Ok(
            first.map_or(Approach::Clear, |(remaining, solid, keep_out)| {
                Approach::Touches {
                    solid,
                    keep_out,
                    remaining,
                }
            }),
        )
    }

    /// Distance to go beyond which a pair is surely apart, m; `None` if it never is.
    fn start(
        &self,
        solid: &MovingSolid,
        world_from_body: &Matrix3<f64>,
        obstacle: &Obstacle,
        along: &Vector3<f64>,
    ) -> Option<f64> {
        let (ball, radius) = solid.ball();
        let middle = self.centre + world_from_body * ball;
        if let Shape::HalfSpace(plane) = &obstacle.shape {
            // Going in nears the plane or not; coming from behind it never was free.
            return (plane.normal.dot(along) <= 1e-12).then_some(0.0);
        }
        let (centre, size) = obstacle.bounding_ball()?;
        let apart = radius + size + self.allowance;
        let from = middle - centre;
        // |from − t·along| = apart.
        let (half, rest) = (from.dot(along), from.norm_squared() - apart * apart);
        let root = half * half - rest;
        Some(if root <= 0.0 {
            0.0
        } else {
            (half + root.sqrt()).max(0.0)
        })
    }

    /// The first touch of a pair on the way from `start` to `end` still to go, m.
    fn advance(
        &self,
        (solid, world_from_body, obstacle): (&MovingSolid, &Matrix3<f64>, &Obstacle),
        along: &Vector3<f64>,
        start: f64,
        end: f64,
        scratch: &mut Scratch,
    ) -> Option<f64> {
        let mut to_go = start;
        if to_go < end {
            return None;
        }
        loop {
            let shift = -along * to_go;
            let enough = self.allowance + FAR;
            let window = Window::below(enough);
            let distance =
                self.solid_distance(solid, world_from_body, &shift, obstacle, window, scratch);
            let spare = distance.least - self.allowance;
            // At its place the allowance itself is enough, as for any configuration.
            if spare < 0.0 || (spare <= DISTANCE_BOUND && to_go > 0.0) {
                return Some(to_go);
            }
            if to_go <= end {
                return None;
            }
            to_go = (to_go - spare).max(end);
        }
    }
}
