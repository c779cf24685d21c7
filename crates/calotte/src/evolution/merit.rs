//! What is better: limits first, by kind and degree, then objectives by dominance.

use std::cmp::Ordering;

/// How far limits are missed. Kinds are compared before degrees: whatever misses the first kind
/// of need is behind what misses only a later one.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Violation {
    /// Kind of need that is missed, 0 none, the greater the more fundamental.
    pub kind: u8,
    /// How far, above 0, where one is missed.
    pub degree: f64,
}

impl Violation {
    /// Every limit is met.
    pub const NONE: Violation = Violation {
        kind: 0,
        degree: 0.0,
    };

    /// Whether every limit is met.
    pub fn is_none(&self) -> bool {
        self.kind == 0
    }

    /// The lesser first.
    pub fn order(&self, other: &Self) -> Ordering {
        self.kind
            .cmp(&other.kind)
            .then(self.degree.total_cmp(&other.degree))
    }
}

/// Limits and objectives of one genome.
#[derive(Debug, Clone, PartialEq)]
pub struct Merit {
    /// How far limits are missed.
    pub violation: Violation,
    /// Objectives, less is better; where limits are missed they may be empty.
    pub objectives: Vec<f64>,
}

impl Merit {
    /// Whether it is as good everywhere and better somewhere: by limits, and among those that
    /// meet them by objectives.
    pub fn dominates(&self, other: &Self) -> bool {
        match (self.violation.is_none(), other.violation.is_none()) {
            (true, true) => dominates(&self.objectives, &other.objectives),
            (true, false) => true,
            (false, true) => false,
            (false, false) => self.violation.order(&other.violation) == Ordering::Less,
        }
    }
}

/// Whether one vector of objectives is nowhere worse than another and somewhere better; less is
/// better.
pub fn dominates(one: &[f64], other: &[f64]) -> bool {
    let mut better = false;
    for (a, b) in one.iter().zip(other) {
        if a > b || a.is_nan() {
            return false;
        }
        better |= a < b || b.is_nan();
    }
    better
}

#[cfg(test)]
mod tests {
    use super::*;

    fn merit(kind: u8, degree: f64, objectives: &[f64]) -> Merit {
        Merit {
            violation: Violation { kind, degree },
            objectives: objectives.to_vec(),
        }
    }

    #[test]
    fn limits_come_before_objectives_and_kinds_before_degrees() {
        let met = merit(0, 0.0, &[5.0, 5.0]);
        let near = merit(1, 0.9, &[0.0, 0.0]);
        let far = merit(2, 0.001, &[0.0, 0.0]);
        assert!(met.dominates(&near) && near.dominates(&far) && met.dominates(&far));
        assert!(!near.dominates(&met) && !far.dominates(&near));
        assert!(!met.dominates(&met));
        assert!(!merit(0, 0.0, &[1.0, 2.0]).dominates(&merit(0, 0.0, &[2.0, 1.0])));
        assert!(merit(0, 0.0, &[1.0, 1.0]).dominates(&merit(0, 0.0, &[1.0, 2.0])));
        // What is no number is beaten by any and beats none.
        assert!(!merit(0, 0.0, &[f64::NAN, 0.0]).dominates(&merit(0, 0.0, &[1.0, 2.0])));
        assert!(merit(0, 0.0, &[1.0, 1.0]).dominates(&merit(0, 0.0, &[f64::NAN, 2.0])));
    }
}
