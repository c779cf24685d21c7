//! One value as a number in SI units.

use super::no_value::is_no_value;
use crate::units::Unit;

/// Mark between the whole part and the decimals.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Mark {
    /// As in 12.5.
    Point,
    /// As in 12,5.
    Comma,
}

/// Unit of a column.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum ColumnUnit {
    /// Degree; inside rad.
    Degree,
    /// Radian.
    Radian,
    /// Millimetre; inside m.
    Millimetre,
    /// Micrometre; inside m.
    Micrometre,
    /// Metre.
    Metre,
    /// Centimetre; inside m.
    Centimetre,
    /// Inch of 25.4 mm; inside m.
    Inch,
    /// Kilogram.
    Kilogram,
    /// Gram; inside kg.
    Gram,
    /// No unit.
    One,
}

impl ColumnUnit {
    /// Every unit that a name can end in.
    pub(super) const NAMED: [ColumnUnit; 9] = [
        ColumnUnit::Degree,
        ColumnUnit::Radian,
        ColumnUnit::Millimetre,
        ColumnUnit::Micrometre,
        ColumnUnit::Metre,
        ColumnUnit::Centimetre,
        ColumnUnit::Inch,
        ColumnUnit::Kilogram,
        ColumnUnit::Gram,
    ];

    /// The unit as it ends a column's name.
    pub(super) fn suffix(self) -> &'static str {
        match self {
            ColumnUnit::Degree => "deg",
            ColumnUnit::Radian => "rad",
            ColumnUnit::Millimetre => "mm",
            ColumnUnit::Micrometre => "um",
            ColumnUnit::Metre => "m",
            ColumnUnit::Centimetre => "cm",
            ColumnUnit::Inch => "in",
            ColumnUnit::Kilogram => "kg",
            ColumnUnit::Gram => "g",
            ColumnUnit::One => "",
        }
    }

    /// The unit in words.
    pub(super) fn words(self) -> &'static str {
        match self {
            ColumnUnit::Degree => "degrees",
            ColumnUnit::Radian => "radians",
            ColumnUnit::Millimetre => "millimetres",
            ColumnUnit::Micrometre => "micrometres",
            ColumnUnit::Metre => "metres",
            ColumnUnit::Centimetre => "centimetres",
            ColumnUnit::Inch => "inches of 25.4 mm",
            ColumnUnit::Kilogram => "kilograms",
            ColumnUnit::Gram => "grams",
            ColumnUnit::One => "numbers",
        }
    }

    /// The SI value of a decimal text: the nearest number, for inches within two units
    /// in its last place.
    fn read(self, text: &str) -> Option<f64> {
        match self {
            ColumnUnit::Degree => Unit::Degree.read(text),
            ColumnUnit::Millimetre => Unit::Millimetre.read(text),
            ColumnUnit::Micrometre => Unit::One.read(&shifted(text, -6)?),
            ColumnUnit::Centimetre => Unit::One.read(&shifted(text, -2)?),
            ColumnUnit::Gram => Unit::One.read(&shifted(text, -3)?),
            ColumnUnit::Inch => Unit::One.read(text).map(|inches| inches * 0.0254),
            ColumnUnit::Radian | ColumnUnit::Metre | ColumnUnit::Kilogram | ColumnUnit::One => {
                Unit::One.read(text)
            }
        }
    }
}

/// A decimal text times a power of ten.
fn shifted(text: &str, power: i64) -> Option<String> {
    let (digits, exponent) = match text.split_once(['e', 'E']) {
        None => (text, 0),
        Some((digits, exponent)) => {
            let unsigned = exponent.strip_prefix(['+', '-']).unwrap_or(exponent);
            if unsigned.is_empty() || !unsigned.bytes().all(|byte| byte.is_ascii_digit()) {
                return None;
            }
            let size = unsigned.parse().unwrap_or(i64::MAX / 4);
            let size = size.min(i64::MAX / 4);
            (
                digits,
                if exponent.starts_with('-') {
                    -size
                } else {
                    size
                },
            )
        }
    };
    Some(format!("{digits}e{}", exponent + power))
}

/// Why a value is no number.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum NumberFault {
    /// Nothing was measured.
    Missing,
    /// Not finite.
    Infinite,
    /// Digits in groups.
    Grouped,
    /// A decimal comma where values are separated by commas.
    CommaBetweenCommas,
    /// The other decimal mark than the rest of the file.
    OtherMark,
    /// A number with its unit behind it.
    WithUnit,
    /// Anything else.
    NotNumber,
}

/// Whether a value says that there is none: empty, `NaN`, `-`, `n/a` and their like.
pub(super) fn is_missing(text: &str) -> bool {
    matches!(text, "" | "-" | "--" | "\u{2212}" | "\u{2013}" | "\u{2014}")
        || ["nan", "n/a", "na", "null", "none"]
            .iter()
            .any(|word| text.eq_ignore_ascii_case(word))
        || is_no_value(text)
}

/// The decimal mark a value shows: `None` where it shows none or makes no sense.
pub(super) fn mark_of(text: &str) -> Option<Mark> {
    let plain = text
        .chars()
        .all(|c| c.is_ascii_digit() || matches!(c, '+' | '-' | '\u{2212}' | '.' | ',' | 'e' | 'E'));
    match (plain, text.matches('.').count(), text.matches(',').count()) {
        (true, 1, 0) => Some(Mark::Point),
        (true, 0, 1) => Some(Mark::Comma),
        _ => None,
    }
}

/// Reads a trimmed value; `mark` is the file's decimal mark, `separator` what stands
/// between values.
pub(super) fn read(
    text: &str,
    unit: ColumnUnit,
    mark: Mark,
    separator: char,
) -> Result<f64, NumberFault> {
    if is_missing(text) {
        return Err(NumberFault::Missing);
    }
    let unsigned = text.trim_start_matches(['+', '-', '\u{2212}']);
    if ["inf", "infinity", "∞"].contains(&unsigned.to_lowercase().as_str()) {
        return Err(NumberFault::Infinite);
    }
    if is_grouped(text) {
        return Err(NumberFault::Grouped);
    }
    match mark_of(text) {
        Some(Mark::Comma) if separator == ',' => return Err(NumberFault::CommaBetweenCommas),
        Some(found) if found != mark => return Err(NumberFault::OtherMark),
        _ => {}
    }
    let plain = text.replace('\u{2212}', "-").replace(',', ".");
    match unit.read(&plain) {
        Some(value) if value.is_finite() => Ok(value),
        Some(_) => Err(NumberFault::Infinite),
        None if begins_with_number(text) => Err(NumberFault::WithUnit),
        None => Err(NumberFault::NotNumber),
    }
}

/// Whether digits stand in groups: blanks or apostrophes between digits, or several marks.
fn is_grouped(text: &str) -> bool {
    let characters: Vec<char> = text.chars().take(64).collect();
    let digits_about = characters.windows(3).any(|three| {
        three[0].is_ascii_digit()
            && (three[1].is_whitespace() || matches!(three[1], '\'' | '\u{2019}' | '_'))
            && three[2].is_ascii_digit()
    });
    let numeric = |c: char| c.is_ascii_digit() || matches!(c, '+' | '-' | '\u{2212}' | '.' | ',');
    let marks = text.matches(['.', ',']).count();
    digits_about || (marks > 1 && text.contains(',') && text.chars().all(numeric))
}

/// Whether a number stands before something else, such as `12.5 mm`.
fn begins_with_number(text: &str) -> bool {
    let number = text
        .trim_end_matches(|c: char| c.is_alphabetic() || matches!(c, '°' | '%' | '"' | '\''))
        .trim_end()
        .replace('\u{2212}', "-")
        .replace(',', ".");
    number.len() < text.len() && number.parse::<f64>().is_ok_and(f64::is_finite)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn point(text: &str, unit: ColumnUnit) -> Result<f64, NumberFault> {
        read(text, unit, Mark::Point, ';')
    }

    #[test]
    fn units_are_exact() {
        // Lengths and masses are decimal shifts; the degree is the nearest number to π/180.
        for (text, unit, value) in [
            ("90", ColumnUnit::Degree, std::f64::consts::FRAC_PI_2),
            ("1.5", ColumnUnit::Radian, 1.5),
            ("123.456", ColumnUnit::Millimetre, 0.123456),
            ("123456", ColumnUnit::Micrometre, 0.123456),
            ("123.456e3", ColumnUnit::Micrometre, 0.123456),
            ("12.3456", ColumnUnit::Centimetre, 0.123456),
            ("0.123456", ColumnUnit::Metre, 0.123456),
            ("10", ColumnUnit::Inch, 0.254),
            ("2500", ColumnUnit::Gram, 2.5),
            ("\u{2212}.5", ColumnUnit::One, -0.5),
            ("+5.", ColumnUnit::One, 5.0),
        ] {
            assert_eq!(point(text, unit), Ok(value), "{text}");
        }
    }

    #[test]
    fn what_is_no_number_is_told_apart() {
        for (text, fault) in [
            ("", NumberFault::Missing),
            ("NaN", NumberFault::Missing),
            ("-", NumberFault::Missing),
            ("N/A", NumberFault::Missing),
            ("#DIV/0!", NumberFault::Missing),
            ("inf", NumberFault::Infinite),
            ("-Infinity", NumberFault::Infinite),
            ("1e999", NumberFault::Infinite),
            ("1e99999999999999999999", NumberFault::Infinite),
            ("1 234.5", NumberFault::Grouped),
            ("1\u{202f}234", NumberFault::Grouped),
            ("1'234", NumberFault::Grouped),
            ("1,234.5", NumberFault::Grouped),
            ("1.234,5", NumberFault::Grouped),
            ("1,234,567", NumberFault::Grouped),
            ("12,5", NumberFault::OtherMark),
            ("12.5 mm", NumberFault::WithUnit),
            ("30°", NumberFault::WithUnit),
            ("1.2.3", NumberFault::NotNumber),
            ("abc", NumberFault::NotNumber),
            ("- 5", NumberFault::NotNumber),
            ("0x10", NumberFault::NotNumber),
            ("1e", NumberFault::WithUnit),
        ] {
            assert_eq!(point(text, ColumnUnit::Micrometre), Err(fault), "{text}");
            assert_eq!(point(text, ColumnUnit::Degree), Err(fault), "{text}");
        }
        let comma = |text, separator| read(text, ColumnUnit::One, Mark::Comma, separator);
        assert_eq!(comma("12,5", '\t'), Ok(12.5));
        assert_eq!(comma("12.5", ';'), Err(NumberFault::OtherMark));
        assert_eq!(comma("12,5", ','), Err(NumberFault::CommaBetweenCommas));
    }

    proptest! {
        #[test]
        fn decimal_units_round_as_the_standard_library(
            value in -1e6f64..1e6, digits in 0usize..12, exponent in -9i64..9,
        ) {
            let text = format!("{value:.digits$}e{exponent}");
            for (unit, power) in [
                (ColumnUnit::Metre, 0),
                (ColumnUnit::Centimetre, -2),
                (ColumnUnit::Millimetre, -3),
                (ColumnUnit::Gram, -3),
                (ColumnUnit::Micrometre, -6),
            ] {
                let wanted: f64 = format!("{value:.digits$}e{}", exponent + power).parse().unwrap();
                prop_assert_eq!(point(&text, unit), Ok(wanted));
            }
        }

        #[test]
        fn anything_is_a_number_or_a_fault(text in "\\PC{0,20}") {
            let text = text.trim();
            for unit in ColumnUnit::NAMED {
                for mark in [Mark::Point, Mark::Comma] {
                    for separator in [',', ';', '\t'] {
                        if let Ok(value) = read(text, unit, mark, separator) {
                            prop_assert!(value.is_finite());
                        }
                    }
                }
            }
        }
    }
}
