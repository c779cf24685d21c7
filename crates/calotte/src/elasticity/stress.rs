//! Stress along the arcs: axial force, biaxial bending, torsion and shear,
//! with the curved-beam factors of Winkler and Bach in the arc's plane.
//!
//! The equivalent stress (von Mises) is taken at the corners, where bending
//! adds up, and at the middle of the sides, where torsion and shear peak; the
//! peaks of torsion and shear are added as if they met, on the safe side.

use nalgebra::Vector6;

use super::thick::stress_factors;
use crate::stock::section::{Section, SectionConstants, rectangle_torsion_stress_factor};

/// What turns section resultants into stress, once per design.
#[derive(Debug, Clone, PartialEq)]
pub struct StressModel {
    section: Section,
    constants: SectionConstants,
    factors: (f64, f64),
    /// Peak torsional shear stress per torque, 1/m³.
    torsion: f64,
    /// Peak transverse shear stress per force in and out of the arc's plane, 1/m².
    shear: (f64, f64),
}

impl StressModel {
    /// The model of a section at a radius; `None` for a custom section, whose
    /// fibres are not known.
    pub fn new(section: &Section, poisson_ratio: f64, radius: f64) -> Option<Self> {
        let constants = section.constants(poisson_ratio)?;
        let area = constants.area;
        let (torsion, shear) = match *section {
            Section::Rectangle { tangential, radial } => {
                let (long, short) = (tangential.max(radial), tangential.min(radial));
                let factor = rectangle_torsion_stress_factor(long, short);
                (
                    1.0 / (factor * long * short * short),
                    (1.5 / area, 1.5 / area),
                )
            }
            Section::RectangleTube {
                tangential,
                radial,
                wall,
            } => (
                // Bredt: T/(2 A_m t); shear in the two webs.
                1.0 / (2.0 * (tangential - wall) * (radial - wall) * wall),
                (1.5 / (2.0 * wall * radial), 1.5 / (2.0 * wall * tangential)),
            ),
            Section::Tube { outer_diameter, .. } => (
                0.5 * outer_diameter / constants.torsion_constant,
                (2.0 / area, 2.0 / area),
            ),
            Section::Rod { diameter } => (
                0.5 * diameter / constants.torsion_constant,
                (4.0 / 3.0 / area, 4.0 / 3.0 / area),
            ),
            Section::Custom { .. } => return None,
        };
        Some(Self {
            section: section.clone(),
            constants,
            factors: stress_factors(section, radius),
            torsion,
            shear,
        })
    }

    /// Greatest equivalent stress of a section, Pa, from its resultants
    /// F = (V_r, N, V_z), M = (M_r, T, M_z).
    pub fn equivalent_stress(&self, resultants: &Vector6<f64>) -> f64 {
        let [v_r, n, v_z, m_r, t, m_z] = (*resultants).into();
        let c = &self.constants;
        let axial = n / c.area;
        let in_plane = m_z * 0.5 * c.depth / c.second_moment_in_plane;
        // A positive M_z pulls the outer fibre and presses the inner one.
        let (inner, outer) = (-in_plane * self.factors.0, in_plane * self.factors.1);
        let out_of_plane = (m_r * 0.5 * c.width / c.second_moment_out_of_plane).abs();
        let torsion = (t * self.torsion).abs();
        let shear = (v_r * self.shear.0).abs() + (v_z * self.shear.1).abs();
        let round = matches!(self.section, Section::Tube { .. } | Section::Rod { .. });
        let mises = |normal: f64, shear: f64| (normal * normal + 3.0 * shear * shear).sqrt();
        let mut peak: f64 = 0.0;
        for fibre in [inner, outer] {
            if round {
                let bending = fibre.hypot(out_of_plane);
                peak = peak.max(mises(axial.abs() + bending, torsion + shear));
                continue;
            }
            // Corner: both bendings, no shear. Middle of a side: one bending with shear.
            let along = (axial + fibre).abs();
            peak = peak.max(along + out_of_plane);
            peak = peak.max(mises(along, torsion + shear));
        }
        peak.max(mises(axial.abs() + out_of_plane, torsion + shear))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn model() -> StressModel {
        let section = Section::Rectangle {
            tangential: 0.012,
            radial: 0.006,
        };
        StressModel::new(&section, 0.33, 1000.0).unwrap()
    }

    #[test]
    fn plain_cases_are_their_hand_formulas() {
        let model = model();
        let stress = |f: [f64; 6]| model.equivalent_stress(&Vector6::from(f));
        // N/A with 72 mm².
        assert!((stress([0.0, 72.0, 0.0, 0.0, 0.0, 0.0]) - 1e6).abs() < 1.0);
        // M c/I: 6 M/(b h²) with b = 12 mm, h = 6 mm.
        let bending = 6.0 / (0.012 * 0.006f64.powi(2));
        assert!((stress([0.0, 0.0, 0.0, 0.0, 0.0, 1.0]) / bending - 1.0).abs() < 1e-5);
        // √3 T/(0.246 a b²), handbook factor for a/b = 2.
        let torsion = 3f64.sqrt() / (0.245_878_342 * 0.012 * 0.006f64.powi(2));
        assert!((stress([0.0, 0.0, 0.0, 0.0, 1.0, 0.0]) / torsion - 1.0).abs() < 1e-6);
    }
}
