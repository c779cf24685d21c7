//! Arrangements of the layers that a builder may choose, each with what it costs.

use calotte::analysis::stage_curve::least_stiffness_of;
use calotte::design::{Arrangement, Design};
use calotte::interference::{Assignment, LayerOption, assign_layers};
use calotte::kinematics::working_range::all_ranges;
use calotte::subject::Subject;
use calotte_document::built as document;
use calotte_format::units::degrees;
use calotte_format::words;

use crate::text::line;

/// One arrangement of the layers with what it leaves and costs.
pub struct LayerChoice {
    name: String,
    layers: usize,
    polar: [f64; 2],
    pin_length: f64,
    /// Least stiffness over the covered directions, N/m.
    stiffness: Option<f64>,
    moving_mass: f64,
    leaves_wanted: bool,
    layers_of_bars: Vec<usize>,
}

/// Arrangements from the fewest layers to full nesting; `wanted` is the range that the
/// requirements would use if no parts were in each other's way.
pub fn layer_choices(subject: &Subject) -> Result<(Assignment, Vec<LayerChoice>), String> {
    let (design, kinematics) = (&subject.design, subject.kinematics());
    let ideal = design.is_built().then(|| subject.motion.range()).flatten();
    let ideal = ideal.ok_or("no working range with the margins")?;
    let middle = 0.5 * (ideal.second[0] + ideal.second[1]);
    let whole = all_ranges(kinematics, &design.drives.range, &Default::default())
        .into_iter()
        .find(|range| range.second[0] <= middle && middle <= range.second[1])
        .map_or(ideal.second, |range| {
            [
                range.second[0].min(ideal.second[0]),
                range.second[1].max(ideal.second[1]),
            ]
        });
    let assignment = assign_layers(design, kinematics, whole, ideal.second)
        .map_err(|error| error.to_string())?;
    let choices = assignment
        .options
        .iter()
        .map(|option| choice(subject, option, &assignment))
        .collect();
    Ok((assignment, choices))
}

fn choice(subject: &Subject, option: &LayerOption, assignment: &Assignment) -> LayerChoice {
    let kinematics = subject.kinematics();
    let mut built = subject.design.clone();
    if let Some(layers) = &mut built.layers {
        layers.arrangement = option.arrangement();
    }
    let polar = option
        .free
        .range
        .map(|second| kinematics.meridian.state(second).polar_angle());
    let fewest = assignment
        .fewest
        .as_ref()
        .is_some_and(|fewest| fewest.layers == option.layers);
    let arrangement: Arrangement = option.arrangement();
    let built = subject.beside(built).ok();
    LayerChoice {
        name: format!(
            "{}{}",
            words::arrangement(&arrangement),
            if fewest { " fewest" } else { "" }
        ),
        layers: option.count,
        polar: [polar[0].min(polar[1]), polar[0].max(polar[1])],
        pin_length: option.pin_length,
        stiffness: built.as_ref().and_then(least_stiffness_of),
        moving_mass: built
            .as_ref()
            .and_then(|built| built.model().ok())
            .map_or(f64::NAN, |model| model.holding.moving_mass()),
        leaves_wanted: option.leaves_wanted,
        layers_of_bars: option.layers.clone(),
    }
}

/// The table of arrangements.
pub fn layers_text(design: &Design, choices: &[LayerChoice]) -> String {
    let mut out = String::new();
    let bars = calotte::family::build(design).map_or(String::new(), |linkage| {
        let names = linkage.bodies.iter().filter(|body| !body.arcs.is_empty());
        names
            .map(|body| body.name.clone())
            .collect::<Vec<_>>()
            .join(", ")
    });
    line!(
        out,
        "{:<7}{:>17} {:>7} {:>10} {:>9}  layer of each bar",
        "layers",
        "free polar",
        "pins",
        "stiffness",
        "mass"
    );
    for choice in choices {
        line!(
            out,
            "{:<7}{:>17} {:>4} mm {:>5} N/mm {:>6} kg  {}{}",
            choice.layers,
            format!(
                "{} to {}",
                words::angle(choice.polar[0]),
                words::angle(choice.polar[1])
            ),
            words::number(choice.pin_length * 1e3, 0),
            choice
                .stiffness
                .map_or("none".to_string(), |k| words::three(k / 1e3)),
            words::three(choice.moving_mass),
            choice.name,
            if choice.leaves_wanted {
                ""
            } else {
                " (not all that is asked)"
            }
        );
    }
    line!(out, "Bars in this order: {bars}.");
    line!(
        out,
        "Free polar: without margins, as far as no two parts touch. Pins: sum of lengths."
    );
    out
}

/// The same for programs.
pub fn layers_document(choices: &[LayerChoice]) -> Vec<document::Arrangement> {
    choices
        .iter()
        .map(|choice| document::Arrangement {
            layers: choice.layers,
            of_bars: choice.layers_of_bars.clone(),
            free_polar_deg: choice.polar.map(degrees),
            pin_length_mm: choice.pin_length * 1e3,
            minimum_stiffness_n_per_mm: choice.stiffness.map(|k| k / 1e3),
            moving_mass_kg: Some(choice.moving_mass).filter(|mass| mass.is_finite()),
            leaves_what_is_asked: choice.leaves_wanted,
        })
        .collect()
}
