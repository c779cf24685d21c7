use super::course::{CORRELATION_MAX, LOOK_MAX, MOTION_MAX};
use super::*;
use crate::design::sample::two_arc_arm;
use crate::design::{DriveLayout, Family, ScissorLinkage};
use crate::family::real::Cause;
use crate::measurement::data::{PointRow, Points};
use crate::measurement::fit::{FitOptions, PointFit, fit_points};
use crate::measurement::watch::Watch;

fn scissor(stages: usize, layout: DriveLayout) -> Design {
    let mut design = two_arc_arm([1.0, 1.0]);
    design.family = Family::scissor_linkage(ScissorLinkage::uniform(stages, 0.85 / stages as f64));
    design.drives.layout = layout;
    design
}

fn designs() -> [Design; 4] {
    [
        scissor(1, DriveLayout::TwoBars),
        scissor(2, DriveLayout::TwoBars),
        scissor(2, DriveLayout::SwingAndOpening),
        two_arc_arm([0.9, 0.8]),
    ]
}

fn planned(design: &Design, options: &PlanOptions) -> Result<Plan, PlanError> {
    let model = PhysicalModel::new(design).unwrap();
    plan(&to_plan(design, None).unwrap(), &model, None, options)
}

/// The plan tells what is told worst better than every random plan and than the grid.
#[test]
fn plans_beat_random_ones() {
    for design in designs() {
        let found = planned(&design, &PlanOptions::default()).unwrap();
        let median = found.of_random[RANDOM_PLANS / 2];
        assert!(
            found.minimum_singular_value > 1.6 * median,
            "{} {median}",
            found.minimum_singular_value
        );
        assert!(found.minimum_singular_value > found.of_random[RANDOM_PLANS - 1]);
        assert!(found.minimum_singular_value > found.of_grid);
        assert_eq!(found.configurations.len(), 30 + 3 * 4 + 2);
    }
}

/// Correlation of the row number with a number of each row, without sign.
fn with_row_number(values: &[f64]) -> f64 {
    let count = values.len() as f64;
    let mean = values.iter().sum::<f64>() / count;
    let (mut along, mut squares, mut times) = (0.0, 0.0, 0.0);
    for (row, value) in values.iter().enumerate() {
        let time = row as f64 - 0.5 * (count - 1.0);
        along += time * (value - mean);
        squares += (value - mean).powi(2);
        times += time * time;
    }
    (along / (squares * times).sqrt()).abs()
}

/// From 12 configurations on: rows go along with no reading, direction or parameter, and the
/// joints move little all the same.
#[test]
fn a_drift_is_mistaken_for_nothing() {
    for design in designs() {
        for (count, repeated, times) in [(12, 2, 3), (30, 3, 5), (30, 0, 1), (120, 4, 3)] {
            for seed in [0, 7] {
                let options = PlanOptions {
                    count,
                    repeated,
                    times,
                    seed,
                    ..PlanOptions::default()
                };
                let found = planned(&design, &options).unwrap();
                let rows = &found.configurations;
                let numbers: [fn(&PlannedConfiguration) -> f64; 6] = [
                    |row| row.readings[0],
                    |row| row.readings[1],
                    |row| Direction::of(&row.expected).polar,
                    |row| Direction::of(&row.expected).polar.cos(),
                    |row| Direction::of(&row.expected).azimuth.cos(),
                    |row| Direction::of(&row.expected).azimuth.sin(),
                ];
                for number in numbers {
                    let values: Vec<f64> = rows.iter().map(number).collect();
                    let with = with_row_number(&values);
                    assert!(with <= CORRELATION_MAX, "{count} {seed}: {with}");
                }
                let (_, look) = found.mistaken.parameter.unwrap();
                assert!(look <= LOOK_MAX, "{count} {seed}: {look}");
                assert!(found.mistaken.readings.max(found.mistaken.directions) <= CORRELATION_MAX);
                let moved: f64 = rows
                    .windows(2)
                    .map(|pair| {
                        let far = |k: usize| (pair[1].readings[k] - pair[0].readings[k]).abs();
                        far(0) + far(1)
                    })
                    .sum();
                assert!((moved - found.motion).abs() < 1e-9);
                assert!(moved <= MOTION_MAX * found.shortest, "{count}: {moved}");
            }
        }
    }
}

/// What a steady drift of the tracker does to a fit is what the plan says of its order: the
/// parameter's change, over what the drift would do at worst, is no greater.
#[test]
fn a_drift_moves_a_parameter_as_little_as_is_said() {
    let design = scissor(2, DriveLayout::TwoBars);
    let model = PhysicalModel::new(&design).unwrap();
    let found = planned(&design, &PlanOptions::default()).unwrap();
    let nominal = model.nominal();
    let rows = &found.configurations;
    let count = rows.len();
    let (index, said) = found.mistaken.parameter.unwrap();
    // Effect of that parameter by differences, and a drift along each axis, all with the
    // tracker's pose taken out by Gram and Schmidt.
    let sides = course::sides(&rows.iter().map(|row| row.readings).collect::<Vec<_>>());
    let effect = |step: f64| -> Vec<f64> {
        let mut values = nominal.clone();
        values[index] += step;
        let places = rows.iter().zip(&sides);
        places
            .flat_map(|(row, side)| {
                let place = model.sensor(row.readings, *side, &values).unwrap();
                [place.x, place.y, place.z]
            })
            .collect()
    };
    let (up, down) = (effect(1e-6), effect(-1e-6));
    let mut column: Vec<f64> = up.iter().zip(&down).map(|(a, b)| a - b).collect();
    let mut basis: Vec<Vec<f64>> = Vec::new();
    let dot = |a: &[f64], b: &[f64]| -> f64 { a.iter().zip(b).map(|(a, b)| a * b).sum() };
    let without = |list: &[Vec<f64>], mut column: Vec<f64>| {
        for one in list {
            let share = dot(one, &column);
            for (value, part) in column.iter_mut().zip(one) {
                *value -= share * part;
            }
        }
        let length = dot(&column, &column).sqrt();
        column.iter_mut().for_each(|value| *value /= length);
        column
    };
    let mut pose: Vec<Vec<f64>> = Vec::new();
    for axis in 0..3 {
        let unit = Vector3::ith(axis, 1.0);
        let turned = rows.iter().flat_map(|row| {
            let turned: Vector3<f64> = unit.cross(&row.expected);
            [turned.x, turned.y, turned.z]
        });
        pose.push(turned.collect());
        pose.push(
            (0..3 * count)
                .map(|k| f64::from(u8::from(k % 3 == axis)))
                .collect(),
        );
    }
    for one in pose {
        basis.push(without(&basis, one));
    }
    column = without(&basis, column);
    let mut explained = 0.0;
    let mut drifts: Vec<Vec<f64>> = Vec::new();
    for axis in 0..3 {
        let drift = (0..3 * count)
            .map(|k| if k % 3 == axis { (k / 3) as f64 } else { 0.0 })
            .collect();
        let all: Vec<Vec<f64>> = basis.iter().chain(&drifts).cloned().collect();
        let drift = without(&all, drift);
        explained += dot(&drift, &column).powi(2);
        drifts.push(drift);
    }
    assert!(
        (explained.sqrt() - said).abs() < 1e-4,
        "{} {said}",
        explained.sqrt()
    );
}

/// One configuration at start, middle and end; the others as often as asked for and never at
/// once; of equal seeds the same plan, of others another.
#[test]
fn repeats_are_spread_and_seeds_choose_the_order() {
    for design in designs() {
        let options = PlanOptions::default();
        let found = planned(&design, &options).unwrap();
        let rows = &found.configurations;
        let of = |group: &str| -> Vec<usize> {
            let place =
                |(row, one): (usize, &PlannedConfiguration)| (one.group == group).then_some(row);
            rows.iter().enumerate().filter_map(place).collect()
        };
        let last = rows.len() - 1;
        let anchored = of(ANCHOR_GROUP);
        assert_eq!([anchored[0], anchored[2]], [0, last]);
        assert!(anchored[1].abs_diff(last / 2) <= 1, "{anchored:?}");
        for index in 1..=3 {
            let places = of(&format!("repeat-{index}"));
            assert_eq!(places.len(), 5);
            let readings = rows[places[0]].readings;
            assert!(places.iter().all(|row| rows[*row].readings == readings));
            assert!(
                places.windows(2).all(|pair| pair[1] - pair[0] > 2),
                "{places:?}"
            );
        }
        assert_eq!(of("").len(), 30 - 4);
        assert_eq!(planned(&design, &options).unwrap(), found);
        let other = planned(&design, &PlanOptions { seed: 1, ..options }).unwrap();
        assert_ne!(other.configurations, found.configurations);
    }
}

/// Readings within the range are reached from either side.
#[test]
fn the_backlash_is_met_from_both_sides() {
    for design in designs() {
        let found = planned(&design, &PlanOptions::default()).unwrap();
        let readings: Vec<[f64; 2]> = found
            .configurations
            .iter()
            .map(|row| row.readings)
            .collect();
        let sides = course::sides(&readings);
        for joint in 0..2 {
            let up = sides.iter().filter(|side| side[joint] > 0.0).count();
            let down = sides.iter().filter(|side| side[joint] < 0.0).count();
            assert!(up.min(down) * 4 >= readings.len(), "{up} {down}");
        }
        // Each backlash that is identified is so to a tenth of a degree.
        for (index, error) in &found.told {
            let model = PhysicalModel::new(&design).unwrap();
            if model.parameters[*index].name.ends_with(".backlash") {
                assert!(*error < 0.1 / 180.0 * std::f64::consts::PI);
            }
        }
    }
}

/// From end to end: the polar angles are those of the working range with its margins.
#[test]
fn the_whole_range_is_used() {
    for design in designs() {
        let subject = to_plan(&design, None).unwrap();
        let range = subject.motion.widest_range().unwrap();
        let found = planned(&design, &PlanOptions::default()).unwrap();
        let [low, high] = found.polar;
        assert!((low - range.polar_min()).abs() < 1e-9 && (high - range.polar_max()).abs() < 1e-9);
        assert_eq!(found.narrowed, None);
    }
}

#[test]
fn plans_of_eight_and_of_five_hundred() {
    let design = scissor(2, DriveLayout::SwingAndOpening);
    for (count, repeated, times) in [(8, 0, 1), (8, 7, 2), (500, 3, 5), (500, 375, 4)] {
        let options = PlanOptions {
            count,
            repeated,
            times,
            ..PlanOptions::default()
        };
        let found = planned(&design, &options).unwrap();
        let rows = count + repeated * (times - 1) + 2;
        assert_eq!(found.configurations.len(), rows);
        let mut different: Vec<[i64; 2]> = found
            .configurations
            .iter()
            .map(|row| row.readings.map(|angle| (angle * 1e6) as i64))
            .collect();
        different.sort_unstable();
        different.dedup();
        assert_eq!(different.len(), count);
        assert!(found.told.iter().all(|(_, error)| error.is_finite()));
    }
    for (count, repeated, times) in [(8, 8, 2), (500, 376, 5), (501, 0, 1)] {
        let options = PlanOptions {
            count,
            repeated,
            times,
            ..PlanOptions::default()
        };
        assert!(planned(&design, &options).is_err());
    }
}

/// A drive that stands nearly still costs parameters, by name; one that stands still and a range
/// without any configuration are errors.
#[test]
fn a_narrow_range_says_what_it_costs() {
    let degree = std::f64::consts::PI / 180.0;
    let mut design = scissor(2, DriveLayout::SwingAndOpening);
    design.drives.range.first = Some([10.0 * degree, 12.0 * degree]);
    let model = PhysicalModel::new(&design).unwrap();
    let found = planned(&design, &PlanOptions::default()).unwrap();
    let cost = found.narrowed.unwrap();
    assert!(cost.by_drives && !cost.by_brief);
    assert!(!cost.lost.is_empty());
    for index in &cost.lost {
        assert!(found.not_told.contains(index));
    }
    // The swing's scale cannot be identified from two degrees.
    let scale = model.index_of("swing.scale").unwrap();
    assert!(cost.lost.contains(&scale), "{:?}", cost.lost);
    for row in &found.configurations {
        let swing = row.readings[0] / degree;
        assert!((10.0 - 1e-9..=12.0 + 1e-9).contains(&swing));
    }
    design.drives.range.first = Some([10.0 * degree, 10.0 * degree + 1e-9]);
    let blocked = planned(
        &design,
        &PlanOptions {
            count: 10,
            repeated: 2,
            ..PlanOptions::default()
        },
    );
    assert!(blocked.is_ok_and(|found| !found.narrowed.unwrap().lost.is_empty()));
    design.drives.range.second = Some([60.0 * degree, 60.0 * degree + 1e-6]);
    assert!(matches!(
        planned(&design, &PlanOptions::default()),
        Err(PlanError::Narrow { .. })
    ));
    // Nearly stretched: no transmission angle of 15°.
    design.drives.range.second = Some([0.5 * degree, 1.0 * degree]);
    assert_eq!(
        planned(&design, &PlanOptions::default()),
        Err(PlanError::NoRange)
    );
}

/// What a plan calls identifiable the fit calls so in 95 % of campaigns, and with the error that
/// the plan foresees to 10 %: ten plans, prototypes and noise drawn anew.
#[test]
#[allow(
    clippy::disallowed_methods,
    reason = "the test command says by this variable that the long form is wanted"
)]
fn the_fit_says_what_the_plan_foresees() {
    let long = std::env::var_os("CALOTTE_LONG").is_some();
    // Campaigns of each plan, and how many of the parameters have the error foreseen: there is
    // chance in ten campaigns, and in the plan's own thirty.
    let (campaigns, share) = if long { (100, 0.95) } else { (10, 0.9) };
    let mut random = Sequence::new(77);
    let more = [(12, 0.1e-3), (30, 0.3e-3), (60, 0.05e-3)];
    let plans = designs().into_iter().map(|design| (design, (30, 0.1e-3)));
    let plans = plans.chain(designs().into_iter().zip(more));
    let plans: Vec<(Design, (usize, f64))> =
        plans.chain(designs().into_iter().rev().zip(more)).collect();
    assert_eq!(plans.len(), 10);
    let (mut promised, mut kept, mut over) = (0, 0, Vec::new());
    for (design, (count, noise)) in plans {
        let model = PhysicalModel::new(&design).unwrap();
        let options = PlanOptions {
            count,
            noise,
            ..PlanOptions::default()
        };
        let found = planned(&design, &options).unwrap();
        assert!(!found.told.is_empty());
        let fits: Vec<PointFit> = (0..campaigns)
            .map(|_| fitted(&model, &found, noise, &mut random))
            .collect();
        for (index, error) in &found.told {
            let one = |fit: &PointFit| fit.parameters[*index].clone();
            promised += fits.len();
            kept += fits.iter().filter(|fit| one(fit).identifiable).count();
            let mut printed: Vec<f64> = fits
                .iter()
                .map(|fit| one(fit).standard_error.unwrap() / error)
                .collect();
            printed.sort_by(f64::total_cmp);
            over.push(printed[campaigns / 2]);
        }
        let unknown = (0..model.parameters.len()).filter(|index| !found.not_told.contains(index));
        assert!(unknown.eq(found.told.iter().map(|one| one.0)));
    }
    over.sort_by(f64::total_cmp);
    let near = over.iter().filter(|over| (*over - 1.0).abs() <= 0.1);
    let (near, count) = (near.count(), over.len());
    println!(
        "identifiable as foreseen: {kept} of {promised}; median printed over foreseen within 10 %: \
         {near} of {count}, {:.3} to {:.3}, median {:.3}",
        over[0],
        over[count - 1],
        over[count / 2]
    );
    assert!(kept as f64 >= 0.95 * promised as f64);
    assert!(near as f64 >= share * count as f64);
    assert!((over[count / 2] - 1.0).abs() <= 0.05);
}

/// A campaign of a plan, fitted: a prototype within tolerance in every part (normal, half a
/// tolerance as deviation, cut at tolerance; where the sensor sits twice that).
fn fitted(model: &PhysicalModel, plan: &Plan, noise: f64, random: &mut Sequence) -> PointFit {
    let mut values = model.nominal();
    for (value, described) in values.iter_mut().zip(&model.parameters) {
        let by = loop {
            let by = 0.5 * random.normal();
            if by.abs() <= 1.0 {
                break by;
            }
        };
        *value += described.typical
            * match described.cause {
                Cause::Backlash(_) => by.abs(),
                Cause::Sensor => 2.0 * by,
                _ => by,
            };
    }
    let readings: Vec<[f64; 2]> = plan.configurations.iter().map(|row| row.readings).collect();
    let sides = course::sides(&readings);
    let rows = readings.iter().zip(&sides).zip(1..);
    let rows = rows.filter_map(|((readings, side), row)| {
        let place = model.sensor(*readings, *side, &values)?;
        Some(PointRow {
            row,
            readings: *readings,
            point: place + Vector3::from_fn(|_, _| noise * random.normal()),
            orientation: None,
            group: String::new(),
        })
    });
    let points = Points {
        rows: rows.collect(),
    };
    fit_points(model, &points, &FitOptions::default(), Watch::NOBODY).unwrap()
}
