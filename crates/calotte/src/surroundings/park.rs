//! The park configuration: where the linkage takes the least room while clear.
//!
//! The room is measured by the cap about the base axis that holds everything that
//! moves: "all of it lies within so many degrees of the base axis". Turning about the
//! base axis does not change it, so the second mechanism angle is chosen by the cap
//! and the first by the greatest least distance from the keep-outs.

use std::f64::consts::TAU;

use crate::design::DriveRange;
use crate::kinematics::working_range::{Limit, all_ranges};
use crate::kinematics::{Kinematics, KinematicsError, Margins, WorkingRange};

use super::clear::{Clearance, Posture, Surroundings};
use super::coverage::TRAVEL_MIN;
use super::motion::base_axis;
use super::piece_distance::Scratch;

/// Second mechanism angles looked at over the range.
const SECONDS: usize = 240;

/// First mechanism angles looked at over the range.
const FIRSTS: usize = 72;

/// A configuration to park in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Park {
    /// Mechanism angles, rad.
    pub mechanism: [f64; 2],
    /// Greatest angle of any moving point from the base axis, rad.
    pub cap: f64,
    /// The least distance that counts there; `None` if nothing does.
    pub nearest: Option<Clearance>,
}

/// Distance a park configuration keeps from singularities, in the second mechanism angle,
/// rad: 0.5°. At a singularity the linkage can leave its assembly mode.
const OFF_SINGULAR: f64 = std::f64::consts::PI / 360.0;

/// The range in which a design may park: that of the drives, without margins, in the
/// assembly mode of the working range, ending 0.5° before singularities.
pub fn park_range(
    kinematics: &Kinematics,
    drive_range: &DriveRange,
    working: &WorkingRange,
) -> WorkingRange {
    let middle = 0.5 * (working.second[0] + working.second[1]);
    all_ranges(kinematics, drive_range, &Margins::default())
        .into_iter()
        .find(|range| range.second[0] <= middle && middle <= range.second[1])
        .map_or_else(
            || working.clone(),
            |mut range| {
                let [from, to] = range.second;
                let off = range.limits.map(|limit| match limit {
                    Limit::DriveRange | Limit::NaturalSpan => 0.0,
                    _ => OFF_SINGULAR,
                });
                range.second = [
                    (from + off[0]).min(working.second[0]),
                    (to - off[1]).max(working.second[1]),
                ];
                range
            },
        )
}

impl Surroundings<'_> {
    /// The cap about the base axis that holds everything that moves, rad.
    ///
    /// # Errors
    /// [`KinematicsError`] where the bars do not close.
    pub fn cap_at(&self, second: f64) -> Result<f64, KinematicsError> {
        Ok(self.cap_of(&self.posture(second)?))
    }

    fn cap_of(&self, posture: &Posture) -> f64 {
        let mut cap: f64 = 0.0;
        for solid in self.solids.iter().filter(|solid| solid.body != 0) {
            let axis = posture.rotations[solid.body].inverse() * base_axis();
            for piece in &solid.pieces {
                let [_, far] = piece.core_polar_range(&axis);
                cap = cap.max(far + piece.spread_max());
            }
        }
        cap.min(std::f64::consts::PI)
    }

    /// The clear configuration that takes the least room, looked for on a grid of
    /// 1/240 of the second angle's range and 5° (or 1/72 of the range) of the first, the
    /// second then refined; `None` if nothing on the grid is clear with 1 mm to spare,
    /// which keeps it apart from what the maps leave undecided.
    pub fn park(&self, range: &WorkingRange) -> Option<Park> {
        let [from, to] = range.second;
        let step = (to - from) / SECONDS as f64;
        let mut seconds: Vec<(f64, f64)> = (0..=SECONDS)
            .map(|index| from + (to - from) * index as f64 / SECONDS as f64)
            .filter_map(|second| Some((self.cap_at(second).ok()?, second)))
            .collect();
        seconds.sort_by(|a, b| a.0.total_cmp(&b.0));
        let firsts = self.firsts_to_try(range);
        let mut scratch = Scratch::default();
        let found = seconds.iter().find_map(|(_, second)| {
            let posture = self.posture(*second).ok()?;
            let first = self.roomiest(&posture, &firsts, &mut scratch)?;
            Some([first, *second])
        })?;
        let [first, second] = self.refined(found, step, range, &mut scratch);
        let posture = self.posture(second).ok()?;
        Some(Park {
            mechanism: [first, second],
            cap: self.cap_of(&posture),
            nearest: self.nearest_at(&posture, first, &mut scratch),
        })
    }

    /// First angles on a grid, those nearest to the middle of the range first.
    fn firsts_to_try(&self, range: &WorkingRange) -> Vec<f64> {
        let [from, to] = range.first.unwrap_or([-0.5 * TAU, 0.5 * TAU]);
        let middle = 0.5 * (from + to);
        if self.same_all_around() {
            return vec![middle];
        }
        let mut firsts: Vec<f64> = (0..=FIRSTS)
            .map(|index| from + (to - from) * index as f64 / FIRSTS as f64)
            .collect();
        firsts.sort_by(|a, b| (a - middle).abs().total_cmp(&(b - middle).abs()));
        firsts
    }

    /// The first angle with the greatest least distance, if that is enough to park.
    fn roomiest(&self, posture: &Posture, firsts: &[f64], scratch: &mut Scratch) -> Option<f64> {
        if self.pairs.is_empty() {
            return firsts.first().copied();
        }
        let mut best: Option<(f64, f64)> = None;
        for first in firsts {
            let least = best.map_or(self.to_park(), |(distance, _)| distance);
            // Only what is more by a millimetre is worth the exact distance.
            let wanted = if best.is_some() { least + 1e-3 } else { least };
            if !self.keeps(posture, *first, wanted, scratch) {
                continue;
            }
            let distance = self
                .nearest_at(posture, *first, scratch)
                .map_or(f64::INFINITY, |nearest| nearest.distance);
            best = Some((distance, *first));
        }
        best.map(|(_, first)| first)
    }

    fn to_park(&self) -> f64 {
        self.allowance + 2.0 * TRAVEL_MIN
    }

    /// Moves the second angle by ever smaller steps while the cap shrinks.
    fn refined(
        &self,
        [first, second]: [f64; 2],
        step: f64,
        range: &WorkingRange,
        scratch: &mut Scratch,
    ) -> [f64; 2] {
        let mut best = second;
        let mut cap = self.cap_at(second).unwrap_or(f64::INFINITY);
        let mut step = step;
        for _ in 0..16 {
            step *= 0.5;
            for side in [-step, step] {
                let next = (best + side).clamp(range.second[0], range.second[1]);
                let Ok(posture) = self.posture(next) else {
                    continue;
                };
                let smaller = self.cap_of(&posture);
                if smaller < cap && self.keeps(&posture, first, self.to_park(), scratch) {
                    (best, cap) = (next, smaller);
                }
            }
        }
        [first, best]
    }
}
