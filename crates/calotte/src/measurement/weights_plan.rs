//! Which weights to hang where: so that what the gauge sees stands out of its noise, and
//! nothing comes near yield.

use nalgebra::Vector3;

use crate::analysis::ring::solve_ring;
use crate::brief::{Load, LoadCase, LoadPlace, LoadVector};
use crate::elasticity::ElasticityError;
use crate::kinematics::{Pose, WorkingRange};
use crate::sphere::Direction;
use crate::statics::STANDARD_GRAVITY;
use crate::subject::{Model, Subject};

/// One configuration with the weights that hang there.
#[derive(Debug, Clone, PartialEq)]
pub struct PlannedWeights {
    /// Readings of the active joints, rad.
    pub readings: [f64; 2],
    /// Polar angle of the tool, rad.
    pub polar: f64,
    /// Where the weight pulls, world, unit: down, or level where it is led over a pulley.
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
}

/// What a gauge's reading must exceed its noise by.
pub const SIGNAL_MIN: f64 = 10.0;
/// Safety against yield that is kept (common practice, no source).
pub const SAFETY_MIN: f64 = 3.0;
/// Weights put on one after the other.
const STEPS: usize = 4;
/// Heaviest weight, kg: what one hand still holds (common practice, no source).
const MASS_MAX: f64 = 5.0;

/// Plans weights at the tool tip near both ends of the working range and in its middle: hung
/// straight down, and led over a pulley to pull level, across the meridian. Pulls of one
/// direction bend bars and tilt joints in one proportion, so that the two could not be told
/// apart.
///
/// # Arguments
/// - `gauge_noise`: standard deviation of a reading of the gauge, m.
///
/// # Errors
/// [`ElasticityError`] for a design that cannot be built or is singular there.
pub fn plan_weights(
    subject: &Subject,
    range: &WorkingRange,
    gauge_noise: f64,
) -> Result<Vec<PlannedWeights>, ElasticityError> {
    let model = subject.model()?;
    let [from, to] = range.second;
    [0.1, 0.5, 0.9]
        .into_iter()
        .filter_map(|share| {
            let second = from + (to - from) * share;
            model.kinematics.forward_from_mechanism([0.0, second]).ok()
        })
        .flat_map(|pose| {
            let down = Vector3::new(0.0, 0.0, -1.0);
            let across = model.base_from_world.transpose() * pose.frame.azimuth;
            let level = (across - down * across.dot(&down)).try_normalize(1e-6);
            let pulls = [Some(down), level].into_iter().flatten();
            pulls.map(move |pull| (pose.clone(), pull))
        })
        .map(|(pose, pull)| at(model, &pose, pull, gauge_noise))
        .collect()
}

fn at(
    model: &Model,
    pose: &Pose,
    pull: Vector3<f64>,
    gauge_noise: f64,
) -> Result<PlannedWeights, ElasticityError> {
    let direction = model.kinematics.linkage.tool_direction(&pose.configuration);
    let direction = Direction::of(&direction);
    let solved = model.structure.solve(&pose.configuration, &pose.frame)?;
    let to_world = model.base_from_world.transpose() * pose.frame.rotation();
    let compliance = solved.tip_compliance();
    let block = compliance.fixed_view::<3, 3>(0, 0);
    let moved = to_world * block * to_world.transpose() * pull;
    let axis = moved.try_normalize(0.0).unwrap_or(pull);
    let per_newton = moved.norm();
    // The smallest weight stands ten times out of the noise; fewer of them where they grow heavy.
    let step = (SIGNAL_MIN * gauge_noise / (per_newton * STANDARD_GRAVITY)).min(MASS_MAX);
    let steps = ((MASS_MAX / step) as usize).clamp(1, STEPS);
    let mut masses: Vec<f64> = (1..=steps).map(|i| rounded(step * i as f64)).collect();
    masses.dedup();
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
    while safety.is_some_and(|factor| factor < SAFETY_MIN) && masses.len() > 1 {
        masses.pop();
        safety = safety_of(masses.last().copied().unwrap_or(0.0))?;
    }
    if safety.is_some_and(|factor| factor < SAFETY_MIN) {
        masses.clear();
    }
    let smallest = masses.first().copied().unwrap_or(0.0);
    Ok(PlannedWeights {
        readings: pose.active,
        polar: direction.polar,
        pull,
        signal: smallest * STANDARD_GRAVITY * per_newton / gauge_noise,
        masses,
        axis,
        per_newton,
        safety,
    })
}

/// Up to two digits, kg.
fn rounded(mass: f64) -> f64 {
    let fine = 10f64.powf(mass.log10().floor() - 1.0);
    (mass / fine - 1e-9).ceil() * fine
}
