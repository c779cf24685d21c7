//! The spherical five-bar's closed forms (S21, S22), and the four-bars it becomes with one
//! drive held (S08–S12).
//!
//! With the right drive held, the right elbow is a second ground pivot: left proximal bar,
//! left distal bar and right distal bar are input, coupler and output of a four-bar whose
//! ground arc runs from the left base axis to that elbow. The reference values are those the
//! general loop closure is checked against; here the family's own formulas answer.

use calotte::family::five_bar::{Carrier, Elbows, FiveBar, Sense, Side};
use calotte::kinematics::conditioning::local_conditioning_index;
use calotte::sphere::LocalFrame;
use calotte::sphere::direction::wrap_signed;
use nalgebra::{Matrix2, Vector3};

use crate::check::{Check, Source, Tolerance, file};
use crate::common::DEGREE;

const HELD: Source = Source::derived(
    file::SPHERE,
    "pivots and circles on the sphere cut by vectors; here the five-bar with its right drive held",
);
const FOLDABLE: Source = Source::derived(
    file::SPHERE,
    "four equal arcs by cutting circles on the sphere, tan(ψ/2) = cos α · tan(θ/2); here the five-bar with its right drive held",
);
const HOOKE: Source = Source::derived(
    file::SPHERE,
    "Hooke joint by cutting circles on the sphere, tan ψ' = cos γ · cot θ with ψ' = −ψ; here the five-bar with its right drive held",
);
const CLOSED: Source = Source::derived(
    file::SPHERE,
    "inverse kinematics by cutting circles on the sphere, Jacobian by finite differences",
);

const CLOSURE: Source = Source::from_memory(
    "McCarthy and Soh, Geometric Design of Linkages: sin b (sin a cos g cos t − cos a sin g) cos ψ \
     + sin a sin b sin t sin ψ = cos η − cos b (cos a cos g + sin a sin g cos t)",
);

const AT_APEX: Carrier = Carrier::at_apex(Side::Left);

pub(crate) fn checks() -> Vec<Check> {
    let mut checks = reference_pose();
    checks.extend(held_drive());
    checks
}

/// Base axes 30° to either side of z, proximal arcs 50°, distal arcs 60°, elbows out.
fn reference_pose() -> Vec<Check> {
    let five_bar = FiveBar {
        base_arc: 60.0 * DEGREE,
        proximal_arcs: [50.0 * DEGREE; 2],
        distal_arcs: [60.0 * DEGREE; 2],
        elbows: Elbows::Out,
    };
    let tool = Vector3::new(0.2, 0.7, 0.685_565_460_0).normalize();
    let first = (Vector3::x() - tool * tool.x).normalize();
    let frame = LocalFrame {
        polar: first,
        azimuth: tool.cross(&first),
        radial: tool,
    };
    let none = f64::NAN;
    let pose = five_bar.inverse(&tool, five_bar.elbows.mode(), AT_APEX);
    let angles = pose.map_or([none; 2], |pose| pose.angles);
    let jacobian = pose
        .and_then(|pose| five_bar.jacobian(&pose, AT_APEX, &frame))
        .unwrap_or_else(|_| Matrix2::repeat(none));
    let mut checks = Vec::new();
    for (side, k, reference) in [("left", 0, 127.69247555958), ("right", 1, -160.75648890191)] {
        checks.push(CLOSED.check(
            format!("S21-inverse-{side}"),
            format!("five-bar, inverse: {side} drive"),
            "°",
            [reference, angles[k] / DEGREE],
            Tolerance::Absolute(2e-8),
        ));
    }
    for (name, row, column, reference) in [
        ("11", 0, 0, -0.120029928),
        ("12", 0, 1, -0.534255679),
        ("21", 1, 0, 2.783641446),
        ("22", 1, 1, -2.327500964),
    ] {
        checks.push(CLOSED.check(
            format!("S22-closed-{name}"),
            format!("five-bar in closed form: Jacobian, entry {name}"),
            "1",
            [reference, jacobian[(row, column)]],
            Tolerance::Absolute(1e-8),
        ));
    }
    checks.push(CLOSED.check(
        "S22-closed-LCI",
        "five-bar in closed form: LCI",
        "1",
        [0.13352704, local_conditioning_index(&jacobian)],
        Tolerance::Absolute(1e-8),
    ));
    checks
}

/// Angle at a corner from towards one direction to towards another, counterclockwise seen
/// from outside, rad.
fn turn(corner: &Vector3<f64>, from: &Vector3<f64>, to: &Vector3<f64>) -> f64 {
    let along = from - corner * corner.dot(from);
    corner.dot(&along.cross(to)).atan2(along.dot(to))
}

/// Output angle, degrees, of the four-bar with arcs input, coupler, output and ground at an
/// interior input angle, degrees; not a number where it does not close.
///
/// The base arc and the right proximal arc are free: any triangle whose third side is the
/// ground arc will do.
fn output_angle(arcs: [f64; 4], input_angle: f64, assembly: Sense) -> f64 {
    let [input, coupler, output, ground] = arcs.map(|arc| arc * DEGREE);
    let (base_arc, held_arc) = (60.0 * DEGREE, 50.0 * DEGREE);
    let five_bar = FiveBar {
        base_arc,
        proximal_arcs: [input, held_arc],
        distal_arcs: [coupler, output],
        elbows: Elbows::Out,
    };
    // Cosine rule: where the right drive stands for this ground arc.
    let held = ((ground.cos() - base_arc.cos() * held_arc.cos())
        / (base_arc.sin() * held_arc.sin()))
    .acos();
    let pivot = five_bar.elbow(Side::Right, held);
    let left = five_bar.base_axis(Side::Left);
    let drive = input_angle * DEGREE + turn(&left, &five_bar.zero_direction(Side::Left), &pivot);
    match five_bar.forward([drive, held], assembly, AT_APEX) {
        Ok(pose) => wrap_signed(turn(&pivot, &-left, &pose.apex)) / DEGREE,
        Err(_) => f64::NAN,
    }
}

fn held_drive() -> Vec<Check> {
    let branches = [
        (
            "a",
            Sense::Counterclockwise,
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
            Sense::Clockwise,
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
    for (branch, assembly, expected) in branches {
        for (input, reference) in [30.0, 60.0, 90.0, 120.0, 150.0].into_iter().zip(expected) {
            checks.push(HELD.check(
                format!("S09-held-{branch}-{input}"),
                format!("five-bar as four-bar 30/90/80/70°, branch {branch}: input {input}°"),
                "°",
                [
                    reference,
                    output_angle([30.0, 90.0, 80.0, 70.0], input, assembly),
                ],
                Tolerance::Absolute(5e-10),
            ));
        }
    }
    checks.push(closure_equation());
    for (arc, reference) in [(45.0, 70.528779366), (60.0, 53.130102354)] {
        checks.push(FOLDABLE.check(
            format!("S11-held-{arc}"),
            format!("five-bar as four equal arcs of {arc}°, input 90°: output"),
            "°",
            [
                reference,
                output_angle([arc; 4], 90.0, Sense::Counterclockwise),
            ],
            Tolerance::Absolute(5e-10),
        ));
    }
    checks.push(HOOKE.check(
        "S12-held",
        "five-bar as Hooke joint, axes at 60°: −ψ at input 30°",
        "°",
        [
            40.893394649,
            -output_angle([90.0, 90.0, 90.0, 60.0], 30.0, Sense::Counterclockwise),
        ],
        Tolerance::Absolute(5e-10),
    ));
    checks
}

/// What the closure equation leaves at the output angle found, input 75°.
fn closure_equation() -> Check {
    let (arcs, input) = ([30.0, 90.0, 80.0, 70.0], 75.0);
    let psi = output_angle(arcs, input, Sense::Counterclockwise) * DEGREE;
    let [(sin_a, cos_a), (_, cos_eta), (sin_b, cos_b), (sin_g, cos_g)] =
        arcs.map(|arc| (arc * DEGREE).sin_cos());
    let (sin_t, cos_t) = (input * DEGREE).sin_cos();
    let left = sin_b * (sin_a * cos_g * cos_t - cos_a * sin_g) * psi.cos()
        + sin_a * sin_b * sin_t * psi.sin();
    let right = cos_eta - cos_b * (cos_a * cos_g + sin_a * sin_g * cos_t);
    CLOSURE.check(
        "S08-held",
        "five-bar as four-bar 30/90/80/70°: closure equation, input 75°",
        "1",
        [0.0, left - right],
        Tolerance::Absolute(1e-14),
    )
}
