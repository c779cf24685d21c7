//! The digits said to be sure are there, where nothing is said there are enough, and the
//! stiffnesses named are those that were made extreme.
//!
//! Two ways say what is right without an elimination of extreme numbers. An open arm is
//! statically determinate: its forces do not depend on stiffness at all, and its compliance is
//! a constant part and one for each stiffness of its joints over that stiffness, all of them
//! found at ordinary values. And in any linkage, all stiffnesses by a factor are all
//! displacements by its reciprocal and the same forces, whatever was rounded on the way.

mod common;

use calotte::analysis::map::{MapTask, NoValue, Variable, cell};
use calotte::analysis::ring::{RingResult, pose_at, solve_ring};
use calotte::analysis::{AnalysisError, AnalysisOptions, Requirements, analyse};
use calotte::brief::{Load, LoadCase, LoadPlace, LoadVector};
use calotte::design::{Arrangement, Design, DriveLayout, JointStiffness, NamedRelease, Support};
use calotte::elasticity::{DIGITS_ENOUGH, ElasticityError, FewDigits, Spring, ValidityNote};
use calotte::quantity::Quantity;
use common::*;
use nalgebra::{Matrix6, Vector3};
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;

const AZIMUTHS: [f64; 2] = [0.3, 2.1];

fn with(mut design: Design, [axial, radial, tilt]: [f64; 3]) -> Design {
    design.joints.stiffness = Some(JointStiffness {
        axial: axial.into(),
        radial: radial.into(),
        tilt: tilt.into(),
    });
    design.tool.mass = Some(0.8.into());
    design
}

fn pushed() -> Vec<LoadCase> {
    let load = Load {
        on: LoadPlace::Tip,
        force: LoadVector::Local(Vector3::new(3.0, 2.0, -4.0)),
        moment: LoadVector::ZERO,
        frame: None,
    };
    vec![LoadCase::single("pushed", load)]
}

fn ring(design: &Design, second: f64) -> Result<RingResult, ElasticityError> {
    solve_ring(&model(design), second, &AZIMUTHS, &pushed())
}

fn digits(few: Option<FewDigits>) -> i32 {
    few.map_or(DIGITS_ENOUGH, |few| few.digits) as i32
}

fn off(found: &[f64], right: &[f64]) -> f64 {
    let size = right.iter().map(|x| x * x).sum::<f64>().sqrt();
    let difference = found.iter().zip(right).map(|(a, b)| (a - b) * (a - b));
    if size > 0.0 {
        difference.sum::<f64>().sqrt() / size
    } else {
        0.0
    }
}

/// What is shown of a ring, in the units of a design `factor` times less stiff, each with its
/// name.
fn shown(ring: &RingResult, factor: f64) -> Vec<(&'static str, Vec<f64>)> {
    let block = |row, column| {
        let block = ring.compliance.fixed_view::<3, 3>(row, column) * factor;
        block.iter().copied().collect::<Vec<f64>>()
    };
    let mut all = vec![
        ("displacements", block(0, 0)),
        ("rotations", block(3, 3)),
        ("least stiffness", vec![ring.stiffness.least / factor]),
        ("contact stiffness", vec![ring.stiffness.radial / factor]),
        ("isotropy", vec![ring.stiffness.isotropy]),
    ];
    for point in &ring.points {
        all.push(("sag", (point.sag * factor).as_slice().to_vec()));
        let shift = point.sag_line.shift * factor;
        all.push(("shift by weight", shift.as_slice().to_vec()));
        for case in &point.cases {
            all.push(("deflection", vec![case.deflection * factor]));
            all.push(("shift by load", vec![case.centre_shift * factor]));
            all.push(("tilt by load", vec![case.tilt * factor]));
        }
        all.push(("safety", point.safety.iter().map(|s| s.factor).collect()));
        let bearing = point.bearing_safety.iter().map(|safety| safety.0);
        all.push(("bearings", bearing.collect()));
    }
    for load in &ring.joint_loads {
        all.push(("joint force", vec![load.axial, load.radial]));
        all.push(("joint moment", vec![load.tilt]));
    }
    all
}

/// Ordinary joints, and ever further from them, one stiffness at a time and two together.
fn ladder() -> Vec<[f64; 3]> {
    let mut all = Vec::new();
    for k in 0..=13 {
        let down = 10f64.powi(-k);
        all.push([3e6 * down, 6e6, 300.0]);
        all.push([3e6, 6e6 * down, 300.0]);
        all.push([3e6, 6e6, 300.0 * down]);
        all.push([3e6 * down, 1e9, 300.0]);
    }
    for k in 1..=6 {
        let up = 10f64.powi(k);
        all.push([3e6 * up, 6e6, 300.0]);
        all.push([3e6, 6e6 * up, 300.0]);
        all.push([3e6, 6e6, 300.0 * up]);
    }
    all
}

#[test]
fn the_digits_said_of_an_open_arm_are_there() {
    let second = 1.1;
    let compliance = |stiffness: [f64; 3]| -> Matrix6<f64> {
        ring(&with(arm(70.0, 55.0), stiffness), second)
            .unwrap()
            .compliance
    };
    let usual = [2e6, 4e6, 400.0];
    let whole = compliance(usual);
    let parts = [0, 1, 2].map(|k| {
        let mut soft = usual;
        soft[k] /= 8.0;
        (compliance(soft) - whole) * (usual[k] / 7.0)
    });
    let fixed = whole - parts[0] / usual[0] - parts[1] / usual[1] - parts[2] / usual[2];
    let ordinary = shown(&ring(&with(arm(70.0, 55.0), usual), second).unwrap(), 1.0);
    let (mut told, mut none) = (0, 0);
    for stiffness in ladder() {
        let found = match ring(&with(arm(70.0, 55.0), stiffness), second) {
            Ok(found) => found,
            Err(ElasticityError::NoDigits(_)) => {
                none += 1;
                continue;
            }
            Err(other) => panic!("{stiffness:?}: {other}"),
        };
        told += i32::from(found.few_digits.is_some());
        // What is taken for right is itself so to some 1e-11.
        let sure = 10f64.powi(-digits(found.few_digits)) + 1e-11;
        let right =
            fixed + parts[0] / stiffness[0] + parts[1] / stiffness[1] + parts[2] / stiffness[2];
        let error = off(found.compliance.as_slice(), right.as_slice());
        assert!(
            error < sure,
            "{stiffness:?}: {:?}, {error:.1e}",
            found.few_digits
        );
        let statics = ["safety", "joint force", "joint moment"];
        for ((name, values), (_, right)) in shown(&found, 1.0).iter().zip(&ordinary) {
            if statics.contains(name) {
                let error = off(values, right);
                assert!(
                    error < sure,
                    "{stiffness:?} {name}: {:?}, {error:.1e}",
                    found.few_digits
                );
            }
        }
    }
    assert!(told >= 20 && none >= 3, "{told} {none}");
}

fn stiffened(design: &Design, factor: f64) -> Design {
    let mut design = design.clone();
    let by = |value: &mut calotte::Uncertain| *value = (value.value * factor).into();
    if let Some(joint) = &mut design.joints.stiffness {
        for value in [&mut joint.axial, &mut joint.radial, &mut joint.tilt] {
            by(value);
        }
    }
    if let Some(parts) = &mut design.joints.parts {
        by(&mut parts.pin.material.youngs_modulus);
        by(&mut parts.pin.material.shear_modulus);
    }
    by(&mut design.material.youngs_modulus);
    by(&mut design.material.shear_modulus);
    for stiffness in design
        .drives
        .each
        .iter_mut()
        .flat_map(|drive| &mut drive.stiffness)
    {
        by(stiffness);
    }
    design
}

#[test]
fn the_digits_said_of_any_linkage_are_there() {
    let mut random = ChaCha8Rng::seed_from_u64(20);
    let (mut told, mut silent, mut none) = (0, 0, 0);
    for _ in 0..500 {
        let mut decades = |from: f64, to: f64| 10f64.powf(random.random_range(from..to));
        let bases = [
            arm(70.0, 55.0),
            uniform(1, 47.0),
            uniform(2, 23.5),
            uniform(4, 11.75),
            uniform(8, 6.0),
            scissor(&[30.0, 28.0], &[31.0, 29.0], &[20.0]),
            built(uniform(2, 23.5), Arrangement::Two),
            built(arm(70.0, 55.0), Arrangement::Two),
        ];
        let base = bases[(decades(0.0, 0.903) as usize - 1).min(7)].clone();
        let stiffness = [3e6, 6e6, 300.0].map(|usual| {
            if decades(0.0, 1.0) > 3.0 {
                decades(-6.0, 12.0)
            } else {
                usual
            }
        });
        let mut design = with(base, stiffness);
        if decades(0.0, 1.0) > 4.0 {
            let stiffness = decades(-5.0, 9.0);
            for drive in &mut design.drives.each {
                drive.stiffness = Some(stiffness.into());
            }
        }
        if decades(0.0, 1.0) > 6.0 {
            let factor = decades(-6.0, 3.0);
            design.material.youngs_modulus = (design.material.youngs_modulus.value * factor).into();
            design.material.shear_modulus = (design.material.shear_modulus.value * factor).into();
        }
        let second = 0.4 + 1.6 * decades(-3.0, 0.0);
        let found = match ring(&design, second) {
            Ok(found) => found,
            Err(_) => {
                none += 1;
                continue;
            }
        };
        let sure = 10f64.powi(-digits(found.few_digits));
        match found.few_digits {
            Some(_) => told += 1,
            None => silent += 1,
        }
        for factor in [3.0, 7.0, 1.3] {
            let Ok(again) = ring(&stiffened(&design, factor), second) else {
                continue;
            };
            for ((name, values), (_, scaled)) in
                shown(&found, 1.0).iter().zip(&shown(&again, factor))
            {
                let error = off(values, scaled);
                assert!(
                    error < sure,
                    "{name}: {:?}, off by {error:.1e}: {stiffness:?}, drives {:?}, at {second}",
                    found.few_digits,
                    design.drives.each
                );
            }
        }
    }
    assert!(
        told > 100 && silent > 100 && none > 20,
        "{told} {silent} {none}"
    );
}

fn options() -> AnalysisOptions {
    AnalysisOptions {
        proof: false,
        rings: 9,
        around: 4,
        ..AnalysisOptions::default()
    }
}

fn analysed(design: &Design) -> Result<Option<FewDigits>, AnalysisError> {
    let requirements = Requirements::without_brief(design);
    let found = analyse(design, &requirements, &options())?;
    assert!(!found.rings.is_empty());
    Ok(found.notes.iter().find_map(|note| match note {
        ValidityNote::FewDigits(few) => Some(*few),
        _ => None,
    }))
}

#[test]
fn an_analysis_says_how_many_digits_are_sure_and_which_stiffness_takes_the_others() {
    type Is = fn(Spring) -> bool;
    let soft: [([f64; 3], Is); 3] = [
        ([1e-2, 6e6, 300.0], |s| s == Spring::JointAxial(Some(1e-2))),
        ([3e6, 1e-1, 300.0], |s| s == Spring::JointRadial(Some(1e-1))),
        ([3e6, 6e6, 1e-4], |s| s == Spring::JointTilt(Some(1e-4))),
    ];
    for base in [arm(70.0, 55.0), uniform(2, 23.5)] {
        for (stiffness, is) in soft {
            let few = analysed(&with(base.clone(), stiffness)).unwrap().unwrap();
            assert!(few.digits < DIGITS_ENOUGH, "{stiffness:?}");
            assert!(is(few.extremes.unwrap().soft), "{stiffness:?}: {few:?}");
        }
    }
    let mut held = with(uniform(2, 23.5), [3e6, 6e6, 300.0]);
    held.drives.each[1].stiffness = Some(1e-4.into());
    held.drives.each[0].stiffness = Some(500.0.into());
    let few = analysed(&held).unwrap().unwrap();
    assert_eq!(few.extremes.unwrap().soft, Spring::Drives(1e-4));
    // A rigid drive that turns both joints is a constraint, and no spring beside the other.
    held.drives.layout = DriveLayout::SwingAndOpening;
    held.drives.each[0].stiffness = None;
    let few = analysed(&held).unwrap().unwrap();
    assert_eq!(few.extremes.unwrap().soft, Spring::Drives(1e-4));
    held.drives.each[1].stiffness = Some(500.0.into());
    assert_eq!(analysed(&held).unwrap(), None);
    let few = analysed(&with(uniform(2, 23.5), [1e12, 6e6, 300.0]))
        .unwrap()
        .unwrap();
    let extremes = few.extremes.unwrap();
    assert_eq!(extremes.stiff, Spring::JointAxial(Some(1e12)), "{few:?}");
}

#[test]
fn no_ring_without_a_word() {
    for base in [arm(70.0, 55.0), uniform(2, 23.5), uniform(4, 11.75)] {
        let error = analysed(&with(base, [1e-6, 1e9, 300.0])).unwrap_err();
        let AnalysisError::Elasticity(ElasticityError::NoDigits(extremes)) = error else {
            panic!("{error}");
        };
        assert_eq!(extremes.soft, Spring::JointAxial(Some(1e-6)));
        assert!(extremes.ratio > 1e11, "{extremes:?}");
    }
    // Nothing at all holds this one: that is no matter of digits.
    let mut loose = uniform(2, 23.5);
    let linkage = model(&loose).kinematics.linkage.clone();
    loose.joints.releases = linkage
        .joints
        .iter()
        .map(|joint| NamedRelease {
            joint: joint.name.clone(),
            axial: true,
            tilt: true,
        })
        .collect();
    let stiff = with(loose.clone(), [3e6, 6e6, 300.0]);
    for design in [loose, stiff] {
        assert_eq!(ring(&design, 1.1).unwrap_err(), ElasticityError::Singular);
    }
}

#[test]
fn ordinary_joints_rigid_ones_and_what_takes_no_digits_are_not_spoken_of() {
    let usual = [3e6, 6e6, 300.0];
    let mut designs = vec![arm(70.0, 55.0)];
    designs.extend([1, 2, 4, 8].map(|stages| uniform(stages, 47.0 / stages as f64)));
    for design in designs {
        assert_eq!(analysed(&design).unwrap(), None);
        for holding in [None, Some(50.0), Some(2000.0)] {
            let mut held = with(design.clone(), usual);
            for drive in &mut held.drives.each {
                drive.stiffness = holding.map(Into::into);
            }
            assert_eq!(analysed(&held).unwrap(), None);
        }
    }
    assert_eq!(
        analysed(&built(uniform(2, 23.5), Arrangement::Two)).unwrap(),
        None
    );
    // A support a million million times softer than the joints is added, not eliminated.
    let mut soft = with(uniform(2, 23.5), usual);
    soft.mount.support = Some(Support::Springs {
        at_radius: 0.15,
        axial: 1e-6.into(),
        lateral: 1e-6.into(),
        tilt: 1e-6.into(),
        twist: 1e-6.into(),
    });
    assert_eq!(analysed(&soft).unwrap(), None);
}

#[test]
fn a_cell_of_a_map_says_it_too() {
    let asked = |design: &Design| {
        let task = MapTask {
            quantities: vec![Quantity::Stiffness],
            dimensionless: false,
            at_polar: None,
            requirements: Requirements::without_brief(design),
        };
        cell(design, &[(Variable::Stages, 2.0)], &task)
    };
    let usual = asked(&with(uniform(2, 23.5), [3e6, 6e6, 300.0]));
    assert!(
        usual.few_digits.is_none() && usual.reason.is_none(),
        "{usual:?}"
    );
    let few = asked(&with(uniform(2, 23.5), [3e6, 6e6, 1e-4]));
    assert!(few.few_digits.unwrap().digits < DIGITS_ENOUGH, "{few:?}");
    let none = asked(&with(uniform(2, 23.5), [1e-6, 1e9, 300.0]));
    assert!(none.values[0].real.is_none());
    let Some(NoValue::NotSolved(reason)) = none.reason else {
        panic!("{none:?}");
    };
    assert!(reason.contains("1e-6 N/m"), "{reason}");
}

#[test]
fn a_pose_by_itself_is_refused_too() {
    let design = with(uniform(2, 23.5), [1e-6, 1e9, 300.0]);
    let model = model(&design);
    let pose = pose_at(&model, 1.1, 0.3).unwrap();
    let solved = model.structure.solve(&pose.configuration, &pose.frame);
    assert!(matches!(solved, Err(ElasticityError::NoDigits(_))));
}
