//! Decimal numbers as people write them: digits and a power of ten.

/// Digits beyond these cannot move a rounded value by a relative 1e-37.
const DIGITS_KEPT: usize = 37;

/// ±digits × 10^exponent.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Decimal {
    /// Whether the number is below zero (or minus zero).
    pub(super) negative: bool,
    /// The digits as one whole number.
    pub(super) digits: u128,
    /// Power of ten of the last digit.
    pub(super) exponent: i64,
}

impl Decimal {
    /// Reads `[+-]digits[.digits][e[+-]digits]`; `None` for anything else.
    pub(super) fn parse(text: &str) -> Option<Self> {
        let (negative, unsigned) = match text.as_bytes().first()? {
            b'-' => (true, &text[1..]),
            b'+' => (false, &text[1..]),
            _ => (false, text),
        };
        let (mantissa, exponent) = match unsigned.find(['e', 'E']) {
            Some(at) => (&unsigned[..at], parse_exponent(&unsigned[at + 1..])?),
            None => (unsigned, 0),
        };
        let (whole, part) = mantissa.split_once('.').unwrap_or((mantissa, ""));
        let all = || whole.bytes().chain(part.bytes());
        if all().next().is_none() || !all().all(|b| b.is_ascii_digit()) {
            return None;
        }
        let (mut digits, mut kept, mut dropped) = (0u128, 0, 0i64);
        for digit in all() {
            if kept < DIGITS_KEPT {
                digits = digits * 10 + u128::from(digit - b'0');
                kept += usize::from(digits > 0);
            } else {
                dropped += 1;
            }
        }
        let exponent = exponent
            .saturating_sub(i64::try_from(part.len()).ok()?)
            .saturating_add(dropped);
        Some(Self {
            negative,
            digits,
            exponent,
        })
    }

    /// The shortest decimal that reads back to a finite value; zero for any other.
    pub(super) fn shortest(value: f64) -> Self {
        Self::parse(&format!("{value:e}")).unwrap_or(Self {
            negative: false,
            digits: 0,
            exponent: 0,
        })
    }

    /// The number times a power of ten.
    pub(super) fn shifted(self, power: i32) -> Self {
        Self {
            exponent: self.exponent.saturating_add(i64::from(power)),
            ..self
        }
    }

    /// The nearest value; infinity if it is too large.
    pub(super) fn value(&self) -> f64 {
        let sign = if self.negative { "-" } else { "" };
        // The standard library's parser rounds correctly at any length.
        format!("{sign}{}e{}", self.digits, self.exponent)
            .parse()
            .unwrap_or(0.0)
    }

    /// The text a person would write: plain from 0.0001 to 999999, else with an exponent.
    pub(super) fn text(&self) -> String {
        let mut digits = self.digits.to_string();
        let mut exponent = self.exponent;
        if self.digits == 0 {
            return if self.negative { "-0.0" } else { "0" }.to_string();
        }
        while digits.len() > 1 && digits.ends_with('0') {
            digits.pop();
            exponent = exponent.saturating_add(1);
        }
        let count = digits.len() as i64;
        let leading = exponent.saturating_add(count - 1);
        let sign = if self.negative { "-" } else { "" };
        if (0..6).contains(&leading) {
            let whole = usize::try_from(leading + 1).unwrap_or(1);
            if digits.len() <= whole {
                format!("{sign}{digits:0<whole$}")
            } else {
                format!("{sign}{}.{}", &digits[..whole], &digits[whole..])
            }
        } else if (-4..0).contains(&leading) {
            let zeros = usize::try_from(-leading - 1).unwrap_or(0);
            format!("{sign}0.{}{digits}", "0".repeat(zeros))
        } else if count == 1 {
            format!("{sign}{digits}e{leading}")
        } else {
            format!("{sign}{}.{}e{leading}", &digits[..1], &digits[1..])
        }
    }
}

/// Reads a signed exponent; one too long for a number is as good as its bound.
fn parse_exponent(text: &str) -> Option<i64> {
    let digits = text.strip_prefix(['+', '-']).unwrap_or(text);
    if digits.is_empty() || !digits.bytes().all(|b| b.is_ascii_digit()) {
        return None;
    }
    let size = digits.parse::<i64>().unwrap_or(i64::MAX / 4);
    let size = size.min(i64::MAX / 4);
    Some(if text.starts_with('-') { -size } else { size })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn texts_are_written_as_people_write_them() {
        for (value, text) in [
            (0.0, "0"),
            (12.0, "12"),
            (100.0, "100"),
            (999_999.0, "999999"),
            (1e6, "1e6"),
            (3.25e7, "3.25e7"),
            (0.0001, "0.0001"),
            (0.00001, "1e-5"),
            (-2.5, "-2.5"),
            (1234.5678, "1234.5678"),
        ] {
            assert_eq!(Decimal::shortest(value).text(), text);
        }
    }

    #[test]
    fn long_digits_are_cut_without_moving_the_value() {
        let long = format!("0.{}", "3".repeat(400));
        assert_eq!(Decimal::parse(&long).unwrap().value(), 1.0 / 3.0);
        let long = format!("1{}", "0".repeat(300));
        assert_eq!(Decimal::parse(&long).unwrap().value(), 1e300);
        let zeros = format!("0.{}25", "0".repeat(60));
        assert_eq!(Decimal::parse(&zeros).unwrap().value(), 25e-62);
    }
}
