//! Needed against got: one row per requirement.

use crate::quantity::Quantity;
use crate::sphere::Direction;

/// One requirement, judged.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    /// What is judged.
    pub quantity: Quantity,
    /// The load case, where each has a value of its own.
    pub load: Option<String>,
    /// The limit; `None` where none is given.
    pub needed: Option<f64>,
    /// The value, or why there is none.
    pub got: Result<f64, String>,
    /// Least and greatest value over the ends of all bands, where bands are given.
    pub band: Option<[f64; 2]>,
    /// Where it is worst, base frame; `None` where a place has no meaning.
    pub worst_at: Option<Direction>,
    /// What governs there, in words.
    pub note: String,
}

impl Row {
    /// Whether the limit is a least value.
    pub fn at_least(&self) -> bool {
        self.quantity.more_is_better()
    }

    /// Whether another row judges the same.
    pub fn is_like(&self, other: &Row) -> bool {
        self.quantity == other.quantity && self.load == other.load
    }

    /// Whether the limit is met; `None` without a limit.
    pub fn met(&self) -> Option<bool> {
        let needed = self.needed?;
        let Ok(got) = self.got else {
            return Some(false);
        };
        Some(self.value_meets(got, needed))
    }

    /// Whether the worst end of the band meets the limit; `None` without either.
    pub fn band_met(&self) -> Option<bool> {
        let needed = self.needed?;
        let [low, high] = self.band?;
        Some(self.value_meets(if self.at_least() { low } else { high }, needed))
    }

    fn value_meets(&self, value: f64, needed: f64) -> bool {
        // Values that sit on their limit by construction (margins) count as met.
        let slack = 1e-9 * needed.abs();
        if self.at_least() {
            value >= needed - slack
        } else {
            value <= needed + slack
        }
    }

    /// Distance to the limit as a share of it, positive when met.
    pub fn relative_margin(&self) -> Option<f64> {
        let needed = self.needed?;
        let got = self.got.as_ref().ok()?;
        let difference = if self.at_least() {
            got - needed
        } else {
            needed - got
        };
        (needed != 0.0).then(|| difference / needed.abs())
    }
}
