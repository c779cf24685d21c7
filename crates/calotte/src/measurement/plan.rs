//! What to measure: configurations that tell the parameters best, in an order that moves
//! little.
//!
//! The identification matrix has the derivatives of all planned points by every parameter
//! (in errors of typical size) and by the tracker's pose. The plan makes its least singular
//! value great, over the parameters that points of the working range can tell at all: what
//! cannot be told by all of them together is left out of account.

use nalgebra::{DMatrix, DVector, SymmetricEigen, Vector2, Vector3};
use thiserror::Error;

use super::data::PointRow;
use super::fit::approaches;
use super::problem::{Problem, Sample};
use super::registration::Registration;
use super::selection::select;
use crate::design::Design;
use crate::elasticity::ElasticityError;
use crate::family::real::PhysicalModel;
use crate::kinematics::{Margins, WorkingRange};
use crate::number::shown::millimetres;
use crate::subject::{Motion, Subject};

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
}

impl Default for PlanOptions {
    fn default() -> Self {
        Self {
            count: 30,
            repeated: 3,
            times: 5,
            noise: 0.1e-3,
        }
    }
}

/// A design made ready for a plan: with the margins that its configurations keep.
///
/// # Errors
/// [`ElasticityError`] for a design that cannot be built.
pub fn to_plan(design: &Design) -> Result<Subject, ElasticityError> {
    let margins = Margins {
        lci_min: 0.05,
        transmission_angle_min: 15.0 / 180.0 * std::f64::consts::PI,
    };
    Subject::alone(design, margins)
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

/// A plan with what it tells.
#[derive(Debug, Clone, PartialEq)]
pub struct Plan {
    /// What to measure, in order.
    pub configurations: Vec<PlannedConfiguration>,
    /// Least singular value of the scaled identification matrix over the noise.
    pub minimum_singular_value: f64,
    /// The same of the regular grid of as many configurations.
    pub of_grid: f64,
    /// The same of 100 random plans of as many configurations, ascending.
    pub of_random: Vec<f64>,
    /// Positions of the parameters that are told, with the standard error expected of each,
    /// SI.
    pub told: Vec<(usize, f64)>,
    /// Positions of the parameters that are not.
    pub not_told: Vec<usize>,
    /// Sum of the joints' motion from row to row, rad.
    pub motion: f64,
}

/// A plan that cannot be made.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum PlanError {
    /// No configuration has the margins.
    #[error("no configuration of the drives' range has the margins; nothing can be measured")]
    NoRange,
    /// Too few configurations.
    #[error("{0} configurations are too few for a plan; give 8 or more")]
    TooFew(usize),
    /// Too many configurations.
    #[error("{0} configurations are more than {max}; give fewer", max = COUNT_MAX)]
    TooMany(usize),
    /// More configurations to repeat than there are.
    #[error("{repeated} configurations cannot be repeated of {count}; repeat {count} or fewer")]
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
}

/// Most configurations of a plan.
const COUNT_MAX: usize = 500;
/// Most rows of a plan.
const ROWS_MAX: usize = 2000;
/// Places of the first and second mechanism angle among which a plan chooses.
const PLACES: [usize; 2] = [25, 17];
/// Random plans compared with.
const RANDOM_PLANS: usize = 100;
/// Share of the least singular value that the order of measuring must keep, of what both
/// sides of the backlash in equal parts would give.
const ORDER_KEEPS: f64 = 0.95;
/// Pieces of the way that are tried the other way round in a round, and rounds.
const TURNS: [usize; 2] = [60, 40];
/// Times each row is looked at for a better one.
const PASSES: usize = 40;

/// Makes a plan for a design made ready by [`to_plan`].
///
/// # Errors
/// [`PlanError`] for a linkage that has no range, or a number of
/// configurations that makes no plan.
pub fn plan(
    subject: &Subject,
    model: &PhysicalModel,
    options: &PlanOptions,
) -> Result<Plan, PlanError> {
    if options.count < 8 {
        return Err(PlanError::TooFew(options.count));
    }
    if options.count > COUNT_MAX {
        return Err(PlanError::TooMany(options.count));
    }
    if options.repeated > options.count {
        let (repeated, count) = (options.repeated, options.count);
        return Err(PlanError::Repeated { repeated, count });
    }
    // In a type that holds every product of two.
    let again = options.repeated as u128 * options.times.saturating_sub(1) as u128;
    let rows = options.count as u128 + again;
    if rows > ROWS_MAX as u128 {
        return Err(PlanError::TooManyRows(rows));
    }
    if !(options.noise > 0.0 && options.noise.is_finite()) {
        return Err(PlanError::Noise(options.noise));
    }
    let range = subject.motion.widest_range().ok_or(PlanError::NoRange)?;
    let room = Room::new(&subject.motion, range);
    let candidates = room.grid(PLACES);
    let table = Table::new(model, &candidates, options);
    if table.blocks.len() < options.count {
        return Err(PlanError::NoRange);
    }
    let chosen = table.best(options.count);
    let mut readings: Vec<[f64; 2]> = chosen.iter().map(|slot| table.readings[*slot]).collect();
    order(&mut readings);
    let mut random = Sequence::new();
    let aim = ORDER_KEEPS * table.least_of(&chosen) / options.noise;
    go_to_and_fro(&mut readings, aim, &mut random, |readings| {
        table.rated(model, readings, options.noise).0
    });
    let rows = with_repeats(&readings, options);
    let rated = |readings: &[[f64; 2]]| table.rated(model, readings, options.noise);
    let mut of_random: Vec<f64> = (0..RANDOM_PLANS)
        .map(|_| {
            let plan: Vec<[f64; 2]> = (0..options.count)
                .map(|_| room.random(&mut random))
                .collect();
            rated(&plan).0
        })
        .collect();
    of_random.sort_by(f64::total_cmp);
    let side = (options.count as f64).sqrt().ceil() as usize;
    let mut grid = room.grid([options.count.div_ceil(side), side]);
    grid.truncate(options.count);
    let (minimum_singular_value, _) = rated(&readings);
    let all: Vec<[f64; 2]> = rows.iter().map(|row| row.0).collect();
    let (_, errors) = rated(&all);
    let told: Vec<(usize, f64)> = table.told.iter().copied().zip(errors).collect();
    let nominal = model.nominal();
    let configurations = rows
        .into_iter()
        .map(|(readings, group)| PlannedConfiguration {
            expected: model
                .sensor(readings, [0.0; 2], &nominal)
                .unwrap_or_default(),
            readings,
            group,
        })
        .collect();
    Ok(Plan {
        configurations,
        minimum_singular_value,
        of_grid: rated(&grid).0,
        of_random,
        not_told: (0..model.parameters.len())
            .filter(|index| !table.told.contains(index))
            .collect(),
        told,
        motion: motion(&all),
    })
}

/// Where configurations may lie.
struct Room {
    first: [f64; 2],
    second: [f64; 2],
    /// Whether the first angle runs round.
    round: bool,
    active_from_mechanism: nalgebra::Matrix2<f64>,
}

impl Room {
    fn new(motion: &Motion, range: &WorkingRange) -> Self {
        let limits = motion.drive_range().first;
        Self {
            first: limits.unwrap_or([-std::f64::consts::PI, std::f64::consts::PI]),
            round: limits.is_none(),
            second: range.second,
            active_from_mechanism: motion
                .kinematics
                .meridian
                .mechanism_from_active
                .try_inverse()
                .unwrap_or_else(nalgebra::Matrix2::identity),
        }
    }

    fn readings(&self, first: f64, second: f64) -> [f64; 2] {
        let active = self.active_from_mechanism * Vector2::new(first, second);
        [active.x, active.y]
    }

    /// A regular grid, the ends of the range included, a full turn counted once.
    fn grid(&self, [along, across]: [usize; 2]) -> Vec<[f64; 2]> {
        let steps =
            |count: usize, round: bool| (if round { count } else { count - 1 }).max(1) as f64;
        let at = |[from, to]: [f64; 2], i: usize, steps: f64| from + (to - from) * i as f64 / steps;
        (0..across)
            .flat_map(|j| (0..along).map(move |i| (i, j)))
            .map(|(i, j)| {
                self.readings(
                    at(self.first, i, steps(along, self.round)),
                    at(self.second, j, steps(across, false)),
                )
            })
            .collect()
    }

    fn random(&self, sequence: &mut Sequence) -> [f64; 2] {
        let at = |[from, to]: [f64; 2], share: f64| from + (to - from) * share;
        let (a, b) = (sequence.next(), sequence.next());
        self.readings(at(self.first, a), at(self.second, b))
    }
}

/// Numbers that look random, the same every time (xorshift64*, Vigna 2016).
struct Sequence(u64);

impl Sequence {
    fn new() -> Self {
        Self(0x9E37_79B9_7F4A_7C15)
    }

    /// In [0, 1).
    fn next(&mut self) -> f64 {
        self.0 ^= self.0 >> 12;
        self.0 ^= self.0 << 25;
        self.0 ^= self.0 >> 27;
        let bits = self.0.wrapping_mul(0x2545_F491_4F6C_DD1D) >> 11;
        bits as f64 / (1u64 << 53) as f64
    }
}

/// Derivatives of every place a plan may take.
struct Table {
    readings: Vec<[f64; 2]>,
    /// For each place the part of the information matrix it brings.
    blocks: Vec<DMatrix<f64>>,
    told: Vec<usize>,
}

impl Table {
    fn new(model: &PhysicalModel, candidates: &[[f64; 2]], options: &PlanOptions) -> Self {
        let all: Vec<usize> = (0..model.parameters.len())
            .filter(|index| *index != model.unobservable_zero())
            .collect();
        let nominal = model.nominal();
        let readings: Vec<[f64; 2]> = candidates
            .iter()
            .copied()
            .filter(|readings| model.sensor(*readings, [0.0; 2], &nominal).is_some())
            .collect();
        // Both sides of the backlash are met as the plan goes to and fro.
        let sides = |slot: usize| [[1.0, 1.0], [-1.0, 1.0], [1.0, -1.0], [-1.0, -1.0]][slot % 4];
        let rows = rows_of(&readings);
        let samples: Vec<Sample> = rows
            .iter()
            .enumerate()
            .map(|(slot, row)| Sample {
                row,
                approach: sides(slot),
                sag: Vector3::zeros(),
            })
            .collect();
        let information = about(model, &samples).normal(&all).matrix;
        // As many rows as are planned bring this share of what all candidates do.
        let share = (options.count as f64 / readings.len().max(1) as f64).sqrt();
        let mut told: Vec<usize> = select(&information, &all, options.noise / share, 1.0)
            .iter()
            .filter(|t| t.fitted)
            .map(|t| t.index)
            .collect();
        told.sort_unstable();
        let blocks = samples
            .iter()
            .map(|sample| {
                about(model, std::slice::from_ref(sample))
                    .normal(&told)
                    .matrix
            })
            .collect();
        Self {
            readings,
            blocks,
            told,
        }
    }

    /// Places whose information matrix has the greatest least eigenvalue: begun with what
    /// the greatest volume asks for, then one place after the other exchanged.
    fn best(&self, count: usize) -> Vec<usize> {
        let size = self.blocks[0].nrows();
        let mut sum: DMatrix<f64> = DMatrix::identity(size, size) * 1e-12;
        let mut chosen: Vec<usize> = Vec::new();
        while chosen.len() < count {
            let Some(factor) = sum.clone().cholesky() else {
                break;
            };
            let inverse = factor.inverse();
            let next = (0..self.blocks.len())
                .filter(|slot| !chosen.contains(slot))
                .max_by(|a, b| {
                    let gain = |slot: usize| inverse.dot(&self.blocks[slot]);
                    gain(*a).total_cmp(&gain(*b)).then(b.cmp(a))
                });
            let Some(next) = next else { break };
            sum += &self.blocks[next];
            chosen.push(next);
        }
        let (mut least, mut soft) = softest(&sum);
        for _ in 0..PASSES {
            let mut better = false;
            let worth = |slot: usize, soft: &DVector<f64>| (&self.blocks[slot] * soft).dot(soft);
            let mut incoming: Vec<usize> = (0..self.blocks.len())
                .filter(|slot| !chosen.contains(slot))
                .collect();
            incoming.sort_by(|a, b| worth(*b, &soft).total_cmp(&worth(*a, &soft)));
            'search: for new in incoming.iter().take(40) {
                let mut outgoing: Vec<usize> = (0..chosen.len()).collect();
                outgoing
                    .sort_by(|a, b| worth(chosen[*a], &soft).total_cmp(&worth(chosen[*b], &soft)));
                for place in outgoing.iter().take(12) {
                    let trial = &sum - &self.blocks[chosen[*place]] + &self.blocks[*new];
                    let (found, direction) = softest(&trial);
                    if found > least * (1.0 + 1e-9) {
                        chosen[*place] = *new;
                        (sum, least, soft) = (trial, found, direction);
                        better = true;
                        break 'search;
                    }
                }
            }
            if !better {
                break;
            }
        }
        chosen
    }

    /// Least singular value of some places, each with its own side of the backlash, m.
    fn least_of(&self, chosen: &[usize]) -> f64 {
        let size = self.blocks[0].nrows();
        let mut sum = DMatrix::zeros(size, size);
        for slot in chosen {
            sum += &self.blocks[*slot];
        }
        softest(&sum).0.max(0.0).sqrt()
    }

    /// Least singular value over the noise, and the standard errors of what is told, SI, of a
    /// plan in its order.
    fn rated(&self, model: &PhysicalModel, readings: &[[f64; 2]], noise: f64) -> (f64, Vec<f64>) {
        let rows = rows_of(readings);
        let sides = approaches(&rows);
        let samples: Vec<Sample> = rows
            .iter()
            .zip(sides)
            .map(|(row, approach)| Sample {
                row,
                approach,
                sag: Vector3::zeros(),
            })
            .collect();
        let information = about(model, &samples).normal(&self.told).matrix;
        let (least, _) = softest(&information);
        let errors = information.cholesky().map_or_else(
            || vec![f64::INFINITY; self.told.len()],
            |factor| {
                let covariance = factor.inverse();
                self.told
                    .iter()
                    .enumerate()
                    .map(|(i, index)| {
                        noise * covariance[(i, i)].sqrt() * model.parameters[*index].typical
                    })
                    .collect()
            },
        );
        (least.max(0.0).sqrt() / noise, errors)
    }
}

fn rows_of(readings: &[[f64; 2]]) -> Vec<PointRow> {
    readings
        .iter()
        .enumerate()
        .map(|(index, readings)| PointRow {
            row: index + 1,
            readings: *readings,
            point: Vector3::zeros(),
            orientation: None,
            group: String::new(),
        })
        .collect()
}

/// The closed form about the design's values, every row counted.
fn about<'d>(model: &'d PhysicalModel, samples: &'d [Sample<'d>]) -> Problem<'d> {
    let pose = Registration {
        rotation: nalgebra::Matrix3::identity(),
        translation: Vector3::zeros(),
    };
    let weights = vec![1.0; samples.len()];
    Problem::new(model, samples, weights, Vec::new(), model.nominal(), pose)
}

/// Least eigenvalue and its direction.
fn softest(matrix: &DMatrix<f64>) -> (f64, DVector<f64>) {
    let found = SymmetricEigen::new(matrix.clone());
    let least = found.eigenvalues.imin();
    (
        found.eigenvalues[least],
        found.eigenvectors.column(least).into_owned(),
    )
}

fn distance(a: &[f64; 2], b: &[f64; 2]) -> f64 {
    (a[0] - b[0]).abs() + (a[1] - b[1]).abs()
}

/// Sum of the joints' motion from row to row, rad.
fn motion(readings: &[[f64; 2]]) -> f64 {
    readings
        .windows(2)
        .map(|pair| distance(&pair[0], &pair[1]))
        .sum()
}

/// Puts configurations into an order of little motion: the nearest next, then pieces of the
/// way turned round while that shortens it.
fn order(readings: &mut [[f64; 2]]) {
    for done in 1..readings.len() {
        let next = (done..readings.len()).min_by(|a, b| {
            let far = |i: usize| distance(&readings[done - 1], &readings[i]);
            far(*a).total_cmp(&far(*b))
        });
        if let Some(next) = next {
            readings.swap(done, next);
        }
    }
    let count = readings.len();
    let mut shorter = true;
    while shorter {
        shorter = false;
        for from in 0..count - 1 {
            for to in from + 1..count {
                let before = |i: usize, j: usize| distance(&readings[i], &readings[j]);
                let mut old = 0.0;
                let mut new = 0.0;
                if from > 0 {
                    old += before(from - 1, from);
                    new += before(from - 1, to);
                }
                if to + 1 < count {
                    old += before(to, to + 1);
                    new += before(from, to + 1);
                }
                if new < old - 1e-12 {
                    readings[from..=to].reverse();
                    shorter = true;
                }
            }
        }
    }
}

/// Turns pieces of the way round until the sides from which the readings are approached
/// tell the backlash from what it looks like, at little more motion.
fn go_to_and_fro(
    readings: &mut Vec<[f64; 2]>,
    aim: f64,
    random: &mut Sequence,
    rate: impl Fn(&[[f64; 2]]) -> f64,
) {
    let count = readings.len();
    let mut now = rate(readings);
    for _ in 0..TURNS[1] {
        if now >= aim {
            return;
        }
        let before = motion(readings);
        let mut best: Option<(f64, f64, Vec<[f64; 2]>)> = None;
        for _ in 0..TURNS[0] {
            let a = (random.next() * count as f64) as usize;
            let b = (random.next() * count as f64) as usize;
            let mut trial = readings.clone();
            if random.next() < 0.5 {
                trial[a.min(b)..=a.max(b)].reverse();
            } else {
                let row = trial.remove(a);
                trial.insert(b, row);
            }
            let found = rate(&trial);
            // What is gained, for each radian more of motion.
            let worth = (found.min(aim) - now) / (motion(&trial) - before).max(0.1);
            if found > now && best.as_ref().is_none_or(|(known, ..)| worth > *known) {
                best = Some((worth, found, trial));
            }
        }
        let Some((_, found, trial)) = best else {
            continue;
        };
        now = found;
        *readings = trial;
    }
}

/// Rows of a plan with its repeats: the repeated configurations are come back to, evenly
/// spread, after all have been measured once.
fn with_repeats(readings: &[[f64; 2]], options: &PlanOptions) -> Vec<([f64; 2], String)> {
    let count = readings.len();
    let repeated = options.repeated;
    let places: Vec<usize> = (0..repeated)
        .map(|i| (2 * i + 1) * count / (2 * repeated.max(1)))
        .collect();
    let group = |place: usize| {
        let found = places.iter().position(|p| *p == place);
        found.map_or(String::new(), |index| format!("repeat-{}", index + 1))
    };
    let mut rows: Vec<([f64; 2], String)> = (0..count)
        .map(|place| (readings[place], group(place)))
        .collect();
    for round in 1..options.times.max(1) {
        let mut round_places = places.clone();
        if round % 2 == 1 {
            round_places.reverse();
        }
        rows.extend(
            round_places
                .iter()
                .map(|place| (readings[*place], group(*place))),
        );
    }
    rows
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::design::sample::two_arc_arm;
    use crate::design::{DriveLayout, Family, ScissorLinkage};

    fn scissor(stages: usize, layout: DriveLayout) -> Design {
        let mut design = two_arc_arm([1.0, 1.0]);
        design.family =
            Family::scissor_linkage(ScissorLinkage::uniform(stages, 0.85 / stages as f64));
        design.drives.layout = layout;
        design
    }

    /// The plan tells what is told worst better than every random plan and than the grid.
    #[test]
    fn plans_beat_random_ones() {
        for design in [
            scissor(1, DriveLayout::TwoBars),
            scissor(2, DriveLayout::TwoBars),
            scissor(2, DriveLayout::SwingAndOpening),
            two_arc_arm([0.9, 0.8]),
        ] {
            let model = PhysicalModel::new(&design).unwrap();
            let found = plan(&to_plan(&design).unwrap(), &model, &PlanOptions::default()).unwrap();
            let median = found.of_random[RANDOM_PLANS / 2];
            assert!(
                found.minimum_singular_value > 1.6 * median,
                "{} {median}",
                found.minimum_singular_value
            );
            assert!(found.minimum_singular_value > found.of_random[RANDOM_PLANS - 1]);
            assert!(found.minimum_singular_value > found.of_grid);
            assert_eq!(found.configurations.len(), 30 + 3 * 4);
        }
    }
}
