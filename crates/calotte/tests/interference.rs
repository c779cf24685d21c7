//! Which parts come near each other: distances against clouds of points, touches
//! between samples, the law of folding, layers, and input that has no answer.

mod common;
mod interference_cloud;

use calotte::built::{Built, Core, Piece, Profile};
use calotte::design::{Arrangement, Design, ToolCarrier, ToolEnvelope};
use calotte::elasticity::Section;
use calotte::interference::{
    AssignmentError, Clearing, ClearingError, PairDistance, RangeEnd, assign_layers, distance,
    nearest,
};
use calotte::kinematics::Kinematics;
use common::{DEGREE, arm, built, scissor, uniform};
use interference_cloud::cloud_distance;
use nalgebra::Vector3;
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;

/// A design with everything its clearing needs.
struct Prepared {
    design: Design,
    kinematics: Kinematics,
    built: Built,
}

impl Prepared {
    fn new(design: Design) -> Option<Self> {
        let kinematics = Kinematics::new(&design).ok()?;
        let built = Built::new(&design, &kinematics.linkage).ok()?;
        Some(Self {
            design,
            kinematics,
            built,
        })
    }

    fn clearing(&self) -> Clearing<'_> {
        Clearing::new(&self.design, &self.kinematics, &self.built).unwrap()
    }

    fn distances(&self, second: f64) -> Vec<PairDistance> {
        let pose = self.kinematics.forward_from_mechanism([0.0, second]);
        self.clearing().distances_at(&pose.unwrap().configuration)
    }

    fn polar(&self, second: f64) -> f64 {
        self.kinematics.meridian.state(second).polar.value
    }
}

/// Bars alone: no pins, no bosses beyond the bar's width, shafts thinner than a hair.
fn bare(mut design: Design, arrangement: Arrangement, width: f64) -> Design {
    design = built(design, arrangement);
    design.joints.parts = None;
    design.joints.boss_diameter = 0.0;
    design.section = Section::Rectangle {
        tangential: width,
        radial: 0.001,
    };
    let layers = design.layers.as_mut().unwrap();
    (layers.gap, layers.clearance) = (1e-5, 0.0);
    layers.base.shaft_diameter = 1e-6;
    layers.base.hollow_shaft = [2e-6, 1e-6];
    design
}

/// A random scissor linkage that can be built.
fn random_linkage(seed: u64) -> Prepared {
    let mut rng = ChaCha8Rng::seed_from_u64(4);
    rng.set_stream(seed);
    loop {
        let stages = rng.random_range(1..=3);
        let proximal: Vec<f64> = (0..stages).map(|_| rng.random_range(12.0..40.0)).collect();
        let distal: Vec<f64> = proximal
            .iter()
            .map(|arc| arc + rng.random_range(0.0..15.0))
            .collect();
        let bends: Vec<f64> = (1..stages).map(|_| rng.random_range(-20.0..60.0)).collect();
        let bars = 2 * stages + 2;
        let arrangement = match rng.random_range(0..3) {
            0 => Arrangement::Two,
            1 => Arrangement::Nested,
            _ => Arrangement::Given((0..bars).map(|_| rng.random_range(0..bars)).collect()),
        };
        let mut design = built(scissor(&proximal, &distal, &bends), arrangement);
        design.joint_radius = rng.random_range(0.1..0.25);
        let width = rng.random_range(0.006..0.016);
        design.section = match rng.random_range(0..4) {
            0 => Section::Rod { diameter: width },
            1 => Section::Tube {
                outer_diameter: width,
                inner_diameter: 0.7 * width,
            },
            2 => Section::RectangleTube {
                tangential: width,
                radial: rng.random_range(0.005..0.01),
                wall: 0.001,
            },
            _ => Section::Rectangle {
                tangential: width,
                radial: rng.random_range(0.003..0.01),
            },
        };
        design.joints.boss_diameter = rng.random_range(0.0135..0.025);
        if rng.random_bool(0.3) {
            design.joints.parts = None;
        }
        design.tool.carried_by =
            [ToolCarrier::Left, ToolCarrier::Right, ToolCarrier::Bisector][rng.random_range(0..3)];
        design.tool.bracket_arc = if rng.random_bool(0.3) { 0.2 } else { 0.0 };
        design.tool.tip_radius = design.joint_radius * rng.random_range(0.2..0.7);
        design.tool.envelope = Some(ToolEnvelope {
            diameter: rng.random_range(0.01..0.03),
            outer_radius: rng
                .random_bool(0.5)
                .then_some(design.joint_radius * rng.random_range(0.9..1.3)),
        });
        let layers = design.layers.as_mut().unwrap();
        layers.gap = rng.random_range(0.0..0.002);
        if let Some(prepared) = Prepared::new(design) {
            return prepared;
        }
    }
}

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
    assert!(greatest < 1e-4);
    println!(
        "{compared} pairs, {touching} through one another, {near} nearer than 5 mm, greatest difference {greatest:e} m"
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
        let Some(free) = prepared.clearing().widest_free_range([0.05, 3.1]).unwrap() else {
            continue;
        };
        for contact in free.ends.iter().filter_map(RangeEnd::contact) {
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

/// m stages in two layers lose about m bar widths of arc against the full fold, m/cos β
/// from two stages on (derived: bars of one layer lie on great circles through apexes
/// Δθ apart, across the meridian; at their ends, β beside it, they are Δθ·cos β apart).
/// Bars in layers of their own fold flat.
#[test]
fn the_law_of_folding() {
    for (width, tolerance) in [(0.012, 0.03), (0.001, 0.007)] {
        for stages in 1..=4 {
            let arc = 47.0 / stages as f64;
            let folded = |arrangement: Arrangement| {
                let prepared =
                    Prepared::new(bare(uniform(stages, arc), arrangement, width)).unwrap();
                let free = prepared
                    .clearing()
                    .free_range([60.0 * DEGREE, 180.0 * DEGREE], 90.0 * DEGREE)
                    .unwrap();
                prepared.polar(free.range[1]) / (width / prepared.design.joint_radius)
            };
            let widths = stages as f64;
            let two = folded(Arrangement::Two);
            let expected = if stages == 1 {
                1.0
            } else {
                widths / (arc * DEGREE).cos()
            };
            assert!(
                (two / expected - 1.0).abs() < tolerance,
                "{stages} {width}: {two} {expected}"
            );
            assert!((two / widths - 1.0).abs() < 0.1);
            assert!(folded(Arrangement::Nested) < 1e-3);
        }
    }
}

/// All orders of the numbers below n.
fn permutations(n: usize) -> Vec<Vec<usize>> {
    let mut all = vec![vec![]];
    for item in 0..n {
        all = all
            .iter()
            .flat_map(|order: &Vec<usize>| {
                (0..=order.len()).map(move |place| {
                    let mut longer = order.clone();
                    longer.insert(place, item);
                    longer
                })
            })
            .collect();
    }
    all
}

/// With straight pins one stage can fold flat, two and three cannot in any number of
/// layers: all orders of bars are tried. Bars that lie on one another need layers of
/// their own, so that orders are all there is; pins at one place must not overlap.
#[test]
fn with_straight_pins_only_one_stage_folds_flat() {
    for stages in 1..=3 {
        let bars = 2 * stages + 2;
        let (left, right) = (|stage: usize| 2 * stage, |stage: usize| 2 * stage + 1);
        let mut places: [Vec<[usize; 2]>; 3] = Default::default();
        places[2].push([left(0), right(0)]);
        for stage in 1..=stages {
            // The base bar starts its own side; a later bar comes over from the other.
            let (to_left, to_right) = if stage == 1 {
                (left(0), right(0))
            } else {
                (right(stage - 1), left(stage - 1))
            };
            places[0].push([to_left, left(stage)]);
            places[1].push([to_right, right(stage)]);
            places[2].push([left(stage), right(stage)]);
        }
        let disjoint = |layers: &[usize]| {
            places.iter().all(|pins| {
                (0..pins.len()).all(|i| {
                    (0..i).all(|j| {
                        let span = |[a, b]: [usize; 2]| {
                            [layers[a].min(layers[b]), layers[a].max(layers[b])]
                        };
                        let (a, b) = (span(pins[i]), span(pins[j]));
                        a[1] < b[0] || b[1] < a[0]
                    })
                })
            })
        };
        let orders = permutations(bars);
        let count = orders.iter().filter(|layers| disjoint(layers)).count();
        assert_eq!(count > 0, stages == 1, "{stages}: {count}");
        // The solids agree: at a fold of a hundredth of a degree some order is free for
        // one stage, none is for two. Of three, every 97th order is built.
        let mut free = 0;
        for layers in orders.iter().step_by(if stages == 3 { 97 } else { 1 }) {
            let design = built(
                uniform(stages, 47.0 / stages as f64),
                Arrangement::Given(layers.clone()),
            );
            let prepared = Prepared::new(design).unwrap();
            let least = prepared.clearing().least_at(179.99 * DEGREE).unwrap();
            free += usize::from(least.is_none_or(|contact| contact.distance >= 0.0));
        }
        assert_eq!(free > 0, stages == 1, "{stages}: {free}");
    }
}

/// Fewest layers: bars alone need two for a range that stays open, a layer each for the
/// full fold; what is promised is what the arrangement leaves when built.
#[test]
fn layers_are_assigned_with_the_fewest_that_do() {
    let range = [2.0 * DEGREE, 179.9 * DEGREE];
    for stages in 1..=3 {
        let design = bare(
            uniform(stages, 47.0 / stages as f64),
            Arrangement::Two,
            0.012,
        );
        let open = assign_layers(&design, range, [60.0 * DEGREE, 150.0 * DEGREE]).unwrap();
        assert_eq!(open.fewest.unwrap().count, 2);
        let folded = assign_layers(&design, range, [60.0 * DEGREE, 179.9 * DEGREE]).unwrap();
        assert_eq!(folded.fewest.unwrap().count, 2 * stages + 2);
        assert_eq!(folded.options.len(), 2 * stages + 1);
        let mut widest: f64 = 0.0;
        for option in &folded.options {
            let mut candidate = design.clone();
            candidate.layers.as_mut().unwrap().arrangement = option.arrangement();
            let prepared = Prepared::new(candidate).unwrap();
            assert_eq!(prepared.built.layer_count, option.count);
            let middle = 0.5 * (60.0 + 179.9) * DEGREE;
            let again = prepared.clearing().free_range(range, middle).unwrap();
            assert_eq!(again, option.free);
            assert!(option.complete);
            widest = widest.max(option.free.range[1] - option.free.range[0]);
        }
        assert!((widest - (range[1] - range[0])).abs() < 1e-9);
    }
}

/// The two built-in arrangements never leave more than the best of as many layers, but
/// for the distance of the samples the search goes by.
#[test]
fn no_arrangement_of_our_own_is_better_than_the_best_found() {
    let range = [5.0 * DEGREE, 175.0 * DEGREE];
    let wanted = [80.0 * DEGREE, 120.0 * DEGREE];
    for (stages, arc) in [(1, 47.0), (2, 23.5), (3, 15.6)] {
        let design = built(uniform(stages, arc), Arrangement::Two);
        let found = assign_layers(&design, range, wanted).unwrap();
        for arrangement in [Arrangement::Two, Arrangement::Nested] {
            let prepared = Prepared::new(built(uniform(stages, arc), arrangement)).unwrap();
            let free = prepared
                .clearing()
                .free_range(range, 100.0 * DEGREE)
                .unwrap();
            let count = prepared.built.layer_count;
            let best = found
                .options
                .iter()
                .find(|option| option.count == count)
                .unwrap();
            let step = (range[1] - range[0]) / 119.0;
            let width = |range: [f64; 2]| range[1] - range[0];
            assert!(width(best.free.range) > width(free.range) - 2.0 * step);
        }
        // Exhaustive for one stage: all arrangements of four bars.
        if stages == 1 {
            for count in 2..=4usize {
                let mut widest: f64 = 0.0;
                for code in 0..count.pow(4) {
                    let layers: Vec<usize> =
                        (0..4).map(|bar| code / count.pow(bar) % count).collect();
                    let used = (0..count).all(|layer| layers.contains(&layer));
                    // The carrier of the tool is innermost.
                    if !used || layers[2] != 0 {
                        continue;
                    }
                    let design = built(uniform(1, arc), Arrangement::Given(layers));
                    let Some(prepared) = Prepared::new(design) else {
                        continue;
                    };
                    if let Ok(free) = prepared.clearing().free_range(range, 100.0 * DEGREE) {
                        widest = widest.max(free.range[1] - free.range[0]);
                    }
                }
                let best = found
                    .options
                    .iter()
                    .find(|option| option.count == count)
                    .unwrap();
                let reached = best.free.range[1] - best.free.range[0];
                assert!(reached > widest - 2.0 * (range[1] - range[0]) / 119.0);
                assert!(reached <= widest + 1e-9);
            }
        }
    }
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

    let assigned = assign_layers(&prepared.design, [0.5, 2.5], [0.1, 1.0]);
    assert!(matches!(assigned, Err(AssignmentError::Wanted { .. })));
    assert!(assign_layers(&flat.design, [0.5, 2.5], [1.0, 2.0]).is_err());
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
    let found = nearest(&point, &point).unwrap();
    assert!((found.distance + 0.01).abs() < 1e-15 && found.angle == 0.0);
    // Opposite: beyond half a turn there is no nearer way.
    let far = nearest(&point, &piece(Core::Direction(-z))).unwrap();
    assert!(far.distance > 0.19 && (far.angle - std::f64::consts::PI).abs() < 1e-7);
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
