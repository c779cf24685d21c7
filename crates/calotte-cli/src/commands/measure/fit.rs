//! `calotte measure fit`: a real linkage's parameters from measured points.

use std::collections::BTreeMap;

use calotte::kinematics::Kinematics;
use calotte::measurement::{
    FitOptions as Settings, Judged, PhysicalModel, PointFit, Points, Repeated, ResidualStatistics,
    SphereFit, fit_points, fit_sphere, judged, repeated, sags,
};
use calotte::sphere::Direction;
use calotte::uncertain::Corner;
use calotte_format::measurement::{PointsRead, read_points};
use calotte_format::units::degrees;
use nalgebra::Vector3;
use serde_json::{Value, json};

use super::{fit_files, fit_json, fit_words, weights, weights_json, weights_words};
use crate::Verdict;
use crate::arguments::FitOptions;
use crate::failure::Failure;
use crate::files::{read_bytes, sha256};
use crate::inputs::{self, Input, provenance};
use crate::put_line;

/// Statistics of a band of polar angles.
pub struct Zone {
    /// From, to, degrees.
    pub polar: [f64; 2],
    /// With the design's values.
    pub before: ResidualStatistics,
    /// After the fit.
    pub after: ResidualStatistics,
}

/// What was found.
pub struct Found {
    pub design: Input<calotte::design::Design>,
    pub read: PointsRead,
    pub model: PhysicalModel,
    pub sphere: SphereFit,
    pub fit: PointFit,
    pub before: ResidualStatistics,
    pub after: ResidualStatistics,
    pub zones: Vec<Zone>,
    pub groups: Vec<(String, Repeated)>,
    pub with_sag: bool,
    pub judged: Judged,
    pub points_hash: String,
}

/// Fits and prints text or JSON.
pub fn run(options: &FitOptions) -> Result<Verdict, Failure> {
    let design = inputs::design(&options.design)?;
    let bytes = read_bytes(&options.points)?;
    let read = read_points(&bytes, &design.value)
        .map_err(|error| Failure::format(&error, &options.points))?;
    let hung = options
        .weights
        .as_ref()
        .map(|path| weights::found(path, &design.value, &options.hold))
        .transpose()?;
    let found = found(options, design, read, sha256(&bytes))?;
    for refused in &found.read.refused {
        eprintln!(
            "row {} (line {}) is not used: {}",
            refused.row, refused.line, refused.reason
        );
    }
    for note in &found.read.notes {
        eprintln!("note: {note}");
    }
    if let Some(hung) = &hung {
        for refused in &hung.read.refused {
            eprintln!(
                "weights, row {} (line {}) is not used: {}",
                refused.row, refused.line, refused.reason
            );
        }
        for note in &hung.read.notes {
            eprintln!("note on weights: {note}");
        }
    }
    let document = document(options, &found, hung.as_ref());
    fit_files::write(options, &found, hung.as_ref(), &document)?;
    if options.json {
        put_line!("{document:#}");
    } else {
        fit_words::print(&found);
        if let Some(hung) = &hung {
            weights_words::print_weights(hung);
        }
    }
    Ok(if found.judged.agrees {
        Verdict::Met
    } else {
        Verdict::NotMet
    })
}

fn found(
    options: &FitOptions,
    design: Input<calotte::design::Design>,
    read: PointsRead,
    points_hash: String,
) -> Result<Found, Failure> {
    let nominal = design.value.at_corner(Corner::Nominal);
    let cannot = |error: String| {
        Failure::new(error).hint(format!(
            "look at {} beside {}",
            options.points.display(),
            options.design.display()
        ))
    };
    let model = PhysicalModel::new(&nominal).map_err(|error| cannot(error.to_string()))?;
    let settings = Settings {
        hold: options
            .hold
            .iter()
            .filter(|name| !weights::is_of_weights(&design.value, name))
            .map(|name| without_unit(name))
            .collect(),
        sag: if options.sag {
            sags(&nominal, &read.points).map_err(|error| cannot(error.to_string()))?
        } else {
            Vec::new()
        },
        ..Settings::default()
    };
    let fit =
        fit_points(&model, &read.points, &settings).map_err(|error| cannot(error.to_string()))?;
    let used: Vec<Vector3<f64>> = fit
        .used
        .iter()
        .map(|place| read.points.rows[*place].point)
        .collect();
    let sphere = fit_sphere(&used).map_err(|error| cannot(error.to_string()))?;
    let kinematics = Kinematics::new(&nominal).map_err(|error| cannot(error.to_string()))?;
    let zones = zones(&kinematics, &read.points, &fit);
    let of_used = |all: &[Vector3<f64>]| {
        ResidualStatistics::of(
            used_slots(&read.points, &fit)
                .iter()
                .map(|slot| &all[*slot]),
        )
    };
    Ok(Found {
        before: of_used(&fit.before),
        after: of_used(&fit.after),
        groups: groups(&model, &read.points, &fit, &settings.sag),
        zones,
        sphere,
        with_sag: options.sag,
        judged: judged(&model, &fit),
        points_hash,
        model,
        fit,
        read,
        design,
    })
}

/// Names are taken with or without their unit.
fn without_unit(name: &str) -> String {
    let name = name.trim();
    let bare = name.strip_suffix("_deg").or(name.strip_suffix("_mm"));
    bare.unwrap_or(name).to_string()
}

/// Positions in the lists of residuals of the rows used.
pub fn used_slots(points: &Points, fit: &PointFit) -> Vec<usize> {
    // Residuals are listed for every reachable row.
    let mut slot = 0;
    let mut slots = Vec::new();
    for (place, row) in points.rows.iter().enumerate() {
        if fit.unreachable.contains(&row.row) {
            continue;
        }
        if fit.used.contains(&place) {
            slots.push(slot);
        }
        slot += 1;
    }
    slots
}

/// Width of a band of polar angles, degrees.
const ZONE: f64 = 15.0;

fn zones(kinematics: &Kinematics, points: &Points, fit: &PointFit) -> Vec<Zone> {
    let slots = used_slots(points, fit);
    let mut bands: BTreeMap<usize, [Vec<Vector3<f64>>; 2]> = BTreeMap::new();
    for (place, slot) in fit.used.iter().zip(slots) {
        let Ok(pose) = kinematics.forward(points.rows[*place].readings) else {
            continue;
        };
        let direction = kinematics.linkage.tool_direction(&pose.configuration);
        let band = (degrees(Direction::of(&direction).polar) / ZONE) as usize;
        let lists = bands.entry(band).or_default();
        lists[0].push(fit.before[slot]);
        lists[1].push(fit.after[slot]);
    }
    bands
        .into_iter()
        .map(|(band, [before, after])| Zone {
            polar: [band as f64 * ZONE, (band + 1) as f64 * ZONE],
            before: ResidualStatistics::of(&before),
            after: ResidualStatistics::of(&after),
        })
        .collect()
}

/// Accuracy (of the calibrated model) and repeatability of every group of repeats.
fn groups(
    model: &PhysicalModel,
    points: &Points,
    fit: &PointFit,
    sag: &[Vector3<f64>],
) -> Vec<(String, Repeated)> {
    let approach = calotte::measurement::fit::approaches(&points.rows);
    let mut lists: BTreeMap<&str, Vec<usize>> = BTreeMap::new();
    for place in &fit.used {
        let group = points.rows[*place].group.as_str();
        if !group.is_empty() {
            lists.entry(group).or_default().push(*place);
        }
    }
    lists
        .into_iter()
        .filter_map(|(group, places)| {
            let attained: Vec<Vector3<f64>> = places
                .iter()
                .map(|place| points.rows[*place].point)
                .collect();
            let first = *places.first()?;
            let row = &points.rows[first];
            let commanded = model.sensor(row.readings, approach[first], &fit.values)?
                + sag.get(first).copied().unwrap_or_default();
            Some((
                group.to_string(),
                repeated(&attained, &fit.pose.of(&commanded))?,
            ))
        })
        .collect()
}

fn document(options: &FitOptions, found: &Found, hung: Option<&weights::FoundWeights>) -> Value {
    let fit = &found.fit;
    let mut inputs: Vec<(&str, &std::path::Path, &str)> = vec![
        ("design", &options.design, &found.design.sha256),
        ("points", &options.points, &found.points_hash),
    ];
    if let (Some(path), Some(hung)) = (&options.weights, hung) {
        inputs.push(("weights", path, &hung.sha256));
    }
    let groups: Vec<Value> = found
        .groups
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
    let fitted: Vec<String> = fit
        .fitted
        .iter()
        .map(|index| fit_json::name_with_unit(&found.model.parameters[*index]))
        .collect();
    let correlation: Vec<Vec<f64>> = fit
        .correlation
        .row_iter()
        .map(|row| row.iter().copied().collect())
        .collect();
    let refused: Vec<Value> = found
        .read
        .refused
        .iter()
        .map(|row| json!({ "row": row.row, "line": row.line, "reason": row.reason }))
        .collect();
    json!({
        "sphere": fit_json::sphere(&found.sphere),
        "registration": fit_json::registration(&fit.pose_before),
        "residual_mm": fit_json::residual(&found.before),
        "parameters": fit.parameters.iter()
            .map(|p| fit_json::parameter(&found.model, p)).collect::<Vec<_>>(),
        "after": {
            "residual_mm": fit_json::residual(&found.after),
            "registration": fit_json::registration(&fit.pose),
            "noise_mm": fit.noise * 1e3,
        },
        "verdict": fit_json::verdict(&found.model, &found.judged),
        "outlier_rows": fit.outliers,
        "unreachable_rows": fit.unreachable,
        "refused_rows": refused,
        "rows_used": fit.used.len(),
        "hold_out": fit_json::hold_out(fit.hold_out.as_ref()),
        "singular_values_over_noise": fit.singular_values,
        "correlation": { "names": fitted, "matrix": correlation },
        "causes": fit_json::causes(&found.model, fit),
        "zones": fit_json::zones(&found.zones),
        "groups": groups,
        "weights": hung.map_or(Value::Null, weights_json::weights_json),
        "run": provenance(&inputs, json!({ "hold": options.hold, "sag": options.sag }), &found.read.notes),
    })
}
