//! Units at the edge: what a file says in mm, degrees or GPa, and the SI value inside.
//!
//! Conversions work on the decimal text a person reads. A unit that is a power
//! of ten times its SI unit only moves the decimal point, and degrees go
//! through twice the working precision. So 23.5° and 150 mm become the very
//! numbers nearest to 23.5·π/180 and 0.15, and every SI value has a decimal
//! text that reads back to it exactly.
//!
//! ```
//! use calotte_format::units;
//! assert_eq!(units::radians(90.0), std::f64::consts::FRAC_PI_2);
//! assert_eq!(units::millimetres(0.15), 150.0);
//! assert_eq!(units::Unit::Degree.write(units::radians(23.5)), "23.5");
//! ```

mod decimal;
mod degrees;

use decimal::Decimal;

/// Declares the units with the list of them, so that no unit is left out of it.
macro_rules! units {
    ($($(#[$doc:meta])* $name:ident,)*) => {
        /// Unit of a number in a file.
        #[derive(Debug, Clone, Copy, PartialEq, Eq)]
        pub enum Unit {
            $($(#[$doc])* $name,)*
        }

        impl Unit {
            /// All of them.
            pub const ALL: [Unit; [$(Unit::$name),*].len()] = [$(Unit::$name),*];
        }
    };
}

units! {
    /// No unit: ratios, shares, components of directions.
    One,
    /// Millimetre; inside m.
    Millimetre,
    /// Degree; inside rad.
    Degree,
    /// Kilogram.
    Kilogram,
    /// Kilogram per metre.
    KilogramPerMetre,
    /// Kilogram per cubic metre.
    KilogramPerCubicMetre,
    /// Newton.
    Newton,
    /// Newton metre.
    NewtonMetre,
    /// Newton square metre.
    NewtonSquareMetre,
    /// Newton per metre.
    NewtonPerMetre,
    /// Newton per millimetre; inside N/m.
    NewtonPerMillimetre,
    /// Newton metre per radian.
    NewtonMetrePerRadian,
    /// Megapascal; inside Pa.
    Megapascal,
    /// Gigapascal; inside Pa.
    Gigapascal,
}

impl Unit {
    /// The unit in which a quantity is shown.
    pub const fn of(unit: calotte::quantity::Unit) -> Self {
        use calotte::quantity::Unit as Shown;
        match unit {
            Shown::One => Unit::One,
            Shown::Millimetre => Unit::Millimetre,
            Shown::Degree => Unit::Degree,
            Shown::Kilogram => Unit::Kilogram,
            Shown::NewtonMetre => Unit::NewtonMetre,
            Shown::NewtonPerMillimetre => Unit::NewtonPerMillimetre,
        }
    }

    /// The unit as it ends a key: `mm` in `radius_mm`; empty for [`Unit::One`].
    pub fn suffix(self) -> &'static str {
        match self {
            Unit::One => "",
            Unit::Millimetre => "mm",
            Unit::Degree => "deg",
            Unit::Kilogram => "kg",
            Unit::KilogramPerMetre => "kg_m",
            Unit::KilogramPerCubicMetre => "kg_m3",
            Unit::Newton => "n",
            Unit::NewtonMetre => "nm",
            Unit::NewtonSquareMetre => "nm2",
            Unit::NewtonPerMetre => "n_per_m",
            Unit::NewtonPerMillimetre => "n_per_mm",
            Unit::NewtonMetrePerRadian => "nm_per_rad",
            Unit::Megapascal => "mpa",
            Unit::Gigapascal => "gpa",
        }
    }

    /// The unit as it is printed; empty for [`Unit::One`].
    pub fn symbol(self) -> &'static str {
        match self {
            Unit::One => "",
            Unit::Millimetre => "mm",
            Unit::Degree => "°",
            Unit::Kilogram => "kg",
            Unit::KilogramPerMetre => "kg/m",
            Unit::KilogramPerCubicMetre => "kg/m³",
            Unit::Newton => "N",
            Unit::NewtonMetre => "N·m",
            Unit::NewtonSquareMetre => "N·m²",
            Unit::NewtonPerMetre => "N/m",
            Unit::NewtonPerMillimetre => "N/mm",
            Unit::NewtonMetrePerRadian => "N·m/rad",
            Unit::Megapascal => "MPa",
            Unit::Gigapascal => "GPa",
        }
    }

    /// A number as printed with its unit: `23.5°`, `150 mm`, `0.98`.
    pub fn with(self, number: &str) -> String {
        match self {
            Unit::One => number.to_string(),
            Unit::Degree => format!("{number}°"),
            _ => format!("{number} {}", self.symbol()),
        }
    }

    /// Powers of ten from this unit to its SI unit; `None` for degrees.
    fn shift(self) -> Option<i32> {
        match self {
            Unit::Degree => None,
            Unit::Millimetre => Some(-3),
            Unit::NewtonPerMillimetre => Some(3),
            Unit::Megapascal => Some(6),
            Unit::Gigapascal => Some(9),
            Unit::One
            | Unit::Kilogram
            | Unit::KilogramPerMetre
            | Unit::KilogramPerCubicMetre
            | Unit::Newton
            | Unit::NewtonMetre
            | Unit::NewtonSquareMetre
            | Unit::NewtonPerMetre
            | Unit::NewtonMetrePerRadian => Some(0),
        }
    }

    /// The SI value of a decimal text in this unit, correctly rounded.
    ///
    /// Returns `None` for a text that is no decimal number; a text too large
    /// for a number gives infinity.
    pub fn read(self, text: &str) -> Option<f64> {
        let decimal = Decimal::parse(text)?;
        Some(match self.shift() {
            Some(shift) => decimal.shifted(shift).value(),
            None => degrees::radians_from(&decimal),
        })
    }

    /// The shortest decimal text in this unit that [`Unit::read`] turns into
    /// exactly this SI value; the value must be finite.
    pub fn write(self, si: f64) -> String {
        match self.shift() {
            Some(shift) => Decimal::shortest(si).shifted(-shift).text(),
            None => degrees::shortest(si).text(),
        }
    }

    /// The SI value of a number in this unit.
    pub fn to_si(self, number: f64) -> f64 {
        let decimal = Decimal::shortest(number);
        match self.shift() {
            _ if !number.is_finite() => number,
            Some(shift) => decimal.shifted(shift).value(),
            None => degrees::radians_from(&decimal),
        }
    }

    /// The number in this unit of an SI value: the one a person would write,
    /// 23.5 rather than 23.499999999999996.
    pub fn from_si(self, si: f64) -> f64 {
        match self.shift() {
            _ if !si.is_finite() => si,
            Some(shift) => Decimal::shortest(si).shifted(-shift).value(),
            None => degrees::shortest(si).value(),
        }
    }

    /// The SI value of the decimal of at most [`TIDY_DIGITS`] digits in this
    /// unit within a few units in the last place of the given one, or the
    /// given one where there is none. A search that steps through angles ends
    /// beside 23.5° by rounding; this is 23.5° itself.
    pub fn tidied(self, si: f64) -> f64 {
        if si == 0.0 || !si.is_finite() {
            return si;
        }
        let digits = TIDY_DIGITS - 1;
        let short = format!("{:.digits$e}", self.from_si(si));
        self.read(&short)
            .filter(|near| (near - si).abs() <= 1e-15 * si.abs())
            .unwrap_or(si)
    }
}

/// Digits up to which a number counts as one that a person wrote; two such
/// numbers are never so near that either could be meant.
pub const TIDY_DIGITS: usize = 12;

/// Millimetres of a length in m.
pub fn millimetres(metres: f64) -> f64 {
    Unit::Millimetre.from_si(metres)
}

/// Radians of an angle in degrees.
pub fn radians(degrees: f64) -> f64 {
    Unit::Degree.to_si(degrees)
}

/// Degrees of an angle in radians.
pub fn degrees(radians: f64) -> f64 {
    Unit::Degree.from_si(radians)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn people_read_the_number_they_wrote() {
        for text in ["23.5", "60", "0.1", "-77.7", "179.9", "0", "33.3"] {
            let si = Unit::Degree.read(text).unwrap();
            assert_eq!(Unit::Degree.write(si), text);
            assert_eq!(degrees(si), text.parse::<f64>().unwrap());
        }
        for (unit, si, text) in [
            (Unit::Millimetre, 0.15, "150"),
            (Unit::Millimetre, 23.1e-3, "23.1"),
            (Unit::Gigapascal, 68.9e9, "68.9"),
            (Unit::Megapascal, 276e6, "276"),
            (Unit::NewtonPerMetre, 3e6, "3e6"),
            (Unit::Kilogram, 0.0003, "0.0003"),
        ] {
            assert_eq!(unit.write(si), text);
            assert_eq!(unit.read(text), Some(si));
        }
    }

    /// Reading takes a unit's power of ten from here, showing its factor from `calotte`.
    #[test]
    fn what_is_shown_is_what_is_read() {
        use calotte::quantity::{Quantity, Unit as Shown};
        for shown in Quantity::ALL.map(Quantity::unit) {
            let unit = Unit::of(shown);
            assert_eq!(unit.suffix(), shown.suffix(), "{shown:?}");
            assert_eq!(unit.symbol(), shown.symbol(), "{shown:?}");
            let there_and_back = unit.to_si(1.0) * Shown::factor(shown);
            assert!((there_and_back - 1.0).abs() < 1e-15, "{shown:?}");
        }
    }

    #[test]
    fn known_angles_are_the_nearest_numbers() {
        use std::f64::consts::{FRAC_PI_2, FRAC_PI_3, FRAC_PI_4, FRAC_PI_6, PI, TAU};
        for (text, radians) in [
            ("360", TAU),
            ("180", PI),
            ("90", FRAC_PI_2),
            ("60", FRAC_PI_3),
            ("45", FRAC_PI_4),
            ("30", FRAC_PI_6),
        ] {
            assert_eq!(Unit::Degree.read(text), Some(radians));
        }
    }

    #[test]
    fn what_is_no_decimal_number_is_none() {
        for text in [
            "", "-", "1.2.3", "nan", "inf", "12 mm", "0x10", "1e", "e5", ".",
        ] {
            for unit in Unit::ALL {
                assert_eq!(unit.read(text), None, "{text:?} in {unit:?}");
            }
        }
        assert_eq!(Unit::Millimetre.read("1e400"), Some(f64::INFINITY));
        assert_eq!(Unit::Degree.read("1e400"), Some(f64::INFINITY));
        assert_eq!(Unit::Degree.read("1e-99999999999999999999"), Some(0.0));
        assert_eq!(
            Unit::One.read("-1e99999999999999999999"),
            Some(f64::NEG_INFINITY)
        );
    }

    #[test]
    fn angles_beside_a_short_decimal_are_tidied_to_it() {
        let (from, step) = (radians(8.0), radians(0.5));
        for index in 0..105 {
            let stepped = from + f64::from(index) * step;
            let exact = radians(8.0 + 0.5 * f64::from(index));
            assert_eq!(Unit::Degree.tidied(stepped), exact);
        }
        let odd = 0.123_456_789_012_345_6;
        assert_eq!(Unit::Degree.tidied(odd), odd);
    }

    proptest! {
        /// The written text is the same value again, whatever its size.
        #[test]
        fn every_value_is_written_exactly(bits: u64) {
            let si = f64::from_bits(bits);
            prop_assume!(si.is_finite());
            for unit in Unit::ALL {
                if unit != Unit::Degree {
                    prop_assert_eq!(unit.read(&unit.write(si)), Some(si));
                }
            }
        }

        /// So are angles, down to sizes that no mechanism has.
        #[test]
        fn every_angle_is_written_exactly(mantissa in -1.0..1.0f64, exponent in -12..2i32) {
            let si = mantissa * 10f64.powi(exponent);
            prop_assert_eq!(Unit::Degree.read(&Unit::Degree.write(si)), Some(si));
        }

        /// Degrees agree with the plain product to the last place or the one before.
        #[test]
        fn degrees_agree_with_the_plain_product(number in -720.0..720.0f64) {
            let plain = number * (std::f64::consts::PI / 180.0);
            prop_assert!((radians(number) - plain).abs() <= 4e-16 * plain.abs());
            prop_assert!((degrees(radians(number)) - number).abs() <= 4e-16 * number.abs());
        }
    }
}
