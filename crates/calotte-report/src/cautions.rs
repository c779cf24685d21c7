//! What follows from an analysis and must be known before relying on its numbers: what the
//! model cannot say. What can hurt someone is another matter, see [`crate::safety`].

use calotte::analysis::{Analysis, Row};
use calotte::brief::Brief;
use calotte::built::Wall;
use calotte::design::Design;
use calotte::kinematics::working_range::RangeMargins;
use calotte::quantity::Quantity;
use calotte::search::Precheck;

use calotte_format::inputs::{key_of, name_of, shown};
use calotte_format::words;

use crate::notes::notes_words;
use crate::supports;

/// What a reader must know before relying on the numbers.
pub fn cautions_of(design: &Design, analysis: &Analysis) -> Vec<String> {
    let mut cautions = uncertain_of(analysis);
    cautions.extend(supports::cautions(design, analysis));
    cautions.extend(walls_of(analysis));
    cautions.extend(limitations_of(analysis));
    cautions
}

/// Walls and lands that are thinner than their process usually makes, with the keys to change.
pub fn walls_of(analysis: &Analysis) -> Vec<String> {
    let of_wall = |wall: &Wall| {
        let limits = wall.process.limits();
        format!(
            "{} left of {}: {} parts usually keep {} ({}); change {}",
            words::value_of(wall.quantity(), wall.thickness),
            wall.words(),
            wall.process.word(),
            words::value_of(wall.quantity(), wall.usual_minimum()),
            limits.source,
            wall.keys(),
        )
    };
    analysis.thin_walls.iter().map(of_wall).collect()
}

/// Limits that are met at nominal values and not over the stated uncertainty.
pub fn uncertain_of(analysis: &Analysis) -> Vec<String> {
    let mut cautions = Vec::new();
    for row in &analysis.rows {
        if row.met_at_nominal() == Some(true) && row.band_met() == Some(false) {
            let worst = row
                .band
                .map(|[low, high]| if row.at_least() { low } else { high });
            if let (Some(worst), Ok(got)) = (worst, &row.got) {
                cautions.push(format!(
                    "{}: {} nominal, {} in the worst case over the stated uncertainty, beyond the limit: {}",
                    words::row_name(row).to_lowercase(),
                    words::value_of(row.quantity, *got),
                    words::value_of(row.quantity, worst),
                    hangs_on(row)
                ));
            }
        }
    }
    cautions
}

/// Share of the value that an uncertain number changes by itself, from which on it is named.
const NAMED_FROM: f64 = 0.01;

/// Which uncertain numbers decide a limit that is met at nominal values alone: those by which
/// alone it comes to hold, from where on, or those that change its value most.
pub fn hangs_on(row: &Row) -> String {
    let nominal = row.got.as_ref().copied().unwrap_or(f64::NAN);
    let change = |input| {
        let mut alone = row.alone.iter();
        let one = alone.find(|one| one.input == input);
        one.map_or(0.0, |one| (one.value / nominal - 1.0).abs())
    };
    let worst = row.worst_end_inputs().unwrap_or_default();
    let mut suffices: Vec<_> = row.suffices.iter().collect();
    suffices.sort_by(|a, b| change(b.input).total_cmp(&change(a.input)));
    let enough: Vec<String> = suffices
        .iter()
        .filter_map(|one| {
            let (_, bad) = worst.iter().find(|(input, _)| *input == one.input)?;
            let [(from, unit), (to, _), (bad, _)] =
                [one.from, one.to, *bad].map(|value| shown(one.input, value));
            let way = if to > bad { "at least" } else { "at most" };
            let number = format!("{} {unit}", words::rounded_towards(from, to));
            Some(format!(
                "the {} is shown to be {way} {}, stated {} to {} ({})",
                name_of(one.input),
                number.trim_end(),
                words::three(bad.min(to)),
                words::three(bad.max(to)),
                key_of(one.input).0
            ))
        })
        .collect();
    if !enough.is_empty() {
        return format!(
            "it holds, all other uncertain numbers at their worst, if {}",
            enough.join(", or if ")
        );
    }
    let mut most: Vec<_> = row.alone.iter().collect();
    most.sort_by(|a, b| change(b.input).total_cmp(&change(a.input)));
    most.retain(|one| change(one.input) >= NAMED_FROM);
    let named: Vec<String> = most
        .iter()
        .take(2)
        .map(|one| {
            format!(
                "the {} ({}, {} by itself)",
                name_of(one.input),
                key_of(one.input).0,
                words::value_of(row.quantity, one.value)
            )
        })
        .collect();
    match named[..] {
        [] => "no uncertain number decides it by itself".to_string(),
        _ => format!(
            "no uncertain number decides it by itself; most is changed by {}",
            named.join(" and ")
        ),
    }
}

/// Where the model holds no longer.
pub fn limitations_of(analysis: &Analysis) -> Vec<String> {
    let mut cautions = Vec::new();
    if analysis.geometric_ratio > 0.05 {
        cautions.push(format!(
            "loads are large for the linear model: geometric stiffness is {} % of the elastic one",
            words::number(100.0 * analysis.geometric_ratio, 0)
        ));
    }
    cautions.extend(notes_words(&analysis.notes));
    if analysis
        .singularity
        .as_ref()
        .is_some_and(|s| !s.proved_free)
    {
        cautions.push("a singularity between samples could not be excluded".to_string());
    }
    if analysis.cells.is_some() {
        cautions.push(
            "all values over the region are sampled; nothing between the samples is proved"
                .to_string(),
        );
    }
    cautions
}

/// How far both types of singularity are, and whether what lies between samples is
/// proved.
pub fn singular_words(analysis: &Analysis) -> String {
    if let Some(cells) = &analysis.cells {
        let [one, two] = [cells.summary.type_one, cells.summary.transmission].map(|least| {
            least.map_or("nothing covered".to_string(), |(angle, at)| {
                format!("{} at {}", words::angle(angle), words::place(at, true))
            })
        });
        return format!(
            "type 1: {one}; type 2: transmission angle {two}; sampled, nothing proved between samples"
        );
    }
    let Some(report) = &analysis.singularity else {
        return "no working range".to_string();
    };
    let type_two = match (
        report.required.transmission,
        report.required.type_two_distance,
    ) {
        (Some((least, stage, _)), Some(distance)) => format!(
            "type 2 (the drives lose their hold) after {} more of opening, transmission angle at least {} (stage {stage})",
            words::angle(distance),
            words::angle(least)
        ),
        (Some((least, stage, _)), None) => format!(
            "type 2 none in this mode, transmission angle at least {} (stage {stage})",
            words::angle(least)
        ),
        _ => "type 2 none in this family".to_string(),
    };
    let bound = if report.proved_free {
        "none inside the working range (proved by interval arithmetic)"
    } else {
        "none found at samples, NOT proved between them"
    };
    format!(
        "{bound}; beyond the covered part of the required region type 1 (the tool loses a motion) after {} more of polar angle; {type_two}",
        words::angle(report.required.type_one_distance)
    )
}

/// What is known of worst values between what was looked at; `None` where all of it is
/// sampled or nothing has a value.
pub fn between_words(analysis: &Analysis) -> Option<String> {
    let left = analysis.between_rings?;
    if analysis.region_in_base.is_points() {
        return Some("worst values are those of the single directions required".to_string());
    }
    let around = if analysis.exact_around {
        "found by their equations over azimuth"
    } else {
        "sampled over azimuth"
    };
    Some(format!(
        "worst values of stiffness, deflection, torque and strength are {around}; between polar angles they may be exceeded by {} % (an estimate, not a proof)",
        words::number(100.0 * left.max(0.001), 1)
    ))
}

/// How far both types of singularity are from the ends of the working range.
pub fn range_margins_words(margins: &RangeMargins) -> String {
    let mut text = format!(
        "type 1 {} of polar angle away",
        words::angle(margins.type_one_distance)
    );
    if let Some(distance) = margins.type_two_distance {
        text.push_str(&format!(", type 2 {} of opening", words::angle(distance)));
    }
    if let Some((least, _, _)) = margins.transmission {
        text.push_str(&format!(", transmission angle {}", words::angle(least)));
    }
    text
}

/// What the precheck found, one sentence each.
pub fn precheck_words(brief: &Brief, found: &Precheck) -> Vec<String> {
    let mut sentences = Vec::new();
    let lifts =
        "what lifts it: a smaller cap off the base axis, another layout or family, a third joint";
    let allowed_loss = 1.0 - brief.coverage_min;
    let pierced = found.full_coverage_impossible();
    if pierced {
        sentences.push(format!(
            "the base axis pierces the region for every mount tilt; LCI is 0 there for any linkage whose first axis is fixed, so a singularity-free full region does not exist; {lifts}"
        ));
    }
    let margins = [Quantity::LciMin, Quantity::TransmissionAngle]
        .iter()
        .any(|quantity| brief.limits.get(*quantity).is_some());
    if margins {
        for family in &found.least_holes {
            let name = family.family.words();
            sentences.push(match family.hole {
                Some(hole) => format!(
                    "{name}: the best of a coarse sweep of {} combinations keeps the margins down to {} from the base axis (a sweep, not a proof)",
                    family.combinations,
                    words::angle(hole)
                ),
                None => format!(
                    "{name}: none of a coarse sweep of {} combinations keeps the margins anywhere",
                    family.combinations
                ),
            });
        }
        let lost = found.least_lost_share();
        if lost > allowed_loss + 1e-9 && found.least_holes.iter().any(|h| h.hole.is_some()) {
            sentences.push(format!(
                "that hole removes {} of the region and coverage_min allows {}; exclude a zone about the base axis openly, lower lci_min or coverage_min; {lifts}",
                words::number(lost, 4),
                words::number(allowed_loss, 4)
            ));
        }
    }
    sentences
}
