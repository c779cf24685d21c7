//! A fit on one screen of 80 columns.

use crate::found::{
    FoundPoints, cause_words, combination_words, hint_words, in_unit, name_with_unit, next_words,
    orientation_words, verdict_words,
};
use calotte::design::Design;
use calotte::family::parameters::Part;
use calotte::measurement::{Cause, Explained, FittedParameter, Judged, Outcome, PhysicalModel};
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
    for parameter in fit.parameters.iter().filter(|p| p.identifiable) {
        let described = &found.model.parameters[parameter.index];
        let shown = |value: f64| words::number(in_unit(described, value), 4);
        line!(
            out,
            "  {:<24}{:>12}{:>12}{:>12}",
            name_with_unit(described),
            shown(described.nominal),
            shown(parameter.value),
            parameter.standard_error.map_or(String::new(), &shown)
        );
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
    let open = listed(&|p| !p.identifiable && p.standard_error.is_some());
    if !open.is_empty() {
        let text = format!("not identifiable one by one: {}", open.join(", "));
        said(&mut out, "Open", &text);
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
    let doubted = !matches!(
        found.judged.outcome,
        Outcome::Agrees | Outcome::NotOfThisDesign
    );
    // Within what workshops leave there is no cause to look for.
    if let Some(best) = fit
        .causes
        .first()
        .filter(|_| doubted && found.judged.listed > 0)
    {
        let share = |cause: &Explained| words::number(100.0 * cause.share, 1);
        let mut text = format!(
            "{} alone explains {} % of the residual of the nominal design",
            cause_words(&best.cause),
            share(best)
        );
        if let Some(next) = fit.causes.get(1) {
            text.push_str(&format!(
                "; {}, {} %",
                cause_words(&next.cause),
                share(next)
            ));
        }
        said(&mut out, "Cause", &text);
    }
    for (index, hint) in found.hints.iter().take(HINTS_MAX).enumerate() {
        let head = if index == 0 { "Perhaps" } else { "" };
        said(&mut out, head, &hint_words(&found.model, hint));
    }
    if let Some(next) = &found.next {
        said(&mut out, "Measure", &next_words(&found.model, fit, next));
    }
    if !fit.outliers.is_empty() {
        let rows: Vec<String> = fit.outliers.iter().map(usize::to_string).collect();
        said(&mut out, "Outliers", &rows.join(", "));
    }
    out
}

/// A text below its head, wrapped to the terminal.
fn said(out: &mut String, head: &str, text: &str) {
    for (index, line) in words::wrapped(text, 69).into_iter().enumerate() {
        line!(out, "{:<10} {line}", if index == 0 { head } else { "" });
    }
}

/// What a next prototype may keep, as `--keep` takes it: everything but the bars that are off
/// or to be made anew, with their counterparts on the other side; the ground alone where that
/// would leave nothing to choose.
pub fn what_to_keep(design: &Design, model: &PhysicalModel, judged: &Judged) -> String {
    let off = judged.off.iter().map(|off| &model.parameters[off.index]);
    let mut anew: Vec<&str> = off
        .filter_map(|parameter| match &parameter.cause {
            Cause::Bar(name) => Some(name.as_str()),
            _ => None,
        })
        .collect();
    let alternatives = judged.alternatives.iter().flat_map(|(parts, _)| parts);
    anew.extend(
        judged
            .certain
            .iter()
            .chain(alternatives)
            .filter_map(|part| match part {
                Cause::Bar(name) => Some(name.as_str()),
                _ => None,
            }),
    );
    if anew.is_empty() {
        return "ground".to_string();
    }
    let parts: Vec<Part> = anew
        .iter()
        .filter_map(|name| design.family.part(name))
        .collect();
    let base_anew = parts.contains(&Part::Base);
    let is_anew = |bar: usize| parts.contains(&Part::Bar(bar));
    let mut kept = vec![if base_anew { "ground" } else { "base" }.to_string()];
    let bars = (1..=design.family.bar_count()).filter(|bar| !is_anew(*bar));
    kept.extend(bars.map(|bar| format!("bars:{bar}")));
    kept.join(",")
}

#[cfg(test)]
mod tests {
    use calotte::measurement::Off;

    use super::*;

    fn judged(certain: Vec<Cause>, off: Vec<Off>) -> Judged {
        Judged {
            outcome: Outcome::Deviates,
            agrees: false,
            unlike: None,
            off,
            remedies: Vec::new(),
            listed: 1,
            certain,
            alternatives: Vec::new(),
            within: 0.0,
            far: false,
            unseen: Vec::new(),
        }
    }

    #[test]
    fn the_bar_to_remake_is_not_kept() {
        let text = include_str!("../../../../examples/head-dome/bench/design.toml");
        let design = calotte_format::read_design(text).unwrap();
        let model = PhysicalModel::new(&design).unwrap();
        let kept = |name: &str| {
            let certain = if name.is_empty() {
                Vec::new()
            } else {
                vec![Cause::Bar(name.to_string())]
            };
            let judged = judged(certain, Vec::new());
            what_to_keep(&design, &model, &judged)
        };
        assert_eq!(kept("base-left"), "ground,bars:1,bars:2");
        assert_eq!(kept("bar-right-1"), "base,bars:2");
        assert_eq!(kept("bar-left-2"), "base,bars:1");
        assert_eq!(kept(""), "ground");
        let index = model.index_of("bar-right-1.second_arc").unwrap();
        let off = Off {
            index,
            by: 0.01,
            in_typical: 3.0,
        };
        let judged = judged(Vec::new(), vec![off]);
        assert_eq!(what_to_keep(&design, &model, &judged), "base,bars:2");
    }
}
