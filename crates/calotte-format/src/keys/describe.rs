//! What a key allows, in words.

use super::{Count, Key, Kind, Quantity};
use crate::units::Unit;

impl Quantity {
    /// `0° to 180°`, for messages.
    pub fn span(&self) -> String {
        format!(
            "{} to {}",
            bound(self.unit, self.low),
            bound(self.unit, self.high)
        )
    }

    /// `above 0° and below 180°`.
    pub fn bounds(&self) -> String {
        let low = bound(self.unit, self.low);
        let high = bound(self.unit, self.high);
        let mut text = match (self.low_allowed, self.high_allowed) {
            (true, true) => format!("from {low} to {high}"),
            (false, false) => format!("above {low} and below {high}"),
            (true, false) => format!("from {low} to below {high}"),
            (false, true) => format!("above {low}, up to {high}"),
        };
        if self.not_zero {
            text.push_str(", not 0");
        }
        text
    }
}

/// A bound with its unit, as people write it.
fn bound(unit: Unit, number: f64) -> String {
    unit.with(&Unit::One.write(number))
}

impl Count {
    /// `2 numbers`, `1 to 20 numbers`, `at least 1 number`.
    fn of(&self, what: &str) -> String {
        let plural = |count: usize| if count == 1 { "" } else { "s" };
        match (self.least, self.most) {
            (least, most) if least == most => format!("{most} {what}{}", plural(most)),
            (least, most) => format!("{least} to {most} {what}{}", plural(most)),
        }
    }
}

impl Key {
    /// What the key allows, in one phrase.
    pub fn allowed(&self) -> String {
        self.kind.allowed()
    }

    /// What to try when the value is refused.
    pub fn hint(&self) -> String {
        if !self.advice.is_empty() {
            self.advice.to_string()
        } else {
            format!("`{}`: {}", self.name, self.meaning)
        }
    }
}

impl Kind {
    /// What the kind allows, in one phrase.
    pub fn allowed(&self) -> String {
        match self {
            Kind::Number(quantity) => format!("a number {}", quantity.bounds()),
            Kind::Band(quantity) => format!(
                "a number {}, or a band {{ value, from, to }} of such numbers",
                quantity.bounds()
            ),
            Kind::Range { quantity, .. } => format!(
                "a number {}, or a range {{ from, to, step }} of such numbers",
                quantity.bounds()
            ),
            Kind::Sizes { quantity, .. } => format!(
                "a number {}, a list of such numbers, or a range {{ from, to, step }}",
                quantity.bounds()
            ),
            Kind::Numbers { quantity, count } => {
                format!(
                    "a list of {}, each {}",
                    count.of("number"),
                    quantity.bounds()
                )
            }
            Kind::Limits(quantity) => format!(
                "[lower, upper], each {}, the lower below the upper",
                quantity.bounds()
            ),
            Kind::Pairs {
                first,
                second,
                count,
                names,
            } => format!(
                "a list of {} [{}, {}], {} {} and {} {}",
                count.of("pair"),
                names[0],
                names[1],
                names[0],
                first.bounds(),
                names[1],
                second.bounds()
            ),
            Kind::Wholes {
                low,
                high,
                count,
                not_zero,
                distinct,
            } => format!(
                "a list of {} from {low} to {high}{}{}",
                count.of("whole number"),
                if *not_zero { ", not 0" } else { "" },
                if *distinct { ", none twice" } else { "" }
            ),
            Kind::Vector(quantity) => {
                format!("[x, y, z], each a number {}", quantity.bounds())
            }
            Kind::Direction => "[x, y, z], not all zero".to_string(),
            Kind::Word(vocabulary) => quoted(&vocabulary.names()),
            Kind::Words { vocabulary, least } => format!(
                "a list of {}words, none twice: {}",
                if *least > 0 { "one or more " } else { "" },
                quoted(&vocabulary.names())
            ),
            Kind::Text => "a text in quotes".to_string(),
            Kind::Texts(count) => {
                format!("a list of {} in quotes, none twice", count.of(count.item))
            }
            Kind::Flag => "true or false".to_string(),
            Kind::Table(_) => "a table".to_string(),
            Kind::Tables(_) => "tables under a header in double brackets".to_string(),
            Kind::NotYet => "nothing yet".to_string(),
        }
    }
}

/// `"a", "b"`.
pub(crate) fn quoted(words: &[String]) -> String {
    let words: Vec<String> = words.iter().map(|word| format!("\"{word}\"")).collect();
    words.join(", ")
}

#[cfg(test)]
mod tests {
    use super::super::{Table, brief::BRIEF, design::DESIGN};
    use super::*;

    fn visit(table: &Table, at: &str, see: &mut impl FnMut(&str, &Key)) {
        for key in table.keys {
            let at = format!("{at}.{}", key.name);
            see(&at, key);
            if let Kind::Table(inner) | Kind::Tables(inner) = key.kind {
                visit(inner, &at, see);
            }
        }
    }

    /// Every range that a message can name has two ends that people can read.
    #[test]
    fn no_key_allows_up_to_infinity() {
        let mut ranges = 0;
        let mut see = |at: &str, key: &Key| {
            let quantities: Vec<Quantity> = match key.kind {
                Kind::Number(q) | Kind::Band(q) | Kind::Limits(q) | Kind::Vector(q) => vec![q],
                Kind::Range { quantity, .. }
                | Kind::Sizes { quantity, .. }
                | Kind::Numbers { quantity, .. } => vec![quantity],
                Kind::Pairs { first, second, .. } => vec![first, second],
                _ => Vec::new(),
            };
            for quantity in quantities {
                ranges += 1;
                assert!(quantity.low < quantity.high, "{at}");
                assert!(
                    quantity.low.is_finite() && quantity.high.is_finite(),
                    "{at}"
                );
                for said in [quantity.span(), quantity.bounds()] {
                    let digits = said.chars().filter(char::is_ascii_digit).count();
                    assert!((2..=24).contains(&digits), "{at}: {said}");
                }
            }
            for said in [key.allowed(), key.hint()] {
                let said = said.to_lowercase();
                assert!(
                    !said.contains("inf") || said.contains("information"),
                    "{at}: {said}"
                );
            }
        };
        visit(&BRIEF, "brief", &mut see);
        visit(&DESIGN, "design", &mut see);
        assert!(ranges > 60, "{ranges}");
    }
}
