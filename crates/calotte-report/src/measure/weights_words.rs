//! What weights said, on 80 columns.

use crate::found::{
    FoundWeights, place_words, weight_in_unit as in_unit, weight_name_with_unit as name_with_unit,
    weights_scope_words, weights_verdict_words,
};
use calotte::measurement::weights::{Seen, Standing, Station};
use calotte_format::units::degrees;
use calotte_format::words;

/// Columns beside the headings.
const TEXT: usize = 69;

/// What was found, line by line.
pub fn weights_lines(found: &FoundWeights) -> Vec<String> {
    let mut lines = residuals(found);
    lines.extend(unknowns(found));
    lines.extend(stiffness(found));
    lines.extend(by_cause(found));
    lines
}

fn residuals(found: &FoundWeights) -> Vec<String> {
    let fit = &found.fit;
    let millimetres = |value: f64| words::three(value * 1e3);
    let mut lines = vec![
        format!(
            "Weights    {} rows used, {} refused, {} outliers, {} out of reach",
            fit.used,
            found.read.refused.len(),
            fit.outliers.len(),
            fit.unreachable.len()
        ),
        format!(
            "{:<11}{:>9} {:>9} {:>9} {:>9}",
            "Residual", "mean", "rms", "95 %", "maximum"
        ),
    ];
    for (name, of) in [("design", &fit.before), ("fitted", &fit.after)] {
        lines.push(format!(
            "  {name:<9}{:>9} {:>9} {:>9} {:>9} mm",
            millimetres(of.mean),
            millimetres(of.rms),
            millimetres(of.p95),
            millimetres(of.max)
        ));
    }
    let mut noise = format!("{} mm per gauge reading", small(fit.noise));
    if let Some(scatter) = fit.scatter {
        noise += &format!(
            ", {} mm about each configuration's own line",
            small(scatter)
        );
    }
    if fit.explained == Some(false) {
        noise += ": THE MODEL DOES NOT EXPLAIN THESE READINGS";
    }
    headed(&mut lines, "Noise", &noise);
    lines
}

/// A small length in millimetres.
fn small(value: f64) -> String {
    words::number(value * 1e3, 4)
}

fn unknowns(found: &FoundWeights) -> Vec<String> {
    let fit = &found.fit;
    let mut lines = vec![format!(
        "{:<34}{:>12}{:>12}{:>14}",
        "Identified from the weights", "design", "found", "± 1 error"
    )];
    for one in fit.parameters.iter().filter(|one| one.told.fitted) {
        let shown = |value: f64| words::number(in_unit(one.parameter, value), 4);
        lines.push(format!(
            "  {:<32}{:>12}{:>12}{:>14}",
            name_with_unit(one.parameter),
            shown(one.nominal),
            shown(one.value),
            match one.standard_error {
                _ if one.at_bound => "at its limit".to_string(),
                error => error.map_or(String::new(), &shown),
            }
        ));
    }
    let held = fit.parameters.iter().filter(|one| !one.told.fitted);
    let held: Vec<String> = held
        .map(|one| {
            let like = one.told.looks_like.first();
            let like = like.map(|(index, _)| fit.parameters[*index].parameter.name());
            match like {
                Some(like) => format!("{} (not separable from {like})", one.parameter.name()),
                None => one.parameter.name().to_string(),
            }
        })
        .collect();
    if !held.is_empty() {
        let text = format!(
            "at nominal, as asked or because not identifiable: {}",
            held.join(", ")
        );
        headed(&mut lines, "Fixed", &text);
    }
    if !fit.unloaded_again {
        headed(
            &mut lines,
            "",
            "no weight was taken off again: play and friction hysteresis are identifiable only as \
             their difference; read the gauge while unloading too",
        );
    }
    headed(
        &mut lines,
        "Verdict",
        &weights_verdict_words(fit, &found.judged),
    );
    headed(&mut lines, "Scope", &weights_scope_words(fit));
    for (heading, rows) in [("Outliers", &fit.outliers), ("Gauge", &fit.across)] {
        let rows: Vec<String> = rows.iter().map(usize::to_string).collect();
        let text = match heading {
            "Gauge" if !rows.is_empty() => {
                format!("looks across the motion in rows {}", rows.join(", "))
            }
            _ => rows.join(", "),
        };
        headed(&mut lines, heading, &text);
    }
    lines
}

/// Text behind a heading, wrapped; nothing for no text.
fn headed(lines: &mut Vec<String>, heading: &str, text: &str) {
    for (index, line) in words::wrapped(text, TEXT).into_iter().enumerate() {
        let heading = if index == 0 { heading } else { "" };
        lines.push(format!("{heading:<10} {line}"));
    }
}

/// Readings and place in 25 columns.
fn at(one: &Station) -> String {
    let [a, b] = one
        .readings
        .map(|reading| words::number(degrees(reading), 1));
    let mut place = place_words(&one.place);
    if place.chars().count() > 8 {
        place = format!("{}…", place.chars().take(7).collect::<String>());
    }
    format!("{a:>7} {b:>7} {place:<9}")
}

fn stiffness(found: &FoundWeights) -> Vec<String> {
    let [a, b] = found.joints.map(|name| {
        let short: String = name.chars().take(7).collect();
        short
    });
    let mut lines = vec![
        "Stiffness along the gauge, N/mm, against the predicted range".to_string(),
        format!(
            "{a:>7} {b:>7} {:<9}{:>9}{:>8}{:>8}{:>8}{:>8}  {}",
            "on", "measured", "± 1", "lower", "upper", "fitted", "range"
        ),
    ];
    for one in &found.fit.stations {
        let shown = |value: Option<f64>| {
            value.map_or("–".to_string(), |value| words::three(value * 1e-3))
        };
        let standing = one.standing.map_or("", |standing| match standing {
            Standing::Within => "within",
            Standing::Softer => "below",
            Standing::Stiffer => "above",
        });
        lines.push(format!(
            "{}{:>9}{:>8}{:>8}{:>8}{:>8}  {standing}",
            at(one),
            shown(one.measured.map(|seen| seen.value)),
            shown(one.measured.map(|seen| seen.standard_error)),
            shown(one.band.map(|band| band[0])),
            shown(one.band.map(|band| band[1])),
            shown(one.fitted),
        ));
    }
    lines
}

fn by_cause(found: &FoundWeights) -> Vec<String> {
    let mut lines = vec![
        "Compliance shares of the fitted model, %; measured play and hysteresis, mm".to_string(),
        format!(
            "{:<25}{:>7}{:>7}{:>7}{:>7}{:>7}{:>7}{:>12}",
            "", "arcs", "joints", "pins", "drives", "base", "play", "hysteresis"
        ),
    ];
    for one in &found.fit.stations {
        let shares = one
            .shares
            .map(|s| [s.arcs, s.joints, s.pins, s.drives, s.base]);
        let shares = match shares {
            Some(shares) => shares.map(|share| words::number(100.0 * share, 0)),
            None => [const { String::new() }; 5].map(|_| "–".to_string()),
        };
        let [arcs, joints, pins, drives, base] = shares;
        let seen = |seen: Option<Seen>| {
            seen.map_or("–".to_string(), |seen| words::number(seen.value * 1e3, 3))
        };
        lines.push(format!(
            "{}{arcs:>7}{joints:>7}{pins:>7}{drives:>7}{base:>7}{:>7}{:>12}",
            at(one),
            seen(one.play),
            seen(one.friction),
        ));
    }
    lines
}

#[cfg(test)]
mod tests {
    use crate::found::{found_weights, weights_document};

    use super::*;

    /// A file written by hand: two configurations with round numbers of an invented arm,
    /// 0.02 mm more on the way back.
    fn file() -> String {
        let mut text =
            "base_deg,elbow_deg,mass_kg,gauge_x,gauge_y,gauge_z,displacement_mm,course\n"
                .to_string();
        for (base, elbow, per_kilogram) in [(0.0, 60.0, 0.20), (40.0, 100.0, 0.31)] {
            for mass in [0.0, 0.5, 1.0, 1.5] {
                let seen = per_kilogram * mass;
                text += &format!("{base},{elbow},{mass},0,0,-1,{seen:.4},loading\n");
            }
            for mass in [1.0, 0.5, 0.0] {
                let seen = per_kilogram * mass + if mass > 0.0 { 0.02 } else { 0.01 };
                text += &format!("{base},{elbow},{mass},0,0,-1,{seen:.4},unloading\n");
            }
        }
        text
    }

    const DESIGN: &str = r#"
[linkage]
family = "two-arc-arm"
arcs_deg = [50, 40]
joint_radius_mm = 150

[section]
shape = "rectangle"
tangential_mm = 12
radial_mm = 6

[material]
name = "aluminium 6061-T6"

[joints]
axial_n_per_m = 3e6
radial_n_per_m = 6e6
tilt_nm_per_rad = 300

[drives]
layout = "two-bars"
ratio = [1, 1]

[tool]
carried_by = "left"
tip_radius_mm = 100
mass_kg = 0.8

[mount]
axis = [0, 0, 1]
reference = [1, 0, 0]
"#;

    #[test]
    fn all_lines_fit_and_numbers_are_those_of_the_file() {
        let design = calotte_format::read_design(DESIGN).unwrap();
        let hold = ["play_mm".to_string(), "swing.zero".to_string()];
        let found = found_weights(file().as_bytes(), &design, &hold).unwrap();
        let lines = weights_lines(&found);
        for line in &lines {
            assert!(line.chars().count() <= 80, "{line}");
        }
        let text = lines.join("\n");
        assert!(text.contains("Weights    14 rows used"), "{text}");
        // No modulus makes both configurations as stiff as these invented numbers.
        assert!(text.contains("DOES NOT EXPLAIN"), "{text}");
        let document = weights_document(&found);
        let first = &document.configurations[0];
        // 9.80665 N over 0.2 mm; the loop is 0.02 mm wide.
        let seen = first.measured_stiffness_n_per_mm.as_ref().unwrap().value;
        assert!((seen - 9.80665 / 0.2).abs() < 1e-6, "{seen}");
        let width = first.friction_hysteresis_mm.as_ref().unwrap().value;
        assert!((width - 0.02).abs() < 1e-9, "{width}");
        let mut play = document.parameters.iter();
        let play = play.find(|one| one.name == "play_mm").unwrap();
        assert!(!play.identifiable);
        assert_eq!(first.readings["base_deg"], 0.0);
    }
}
