//! Conditioning of the planar two-bar arm (G07–G10): the index of the library on Jacobians
//! written down here, with a quadrature of this module's own.

use calotte::kinematics::conditioning::local_conditioning_index;
use nalgebra::Matrix2;

use crate::check::{Check, Source, Tolerance, file};
use crate::common::DEGREE;

const ISOTROPIC: Source = Source::derived(
    file::SPHERE,
    "singular values of the arm with l1/l2 = √2 at an elbow of 135° (Salisbury and Craig 1982, from memory)",
);
const EQUAL: Source = Source::derived(
    file::SPHERE,
    "singular values of the arm with equal bars in closed form",
);
const MEANS: Source = Source::derived(
    file::SPHERE,
    "adaptive quadrature of 1/κ over the elbow angle",
);

/// LCI of the planar arm of bars (ratio, 1) at an elbow angle, rad.
fn lci(ratio: f64, elbow: f64) -> f64 {
    let (sin, cos) = elbow.sin_cos();
    // First bar along x: columns are the tip's velocities per joint rate.
    local_conditioning_index(&Matrix2::new(-sin, -sin, ratio + cos, cos))
}

/// Means of the index over the elbow angle by area (sin q₂) and by joint space.
fn means(ratio: f64) -> [f64; 2] {
    // The index of the isotropic arm has a corner where it is 1; a panel ends there.
    let corner = (-1.0 / ratio.max(1.0 / ratio)).acos();
    let (mut by_area, mut by_joint) = (0.0, 0.0);
    for (from, to) in [(0.0, corner), (corner, std::f64::consts::PI)] {
        for (elbow, weight) in panels(from, to) {
            let value = lci(ratio, elbow);
            by_area += weight * elbow.sin() * value;
            by_joint += weight * value;
        }
    }
    // ∫ sin over (0, π) is 2.
    [0.5 * by_area, by_joint / std::f64::consts::PI]
}

/// Nodes and weights of Gauss's rule with three points on 400 equal panels.
fn panels(from: f64, to: f64) -> Vec<(f64, f64)> {
    const PANELS: usize = 400;
    let node = 0.6f64.sqrt();
    let rule = [(-node, 5.0 / 18.0), (0.0, 8.0 / 18.0), (node, 5.0 / 18.0)];
    let width = (to - from) / PANELS as f64;
    (0..PANELS)
        .flat_map(|panel| {
            let middle = from + width * (panel as f64 + 0.5);
            rule.map(|(x, weight)| (middle + 0.5 * width * x, weight * width))
        })
        .collect()
}

/// Place of the greatest value of a function with one peak: bisection for where it is as high a
/// little to the left as to the right. Comparing values at the top itself would lose half the digits.
fn peak(mut from: f64, mut to: f64, function: impl Fn(f64) -> f64) -> f64 {
    let step = 1e-4;
    for _ in 0..60 {
        let middle = 0.5 * (from + to);
        if function(middle - step) > function(middle + step) {
            to = middle;
        } else {
            from = middle;
        }
    }
    0.5 * (from + to)
}

pub(crate) fn checks() -> Vec<Check> {
    let root = std::f64::consts::SQRT_2;
    let best = peak(110.0 * DEGREE, 150.0 * DEGREE, |elbow| lci(1.0, elbow));
    let mut checks = vec![
        ISOTROPIC.check(
            "G07",
            "planar arm, LCI: l1/l2 = √2, elbow 135°",
            "1",
            [1.0, lci(root, 135.0 * DEGREE)],
            Tolerance::Absolute(1e-12),
        ),
        EQUAL.check(
            "G08-best",
            "planar arm, LCI: equal bars, maximum",
            "1",
            [0.618033989, lci(1.0, best)],
            Tolerance::Absolute(5e-10),
        ),
        EQUAL.check(
            "G08-elbow",
            "planar arm, LCI: equal bars, its elbow",
            "°",
            [131.810315, best / DEGREE],
            Tolerance::Absolute(5e-6),
        ),
        EQUAL.check(
            "G08-90",
            "planar arm, LCI: equal bars, elbow 90°",
            "1",
            [0.3819660113, lci(1.0, 90.0 * DEGREE)],
            Tolerance::Absolute(1e-10),
        ),
    ];
    for (name, ratio, by_area, by_joint) in [
        ("1", 1.0, 0.3610945707, 0.3062800452),
        ("√2", root, 0.4360433057, 0.3749777219),
        ("5/3", 5.0 / 3.0, 0.4099312036, 0.3509950539),
        ("2", 2.0, 0.3610945707, 0.3062800452),
    ] {
        let found = means(ratio);
        for (weight, reference, value) in
            [("area", by_area, found[0]), ("joint", by_joint, found[1])]
        {
            checks.push(MEANS.check(
                format!("G09-{name}-{weight}"),
                format!("planar arm, GCI: l1/l2 = {name}, {weight} weight"),
                "1",
                [reference, value],
                Tolerance::Absolute(1e-9),
            ));
        }
    }
    let best_ratio = peak(1.2, 1.7, |ratio| means(ratio)[0]);
    checks.push(MEANS.check(
        "G10",
        "planar arm, GCI: l1/l2 where maximum by area",
        "1",
        [root, best_ratio],
        // Its mean is nearly flat there; the step of the search moves it by its square.
        Tolerance::Absolute(1e-5),
    ));
    checks
}
