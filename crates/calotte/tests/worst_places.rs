//! Worst values over the region: nothing worse lies between what was looked at, whichever
//! way the zero of azimuth points.

mod common;

use calotte::analysis::ring::{RingResult, solve_ring};
use calotte::analysis::values::around;
use calotte::analysis::{Analysis, AnalysisOptions, Requirements, analyse};
use calotte::brief::{Load, LoadCase, LoadPlace, LoadVector};
use calotte::design::{Arrangement, Design, DriveLayout};
use calotte::quantity::{Over, Quantity};
use calotte::sphere::{Exclusion, Region, Shape};
use calotte::stock::Section;
use common::long_form::cases;
use common::*;
use nalgebra::{Rotation3, Unit, Vector3};
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;

/// A value of a row of directions with what it is of.
type Value = (Quantity, Option<usize>, f64);

fn values(analysis: &Analysis, requirements: &Requirements) -> Vec<Value> {
    let loads = &requirements.loads;
    let rows = analysis.rows.iter();
    rows.filter(|row| row.quantity.facts().over == Over::Directions)
        .filter_map(|row| {
            let load = row
                .load
                .as_ref()
                .and_then(|name| loads.iter().position(|load| load.name == *name));
            Some((row.quantity, load, *row.got.as_ref().ok()?))
        })
        .collect()
}

fn without_bands() -> AnalysisOptions {
    AnalysisOptions {
        bands: false,
        proof: false,
        ..AnalysisOptions::default()
    }
}

fn load(name: &str, on: LoadPlace, force: LoadVector, moment: LoadVector) -> LoadCase {
    LoadCase::single(
        name,
        Load {
            on,
            force,
            moment,
            frame: None,
        },
    )
}

/// A design with a tool and a region, of several kinds and mounts.
fn random_case(random: &mut ChaCha8Rng, index: usize) -> (Design, Requirements) {
    let mut number = |from: f64, to: f64| from + (to - from) * random.random::<f64>();
    let mut design = match index % 5 {
        0 => uniform(2, number(20.0, 27.0)),
        1 => arm(number(40.0, 80.0), number(40.0, 80.0)),
        2 => built(uniform(1, number(42.0, 48.0)), Arrangement::Two),
        3 => built(uniform(2, number(22.0, 25.0)), Arrangement::Two),
        _ => scissor(
            &[number(28.0, 34.0), number(22.0, 26.0)],
            &[number(32.0, 38.0), number(26.0, 32.0)],
            &[number(-20.0, 20.0)],
        ),
    };
    if design.joints.stiffness.is_none() {
        design.joints.stiffness = Some(reference_joints());
    }
    design.section = match index % 3 {
        0 => Section::Rectangle {
            tangential: number(0.008, 0.014),
            radial: number(0.005, 0.012),
        },
        1 => Section::Rod {
            diameter: number(0.007, 0.012),
        },
        _ => design.section.clone(),
    };
    if index.is_multiple_of(2) {
        design.drives.layout = DriveLayout::SwingAndOpening;
    }
    design.tool.mass = Some(number(0.2, 1.0).into());
    design.tool.centre_of_mass_radius = number(0.05, 0.2);
    design.mount.axis = Vector3::new(number(-1.0, 1.0), number(-1.0, 1.0), number(-0.3, 1.0));
    design.mount.reference = Vector3::new(number(-1.0, 1.0), 1.0, number(-1.0, 1.0));
    let mut requirements = Requirements::without_brief(&design);
    let axis = design.mount.axis.normalize();
    let aside = Vector3::new(number(-0.6, 0.6), number(-0.6, 0.6), number(-0.6, 0.6));
    let tilted = (axis + aside).normalize();
    requirements.region = match index % 4 {
        0 => Region::cap(axis, number(40.0, 80.0) * DEGREE),
        1 => Region::cap(tilted, number(25.0, 60.0) * DEGREE),
        2 => Region {
            shape: Shape::Band {
                axis,
                polar_from: number(15.0, 30.0) * DEGREE,
                polar_to: number(45.0, 75.0) * DEGREE,
            },
            excluded: Vec::new(),
        },
        _ => Region {
            shape: Shape::Cap {
                axis: tilted,
                half_angle: number(30.0, 60.0) * DEGREE,
            },
            excluded: vec![Exclusion {
                axis,
                half_angle: number(5.0, 20.0) * DEGREE,
                why: "none".to_string(),
            }],
        },
    };
    let none = LoadVector::Local(Vector3::zeros());
    let mut vector = || Vector3::new(number(-9.0, 9.0), number(-9.0, 9.0), number(-9.0, 9.0));
    requirements.loads = vec![
        load("turns", LoadPlace::Tip, LoadVector::Local(vector()), none),
        load("stands", LoadPlace::Grip, LoadVector::World(vector()), none),
        load(
            "both",
            LoadPlace::Tip,
            LoadVector::Local(vector()),
            LoadVector::World(vector() * 0.1),
        ),
    ];
    (design, requirements)
}

/// Every value again over a dense grid of the same model: rings 40 times as close together,
/// azimuths every 2°.
fn dense(design: &Design, requirements: &Requirements) -> Vec<(Quantity, Option<usize>, f64)> {
    let subject = requirements.subject(design).unwrap();
    let model = subject.model().unwrap();
    let Some(range) = subject.elastic_range().unwrap() else {
        return Vec::new();
    };
    let grid =
        calotte::analysis::ring::ring_grid(&model.kinematics, range, subject.region(), 400, 180);
    let rings: Vec<RingResult> = grid
        .iter()
        .filter_map(|place| {
            solve_ring(model, place.second, &place.azimuths, &requirements.loads).ok()
        })
        .collect();
    let mut found = Vec::new();
    for quantity in Quantity::ROWS {
        if quantity.facts().over != Over::Directions {
            continue;
        }
        let loads = if quantity.is_per_load() {
            (0..requirements.loads.len()).map(Some).collect()
        } else {
            vec![None]
        };
        for load in loads {
            let values = rings
                .iter()
                .filter_map(|ring| around(quantity, model, ring, load));
            let worst = values.reduce(if quantity.more_is_better() {
                f64::min
            } else {
                f64::max
            });
            found.extend(worst.map(|worst| (quantity, load, worst)));
        }
    }
    found
}

#[test]
fn nothing_worse_lies_between() {
    let mut random = ChaCha8Rng::seed_from_u64(14);
    let mut compared = 0_u64;
    let wanted = cases(10, 200);
    for index in 0..wanted as usize {
        let (design, requirements) = random_case(&mut random, index);
        let Ok(analysis) = analyse(&design, &requirements, &without_bands()) else {
            continue;
        };
        let dense = dense(&design, &requirements);
        for (quantity, load, value) in values(&analysis, &requirements) {
            let Some((_, _, worst)) = dense
                .iter()
                .find(|(other, of, _)| (*other, *of) == (quantity, load))
            else {
                continue;
            };
            let beyond = if quantity.more_is_better() {
                value / worst - 1.0
            } else {
                worst / value - 1.0
            };
            assert!(
                beyond < 2e-3,
                "{index} {quantity:?} {load:?}: {value} {worst}"
            );
            compared += 1;
        }
        assert!(
            analysis.between_rings.is_none_or(|left| left <= 1e-3),
            "{index}"
        );
    }
    assert!(compared > 4 * wanted, "{compared}");
}

/// One machine: the base turned about its own axis, the zero of azimuth with it, changes no
/// value and no share of the region.
#[test]
fn the_zero_of_azimuth_changes_nothing() {
    let mut random = ChaCha8Rng::seed_from_u64(41);
    for index in 0..20 {
        let (design, requirements) = random_case(&mut random, index);
        let turn = Rotation3::from_axis_angle(
            &Unit::new_normalize(design.mount.axis),
            0.1 + 0.3 * index as f64,
        );
        let mut turned = design.clone();
        turned.mount.reference = turn * design.mount.reference;
        let analyses =
            [&design, &turned].map(|design| analyse(design, &requirements, &without_bands()).ok());
        let [Some(one), Some(other)] = analyses else {
            continue;
        };
        let (one, other) = (values(&one, &requirements), values(&other, &requirements));
        assert_eq!(one.len(), other.len());
        for (a, b) in one.iter().zip(&other) {
            assert_eq!((a.0, a.1), (b.0, b.1));
            assert!((a.2 / b.2 - 1.0).abs() < 1e-9, "{index} {a:?} {b:?}");
        }
    }
}
