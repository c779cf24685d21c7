//! What the fit will say of planned rows: campaigns of prototypes without a fault are simulated
//! and fitted, by the fit itself.
//!
//! Nothing less would do: what the fit's errors hold depends on where the linkage is (bars that
//! are exactly alike are not separable, those that a workshop leaves a little different are) and
//! on which faults the points suggest although there are none.

use nalgebra::Vector3;
use rayon::prelude::*;

use super::sequence::Sequence;
use super::table::rows_of;
use crate::family::real::{Cause, Parameter, PhysicalModel, spread};
use crate::measurement::data::PointRow;
use crate::measurement::fit::{approaches, is_identifiable};
use crate::measurement::problem::Sample;
use crate::measurement::robust::Task;
use crate::measurement::watch::Watch;

/// Campaigns simulated at most, and at least of many rows, which differ less.
const CAMPAIGNS: [usize; 2] = [10, 30];
/// Rows of all campaigns from which on fewer are simulated.
const ROWS: usize = 3000;
/// Share of them in which the fit calls a parameter identifiable from which on a plan does.
const NEARLY_ALL: f64 = 0.9;

/// What the fit will say of each parameter.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Foreseen {
    /// By position in the model's list; empty for one that no fit determines.
    errors: Vec<Vec<f64>>,
    /// Tolerances, SI.
    tolerances: Vec<f64>,
    /// Campaigns simulated; those that no fit was made of count as identifying nothing.
    campaigns: usize,
}

impl Foreseen {
    /// Of rows in the order of measuring.
    ///
    /// # Arguments
    /// - `noise`: standard deviation of a component, m.
    pub(super) fn new(model: &PhysicalModel, readings: &[[f64; 2]], noise: f64) -> Self {
        let mut random = Sequence::new(0);
        let [least, most] = CAMPAIGNS;
        let campaigns = (ROWS / readings.len().max(1)).clamp(least, most);
        let prototypes: Vec<(Vec<f64>, Vec<Vector3<f64>>)> = (0..campaigns)
            .map(|_| {
                let real = |parameter: &Parameter| parameter.nominal + off(parameter, &mut random);
                let values = model.parameters.iter().map(real).collect();
                let mut shift = || noise * random.normal();
                let shifts = readings.iter();
                let shifts = shifts.map(|_| Vector3::from_fn(|_, _| shift())).collect();
                (values, shifts)
            })
            .collect();
        let candidates: Vec<usize> = (0..model.parameters.len())
            .filter(|index| *index != model.unobservable_zero())
            .collect();
        let fitted: Vec<Vec<f64>> = prototypes
            .par_iter()
            .filter_map(|(values, shifts)| printed(model, &candidates, readings, values, shifts))
            .collect();
        let mut errors = vec![Vec::new(); model.parameters.len()];
        for one in &fitted {
            for (index, error) in candidates.iter().zip(one) {
                errors[*index].push(*error);
            }
        }
        for list in &mut errors {
            list.sort_by(f64::total_cmp);
        }
        Self {
            errors,
            tolerances: model.parameters.iter().map(|one| one.typical).collect(),
            campaigns,
        }
    }

    /// Positions of the parameters that the fit calls identifiable, with their errors, SI.
    pub(super) fn told(&self) -> Vec<(usize, f64)> {
        let all = 0..self.errors.len();
        all.filter_map(|index| Some((index, self.error(index)?)))
            .collect()
    }

    /// Standard error that the fit prints of a parameter, the median of all campaigns, SI; `None`
    /// where the fit calls it identifiable in fewer than nine of ten.
    pub(super) fn error(&self, index: usize) -> Option<f64> {
        let errors = &self.errors[index];
        let median = *errors.get(errors.len() / 2)?;
        let identifiable = errors.iter().filter(|error| is_identifiable(**error));
        let enough = identifiable.count() as f64 >= NEARLY_ALL * self.campaigns as f64;
        enough.then_some(median * self.tolerances[index])
    }
}

/// Standard deviations at which sound parts end: the tolerance of all but the sensor's place.
const SOUND_MAX: f64 = 1.0 / spread::WITHIN;

/// Draws of one part at most: the chance that none is sound is 1 in 10^67.
const DRAWS_MAX: usize = 50;

/// How far a sound part is off, SI.
fn off(parameter: &Parameter, random: &mut Sequence) -> f64 {
    let drawn = std::iter::repeat_with(|| random.normal());
    let sound = drawn.take(DRAWS_MAX).find(|by| by.abs() <= SOUND_MAX);
    let by = parameter.typical * sound.unwrap_or(0.0);
    match parameter.cause {
        Cause::Sensor => spread::ALLOWED * by,
        // There is no play below none.
        Cause::Backlash(_) => (spread::WITHIN * by).abs(),
        _ => spread::WITHIN * by,
    }
}

/// Standard errors, in tolerances, that the fit prints of one campaign; configurations that the
/// prototype cannot take are not measured.
fn printed(
    model: &PhysicalModel,
    candidates: &[usize],
    readings: &[[f64; 2]],
    values: &[f64],
    shifts: &[Vector3<f64>],
) -> Option<Vec<f64>> {
    let place = |readings, approach| model.sensor(readings, approach, values);
    let taken: Vec<usize> = (0..readings.len())
        .filter(|row| place(readings[*row], [0.0; 2]).is_some())
        .collect();
    let along: Vec<[f64; 2]> = taken.iter().map(|row| readings[*row]).collect();
    let mut rows: Vec<PointRow> = rows_of(&along);
    let sides = approaches(&rows);
    for ((row, side), from) in rows.iter_mut().zip(&sides).zip(&taken) {
        row.point = place(row.readings, *side)? + shifts[*from];
    }
    let samples: Vec<Sample> = rows
        .iter()
        .zip(sides)
        .map(|(row, approach)| Sample {
            row,
            approach,
            sag: Vector3::zeros(),
        })
        .collect();
    let task = Task {
        model,
        samples: &samples,
        candidates: candidates.to_vec(),
        held: Vec::new(),
        watch: Watch::default(),
    };
    let nominal = model.nominal();
    let pose = task.first_pose(&nominal).ok()?;
    let run = task.run(nominal, pose).ok()??;
    let errors = task.errors(&run.problem, &run.estimated);
    Some(errors.as_slice().to_vec())
}
