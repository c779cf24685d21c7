//! Numbers and quantities in words, the same on the terminal, in documents and on the page.

mod own;

use crate::units::{degrees, millimetres};
use calotte::analysis::Row;
use calotte::brief::ArrangementChoice;
use calotte::brief::FamilyName;
use calotte::design::{
    Arrangement, Design, DriveLayout, EachFamily, FiveBar, ScissorLinkage, TwoArcArm,
};
use calotte::quantity::{Form, Quantity};
use calotte::sphere::Direction;
use calotte::stock::Section;

pub use own::{own_joints, sections};

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

/// Whether a character is no part of a text that is read, but steers what shows it: control
/// characters, and the marks of Unicode that turn the direction of writing, hide or break lines.
pub fn steers(character: char) -> bool {
    character.is_control()
        || matches!(character, '\u{ad}' | '\u{61c}' | '\u{200b}'..='\u{200f}'
            | '\u{2028}'..='\u{202e}' | '\u{2060}'..='\u{206f}' | '\u{feff}'
            | '\u{fff9}'..='\u{fffb}')
}

/// The text with every character that steers a terminal shown by its number; lines stay lines.
pub fn seen(text: &str) -> String {
    if !text
        .chars()
        .any(|character| character != '\n' && steers(character))
    {
        return text.to_string();
    }
    let mut shown = String::new();
    for character in text.chars() {
        if character != '\n' && steers(character) {
            shown.extend(character.escape_unicode());
        } else {
            shown.push(character);
        }
    }
    shown
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

/// A number of three significant digits, more where that would leave the two ends: rounded
/// towards `towards`, so that what holds from `from` on holds from the printed number on.
pub fn rounded_towards(from: f64, towards: f64) -> String {
    if from == 0.0 || !from.is_finite() {
        return number(from, 0);
    }
    let inside = |value: f64| (value - from) * (value - towards) <= 0.0;
    (2..17)
        .find_map(|digits| {
            let place = from.abs().log10().floor() as i32 - digits;
            let step = 10f64.powi(place);
            let steps = from / step;
            let whole = if towards > from {
                steps.ceil()
            } else {
                steps.floor()
            };
            let text = number(whole * step, usize::try_from(-place).unwrap_or(0));
            let read: f64 = text.replace('\u{2212}', "-").parse().ok()?;
            inside(read).then_some(text)
        })
        .unwrap_or_else(|| number(from, 12))
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
pub fn row_name(row: &Row) -> String {
    name_of(row.quantity, row.load.as_deref())
}

/// What rows of a quantity are called, of one load case where each has its own.
pub fn name_of(quantity: Quantity, load: Option<&str>) -> String {
    let facts = quantity.facts();
    let label = facts.row.map_or(facts.label, |row| row.label);
    match load {
        Some(load) => format!("{label}, {load}"),
        None => label.to_string(),
    }
}

/// A label as it stands within a sentence: abbreviations keep their capitals.
pub fn within(label: &str) -> String {
    let words: Vec<String> = label
        .split(' ')
        .map(|word| {
            let letters = || word.chars().filter(|letter| letter.is_alphabetic());
            let short = letters().count() > 1 && letters().all(char::is_uppercase);
            if short {
                word.to_string()
            } else {
                word.to_lowercase()
            }
        })
        .collect();
    words.join(" ")
}

/// A value without its unit, for columns that name it once.
pub fn without_unit(quantity: Quantity, value: f64) -> String {
    let shown = value * quantity.unit().factor();
    match quantity.facts().form {
        Form::Index => number(shown, 3),
        Form::Angle => angle(value),
        // Without load a safety factor is infinite.
        Form::Factor => three(shown.min(9999.0)),
        Form::Count => number(shown, 0),
        Form::SmallAngle => format!("{}°", three(shown)),
        Form::Measure => three(shown),
    }
}

/// A value with its unit.
pub fn value_of(quantity: Quantity, value: f64) -> String {
    let text = without_unit(quantity, value);
    match quantity.facts().form {
        Form::Measure => format!("{text} {}", quantity.unit().symbol()),
        _ => text,
    }
}

/// Two values of a quantity with their unit, in as many digits as tell them apart: a miss is
/// never rounded to its limit.
pub fn apart(quantity: Quantity, values: [f64; 2]) -> [String; 2] {
    let usual = values.map(|value| value_of(quantity, value));
    let factor = quantity.unit().factor();
    let differ = values[0] != values[1] && values.iter().all(|value| value.is_finite());
    if usual[0] != usual[1] || !differ {
        return usual;
    }
    let symbol = match quantity.facts().form {
        Form::Measure => format!(" {}", quantity.unit().symbol()),
        Form::Angle => "°".to_string(),
        _ => String::new(),
    };
    // Fewer digits than usual would round them apart, to numbers that neither is.
    let plain = usual[0].split([' ', '°']).next().unwrap_or_default();
    let decimals = plain.split_once('.').map_or(0, |(_, after)| after.len());
    (decimals + 1..=17)
        .map(|digits| values.map(|value| format!("{}{symbol}", number(value * factor, digits))))
        .find(|[one, other]| one != other)
        .unwrap_or(usual)
}

/// The limit of a row and its value at nominal values with their unit, told apart where it is
/// missed; `None` for what there is not.
pub fn limit_and_value(row: &Row) -> [Option<String>; 2] {
    match (row.needed, &row.got) {
        (Some(needed), Ok(got)) if row.met_at_nominal() == Some(false) => {
            apart(row.quantity, [needed, *got]).map(Some)
        }
        (needed, got) => {
            let of = |value: f64| value_of(row.quantity, value);
            [needed.map(of), got.as_ref().ok().copied().map(of)]
        }
    }
}

/// Both ends of a row's range, the worst one told apart from a limit that it misses; the unit
/// stands at the second alone. `None` without a range.
pub fn range_ends(row: &Row) -> Option<[String; 2]> {
    let band = row.band?;
    let missed = row.needed.filter(|_| row.band_met() == Some(false));
    let text = |end: f64| match missed {
        Some(needed) if Some(end) == row.worst_end() => {
            let [text, _] = apart(row.quantity, [end, needed]);
            text
        }
        _ => value_of(row.quantity, end),
    };
    let [low, high] = band.map(text);
    let low = match row.quantity.facts().form {
        Form::Measure => low.split(' ').next().unwrap_or_default().to_string(),
        _ => low,
    };
    Some([low, high])
}

/// A quantity with its value within a sentence: `least stiffness 22.2 N/mm`, `5 joints`.
pub fn with_value(quantity: Quantity, value: f64) -> String {
    let (label, value) = (within(quantity.label()), value_of(quantity, value));
    match quantity.facts().form {
        Form::Count => format!("{value} {label}"),
        _ => format!("{label} {value}"),
    }
}

/// A row's margin: relative for most, absolute where a share means little.
pub fn row_margin(row: &Row) -> Option<String> {
    let needed = row.needed?;
    let judged = row.judged().ok()?;
    let absolute = if row.at_least() {
        judged - needed
    } else {
        needed - judged
    };
    Some(match row.quantity.facts().form {
        Form::Index => number(absolute, 3),
        Form::Angle => angle(absolute),
        _ => format!("{} %", number(100.0 * row.relative_margin()?, 0)),
    })
}

/// A size in millimetres without its unit, to a tenth where it is not whole.
fn short_millimetres(value: f64) -> String {
    let text = number(millimetres(value), 1);
    text.strip_suffix(".0").unwrap_or(&text).to_string()
}

/// The same with its unit.
fn millimetres_words(value: f64) -> String {
    format!("{} mm", short_millimetres(value))
}

/// A section in words.
pub fn section(section: &Section) -> String {
    let mm = short_millimetres;
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
    design.family.each(LinkageWords)
}

struct LinkageWords;

impl EachFamily<'_> for LinkageWords {
    type Answer = String;

    fn scissor_linkage(self, scissor: &ScissorLinkage) -> String {
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
            "scissor linkage, {stages} {plural} ({} arcs per branch), arcs {arcs}{bends}",
            2 * stages
        )
    }

    fn five_bar(self, five_bar: &FiveBar) -> String {
        let both = |[left, right]: [f64; 2]| {
            if left == right {
                angle(left)
            } else {
                format!("{} and {}", angle(left), angle(right))
            }
        };
        format!(
            "spherical five-bar, base axes {} apart, proximal arcs {}, distal arcs {}, elbows {}",
            angle(five_bar.base_arc),
            both(five_bar.proximal_arcs),
            both(five_bar.distal_arcs),
            five_bar.elbows.name()
        )
    }

    fn two_arc_arm(self, arm: &TwoArcArm) -> String {
        format!(
            "two-arc arm, {} then {}",
            angle(arm.arcs[0]),
            angle(arm.arcs[1])
        )
    }
}

/// How a design is driven, in words.
pub fn drive_layout(design: &Design) -> String {
    let name = design.family.family_name();
    if name.has_drive_layouts() {
        design.drives.layout.name().to_string()
    } else {
        name.mechanism_names().join(" and ")
    }
}

/// The drives that are taken as rigid, as the subject of a sentence; `None` where none is.
pub fn rigid_drives(design: &Design) -> Option<String> {
    let names = design.family.active_names(design.drives.layout);
    let rigid: Vec<&str> = names
        .into_iter()
        .zip(&design.drives.each)
        .filter_map(|(name, drive)| drive.stiffness.is_none().then_some(name))
        .collect();
    match rigid[..] {
        [] => None,
        [name] => Some(format!("{name} drive")),
        _ => Some("drives".to_string()),
    }
}

/// How a family is driven, as results write it: its layout, or the mechanism angles where
/// there is one way only.
pub fn layout_key(family: FamilyName, layout: Option<DriveLayout>) -> String {
    match layout.filter(|_| family.has_drive_layouts()) {
        Some(layout) => layout.name().to_string(),
        None => family.mechanism_names().join("-and-"),
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

#[cfg(test)]
mod tests {
    use super::*;
    use calotte::quantity::JudgedAt;

    #[test]
    fn what_holds_from_somewhere_on_holds_from_the_printed_number_on() {
        assert_eq!(rounded_towards(20.5123, 28.9), "20.6");
        assert_eq!(rounded_towards(20.5123, 8.31), "20.5");
        assert_eq!(rounded_towards(8_314_567.0, 9e6), "8320000");
        assert_eq!(rounded_towards(0.123_456, 0.123_5), "0.1235");
        assert_eq!(rounded_towards(-20.5123, -8.0), "\u{2212}20.5");
        assert_eq!(rounded_towards(0.0, 1.0), "0");
        let mut from = 0.001_234_5;
        while from < 1e9 {
            for towards in [0.3 * from, 7.0 * from] {
                let read: f64 = rounded_towards(from, towards).parse().unwrap();
                assert!(
                    (read - from) * (read - towards) <= 0.0,
                    "{from} {towards} {read}"
                );
                assert!((read / from - 1.0).abs() < 0.011, "{from} {read}");
            }
            from *= 1.37;
        }
    }

    fn row(needed: f64, got: f64, band: [f64; 2]) -> Row {
        Row {
            quantity: Quantity::ContactDeflection,
            load: None,
            needed: Some(needed),
            judged_at: JudgedAt::WorstEnd,
            got: Ok(got),
            band: Some(band),
            band_inputs: None,
            worst_end_as_beams: None,
            alone: Vec::new(),
            suffices: Vec::new(),
            over_region: None,
            worst_at: None,
            note: String::new(),
        }
    }

    #[test]
    fn a_miss_is_never_rounded_to_its_limit() {
        let texts = |row: &Row| {
            let [limit, value] = limit_and_value(row).map(Option::unwrap);
            (limit, value, range_ends(row).unwrap())
        };
        let (limit, value, [low, high]) = texts(&row(0.15e-3, 0.150_04e-3, [0.1e-3, 0.2e-3]));
        assert_eq!(
            (limit.as_str(), value.as_str()),
            ("0.15000 mm", "0.15004 mm")
        );
        assert_eq!((low.as_str(), high.as_str()), ("0.100", "0.200 mm"));
        // Met at nominal values, and missed by a hair at the worst end.
        let (limit, value, [low, high]) = texts(&row(0.15e-3, 0.14e-3, [0.1e-3, 0.150_04e-3]));
        assert_eq!((limit.as_str(), value.as_str()), ("0.150 mm", "0.140 mm"));
        assert_eq!(low, "0.100");
        assert_ne!(high, limit);
        assert_eq!(high, "0.15004 mm");
        // What is met needs no more digits.
        let (_, value, [_, high]) = texts(&row(0.15e-3, 0.149_99e-3, [0.1e-3, 0.149_999e-3]));
        assert_eq!((value.as_str(), high.as_str()), ("0.150 mm", "0.150 mm"));
    }
}
