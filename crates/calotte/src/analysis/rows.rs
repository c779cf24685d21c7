//! Required against predicted, one row per requirement, and how all of them stand together.

use crate::design::Input;
use crate::quantity::{JudgedAt, Missing, Quantity, Standing};
use crate::sphere::Direction;

/// One uncertain number at its worst end, all others at their nominal values.
#[derive(Debug, Clone, PartialEq)]
pub struct Alone {
    /// The number.
    pub input: Input,
    /// Where it stands, SI.
    pub at: f64,
    /// The value of the row then, SI, in the places of the nominal analysis.
    pub value: f64,
}

/// An uncertain number by which alone a limit comes to hold over the stated uncertainty, all
/// others being at their worst for it.
#[derive(Debug, Clone, PartialEq)]
pub struct Suffices {
    /// The number.
    pub input: Input,
    /// From where on the limit holds, SI; it holds here too.
    pub from: f64,
    /// Up to where that was looked at: the end of the stated range away from the worst one, SI.
    pub to: f64,
}

/// One requirement, judged.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    /// What is judged.
    pub quantity: Quantity,
    /// The load case, where each has a value of its own.
    pub load: Option<String>,
    /// The limit; `None` where none is given.
    pub needed: Option<f64>,
    /// Where in the stated uncertainty the limit must hold.
    pub judged_at: JudgedAt,
    /// The value, or why there is none.
    pub got: Result<f64, Missing>,
    /// Least and greatest value over the stated uncertainty, where bands are given.
    pub band: Option<[f64; 2]>,
    /// The inputs that give the two, each with its value, SI.
    pub band_inputs: Option<[Vec<(Input, f64)>; 2]>,
    /// The worst end with short bars as stiff as beam theory has them; `None` where it is not
    /// looked at: nothing is short, no limit, or the worst end meets it.
    pub worst_end_as_beams: Option<f64>,
    /// What each uncertain number does to a limited value by itself; empty without a limit.
    pub alone: Vec<Alone>,
    /// Each uncertain number that makes the limit hold by itself, where it is met at nominal
    /// values and not over the stated uncertainty; empty where none does.
    pub suffices: Vec<Suffices>,
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

    /// Whether a value is worse than another.
    pub(super) fn is_worse(&self, value: f64, than: f64) -> bool {
        if self.at_least() {
            value < than
        } else {
            value > than
        }
    }

    /// Whether another row judges the same.
    pub fn is_like(&self, other: &Row) -> bool {
        self.quantity == other.quantity && self.load == other.load
    }

    /// The value that the limit is judged by: the worst end of the band, or the nominal value
    /// where that is asked or nothing is uncertain.
    pub fn judged(&self) -> Result<f64, &Missing> {
        let nominal = self.got.as_ref().copied();
        match (self.judged_at, self.worst_end()) {
            (JudgedAt::WorstEnd, Some(worst)) => nominal.map(|_| worst),
            _ => nominal,
        }
    }

    /// The worst end of the band; `None` without one.
    pub fn worst_end(&self) -> Option<f64> {
        let [low, high] = self.band?;
        Some(if self.at_least() { low } else { high })
    }

    /// The inputs at the worst end of the band; `None` without one.
    pub fn worst_end_inputs(&self) -> Option<&[(Input, f64)]> {
        let [low, high] = self.band_inputs.as_ref()?;
        Some(if self.at_least() { low } else { high })
    }

    /// How the limit stands at the value it is judged by; `None` without a limit.
    pub fn standing(&self) -> Option<Standing> {
        Some(Standing::of(self.quantity, self.needed?, self.judged()))
    }

    /// Whether the limit is met at the value it is judged by; `None` without a limit.
    pub fn met(&self) -> Option<bool> {
        Some(self.standing()? == Standing::Met)
    }

    /// Whether the limit is met at nominal values; `None` without a limit.
    pub fn met_at_nominal(&self) -> Option<bool> {
        let nominal = self.got.as_ref().copied();
        Some(Standing::of(self.quantity, self.needed?, nominal) == Standing::Met)
    }

    /// Whether the worst end of the band meets the limit; `None` without either.
    pub fn band_met(&self) -> Option<bool> {
        let worst = self.worst_end()?;
        Some(Standing::of(self.quantity, self.needed?, Ok(worst)) == Standing::Met)
    }

    /// Whether the limit is missed at the worst end for short bars alone, whose stiffness beam
    /// theory does not tell.
    pub fn hangs_on_short_bars(&self) -> bool {
        let (Some(needed), Some(beams)) = (self.needed, self.worst_end_as_beams) else {
            return false;
        };
        self.band_met() == Some(false)
            && Standing::of(self.quantity, needed, Ok(beams)) == Standing::Met
    }

    /// Whether the limit is met with one uncertain number at its worst end; `None` without a limit.
    pub fn met_with(&self, alone: &Alone) -> Option<bool> {
        Some(Standing::of(self.quantity, self.needed?, Ok(alone.value)) == Standing::Met)
    }

    /// Distance to the limit of the value it is judged by, as a share of the limit, positive
    /// when met.
    pub fn relative_margin(&self) -> Option<f64> {
        let needed = self.needed?;
        let judged = self.judged().ok()?;
        let difference = if self.at_least() {
            judged - needed
        } else {
            needed - judged
        };
        (needed != 0.0).then(|| difference / needed.abs())
    }
}

/// How all limits stand together.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Verdict {
    /// No limit is given.
    NothingRequired,
    /// Every limit is met over the stated uncertainty, or nothing is uncertain.
    Met,
    /// Every limit is met at nominal values, which is what was asked, and not over the stated
    /// uncertainty.
    NominalAsAsked,
    /// Every limit is met over the stated uncertainty, were short bars as stiff as beam theory
    /// has them, which it does not tell.
    OutsideValidity,
    /// Every limit is met at nominal values, and not over the stated uncertainty.
    NominalOnly,
    /// A limit is missed at nominal values, or nobody knows.
    NotMet,
}

impl Verdict {
    /// How the limits of these rows stand together.
    pub fn of(rows: &[Row]) -> Self {
        let mut limits = rows.iter().filter(|row| row.needed.is_some()).peekable();
        if limits.peek().is_none() {
            return Verdict::NothingRequired;
        }
        let (mut asked, mut over_all, mut short_bars) = (true, true, true);
        for row in limits {
            if row.met_at_nominal() != Some(true) {
                return Verdict::NotMet;
            }
            asked &= row.met() == Some(true);
            over_all &= row.band_met() != Some(false);
            short_bars &= row.band_met() != Some(false) || row.hangs_on_short_bars();
        }
        match (asked, over_all, short_bars) {
            (_, true, _) => Verdict::Met,
            (true, false, _) => Verdict::NominalAsAsked,
            (false, false, true) => Verdict::OutsideValidity,
            (false, false, false) => Verdict::NominalOnly,
        }
    }

    /// Whether what was asked is met.
    pub fn is_met(self) -> bool {
        !matches!(
            self,
            Verdict::OutsideValidity | Verdict::NominalOnly | Verdict::NotMet
        )
    }

    /// The verdict in words, as results write it.
    pub fn words(self) -> &'static str {
        match self {
            Verdict::NothingRequired => "no limits given",
            Verdict::Met => "met over the stated uncertainty",
            Verdict::OutsideValidity => "outside the model's validity",
            Verdict::NominalAsAsked | Verdict::NominalOnly => "met at nominal values only",
            Verdict::NotMet => "not met",
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn row(needed: Option<f64>, got: f64, band: Option<[f64; 2]>, judged_at: JudgedAt) -> Row {
        Row {
            quantity: Quantity::Sag,
            load: None,
            needed,
            judged_at,
            got: Ok(got),
            band,
            band_inputs: None,
            worst_end_as_beams: None,
            alone: Vec::new(),
            suffices: Vec::new(),
            over_region: None,
            worst_at: None,
            note: String::new(),
        }
    }

    #[test]
    fn a_limit_is_judged_at_the_worst_end_unless_less_is_asked() {
        let band = Some([0.119, 0.353]);
        let strict = row(Some(0.150), 0.147, band, JudgedAt::WorstEnd);
        assert_eq!(
            (strict.met(), strict.met_at_nominal()),
            (Some(false), Some(true))
        );
        assert_eq!(strict.judged(), Ok(0.353));
        assert!(strict.relative_margin().expect("a margin") < -1.35);
        let nominal = row(Some(0.150), 0.147, band, JudgedAt::Nominal);
        assert_eq!(
            (nominal.met(), nominal.band_met()),
            (Some(true), Some(false))
        );
        let of = |row: &Row| Verdict::of(std::slice::from_ref(row));
        assert_eq!(of(&strict), Verdict::NominalOnly);
        assert_eq!(of(&nominal), Verdict::NominalAsAsked);
        assert!(!of(&strict).is_met() && of(&nominal).is_met());
        let wide = row(Some(0.4), 0.147, band, JudgedAt::WorstEnd);
        assert_eq!(of(&wide), Verdict::Met);
        let free = row(None, 0.147, band, JudgedAt::WorstEnd);
        assert_eq!(of(&free), Verdict::NothingRequired);
        assert_eq!(
            Verdict::of(&[wide, strict.clone(), free]),
            Verdict::NominalOnly
        );
        let missed = row(Some(0.1), 0.147, None, JudgedAt::Nominal);
        assert_eq!(Verdict::of(&[strict, missed]), Verdict::NotMet);
    }

    #[test]
    fn what_has_no_value_is_not_met() {
        let mut row = row(Some(0.1), 0.0, None, JudgedAt::WorstEnd);
        row.got = Err(Missing::NotComputed("nothing covered".to_string()));
        assert_eq!(Verdict::of(&[row]), Verdict::NotMet);
    }
}
