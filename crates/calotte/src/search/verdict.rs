//! What judging a candidate found: how far it came, which limits it misses, its values.

use std::cmp::Ordering;

use crate::brief::Objective;
use crate::quantity::{Missing, Quantity, Standing, Values};

/// How far the judging of a candidate came; the farther the better.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default)]
pub enum Depth {
    /// It cannot be built.
    #[default]
    NotBuilt,
    /// No configuration has the margins.
    NoRange,
    /// What it reaches is known; what it carries is not, as reach fails already or the
    /// structure has no answer.
    Reach,
    /// Every limit is judged.
    Whole,
}

/// By what a candidate was judged, the stricter the later.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default)]
pub enum JudgedBy {
    /// By nominal values over the rings of the search.
    #[default]
    Nominal,
    /// There all limits hold; then by a corner of the stated uncertainty, over the same rings.
    Corner,
    /// There all limits hold; then by the analysis that the chosen design has too: at the worst
    /// end of the stated uncertainty, or at nominal values where that is asked.
    Analysis,
}

/// The verdict on a candidate.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Verdict {
    /// How far the judging came.
    pub depth: Depth,
    /// Why it came no farther, or where in the stated uncertainty limits are missed, in words;
    /// `None` where the limits missed say it.
    pub reason: Option<String>,
    /// Limits that are not met, in the order they were judged.
    pub missed: Vec<(Quantity, Standing)>,
    /// Polar angles of the working range, rad; `None` without one.
    pub polar: Option<[f64; 2]>,
    /// What was computed, at nominal values over the search's rings.
    pub values: Values,
    /// By what it was judged.
    pub judged_by: JudgedBy,
    /// Values of the limits missed where they are not those of `values`, SI.
    pub missed_at: Vec<(Quantity, f64)>,
}

impl Verdict {
    /// A verdict that goes no farther than this, for a reason.
    pub fn stopped(depth: Depth, reason: impl Into<String>) -> Self {
        Self {
            depth,
            reason: Some(reason.into()),
            ..Self::default()
        }
    }

    /// Whether every limit is met.
    pub fn feasible(&self) -> bool {
        self.depth == Depth::Whole && self.missed.is_empty()
    }

    /// The value of an objective, greater is better, to ten digits; `None` without it.
    ///
    /// What lies below is rounding: one set of angles has one GCI, whose last bits come from where
    /// a range was divided, and no design is better than another by them.
    pub fn objective(&self, objective: &Objective) -> Option<f64> {
        let value = to_ten_digits(self.values.get(objective.quantity)?);
        Some(if objective.maximise { value } else { -value })
    }

    /// Whether directions were judged, so that values of them are known.
    pub fn is_whole(&self) -> bool {
        self.depth == Depth::Whole
    }

    /// Judges a limit and keeps it where it is not met.
    pub fn judge(&mut self, quantity: Quantity, limit: Option<f64>, value: Result<f64, &Missing>) {
        let Some(limit) = limit else { return };
        let standing = Standing::of(quantity, limit, value);
        if standing != Standing::Met {
            self.missed.push((quantity, standing));
        }
    }

    /// Judges a limit by another value than that of the search's rings.
    pub(super) fn judge_elsewhere(
        &mut self,
        quantity: Quantity,
        limit: Option<f64>,
        value: Result<f64, &Missing>,
    ) {
        let before = self.missed.len();
        self.judge(quantity, limit, value);
        if let (true, Ok(value)) = (self.missed.len() > before, value) {
            self.missed_at.push((quantity, value));
        }
    }

    /// The value by which a limit is missed; `None` where it is not known.
    pub fn missed_value(&self, quantity: Quantity) -> Option<f64> {
        let mut elsewhere = self.missed_at.iter();
        let found = elsewhere.find(|(other, _)| *other == quantity);
        found
            .map(|(_, value)| *value)
            .or_else(|| self.values.get(quantity))
    }

    /// Whether limits hold at nominal values over the rings of the search.
    fn holds_at_nominal(&self) -> bool {
        self.missed.is_empty() || self.judged_by > JudgedBy::Nominal
    }

    /// Sum of the shares by which limits are missed, as far as it is known.
    pub fn missed_by(&self) -> f64 {
        let shares = self.missed.iter().map(|(_, standing)| standing);
        shares
            .filter_map(Standing::missed_by)
            .fold(0.0, |a, b| a + b)
    }

    /// The nearer to meeting every limit comes first: what was judged wholly, then what
    /// was not, what reaches nothing, what cannot be built; among those what holds at nominal
    /// values; then the least sum of what is missed.
    pub fn nearer(&self, other: &Self) -> Ordering {
        other
            .known()
            .cmp(&self.known())
            .then(other.holds_at_nominal().cmp(&self.holds_at_nominal()))
            .then(self.missed_by().total_cmp(&other.missed_by()))
    }

    /// How far the limits are known: one nobody can judge leaves the whole open.
    fn known(&self) -> Depth {
        let open = self
            .missed
            .iter()
            .any(|(_, standing)| matches!(standing, Standing::Unknown(_)));
        if open {
            self.depth.min(Depth::Reach)
        } else {
            self.depth
        }
    }

    /// What speaks against it: words of the limits missed, then why it went no farther.
    pub fn against(&self) -> Vec<String> {
        let missed = self.missed.iter().map(|(quantity, _)| quantity.word());
        missed
            .map(str::to_string)
            .chain(self.reason.clone())
            .collect()
    }
}

/// A number rounded to ten decimal digits, the same on every machine.
fn to_ten_digits(value: f64) -> f64 {
    format!("{value:.9e}").parse().unwrap_or(value)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_is_better_by_rounding() {
        let gci = Objective {
            quantity: Quantity::Gci,
            maximise: true,
        };
        let mass = Objective {
            quantity: Quantity::MovingMass,
            maximise: false,
        };
        let of = |value: f64| {
            let mut verdict = Verdict::default();
            verdict.values.set(Quantity::Gci, value);
            verdict.values.set(Quantity::MovingMass, value);
            verdict
        };
        // One stage of 44.95 and 50 degrees in a radius of 147 and of 148 mm.
        let (one, other) = (of(0.7351856987667885), of(0.7351856987667892));
        assert_eq!(one.objective(&gci), other.objective(&gci));
        assert_eq!(one.objective(&mass), other.objective(&mass));
        assert_eq!(of(-0.25).objective(&gci), Some(-0.25));
        assert!(of(0.735185699).objective(&gci) > one.objective(&gci));
        assert!(of(0.735185699).objective(&mass) < one.objective(&mass));
        for odd in [f64::INFINITY, f64::NAN, 0.0] {
            let found = of(odd).objective(&gci).expect("it is there");
            assert!(
                found == odd || odd.is_nan() && found.is_nan(),
                "{odd} {found}"
            );
        }
    }

    fn missing(depth: Depth, shares: &[Option<f64>]) -> Verdict {
        let standing = |share: &Option<f64>| match share {
            Some(share) => Standing::MissedBy(*share),
            None => Standing::Unknown(Missing::NotDescribed("no rating".to_string())),
        };
        let missed = shares.iter().map(|share| (Quantity::Sag, standing(share)));
        Verdict {
            depth,
            reason: None,
            missed: missed.collect(),
            ..Verdict::default()
        }
    }

    #[test]
    fn the_farther_judged_is_nearer_however_much_it_misses() {
        let order = [
            missing(Depth::Whole, &[]),
            missing(Depth::Whole, &[Some(0.1), Some(0.2)]),
            missing(Depth::Whole, &[Some(5e6)]),
            missing(Depth::Whole, &[None, Some(0.05)]),
            missing(Depth::Reach, &[Some(0.06)]),
            Verdict::stopped(Depth::NoRange, "no working range"),
            Verdict::stopped(Depth::NotBuilt, "cannot be built"),
            missing(Depth::NotBuilt, &[Some(0.1)]),
        ];
        for pair in order.windows(2) {
            assert_eq!(pair[0].nearer(&pair[1]), Ordering::Less, "{pair:?}");
        }
        assert!(order[0].feasible());
        assert!(order[1..].iter().all(|verdict| !verdict.feasible()));
    }
}
