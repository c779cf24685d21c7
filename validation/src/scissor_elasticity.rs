//! The scissor linkage: tip compliance and least stiffness by number of stages (F01–F05).

use calotte::design::{Design, JointStiffness};
use calotte::elasticity::Structure;
use calotte::elasticity::tool_line::shift_map;
use calotte::kinematics::Kinematics;
use nalgebra::Matrix6;

use crate::check::{Check, Source, Tolerance, file};
use crate::common::{DEGREE, bent, uniform};

const COMPLIANCE: Source = Source::derived(
    file::FRAMES,
    "exact arcs by quadrature, assembled there; fine frames of straight members agree",
);
const STAGES: Source = Source::derived(
    file::FRAMES,
    "exact arcs by quadrature, assembled there, to four digits; 0.1 %",
);
const AZIMUTH: Source = Source::derived(
    file::FRAMES,
    "exact arcs by quadrature, assembled there, to whole and tenth N/mm",
);

/// Tip compliance at the first stage's half-angle in degrees, SI, local frame.
fn compliance(design: &Design, half_angle: f64) -> Option<Matrix6<f64>> {
    let kinematics = Kinematics::new(design).ok()?;
    let structure = Structure::new(design, &kinematics.linkage).ok()?;
    let pose = kinematics
        .forward_from_mechanism([0.4, 2.0 * half_angle * DEGREE])
        .ok()?;
    let solved = structure.solve(&pose.configuration, &pose.frame).ok()?;
    Some(solved.tip_compliance())
}

pub(crate) fn checks() -> Vec<Check> {
    let mut checks = tip_compliance();
    checks.extend(centre_shift());
    checks.extend(least_stiffness());
    checks.extend(near_coincidence());
    checks
}

/// Stages, arc and half-angle in degrees; polar, azimuth, radial, polar-radial in µm/N.
pub(crate) const TIP: [(usize, f64, f64, [f64; 4]); 3] = [
    (2, 23.5, 50.0, [27.23632, 12.17419, 58.13357, -29.29530]),
    (
        3,
        47.0 / 3.0,
        50.0,
        [22.64159, 11.45586, 55.86963, -25.24721],
    ),
    (4, 11.75, 30.0, [34.73521, 33.01969, 83.13557, -47.92344]),
];

fn tip_compliance() -> Vec<Check> {
    let mut checks = Vec::new();
    for (stages, arc, half_angle, values) in TIP {
        let found = compliance(&uniform(stages, arc), half_angle);
        for ((name, row, column), reference) in [
            ("polar", 0, 0),
            ("azimuth", 1, 1),
            ("radial", 2, 2),
            ("polar-radial", 0, 2),
        ]
        .into_iter()
        .zip(values)
        {
            let value = found.map_or(f64::NAN, |c| c[(row, column)] * 1e6);
            checks.push(COMPLIANCE.check(
                format!("F01-{stages}-{name}"),
                format!("tip compliance, {stages} stages, α = {half_angle}°: {name}"),
                "µm/N",
                [reference, value],
                Tolerance::Absolute(5e-6),
            ));
        }
    }
    checks
}

/// Where the tool's line passes the centre by a unit force at the tip, µm/N.
fn centre_shift() -> Vec<Check> {
    let found = compliance(&uniform(2, 23.5), 50.0)
        .map(|c| shift_map(0.15) * c.fixed_columns::<3>(0) * 1e6);
    let entry = |row, column| found.map_or(f64::NAN, |shift| shift[(row, column)]);
    let worst = found.map_or(f64::NAN, |shift| {
        (shift * shift.transpose())
            .symmetric_eigenvalues()
            .max()
            .sqrt()
    });
    [
        ("1", "polar by polar", -26.3166, entry(0, 0)),
        ("2", "azimuth by azimuth", 20.2469, entry(1, 1)),
        ("3", "polar by radial", 65.1390, entry(0, 2)),
        ("worst", "worst direction", 70.2542, worst),
    ]
    .into_iter()
    .map(|(id, name, reference, value)| {
        COMPLIANCE.check(
            format!("F05-{id}"),
            format!("centre shift by 1 N, 2 stages, α = 50°: {name}"),
            "µm/N",
            [reference, value],
            Tolerance::Absolute(5.1e-5),
        )
    })
    .collect()
}

/// Polar angle in degrees; least translational stiffness in N/mm for 1 to 6 stages with rigid
/// joints and with real ones; the arcs of one side add up to 94°.
const LEAST: [(f64, [f64; 6], [f64; 6]); 3] = [
    (
        30.0,
        [8.335, 28.58, 37.93, 39.99, 38.21, 34.62],
        [4.682, 10.46, 7.900, 4.385, 2.463, 1.482],
    ),
    (
        60.0,
        [8.676, 14.05, 14.94, 15.22, 15.32, 15.34],
        [5.074, 6.870, 6.550, 5.973, 5.312, 4.575],
    ),
    (
        80.0,
        [7.553, 8.955, 9.143, 9.201, 9.223, 9.230],
        [4.396, 4.545, 4.186, 3.834, 3.516, 3.230],
    ),
];

/// Least translational stiffness in N/mm at a polar angle in degrees.
fn least(stages: usize, polar: f64, joints: Option<JointStiffness>) -> f64 {
    let arc = 47.0 / stages as f64;
    let mut design = uniform(stages, arc);
    design.joints.stiffness = joints;
    // tan(θ/2m) = tan β cos α.
    let cosine = (polar * DEGREE / (2.0 * stages as f64)).tan() / (arc * DEGREE).tan();
    compliance(&design, cosine.acos() / DEGREE).map_or(f64::NAN, |c| {
        let translations = c.fixed_view::<3, 3>(0, 0).into_owned();
        1e-3 / translations.symmetric_eigenvalues().max()
    })
}

fn least_stiffness() -> Vec<Check> {
    let real = JointStiffness {
        axial: 3e6.into(),
        radial: 6e6.into(),
        tilt: 300.0.into(),
    };
    let mut checks = Vec::new();
    for (polar, rigid, sprung) in LEAST {
        for (id, name, values, joints) in [
            ("rigid", "rigid joints", rigid, None),
            ("joints", "real joints", sprung, Some(real)),
        ] {
            for (index, reference) in values.into_iter().enumerate() {
                let stages = index + 1;
                let plural = if stages == 1 { "stage" } else { "stages" };
                checks.push(STAGES.check(
                    format!("F02-{polar}-{id}-{stages}"),
                    format!("minimum stiffness at {polar}°, {name}: {stages} {plural}"),
                    "N/mm",
                    [reference, least(stages, polar, joints)],
                    Tolerance::Relative(1e-3),
                ));
            }
        }
    }
    checks
}

/// Side joints of the bent linkage close to each other: the index stays high, the stiffness
/// across the meridian falls to nothing.
fn near_coincidence() -> Vec<Check> {
    let stiffness =
        |half_angle: f64| compliance(&bent(), half_angle).map_or(f64::NAN, |c| 1e-3 / c[(1, 1)]);
    [("F04-20", 20.0, 37.0, 0.5), ("F04-1", 1.0, 0.4, 0.05)]
        .into_iter()
        .map(|(id, half_angle, reference, half_digit)| {
            AZIMUTH.check(
                id,
                format!("azimuth stiffness, bent stages: α = {half_angle}°"),
                "N/mm",
                [reference, stiffness(half_angle)],
                Tolerance::Absolute(half_digit),
            )
        })
        .collect()
}
