//! Bars with angles of their own: the model of a real linkage takes them as they are, all that is
//! computed in closed form takes the mean of left and right, and the difference is what the
//! words of the reports say.

mod common;

use std::collections::BTreeMap;

use calotte::analysis::{AnalysisOptions, Requirements, analyse};
use calotte::brief::Kept;
use calotte::design::{Design, Family, ScissorLinkage};
use calotte::elasticity::ValidityNote;
use calotte::family::parameters::{Dimension, PairedAngle};
use calotte::measurement::{PhysicalModel, calibrated, pointing_error};
use calotte::search::is_kept;
use common::*;

/// The bench of two stages, with bars of these angles.
fn with(sides: &[(PairedAngle, [f64; 2])]) -> Design {
    let mut linkage = ScissorLinkage {
        proximal_arcs: vec![21.5 * DEGREE, 22.0 * DEGREE],
        distal_arcs: vec![21.5 * DEGREE, 23.0 * DEGREE],
        bends: vec![3.0 * DEGREE],
        assembly_modes: vec![1, 1],
        sides: BTreeMap::new(),
    };
    for (angle, values) in sides {
        linkage.state(*angle, values.map(|value| value * DEGREE));
    }
    let mut design = scissor(&[21.5, 22.0], &[21.5, 23.0], &[3.0]);
    design.family = Family::scissor_linkage(linkage);
    design
}

const ALL: [(PairedAngle, [f64; 2]); 5] = [
    (PairedAngle::Proximal(0), [21.75, 21.25]),
    (PairedAngle::Distal(0), [21.4, 21.6]),
    (PairedAngle::Proximal(1), [22.1, 21.9]),
    (PairedAngle::Bend(0), [2.7, 3.3]),
    (PairedAngle::Distal(1), [23.05, 22.95]),
];

#[test]
fn the_model_of_a_real_linkage_has_each_bar_as_it_is() {
    let model = PhysicalModel::new(&with(&ALL)).unwrap();
    let nominal = model.nominal();
    for (name, degrees) in [
        ("base-left.first_arc", 21.75),
        ("base-right.first_arc", 21.25),
        ("bar-left-1.first_arc", 21.4),
        ("bar-right-1.first_arc", 21.6),
        ("bar-left-1.second_arc", 22.1),
        ("bar-right-1.second_arc", 21.9),
        ("bar-left-1.bend", 2.7),
        ("bar-right-1.bend", 3.3),
        ("bar-left-2.first_arc", 23.05),
        ("bar-right-2.first_arc", 22.95),
    ] {
        let value = nominal[model.index_of(name).unwrap()];
        assert!((value - degrees * DEGREE).abs() < 1e-15, "{name} {value}");
    }
}

/// What closed forms give is, bit for bit, that of the linkage whose both sides have the mean;
/// only the note tells the two apart.
#[test]
fn an_analysis_takes_the_mean_and_notes_the_greatest_difference() {
    let of = |design: &Design| {
        let requirements = Requirements::without_brief(design);
        analyse(design, &requirements, &AnalysisOptions::default()).unwrap()
    };
    let (own, mean) = (of(&with(&ALL)), of(&with(&[])));
    assert_eq!(format!("{:?}", own.rows), format!("{:?}", mean.rows));
    assert_eq!(format!("{:?}", own.rings), format!("{:?}", mean.rings));
    let (mut notes, differ): (Vec<_>, Vec<_>) =
        (own.notes.into_iter()).partition(|note| !matches!(note, ValidityNote::SidesDiffer(_)));
    assert_eq!(notes, mean.notes);
    notes = differ;
    let [ValidityNote::SidesDiffer(most)] = &notes[..] else {
        panic!("{notes:?}")
    };
    assert_eq!(most.bars, ["bar-left-1", "bar-right-1"]);
    assert_eq!(most.angle.name(), "bend");
    assert!((most.size() - 0.6 * DEGREE).abs() < 1e-12);
}

/// "The tool of the real linkage points elsewhere, and its range may end earlier."
#[test]
fn what_the_mean_leaves_out_is_what_the_words_say() {
    for one in &ALL {
        let design = with(&[*one]);
        let difference = (one.1[0] - one.1[1]).abs() * DEGREE;
        let model = PhysicalModel::new(&design).unwrap();
        let mean = PhysicalModel::new(&with(&[])).unwrap().nominal();
        let readings = |opening: f64| model_readings(&design, opening);
        let off = |opening: f64| pointing_error(&model, &mean, [readings(opening)]);
        let middle = off(60.0 * DEGREE).unwrap().max;
        assert!(middle > 0.02 * difference, "{one:?} {middle}");
    }
    let shorter = PhysicalModel::new(&with(&[(PairedAngle::Distal(0), [21.0, 22.0])])).unwrap();
    let mean = PhysicalModel::new(&with(&[])).unwrap();
    let closes = |model: &PhysicalModel, opening: f64| {
        let readings = model_readings(&with(&[]), opening);
        model.sensor(readings, [0.0; 2], &model.nominal()).is_some()
    };
    let mut ends = (1..40_000)
        .map(|step| f64::from(step) * 0.004 * DEGREE)
        .filter(|opening| closes(&mean, *opening) && !closes(&shorter, *opening));
    assert!(ends.next().is_some());
}

/// Readings of the active joints at an opening, the swing at 0.
fn model_readings(design: &Design, opening: f64) -> [f64; 2] {
    let kinematics = calotte::kinematics::Kinematics::new(design).unwrap();
    kinematics.active_from_mechanism([0.0, opening])
}

/// A design with the values found is the prototype: its model has them as nominal values, its
/// lists the means; where nothing differs it is bit for bit the design with the means.
#[test]
fn what_was_found_of_each_bar_stays_with_it() {
    let design = with(&[]);
    let model = PhysicalModel::new(&design).unwrap();
    let mut values = model.nominal();
    let bars: Vec<usize> = (0..values.len())
        .filter(|index| {
            let name = &model.parameters[*index].name;
            name.starts_with("ba")
        })
        .collect();
    assert_eq!(bars.len(), 10);
    for (place, index) in bars.iter().enumerate() {
        values[*index] += 1e-3 * (place as f64 - 3.7);
    }
    let found = calibrated(&design, &model, &values, &[]);
    let again = PhysicalModel::new(&found).unwrap().nominal();
    for index in &bars {
        assert_eq!(
            again[*index], values[*index],
            "{}",
            model.parameters[*index].name
        );
    }
    assert_eq!(found.family.side_differences().len(), 5);
    let same = calibrated(&design, &model, &model.nominal(), &[]);
    assert_eq!(same, design);
    assert!(same.family.side_differences().is_empty());
    // Both sides found alike are one value of the list.
    let mut alike = model.nominal();
    for name in ["base-left.first_arc", "base-right.first_arc"] {
        alike[model.index_of(name).unwrap()] = 0.377;
    }
    let found = calibrated(&design, &model, &alike, &[]);
    assert_eq!(found.family.branch_arcs()[0], 0.377);
    assert!(found.family.side_differences().is_empty());
}

/// What is varied is varied on both sides alike; what is kept of a prototype is kept with its
/// sides.
#[test]
fn changed_angles_are_alike_and_kept_ones_are_not() {
    let own = with(&ALL);
    let changed = |dimension: Dimension| {
        let mut design = own.clone();
        assert!(design.family.set(dimension, 0.3));
        design.family.side_differences().len()
    };
    assert_eq!(changed(Dimension::Arc), 1, "the bend stays");
    assert_eq!(changed(Dimension::Bend), 4, "the arcs stay");
    let mut stages = own.family.clone();
    assert!(stages.set(Dimension::Stages, 3.0));
    assert!(stages.side_differences().is_empty());

    let mut next = Family::scissor_linkage(ScissorLinkage::uniform(3, 0.35));
    next.keep(false, &[1], &own.family);
    let kept = Kept {
        design: own.clone(),
        ground: false,
        base: false,
        bars: vec![1],
        space: None,
    };
    let differ = next.side_differences();
    assert_eq!(differ.len(), 3);
    assert!(differ.iter().all(|one| is_kept(&kept, &one.bars[1])));
    assert_eq!(next.same_parts(&own.family, 1e-9), (false, vec![1]));
    // The same means are not the same bars.
    let mean = with(&[]);
    assert_eq!(mean.family.same_parts(&own.family, 1e-9), (false, vec![]));
}
