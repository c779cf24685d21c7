//! Spherical four-bar and five-bar through the general loop closure (S08–S12, S21, S22).
//!
//! The four-bar carries a tool pivoted on its output, so that it has the two freedoms the
//! closure expects; the pivot is held and touches nothing that is checked.

use calotte::kinematics::closure::close_by_continuation;
use calotte::kinematics::conditioning::local_conditioning_index;
use calotte::kinematics::jacobian::tool_jacobian;
use calotte::linkage::{Configuration, Linkage, tangent_towards};
use calotte::sphere::LocalFrame;
use calotte::sphere::direction::wrap_signed;
use nalgebra::{Rotation3, Vector3};

use crate::check::{Check, Source, Tolerance, file};
use crate::common::DEGREE;
use crate::linkage_by_hand::{bar, body, heading, joint, linkage};

const FOUR_BAR: Source = Source::derived(
    file::SPHERE,
    "pivots and circles on the sphere cut by vectors",
);
const FOLDABLE: Source = Source::derived(
    file::SPHERE,
    "four equal arcs by cutting circles on the sphere, tan(ψ/2) = cos α · tan(θ/2)",
);
const HOOKE: Source = Source::derived(
    file::SPHERE,
    "Hooke joint by cutting circles on the sphere, tan ψ' = cos γ · cot θ with ψ' = −ψ",
);
const FIVE_BAR: Source = Source::derived(
    file::SPHERE,
    "inverse kinematics by cutting circles on the sphere, Jacobian by finite differences",
);

pub(crate) fn checks() -> Vec<Check> {
    let mut checks = four_bar_angles();
    checks.extend(special_four_bars());
    checks.extend(five_bar());
    checks
}

/// Input, coupler, output and ground arc, degrees.
type Arcs = [f64; 4];

/// Ground, input, coupler, output, and a tool pivoted on the output.
///
/// The input angle is the interior one at the input pivot; the output angle is measured from
/// the ground arc continued beyond the output pivot. Both turn the same way about the outward
/// axis.
fn four_bar(arcs: Arcs) -> Linkage {
    let [input, coupler, output, ground] = arcs.map(|arc| arc * DEGREE);
    let (sin, cos) = ground.sin_cos();
    let bodies = vec![
        body(
            "ground",
            vec![Vector3::z(), Vector3::new(sin, 0.0, cos)],
            &[],
        ),
        bar("input", input),
        bar("coupler", coupler),
        bar("output", output),
        body("tool", vec![Vector3::z()], &[]),
    ];
    let x = Vector3::x();
    let continued = |arc: f64| Vector3::new(arc.cos(), 0.0, -arc.sin());
    let joints = vec![
        joint("input", [(0, 0), (1, 0)], [x, x]),
        joint("output", [(0, 1), (3, 0)], [continued(ground), x]),
        joint("input-coupler", [(1, 1), (2, 0)], [continued(input), x]),
        joint("coupler-output", [(2, 1), (3, 1)], [x, x]),
        joint("tool", [(3, 1), (4, 0)], [continued(output), x]),
    ];
    linkage(bodies, joints, [0, 4], (4, 0))
}

/// Bodies of a four-bar placed by a rough guess of its output angle, rad.
fn guessed(linkage: &Linkage, ground: f64, input_angle: f64, output_angle: f64) -> Configuration {
    let z = Vector3::z_axis();
    let input = Rotation3::from_axis_angle(&z, input_angle);
    let output = Rotation3::from_axis_angle(&Vector3::y_axis(), ground)
        * Rotation3::from_axis_angle(&z, output_angle);
    let from = input * linkage.bodies[1].stations[1];
    let to = output * linkage.bodies[3].stations[1];
    let arc = &linkage.bodies[3].stations;
    // The tool's frame continues the output arc.
    let turn = arc[1].x.atan2(arc[1].z);
    let tool = output * Rotation3::from_axis_angle(&Vector3::y_axis(), turn);
    Configuration {
        rotations: vec![
            Rotation3::identity(),
            input,
            heading(&from, &to),
            output,
            tool,
        ],
    }
}

/// Output angles in (−180°, 180°] at several input angles, all degrees, reached from a guess
/// of the first one.
fn output_angles(arcs: Arcs, input_angles: &[f64], guess: f64) -> Vec<f64> {
    let linkage = four_bar(arcs);
    let mut active = [input_angles[0] * DEGREE, 0.0];
    let mut configuration = guessed(&linkage, arcs[3] * DEGREE, active[0], guess * DEGREE);
    input_angles
        .iter()
        .map(|angle| {
            let target = [angle * DEGREE, 0.0];
            match close_by_continuation(&linkage, &configuration, active, target) {
                Ok(solution) => {
                    configuration = solution.configuration;
                    active = target;
                    let output = linkage.joint_angle(&linkage.joints[1], &configuration);
                    wrap_signed(output) / DEGREE
                }
                Err(_) => f64::NAN,
            }
        })
        .collect()
}

fn four_bar_angles() -> Vec<Check> {
    let inputs = [30.0, 60.0, 90.0, 120.0, 150.0];
    let branches = [
        (
            "a",
            60.0,
            [
                59.376082117,
                52.920204938,
                55.298715138,
                63.669039490,
                76.556356270,
            ],
        ),
        (
            "b",
            -100.0,
            [
                -100.542947761,
                -114.388138343,
                -118.432123071,
                -115.090508743,
                -105.694393552,
            ],
        ),
    ];
    let mut checks = Vec::new();
    for (branch, guess, expected) in branches {
        let found = output_angles([30.0, 90.0, 80.0, 70.0], &inputs, guess);
        for ((input, reference), value) in inputs.iter().zip(expected).zip(found) {
            checks.push(FOUR_BAR.check(
                format!("S09-{branch}-{input}"),
                format!("four-bar 30/90/80/70°, branch {branch}, output: input {input}°"),
                "°",
                [reference, value],
                Tolerance::Absolute(5e-10),
            ));
        }
    }
    checks
}

fn special_four_bars() -> Vec<Check> {
    let mut checks = Vec::new();
    for (arc, guess, reference) in [(45.0, 65.0, 70.528779366), (60.0, 50.0, 53.130102354)] {
        let value = output_angles([arc; 4], &[90.0], guess)[0];
        checks.push(FOLDABLE.check(
            format!("S11-{arc}"),
            format!("four equal arcs, input 90°, output: arcs of {arc}°"),
            "°",
            [reference, value],
            Tolerance::Absolute(5e-10),
        ));
    }
    let hooke = output_angles([90.0, 90.0, 90.0, 60.0], &[30.0], -45.0)[0];
    checks.push(HOOKE.check(
        "S12",
        "Hooke joint, axes at 60°: −ψ at input 30°",
        "°",
        [40.893394649, -hooke],
        Tolerance::Absolute(5e-10),
    ));
    checks
}

/// Base axes 30° to either side of z, proximal arcs 50°, distal arcs 60°, angles from the
/// direction of the other base axis.
fn five_bar() -> Vec<Check> {
    let angles = [127.69247555958 * DEGREE, -160.75648890191 * DEGREE];
    let direction = [0.2, 0.7, 0.6855654600];
    let jacobian = [-0.120029928, -0.534255679, 2.783641446, -2.327500964];
    let values = [3.63728953, 0.48567649, 0.13352704];
    let (found, matrix) = five_bar_pose(angles).unwrap_or_else(|| {
        let none = f64::NAN;
        (
            Vector3::repeat(none),
            nalgebra::Matrix2::new(none, none, none, none),
        )
    });
    let mut checks = Vec::new();
    for (axis, k) in [("x", 0), ("y", 1), ("z", 2)] {
        checks.push(FIVE_BAR.check(
            format!("S21-{axis}"),
            format!("five-bar: tool direction, {axis}"),
            "1",
            [direction[k], found[k]],
            Tolerance::Absolute(1e-9),
        ));
    }
    for (name, reference, row, column) in [
        ("11", jacobian[0], 0, 0),
        ("12", jacobian[1], 0, 1),
        ("21", jacobian[2], 1, 0),
        ("22", jacobian[3], 1, 1),
    ] {
        checks.push(FIVE_BAR.check(
            format!("S22-{name}"),
            format!("five-bar: Jacobian, entry {name}"),
            "1",
            [reference, matrix[(row, column)]],
            Tolerance::Absolute(1e-8),
        ));
    }
    let singular = matrix.singular_values();
    for (name, reference, value) in [
        ("maximum singular value", values[0], singular.max()),
        ("minimum singular value", values[1], singular.min()),
        ("LCI", values[2], local_conditioning_index(&matrix)),
    ] {
        let short = name.split(' ').next().unwrap_or(name);
        checks.push(FIVE_BAR.check(
            format!("S22-{short}"),
            format!("five-bar: {name}"),
            "1",
            [reference, value],
            Tolerance::Absolute(1e-8),
        ));
    }
    checks
}

/// Tool direction at two base angles, rad, and the Jacobian there in the frame of x projected
/// and radial × that.
fn five_bar_pose(angles: [f64; 2]) -> Option<(Vector3<f64>, nalgebra::Matrix2<f64>)> {
    let (sin, cos) = (30.0 * DEGREE).sin_cos();
    let axes = [Vector3::new(-sin, 0.0, cos), Vector3::new(sin, 0.0, cos)];
    let bodies = vec![
        body("ground", axes.to_vec(), &[]),
        bar("proximal-1", 50.0 * DEGREE),
        bar("proximal-2", 50.0 * DEGREE),
        bar("distal-1", 60.0 * DEGREE),
        bar("distal-2", 60.0 * DEGREE),
    ];
    let towards = [
        tangent_towards(&axes[0], &axes[1])?,
        tangent_towards(&axes[1], &axes[0])?,
    ];
    let x = Vector3::x();
    let joints = vec![
        joint("base-1", [(0, 0), (1, 0)], [towards[0], x]),
        joint("base-2", [(0, 1), (2, 0)], [towards[1], x]),
        joint("elbow-1", [(1, 1), (3, 0)], [x, x]),
        joint("elbow-2", [(2, 1), (4, 0)], [x, x]),
        joint("tip", [(3, 1), (4, 1)], [x, x]),
    ];
    let linkage = linkage(bodies, joints, [0, 1], (3, 1));
    // A start nearby: rounded base angles and a rough tool direction.
    let start_angles = [128.0 * DEGREE, -161.0 * DEGREE];
    let rough = Vector3::new(0.2, 0.7, 0.7).normalize();
    let mut rotations = vec![Rotation3::identity(); 5];
    for side in 0..2 {
        let axis = nalgebra::Unit::new_normalize(axes[side]);
        rotations[1 + side] = Rotation3::from_axis_angle(&axis, start_angles[side])
            * heading(&axes[side], &axes[1 - side]);
        let elbow = rotations[1 + side] * linkage.bodies[1 + side].stations[1];
        rotations[3 + side] = heading(&elbow, &rough);
    }
    let start = Configuration { rotations };
    let solution = close_by_continuation(&linkage, &start, start_angles, angles).ok()?;
    let tool = linkage.tool_direction(&solution.configuration);
    let first = (x - tool * tool.x).normalize();
    let frame = LocalFrame {
        polar: first,
        azimuth: tool.cross(&first),
        radial: tool,
    };
    let jacobian = tool_jacobian(&linkage, &solution.configuration, &frame).ok()?;
    Some((tool, jacobian))
}
