//! The two-arc arm: Jacobian, isotropy, conditioning over caps and full reach (S13–S17, G03–G05).

use calotte::analysis::RollRange;
use calotte::design::Design;
use calotte::kinematics::conditioning::local_conditioning_index;
use calotte::kinematics::{Kinematics, Pose};
use calotte::sphere::Region;
use nalgebra::Vector3;

use crate::check::{Check, Source, Tolerance, file};
use crate::common::{DEGREE, arm, conditioning_over};

const JACOBIAN: Source = Source::derived(
    file::SPHERE,
    "|det J| = sin a1 sin a2 sin t2, column norms sin ρ and sin a2, ρ by the cosine rule",
);
const LOCUS: Source = Source::derived(
    file::SPHERE,
    "finite differences of the arm by vectors where cos a1 = cos² a2 and cos t2 = −cos a2/√(1 + cos² a2)",
);
const RIGHT_ARM: Source = Source::derived(file::SPHERE, "arm of two right angles: LCI = |sin t2|");
const WHOLE_SPHERE: Source = Source::derived(
    file::SPHERE,
    "integrals of |sin t2| over the sphere and over the joint space",
);
const CAPS: Source = Source::derived(
    file::SPHERE,
    "integral of |sin t2| over a cap about an axis across the base axis; minimum LCI is the cosine of its half-angle",
);
const FULL_REACH: Source = Source::derived(
    file::SPHERE,
    "adaptive quadrature of the LCI over elbow angles",
);

const ROLL: Source = Source::derived(
    file::SPHERE,
    "arm of 50° and 70° by vectors: the bar against the meridian, over polar angles of 30° to 90°",
);

pub(crate) fn checks() -> Vec<Check> {
    let mut checks = jacobian();
    checks.extend(isotropy());
    checks.extend(caps());
    checks.extend(full_reach());
    checks.extend(roll());
    checks
}

/// The pose of an arm at an elbow angle in degrees.
fn pose(design: &Design, elbow: f64) -> Option<Pose> {
    let kinematics = Kinematics::new(design).ok()?;
    kinematics.forward([0.3, elbow * DEGREE]).ok()
}

fn lci(arcs: [f64; 2], elbow: f64) -> f64 {
    pose(&arm(arcs[0], arcs[1]), elbow)
        .map_or(f64::NAN, |pose| local_conditioning_index(&pose.jacobian))
}

fn jacobian() -> Vec<Check> {
    let found = pose(&arm(75.0, 60.0), 40.0).map_or([f64::NAN; 4], |pose| {
        [
            pose.jacobian.determinant().abs(),
            pose.jacobian.column(0).norm(),
            pose.jacobian.column(1).norm(),
            pose.direction.polar / DEGREE,
        ]
    });
    [
        ("S13-det", "|det J|", "1", 0.5377023153434446),
        (
            "S13-first",
            "norm of the base's column",
            "1",
            0.859343305100951,
        ),
        (
            "S13-second",
            "norm of the elbow's column",
            "1",
            0.8660254037844386,
        ),
        ("S13-reach", "polar angle", "°", 120.7570710039635),
    ]
    .into_iter()
    .zip(found)
    .map(|((id, name, unit, reference), value)| {
        JACOBIAN.check(
            id,
            format!("arm 75/60°, elbow 40°: {name}"),
            unit,
            [reference, value],
            Tolerance::Relative(1e-12),
        )
    })
    .collect()
}

/// Roll over a region of which the greatest lies inside.
fn roll() -> Vec<Check> {
    let design = arm(50.0, 70.0);
    let region = Region::cap(
        Vector3::new((60.0 * DEGREE).sin(), 0.0, (60.0 * DEGREE).cos()),
        30.0 * DEGREE,
    );
    let found = Kinematics::new(&design).ok().and_then(|kinematics| {
        let (_, range) = conditioning_over(&design, &region)?;
        RollRange::over(&kinematics, &range, &region)
    });
    let [low, high] = found.map_or([f64::NAN; 2], |found| found.roll);
    let range = found.map_or(f64::NAN, |found| found.range());
    [
        ("S24-minimum", "minimum", -54.60788112879509, low),
        ("S24-maximum", "maximum", -42.46705867479011, high),
        ("S24-range", "range", 12.140822454004985, range),
    ]
    .into_iter()
    .map(|(id, what, reference, value)| {
        ROLL.check(
            id,
            format!("arm 50/70°, roll over polar 30 to 90°: {what}"),
            "°",
            [reference, value / DEGREE],
            Tolerance::Absolute(1e-7),
        )
    })
    .collect()
}

/// Second arc, first arc and elbow angle of isotropy, degrees, to nine decimals.
const ISOTROPIC: [[f64; 3]; 6] = [
    [40.0, 54.068041680, 127.453719557],
    [45.0, 60.0, 125.264389683],
    [52.0, 67.725827962, 121.619006537],
    [60.0, 75.522487814, 116.565051177],
    [72.0, 84.520390540, 107.172037851],
    [90.0, 90.0, 90.0],
];

fn isotropy() -> Vec<Check> {
    let mut checks = Vec::new();
    for [second, first, elbow] in ISOTROPIC {
        checks.push(LOCUS.check(
            format!("S15-{second}-LCI"),
            format!("isotropic arm of second arc {second}°: LCI"),
            "1",
            [1.0, lci([first, second], elbow)],
            Tolerance::Absolute(1e-9),
        ));
        let polar = pose(&arm(first, second), elbow).map_or(f64::NAN, |pose| pose.direction.polar);
        checks.push(LOCUS.check(
            format!("S15-{second}-polar"),
            format!("isotropic arm of second arc {second}°: polar angle"),
            "°",
            [second, polar / DEGREE],
            Tolerance::Absolute(5e-9),
        ));
    }
    for (elbow, reference) in [(30.0, 0.5), (75.0, 0.9659258262890683)] {
        checks.push(RIGHT_ARM.check(
            format!("S17-{elbow}"),
            format!("arm 90/90°, LCI: elbow {elbow}°"),
            "1",
            [reference, lci([90.0, 90.0], elbow)],
            Tolerance::Relative(1e-12),
        ));
    }
    checks
}

/// Half-angle of the cap in degrees, GCI, and the cosine of the half-angle.
const CAP_VALUES: [[f64; 3]; 6] = [
    [15.0, 0.9915059587, 0.9659258262890683],
    [20.0, 0.9850006844, 0.9396926207859084],
    [30.0, 0.9669002207, 0.8660254037844386],
    [45.0, 0.9287885622, 0.7071067811865476],
    [60.0, 0.8814574394, 0.5],
    // The last cap touches the base axis, where the index is zero.
    [90.0, 0.7853981634, 0.0],
];

fn caps() -> Vec<Check> {
    let mut checks = Vec::new();
    for [half_angle, gci, least] in CAP_VALUES {
        let region = Region::cap(Vector3::x(), half_angle * DEGREE);
        let found = conditioning_over(&arm(90.0, 90.0), &region)
            .map_or([f64::NAN; 2], |(summary, _)| [summary.gci, summary.lci_min]);
        for (id, what, reference, value) in [
            ("GCI", "GCI", gci, found[0]),
            ("minimum", "minimum LCI", least, found[1]),
        ] {
            checks.push(CAPS.check(
                format!("G04-{half_angle}-{id}"),
                format!("arm 90/90°, cap across the base axis: {half_angle}°, {what}"),
                "1",
                [reference, value],
                Tolerance::Absolute(1e-9),
            ));
        }
    }
    checks
}

fn full_reach() -> Vec<Check> {
    let mut checks = Vec::new();
    let mut add = |source: &Source, id: &str, arcs: [f64; 2], by_area: f64, by_joint: f64| {
        let region = Region::cap(Vector3::z(), std::f64::consts::PI);
        let summary =
            conditioning_over(&arm(arcs[0], arcs[1]), &region).map(|(summary, _)| summary);
        let found = summary.map_or([f64::NAN; 2], |s| [s.gci_reached, s.gci_joint_weight]);
        for (weight, reference, value) in
            [("area", by_area, found[0]), ("joint", by_joint, found[1])]
        {
            checks.push(source.check(
                format!("{id}-{weight}"),
                format!(
                    "GCI over the full reach of an arm: {}/{}°, {weight}",
                    arcs[0], arcs[1]
                ),
                "1",
                [reference, value],
                Tolerance::Absolute(1e-9),
            ));
        }
    };
    add(
        &WHOLE_SPHERE,
        "G03",
        [90.0, 90.0],
        std::f64::consts::FRAC_PI_4,
        std::f64::consts::FRAC_2_PI,
    );
    for (id, arcs, by_area, by_joint) in [
        ("G05-1", [75.52248781, 60.0], 0.6577667284, 0.5361676167),
        ("G05-2", [75.0, 60.0], 0.6549668522, 0.5341641807),
        ("G05-3", [60.0, 60.0], 0.5266790871, 0.4351938481),
        ("G05-4", [45.0, 45.0], 0.4457547267, 0.3715573393),
    ] {
        add(&FULL_REACH, id, arcs, by_area, by_joint);
    }
    checks
}
