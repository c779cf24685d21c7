//! The coverage that remains, against dense sampling and closed forms.

use std::f64::consts::{FRAC_PI_2, TAU};

use calotte::brief::KeepOutShape;
use calotte::built::SolidKind;
use calotte::sphere::direction::{rotation_about, wrap_positive};
use calotte::sphere::{Direction, Region, Shape};
use calotte::surroundings::{DISTANCE_BOUND, Scratch, TRAVEL_MIN, Verdict};
use nalgebra::Vector3;

use crate::cloud::{ball_mesh, outside_distance, visit_surface};
use crate::common::{DEGREE, arm};
use crate::scene::{Scene, dome, keep_out, phantom_and_floor, post};

/// Every solid of a built design against clouds placed by the configuration's rotations.
#[test]
fn distances_at_a_configuration_are_those_of_the_clouds() {
    let mut keep_outs = phantom_and_floor();
    keep_outs.push(post(0.004));
    let mut design = dome();
    design.mount.axis = Vector3::new(0.3, -0.2, 1.0);
    design.mount.position = Vector3::new(0.01, -0.02, 0.03);
    let scene = Scene::new(design, &keep_outs, 0.008);
    let mechanism = [1.1, 1.3];
    let pose = scene.kinematics.forward_from_mechanism(mechanism).unwrap();
    let to_world = scene.design.mount.base_from_world().transpose();
    let clearances = scene.surroundings().clearances(mechanism).unwrap();
    assert_eq!(clearances.len(), scene.built.solids.len() * 3);
    for (index, solid) in scene.built.solids.iter().enumerate() {
        let rotation = to_world * pose.configuration.rotations[solid.body].matrix();
        for (keep_out, description) in keep_outs.iter().enumerate() {
            let mut cloud = f64::INFINITY;
            for piece in &solid.pieces {
                visit_surface(piece, |p| {
                    let place = scene.design.mount.position + rotation * p;
                    cloud = cloud.min(outside_distance(&description.shape, &place));
                });
            }
            let row = clearances
                .iter()
                .find(|c| c.solid == index && c.keep_out == keep_out)
                .unwrap();
            let exempt = solid.body == 0 || (solid.kind == SolidKind::Tool && keep_out == 0);
            assert_eq!(row.counts, !exempt, "{}", solid.name);
            if cloud > 1e-4 {
                assert!(row.distance <= cloud + 1e-12, "{}", solid.name);
                assert!(
                    row.distance >= cloud - DISTANCE_BOUND - 4e-5,
                    "{}",
                    solid.name
                );
            } else {
                assert!(row.distance < 1e-4, "{}: {}", solid.name, row.distance);
            }
        }
    }
}

#[test]
fn the_same_all_around_costs_one_ring_and_meets_its_closed_form() {
    let scene = Scene::new(dome(), &phantom_and_floor(), 0.008);
    let surroundings = scene.surroundings();
    assert!(surroundings.same_all_around());
    let map = surroundings.remaining_coverage(&scene.range, &scene.region, 1e-6);
    assert!(map.cells.iter().all(|cell| cell.first == [0.0, TAU]));
    // The tool's inner rim is lowest: 100 mm cos θ − 10 mm sin θ at right angles, for
    // its inner face ends at √(100² − 10²); the floor takes what lies below 48 mm.
    let depth = (0.1f64.powi(2) - 0.01f64.powi(2)).sqrt();
    let height = |polar: f64| depth * polar.cos() - 0.01 * polar.sin();
    let (mut low, mut high) = (0.0, FRAC_PI_2);
    for _ in 0..60 {
        let middle = 0.5 * (low + high);
        if height(middle) > 0.048 {
            low = middle;
        } else {
            high = middle;
        }
    }
    // Bars reach farther down than the tool on some directions, so look which governs.
    let tool = scene.solid("tool");
    let blocked: Vec<_> = map
        .cells
        .iter()
        .filter_map(|cell| match cell.verdict {
            Verdict::Blocked { solid, keep_out } => Some((cell, solid, keep_out)),
            _ => None,
        })
        .collect();
    assert!(!blocked.is_empty());
    assert!(blocked.iter().all(|(_, _, keep_out)| *keep_out == 1));
    let first = blocked
        .iter()
        .map(|(cell, solid, _)| (cell.polar[0].min(cell.polar[1]), *solid))
        .min_by(|a, b| a.0.total_cmp(&b.0))
        .unwrap();
    // The same by brute force: the least polar angle that is not clear.
    let steps = 20_000;
    let not_clear = |i: usize| {
        let [from, to] = scene.range.second;
        let second = from + (to - from) * i as f64 / steps as f64;
        let polar = scene.kinematics.meridian.state(second).polar.value.abs();
        (!surroundings.is_clear([0.3, second]).unwrap()).then_some(polar)
    };
    let brute = (0..=steps)
        .filter_map(not_clear)
        .fold(f64::INFINITY, f64::min);
    assert!((first.0 - brute).abs() < 2e-4, "{} {brute}", first.0);
    if first.1 == tool {
        assert!((first.0 - low).abs() < 1e-4, "{} {low}", first.0);
    }
    let fraction = map.fraction();
    assert!(fraction[1] - fraction[0] < 1e-4, "{fraction:?}");
    let zone = |from: f64, to: f64| TAU * (from.cos() - to.cos());
    let expected = zone(scene.range.polar_min(), brute) / map.required;
    assert!(
        (fraction[0] - expected).abs() < 3e-4,
        "{fraction:?} {expected}"
    );
    let taken = map.covered - map.clear;
    assert!((map.taken[1] - taken).abs() < 1e-3 && map.taken[0] == 0.0);
}

/// A floor tilted against the base axis: every dense sample agrees with its cell, and
/// the area agrees with counting samples.
#[test]
fn dense_samples_agree_with_their_cells() {
    for design in [
        dome(),
        crate::common::built(arm(45.0, 40.0), calotte::design::Arrangement::Two),
    ] {
        let wall = keep_out(
            "wall",
            KeepOutShape::HalfSpace {
                normal: Vector3::new(-1.0, 0.3, 0.1),
                at: Vector3::new(0.1, 0.0, 0.0),
            },
        );
        let mut keep_outs = phantom_and_floor();
        keep_outs.push(wall);
        let scene = Scene::new(design, &keep_outs, 0.005);
        let surroundings = scene.surroundings();
        let map = surroundings.remaining_coverage(&scene.range, &scene.region, TRAVEL_MIN);
        let [least, most] = map.fraction();
        assert!(
            least > 0.2 && most < 0.95 && most - least < 0.03,
            "{least} {most}"
        );
        assert!(map.taken[2] > 0.0);
        let sum: f64 = map.cells.iter().map(|cell| cell.area).sum();
        assert!(
            (sum - map.covered).abs() < 1e-4 * map.covered,
            "{sum} {}",
            map.covered
        );
        // Places of samples by the golden ratio, equal in area.
        let (mut clear, mut all) = (0.0, 0.0);
        for i in 0..6000 {
            let cosine = 1.0 - (1.0 - (80.0 * DEGREE).cos()) * (f64::from(i) + 0.5) / 6000.0;
            let direction = Direction {
                polar: cosine.acos(),
                azimuth: wrap_positive(f64::from(i) * 2.399_963_229_728_653),
            };
            all += 1.0;
            let meridian = &scene.kinematics.meridian;
            let Some(second) = scene.range.second_for_polar(meridian, direction.polar) else {
                continue;
            };
            let first = wrap_positive(scene.kinematics.first_angle_for(direction, second));
            let is_clear = surroundings.is_clear([first, second]).unwrap();
            clear += f64::from(u8::from(is_clear));
            let cell = map
                .cells
                .iter()
                .find(|cell| {
                    cell.first[0] <= first
                        && first <= cell.first[1]
                        && cell.second[0] <= second
                        && second <= cell.second[1]
                })
                .unwrap();
            match cell.verdict {
                Verdict::Clear => assert!(is_clear, "{cell:?}"),
                Verdict::Blocked { .. } => assert!(!is_clear, "{cell:?}"),
                Verdict::Undecided { .. } => {}
            }
        }
        let counted = clear / all;
        assert!(
            counted > least - 0.01 && counted < most + 0.01,
            "{counted} {least} {most}"
        );
        // The ring for searches gives the same verdicts.
        let rim = 50.0 * DEGREE;
        let second = scene
            .range
            .second_for_polar(&scene.kinematics.meridian, rim)
            .unwrap();
        let firsts: Vec<f64> = (0..120).map(|i| TAU * f64::from(i) / 120.0).collect();
        let scratch = &mut Scratch::default();
        let ring = surroundings
            .ring_is_clear(second, &firsts, scratch)
            .unwrap();
        assert!(ring.contains(&true) && ring.contains(&false));
        for (first, clear) in firsts.iter().zip(ring) {
            assert_eq!(clear, surroundings.is_clear([*first, second]).unwrap());
        }
    }
}

/// A post so thin that a grid of directions steps over what it blocks.
#[test]
fn a_thin_post_between_coarse_samples_is_found() {
    let thin = post(0.0005);
    let scene = Scene::new(dome(), &[thin], 0.0);
    let surroundings = scene.surroundings();
    // A coarse grid: nothing but clear directions.
    let meridian = &scene.kinematics.meridian;
    let ends = [scene.range.polar_min(), scene.range.polar_max()];
    let map = surroundings.remaining_coverage(&scene.range, &scene.region, TRAVEL_MIN);
    let blocked: f64 = map.taken[0];
    assert!(blocked > 0.0);
    let mut missed_by_some_grid = false;
    for start in 0..24 {
        let mut all_clear = true;
        for i in 0..3 {
            let polar = ends[0] + (ends[1] - ends[0]) * (f64::from(i) + 0.5) / 3.0;
            let second = scene.range.second_for_polar(meridian, polar).unwrap();
            for j in 0..4 {
                let first = TAU * (f64::from(j) + f64::from(start) / 24.0) / 4.0;
                all_clear &= surroundings.is_clear([first, second]).unwrap();
            }
        }
        missed_by_some_grid |= all_clear;
    }
    assert!(
        missed_by_some_grid,
        "the post was meant to fit between coarse samples"
    );
    // What is called blocked is: the solid's cloud comes to the post there.
    let cell = map
        .cells
        .iter()
        .find(|cell| matches!(cell.verdict, Verdict::Blocked { .. }))
        .unwrap();
    let middle = |range: [f64; 2]| 0.5 * (range[0] + range[1]);
    let mechanism = [middle(cell.first), middle(cell.second)];
    assert!(!surroundings.is_clear(mechanism).unwrap());
    assert!(surroundings.nearest(mechanism).unwrap().unwrap().distance < 0.0);
}

/// Turning mount, region and keep-outs together changes nothing.
#[test]
fn a_turned_world_keeps_the_coverage() {
    let turn = rotation_about(&Vector3::new(0.6, 0.0, 0.8), 0.7);
    let foot = Vector3::new(0.12, 0.05, -0.1);
    let keep_outs = |turned: bool| {
        let at = |p: Vector3<f64>| if turned { turn * p } else { p };
        vec![
            keep_out(
                "post",
                KeepOutShape::Cylinder {
                    from: at(foot),
                    to: at(foot + Vector3::z() * 0.2),
                    radius: 0.01,
                },
            ),
            keep_out(
                "floor",
                KeepOutShape::HalfSpace {
                    normal: at(Vector3::z()),
                    at: at(Vector3::z() * 0.03),
                },
            ),
        ]
    };
    let straight = Scene::new(dome(), &keep_outs(false), 0.004);
    let mut design = dome();
    design.mount.axis = turn * Vector3::z();
    design.mount.reference = turn * Vector3::x();
    let turned = Scene::new(design, &keep_outs(true), 0.004);
    let fraction = |scene: &Scene| {
        // The region belongs to the design here, not to the world.
        scene
            .surroundings()
            .remaining_coverage(&straight.range, &straight.region, 1e-3)
            .fraction()
    };
    let (a, b) = (fraction(&straight), fraction(&turned));
    assert!(
        (a[0] - b[0]).abs() < 1e-6 && (a[1] - b[1]).abs() < 1e-6,
        "{a:?} {b:?}"
    );
    assert!(a[1] < 0.95);
}

#[test]
fn single_directions_are_judged_one_by_one() {
    let scene = Scene::new(dome(), &[post(0.01)], 0.005);
    let surroundings = scene.surroundings();
    let points: Vec<Vector3<f64>> = (0..36)
        .map(|i| {
            Direction {
                polar: 55.0 * DEGREE,
                azimuth: f64::from(i) * 10.0 * DEGREE,
            }
            .vector()
        })
        .collect();
    let region = Region {
        shape: Shape::Points(points.clone()),
        excluded: Vec::new(),
    };
    let map = surroundings.remaining_coverage(&scene.range, &region, TRAVEL_MIN);
    let clear = points
        .iter()
        .filter(|p| {
            let direction = Direction::of(p);
            let meridian = &scene.kinematics.meridian;
            let second = scene
                .range
                .second_for_polar(meridian, direction.polar)
                .unwrap();
            let first = scene.kinematics.first_angle_for(direction, second);
            surroundings.is_clear([first, second]).unwrap()
        })
        .count();
    assert_eq!((map.required, map.clear), (36.0, clear as f64));
    assert!(clear > 0 && clear < 36, "{clear}");
    assert_eq!(map.taken[0], 36.0 - map.clear);
}

/// A tool whose tip lies in a keep-out: blocked everywhere, unless it may touch.
#[test]
fn a_tool_inside_a_keep_out_blocks_all_unless_it_may_touch() {
    let mut ball = keep_out(
        "phantom",
        KeepOutShape::Sphere {
            centre: Vector3::zeros(),
            radius: 0.11,
        },
    );
    let scene = Scene::new(dome(), std::slice::from_ref(&ball), 0.002);
    let tool = scene.solid("tool");
    let map = scene
        .surroundings()
        .remaining_coverage(&scene.range, &scene.region, TRAVEL_MIN);
    assert_eq!(map.clear, 0.0);
    assert!(map.fraction()[1] < 1e-9);
    assert!(map.cells.iter().all(|cell| cell.verdict
        == Verdict::Blocked {
            solid: tool,
            keep_out: 0
        }));
    ball.tool_may_touch = true;
    let scene = Scene::new(dome(), &[ball], 0.002);
    let map = scene
        .surroundings()
        .remaining_coverage(&scene.range, &scene.region, TRAVEL_MIN);
    assert!((map.fraction()[0] - map.covered / map.required).abs() < 1e-9);
}

/// A fine mesh of the ball, which is not the same all around to the program, leaves what
/// the ball leaves; the mesh lies within the ball by less than 0.2 mm.
#[test]
fn the_mesh_of_a_ball_leaves_what_the_ball_leaves() {
    let radius = 0.135;
    let mut ball = phantom_and_floor();
    ball[0].shape = KeepOutShape::Sphere {
        centre: Vector3::new(0.02, 0.0, 0.0),
        radius,
    };
    ball[0].tool_may_touch = true;
    let mut mesh = ball.clone();
    mesh[0].shape = ball_mesh(&Vector3::new(0.02, 0.0, 0.0), radius, 40);
    let remaining = |keep_outs: &[calotte::brief::KeepOut]| {
        let scene = Scene::new(dome(), keep_outs, 0.002);
        let surroundings = scene.surroundings();
        let map = surroundings.remaining_coverage(&scene.range, &scene.region, 4.0 * TRAVEL_MIN);
        (map.fraction(), map.taken[0] / map.required)
    };
    let ((a, taken_a), (b, taken_b)) = (remaining(&ball), remaining(&mesh));
    assert!(taken_a > 0.05, "{taken_a}");
    // Each fraction is a band; the smaller body leaves no less.
    assert!(a[1] - a[0] < 0.15);
    assert!(b[1] >= a[0] && b[0] <= a[1] + 0.02, "{a:?} {b:?}");
    assert!((taken_a - taken_b).abs() < 0.02, "{taken_a} {taken_b}");
}
