//! Numbers in tables: the same text on every platform.

use crate::check::Check;

/// Digits of a computed value in a table.
const COMPUTED_DIGITS: usize = 6;
/// Differences below ten to this power, as a share of the reference, are rounding.
const ROUNDING_EXPONENT: i32 = -9;

/// A number with `digits` significant ones, no trailing zeros.
pub(crate) fn significant(value: f64, digits: usize) -> String {
    if value == 0.0 {
        return "0".to_string();
    }
    if !value.is_finite() {
        return "no value".to_string();
    }
    let scientific = format!("{:.*e}", digits - 1, value);
    let (mantissa, exponent) = scientific.split_once('e').unwrap_or((&scientific, "0"));
    let exponent: i32 = exponent.parse().unwrap_or(0);
    if (-4..7).contains(&exponent) {
        let decimals = (digits as i32 - 1 - exponent).max(0) as usize;
        trimmed(&format!("{value:.decimals$}")).to_string()
    } else {
        format!("{}e{exponent}", trimmed(mantissa))
    }
}

/// A reference value with all its digits.
pub(crate) fn exact(value: f64) -> String {
    let size = value.abs();
    if value == 0.0 || (1e-4..1e7).contains(&size) {
        format!("{value}")
    } else {
        format!("{value:e}")
    }
}

fn trimmed(text: &str) -> &str {
    if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.')
    } else {
        text
    }
}

/// The computed value of a check. A value that is the reference but for
/// rounding is printed like it, so that no last digit tips over elsewhere.
pub(crate) fn computed(check: &Check) -> String {
    let size = check.reference.abs();
    let rounding = (power(ROUNDING_EXPONENT) * size).max(if size == 0.0 {
        0.1 * check.tolerance
    } else {
        0.0
    });
    if check.difference() <= rounding {
        significant(check.reference, COMPUTED_DIGITS)
    } else {
        significant(check.computed, COMPUTED_DIGITS)
    }
}

/// The difference of a check as its tolerance is stated, to one digit. What is a
/// thousand times below the tolerance, or rounding, is printed as a bound: its
/// digits would differ between platforms.
pub(crate) fn difference(check: &Check) -> String {
    if check.tolerance == 0.0 && check.difference() == 0.0 {
        return "0".to_string();
    }
    let floor = exponent_below(1e-3 * check.tolerance / check.scale()).max(ROUNDING_EXPONENT);
    let value = check.difference() / check.scale();
    if !value.is_finite() {
        "no value".to_string()
    } else if value < power(floor) {
        format!("< 1e{floor}")
    } else {
        format!("{value:.0e}")
    }
}

/// The tolerance of a check as it is stated.
pub(crate) fn tolerance(check: &Check) -> String {
    significant(check.tolerance / check.scale(), 2)
}

/// Exponent of the greatest power of ten not above a positive value.
fn exponent_below(value: f64) -> i32 {
    if value > 0.0 && value.is_finite() {
        // Rounding of the logarithm must not move an exact power.
        (value.log10() + 1e-9).floor() as i32
    } else {
        i32::MIN
    }
}

fn power(exponent: i32) -> f64 {
    10f64.powi(exponent)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::check::{Source, Tolerance};

    #[test]
    fn significant_digits_are_kept_and_zeros_dropped() {
        assert_eq!(significant(62.461012227, 6), "62.461");
        assert_eq!(significant(-0.000123456789, 4), "-0.0001235");
        assert_eq!(significant(1.02407636958971e-7, 6), "1.02408e-7");
        assert_eq!(significant(1234567.0, 6), "1234567");
        assert_eq!(significant(0.0, 6), "0");
        assert_eq!(significant(f64::NAN, 6), "no value");
    }

    #[test]
    fn differences_at_rounding_level_are_a_bound() {
        let source = Source::derived("by hand", "by hand");
        let at = |computed: f64, tolerance: Tolerance| {
            difference(&source.check("x", "x", "1", [2.0, computed], tolerance))
        };
        assert_eq!(at(2.0 + 1e-15, Tolerance::Relative(1e-6)), "< 1e-9");
        assert_eq!(at(2.0, Tolerance::Relative(1e-6)), "< 1e-9");
        assert_eq!(at(2.0 + 5.1e-7, Tolerance::Relative(1e-6)), "3e-7");
        assert_eq!(at(2.01, Tolerance::Absolute(0.02)), "1e-2");
        assert_eq!(at(2.0 + 1e-6, Tolerance::Absolute(0.02)), "< 1e-5");
        assert_eq!(at(2.0, Tolerance::Absolute(0.0)), "0");
        assert_eq!(at(f64::NAN, Tolerance::Absolute(1.0)), "no value");
    }
}
