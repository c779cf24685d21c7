//! What a fit says, in words.

use calotte::measurement::weights::WeightParameter;
use calotte::measurement::{
    Cause, Combination, FitStage, Hint, Joints, LengthUnit, Misread, OrientationError,
    Orientations, Outcome, PhysicalModel, Remedy, TakenFor, Witness,
};

use super::units::{in_unit, name_with_unit};
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

/// A part by its short name.
pub fn part_words(cause: &Cause) -> String {
    match cause {
        Cause::Sensor => "sensor".to_string(),
        Cause::Bar(name) => name.clone(),
        Cause::BaseAxes => "base axes".to_string(),
        Cause::Zero(_) | Cause::Scale(_) | Cause::Backlash(_) => cause_words(cause),
    }
}

/// What points say of a prototype, in a word or two.
pub fn outcome_words(outcome: Outcome) -> &'static str {
    match outcome {
        Outcome::Agrees => "agrees",
        Outcome::Deviates => "deviates",
        Outcome::LackOfFit => "lack of fit",
        Outcome::Undecided => "undecided",
        Outcome::NotOfThisDesign => "not of this design",
    }
}

/// A combination of parameters, its deviation and standard error.
pub fn combination_words(model: &PhysicalModel, one: &Combination) -> String {
    let first = &model.parameters[one.terms[0].0];
    let mut text = name_with_unit(first);
    for (index, times) in &one.terms[1..] {
        let described = &model.parameters[*index];
        let times = times * in_unit(first, 1.0) / in_unit(described, 1.0);
        let sign = if times < 0.0 { "−" } else { "+" };
        let times = words::number(times.abs(), 2);
        text.push_str(&format!(" {sign} {times} {}", name_with_unit(described)));
    }
    let by = in_unit(first, one.by);
    let sign = if by >= 0.0 { "+" } else { "" };
    format!(
        "{text}: {sign}{} ± {}",
        words::number(by, 3),
        words::number(in_unit(first, one.standard_error), 3)
    )
}

/// What to do, in words.
pub fn remedy_words(remedy: &Remedy) -> String {
    match remedy {
        Remedy::RemakeBar(name) => format!("replace {name}"),
        Remedy::SetZero(name) => format!("set the zero of {name} anew (see Controller)"),
        Remedy::SetScale(name) => format!("correct the scale of {name} (see Controller)"),
        Remedy::TakeOutBacklash(name) => format!("take the backlash out of {name}"),
        Remedy::AlignBase => "bring the base axes into one line through the centre".to_string(),
    }
}

/// How a file may have been misread, in words.
pub fn hint_words(model: &PhysicalModel, hint: &Hint) -> String {
    let one = |joint: usize| model.active_names[joint];
    let readings = |joints: Joints| match joints {
        Joints::One(joint) => format!("the reading of {}", one(joint)),
        Joints::Both => "both readings".to_string(),
    };
    let what = match hint.what {
        Misread::Swapped => format!("the columns of {} and {} are exchanged", one(0), one(1)),
        Misread::Sign(joints) => format!("{} with the opposite sign", readings(joints)),
        Misread::LeftHanded => {
            "the points are in a left-handed frame: one axis the wrong way, or two exchanged"
                .to_string()
        }
        Misread::Angle { joints, taken } => match taken {
            TakenFor::RadiansForDegrees => format!("{} in radians", readings(joints)),
            TakenFor::DegreesForRadians => {
                format!("{} turned into degrees twice", readings(joints))
            }
        },
        Misread::Offset { joint, by } => format!(
            "the reading of {} off by {}°",
            one(joint),
            words::number(degrees(-by), 0)
        ),
        Misread::Ratio { joints, power } => format!(
            "{} {}",
            readings(joints),
            match power {
                1 => "of the mechanism, without the drive's ratio",
                2 => "with the drive's ratio the wrong way round",
                _ => "with the drive's ratio twice",
            }
        ),
        Misread::Length(unit) => format!(
            "the points in {}",
            match unit {
                LengthUnit::Micrometre => "micrometres",
                LengthUnit::Centimetre => "centimetres",
                LengthUnit::Inch => "inches",
                LengthUnit::Metre => "metres",
            }
        ),
        Misread::Shifted { by } => format!(
            "readings and points of different rows side by side, {} {} apart",
            by.unsigned_abs(),
            if by.unsigned_abs() == 1 {
                "row"
            } else {
                "rows"
            }
        ),
    };
    format!(
        "{what} ({} mm missed as the file stands, {} mm with this put right)",
        words::three(hint.before * 1e3),
        words::three(hint.after * 1e3)
    )
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
