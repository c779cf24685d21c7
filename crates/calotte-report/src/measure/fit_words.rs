//! A fit on one screen of 80 columns.

use crate::found::{
    FoundPoints, cause_words, in_unit, name_with_unit, orientation_words, verdict_words,
};
use calotte::design::Design;
use calotte::family::parameters::Part;
use calotte::measurement::{Cause, Explained, Judged, PhysicalModel, Remedy};
use calotte_format::words;

use crate::text::line;

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
        for (index, line) in words::wrapped(&text, 69).into_iter().enumerate() {
            line!(out, "{:<10} {line}", if index == 0 { "Turned" } else { "" });
        }
    }
    line!(
        out,
        "{:<26}{:>12}{:>12}{:>12}",
        "Identified from the points",
        "design",
        "found",
        "± 1 error"
    );
    for parameter in fit.parameters.iter().filter(|p| p.told.fitted) {
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
    let held: Vec<String> = fit
        .parameters
        .iter()
        .filter(|p| !p.told.fitted)
        .map(|p| name_with_unit(&found.model.parameters[p.index]))
        .collect();
    if !held.is_empty() {
        let text = format!(
            "at nominal, as asked or because not identifiable: {}",
            held.join(", ")
        );
        for (index, line) in words::wrapped(&text, 69).into_iter().enumerate() {
            line!(out, "{:<10} {line}", if index == 0 { "Fixed" } else { "" });
        }
    }
    let zero = &found.model.parameters[found.model.unobservable_zero()];
    for line in words::wrapped(
        &format!(
            "{} and the tracker's rotation about the base axis are one parameter: it is not identifiable from any points",
            name_with_unit(zero)
        ),
        69,
    ) {
        line!(out, "{:<10} {line}", "");
    }
    for (index, line) in words::wrapped(&verdict_words(&found.model, &found.judged), 69)
        .into_iter()
        .enumerate()
    {
        line!(
            out,
            "{:<10} {line}",
            if index == 0 { "Verdict" } else { "" }
        );
    }
    let best = fit.causes.first().filter(|cause| cause.share > 0.0);
    // Within what workshops leave there is no cause to look for.
    if let Some(best) = best.filter(|_| !found.judged.agrees && found.judged.unlike.is_none()) {
        let share = |cause: &Explained| words::number(100.0 * cause.share, 1);
        let mut text = format!(
            "{} alone explains {} % of the residual of the nominal design",
            cause_words(&best.cause),
            share(best)
        );
        if let Some(next) = fit.causes.get(1) {
            text.push_str(&format!(
                "; the next best, {}, {} %",
                cause_words(&next.cause),
                share(next)
            ));
        }
        for (index, line) in words::wrapped(&text, 69).into_iter().enumerate() {
            line!(out, "{:<10} {line}", if index == 0 { "Cause" } else { "" });
        }
    }
    if !fit.outliers.is_empty() {
        let rows: Vec<String> = fit.outliers.iter().map(usize::to_string).collect();
        for (index, line) in words::wrapped(&rows.join(", "), 69).into_iter().enumerate() {
            line!(
                out,
                "{:<10} {line}",
                if index == 0 { "Outliers" } else { "" }
            );
        }
    }
    out
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
    if let Some(Remedy::RemakeBar(name)) = &judged.remedy {
        anew.push(name);
    }
    anew.extend(judged.rivals.iter().filter_map(|rival| match rival {
        Cause::Bar(name) => Some(name.as_str()),
        _ => None,
    }));
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

    #[test]
    fn the_bar_to_remake_is_not_kept() {
        let text = include_str!("../../../../examples/head-dome/bench/design.toml");
        let design = calotte_format::read_design(text).unwrap();
        let model = PhysicalModel::new(&design).unwrap();
        let kept = |name: &str| {
            let judged = Judged {
                agrees: false,
                off: Vec::new(),
                remedy: (!name.is_empty()).then(|| Remedy::RemakeBar(name.to_string())),
                best: None,
                unlike: None,
                rivals: Vec::new(),
                share: 0.9,
            };
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
        let judged = Judged {
            agrees: false,
            off: vec![off],
            remedy: None,
            best: None,
            unlike: None,
            rivals: Vec::new(),
            share: 0.5,
        };
        assert_eq!(what_to_keep(&design, &model, &judged), "base,bars:2");
    }
}
