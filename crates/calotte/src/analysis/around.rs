//! What the surroundings leave of the working range: coverage among keep-outs, the room
//! the motion takes, where to park and whether every direction can be reached from there.

use nalgebra::Vector3;

use crate::brief::KeepOut;
use crate::kinematics::WorkingRange;
use crate::sphere::{AzimuthSet, unit};
use crate::subject::{Model, Subject};
use crate::surroundings::{
    Approach, Clearance, CoverageCell, RemainingCoverage, ShapeError, Surroundings, SweptRoom,
    TRAVEL_MIN, park_range,
};

use super::requirements::Requirements;
use super::ring::{RingPlace, pose_at};

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

/// Distance of the azimuths at which keep-outs are looked at, rad.
const LOOKED_AT: f64 = std::f64::consts::PI / 36.0;
/// How often the distance between a clear azimuth and one that is not is halved.
const HALVED: u32 = 10;

/// The part of arcs that is clear.
fn clear_arcs(arcs: &AzimuthSet, clear: &impl Fn(f64) -> bool) -> AzimuthSet {
    let mut taken = AzimuthSet::empty();
    let mut take = |from: f64, to: f64| {
        let rest = taken
            .complement()
            .difference(&AzimuthSet::between(from, to));
        taken = rest.complement();
    };
    for [from, to] in arcs.merged() {
        let count = ((to - from) / LOOKED_AT).ceil().max(1.0) as u32;
        let at = |index: u32| from + (to - from) * f64::from(index) / f64::from(count);
        let flags: Vec<bool> = (0..=count).map(|index| clear(at(index))).collect();
        for (pair, index) in flags.windows(2).zip(0u32..) {
            let (lo, hi) = (at(index), at(index + 1));
            match (pair[0], pair[1]) {
                (true, true) => take(lo, hi),
                (true, false) => take(lo, last_clear(lo, hi, clear)),
                (false, true) => take(last_clear(hi, lo, clear), hi),
                (false, false) => {}
            }
        }
    }
    taken
}

/// The last clear azimuth on the way from one that is clear to one that is not.
fn last_clear(clear_end: f64, blocked_end: f64, clear: &impl Fn(f64) -> bool) -> f64 {
    let (mut free, mut blocked) = (clear_end, blocked_end);
    for _ in 0..HALVED {
        let middle = 0.5 * (free + blocked);
        if clear(middle) {
            free = middle;
        } else {
            blocked = middle;
        }
    }
    free
}

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

    /// Takes the directions that are not clear out of a ring: of its arcs what is clear on
    /// either side of every [`LOOKED_AT`], to a [`HALVED`]th of it.
    pub(super) fn keep_clear(&self, model: &Model, place: &mut RingPlace) {
        let clear = |azimuth: f64| {
            pose_at(model, place.second, azimuth)
                .ok()
                .and_then(|pose| self.surroundings.is_clear(pose.mechanism).ok())
                .unwrap_or(false)
        };
        place.arcs = clear_arcs(&place.arcs, &clear);
        place.azimuths.retain(|azimuth| clear(*azimuth));
    }

    /// Least and greatest share of the region that remains covered, and what each keep-out
    /// takes.
    pub(super) fn coverage(&self, range: &WorkingRange) -> ([f64; 2], Vec<(String, f64)>) {
        let map = self.map(range);
        (map.fraction(), self.taken(&map))
    }

    fn map(&self, range: &WorkingRange) -> RemainingCoverage {
        let region = self.subject.region();
        self.surroundings
            .remaining_coverage(range, region, TRAVEL_MIN)
    }

    fn taken(&self, map: &RemainingCoverage) -> Vec<(String, f64)> {
        let share = |area: f64| {
            if map.required > 0.0 {
                area / map.required
            } else {
                0.0
            }
        };
        let names = self.keep_outs.iter().map(|keep_out| keep_out.name.clone());
        names
            .zip(map.taken.iter().map(|area| share(*area)))
            .collect()
    }

    pub(super) fn report(
        &self,
        range: &WorkingRange,
        way_in: Option<Vector3<f64>>,
    ) -> SurroundingsReport {
        let region = self.subject.region();
        let map = self.map(range);
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
            taken: self.taken(&map),
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
