//! Needed against got: one row per requirement.

use crate::sphere::Direction;

/// What a row judges.
#[derive(Debug, Clone, PartialEq)]
pub enum RowKind {
    /// Covered share of the region, 1.
    Coverage,
    /// Tip displacement by a load case, without own weight, m.
    ContactDeflection(String),
    /// Tip displacement by own weight, m.
    Sag,
    /// Least local conditioning index, 1.
    LciMin,
    /// Area-weighted GCI over the required region, 1.
    Gci,
    /// Least transmission angle, rad.
    TransmissionAngle,
    /// Least safety factor against yield, 1.
    Safety,
    /// Least static safety of the bearings, 1.
    BearingSafety,
    /// Mass of what moves without the tool, kg.
    MovingMass,
    /// Greatest holding torque at any active joint, N·m.
    HoldingTorque,
    /// Least translational stiffness, N/m.
    Stiffness,
}

impl RowKind {
    /// Whether more is better.
    pub fn at_least(&self) -> bool {
        matches!(
            self,
            RowKind::Coverage
                | RowKind::LciMin
                | RowKind::Gci
                | RowKind::TransmissionAngle
                | RowKind::Safety
                | RowKind::BearingSafety
                | RowKind::Stiffness
        )
    }
}

/// One requirement, judged.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    /// What is judged.
    pub kind: RowKind,
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
        Some(self.value_meets(if self.kind.at_least() { low } else { high }, needed))
    }

    fn value_meets(&self, value: f64, needed: f64) -> bool {
        // Values that sit on their limit by construction (margins) count as met.
        let slack = 1e-9 * needed.abs();
        if self.kind.at_least() {
            value >= needed - slack
        } else {
            value <= needed + slack
        }
    }

    /// Distance to the limit as a share of it, positive when met.
    pub fn relative_margin(&self) -> Option<f64> {
        let needed = self.needed?;
        let got = self.got.as_ref().ok()?;
        let difference = if self.kind.at_least() {
            got - needed
        } else {
            needed - got
        };
        (needed != 0.0).then(|| difference / needed.abs())
    }
}
