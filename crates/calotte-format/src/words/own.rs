//! What differs of a design in words.

use calotte::design::{Design, JointProperties, SectionOf};

use super::{millimetres_words, section};

/// The level in words.
fn level_words(level: usize) -> String {
    match level {
        0 => "base".to_string(),
        level => format!("level {level}"),
    }
}

/// The sections of a design: that of the rule, with what differs in brackets.
pub fn sections(design: &Design) -> String {
    let own = design.own.sections.iter().map(|own| {
        let of = match &own.of {
            SectionOf::Level(level) => level_words(*level),
            SectionOf::Bar(name) => name.clone(),
        };
        format!("{of}: {}", section(&own.section))
    });
    with_own(section(&design.section), own.collect())
}

/// The joints of a design where levels differ: what all others have, with what differs in
/// brackets; `None` where all are alike.
pub fn own_joints(design: &Design) -> Option<String> {
    let own = design.own.joints.iter();
    let own = own.map(|own| format!("{}: {}", level_words(own.level), joints(&own.joints)));
    let own: Vec<String> = own.collect();
    (!own.is_empty()).then(|| with_own(joints(&design.joints), own))
}

fn with_own(rule: String, own: Vec<String>) -> String {
    if own.is_empty() {
        return rule;
    }
    format!("{rule} ({})", own.join("; "))
}

/// Joints in short: bearing, spacing and pin, or their stiffness.
fn joints(joints: &JointProperties) -> String {
    let mut text = match (&joints.parts, &joints.stiffness) {
        (Some(parts), _) => format!(
            "bearing {}, spacing {}, pin {}",
            parts.bearing.name,
            millimetres_words(parts.pair_spacing),
            millimetres_words(parts.pin.diameter)
        ),
        (None, Some(stiffness)) => format!(
            "{:e} N/m axial, {:e} N/m radial, {:e} N·m/rad tilt",
            stiffness.axial.value, stiffness.radial.value, stiffness.tilt.value
        ),
        (None, None) => "rigid".to_string(),
    };
    if joints.boss_diameter > 0.0 {
        let boss = millimetres_words(joints.boss_diameter);
        text.push_str(&format!(", boss {boss}"));
    }
    if joints.mass > 0.0 {
        let grams = super::number(joints.mass * 1e3, 1);
        let grams = grams.strip_suffix(".0").unwrap_or(&grams);
        text.push_str(&format!(", {grams} g"));
    }
    text
}
