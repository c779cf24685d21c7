//! Numbers in messages, in the units that files and drawings have: degrees and millimetres.
//! Everything else in here is in radians and metres.

/// An angle of radians in degrees, such as `21.5°`.
pub(crate) fn degrees(radians: &f64) -> String {
    plain(radians / std::f64::consts::PI * 180.0) + "°"
}

/// An angle of radians to a tenth of a degree, such as `-76.7°`.
pub(crate) fn degrees_to_a_tenth(radians: &f64) -> String {
    plain((radians / std::f64::consts::PI * 1800.0).round() / 10.0 + 0.0) + "°"
}

/// Angles of radians in degrees, such as `10° and 21.5°`.
pub(crate) fn degrees_of(radians: &[f64; 2]) -> String {
    format!("{} and {}", degrees(&radians[0]), degrees(&radians[1]))
}

/// A length of metres in millimetres, such as `140 mm`.
pub(crate) fn millimetres(metres: &f64) -> String {
    plain(metres * 1e3) + " mm"
}

/// Six digits and no zeros behind them; powers of ten only where the number is tiny or huge.
fn plain(value: f64) -> String {
    if value == 0.0 || !value.is_finite() {
        return format!("{value}");
    }
    let digits = 5 - value.abs().log10().floor().clamp(-9.0, 15.0) as i32;
    if !(0..=9).contains(&digits) {
        return format!("{value:.3e}");
    }
    let text = format!("{value:.0$}", digits as usize);
    if text.contains('.') {
        return text.trim_end_matches('0').trim_end_matches('.').to_owned();
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn messages_have_the_units_of_files() {
        let degree = std::f64::consts::PI / 180.0;
        for (value, text) in [
            (21.5, "21.5°"),
            (180.0, "180°"),
            (0.0, "0°"),
            (-12.25, "-12.25°"),
            (1.0 / 3.0, "0.333333°"),
            (1e-7, "1.000e-7°"),
            (123_456.7, "123457°"),
        ] {
            assert_eq!(degrees(&(value * degree)), text);
        }
        assert_eq!(degrees_to_a_tenth(&(-76.7284 * degree)), "-76.7°");
        assert_eq!(degrees_to_a_tenth(&(-0.04 * degree)), "0°");
        assert_eq!(millimetres(&0.14), "140 mm");
        assert_eq!(millimetres(&0.000_007_5), "0.0075 mm");
        assert_eq!(millimetres(&f64::NAN), "NaN mm");
        assert_eq!(degrees_of(&[10.0 * degree, 20.0 * degree]), "10° and 20°");
    }
}
