//! How a limit stands.

use thiserror::Error;

use super::table::Quantity;

/// Why there is no value.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum Missing {
    /// What it needs is not described; what that is.
    #[error("{0}")]
    NotDescribed(String),
    /// It was not computed; why.
    #[error("{0}")]
    NotComputed(String),
    /// The linkage has nothing of the kind, so that a limit holds of itself; why.
    #[error("{0}")]
    NotThere(String),
}

/// Where in the stated uncertainty a limit must hold.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum JudgedAt {
    /// At the worst end of what is stated as uncertain.
    #[default]
    WorstEnd,
    /// At nominal values alone, which asks for less.
    Nominal,
}

/// How a limit stands.
#[derive(Debug, Clone, PartialEq)]
pub enum Standing {
    /// Met.
    Met,
    /// Missed, by this share of the limit.
    MissedBy(f64),
    /// There is no value to judge.
    Unknown(Missing),
}

impl Standing {
    /// How a limit stands, SI.
    pub fn of(quantity: Quantity, limit: f64, value: Result<f64, &Missing>) -> Self {
        let value = match value {
            Ok(value) => value,
            Err(Missing::NotThere(_)) => return Standing::Met,
            Err(missing) => return Standing::Unknown(missing.clone()),
        };
        let over = if quantity.more_is_better() {
            limit - value
        } else {
            value - limit
        };
        // Values that sit on their limit by construction (margins) count as met.
        if over <= SLACK * limit.abs() {
            Standing::Met
        } else {
            Standing::MissedBy(over / limit.abs())
        }
    }

    /// By which share it is missed; zero where it is met, `None` where nobody knows.
    pub fn missed_by(&self) -> Option<f64> {
        match self {
            Standing::Met => Some(0.0),
            Standing::MissedBy(share) => Some(*share),
            Standing::Unknown(_) => None,
        }
    }
}

/// Share of a limit within which a value counts as on it.
const SLACK: f64 = 1e-9;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_limit_is_met_missed_or_unknown() {
        let of = |quantity, limit, value| Standing::of(quantity, limit, Ok(value));
        assert_eq!(of(Quantity::Sag, 2e-3, 1e-3), Standing::Met);
        assert_eq!(of(Quantity::Sag, 2e-3, 2e-3 * (1.0 + 1e-10)), Standing::Met);
        assert_eq!(of(Quantity::Sag, 2.0, 3.0), Standing::MissedBy(0.5));
        assert_eq!(of(Quantity::Coverage, 0.5, 0.25), Standing::MissedBy(0.5));
        assert_eq!(of(Quantity::Coverage, 0.5, 0.75), Standing::Met);
        let missing = Missing::NotDescribed("no rating".to_string());
        let unknown = Standing::of(Quantity::BearingStaticSafety, 2.0, Err(&missing));
        assert_eq!(unknown, Standing::Unknown(missing));
        assert_eq!(unknown.missed_by(), None);
        let nothing = Missing::NotThere("no closed loop".to_string());
        let free = Standing::of(Quantity::TransmissionAngle, 0.3, Err(&nothing));
        assert_eq!(free, Standing::Met);
    }
}
