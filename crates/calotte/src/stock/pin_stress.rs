//! Stress in pins: clamped in one bar and loaded by the other (single shear), or held
//! on both sides (double shear).

use std::f64::consts::{FRAC_PI_4, PI, TAU};

use nalgebra::Vector3;

use super::error::{MachineElementError, not_negative, positive};

/// Places around the surface where the greatest stress is looked for first. Its square is a
/// trigonometric polynomial of second degree, which has at most four extremes.
const PLACES: usize = 48;
/// Golden-section steps that narrow the place down; each keeps 0.618 of the interval.
const GOLDEN_STEPS: usize = 30;
const GOLDEN: f64 = 0.618_033_988_749_894_8;

/// A straight round pin clamped at one end, loaded at the other.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SingleShearPin {
    /// Outer diameter, m.
    pub diameter: f64,
    /// Diameter of its bore, m; 0 = solid.
    pub bore: f64,
    /// From the middle of the clamping bar to the middle of the bearings, m.
    pub length: f64,
}

/// Where along the pin the stress is greatest.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PinPlace {
    /// At the clamping bar.
    Clamp,
    /// At the bearings.
    Bearing,
}

/// Stresses in a pin.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PinStress {
    /// Where along the pin bending is greatest.
    pub place: PinPlace,
    /// Bending moment there, N·m.
    pub bending_moment: f64,
    /// Bending stress at the surface there, Pa.
    pub bending: f64,
    /// Axial stress, tension positive, Pa.
    pub axial: f64,
    /// Greatest transverse shear stress, at the neutral axis, Pa.
    pub shear_peak: f64,
    /// Torsional shear stress at the surface, Pa.
    pub torsion: f64,
    /// Greatest von Mises stress at the surface, Pa.
    pub von_mises: f64,
}

/// Sizes of a checked pin's section.
struct RoundSection {
    radius: f64,
    area: f64,
    second_moment: f64,
    /// Greatest over mean shear stress: 4/3 when solid, 2 when thin.
    shear_factor: f64,
}

impl SingleShearPin {
    /// Stresses under the load that the bearings put on the pin.
    ///
    /// Beam theory: bending, axial force, transverse shear and torsion together, von
    /// Mises at the point of the surface where it is greatest. Notches at shoulders and
    /// the clamp's own pressure are not in it.
    ///
    /// # Arguments
    /// - `force`: on the pin at the bearings, N; z along the pin from clamp to bearings.
    /// - `moment`: on the pin there, N·m, same frame; its z part is 0 in a free joint.
    ///
    /// # Errors
    /// [`MachineElementError`] for sizes that are none or loads that are not finite.
    ///
    /// # Theory
    /// Moment at the clamp M + length·(z × F); surface stress σ = N/A + (M_x y − M_y x)/I,
    /// τ = k (V·t)/A + T r/J with t the surface's tangent and k = 4/3 for a solid pin.
    ///
    /// # Example
    /// ```
    /// # use calotte::stock::{MachineElementError, SingleShearPin};
    /// # use nalgebra::Vector3;
    /// let pin = SingleShearPin { diameter: 4e-3, bore: 0.0, length: 9e-3 };
    /// let stress = pin.stress(Vector3::new(50.0, 0.0, 0.0), Vector3::zeros())?;
    /// // 450 N mm over π d³/32: 71.6 MPa.
    /// assert!((stress.bending - 71.619724e6).abs() < 1.0);
    /// assert!((stress.von_mises - stress.bending).abs() < 1.0);
    /// # Ok::<(), MachineElementError>(())
    /// ```
    pub fn stress(
        &self,
        force: Vector3<f64>,
        moment: Vector3<f64>,
    ) -> Result<PinStress, MachineElementError> {
        let section = self.section()?;
        let length = not_negative("pin length", self.length, "m")?;
        for (quantity, size, unit) in [
            ("force on the pin", force.norm(), "N"),
            ("moment on the pin", moment.norm(), "N·m"),
        ] {
            not_negative(quantity, size, unit)?;
        }
        let at_clamp = moment + length * Vector3::z().cross(&force);
        let bending_at = |moment: &Vector3<f64>| moment.x.hypot(moment.y);
        // Stress at each point of the surface is linear along the pin: an end governs.
        let (mut place, mut governing) = (PinPlace::Clamp, at_clamp);
        let mut von_mises = section.von_mises_max(&force, &at_clamp);
        let at_bearing = section.von_mises_max(&force, &moment);
        if at_bearing > von_mises {
            (place, governing, von_mises) = (PinPlace::Bearing, moment, at_bearing);
        }
        let shear = force.x.hypot(force.y);
        Ok(PinStress {
            place,
            bending_moment: bending_at(&governing),
            bending: bending_at(&governing) * section.radius / section.second_moment,
            axial: force.z / section.area,
            shear_peak: section.shear_factor * shear / section.area,
            torsion: 0.5 * moment.z.abs() * section.radius / section.second_moment,
            von_mises,
        })
    }

    fn section(&self) -> Result<RoundSection, MachineElementError> {
        let diameter = positive("pin diameter", self.diameter, "m")?;
        let bore = not_negative("pin bore", self.bore, "m")?;
        positive("pin diameter less bore", diameter - bore, "m")?;
        let (outer, inner) = (0.5 * diameter, 0.5 * bore);
        let squares = outer * outer + inner * inner;
        Ok(RoundSection {
            radius: outer,
            area: PI * (outer * outer - inner * inner),
            second_moment: FRAC_PI_4 * (outer.powi(4) - inner.powi(4)),
            shear_factor: 4.0 / 3.0 * (squares + outer * inner) / squares,
        })
    }
}

impl RoundSection {
    /// Greatest von Mises stress around the surface under a section's force and moment.
    fn von_mises_max(&self, force: &Vector3<f64>, moment: &Vector3<f64>) -> f64 {
        let at = |angle: f64| {
            let (sin, cos) = angle.sin_cos();
            let bending = (moment.x * sin - moment.y * cos) * self.radius / self.second_moment;
            let normal = force.z / self.area + bending;
            let transverse = force.y * cos - force.x * sin;
            let shear = self.shear_factor * transverse / self.area
                + 0.5 * moment.z * self.radius / self.second_moment;
            (normal * normal + 3.0 * shear * shear).sqrt()
        };
        let step = TAU / PLACES as f64;
        let (mut best, mut best_angle) = (0.0, 0.0);
        for place in 0..PLACES {
            let angle = place as f64 * step;
            if at(angle) > best {
                (best, best_angle) = (at(angle), angle);
            }
        }
        let (mut low, mut high) = (best_angle - step, best_angle + step);
        for _ in 0..GOLDEN_STEPS {
            let (left, right) = (high - GOLDEN * (high - low), low + GOLDEN * (high - low));
            if at(left) > at(right) {
                high = right;
            } else {
                low = left;
            }
        }
        best.max(at(0.5 * (low + high)))
    }
}

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

    const PIN: SingleShearPin = SingleShearPin {
        diameter: 4e-3,
        bore: 0.0,
        length: 9e-3,
    };

    fn stress(force: [f64; 3], moment: [f64; 3]) -> PinStress {
        PIN.stress(force.into(), moment.into()).unwrap()
    }

    /// Without length and moment only shear is left: √3 · 4/3 · F/A.
    #[test]
    fn a_short_pin_is_sheared() {
        let short = SingleShearPin { length: 0.0, ..PIN };
        let found = short
            .stress(Vector3::new(0.0, 100.0, 0.0), Vector3::zeros())
            .unwrap();
        let mean = 100.0 / (PI * 4e-6);
        assert!((found.shear_peak / mean - 4.0 / 3.0).abs() < 1e-12);
        assert!((found.von_mises / (3f64.sqrt() * found.shear_peak) - 1.0).abs() < 1e-9);
    }

    /// A moment at the bearings that the force's lever undoes at the clamp: z × F for F
    /// along x is along y.
    #[test]
    fn the_end_with_more_bending_governs() {
        let found = stress([50.0, 0.0, 0.0], [0.0, -0.45, 0.0]);
        assert_eq!(found.place, PinPlace::Bearing);
        assert!((found.bending_moment - 0.45).abs() < 1e-12);
        let found = stress([50.0, 0.0, 0.0], [0.0, 0.1, 0.0]);
        assert_eq!(found.place, PinPlace::Clamp);
        assert!((found.bending_moment - 0.55).abs() < 1e-12);
    }

    /// Bending and tension add at one side; torsion joins by √(σ² + 3τ²).
    #[test]
    fn axial_force_and_torsion_join() {
        let found = stress([0.0, 0.0, 100.0], [0.3, 0.0, 0.0]);
        let (tension, bending) = (100.0 / (PI * 4e-6), 0.3 * 32.0 / (PI * 64e-9));
        assert!((found.von_mises / (tension + bending) - 1.0).abs() < 1e-9);
        let found = stress([0.0, 0.0, 0.0], [0.3, 0.0, 0.2]);
        let torsion = 0.2 * 16.0 / (PI * 64e-9);
        assert!((found.torsion / torsion - 1.0).abs() < 1e-12);
        let both = bending.hypot(3f64.sqrt() * torsion);
        assert!((found.von_mises / both - 1.0).abs() < 1e-9);
    }

    /// Turning load and pin together about the pin's axis changes nothing.
    #[test]
    fn turning_about_the_axis_changes_nothing() {
        let (force, moment) = (Vector3::new(30.0, 8.0, -5.0), Vector3::new(0.1, 0.2, 0.05));
        let first = PIN.stress(force, moment).unwrap().von_mises;
        for angle in [0.3, 1.0, 2.5] {
            let turn = nalgebra::Rotation3::from_axis_angle(&Vector3::z_axis(), angle);
            let turned = PIN.stress(turn * force, turn * moment).unwrap().von_mises;
            assert!((turned / first - 1.0).abs() < 1e-9);
        }
    }

    /// A thin tube's shear peaks at twice the mean; its bending by r⁴ − rᵢ⁴.
    #[test]
    fn a_hollow_pin_is_weaker() {
        let tube = SingleShearPin {
            bore: 3.99e-3,
            ..PIN
        };
        let force = Vector3::new(1.0, 0.0, 0.0);
        let found = tube.stress(force, Vector3::zeros()).unwrap();
        let mean = 1.0 / (FRAC_PI_4 * (4e-3f64.powi(2) - 3.99e-3f64.powi(2)));
        assert!((found.shear_peak / mean - 2.0).abs() < 1e-3);
        let hollow = SingleShearPin { bore: 2e-3, ..PIN };
        let solid = PIN.stress(force, Vector3::zeros()).unwrap();
        let found = hollow.stress(force, Vector3::zeros()).unwrap();
        assert!((found.bending / solid.bending - 16.0 / 15.0).abs() < 1e-12);
    }

    #[test]
    fn bad_pins_are_errors() {
        let unit = Vector3::x();
        for pin in [
            SingleShearPin {
                diameter: 0.0,
                ..PIN
            },
            SingleShearPin { bore: 4e-3, ..PIN },
            SingleShearPin { bore: -1.0, ..PIN },
            SingleShearPin {
                length: f64::NAN,
                ..PIN
            },
        ] {
            assert!(pin.stress(unit, unit).is_err(), "{pin:?}");
        }
        assert!(PIN.stress(unit * f64::NAN, unit).is_err());
        assert!(PIN.stress(unit, unit * f64::INFINITY).is_err());
        assert_eq!(stress([0.0; 3], [0.0; 3]).von_mises, 0.0);
        let thin = DoubleShearPin {
            diameter: 4e-3,
            cheek_thickness: 0.0,
            lug_thickness: 8e-3,
            gap: 0.0,
        };
        assert!(thin.stress(1.0).is_err());
    }
}
