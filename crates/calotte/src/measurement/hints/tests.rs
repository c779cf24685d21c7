//! Every fault planted is the first hint, and nothing else gets one.

use std::f64::consts::PI;

use nalgebra::{Rotation3, Vector3};
use rand::seq::SliceRandom;
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;

use super::misread::{candidates, put_right};
use super::trial::Trial;
use super::*;
use crate::design::sample::two_arc_arm;
use crate::design::{Design, DriveLayout, Family, ScissorLinkage};

const NOISE: f64 = 0.05e-3;
const RATIO: [f64; 2] = [3.0, -0.5];

fn arm() -> Design {
    let mut design = two_arc_arm([0.9, 0.7]);
    design.drives.ratio = RATIO;
    design
}

fn scissor(layout: DriveLayout) -> Design {
    let mut design = arm();
    design.family = Family::scissor_linkage(ScissorLinkage::uniform(2, 0.45));
    design.drives.layout = layout;
    design
}

fn normal(random: &mut ChaCha8Rng) -> f64 {
    let (a, b): (f64, f64) = (1.0 - random.random::<f64>(), random.random());
    (-2.0 * a.ln()).sqrt() * (std::f64::consts::TAU * b).cos()
}

/// Seventy-two rows, every parameter off by its assumed tolerance, one row of ten an outlier.
fn campaign(design: &Design, in_random_order: bool, seed: u64) -> (PhysicalModel, Points) {
    let mut random = ChaCha8Rng::seed_from_u64(seed);
    let model = PhysicalModel::new(design).unwrap();
    let kinematics = crate::kinematics::Kinematics::new(design).unwrap();
    let mut readings = Vec::new();
    for i in 0..9 {
        for j in 0..8 {
            let first = -0.9 + 2.2 * f64::from(i) / 8.0;
            let second = 0.8 + 1.2 * f64::from(j) / 7.0;
            readings.push(kinematics.active_from_mechanism([first, second]));
        }
    }
    if in_random_order {
        readings.shuffle(&mut random);
    }
    let mut values = model.nominal();
    for (value, parameter) in values.iter_mut().zip(&model.parameters) {
        *value += parameter.typical * normal(&mut random);
    }
    let turn = Rotation3::new(Vector3::from_fn(|_, _| normal(&mut random)));
    let shift = Vector3::from_fn(|_, _| normal(&mut random));
    let rows = readings.into_iter().enumerate().map(|(i, readings)| {
        let place = model.sensor(readings, [0.0; 2], &values).unwrap();
        let scatter = if i % 10 == 7 { 5e-3 } else { NOISE };
        PointRow {
            row: i + 1,
            readings,
            point: turn * place + shift + scatter * Vector3::from_fn(|_, _| normal(&mut random)),
            orientation: None,
            group: String::new(),
        }
    });
    let rows = rows.collect();
    (model, Points { rows })
}

/// Rows written wrongly, so that this is what puts them right.
fn written_wrongly(rows: &[PointRow], what: Misread) -> Vec<PointRow> {
    let inverse = match what {
        Misread::Swapped | Misread::Sign(_) | Misread::LeftHanded | Misread::Length(_) => what,
        Misread::Angle { joints, taken } => Misread::Angle {
            joints,
            taken: match taken {
                TakenFor::RadiansForDegrees => TakenFor::DegreesForRadians,
                TakenFor::DegreesForRadians => TakenFor::RadiansForDegrees,
            },
        },
        Misread::Offset { joint, by } => Misread::Offset { joint, by: -by },
        Misread::Ratio { joints, power } => Misread::Ratio {
            joints,
            power: -power,
        },
        Misread::Shifted { by } => Misread::Shifted { by: -by },
    };
    let mut wrong = put_right(rows, Some(inverse), RATIO);
    if let Misread::Length(unit) = what {
        let millimetres = match unit {
            LengthUnit::Metre => 1000.0,
            LengthUnit::Centimetre => 10.0,
            LengthUnit::Inch => 25.4,
            LengthUnit::Micrometre => 0.001,
        };
        for (wrong, right) in wrong.iter_mut().zip(rows) {
            wrong.point = right.point / millimetres;
        }
    }
    wrong
}

/// Every fault is the first hint, or as good as the first where the linkage cannot tell: a
/// mirrored linkage is the same linkage turned the other way. What the pose takes up whole, as a
/// zero of the swing, is no fault.
#[test]
fn every_fault_is_the_first_hint() {
    let (mut first, mut alike, mut none) = (0, 0, 0);
    for design in designs() {
        for (in_random_order, seed) in [(false, 5), (true, 6)] {
            let (model, points) = campaign(&design, in_random_order, seed);
            let sound = Trial::new(&model, points.rows.clone()).fitted();
            for what in candidates(RATIO) {
                let rows = written_wrongly(&points.rows, what);
                let wrong = Trial::new(&model, rows.clone()).fitted();
                let found = hints(&model, RATIO, &Points { rows });
                let own = found.iter().position(|hint| hint.what == what);
                match own {
                    Some(0) => first += 1,
                    Some(place) => {
                        assert!(found[place].like_first, "{what:?}: {found:?}");
                        assert!(looks_the_same(what, found[0].what), "{what:?}: {found:?}");
                        alike += 1;
                    }
                    None => {
                        let same = (wrong.best / sound.best - 1.0).abs() < 0.01;
                        assert!(same && found.is_empty(), "{what:?}: {found:?}");
                        none += 1;
                    }
                }
                assert!(
                    found.iter().all(|hint| hint.like_first),
                    "{what:?}: {found:?}"
                );
            }
        }
    }
    println!("{first} first, {alike} alike, {none} no fault");
    assert_eq!((first, alike, none), (166, 10, 28));
}

/// Whether two faults do the same to some of the linkages here.
fn looks_the_same(a: Misread, b: Misread) -> bool {
    let mirror = |one: Misread| matches!(one, Misread::LeftHanded | Misread::Sign(_));
    let zero = |one: Misread| matches!(one, Misread::Offset { joint: 1, .. });
    mirror(a) && mirror(b) || zero(a) && zero(b)
}

fn designs() -> [Design; 3] {
    [
        arm(),
        scissor(DriveLayout::SwingAndOpening),
        scissor(DriveLayout::TwoBars),
    ]
}

#[test]
fn a_sound_campaign_gets_no_hint() {
    for design in designs() {
        for seed in 0..10 {
            for in_random_order in [false, true] {
                let (model, points) = campaign(&design, in_random_order, seed);
                assert_eq!(hints(&model, RATIO, &points), []);
            }
        }
    }
}

/// An arc that is off by a degree, five times what workshops leave, is a fault of the linkage.
#[test]
fn an_arc_that_is_far_off_gets_no_hint() {
    let mut random = ChaCha8Rng::seed_from_u64(9);
    for design in designs() {
        let (model, points) = campaign(&design, true, 3);
        let arcs = model.parameters.iter().enumerate();
        let arcs: Vec<usize> = arcs
            .filter(|(_, parameter)| parameter.name.ends_with("_arc"))
            .map(|(index, _)| index)
            .collect();
        assert!(arcs.len() >= 2);
        for index in arcs {
            let mut values = model.nominal();
            values[index] += PI / 180.0;
            let rows = points.rows.iter().map(|row| {
                let place = model.sensor(row.readings, [0.0; 2], &values).unwrap();
                let noise = NOISE * Vector3::from_fn(|_, _| normal(&mut random));
                PointRow {
                    point: place + noise,
                    ..row.clone()
                }
            });
            let rows = rows.collect();
            let name = &model.parameters[index].name;
            assert_eq!(hints(&model, RATIO, &Points { rows }), [], "{name}");
        }
    }
}

#[test]
fn too_few_rows_get_no_hint() {
    let (model, mut points) = campaign(&arm(), true, 3);
    for row in &mut points.rows {
        row.readings.swap(0, 1);
    }
    points.rows.truncate(ROWS_MIN);
    assert_eq!(hints(&model, RATIO, &points)[0].what, Misread::Swapped);
    points.rows.truncate(ROWS_MIN - 1);
    assert_eq!(hints(&model, RATIO, &points), []);
}
