//! Hertz contact at a point: where two bodies touch, how far they approach each
//! other and how hard they press.
//!
//! H. Hertz 1881; in the notation of rolling bearings (T. A. Harris, Rolling
//! Bearing Analysis). Derivation in `docs/theory/machine-elements.md`.

use std::f64::consts::{FRAC_PI_2, PI};

use super::error::{MachineElementError, not_negative, positive, within};

/// Greatest ratio of the two relative curvatures that is still a point contact.
const CURVATURE_RATIO_MAX: f64 = 1e6;
/// Upper end of the search for the logarithm of the ellipse's axes ratio.
const LOG_RATIO_MAX: f64 = 16.0;
/// Palmgren's constant in SI: 0.00044 mm at 1 N and 1 mm, m^(4/3)/N^(2/3).
const PALMGREN: f64 = 4.4e-8;

/// Young's modulus and Poisson's ratio of a body in contact.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ElasticConstants {
    /// Young's modulus, Pa.
    pub youngs_modulus: f64,
    /// Poisson's ratio, 0 to 0.5.
    pub poisson_ratio: f64,
}

impl ElasticConstants {
    /// Bearing steel: 206 GPa, 0.3.
    pub const BEARING_STEEL: Self = Self {
        youngs_modulus: 206e9,
        poisson_ratio: 0.3,
    };

    /// (1 − ν²)/E, 1/Pa.
    fn plane_compliance(&self) -> Result<f64, MachineElementError> {
        let modulus = positive("Young's modulus", self.youngs_modulus, "Pa")?;
        let ratio = within("Poisson's ratio", self.poisson_ratio, [0.0, 0.5], "")?;
        Ok((1.0 - ratio * ratio) / modulus)
    }
}

/// Which race a ball runs on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Race {
    /// The inner ring's, convex along the rolling direction.
    Inner,
    /// The outer ring's, hollow along the rolling direction.
    Outer,
}

/// A point contact: all that does not depend on the load.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PointContact {
    /// Sum of the four principal curvatures Σρ, 1/m.
    pub curvature_sum: f64,
    /// Curvature function F(ρ): difference over sum of the two relative curvatures.
    pub curvature_difference: f64,
    /// Major over minor axis of the contact ellipse, κ.
    pub axes_ratio: f64,
    /// Dimensionless semi-major axis a*.
    pub semi_major_factor: f64,
    /// Dimensionless semi-minor axis b*.
    pub semi_minor_factor: f64,
    /// Dimensionless approach δ*.
    pub approach_factor: f64,
    /// Sum of (1 − ν²)/E of the two bodies, 1/Pa.
    pub compliance: f64,
}

/// A point contact under a load.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ContactState {
    /// Semi-major axis of the contact ellipse, m.
    pub semi_major: f64,
    /// Semi-minor axis, m.
    pub semi_minor: f64,
    /// Approach of the two bodies, m.
    pub approach: f64,
    /// Greatest pressure, in the middle of the ellipse, Pa.
    pub peak_pressure: f64,
}

impl PointContact {
    /// Contact of two bodies whose principal planes agree.
    ///
    /// # Arguments
    /// - `relative_curvatures`: sum of the two bodies' curvatures in each principal
    ///   plane, 1/m, hollow surfaces negative; both sums above 0.
    /// - `bodies`: their elastic constants.
    ///
    /// # Errors
    /// [`MachineElementError::NoPointContact`] where the bodies touch along a line or
    /// not from outside; [`MachineElementError::NotPositive`] and
    /// [`MachineElementError::OutOfRange`] for elastic constants.
    pub fn new(
        relative_curvatures: [f64; 2],
        bodies: [&ElasticConstants; 2],
    ) -> Result<Self, MachineElementError> {
        let [first, second] = relative_curvatures;
        let (small, great) = (first.min(second), first.max(second));
        let point = first > 0.0 && second > 0.0 && great.is_finite();
        if !point || great > CURVATURE_RATIO_MAX * small {
            return Err(MachineElementError::NoPointContact { first, second });
        }
        let compliance = bodies[0].plane_compliance()? + bodies[1].plane_compliance()?;
        let curvature_sum = first + second;
        let curvature_difference = (great - small) / curvature_sum;
        let log_ratio = log_axes_ratio(curvature_difference);
        let ellipse = Ellipse::new(log_ratio);
        let axes_ratio = log_ratio.exp();
        let square = axes_ratio * axes_ratio;
        Ok(Self {
            curvature_sum,
            curvature_difference,
            axes_ratio,
            semi_major_factor: (2.0 * square * ellipse.second / PI).cbrt(),
            semi_minor_factor: (2.0 * ellipse.second / (PI * axes_ratio)).cbrt(),
            approach_factor: ellipse.first / FRAC_PI_2
                * (FRAC_PI_2 / (square * ellipse.second)).cbrt(),
            compliance,
        })
    }

    /// A ball on a flat of the same or another material.
    ///
    /// # Errors
    /// [`MachineElementError`] for a radius or elastic constants that are not positive.
    ///
    /// # Example
    /// ```
    /// # use calotte::stock::{ElasticConstants, PointContact, MachineElementError};
    /// let steel = ElasticConstants::BEARING_STEEL;
    /// let contact = PointContact::ball_on_flat(5e-3, [&steel, &steel])?;
    /// let state = contact.under(10.0)?;
    /// // Radius 5 mm, 10 N: 0.958 µm, 997 MPa.
    /// assert!((state.approach - 0.957606e-6).abs() < 1e-12);
    /// assert!((state.peak_pressure - 997.205e6).abs() < 1e3);
    /// # Ok::<(), MachineElementError>(())
    /// ```
    pub fn ball_on_flat(
        radius: f64,
        bodies: [&ElasticConstants; 2],
    ) -> Result<Self, MachineElementError> {
        let curvature = 1.0 / positive("ball radius", radius, "m")?;
        Self::new([curvature; 2], bodies)
    }

    /// A ball in the groove of a race.
    ///
    /// # Arguments
    /// - `race`: inner or outer.
    /// - `ball_diameter`: D, m.
    /// - `ratio`: γ = D cos α / pitch diameter, 0 ≤ γ < 1.
    /// - `osculation`: groove radius over ball diameter, above 0.5.
    /// - `steel`: elastic constants of ball and race.
    ///
    /// # Errors
    /// [`MachineElementError`] for values outside these limits.
    pub fn ball_on_race(
        race: Race,
        ball_diameter: f64,
        ratio: f64,
        osculation: f64,
        steel: &ElasticConstants,
    ) -> Result<Self, MachineElementError> {
        let diameter = positive("ball diameter", ball_diameter, "m")?;
        let ratio = within("ball over pitch diameter", ratio, [0.0, 0.9], "")?;
        let osculation = within("osculation", osculation, [0.5001, 1e3], "")?;
        let along = match race {
            Race::Inner => 2.0 / (1.0 - ratio),
            Race::Outer => 2.0 / (1.0 + ratio),
        };
        let across = 2.0 - 1.0 / osculation;
        Self::new([along / diameter, across / diameter], [steel, steel])
    }

    /// Contact ellipse, approach and pressure under a load in N.
    ///
    /// # Errors
    /// [`MachineElementError::Negative`] for a load below 0.
    pub fn under(&self, load: f64) -> Result<ContactState, MachineElementError> {
        let load = not_negative("contact load", load, "N")?;
        let size = (1.5 * self.compliance * load / self.curvature_sum).cbrt();
        // p0 = 3Q/(2πab), written so that it is 0 and not 0/0 without load.
        let pressure = size * self.curvature_sum
            / (PI * self.compliance * self.semi_major_factor * self.semi_minor_factor);
        Ok(ContactState {
            semi_major: self.semi_major_factor * size,
            semi_minor: self.semi_minor_factor * size,
            approach: 0.5 * self.approach_factor * self.curvature_sum * size * size,
            peak_pressure: pressure,
        })
    }

    /// K of load = K · approach^1.5, N/m^1.5.
    pub fn load_constant(&self) -> f64 {
        let unit = (1.5 * self.compliance / self.curvature_sum).cbrt();
        (0.5 * self.approach_factor * self.curvature_sum * unit * unit).powf(-1.5)
    }
}

/// Approach of the two rings at one steel ball between them, m, by Palmgren's
/// formula δ = 0.00044 (Q²/D)^⅓ (mm, N; from memory): the sum over both races.
///
/// Hertz's theory gives 0.96 to 1.03 of it at an osculation of 0.515 to 0.52 and 1.2
/// of it at 0.54.
///
/// # Errors
/// [`MachineElementError`] for a negative load or a diameter that is not positive.
///
/// # Example
/// ```
/// # use calotte::stock::{MachineElementError, palmgren_approach};
/// let approach = palmgren_approach(100.0, 3.969e-3)?;
/// assert!((approach - 5.987e-6).abs() < 1e-9);
/// # Ok::<(), MachineElementError>(())
/// ```
pub fn palmgren_approach(load: f64, ball_diameter: f64) -> Result<f64, MachineElementError> {
    let load = not_negative("ball load", load, "N")?;
    let diameter = positive("ball diameter", ball_diameter, "m")?;
    Ok(PALMGREN * (load * load / diameter).cbrt())
}

/// Complete elliptic integrals of the ellipse of a given logarithm of its axes ratio.
struct Ellipse {
    /// K.
    first: f64,
    /// E.
    second: f64,
    /// The curvature function F(ρ) that belongs to this ellipse.
    curvature_difference: f64,
}

impl Ellipse {
    /// Integrals of parameter m = 1 − e^(−2x) by the arithmetic–geometric mean.
    ///
    /// K = π/2M and E = K(1 − m/2 − S), S = Σ 2^(n−1) cₙ² over n ≥ 1, each
    /// cₙ = cₙ₋₁²/4aₙ: no difference of nearly equal numbers. Then F is
    /// [(2 − m)E − 2(1 − m)K]/(mE) = [m²/2 − (2 − m)S]/(m(1 − m/2 − S)).
    fn new(log_ratio: f64) -> Self {
        let parameter = -(-2.0 * log_ratio).exp_m1();
        let (mut a, mut b) = (1.0, (-log_ratio).exp());
        let mut c = parameter.sqrt();
        let (mut sum, mut weight) = (0.0, 1.0);
        while c > 1e-17 * a {
            let mean = 0.5 * (a + b);
            b = (a * b).sqrt();
            a = mean;
            c = c * c / (4.0 * a);
            sum += weight * c * c;
            weight *= 2.0;
        }
        let first = FRAC_PI_2 / a;
        let share = 1.0 - 0.5 * parameter - sum;
        let curvature_difference = if parameter > 0.0 {
            (0.5 * parameter * parameter - (2.0 - parameter) * sum) / (parameter * share)
        } else {
            0.0
        };
        Self {
            first,
            second: first * share,
            curvature_difference,
        }
    }
}

/// Logarithm of the axes ratio whose ellipse has this curvature function, by bisection
/// down to neighbouring numbers; F grows with the ratio.
fn log_axes_ratio(curvature_difference: f64) -> f64 {
    if curvature_difference <= 0.0 {
        return 0.0;
    }
    let (mut low, mut high) = (0.0, LOG_RATIO_MAX);
    loop {
        let middle = 0.5 * (low + high);
        if middle <= low || middle >= high {
            return middle;
        }
        if Ellipse::new(middle).curvature_difference < curvature_difference {
            low = middle;
        } else {
            high = middle;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Abramowitz and Stegun, table 17.1: K(½) and E(½), from memory.
    #[test]
    fn elliptic_integrals_at_one_half() {
        let ellipse = Ellipse::new(0.5 * std::f64::consts::LN_2);
        assert!((ellipse.first - 1.854_074_677_301_372).abs() < 1e-12);
        assert!((ellipse.second - 1.350_643_881_047_675).abs() < 1e-12);
    }

    /// Legendre's relation E K' + E' K − K K' = π/2 over the whole range of ratios.
    #[test]
    fn legendres_relation_holds() {
        for log_ratio in [1e-6, 1e-3, 0.1, 1.0, 2.3, 5.0, 8.0] {
            let this = Ellipse::new(log_ratio);
            // The complementary parameter is e^(−2x).
            let other = -0.5 * (-(-2.0 * log_ratio).exp()).ln_1p();
            let that = Ellipse::new(other);
            let relation =
                this.second * that.first + that.second * this.first - this.first * that.first;
            assert!((relation - FRAC_PI_2).abs() < 1e-12, "{log_ratio}");
        }
    }

    /// F = 3m/8 for nearly round contacts, m = 2x.
    #[test]
    fn a_nearly_round_contact_has_its_series() {
        let log_ratio = log_axes_ratio(1e-7);
        assert!((0.75 * log_ratio / 1e-7 - 1.0).abs() < 1e-6);
        assert_eq!(log_axes_ratio(0.0), 0.0);
    }

    /// Round contact in closed form: a³ = 3QR/4E*, δ = a²/R, p0 = 3Q/2πa².
    #[test]
    fn ball_on_flat_is_hertz_in_closed_form() {
        let (steel, plastic) = (
            ElasticConstants::BEARING_STEEL,
            ElasticConstants {
                youngs_modulus: 2e9,
                poisson_ratio: 0.4,
            },
        );
        let contact = PointContact::ball_on_flat(4e-3, [&steel, &plastic]).unwrap();
        let state = contact.under(7.0).unwrap();
        let modulus: f64 = 1.0 / (0.91 / 206e9 + 0.84 / 2e9);
        let a = (0.75 * 7.0 * 4e-3 / modulus).cbrt();
        assert!((state.semi_major / a - 1.0).abs() < 1e-12);
        assert!((state.semi_minor / a - 1.0).abs() < 1e-12);
        assert!((state.approach / (a * a / 4e-3) - 1.0).abs() < 1e-12);
        assert!((state.peak_pressure / (1.5 * 7.0 / (PI * a * a)) - 1.0).abs() < 1e-12);
        let by_constant = (7.0 / contact.load_constant()).powf(2.0 / 3.0);
        assert!((by_constant / state.approach - 1.0).abs() < 1e-12);
    }

    #[test]
    fn what_does_not_touch_at_a_point_is_an_error() {
        let steel = ElasticConstants::BEARING_STEEL;
        for curvatures in [
            [0.0, 1.0],
            [1.0, -1.0],
            [f64::NAN, 1.0],
            [1.0, f64::INFINITY],
            [1.0, 1e-7],
        ] {
            let contact = PointContact::new(curvatures, [&steel, &steel]);
            let error = contact.unwrap_err();
            assert!(matches!(error, MachineElementError::NoPointContact { .. }));
        }
        let contact = PointContact::ball_on_flat(1e-3, [&steel, &steel]).unwrap();
        assert!(contact.under(-1.0).is_err() && contact.under(f64::NAN).is_err());
        assert_eq!(contact.under(0.0).unwrap().peak_pressure, 0.0);
        assert!(PointContact::ball_on_flat(0.0, [&steel, &steel]).is_err());
        let race = |ratio, osculation| {
            PointContact::ball_on_race(Race::Inner, 2e-3, ratio, osculation, &steel)
        };
        assert!(race(0.2, 0.5).is_err() && race(1.0, 0.52).is_err() && race(0.2, 0.52).is_ok());
        assert!(palmgren_approach(1.0, 0.0).is_err());
    }
}
