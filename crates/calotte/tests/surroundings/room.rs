//! Swept room, park configuration and free ways.

use std::collections::BTreeSet;
use std::f64::consts::{PI, TAU};

use calotte::brief::KeepOutShape;
use calotte::design::{Arrangement, DriveRange};
use calotte::kinematics::WorkingRange;
use calotte::sphere::direction::rotation_about;
use calotte::surroundings::{EXTENT_BOUND, Surroundings, TRAVEL_MIN, park_range};
use nalgebra::Vector3;
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;

use crate::cloud::distance_from_core;
use crate::common::{DEGREE, arm, built};
use crate::scene::{Scene, dome, keep_out, post};

/// ∫ r² (1 − cos(polar + asin(w/r))) dr by Simpson's rule.
fn cap_volume(polar: f64, w: f64, inner: f64, outer: f64) -> f64 {
    let steps = 200;
    let at = |r: f64| r * r * TAU * (1.0 - (polar + (w / r).asin()).cos());
    let h = (outer - inner) / f64::from(steps);
    (0..=steps)
        .map(|i| {
            let weight = match i {
                0 => 1.0,
                i if i == steps => 1.0,
                i if i % 2 == 1 => 4.0,
                _ => 2.0,
            };
            weight * at(inner + h * f64::from(i))
        })
        .sum::<f64>()
        * h
        / 3.0
}

/// An arm of bare bars that turns all around sweeps a cap of its full reach.
#[test]
fn an_arm_sweeps_the_cap_of_its_reach() {
    let mut design = arm(40.0, 30.0);
    design.mount.position = Vector3::new(0.2, -0.1, 0.5);
    design.drives.range.second = Some([0.0, PI]);
    let mut scene = Scene::new(design, &[], 0.0);
    scene.range.second = [0.0, PI];
    let room = scene.surroundings().swept_room(&scene.range).unwrap();
    let (w, a, b): (f64, f64, f64) = (0.006, 0.147, 0.153);
    let reach = 70.0 * DEGREE;
    assert!((room.outer_radius - b).abs() < 1e-12);
    let near = |got: f64, exact: f64| got >= exact - 1e-12 && got <= exact + EXTENT_BOUND;
    let sideways = b * (reach + (w / b).asin()).sin();
    assert!(
        near(room.axis_radius, sideways),
        "{} {sideways}",
        room.axis_radius
    );
    assert!(near(room.high.x - 0.2, sideways) && near(0.2 - room.low.x, sideways));
    assert!(near(room.high.y + 0.1, sideways) && near(-0.1 - room.low.y, sideways));
    let lowest = a * (reach + (w / a).asin()).cos();
    assert!(near(room.high.z - 0.5, b), "{room:?}");
    assert!(near(0.5 - room.low.z, -lowest), "{room:?} {lowest}");
    let exact = cap_volume(reach, w, a, b);
    assert!(
        room.volume[0] <= exact && exact <= room.volume[1],
        "{room:?} {exact}"
    );
    assert!(room.volume[1] - room.volume[0] < 2e-3 * exact, "{room:?}");
}

/// A part of a turn: counted by random points that some configuration holds.
#[test]
fn a_part_turn_sweeps_what_random_points_say() {
    let mut design = arm(40.0, 30.0);
    design.drives.range = DriveRange {
        first: Some([-0.5, 0.7]),
        second: Some([0.2, 1.4]),
    };
    let mut scene = Scene::new(design, &[], 0.0);
    scene.range.second = [0.2, 1.4];
    let room = scene.surroundings().swept_room(&scene.range).unwrap();
    let (w, a, b): (f64, f64, f64) = (0.006, 0.147, 0.153);
    // Cores of both bars in enough configurations, the first angle at zero.
    let mut cores = Vec::new();
    for i in 0..=240 {
        let second = 0.2 + 1.2 * f64::from(i) / 240.0;
        let pose = scene
            .kinematics
            .forward_from_mechanism([0.0, second])
            .unwrap();
        for body in [1, 2] {
            for piece in &scene.built.solids[body - 1].pieces {
                cores.push(piece.core.turned(&pose.configuration.rotations[body]));
            }
        }
    }
    let mut random = ChaCha8Rng::seed_from_u64(11);
    let (count, mut inside) = (3000, 0);
    let zone = 75.0 * DEGREE;
    for _ in 0..count {
        let r = (random.random_range(a.powi(3)..b.powi(3))).cbrt();
        let cosine: f64 = random.random_range(zone.cos()..1.0);
        let azimuth: f64 = random.random_range(0.0..TAU);
        let sine = (1.0 - cosine * cosine).sqrt();
        let p = Vector3::new(sine * azimuth.cos(), sine * azimuth.sin(), cosine) * r;
        let hit = (0..=120).any(|i| {
            let first = -0.5 + 1.2 * f64::from(i) / 120.0;
            let back = rotation_about(&Vector3::z(), -first) * p;
            cores
                .iter()
                .any(|core| distance_from_core(core, &back) <= w)
        });
        inside += usize::from(hit);
    }
    let shell = TAU * (1.0 - zone.cos()) * (b.powi(3) - a.powi(3)) / 3.0;
    let share = inside as f64 / f64::from(count);
    let counted = share * shell;
    let error = 3.0 * (share * (1.0 - share) / f64::from(count)).sqrt() * shell;
    assert!(
        room.volume[0] <= counted + error,
        "{room:?} {counted} {error}"
    );
    assert!(
        room.volume[1] >= counted - error,
        "{room:?} {counted} {error}"
    );
    assert!(room.volume[1] < 1.2 * room.volume[0], "{:?}", room.volume);
    // Nearly a full turn is nearly the full turn's volume.
    let volume = |first: Option<[f64; 2]>| {
        let mut range = scene.range.clone();
        range.first = first;
        scene.surroundings().swept_room(&range).unwrap().volume
    };
    let (part, full) = (volume(Some([0.0, TAU - 1e-6])), volume(None));
    assert!(
        part[0] <= full[1] && full[0] <= part[1],
        "{part:?} {full:?}"
    );
}

/// The box of a built dome holds every point of clouds over the range, and touches them.
#[test]
fn the_box_of_the_sweep_holds_dense_samples() {
    let mut design = dome();
    design.mount.axis = Vector3::new(0.5, 0.2, 1.0);
    design.drives.range.first = Some([-1.0, 2.0]);
    let scene = Scene::new(design, &[], 0.0);
    let room = scene.surroundings().swept_room(&scene.range).unwrap();
    let to_world = scene.design.mount.base_from_world().transpose();
    let (mut low, mut high) = (
        Vector3::repeat(f64::INFINITY),
        Vector3::repeat(-f64::INFINITY),
    );
    for i in 0..=60 {
        for j in 0..=60 {
            let [from, to] = scene.range.second;
            let second = from + (to - from) * f64::from(i) / 60.0;
            let first = -1.0 + 3.0 * f64::from(j) / 60.0;
            let pose = scene
                .kinematics
                .forward_from_mechanism([first, second])
                .unwrap();
            for solid in scene.built.solids.iter().filter(|s| s.body != 0) {
                let rotation = to_world * pose.configuration.rotations[solid.body].matrix();
                for piece in &solid.pieces {
                    // Ends of the core at the outer face: points of the piece.
                    let ends = match piece.core {
                        calotte::built::Core::Direction(u) => [u, u],
                        calotte::built::Core::Arc(from, to) => [from, to],
                    };
                    for end in ends {
                        for r in [piece.inner, piece.outer] {
                            let p = rotation * end * r;
                            low = low.inf(&p);
                            high = high.sup(&p);
                        }
                    }
                }
            }
        }
    }
    for axis in 0..3 {
        assert!(room.low[axis] <= low[axis] && room.high[axis] >= high[axis]);
        // Half a boss is the most that core points fall short of their solids.
        assert!(low[axis] - room.low[axis] < 0.015, "{low} {room:?}");
        assert!(room.high[axis] - high[axis] < 0.015, "{high} {room:?}");
    }
}

#[test]
fn park_is_the_least_cap_that_is_clear() {
    let bare = Scene::new(dome(), &[], 0.0);
    let whole = park_range(&bare.kinematics, &bare.design.drives.range, &bare.range);
    let free = bare.surroundings().park(&whole).unwrap();
    let least = |scene: &Scene| {
        let surroundings = scene.surroundings();
        (0..=2000)
            .filter_map(|i| {
                let second =
                    whole.second[0] + (whole.second[1] - whole.second[0]) * f64::from(i) / 2000.0;
                let cap = surroundings.cap_at(second).ok()?;
                let clear = (0..36).any(|j| {
                    let first = TAU * f64::from(j) / 36.0;
                    surroundings.is_clear([first, second]).unwrap()
                });
                clear.then_some(cap)
            })
            .fold(f64::INFINITY, f64::min)
    };
    let brute = least(&bare);
    assert!(
        free.cap <= brute + 1e-6 && free.cap > brute - 2e-3,
        "{} {brute}",
        free.cap
    );
    assert!(free.nearest.is_none());
    // A ball on the base axis that the tool meets when the linkage folds, and a post.
    let blocks = [
        keep_out(
            "ball",
            KeepOutShape::Sphere {
                centre: Vector3::z() * 0.12,
                radius: 0.012,
            },
        ),
        post(0.01),
    ];
    let scene = Scene::new(dome(), &blocks, 0.003);
    let surroundings = scene.surroundings();
    let park = surroundings.park(&whole).unwrap();
    let brute = least(&scene);
    assert!(surroundings.is_clear(park.mechanism).unwrap());
    let distance = park.nearest.unwrap().distance;
    assert!(distance >= scene.allowance + 2.0 * TRAVEL_MIN, "{distance}");
    assert!(park.cap > free.cap + 1e-3, "{} {}", park.cap, free.cap);
    // A millimetre of distance more, and a grid, are what it can be behind.
    assert!((park.cap - brute).abs() < 0.03, "{} {brute}", park.cap);
    // All that is clear is joined with it, however coarse the map.
    for travel in [TRAVEL_MIN, 5.0 * TRAVEL_MIN] {
        let ways =
            surroundings.free_ways(park.mechanism, &whole, &scene.range, &scene.region, travel);
        assert!(ways.all_reachable(), "{} {}", ways.reachable, ways.clear);
    }
}

/// A wall across the dome, from `x` outward: whether clear configurations of a grid lead from
/// one side to the other, and the share of what is clear that can be reached.
fn over_the_wall(x: f64, first: Option<[f64; 2]>) -> (bool, f64) {
    let wall = keep_out(
        "wall",
        KeepOutShape::Box {
            centre: Vector3::new(x + 0.07, 0.0, 0.03),
            size: Vector3::new(0.14, 0.004, 0.34),
        },
    );
    let mut design = dome();
    design.drives.range.first = first;
    let scene = Scene::new(design, &[wall], 0.002);
    let surroundings = scene.surroundings();
    let whole = park_range(&scene.kinematics, &scene.design.drives.range, &scene.range);
    // At work on either side, so that the wall lies between.
    let second = scene.range.second[0] + 0.35;
    let (start, target) = ([-1.0, second], [1.0, second]);
    assert!(surroundings.is_clear(start).unwrap() && surroundings.is_clear(target).unwrap());
    assert!(!surroundings.is_clear([0.0, second]).unwrap());
    let travel = 4.0 * TRAVEL_MIN;
    let ways = surroundings.free_ways(start, &whole, &scene.range, &scene.region, travel);
    let passes = passes_on_a_grid(&surroundings, start, target, &whole);
    (passes, ways.reachable / ways.clear)
}

/// Whether steps of a grid over the drives' range, all clear, lead from one configuration to
/// another; a full turn closes.
fn passes_on_a_grid(
    surroundings: &Surroundings<'_>,
    start: [f64; 2],
    target: [f64; 2],
    whole: &WorkingRange,
) -> bool {
    const FIRSTS: i32 = 240;
    const SECONDS: i32 = 120;
    let [from, to] = whole.first.unwrap_or([start[0], start[0] + TAU]);
    let [lo, hi] = whole.second;
    let nearest = |at: [f64; 2]| {
        let share = (at[0] - from) / (to - from) * f64::from(FIRSTS);
        let height = (at[1] - lo) / (hi - lo) * f64::from(SECONDS);
        [share.round() as i32, height.round() as i32]
    };
    let clear = |[i, j]: [i32; 2]| {
        let first = from + (to - from) * f64::from(i) / f64::from(FIRSTS);
        let second = lo + (hi - lo) * f64::from(j) / f64::from(SECONDS);
        surroundings.is_clear([first, second]).unwrap_or(false)
    };
    let mut seen = BTreeSet::from([nearest(start)]);
    let mut open = vec![nearest(start)];
    while let Some([i, j]) = open.pop() {
        for [mut i, j] in [[i + 1, j], [i - 1, j], [i, j + 1], [i, j - 1]] {
            if whole.first.is_none() {
                i = i.rem_euclid(FIRSTS);
            }
            let inside = (0..=FIRSTS).contains(&i) && (0..=SECONDS).contains(&j);
            if inside && !seen.contains(&[i, j]) && clear([i, j]) {
                seen.insert([i, j]);
                open.push([i, j]);
            }
        }
    }
    seen.contains(&nearest(target))
}

#[test]
fn a_wall_cuts_off_what_the_swing_cannot_go_around() {
    let limited = Some([-1.4, 1.4]);
    // Far out: the linkage passes it when folded.
    let (passes, share) = over_the_wall(0.1, limited);
    assert!(passes && share > 0.999, "{share}");
    // Far in: the folded linkage is wider than that.
    let (passes, share) = over_the_wall(0.05, limited);
    assert!(!passes && (share - 0.5).abs() < 0.02, "{share}");
    // All around the other side is reached from behind.
    let (passes, share) = over_the_wall(0.05, None);
    assert!(passes && share > 0.999, "{share}");
}

#[test]
fn nothing_around_leaves_all_reachable() {
    let scene = Scene::new(built(arm(45.0, 40.0), Arrangement::Two), &[], 0.0);
    let surroundings = scene.surroundings();
    let whole = park_range(&scene.kinematics, &scene.design.drives.range, &scene.range);
    let park = surroundings.park(&whole).unwrap();
    let ways = surroundings.free_ways(
        park.mechanism,
        &whole,
        &scene.range,
        &scene.region,
        TRAVEL_MIN,
    );
    assert!(ways.all_reachable());
}
