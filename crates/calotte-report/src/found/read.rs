//! `fit.json` read back: what the next prototype and a comparison take from it.

use calotte::brief::LoadPlace;
use calotte::design::Design;
use calotte::measurement::weights::WeightParameter;
use calotte::measurement::{Measure, PhysicalModel, ToldByWeights};
use calotte::uncertain::Corner;
use calotte_document::fitted::{FoundParameter, ResidualNumbers};
use calotte_document::measured::FitDocument;
use calotte_document::weighed::LoadedConfiguration;
use nalgebra::Vector3;
use thiserror::Error;

use super::place::place_of;
use super::units::{in_unit, name_with_unit, weight_in_unit, weight_name_with_unit as weight_name};
use calotte_format::units::radians;

/// A fit as far as others build on it, SI.
#[derive(Debug, Clone, PartialEq)]
pub struct FitRead {
    /// SHA-256 of the design that was measured.
    pub design_sha256: String,
    /// Values of the model's parameters.
    pub values: Vec<f64>,
    /// Names of those that the points told, with unit.
    pub told_by_points: Vec<String>,
    /// Names of those that are off by more than workshops leave, with unit.
    pub off: Vec<String>,
    /// What weights told; empty without.
    pub told_by_weights: Vec<ToldByWeights>,
    /// Residuals with the design's values and after the fit, root mean square and greatest, m.
    pub residuals: [[f64; 2]; 2],
    /// Configurations that weights were hung on.
    pub stations: Vec<StationRead>,
    /// The verdict on points, and on weights if there were any, in words.
    pub verdicts: Vec<String>,
}

/// One configuration with its measured stiffness.
#[derive(Debug, Clone, PartialEq)]
pub struct StationRead {
    /// Readings of the active joints, rad.
    pub readings: [f64; 2],
    /// What the weights pulled on.
    pub place: LoadPlace,
    /// Direction of the pull, world, unit.
    pub pull: Vector3<f64>,
    /// The gauge's axis, world, unit; `None` for all three components.
    pub gauge: Option<Vector3<f64>>,
    /// Measured stiffness and its standard error, N/m.
    pub measured: Option<[f64; 2]>,
}

/// A file that is no fit of this design.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("{message}")]
pub struct FitFileError {
    /// What is wrong.
    pub message: String,
    /// What to try.
    pub hint: String,
}

/// Reads what `calotte measure fit` wrote.
///
/// # Arguments
/// - `design`: the design that was measured.
///
/// # Errors
/// [`FitFileError`] for a text that is no fit, or one of another kind of linkage.
pub fn read_fit(text: &str, design: &Design) -> Result<FitRead, FitFileError> {
    let file: FitDocument = serde_json::from_str(text).map_err(|error| FitFileError {
        message: format!("is no fit: {error}"),
        hint: "give the fit.json that this program's `calotte measure fit DESIGN POINTS --out DIR` writes; one of an earlier program has other keys: fit the points again"
            .to_string(),
    })?;
    let wrong = |message: String| FitFileError {
        message,
        hint: "measure and fit this design: calotte measure fit DESIGN POINTS --out DIR"
            .to_string(),
    };
    let run = file.run.as_ref().filter(|run| run.program == "calotte");
    let source = run.and_then(|run| run.inputs.iter().find(|input| input.kind == "design"));
    let Some(source) = source else {
        return Err(wrong("does not say which design was measured".to_string()));
    };
    let nominal = design.at_corner(Corner::Nominal);
    let model = PhysicalModel::new(&nominal).map_err(|error| wrong(error.to_string()))?;
    let mut values = model.nominal();
    for (index, described) in model.parameters.iter().enumerate() {
        let name = name_with_unit(described);
        let Some(given) = file.parameters.iter().find(|given| given.name == name) else {
            return Err(wrong(format!(
                "has no parameter {name}, which this design has"
            )));
        };
        values[index] = match described.measure {
            Measure::Angle => radians(given.value),
            Measure::Length => given.value * 1e-3,
            Measure::Factor => given.value,
        };
        let off = (values[index] - described.nominal).abs();
        if off.is_nan() || off > FAR * described.typical {
            return Err(wrong(format!(
                "parameter {name} is {}, and the design says {}: no prototype of it is that far off",
                given.value,
                in_unit(described, described.nominal)
            )));
        }
    }
    let known = |given: &&FoundParameter| {
        let names = model.parameters.iter().map(name_with_unit);
        names.into_iter().any(|name| name == given.name)
    };
    if let Some(other) = file.parameters.iter().find(|given| !known(given)) {
        return Err(wrong(format!(
            "has a parameter {}, which this design has not",
            other.name
        )));
    }
    let off = file.verdict.off.into_iter().map(|off| off.name).collect();
    let mut verdicts = vec![file.verdict.words];
    let (mut told_by_weights, mut stations) = (Vec::new(), Vec::new());
    if let Some(weights) = file.weights {
        for one in &weights.parameters {
            let told = weight(design, one).map_err(wrong)?;
            told_by_weights.extend(told.filter(|_| weights.verdict.believed));
        }
        for one in &weights.configurations {
            stations.push(station(&model, one).map_err(wrong)?);
        }
        verdicts.push(weights.verdict.words);
    }
    let metres = |residual: &ResidualNumbers| [residual.rms * 1e-3, residual.max * 1e-3];
    Ok(FitRead {
        design_sha256: source.sha256.clone(),
        values,
        off,
        told_by_points: file
            .parameters
            .into_iter()
            .filter(|given| given.identifiable)
            .map(|given| given.name)
            .collect(),
        told_by_weights,
        residuals: [metres(&file.residual_mm), metres(&file.after.residual_mm)],
        stations,
        verdicts,
    })
}

/// Typical errors of workshops beyond which a value is no prototype's.
const FAR: f64 = 1000.0;

/// Greatest factor that the fit of weights gives.
const FACTOR_MAX: f64 = 20.0;

/// One unknown of the weights; `None` where they do not tell it.
fn weight(design: &Design, one: &FoundParameter) -> Result<Option<ToldByWeights>, String> {
    let parameter = WeightParameter::of(design)
        .into_iter()
        .find(|parameter| weight_name(*parameter) == one.name)
        .ok_or_else(|| format!("weights identify {}, which this design has not", one.name))?;
    let at_bound = one.at_bound == Some(true);
    let (true, false, Some(error)) = (one.identifiable, at_bound, one.standard_error) else {
        return Ok(None);
    };
    let is_factor = parameter.value(0.0) == 1.0;
    let allowed = if is_factor {
        (1.0 / FACTOR_MAX..=FACTOR_MAX).contains(&one.value)
    } else {
        one.value >= 0.0
    };
    if !allowed || error.is_nan() || error < 0.0 {
        return Err(format!(
            "weights identify {} = {} ± {error}, which no fit gives",
            one.name, one.value
        ));
    }
    let unit = 1.0 / weight_in_unit(parameter, 1.0);
    let unit = if is_factor { 1.0 } else { unit };
    let told = ToldByWeights {
        parameter,
        value: one.value * unit,
        standard_error: error * unit,
    };
    Ok(told.is_sure().then_some(told))
}

fn station(model: &PhysicalModel, one: &LoadedConfiguration) -> Result<StationRead, String> {
    let mut readings = [0.0; 2];
    for (reading, name) in readings.iter_mut().zip(model.active_names) {
        let key = format!("{name}_deg");
        *reading = one
            .readings
            .get(&key)
            .copied()
            .map(radians)
            .ok_or_else(|| format!("a configuration of the weights has no {key}"))?;
    }
    let unit = |components: [f64; 3]| {
        let vector = Vector3::from(components);
        calotte::sphere::unit(&vector)
            .ok_or_else(|| "a direction of the weights has no length".to_string())
    };
    Ok(StationRead {
        readings,
        place: place_of(&one.place),
        pull: unit(one.pull)?,
        gauge: one.gauge.map(unit).transpose()?,
        measured: one
            .measured_stiffness_n_per_mm
            .as_ref()
            .map(|seen| [seen.value * 1e3, seen.standard_error * 1e3]),
    })
}
