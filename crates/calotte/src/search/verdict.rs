//! What judging a candidate found: how far it came, which limits it misses, its values.

use std::cmp::Ordering;

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

/// The verdict on a candidate.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Verdict {
    /// How far the judging came.
    pub depth: Depth,
    /// Why it came no farther, in words; `None` where the limits missed say it.
    pub reason: Option<String>,
    /// Limits that are not met, in the order they were judged.
    pub missed: Vec<(Quantity, Standing)>,
    /// Polar angles of the working range, rad; `None` without one.
    pub polar: Option<[f64; 2]>,
    /// What was computed, over the search's rings.
    pub values: Values,
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

    /// Sum of the shares by which limits are missed, as far as it is known.
    pub fn missed_by(&self) -> f64 {
        let shares = self.missed.iter().map(|(_, standing)| standing);
        shares
            .filter_map(Standing::missed_by)
            .fold(0.0, |a, b| a + b)
    }

    /// The nearer to meeting every limit comes first: what was judged wholly, then what
    /// was not, what reaches nothing, what cannot be built; among those the least sum of
    /// what is missed.
    pub fn nearer(&self, other: &Self) -> Ordering {
        other
            .known()
            .cmp(&self.known())
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

#[cfg(test)]
mod tests {
    use super::*;

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
            polar: None,
            values: Values::default(),
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
