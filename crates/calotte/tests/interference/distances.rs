//! Distances of two solids against clouds of points.

use calotte::built::{Core, Piece, Profile};
use calotte::design::Arrangement;
use calotte::interference::{PairDistance, RangeEnd, distance};
use nalgebra::Vector3;
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;

use crate::cloud::cloud_distance;
use crate::common::{built, uniform};
use crate::{Prepared, random_linkage};

/// Distances of 200 random linkages against clouds of points that share no code with
/// the library: the same verdict outside ±0.05 mm, the distance within 0.1 mm.
#[test]
fn distances_agree_with_clouds_of_points() {
    let (mut compared, mut touching, mut near) = (0, 0, 0);
    let mut greatest: f64 = 0.0;
    for seed in 0..200 {
        let prepared = random_linkage(seed);
        let mut rng = ChaCha8Rng::seed_from_u64(5);
        rng.set_stream(seed);
        let pose = loop {
            let mechanism = [rng.random_range(0.0..6.0), rng.random_range(0.05..3.1)];
            if let Ok(pose) = prepared.kinematics.forward_from_mechanism(mechanism) {
                break pose;
            }
        };
        let mut distances = prepared.clearing().distances_at(&pose.configuration);
        distances.sort_by(|a, b| a.distance.total_cmp(&b.distance));
        let first_apart = distances.partition_point(|pair| pair.distance <= 5e-5);
        let through = distances.partition_point(|pair| pair.distance < -5e-5);
        // Some that pass through one another, the nearest that do not, some others.
        let mut chosen: Vec<PairDistance> = distances
            .iter()
            .skip(first_apart)
            .take(4)
            .copied()
            .collect();
        for _ in 0..3 {
            chosen.push(distances[rng.random_range(0..distances.len())]);
            if through > 0 {
                chosen.push(distances[rng.random_range(0..through)]);
            }
        }
        for pair in chosen {
            let solids = pair.solids.map(|index| &prepared.built.solids[index]);
            let rotations = solids.map(|solid| &pose.configuration.rotations[solid.body]);
            let (by_cloud, overlap) = cloud_distance(solids, rotations);
            let names = solids.map(|solid| solid.name.as_str());
            let context = format!("{seed} {names:?}: {} {by_cloud} {overlap}", pair.distance);
            compared += 1;
            if pair.distance > 5e-5 {
                assert!(!overlap && by_cloud > 0.0, "{context}");
                assert!((by_cloud - pair.distance).abs() < 1e-4, "{context}");
                greatest = greatest.max((by_cloud - pair.distance).abs());
                near += usize::from(pair.distance < 0.005);
            } else if pair.distance < -5e-5 {
                assert!(overlap || by_cloud < 5e-5, "{context}");
                touching += 1;
            }
        }
    }
    // The sample holds what it is meant to test.
    assert!(
        compared > 1400 && touching > 100 && near > 500,
        "{compared} {touching} {near}"
    );
    println!(
        "{compared} pairs, {touching} through one another, {near} nearer than 5 mm, maximum difference {greatest:e} m"
    );
}

/// Where a free range ends, the pair that ends it is its clearance of 0.2 mm apart by
/// clouds, too: a near miss by as little is told from a touch.
#[test]
fn at_the_end_of_a_range_clouds_are_the_clearance_apart() {
    let mut compared = 0;
    for seed in 0..120 {
        let mut prepared = random_linkage(seed);
        prepared.design.layers.as_mut().unwrap().clearance = 2e-4;
        let clearing = prepared.clearing();
        let width = |part: &[f64; 2]| part[1] - part[0];
        let intervals = clearing.allowed_intervals([0.05, 3.1]).unwrap();
        let Some([lo, hi]) = intervals
            .into_iter()
            .max_by(|a, b| width(a).total_cmp(&width(b)))
        else {
            continue;
        };
        let free = clearing.free_range([0.05, 3.1], 0.5 * (lo + hi)).unwrap();
        for end in &free.ends {
            let RangeEnd::Contact(contact) = end else {
                continue;
            };
            let mechanism = [1.3, contact.second];
            let pose = prepared
                .kinematics
                .forward_from_mechanism(mechanism)
                .unwrap();
            let solids = contact.solids.map(|index| &prepared.built.solids[index]);
            let rotations = solids.map(|solid| &pose.configuration.rotations[solid.body]);
            let (by_cloud, overlap) = cloud_distance(solids, rotations);
            let names = solids.map(|solid| solid.name.as_str());
            assert!(
                !overlap && (by_cloud - 2e-4).abs() < 5e-5,
                "{seed} {names:?} {by_cloud}"
            );
            compared += 1;
        }
    }
    assert!(compared > 60, "{compared}");
}

/// Turning the first mechanism angle changes no distance, and left and right mirror.
#[test]
fn distances_depend_on_the_second_angle_alone() {
    let prepared = Prepared::new(built(uniform(2, 23.5), Arrangement::Nested)).unwrap();
    let at = |first: f64| {
        let pose = prepared
            .kinematics
            .forward_from_mechanism([first, 1.9])
            .unwrap();
        prepared.clearing().distances_at(&pose.configuration)
    };
    for (a, b) in at(0.0).iter().zip(at(2.2)) {
        assert!((a.distance - b.distance).abs() < 1e-12);
    }
}

/// Pieces without extent or in one place.
#[test]
fn degenerate_pieces_have_clear_answers() {
    let piece = |core: Core| Piece {
        core,
        profile: Profile::Straight,
        half_width: 0.005,
        inner: 0.1,
        outer: 0.11,
        void: None,
    };
    let z = Vector3::z();
    let aside = Vector3::new(0.2f64.sin(), 0.0, 0.2f64.cos());
    // An arc of no length is its direction.
    let (point, empty) = (piece(Core::Direction(z)), piece(Core::Arc(z, z)));
    let other = piece(Core::Direction(aside));
    assert_eq!(distance(&point, &other), distance(&empty, &other));
    // Coincident: through one another by the least of both overlaps, here the radial one.
    assert!((distance(&point, &point).unwrap() + 0.01).abs() < 1e-15);
    // Opposite: beyond half a turn there is no nearer way.
    assert!(distance(&point, &piece(Core::Direction(-z))).unwrap() > 0.19);
    assert_eq!(distance(&point, &piece(Core::Arc(z, -z))), None);
    assert_eq!(
        distance(&point, &piece(Core::Direction(z * f64::NAN))),
        None
    );
    assert_eq!(
        distance(&point, &piece(Core::Direction(Vector3::zeros()))),
        None
    );
}
