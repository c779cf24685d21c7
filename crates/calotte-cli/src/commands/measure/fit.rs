//! `calotte measure fit`: a real linkage's parameters from measured points and weights.

use std::path::Path;

use calotte::brief::Brief;
use calotte_document::measured::FitDocument;
use calotte_document::run::FitRun;
use calotte_format::measurement::RefusedRow;
use calotte_format::safety::Safety;
use calotte_format::words;
use calotte_report::found::fit_document;
use calotte_report::input::{Input, provenance};
use calotte_report::measure::{FitCall, files_words, fit_text, next_lines, weights_lines};
use calotte_report::safety;
use calotte_report::sides::{Mean, caution};

use super::fit_files;
use super::found::{Found, found};
use crate::Verdict;
use crate::arguments::FitOptions;
use crate::failure::Failure;
use crate::inputs;
use crate::terminal;
use crate::{put, put_line, say};

/// Fits and prints text or JSON.
pub fn run(options: &FitOptions) -> Result<Verdict, Failure> {
    let folder = fit_files::prepare(options)?;
    let brief = options
        .brief
        .as_deref()
        .map(inputs::brief_to_judge)
        .transpose()?;
    let found = found(options)?;
    name_refused("", &found.points.read.refused, &found.points.read.notes);
    if let Some(weights) = &found.weights {
        name_refused("weights, ", &weights.read.refused, &weights.read.notes);
    }
    let stiff = found.weights.as_ref().is_none_or(|w| w.judged.agrees);
    let agrees = found.points.prototype.judged.agrees && stiff;
    let differ = caution(&found.design.value, Mean::BesidePoints);
    let document = document(options, &found, brief.as_ref(), differ.as_deref());
    if let Some(folder) = folder {
        fit_files::write(folder, options, &found, brief.as_ref(), &document)?;
    }
    if options.json {
        terminal::print_data(&(calotte_document::text(&document) + "\n"));
    } else {
        put!("{}", fit_text(&found.points));
        for line in differ.iter().flat_map(|text| words::wrapped(text, 79)) {
            put_line!("{line}");
        }
        if let Some(weights) = &found.weights {
            for line in weights_lines(weights) {
                put_line!("{line}");
            }
        }
        put!("{}", safety::text(Safety::of(&found.design.value, true)));
        if let Some(folder) = &options.out {
            let design = options.design.display().to_string();
            put!("{}", files_words(&design, &folder.display().to_string()));
            let call = call(options, folder);
            for line in next_lines(&found.design.value, &found.points.prototype, &call) {
                put_line!("{line}");
            }
        }
    }
    Ok(if agrees {
        Verdict::Met
    } else {
        Verdict::NotMet
    })
}

/// What was asked for, as the next commands take it.
fn call(options: &FitOptions, out: &Path) -> FitCall {
    let text = |path: &Path| path.display().to_string();
    let beside = out.parent().unwrap_or(Path::new(""));
    let free = |name: &str| {
        let names = std::iter::once(name.to_string()).chain((2..).map(|k| format!("{name}-{k}")));
        let mut paths = names.map(|name| beside.join(name));
        let free = paths.find(|path| path != out && !path.exists());
        free.map_or(String::new(), |path| text(&path))
    };
    FitCall {
        design: text(&options.design),
        points: text(&options.points),
        weights: options.weights.as_deref().map(text),
        brief: options.brief.as_deref().map(text),
        hold: options.hold.clone(),
        sag: options.sag,
        out: text(out),
        plan: free("plan"),
        next: free("next"),
    }
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

fn document(
    options: &FitOptions,
    found: &Found,
    brief: Option<&Input<Brief>>,
    differ: Option<&str>,
) -> FitDocument {
    let mut inputs: Vec<(&str, &Path, &str)> = vec![
        ("design", &options.design, &found.design.sha256),
        ("points", &options.points, &found.points_hash),
    ];
    if let (Some(path), Some(hash)) = (&options.weights, &found.weights_hash) {
        inputs.push(("weights", path, hash));
    }
    if let Some(brief) = brief {
        inputs.push(("brief", &brief.path, &brief.sha256));
    }
    let mut document = fit_document(&found.design.value, &found.points, found.weights.as_ref());
    let settings = FitRun {
        hold: options.hold.clone(),
        sag: options.sag,
    };
    let mut warnings = found.points.read.notes.clone();
    warnings.extend(differ.map(str::to_string));
    document.run = Some(provenance(&inputs, settings, &warnings));
    document
}
