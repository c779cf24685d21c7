//! A joint pulled by the hand, and the singular bands, against Newton's closure of bodies
//! and joints, finite differences of it, and a dense sampling of the range.

mod common;

use calotte::design::Design;
use calotte::kinematics::closure::close;
use calotte::kinematics::jacobian::local_conditioning_index;
use calotte::kinematics::jacobian::tool_jacobian;
use calotte::kinematics::range_choice::working_range;
use calotte::kinematics::working_range::{Limit, all_ranges};
use calotte::kinematics::{
    DragError, Kinematics, Margins, Pose, WorkingRange, drag_joint, singular_bands,
};
use calotte::sphere::{Region, arc_between};
use common::*;
use nalgebra::Vector3;

fn ready(design: &Design) -> (Kinematics, WorkingRange) {
    let kinematics = Kinematics::new(design).unwrap();
    let region = Region::cap(Vector3::z(), 90.0 * DEGREE);
    let margins = Margins {
        lci_min: 0.1,
        transmission_angle_min: 10.0 * DEGREE,
    };
    let range = working_range(&kinematics, &design.drives.range, &margins, &region).unwrap();
    (kinematics, range)
}

fn joint(kinematics: &Kinematics, name: &str) -> usize {
    let found = kinematics
        .linkage
        .joints
        .iter()
        .position(|one| one.name == name);
    found.unwrap_or_else(|| panic!("no joint {name}"))
}

/// Where a joint lies, by Newton's closure from a pose to mechanism angles nearby.
fn closed(kinematics: &Kinematics, from: &Pose, joint: usize, mechanism: [f64; 2]) -> Vector3<f64> {
    let active = kinematics.active_from_mechanism(mechanism);
    let found = close(&kinematics.linkage, &from.configuration, active).unwrap();
    let place = kinematics.linkage.joints[joint].second;
    kinematics.linkage.direction(place, &found.configuration)
}

fn cases() -> [(Design, &'static str); 3] {
    [
        (uniform(2, 24.0), "apex-1"),
        (
            scissor(&[30.0, 28.0], &[31.0, 29.0], &[25.0]),
            "side-left-2",
        ),
        (uniform(3, 16.0), "side-right-3"),
    ]
}

#[test]
fn a_joint_that_can_get_there_gets_there() {
    for (design, name) in cases() {
        let (kinematics, range) = ready(&design);
        let joint = joint(&kinematics, name);
        let [low, high] = range.second;
        let at = |share: f64| low + share * (high - low);
        let now = [0.4, at(0.55)];
        for wanted in [[0.4, at(0.5)], [0.7, at(0.62)], [-2.9, at(0.4)]] {
            let goal = kinematics.forward_from_mechanism(wanted).unwrap();
            let target = closed(&kinematics, &goal, joint, wanted);
            let pose = drag_joint(&kinematics, &range, joint, &(3.0 * target), now).unwrap();
            let reached = closed(&kinematics, &pose, joint, pose.mechanism);
            assert!(arc_between(&reached, &target) < 1e-8, "{name} {wanted:?}");
            assert!(range.contains(pose.mechanism));
        }
    }
}

#[test]
fn a_joint_that_cannot_get_there_comes_as_near_as_it_can() {
    for (design, name) in cases() {
        let (kinematics, range) = ready(&design);
        let joint = joint(&kinematics, name);
        let now = [0.2, 0.5 * (range.second[0] + range.second[1])];
        // From the base axis to below the equator, all round.
        for (polar, azimuth) in [(0.03, 0.3), (0.5, 2.0), (1.2, -1.0), (1.9, 1.1)] {
            let target = calotte::sphere::Direction { polar, azimuth }.vector();
            let pose = drag_joint(&kinematics, &range, joint, &target, now).unwrap();
            let miss =
                |mechanism| arc_between(&closed(&kinematics, &pose, joint, mechanism), &target);
            let here = miss(pose.mechanism);
            let step = 1e-5;
            let [first, second] = pose.mechanism;
            for moved in [
                [first + step, second],
                [first - step, second],
                [first, second + step],
                [first, second - step],
            ] {
                if range.contains(moved) {
                    let there = miss(moved);
                    assert!(
                        there > here - 1e-9,
                        "{name} {polar} {azimuth}: {there} < {here}"
                    );
                }
            }
        }
    }
}

#[test]
fn pulled_to_where_it_is_nothing_moves() {
    for (design, name) in cases() {
        let (kinematics, range) = ready(&design);
        let joint = joint(&kinematics, name);
        for share in [0.2, 0.5, 0.83] {
            let [low, high] = range.second;
            let now = [-0.6, low + share * (high - low)];
            let here = kinematics.forward_from_mechanism(now).unwrap();
            let target = closed(&kinematics, &here, joint, now);
            let pose = drag_joint(&kinematics, &range, joint, &target, now).unwrap();
            for (got, was) in pose.mechanism.iter().zip(now) {
                assert!(
                    (got - was).abs() < 1e-7,
                    "{name}: {:?} from {now:?}",
                    pose.mechanism
                );
            }
        }
    }
}

#[test]
fn beside_the_base_the_other_bar_stays() {
    let (kinematics, range) = ready(&uniform(2, 24.0));
    let [left, right] = ["side-left-1", "side-right-1"].map(|name| joint(&kinematics, name));
    let now = [0.3, 1.5];
    let before = kinematics.forward_from_mechanism(now).unwrap();
    let [was, stays] = [left, right].map(|one| closed(&kinematics, &before, one, now));
    for turn in [-0.12, 0.07, 0.2] {
        // Off its circle: only the azimuth can follow.
        let mut target = calotte::sphere::Direction::of(&was);
        target.azimuth += turn;
        target.polar += 0.05;
        let pose = drag_joint(&kinematics, &range, left, &target.vector(), now).unwrap();
        let other = closed(&kinematics, &pose, right, pose.mechanism);
        assert!(arc_between(&other, &stays) < 1e-8, "{turn}");
        let own = closed(&kinematics, &pose, left, pose.mechanism);
        // Derived: on a circle about the base axis the nearest place has the same azimuth,
        // so that it turned by as much as the hand.
        let turned = calotte::sphere::Direction::of(&own).azimuth
            - calotte::sphere::Direction::of(&was).azimuth;
        assert!((turned - turn).abs() < 1e-8, "{turned} for {turn}");
    }
}

#[test]
fn what_cannot_be_pulled_is_refused() {
    let (kinematics, range) = ready(&uniform(2, 24.0));
    let pull = |joint, towards: [f64; 3]| {
        drag_joint(
            &kinematics,
            &range,
            joint,
            &Vector3::from(towards),
            [0.0, 1.5],
        )
    };
    let base = joint(&kinematics, "base-left");
    let side = joint(&kinematics, "side-left-1");
    assert_eq!(pull(base, [0.0, 0.0, 1.0]), Err(DragError::Fixed(base)));
    assert_eq!(pull(999, [0.0, 0.0, 1.0]), Err(DragError::Fixed(999)));
    assert_eq!(pull(side, [0.0; 3]), Err(DragError::NoDirection));
    assert_eq!(
        pull(side, [f64::NAN, 0.0, 1.0]),
        Err(DragError::NoDirection)
    );
}

/// Least transmission angle by its definition: at each apex between the great circles to the
/// two side joints of the stage, from 0° and 180°. None of an arm.
fn transmission(kinematics: &Kinematics, pose: &Pose) -> f64 {
    let at = |name: String| {
        let place = kinematics.linkage.joints[joint(kinematics, &name)].second;
        kinematics.linkage.direction(place, &pose.configuration)
    };
    let named = |one: &&calotte::linkage::Joint| one.name.starts_with("apex-");
    (1..=kinematics.linkage.joints.iter().filter(named).count())
        .map(|stage| {
            let apex = at(format!("apex-{stage}"));
            let [left, right] = ["left", "right"]
                .map(|side| apex.cross(&at(format!("side-{side}-{stage}"))).normalize());
            let angle = left.dot(&right).clamp(-1.0, 1.0).acos();
            angle.min(std::f64::consts::PI - angle)
        })
        .fold(f64::INFINITY, f64::min)
}

#[test]
fn singular_bands_are_where_the_index_and_the_transmission_angle_say() {
    let margins = Margins {
        lci_min: 0.3,
        transmission_angle_min: 25.0 * DEGREE,
    };
    let mut seen = [[0; 2]; 2];
    for design in [
        uniform(1, 48.0),
        uniform(2, 24.0),
        scissor(&[30.0, 28.0], &[31.0, 29.0], &[25.0]),
        arm(70.0, 55.0),
    ] {
        let (kinematics, range) = ready(&design);
        let drives = &design.drives.range;
        let found = singular_bands(&kinematics, drives, &margins, Some(&range)).unwrap();
        let mode = all_ranges(&kinematics, drives, &Margins::default())
            .into_iter()
            .find(|mode| mode.contains([0.0, 0.5 * (range.second[0] + range.second[1])]))
            .unwrap();
        let [low, high] = mode.second;
        let step = (high - low) / 720.0;
        // Anywhere between the samples; LCI from the general Jacobian of bodies and joints.
        for k in 0..500 {
            let second = low + (high - low) * (f64::from(k) + 0.37) / 500.0;
            let polar = |second| kinematics.meridian.state(second).polar_angle();
            let pose = kinematics.forward_from_mechanism([0.0, second]).unwrap();
            let jacobian =
                tool_jacobian(&kinematics.linkage, &pose.configuration, &pose.frame).unwrap();
            let lci = local_conditioning_index(&jacobian);
            let [before, after] = [second - step, second + step].map(|x| polar(x.clamp(low, high)));
            let edge = |bands: &[[f64; 2]]| {
                let [from, to] = [before.min(after), before.max(after)];
                bands
                    .iter()
                    .flatten()
                    .any(|end| (from - 1e-9..=to + 1e-9).contains(end))
            };
            let inside = |bands: &[[f64; 2]]| {
                bands
                    .iter()
                    .any(|[from, to]| (*from..=*to).contains(&polar(second)))
            };
            let transmission = transmission(&kinematics, &pose);
            let [low_index, low_angle] = [
                lci < margins.lci_min,
                transmission < margins.transmission_angle_min,
            ];
            for (which, (bands, holds)) in [
                (&found.low_conditioning, low_index),
                (&found.low_transmission, low_angle),
            ]
            .into_iter()
            .enumerate()
            {
                if !edge(bands) {
                    assert_eq!(inside(bands), holds, "{second}");
                    seen[which][usize::from(holds)] += 1;
                }
            }
        }
        // Circles: on them the linkage is singular by the general Jacobian.
        for (limit, (second, polar)) in mode
            .limits
            .iter()
            .zip(mode.second.iter().zip(mode.polar_at_ends))
        {
            if matches!(limit, Limit::BaseAxis | Limit::TurningPoint) {
                assert!(found.type_one.contains(&polar.abs()));
                let inwards = if *second == low { 1e-6 } else { -1e-6 };
                let near = kinematics
                    .forward_from_mechanism([0.0, second + inwards])
                    .unwrap();
                let jacobian =
                    tool_jacobian(&kinematics.linkage, &near.configuration, &near.frame).unwrap();
                assert!(local_conditioning_index(&jacobian) < 1e-4);
            }
        }
    }
    for [outside, inside] in seen {
        assert!(outside > 500 && inside > 200, "{seen:?}");
    }
}
