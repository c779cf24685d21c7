//! `calotte measure plan`: what to measure on the prototype, as files to fill in and a sheet.

use std::path::{Path, PathBuf};

use calotte::measurement::PlanOptions as Settings;
use calotte_report::found::{plan_document, planned};
use calotte_report::measure::{plan_text, sheet};

use crate::Verdict;
use crate::arguments::PlanOptions;
use crate::failure::Failure;
use crate::files::ResultsFolder;
use crate::inputs;
use crate::terminal;
use crate::{put, say};

/// Plans and writes.
pub fn run(options: &PlanOptions) -> Result<Verdict, Failure> {
    let design = inputs::design_to_measure(&options.design)?;
    let brief = options
        .brief
        .as_deref()
        .map(inputs::brief_to_judge)
        .transpose()?;
    inputs::offers_what_is_asked(&design, brief.as_ref())?;
    let cannot = |error: String| {
        Failure::new(error).hint(format!(
            "look at [drives] and sizes of {}",
            options.design.display()
        ))
    };
    // Before the work: a place that cannot be written should not cost it.
    let folder = options
        .out
        .as_ref()
        .map(|out| {
            let read: Vec<&Path> = std::iter::once(&options.design)
                .chain(&options.brief)
                .map(PathBuf::as_path)
                .collect();
            ResultsFolder::prepare(out, options.force, &read)
        })
        .transpose()?;
    let settings = Settings {
        count: options.count,
        repeated: options.repeated,
        times: options.times,
        noise: options.noise_mm * 1e-3,
        seed: options.seed,
    };
    let asks = brief.as_ref().map(|brief| &brief.value);
    let found = planned(&design.value, asks, &settings, options.gauge_mm * 1e-3)
        .map_err(|error| cannot(error.to_string()))?;
    for warning in &found.warnings {
        say!("warning: {warning}");
    }
    if let (Some(target), Some(mut folder)) = (&options.out, folder) {
        folder.add(
            "points.csv",
            found.points_csv().map_err(|e| cannot(e.to_string()))?,
        );
        folder.add(
            "weights.csv",
            found.weights_csv().map_err(|e| cannot(e.to_string()))?,
        );
        folder.add("sheet.html", sheet(&found)?);
        folder.finish()?;
        say!("written: {}", target.display());
    }
    if options.json {
        terminal::print_data(&(calotte_document::text(&plan_document(&found)) + "\n"));
    } else {
        put!("{}", plan_text(&found));
    }
    Ok(Verdict::Met)
}
