//! Spherical triangles by Napier's rules and the cosine rule, and the rhombus (S01–S07).

use calotte::kinematics::Kinematics;
use calotte::sphere::triangle::{Rhombus, Triangle, excess_from_sides};

use crate::check::{Check, Source, Tolerance, file};
use crate::common::{DEGREE, uniform};

/// Reference angles are printed to ten decimals of a degree.
const PRINTED: Tolerance = Tolerance::Absolute(1e-10);

const NAPIER: Source = Source::derived(
    file::SPHERE,
    "Napier's rules for the right spherical triangle",
);
const COSINE_RULE: Source = Source::derived(file::SPHERE, "cosine rule of spherical trigonometry");
const RHOMBUS: Source = Source::derived(file::SPHERE, "Napier's rules on a quarter of the rhombus");

/// Legs, then side c, angles A and B, and excess of right triangles, degrees.
const RIGHT_TRIANGLES: [(&str, [f64; 2], [f64; 4]); 3] = [
    (
        "S01",
        [30.0, 40.0],
        [48.4392374298, 41.9301051899, 59.2102669712, 11.1403721611],
    ),
    (
        "S02-1",
        [20.0, 50.0],
        [52.8414458559, 25.4137668800, 73.9871045064, 9.4008713865],
    ),
    (
        "S02-2",
        [60.0, 70.0],
        [80.1534480602, 61.5187617187, 72.5047592430, 44.0235209617],
    ),
];

/// Angles and excess of the triangle of sides 50°, 60°, 70°, degrees.
const OBLIQUE: [f64; 4] = [54.5689113698, 67.0961765681, 88.2183180973, 29.8834060352];

pub(crate) fn checks() -> Vec<Check> {
    let mut checks = Vec::new();
    for (id, [a, b], expected) in RIGHT_TRIANGLES {
        let triangle = Triangle::right(a * DEGREE, b * DEGREE);
        let found = [
            triangle.sides[2],
            triangle.angles[0],
            triangle.angles[1],
            triangle.excess(),
        ];
        let names = ["side c", "angle A", "angle B", "excess"];
        for ((name, reference), value) in names.iter().zip(expected).zip(found) {
            let short = name.replace("side ", "").replace("angle ", "");
            checks.push(NAPIER.check(
                format!("{id}-{short}"),
                format!("right triangle {a}°, {b}°: {name}"),
                "°",
                [reference, value / DEGREE],
                PRINTED,
            ));
        }
    }
    checks.extend(oblique());
    checks.extend(rhombus());
    checks
}

fn oblique() -> Vec<Check> {
    let [a, b, c] = [50.0, 60.0, 70.0].map(|side| side * DEGREE);
    let angles = match Triangle::from_sides(a, b, c) {
        Ok(triangle) => [
            triangle.angles[0],
            triangle.angles[1],
            triangle.angles[2],
            triangle.excess(),
        ],
        Err(_) => [f64::NAN; 4],
    };
    let mut checks: Vec<Check> = ["A", "B", "C", "excess"]
        .iter()
        .zip(OBLIQUE.iter().zip(angles))
        .map(|(name, (reference, value))| {
            COSINE_RULE.check(
                format!("S03-{name}"),
                format!("triangle of sides 50°, 60°, 70°: {name}"),
                "°",
                [*reference, value / DEGREE],
                PRINTED,
            )
        })
        .collect();
    checks.push(COSINE_RULE.check(
        "S03-LHuilier",
        "triangle of sides 50°, 60°, 70°: excess from sides alone",
        "°",
        [OBLIQUE[3], excess_from_sides(a, b, c) / DEGREE],
        PRINTED,
    ));
    checks
}

/// The rhombus of side 15° and vertex angle 60°, and a chain of five of them.
fn rhombus() -> Vec<Check> {
    let (side, angle) = (15.0 * DEGREE, 60.0 * DEGREE);
    let rhombus = Rhombus::new(side, angle);
    let half = |value: f64| (0.5 * value).cos();
    let mut checks = Vec::new();
    for (id, name, reference, value) in [
        ("S05-d", "diagonal", 26.1286268590, rhombus.diagonal),
        ("S05-w", "other diagonal", 14.8709444523, rhombus.width),
        ("S05-chi", "side angle", 121.7051474719, rhombus.side_angle),
    ] {
        checks.push(RHOMBUS.check(
            id,
            format!("rhombus of side 15°, angle 60°: {name}"),
            "°",
            [reference, value / DEGREE],
            PRINTED,
        ));
    }
    checks.push(RHOMBUS.check(
        "S04",
        "rhombus of side 15°, angle 60°: cos(d/2) · cos(w/2)",
        "1",
        [
            0.9659258262890683,
            half(rhombus.diagonal) * half(rhombus.width),
        ],
        Tolerance::Relative(1e-14),
    ));
    let chain = Kinematics::new(&uniform(5, 15.0)).map(|kinematics| {
        let reach = kinematics.forward_from_mechanism([0.0, angle]);
        reach.map_or(f64::NAN, |pose| pose.direction.polar / DEGREE)
    });
    checks.push(RHOMBUS.check(
        "S07-reach",
        "rhombus of side 15°, angle 60°: reach of five in a row",
        "°",
        [130.64313429508287, chain.unwrap_or(f64::NAN)],
        Tolerance::Relative(1e-13),
    ));
    checks.push(RHOMBUS.check(
        "S07-slope",
        "rhombus of side 15°, angle 60°: slope of d by the angle",
        "1",
        [-0.127129007175452, Rhombus::diagonal_rate(side, angle)],
        Tolerance::Relative(1e-13),
    ));
    checks
}
