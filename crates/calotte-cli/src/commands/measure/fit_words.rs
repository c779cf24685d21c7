//! A fit on one screen of 80 columns.

use calotte_format::found::{
    FoundPoints, cause_words, in_unit, name_with_unit, orientation_words, verdict_words,
};
use calotte_format::words;

use crate::put_line;

/// Prints what was found.
pub fn print(points: &FoundPoints) {
    let found = &points.prototype;
    let fit = &found.fit;
    let millimetres = |value: f64| words::three(value * 1e3);
    put_line!(
        "Rows       {} used, {} refused, {} outliers, {} out of the linkage's reach",
        fit.used.len(),
        points.read.refused.len(),
        fit.outliers.len(),
        fit.unreachable.len()
    );
    put_line!(
        "Sphere     radius {} mm, points {} mm from it (root mean square)",
        words::number(found.sphere.radius * 1e3, 3),
        millimetres(found.sphere.rms())
    );
    put_line!(
        "{:<11}{:>9} {:>9} {:>9} {:>9}",
        "Residual",
        "mean",
        "rms",
        "95 %",
        "greatest"
    );
    for (name, statistics) in [("design", &found.before), ("fitted", &found.after)] {
        put_line!(
            "  {name:<9}{:>9} {:>9} {:>9} {:>9} mm",
            millimetres(statistics.mean),
            millimetres(statistics.rms),
            millimetres(statistics.p95),
            millimetres(statistics.max)
        );
    }
    put_line!(
        "Noise      {} mm a component{}",
        millimetres(fit.noise),
        if found.with_sag {
            ", sag taken from the elastic model"
        } else {
            ""
        }
    );
    if let Some(held) = &fit.hold_out {
        put_line!(
            "Unseen     rows left out: {} mm with the design, {} mm fitted{}",
            millimetres(held.before),
            millimetres(held.after),
            if held.after < held.before {
                ""
            } else {
                ": THE FIT ONLY LEARNS NOISE"
            }
        );
    }
    if let Some(text) = orientation_words(&found.orientations) {
        for (index, line) in words::wrapped(&text, 69).into_iter().enumerate() {
            put_line!("{:<10} {line}", if index == 0 { "Turned" } else { "" });
        }
    }
    put_line!(
        "{:<26}{:>12}{:>12}{:>12}",
        "Told by the points",
        "design",
        "found",
        "± 1 error"
    );
    for parameter in fit.parameters.iter().filter(|p| p.told.fitted) {
        let described = &found.model.parameters[parameter.index];
        let shown = |value: f64| words::number(in_unit(described, value), 4);
        put_line!(
            "  {:<24}{:>12}{:>12}{:>12}",
            name_with_unit(described),
            shown(described.nominal),
            shown(parameter.value),
            parameter.standard_error.map_or(String::new(), &shown)
        );
    }
    let held: Vec<String> = fit
        .parameters
        .iter()
        .filter(|p| !p.told.fitted)
        .map(|p| name_with_unit(&found.model.parameters[p.index]))
        .collect();
    for (index, line) in words::wrapped(&held.join(", "), 69).into_iter().enumerate() {
        put_line!("{:<10} {line}", if index == 0 { "Held" } else { "" });
    }
    let zero = &found.model.parameters[found.model.unobservable_zero()];
    for line in words::wrapped(
        &format!(
            "{} and the tracker's rotation about the base axis are one parameter: it is never told",
            name_with_unit(zero)
        ),
        69,
    ) {
        put_line!("{:<10} {line}", "");
    }
    for (index, line) in words::wrapped(&verdict_words(&found.model, &found.judged), 69)
        .into_iter()
        .enumerate()
    {
        put_line!("{:<10} {line}", if index == 0 { "Verdict" } else { "" });
    }
    if let Some(best) = fit.causes.first().filter(|cause| cause.share > 0.0) {
        let text = format!(
            "{} alone explains {} % of what the design misses",
            cause_words(&best.cause),
            words::number(100.0 * best.share, 0)
        );
        for (index, line) in words::wrapped(&text, 69).into_iter().enumerate() {
            put_line!("{:<10} {line}", if index == 0 { "Cause" } else { "" });
        }
    }
    if !fit.outliers.is_empty() {
        let rows: Vec<String> = fit.outliers.iter().map(usize::to_string).collect();
        for (index, line) in words::wrapped(&rows.join(", "), 69).into_iter().enumerate() {
            put_line!("{:<10} {line}", if index == 0 { "Outliers" } else { "" });
        }
    }
}
