//! What weights said, as JSON.

use calotte::brief::LoadPlace;
use calotte::measurement::weights::{FittedWeight, Seen, Standing, Station};
use calotte::measurement::{Course, Displacement, WeightRow};
use serde_json::{Value, json};

use super::FoundWeights;
use super::points::residual;
use super::units::{weight_in_unit as in_unit, weight_name_with_unit as name_with_unit};
use super::words::{weight_cause_words, weights_verdict_words};
use calotte_format::units::degrees;

/// Everything found, for the key `weights` of the fit's results.
pub fn weights_json(found: &FoundWeights) -> Value {
    let fit = &found.fit;
    let refused: Vec<Value> = found
        .read
        .refused
        .iter()
        .map(|row| json!({ "row": row.row, "line": row.line, "reason": row.reason }))
        .collect();
    let fitted = fit
        .fitted
        .iter()
        .map(|index| fit.parameters[*index].parameter);
    let names: Vec<String> = fitted.map(name_with_unit).collect();
    let correlation: Vec<Vec<f64>> = fit
        .correlation
        .row_iter()
        .map(|row| row.iter().copied().collect())
        .collect();
    let causes: Vec<Value> = fit
        .causes
        .iter()
        .map(|cause| {
            json!({
                "name": name_with_unit(cause.parameter),
                "cause": weight_cause_words(cause.parameter),
                "explains": cause.share,
                "value": in_unit(cause.parameter, cause.value),
            })
        })
        .collect();
    let residuals: Vec<Value> = fit
        .residuals
        .iter()
        .map(|(row, miss)| json!({ "row": row, "residual_mm": (miss * 1e3).as_slice() }))
        .collect();
    let stations = fit.stations.iter();
    let off: Vec<Value> = found
        .judged
        .off
        .iter()
        .map(|off| {
            let parameter = fit.parameters[off.index].parameter;
            json!({ "name": name_with_unit(parameter), "in_standard_errors": off.in_errors })
        })
        .collect();
    let loads: Vec<Value> = found.read.weights.rows.iter().map(load).collect();
    json!({
        "parameters": fit.parameters.iter().map(|one| parameter(fit, one)).collect::<Vec<_>>(),
        "noise_mm": fit.noise * 1e3,
        "scatter_mm": fit.scatter.map(|scatter| scatter * 1e3),
        "explained": fit.explained,
        "verdict": {
            "agrees_within_bands": found.judged.agrees,
            "believed": found.judged.doubt.is_none(),
            "softer": found.judged.softer,
            "stiffer": found.judged.stiffer,
            "judged": found.judged.judged,
            "off": off,
            "cause_of_stiffness": found.judged.stiffness_cause(fit)
                .map(|index| weight_cause_words(fit.parameters[index].parameter)),
            "words": weights_verdict_words(fit, &found.judged),
        },
        "residual_mm": residual(&fit.before),
        "after": { "residual_mm": residual(&fit.after) },
        "rows": residuals,
        "readings": loads,
        "rows_used": fit.used,
        "outlier_rows": fit.outliers,
        "unreachable_rows": fit.unreachable,
        "across_rows": fit.across,
        "refused_rows": refused,
        "unloaded_again": fit.unloaded_again,
        "correlation": { "names": names, "matrix": correlation },
        "causes": causes,
        "configurations": stations.map(|one| station(found.joints, one)).collect::<Vec<_>>(),
        "notes": found.read.notes,
    })
}

fn parameter(fit: &calotte::measurement::WeightFit, one: &FittedWeight) -> Value {
    let shown = |value: f64| in_unit(one.parameter, value);
    let like: Vec<Value> = one
        .told
        .looks_like
        .iter()
        .map(|(index, share)| {
            let other = fit.parameters[*index].parameter;
            json!({ "name": name_with_unit(other), "typical_errors_for_one": share })
        })
        .collect();
    json!({
        "name": name_with_unit(one.parameter),
        "value": shown(one.value),
        "nominal": shown(one.nominal),
        "standard_error": one.standard_error.map(shown),
        "standard_error_with_held": one.with_held.map(shown),
        "identifiable": one.told.fitted,
        "at_bound": one.at_bound,
        "signal_to_noise": one.told.signal,
        "held_because_it_looks_like": like,
    })
}

/// What a weight pulls on, as files of weights write it.
pub fn place_words(place: &LoadPlace) -> String {
    match place {
        LoadPlace::Tip => "tip".to_string(),
        LoadPlace::Grip => "grip".to_string(),
        LoadPlace::Bar { name, fraction } => format!("{name}@{fraction}"),
    }
}

/// One reading of the gauge; displacement is along the gauge, or along the pull where all
/// three components were read.
fn load(row: &WeightRow) -> Value {
    let (displacement, gauge) = match row.displacement {
        Displacement::Along { axis, value } => (value, Some(axis)),
        Displacement::Vector(moved) => (moved.dot(&row.pull), None),
    };
    json!({
        "row": row.row,
        "mass_kg": row.mass,
        "displacement_mm": displacement * 1e3,
        "gauge": gauge.as_ref().map(|axis| axis.as_slice()),
        "course": match row.course {
            Course::Loading => "loading",
            Course::Unloading => "unloading",
        },
    })
}

/// The place that such words mean.
pub(super) fn place_of(words: &str) -> LoadPlace {
    match (words, words.rsplit_once('@')) {
        ("grip", _) => LoadPlace::Grip,
        (_, Some((name, fraction))) => LoadPlace::Bar {
            name: name.to_string(),
            fraction: fraction.parse().unwrap_or(1.0),
        },
        _ => LoadPlace::Tip,
    }
}

fn station(joints: [&str; 2], one: &Station) -> Value {
    let stiffness = |value: Option<f64>| value.map(|value| value * 1e-3);
    let seen = |seen: Option<Seen>, unit: f64| {
        seen.map(|seen| {
            json!({
                "value": seen.value * unit,
                "standard_error": seen.standard_error * unit,
            })
        })
    };
    let mut object = json!({
        "place": place_words(&one.place),
        "pull": one.pull.as_slice(),
        "gauge": one.gauge.as_ref().map(|axis| axis.as_slice()),
        "rows": one.rows,
        "measured_stiffness_n_per_mm": seen(one.measured, 1e-3),
        "nominal_stiffness_n_per_mm": stiffness(one.nominal),
        "soft_stiffness_n_per_mm": stiffness(one.band.map(|band| band[0])),
        "stiff_stiffness_n_per_mm": stiffness(one.band.map(|band| band[1])),
        "fitted_stiffness_n_per_mm": stiffness(one.fitted),
        "standing": one.standing.map(|standing| match standing {
            Standing::Within => "within",
            Standing::Softer => "softer",
            Standing::Stiffer => "stiffer",
        }),
        "compliance_shares": one.shares.map(|shares| json!({
            "arcs": shares.arcs,
            "joints": shares.joints,
            "pins": shares.pins,
            "drives": shares.drives,
            "base": shares.base,
        })),
        "play_mm": seen(one.play, 1e3),
        "friction_loop_mm": seen(one.friction, 1e3),
    });
    for (name, reading) in joints.iter().zip(one.readings) {
        object[format!("{name}_deg")] = json!(degrees(reading));
    }
    object
}
