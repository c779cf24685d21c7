//! The verdict on points, in words: what is at fault, what is open, what would decide.

use calotte::measurement::{
    Cause, Judged, Off, Outcome, PhysicalModel, PointFit, Standing, TellApart, Unlike,
};

use super::lack::lack_words;
use super::units::{name_with_unit, shown};
use super::words::{part_words, remedy_words};
use calotte_format::units::degrees;
use calotte_format::words;

/// Parameters or sets of parts which a sentence names.
const NAMED_MAX: usize = 4;

/// Whether the prototype is the design, what is off, what to do.
pub fn verdict_words(model: &PhysicalModel, fit: &PointFit, judged: &Judged) -> String {
    if let Some(unlike) = judged.unlike {
        return unlike_words(model, unlike);
    }
    match judged.outcome {
        Outcome::Agrees => {
            let mut text = "no deviation beyond workshop tolerance".to_string();
            let not_judged = listed(&of_standing(model, judged, Standing::NotJudged));
            if !not_judged.is_empty() {
                text.push_str(&format!(
                    " in what these points can judge; not judged: {not_judged}"
                ));
            }
            text
        }
        Outcome::Deviates => deviates(model, judged),
        Outcome::LackOfFit => {
            let mut said = lack_words(model, fit);
            if judged.listed > 0 {
                said.push(format!(
                    "a linkage alone would explain the rest by {}",
                    suspects(model, judged)
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
                said.push(format!(
                    "all within tolerance with a probability of {}, else {}",
                    percent(judged.within),
                    suspects(model, judged)
                ));
            }
            if judged.far {
                said.push(format!(
                    "the points lie further off the design than the {} mm that tolerances and noise let expect",
                    words::three(fit.expected * 1e3)
                ));
            }
            let not_judged = listed(&of_standing(model, judged, Standing::NotJudged));
            if !not_judged.is_empty() {
                said.push(format!(
                    "faults of these would not have been seen: {not_judged}"
                ));
            }
            said.join("; ")
        }
    }
}

/// Why points cannot be those of the design.
fn unlike_words(model: &PhysicalModel, unlike: Unlike) -> String {
    let millimetres = |value: f64| words::three(value * 1e3);
    match unlike {
        Unlike::Misses(rms) => format!(
            "these are not points of this design: the best fit misses them by {} mm all over; look for swapped or turned columns, a mirrored frame, other units, or another design",
            millimetres(rms)
        ),
        Unlike::Radius(found) => format!(
            "these are not points of this design: the sensor would sit {} mm from the centre, the design's tip {} mm; are the lengths in the unit of their heading?",
            millimetres(found),
            millimetres(model.parameters[model.sensor_radius()].nominal)
        ),
    }
}

/// What is at fault for certain and what to do about it; what else may be, and that it is open.
fn deviates(model: &PhysicalModel, judged: &Judged) -> String {
    let mut said = vec!["the prototype deviates from the design".to_string()];
    if !judged.certain.is_empty() {
        let all = if judged.certain.len() > 1 {
            ", all of these together"
        } else {
            ""
        };
        said.push(format!(
            "at fault for certain{all}: {}",
            with_values(model, judged, &judged.certain)
        ));
    }
    if !judged.remedies.is_empty() {
        let remedies: Vec<String> = judged.remedies.iter().map(remedy_words).collect();
        said.push(format!("what to do: {}", remedies.join(", and ")));
    }
    if !judged.alternatives.is_empty() {
        let besides = if judged.certain.is_empty() {
            ""
        } else {
            "besides, "
        };
        said.push(format!("{besides}{}", alternatives(judged)));
        said.push(
            "these points do not decide which of these it is: replace and set nothing for them before further points do"
                .to_string(),
        );
    }
    said.join("; ")
}

/// Parts, each with its parameters that are off and their errors.
fn with_values(model: &PhysicalModel, judged: &Judged, parts: &[Cause]) -> String {
    let named: Vec<String> = parts
        .iter()
        .map(|part| {
            let off = judged.off.iter();
            let off = off.filter(|off| model.parameters[off.index].cause == *part);
            let values: Vec<String> = off.map(|off| off_words(model, off)).collect();
            if values.is_empty() {
                part_words(part)
            } else {
                format!("{} ({})", part_words(part), values.join(", "))
            }
        })
        .collect();
    named.join(" and ")
}

/// One parameter with its deviation and standard error.
fn off_words(model: &PhysicalModel, off: &Off) -> String {
    let described = &model.parameters[off.index];
    let sign = if off.by < 0.0 { "−" } else { "+" };
    let error = off.standard_error.map_or(String::new(), |error| {
        format!(" ± {}", shown(described, error))
    });
    format!(
        "{} {sign}{}{error}",
        name_with_unit(described),
        shown(described, off.by.abs())
    )
}

/// What is at fault if anything is.
fn suspects(model: &PhysicalModel, judged: &Judged) -> String {
    let certain = with_values(model, judged, &judged.certain);
    if judged.alternatives.is_empty() {
        return certain;
    }
    let rest = alternatives(judged);
    if certain.is_empty() {
        rest
    } else {
        format!("{certain}, and besides {rest}")
    }
}

/// Names of parts in a row.
fn listed(parts: &[Cause]) -> String {
    let names: Vec<String> = parts.iter().map(part_words).collect();
    names.join(", ")
}

/// Parts of which the verdict says one thing, in the order of the parameters.
pub fn of_standing(model: &PhysicalModel, judged: &Judged, wanted: Standing) -> Vec<Cause> {
    let mut parts: Vec<Cause> = Vec::new();
    for parameter in &model.parameters {
        let part = &parameter.cause;
        if !parts.contains(part) && judged.standing(model, part) == wanted {
            parts.push(part.clone());
        }
    }
    parts
}

/// What the verdict leaves open, one sentence a line; nothing for points of another design.
pub fn open_words(model: &PhysicalModel, judged: &Judged) -> Vec<String> {
    let mut said = Vec::new();
    match judged.outcome {
        Outcome::NotOfThisDesign => return said,
        Outcome::LackOfFit => {
            said.push("every part, until what the verdict names is mended".to_string());
            return said;
        }
        _ => {}
    }
    let in_question = of_standing(model, judged, Standing::InQuestion);
    if !in_question.is_empty() {
        said.push(format!("whether at fault: {}", listed(&in_question)));
    }
    let not_judged = of_standing(model, judged, Standing::NotJudged);
    if !not_judged.is_empty() {
        said.push(format!(
            "not judged, as a fault would not have been seen: {}",
            listed(&not_judged)
        ));
    }
    said
}

fn percent(probability: f64) -> String {
    format!("{} %", words::number(100.0 * probability, 0))
}

/// Parts of one explanation, which are all needed together.
fn together(parts: &[Cause]) -> String {
    let parts: Vec<String> = parts.iter().map(part_words).collect();
    parts.join(" together with ")
}

/// What explains the points besides what is certain, with probabilities: one of these.
fn alternatives(judged: &Judged) -> String {
    let all = &judged.alternatives;
    let nothing = all.iter().find(|(parts, _)| parts.is_empty());
    let some = || all.iter().filter(|(parts, _)| !parts.is_empty());
    let mut sets: Vec<String> = some()
        .take(NAMED_MAX)
        .map(|(parts, probability)| format!("{} ({})", together(parts), percent(*probability)))
        .collect();
    let more = some().count().saturating_sub(NAMED_MAX);
    if more > 0 {
        let rest: f64 = some().skip(NAMED_MAX).map(|(_, p)| p).sum();
        sets.push(format!("one of {more} others ({})", percent(rest)));
    }
    // Nothing besides what is certain; without anything certain there is no such explanation.
    let sound = "all other parts within tolerance";
    let sets = match &sets[..] {
        [one] => one.clone(),
        _ => format!("one of these, each enough by itself: {}", sets.join("; ")),
    };
    match nothing {
        Some((_, probability)) if *probability >= 0.5 => format!(
            "most probably nothing more is at fault ({}, {sound}), else {sets}",
            percent(*probability)
        ),
        Some((_, probability)) => {
            format!(
                "{sets}; or nothing more is at fault ({}, {sound})",
                percent(*probability)
            )
        }
        None => sets,
    }
}

/// What to measure next to tell the two most probable explanations apart.
pub fn next_words(
    model: &PhysicalModel,
    fit: &PointFit,
    judged: &Judged,
    next: &TellApart,
) -> String {
    let millimetres = |value: f64| words::three(value * 1e3);
    let [first, second] = model.active_names;
    let [a, b] = next.readings.map(|r| words::number(degrees(r), 1));
    let [one, other] = explanations(judged, next);
    match next.times {
        Some(times) => format!(
            "to decide between {one} and {other}: set {first} {a}°, {second} {b}°, coming from either side; there the two put the sensor {} mm apart, with a noise of {} mm per coordinate; {times} {} there would separate them",
            millimetres(next.distance),
            millimetres(fit.noise),
            if times == 1 {
                "further reading"
            } else {
                "further readings"
            }
        ),
        None => format!(
            "no point decides between {one} and {other} (they differ by {} mm at most, with a noise of {} mm per coordinate): measure these parts by themselves",
            millimetres(next.distance),
            millimetres(fit.noise)
        ),
    }
}

/// The two explanations that a measurement separates, besides what is certain, with the sides of
/// bars.
fn explanations(judged: &Judged, next: &TellApart) -> [String; 2] {
    let said = |parts: &[Cause]| {
        let besides = parts.iter().filter(|part| !judged.certain.contains(part));
        let besides: Vec<String> = besides.map(with_side).collect();
        match (besides.is_empty(), parts.is_empty()) {
            (true, true) => "all parts within tolerance".to_string(),
            (true, false) => "nothing more at fault".to_string(),
            _ => besides.join(" together with "),
        }
    };
    let [one, other] = &next.between;
    [format!("(A) {}", said(one)), format!("(B) {}", said(other))]
}

/// A part with the side it begins on.
fn with_side(part: &Cause) -> String {
    let name = part_words(part);
    let side = match part {
        Cause::Bar(bar) => sides_of(bar),
        _ => None,
    };
    match side {
        Some(side) => format!("{name} ({side})"),
        None => name,
    }
}

/// Which side a bar begins on.
fn sides_of(bar: &str) -> Option<&'static str> {
    let on = |side: &str| bar == format!("base-{side}") || bar.starts_with(&format!("bar-{side}-"));
    if on("left") {
        Some("from the left side")
    } else if on("right") {
        Some("from the right side")
    } else {
        None
    }
}

/// What left, right and the numbers of bars mean; `None` where no part has a side.
pub fn sides_words(model: &PhysicalModel) -> Option<&'static str> {
    let has_sides = model
        .parameters
        .iter()
        .any(|one| matches!(&one.cause, Cause::Bar(bar) if sides_of(bar).is_some()));
    has_sides.then_some(
        "left is the side of growing azimuth, anticlockwise seen from outside; base-left and base-right turn about the base axis; bar-left-1 begins at the left side joint of base-left, crosses bar-right-1 at the apex and goes on to the right; numbers count from the base outward; first_arc of a base bar reaches from the base axis to its side joint, of another bar from its side joint to the apex, second_arc from there on",
    )
}
