//! A plan on one screen of 80 columns.

use calotte::measurement::PlannedWeights;
use calotte_format::safety::{BENCH, Safety};
use calotte_format::units::degrees;
use calotte_format::words;
use nalgebra::Vector3;

use crate::found::{Planned, in_unit, name_with_unit};
use crate::text::line;

/// A plan on one screen.
pub fn plan_text(found: &Planned) -> String {
    let mut out = String::new();
    let (model, made) = (&found.model, &found.made);
    line!(
        out,
        "Points     {} rows, joints move {} degrees in all",
        made.configurations.len(),
        words::number(degrees(made.motion), 0)
    );
    wrapped(
        &mut out,
        "",
        &format!(
            "identifiability: minimum singular value {} of the noise; regular grid {}, random {} (median of {})",
            words::three(made.minimum_singular_value),
            words::three(made.of_grid),
            words::three(found.median_random()),
            made.of_random.len()
        ),
    );
    line!(
        out,
        "{:<28}{:>20}",
        "Identifiable from the points",
        "± expected error"
    );
    for (index, error) in &made.told {
        let described = &model.parameters[*index];
        line!(
            out,
            "  {:<26}{:>20}",
            name_with_unit(described),
            words::number(in_unit(described, *error), 4)
        );
    }
    let not: Vec<String> = made
        .not_told
        .iter()
        .map(|index| name_with_unit(&model.parameters[*index]))
        .collect();
    if !not.is_empty() {
        let text = format!("not identifiable, fixed at nominal: {}", not.join(", "));
        wrapped(&mut out, "Fixed", &text);
    }
    for one in &found.weights {
        wrapped(&mut out, "Weights", &hung(one));
    }
    wrapped(
        &mut out,
        "Safety",
        &Safety::of(&found.nominal, true).short(),
    );
    wrapped(&mut out, "Bench", &BENCH.join(" "));
    out
}

/// Text behind a heading, wrapped.
fn wrapped(out: &mut String, heading: &str, text: &str) {
    for (index, line) in words::wrapped(text, 69).into_iter().enumerate() {
        line!(out, "{:<10} {line}", if index == 0 { heading } else { "" });
    }
}

/// One configuration with its weights, in words.
fn hung(one: &PlannedWeights) -> String {
    let masses: Vec<String> = one.masses.iter().map(|m| words::three(*m)).collect();
    format!(
        "polar {}, {}: {} kg; {} µm/N, smallest {} times the gauge's noise, safety factor against yield {}",
        words::angle(one.polar),
        pull_words(&one.pull),
        if masses.is_empty() {
            "none that is safe".to_string()
        } else {
            masses.join(", ")
        },
        words::three(one.per_newton * 1e6),
        words::three(one.signal),
        one.safety.map_or("not known".to_string(), words::three)
    )
}

/// A pull in words.
pub(super) fn pull_words(pull: &Vector3<f64>) -> String {
    if pull.z < -0.999 {
        return "down".to_string();
    }
    let parts: Vec<String> = pull.iter().map(|part| words::number(*part, 2)).collect();
    format!("over a pulley along ({})", parts.join(", "))
}
