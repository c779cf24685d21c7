//! What the surroundings leave of the working range: coverage among keep-outs, the room
//! the motion takes, where to park and whether every direction can be reached from there.

use crate::brief::KeepOut;
use crate::built::Built;
use crate::design::Design;
use crate::interference::Clearing;
use crate::kinematics::{Kinematics, WorkingRange};
use crate::sphere::Region;
use crate::surroundings::{
    Clearance, CoverageCell, Obstacle, ShapeError, Surroundings, SweptRoom, TRAVEL_MIN, park_range,
};

use super::ring::{Model, RingResult, pose_at};

/// Distance kept from the ends of the range when looking for a place to park, rad: there
/// the linkage may be singular.
const OFF_SINGULAR: f64 = 5e-3;

/// What keep-outs leave.
#[derive(Debug, Clone, PartialEq)]
pub struct SurroundingsReport {
    /// Least and greatest share of the required region that remains covered; what lies
    /// between is undecided.
    pub remaining: [f64; 2],
    /// Share of the required region that each keep-out takes by itself, with its name.
    pub taken: Vec<(String, f64)>,
    /// The cells of the map, for drawing.
    pub cells: Vec<CoverageCell>,
    /// The room the motion takes; `None` where it has no answer.
    pub swept: Option<SweptRoom>,
    /// Where the linkage takes least room while clear; `None` if nowhere.
    pub park: Option<ParkReport>,
}

/// A configuration to park in.
#[derive(Debug, Clone, PartialEq)]
pub struct ParkReport {
    /// Mechanism angles, rad.
    pub mechanism: [f64; 2],
    /// Greatest angle of any moving point from the base axis, rad.
    pub cap: f64,
    /// What is nearest there: part, keep-out, distance in m.
    pub nearest: Option<(String, String, f64)>,
    /// Whether all clear directions are joined with it through clear configurations.
    pub all_joined: bool,
}

/// Keep-outs with what moves among them.
pub(super) struct Around<'a> {
    obstacles: &'a [Obstacle],
    keep_outs: &'a [KeepOut],
    surroundings: Surroundings<'a>,
    built: &'a Built,
}

/// Keep-outs ready for distances.
///
/// # Errors
/// [`ShapeError`] for a shape that is none, such as a surface that is not closed.
pub(super) fn obstacles(keep_outs: &[KeepOut]) -> Result<Vec<Obstacle>, ShapeError> {
    keep_outs.iter().map(Obstacle::new).collect()
}

impl<'a> Around<'a> {
    pub(super) fn new(
        design: &Design,
        kinematics: &'a Kinematics,
        built: &'a Built,
        keep_outs: &'a [KeepOut],
        obstacles: &'a [Obstacle],
        allowance: f64,
    ) -> Self {
        Self {
            obstacles,
            keep_outs,
            surroundings: Surroundings::new(design, kinematics, built, obstacles, allowance),
            built,
        }
    }

    /// Takes the directions that are not clear out of the rings.
    pub(super) fn keep_clear(&self, model: &Model, rings: &mut Vec<RingResult>) {
        for ring in rings.iter_mut() {
            let second = ring.second;
            ring.points.retain(|point| {
                pose_at(model, second, point.azimuth)
                    .ok()
                    .and_then(|pose| self.surroundings.is_clear(pose.mechanism).ok())
                    .unwrap_or(false)
            });
        }
        rings.retain(|ring| !ring.points.is_empty());
    }

    pub(super) fn report(
        &self,
        design: &Design,
        kinematics: &Kinematics,
        range: &WorkingRange,
        region: &Region,
    ) -> SurroundingsReport {
        let map = self
            .surroundings
            .remaining_coverage(range, region, TRAVEL_MIN);
        let share = |area: f64| {
            if map.required > 0.0 {
                area / map.required
            } else {
                0.0
            }
        };
        let mut whole = park_range(kinematics, &design.drives.range, range);
        whole.second = self.free_of_parts(design, kinematics, whole.second, range);
        let park = self.surroundings.park(&whole).map(|park| {
            let ways = self.surroundings.free_ways(
                park.mechanism,
                &whole,
                range,
                region,
                5.0 * TRAVEL_MIN,
            );
            ParkReport {
                mechanism: park.mechanism,
                cap: park.cap,
                nearest: park.nearest.map(|nearest| self.named(&nearest)),
                all_joined: ways.all_reachable(),
            }
        });
        debug_assert_eq!(self.obstacles.len(), self.keep_outs.len());
        SurroundingsReport {
            remaining: map.fraction(),
            taken: self
                .keep_outs
                .iter()
                .zip(&map.taken)
                .map(|(keep_out, area)| (keep_out.name.clone(), share(*area)))
                .collect(),
            cells: map.cells,
            swept: self.surroundings.swept_room(range).ok(),
            park,
        }
    }

    /// The part of a range about the working range in which no two parts touch, off the
    /// singular ends.
    fn free_of_parts(
        &self,
        design: &Design,
        kinematics: &Kinematics,
        whole: [f64; 2],
        range: &WorkingRange,
    ) -> [f64; 2] {
        let middle = 0.5 * (range.second[0] + range.second[1]);
        let free = Clearing::new(design, kinematics, self.built)
            .and_then(|clearing| clearing.free_range(whole, middle))
            .map_or(range.second, |free| free.range);
        [
            range.second[0].min(free[0] + OFF_SINGULAR),
            range.second[1].max(free[1] - OFF_SINGULAR),
        ]
    }

    fn named(&self, nearest: &Clearance) -> (String, String, f64) {
        (
            self.built.solids[nearest.solid].name.clone(),
            self.keep_outs[nearest.keep_out].name.clone(),
            nearest.distance,
        )
    }
}
