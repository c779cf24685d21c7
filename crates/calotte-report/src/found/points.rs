//! What points say, as JSON.

use calotte::measurement::{
    FittedParameter, HoldOut, Judged, OrientationAgreement, OrientationError, Orientations,
    PhysicalModel, PointFit, Prototype, Registration, ResidualStatistics, RowFound, SphereFit,
    Witness, Zone,
};
use calotte::sphere::{Direction, LocalFrame};
use nalgebra::UnitQuaternion;
use rayon::prelude::*;
use serde_json::{Map, Value, json};

use super::FoundPoints;
use super::units::{in_unit, name_with_unit};
use super::words::{cause_words, remedy_words, verdict_words};
use calotte_format::units::degrees;

/// What points say: the keys of `measure fit --json` beside `weights` and `run`.
pub(super) fn points_json(found: &FoundPoints) -> Map<String, Value> {
    let Prototype {
        model,
        fit,
        sphere,
        before,
        after,
        rows,
        zones,
        groups,
        judged,
        ..
    } = &found.prototype;
    let fitted: Vec<String> = fit
        .fitted
        .iter()
        .map(|index| name_with_unit(&model.parameters[*index]))
        .collect();
    let correlation: Vec<Vec<f64>> = fit
        .correlation
        .row_iter()
        .map(|row| row.iter().copied().collect())
        .collect();
    let groups: Vec<Value> = groups
        .iter()
        .map(|(name, repeated)| {
            json!({
                "group": name,
                "count": repeated.count,
                "pose_accuracy_mm": repeated.accuracy * 1e3,
                "pose_repeatability_mm": repeated.repeatability * 1e3,
            })
        })
        .collect();
    let refused: Vec<Value> = found
        .read
        .refused
        .iter()
        .map(|row| json!({ "row": row.row, "line": row.line, "reason": row.reason }))
        .collect();
    let object = json!({
        "sphere": sphere_json(sphere),
        "registration": registration(&fit.pose_before),
        "residual_mm": residual(before),
        "parameters": fit.parameters.iter().map(|p| parameter(model, p)).collect::<Vec<_>>(),
        "after": {
            "residual_mm": residual(after),
            "registration": registration(&fit.pose),
            "noise_mm": fit.noise * 1e3,
        },
        "verdict": verdict(model, judged),
        "outlier_rows": fit.outliers,
        "unreachable_rows": fit.unreachable,
        "refused_rows": refused,
        "rows_used": fit.used.len(),
        "rows": rows.par_iter().map(|row| row_json(model, row)).collect::<Vec<_>>(),
        "hold_out": hold_out(fit.hold_out.as_ref()),
        "singular_values_over_noise": fit.singular_values,
        "correlation": { "names": fitted, "matrix": correlation },
        "never_told": {
            "name": name_with_unit(&model.parameters[model.unobservable_zero()]),
            "reason": "it and the tracker's rotation about the base axis are one parameter",
        },
        "causes": causes(model, fit),
        "zones": zones.iter().map(zone).collect::<Vec<_>>(),
        "groups": groups,
        "orientation": orientation(&found.prototype.orientations),
        "notes": found.read.notes,
    });
    match object {
        Value::Object(map) => map,
        _ => Map::new(),
    }
}

/// One measured row: base frame, residuals as measured less predicted in the local frame of
/// the direction (along growing polar angle, along growing azimuth, outward) and in x, y, z.
fn row_json(model: &PhysicalModel, row: &RowFound) -> Value {
    let direction = Direction::of(&row.direction);
    let frame = LocalFrame::at(direction).rotation();
    let local = |residual: &nalgebra::Vector3<f64>| {
        let along = frame.transpose() * residual * 1e3;
        json!({ "polar": along.x, "azimuth": along.y, "radial": along.z })
    };
    let mut object = json!({
        "row": row.row,
        "direction_deg": {
            "polar": degrees(direction.polar),
            "azimuth": degrees(direction.azimuth),
        },
        "measured_mm": (row.measured * 1e3).as_slice(),
        "before_mm": local(&row.before),
        "after_mm": local(&row.after),
        "before_base_mm": (row.before * 1e3).as_slice(),
        "after_base_mm": (row.after * 1e3).as_slice(),
        "used": row.used,
    });
    for (name, reading) in model.active_names.iter().zip(row.readings) {
        object[format!("{name}_deg")] = json!(degrees(reading));
    }
    object
}

fn sphere_json(fit: &SphereFit) -> Value {
    json!({
        "centre_mm": (fit.centre * 1e3).as_slice(),
        "radius_mm": fit.radius * 1e3,
        "rms_mm": fit.rms() * 1e3,
    })
}

fn registration(found: &Registration) -> Value {
    let row = |i: usize| [0, 1, 2].map(|j| found.rotation[(i, j)]);
    json!({
        "rotation": [row(0), row(1), row(2)],
        "translation_mm": (found.translation * 1e3).as_slice(),
    })
}

pub(super) fn residual(statistics: &ResidualStatistics) -> Value {
    json!({
        "count": statistics.count,
        "mean": statistics.mean * 1e3,
        "rms": statistics.rms * 1e3,
        "p95": statistics.p95 * 1e3,
        "max": statistics.max * 1e3,
    })
}

fn parameter(model: &PhysicalModel, fitted: &FittedParameter) -> Value {
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

fn hold_out(found: Option<&HoldOut>) -> Value {
    found.map_or(Value::Null, |found| {
        json!({
            "parts": found.parts,
            "rms_before_mm": found.before * 1e3,
            "rms_after_mm": found.after * 1e3,
            "learned": found.after < found.before,
        })
    })
}

fn causes(model: &PhysicalModel, fit: &PointFit) -> Vec<Value> {
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

/// What orientations say; null where none was measured.
fn orientation(found: &Result<Orientations, OrientationError>) -> Value {
    let angles = |statistics: &ResidualStatistics| {
        json!({
            "count": statistics.count,
            "mean": degrees(statistics.mean),
            "rms": degrees(statistics.rms),
            "p95": degrees(statistics.p95),
            "max": degrees(statistics.max),
        })
    };
    let agreement = |of: &OrientationAgreement| {
        let quaternion = UnitQuaternion::from_rotation_matrix(&of.sensor);
        json!({
            "angle_deg": angles(&of.angle),
            "roll_deg": angles(&of.roll),
            "direction_deg": angles(&of.direction),
            "sensor_on_tool_wxyz": [quaternion.w, quaternion.i, quaternion.j, quaternion.k],
        })
    };
    match found {
        Ok(found) => json!({
            "rows": found.rows.len(),
            "off_rows": found.off,
            "before": agreement(&found.before),
            "after": agreement(&found.after),
            "sensor_standard_error_deg": degrees(found.sensor_standard_error),
            "fit_made_them_agree": match found.witness {
                Witness::Better => "better",
                Witness::Same => "neither better nor worse",
                Witness::Worse => "worse",
            },
        }),
        Err(OrientationError::TooFew(0)) => Value::Null,
        Err(error) => json!({ "reason": error.to_string() }),
    }
}

fn zone(zone: &Zone) -> Value {
    json!({
        "polar_from_deg": degrees(zone.polar[0]),
        "polar_to_deg": degrees(zone.polar[1]),
        "before_mm": residual(&zone.before),
        "after_mm": residual(&zone.after),
    })
}

fn verdict(model: &PhysicalModel, judged: &Judged) -> Value {
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
        "of_this_design": judged.unlike.is_none(),
        "rivals": judged.rivals.iter().map(cause_words).collect::<Vec<_>>(),
        "words": verdict_words(model, judged),
    })
}
