//! Numbers as people read them in a figure: true minus sign, thin spaces, powers of ten.

/// True minus sign, U+2212.
const MINUS: char = '\u{2212}';
/// Space between groups of three digits (ISO 80000-1, 7.3.1).
const GROUP: char = '\u{2009}';

/// Largest size of a number that figures take, chosen so that differences cannot overflow.
pub const MAGNITUDE_MAX: f64 = 1e100;

/// `value` with a fixed number of decimals.
pub fn fixed(value: f64, decimals: usize) -> String {
    let digits = format!("{:.*}", decimals, value.abs());
    let (whole, fraction) = digits.split_once('.').unwrap_or((&digits, ""));
    let mut text = String::new();
    // A value that rounds to zero carries no sign.
    if value < 0.0 && digits.bytes().any(|b| (b'1'..=b'9').contains(&b)) {
        text.push(MINUS);
    }
    // Four digits stay together, as is usual in print.
    let grouped = whole.len() > 4;
    for (index, digit) in whole.chars().enumerate() {
        if grouped && index > 0 && (whole.len() - index).is_multiple_of(3) {
            text.push(GROUP);
        }
        text.push(digit);
    }
    if !fraction.is_empty() {
        text.push('.');
        text.push_str(fraction);
    }
    text
}

/// `value` with `digits` significant digits, trailing zeros kept; powers of ten outside
/// 10⁻⁴ to 10⁶.
pub fn significant(value: f64, digits: usize) -> String {
    if value == 0.0 {
        return "0".to_owned();
    }
    // Rust's exponential format rounds first, so 9.996 with three digits has exponent 1.
    let rounded = format!("{:.*e}", digits.max(1) - 1, value);
    let exponent: i32 = rounded
        .split_once('e')
        .and_then(|(_, e)| e.parse().ok())
        .unwrap_or(0);
    if (-4..6).contains(&exponent) {
        let decimals = (digits as i32 - 1 - exponent).max(0);
        fixed(value, decimals as usize)
    } else {
        let mantissa = value / 10f64.powi(exponent);
        format!(
            "{}×{}",
            fixed(mantissa, digits.max(1) - 1),
            power_of_ten(exponent)
        )
    }
}

/// `10ⁿ` with raised digits.
pub fn power_of_ten(exponent: i32) -> String {
    const RAISED: [char; 10] = ['⁰', '¹', '²', '³', '⁴', '⁵', '⁶', '⁷', '⁸', '⁹'];
    let mut text = String::from("10");
    for character in exponent.to_string().chars() {
        match character.to_digit(10) {
            Some(digit) => text.push(RAISED[digit as usize]),
            None => text.push('⁻'),
        }
    }
    text
}

/// `value` with as many decimals as it needs, at most `decimals_max`.
pub fn shortest(value: f64, decimals_max: usize) -> String {
    let text = fixed(value, decimals_max);
    if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    } else {
        text
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn signs_groups_and_decimals() {
        assert_eq!(fixed(-0.5, 1), "\u{2212}0.5");
        assert_eq!(fixed(-0.04, 1), "0.0");
        assert_eq!(fixed(1234.0, 0), "1234");
        assert_eq!(fixed(1234567.25, 2), "1\u{2009}234\u{2009}567.25");
        assert_eq!(shortest(2.50, 3), "2.5");
        assert_eq!(shortest(200.0, 3), "200");
    }

    #[test]
    fn significant_digits() {
        assert_eq!(significant(0.41234, 2), "0.41");
        assert_eq!(significant(9.996, 3), "10.0");
        assert_eq!(significant(-123.4, 2), "\u{2212}123");
        assert_eq!(significant(1.5e-7, 2), "1.5×10⁻⁷");
        assert_eq!(significant(0.0, 3), "0");
        assert_eq!(significant(2.0e12, 3), "2.00×10¹²");
    }
}
