//! Torsion constants, torsional stress and shear coefficients (C09–C12).

use calotte::stock::Section;
use calotte::stock::section::{
    cowper_round_shear_factor, rectangle_torsion_constant, rectangle_torsion_stress_factor,
};

use crate::check::{Check, Source, Tolerance, file};

const TORSION_TABLE: Source = Source::from_memory(
    "three-digit table of torsion constants of rectangles in Timoshenko and Goodier, Theory of Elasticity",
);
const TORSION_SERIES: Source = Source::derived(file::BEAMS, "Saint-Venant's series");
const STRESS_TABLE: Source = Source::from_memory(
    "three-digit table of peak torsional shear stress of rectangles in Timoshenko and Goodier, Theory of Elasticity",
);
const ROARK: Source = Source::from_memory(
    "Roark: J = a b³ [1/3 − 0.21 (b/a)(1 − b⁴/12a⁴)], an approximation within 0.5 %",
);
const COWPER: Source = Source::from_memory("Cowper 1966, shear coefficients at ν = 0.3");
const COWPER_RECTANGLE: Source = Source::from_memory(
    "Cowper 1966, 10(1+ν)/(12+11ν) at ν = 0.3; the program takes 5/6 for every ν, 2 % less",
);

/// Side ratio, J/(a b³) to ten digits.
const TORSION: [(f64, f64); 13] = [
    (1.0, 0.1405770150),
    (1.2, 0.1661189101),
    (1.5, 0.1957607089),
    (2.0, 0.2286816771),
    (2.5, 0.2493650747),
    (3.0, 0.2633169310),
    (4.0, 0.2808129583),
    (5.0, 0.2913167542),
    (6.0, 0.2983195073),
    (8.0, 0.3070729635),
    (10.0, 0.3123250375),
    (20.0, 0.3228291854),
    (100.0, 0.3312325037),
];

/// Side ratio, J/(a b³) to three digits as printed.
const TORSION_PRINTED: [(f64, f64); 9] = [
    (1.0, 0.141),
    (1.2, 0.166),
    (1.5, 0.196),
    (2.0, 0.229),
    (2.5, 0.249),
    (3.0, 0.263),
    (4.0, 0.281),
    (5.0, 0.291),
    (10.0, 0.312),
];

/// Side ratio, factor of the peak shear stress to ten digits.
const STRESS: [(f64, f64); 6] = [
    (1.0, 0.2081652599),
    (1.5, 0.2309691269),
    (2.0, 0.2458783420),
    (3.0, 0.2672080462),
    (4.0, 0.2816656658),
    (10.0, 0.3123251138),
];

/// Side ratio, factor of the peak shear stress to three digits as printed.
const STRESS_PRINTED: [(f64, f64); 5] = [
    (1.0, 0.208),
    (1.5, 0.231),
    (2.0, 0.246),
    (3.0, 0.267),
    (4.0, 0.282),
];

pub(crate) fn checks() -> Vec<Check> {
    let mut checks = torsion();
    checks.extend(torsional_stress());
    checks.extend(shear());
    checks
}

/// Torsion constant over a·b³; the sides are given short one first where that must not matter.
fn torsion_factor(ratio: f64) -> f64 {
    let short = 0.004;
    rectangle_torsion_constant(short, ratio * short) / (ratio * short.powi(4))
}

fn torsion() -> Vec<Check> {
    let quantity = |ratio: f64| format!("torsion of a rectangle, J/(a b³): a/b = {ratio}");
    let mut checks = Vec::new();
    for (ratio, reference) in TORSION_PRINTED {
        checks.push(TORSION_TABLE.check(
            format!("C09-table-{ratio}"),
            quantity(ratio),
            "1",
            [reference, torsion_factor(ratio)],
            Tolerance::Absolute(5e-4),
        ));
    }
    for (ratio, reference) in TORSION {
        checks.push(TORSION_SERIES.check(
            format!("C09-{ratio}"),
            quantity(ratio),
            "1",
            [reference, torsion_factor(ratio)],
            Tolerance::Absolute(5e-11),
        ));
    }
    for ratio in [1.0, 1.2, 2.0, 4.0, 10.0f64] {
        let approximation = 1.0 / 3.0 - 0.21 / ratio * (1.0 - 1.0 / (12.0 * ratio.powi(4)));
        checks.push(ROARK.check(
            format!("C11-{ratio}"),
            quantity(ratio),
            "1",
            [approximation, torsion_factor(ratio)],
            Tolerance::Relative(5e-3),
        ));
    }
    checks
}

fn torsional_stress() -> Vec<Check> {
    let factor = |ratio: f64| rectangle_torsion_stress_factor(ratio * 0.004, 0.004);
    let quantity = |ratio: f64| format!("torsion of a rectangle, T/(τ a b²): a/b = {ratio}");
    let mut checks = Vec::new();
    for (ratio, reference) in STRESS_PRINTED {
        checks.push(STRESS_TABLE.check(
            format!("C10-table-{ratio}"),
            quantity(ratio),
            "1",
            [reference, factor(ratio)],
            Tolerance::Absolute(5e-4),
        ));
    }
    for (ratio, reference) in STRESS {
        checks.push(TORSION_SERIES.check(
            format!("C10-{ratio}"),
            quantity(ratio),
            "1",
            [reference, factor(ratio)],
            Tolerance::Absolute(5e-11),
        ));
    }
    checks
}

fn shear() -> Vec<Check> {
    let rectangle = Section::Rectangle {
        tangential: 0.02,
        radial: 0.01,
    }
    .constants(0.3)
    .map_or(f64::NAN, |constants| constants.shear_factor_in_plane);
    let printed = Tolerance::Absolute(5e-6);
    vec![
        COWPER.check(
            "C12-rod",
            "shear coefficient: round rod",
            "1",
            [0.88636, cowper_round_shear_factor(0.0, 0.3)],
            printed,
        ),
        COWPER.check(
            "C12-tube",
            "shear coefficient: thin round tube",
            "1",
            [0.53061, cowper_round_shear_factor(1.0, 0.3)],
            printed,
        ),
        COWPER_RECTANGLE.check(
            "C12-rectangle",
            "shear coefficient: rectangle",
            "1",
            [0.84967, rectangle],
            Tolerance::Relative(0.02),
        ),
    ]
}
