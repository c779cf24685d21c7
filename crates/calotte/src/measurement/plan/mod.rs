//! What to measure: configurations that tell the parameters best, in an order that moves
//! little and yet mistakes no drift for a parameter.
//!
//! The identification matrix has the derivatives of all planned points by every parameter
//! (in errors of typical size) and by the tracker's pose. The plan makes its least singular
//! value great, over the parameters that points of the working range can tell at all: what
//! cannot be told by all of them together is left out of account.
//!
//! What the fit will then say is foreseen by simulated campaigns; it is less than what can be
//! told at all, as the fit also doubts which part is at fault.
//!
//! Parts: `room` (where configurations may lie), `table` (derivatives of all places and the
//! choice among them), [`course`] (the order), [`drift`] (what an order mistakes a drift for),
//! `foreseen` (what the fit will say), `sequence` (random numbers, of equal seeds the same).

pub mod course;
pub mod drift;
mod foreseen;
mod room;
mod sequence;
mod table;

use nalgebra::Vector3;
use thiserror::Error;

use crate::analysis::Requirements;
use crate::design::{Design, DriveRange};
use crate::elasticity::ElasticityError;
use crate::family::real::PhysicalModel;
use crate::interference::ClearingError;
use crate::kinematics::Margins;
use crate::number::shown::millimetres;
use crate::quantity::Quantity;
use crate::sphere::Direction;
use crate::subject::Subject;
use crate::surroundings::ShapeError;

use course::{Course, Stops, motion, shorten};
use drift::{Judge, Mistaken};
use foreseen::Foreseen;
use room::Room;
use sequence::Sequence;
use table::Table;

/// What is planned for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PlanOptions {
    /// Number of configurations.
    pub count: usize,
    /// How many of them are measured again.
    pub repeated: usize,
    /// How often each of those is measured in all.
    pub times: usize,
    /// Standard deviation expected of a component of the noise, m.
    pub noise: f64,
    /// What the random order begins with; of equal ones it is the same.
    pub seed: u32,
}

impl Default for PlanOptions {
    fn default() -> Self {
        Self {
            count: 30,
            repeated: 3,
            times: 5,
            noise: 0.1e-3,
            seed: 0,
        }
    }
}

/// Margins of a plan's configurations where no brief says others.
pub const MARGINS: Margins = Margins {
    lci_min: 0.05,
    transmission_angle_min: 15.0 / 180.0 * std::f64::consts::PI,
};

/// A design made ready for a plan: with the margins that its configurations keep, those of a
/// brief where it limits them.
///
/// # Errors
/// [`ElasticityError`] for a design that cannot be built.
pub fn to_plan(
    design: &Design,
    requirements: Option<&Requirements>,
) -> Result<Subject, ElasticityError> {
    let Some(requirements) = requirements else {
        return Subject::alone(design, MARGINS);
    };
    let limit = |quantity, usual| requirements.limits.get(quantity).unwrap_or(usual);
    let margins = Margins {
        lci_min: limit(Quantity::LciMin, MARGINS.lci_min),
        transmission_angle_min: limit(Quantity::TransmissionAngle, MARGINS.transmission_angle_min),
    };
    Subject::new(design, &requirements.region, margins, margins)
}

/// One configuration of a plan, in the order of measuring.
#[derive(Debug, Clone, PartialEq)]
pub struct PlannedConfiguration {
    /// Readings of the active joints, rad.
    pub readings: [f64; 2],
    /// Where the design has the sensor, base frame, m.
    pub expected: Vector3<f64>,
    /// Name of its group of repeats; empty if it is measured once.
    pub group: String,
}

/// What a range narrower than the linkage's own costs.
#[derive(Debug, Clone, PartialEq)]
pub struct Narrowed {
    /// Whether the drives' range narrows it.
    pub by_drives: bool,
    /// Whether a brief does.
    pub by_brief: bool,
    /// Positions of the parameters that the whole range identifies and this one does not.
    pub lost: Vec<usize>,
    /// Positions of those with at least [`WORSE`] times the standard error of the whole range,
    /// and how many times, from regular grids of as many configurations.
    pub worse: Vec<(usize, f64)>,
}

/// A plan with what it tells.
#[derive(Debug, Clone, PartialEq)]
pub struct Plan {
    /// What to measure, in order.
    pub configurations: Vec<PlannedConfiguration>,
    /// Least singular value over the noise of the scaled identification matrix of the
    /// parameters [`Plan::chosen_for`].
    pub minimum_singular_value: f64,
    /// The same of the regular grid of as many configurations.
    pub of_grid: f64,
    /// The same of 100 random plans of as many configurations, ascending.
    pub of_random: Vec<f64>,
    /// Positions of the parameters that a fit of these rows will call identifiable in nine of ten
    /// campaigns of prototypes within tolerance, with the standard error that it will print of
    /// each (the median), SI.
    pub told: Vec<(usize, f64)>,
    /// Positions of all others.
    pub not_told: Vec<usize>,
    /// Positions of the parameters that the configurations are chosen for: all whose tolerance
    /// moves the points of the range, as far as nothing else makes up for it, by more than the
    /// noise.
    pub chosen_for: Vec<usize>,
    /// What a narrow range costs; `None` where the range is the linkage's own.
    pub narrowed: Option<Narrowed>,
    /// Sum of the joints' motion from row to row, rad.
    pub motion: f64,
    /// The same on the shortest way found through every configuration once, rad.
    pub shortest: f64,
    /// What this order mistakes a drift in time for.
    pub mistaken: Mistaken,
    /// Ends of the tool's polar angle over the configurations, rad.
    pub polar: [f64; 2],
    /// Rows, from 1, that a straight way of the joints from the row before reaches only
    /// nearer to a keep-out than the brief allows, looked at every two degrees.
    pub not_straight: Vec<usize>,
}

/// A plan that cannot be made.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum PlanError {
    /// No configuration has the margins.
    #[error("no configuration of the drives' range has the margins; nothing can be measured")]
    NoRange,
    /// No configuration is allowed.
    #[error(
        "no configuration has the margins, points into the brief's region and keeps clear of its keep-outs; nothing can be measured"
    )]
    NothingAllowed,
    /// Fewer different configurations than asked for.
    #[error(
        "the range leaves {found} different readings, of which {count} configurations cannot be chosen; widen the range, or give fewer"
    )]
    Narrow {
        /// Different readings found.
        found: usize,
        /// How many were asked for.
        count: usize,
    },
    /// Points of all configurations together do not place the tracker.
    #[error(
        "all configurations of the range together identify no parameter; widen the drives' range"
    )]
    TellsNothing,
    /// Too few configurations.
    #[error("{0} configurations are too few for a plan; give 8 or more")]
    TooFew(usize),
    /// Too many configurations.
    #[error("{0} configurations are more than {max}; give fewer", max = COUNT_MAX)]
    TooMany(usize),
    /// More configurations to repeat than there are beside the one at start, middle and end.
    #[error(
        "{repeated} configurations cannot be repeated of {count}, one of which is measured at start, middle and end; repeat {} or fewer",
        count - 1
    )]
    Repeated {
        /// How many were to be repeated.
        repeated: usize,
        /// How many there are.
        count: usize,
    },
    /// Too many rows, repeats counted.
    #[error("{0} rows, repeats counted, are more than {max}; repeat fewer, or less often", max = ROWS_MAX)]
    TooManyRows(u128),
    /// No noise, or no number.
    #[error("a noise of {} is none; give a length above 0", millimetres(.0))]
    Noise(f64),
    /// Parts that cannot be kept clear of each other.
    #[error(transparent)]
    Clearing(#[from] ClearingError),
    /// A keep-out that is none.
    #[error(transparent)]
    KeepOut(#[from] ShapeError),
}

/// Most configurations of a plan.
const COUNT_MAX: usize = 500;
/// Most rows of a plan.
const ROWS_MAX: usize = 2000;
/// Random plans compared with.
const RANDOM_PLANS: usize = 100;
/// Share of the least singular value that the order of measuring must keep, of what both
/// sides of the backlash in equal parts would give.
const ORDER_KEEPS: f64 = 0.95;
/// Orders tried until one keeps it.
const ORDERS: usize = 4;
/// What is asked of an order while it is looked for, of what it must keep.
const RESERVE: f64 = 1.01;
/// Times the standard error of the whole range from which on a narrow range is said to tell a
/// parameter worse.
pub const WORSE: f64 = 3.0;
/// Name of the group that is measured at start, middle and end.
pub const ANCHOR_GROUP: &str = "start-middle-end";
/// Rows of that group.
const ANCHORED: usize = 3;
/// Step in which a way between two rows is looked at, rad.
const WAY_STEP: f64 = 2.0 / 180.0 * std::f64::consts::PI;

/// Makes a plan for a design made ready by [`to_plan`].
///
/// # Arguments
/// - `requirements`: of a brief: configurations point into its region and, where the design
///   says what is built, keep clear of its keep-outs.
///
/// # Errors
/// [`PlanError`] for a linkage that has no range, or a number of
/// configurations that makes no plan.
pub fn plan(
    subject: &Subject,
    model: &PhysicalModel,
    requirements: Option<&Requirements>,
    options: &PlanOptions,
) -> Result<Plan, PlanError> {
    checked(options)?;
    let room = Room::new(subject, requirements)?;
    let places = room.places(options.count);
    if places.is_empty() {
        return Err(PlanError::NothingAllowed);
    }
    let table = Table::new(model, &places, options);
    let found = table.readings.len();
    if found < options.count {
        let count = options.count;
        return Err(PlanError::Narrow { found, count });
    }
    if table.told.is_empty() {
        return Err(PlanError::TellsNothing);
    }
    let chosen = table.best(options.count);
    let readings: Vec<[f64; 2]> = on_a_short_way(&chosen, &table.readings);
    let shortest = motion(&readings);
    let anchor = nearest_to_middle(&room, &readings);
    let repeated = evenly(options.repeated, readings.len(), anchor);
    let aim = ORDER_KEEPS * table.least_of(&chosen);
    let stops = Stops {
        readings: &readings,
        anchor,
        repeated: &repeated,
        times: options.times,
    };
    let judge = Judge::new(
        model,
        &readings,
        &stops.visits(),
        &table.told,
        RESERVE * aim,
    )
    .ok_or(PlanError::TellsNothing)?;
    let mut random = Sequence::new(u64::from(options.seed));
    let noise = options.noise;
    let (course, once) = ordered(
        &table,
        &stops,
        &judge,
        (shortest, aim / noise),
        noise,
        &mut random,
    )
    .ok_or(PlanError::TellsNothing)?;
    let along: Vec<[f64; 2]> = course.order.iter().map(|stop| readings[*stop]).collect();
    let told = Foreseen::new(model, &along, noise).told();
    let rated = |plan: &[[f64; 2]]| table.rated(plan, &course::sides(plan), options.noise);
    let mut of_random: Vec<f64> = (0..RANDOM_PLANS)
        .map(|_| {
            let plan: Vec<[f64; 2]> = (0..options.count)
                .map(|_| {
                    let any = || table.readings[0];
                    room.random(&mut random).unwrap_or_else(any)
                })
                .collect();
            rated(&plan)
        })
        .collect();
    of_random.sort_by(f64::total_cmp);
    let configurations = configurations(model, &stops, &course);
    let polar = configurations
        .iter()
        .map(|row| Direction::of(&row.expected).polar);
    Ok(Plan {
        minimum_singular_value: once,
        of_grid: rated(&room.grid(options.count)),
        of_random,
        not_told: (0..model.parameters.len())
            .filter(|index| told.iter().all(|one| one.0 != *index))
            .collect(),
        narrowed: narrowed(subject, model, requirements, (&room, &told), options)?,
        told,
        chosen_for: table.told,
        motion: course.motion,
        shortest,
        mistaken: course.mistaken,
        polar: polar.fold([f64::INFINITY, 0.0], |[low, high], polar| {
            [polar.min(low), polar.max(high)]
        }),
        not_straight: not_straight(&room, &along),
        configurations,
    })
}

fn checked(options: &PlanOptions) -> Result<(), PlanError> {
    let (repeated, count) = (options.repeated, options.count);
    if count < 8 {
        return Err(PlanError::TooFew(count));
    }
    if count > COUNT_MAX {
        return Err(PlanError::TooMany(count));
    }
    if repeated >= count {
        return Err(PlanError::Repeated { repeated, count });
    }
    // In a type that holds every product of two.
    let again = repeated as u128 * options.times.saturating_sub(1) as u128;
    let rows = count as u128 + again + (ANCHORED - 1) as u128;
    if rows > ROWS_MAX as u128 {
        return Err(PlanError::TooManyRows(rows));
    }
    if !(options.noise > 0.0 && options.noise.is_finite()) {
        return Err(PlanError::Noise(options.noise));
    }
    Ok(())
}

/// Readings of places on a short way through all.
fn on_a_short_way(chosen: &[usize], readings: &[[f64; 2]]) -> Vec<[f64; 2]> {
    let mut order = chosen.to_vec();
    shorten(&mut order, readings);
    order.iter().map(|slot| readings[*slot]).collect()
}

/// The configuration nearest to the middle of the range, which all others are near to.
fn nearest_to_middle(room: &Room, readings: &[[f64; 2]]) -> usize {
    let off = |stop: usize| room.off_middle(readings[stop]);
    (0..readings.len())
        .min_by(|a, b| off(*a).total_cmp(&off(*b)))
        .unwrap_or(0)
}

/// So many of a list evenly spread, one left out.
fn evenly(wanted: usize, count: usize, without: usize) -> Vec<usize> {
    let rest: Vec<usize> = (0..count).filter(|stop| *stop != without).collect();
    (0..wanted)
        .map(|i| rest[(2 * i + 1) * rest.len() / (2 * wanted)])
        .collect()
}

/// An order that keeps what both sides of the backlash tell, and what each configuration
/// measured once tells in it; the best of those tried.
fn ordered(
    table: &Table,
    stops: &Stops,
    judge: &Judge,
    (shortest, aim): (f64, f64),
    noise: f64,
    random: &mut Sequence,
) -> Option<(Course, f64)> {
    let mut best: Option<(Course, f64)> = None;
    for _ in 0..ORDERS {
        let course = stops.ordered(judge, shortest, random);
        let mut known = vec![false; stops.readings.len()];
        let mut first = Vec::new();
        // The first row is reached from neither side; its configuration is come back to.
        for (row, stop) in course.order.iter().enumerate().skip(1) {
            if !std::mem::replace(&mut known[*stop], true) {
                first.push((stops.readings[*stop], course.approaches[row]));
            }
        }
        let (readings, sides): (Vec<_>, Vec<_>) = first.into_iter().unzip();
        let least = table.rated(&readings, &sides, noise);
        if best.as_ref().is_none_or(|(_, known)| least > *known) {
            best = Some((course, least));
        }
        if least >= aim {
            break;
        }
    }
    best
}

fn configurations(
    model: &PhysicalModel,
    stops: &Stops,
    course: &Course,
) -> Vec<PlannedConfiguration> {
    let nominal = model.nominal();
    let group = |stop: usize| {
        if stop == stops.anchor {
            return ANCHOR_GROUP.to_string();
        }
        let found = stops.repeated.iter().position(|other| *other == stop);
        found.map_or(String::new(), |index| format!("repeat-{}", index + 1))
    };
    course
        .order
        .iter()
        .map(|stop| {
            let readings = stops.readings[*stop];
            PlannedConfiguration {
                expected: model
                    .sensor(readings, [0.0; 2], &nominal)
                    .unwrap_or_default(),
                readings,
                group: group(*stop),
            }
        })
        .collect()
}

/// Compares with the range that the linkage itself has, both by a regular grid.
///
/// # Arguments
/// - `told`: what the plan itself identifies.
fn narrowed(
    subject: &Subject,
    model: &PhysicalModel,
    requirements: Option<&Requirements>,
    (room, told): (&Room, &[(usize, f64)]),
    options: &PlanOptions,
) -> Result<Option<Narrowed>, PlanError> {
    let by_drives = subject.design.drives.range != DriveRange::default();
    if !by_drives && requirements.is_none() {
        return Ok(None);
    }
    let mut free = subject.design.clone();
    free.drives.range = DriveRange::default();
    let Ok(free) = to_plan(&free, None) else {
        return Ok(None);
    };
    let by_grid = |room: &Room| Foreseen::new(model, &room.grid(options.count), options.noise);
    let here = by_grid(room);
    let whole = by_grid(&Room::new(&free, None)?).told();
    let is_told = |index: usize| told.iter().any(|one| one.0 == index);
    let lost = whole.iter().map(|one| one.0).filter(|one| !is_told(*one));
    let worse = whole.iter().filter_map(|(index, there)| {
        let times = here.error(*index)? / there;
        (is_told(*index) && times >= WORSE).then_some((*index, times))
    });
    Ok(Some(Narrowed {
        by_drives,
        by_brief: requirements.is_some(),
        lost: lost.collect(),
        worse: worse.collect(),
    }))
}

/// Rows that a straight way of the joints does not reach clear of the keep-outs.
fn not_straight(room: &Room, readings: &[[f64; 2]]) -> Vec<usize> {
    let blocked = |pair: &[[f64; 2]]| {
        let [from, to] = [pair[0], pair[1]];
        let far = (to[0] - from[0]).abs().max((to[1] - from[1]).abs());
        let steps = (far / WAY_STEP).ceil() as usize;
        (1..steps).any(|step| {
            let share = step as f64 / steps as f64;
            !room.clears([0, 1].map(|k| from[k] + (to[k] - from[k]) * share))
        })
    };
    readings
        .windows(2)
        .enumerate()
        .filter(|(_, pair)| blocked(pair))
        .map(|(row, _)| row + 2)
        .collect()
}

#[cfg(test)]
mod tests;
