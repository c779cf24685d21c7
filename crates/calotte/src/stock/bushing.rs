//! A plain bushing as an elastic layer between pin and boss.
//!
//! Common practice, no source: the wall is a bed of independent springs (Winkler's
//! foundation), pin and boss are rigid. Derivation in `docs/theory/machine-elements.md`.

use std::f64::consts::{FRAC_PI_2, FRAC_PI_4};

use super::bearing::{Bearing, BearingKind, StiffnessAt, TYPICAL_LOADS};
use super::error::{MachineElementError, not_negative, positive};
use crate::uncertain::{Corner, Uncertain};

/// A plain bushing, with a flange or without.
#[derive(Debug, Clone, PartialEq)]
pub struct Bushing {
    /// A name of the user's own.
    pub name: String,
    /// Bore, m.
    pub bore: f64,
    /// Outer diameter, m.
    pub outer_diameter: f64,
    /// Width along its axis, m.
    pub width: f64,
    /// Modulus of the wall in compression, Pa. A thin wall cannot bulge and is stiffer
    /// than a bar of the same material; makers measure bushings as they are.
    pub compressive_modulus: Uncertain,
    /// Density, kg/m³.
    pub density: f64,
    /// Running play on the pin, difference of the diameters, m.
    pub radial_play: f64,
    /// Play along the axis, from end to end, m.
    pub axial_play: f64,
    /// The flange; `None` does not hold the pin along its axis.
    pub flange: Option<Flange>,
}

/// Flange of a bushing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Flange {
    /// Diameter, m.
    pub diameter: f64,
    /// Thickness, m.
    pub thickness: f64,
}

impl Bearing {
    /// A bushing as a bearing.
    ///
    /// Radial stiffness is that at 20 N with the running play, its band from 5 N and the
    /// low modulus to 50 N and the high modulus, as for ball bearings. Axial stiffness is
    /// the flange's, E π(D_f² − d²)/4 over its thickness; without a flange it is 0:
    /// something else must then hold the joint along its axis.
    ///
    /// # Errors
    /// [`MachineElementError`] for sizes, modulus, density or play that are none.
    ///
    /// # Example
    /// ```
    /// # use calotte::Uncertain;
    /// # use calotte::stock::{Bearing, Bushing, MachineElementError};
    /// let bearing = Bearing::bushing(&Bushing {
    ///     name: "polymer 4 x 5.5 x 4".to_string(),
    ///     bore: 4e-3,
    ///     outer_diameter: 5.5e-3,
    ///     width: 4e-3,
    ///     compressive_modulus: Uncertain::exact(2.5e9),
    ///     density: 1400.0,
    ///     radial_play: 0.0,
    ///     axial_play: 0.0,
    ///     flange: None,
    /// })?;
    /// // Without play half the wall carries: π E L d/4t = 41.9 kN/mm.
    /// assert!((bearing.radial.value - 41.888e6).abs() < 1e3);
    /// # Ok::<(), MachineElementError>(())
    /// ```
    pub fn bushing(bushing: &Bushing) -> Result<Bearing, MachineElementError> {
        let bore = positive("bore", bushing.bore, "m")?;
        let outer = positive("outer diameter", bushing.outer_diameter, "m")?;
        let wall = 0.5 * positive("outer diameter less bore", outer - bore, "m")?;
        let width = positive("width", bushing.width, "m")?;
        let modulus = positive_band("compressive modulus", &bushing.compressive_modulus, "Pa")?;
        let density = not_negative("density", bushing.density, "kg/m³")?;
        let play = not_negative("radial play", bushing.radial_play, "m")?;
        let radial = |corner: Corner, load: f64| {
            let scale = 0.5 * modulus.resisting(corner) * width * bore / wall;
            Layer {
                scale,
                slack: 0.5 * play,
            }
            .stiffness_at(load)
        };
        let [least, usual, greatest] = TYPICAL_LOADS;
        let (axial, flange_volume) = flange(bushing, &modulus)?;
        let ring = FRAC_PI_4 * (outer * outer - bore * bore) * width;
        Ok(Bearing {
            name: bushing.name.clone(),
            kind: BearingKind::Bushing,
            bore,
            outer_diameter: outer,
            width,
            radial: Uncertain::band(
                radial(Corner::Nominal, usual)?,
                radial(Corner::Soft, least)?,
                radial(Corner::Stiff, greatest)?,
            ),
            axial,
            mass: density * (ring + flange_volume),
            static_rating: None,
            dynamic_rating: None,
            stiffness_at: StiffnessAt::Stated,
            radial_play: play,
            axial_play: not_negative("axial play", bushing.axial_play, "m")?,
        })
    }
}

/// Axial stiffness and volume of the flange; its bore is the bushing's.
fn flange(bushing: &Bushing, modulus: &Uncertain) -> Result<(Uncertain, f64), MachineElementError> {
    let Some(flange) = bushing.flange else {
        return Ok((Uncertain::exact(0.0), 0.0));
    };
    let bore = bushing.bore;
    let beyond = flange.diameter - bushing.outer_diameter;
    positive("flange beyond the outer diameter", beyond, "m")?;
    let thickness = positive("flange thickness", flange.thickness, "m")?;
    let area = FRAC_PI_4 * (flange.diameter.powi(2) - bore * bore);
    // The bushing's own ring already fills the middle of the flange.
    let rim = FRAC_PI_4 * (flange.diameter.powi(2) - bushing.outer_diameter.powi(2));
    Ok((modulus.scaled(area / thickness), rim * thickness))
}

/// A band above zero that holds its value.
pub(crate) fn positive_band(
    quantity: &'static str,
    band: &Uncertain,
    unit: &'static str,
) -> Result<Uncertain, MachineElementError> {
    for value in [band.low, band.value, band.high] {
        positive(quantity, value, unit)?;
    }
    if band.low <= band.value && band.value <= band.high {
        Ok(*band)
    } else {
        Err(MachineElementError::BandOrder {
            quantity,
            value: band.value,
            low: band.low,
            high: band.high,
        })
    }
}

/// A bed of springs between a round pin and a round wall.
///
/// With the pin moved by e and half the play c, contact reaches to ±θ, cos θ = c/e:
/// load S (e (θ + sin θ cos θ) − 2 c sin θ) = S c (θ − sin θ cos θ)/cos θ, tangent
/// stiffness S (θ + sin θ cos θ), with S = E L d/2t.
#[derive(Debug, Clone, Copy)]
pub(super) struct Layer {
    /// S, N/m.
    scale: f64,
    /// c, m.
    slack: f64,
}

impl Layer {
    /// The layer that has a given stiffness at a given load.
    ///
    /// Stiffness times c over load is (θ + sin θ cos θ) cos θ/(θ − sin θ cos θ), which
    /// falls with θ.
    pub(super) fn of_stiffness(
        stiffness: f64,
        load: f64,
        radial_play: f64,
    ) -> Result<Self, MachineElementError> {
        let stiffness = positive("radial stiffness", stiffness, "N/m")?;
        let slack = 0.5 * not_negative("radial play", radial_play, "m")?;
        let aim = stiffness * slack / load;
        let falls = |angle: f64| angle.cos() * reach(angle) - aim * lift(angle);
        let angle = bisect(falls);
        Ok(Self {
            scale: stiffness / reach(angle),
            slack,
        })
    }

    /// Tangent stiffness at a load in N, N/m.
    pub(super) fn stiffness_at(&self, load: f64) -> Result<f64, MachineElementError> {
        let load = not_negative("radial load", load, "N")?;
        let aim = load / self.scale;
        let falls = |angle: f64| aim * angle.cos() - self.slack * lift(angle);
        if load == 0.0 && self.slack > 0.0 {
            return Ok(0.0);
        }
        Ok(self.scale * reach(bisect(falls)))
    }
}

/// θ + sin θ cos θ.
fn reach(angle: f64) -> f64 {
    angle + angle.sin() * angle.cos()
}

/// θ − sin θ cos θ, by its series where the difference would lose digits.
fn lift(angle: f64) -> f64 {
    if angle < 0.05 {
        let square = angle * angle;
        angle
            * square
            * (2.0 / 3.0)
            * (1.0 - square * (0.2 - square * (2.0 / 105.0 - square / 945.0)))
    } else {
        angle - angle.sin() * angle.cos()
    }
}

/// Where a function falls through zero between 0 and π/2; π/2 if it does not.
fn bisect(falls: impl Fn(f64) -> f64) -> f64 {
    let (mut low, mut high) = (0.0, FRAC_PI_2);
    loop {
        let middle = 0.5 * (low + high);
        if middle <= low || middle >= high {
            return high;
        }
        if falls(middle) > 0.0 {
            low = middle;
        } else {
            high = middle;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sample(radial_play: f64) -> Bushing {
        Bushing {
            name: "own".to_string(),
            bore: 4e-3,
            outer_diameter: 5.5e-3,
            width: 4e-3,
            compressive_modulus: Uncertain::band(2.5e9, 2e9, 3e9),
            density: 1400.0,
            radial_play,
            axial_play: 0.1e-3,
            flange: Some(Flange {
                diameter: 9.5e-3,
                thickness: 0.75e-3,
            }),
        }
    }

    /// θ − sin θ cos θ = ⅔θ³(1 − θ²/5 + 2θ⁴/105 − θ⁶/945): both branches agree at the seam.
    #[test]
    fn series_and_closed_form_agree() {
        let closed = |angle: f64| angle - angle.sin() * angle.cos();
        assert!((lift(0.0499) / closed(0.0499) - 1.0).abs() < 1e-12);
        assert!((lift(0.0501) / closed(0.0501) - 1.0).abs() < 1e-12);
    }

    /// Load from the pressure, summed over the contact; stiffness from its difference.
    #[test]
    fn tangent_is_the_derivative_of_the_summed_pressure() {
        let layer = Layer {
            scale: 26.7e6,
            slack: 10e-6,
        };
        let load = |move_: f64| {
            let steps = 20_000;
            let step = std::f64::consts::PI / f64::from(steps);
            (0..steps)
                .map(|i| {
                    let cosine = (-FRAC_PI_2 + (f64::from(i) + 0.5) * step).cos();
                    layer.scale * (move_ * cosine - layer.slack).max(0.0) * cosine * step
                })
                .sum::<f64>()
        };
        // A move of 11 µm.
        let force = load(11e-6);
        let slope = (load(11.001e-6) - load(10.999e-6)) / 2e-9;
        let stiffness = layer.stiffness_at(force).unwrap();
        assert!((stiffness / slope - 1.0).abs() < 1e-4);
    }

    #[test]
    fn flange_and_mass_by_hand() {
        let bearing = Bearing::bushing(&sample(0.0)).unwrap();
        // π/4 (9.5² − 4²) = 58.315 mm² over 0.75 mm at 2.5 GPa.
        assert!((bearing.axial.value - 194.4e6).abs() < 0.1e6);
        assert!((bearing.axial.low / bearing.axial.value - 0.8).abs() < 1e-12);
        // Ring 44.768 mm³ and rim 35.343 mm³ at 1.4 g/cm³.
        assert!((bearing.mass - 112.15e-6).abs() < 0.05e-6);
        let plain = Bushing {
            flange: None,
            ..sample(0.0)
        };
        assert_eq!(Bearing::bushing(&plain).unwrap().axial.value, 0.0);
    }

    /// The bearing holds no modulus; stiffness at any load still follows from its value.
    #[test]
    fn stiffness_at_a_load_is_that_of_the_layer() {
        for play in [0.0, 20e-6, 100e-6] {
            let bearing = Bearing::bushing(&sample(play)).unwrap();
            assert!(bearing.radial.low < bearing.radial.value);
            let layer = Layer {
                scale: 0.5 * 2.5e9 * 4e-3 * 4e-3 / 0.75e-3,
                slack: 0.5 * play,
            };
            for load in [0.0, 1.0, 20.0, 200.0] {
                let direct = layer.stiffness_at(load).unwrap();
                let by_value = bearing.radial_stiffness_at(load).unwrap();
                assert!((direct - by_value).abs() <= 1e-9 * direct, "{play} {load}");
            }
            assert_eq!(bearing.axial_stiffness_at(5.0), Ok(bearing.axial.value));
            assert!(bearing.preloaded(5.0).is_err());
        }
    }

    #[test]
    fn bad_bushings_are_errors() {
        let with = |change: fn(&mut Bushing)| {
            let mut bushing = sample(0.0);
            change(&mut bushing);
            Bearing::bushing(&bushing)
        };
        assert!(with(|b| b.bore = 0.0).is_err());
        assert!(with(|b| b.outer_diameter = 4e-3).is_err());
        assert!(with(|b| b.width = f64::NAN).is_err());
        assert!(with(|b| b.radial_play = -1e-6).is_err());
        assert!(with(|b| b.compressive_modulus = Uncertain::band(1e9, 2e9, 3e9)).is_err());
        assert!(with(|b| b.compressive_modulus = Uncertain::band(1e9, 0.0, 3e9)).is_err());
        let narrow = |b: &mut Bushing| {
            b.flange = Some(Flange {
                diameter: 5e-3,
                thickness: 1e-3,
            });
        };
        assert!(with(narrow).is_err());
    }
}
