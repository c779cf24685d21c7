//! What weights say of stiffness, in words: the verdict, which parts it is about, and which it
//! cannot be about.

use calotte::measurement::WeightFit;
use calotte::measurement::weights::{
    Doubt, FittedWeight, WeightMeasure, WeightParameter, WeightsJudged,
};

use super::units::{weight_in_unit, weight_name_with_unit};
use super::words::weight_cause_words;
use calotte_format::words;

/// Whether the prototype is as stiff as the design promised, what is off, what to look at.
pub fn weights_verdict_words(fit: &WeightFit, judged: &WeightsJudged) -> String {
    if judged.agrees {
        return "stiffness within the predicted range, no significant play or friction".to_string();
    }
    let mut said: Vec<String> = Vec::new();
    if let Some(doubt) = &judged.doubt {
        said.push(
            match doubt {
                Doubt::Unexplained => {
                    "the model does not explain these readings, and nothing of them is used"
                }
                Doubt::AtLimit => {
                    "a stiffness runs to its limit, and nothing of these readings is used"
                }
            }
            .to_string(),
        );
        said.push(
            "look at the gauge's sign and axis, the pull, and the units of mass and displacement"
                .to_string(),
        );
        return said.join("; ");
    }
    for (count, how) in [(judged.softer, "below"), (judged.stiffer, "above")] {
        if count > 0 {
            said.push(format!(
                "{how} the predicted range at {count} of {} configurations",
                judged.judged
            ));
        }
    }
    let off: Vec<String> = judged
        .off
        .iter()
        .map(|off| {
            let one = &fit.parameters[off.index];
            format!("{} {}", weight_name_with_unit(one.parameter), number(one))
        })
        .collect();
    if !off.is_empty() {
        said.push(format!("deviations: {}", off.join(", ")));
    }
    if let Some(index) = judged.stiffness_cause(fit) {
        let cause = &fit.parameters[index];
        said.push(remedy_of_stiffness(cause.parameter).to_string());
        said.extend(instead_of(fit, index));
    }
    said.join("; ")
}

/// A value with its error.
fn number(one: &FittedWeight) -> String {
    let shown = |value: f64| words::number(weight_in_unit(one.parameter, value), 3);
    match one.standard_error {
        Some(error) => format!("{} ± {}", shown(one.value), shown(error)),
        None => shown(one.value),
    }
}

/// What to look at first where a stiffness is off.
fn remedy_of_stiffness(parameter: WeightParameter) -> &'static str {
    match parameter {
        WeightParameter::BarModulus => {
            "test one bar by itself: material or section is not what the design says"
        }
        WeightParameter::JointTilt | WeightParameter::JointRadial => {
            "look at seats and preload of the bearings"
        }
        WeightParameter::DriveHolding => "look at the drives and what couples them",
        WeightParameter::SupportCompliance | WeightParameter::BaseTilt => {
            "look at what the base stands on"
        }
        WeightParameter::Play | WeightParameter::Friction => "look at the joints",
    }
}

/// Coordinate of an unknown as the fit has it: 0 as designed.
fn coordinate(one: &FittedWeight) -> f64 {
    match one.parameter.measure() {
        WeightMeasure::Factor => one.value.ln(),
        WeightMeasure::TiltCompliance | WeightMeasure::Length => one.value,
    }
}

/// Unknowns that were held as they look much like one that is off, and what each would have to be
/// to move the tip nearly alike; `None` where there is none, or none that can be so.
fn instead_of(fit: &WeightFit, cause: usize) -> Option<String> {
    let off = &fit.parameters[cause];
    let in_typical = coordinate(off) / off.parameter.typical();
    let rivals: Vec<String> = fit
        .parameters
        .iter()
        .filter(|one| !one.told.fitted)
        .filter_map(|one| {
            let (_, share) = one.told.looks_like.iter().find(|like| like.0 == cause)?;
            let wanted = in_typical / share * one.parameter.typical();
            let value = match one.parameter.measure() {
                WeightMeasure::Factor => wanted.exp(),
                // A compliance and a play are never negative.
                _ if wanted <= 0.0 => return None,
                _ => wanted,
            };
            Some(format!(
                "{} ({} of about {})",
                weight_cause_words(one.parameter),
                weight_name_with_unit(one.parameter),
                words::three(weight_in_unit(one.parameter, value))
            ))
        })
        .collect();
    (!rivals.is_empty()).then(|| {
        format!(
            "but {} would move the tip nearly alike, and is taken as designed: look at both before anything is made again",
            rivals.join(" or ")
        )
    })
}

/// Which parts weights judge, which are taken as designed, and which no weight judges.
pub fn weights_scope_words(fit: &WeightFit) -> String {
    let of = |fitted: bool| {
        let of = fit
            .parameters
            .iter()
            .filter(|one| one.told.fitted == fitted);
        let names: Vec<&str> = of.map(|one| weight_cause_words(one.parameter)).collect();
        names.join(", ")
    };
    let mut said = vec![format!("judged: {}", of(true))];
    let mut held: Vec<String> = Vec::new();
    let taken = of(false);
    if !taken.is_empty() {
        held.push(taken);
    }
    let known = |wanted: WeightParameter| fit.parameters.iter().any(|one| one.parameter == wanted);
    if !known(WeightParameter::DriveHolding) {
        held.push("the drives, which are rigid in this design".to_string());
    }
    if !known(WeightParameter::JointTilt) {
        held.push("the joints, which have no stiffness in this design".to_string());
    }
    if !held.is_empty() {
        said.push(format!(
            "taken as designed and not judged: {}",
            held.join(", ")
        ));
    }
    said.push(
        "weights cannot judge arcs, zeros and scales (points do), nor masses (the gauge is zeroed under own weight)"
            .to_string(),
    );
    said.join("; ")
}
