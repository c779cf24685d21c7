//! The spherical five-bar: closed forms against values from another program, against
//! Newton's closure and the null space of the constraints, against differences, and at
//! and near everything that is singular or does not exist.

mod common;

use std::f64::consts::{FRAC_PI_2, PI, TAU};

use calotte::analysis::Requirements;
use calotte::analysis::releases::{ReleaseOptions, release_report};
use calotte::design::Family;
use calotte::family::five_bar::{
    Carrier, Elbows, FiveBar, FiveBarError, FiveBarPose, Sense, Side, WorkingMode, configuration,
    linkage,
};
use calotte::family::parameters::{Capability, FamilyName, NotAvailable};
use calotte::interference::ClearingError;
use calotte::kinematics::Meridian;
use calotte::kinematics::closure::close;
use calotte::kinematics::conditioning::local_conditioning_index;
use calotte::kinematics::jacobian::tool_jacobian;
use calotte::linkage::LinkageError;
use calotte::linkage::mobility::checked_mobility;
use calotte::measurement::PhysicalModel;
use calotte::search::evaluate;
use calotte::sphere::direction::wrap_signed;
use calotte::sphere::{Direction, LocalFrame};
use nalgebra::{Matrix2, Rotation3, Vector3};
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;

const DEGREE: f64 = PI / 180.0;
const LEFT: Carrier = Carrier::at_apex(Side::Left);

fn five_bar(degrees: [f64; 5], elbows: Elbows) -> FiveBar {
    let [base_arc, a, b, c, d] = degrees.map(|arc| arc * DEGREE);
    FiveBar {
        base_arc,
        proximal_arcs: [a, b],
        distal_arcs: [c, d],
        elbows,
    }
}

fn symmetric() -> FiveBar {
    five_bar([60.0, 50.0, 50.0, 60.0, 60.0], Elbows::Out)
}

fn frame_at(direction: &Vector3<f64>) -> LocalFrame {
    LocalFrame::at(Direction::of(direction))
}

fn random_five_bar(random: &mut ChaCha8Rng) -> FiveBar {
    let arcs = [0; 5].map(|_| random.random_range(15.0..150.0));
    five_bar(arcs, Elbows::ALL[random.random_range(0..3)])
}

fn random_carrier(five_bar: &FiveBar, random: &mut ChaCha8Rng) -> Carrier {
    let side = Side::BOTH[random.random_range(0..2)];
    let bracket = if random.random_bool(0.5) {
        0.0
    } else {
        let distal = five_bar.distal_arcs[side.index()];
        random.random_range(0.05 - distal..PI - 0.05 - distal) * 0.5
    };
    Carrier { side, bracket }
}

/// Random linkages at random drive angles in either assembly, all margins above `margin` rad.
fn random_poses(count: usize, margin: f64, seed: u64) -> Vec<(FiveBar, Carrier, FiveBarPose)> {
    let mut random = ChaCha8Rng::seed_from_u64(seed);
    let mut found = Vec::new();
    while found.len() < count {
        let five_bar = random_five_bar(&mut random);
        let carrier = random_carrier(&five_bar, &mut random);
        let angles = [0; 2].map(|_| random.random_range(-PI..PI));
        let assembly = if random.random_bool(0.5) {
            Sense::Counterclockwise
        } else {
            Sense::Clockwise
        };
        let Ok(pose) = five_bar.forward(angles, assembly, carrier) else {
            continue;
        };
        let margins = pose.margins();
        let off_axis = |side: Side| {
            let target = if side == carrier.side {
                pose.tool
            } else {
                pose.apex
            };
            pose.bases[side.index()].cross(&target).norm() > margin
        };
        if margins.nearest_type_one().1 > margin
            && margins.type_two > margin
            && Side::BOTH.into_iter().all(off_axis)
        {
            found.push((five_bar, carrier, pose));
        }
    }
    found
}

fn apart(first: [f64; 2], second: [f64; 2]) -> f64 {
    (0..2)
        .map(|k| wrap_signed(first[k] - second[k]).abs())
        .fold(0.0, f64::max)
}

/// Derived by another program: inverse in closed form, Jacobian by finite differences.
#[test]
fn the_reference_five_bar_and_its_jacobian() {
    let five_bar = symmetric();
    let direction = Vector3::new(0.2, 0.7, 0.685_565_460_0).normalize();
    let pose = five_bar
        .inverse(&direction, five_bar.elbows.mode(), LEFT)
        .unwrap();
    let expected = [127.692_475_559_58 * DEGREE, -160.756_488_901_91 * DEGREE];
    assert!(apart(pose.angles, expected) < 1e-9, "{:?}", pose.angles);
    let x = Vector3::x();
    let first = (x - direction * direction.x).normalize();
    let frame = LocalFrame {
        polar: first,
        azimuth: direction.cross(&first),
        radial: direction,
    };
    let jacobian = five_bar.jacobian(&pose, LEFT, &frame).unwrap();
    let reference = Matrix2::new(
        -0.120_029_928,
        -0.534_255_679,
        2.783_641_446,
        -2.327_500_964,
    );
    assert!((jacobian - reference).abs().max() < 2e-9, "{jacobian}");
    assert!((local_conditioning_index(&jacobian) - 0.133_527_04).abs() < 1e-8);
}

#[test]
fn two_thousand_random_poses_return_from_their_inverse() {
    let mut worst: f64 = 0.0;
    for (five_bar, carrier, pose) in random_poses(2000, 1e-3, 1) {
        let mode = pose.mode().unwrap();
        let back = five_bar.inverse(&pose.tool, mode, carrier).unwrap();
        let margin = pose.margins().nearest_type_one().1;
        // An error of the direction grows by one over the sine of a nearly straight elbow.
        let difference = apart(back.angles, pose.angles) * margin.sin();
        worst = worst.max(difference);
        assert!(difference < 1e-12, "{five_bar:?} {pose:?}: {difference:e}");
        assert!((back.apex - pose.apex).norm() * margin.sin() < 1e-12);
        assert_eq!(back.mode(), Some(mode));
    }
    assert!(worst > 0.0, "no pose was compared");
}

/// Forward after inverse, all four working modes of one direction.
#[test]
fn a_direction_has_four_configurations_one_per_working_mode() {
    let five_bar = five_bar([50.0, 55.0, 47.0, 62.0, 58.0], Elbows::Out);
    let direction = Direction {
        polar: 40.0 * DEGREE,
        azimuth: 75.0 * DEGREE,
    }
    .vector();
    let mut seen: Vec<[f64; 2]> = Vec::new();
    for mode in WorkingMode::ALL {
        let pose = five_bar.inverse(&direction, mode, LEFT).unwrap();
        assert_eq!(pose.mode(), Some(mode));
        let again = five_bar
            .forward_in_mode(pose.angles, mode, pose.assembly().unwrap(), LEFT)
            .unwrap()
            .unwrap();
        assert!((again.tool - direction).norm() < 1e-14);
        assert!(seen.iter().all(|angles| apart(*angles, pose.angles) > 0.1));
        seen.push(pose.angles);
    }
    // "Out": seen from outside with the tool at +y, each elbow lies beyond its own side.
    let out = five_bar
        .inverse(&direction, Elbows::Out.mode(), LEFT)
        .unwrap();
    let inner = five_bar
        .inverse(&direction, Elbows::In.mode(), LEFT)
        .unwrap();
    assert!(out.elbows[0].x < inner.elbows[0].x);
    assert!(out.elbows[1].x > inner.elbows[1].x);
    let crossed = five_bar
        .inverse(&direction, Elbows::Crossed.mode(), LEFT)
        .unwrap();
    assert_eq!(crossed.elbows, [out.elbows[0], inner.elbows[1]]);
}

/// Mirroring a five-bar in the x–z plane turns every sense and every angle over.
#[test]
fn the_fourth_mode_is_the_mirror_image_of_crossed() {
    let five_bar = five_bar([50.0, 55.0, 47.0, 62.0, 58.0], Elbows::Crossed);
    let direction = Vector3::new(0.1, 0.6, 0.7).normalize();
    let mirrored = Vector3::new(direction.x, -direction.y, direction.z);
    let pose = five_bar
        .inverse(&direction, WorkingMode::ALL[2], LEFT)
        .unwrap();
    let image = five_bar
        .inverse(&mirrored, WorkingMode::ALL[3], LEFT)
        .unwrap();
    assert!(apart(pose.angles, image.angles.map(|angle| -angle)) < 1e-14);
}

#[test]
fn bodies_and_joints_close_and_have_two_freedoms() {
    for (five_bar, carrier, pose) in random_poses(200, 0.05, 2) {
        let built = linkage(&five_bar, carrier, [1.0, 1.0]).unwrap();
        let placed = configuration(&pose);
        assert!(built.closure_error(&placed) < 1e-13);
        assert!((built.tool_direction(&placed) - pose.tool).norm() < 1e-13);
        for side in Side::BOTH {
            let base = built.joint_angle(&built.joints[side.index()], &placed);
            assert!(wrap_signed(base - pose.angles[side.index()]).abs() < 1e-12);
            // Interior angle, right-handed from the arc back to the base: half a turn
            // beyond the turn of the path.
            let elbow = built.joint_angle(&built.joints[2 + side.index()], &placed);
            assert!((0.0..TAU).contains(&elbow));
            assert!(wrap_signed(elbow - PI - pose.elbow_turn(side)).abs() < 1e-12);
        }
        let apex = built.joint_angle(&built.joints[4], &placed);
        assert!(wrap_signed(apex - pose.apex_angle()).abs() < 1e-12);
    }
    let poses = random_poses(2, 0.3, 3);
    let built = linkage(&poses[0].0, LEFT, [1.0, 1.0]).unwrap();
    let second = poses[0]
        .0
        .forward(
            poses[0].2.angles.map(|angle| angle + 0.01),
            poses[0].2.assembly().unwrap(),
            LEFT,
        )
        .unwrap();
    let mobility =
        checked_mobility(&built, &configuration(&poses[0].2), &configuration(&second)).unwrap();
    assert_eq!(
        (mobility.by_rank, mobility.by_counting, mobility.in_space),
        (2, 2, -1)
    );
    assert_eq!(mobility.redundant, 3);
}

/// The second way: Newton's closure of the bodies from a start that does not close.
#[test]
fn closure_of_the_bodies_finds_the_closed_form() {
    let mut random = ChaCha8Rng::seed_from_u64(4);
    for (five_bar, carrier, pose) in random_poses(100, 0.2, 5) {
        let built = linkage(&five_bar, carrier, [1.0, 1.0]).unwrap();
        let placed = configuration(&pose);
        let mut start = placed.clone();
        for rotation in start.rotations.iter_mut().skip(1) {
            let shake = Vector3::from_fn(|_, _| random.random_range(-0.01..0.01));
            *rotation = Rotation3::new(shake) * *rotation;
        }
        assert!(built.closure_error(&start) > 1e-4);
        let solution = close(&built, &start, pose.angles).unwrap();
        for (found, expected) in solution
            .configuration
            .rotations
            .iter()
            .zip(&placed.rotations)
        {
            assert!((found.matrix() - expected.matrix()).norm() < 1e-9);
        }
    }
}

#[test]
fn the_jacobian_agrees_with_differences_and_with_the_null_space() {
    for (five_bar, carrier, pose) in random_poses(200, 0.1, 6) {
        let frame = frame_at(&pose.tool);
        let jacobian = five_bar.jacobian(&pose, carrier, &frame).unwrap();
        let size = jacobian.abs().max();
        let built = linkage(&five_bar, carrier, [1.0, 1.0]).unwrap();
        let general = tool_jacobian(&built, &configuration(&pose), &frame).unwrap();
        assert!((jacobian - general).abs().max() < 1e-11 * size);
        let assembly = pose.assembly().unwrap();
        let step = 1e-5;
        for drive in 0..2 {
            let tool_at = |sign: f64| {
                let mut angles = pose.angles;
                angles[drive] += sign * step;
                five_bar.forward(angles, assembly, carrier).unwrap().tool
            };
            let velocity = (tool_at(1.0) - tool_at(-1.0)) / (2.0 * step);
            let column = jacobian.column(drive);
            let difference = (velocity.dot(&frame.polar) - column[0])
                .hypot(velocity.dot(&frame.azimuth) - column[1]);
            // Central differences: the third derivative grows with the fifth power of 1/margin.
            assert!(difference < 1e-5 * size, "{difference:e} of {size}");
        }
    }
}

/// Elbows nearly in line, stretched and folded, down to 1e-3 rad and at it exactly.
#[test]
fn near_type_one_the_inverse_keeps_its_digits_and_the_margin_is_told() {
    let five_bar = symmetric();
    for folded in [false, true] {
        for margin in [1e-1, 1e-2, 1e-3] {
            // The left chain alone fixes the tool: elbow angle put in, direction out.
            let elbow = five_bar.elbow(Side::Left, 0.9);
            let back = five_bar.base_axis(Side::Left);
            let tangent = (back - elbow * elbow.dot(&back)).normalize();
            let turned = Rotation3::from_axis_angle(
                &nalgebra::Unit::new_normalize(elbow),
                if folded { margin } else { PI - margin },
            ) * tangent;
            let distal = five_bar.distal_arcs[0];
            let tool = elbow * distal.cos() + turned * distal.sin();
            let sense = Sense::of(back.dot(&elbow.cross(&tool))).unwrap();
            let mode = WorkingMode {
                left: sense,
                right: Sense::Counterclockwise,
            };
            let pose = five_bar.inverse(&tool, mode, LEFT).unwrap();
            let error = wrap_signed(pose.angles[0] - 0.9).abs();
            assert!(error < 1e-14 / margin, "{folded} {margin}: {error:e}");
            let margins = pose.margins();
            assert_eq!(margins.nearest_type_one().0, Side::Left);
            assert!((margins.type_one[0] - margin).abs() < 1e-12 / margin);
            // The tool hardly moves along the chain: LCI falls with the margin.
            let frame = frame_at(&tool);
            let jacobian = five_bar.jacobian(&pose, LEFT, &frame).unwrap();
            let lci = local_conditioning_index(&jacobian);
            assert!(lci > 0.0 && lci < 3.0 * margin, "{lci} at {margin}");
        }
    }
}

/// Distal arcs nearly in one great circle, down to 1e-3 rad: drives held, the tool can
/// almost move. The right drive angle is found by bisection on the angle at the apex.
#[test]
fn near_type_two_the_velocity_grows_and_at_it_there_is_none() {
    let five_bar = symmetric();
    let at = |right: f64| five_bar.forward([2.8, right], Sense::Counterclockwise, LEFT);
    let mut sizes = Vec::new();
    for margin in [1e-1, 1e-2, 1e-3] {
        let (mut near, mut far) = (-1.0_f64, -3.1_f64);
        for _ in 0..200 {
            let middle = 0.5 * (near + far);
            // Too far apart for the distal bars counts as beyond.
            match at(middle) {
                Ok(pose) if PI - pose.apex_angle().abs() > margin => near = middle,
                _ => far = middle,
            }
        }
        let pose = at(near).unwrap();
        let margins = pose.margins();
        assert!((margins.type_two - margin).abs() < 1e-9, "{margins:?}");
        let frame = frame_at(&pose.tool);
        let jacobian = five_bar.jacobian(&pose, LEFT, &frame).unwrap();
        let built = linkage(&five_bar, LEFT, [1.0, 1.0]).unwrap();
        let general = tool_jacobian(&built, &configuration(&pose), &frame).unwrap();
        let size = jacobian.abs().max();
        assert!((jacobian - general).abs().max() < 1e-9 * size);
        sizes.push(size * margin);
        let lci = local_conditioning_index(&jacobian);
        assert!(lci < 2.0 * margin);
    }
    // Velocity goes with one over the margin.
    assert!((sizes[2] / sizes[1] - 1.0).abs() < 0.05, "{sizes:?}");
    // In one great circle, stretched: a pose written down by its axes.
    let apex = Vector3::z();
    let elbow = |angle: f64| Vector3::new(angle.sin(), 0.0, angle.cos());
    let straight = FiveBarPose {
        angles: [0.0, 0.0],
        bases: [Vector3::y(), Vector3::new(0.5, 0.7, 0.1).normalize()],
        elbows: [elbow(-1.0), elbow(1.0)],
        apex,
        tool: apex,
    };
    assert_eq!(straight.margins().type_two, 0.0);
    assert_eq!(straight.assembly(), None);
    assert_eq!(straight.apex_rates(), Err(FiveBarError::TypeTwo));
}

#[test]
fn the_margins_hold_the_determinants_and_a_right_angle_is_the_best() {
    for (five_bar, carrier, pose) in random_poses(200, 0.05, 7) {
        let margins = pose.margins();
        let [a, b] = five_bar.proximal_arcs.map(f64::sin);
        let [c, d] = five_bar.distal_arcs.map(f64::sin);
        let [left, right] = margins.type_one.map(f64::sin);
        // Determinants are products of the sines of arcs and margins (derived).
        let inverse_side = a * b * c * d * left * right;
        assert!((margins.inverse_determinant.abs() - inverse_side).abs() < 1e-13);
        let forward_side = c * d * margins.type_two.sin();
        assert!((margins.forward_determinant.abs() - forward_side).abs() < 1e-13);
        assert!((0.0..=FRAC_PI_2).contains(&margins.type_two));
        if carrier.bracket == 0.0 {
            let jacobian = five_bar
                .jacobian(&pose, carrier, &frame_at(&pose.tool))
                .unwrap();
            let ratio = margins.inverse_determinant / margins.forward_determinant;
            assert!((jacobian.determinant().abs() - ratio.abs()).abs() < 1e-10 * ratio.abs());
        }
    }
}

/// On the z axis of the base frame polar and azimuth have no direction of their own: the
/// conditioning does not depend on the frame chosen there, nor does it jump beside it.
#[test]
fn at_polar_zero_the_index_does_not_depend_on_the_frame() {
    let five_bar = symmetric();
    let lci_at = |direction: &Vector3<f64>, frame: &LocalFrame| {
        let pose = five_bar
            .inverse(direction, five_bar.elbows.mode(), LEFT)
            .unwrap();
        local_conditioning_index(&five_bar.jacobian(&pose, LEFT, frame).unwrap())
    };
    let pole = Vector3::z();
    let at_pole = lci_at(&pole, &frame_at(&pole));
    for turn in [0.3, 1.7, 4.0] {
        let frame = LocalFrame::at(Direction {
            polar: 0.0,
            azimuth: turn,
        });
        assert!((lci_at(&pole, &frame) - at_pole).abs() < 1e-14);
        let beside = Direction {
            polar: 1e-9,
            azimuth: turn,
        }
        .vector();
        assert!((lci_at(&beside, &frame_at(&beside)) - at_pole).abs() < 1e-7);
    }
}

#[test]
fn arcs_that_are_no_bars_are_refused() {
    let good = [60.0, 50.0, 50.0, 60.0, 60.0];
    for k in 0..5 {
        for bad in [0.0, 180.0, -10.0, 200.0, f64::NAN, f64::INFINITY] {
            let mut arcs = good;
            arcs[k] = bad;
            let refused = five_bar(arcs, Elbows::Out).validate();
            assert!(
                matches!(refused, Err(LinkageError::ArcAngle { .. })),
                "{k} {bad}"
            );
            assert!(linkage(&five_bar(arcs, Elbows::Out), LEFT, [1.0, 1.0]).is_err());
        }
    }
    let beyond = Carrier {
        side: Side::Left,
        bracket: 125.0 * DEGREE,
    };
    assert!(linkage(&symmetric(), beyond, [1.0, 1.0]).is_err());
}

#[test]
fn what_does_not_exist_is_an_error_that_says_why() {
    let five_bar = five_bar([60.0, 50.0, 50.0, 30.0, 30.0], Elbows::Out);
    let mode = five_bar.elbows.mode();
    // The left chain spans 20° to 80°.
    for polar in [90.0_f64, 10.0] {
        let angle = (polar - 30.0) * DEGREE;
        let direction = Vector3::new(angle.sin(), 0.0, angle.cos());
        let refused = five_bar.inverse(&direction, mode, LEFT).unwrap_err();
        assert!(
            matches!(refused, FiveBarError::OutOfReach { .. }),
            "{polar}: {refused}"
        );
        if let FiveBarError::OutOfReach {
            shortest, longest, ..
        } = refused
        {
            assert!((shortest - 20.0 * DEGREE).abs() < 1e-12);
            assert!((longest - 80.0 * DEGREE).abs() < 1e-12);
        }
    }
    // Equal arcs fold back onto the base axis, where any drive angle will do.
    let foldable = self::five_bar([60.0, 50.0, 50.0, 50.0, 60.0], Elbows::Out);
    let axis = foldable.base_axis(Side::Left);
    assert_eq!(
        foldable.inverse(&axis, mode, LEFT),
        Err(FiveBarError::OnBaseAxis(Side::Left))
    );
    // Both elbows on one direction: proximal arcs of half the base arc, both at angle 0.
    let meeting = self::five_bar([60.0, 30.0, 30.0, 40.0, 40.0], Elbows::Out);
    for assembly in [Sense::Clockwise, Sense::Counterclockwise] {
        assert_eq!(
            meeting.forward([0.0, 0.0], assembly, LEFT),
            Err(FiveBarError::ElbowsInLine)
        );
    }
    // Elbows 60° + 2 · 50° apart, distal bars of 30° each.
    let refused = five_bar.forward([PI, PI], Sense::Clockwise, LEFT);
    assert!(
        matches!(refused, Err(FiveBarError::DoNotMeet { apart }) if (apart - 160.0 * DEGREE).abs() < 1e-12)
    );
    for bad in [f64::NAN, f64::INFINITY] {
        assert!(
            five_bar
                .forward([bad, 0.0], Sense::Clockwise, LEFT)
                .is_err()
        );
        assert!(
            five_bar
                .inverse(&Vector3::new(bad, 0.0, 1.0), mode, LEFT)
                .is_err()
        );
    }
}

/// Whether two chains can meet, by looking at arcs to both base axes over a fine grid of the
/// sphere: the other way to say it.
#[test]
fn chains_that_never_meet_are_refused_and_no_others() {
    let mut random = ChaCha8Rng::seed_from_u64(31);
    let (mut met, mut apart) = (0, 0);
    for _ in 0..3000 {
        let arcs = [0; 5].map(|_| random.random_range(3.0..177.0));
        let five_bar = five_bar(arcs, Elbows::Out);
        let axes = Side::BOTH.map(|side| five_bar.base_axis(side));
        // How far a direction lies outside of what a chain spans, at least, rad.
        let outside = |direction: &Vector3<f64>| {
            let miss = |k: usize| {
                let arc = axes[k].dot(direction).clamp(-1.0, 1.0).acos();
                let (a, b) = (five_bar.proximal_arcs[k], five_bar.distal_arcs[k]);
                let (least, most) = ((a - b).abs(), (a + b).min(2.0 * PI - a - b));
                (least - arc).max(arc - most)
            };
            miss(0).max(miss(1))
        };
        // The half sphere behind the x-z plane is the mirror image of the one before it.
        let step = 2.0 * DEGREE;
        let mut least = f64::INFINITY;
        for i in 0..=90 {
            for j in 0..=90 {
                let direction = Direction {
                    polar: f64::from(i) * step,
                    azimuth: f64::from(j) * step,
                };
                least = least.min(outside(&direction.vector()));
            }
        }
        // Within a step of touching the grid cannot tell.
        if least.abs() < step {
            continue;
        }
        let refused = five_bar.validate();
        if least > 0.0 {
            apart += 1;
            assert!(
                matches!(refused, Err(LinkageError::NeverMeets { .. })),
                "{arcs:?}: {least}"
            );
        } else {
            met += 1;
            assert_eq!(refused, Ok(()), "{arcs:?}: {least}");
        }
    }
    assert!(met > 500 && apart > 200, "{met} {apart}");
}

/// What goes by rings, clears, searches, measures or releases says that it is not available,
/// whoever asks, and no empty or zero answer.
#[test]
fn what_the_family_lacks_is_a_typed_error_everywhere() {
    let design = common::design(Family::five_bar(symmetric()));
    let requirements = Requirements::without_brief(&design);
    let subject = requirements.subject(&design).unwrap();
    let lacking = |what: Capability| NotAvailable {
        family: FamilyName::FIVE_BAR,
        what,
    };
    for range in [
        subject.range(),
        subject.free_range(),
        subject.elastic_range(),
    ] {
        let refused = ClearingError::NotAvailable(lacking(Capability::Rings));
        assert_eq!(range, Err(refused));
    }
    assert_eq!(
        subject.clearing().map(|_| ()),
        Err(ClearingError::NotAvailable(lacking(Capability::Clearing)))
    );
    assert_eq!(
        Meridian::of(&design).unwrap_err(),
        lacking(Capability::Rings)
    );
    let released = release_report(&design, &requirements, &ReleaseOptions::default());
    assert_eq!(
        released.unwrap_err().to_string(),
        lacking(Capability::Releases).to_string()
    );
    let measured = PhysicalModel::new(&design).map(|_| ()).unwrap_err();
    assert_eq!(
        measured.to_string(),
        lacking(Capability::Measurement).to_string()
    );
    let verdict = evaluate(&subject, &requirements);
    assert_eq!(
        verdict.reason.as_deref(),
        Some(lacking(Capability::Search).to_string().as_str())
    );
    assert!(!verdict.feasible());
}
