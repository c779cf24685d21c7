//! Bands of uncertainty and ranges to search.

use calotte::Uncertain;
use calotte::brief::Range;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::check::{At, Checker};
use super::number::{Name, Written};
use super::suggest::nearest;
use crate::keys::Quantity;

/// Most steps of a range.
const RANGE_VALUES_MAX: f64 = 10_000.0;

impl Checker<'_> {
    /// The parts of an inline table of given names, all of them wanted but
    /// those after the first `required`.
    fn parts<'n, 'v>(
        &mut self,
        at: &At,
        table: &'n DeTable<'v>,
        names: [&'static str; 3],
        required: usize,
    ) -> Option<[Option<&'n Spanned<DeValue<'v>>>; 3]> {
        let mut sound = true;
        for name in table.keys() {
            if !names.contains(&name.get_ref().as_ref()) {
                let candidates = names.map(str::to_string);
                let close = nearest(name.get_ref(), &candidates);
                let message = format!(
                    "unknown key `{}` in `{}`",
                    self.source.shown(&name.span()),
                    at.key.name
                );
                let problem = self.refuse(at, name.span(), message);
                if let Some(close) = close {
                    problem.hint = format!("write `{close}`");
                }
                sound = false;
            }
        }
        let parts = names.map(|name| table.get(name));
        for (name, part) in names.iter().zip(parts).take(required) {
            if sound && part.is_none() {
                let message = format!("`{name}` is missing in `{}`", at.key.name);
                self.refuse(at, at.span.clone(), message);
                return None;
            }
        }
        sound.then_some(parts)
    }

    /// A number, or `{ value, from, to }`.
    pub(super) fn band(
        &mut self,
        at: &At,
        node: &Spanned<DeValue<'_>>,
        quantity: &Quantity,
    ) -> Option<Uncertain> {
        let Some(table) = node.get_ref().as_table() else {
            return self
                .number(at, node, quantity, &Name::of(at))
                .map(Uncertain::exact);
        };
        let [value, from, to] = self.parts(at, table, ["value", "from", "to"], 3)?;
        let [value, from, to] = [(value?, "value"), (from?, "from"), (to?, "to")]
            .map(|(part, name)| self.number(at, part, quantity, &Name::part(at, name)));
        let (value, from, to) = (value?, from?, to?);
        if from <= value && value <= to {
            return Some(Uncertain::band(value, from, to));
        }
        let shown = |si: f64| quantity.unit.write(si);
        let message = if from > to {
            format!(
                "{}: the band is upside down, from {} is above to {}",
                at.key.label(),
                shown(from),
                shown(to)
            )
        } else {
            format!(
                "{}: value {} lies outside its band {} to {}",
                at.key.label(),
                shown(value),
                shown(from),
                shown(to)
            )
        };
        let problem = self.refuse(at, node.span(), message);
        problem.hint =
            "from is the low end, to the high end, value between them or at an end".to_string();
        None
    }

    /// A number, or `{ from, to, step }`.
    pub(super) fn range(
        &mut self,
        at: &At,
        node: &Spanned<DeValue<'_>>,
        quantity: &Quantity,
        step: f64,
    ) -> Option<Range> {
        let Some(table) = node.get_ref().as_table() else {
            return self
                .number(at, node, quantity, &Name::of(at))
                .map(Range::single);
        };
        let [from, to, given_step] = self.parts(at, table, ["from", "to", "step"], 2)?;
        let [from, to] = [(from?, "from"), (to?, "to")]
            .map(|(part, name)| self.number(at, part, quantity, &Name::part(at, name)));
        let step = match given_step {
            None => Some(quantity.unit.to_si(step)),
            Some(node) => self.step(at, node, quantity),
        };
        let (from, to, step) = (from?, to?, step?);
        if from > to {
            let message = format!(
                "{}: the range is upside down, from {} is above to {}",
                at.key.label(),
                quantity.unit.write(from),
                quantity.unit.write(to)
            );
            self.refuse(at, node.span(), message).hint =
                "from is the lower end, to the upper".to_string();
            return None;
        }
        let count = (to - from) / step;
        if count > RANGE_VALUES_MAX {
            let message = format!("{}: the range has {count:.0} steps", at.key.label());
            let problem = self.refuse(at, node.span(), message);
            problem.allowed = format!("at most {RANGE_VALUES_MAX} steps");
            problem.hint = "take a larger step".to_string();
            return None;
        }
        Some(Range { from, to, step })
    }

    /// The step of a range, SI.
    fn step(&mut self, at: &At, node: &Spanned<DeValue<'_>>, quantity: &Quantity) -> Option<f64> {
        let name = Name::part(at, "step");
        let Written { text, value } = self.finite(at, node, &name)?;
        let si = quantity.unit.read(&text).unwrap_or(0.0);
        if value > 0.0 && si > 0.0 && si.is_finite() {
            return Some(si);
        }
        let message = name.says(&format!("{} is not above 0", quantity.unit.with(&text)));
        let problem = self.refuse(at, node.span(), message);
        problem.allowed = "a step above 0".to_string();
        problem.hint = "leave `step` out for the usual one".to_string();
        None
    }
}
