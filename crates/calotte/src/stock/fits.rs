//! Limits and fits by ISO 286 up to 30 mm: what clearance a named fit leaves.

use super::error::{MachineElementError, not_negative, positive, within};

/// Upper ends of the ranges of nominal sizes, m; each holds its upper end.
const RANGES: [f64; 5] = [3e-3, 6e-3, 10e-3, 18e-3, 30e-3];
/// Standard tolerance grades IT5 to IT9 per range, µm (ISO 286-1, public tables).
const GRADES: [[f64; 5]; 5] = [
    [4.0, 6.0, 10.0, 14.0, 25.0],
    [5.0, 8.0, 12.0, 18.0, 30.0],
    [6.0, 9.0, 15.0, 22.0, 36.0],
    [8.0, 11.0, 18.0, 27.0, 43.0],
    [9.0, 13.0, 21.0, 33.0, 52.0],
];
/// Fundamental deviations of shafts per range, µm. e, f and g: upper deviation, below the
/// nominal size; k, m, n and p: lower deviation, above it (public tables of ISO 286,
/// also printed as JIS B 0401).
const SHAFTS: [(&str, Side, [f64; 5]); 8] = [
    ("e", Side::Upper, [-14.0, -20.0, -25.0, -32.0, -40.0]),
    ("f", Side::Upper, [-6.0, -10.0, -13.0, -16.0, -20.0]),
    ("g", Side::Upper, [-2.0, -4.0, -5.0, -6.0, -7.0]),
    ("h", Side::Upper, [0.0; 5]),
    ("k", Side::Lower, [0.0, 1.0, 1.0, 1.0, 2.0]),
    ("m", Side::Lower, [2.0, 4.0, 6.0, 7.0, 8.0]),
    ("n", Side::Lower, [4.0, 8.0, 10.0, 12.0, 15.0]),
    ("p", Side::Lower, [6.0, 12.0, 15.0, 18.0, 22.0]),
];
const SHAFTS_KNOWN: &str = "e, f, g, h, js, m, n and p with grades 5 to 9 and k5 to k7";
const HOLES_KNOWN: &str = "H and JS with grades 5 to 9";
const MICROMETRE: f64 = 1e-6;
/// Nominal sizes may be this much above a limit, so that 3 mm is 3 mm however computed, m.
const ROUNDING: f64 = 1e-10;

/// Which deviation a letter fixes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Side {
    Upper,
    Lower,
}

/// Deviations of a hole's or shaft's diameter from its nominal size.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Limits {
    /// Lower deviation, m.
    pub lower: f64,
    /// Upper deviation, m.
    pub upper: f64,
}

/// A hole and a shaft of one nominal size.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fit {
    /// The hole.
    pub hole: Limits,
    /// The shaft.
    pub shaft: Limits,
}

/// Standard tolerance of a grade, IT5 to IT9, m.
///
/// The table, not the formula behind it: the standard's rounding does not follow the
/// formula at small sizes.
///
/// # Errors
/// [`MachineElementError::OutOfRange`] for another grade or a nominal size above 30 mm.
///
/// # Example
/// ```
/// # use calotte::stock::{MachineElementError, international_tolerance};
/// assert!((international_tolerance(7, 4e-3)? - 12e-6).abs() < 1e-12);
/// # Ok::<(), MachineElementError>(())
/// ```
pub fn international_tolerance(grade: u8, nominal: f64) -> Result<f64, MachineElementError> {
    within("tolerance grade", f64::from(grade), [5.0, 9.0], "")?;
    let range = range_of(nominal)?;
    Ok(GRADES[range][usize::from(grade) - 5] * MICROMETRE)
}

/// Index of the range of a nominal size in m.
fn range_of(nominal: f64) -> Result<usize, MachineElementError> {
    let nominal = positive("nominal size", nominal, "m")?;
    RANGES
        .iter()
        .position(|end| nominal <= end + ROUNDING)
        .ok_or(MachineElementError::OutOfRange {
            quantity: "nominal size",
            value: nominal,
            least: 0.0,
            greatest: RANGES[RANGES.len() - 1],
            unit: "m",
        })
}

/// Letter and grade of a tolerance class such as `g6`.
fn letter_and_grade(class: &str) -> Option<(&str, u8)> {
    let digits = class.find(|c: char| c.is_ascii_digit())?;
    let (letter, grade) = class.split_at(digits);
    let grade: u8 = grade.parse().ok()?;
    (5..=9).contains(&grade).then_some((letter, grade))
}

/// Deviations of a hole of a tolerance class, such as `H7`: H or JS, grades 5 to 9.
///
/// # Errors
/// [`MachineElementError`] for another class or a nominal size that is not within 30 mm.
///
/// # Example
/// ```
/// # use calotte::stock::{MachineElementError, hole_limits};
/// let limits = hole_limits("H7", 13e-3)?;
/// assert!(limits.lower == 0.0 && (limits.upper - 18e-6).abs() < 1e-12);
/// # Ok::<(), MachineElementError>(())
/// ```
pub fn hole_limits(class: &str, nominal: f64) -> Result<Limits, MachineElementError> {
    let unknown = || MachineElementError::UnknownToleranceClass {
        class: class.to_string(),
        member: "hole",
        known: HOLES_KNOWN,
    };
    let (letter, grade) = letter_and_grade(class).ok_or_else(unknown)?;
    let tolerance = international_tolerance(grade, nominal)?;
    match letter {
        "H" => Ok(Limits {
            lower: 0.0,
            upper: tolerance,
        }),
        "JS" => Ok(symmetric(tolerance)),
        _ => Err(unknown()),
    }
}

/// Deviations of a shaft of a tolerance class, such as `g6`: e, f, g, h, js, m, n, p with
/// grades 5 to 9, k with grades 5 to 7.
///
/// # Errors
/// [`MachineElementError`] for another class or a nominal size that is not within 30 mm.
///
/// # Example
/// ```
/// # use calotte::stock::{MachineElementError, shaft_limits};
/// let limits = shaft_limits("g6", 4e-3)?;
/// assert!((limits.upper + 4e-6).abs() < 1e-12 && (limits.lower + 12e-6).abs() < 1e-12);
/// # Ok::<(), MachineElementError>(())
/// ```
pub fn shaft_limits(class: &str, nominal: f64) -> Result<Limits, MachineElementError> {
    let unknown = || MachineElementError::UnknownToleranceClass {
        class: class.to_string(),
        member: "shaft",
        known: SHAFTS_KNOWN,
    };
    let (letter, grade) = letter_and_grade(class).ok_or_else(unknown)?;
    let tolerance = international_tolerance(grade, nominal)?;
    if letter == "js" {
        return Ok(symmetric(tolerance));
    }
    // Coarser grades of k have another deviation.
    if letter == "k" && grade > 7 {
        return Err(unknown());
    }
    let range = range_of(nominal)?;
    let row = SHAFTS.iter().find(|(name, _, _)| *name == letter);
    let (_, side, deviations) = row.ok_or_else(unknown)?;
    let deviation = deviations[range] * MICROMETRE;
    Ok(match side {
        Side::Upper => Limits {
            lower: deviation - tolerance,
            upper: deviation,
        },
        Side::Lower => Limits {
            lower: deviation,
            upper: deviation + tolerance,
        },
    })
}

fn symmetric(tolerance: f64) -> Limits {
    Limits {
        lower: -0.5 * tolerance,
        upper: 0.5 * tolerance,
    }
}

impl Fit {
    /// A fit by its name, hole then shaft.
    ///
    /// # Arguments
    /// - `name`: such as `H7/g6`.
    /// - `nominal`: m, up to 30 mm.
    ///
    /// # Errors
    /// [`MachineElementError`] that says which part of the name or size is not known.
    ///
    /// # Example
    /// ```
    /// # use calotte::stock::{Fit, MachineElementError};
    /// let fit = Fit::named("H7/g6", 4e-3)?;
    /// assert!((fit.clearance_min() - 4e-6).abs() < 1e-12);
    /// assert!((fit.clearance_max() - 24e-6).abs() < 1e-12);
    /// assert!(Fit::named("H7-g6", 4e-3).is_err());
    /// # Ok::<(), MachineElementError>(())
    /// ```
    pub fn named(name: &str, nominal: f64) -> Result<Fit, MachineElementError> {
        let (hole, shaft) = name
            .split_once('/')
            .ok_or_else(|| MachineElementError::FitForm {
                name: name.to_string(),
            })?;
        Ok(Fit {
            hole: hole_limits(hole.trim(), nominal)?,
            shaft: shaft_limits(shaft.trim(), nominal)?,
        })
    }

    /// Least play, difference of the diameters, m; negative is interference.
    pub fn clearance_min(&self) -> f64 {
        self.hole.lower - self.shaft.upper
    }

    /// Greatest play, difference of the diameters, m; negative is interference.
    pub fn clearance_max(&self) -> f64 {
        self.hole.upper - self.shaft.lower
    }
}

/// Angle by which a pin tilts in two places of radial clearance a distance apart, rad:
/// 2 c/L, each end moved by c in opposite directions.
///
/// # Arguments
/// - `radial_clearance`: half the difference of the diameters, m.
/// - `length`: distance of the two places, or length of a bushing, m.
///
/// # Errors
/// [`MachineElementError`] for a negative clearance or a length that is not above 0.
///
/// # Example
/// ```
/// # use calotte::stock::{MachineElementError, clearance_tilt};
/// let angle = clearance_tilt(0.01e-3, 10e-3)?;
/// assert!((angle - 0.002).abs() < 1e-15);
/// // 0.3 mm at 150 mm.
/// assert!((angle * 150e-3 - 0.3e-3).abs() < 1e-15);
/// # Ok::<(), MachineElementError>(())
/// ```
pub fn clearance_tilt(radial_clearance: f64, length: f64) -> Result<f64, MachineElementError> {
    let clearance = not_negative("radial clearance", radial_clearance, "m")?;
    let length = positive("length", length, "m")?;
    Ok(2.0 * clearance / length)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn micrometres(limits: Limits) -> [f64; 2] {
        [limits.lower, limits.upper].map(|v| (v * 1e6).round())
    }

    /// Public tables of ISO 286, µm at 5 mm.
    #[test]
    fn shafts_at_five_millimetres() {
        for (class, expected) in [
            ("f7", [-22.0, -10.0]),
            ("h6", [-8.0, 0.0]),
            ("js6", [-4.0, 4.0]),
            ("k6", [1.0, 9.0]),
            ("m6", [4.0, 12.0]),
            ("n6", [8.0, 16.0]),
            ("p6", [12.0, 20.0]),
        ] {
            assert_eq!(micrometres(shaft_limits(class, 5e-3).unwrap()), expected);
        }
        assert_eq!(
            micrometres(hole_limits("JS9", 5e-3).unwrap()),
            [-15.0, 15.0]
        );
        let press = Fit::named("H7/p6", 5e-3).unwrap();
        assert!(press.clearance_max() <= 1e-12 && press.clearance_min() < -19e-6);
    }

    /// A range ends with its upper limit, however that was computed.
    #[test]
    fn ranges_hold_their_upper_end() {
        for (nominal, expected) in [(3e-3, 10e-6), (3.0 * 1e-3, 10e-6), (3.001e-3, 12e-6)] {
            let tolerance = international_tolerance(7, nominal).unwrap();
            assert!((tolerance - expected).abs() < 1e-12, "{nominal}");
        }
        assert!((international_tolerance(7, 30.0 * 1e-3).unwrap() - 21e-6).abs() < 1e-12);
    }

    #[test]
    fn what_the_table_does_not_hold_is_an_error() {
        for nominal in [0.0, -1e-3, f64::NAN, f64::INFINITY, 31e-3] {
            assert!(Fit::named("H7/g6", nominal).is_err(), "{nominal}");
        }
        for name in [
            "", "H7", "H7/", "/g6", "g6/H7", "H4/g6", "H10/g6", "H7/g6x", "H7/k8", "N7/h6",
            "H7/g999", "é7/g6",
        ] {
            let error = Fit::named(name, 5e-3).unwrap_err();
            let text = error.to_string();
            assert!(text.contains("H7/g6") || text.contains("grades"), "{text}");
        }
        for grade in [0, 4, 10, 255] {
            assert!(international_tolerance(grade, 5e-3).is_err());
        }
    }
}
