//! Which weights to hang where: so that what the gauge sees stands out of its noise, and
//! nothing comes near yield; with the torque that each puts on each drive.

use nalgebra::{Vector2, Vector3};

use super::plan::Plan;
use crate::analysis::Requirements;
use crate::analysis::ring::solve_ring;
use crate::brief::{Load, LoadCase, LoadPlace, LoadVector};
use crate::elasticity::ElasticityError;
use crate::kinematics::jacobian::body_rates;
use crate::kinematics::{Pose, WorkingRange};
use crate::quantity::Quantity;
use crate::sphere::Direction;
use crate::statics::STANDARD_GRAVITY;
use crate::subject::{Model, Subject};

/// What weights keep to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WeightsAsked {
    /// Standard deviation of a reading of the gauge, m.
    pub gauge_noise: f64,
    /// Heaviest weight, kg.
    pub mass_max: f64,
    /// Safety against yield that is kept.
    pub safety_min: f64,
    /// Torque that every drive or brake holds, N·m; `None` where nothing says it.
    pub holding: Option<f64>,
}

impl WeightsAsked {
    /// Without a brief, or with one: no more than its greatest force of known size, its safety
    /// against yield where that is more than is kept anyway, and its limit on the holding
    /// torque, under load before that of weight alone.
    pub fn new(gauge_noise: f64, requirements: Option<&Requirements>) -> Self {
        let limit = |quantity| requirements.and_then(|asks| asks.limits.get(quantity));
        let loads = requirements.map_or(&[][..], |asks| &asks.loads);
        let forces = loads.iter().flat_map(|case| &case.loads);
        let greatest = forces
            .map(|load| match &load.force {
                LoadVector::Local(force) | LoadVector::World(force) => force.norm(),
                LoadVector::Any(sought) => sought.size,
            })
            .fold(0.0, f64::max);
        let mass_max = if greatest > 0.0 {
            MASS_MAX.min(greatest / STANDARD_GRAVITY)
        } else {
            MASS_MAX
        };
        Self {
            gauge_noise,
            mass_max,
            safety_min: limit(Quantity::SafetyFactor).map_or(SAFETY_MIN, |s| s.max(SAFETY_MIN)),
            holding: limit(Quantity::LoadHoldingTorque).or(limit(Quantity::HoldingTorque)),
        }
    }
}

/// One configuration with the weights that hang there.
#[derive(Debug, Clone, PartialEq)]
pub struct PlannedWeights {
    /// Readings of the active joints, rad.
    pub readings: [f64; 2],
    /// Polar angle of the tool, rad.
    pub polar: f64,
    /// Where the tool points, world, unit.
    pub tool: Vector3<f64>,
    /// Where the weight pulls, world, unit: down, or level to either side where it is led over a
    /// pulley.
    pub pull: Vector3<f64>,
    /// Masses in the order of putting them on, kg.
    pub masses: Vec<f64>,
    /// Where the tip goes under one newton of that pull, world, unit.
    pub axis: Vector3<f64>,
    /// Displacement along that axis by one newton, m/N.
    pub per_newton: f64,
    /// Least safety against yield with the greatest weight and own weight; `None` where
    /// nothing is known of it.
    pub safety: Option<f64>,
    /// Displacement by the smallest weight over the gauge's noise.
    pub signal: f64,
    /// Torque that each drive gives against its own arm and tool, N·m, signed as its reading.
    pub own_torque: [f64; 2],
    /// Torque that each drive gives with each of the masses, own weight included, N·m.
    pub torques: Vec<[f64; 2]>,
    /// Torque that every drive or brake holds, N·m; `None` where nothing says it.
    pub holding: Option<f64>,
}

impl PlannedWeights {
    /// Whether a torque is more than is known to be held.
    pub fn exceeds(&self, torque: [f64; 2]) -> bool {
        self.holding
            .is_some_and(|holds| torque.iter().any(|one| one.abs() > holds))
    }

    /// The masses, from the first on, that the drives are known not to hold.
    pub fn not_held(&self) -> Vec<f64> {
        let all = self.masses.iter().zip(&self.torques);
        all.filter(|(_, torque)| self.exceeds(**torque))
            .map(|(mass, _)| *mass)
            .collect()
    }
}

/// Weights of a set as sold, kg: nominal values of OIML R 111 (1, 2 and 5 times powers of ten;
/// the sequence 1, 2, 2, 5), from memory.
pub const SET: [f64; 12] = [
    5.0, 2.0, 2.0, 1.0, 0.5, 0.2, 0.2, 0.1, 0.05, 0.02, 0.02, 0.01,
];

/// The weights of one set that make up a mass, the heaviest first; what remains below the
/// smallest is left.
pub fn pieces(mass: f64) -> Vec<f64> {
    let grams = |mass: f64| (mass * 1e3).round() as i64;
    let mut left = grams(mass);
    let mut taken = Vec::new();
    for piece in SET {
        if grams(piece) <= left {
            left -= grams(piece);
            taken.push(piece);
        }
    }
    taken
}

/// What a gauge's reading must exceed its noise by.
pub const SIGNAL_MIN: f64 = 10.0;
/// Safety against yield that is kept (common practice, no source).
pub const SAFETY_MIN: f64 = 3.0;
/// Weights put on one after the other.
const STEPS: usize = 4;
/// Heaviest weight, kg: what one hand still holds (common practice, no source).
const MASS_MAX: f64 = 5.0;

/// Mechanism angles, rad, at which weights are hung: near both ends of the range and in its
/// middle; with a plan that keeps to a brief, those of its configurations that are nearest.
pub fn weight_places(
    subject: &Subject,
    range: &WorkingRange,
    plan: Option<&Plan>,
) -> Vec<[f64; 2]> {
    let kinematics = subject.kinematics();
    let within = |[from, to]: [f64; 2], share: f64| from + (to - from) * share;
    let first = match subject.motion.drive_range().first {
        Some(ends) if !(ends[0]..=ends[1]).contains(&0.0) => within(ends, 0.5),
        _ => 0.0,
    };
    let shares = [0.1, 0.5, 0.9];
    let Some(plan) = plan else {
        return shares
            .map(|share| [first, within(range.second, share)])
            .to_vec();
    };
    let mut known: Vec<[f64; 2]> = plan
        .configurations
        .iter()
        .map(|row| kinematics.mechanism_from_active(row.readings))
        .collect();
    known.sort_by(|a, b| a[1].total_cmp(&b[1]));
    let (Some(low), Some(high)) = (known.first(), known.last()) else {
        return Vec::new();
    };
    let ends = [low[1], high[1]];
    let mut places: Vec<[f64; 2]> = shares
        .iter()
        .filter_map(|share| {
            let wanted = within(ends, *share);
            let off = |place: &[f64; 2]| (place[1] - wanted).abs();
            known
                .iter()
                .min_by(|a, b| off(a).total_cmp(&off(b)))
                .copied()
        })
        .collect();
    places.dedup();
    places
}

/// Plans weights at the tool tip: hung straight down, and led over a pulley to pull level,
/// across the meridian, to either side. Pulls of one direction bend bars and tilt joints in one
/// proportion, so that the two could not be told apart; pulls to both sides go through the whole
/// play and show the hysteresis from either end of it.
///
/// # Arguments
/// - `places`: mechanism angles, rad, see [`weight_places`].
///
/// # Errors
/// [`ElasticityError`] for a design that cannot be built or is singular there.
pub fn plan_weights(
    subject: &Subject,
    places: &[[f64; 2]],
    asked: &WeightsAsked,
) -> Result<Vec<PlannedWeights>, ElasticityError> {
    let model = subject.model()?;
    let tip = subject.design.tool.tip_radius;
    places
        .iter()
        .filter_map(|place| model.kinematics.forward_from_mechanism(*place).ok())
        .flat_map(|pose| {
            let down = Vector3::new(0.0, 0.0, -1.0);
            let across = model.base_from_world.transpose() * pose.frame.azimuth;
            let level = (across - down * across.dot(&down)).try_normalize(1e-6);
            let pulls = [Some(down), level, level.map(|level| -level)];
            let pulls = pulls.into_iter().flatten();
            pulls.map(move |pull| (pose.clone(), pull))
        })
        .map(|(pose, pull)| at(model, &pose, pull, tip, asked))
        .collect()
}

fn at(
    model: &Model,
    pose: &Pose,
    pull: Vector3<f64>,
    tip: f64,
    asked: &WeightsAsked,
) -> Result<PlannedWeights, ElasticityError> {
    let linkage = &model.kinematics.linkage;
    let in_base = linkage.tool_direction(&pose.configuration);
    let direction = Direction::of(&in_base);
    let solved = model.structure.solve(&pose.configuration, &pose.frame)?;
    let world_from_base = model.base_from_world.transpose();
    let to_world = world_from_base * pose.frame.rotation();
    let compliance = solved.tip_compliance();
    let block = compliance.fixed_view::<3, 3>(0, 0);
    let moved = to_world * block * to_world.transpose() * pull;
    let axis = moved.try_normalize(0.0).unwrap_or(pull);
    let per_newton = moved.norm();
    // The smallest weight stands ten times out of the noise; fewer of them where they grow heavy.
    let step = SIGNAL_MIN * asked.gauge_noise / (per_newton * STANDARD_GRAVITY);
    let step = nominal(step, asked.mass_max);
    let steps = ((asked.mass_max / step + 1e-9) as usize).clamp(1, STEPS);
    let mut masses: Vec<f64> = (1..=steps)
        .map(|i| (step * i as f64 * 1e3).round() / 1e3)
        .collect();
    let safety_of = |mass: f64| -> Result<Option<f64>, ElasticityError> {
        let load = Load {
            on: LoadPlace::Tip,
            force: LoadVector::World(pull * (mass * STANDARD_GRAVITY)),
            moment: LoadVector::ZERO,
            ..Load::NOTHING
        };
        let case = LoadCase::single("weight", load);
        let ring = solve_ring(model, pose.mechanism[1], &[direction.azimuth], &[case])?;
        Ok(ring.points.first().and_then(|p| p.safety).map(|s| s.factor))
    };
    let mut safety = safety_of(masses.last().copied().unwrap_or(0.0))?;
    while safety.is_some_and(|factor| factor < asked.safety_min) && masses.len() > 1 {
        masses.pop();
        safety = safety_of(masses.last().copied().unwrap_or(0.0))?;
    }
    if safety.is_some_and(|factor| factor < asked.safety_min) {
        masses.clear();
    }
    // What a drive gives against a force is what the force loses along the drive's motion.
    let singular = |_| ElasticityError::Singular;
    let map = model.holding.torque_map(linkage, &pose.configuration);
    let own: Vector2<f64> = map.map_err(singular)? * model.gravity_in_base;
    let rates = body_rates(linkage, &pose.configuration).map_err(singular)?[linkage.tool.body];
    let force = model.base_from_world * pull * STANDARD_GRAVITY;
    let of_one = rates.map(|rate| -force.dot(&rate.cross(&(in_base * tip))));
    let torque = |mass: f64| [0, 1].map(|drive| own[drive] + mass * of_one[drive]);
    let smallest = masses.first().copied().unwrap_or(0.0);
    Ok(PlannedWeights {
        readings: pose.active,
        polar: direction.polar,
        tool: world_from_base * in_base,
        pull,
        signal: smallest * STANDARD_GRAVITY * per_newton / asked.gauge_noise,
        own_torque: torque(0.0),
        torques: masses.iter().map(|mass| torque(*mass)).collect(),
        holding: asked.holding,
        masses,
        axis,
        per_newton,
        safety,
    })
}

/// The smallest weight of a set that is no lighter; the heaviest up to `most` where none is.
fn nominal(mass: f64, most: f64) -> f64 {
    let light = SET[SET.len() - 1];
    let held = |piece: &&f64| **piece <= most * (1.0 + 1e-9);
    let heavy_enough = SET
        .iter()
        .rev()
        .filter(held)
        .find(|piece| **piece >= mass * (1.0 - 1e-9));
    let heaviest = SET.iter().find(held);
    *heavy_enough.or(heaviest).unwrap_or(&light)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::design::sample::two_arc_arm;
    use crate::measurement::to_plan;

    fn asked(holding: Option<f64>) -> WeightsAsked {
        WeightsAsked {
            holding,
            ..WeightsAsked::new(5e-6, None)
        }
    }

    /// Every mass of whole ten grams up to 11.1 kg is made up of one set, exactly.
    #[test]
    fn a_set_makes_up_every_mass() {
        for tens in 1..=1110 {
            let mass = f64::from(tens) * 0.01;
            let sum: f64 = pieces(mass).iter().sum();
            assert!((sum - mass).abs() < 1e-9, "{mass}: {:?}", pieces(mass));
        }
        assert_eq!(nominal(0.11, 5.0), 0.2);
        assert_eq!(nominal(3.0, 5.0), 5.0);
        assert_eq!(nominal(3.0, 0.8), 0.5);
    }

    /// The torque of a drive is the slope of the work: turning the drive against the weights
    /// by a little lifts them by as much as torque times angle says.
    #[test]
    fn torques_are_the_slope_of_the_work() {
        let mut design = two_arc_arm([0.9, 0.8]);
        design.tool.mass = Some(0.4.into());
        design.mount.axis = Vector3::new(0.3, 0.2, 0.9).normalize();
        let subject = to_plan(&design, None).unwrap();
        let range = subject.motion.widest_range().unwrap();
        let places = weight_places(&subject, range, None);
        let found = plan_weights(&subject, &places, &asked(None)).unwrap();
        assert_eq!(found.len(), 9);
        let model = subject.model().unwrap();
        let tip = design.tool.tip_radius;
        for one in &found {
            let height = |readings: [f64; 2]| {
                let pose = model.kinematics.forward(readings).unwrap();
                let tool = model.kinematics.linkage.tool_direction(&pose.configuration);
                one.pull
                    .dot(&(model.base_from_world.transpose() * tool * tip))
            };
            for (mass, torque) in one.masses.iter().zip(&one.torques) {
                for drive in 0..2 {
                    let turned = |by: f64| {
                        let mut readings = one.readings;
                        readings[drive] += by;
                        height(readings)
                    };
                    let slope = (turned(1e-5) - turned(-1e-5)) / 2e-5;
                    let hung = -mass * STANDARD_GRAVITY * slope;
                    let got = torque[drive] - one.own_torque[drive];
                    assert!(
                        (got - hung).abs() < 1e-6 * (1.0 + hung.abs()),
                        "{got} {hung}"
                    );
                }
            }
        }
        // Both signs of the level pull, with opposite torques beside the own weight.
        for three in found.chunks(3) {
            assert!((three[1].pull + three[2].pull).norm() < 1e-12);
            for drive in 0..2 {
                let own = three[1].own_torque[drive];
                let sum = three[1].torques[0][drive] + three[2].torques[0][drive] - 2.0 * own;
                assert!(sum.abs() < 1e-9);
            }
        }
    }

    /// What a drive does not hold is named; what it holds by a hair is not.
    #[test]
    fn torques_above_the_holding_torque_are_found() {
        let mut design = two_arc_arm([0.9, 0.8]);
        design.tool.mass = Some(0.4.into());
        let subject = to_plan(&design, None).unwrap();
        let range = subject.motion.widest_range().unwrap();
        let places = weight_places(&subject, range, None);
        let free = plan_weights(&subject, &places, &asked(None)).unwrap();
        assert!(free.iter().all(|one| one.not_held().is_empty()));
        let torques = free.iter().flat_map(|one| &one.torques).flatten();
        let greatest = torques.fold(0.0f64, |most, torque| most.max(torque.abs()));
        let count = |holds: f64| -> usize {
            let found = plan_weights(&subject, &places, &asked(Some(holds))).unwrap();
            found.iter().map(|one| one.not_held().len()).sum()
        };
        assert_eq!(count(greatest * (1.0 + 1e-9)), 0);
        assert!(count(greatest * (1.0 - 1e-9)) > 0);
        let all: usize = free.iter().map(|one| one.masses.len()).sum();
        assert!(count(0.0) > all / 2);
    }
}
