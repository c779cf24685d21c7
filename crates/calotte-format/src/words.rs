//! Numbers and quantities in words, the same on the terminal, in documents and on the page.

use crate::units::{degrees, millimetres};
use calotte::analysis::{Row, RowKind};
use calotte::brief::ArrangementChoice;
use calotte::design::{Arrangement, Design, Family};
use calotte::sphere::Direction;
use calotte::stock::Section;

/// A number with a sensible number of digits and a true minus sign.
pub fn number(value: f64, digits: usize) -> String {
    let text = format!("{value:.digits$}");
    let negative_zero = text.starts_with('-') && text[1..].chars().all(|c| c == '0' || c == '.');
    if negative_zero {
        text[1..].to_string()
    } else {
        text.replace('-', "\u{2212}")
    }
}

/// A number to about three significant digits.
pub fn three(value: f64) -> String {
    let size = value.abs();
    let digits = if size >= 100.0 || size == 0.0 {
        0
    } else if size >= 10.0 {
        1
    } else if size >= 1.0 {
        2
    } else {
        3
    };
    number(value, digits)
}

/// Text broken into lines of at most `width` columns, at spaces.
pub fn wrapped(text: &str, width: usize) -> Vec<String> {
    let mut lines = Vec::new();
    let mut current = String::new();
    for word in text.split_whitespace() {
        let length = current.chars().count() + 1 + word.chars().count();
        if !current.is_empty() && length > width {
            lines.push(std::mem::take(&mut current));
        }
        if !current.is_empty() {
            current.push(' ');
        }
        current.push_str(word);
    }
    if !current.is_empty() {
        lines.push(current);
    }
    lines
}

/// An angle in degrees with one digit, trailing zero dropped.
pub fn angle(radians: f64) -> String {
    let text = number(degrees(radians), 1);
    format!("{}°", text.strip_suffix(".0").unwrap_or(&text))
}

/// A direction in words; on a ring all azimuths may be equal, then `azimuth` is left out.
pub fn place(direction: Direction, with_azimuth: bool) -> String {
    if with_azimuth {
        format!(
            "polar {}, azimuth {}",
            angle(direction.polar),
            angle(direction.azimuth)
        )
    } else {
        format!("polar {}", angle(direction.polar))
    }
}

/// What a row is called.
pub fn row_name(kind: &RowKind) -> String {
    match kind {
        RowKind::Coverage => "Coverage".to_string(),
        RowKind::ContactDeflection(load) => format!("Deflection, {load}"),
        RowKind::Sag => "Sag by own weight".to_string(),
        RowKind::LciMin => "Least LCI".to_string(),
        RowKind::Gci => "GCI (area)".to_string(),
        RowKind::TransmissionAngle => "Transmission angle".to_string(),
        RowKind::Safety => "Safety against yield".to_string(),
        RowKind::BearingSafety => "Bearings, static safety".to_string(),
        RowKind::MovingMass => "Moving mass".to_string(),
        RowKind::HoldingTorque => "Holding torque".to_string(),
        RowKind::Stiffness => "Least stiffness".to_string(),
    }
}

/// A row's value without its unit, for columns that name it once.
pub fn without_unit(kind: &RowKind, value: f64) -> String {
    let text = row_value(kind, value);
    match text.split_once(' ') {
        Some((number, _)) => number.to_string(),
        None => text,
    }
}

/// A row's value with its unit.
pub fn row_value(kind: &RowKind, value: f64) -> String {
    match kind {
        RowKind::Coverage | RowKind::LciMin | RowKind::Gci => number(value, 3),
        RowKind::ContactDeflection(_) | RowKind::Sag => {
            format!("{} mm", three(millimetres(value)))
        }
        RowKind::TransmissionAngle => angle(value),
        RowKind::Safety | RowKind::BearingSafety => three(value.min(9999.0)),
        RowKind::MovingMass => format!("{} kg", three(value)),
        RowKind::HoldingTorque => format!("{} N·m", three(value)),
        RowKind::Stiffness => format!("{} N/mm", three(value / 1000.0)),
    }
}

/// A row's margin: relative for most, absolute where a share means little.
pub fn row_margin(row: &Row) -> Option<String> {
    let needed = row.needed?;
    let got = row.got.as_ref().ok()?;
    let absolute = if row.kind.at_least() {
        got - needed
    } else {
        needed - got
    };
    Some(match row.kind {
        RowKind::LciMin | RowKind::Gci | RowKind::Coverage => number(absolute, 3),
        RowKind::TransmissionAngle => angle(absolute),
        _ => format!("{} %", number(100.0 * row.relative_margin()?, 0)),
    })
}

/// A section in words.
pub fn section(section: &Section) -> String {
    let mm = |value: f64| {
        let text = number(millimetres(value), 1);
        text.strip_suffix(".0").unwrap_or(&text).to_string()
    };
    match *section {
        Section::Rectangle { tangential, radial } => {
            format!("{} × {} mm", mm(tangential), mm(radial))
        }
        Section::RectangleTube {
            tangential,
            radial,
            wall,
        } => format!(
            "{} × {} × {} mm hollow",
            mm(tangential),
            mm(radial),
            mm(wall)
        ),
        Section::Tube {
            outer_diameter,
            inner_diameter,
        } => format!("tube {} / {} mm", mm(outer_diameter), mm(inner_diameter)),
        Section::Rod { diameter } => format!("rod {} mm", mm(diameter)),
        Section::Custom { .. } => "own section".to_string(),
    }
}

/// The family with its angles in words.
pub fn linkage(design: &Design) -> String {
    match &design.family {
        Family::ScissorLinkage(scissor) => {
            let stages = scissor.stages();
            let plural = if stages == 1 { "stage" } else { "stages" };
            let all = |values: &[f64]| {
                values
                    .iter()
                    .all(|v| (v - values[0]).abs() < 1e-9 * v.abs())
            };
            let both: Vec<f64> = scissor
                .proximal_arcs
                .iter()
                .chain(&scissor.distal_arcs)
                .copied()
                .collect();
            let arcs = if all(&both) {
                angle(both[0])
            } else {
                let list = |values: &[f64]| {
                    values
                        .iter()
                        .map(|v| angle(*v))
                        .collect::<Vec<_>>()
                        .join(", ")
                };
                format!(
                    "{} / {}",
                    list(&scissor.proximal_arcs),
                    list(&scissor.distal_arcs)
                )
            };
            let bends = match scissor.bends.first() {
                Some(first) if all(&scissor.bends) && *first != 0.0 => {
                    format!(", bend {}", angle(*first))
                }
                Some(_) if scissor.bends.iter().any(|b| *b != 0.0) => ", bent bars".to_string(),
                _ => String::new(),
            };
            format!(
                "scissor linkage, {stages} {plural} ({} arcs a branch) × {arcs}{bends}",
                2 * stages
            )
        }
        Family::TwoArcArm(arm) => format!(
            "two-arc arm, {} then {}",
            angle(arm.arcs[0]),
            angle(arm.arcs[1])
        ),
    }
}

/// How a design is driven, in words.
pub fn drive_layout(design: &Design) -> &'static str {
    match design.family {
        Family::ScissorLinkage(_) => design.drives.layout.name(),
        Family::TwoArcArm(_) => "base and elbow",
    }
}

/// The arrangement of layers that a brief leaves to choose, as it writes it.
pub fn arrangement_choice(choice: &ArrangementChoice) -> String {
    match choice {
        ArrangementChoice::Of(stated) => arrangement(stated),
        ArrangementChoice::Fewest => "fewest".to_string(),
    }
}

/// The arrangement of layers as the files write it, lists in brackets.
pub fn arrangement(arrangement: &Arrangement) -> String {
    match arrangement {
        Arrangement::Two => "two".to_string(),
        Arrangement::Nested => "nested".to_string(),
        Arrangement::Given(layers) => {
            let layers: Vec<String> = layers.iter().map(usize::to_string).collect();
            format!("[{}]", layers.join(", "))
        }
    }
}
