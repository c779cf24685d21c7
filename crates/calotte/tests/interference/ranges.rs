//! Free ranges, least distances over a range, and input without an answer.

use calotte::design::{Arrangement, ToolEnvelope};
use calotte::interference::{AssignmentError, Clearing, ClearingError, RangeEnd, assign_layers};

use crate::common::{DEGREE, arm, built, scissor, uniform};
use crate::{Prepared, bare, random_linkage};

/// Ends of free ranges against distances at many configurations.
#[test]
fn free_ranges_end_where_the_first_pair_reaches_its_clearance() {
    let (mut contacts, mut blocked) = (0, 0);
    for seed in 0..60 {
        let prepared = random_linkage(seed);
        let clearing = prepared.clearing();
        let keeps = |second: f64| -> Option<f64> {
            clearing
                .least_at(second)
                .ok()?
                .map(|contact| contact.distance)
        };
        let range = [0.05, 3.1];
        let mut starts = Vec::new();
        for i in 0..=600 {
            let second = range[0] + (range[1] - range[0]) * f64::from(i) / 600.0;
            if keeps(second).is_some_and(|least| least >= clearing.clearance()) {
                starts.push(second);
            }
        }
        let allowed = clearing.allowed_intervals(range).unwrap();
        for second in &starts {
            let within =
                |piece: &&[f64; 2]| piece[0] - 1e-9 <= *second && *second <= piece[1] + 1e-9;
            assert!(
                allowed.iter().any(|piece| within(&piece)),
                "{seed} {second} {allowed:?}"
            );
        }
        let Some(inside) = starts.get(starts.len() / 2).copied() else {
            blocked += 1;
            continue;
        };
        let free = clearing.free_range(range, inside).unwrap();
        let piece = allowed
            .iter()
            .find(|p| p[0] <= inside && inside <= p[1])
            .unwrap();
        for side in 0..2 {
            assert!(
                (piece[side] - free.range[side]).abs() < 2e-9,
                "{seed} {piece:?} {free:?}"
            );
        }
        for i in 0..=500 {
            let second = free.range[0] + (free.range[1] - free.range[0]) * f64::from(i) / 500.0;
            assert!(
                keeps(second).unwrap() >= clearing.clearance() - 1e-10,
                "{seed}"
            );
        }
        for (side, outward) in [(0, -1.0), (1, 1.0)] {
            if let RangeEnd::Contact(contact) = free.ends[side] {
                contacts += 1;
                assert!(
                    (contact.distance - clearing.clearance()).abs() < 1e-9,
                    "{seed} {contact:?}"
                );
                let beyond = keeps(contact.second + outward * 1e-8);
                assert!(
                    beyond.is_none_or(|least| least < clearing.clearance()),
                    "{seed}"
                );
            }
        }
    }
    assert!(contacts > 40 && blocked < 40, "{contacts} {blocked}");
}

/// Least distances over a range against many samples.
#[test]
fn least_distances_lie_at_or_below_every_sample() {
    let mut free = 0;
    for seed in 0..25 {
        let prepared = random_linkage(seed);
        let clearing = prepared.clearing();
        let Some(piece) = clearing
            .allowed_intervals([0.05, 3.1])
            .unwrap()
            .into_iter()
            .max_by(|a, b| (a[1] - a[0]).total_cmp(&(b[1] - b[0])))
        else {
            continue;
        };
        free += 1;
        let least = clearing.least_distances(piece).unwrap();
        for i in 0..=300 {
            let second = piece[0] + (piece[1] - piece[0]) * f64::from(i) / 300.0;
            for (found, sample) in least.iter().zip(prepared.distances(second)) {
                assert_eq!(found.solids, sample.solids);
                let allowance = 1e-5 + 0.01 * found.distance;
                assert!(
                    sample.distance >= found.distance - allowance,
                    "{seed} {found:?} {sample:?}"
                );
            }
        }
        for found in &least {
            if let Some(second) = found.second {
                let here = prepared.distances(second);
                let sample = here
                    .iter()
                    .find(|pair| pair.solids == found.solids)
                    .unwrap();
                assert!((sample.distance - found.distance).abs() < 1e-12);
            }
        }
    }
    assert!(free >= 20, "{free} of 25 linkages have a free range");
}

/// A bent scissor linkage whose bars bar-right-2 and bar-right-3 come nearest inside the
/// range and part again.
fn with_a_dip(clearance: f64) -> Prepared {
    let design = scissor(&[34.0, 27.0, 36.0], &[42.0, 30.0, 43.0], &[48.0, 42.0]);
    let layers = Arrangement::Given(vec![1, 3, 0, 2, 3, 4, 0, 4]);
    let mut design = built(design, layers);
    design.joints.parts = None;
    design.joints.boss_diameter = 0.0;
    design.layers.as_mut().unwrap().clearance = clearance;
    Prepared::new(design).unwrap()
}

fn lowest_point(prepared: &Prepared, range: [f64; 2]) -> (f64, f64) {
    let least = |x: f64| prepared.clearing().least_at(x).unwrap().unwrap().distance;
    let (mut lo, mut hi) = (range[0], range[1]);
    while hi - lo > 1e-9 {
        let (a, b) = (lo + 0.382 * (hi - lo), lo + 0.618 * (hi - lo));
        if least(a) < least(b) { hi = b } else { lo = a }
    }
    let second = 0.5 * (lo + hi);
    (second, least(second))
}

#[test]
fn a_near_miss_and_a_touch_between_samples_are_told_apart() {
    let range = [95.0 * DEGREE, 118.0 * DEGREE];
    let (at, lowest) = lowest_point(&with_a_dip(0.0), range);
    assert!(at > range[0] + 0.05 && at < range[1] - 0.05 && lowest > 0.001);
    // A near miss of 0.2 mm leaves all free.
    let miss = with_a_dip(lowest - 2e-4);
    let free = miss.clearing().free_range(range, range[0]).unwrap();
    assert_eq!((free.range, free.ends), (range, [RangeEnd::Asked; 2]));
    let least = miss.clearing().least_distances(range).unwrap();
    // What keeps its radial distance, the layers' gap, is no near miss.
    let moving = least.iter().filter(|pair| pair.second.is_some());
    let nearest = moving
        .map(|pair| pair.distance)
        .fold(f64::INFINITY, f64::min);
    assert!((nearest - lowest).abs() < 1e-5 + 0.01 * lowest);
    // Lacking 0.2 mm: stopped.
    let hit = with_a_dip(lowest + 2e-4);
    assert!(hit.clearing().free_range(range, range[0]).unwrap().range[1] < at);
    // A touch so brief that none of 200 samples sees it.
    let touch = with_a_dip(lowest + 2e-9);
    let clearing = touch.clearing();
    let sampled = (0..200).all(|i| {
        let second = range[0] + (range[1] - range[0]) * f64::from(i) / 199.0;
        clearing.least_at(second).unwrap().unwrap().distance >= clearing.clearance()
    });
    assert!(sampled, "the touch is meant to hide from samples");
    let free = clearing.free_range(range, range[0]).unwrap();
    let contact = free.ends[1].contact().unwrap();
    assert_eq!(
        clearing.names(contact.solids),
        ["bar-right-2", "bar-right-3"]
    );
    assert!((contact.second - at).abs() < 1e-3);
    assert_eq!(clearing.allowed_intervals(range).unwrap().len(), 2);
    // And one that is missed by as little.
    let passed = with_a_dip(lowest - 2e-9);
    let free = passed.clearing().free_range(range, range[0]).unwrap();
    assert_eq!(free.range, range);
}

/// An arm whose second bar meets nothing is free all round; one whose tool stands in the
/// way of the first bar is not.
#[test]
fn an_arm_is_free_unless_its_tool_meets_its_first_bar() {
    let range = [-3.1, 3.1];
    let design = built(arm(40.0, 40.0), Arrangement::Two);
    let prepared = Prepared::new(design.clone()).unwrap();
    let free = prepared.clearing().free_range(range, 0.1).unwrap();
    assert_eq!((free.range, free.ends), (range, [RangeEnd::Asked; 2]));
    let mut blocked = design;
    blocked.tool.tip_radius = 0.1;
    blocked.tool.envelope = Some(ToolEnvelope {
        diameter: 0.02,
        outer_radius: Some(0.2),
    });
    let prepared = Prepared::new(blocked).unwrap();
    let clearing = prepared.clearing();
    let free = clearing.free_range(range, 0.0).unwrap();
    let [lower, upper] = free.range;
    // Derived: folded back at ±π the tool stands on the base axis; it may come as near
    // as its radius, half the shaft's or the boss's and the clearance.
    assert!((lower + upper).abs() < 1e-8 && upper < 3.1 && upper > 2.0);
    let names = clearing.names(free.ends[1].contact().unwrap().solids);
    assert!(names.contains(&"tool"), "{names:?}");
}

#[test]
fn input_without_an_answer_is_named() {
    let prepared = Prepared::new(built(uniform(2, 23.5), Arrangement::Two)).unwrap();
    let clearing = prepared.clearing();
    let empty = clearing.free_range([1.0, 0.5], 0.7);
    assert!(matches!(empty, Err(ClearingError::EmptyRange { .. })));
    let no_number = clearing.free_range([f64::NAN, 2.0], 1.0);
    assert!(matches!(no_number, Err(ClearingError::EmptyRange { .. })));
    assert!(clearing.allowed_intervals([0.0, f64::INFINITY]).is_err());
    assert!(clearing.least_distances([2.0, 1.0]).is_err());
    let outside = clearing.free_range([1.0, 2.0], 2.5);
    assert!(matches!(outside, Err(ClearingError::Outside { .. })));
    assert!(matches!(
        clearing.free_range([1.0, 2.0], f64::NAN),
        Err(ClearingError::Outside { .. })
    ));
    let blocked = clearing.free_range([1.0, 3.13], 3.13).unwrap_err();
    assert!(matches!(blocked, ClearingError::Blocked { .. }));
    assert!(blocked.to_string().contains("too near"));
    assert!(matches!(
        clearing.least_at(f64::NAN),
        Err(ClearingError::NotClosed(_))
    ));
    // One point is a range.
    let point = clearing.free_range([1.5, 1.5], 1.5).unwrap();
    assert_eq!(point.range, [1.5, 1.5]);

    let mut flat = built(uniform(2, 23.5), Arrangement::Two);
    flat.layers = None;
    let flat = Prepared::new(flat).unwrap();
    let none = Clearing::new(&flat.design, &flat.kinematics, &flat.built).unwrap_err();
    assert_eq!(none, ClearingError::NoLayers);
    let mut negative = prepared.design.clone();
    negative.layers.as_mut().unwrap().clearance = f64::NAN;
    assert!(matches!(
        Clearing::new(&negative, &prepared.kinematics, &prepared.built),
        Err(ClearingError::Clearance(_))
    ));
    let mut broken = prepared.built.clone();
    broken.solids[1].pieces[0].half_width = f64::NAN;
    let error = Clearing::new(&prepared.design, &prepared.kinematics, &broken).unwrap_err();
    assert_eq!(error, ClearingError::Solid("base-right".to_string()));

    let assigned = assign_layers(
        &prepared.design,
        &prepared.kinematics,
        [0.5, 2.5],
        [0.1, 1.0],
    );
    assert!(matches!(assigned, Err(AssignmentError::Wanted { .. })));
    assert!(assign_layers(&flat.design, &flat.kinematics, [0.5, 2.5], [1.0, 2.0]).is_err());
}

/// A range that runs beyond where the bars close ends there.
#[test]
fn a_range_beyond_closure_ends_where_it_is_lost() {
    let design = bare(scissor(&[40.0], &[30.0], &[]), Arrangement::Nested, 0.004);
    let prepared = Prepared::new(design).unwrap();
    let clearing = prepared.clearing();
    let free = clearing.free_range([0.1, 3.0], 0.5).unwrap();
    // sin α = sin b / sin a (cosine rule, distal arcs in line).
    let lost = 2.0 * ((30.0 * DEGREE).sin() / (40.0 * DEGREE).sin()).asin();
    assert_eq!(free.ends[1], RangeEnd::NotClosed);
    assert!(
        (free.range[1] - lost).abs() < 1e-8,
        "{} {lost}",
        free.range[1]
    );
    let pieces = clearing.allowed_intervals([0.1, 3.0]).unwrap();
    assert!((pieces[0][1] - lost).abs() < 1e-8 && pieces.len() == 1);
    let error = clearing.least_distances([0.1, 3.0]).unwrap_err();
    assert!(error.to_string().contains("do not close"));
}
