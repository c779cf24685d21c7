//! What was solved, and how many digits of it are sure.

use crate::elasticity::{ElasticityError, FewDigits, ValidityNote};

use super::ring::RingResult;

/// What was solved.
pub(super) struct Solved {
    /// Rings with an answer, in the order they were given.
    pub(super) rings: Vec<RingResult>,
    /// The fewest digits of any of them, where they are not enough.
    few_digits: Option<FewDigits>,
}

impl Solved {
    /// Nothing.
    pub(super) fn nothing() -> Self {
        Self {
            rings: Vec::new(),
            few_digits: None,
        }
    }

    /// Leaves out what has no elastic answer, as the end of a range that is singular itself.
    ///
    /// # Errors
    /// Why, where nothing has one; any other [`ElasticityError`] of a single one.
    pub(super) fn of(
        solved: Vec<Result<RingResult, ElasticityError>>,
    ) -> Result<Self, ElasticityError> {
        let mut rings = Vec::with_capacity(solved.len());
        let (mut few_digits, mut why) = (None, None);
        let fewer = |one: FewDigits, before: Option<FewDigits>| {
            Some(before.map_or(one, |before| before.fewer(one)))
        };
        for ring in solved {
            match ring {
                Ok(ring) => {
                    if let Some(few) = ring.few_digits {
                        few_digits = fewer(few, few_digits);
                    }
                    rings.push(ring);
                }
                Err(ElasticityError::Singular) => {
                    why.get_or_insert(ElasticityError::Singular);
                }
                Err(ElasticityError::NoDigits(extremes)) => {
                    let none = FewDigits {
                        digits: 0,
                        extremes: Some(extremes),
                    };
                    few_digits = fewer(none, few_digits);
                    why = Some(ElasticityError::NoDigits(extremes));
                }
                Err(other) => return Err(other),
            }
        }
        match why.filter(|_| rings.is_empty()) {
            Some(why) => Err(why),
            None => Ok(Self { rings, few_digits }),
        }
    }

    /// What a reader must know of it.
    pub(super) fn note(&self) -> Option<ValidityNote> {
        self.few_digits.map(ValidityNote::FewDigits)
    }
}
