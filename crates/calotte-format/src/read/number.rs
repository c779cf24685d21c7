//! Numbers as a file writes them.

use toml::de::DeValue;

use super::check::{At, Checker};
use crate::keys::Quantity;
use std::ops::Range as Span;
use toml::Spanned;

/// A number of a file: as written, and its value in the file's unit.
#[derive(Debug, Clone)]
pub(super) struct Written {
    /// Decimal text.
    pub(super) text: String,
    /// Value in the file's unit.
    pub(super) value: f64,
}

/// The number a value is; `None` if it is none at all.
pub(super) fn written(value: &DeValue<'_>) -> Option<Written> {
    let text = match value {
        DeValue::Float(float) => float.as_str().replace('_', ""),
        DeValue::Integer(integer) => {
            let digits = integer.as_str().replace('_', "");
            if integer.radix() == 10 {
                digits
            } else {
                let number = u128::from_str_radix(&digits, integer.radix());
                number.map_or_else(|_| "1e999".to_string(), |number| number.to_string())
            }
        }
        _ => return None,
    };
    let value = text.parse().unwrap_or(f64::NAN);
    Some(Written { text, value })
}

/// What a value is, in words.
pub(super) fn found(value: &DeValue<'_>) -> &'static str {
    match value {
        DeValue::String(_) => "a text",
        DeValue::Integer(_) => "a whole number",
        DeValue::Float(_) => "a number",
        DeValue::Boolean(_) => "true or false",
        DeValue::Datetime(_) => "a date or time",
        DeValue::Array(_) => "a list",
        DeValue::Table(_) => "a table",
    }
}

/// What a number is called in a message: `stage 2: proximal arc`.
#[derive(Debug, Clone)]
pub(super) struct Name {
    /// Before the number, such as `stage 2: ` or nothing.
    pub(super) before: String,
    /// The quantity, such as `proximal arc`; may be empty.
    pub(super) quantity: String,
}

impl Name {
    /// The key's own name.
    pub(super) fn of(at: &At) -> Self {
        Self {
            before: String::new(),
            quantity: at.key.label(),
        }
    }

    /// A part of an inline table, such as `from`.
    pub(super) fn part(at: &At, part: &str) -> Self {
        Self {
            before: format!("{}: ", at.key.label()),
            quantity: part.to_string(),
        }
    }

    /// An entry of a list, counted from 0.
    pub(super) fn entry(at: &At, item: &str, index: usize) -> Self {
        let label = at.key.label();
        let one = label.strip_suffix('s').unwrap_or(&label).to_string();
        Self {
            before: format!("{item} {}: ", index + 1),
            quantity: if one == item { String::new() } else { one },
        }
    }

    /// The name, then what is said of it.
    pub(super) fn says(&self, what: &str) -> String {
        if self.quantity.is_empty() {
            format!("{}{what}", self.before)
        } else {
            format!("{}{} {what}", self.before, self.quantity)
        }
    }
}

impl Checker<'_> {
    /// A number that a quantity allows, SI.
    pub(super) fn number(
        &mut self,
        at: &At,
        node: &Spanned<DeValue<'_>>,
        quantity: &Quantity,
        name: &Name,
    ) -> Option<f64> {
        let number = self.finite(at, node, name)?;
        let shown = quantity.unit.with(&number.text);
        if !quantity.allows(number.value) {
            let at_bound = [quantity.low, quantity.high, 0.0].contains(&number.value);
            let what = if at_bound {
                format!("{shown} is not allowed")
            } else {
                format!("{shown} is outside {}", quantity.span())
            };
            self.refuse(at, node.span(), name.says(&what));
            return None;
        }
        let si = quantity.unit.read(&number.text).unwrap_or(f64::NAN);
        if !si.is_finite() {
            self.refuse(
                at,
                node.span(),
                name.says(&format!("{shown} is not a number")),
            );
            return None;
        }
        Some(si)
    }

    /// A number that can be computed with, in the file's unit.
    pub(super) fn finite(
        &mut self,
        at: &At,
        node: &Spanned<DeValue<'_>>,
        name: &Name,
    ) -> Option<Written> {
        let Some(number) = written(node.get_ref()) else {
            let says = if name.before.is_empty() {
                format!("`{}` is", at.key.name)
            } else {
                name.says("is")
            };
            self.wrong_type(at, node, node.span(), &says, "a number");
            return None;
        };
        if number.value.is_finite() {
            return Some(number);
        }
        let special = number.text.contains("nan") || number.text.contains("inf");
        let what = if special {
            format!("{} is not a number to compute with", number.text)
        } else {
            format!("{} is too large a number", number.text)
        };
        self.refuse(at, node.span(), name.says(&what));
        None
    }

    /// Records that a value is of the wrong type.
    pub(super) fn wrong_type(
        &mut self,
        at: &At,
        node: &Spanned<DeValue<'_>>,
        span: Span<usize>,
        says: &str,
        wanted: &str,
    ) {
        let text = node.get_ref().as_str().map(str::trim);
        let first = text.and_then(|text| text.split_whitespace().next());
        let number = first.filter(|word| word.parse::<f64>().is_ok_and(f64::is_finite));
        let flag = text.filter(|text| ["true", "false"].contains(text));
        let message = format!("{says} {}, not {wanted}", found(node.get_ref()));
        let hint = match (wanted, number, flag) {
            ("a number", Some(number), _) => {
                format!("write {number} without quotes; the unit is in the key")
            }
            ("true or false", _, Some(flag)) => {
                format!("write {} = {flag} without quotes", at.key.name)
            }
            _ => format!("write {} = {}", at.key.name, at.key.example),
        };
        let problem = self.refuse(at, span, message);
        problem.hint = hint;
    }
}
