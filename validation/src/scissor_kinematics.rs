//! The scissor linkage: polar angles, the Jacobian, conditioning over a hemisphere, and where
//! its range ends (L01–L20).

use calotte::design::{Design, DriveLayout};
use calotte::kinematics::conditioning::local_conditioning_index;
use calotte::kinematics::{Kinematics, Pose};
use calotte::sphere::Region;
use nalgebra::Vector3;

use crate::check::{Check, Source, Tolerance, file};
use crate::common::{DEGREE, bent, conditioning_over, scissor, uniform};

const POLAR: Source = Source::derived(
    file::SPHERE,
    "bars placed by turning vectors; right spherical triangles agree to 1e-10°",
);
const UNIFORM: Source = Source::derived(
    file::SPHERE,
    "right spherical triangles, slopes by a complex step",
);
const SLOPE: Source = Source::derived(
    file::SPHERE,
    "right spherical triangles, slopes by a complex step",
);
const HEMISPHERE: Source = Source::derived(
    file::SPHERE,
    "integral over the opening, split where |θ'| = sin θ and at the ends of the reach",
);
const LAYOUTS: Source = Source::derived(
    file::SPHERE,
    "the same integral for two drive layouts, to three digits",
);
const CLOSURE: Source = Source::derived(file::SPHERE, "closure is lost where sin α = sin b/sin a");

/// The pose of a design at a half-angle of the first stage, degrees.
fn pose(design: &Design, half_angle: f64) -> Option<Pose> {
    let kinematics = Kinematics::new(design).ok()?;
    kinematics
        .forward_from_mechanism([0.3, 2.0 * half_angle * DEGREE])
        .ok()
}

/// A value read off a pose.
fn at(design: &Design, half_angle: f64, value: impl Fn(&Pose) -> f64) -> f64 {
    pose(design, half_angle).map_or(f64::NAN, |pose| value(&pose))
}

pub(crate) fn checks() -> Vec<Check> {
    let mut checks = polar_angles();
    checks.extend(jacobian());
    checks.extend(hemisphere());
    checks.extend(layouts());
    checks.push(closure_end());
    checks
}

fn polar_angles() -> Vec<Check> {
    let polar = |design: &Design, half_angle: f64| {
        at(design, half_angle, |pose| pose.direction.polar / DEGREE)
    };
    [
        (
            "L01",
            "2 × 23.5°, α = 50°",
            62.461012,
            polar(&uniform(2, 23.5), 50.0),
        ),
        (
            "L02",
            "1 × 38/50°, α = 65°",
            57.505687,
            polar(&scissor(&[38.0], &[50.0], &[]), 65.0),
        ),
        (
            "L03",
            "2 bent stages, α = 40°",
            55.196117,
            polar(&bent(), 40.0),
        ),
    ]
    .into_iter()
    .map(|(id, what, reference, value)| {
        POLAR.check(
            id,
            format!("polar angle: {what}"),
            "°",
            [reference, value],
            Tolerance::Absolute(5e-7),
        )
    })
    .collect()
}

/// J = ½ [[θ', −θ'], [sin θ, sin θ]] with two bars driven; [[θ'/2, 0], [0, sin θ]] by opening
/// and swing.
fn jacobian() -> Vec<Check> {
    let design = uniform(2, 23.5);
    let mut opening = design.clone();
    opening.drives.layout = DriveLayout::SwingAndOpening;
    let entry = |design: &Design, row: usize, column: usize| {
        at(design, 50.0, |pose| pose.jacobian[(row, column)])
    };
    let index = |design: &Design, half_angle: f64| {
        at(design, half_angle, |pose| {
            local_conditioning_index(&pose.jacobian)
        })
    };
    let half_slope = 0.617903214438119;
    let half_sine = 0.4433482120381547;
    let slope_of = |design: &Design, half_angle: f64| {
        // θ' by the half-angle is twice the slope by the left bar, which turns α and swing.
        at(design, half_angle, |pose| 2.0 * pose.jacobian[(0, 0)])
    };
    let one = scissor(&[38.0], &[50.0], &[]);
    [
        (
            &UNIFORM,
            "L04-1",
            "J, polar by left bar",
            -half_slope,
            entry(&design, 0, 0),
        ),
        (
            &UNIFORM,
            "L04-2",
            "J, polar by right bar",
            half_slope,
            entry(&design, 0, 1),
        ),
        (
            &UNIFORM,
            "L04-3",
            "J, azimuth by left bar",
            half_sine,
            entry(&design, 1, 0),
        ),
        (
            &UNIFORM,
            "L04-4",
            "J, azimuth by right bar",
            half_sine,
            entry(&design, 1, 1),
        ),
        (
            &UNIFORM,
            "L05-1",
            "LCI, two bars driven",
            0.7175042978879898,
            index(&design, 50.0),
        ),
        (
            &UNIFORM,
            "L05-2",
            "LCI, swing and opening",
            0.6968599372460559,
            index(&opening, 50.0),
        ),
        (
            &SLOPE,
            "L06-1",
            "1 × 38/50°, α = 65°",
            -0.8966569974728336,
            slope_of(&one, 65.0),
        ),
        (
            &SLOPE,
            "L06-2",
            "2 bent stages, α = 40°",
            -0.9886364540023399,
            slope_of(&bent(), 40.0),
        ),
    ]
    .into_iter()
    .map(|(source, id, what, reference, value)| {
        let linkage = if id.starts_with("L06") {
            "slope θ': "
        } else {
            "2 × 23.5°, α = 50°: "
        };
        source.check(
            id,
            format!("{linkage}{what}"),
            "1",
            [reference, value],
            Tolerance::Relative(1e-12),
        )
    })
    .collect()
}

fn hemisphere() -> Vec<Check> {
    let region = Region::cap(Vector3::z(), 90.0 * DEGREE);
    let gci = |design: &Design| {
        conditioning_over(design, &region).map_or(f64::NAN, |(summary, _)| summary.gci)
    };
    let mut checks: Vec<Check> = [
        ("L10", "2 × 24°", 0.60364, gci(&uniform(2, 24.0))),
        ("L11", "3 × 15.5°", 0.60661, gci(&uniform(3, 15.5))),
        ("L12", "1 × 48°", 0.56100, gci(&uniform(1, 48.0))),
        ("L13", "2 bent stages", 0.75808, gci(&bent())),
    ]
    .into_iter()
    .map(|(id, what, reference, value)| {
        HEMISPHERE.check(
            id,
            format!("GCI over the hemisphere: {what}"),
            "1",
            [reference, value],
            Tolerance::Absolute(5e-6),
        )
    })
    .collect();
    let ends = conditioning_over(&bent(), &region).map_or([f64::NAN; 2], |(_, range)| {
        [range.polar_min() / DEGREE, range.polar_max() / DEGREE]
    });
    for (id, what, reference, value) in [
        ("L14-from", "minimum", 4.31418, ends[0]),
        ("L14-to", "maximum", 96.61135, ends[1]),
    ] {
        checks.push(HEMISPHERE.check(
            id,
            format!("reach of 2 bent stages: {what} polar angle"),
            "°",
            [reference, value],
            Tolerance::Absolute(5e-6),
        ));
    }
    checks
}

fn layouts() -> Vec<Check> {
    let region = Region::cap(Vector3::z(), 90.0 * DEGREE);
    let gci = |mut design: Design, layout: DriveLayout| {
        design.drives.layout = layout;
        conditioning_over(&design, &region).map_or(f64::NAN, |(summary, _)| summary.gci)
    };
    use DriveLayout::{SwingAndOpening, TwoBars};
    [
        (
            "L15-bars",
            "2 × 23.75°, two bars",
            0.604,
            gci(uniform(2, 23.75), TwoBars),
        ),
        (
            "L15-opening",
            "2 × 23.75°, swing and opening",
            0.615,
            gci(uniform(2, 23.75), SwingAndOpening),
        ),
        (
            "L16-bars",
            "2 bent stages, two bars",
            0.758,
            gci(bent(), TwoBars),
        ),
        (
            "L16-opening",
            "2 bent, swing and opening",
            0.639,
            gci(bent(), SwingAndOpening),
        ),
    ]
    .into_iter()
    .map(|(id, what, reference, value)| {
        LAYOUTS.check(
            id,
            format!("GCI by drive layout: {what}"),
            "1",
            [reference, value],
            Tolerance::Absolute(5e-4),
        )
    })
    .collect()
}

/// With a > b the distal arcs come in line before the opening is 180°.
fn closure_end() -> Check {
    let design = scissor(&[40.0], &[30.0], &[]);
    let region = Region::cap(Vector3::z(), 90.0 * DEGREE);
    let end = conditioning_over(&design, &region).map_or(f64::NAN, |(_, range)| range.second[1]);
    CLOSURE.check(
        "L20",
        "1 × 40/30°: opening where closure ends",
        "°",
        [102.1304578445766, end / DEGREE],
        Tolerance::Absolute(1e-7),
    )
}
