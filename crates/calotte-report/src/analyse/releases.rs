//! Joints that may be released, each set with what it costs.

use calotte::analysis::releases::{OptionKind, ReleaseOption, ReleaseReport};
use calotte_document::releases as document;
use calotte_format::words;

use crate::text::line;

fn kind_words(kind: OptionKind) -> &'static str {
    match kind {
        OptionKind::Unreleased => "none",
        OptionKind::Designed => "as designed",
        OptionKind::Single => "single",
        OptionKind::Stiffest => "exact, stiffest",
        OptionKind::Fewest => "exact, fewest",
        OptionKind::OneAStage => "one per stage",
    }
}

fn release_words(option: &ReleaseOption) -> String {
    let list: Vec<String> = option
        .releases
        .iter()
        .map(|release| {
            let what = match (release.axial, release.tilt) {
                (true, true) => "axial and tilt",
                (true, false) => "axial",
                _ => "tilt",
            };
            format!("{} {what}", release.joint)
        })
        .collect();
    list.join(", ")
}

/// The table of releases.
pub fn releases_text(report: &ReleaseReport) -> String {
    let mut out = String::new();
    line!(
        out,
        "{} redundant constraints in space; at least {} releases remove them",
        report.redundant,
        report.releases_min
    );
    line!(
        out,
        "{:<16} {:>10} {:>10} {:>6}  releases",
        "set",
        "redundant",
        "stiffness",
        "loss"
    );
    for (index, option) in report.options.iter().enumerate() {
        let mut text = release_words(option);
        if option.freed.is_some() {
            text.push_str(" (frees a motion)");
        }
        if report.proposal == Some(index) {
            text.push_str(" (proposed)");
        }
        let number = |value: Option<f64>, scale: f64, unit: &str| {
            value.map_or("none".to_string(), |v| {
                format!("{} {unit}", words::three(v * scale))
            })
        };
        for (row, line) in words::wrapped(&text, 33).iter().enumerate() {
            if row > 0 {
                line!(out, "{:46} {line}", "");
                continue;
            }
            line!(
                out,
                "{:<16} {:>10} {:>10} {:>6}  {line}",
                kind_words(option.kind),
                option.redundant_left,
                number(option.stiffness, 1e-3, "N/mm"),
                number(option.loss, 100.0, "%")
            );
        }
        if text.is_empty() {
            line!(
                out,
                "{:<16} {:>10} {:>10} {:>6}",
                kind_words(option.kind),
                option.redundant_left,
                number(option.stiffness, 1e-3, "N/mm"),
                number(option.loss, 100.0, "%")
            );
        }
    }
    line!(
        out,
        "Axial: floats along its own axis, radial to the sphere. Tilt: self-aligning."
    );
    out
}

/// The same for programs.
pub fn releases_document(report: &ReleaseReport) -> document::Releases {
    let options = report
        .options
        .iter()
        .map(|option| document::ReleaseSet {
            set: kind_words(option.kind).to_string(),
            releases: option
                .releases
                .iter()
                .map(|release| document::Release {
                    joint: release.joint.clone(),
                    axial: release.axial,
                    tilt: release.tilt,
                })
                .collect(),
            redundant_left: option.redundant_left,
            mobility: option.mobility,
            frees_a_motion: option.freed.is_some(),
            minimum_stiffness_n_per_mm: option.stiffness.map(|k| k / 1e3),
            loss: option.loss,
        })
        .collect();
    document::Releases {
        redundant: report.redundant,
        releases_min: report.releases_min,
        options,
        proposal: report.proposal,
        all_sets_searched: report.complete,
    }
}
