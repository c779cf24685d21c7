//! What a fit says, in words.

use calotte::measurement::weights::{Doubt, WeightParameter, WeightsJudged};
use calotte::measurement::{
    Cause, FitStage, Judged, OrientationError, Orientations, PhysicalModel, Remedy, Unlike,
    WeightFit, Witness,
};

use super::units::{in_unit, name_with_unit, weight_in_unit, weight_name_with_unit};
use calotte_format::units::degrees;
use calotte_format::words;

/// Where a fit is, in words.
pub fn stage_words(stage: FitStage) -> String {
    match stage {
        FitStage::Sag { done, rows } => {
            format!("{done} of {rows} rows; sag by own weight")
        }
        FitStage::Pose { rows } => format!("{rows} rows; the pose of the tracker"),
        FitStage::Round {
            round,
            most,
            parameters,
            rows,
            step: _,
        } => format!("round {round} of at most {most}; {parameters} parameters, {rows} rows"),
        FitStage::HoldOut => "hold-out validation".to_string(),
        FitStage::Causes => "single causes".to_string(),
    }
}

/// A cause in words.
pub fn cause_words(cause: &Cause) -> String {
    match cause {
        Cause::Sensor => "how the sensor sits on the tool".to_string(),
        Cause::Zero(name) => format!("zero of {name}"),
        Cause::Scale(name) => format!("scale of {name}"),
        Cause::Backlash(name) => format!("backlash of {name}"),
        Cause::Bar(name) => format!("arcs of {name}"),
        Cause::BaseAxes => "base axes not in one line".to_string(),
    }
}

/// What to do, in words.
pub fn remedy_words(remedy: &Remedy) -> String {
    match remedy {
        Remedy::RemakeBar(name) => format!("replace {name}"),
        Remedy::SetZero(name) => format!("set the zero of {name} anew"),
        Remedy::SetScale(name) => format!("enter the scale of {name} that was found"),
        Remedy::TakeOutBacklash(name) => format!("take the backlash out of {name}"),
        Remedy::AlignBase => "bring the base axes into one line through the centre".to_string(),
        Remedy::MountSensor => {
            "the sensor sits elsewhere than the design says: the linkage is not at fault"
                .to_string()
        }
    }
}

/// Parameters that are off which a sentence names.
const NAMED_MAX: usize = 4;

/// Whether the prototype is the design, what is off, what to do.
pub fn verdict_words(model: &PhysicalModel, judged: &Judged) -> String {
    let millimetres = |value: f64| words::three(value * 1e3);
    match judged.unlike {
        Some(Unlike::Misses(rms)) => {
            return format!(
                "these are not points of this design: the best fit misses them by {} mm all over; look for swapped or turned columns, a mirrored frame, other units, or another design",
                millimetres(rms)
            );
        }
        Some(Unlike::Radius(found)) => {
            return format!(
                "these are not points of this design: the sensor would sit {} mm from the centre, the design's tip {} mm; are the lengths in the unit of their heading?",
                millimetres(found),
                millimetres(model.parameters[model.sensor_radius()].nominal)
            );
        }
        None => {}
    }
    if judged.agrees {
        let mut text = "no deviation beyond workshop tolerance".to_string();
        if judged.remedy == Some(Remedy::MountSensor) {
            text.push_str("; the residual of the nominal design comes from where the sensor sits");
            if !judged.rivals.is_empty() {
                text.push_str(&format!(
                    ", or equally from {}, not separable by these points: measure the bar by itself",
                    rivals_words(judged)
                ));
            }
        }
        return text;
    }
    let off: Vec<String> = judged
        .off
        .iter()
        .take(NAMED_MAX)
        .map(|off| {
            let described = &model.parameters[off.index];
            format!(
                "{} by {}",
                name_with_unit(described),
                words::number(in_unit(described, off.by), 3)
            )
        })
        .collect();
    let mut text = format!("the prototype deviates from the design: {}", off.join(", "));
    let more = judged.off.len().saturating_sub(NAMED_MAX);
    if more > 0 {
        text.push_str(&format!(" and {more} more"));
    }
    match (&judged.remedy, &judged.best) {
        (Some(remedy), _) if judged.rivals.is_empty() => {
            text.push_str(&format!("; {}", remedy_words(remedy)));
        }
        (Some(remedy), _) => text.push_str(&format!(
            "; {}, or it is {}, which explains as much: measure these parts by themselves first",
            remedy_words(remedy),
            rivals_words(judged)
        )),
        (None, Some(best)) => text.push_str(&format!(
            "; no one cause explains it, the best alone, {}, {} %",
            cause_words(best),
            words::number(100.0 * judged.share, 0)
        )),
        (None, None) => {}
    }
    text
}

/// An unknown in words.
pub fn weight_cause_words(parameter: WeightParameter) -> &'static str {
    match parameter {
        WeightParameter::BarModulus => "the modulus of the bars",
        WeightParameter::JointTilt => "the tilt stiffness of the joints",
        WeightParameter::JointRadial => "the radial stiffness of the joints",
        WeightParameter::DriveHolding => "the holding stiffness of the drives",
        WeightParameter::SupportCompliance => "the support of the base",
        WeightParameter::BaseTilt => "a base that tilts",
        WeightParameter::Play => "play",
        WeightParameter::Friction => "friction",
    }
}

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
            let value = words::number(weight_in_unit(one.parameter, one.value), 3);
            format!("{} {value}", weight_name_with_unit(one.parameter))
        })
        .collect();
    if !off.is_empty() {
        said.push(format!("deviations: {}", off.join(", ")));
    }
    if let Some(index) = judged.stiffness_cause(fit) {
        said.push(remedy_of_stiffness(fit.parameters[index].parameter).to_string());
    }
    said.join("; ")
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

/// Causes that the points cannot tell from the best.
fn rivals_words(judged: &Judged) -> String {
    let rivals: Vec<String> = judged.rivals.iter().take(3).map(cause_words).collect();
    rivals.join(" or ")
}

/// What orientations say of the fit; `None` where none was measured.
pub fn orientation_words(found: &Result<Orientations, OrientationError>) -> Option<String> {
    let shown = |angle: f64| format!("{}°", words::number(degrees(angle), 3));
    match found {
        Ok(found) => {
            let mut text = format!(
                "{} withheld rows: {} with the design, {} fitted (root mean square)",
                found.after.angle.count,
                shown(found.before.angle.rms),
                shown(found.after.angle.rms)
            );
            if found.witness == Witness::Worse {
                text.push_str(": THE FIT EXPLAINS THE POINTS BY WHAT THE LINKAGE IS NOT");
            }
            if !found.off.is_empty() {
                let rows: Vec<String> = found.off.iter().map(usize::to_string).collect();
                text.push_str(&format!("; large deviations in rows {}", rows.join(", ")));
            }
            Some(text)
        }
        Err(OrientationError::TooFew(0)) => None,
        Err(error) => Some(error.to_string()),
    }
}
