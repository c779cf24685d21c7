//! A fit as JSON.

use calotte::measurement::{
    Cause, FittedParameter, HoldOut, Judged, Measure, Parameter, PhysicalModel, PointFit,
    Registration, Remedy, ResidualStatistics, SphereFit,
};
use calotte_format::units::degrees;
use serde_json::{Value, json};

use super::fit::Zone;

/// Name of a parameter with its unit, as files and options write it.
pub fn name_with_unit(parameter: &Parameter) -> String {
    let unit = match parameter.measure {
        Measure::Angle => "_deg",
        Measure::Length => "_mm",
        Measure::Factor => "",
    };
    format!("{}{unit}", parameter.name)
}

/// A value of a parameter in its unit.
pub fn in_unit(parameter: &Parameter, value: f64) -> f64 {
    match parameter.measure {
        Measure::Angle => degrees(value),
        Measure::Length => value * 1e3,
        Measure::Factor => value,
    }
}

pub fn sphere(fit: &SphereFit) -> Value {
    json!({
        "centre_mm": (fit.centre * 1e3).as_slice(),
        "radius_mm": fit.radius * 1e3,
        "rms_mm": fit.rms() * 1e3,
    })
}

pub fn registration(found: &Registration) -> Value {
    let row = |i: usize| [0, 1, 2].map(|j| found.rotation[(i, j)]);
    json!({
        "rotation": [row(0), row(1), row(2)],
        "translation_mm": (found.translation * 1e3).as_slice(),
    })
}

pub fn residual(statistics: &ResidualStatistics) -> Value {
    json!({
        "count": statistics.count,
        "mean": statistics.mean * 1e3,
        "rms": statistics.rms * 1e3,
        "p95": statistics.p95 * 1e3,
        "max": statistics.max * 1e3,
    })
}

pub fn parameter(model: &PhysicalModel, fitted: &FittedParameter) -> Value {
    let described = &model.parameters[fitted.index];
    let shown = |value: f64| in_unit(described, value);
    let like: Vec<Value> = fitted
        .told
        .looks_like
        .iter()
        .map(|(index, share)| {
            let other = &model.parameters[*index];
            // In natural units: so much of the other for one of this.
            let ratio = share * in_unit(other, other.typical) / shown(described.typical);
            json!({ "name": name_with_unit(other), "for_one": ratio })
        })
        .collect();
    json!({
        "name": name_with_unit(described),
        "value": shown(fitted.value),
        "nominal": shown(described.nominal),
        "standard_error": fitted.standard_error.map(shown),
        "standard_error_with_held": fitted.with_held.map(shown),
        "identifiable": fitted.told.fitted,
        "signal_to_noise": fitted.told.signal,
        "held_because_it_looks_like": like,
    })
}

pub fn hold_out(found: Option<&HoldOut>) -> Value {
    found.map_or(Value::Null, |found| {
        json!({
            "parts": found.parts,
            "rms_before_mm": found.before * 1e3,
            "rms_after_mm": found.after * 1e3,
            "learned": found.after < found.before,
        })
    })
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

pub fn causes(model: &PhysicalModel, fit: &PointFit) -> Vec<Value> {
    fit.causes
        .iter()
        .map(|found| {
            let values: Vec<Value> = found
                .values
                .iter()
                .map(|(index, value)| {
                    let described = &model.parameters[*index];
                    json!({ "name": name_with_unit(described), "value": in_unit(described, *value) })
                })
                .collect();
            json!({
                "cause": cause_words(&found.cause),
                "explains": found.share,
                "values": values,
                "in_typical_errors": found.size,
            })
        })
        .collect()
}

pub fn zones(list: &[Zone]) -> Vec<Value> {
    list.iter()
        .map(|zone| {
            json!({
                "polar_from_deg": zone.polar[0],
                "polar_to_deg": zone.polar[1],
                "before_mm": residual(&zone.before),
                "after_mm": residual(&zone.after),
            })
        })
        .collect()
}

/// What to do, in words.
pub fn remedy_words(remedy: &Remedy) -> String {
    match remedy {
        Remedy::RemakeBar(name) => format!("remake {name}"),
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

pub fn verdict(model: &PhysicalModel, judged: &Judged) -> Value {
    let off: Vec<Value> = judged
        .off
        .iter()
        .map(|off| {
            let described = &model.parameters[off.index];
            json!({
                "name": name_with_unit(described),
                "by": in_unit(described, off.by),
                "in_typical_errors": off.in_typical,
            })
        })
        .collect();
    json!({
        "agrees_within_typical_errors": judged.agrees,
        "off": off,
        "remedy": judged.remedy.as_ref().map(remedy_words),
        "remedy_explains": judged.share,
    })
}
