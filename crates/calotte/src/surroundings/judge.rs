//! What is certain about a range of configurations from one distance in its middle.
//!
//! A point of a solid moves by at most a known length between the middle and any
//! configuration of the range, and the distance to a keep-out changes by no more. So
//! a pair is clear over the whole range if its distance in the middle exceeds the
//! allowance by that length, and blocked if it falls short of it by as much, or if the
//! two overlap so deeply that no such motion takes them apart.

use crate::kinematics::KinematicsError;

use super::clear::{Posture, Surroundings};
use super::piece_distance::{Distance, Scratch, Window};

/// A range of the second mechanism angle with what all its configurations share.
#[derive(Debug, Clone)]
pub(super) struct Row {
    /// Ends, rad.
    pub(super) second: [f64; 2],
    posture: Posture,
    rates: Vec<f64>,
    /// Greatest distance of each prepared solid's points from the base axis in the middle, m.
    lateral: Vec<f64>,
}

/// What is known of a range of configurations.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Judgement {
    pub(super) certainty: Certainty,
    /// The pair nearest in the middle among those not certainly clear, and about its
    /// distance, m.
    pub(super) nearest: Option<(usize, f64)>,
    /// Greatest travel of the pairs left open by the second and by the first angle, m.
    pub(super) travel: [f64; 2],
}

/// How much is certain.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Certainty {
    Clear,
    Blocked,
    Open,
}

impl Row {
    /// Base frame from body frame in the middle of the row, the first angle at zero.
    pub(super) fn rotation(&self, body: usize) -> &nalgebra::Rotation3<f64> {
        &self.posture.rotations[body]
    }

    /// Greatest angular speed of a body over the row, rad/rad.
    pub(super) fn rate(&self, body: usize) -> f64 {
        self.rates[body]
    }
}

impl Surroundings<'_> {
    /// Travel of a solid within half extents of a row, as [`Surroundings::travel`].
    pub(super) fn row_travel(&self, row: &Row, solid: usize, second: f64, first: f64) -> [f64; 2] {
        self.travel(solid, &row.rates, row.lateral[solid], second, first)
    }

    /// Whether a pair comes nearer than the allowance in the middle of a row and of a range
    /// of first angles.
    pub(super) fn takes_the_middle(
        &self,
        row: &Row,
        first: [f64; 2],
        pair: usize,
        scratch: &mut Scratch,
    ) -> bool {
        let middle = 0.5 * (first[0] + first[1]);
        let window = Window::whether(self.allowance);
        self.pair_distance(&self.pairs[pair], &row.posture, middle, window, scratch)
            < self.allowance
    }

    /// Prepares a range of the second mechanism angle.
    pub(super) fn row(&self, second: [f64; 2]) -> Result<Row, KinematicsError> {
        let posture = self.posture(0.5 * (second[0] + second[1]))?;
        Ok(Row {
            second,
            rates: self.rates(second),
            lateral: (0..self.solids.len())
                .map(|solid| self.lateral(solid, &posture))
                .collect(),
            posture,
        })
    }

    /// What is certain about a row between two first angles, for the pairs listed in
    /// `asked`; those left open are written to `open`. `seen` gets each pair's index
    /// with what is known of its distance in the middle, where it is not certainly clear.
    pub(super) fn judge(
        &self,
        row: &Row,
        first: [f64; 2],
        asked: &[usize],
        open: &mut Vec<usize>,
        scratch: &mut Scratch,
        mut seen: impl FnMut(usize, Distance),
    ) -> Judgement {
        let half_second = 0.5 * (row.second[1] - row.second[0]);
        let (middle, half_first) = (0.5 * (first[0] + first[1]), 0.5 * (first[1] - first[0]));
        let mut judgement = Judgement {
            certainty: Certainty::Clear,
            nearest: None,
            travel: [0.0; 2],
        };
        let mut blocked = false;
        let mut turned = None;
        open.clear();
        for index in asked {
            let pair = &self.pairs[*index];
            let [by_second, by_first] = self.travel(
                pair.solid,
                &row.rates,
                row.lateral[pair.solid],
                half_second,
                if pair.round { 0.0 } else { half_first },
            );
            let travel = by_second + by_first;
            let solid = &self.solids[pair.solid];
            let world_from_body = match &turned {
                Some((body, matrix)) if *body == solid.body => *matrix,
                _ => self.world_from_body(&row.posture, solid.body, middle),
            };
            turned = Some((solid.body, world_from_body));
            let obstacle = &self.obstacles[pair.keep_out];
            let window = Window {
                enough: self.allowance + travel,
                little: Some(self.allowance - travel),
            };
            let shift = nalgebra::Vector3::zeros();
            let distance =
                self.solid_distance(solid, &world_from_body, &shift, obstacle, window, scratch);
            if distance.least >= window.enough {
                continue;
            }
            seen(*index, distance);
            let nearest = distance.least.min(distance.most);
            if judgement.nearest.is_none_or(|(_, least)| nearest < least) {
                judgement.nearest = Some((*index, nearest));
            }
            let surely = distance.most + travel < self.allowance
                || (distance.most < self.allowance
                    && self.surely_overlaps(solid, &world_from_body, obstacle, travel, scratch));
            if surely {
                blocked = true;
            } else {
                open.push(*index);
                judgement.travel[0] = judgement.travel[0].max(by_second);
                judgement.travel[1] = judgement.travel[1].max(by_first);
            }
        }
        judgement.certainty = if blocked {
            Certainty::Blocked
        } else if open.is_empty() {
            Certainty::Clear
        } else {
            Certainty::Open
        };
        judgement
    }
}
