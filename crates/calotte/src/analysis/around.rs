//! What the surroundings leave of the working range: coverage among keep-outs, the room
//! the motion takes, where to park and whether every direction can be reached from there.

use nalgebra::Vector3;

use crate::brief::KeepOut;
use crate::kinematics::WorkingRange;
use crate::sphere::unit;
use crate::subject::{Model, Subject};
use crate::surroundings::{
    Approach, Clearance, CoverageCell, ShapeError, Surroundings, SweptRoom, TRAVEL_MIN, park_range,
};

use super::requirements::Requirements;
use super::ring::{RingResult, pose_at};

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
    /// The straight way in, parked; `None` where it has no answer.
    pub way_in: Option<WayInReport>,
}

/// A straight way in from far away to the place.
#[derive(Debug, Clone, PartialEq)]
pub struct WayInReport {
    /// The way it moves, in the world, unit.
    pub direction: Vector3<f64>,
    /// What it meets first; `None` if nothing.
    pub meets: Option<Met>,
    /// Where it meets something: another straight way that is free, if one of 26 is.
    pub free_instead: Option<Vector3<f64>>,
}

/// What a way in meets.
#[derive(Debug, Clone, PartialEq)]
pub struct Met {
    /// Name of the part; `None` where the way itself comes out of a half-space.
    pub part: Option<String>,
    /// Name of the keep-out.
    pub keep_out: String,
    /// Distance still to go to the place, m; `None` with `part`.
    pub remaining: Option<f64>,
}

/// Corners, edges and faces of a cube: the other ways that are tried.
const WAYS_TRIED: i8 = 1;

/// Keep-outs with what moves among them.
pub(super) struct Around<'a> {
    keep_outs: &'a [KeepOut],
    surroundings: Surroundings<'a>,
    subject: &'a Subject,
}

impl<'a> Around<'a> {
    /// `None` where nothing is built or nothing stands around.
    ///
    /// # Errors
    /// As of [`Requirements::obstacles`].
    pub(super) fn new(
        subject: &'a Subject,
        requirements: &'a Requirements,
    ) -> Result<Option<Self>, ShapeError> {
        let obstacles = requirements.obstacles()?;
        let around = subject.design.is_built() && !obstacles.is_empty();
        Ok(around.then(|| Self {
            keep_outs: requirements.keep_outs(),
            surroundings: Surroundings::new(
                &subject.design,
                subject.kinematics(),
                &subject.built,
                obstacles,
                requirements.allowance,
            ),
            subject,
        }))
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
        range: &WorkingRange,
        way_in: Option<Vector3<f64>>,
    ) -> SurroundingsReport {
        let region = self.subject.region();
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
        let drive_range = self.subject.motion.drive_range();
        let mut whole = park_range(self.subject.kinematics(), drive_range, range);
        whole.second = self.free_of_parts(whole.second, range);
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
                way_in: self.way_in(park.mechanism, way_in),
            }
        });
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
    fn free_of_parts(&self, whole: [f64; 2], range: &WorkingRange) -> [f64; 2] {
        let middle = 0.5 * (range.second[0] + range.second[1]);
        let free = self
            .subject
            .clearing()
            .and_then(|clearing| clearing.free_range(whole, middle))
            .map_or(range.second, |free| free.range);
        [
            range.second[0].min(free[0] + OFF_SINGULAR),
            range.second[1].max(free[1] - OFF_SINGULAR),
        ]
    }

    /// The straight way in of the parked design.
    fn way_in(&self, mechanism: [f64; 2], asked: Option<Vector3<f64>>) -> Option<WayInReport> {
        let direction = unit(&asked.unwrap_or(-self.subject.design.mount.axis))?;
        let meets = self.met(mechanism, &direction)?;
        let free_instead = meets.is_some().then(|| {
            let steps = -WAYS_TRIED..=WAYS_TRIED;
            let ways = steps.clone().flat_map(|x| {
                let steps = steps.clone();
                steps.clone().flat_map(move |y| {
                    steps
                        .clone()
                        .map(move |z| Vector3::new(f64::from(x), f64::from(y), f64::from(z)))
                })
            });
            let mut ways: Vec<Vector3<f64>> = ways.filter_map(|way| unit(&way)).collect();
            // The one that differs least from what was asked.
            ways.sort_by(|a, b| b.dot(&direction).total_cmp(&a.dot(&direction)));
            ways.into_iter()
                .find(|way| self.met(mechanism, way) == Some(None))
        });
        Some(WayInReport {
            direction,
            meets,
            free_instead: free_instead.flatten(),
        })
    }

    /// What a straight way in meets; `None` without an answer.
    fn met(&self, mechanism: [f64; 2], direction: &Vector3<f64>) -> Option<Option<Met>> {
        let name = |keep_out: usize| self.keep_outs[keep_out].name.clone();
        let found = self.surroundings.approach(mechanism, direction).ok()?;
        Some(match found {
            Approach::Clear => None,
            Approach::Touches {
                solid,
                keep_out,
                remaining,
            } => Some(Met {
                part: Some(self.subject.built.solids[solid].name.clone()),
                keep_out: name(keep_out),
                remaining: Some(remaining),
            }),
            Approach::FromInside { keep_out } => Some(Met {
                part: None,
                keep_out: name(keep_out),
                remaining: None,
            }),
        })
    }

    fn named(&self, nearest: &Clearance) -> (String, String, f64) {
        (
            self.subject.built.solids[nearest.solid].name.clone(),
            self.keep_outs[nearest.keep_out].name.clone(),
            nearest.distance,
        )
    }
}
