//! A plan on one screen of 80 columns.

use calotte::measurement::{CORRELATION_MAX, LOOK_MAX, PhysicalModel, PlannedWeights, pieces};
use calotte_format::safety::{BENCH, Safety};
use calotte_format::units::{Unit, degrees};
use calotte_format::words;
use nalgebra::Vector3;

use crate::found::{Planned, in_unit, name_with_unit};
use crate::text::line;

/// A plan on one screen.
pub fn plan_text(found: &Planned) -> String {
    let mut out = String::new();
    let (model, made) = (&found.model, &found.made);
    wrapped(
        &mut out,
        "Points",
        &format!(
            "{} rows, joints move {} degrees in all, {} times the shortest way found once through \
             all configurations; tool polar {} to {}",
            made.configurations.len(),
            words::number(degrees(made.motion), 0),
            words::number(made.motion / made.shortest, 1),
            words::angle(made.polar[0]),
            words::angle(made.polar[1]),
        ),
    );
    wrapped(&mut out, "Order", &order_words(found));
    for text in range_words(found) {
        wrapped(&mut out, "Range", &text);
    }
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
    if made.told.is_empty() {
        line!(out, "  none");
    }
    for (index, error) in &made.told {
        let described = &model.parameters[*index];
        line!(
            out,
            "  {:<26}{:>20}",
            name_with_unit(described),
            words::number(in_unit(described, *error), 4)
        );
    }
    let not = names(model, &made.not_told);
    if !not.is_empty() {
        let text = format!("not identifiable one by one from these rows: {not}");
        wrapped(&mut out, "Open", &text);
    }
    for one in &found.weights {
        wrapped(&mut out, "Weights", &hung(one, model.active_names));
    }
    if let Some(text) = holding_words(&found.weights) {
        wrapped(&mut out, "Torque", &text);
    }
    wrapped(
        &mut out,
        "Safety",
        &Safety::of(&found.nominal, true).short(),
    );
    wrapped(&mut out, "Bench", &BENCH.join(" "));
    out
}

/// What the order could mistake a drift in time for.
pub(super) fn order_words(found: &Planned) -> String {
    let mistaken = &found.made.mistaken;
    let mut text = format!(
        "at random (seed {}): the row number has a correlation of at most {} with the readings and {} with the direction (aim: {})",
        found.settings.seed,
        words::number(mistaken.readings, 2),
        words::number(mistaken.directions, 2),
        words::number(CORRELATION_MAX, 1)
    );
    if let Some((index, look)) = mistaken.parameter {
        text += &format!(
            ", a steady drift of the tracker at most {} with the effect of a parameter, {} (aim: {})",
            words::number(look, 2),
            found.model.parameters[index].name,
            words::number(LOOK_MAX, 1)
        );
    }
    text += if found.drift_is_separable() {
        "; a drift in time is not taken for a parameter"
    } else {
        "; A DRIFT IN TIME MAY BE TAKEN FOR A PARAMETER: plan more configurations"
    };
    text
}

/// What a narrow range costs, and which ways are not free.
pub(super) fn range_words(found: &Planned) -> Vec<String> {
    let mut texts = Vec::new();
    let (model, made) = (&found.model, &found.made);
    if let Some(cost) = &made.narrowed {
        let by = match (cost.by_drives, cost.by_brief) {
            (true, true) => "the drives' range and the brief narrow",
            (true, false) => "the drives' range narrows",
            _ => "the brief narrows",
        };
        let mut text = format!("{by} where the tool is measured; ");
        if cost.lost.is_empty() && cost.worse.is_empty() {
            text += "every parameter of the whole range is identifiable there, none with three times its error";
        }
        if !cost.lost.is_empty() {
            text += &format!(
                "not identifiable there, but from the whole range: {}",
                names(model, &cost.lost)
            );
        }
        if !cost.worse.is_empty() {
            let worse: Vec<String> = cost
                .worse
                .iter()
                .map(|(index, times)| {
                    let name = &model.parameters[*index].name;
                    format!("{name} ({} times)", words::three(*times))
                })
                .collect();
            let and = if cost.lost.is_empty() { "" } else { "; " };
            text += &format!(
                "{and}with a larger error than from the whole range: {}",
                worse.join(", ")
            );
        }
        texts.push(text);
    }
    if !made.not_straight.is_empty() {
        let rows: Vec<String> = made.not_straight.iter().map(usize::to_string).collect();
        texts.push(format!(
            "a straight way of the joints comes too near a keep-out before rows {}: go round",
            rows.join(", ")
        ));
    }
    texts
}

/// Names of parameters with their units.
pub(super) fn names(model: &PhysicalModel, positions: &[usize]) -> String {
    let names: Vec<String> = positions
        .iter()
        .map(|index| name_with_unit(&model.parameters[*index]))
        .collect();
    names.join(", ")
}

/// Text behind a heading, wrapped.
fn wrapped(out: &mut String, heading: &str, text: &str) {
    for (index, line) in words::wrapped(text, 69).into_iter().enumerate() {
        line!(out, "{:<10} {line}", if index == 0 { heading } else { "" });
    }
}

/// One configuration with its weights, in words.
fn hung(one: &PlannedWeights, joints: [&str; 2]) -> String {
    let masses: Vec<String> = one.masses.iter().map(|mass| mass_words(*mass)).collect();
    let torque = one.torques.last().copied().unwrap_or(one.own_torque);
    let mut text = format!(
        "polar {}, {}: {} kg; {} µm/N, smallest {} times the gauge's noise, safety factor against yield {}, torque with own weight and the heaviest: {}",
        words::angle(one.polar),
        pull_words(&one.pull),
        if masses.is_empty() {
            "none that is safe".to_string()
        } else {
            masses.join(", ")
        },
        words::three(one.per_newton * 1e6),
        words::three(one.signal),
        one.safety.map_or("not known".to_string(), words::three),
        torque_words(torque, joints)
    );
    let not_held = !one.not_held().is_empty() || one.exceeds(one.own_torque);
    if let (true, Some(holds)) = (not_held, one.holding) {
        text += &format!("; MORE THAN IS HELD, {} N·m: ", words::three(holds));
        let over: Vec<String> = one
            .not_held()
            .iter()
            .map(|mass| words::three(*mass))
            .collect();
        text += &if over.is_empty() {
            "own weight alone".to_string()
        } else {
            format!("with {} kg", over.join(", "))
        };
    }
    text
}

/// A mass, and the weights of a set that make it up where these are several.
pub(super) fn mass_words(mass: f64) -> String {
    let kilograms = |mass: f64| Unit::Kilogram.write((mass * 1e3).round() / 1e3);
    let parts: Vec<String> = pieces(mass).iter().map(|piece| kilograms(*piece)).collect();
    if parts.len() < 2 {
        kilograms(mass)
    } else {
        format!("{} ({})", kilograms(mass), parts.join(" + "))
    }
}

/// Torques of both drives.
fn torque_words(torque: [f64; 2], joints: [&str; 2]) -> String {
    let [a, b] = torque.map(|one| words::three(one.abs()));
    format!("{} {a} N·m, {} {b} N·m", joints[0], joints[1])
}

/// What is known of the torque that drives and brakes hold; `None` without weights.
pub(super) fn holding_words(weights: &[PlannedWeights]) -> Option<String> {
    let first = weights.first()?;
    Some(match first.holding {
        None => "no holding torque is stated (load_holding_torque_nm or holding_torque_nm in [limits] of a brief, with --brief): make sure that drive or brake holds the torques printed here before the first weight".to_string(),
        Some(holds) if weights.iter().any(|one| one.exceeds(one.own_torque) || !one.not_held().is_empty()) => format!(
            "WARNING: some weights need more than the {} N·m that the brief states; leave them out or support the arm",
            words::three(holds)
        ),
        Some(holds) => format!(
            "all weights stay within the {} N·m that the brief states; make sure of it at the brake before the first weight",
            words::three(holds)
        ),
    })
}

/// A pull in words.
pub(super) fn pull_words(pull: &Vector3<f64>) -> String {
    if pull.z < -0.999 {
        return "down".to_string();
    }
    let parts: Vec<String> = pull.iter().map(|part| words::number(*part, 2)).collect();
    format!("over a pulley along ({})", parts.join(", "))
}
