//! Needed against got: one row per requirement.

use crate::design::Input;
use crate::quantity::{Missing, Quantity, Standing};
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
    pub got: Result<f64, Missing>,
    /// Least and greatest value over the stated uncertainty, where bands are given.
    pub band: Option<[f64; 2]>,
    /// The inputs that give the two, each with its value, SI.
    pub band_inputs: Option<[Vec<(Input, f64)>; 2]>,
    /// Least and greatest value over the covered directions; `None` where directions have none.
    pub over_region: Option<[f64; 2]>,
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

    /// How the limit stands; `None` without one.
    pub fn standing(&self) -> Option<Standing> {
        Some(Standing::of(
            self.quantity,
            self.needed?,
            self.got.as_ref().copied(),
        ))
    }

    /// Whether the limit is met; `None` without a limit.
    pub fn met(&self) -> Option<bool> {
        Some(self.standing()? == Standing::Met)
    }

    /// Whether the worst end of the band meets the limit; `None` without either.
    pub fn band_met(&self) -> Option<bool> {
        let needed = self.needed?;
        let [low, high] = self.band?;
        let worst = if self.at_least() { low } else { high };
        Some(Standing::of(self.quantity, needed, Ok(worst)) == Standing::Met)
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
