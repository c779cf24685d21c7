//! Degrees and radians in twice the working precision.
//!
//! A product with the rounded π/180 skips some values, so not every angle
//! would have a decimal that reads back to it. Pairs of numbers (the rounded
//! value and the rest, after T. J. Dekker, "A floating-point technique for
//! extending the available precision", Numer. Math. 18, 1971, from memory)
//! leave a relative error near 1e-31, far below what rounding to one number can see.

use super::decimal::Decimal;

/// π/180 as a pair, from 60 digits of π.
const RADIANS_PER_DEGREE: Pair = Pair {
    high: 0.017_453_292_519_943_295,
    low: 2.948_652_270_870_168_7e-19,
};

/// 180/π as a pair, from 60 digits of π.
const DEGREES_PER_RADIAN: Pair = Pair {
    high: 57.295_779_513_082_32,
    low: -1.987_849_567_057_628_3e-15,
};

/// Powers of ten up to this one are whole numbers that one `f64` holds.
const EXACT_POWER: u32 = 22;

/// Beyond these the pairs would lose digits at the ends of the number range.
const POWERS_IN_PAIRS: std::ops::RangeInclusive<i64> = -60..=60;

/// The unevaluated sum of a number and its rest.
#[derive(Debug, Clone, Copy)]
struct Pair {
    high: f64,
    low: f64,
}

impl Pair {
    /// Two numbers as a pair, the first not the smaller.
    fn normalised(high: f64, low: f64) -> Self {
        let sum = high + low;
        Self {
            high: sum,
            low: low - (sum - high),
        }
    }

    /// A whole number of up to 106 bits.
    fn whole(digits: u128) -> Self {
        let high = digits as f64;
        let rounded = high as u128;
        let low = if rounded > digits {
            -((rounded - digits) as f64)
        } else {
            (digits - rounded) as f64
        };
        Self::normalised(high, low)
    }

    fn times(self, other: Self) -> Self {
        let product = self.high * other.high;
        let rest = self.high.mul_add(other.high, -product);
        let cross = self.high.mul_add(other.low, self.low * other.high);
        Self::normalised(product, rest + cross)
    }

    fn over(self, other: Self) -> Self {
        let quotient = self.high / other.high;
        let rest = (-quotient).mul_add(other.high, self.high);
        let rest = (-quotient).mul_add(other.low, rest + self.low);
        Self::normalised(quotient, rest / other.high)
    }

    /// The pair times a power of ten.
    fn times_ten_to(self, power: i64) -> Self {
        let mut result = self;
        let mut left = u32::try_from(power.unsigned_abs()).unwrap_or(0);
        while left > 0 {
            let step = left.min(EXACT_POWER);
            let factor = Self {
                high: 10f64.powi(step as i32),
                low: 0.0,
            };
            result = if power < 0 {
                result.over(factor)
            } else {
                result.times(factor)
            };
            left -= step;
        }
        result
    }
}

/// Radians of a decimal number of degrees, correctly rounded.
pub(super) fn radians_from(degrees: &Decimal) -> f64 {
    if degrees.digits == 0 || !POWERS_IN_PAIRS.contains(&degrees.exponent) {
        return degrees.value() * RADIANS_PER_DEGREE.high;
    }
    let size = Pair::whole(degrees.digits)
        .times_ten_to(degrees.exponent)
        .times(RADIANS_PER_DEGREE)
        .high;
    if degrees.negative { -size } else { size }
}

/// The shortest decimal number of degrees that [`radians_from`] turns into this value.
pub(super) fn shortest(radians: f64) -> Decimal {
    let pair = Pair {
        high: radians.abs(),
        low: 0.0,
    }
    .times(DEGREES_PER_RADIAN);
    let nearest = Decimal::shortest(pair.high);
    let signed = |decimal: Decimal| Decimal {
        negative: radians.is_sign_negative(),
        ..decimal
    };
    let fits = |decimal: &Decimal| radians_from(decimal) == radians;
    if radians == 0.0 || !radians.is_finite() {
        return signed(nearest);
    }
    let rounded = (0..=16)
        .filter_map(|digits| Decimal::parse(&format!("{:.digits$e}", pair.high)))
        .map(signed)
        .find(fits);
    rounded
        .or_else(|| longer(pair).into_iter().map(signed).find(fits))
        .unwrap_or_else(|| signed(nearest))
}

/// Decimals of 17 to 21 digits about a pair, shorter ones first.
fn longer(pair: Pair) -> Vec<Decimal> {
    let leading = pair.high.log10().floor() as i64;
    let mut decimals = Vec::new();
    for count in 17..=21 {
        let exponent = leading - (count - 1);
        if !POWERS_IN_PAIRS.contains(&exponent) {
            continue;
        }
        let scaled = pair.times_ten_to(-exponent);
        let whole = scaled.high as u128;
        let rest = (scaled.high - whole as f64) + scaled.low;
        let Some(digits) = whole.checked_add_signed(rest.round() as i128) else {
            continue;
        };
        for digits in [Some(digits), digits.checked_sub(1), digits.checked_add(1)] {
            decimals.extend(digits.map(|digits| Decimal {
                negative: false,
                digits,
                exponent,
            }));
        }
    }
    decimals
}
