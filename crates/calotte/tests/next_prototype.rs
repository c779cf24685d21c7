//! The next prototype: what is kept stays as it is, what was measured is believed, the rest is
//! chosen.

mod common;

use calotte::Uncertain;
use calotte::analysis::Requirements;
use calotte::brief::{Brief, FamilyName, Kept, Range};
use calotte::built::Built;
use calotte::design::{
    Arrangement, Design, DriveLayout, EachFamily, Family, FiveBar, ScissorLinkage, TwoArcArm,
};
use calotte::kinematics::Kinematics;
use calotte::measurement::weights::WeightParameter;
use calotte::measurement::{PhysicalModel, ToldByWeights, calibrated};
use calotte::quantity::Quantity;
use calotte::search::{
    Depth, Grid, KeptError, as_measured, complete_design, is_kept, islands, narrowed, precheck,
};
use calotte::stock::Bearing;
use calotte::stock::Section;
use common::brief::brief;
use common::*;
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;

fn kept(design: &Design, base: bool, bars: &[usize]) -> Kept {
    Kept {
        design: design.clone(),
        ground: base,
        base,
        bars: bars.to_vec(),
        space: None,
    }
}

/// Every candidate of a brief as a complete design, those that cannot be built as words.
fn all(brief: &Brief) -> Vec<Result<Design, String>> {
    let grid = Grid::new(brief);
    let requirements = Requirements::from_brief(brief);
    (0..grid.groups.len())
        .flat_map(|group| grid.group(group))
        .map(|candidate| complete_design(brief, &requirements, &candidate))
        .collect()
}

/// Proximal arcs, distal arcs and bends of a scissor linkage; both arcs of an arm.
struct Arcs;

impl EachFamily<'_> for Arcs {
    type Answer = (Vec<f64>, Vec<f64>, Vec<f64>);
    fn scissor_linkage(self, s: &ScissorLinkage) -> Self::Answer {
        (
            s.proximal_arcs.clone(),
            s.distal_arcs.clone(),
            s.bends.clone(),
        )
    }
    fn two_arc_arm(self, arm: &TwoArcArm) -> Self::Answer {
        (arm.arcs.to_vec(), Vec::new(), Vec::new())
    }
    fn five_bar(self, five_bar: &FiveBar) -> Self::Answer {
        panic!("{five_bar:?}")
    }
}

fn arcs(design: &Design) -> (Vec<f64>, Vec<f64>, Vec<f64>) {
    design.family.each(Arcs)
}

/// How the stages of a scissor linkage are assembled.
struct Modes;

impl EachFamily<'_> for Modes {
    type Answer = Vec<i8>;
    fn scissor_linkage(self, scissor: &ScissorLinkage) -> Vec<i8> {
        scissor.assembly_modes.clone()
    }
    fn two_arc_arm(self, _: &TwoArcArm) -> Vec<i8> {
        Vec::new()
    }
    fn five_bar(self, _: &FiveBar) -> Vec<i8> {
        Vec::new()
    }
}

/// A prototype of two stages with arcs that no step of the brief gives.
fn prototype() -> Design {
    let mut design = scissor(&[21.3, 20.7], &[22.1, 19.9], &[7.0]);
    design.joint_radius = 0.147;
    design.drives.layout = DriveLayout::SwingAndOpening;
    design.drives.range.first = Some([-2.0, 2.0]);
    design.joints.stiffness = Some(reference_joints());
    design
}

#[test]
fn a_prototype_kept_whole_is_the_only_choice() {
    let design = prototype();
    let narrow = narrowed(&brief(), &kept(&design, true, &[1, 2])).unwrap();
    let found = all(&Brief {
        joint_radius: narrow.joint_radius,
        kept: narrow.kept.clone().map(|kept| Kept {
            space: None,
            ..kept
        }),
        ..narrow
    });
    assert_eq!(found.len(), 1);
    let found = found[0].as_ref().unwrap();
    assert_eq!(found.family, design.family);
    assert_eq!(found.section, design.section);
    assert_eq!(found.material, design.material);
    assert_eq!(found.joints, design.joints);
    assert_eq!(found.drives, design.drives);
    assert_eq!(found.mount, design.mount);
    assert_eq!(found.joint_radius, design.joint_radius);
}

#[test]
fn kept_bars_stay_and_the_others_take_every_step() {
    let design = prototype();
    let narrow = narrowed(&brief(), &kept(&design, false, &[1])).unwrap();
    // One stage has no bar that crosses.
    assert_eq!(narrow.choice.stages, vec![2, 3]);
    let mut free = Vec::new();
    for found in all(&Brief {
        kept: narrow.kept.clone().map(|kept| Kept {
            space: None,
            ..kept
        }),
        ..narrow
    }) {
        let (proximal, distal, bends) = arcs(found.as_ref().unwrap());
        assert_eq!(distal[0], 22.1 * DEGREE);
        assert_eq!(proximal[1], 20.7 * DEGREE);
        assert_eq!(bends[0], 7.0 * DEGREE);
        assert!(proximal[0] == distal[1], "the base bars are new");
        if distal.len() == 2 {
            free.push((proximal[0] / DEGREE).round() as i32);
        }
    }
    free.sort_unstable();
    free.dedup();
    assert_eq!(free, (14..=26).collect::<Vec<_>>());
}

#[test]
fn parts_that_cannot_be_kept_are_named() {
    let design = prototype();
    assert_eq!(
        narrowed(&brief(), &kept(&design, false, &[3])),
        Err(KeptError::NoSuchBar { bar: 3, count: 2 })
    );
    let mut one_stage = brief();
    one_stage.choice.stages = vec![1];
    let error = narrowed(&one_stage, &kept(&design, false, &[1])).unwrap_err();
    assert!(
        error.to_string().contains("2 or more are required"),
        "{error}"
    );
    let error = narrowed(&one_stage, &kept(&design, true, &[2])).unwrap_err();
    assert!(error.to_string().contains("so 2 is required"), "{error}");
    // The base alone goes with any number of stages.
    assert!(narrowed(&one_stage, &kept(&design, true, &[])).is_ok());
    let mut arms = brief();
    arms.choice
        .families
        .retain(|family| *family == calotte::brief::FamilyName::TWO_ARC_ARM);
    assert_eq!(
        narrowed(&arms, &kept(&design, true, &[])),
        Err(KeptError::Family("scissor-linkage"))
    );
    // What is kept must leave every limit something to be judged by.
    let mut unrated = design.clone();
    let mut parts = joint_parts();
    parts.bearing.static_rating = None;
    unrated.joints.parts = Some(parts.clone());
    let mut rated = brief();
    rated.limits.set(Quantity::BearingStaticSafety, Some(2.0));
    assert_eq!(
        narrowed(&rated, &kept(&unrated, false, &[1])),
        Err(KeptError::Rating(parts.bearing.name))
    );
    assert!(narrowed(&brief(), &kept(&unrated, false, &[1])).is_ok());
    let mut unknown = design.clone();
    unknown.section = Section::Custom {
        axial: 1e6,
        bending_in_plane: 60.0,
        bending_out_of_plane: 60.0,
        torsional: 45.0,
        shear_in_plane: 1e5,
        shear_out_of_plane: 1e5,
        mass_per_length: 0.2,
        radial: 6e-3,
        tangential: 12e-3,
    };
    assert_eq!(
        narrowed(&brief(), &kept(&unknown, false, &[1])),
        Err(KeptError::Stress)
    );
    // Nothing kept leaves the brief as it was.
    let free = narrowed(&brief(), &kept(&design, false, &[])).unwrap();
    assert_eq!(free.choice, brief().choice);
}

#[test]
fn an_arm_keeps_either_arc() {
    let design = arm(63.3, 47.7);
    for (base, bars, own) in [(true, vec![], 0), (false, vec![1], 1)] {
        let narrow = narrowed(&brief(), &kept(&design, base, &bars)).unwrap();
        let found = all(&Brief {
            kept: narrow.kept.clone().map(|kept| Kept {
                space: None,
                ..kept
            }),
            ..narrow
        });
        // 30° to 80° in steps of 10° for the other.
        assert_eq!(found.len(), 6);
        for found in found {
            let (arcs, _, _) = arcs(&found.unwrap());
            assert_eq!(arcs[own], [63.3 * DEGREE, 47.7 * DEGREE][own]);
        }
    }
    assert!(is_kept(&kept(&design, true, &[]), "first-arc"));
    assert!(!is_kept(&kept(&design, true, &[]), "second-arc"));
}

/// Bars lie in layers counted from the innermost; with one stage more the innermost moves
/// inward so that the kept ones stay, by the built geometry's own radii.
#[test]
fn kept_bars_of_a_built_linkage_stay_at_their_radii() {
    let design = built(prototype(), Arrangement::Nested);
    let mut asked = brief();
    asked.layers = design.layers.clone();
    asked.choice.stages = vec![2, 3];
    asked.joint_radius = Range {
        from: 0.08,
        to: 0.16,
        step: 0.01,
    };
    let narrow = narrowed(&asked, &kept(&design, true, &[1])).unwrap();
    let radii = |design: &Design| -> Vec<(String, f64)> {
        let kinematics = Kinematics::new(design).unwrap();
        let built = Built::new(design, &kinematics.linkage).unwrap();
        let names = kinematics
            .linkage
            .bodies
            .iter()
            .map(|body| body.name.clone());
        names.zip(built.radii.iter().copied()).collect()
    };
    let old = radii(&design);
    let mut seen = [false; 4];
    for found in all(&narrow) {
        let found = found.unwrap();
        let stages = arcs(&found).1.len();
        seen[stages] = true;
        assert_eq!(stages == 3, found.joint_radius < design.joint_radius - 1e-6);
        for (name, radius) in radii(&found) {
            if is_kept(narrow.kept.as_ref().unwrap(), &name) {
                let (_, own) = old.iter().find(|(own, _)| *own == name).unwrap();
                assert!(
                    (radius - own).abs() < 1e-12,
                    "{name}: {radius} against {own}"
                );
            }
        }
    }
    assert!(seen[2] && seen[3]);
    // No room further in: three stages are refused in words, two are not.
    asked.joint_radius.from = 0.14;
    let narrow = narrowed(&asked, &kept(&design, true, &[1])).unwrap();
    let (good, bad): (Vec<_>, Vec<_>) = all(&narrow).into_iter().partition(Result::is_ok);
    assert!(!good.is_empty() && !bad.is_empty());
    for error in bad {
        assert!(error.unwrap_err().contains("outside the space"));
    }
}

fn told(parameter: WeightParameter, value: f64, standard_error: f64) -> ToldByWeights {
    ToldByWeights {
        parameter,
        value,
        standard_error,
    }
}

/// A factor f ± s becomes the value times f, its ends two standard errors of the logarithm
/// away: f · exp(∓2 s/f).
#[test]
fn what_was_measured_replaces_value_and_band() {
    let design = prototype();
    let mut asked = brief();
    let other = asked.choice.materials[0].clone();
    let own = design.material.name.clone();
    asked.choice.materials = vec![design.material.clone(), other];
    asked.choice.materials[1].name = "something else".to_string();
    let list = [
        told(WeightParameter::BarModulus, 0.6, 0.03),
        told(WeightParameter::JointTilt, 0.5, 0.05),
        told(WeightParameter::Play, 1e-4, 1e-5),
    ];
    let model = PhysicalModel::new(&design).unwrap();
    let found = calibrated(&design, &model, &model.nominal(), &list);
    let measured = as_measured(&asked, &found, &list);
    let close = |band: Uncertain, value: f64, f: f64, s: f64| {
        for (got, expected) in [
            (band.value, value * f),
            (band.low, value * f * (-2.0 * s / f).exp()),
            (band.high, value * f * (2.0 * s / f).exp()),
        ] {
            assert!(
                (got / expected - 1.0).abs() < 1e-12,
                "{got} against {expected}"
            );
        }
    };
    let [first, second] = [0, 1].map(|i| measured.choice.materials[i].clone());
    assert_eq!(first.name, own);
    close(
        first.youngs_modulus,
        design.material.youngs_modulus.value,
        0.6,
        0.03,
    );
    close(
        first.shear_modulus,
        design.material.shear_modulus.value,
        0.6,
        0.03,
    );
    assert_eq!(second, asked.choice.materials[1]);
    let joints = measured.joints.unwrap().stiffness.unwrap();
    let promised = asked.joints.as_ref().unwrap().stiffness.unwrap();
    close(joints.tilt, promised.tilt.value, 0.5, 0.05);
    assert_eq!(joints.radial, promised.radial);
    // The same by the calibrated design.
    assert_eq!(found.family, design.family);
    close(
        found.material.youngs_modulus,
        design.material.youngs_modulus.value,
        0.6,
        0.03,
    );
    close(
        found.joints.stiffness.unwrap().tilt,
        design.joints.stiffness.unwrap().tilt.value,
        0.5,
        0.05,
    );
    let list = [told(WeightParameter::BaseTilt, 2e-4, 1e-5)];
    let found = calibrated(&design, &model, &model.nominal(), &list);
    match found.mount.support {
        Some(calotte::design::Support::Springs { tilt, .. }) => {
            assert!((tilt.value - 5000.0).abs() < 1e-9);
            assert!((tilt.low - 1.0 / 2.2e-4).abs() < 1e-9);
            assert!((tilt.high - 1.0 / 1.8e-4).abs() < 1e-9);
        }
        other => panic!("{other:?}"),
    }
}

/// What joints made of bearings were found to be goes with the workshop: another bearing
/// takes the factor along, and the stiffness follows from its parts again.
#[test]
fn a_measured_joint_takes_its_factor_to_another_bearing() {
    let design = built(prototype(), Arrangement::Nested);
    let model = PhysicalModel::new(&design).unwrap();
    let list = [told(WeightParameter::JointTilt, 0.5, 0.02)];
    let found = calibrated(&design, &model, &model.nominal(), &list);
    let stiffness = found.joints.stiffness.unwrap();
    let from_parts = found
        .joints
        .parts
        .as_ref()
        .unwrap()
        .pair_stiffness()
        .unwrap();
    assert!((stiffness.tilt.value / from_parts.tilt.value - 1.0).abs() < 1e-12);
    assert!((stiffness.tilt.low / from_parts.tilt.low - 1.0).abs() < 1e-12);
    let bearing = Bearing::shipped("625").unwrap();
    let [measured, promised] = [&found, &design].map(|design| {
        design
            .joints
            .with_bearing(&bearing)
            .unwrap()
            .stiffness
            .unwrap()
    });
    assert!((measured.tilt.value / promised.tilt.value - 0.5).abs() < 1e-12);
    assert_eq!(measured.radial, promised.radial);
}

/// The bound on reach is the sum of arcs, kept ones and the longest that may be chosen.
#[test]
fn the_reach_bound_counts_kept_arcs() {
    let design = prototype();
    let narrow = narrowed(&brief(), &kept(&design, true, &[1])).unwrap();
    // Kept 21.3 + 22.1 + 20.7, free: three half-links of 26° at three stages.
    let expected = (21.3 + 22.1 + 20.7 + 3.0 * 26.0) * DEGREE;
    assert!((precheck(&narrow).reach_bound - expected).abs() < 1e-12);
}

/// Ground alone leaves every bar to be chosen, with mount and drives as they are.
#[test]
fn the_ground_alone_fixes_mount_and_drives() {
    let mut design = prototype();
    design.mount.axis = nalgebra::Vector3::new(0.6, 0.0, 0.8);
    design.mount.reference = nalgebra::Vector3::new(0.8, 0.0, -0.6);
    let mut parts = kept(&design, false, &[]);
    parts.ground = true;
    let narrow = narrowed(&brief(), &parts).unwrap();
    assert_eq!(narrow.choice.sections, brief().choice.sections);
    let found = all(&narrow);
    assert!(found.len() > 100);
    for found in found {
        let found = found.unwrap();
        assert_eq!(found.drives, design.drives);
        assert_eq!(found.mount, design.mount);
    }
}

/// A second round measures the second prototype, which stands on what the first round found:
/// one that is as designed stays as it is.
#[test]
fn a_second_round_stands_on_the_first() {
    let first = prototype();
    let model = PhysicalModel::new(&first).unwrap();
    let list = [told(WeightParameter::BarModulus, 0.6, 0.02)];
    let second = calibrated(&first, &model, &model.nominal(), &list);
    let list = [told(WeightParameter::BarModulus, 1.0, 0.02)];
    let found = calibrated(&second, &model, &model.nominal(), &list);
    let mut asked = brief();
    asked.choice.materials = vec![first.material.clone()];
    let measured = as_measured(&asked, &found, &list);
    let modulus = measured.choice.materials[0].youngs_modulus.value;
    assert!((modulus / first.material.youngs_modulus.value - 0.6).abs() < 1e-12);
    // The same with joints made of bearings, other bearings included.
    let first = built(prototype(), Arrangement::Nested);
    let list = [told(WeightParameter::JointTilt, 0.5, 0.02)];
    let second = calibrated(&first, &model, &model.nominal(), &list);
    let list = [told(WeightParameter::JointTilt, 0.9, 0.02)];
    let found = calibrated(&second, &model, &model.nominal(), &list);
    asked.joints = Some(first.joints.clone());
    let measured = as_measured(&asked, &found, &list).joints.unwrap();
    let tilt = |joints: &calotte::design::JointProperties| joints.stiffness.unwrap().tilt.value;
    assert!((tilt(&measured) / tilt(&first.joints) - 0.45).abs() < 1e-12);
}

/// How a stage is assembled belongs to its bars: nothing kept takes nothing over.
#[test]
fn assembly_modes_stay_with_kept_bars() {
    let mut design = prototype();
    let (proximal_arcs, distal_arcs, bends) = arcs(&design);
    design.family = Family::scissor_linkage(ScissorLinkage {
        proximal_arcs,
        distal_arcs,
        bends,
        assembly_modes: vec![1, -1],
        sides: Default::default(),
    });
    let modes = |bars: &[usize]| -> Vec<Vec<i8>> {
        let narrow = narrowed(&brief(), &kept(&design, false, bars)).unwrap();
        let mut seen: Vec<Vec<i8>> = all(&Brief {
            kept: narrow.kept.clone().map(|kept| Kept {
                space: None,
                ..kept
            }),
            ..narrow
        })
        .into_iter()
        .flatten()
        .filter(|design| design.family.stages() == Some(2))
        .map(|design| design.family.each(Modes))
        .collect();
        seen.sort();
        seen.dedup();
        seen
    };
    assert_eq!(modes(&[]), vec![vec![1, 1]]);
    assert_eq!(modes(&[1]), vec![vec![1, -1]]);
}

/// Kept bars that find no place fail their candidate in words, whatever else it misses.
#[test]
fn a_candidate_without_place_for_kept_bars_fails() {
    let mut design = built(prototype(), Arrangement::Nested);
    if let Some(layers) = &mut design.layers {
        layers.arrangement = Arrangement::Given(vec![3, 2, 1, 0, 3, 2]);
    }
    let mut asked = brief();
    asked.layers = built(prototype(), Arrangement::Nested).layers;
    asked.choice.stages = vec![3];
    let narrow = narrowed(&asked, &kept(&design, false, &[1])).unwrap();
    let grid = Grid::new(&narrow);
    let outcomes = calotte::search::evaluate_group(&narrow, &grid, 0);
    assert!(!outcomes.is_empty());
    for outcome in outcomes {
        let said = outcome.verdict.against().join("; ");
        assert!(
            said.contains("bars kept would lie in other layers"),
            "{said}"
        );
        assert_eq!(outcome.verdict.depth, Depth::NotBuilt);
    }
}

/// The search varies what is not kept and nothing else: as many angles are free as the prototype
/// has beside those kept, and whatever is taken for them the kept parts are the prototype's.
#[test]
fn the_search_leaves_kept_parts_as_they_are() {
    let mut design = prototype();
    let all: Vec<f64> = {
        let (proximal, distal, bends) = arcs(&design);
        [proximal, distal, bends].concat()
    };
    let mut random = ChaCha8Rng::seed_from_u64(5);
    // Proximal, distal, bend: [p0, p1, d0, d1, b0].
    let cases: [(bool, &[usize], &[usize]); 5] = [
        (true, &[], &[0]),
        (false, &[1], &[2, 4, 1]),
        (true, &[1], &[0, 2, 4, 1]),
        (false, &[2], &[3]),
        (true, &[1, 2], &[0, 1, 2, 3, 4]),
    ];
    for modes in [vec![1, 1], vec![1, -1], vec![-1, 1]] {
        design.family = Family::scissor_linkage(ScissorLinkage {
            proximal_arcs: all[0..2].to_vec(),
            distal_arcs: all[2..4].to_vec(),
            bends: all[4..].to_vec(),
            assembly_modes: modes.clone(),
            ..ScissorLinkage::uniform(2, 0.0)
        });
        for (base, bars, fixed) in &cases {
            let mut asked = brief();
            asked.choice.full_grid = false;
            asked.choice.stages = vec![2];
            asked.choice.bend = Range {
                from: -20.0 * DEGREE,
                to: 40.0 * DEGREE,
                step: 10.0 * DEGREE,
            };
            asked.choice.families = vec![FamilyName::SCISSOR_LINKAGE];
            let narrow = narrowed(&asked, &kept(&design, *base, bars)).unwrap();
            let requirements = Requirements::from_brief(&narrow);
            let islands = islands(&narrow);
            assert!(!islands.is_empty(), "{modes:?} {base} {bars:?}");
            let mut identities = Vec::new();
            for island in &islands {
                let free: Vec<usize> = (0..5)
                    .filter(|place| island.angle_genes()[*place].last() > 0)
                    .collect();
                let left: Vec<usize> = (0..5).filter(|place| !fixed.contains(place)).collect();
                assert_eq!(free, left, "{modes:?} {base} {bars:?}");
                let genes = island.genes().iter();
                let genome: Vec<u32> = genes
                    .map(|gene| random.random_range(0..=gene.last()))
                    .collect();
                let candidate = island.candidate(&narrow, &genome);
                let Ok(found) = complete_design(&narrow, &requirements, &candidate) else {
                    continue;
                };
                let (proximal, distal, bends) = arcs(&found);
                let angles = [proximal, distal, bends].concat();
                for place in *fixed {
                    assert!((angles[*place] - all[*place]).abs() < 1e-12);
                }
                if *base || bars.contains(&1) {
                    assert_eq!(found.family.each(Modes)[0], modes[0]);
                }
                if bars.iter().any(|bar| *bar <= 2) {
                    assert_eq!(found.family.each(Modes)[1], modes[1]);
                }
                identities.push((found.family.each(Modes), found.drives.layout));
            }
            // No assembly is searched twice.
            let count = identities.len();
            identities.dedup();
            assert_eq!(identities.len(), count);
        }
    }
}
