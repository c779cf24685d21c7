//! What a fit leaves in a folder: itself, the calibrated design, a table of corrections,
//! figures.

use std::path::{Path, PathBuf};

use calotte::analysis::Requirements;
use calotte::brief::Brief;
use calotte::measurement::{ToldByWeights, calibrated};
use calotte_document::measured::FitDocument;
use calotte_format::safety::Safety;
use calotte_format::words;
use calotte_report::input::Input;
use calotte_report::measure::{DEFAULT_MARGINS, corrections_table, drawn_and_found, fit_figures};

use super::found::Found;
use crate::arguments::FitOptions;
use crate::failure::Failure;
use crate::files::ResultsFolder;
use crate::say;

/// Takes the place of the folder asked for, if any.
pub fn prepare(options: &FitOptions) -> Result<Option<ResultsFolder>, Failure> {
    let read = [
        Some(&options.design),
        Some(&options.points),
        options.weights.as_ref(),
        options.brief.as_ref(),
    ];
    let read: Vec<&Path> = read.into_iter().flatten().map(PathBuf::as_path).collect();
    let target = options.out.as_ref();
    target
        .map(|target| ResultsFolder::prepare(target, options.force, &read))
        .transpose()
}

/// Writes the folder.
pub fn write(
    mut folder: ResultsFolder,
    options: &FitOptions,
    found: &Found,
    brief: Option<&Input<Brief>>,
    document: &FitDocument,
) -> Result<(), Failure> {
    folder.add("fit.json", calotte_document::text(document) + "\n");
    let prototype = &found.points.prototype;
    let told = found.weights.as_ref().map_or(Vec::new(), |weights| {
        ToldByWeights::of(&weights.fit, &weights.judged)
    });
    let design = calibrated(
        &found.design.value,
        &prototype.model,
        &prototype.fit.values,
        &told,
    );
    let sides = if design.family.side_differences().is_empty() {
        "Left and right arcs are their mean; zeros, scales, backlash, base axes and the sensor's place are in fit.json."
    } else {
        "Lists of arcs and bends are the mean of left and right, [[linkage.bar]] is as found of each bar;\nzeros, scales, backlash, base axes and the sensor's place are in fit.json."
    };
    let name = |path: &Path| {
        path.file_name()
            .unwrap_or_default()
            .to_string_lossy()
            .into_owned()
    };
    let drawn = drawn_and_found(prototype, &name(&options.design), &found.design.sha256);
    let remark = [
        drawn.join("\n"),
        format!(
            "Calibrated by calotte {} from {} (SHA-256 {}).\n{sides}",
            env!("CARGO_PKG_VERSION"),
            name(&options.points),
            found.points_hash
        ),
        words::wrapped(&Safety::of(&design, true).notice(), 78).join("\n"),
    ]
    .join("\n");
    let text = calotte_format::write_design(&calotte_format::tidied(&design), &remark);
    folder.add("design-calibrated.toml", text);
    let margins = brief.map_or(DEFAULT_MARGINS, |brief| {
        Requirements::from_brief(&brief.value).elastic_margins
    });
    folder.add(
        "corrections.csv",
        corrections_table(&found.design.value, &found.points, margins)?,
    );
    for (name, svg) in fit_figures(&found.design.value, &found.points, found.weights.as_ref())? {
        folder.add(&format!("{name}.svg"), svg);
    }
    folder.finish()?;
    if let Some(target) = &options.out {
        say!("written: {}", target.display());
    }
    Ok(())
}
