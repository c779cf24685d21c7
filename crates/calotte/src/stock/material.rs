//! Materials: constants with their bands and the source of each.

use crate::uncertain::{Corner, Uncertain};

use super::process::Process;

/// An isotropic material at room temperature (or constants along the arc).
#[derive(Debug, Clone, PartialEq)]
pub struct Material {
    /// Name as the files write it.
    pub name: String,
    /// Young's modulus, Pa.
    pub youngs_modulus: Uncertain,
    /// Shear modulus, Pa.
    pub shear_modulus: Uncertain,
    /// Density, kg/m³.
    pub density: Uncertain,
    /// Yield strength (for polymers and laminates: the tensile strength used as limit), Pa.
    pub yield_strength: Uncertain,
    /// Where the constants come from.
    pub source: String,
    /// How parts of it are made.
    pub process: Process,
    /// Deformation under a load that stays, over that right after loading, 1: what creep
    /// adds to sag, and to nothing else.
    pub creep: Uncertain,
}

/// Where the creep of the shipped materials comes from.
pub const CREEP_SOURCE: &str = "common practice, no source";

/// No creep at room temperature.
const NO_CREEP: Uncertain = Uncertain::exact(1.0);
/// Thermoplastics under a load that stays: from none yet to twice the deformation at first
/// (common practice, no source).
const THERMOPLASTIC_CREEP: Uncertain = Uncertain::band(1.0, 1.0, 2.0);

impl Material {
    /// The same material with every constant fixed at one end of its band.
    pub fn at_corner(&self, corner: Corner) -> Material {
        Material {
            name: self.name.clone(),
            youngs_modulus: Uncertain::exact(self.youngs_modulus.resisting(corner)),
            shear_modulus: Uncertain::exact(self.shear_modulus.resisting(corner)),
            density: Uncertain::exact(self.density.loading(corner)),
            yield_strength: Uncertain::exact(self.yield_strength.resisting(corner)),
            source: self.source.clone(),
            process: self.process,
            creep: Uncertain::exact(self.creep.loading(corner)),
        }
    }

    /// The same material as it gives way to a load that stays: both moduli over the creep.
    pub fn sustained(&self) -> Material {
        let factor = 1.0 / self.creep.value;
        Material {
            youngs_modulus: self.youngs_modulus.scaled(factor),
            shear_modulus: self.shear_modulus.scaled(factor),
            creep: NO_CREEP,
            ..self.clone()
        }
    }

    /// Poisson's ratio that ties the two nominal moduli, E/(2G) − 1.
    pub fn poisson_ratio(&self) -> f64 {
        self.youngs_modulus.value / (2.0 * self.shear_modulus.value) - 1.0
    }

    /// The shipped material of this name.
    pub fn shipped(name: &str) -> Option<Material> {
        shipped_materials().into_iter().find(|m| m.name == name)
    }
}

const GPA: f64 = 1e9;
const MPA: f64 = 1e6;

/// The table of materials that ships with the program, with bands and sources.
///
/// Values are typical at room temperature; the creep of thermoplastics widens what stays
/// loaded ([`CREEP_SOURCE`]). Printed and laminated parts scatter
/// with the process: measure a bar of your own before relying on them.
pub fn shipped_materials() -> Vec<Material> {
    let row = |name: &str, e: [f64; 3], g: [f64; 3], rho: [f64; 3], y: [f64; 3], source: &str| {
        let band = |[value, low, high]: [f64; 3], unit: f64| {
            Uncertain::band(value * unit, low * unit, high * unit)
        };
        Material {
            name: name.to_string(),
            youngs_modulus: band(e, GPA),
            shear_modulus: band(g, GPA),
            density: band(rho, 1.0),
            yield_strength: band(y, MPA),
            source: source.to_string(),
            process: Process::Milled,
            creep: NO_CREEP,
        }
    };
    let thermoplastic = |material: Material, process: Process| Material {
        process,
        creep: THERMOPLASTIC_CREEP,
        ..material
    };
    vec![
        row(
            "aluminium 6061-T6",
            [68.9, 68.9, 69.5],
            [26.0, 26.0, 26.1],
            [2700.0, 2700.0, 2700.0],
            [276.0, 240.0, 276.0],
            "public data sheets on MMPDS-01 basis",
        ),
        row(
            "aluminium 7075-T6",
            [71.7, 71.0, 71.7],
            [26.9, 26.0, 26.9],
            [2810.0, 2800.0, 2810.0],
            [503.0, 480.0, 503.0],
            "public data sheets; 71.7 GPa, 2810 kg/m³ and 503 MPa from memory",
        ),
        row(
            "stainless steel 304",
            [193.0, 193.0, 200.0],
            [77.0, 75.0, 78.0],
            [8000.0, 7900.0, 8000.0],
            [205.0, 205.0, 215.0],
            "annealed; ASTM A240 minima, from memory",
        ),
        row(
            "stainless steel 316L",
            [193.0, 193.0, 200.0],
            [77.0, 75.0, 78.0],
            [8000.0, 7900.0, 8000.0],
            [170.0, 170.0, 205.0],
            "annealed; public data sheet, minima from memory",
        ),
        row(
            "titanium Ti-6Al-4V",
            [113.8, 105.0, 120.0],
            [44.0, 41.0, 45.0],
            [4430.0, 4420.0, 4430.0],
            [790.0, 790.0, 880.0],
            "annealed; public data sheets",
        ),
        thermoplastic(
            row(
                "PA12 laser-sintered",
                [1.7, 1.5, 1.9],
                [0.60, 0.52, 0.68],
                [930.0, 880.0, 960.0],
                [44.0, 44.0, 52.0],
                "public PA12 data sheets; tensile strength used as limit; creep can halve the stiffness under long load",
            ),
            Process::LaserSintered,
        ),
        thermoplastic(
            row(
                "PLA printed",
                [3.0, 2.3, 3.6],
                [1.11, 0.85, 1.33],
                [1240.0, 1240.0, 1250.0],
                [30.0, 30.0, 60.0],
                "printed range from memory; in-plane strength, 40 to 60 % of it across layers",
            ),
            Process::FilamentPrinted,
        ),
        thermoplastic(
            row(
                "ABS printed",
                [1.9, 1.6, 2.2],
                [0.70, 0.58, 0.81],
                [1040.0, 1040.0, 1040.0],
                [25.0, 25.0, 36.0],
                "printed range partly from memory",
            ),
            Process::FilamentPrinted,
        ),
        thermoplastic(
            row(
                "PETG printed",
                [1.75, 1.4, 2.1],
                [0.63, 0.50, 0.76],
                [1270.0, 1270.0, 1270.0],
                [35.0, 35.0, 50.0],
                "printed range partly from memory",
            ),
            Process::FilamentPrinted,
        ),
        thermoplastic(
            row(
                "PEEK",
                [4.0, 3.6, 4.2],
                [1.44, 1.29, 1.52],
                [1300.0, 1300.0, 1320.0],
                [97.0, 97.0, 100.0],
                "public data sheet (4.0 GPa, 97 MPa), rest from memory",
            ),
            Process::Milled,
        ),
        Material {
            process: Process::Laminated,
            ..row(
                "carbon-epoxy quasi-isotropic",
                [57.6, 52.4, 69.7],
                [22.3, 20.0, 26.9],
                [1580.0, 1550.0, 1600.0],
                [400.0, 400.0, 600.0],
                "in-plane, from unidirectional data in public composites tables by laminate invariants; strength from memory; out of plane far less stiff",
            )
        },
    ]
}
