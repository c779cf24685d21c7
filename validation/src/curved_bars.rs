//! Curved bars and rings of textbooks and of a standard set of test problems (C03–C07).

use std::f64::consts::FRAC_PI_2;

use calotte::elasticity::arc::{BarStiffness, end_compliance};
use calotte::stock::{Material, Section};

use crate::check::{Check, Source, Tolerance, file};
use crate::common::by_poisson;

const TIMOSHENKO: Source = Source::from_memory(
    "Timoshenko, Strength of Materials, Part I, 3rd ed. 1955, bending of a bow bar out of its plane; ν = 0.3 is our assumption",
);
const TIMOSHENKO_EXACT: Source = Source::derived(
    file::BEAMS,
    "R³[π/(4EI) + (3π/4 − 2)/(GJ)] per unit load, bending and torsion, ν = 0.3",
);
const MACNEAL_IN_PLANE: Source = Source::Published {
    author: "R. H. MacNeal and R. L. Harder",
    title: "A proposed standard set of problems to test finite element accuracy",
    edition_or_year: "Finite Elements in Analysis and Design 1, 1985",
    place: "pp. 3–20, curved beam (as quoted in public verification manuals)",
    note: "1.4 % below exact elasticity (0.088566), hence 2 %",
};
const MACNEAL_OUT_OF_PLANE: Source = Source::Published {
    author: "R. H. MacNeal and R. L. Harder",
    title: "A proposed standard set of problems to test finite element accuracy",
    edition_or_year: "Finite Elements in Analysis and Design 1, 1985",
    place: "pp. 3–20, curved beam (as quoted in public verification manuals)",
    note: "0.3 % above the exact arc, hence 2 %",
};
const MACNEAL_ELASTICITY: Source = Source::derived(
    file::BEAMS,
    "plane-stress elasticity of the quarter bar; the thin form lies within 0.05 % at this depth",
);
const MACNEAL_THIN: Source = Source::derived(
    file::BEAMS,
    "quadrature of the unit-load integrals of the thin arc",
);
const RING_EXACT: Source = Source::derived(
    file::BEAMS,
    "Castigliano's theorem by quadrature over a quarter whose ends do not turn, (π/4 − 2/π) P R³/EI",
);
const RING_ACROSS: Source = Source::derived(
    file::BEAMS,
    "Castigliano's theorem by quadrature over a quarter whose ends do not turn, (2/π − 1/2) P R³/EI",
);
const RING_NUMBER: Source = Source::derived(
    file::BEAMS,
    "the loaded diameter of the same ring in numbers, printed to three digits",
);

const INCH: f64 = 0.0254;
const POUND_FORCE: f64 = 4.448_221_615_260_5;
/// One pound-force per square inch, Pa.
const PSI: f64 = POUND_FORCE / (INCH * INCH);

pub(crate) fn checks() -> Vec<Check> {
    let mut checks = quarter_circle();
    checks.extend(curved_beam());
    checks.extend(ring());
    checks
}

/// A quarter circle in plan, radius 100 in, round bar of radius 1 in, 50 lb across its plane.
fn quarter_circle() -> Vec<Check> {
    let material = by_poisson(3e7 * PSI, 0.3);
    let section = Section::Rod {
        diameter: 2.0 * INCH,
    };
    let mut bar = BarStiffness::new(&section, &material, 100.0 * INCH);
    // The reference counts bending and torsion.
    bar.shear_out_of_plane = f64::INFINITY;
    let compliance = end_compliance(100.0 * INCH, FRAC_PI_2, &bar)[(2, 2)];
    let deflection = 50.0 * POUND_FORCE * compliance / INCH;
    let quantity = "quarter circle in plan, 50 lb at its end: deflection";
    vec![
        TIMOSHENKO.check(
            "C03-theory",
            quantity,
            "in",
            [2.648, deflection],
            Tolerance::Relative(1e-3),
        ),
        TIMOSHENKO_EXACT.check(
            "C03-exact",
            quantity,
            "in",
            [2.649295306147628, deflection],
            Tolerance::Relative(1e-9),
        ),
    ]
}

/// The curved beam of inner radius 4.12, outer 4.32, thickness 0.1, E = 1e7, ν = 0.25.
///
/// Its numbers carry no unit and are taken as SI.
fn curved_beam() -> Vec<Check> {
    let material: Material = by_poisson(1e7, 0.25);
    let section = Section::Rectangle {
        tangential: 0.1,
        radial: 0.2,
    };
    let bar = BarStiffness::new(&section, &material, 4.22);
    let c = end_compliance(4.22, FRAC_PI_2, &bar);
    let (in_plane, out_of_plane) = (c[(0, 0)], c[(2, 2)]);
    let quantity = |what: &str| format!("curved beam, unit load at its end: {what}");
    vec![
        MACNEAL_IN_PLANE.check(
            "C04-in",
            quantity("in plane"),
            "1",
            [0.08734, in_plane],
            Tolerance::Relative(0.02),
        ),
        MACNEAL_OUT_OF_PLANE.check(
            "C04-out",
            quantity("out of plane"),
            "1",
            [0.5022, out_of_plane],
            Tolerance::Relative(0.02),
        ),
        MACNEAL_ELASTICITY.check(
            "C04-in-elasticity",
            quantity("in plane"),
            "1",
            [0.088566, in_plane],
            Tolerance::Relative(5e-4),
        ),
        MACNEAL_THIN.check(
            "C04-in-thin",
            quantity("in plane"),
            "1",
            [0.088602, in_plane],
            Tolerance::Absolute(5e-7),
        ),
        MACNEAL_THIN.check(
            "C04-out-thin",
            quantity("out of plane"),
            "1",
            [0.500562, out_of_plane],
            Tolerance::Absolute(5e-7),
        ),
    ]
}

/// Bending alone, in the arc's plane.
fn bending_only(stiffness: f64) -> BarStiffness {
    let rigid = f64::INFINITY;
    BarStiffness {
        axial: rigid,
        shear_in_plane: rigid,
        shear_out_of_plane: rigid,
        bending_in_plane: stiffness,
        bending_out_of_plane: rigid,
        torsional: rigid,
        mass_per_length: 1.0,
        winkler_shift: None,
    }
}

/// Shortening of the loaded diameter and widening of the other one, m, of a ring pinched by a
/// force, from a quarter of it.
///
/// The quarter is clamped on the unloaded diameter; its end under the load carries half the
/// force and the moment that keeps it from turning. By symmetry no axial force acts there.
fn pinched_ring(force: f64, radius: f64, stiffness: f64) -> [f64; 2] {
    let c = end_compliance(radius, FRAC_PI_2, &bending_only(stiffness));
    let radial = -0.5 * force;
    let moment = -c[(0, 5)] * radial / c[(5, 5)];
    let move_radial = c[(0, 0)] * radial + c[(0, 5)] * moment;
    let move_tangential = c[(0, 1)] * radial + c[(1, 5)] * moment;
    [-2.0 * move_radial, 2.0 * move_tangential]
}

fn ring() -> Vec<Check> {
    let [shortening, widening] = pinched_ring(1.0, 1.0, 1.0);
    // 5 mm radial by 10 mm across, E = 200 GPa, R = 0.1 m, P = 10 N.
    let stiffness = 200e9 * 0.01 * 0.005f64.powi(3) / 12.0;
    let [numbers, _] = pinched_ring(10.0, 0.1, stiffness);
    vec![
        RING_EXACT.check(
            "C05",
            "pinched ring: loaded diameter",
            "P R³/EI",
            [0.148778391029867, shortening],
            Tolerance::Relative(1e-12),
        ),
        RING_ACROSS.check(
            "C06",
            "pinched ring: other diameter",
            "P R³/EI",
            [0.136619772367581, widening],
            Tolerance::Relative(1e-12),
        ),
        RING_NUMBER.check(
            "C07",
            "pinched ring: at 10 N, one loaded point",
            "m",
            [3.57e-5, 0.5 * numbers],
            Tolerance::Absolute(5e-8),
        ),
    ]
}
