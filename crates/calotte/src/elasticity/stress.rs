//! Stress along the arcs: axial force, biaxial bending, torsion and shear,
//! with the curved-beam factors of Winkler and Bach in the arc's plane.
//!
//! The equivalent stress (von Mises) is taken at the corners, where bending
//! adds up, and at the middle of the sides, where torsion and shear peak; the
//! peaks of torsion and shear are added as if they met, on the safe side.

use nalgebra::{SMatrix, Vector6};

use super::thick::stress_factors;
use crate::design::Design;
use crate::linkage::Linkage;
use crate::number::turning::{Greatest, Turning, greatest_convex, greatest_square};
use crate::number::worst_direction::{Sought, greatest_norm};
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
    /// The equivalent stress as the greatest of norms of linear maps of the resultants, rows
    /// normal stress and √3 times shear stress.
    norms: Vec<SMatrix<f64, 2, 6>>,
}

/// The models of all arcs of a design, in the order of its structure.
#[derive(Debug, Clone, PartialEq)]
pub struct StressModels {
    /// One for each section there is.
    models: Vec<StressModel>,
    /// Which of them an arc has.
    of_arc: Vec<usize>,
}

impl StressModels {
    /// The models of a design; `None` if any bar has a custom section, whose fibres are not
    /// known.
    pub fn new(design: &Design, linkage: &Linkage) -> Option<Self> {
        let poisson_ratio = design.material.poisson_ratio();
        let (mut models, mut of_arc) = (Vec::<StressModel>::new(), Vec::new());
        for (_, body) in linkage.bars() {
            let section = body.section(design);
            let known = models.iter().position(|model| model.section == *section);
            let index = match known {
                Some(index) => index,
                None => {
                    models.push(StressModel::new(
                        section,
                        poisson_ratio,
                        design.joint_radius,
                    )?);
                    models.len() - 1
                }
            };
            of_arc.extend(body.arcs.iter().map(|_| index));
        }
        Some(Self { models, of_arc })
    }

    /// That of an arc.
    pub fn of_arc(&self, arc: usize) -> &StressModel {
        &self.models[self.of_arc[arc]]
    }
}

/// Sides of the polygon about the circle by which both bendings of a round section add up; it
/// lies outside by 1/cos(π/64) − 1 = 0.12 % at most.
const SIDES: u32 = 64;

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
        let mut model = Self {
            section: section.clone(),
            constants,
            factors: stress_factors(section, radius),
            torsion,
            shear,
            norms: Vec::new(),
        };
        model.norms = model.norms();
        Some(model)
    }

    /// What [`Self::equivalent_stress`] takes the greatest of, every absolute value by both its
    /// signs; of a round section the sum of both bendings by a polygon about the circle.
    fn norms(&self) -> Vec<SMatrix<f64, 2, 6>> {
        let c = &self.constants;
        let row = |entries: [f64; 6]| SMatrix::<f64, 1, 6>::from(entries);
        let axial = row([0.0, 1.0 / c.area, 0.0, 0.0, 0.0, 0.0]);
        let in_plane = 0.5 * c.depth / c.second_moment_in_plane;
        let fibres = [-self.factors.0, self.factors.1]
            .map(|factor| row([0.0, 0.0, 0.0, 0.0, 0.0, in_plane * factor]));
        let across = 0.5 * c.width / c.second_moment_out_of_plane;
        let across = row([0.0, 0.0, 0.0, across, 0.0, 0.0]);
        let signs = [1.0, -1.0];
        let shears: Vec<_> = signs
            .iter()
            .flat_map(|r| signs.map(|z| [r * self.shear.0, z * self.shear.1]))
            .map(|[r, z]| row([r, 0.0, z, 0.0, self.torsion, 0.0]) * 3f64.sqrt())
            .collect();
        let mut norms = Vec::new();
        let mut add = |normal: SMatrix<f64, 1, 6>, sheared: bool| {
            let shears = if sheared {
                &shears[..]
            } else {
                &[SMatrix::zeros()]
            };
            norms.extend(
                shears
                    .iter()
                    .map(|shear| SMatrix::from_rows(&[normal, *shear])),
            );
        };
        if matches!(self.section, Section::Tube { .. } | Section::Rod { .. }) {
            let turn = std::f64::consts::TAU / f64::from(SIDES);
            let outside = 1.0 / (0.5 * turn).cos();
            for fibre in fibres {
                for side in 0..SIDES {
                    let (sine, cosine) = (turn * f64::from(side)).sin_cos();
                    add(axial + (fibre * cosine + across * sine) * outside, true);
                }
            }
            return norms;
        }
        for fibre in fibres {
            for sign in signs {
                add(axial + fibre + across * sign, false);
            }
            add(axial + fibre, true);
        }
        for sign in signs {
            add(axial + across * sign, true);
        }
        norms
    }

    /// Greatest equivalent stress of a section, Pa, over the directions of a force or moment
    /// that adds to fixed resultants; of a round section up to 0.12 % above.
    ///
    /// # Arguments
    /// - `map`: resultants per unit along polar, azimuth, radial.
    /// - `fixed`: resultants by all else.
    /// - `sought`: size and directions.
    /// - `above`: a stress that must be passed to matter; returned where nothing passes it, Pa.
    pub fn greatest_stress(
        &self,
        map: &SMatrix<f64, 6, 3>,
        fixed: &Vector6<f64>,
        sought: Sought,
        above: f64,
    ) -> f64 {
        let mut greatest = above;
        for norm in &self.norms {
            let (by_unit, constant) = (norm * map, norm * fixed);
            if constant.norm() + sought.size * by_unit.norm() > greatest {
                greatest = greatest.max(greatest_norm(&by_unit, &constant, sought).value);
            }
        }
        greatest
    }

    /// Takes in the greatest equivalent stress of resultants that turn, over arcs (rad).
    ///
    /// Of a flat section it is the greatest of norms, each with its stationary angles; of a
    /// round one it is bracketed.
    pub fn greatest_around(
        &self,
        resultants: &Turning<6>,
        arcs: &[[f64; 2]],
        greatest: &mut Greatest,
    ) {
        let stress = |resultants: &Vector6<f64>| self.equivalent_stress(resultants);
        if resultants.bound(stress) <= greatest.value {
            return;
        }
        if matches!(self.section, Section::Tube { .. } | Section::Rod { .. }) {
            greatest_convex(resultants, arcs, greatest, stress);
            return;
        }
        for norm in &self.norms {
            greatest_square(&resultants.map(|r| norm * r), arcs, greatest);
        }
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

    /// Without anything of any direction: the same stress, for random resultants; of a round
    /// section at most 0.13 % above.
    #[test]
    fn norms_are_the_equivalent_stress() {
        let sections = [
            (
                Section::Rectangle {
                    tangential: 0.012,
                    radial: 0.006,
                },
                1e-12,
            ),
            (
                Section::RectangleTube {
                    tangential: 0.02,
                    radial: 0.016,
                    wall: 0.002,
                },
                1e-12,
            ),
            (
                Section::Tube {
                    outer_diameter: 0.02,
                    inner_diameter: 0.016,
                },
                1.3e-3,
            ),
            (Section::Rod { diameter: 0.01 }, 1.3e-3),
        ];
        let mut seed = 1u32;
        let mut number = || {
            seed = seed.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            f64::from(seed) / f64::from(u32::MAX) - 0.5
        };
        for (section, over) in sections {
            let model = StressModel::new(&section, 0.33, 0.06).unwrap();
            for _ in 0..300 {
                let fixed = Vector6::from_fn(|row, _| number() * if row < 3 { 200.0 } else { 1.0 });
                let sought = Sought {
                    size: 5.0,
                    directions: crate::number::worst_direction::Directions::All,
                };
                let plain = model.equivalent_stress(&fixed);
                let found = model.greatest_stress(&SMatrix::zeros(), &fixed, sought, 0.0);
                assert!(
                    found >= plain * (1.0 - 1e-12),
                    "{section:?} {found} {plain}"
                );
                assert!(found <= plain * (1.0 + over), "{section:?} {found} {plain}");
                // With a force: never below what a sampled direction has, and near the best.
                let map = SMatrix::<f64, 6, 3>::from_fn(|row, _| {
                    number() * if row < 3 { 20.0 } else { 0.1 }
                });
                let found = model.greatest_stress(&map, &fixed, sought, 0.0);
                let mut best: f64 = 0.0;
                for k in 0..4000 {
                    let z = 1.0 - 2.0 * (f64::from(k) + 0.5) / 4000.0;
                    let (sine, cosine) = (2.399_963_229_728_653 * f64::from(k)).sin_cos();
                    let across = (1.0 - z * z).sqrt();
                    let force = nalgebra::Vector3::new(across * cosine, across * sine, z) * 5.0;
                    best = best.max(model.equivalent_stress(&(map * force + fixed)));
                }
                assert!(found >= best * (1.0 - 1e-12), "{found} {best}");
                assert!(found <= best * (1.0 + over + 2e-3), "{found} {best}");
            }
        }
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
