//! What to change on the controller: the value, its sense, and how to see that it was entered the
//! right way round.

use calotte::measurement::{Cause, Judged, Outcome, PhysicalModel, PointFit};

use super::units::shown;
use calotte_format::words;

/// Reading at which an entry is tried out, °.
const TRIED: f64 = 100.0;

/// What to change for the scales and zeros that are at fault for certain, one for each; then what
/// that does to the table of corrections. Empty where nothing is to be entered.
pub fn controller_words(model: &PhysicalModel, fit: &PointFit, judged: &Judged) -> Vec<String> {
    if judged.outcome != Outcome::Deviates {
        return Vec::new();
    }
    let mut said: Vec<String> = judged
        .certain
        .iter()
        .filter_map(|part| match part {
            Cause::Scale(joint) => scale(model, fit, joint),
            Cause::Zero(angle) => zero(model, fit, angle),
            _ => None,
        })
        .collect();
    if !said.is_empty() {
        said.push(
            "a corrections.csv of this fit is made for the controller as it was when the points were measured: use either the table or these entries, not both; after an entry measure and fit again"
                .to_string(),
        );
    }
    said
}

/// A parameter's value and standard error, as the fit has them.
fn found(model: &PhysicalModel, fit: &PointFit, name: &str) -> Option<(usize, f64, f64)> {
    let index = model.index_of(name)?;
    let error = fit.parameters[index].standard_error?;
    Some((index, fit.values[index], error))
}

fn scale(model: &PhysicalModel, fit: &PointFit, joint: &str) -> Option<String> {
    let (index, value, error) = found(model, fit, &format!("{joint}.scale"))?;
    let described = &model.parameters[index];
    let sense = if value < 1.0 { "less" } else { "more" };
    let factor = shown(described, value);
    Some(format!(
        "scale of {joint} {factor} ± {}: the joint turns {sense} than the controller says, by {} where it says {}. Multiply the degrees per count (angle for one step of the encoder) of {joint} by {factor}; a controller that takes counts per degree instead needs the inverse, times {}. Check: where the reading was {} it is then {}; if it is {}, the entry is the wrong way round",
        shown(described, error),
        angle(TRIED * value),
        angle(TRIED),
        shown(described, 1.0 / value),
        angle(TRIED),
        angle(TRIED * value),
        angle(TRIED / value),
    ))
}

fn zero(model: &PhysicalModel, fit: &PointFit, name: &str) -> Option<String> {
    let (index, value, error) = found(model, fit, &format!("{name}.zero"))?;
    let described = &model.parameters[index];
    let by = shown(described, value.abs());
    let (sense, more) = if value > 0.0 {
        ("further than", "more")
    } else {
        ("less far than", "less")
    };
    let given = if model.active_names.contains(&name) {
        "the controller says".to_string()
    } else {
        let [first, second] = model.active_names;
        format!("the readings of {first} and {second} give together")
    };
    Some(format!(
        "zero of {name} {}{by}° ± {}°: {name} stands {by}° {sense} {given}, in the sense in which it grows. Shift its zero until the controller gives {by}° {more} at the same place",
        if value < 0.0 { "−" } else { "+" },
        shown(described, error)
    ))
}

fn angle(degrees: f64) -> String {
    format!("{}°", words::number(degrees, 3))
}
