//! Where configurations may lie: the working range with its margins; with a brief, where the
//! tool points into its region and all parts keep clear of its keep-outs.

use std::f64::consts::PI;

use crate::analysis::Requirements;
use crate::kinematics::Kinematics;
use crate::sphere::Region;
use crate::subject::Subject;
use crate::surroundings::Surroundings;

use super::PlanError;
use super::sequence::Sequence;

/// Places of the first and second mechanism angle among which a plan of up to 200
/// configurations chooses.
const PLACES: [usize; 2] = [25, 17];
/// Places for each configuration at least.
const PLACES_EACH: usize = 2;
/// How often the places are made denser where few are allowed: each time twice in both angles.
const DENSER: usize = 4;
/// Halvings of a step between an allowed place and one that is not.
const HALVED: usize = 20;
/// Draws of one allowed place.
const DRAWS: usize = 2000;
/// Distance kept from an edge, rad: some readings as a sheet writes them.
const BACK: f64 = 0.01 / 180.0 * PI;
/// Readings that a sheet writes alike, rad: a thousandth of a degree.
const ALIKE: f64 = 1e-3 / 180.0 * PI;

/// Where configurations may lie.
#[derive(Debug)]
pub(super) struct Room<'a> {
    kinematics: &'a Kinematics,
    /// Ends of the first mechanism angle, rad.
    pub(super) first: [f64; 2],
    /// Ends of the second, rad.
    pub(super) second: [f64; 2],
    /// Whether the first angle runs round.
    pub(super) round: bool,
    region: Option<&'a Region>,
    surroundings: Option<Surroundings<'a>>,
}

impl<'a> Room<'a> {
    /// # Errors
    /// [`PlanError`] without a working range, or for keep-outs that are none.
    pub(super) fn new(
        subject: &'a Subject,
        requirements: Option<&'a Requirements>,
    ) -> Result<Self, PlanError> {
        let motion = &subject.motion;
        let built = subject.design.is_built();
        let range = if built {
            subject.range()?
        } else {
            motion.widest_range()
        };
        let range = range.ok_or(PlanError::NoRange)?;
        let limits = motion.drive_range().first;
        let obstacles = match requirements {
            Some(requirements) if built => requirements.obstacles()?,
            _ => &[],
        };
        let allowance = requirements.map_or(0.0, |requirements| requirements.allowance);
        let region = requirements.map(|_| subject.region());
        Ok(Self {
            kinematics: subject.kinematics(),
            first: limits.unwrap_or([-PI, PI]),
            round: limits.is_none(),
            second: range.second,
            // Single directions bound nothing.
            region: region.filter(|region| !region.is_points()),
            surroundings: (!obstacles.is_empty()).then(|| {
                let (design, built) = (&subject.design, &subject.built);
                Surroundings::new(design, subject.kinematics(), built, obstacles, allowance)
            }),
        })
    }

    /// Whether the tool points into the region and nothing comes too near.
    pub(super) fn allows(&self, mechanism: [f64; 2]) -> bool {
        let in_region = self.region.is_none_or(|region| {
            let pose = self.kinematics.forward_from_mechanism(mechanism);
            pose.is_ok_and(|pose| region.contains(&pose.direction.vector()))
        });
        in_region && self.is_clear(mechanism)
    }

    /// Whether nothing comes too near at readings, rad.
    pub(super) fn clears(&self, readings: [f64; 2]) -> bool {
        self.is_clear(self.kinematics.mechanism_from_active(readings))
    }

    fn is_clear(&self, mechanism: [f64; 2]) -> bool {
        let around = self.surroundings.as_ref();
        around.is_none_or(|around| around.is_clear(mechanism).unwrap_or(false))
    }

    /// Whether there is anything but the range that bounds.
    fn is_bounded(&self) -> bool {
        self.region.is_some() || self.surroundings.is_some()
    }

    fn readings(&self, mechanism: [f64; 2]) -> [f64; 2] {
        self.kinematics.active_from_mechanism(mechanism)
    }

    /// A regular grid of mechanism angles, the ends of the range included, a full turn counted
    /// once; row by row of the second angle.
    fn mechanism_grid(&self, [along, across]: [usize; 2]) -> Vec<[f64; 2]> {
        let steps =
            |count: usize, round: bool| (if round { count } else { count - 1 }).max(1) as f64;
        let at = |[from, to]: [f64; 2], i: usize, steps: f64| from + (to - from) * i as f64 / steps;
        (0..across)
            .flat_map(|j| (0..along).map(move |i| (i, j)))
            .map(|(i, j)| {
                let first = at(self.first, i, steps(along, self.round));
                [first, at(self.second, j, steps(across, false))]
            })
            .collect()
    }

    /// Readings of so many configurations on a regular grid of what is allowed, or of fewer
    /// where there are not as many.
    pub(super) fn grid(&self, count: usize) -> Vec<[f64; 2]> {
        let side = (count as f64).sqrt().ceil() as usize;
        let size = [count.div_ceil(side), side];
        let mut allowed = Vec::new();
        for denser in 0..=DENSER {
            allowed = self.mechanism_grid(size.map(|n| n << denser));
            if !self.is_bounded() {
                break;
            }
            allowed.retain(|mechanism| self.allows(*mechanism));
            if allowed.len() >= count {
                allowed = thinned(&allowed, count);
                break;
            }
        }
        allowed.truncate(count);
        allowed.into_iter().map(|m| self.readings(m)).collect()
    }

    /// Readings of all places among which a plan of so many configurations chooses: a grid with
    /// the ends of the range, and the edges of what is allowed; none twice.
    pub(super) fn places(&self, count: usize) -> Vec<[f64; 2]> {
        let least = PLACES_EACH * count;
        let usual = PLACES[0] * PLACES[1];
        let finer = (least as f64 / usual as f64).max(1.0).sqrt();
        let size = PLACES.map(|n| (n as f64 * finer).ceil() as usize);
        let mut places = Vec::new();
        for denser in 0..=DENSER {
            places = self.allowed_of(size.map(|n| n << denser));
            if !self.is_bounded() || places.len() >= least.max(usual / 4) {
                break;
            }
        }
        if places.len() > 2 * least.max(usual) {
            places = thinned(&places, least.max(usual));
        }
        let mut readings: Vec<[f64; 2]> = Vec::with_capacity(places.len());
        let mut known = std::collections::HashSet::new();
        for place in places {
            let reading = self.readings(place);
            if known.insert(reading.map(|angle| (angle / ALIKE).round() as i64)) {
                readings.push(reading);
            }
        }
        readings
    }

    /// Allowed places of a grid, and where lines of the grid leave what is allowed.
    fn allowed_of(&self, size: [usize; 2]) -> Vec<[f64; 2]> {
        let grid = self.mechanism_grid(size);
        if !self.is_bounded() {
            return grid;
        }
        let allowed: Vec<bool> = grid.iter().map(|place| self.allows(*place)).collect();
        let mut places: Vec<[f64; 2]> = Vec::new();
        let [along, across] = size;
        for j in 0..across {
            for i in 0..along {
                let here = j * along + i;
                if allowed[here] {
                    places.push(grid[here]);
                }
                let next_along = (i + 1 < along).then_some(here + 1);
                let next_across = (j + 1 < across).then_some(here + along);
                for other in [next_along, next_across].into_iter().flatten() {
                    if allowed[here] != allowed[other] {
                        let [inside, outside] = if allowed[here] {
                            [grid[here], grid[other]]
                        } else {
                            [grid[other], grid[here]]
                        };
                        places.push(self.edge(inside, outside));
                    }
                }
            }
        }
        places
    }

    /// The last place on the way out that stays allowed when its readings are rounded.
    fn edge(&self, inside: [f64; 2], outside: [f64; 2]) -> [f64; 2] {
        let [mut last, mut beyond] = [inside, outside];
        for _ in 0..HALVED {
            let middle = [0, 1].map(|k| 0.5 * (last[k] + beyond[k]));
            if self.allows(middle) {
                last = middle;
            } else {
                beyond = middle;
            }
        }
        let back = [inside[0] - last[0], inside[1] - last[1]];
        let share = (BACK / back[0].hypot(back[1])).min(1.0);
        let short = [0, 1].map(|k| last[k] + share * back[k]);
        if self.allows(short) { short } else { inside }
    }

    /// Readings of a random place; `None` where hardly any is allowed.
    pub(super) fn random(&self, sequence: &mut Sequence) -> Option<[f64; 2]> {
        let at = |[from, to]: [f64; 2], share: f64| from + (to - from) * share;
        for _ in 0..DRAWS {
            let (a, b) = (sequence.next(), sequence.next());
            let place = [at(self.first, a), at(self.second, b)];
            if !self.is_bounded() || self.allows(place) {
                return Some(self.readings(place));
            }
        }
        None
    }

    /// How far readings lie from the middle of the range, in parts of it.
    pub(super) fn off_middle(&self, readings: [f64; 2]) -> f64 {
        let mechanism = self.kinematics.mechanism_from_active(readings);
        let off = |angle: f64, [from, to]: [f64; 2]| {
            (angle - 0.5 * (from + to)).abs() / (to - from).max(ALIKE)
        };
        off(mechanism[0], self.first) + off(mechanism[1], self.second)
    }
}

/// Every so many-th of a list, evenly.
fn thinned(list: &[[f64; 2]], count: usize) -> Vec<[f64; 2]> {
    let every = list.len() as f64 / count.max(1) as f64;
    (0..count)
        .map(|i| list[((i as f64 + 0.5) * every) as usize % list.len()])
        .collect()
}
