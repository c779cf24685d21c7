//! `calotte measure fit`: a real linkage's parameters from measured points and weights.

use std::path::Path;

use calotte::design::Design;
use calotte_format::measurement::RefusedRow;
use calotte_report::found::{
    FoundError, FoundPoints, FoundWeights, fit_json, found_points, found_weights,
};
use calotte_report::input::{Input, provenance};
use calotte_report::measure::{fit_text, weights_lines, what_to_keep};
use serde_json::{Value, json};

use super::fit_files;
use crate::Verdict;
use crate::arguments::FitOptions;
use crate::failure::Failure;
use crate::files::{read_bytes, sha256};
use crate::inputs;
use crate::{put, put_line, say};

/// What was found.
pub struct Found {
    pub design: Input<Design>,
    pub points: FoundPoints,
    pub points_hash: String,
    pub weights: Option<FoundWeights>,
    pub weights_hash: Option<String>,
}

/// Fits and prints text or JSON.
pub fn run(options: &FitOptions) -> Result<Verdict, Failure> {
    let found = found(options)?;
    name_refused("", &found.points.read.refused, &found.points.read.notes);
    if let Some(weights) = &found.weights {
        name_refused("weights, ", &weights.read.refused, &weights.read.notes);
    }
    let stiff = found.weights.as_ref().is_none_or(|w| w.judged.agrees);
    let agrees = found.points.prototype.judged.agrees && stiff;
    let document = document(options, &found);
    fit_files::write(options, &found, &document)?;
    if options.json {
        put_line!("{document:#}");
    } else {
        put!("{}", fit_text(&found.points));
        if let Some(weights) = &found.weights {
            for line in weights_lines(weights) {
                put_line!("{line}");
            }
        }
        if let Some(folder) = options
            .out
            .as_deref()
            .filter(|_| !agrees && found.points.prototype.judged.unlike.is_none())
        {
            let prototype = &found.points.prototype;
            let kept = what_to_keep(&found.design.value, &prototype.model, &prototype.judged);
            put_line!(
                "{:<10} calotte design BRIEF --from {} --keep {kept}",
                "Next",
                options.design.display()
            );
            put_line!(
                "{:<10}   --use {} --out NEXT",
                "",
                folder.join("fit.json").display()
            );
        }
    }
    Ok(if agrees {
        Verdict::Met
    } else {
        Verdict::NotMet
    })
}

/// Rows that are not used and remarks on the file, on standard error.
fn name_refused(of: &str, refused: &[RefusedRow], notes: &[String]) {
    for row in refused {
        say!(
            "{of}row {} (line {}) is not used: {}",
            row.row,
            row.line,
            row.reason
        );
    }
    for note in notes {
        say!("{of}note: {note}");
    }
}

fn found(options: &FitOptions) -> Result<Found, Failure> {
    let design = inputs::design(&options.design)?;
    let failed = |path: &Path| {
        let beside = format!(
            "look at {} beside {}",
            path.display(),
            options.design.display()
        );
        let path = path.to_path_buf();
        move |error: FoundError| match error {
            FoundError::File(error) => Failure::format(&error, &path),
            FoundError::Fit(error) => {
                Failure::new(format!("{}: {error}", path.display())).hint(beside.clone())
            }
        }
    };
    let bytes = read_bytes(&options.points)?;
    let weights = options.weights.as_deref().map(|path| {
        let bytes = read_bytes(path)?;
        let found = found_weights(&bytes, &design.value, &options.hold).map_err(failed(path))?;
        Ok::<_, Failure>((found, sha256(&bytes)))
    });
    let (weights, weights_hash) = weights.transpose()?.unzip();
    Ok(Found {
        points: found_points(&bytes, &design.value, &options.hold, options.sag)
            .map_err(failed(&options.points))?,
        points_hash: sha256(&bytes),
        weights,
        weights_hash,
        design,
    })
}

fn document(options: &FitOptions, found: &Found) -> Value {
    let mut inputs: Vec<(&str, &Path, &str)> = vec![
        ("design", &options.design, &found.design.sha256),
        ("points", &options.points, &found.points_hash),
    ];
    if let (Some(path), Some(hash)) = (&options.weights, &found.weights_hash) {
        inputs.push(("weights", path, hash));
    }
    let mut object = fit_json(&found.points, found.weights.as_ref());
    let settings = json!({ "hold": options.hold, "sag": options.sag });
    object.insert(
        "run".to_string(),
        provenance(&inputs, settings, &found.points.read.notes),
    );
    Value::Object(object)
}
