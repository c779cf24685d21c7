//! A fit on one screen of 80 columns.

use crate::found::{
    FoundPoints, cause_words, combination_words, controller_words, hint_words, name_with_unit,
    next_words, open_words, orientation_words, shown, sides_words, verdict_words,
};
use calotte::measurement::{Cause, Explained, FittedParameter, Outcome, Prototype, Standing};
use calotte_format::words;

use crate::text::line;

/// Most ways to read the file otherwise that are named.
const HINTS_MAX: usize = 3;

/// What was found.
pub fn fit_text(points: &FoundPoints) -> String {
    let mut out = String::new();
    let found = &points.prototype;
    let fit = &found.fit;
    let millimetres = |value: f64| words::three(value * 1e3);
    line!(
        out,
        "Rows       {} used, {} refused, {} outliers, {} out of the linkage's reach",
        fit.used.len(),
        points.read.refused.len(),
        fit.outliers.len(),
        fit.unreachable.len()
    );
    line!(
        out,
        "Sphere     radius {} mm, RMS radial deviation of the points {} mm",
        words::number(found.sphere.radius * 1e3, 3),
        millimetres(found.sphere.rms())
    );
    line!(
        out,
        "{:<11}{:>9} {:>9} {:>9} {:>9}",
        "Residual",
        "mean",
        "rms",
        "95 %",
        "maximum"
    );
    for (name, statistics) in [("design", &found.before), ("fitted", &found.after)] {
        line!(
            out,
            "  {name:<9}{:>9} {:>9} {:>9} {:>9} mm",
            millimetres(statistics.mean),
            millimetres(statistics.rms),
            millimetres(statistics.p95),
            millimetres(statistics.max)
        );
    }
    line!(
        out,
        "Noise      {} mm per coordinate{}",
        millimetres(fit.noise),
        if found.with_sag {
            ", sag taken from the elastic model"
        } else {
            ""
        }
    );
    if let Some(held) = &fit.hold_out {
        line!(
            out,
            "Hold-out   withheld rows predicted to {} mm with the design, {} mm fitted",
            millimetres(held.before),
            millimetres(held.after)
        );
        if held.after >= held.before {
            line!(out, "{:<10} THE FIT ONLY LEARNS NOISE", "");
        }
    }
    if let Some(text) = orientation_words(&found.orientations) {
        said(&mut out, "Turned", &text);
    }
    line!(
        out,
        "{:<26}{:>12}{:>12}{:>12}",
        "Identified from the points",
        "design",
        "found",
        "± 1 error"
    );
    let fault = |p: &FittedParameter| is_at_fault(found, p);
    for parameter in fit.parameters.iter().filter(|p| p.identifiable) {
        value_line(&mut out, found, parameter);
    }
    let less_sure = || {
        fit.parameters
            .iter()
            .filter(|p| !p.identifiable && fault(p))
    };
    if less_sure().next().is_some() {
        line!(
            out,
            "At fault, value known only to worse than half its tolerance"
        );
    }
    for parameter in less_sure() {
        value_line(&mut out, found, parameter);
    }
    let listed = |wanted: &dyn Fn(&FittedParameter) -> bool| -> Vec<String> {
        let wanted = fit.parameters.iter().filter(|p| wanted(p));
        let names = wanted.map(|p| name_with_unit(&found.model.parameters[p.index]));
        names.collect()
    };
    for (index, one) in fit.combinations.iter().enumerate() {
        let text = combination_words(&found.model, one);
        let head = if index == 0 { "Together" } else { "" };
        said(&mut out, head, &text);
    }
    let loose = listed(&|p| !p.identifiable && p.standard_error.is_some() && !fault(p));
    if !loose.is_empty() {
        let text = format!(
            "by themselves known only to worse than half their tolerance: {}",
            loose.join(", ")
        );
        said(&mut out, "Values", &text);
    }
    let held = listed(&|p| p.standard_error.is_none());
    said(
        &mut out,
        "Fixed",
        &format!("at nominal: {}", held.join(", ")),
    );
    let zero = &found.model.parameters[found.model.unobservable_zero()];
    said(
        &mut out,
        "",
        &format!(
            "{} and the tracker's rotation about the base axis are one parameter: it is not identifiable from any points",
            name_with_unit(zero)
        ),
    );
    said(
        &mut out,
        "Verdict",
        &verdict_words(&found.model, fit, &found.judged),
    );
    for (index, text) in controller_words(&found.model, fit, &found.judged)
        .iter()
        .enumerate()
    {
        said(&mut out, if index == 0 { "Controller" } else { "" }, text);
    }
    for (index, text) in open_words(&found.model, &found.judged).iter().enumerate() {
        said(&mut out, if index == 0 { "Open" } else { "" }, text);
    }
    if let Some(text) = alone_words(found) {
        said(&mut out, "Alone", &text);
    }
    for (index, hint) in found.hints.iter().take(HINTS_MAX).enumerate() {
        let head = if index == 0 { "Perhaps" } else { "" };
        said(&mut out, head, &hint_words(&found.model, hint));
    }
    if let Some(next) = &found.next {
        said(
            &mut out,
            "Measure",
            &next_words(&found.model, fit, &found.judged, next),
        );
    }
    if let Some(text) = sides_words(&found.model).filter(|_| names_a_bar(found)) {
        said(&mut out, "Sides", text);
    }
    if !fit.outliers.is_empty() {
        let rows: Vec<String> = fit.outliers.iter().map(usize::to_string).collect();
        said(&mut out, "Outliers", &rows.join(", "));
    }
    out
}

/// Whether the verdict says that a parameter is what is wrong.
fn is_at_fault(found: &Prototype, parameter: &FittedParameter) -> bool {
    let part = &found.model.parameters[parameter.index].cause;
    let mut off = found.judged.off.iter();
    found.judged.standing(&found.model, part) == Standing::AtFault
        && off.any(|off| off.index == parameter.index)
}

/// Whether a bar is at fault or in question.
fn names_a_bar(found: &Prototype) -> bool {
    found.model.parameters.iter().any(|parameter| {
        let standing = found.judged.standing(&found.model, &parameter.cause);
        matches!(parameter.cause, Cause::Bar(_))
            && matches!(standing, Standing::AtFault | Standing::InQuestion)
    })
}

/// Design, value found and its error, in columns.
fn value_line(out: &mut String, found: &Prototype, parameter: &FittedParameter) {
    let described = &found.model.parameters[parameter.index];
    line!(
        out,
        "  {:<24}{:>12}{:>12}{:>12}",
        name_with_unit(described),
        shown(described, described.nominal),
        shown(described, parameter.value),
        parameter
            .standard_error
            .map_or(String::new(), |error| shown(described, error))
    );
}

/// What single parts would explain by themselves; `None` where nothing is looked for.
fn alone_words(found: &Prototype) -> Option<String> {
    let doubted = !matches!(
        found.judged.outcome,
        Outcome::Agrees | Outcome::NotOfThisDesign
    );
    // Within what workshops leave there is no cause to look for.
    if !doubted || found.judged.listed == 0 {
        return None;
    }
    let causes = found.fit.causes.iter().take(2);
    let shares: Vec<String> = causes
        .map(|one: &Explained| {
            let share = words::number(100.0 * one.share, 1);
            format!("{} {share} %", cause_words(&one.cause))
        })
        .collect();
    (!shares.is_empty()).then(|| {
        format!(
            "one part wrong by itself would explain of the residual of the nominal design: {}; shares are not added, and the verdict counts all parts",
            shares.join(", ")
        )
    })
}

/// A text below its head, wrapped to the terminal.
pub(super) fn said(out: &mut String, head: &str, text: &str) {
    for (index, line) in words::wrapped(text, 69).into_iter().enumerate() {
        line!(out, "{:<10} {line}", if index == 0 { head } else { "" });
    }
}
