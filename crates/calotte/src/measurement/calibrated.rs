//! What a fit gives back: the design with its found values, and where the tool really points.

use nalgebra::{Matrix2x3, Matrix2xX, Matrix3x2, Vector2, Vector3};

use super::fit::PointFit;
use super::weights::{
    WeightFit, WeightMeasure, WeightParameter, WeightsJudged, measured, measured_joints,
};
use crate::design::{Design, JointProperties};
use crate::family::real::PhysicalModel;

/// One thing that weights told.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ToldByWeights {
    /// What it is.
    pub parameter: WeightParameter,
    /// Factor, rad/(N·m) or m.
    pub value: f64,
    /// Standard error, held ones' errors included, as the value.
    pub standard_error: f64,
}

impl ToldByWeights {
    /// What a fit tells of stiffness, play and friction; held ones are left out, and all of a
    /// fit that is not believed.
    pub fn of(fit: &WeightFit, judged: &WeightsJudged) -> Vec<Self> {
        if judged.doubt.is_some() {
            return Vec::new();
        }
        fit.parameters
            .iter()
            .filter(|one| one.told.fitted && !one.at_bound)
            .filter_map(|one| {
                Some(Self {
                    parameter: one.parameter,
                    value: one.value,
                    standard_error: one.standard_error?,
                })
            })
            .filter(Self::is_sure)
            .collect()
    }

    /// Whether a factor is told to better than half of itself, and a base tilts by what bases
    /// do; else the design's value stands.
    pub fn is_sure(&self) -> bool {
        match self.parameter.measure() {
            WeightMeasure::Factor => self.standard_error <= FACTOR_ERROR_MAX * self.value,
            WeightMeasure::TiltCompliance => self.value <= BASE_TILT_MAX,
            WeightMeasure::Length => true,
        }
    }
}

/// Joints as measured, if it is their stiffness that was told.
pub fn change_joints(joints: &mut JointProperties, told: &ToldByWeights) {
    measured_joints(
        joints,
        told.parameter,
        told.value,
        BAND * told.standard_error,
    );
}

/// Compliance of a base that tilts beyond what can be meant, rad/(N·m).
const BASE_TILT_MAX: f64 = 1e-2;
/// Greatest error of a factor, of itself, that is believed.
const FACTOR_ERROR_MAX: f64 = 0.5;

/// Standard errors to either side that a measured band holds.
const BAND: f64 = 2.0;

/// The design with the values found: bars have the arcs and bends found of each, what stands
/// for left and right their mean. It keeps no zeros, scales, backlash or base axes of its own.
/// Stiffnesses that weights told replace the design's, with a band of two standard errors to
/// either side.
///
/// # Arguments
/// - `values`: of the model's parameters, SI.
/// - `told`: what weights told; empty without.
pub fn calibrated(
    design: &Design,
    model: &PhysicalModel,
    values: &[f64],
    told: &[ToldByWeights],
) -> Design {
    let value = |name: &str| model.index_of(name).map(|index| values[index]);
    let mut found = design.clone();
    found.family.take_found(&value);
    for one in told {
        let spread = BAND * one.standard_error;
        found = measured(&found, one.parameter, one.value, spread);
    }
    found
}

/// Where the tool points by the design and by the fit at one reading.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Directions {
    /// Readings, rad.
    pub readings: [f64; 2],
    /// Where the design says the tool points, base frame, unit.
    pub designed: Vector3<f64>,
    /// Where the fitted model points, base frame, unit.
    pub fitted: Vector3<f64>,
}

/// Where the tool points by the design and by the fit at given readings; those that either
/// does not reach are left out. The tool's own line is meant, not the sensor beside it.
pub fn directions(
    model: &PhysicalModel,
    values: &[f64],
    readings: impl IntoIterator<Item = [f64; 2]>,
) -> Vec<Directions> {
    let nominal = model.nominal();
    let found = on_the_tool_line(model, values);
    readings
        .into_iter()
        .filter_map(|readings| {
            Some(Directions {
                readings,
                designed: direction(model, readings, &nominal)?,
                fitted: direction(model, readings, &found)?,
            })
        })
        .collect()
}

/// One line of a table of corrections.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Correction {
    /// Where the tool points without it.
    pub directions: Directions,
    /// What is added to each reading so that the fitted model points where the design points
    /// without it, rad.
    pub added: [f64; 2],
}

/// What to add to readings so that the fitted model points as designed; `None` for a reading
/// that has no such correction near it. Taken from neither side of the backlash.
///
/// # Theory
/// Newton's method on the direction, derivatives by central differences.
pub fn corrections(
    model: &PhysicalModel,
    values: &[f64],
    readings: impl IntoIterator<Item = [f64; 2]>,
) -> Vec<Option<Correction>> {
    let found = on_the_tool_line(model, values);
    let nominal = model.nominal();
    readings
        .into_iter()
        .map(|readings| {
            let directions = Directions {
                readings,
                designed: direction(model, readings, &nominal)?,
                fitted: direction(model, readings, &found)?,
            };
            let added = added(model, &found, &directions)?;
            Some(Correction { directions, added })
        })
        .collect()
}

/// Values of a fit with the sensor moved onto the tool's line.
fn on_the_tool_line(model: &PhysicalModel, values: &[f64]) -> Vec<f64> {
    let nominal = model.nominal();
    let mut found = values.to_vec();
    for index in model.sensor_offsets() {
        found[index] = nominal[index];
    }
    found
}

/// Where the tool points, base frame, unit.
fn direction(model: &PhysicalModel, readings: [f64; 2], values: &[f64]) -> Option<Vector3<f64>> {
    let place = model.sensor(readings, [0.0; 2], values)?;
    place.try_normalize(0.0)
}

/// Steps of Newton's method at most.
const STEPS_MAX: usize = 20;
/// Change of a reading for a derivative, rad.
const DIFFERENCE: f64 = 1e-6;
/// Distance of the directions at which the correction is found.
const FOUND: f64 = 1e-10;
/// Greatest correction of a reading that is looked for, rad: 10°. Farther off another assembly
/// of the bars may point the same way.
const ADDED_MAX: f64 = 10.0 / 180.0 * std::f64::consts::PI;

fn added(model: &PhysicalModel, found: &[f64], directions: &Directions) -> Option<[f64; 2]> {
    let mut added = Vector2::zeros();
    let at = |added: Vector2<f64>| {
        let [a, b] = directions.readings;
        direction(model, [a + added.x, b + added.y], found)
    };
    for _ in 0..STEPS_MAX {
        let off = at(added)? - directions.designed;
        if off.norm() < FOUND {
            return Some([added.x, added.y]);
        }
        added -= readings_by_direction(at, added)? * off;
        if added.iter().any(|a| !a.is_finite() || a.abs() > ADDED_MAX) {
            return None;
        }
    }
    None
}

/// What a change of the direction takes of either reading, by least squares: derivatives by
/// central differences.
fn readings_by_direction(
    at: impl Fn(Vector2<f64>) -> Option<Vector3<f64>>,
    added: Vector2<f64>,
) -> Option<Matrix2x3<f64>> {
    let column = |unit: Vector2<f64>| {
        let change = unit * DIFFERENCE;
        Some((at(added + change)? - at(added - change)?) / (2.0 * DIFFERENCE))
    };
    let rates = Matrix3x2::from_columns(&[column(Vector2::x())?, column(Vector2::y())?]);
    let square = rates.transpose() * rates;
    Some(square.try_inverse()? * rates.transpose())
}

/// Standard errors of what a correction adds to each reading, rad: the fit's, with all that the
/// points cannot separate and what is held; `None` where the bars are about not to close. The
/// zero that no tracker of unknown pose tells is in none of them: it turns everything alike.
///
/// # Theory
/// Along a correction direction(reading + added, values) stays where it is, so that added
/// changes by −(∂direction/∂reading)⁺ ∂direction/∂values; the second moments of the values
/// follow. Derivatives by central differences.
pub fn correction_errors(
    model: &PhysicalModel,
    fit: &PointFit,
    correction: &Correction,
) -> Option<[f64; 2]> {
    let found = on_the_tool_line(model, &fit.values);
    let [a, b] = correction.directions.readings;
    let [more_a, more_b] = correction.added;
    let corrected = [a + more_a, b + more_b];
    let back = readings_by_direction(
        |by| direction(model, [corrected[0] + by.x, corrected[1] + by.y], &found),
        Vector2::zeros(),
    )?;
    let offsets = model.sensor_offsets();
    let mut by_values = Matrix2xX::zeros(fit.fitted.len());
    for (slot, index) in fit.fitted.iter().enumerate() {
        // Where the sensor sits beside the tool's line turns no tool.
        if offsets.contains(index) {
            continue;
        }
        let change = DIFFERENCE * model.parameters[*index].typical;
        let at = |by: f64| {
            let mut values = found.clone();
            values[*index] += by;
            direction(model, corrected, &values)
        };
        let rate = (at(change)? - at(-change)?) / (2.0 * change);
        by_values.set_column(slot, &(-back * rate));
    }
    let square = &by_values * &fit.moments * by_values.transpose();
    Some([square.m11, square.m22].map(|value| value.max(0.0).sqrt()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::design::sample::two_arc_arm;

    /// A base that is off by an angle is put right by that angle; a reading whose bars cannot
    /// meet the designed direction has no correction.
    #[test]
    fn a_zero_is_taken_off_and_what_cannot_be_corrected_is_none() {
        let design = two_arc_arm([0.9, 0.7]);
        let model = PhysicalModel::new(&design).unwrap();
        let mut values = model.nominal();
        values[model.unobservable_zero()] += 0.01;
        let [row] = corrections(&model, &values, [[0.3, 1.0]])[..] else {
            panic!("one row")
        };
        let added = row.unwrap().added;
        assert!((added[0] + 0.01).abs() < 1e-9 && added[1].abs() < 1e-9);
        // Stretched straight, an arm with a shorter second arc does not reach as far.
        let mut short = model.nominal();
        short[model.index_of("second-arc.first_arc").unwrap()] -= 0.02;
        assert_eq!(corrections(&model, &short, [[0.3, 0.0]]), [None]);
        assert!(corrections(&model, &short, [[0.3, 1.0]])[0].is_some());
    }
}
