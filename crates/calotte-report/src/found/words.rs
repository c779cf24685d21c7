//! What a fit says, in words.

use calotte::measurement::weights::{Doubt, WeightParameter, WeightsJudged};
use calotte::measurement::{
    Cause, Combination, FitStage, Hint, Joints, Judged, LengthUnit, Misread, Off, OrientationError,
    Orientations, Outcome, PhysicalModel, PointFit, Remedy, TakenFor, TellApart, Unlike, WeightFit,
    Witness,
};

use super::lack::lack_words;
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
        Remedy::SetZero(name) => format!("set the zero of {name} anew"),
        Remedy::SetScale(name) => format!("enter the scale of {name} that was found"),
        Remedy::TakeOutBacklash(name) => format!("take the backlash out of {name}"),
        Remedy::AlignBase => "bring the base axes into one line through the centre".to_string(),
    }
}

/// Parameters that are off which a sentence names.
const NAMED_MAX: usize = 4;

/// Whether the prototype is the design, what is off, what to do.
pub fn verdict_words(model: &PhysicalModel, fit: &PointFit, judged: &Judged) -> String {
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
    let named = |list: &[Off]| {
        let mut named: Vec<String> = list
            .iter()
            .take(NAMED_MAX)
            .map(|off| {
                let described = &model.parameters[off.index];
                let by = words::number(in_unit(described, off.by), 3);
                format!("{} by {by}", name_with_unit(described))
            })
            .collect();
        if list.len() > NAMED_MAX {
            named.push(format!("{} more", list.len() - NAMED_MAX));
        }
        named.join(", ")
    };
    match judged.outcome {
        Outcome::Agrees => {
            let mut text = "no deviation beyond workshop tolerance".to_string();
            if !judged.unseen.is_empty() {
                text.push_str(&format!(
                    " in what these points can judge; not judged: {}",
                    not_judged(model, judged)
                ));
            }
            text
        }
        Outcome::Deviates => {
            let mut said = Vec::new();
            let sure: Vec<Off> = judged
                .off
                .iter()
                .filter(|off| judged.certain.contains(&model.parameters[off.index].cause))
                .copied()
                .collect();
            if !sure.is_empty() {
                said.push(named(&sure));
            }
            said.extend(judged.remedies.iter().map(remedy_words));
            if !judged.alternatives.is_empty() {
                let also = if sure.is_empty() { "" } else { "besides, " };
                said.push(format!(
                    "{also}{}; these points do not separate them, so none of these is to be made anew yet",
                    alternatives(judged)
                ));
            }
            format!(
                "the prototype deviates from the design: {}",
                said.join("; ")
            )
        }
        Outcome::LackOfFit => {
            let mut said = lack_words(model, fit);
            if judged.listed > 0 {
                said.push(format!(
                    "a linkage alone would explain the rest by {}",
                    suspects(judged, &named)
                ));
            }
            format!(
                "what the fit leaves is not noise: {}; nothing is to be made anew before that is mended and measured again",
                said.join("; ")
            )
        }
        Outcome::Undecided | Outcome::NotOfThisDesign => {
            let mut said =
                vec!["these points do not decide whether the prototype is the design".to_string()];
            if judged.listed > 0 {
                let suspects = suspects(judged, &named);
                said.push(format!(
                    "all within tolerance with a probability of {} %, else {suspects}",
                    words::number(100.0 * judged.within, 0)
                ));
            }
            if judged.far {
                said.push(format!(
                    "the points lie further off the design than the {} mm that tolerances and noise let expect",
                    millimetres(fit.expected)
                ));
            }
            if !judged.unseen.is_empty() {
                said.push(format!(
                    "faults of these would not have been seen: {}",
                    not_judged(model, judged)
                ));
            }
            said.join("; ")
        }
    }
}

/// What is at fault if anything is.
fn suspects(judged: &Judged, named: &dyn Fn(&[Off]) -> String) -> String {
    if judged.alternatives.is_empty() {
        return named(&judged.off);
    }
    let certain: Vec<String> = judged.certain.iter().map(part_words).collect();
    let rest = alternatives(judged);
    if certain.is_empty() {
        rest
    } else {
        format!("{}, and besides {rest}", certain.join(" and "))
    }
}

/// Parts of which no fault would have been seen.
fn not_judged(model: &PhysicalModel, judged: &Judged) -> String {
    let unseen = judged.unseen.iter();
    let names = unseen.map(|index| part_words(&model.parameters[*index].cause));
    names.collect::<Vec<_>>().join(", ")
}

/// What explains the points besides what is certain, with probabilities.
fn alternatives(judged: &Judged) -> String {
    let percent = |probability: f64| format!("{} %", words::number(100.0 * probability, 0));
    let nothing = judged
        .alternatives
        .iter()
        .find(|(parts, _)| parts.is_empty());
    let some = || {
        judged
            .alternatives
            .iter()
            .filter(|(parts, _)| !parts.is_empty())
    };
    let mut sets: Vec<String> = some()
        .take(NAMED_MAX)
        .map(|(parts, probability)| {
            let parts: Vec<String> = parts.iter().map(part_words).collect();
            format!("{} ({})", parts.join(" with "), percent(*probability))
        })
        .collect();
    let more = some().count().saturating_sub(NAMED_MAX);
    if more > 0 {
        sets.push(format!("something else ({more} more)"));
    }
    let sets = format!("one of: {}", sets.join(", "));
    match nothing {
        Some((_, probability)) if *probability >= 0.5 => {
            format!(
                "most probably nothing more ({}), else {sets}",
                percent(*probability)
            )
        }
        Some((_, probability)) => format!("{sets}, or nothing more ({})", percent(*probability)),
        None => sets,
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

/// What to measure next to tell the two most probable explanations apart.
pub fn next_words(model: &PhysicalModel, fit: &PointFit, next: &TellApart) -> String {
    let millimetres = |value: f64| words::three(value * 1e3);
    let [first, second] = model.active_names;
    let [a, b] = next.readings.map(|r| words::number(degrees(r), 1));
    match next.times {
        Some(times) => format!(
            "the two most probable explanations differ most at {first} {a}°, {second} {b}°: {} mm, with a noise of {} mm; {times} {} there would separate them",
            millimetres(next.distance),
            millimetres(fit.noise),
            if times == 1 {
                "further reading"
            } else {
                "further readings"
            }
        ),
        None => format!(
            "no point separates the two most probable explanations (they differ by {} mm at most, with a noise of {} mm): measure these parts by themselves",
            millimetres(next.distance),
            millimetres(fit.noise)
        ),
    }
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
