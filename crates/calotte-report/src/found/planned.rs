//! What to measure on a prototype: the plan, its files to fill in, and the plan as JSON.

use calotte::analysis::Requirements;
use calotte::brief::{Brief, LoadPlace};
use calotte::design::Design;
use calotte::linkage::LinkageError;
use calotte::measurement::{
    CORRELATION_MAX, Course, LOOK_MAX, PhysicalModel, Plan, PlanOptions, PlannedWeights,
    WeightsAsked, pieces, plan, plan_weights, to_plan, weight_places,
};
use calotte::uncertain::Corner;
use calotte_document::planned::{
    NarrowRange, PlanDocument, PlanOrder, PlannedLoad, PlannedParameter, PlannedRow, RandomPlans,
    WorseParameter,
};

use super::FoundError;
use super::units::{in_unit, name_with_unit};
use crate::analyse::differences;
use crate::safety;
use crate::sides::{Mean, caution};
use calotte_format::measurement::{
    PlannedPoint, PlannedWeight, template_reading, write_points_template, write_weights_template,
};
use calotte_format::safety::Safety;
use calotte_format::units::degrees;

/// Acceleration that makes a weight of a mass, m/s².
const GRAVITY: f64 = calotte::statics::STANDARD_GRAVITY;

/// What to measure on the prototype of a design.
#[derive(Debug, Clone)]
pub struct Planned {
    /// The design without its bands.
    pub nominal: Design,
    /// What a real linkage of it is taken to be.
    pub model: PhysicalModel,
    /// Configurations in the order of measuring, at readings as the file states them.
    pub made: Plan,
    /// Configurations to hang weights on.
    pub weights: Vec<PlannedWeights>,
    /// What was asked for.
    pub settings: PlanOptions,
    /// What differs between brief and design, what of the brief is not looked at, and what
    /// takes the mean of left and right.
    pub warnings: Vec<String>,
}

/// Plans points and weights.
///
/// # Arguments
/// - `brief`: its limits are the margins, configurations lie in its region and keep clear of
///   its keep-outs.
/// - `settings`: how many configurations, how often, and the noise expected.
/// - `gauge`: noise expected of the gauge at the tip, m.
///
/// # Errors
/// [`FoundError::Fit`] for a design that cannot be built or measured, or settings that
/// are none.
pub fn planned(
    design: &Design,
    brief: Option<&Brief>,
    settings: &PlanOptions,
    gauge: f64,
) -> Result<Planned, FoundError> {
    fn cannot(error: &impl ToString) -> FoundError {
        FoundError::Fit(error.to_string())
    }
    let nominal = design.at_corner(Corner::Nominal);
    let model = PhysicalModel::new(&nominal).map_err(|error| cannot(&error))?;
    let requirements = brief.map(Requirements::from_brief);
    let requirements = requirements.as_ref();
    let subject = to_plan(&nominal, requirements).map_err(|error| cannot(&error))?;
    let mut made =
        plan(&subject, &model, requirements, settings).map_err(|error| cannot(&error))?;
    // What the operator sets is what the file says, to a thousandth of a degree.
    let values = model.nominal();
    for row in &mut made.configurations {
        row.readings = row.readings.map(template_reading);
        row.expected = model
            .sensor(row.readings, [0.0; 2], &values)
            .unwrap_or(row.expected);
    }
    let weights = match subject.motion.widest_range() {
        Some(range) => {
            let places = weight_places(&subject, range, brief.map(|_| &made));
            let asked = WeightsAsked::new(gauge, requirements);
            plan_weights(&subject, &places, &asked).map_err(|error| cannot(&error))?
        }
        None => Vec::new(),
    };
    Ok(Planned {
        nominal,
        model,
        made,
        weights,
        settings: *settings,
        warnings: warnings(design, brief),
    })
}

/// What differs between a brief and the design, what of the brief is not looked at, and what
/// takes the mean of left and right.
fn warnings(design: &Design, brief: Option<&Brief>) -> Vec<String> {
    let mut found: Vec<String> = caution(design, Mean::BesidePoints).into_iter().collect();
    let Some(brief) = brief else {
        return found;
    };
    found.extend(differences(design, brief));
    if !brief.keep_outs.is_empty() && !design.is_built() {
        found.push(
            "keep-outs of the brief: not looked at, since the design has no [layers]; configurations may touch them"
                .to_string(),
        );
    }
    if brief.region.is_points() {
        found.push(
            "region of the brief: single directions do not bound the configurations".to_string(),
        );
    }
    found
}

impl Planned {
    /// The file of points to fill in.
    ///
    /// # Errors
    /// [`LinkageError`] for a design that cannot be built.
    pub fn points_csv(&self) -> Result<String, LinkageError> {
        let rows: Vec<PlannedPoint> = self
            .made
            .configurations
            .iter()
            .map(|row| PlannedPoint {
                readings: row.readings,
                expected: row.expected,
                group: row.group.clone(),
            })
            .collect();
        write_points_template(&self.nominal, &rows)
    }

    /// The file of weights to fill in: nothing, then weights put on, then taken off again,
    /// nothing.
    ///
    /// # Errors
    /// [`LinkageError`] for a design that cannot be built.
    pub fn weights_csv(&self) -> Result<String, LinkageError> {
        let rows: Vec<PlannedWeight> = self.weights.iter().flat_map(weight_rows).collect();
        write_weights_template(&self.nominal, &rows)
    }

    /// Whether the order keeps a drift in time apart from everything it is compared with.
    pub fn drift_is_separable(&self) -> bool {
        let mistaken = &self.made.mistaken;
        mistaken.readings.max(mistaken.directions) <= CORRELATION_MAX
            && mistaken.parameter.is_none_or(|(_, look)| look <= LOOK_MAX)
    }

    /// Median of the random plans' least singular values.
    pub fn median_random(&self) -> f64 {
        let random = &self.made.of_random;
        random.get(random.len() / 2).copied().unwrap_or(0.0)
    }
}

/// Torque that each drive gives with a mass, N·m; 0 is own weight alone.
pub(crate) fn torque_with(one: &PlannedWeights, mass: f64) -> [f64; 2] {
    let place = one.masses.iter().position(|other| *other == mass);
    place.map_or(one.own_torque, |place| one.torques[place])
}

fn weight_rows(one: &PlannedWeights) -> Vec<PlannedWeight> {
    let row = |mass: f64, course: Course| PlannedWeight {
        readings: one.readings.map(template_reading),
        mass,
        place: LoadPlace::Tip,
        pull: one.pull,
        axis: one.axis,
        expected: mass * GRAVITY * one.per_newton,
        course,
        torques: torque_with(one, mass),
    };
    let up = std::iter::once(0.0).chain(one.masses.iter().copied());
    let down = one
        .masses
        .iter()
        .rev()
        .skip(1)
        .copied()
        .chain(std::iter::once(0.0));
    let up: Vec<PlannedWeight> = up.map(|mass| row(mass, Course::Loading)).collect();
    let down: Vec<PlannedWeight> = down.map(|mass| row(mass, Course::Unloading)).collect();
    if one.masses.is_empty() {
        Vec::new()
    } else {
        [up, down].concat()
    }
}

/// The plan: what `measure plan --json` says.
pub fn plan_document(planned: &Planned) -> PlanDocument {
    let Planned {
        model,
        made,
        weights,
        ..
    } = planned;
    PlanDocument {
        rows: made
            .configurations
            .iter()
            .map(|row| PlannedRow {
                readings_deg: row.readings.map(degrees),
                expected_mm: (row.expected * 1e3).into(),
                group: row.group.clone(),
            })
            .collect(),
        minimum_singular_value: made.minimum_singular_value,
        minimum_singular_value_of_grid: made.of_grid,
        minimum_singular_value_of_random: RandomPlans {
            median: planned.median_random(),
            plans: made.of_random.clone(),
        },
        identifiable: made
            .told
            .iter()
            .map(|(index, error)| {
                let described = &model.parameters[*index];
                PlannedParameter {
                    name: name_with_unit(described),
                    expected_error: in_unit(described, *error),
                }
            })
            .collect(),
        not_identifiable: made
            .not_told
            .iter()
            .map(|index| name_with_unit(&model.parameters[*index]))
            .collect(),
        chosen_for: made
            .chosen_for
            .iter()
            .map(|index| name_with_unit(&model.parameters[*index]))
            .collect(),
        motion_deg: degrees(made.motion),
        order: PlanOrder {
            seed: planned.settings.seed,
            motion_over_shortest: made.motion / made.shortest,
            correlation_with_readings: made.mistaken.readings,
            correlation_with_directions: made.mistaken.directions,
            drift_most_like: made
                .mistaken
                .parameter
                .map(|(index, _)| name_with_unit(&model.parameters[index])),
            correlation_with_drift: made.mistaken.parameter.map(|(_, look)| look),
            drift_separable: planned.drift_is_separable(),
        },
        polar_deg: made.polar.map(degrees),
        narrow_range: made.narrowed.as_ref().map(|cost| NarrowRange {
            by_drives: cost.by_drives,
            by_brief: cost.by_brief,
            not_identifiable: cost
                .lost
                .iter()
                .map(|index| name_with_unit(&model.parameters[*index]))
                .collect(),
            worse: cost
                .worse
                .iter()
                .map(|(index, times)| WorseParameter {
                    name: name_with_unit(&model.parameters[*index]),
                    times: *times,
                })
                .collect(),
        }),
        rows_not_straight: made.not_straight.clone(),
        warnings: planned.warnings.clone(),
        weights: weights
            .iter()
            .map(|one| PlannedLoad {
                readings_deg: one.readings.map(degrees),
                polar_deg: degrees(one.polar),
                pull: one.pull.into(),
                masses_kg: one.masses.clone(),
                pieces_kg: one.masses.iter().map(|mass| pieces(*mass)).collect(),
                own_weight_torque_nm: one.own_torque,
                torque_nm: one.torques.clone(),
                holding_torque_nm: one.holding,
                masses_not_held_kg: one.not_held(),
                gauge_axis: one.axis.into(),
                displacement_um_per_n: one.per_newton * 1e6,
                safety_factor_yield: one.safety,
                signal_to_noise_of_smallest: one.signal,
            })
            .collect(),
        safety: safety::bench_document(Safety::of(&planned.nominal, true)),
    }
}
