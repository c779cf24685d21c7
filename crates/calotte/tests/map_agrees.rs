//! A map's cell at a design itself, its analysis and the search say the same of it, with
//! keep-outs in the way too.

mod common;

use calotte::analysis::map::{MapTask, cell};
use calotte::analysis::{AnalysisOptions, Requirements, Row, analyse};
use calotte::brief::{KeepOut, KeepOutShape, Limits, LoadVector};
use calotte::design::{Arrangement, Design, DriveLayout};
use calotte::quantity::Quantity;
use calotte::search::evaluate;
use calotte::sphere::Region;
use common::brief::brief;
use common::*;
use nalgebra::Vector3;
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;

const OPTIONS: AnalysisOptions = AnalysisOptions {
    rings: 25,
    around: 12,
    bands: false,
    bands_only_if_met: false,
    proof: false,
};

/// A design and what is asked of it; of every third one parts move beside a post.
fn random_case(random: &mut ChaCha8Rng, index: usize) -> (Design, Requirements) {
    let mut number = |from: f64, to: f64| from + (to - from) * random.random::<f64>();
    let mut design = match index % 3 {
        0 => built(uniform(1, number(40.0, 48.0)), Arrangement::Two),
        1 => arm(number(40.0, 70.0), number(40.0, 70.0)),
        _ => scissor(
            &[number(24.0, 30.0), number(20.0, 26.0)],
            &[number(28.0, 34.0), number(22.0, 30.0)],
            &[number(-20.0, 20.0)],
        ),
    };
    if design.joints.stiffness.is_none() {
        design.joints.stiffness = Some(reference_joints());
    }
    if index.is_multiple_of(2) && index % 3 != 1 {
        design.drives.layout = DriveLayout::SwingAndOpening;
    }
    design.tool.mass = Some(0.5.into());
    design.tool.centre_of_mass_radius = 0.12;
    let mut brief = brief();
    brief.region = Region::cap(Vector3::z(), number(40.0, 80.0) * DEGREE);
    brief.coverage_min = 0.5;
    brief.limits = Limits::of([
        (Quantity::LciMin, number(0.0, 0.2)),
        (Quantity::TransmissionAngle, number(10.0, 20.0) * DEGREE),
        (Quantity::Sag, 2e-3),
    ]);
    let mut force = || Vector3::new(number(-9.0, 9.0), number(-9.0, 9.0), number(-9.0, 9.0));
    let vector = force();
    brief.loads[0].loads[0].force = if index.is_multiple_of(2) {
        LoadVector::Local(vector)
    } else {
        LoadVector::World(vector)
    };
    if index.is_multiple_of(3) {
        let aside = number(0.2, 0.3);
        brief.keep_outs = vec![KeepOut {
            name: "post".to_string(),
            shape: KeepOutShape::Cylinder {
                from: Vector3::new(aside, 0.0, -0.3),
                to: Vector3::new(aside, 0.0, number(0.0, 0.2)),
                radius: 0.03,
            },
            tool_may_touch: false,
        }];
    }
    (design, Requirements::from_brief(&brief))
}

/// The worst of a quantity over its rows, one for each load case.
fn of_rows(rows: &[Row], quantity: Quantity) -> Option<f64> {
    let values = rows.iter().filter(|row| row.quantity == quantity);
    let values = values.filter_map(|row| row.got.clone().ok());
    values.reduce(|a, b| {
        if quantity.more_is_better() {
            a.min(b)
        } else {
            a.max(b)
        }
    })
}

fn off(one: f64, other: f64) -> f64 {
    (one - other).abs() / one.abs().max(other.abs()).max(1e-12)
}

#[test]
fn a_cell_of_a_map_says_what_the_analysis_says() {
    let mut random = ChaCha8Rng::seed_from_u64(37);
    let mapped: Vec<Quantity> = Quantity::ROWS
        .into_iter()
        .filter(|quantity| Quantity::MAPS.contains(quantity))
        .collect();
    let (mut compared, mut among, mut searched, mut rolled) = (0, 0, 0, 0);
    for index in 0..30 {
        let (design, requirements) = random_case(&mut random, index);
        let Ok(analysis) = analyse(&design, &requirements, &OPTIONS) else {
            continue;
        };
        let task = |quantities: &[Quantity]| MapTask {
            requirements: requirements.clone(),
            quantities: quantities.to_vec(),
            at_polar: None,
            dimensionless: false,
        };
        let all = cell(&design, &[], &task(&mapped));
        let coverage = of_rows(&analysis.rows, Quantity::Coverage).unwrap();
        let mapped_share = all.coverage.unwrap();
        assert!(
            off(mapped_share, coverage) < 1e-9,
            "{index}: {mapped_share} and {coverage}"
        );
        among += usize::from(analysis.surroundings.is_some() && coverage > 0.0);
        for (quantity, value) in mapped.iter().zip(&all.values) {
            let row = of_rows(&analysis.rows, *quantity);
            assert_eq!(
                row.is_some(),
                value.real.is_some(),
                "{index} {quantity:?}: {row:?}"
            );
            let (Some(row), Some(value)) = (row, value.real) else {
                continue;
            };
            assert!(
                off(row, value) < 1e-9,
                "{index} {quantity:?}: {row} and {value}"
            );
            compared += 1;
        }
        // By itself it is looked for on its own rings.
        for quantity in [Quantity::Stiffness, Quantity::Sag] {
            let alone = cell(&design, &[], &task(&[quantity])).values[0].real;
            let row = of_rows(&analysis.rows, quantity);
            let near = match (alone, row) {
                (Some(alone), Some(row)) => off(alone, row) < 1e-3,
                (alone, row) => alone == row,
            };
            assert!(near, "{index} {quantity:?}: {alone:?} and {row:?}");
        }
        // The search looks at fewer directions, so that it finds nothing worse.
        let subject = requirements.subject(&design).unwrap();
        let verdict = evaluate(&subject, &requirements);
        for (quantity, value) in verdict.values.iter() {
            if quantity == Quantity::ToolRollRange {
                let row = of_rows(&analysis.rows, quantity).unwrap();
                assert!(off(value, row) < 1e-9, "{index}: roll {value} and {row}");
                rolled += 1;
            }
            let found = of_rows(&analysis.rows, quantity).filter(|_| verdict.is_whole());
            if let Some(row) = found.filter(|_| quantity.is_of_directions()) {
                let no_worse = if quantity.more_is_better() {
                    value >= row * (1.0 - 1e-9)
                } else {
                    value <= row * (1.0 + 1e-9)
                };
                assert!(no_worse, "{index} {quantity:?}: {value} and {row}");
                searched += 1;
            }
        }
    }
    assert!(compared > 150, "{compared} values compared");
    assert!(among >= 5, "{among} designs among keep-outs");
    assert!(rolled > 15, "{rolled} ranges of roll of the search");
    assert!(searched > 50, "{searched} values of the search");
}
