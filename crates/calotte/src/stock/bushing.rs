//! A plain bushing as an elastic layer between pin and boss.
//!
//! Common practice, no source: the wall is a bed of independent springs (Winkler's
//! foundation), pin and boss are rigid. Derivation in `docs/theory/machine-elements.md`.

use std::f64::consts::FRAC_PI_2;

use super::error::{MachineElementError, not_negative, positive};
use crate::uncertain::Uncertain;

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
    use crate::stock::{Bearing, BearingKind, StiffnessAt, TYPICAL_LOADS};

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

    /// The bearing holds no modulus; stiffness at any load still follows from its value at the
    /// load that the value is for.
    #[test]
    fn stiffness_at_a_load_is_that_of_the_layer() {
        for play in [0.0, 20e-6, 100e-6] {
            // E L d/2t of a wall of 0.75 mm.
            let layer = Layer {
                scale: 0.5 * 2.5e9 * 4e-3 * 4e-3 / 0.75e-3,
                slack: 0.5 * play,
            };
            let value = layer.stiffness_at(TYPICAL_LOADS[1]).unwrap();
            let bearing = Bearing {
                name: "own".to_string(),
                kind: BearingKind::Bushing,
                bore: 4e-3,
                outer_diameter: 5.5e-3,
                width: 4e-3,
                radial: Uncertain::exact(value),
                axial: Uncertain::exact(194.4e6),
                mass: 112e-6,
                static_rating: None,
                dynamic_rating: None,
                stiffness_at: StiffnessAt::Stated,
                radial_play: play,
                axial_play: 0.1e-3,
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
}
