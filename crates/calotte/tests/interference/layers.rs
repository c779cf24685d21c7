//! What layers leave: the law of folding, straight pins, the fewest layers.

use calotte::design::{Arrangement, Design};
use calotte::interference::{
    Assignment, AssignmentError, LayerOption, assign_layers, fewest_layers,
};
use calotte::kinematics::Kinematics;

use crate::common::{DEGREE, built, uniform};
use crate::{Prepared, bare};

fn assign(
    design: &Design,
    range: [f64; 2],
    wanted: [f64; 2],
) -> Result<Assignment, AssignmentError> {
    assign_layers(design, &Kinematics::new(design)?, range, wanted)
}

fn fewest(
    design: &Design,
    range: [f64; 2],
    wanted: [f64; 2],
) -> Result<Option<LayerOption>, AssignmentError> {
    fewest_layers(design, &Kinematics::new(design)?, range, wanted)
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
        let open = assign(&design, range, [60.0 * DEGREE, 150.0 * DEGREE]).unwrap();
        assert_eq!(open.fewest.unwrap().count, 2);
        let folded = assign(&design, range, [60.0 * DEGREE, 179.9 * DEGREE]).unwrap();
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
        let found = assign(&design, range, wanted).unwrap();
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
                let (mut widest, mut judged) = (0.0_f64, 0);
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
                    judged += 1;
                    if let Ok(free) = prepared.clearing().free_range(range, 100.0 * DEGREE) {
                        widest = widest.max(free.range[1] - free.range[0]);
                    }
                }
                assert!(
                    judged > 0 && widest > 0.0,
                    "{judged} arrangements of {count} layers"
                );
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

/// The search for the fewest layers alone finds what the whole list of options marks, and
/// where none leaves the wanted range free, one that leaves as much as any.
#[test]
fn the_fewest_layers_are_those_of_the_whole_list() {
    let range = [5.0 * DEGREE, 175.0 * DEGREE];
    for (stages, arc, wanted) in [
        (1, 47.0, [60.0, 120.0]),
        (2, 23.5, [80.0, 120.0]),
        (2, 23.5, [25.0, 150.0]),
        (3, 15.6, [60.0, 120.0]),
        (2, 23.5, [6.0, 170.0]),
    ] {
        let wanted = wanted.map(|angle| angle * DEGREE);
        let design = built(uniform(stages, arc), Arrangement::Two);
        let all = assign(&design, range, wanted).unwrap();
        let found = fewest(&design, range, wanted).unwrap().unwrap();
        match all.fewest {
            Some(fewest) => {
                assert_eq!(found.count, fewest.count, "{stages} {wanted:?}");
                assert!(found.leaves_wanted);
                assert!((found.pin_length - fewest.pin_length).abs() < 1e-9);
            }
            None => {
                let left = |free: [f64; 2]| free[1].min(wanted[1]) - free[0].max(wanted[0]);
                let most = all
                    .options
                    .iter()
                    .map(|option| left(option.free.range))
                    .fold(0.0, f64::max);
                let step = (range[1] - range[0]) / 119.0;
                assert!(left(found.free.range) > most - 2.0 * step);
                assert!(!found.leaves_wanted);
            }
        }
    }
    let outside = fewest(
        &built(uniform(2, 23.5), Arrangement::Two),
        range,
        [0.0, 1.0],
    );
    assert!(outside.unwrap_err().to_string().contains("is no part of"));
}
