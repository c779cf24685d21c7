//! Assembled arcs: a rhombus with rigid joints and with springs (B2), and the two-arc arm as the
//! sum over its chain (T04).

use calotte::design::{Design, JointStiffness};
use calotte::elasticity::Structure;
use calotte::kinematics::Kinematics;
use calotte::linkage::Linkage;
use calotte::sphere::{Direction, LocalFrame};
use calotte::stock::Section;
use nalgebra::{Matrix6, Vector3};

use crate::check::{Check, Source, Tolerance, file};
use crate::common::{DEGREE, arm, by_poisson, uniform};
use crate::linkage_by_hand::{as_given, body, linkage, plain_joint};

const RHOMBUS: Source = Source::derived(
    file::FRAMES,
    "exact arcs by quadrature, assembled there; a frame of straight members agrees to 1.2e-8",
);
const SPRINGS: Source = Source::derived(
    file::FRAMES,
    "exact arcs by quadrature and springs, assembled there; two frame programs of straight members agree",
);
const CHAIN: Source = Source::derived(
    file::FRAMES,
    "sum of J C Jᵀ over the chain, C by quadrature of the unit-load integrals",
);

/// Bars 20 mm across by 8 mm along the radius at 150 mm, E = 68.9 GPa, ν = 0.33.
fn with_section(mut design: Design) -> Design {
    design.section = Section::Rectangle {
        tangential: 0.020,
        radial: 0.008,
    };
    design.material = by_poisson(68.9e9, 0.33);
    design
}

/// Tip compliance of a family at its mechanism angles, rad; mm/N, local frame.
fn compliance(design: &Design, mechanism: [f64; 2]) -> Option<Matrix6<f64>> {
    let kinematics = Kinematics::new(design).ok()?;
    let structure = Structure::new(design, &kinematics.linkage).ok()?;
    let pose = kinematics.forward_from_mechanism(mechanism).ok()?;
    let solved = structure.solve(&pose.configuration, &pose.frame).ok()?;
    Some(solved.tip_compliance())
}

pub(crate) fn checks() -> Vec<Check> {
    let mut checks = rigid_rhombi();
    checks.extend(sprung_rhombus());
    checks.extend(serial_arm());
    checks
}

/// Vertex angle, degrees; entries rr, rt, tt, nn in mm/N; side 30°.
const RHOMBI: [(f64, [f64; 4]); 2] = [
    (
        60.0,
        [7.25256302e-3, -3.03249304e-3, 1.61082692e-3, 1.34826058e-3],
    ),
    (
        90.0,
        [5.42465863e-3, -2.40198001e-3, 1.66928946e-3, 7.80891761e-4],
    ),
];

/// Entries of the local frame: r is radial, t polar (along the diagonal), n azimuth.
const RADIAL: usize = 2;
const POLAR: usize = 0;
const AZIMUTH: usize = 1;

fn rigid_rhombi() -> Vec<Check> {
    let mut checks = Vec::new();
    let design = with_section(uniform(1, 30.0));
    for (angle, values) in RHOMBI {
        let found = compliance(&design, [0.2, angle * DEGREE]);
        for ((name, row, column), reference) in [
            ("rr", RADIAL, RADIAL),
            ("rt", RADIAL, POLAR),
            ("tt", POLAR, POLAR),
            ("nn", AZIMUTH, AZIMUTH),
        ]
        .into_iter()
        .zip(values)
        {
            let value = found.map_or(f64::NAN, |c| c[(row, column)] * 1e3);
            checks.push(RHOMBUS.check(
                format!("B2-{angle}-{name}"),
                format!("rhombus of side 30°, angle {angle}°: C_{name}"),
                "mm/N",
                [reference, value],
                Tolerance::Relative(2e-8),
            ));
        }
    }
    checks
}

/// The rhombus with both base bars as one clamped body, in the base frame at azimuth 0.
///
/// Its joints are the clamp, both side joints and the tip; the clamp is not part of the
/// reference and its springs are taken off the result.
fn clamped_rhombus() -> Linkage {
    let (side, half) = (30.0 * DEGREE, 30.0 * DEGREE);
    let vertex = Vector3::z();
    let at = |azimuth: f64| {
        Direction {
            polar: side,
            azimuth,
        }
        .vector()
    };
    let (left, right) = (at(half), at(-half));
    let tip = Direction {
        polar: 2.0 * (side.tan() * half.cos()).atan(),
        azimuth: 0.0,
    }
    .vector();
    let bodies = vec![
        body("ground", vec![vertex], &[]),
        body("base", vec![vertex, left, right], &[[0, 1], [0, 2]]),
        body("left", vec![left, tip], &[[0, 1]]),
        body("right", vec![right, tip], &[[0, 1]]),
    ];
    let joints = [
        [(0, 0), (1, 0)],
        [(1, 1), (2, 0)],
        [(1, 2), (3, 0)],
        [(2, 1), (3, 1)],
    ]
    .map(|places| plain_joint(&bodies, places))
    .to_vec();
    linkage(bodies, joints, [0, 0], (2, 1))
}

/// Compliance of the springs of a joint on the base axis as seen at a point, local frame.
fn joint_compliance_at(
    stiffness: &JointStiffness,
    offset: &Vector3<f64>,
    frame: &LocalFrame,
) -> Matrix6<f64> {
    let mut springs = Matrix6::zeros();
    for (k, value) in [
        (0, stiffness.radial.value),
        (1, stiffness.radial.value),
        (2, stiffness.axial.value),
        (3, stiffness.tilt.value),
        (4, stiffness.tilt.value),
    ] {
        // The rotation about the axis is locked.
        springs[(k, k)] = 1.0 / value;
    }
    let turn = frame.rotation().transpose();
    let mut map = Matrix6::zeros();
    map.fixed_view_mut::<3, 3>(0, 0).copy_from(&turn);
    map.fixed_view_mut::<3, 3>(3, 3).copy_from(&turn);
    let swept = -turn * offset.cross_matrix();
    map.fixed_view_mut::<3, 3>(0, 3).copy_from(&swept);
    map * springs * map.transpose()
}

/// Tip compliance of the rhombus with springs at both side joints and the tip, mm/N.
fn sprung_compliance() -> Option<Matrix6<f64>> {
    let stiffness = JointStiffness {
        axial: 2e7.into(),
        radial: 2e7.into(),
        tilt: 5e3.into(),
    };
    let mut design = with_section(uniform(1, 30.0));
    design.joints.stiffness = Some(stiffness);
    let linkage = clamped_rhombus();
    let configuration = as_given(&linkage);
    let structure = Structure::new(&design, &linkage).ok()?;
    let tool = linkage.tool_direction(&configuration);
    let frame = LocalFrame::at(Direction::of(&tool));
    let solved = structure.solve(&configuration, &frame).ok()?;
    let offset = solved.tip() - Vector3::z() * design.joint_radius;
    Some(solved.tip_compliance() - joint_compliance_at(&stiffness, &offset, &frame))
}

fn sprung_rhombus() -> Vec<Check> {
    let found = sprung_compliance();
    [
        ("rr", RADIAL, RADIAL, 7.786432403e-3),
        ("rt", RADIAL, POLAR, -3.196023337e-3),
        ("tt", POLAR, POLAR, 1.721393549e-3),
        ("nn", AZIMUTH, AZIMUTH, 1.526382153e-3),
        ("rn", RADIAL, AZIMUTH, 7.84078e-6),
        ("tn", POLAR, AZIMUTH, 2.803151e-5),
    ]
    .into_iter()
    .map(|(name, row, column, reference)| {
        let value = found.map_or(f64::NAN, |c| c[(row, column)] * 1e3);
        SPRINGS.check(
            format!("B2-springs-{name}"),
            format!("rhombus with springs at three joints: C_{name}"),
            "mm/N",
            [reference, value],
            Tolerance::Relative(1e-6),
        )
    })
    .collect()
}

/// The arm of 70° and 55° at an elbow of 90°, base and elbow locked.
fn serial_arm() -> Vec<Check> {
    let design = with_section(arm(70.0, 55.0));
    let found = compliance(&design, [0.4, 90.0 * DEGREE]);
    [
        ("polar", 0, 0, 27.73297080766782),
        ("polar-azimuth", 0, 1, -3.414319204660454),
        ("polar-radial", 0, 2, -27.38906879835018),
        ("azimuth", 1, 1, 30.61420525329897),
        ("azimuth-radial", 1, 2, -20.37515907838116),
        ("radial", 2, 2, 64.48235136562628),
    ]
    .into_iter()
    .map(|(name, row, column, reference)| {
        let value = found.map_or(f64::NAN, |c| c[(row, column)] * 1e6);
        CHAIN.check(
            format!("T04-{name}"),
            format!("tip compliance, arm 70/55°, elbow 90°: {name}"),
            "µm/N",
            [reference, value],
            Tolerance::Relative(1e-10),
        )
    })
    .collect()
}
