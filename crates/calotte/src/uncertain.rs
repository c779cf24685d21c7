//! A number that may carry a band: the value used, and how far it may lie off.

/// Which end of every band an evaluation uses.
///
/// Compliance, sag and torque grow when stiffnesses fall and loads and masses
/// rise, so the two ends bound a result that is monotone in each of them.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Corner {
    /// Every number at its nominal value.
    Nominal,
    /// Stiffness and strength at their low ends, masses and loads at their high ends.
    Soft,
    /// Stiffness and strength at their high ends, masses and loads at their low ends.
    Stiff,
}

/// A number with a band of uncertainty, in the unit its field states.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Uncertain {
    /// The nominal value.
    pub value: f64,
    /// Lower end of the band, at most `value`.
    pub low: f64,
    /// Upper end of the band, at least `value`.
    pub high: f64,
}

impl Uncertain {
    /// A number without a band.
    pub const fn exact(value: f64) -> Self {
        Self {
            value,
            low: value,
            high: value,
        }
    }

    /// A number with a band.
    pub const fn band(value: f64, low: f64, high: f64) -> Self {
        Self { value, low, high }
    }

    /// Whether the band has any width.
    pub fn is_band(&self) -> bool {
        self.low < self.high
    }

    /// The number for a quantity that stiffens or strengthens: low end at [`Corner::Soft`].
    pub fn resisting(&self, corner: Corner) -> f64 {
        match corner {
            Corner::Nominal => self.value,
            Corner::Soft => self.low,
            Corner::Stiff => self.high,
        }
    }

    /// The number for a quantity that loads: high end at [`Corner::Soft`].
    pub fn loading(&self, corner: Corner) -> f64 {
        match corner {
            Corner::Nominal => self.value,
            Corner::Soft => self.high,
            Corner::Stiff => self.low,
        }
    }

    /// Value and both ends multiplied by a factor that is not negative.
    pub fn scaled(&self, factor: f64) -> Self {
        Self {
            value: self.value * factor,
            low: self.low * factor,
            high: self.high * factor,
        }
    }
}

impl From<f64> for Uncertain {
    fn from(value: f64) -> Self {
        Self::exact(value)
    }
}
