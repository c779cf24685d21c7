//! A design among keep-outs: distances at one configuration.

use nalgebra::{Matrix3, Rotation3, Vector3};

use crate::built::{Built, SolidKind};
use crate::design::Design;
use crate::kinematics::{Kinematics, KinematicsError};
use crate::sphere::direction::rotation_about;

use super::motion::{base_axis, body_rates};
use super::piece_distance::{Distance, Scratch, Window, piece_distance, surely_overlaps};
use super::piece_shape::PieceShape;
use super::shape::Obstacle;

/// Distance of one solid to one keep-out at a configuration.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Clearance {
    /// Index of the solid in the built parts.
    pub solid: usize,
    /// Index of the keep-out.
    pub keep_out: usize,
    /// Distance, m; never above the true one and within
    /// [`DISTANCE_BOUND`](super::DISTANCE_BOUND) of it; negative where they overlap.
    pub distance: f64,
    /// Whether it must be kept: not for what stands still, and not for the tool
    /// where the tool may touch.
    pub counts: bool,
}

/// A solid prepared for distances.
#[derive(Debug, Clone)]
pub(super) struct MovingSolid {
    /// Index in the built parts.
    pub(super) index: usize,
    pub(super) body: usize,
    tool: bool,
    /// Whether its body only ever turns about the base axis.
    pub(super) turns_with_base: bool,
    pub(super) pieces: Vec<PieceShape>,
    /// Ball about the solid in its body's frame: centre from the remote centre, radius, m.
    ball: (Vector3<f64>, f64),
    /// Greatest distance of its points from the remote centre, m.
    pub(super) reach: f64,
}

impl MovingSolid {
    pub(super) fn is_tool(&self) -> bool {
        self.tool
    }

    /// Ball about the solid in its body's frame: centre from the remote centre, radius, m.
    pub(super) fn ball(&self) -> (Vector3<f64>, f64) {
        self.ball
    }
}

/// A pair of solid and keep-out that must stay apart.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Pair {
    /// Index into the prepared solids.
    pub(super) solid: usize,
    pub(super) keep_out: usize,
    /// Whether the keep-out is the same all around the base axis.
    pub(super) round: bool,
}

/// A design among keep-outs, ready for distances at any configuration.
#[derive(Debug, Clone)]
pub struct Surroundings<'a> {
    pub(super) kinematics: &'a Kinematics,
    pub(super) obstacles: &'a [Obstacle],
    pub(super) allowance: f64,
    pub(super) solids: Vec<MovingSolid>,
    pub(super) pairs: Vec<Pair>,
    pub(super) world_from_base: Matrix3<f64>,
    /// Remote centre in the world, m.
    pub(super) centre: Vector3<f64>,
}

/// What one value of the second mechanism angle fixes: the bodies' rotations with the
/// first angle at zero, base frame from body frame.
#[derive(Debug, Clone)]
pub(super) struct Posture {
    pub(super) rotations: Vec<Rotation3<f64>>,
}

impl<'a> Surroundings<'a> {
    /// Prepares a design among keep-outs.
    ///
    /// # Arguments
    /// - `obstacles`: from [`Obstacle::all`]; one list serves any number of designs.
    /// - `allowance`: distance every moving part keeps, m.
    pub fn new(
        design: &Design,
        kinematics: &'a Kinematics,
        built: &Built,
        obstacles: &'a [Obstacle],
        allowance: f64,
    ) -> Self {
        let world_from_base = design.mount.base_from_world().transpose();
        let centre = design.mount.position;
        let on_ground = |body: usize| {
            kinematics.linkage.joints.iter().any(|joint| {
                [joint.first.body, joint.second.body] == [0, body]
                    || [joint.second.body, joint.first.body] == [0, body]
            })
        };
        let solids: Vec<MovingSolid> = built
            .solids
            .iter()
            .enumerate()
            .map(|(index, solid)| {
                let pieces: Vec<PieceShape> = solid.pieces.iter().map(PieceShape::new).collect();
                MovingSolid {
                    index,
                    body: solid.body,
                    tool: solid.kind == SolidKind::Tool,
                    turns_with_base: on_ground(solid.body),
                    ball: ball_about(&pieces),
                    reach: pieces.iter().map(|p| p.reach).fold(0.0, f64::max),
                    pieces,
                }
            })
            .collect();
        let axis = world_from_base * base_axis();
        let round: Vec<bool> = obstacles
            .iter()
            .map(|obstacle| obstacle.is_round_about(&centre, &axis))
            .collect();
        let mut surroundings = Self {
            kinematics,
            obstacles,
            allowance,
            solids,
            pairs: Vec::new(),
            world_from_base,
            centre,
        };
        for solid in 0..surroundings.solids.len() {
            for (keep_out, round) in round.iter().enumerate() {
                if surroundings.counts(solid, keep_out) {
                    surroundings.pairs.push(Pair {
                        solid,
                        keep_out,
                        round: *round,
                    });
                }
            }
        }
        surroundings
    }

    fn counts(&self, solid: usize, keep_out: usize) -> bool {
        let solid = &self.solids[solid];
        solid.body != 0 && !(solid.tool && self.obstacles[keep_out].tool_may_touch)
    }

    /// Whether every keep-out that counts is the same all around the base axis, so
    /// that one configuration stands for its whole ring.
    pub fn same_all_around(&self) -> bool {
        self.pairs.iter().all(|pair| pair.round)
    }

    /// The bodies' rotations at a second mechanism angle.
    pub(super) fn posture(&self, second: f64) -> Result<Posture, KinematicsError> {
        let pose = self.kinematics.forward_from_mechanism([0.0, second])?;
        Ok(Posture {
            rotations: pose.configuration.rotations,
        })
    }

    /// World from body, for the first mechanism angle `first`.
    pub(super) fn world_from_body(
        &self,
        posture: &Posture,
        body: usize,
        first: f64,
    ) -> Matrix3<f64> {
        if body == 0 {
            return self.world_from_base;
        }
        let turned = rotation_about(&base_axis(), first) * posture.rotations[body];
        self.world_from_base * turned.matrix()
    }

    /// Distance of a solid, the whole design shifted by `shift` in the world, to a keep-out.
    pub(super) fn solid_distance(
        &self,
        solid: &MovingSolid,
        world_from_body: &Matrix3<f64>,
        shift: &Vector3<f64>,
        obstacle: &Obstacle,
        window: Window,
        scratch: &mut Scratch,
    ) -> Distance {
        let centre = self.centre + shift;
        if window.enough.is_finite() {
            let middle = centre + world_from_body * solid.ball.0;
            let ball = obstacle.lower_bound(&middle) - solid.ball.1;
            if ball >= window.enough {
                return Distance {
                    least: ball,
                    ..Distance::NONE
                };
            }
        }
        let mut distance = Distance::NONE;
        for piece in &solid.pieces {
            let turned = piece.turned(world_from_body);
            let window = window.after(&distance);
            let here = piece_distance(&turned, &centre, obstacle, window, scratch);
            distance = distance.nearer(here);
            if window.little.is_some_and(|little| distance.most < little) {
                break;
            }
        }
        distance
    }

    /// Whether a solid surely comes nearer to a keep-out than the allowance whatever the
    /// motion of its points by up to `travel`, m.
    pub(super) fn surely_overlaps(
        &self,
        solid: &MovingSolid,
        world_from_body: &Matrix3<f64>,
        obstacle: &Obstacle,
        travel: f64,
        scratch: &mut Scratch,
    ) -> bool {
        solid.pieces.iter().any(|piece| {
            let turned = piece.turned(world_from_body);
            let allowance = self.allowance;
            surely_overlaps(&turned, &self.centre, obstacle, allowance, travel, scratch)
        })
    }

    /// Distance of a pair at a configuration, not more than the true one, m.
    pub(super) fn pair_distance(
        &self,
        pair: &Pair,
        posture: &Posture,
        first: f64,
        window: Window,
        scratch: &mut Scratch,
    ) -> f64 {
        let solid = &self.solids[pair.solid];
        let world_from_body = self.world_from_body(posture, solid.body, first);
        self.solid_distance(
            solid,
            &world_from_body,
            &Vector3::zeros(),
            &self.obstacles[pair.keep_out],
            window,
            scratch,
        )
        .least
    }

    /// How far any point of a solid moves at most when the second mechanism angle
    /// changes by `second` at a rate up to `rates`, then the first by `first`, m.
    pub(super) fn travel(
        &self,
        solid: usize,
        rates: &[f64],
        lateral: f64,
        second: f64,
        first: f64,
    ) -> [f64; 2] {
        let solid = &self.solids[solid];
        let rate = rates[solid.body];
        let by_second = if rate == 0.0 || second == 0.0 {
            0.0
        } else {
            let arm = if solid.turns_with_base {
                lateral
            } else {
                solid.reach
            };
            // A chord is shorter than its arc, and no chord exceeds the diameter.
            (arm * rate * second).min(2.0 * arm)
        };
        let arm = if solid.turns_with_base {
            lateral
        } else {
            (lateral + by_second).min(solid.reach)
        };
        [by_second, (arm * first).min(2.0 * arm)]
    }

    /// Greatest distance of a solid's points from the base axis, m.
    pub(super) fn lateral(&self, solid: usize, posture: &Posture) -> f64 {
        let solid = &self.solids[solid];
        let axis = posture.rotations[solid.body].inverse() * base_axis();
        solid
            .pieces
            .iter()
            .map(|piece| piece.lateral_reach(&axis))
            .fold(0.0, f64::max)
    }

    /// Enclosed rates of all bodies over a range of the second mechanism angle.
    pub(super) fn rates(&self, second: [f64; 2]) -> Vec<f64> {
        body_rates(self.kinematics, second)
    }

    /// Distances of all solids to all keep-outs at mechanism angles (first, second), rad.
    ///
    /// # Errors
    /// [`KinematicsError`] where the bars do not close.
    pub fn clearances(&self, mechanism: [f64; 2]) -> Result<Vec<Clearance>, KinematicsError> {
        let posture = self.posture(mechanism[1])?;
        let mut scratch = Scratch::default();
        let mut clearances = Vec::with_capacity(self.solids.len() * self.obstacles.len());
        for (index, solid) in self.solids.iter().enumerate() {
            let world_from_body = self.world_from_body(&posture, solid.body, mechanism[0]);
            for (keep_out, obstacle) in self.obstacles.iter().enumerate() {
                clearances.push(Clearance {
                    solid: solid.index,
                    keep_out,
                    distance: self
                        .solid_distance(
                            solid,
                            &world_from_body,
                            &Vector3::zeros(),
                            obstacle,
                            Window::EXACT,
                            &mut scratch,
                        )
                        .least,
                    counts: self.counts(index, keep_out),
                });
            }
        }
        Ok(clearances)
    }

    /// The least distance that counts at mechanism angles, rad; `None` if nothing does.
    ///
    /// # Errors
    /// [`KinematicsError`] where the bars do not close.
    pub fn nearest(&self, mechanism: [f64; 2]) -> Result<Option<Clearance>, KinematicsError> {
        let posture = self.posture(mechanism[1])?;
        let mut scratch = Scratch::default();
        Ok(self.nearest_at(&posture, mechanism[0], &mut scratch))
    }

    pub(super) fn nearest_at(
        &self,
        posture: &Posture,
        first: f64,
        scratch: &mut Scratch,
    ) -> Option<Clearance> {
        let mut nearest: Option<Clearance> = None;
        for pair in &self.pairs {
            let enough = nearest.map_or(f64::INFINITY, |n| n.distance);
            let window = Window::below(enough);
            let distance = self.pair_distance(pair, posture, first, window, scratch);
            if distance < enough {
                nearest = Some(Clearance {
                    solid: self.solids[pair.solid].index,
                    keep_out: pair.keep_out,
                    distance,
                    counts: true,
                });
            }
        }
        nearest
    }

    /// Whether every distance that counts is at least the allowance at mechanism angles, rad.
    ///
    /// # Errors
    /// [`KinematicsError`] where the bars do not close.
    pub fn is_clear(&self, mechanism: [f64; 2]) -> Result<bool, KinematicsError> {
        let posture = self.posture(mechanism[1])?;
        let mut scratch = Scratch::default();
        Ok(self.keeps(&posture, mechanism[0], self.allowance, &mut scratch))
    }

    /// Whether every distance that counts is at least `distance`, m.
    pub(super) fn keeps(
        &self,
        posture: &Posture,
        first: f64,
        distance: f64,
        scratch: &mut Scratch,
    ) -> bool {
        let window = Window::whether(distance);
        self.pairs
            .iter()
            .all(|pair| self.pair_distance(pair, posture, first, window, scratch) >= distance)
    }

    /// Which first mechanism angles of a ring are clear, rad: the cheap way for
    /// searches. Keep-outs that are the same all around are looked at once.
    ///
    /// # Errors
    /// [`KinematicsError`] where the bars do not close.
    pub fn ring_is_clear(
        &self,
        second: f64,
        firsts: &[f64],
        scratch: &mut Scratch,
    ) -> Result<Vec<bool>, KinematicsError> {
        if self.pairs.is_empty() {
            return Ok(vec![true; firsts.len()]);
        }
        let posture = self.posture(second)?;
        let window = Window::whether(self.allowance);
        let mut keeps = |pair: &Pair, first: f64| {
            self.pair_distance(pair, &posture, first, window, scratch) >= self.allowance
        };
        let round = self.pairs.iter().filter(|pair| pair.round);
        for pair in round {
            if !keeps(pair, 0.0) {
                return Ok(vec![false; firsts.len()]);
            }
        }
        // What blocked one direction often blocks the next, so it is asked first.
        let mut order: Vec<&Pair> = self.pairs.iter().filter(|pair| !pair.round).collect();
        Ok(firsts
            .iter()
            .map(
                |first| match order.iter().position(|pair| !keeps(pair, *first)) {
                    None => true,
                    Some(blocking) => {
                        order[..=blocking].rotate_right(1);
                        false
                    }
                },
            )
            .collect())
    }
}

/// Ball about a solid: the mean of its pieces' middles, wide enough for all.
fn ball_about(pieces: &[PieceShape]) -> (Vector3<f64>, f64) {
    let centre = pieces.iter().map(|p| p.ball.0).sum::<Vector3<f64>>() / pieces.len().max(1) as f64;
    let radius = pieces
        .iter()
        .map(|p| (p.ball.0 - centre).norm() + p.ball.1)
        .fold(0.0, f64::max);
    (centre, radius)
}
