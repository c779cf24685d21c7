//! Ranges over the stated uncertainty: each end is the analysis of its own inputs, and no
//! corner and no start of a climb over the box comes out worse.

mod common;

use calotte::Uncertain;
use calotte::analysis::{Analysis, AnalysisOptions, Requirements, Row, analyse};
use calotte::brief::{Limits, Load, LoadCase, LoadPlace, LoadVector};
use calotte::design::{Arrangement, Design, DriveLayout, Input, Support};
use calotte::quantity::Quantity;
use calotte::sphere::Region;
use common::long_form::cases;
use common::*;
use nalgebra::Vector3;
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;

const WITHOUT: AnalysisOptions = AnalysisOptions {
    rings: 25,
    around: 12,
    bands: false,
    bands_only_if_met: false,
    proof: false,
};

fn with_bands() -> AnalysisOptions {
    AnalysisOptions {
        bands: true,
        ..WITHOUT
    }
}

fn spread(number: &mut impl FnMut(f64, f64) -> f64, value: f64) -> Uncertain {
    Uncertain::band(value, value * number(0.5, 1.0), value * number(1.0, 2.0))
}

/// A design with several uncertain numbers, of several kinds, on a tilted base.
fn random_case(random: &mut ChaCha8Rng, index: usize) -> (Design, Requirements) {
    let mut number = |from: f64, to: f64| from + (to - from) * random.random::<f64>();
    let mut design = match index % 5 {
        0 => uniform(2, number(21.0, 26.0)),
        1 => arm(number(40.0, 70.0), number(40.0, 70.0)),
        2 => built(uniform(1, number(42.0, 48.0)), Arrangement::Two),
        3 => scissor(&[30.0, 24.0], &[34.0, 29.0], &[number(-20.0, 20.0)]),
        _ => built(uniform(2, number(22.0, 25.0)), Arrangement::Two),
    };
    match &mut design.joints.parts {
        Some(parts) => {
            parts.bearing.radial = spread(&mut number, 1.2e7);
            parts.bearing.axial = spread(&mut number, 3e6);
            design.joints.stiffness = Some(parts.pair_stiffness().unwrap());
        }
        None => {
            let mut joints = reference_joints();
            joints.axial = spread(&mut number, 3e6);
            joints.tilt = spread(&mut number, 300.0);
            design.joints.stiffness = Some(joints);
        }
    }
    design.material.youngs_modulus = spread(&mut number, 6.9e10);
    design.material.density = spread(&mut number, 2700.0);
    if index.is_multiple_of(2) {
        design.drives.layout = DriveLayout::SwingAndOpening;
        for drive in &mut design.drives.each {
            drive.stiffness = Some(spread(&mut number, 500.0));
        }
    }
    if index.is_multiple_of(3) {
        design.mount.support = Some(Support::Springs {
            at_radius: 0.2,
            axial: 1e7.into(),
            lateral: spread(&mut number, 1e6),
            tilt: 5e3.into(),
            twist: 5e3.into(),
        });
    }
    design.tool.mass = Some(spread(&mut number, 0.6));
    design.tool.centre_of_mass_radius = if index.is_multiple_of(4) { -0.09 } else { 0.16 };
    design.mount.axis = Vector3::new(number(-1.0, 1.0), number(-1.0, 1.0), number(-0.3, 1.0));
    let axis = design.mount.axis.normalize();
    let mut requirements = Requirements::without_brief(&design);
    requirements.region = Region::cap(axis, number(40.0, 70.0) * DEGREE);
    let mut vector = || Vector3::new(number(-9.0, 9.0), number(-9.0, 9.0), number(-9.0, 9.0));
    let none = LoadVector::Local(Vector3::zeros());
    requirements.loads = ["turns", "stands"]
        .map(|name| {
            let force = if name == "turns" {
                LoadVector::Local(vector())
            } else {
                LoadVector::World(vector())
            };
            let load = Load {
                on: LoadPlace::Tip,
                force,
                moment: none,
                frame: None,
            };
            LoadCase::single(name, load)
        })
        .to_vec();
    (design, requirements)
}

fn same<'a>(analysis: &'a Analysis, row: &Row) -> &'a Row {
    analysis
        .rows
        .iter()
        .find(|other| other.is_like(row))
        .unwrap()
}

fn value(analysis: &Analysis, row: &Row) -> f64 {
    *same(analysis, row).got.as_ref().unwrap()
}

/// The worse end of a row.
fn worse_end(row: &Row) -> f64 {
    let [low, high] = row.band.unwrap();
    if row.at_least() { low } else { high }
}

fn exceeds(row: &Row, there: f64) -> f64 {
    let end = worse_end(row);
    if row.at_least() {
        end / there - 1.0
    } else {
        there / end - 1.0
    }
}

#[test]
fn each_end_is_the_analysis_of_its_inputs_and_no_corner_is_worse() {
    let mut random = ChaCha8Rng::seed_from_u64(30);
    let (mut ends, mut corners) = (0_u64, 0_u64);
    let wanted = cases(6, 30);
    for index in 0..wanted as usize {
        let (design, requirements) = random_case(&mut random, index);
        let Ok(analysis) = analyse(&design, &requirements, &with_bands()) else {
            continue;
        };
        let banded: Vec<&Row> = analysis
            .rows
            .iter()
            .filter(|row| row.band.is_some())
            .collect();
        let mut known: Vec<(&Vec<(Input, f64)>, Analysis)> = Vec::new();
        for row in &banded {
            let (band, inputs) = (row.band.unwrap(), row.band_inputs.as_ref().unwrap());
            for (end, inputs) in band.iter().zip(inputs) {
                // Many rows have their ends at the same corner.
                if !known.iter().any(|(there, _)| *there == inputs) {
                    let there = design.with_inputs(inputs).unwrap();
                    assert!(there.uncertain_inputs().is_empty());
                    let again = analyse(&there, &requirements, &WITHOUT).unwrap();
                    known.push((inputs, again));
                }
                let (_, again) = known.iter().find(|(there, _)| *there == inputs).unwrap();
                let again = value(again, row);
                assert!(
                    (again / end - 1.0).abs() < 1e-9,
                    "{index} {:?} {end} {again}",
                    row.quantity
                );
                ends += 1;
            }
        }
        // Some corners of all, and of every row those next to its own.
        let box_of = design.uncertain_inputs();
        for _ in 0..6 {
            let corner: Vec<(Input, f64)> = box_of
                .iter()
                .map(|(input, band)| (*input, if random.random() { band.low } else { band.high }))
                .collect();
            let there = design.with_inputs(&corner).unwrap();
            let there = analyse(&there, &requirements, &WITHOUT).unwrap();
            for row in &banded {
                let beyond = exceeds(row, value(&there, row));
                assert!(
                    beyond < 5e-3,
                    "{index} {:?} {:?} {beyond} {corner:?}",
                    row.quantity,
                    row.load
                );
                corners += 1;
            }
        }
    }
    assert!(
        ends > 8 * wanted && corners > 22 * wanted,
        "{ends} {corners}"
    );
}

/// What a limit hangs on: with one number from there on and all others at their worst it holds,
/// a little before it does not, and no number is left out.
#[test]
fn a_number_that_suffices_makes_the_limit_hold_from_there_on() {
    let mut random = ChaCha8Rng::seed_from_u64(7);
    let (mut told, mut silent) = (0, 0);
    for index in 0..cases(3, 12) as usize {
        let (design, mut requirements) = random_case(&mut random, index);
        let Ok(free) = analyse(&design, &requirements, &with_bands()) else {
            continue;
        };
        let first = [Quantity::Sag, Quantity::Stiffness][index % 2];
        for quantity in [first, Quantity::HoldingTorque] {
            let row = free.row(quantity).unwrap();
            let (got, worst) = (*row.got.as_ref().unwrap(), worse_end(row));
            let share = 0.2 + 0.7 * random.random::<f64>();
            let limit = got + share * (worst - got);
            requirements.limits = Limits::of([(quantity, limit)]);
            let judged = analyse(&design, &requirements, &with_bands()).unwrap();
            let row = judged.row(quantity).unwrap();
            assert_eq!(row.met_at_nominal(), Some(true));
            assert_eq!(row.band_met(), Some(false));
            let worst = row.worst_end_inputs().unwrap();
            let holds = |which: Input, at: f64| {
                let inputs: Vec<(Input, f64)> = worst
                    .iter()
                    .map(|(input, value)| (*input, if *input == which { at } else { *value }))
                    .collect();
                let there = design.with_inputs(&inputs).unwrap();
                let there = analyse(&there, &requirements, &WITHOUT).unwrap();
                there.row(quantity).unwrap().met() == Some(true)
            };
            for (input, number) in design.uncertain_inputs() {
                let (_, bad) = worst.iter().find(|(other, _)| *other == input).unwrap();
                let found = row.suffices.iter().find(|one| one.input == input);
                let Some(found) = found else {
                    let ends = [number.low, number.high];
                    let other = ends.into_iter().filter(|end| end != bad);
                    if ends.contains(bad) {
                        other.for_each(|end| assert!(!holds(input, end), "{input:?}"));
                    }
                    silent += 1;
                    continue;
                };
                told += 1;
                let width = found.to - bad;
                assert_eq!(width.abs(), number.high - number.low);
                for share in [0.0, 0.13, 0.5, 0.81, 1.0] {
                    let at = found.from + share * (found.to - found.from);
                    assert!(holds(input, at), "{index} {quantity:?} {input:?} {share}");
                }
                assert!(!holds(input, found.from - 4e-4 * width), "{input:?}");
            }
        }
    }
    assert!(told > 5 && silent > 5, "{told} {silent}");
}

/// Tool and linkage balance each other: the worst end lies where one is heavy and the other light.
#[test]
fn masses_against_each_other_are_taken_against_each_other() {
    let mut design = uniform(2, 24.0);
    design.section = calotte::stock::Section::Rectangle {
        tangential: 0.020,
        radial: 0.016,
    };
    design.joints.stiffness = Some(reference_joints());
    design.joints.boss_diameter = 0.018;
    design.joints.mass = 0.03;
    design.drives.layout = DriveLayout::SwingAndOpening;
    design.material.density = Uncertain::band(2700.0, 2000.0, 3500.0);
    design.tool.mass = Some(Uncertain::band(0.8, 0.6, 1.0));
    design.tool.centre_of_mass_radius = -0.09;
    design.tool.tip_radius = 0.1;
    design.mount.axis = Vector3::x();
    let mut requirements = Requirements::without_brief(&design);
    requirements.region = Region::cap(Vector3::x(), 80.0 * DEGREE);
    let analysis = analyse(&design, &requirements, &with_bands()).unwrap();
    let row = analysis.row(Quantity::HoldingTorque).unwrap();
    assert!(row.band.unwrap()[1] >= 0.420, "{:?}", row.band);
    let [_, high] = row.band_inputs.as_ref().unwrap();
    let of = |wanted: Input| high.iter().find(|(input, _)| *input == wanted).unwrap().1;
    assert_eq!(of(Input::ToolMass), 1.0);
    assert_eq!(of(Input::Bars(calotte::design::Constant::Density)), 2000.0);
}
