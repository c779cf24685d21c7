//! What a fit gives back: the design with its found values, and where the tool really points.

use nalgebra::Vector3;

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
                    standard_error: one.with_held.or(one.standard_error)?,
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

/// The design with the values found. A design has one arc for left and right; it takes the
/// mean of the two, and keeps no zeros, scales, backlash or base axes of its own. Stiffnesses
/// that weights told replace the design's, with a band of two standard errors to either side.
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

/// One line of a table of corrections.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Correction {
    /// Readings, rad.
    pub readings: [f64; 2],
    /// Where the design says the tool points, base frame, unit.
    pub designed: Vector3<f64>,
    /// Where it points, base frame, unit.
    pub true_direction: Vector3<f64>,
}

/// Where the tool points by the design and by the fit at given readings; those that either
/// does not reach are left out. The tool's own line is meant, not the sensor beside it.
pub fn corrections(
    model: &PhysicalModel,
    values: &[f64],
    readings: impl IntoIterator<Item = [f64; 2]>,
) -> Vec<Correction> {
    let nominal = model.nominal();
    let mut found = values.to_vec();
    for index in model.sensor_offsets() {
        found[index] = nominal[index];
    }
    readings
        .into_iter()
        .filter_map(|readings| {
            let designed = model.sensor(readings, [0.0; 2], &nominal)?;
            let real = model.sensor(readings, [0.0; 2], &found)?;
            Some(Correction {
                readings,
                designed: designed.try_normalize(0.0)?,
                true_direction: real.try_normalize(0.0)?,
            })
        })
        .collect()
}
