//! Stress in a pin that is held on both sides (double shear). What a pin clamped in one bar
//! and loaded by the other stands, `subject::joint_strength` says.

use std::f64::consts::{FRAC_PI_4, PI};

use super::error::{MachineElementError, not_negative, positive};

/// A pin through a lug between two cheeks: the textbook lever model (from memory).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DoubleShearPin {
    /// Diameter, m; the pin is solid.
    pub diameter: f64,
    /// Thickness of either cheek, m.
    pub cheek_thickness: f64,
    /// Thickness of the lug between them, m.
    pub lug_thickness: f64,
    /// Gap between lug and cheek on either side, m.
    pub gap: f64,
}

/// Stresses in a pin in double shear and pressures on what holds it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DoubleShearStress {
    /// Mean shear stress F/2A, Pa.
    pub shear_mean: f64,
    /// Greatest shear stress, at the axis, 4/3 of the mean, Pa.
    pub shear_peak: f64,
    /// Bending moment in the middle, N·m.
    pub bending_moment: f64,
    /// Bending stress there, Pa.
    pub bending: f64,
    /// Pressure on the lug, Pa.
    pub lug_pressure: f64,
    /// Pressure on a cheek, Pa.
    pub cheek_pressure: f64,
}

impl DoubleShearPin {
    /// Stresses under a force on the lug in N.
    ///
    /// # Errors
    /// [`MachineElementError`] for sizes that are none or a negative force.
    ///
    /// # Theory
    /// Even pressure on lug and cheeks: M = F (2 t_cheek + t_lug + 4 gap)/8.
    ///
    /// # Example
    /// ```
    /// # use calotte::stock::{DoubleShearPin, MachineElementError};
    /// let pin = DoubleShearPin {
    ///     diameter: 4e-3,
    ///     cheek_thickness: 4e-3,
    ///     lug_thickness: 8e-3,
    ///     gap: 0.5e-3,
    /// };
    /// let stress = pin.stress(200.0)?;
    /// assert!((stress.bending_moment - 0.45).abs() < 1e-12);
    /// assert!((stress.lug_pressure - 6.25e6).abs() < 1e-3);
    /// # Ok::<(), MachineElementError>(())
    /// ```
    pub fn stress(&self, force: f64) -> Result<DoubleShearStress, MachineElementError> {
        let force = not_negative("force on the pin", force, "N")?;
        let diameter = positive("pin diameter", self.diameter, "m")?;
        let cheek = positive("cheek thickness", self.cheek_thickness, "m")?;
        let lug = positive("lug thickness", self.lug_thickness, "m")?;
        let gap = not_negative("gap", self.gap, "m")?;
        let shear_mean = 0.5 * force / (FRAC_PI_4 * diameter * diameter);
        let bending_moment = force * (2.0 * cheek + lug + 4.0 * gap) / 8.0;
        Ok(DoubleShearStress {
            shear_mean,
            shear_peak: 4.0 / 3.0 * shear_mean,
            bending_moment,
            bending: 32.0 * bending_moment / (PI * diameter.powi(3)),
            lug_pressure: force / (diameter * lug),
            cheek_pressure: 0.5 * force / (diameter * cheek),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bad_pins_are_errors() {
        let pin = DoubleShearPin {
            diameter: 4e-3,
            cheek_thickness: 4e-3,
            lug_thickness: 8e-3,
            gap: 0.0,
        };
        assert!(pin.stress(1.0).is_ok());
        assert!(pin.stress(-1.0).is_err());
        assert!(pin.stress(f64::INFINITY).is_err());
        for thin in [
            DoubleShearPin {
                diameter: 0.0,
                ..pin
            },
            DoubleShearPin {
                cheek_thickness: 0.0,
                ..pin
            },
            DoubleShearPin {
                lug_thickness: f64::NAN,
                ..pin
            },
            DoubleShearPin { gap: -1e-3, ..pin },
        ] {
            assert!(thin.stress(1.0).is_err(), "{thin:?}");
        }
    }
}
