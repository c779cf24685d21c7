//! Thick curved bars against exact elasticity (C08) and handbook stress factors (C13).

use std::f64::consts::{FRAC_PI_2, PI};

use calotte::elasticity::arc::{BarStiffness, end_compliance};
use calotte::elasticity::thick::{neutral_shift, stress_factors};
use calotte::stock::Section;

use crate::check::{Check, Source, Tolerance, file};
use crate::common::by_poisson;

const EXACT: Source = Source::derived(
    file::BEAMS,
    "plane-stress elasticity of the quarter bar under an end force (Airy's function) and quadrature of the thin and the thick arc",
);
const HANDBOOK: Source = Source::from_memory(
    "handbook table of Winkler and Bach stress factors of the rectangle, three digits, some cut \
     off instead of rounded",
);
const HANDBOOK_COARSE: Source = Source::from_memory(
    "the same table, whose entries at 1.4 and 3 are coarser than their digits (recomputed 2.103 \
     and 1.288)",
);
const FACTORS: Source =
    Source::derived(file::BEAMS, "neutral radius h/ln(r_o/r_i) of the rectangle");

/// Outer over inner radius; exact over bending alone; thin and thick form over exact.
const QUARTER_BARS: [[f64; 4]; 5] = [
    [1.05, 1.00036, 1.00046, 0.99991],
    [1.1, 1.00136, 1.00175, 0.99964],
    [1.2, 1.00492, 1.00639, 0.99871],
    [1.5, 1.02320, 1.03102, 0.99442],
    [3.0, 1.11627, 1.20341, 0.98995],
];

/// Radius over half the depth; factors at the inner and outer fibre; handbook value of the inner.
const STRESS_FACTORS: [[f64; 4]; 10] = [
    [1.2, 2.88787, 0.565564, 2.89],
    [1.4, 2.10323, 0.628316, 2.13],
    [1.6, 1.79792, 0.671316, 1.79],
    [1.8, 1.63055, 0.703965, 1.63],
    [2.0, 1.52345, 0.73004, 1.52],
    [3.0, 1.28754, 0.810437, 1.30],
    [4.0, 1.19963, 0.853112, 1.20],
    [6.0, 1.12438, 0.898367, 1.12],
    [8.0, 1.09046, 0.922207, 1.09],
    [10.0, 1.0711, 0.936963, 1.07],
];

pub(crate) fn checks() -> Vec<Check> {
    let mut checks = quarter_bars();
    checks.extend(factors());
    checks
}

/// Radial displacements of a quarter bar's end under a radial unit force, m/N: exact, bending
/// alone, thin form, thick form.
fn quarter_bar(ratio: f64) -> [f64; 4] {
    let (inner, width, modulus) = (0.1, 0.01, 70e9);
    let outer = ratio * inner;
    let (radius, depth) = (0.5 * (inner + outer), outer - inner);
    let squares = inner * inner + outer * outer;
    let exact = PI * squares
        / (modulus * width * (inner * inner - outer * outer + squares * ratio.ln()).abs());
    let section = Section::Rectangle {
        tangential: width,
        radial: depth,
    };
    let mut bar = BarStiffness::new(&section, &by_poisson(modulus, 0.3), radius);
    let radial = |bar: &BarStiffness| end_compliance(radius, FRAC_PI_2, bar)[(0, 0)];
    bar.winkler_shift = neutral_shift(&section, radius);
    let thick = radial(&bar);
    bar.winkler_shift = None;
    let thin = radial(&bar);
    bar.axial = f64::INFINITY;
    bar.shear_in_plane = f64::INFINITY;
    [exact, radial(&bar), thin, thick]
}

fn quarter_bars() -> Vec<Check> {
    let mut checks = Vec::new();
    for [ratio, by_bending, by_thin, by_thick] in QUARTER_BARS {
        let [exact, bending, thin, thick] = quarter_bar(ratio);
        for (id, what, reference, value) in [
            (
                "bending",
                "exact over bending alone",
                by_bending,
                exact / bending,
            ),
            ("thin", "thin form over exact", by_thin, thin / exact),
            ("thick", "thick form over exact", by_thick, thick / exact),
        ] {
            checks.push(EXACT.check(
                format!("C08-{ratio}-{id}"),
                format!("quarter bar, r_o/r_i = {ratio}: {what}"),
                "1",
                [reference, value],
                Tolerance::Absolute(5e-6),
            ));
        }
    }
    checks
}

fn factors() -> Vec<Check> {
    let mut checks = Vec::new();
    for [ratio, inner, outer, handbook] in STRESS_FACTORS {
        let half_depth = 0.01;
        let section = Section::Rectangle {
            tangential: 0.01,
            radial: 2.0 * half_depth,
        };
        let found = stress_factors(&section, ratio * half_depth);
        for (id, fibre, reference, value) in [
            ("in", "inner", inner, found.0),
            ("out", "outer", outer, found.1),
        ] {
            checks.push(FACTORS.check(
                format!("C13-{ratio}-{id}"),
                format!("stress factors of a rectangle: R/c = {ratio}, {fibre}"),
                "1",
                [reference, value],
                // Printed to six digits or five decimals.
                Tolerance::Absolute(5e-6),
            ));
        }
        let (source, tolerance) = if ratio == 1.4 || ratio == 3.0 {
            (&HANDBOOK_COARSE, Tolerance::Relative(0.013))
        } else {
            (&HANDBOOK, Tolerance::Absolute(0.01))
        };
        checks.push(source.check(
            format!("C13-{ratio}-table"),
            format!("stress factors of a rectangle: R/c = {ratio}, inner"),
            "1",
            [handbook, found.0],
            tolerance,
        ));
    }
    checks
}
