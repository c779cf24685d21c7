//! What was solved, and how many digits of it are sure.

use crate::elasticity::{ElasticityError, FewDigits, ValidityNote};

use super::ring::RingResult;

fn fewer(one: Option<FewDigits>, other: Option<FewDigits>) -> Option<FewDigits> {
    match (one, other) {
        (Some(one), Some(other)) => Some(one.fewer(other)),
        (one, other) => one.or(other),
    }
}

/// The fewest digits of these and of all rings.
pub(super) fn fewest(one: Option<FewDigits>, rings: &[RingResult]) -> Option<FewDigits> {
    let all = rings.iter().map(|ring| ring.few_digits);
    all.fold(one, fewer)
}

/// What was solved.
pub(super) struct Solved {
    /// Rings with an answer, in the order they were given.
    pub(super) rings: Vec<RingResult>,
    /// The fewest digits of any of them, where they are not enough.
    pub(super) few_digits: Option<FewDigits>,
}

impl Solved {
    /// Leaves out what has no elastic answer, as the end of a range that is singular itself.
    ///
    /// # Errors
    /// Why, where nothing has one; any other [`ElasticityError`] of a single one.
    pub(super) fn of(
        solved: Vec<Result<RingResult, ElasticityError>>,
    ) -> Result<Self, ElasticityError> {
        let mut rings = Vec::with_capacity(solved.len());
        let (mut few_digits, mut why) = (None, None);
        for ring in solved {
            match ring {
                Ok(ring) => {
                    few_digits = fewer(few_digits, ring.few_digits);
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
                    few_digits = fewer(few_digits, Some(none));
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
