//! Values by the kind of their key.

use std::ops::Range as Span;

use toml::Spanned;
use toml::de::{DeArray, DeValue};

use super::check::{At, Checker};
use super::fields::Value;
use super::number::Name;
use crate::keys::{Count, Kind, Quantity};
use crate::words::steers;

/// A value with the spans of its entries, if it is a list.
pub(super) type Checked = (Value, Vec<Span<usize>>);

impl Checker<'_> {
    /// The value of a key, if it is what the key's kind allows.
    pub(super) fn value(&mut self, at: &At, node: &Spanned<DeValue<'_>>) -> Option<Checked> {
        let single = |value: Value| Some((value, Vec::new()));
        match &at.key.kind {
            Kind::Number(quantity) => single(Value::Number(self.number(
                at,
                node,
                quantity,
                &Name::of(at),
            )?)),
            Kind::Band(quantity) => single(Value::Band(self.band(at, node, quantity)?)),
            Kind::Range { quantity, step } => {
                single(Value::Range(self.range(at, node, quantity, *step)?))
            }
            Kind::Sizes { quantity, step } => self.sizes(at, node, quantity, *step),
            Kind::Numbers { quantity, count } => self.numbers(at, node, quantity, count),
            Kind::Limits(quantity) => self.limits(at, node, quantity),
            Kind::Pairs { .. } => self.pairs(at, node),
            Kind::Wholes { .. } => self.wholes(at, node),
            Kind::Vector(quantity) => self.vector(at, node, quantity),
            Kind::Direction => self.direction(at, node),
            Kind::Word(vocabulary) => single(Value::Text(self.word(at, node, vocabulary, None)?)),
            Kind::Words { vocabulary, least } => self.words(at, node, vocabulary, *least),
            Kind::Text => match node.get_ref().as_str() {
                Some(text) => single(Value::Text(self.text(at, node, text)?)),
                None => self.not_a(at, node, "a text in quotes"),
            },
            Kind::Texts(count) => self.texts(at, node, count),
            Kind::Flag => match node.get_ref().as_bool() {
                Some(flag) => single(Value::Flag(flag)),
                None => self.not_a(at, node, "true or false"),
            },
            Kind::Table(spec) => self.inner_table(at, node, spec),
            Kind::Tables(spec) => self.inner_tables(at, node, spec),
            Kind::NotYet => None,
        }
    }

    /// A text as it is printed: on one line, without characters that steer what shows it.
    fn text(&mut self, at: &At, node: &Spanned<DeValue<'_>>, text: &str) -> Option<String> {
        let Some(steering) = text.chars().find(|character| steers(*character)) else {
            return Some(text.to_string());
        };
        let message = format!(
            "`{}` holds the character U+{:04X}, which is not shown but steers a terminal or a page",
            at.key.name,
            u32::from(steering),
        );
        let problem = self.refuse(at, node.span(), message);
        problem.allowed = "a text in quotes on one line, of characters that are shown".to_string();
        problem.hint = "type the text again without that character".to_string();
        None
    }

    /// Records that a value is of the wrong type altogether.
    pub(super) fn not_a(
        &mut self,
        at: &At,
        node: &Spanned<DeValue<'_>>,
        wanted: &str,
    ) -> Option<Checked> {
        let says = format!("`{}` is", at.key.name);
        self.wrong_type(at, node, node.span(), &says, wanted);
        None
    }

    /// A list with as many entries as allowed.
    pub(super) fn list<'n, 'v>(
        &mut self,
        at: &At,
        node: &'n Spanned<DeValue<'v>>,
        count: &Count,
    ) -> Option<&'n DeArray<'v>> {
        let Some(list) = node.get_ref().as_array() else {
            self.not_a(at, node, "a list");
            return None;
        };
        if list.len() < count.least || list.len() > count.most {
            let message = match list.len() {
                0 => format!("`{}` is empty", at.key.name),
                1 => format!("`{}` has 1 entry", at.key.name),
                length => format!("`{}` has {length} entries", at.key.name),
            };
            self.refuse(at, node.span(), message);
            return None;
        }
        Some(list)
    }

    /// A number, a list, or `{ from, to, step }`: the values themselves.
    fn sizes(
        &mut self,
        at: &At,
        node: &Spanned<DeValue<'_>>,
        quantity: &Quantity,
        step: f64,
    ) -> Option<Checked> {
        if node.get_ref().is_array() {
            let count = Count {
                least: 1,
                most: 1000,
                item: "entry",
            };
            return self.numbers(at, node, quantity, &count);
        }
        let values = match node.get_ref() {
            // A single number stands for itself, whatever the usual step.
            DeValue::Table(_) => {
                let range = self.range(at, node, quantity, step)?;
                let unit = quantity.unit;
                range
                    .values()
                    .into_iter()
                    .map(|si| unit.tidied(si))
                    .collect()
            }
            _ => vec![self.number(at, node, quantity, &Name::of(at))?],
        };
        Some((Value::Numbers(values), Vec::new()))
    }

    fn numbers(
        &mut self,
        at: &At,
        node: &Spanned<DeValue<'_>>,
        quantity: &Quantity,
        count: &Count,
    ) -> Option<Checked> {
        let list = self.list(at, node, count)?;
        let numbers: Vec<Option<f64>> = list
            .iter()
            .enumerate()
            .map(|(index, entry)| {
                self.number(at, entry, quantity, &Name::entry(at, count.item, index))
            })
            .collect();
        let numbers = numbers.into_iter().collect::<Option<Vec<f64>>>()?;
        Some((Value::Numbers(numbers), spans(list)))
    }

    fn limits(
        &mut self,
        at: &At,
        node: &Spanned<DeValue<'_>>,
        quantity: &Quantity,
    ) -> Option<Checked> {
        let count = Count {
            least: 2,
            most: 2,
            item: "limit",
        };
        let (value, items) = self.numbers(at, node, quantity, &count)?;
        let Value::Numbers(numbers) = &value else {
            return None;
        };
        if numbers[0] >= numbers[1] {
            let [lower, upper] = [numbers[0], numbers[1]].map(|si| quantity.unit.write(si));
            let message = format!(
                "{}: lower limit {} is not below upper limit {}",
                at.key.label(),
                quantity.unit.with(&lower),
                quantity.unit.with(&upper)
            );
            self.refuse(at, node.span(), message);
            return None;
        }
        Some((value, items))
    }

    fn pairs(&mut self, at: &At, node: &Spanned<DeValue<'_>>) -> Option<Checked> {
        let Kind::Pairs {
            first,
            second,
            count,
            names,
        } = &at.key.kind
        else {
            return None;
        };
        let list = self.list(at, node, count)?;
        let mut pairs = Vec::new();
        for (index, entry) in list.iter().enumerate() {
            let pair = entry.get_ref().as_array().filter(|pair| pair.len() == 2);
            let Some(pair) = pair else {
                let message = format!(
                    "{} {}: a pair [{}, {}] is wanted",
                    count.item,
                    index + 1,
                    names[0],
                    names[1]
                );
                self.refuse(at, entry.span(), message);
                continue;
            };
            let name = |part: &str| Name {
                before: format!("{} {}: ", count.item, index + 1),
                quantity: part.to_string(),
            };
            let a = self.number(at, &pair[0], first, &name(names[0]));
            let b = self.number(at, &pair[1], second, &name(names[1]));
            pairs.extend(a.zip(b).map(|(a, b)| [a, b]));
        }
        (pairs.len() == list.len()).then(|| (Value::Pairs(pairs), spans(list)))
    }

    fn wholes(&mut self, at: &At, node: &Spanned<DeValue<'_>>) -> Option<Checked> {
        let Kind::Wholes {
            low,
            high,
            count,
            not_zero,
            distinct,
        } = at.key.kind
        else {
            return None;
        };
        let list = self.list(at, node, &count)?;
        let mut wholes: Vec<i64> = Vec::new();
        for (index, entry) in list.iter().enumerate() {
            let name = Name::entry(at, count.item, index);
            let Some(number) = self.finite(at, entry, &name) else {
                continue;
            };
            let shown = self.source.shown(&entry.span());
            if number.value.fract() != 0.0 {
                self.refuse(
                    at,
                    entry.span(),
                    name.says(&format!("{shown} is not a whole number")),
                );
            } else if number.value < low as f64
                || number.value > high as f64
                || (not_zero && number.value == 0.0)
            {
                self.refuse(
                    at,
                    entry.span(),
                    name.says(&format!("{shown} is not allowed")),
                );
            } else if distinct && wholes.contains(&(number.value as i64)) {
                self.refuse(
                    at,
                    entry.span(),
                    name.says(&format!("{shown} is given twice")),
                );
            } else {
                wholes.push(number.value as i64);
            }
        }
        (wholes.len() == list.len()).then(|| (Value::Wholes(wholes), spans(list)))
    }

    fn vector(
        &mut self,
        at: &At,
        node: &Spanned<DeValue<'_>>,
        quantity: &Quantity,
    ) -> Option<Checked> {
        let count = Count {
            least: 3,
            most: 3,
            item: "component",
        };
        self.numbers(at, node, quantity, &count)
    }

    fn direction(&mut self, at: &At, node: &Spanned<DeValue<'_>>) -> Option<Checked> {
        const COMPONENT: Quantity = Quantity::from_to(crate::units::Unit::One, -1e6, 1e6);
        let (value, items) = self.vector(at, node, &COMPONENT)?;
        if let Value::Numbers(numbers) = &value
            && numbers.iter().all(|component| component.abs() < 1e-6)
        {
            let message = format!("{}: the vector has no direction", at.key.label());
            self.refuse(at, node.span(), message);
            return None;
        }
        Some((value, items))
    }
}

/// The places of a list's entries.
pub(super) fn spans(list: &DeArray<'_>) -> Vec<Span<usize>> {
    list.iter().map(Spanned::span).collect()
}
