//! Bars and joints that differ: entries equal to the rule change nothing, what differs is
//! checked by hand and by superposition, and every kind of bearing has one band.

mod common;

use std::f64::consts::PI;

use calotte::Uncertain;
use calotte::analysis::{AnalysisOptions, Requirements, analyse};
use calotte::built::{Built, SolidKind};
use calotte::design::{
    Arrangement, Design, Elbows, Family, FiveBar, Input, JointParts, OwnError, OwnJoints,
    OwnSection, SectionOf, ToolCarrier,
};
use calotte::elasticity::mass::MassModel;
use calotte::elasticity::{Structure, ValidityNote};
use calotte::kinematics::Kinematics;
use calotte::linkage::{Linkage, LinkageError};
use calotte::stock::{Bearing, Section};
use common::brief::brief;
use common::{DEGREE, arm, built, joint_parts, model, reference_joints, scissor, uniform};
use nalgebra::{Matrix6, Vector3};

fn rectangle(tangential: f64, radial: f64) -> Section {
    Section::Rectangle { tangential, radial }
}

fn own_level(design: &mut Design, level: usize, section: Section) {
    let of = SectionOf::Level(level);
    design.own.sections.push(OwnSection { of, section });
}

fn own_bar(design: &mut Design, bar: &str, section: Section) {
    let of = SectionOf::Bar(bar.to_string());
    design.own.sections.push(OwnSection { of, section });
}

/// Joints of a level as the rule's, changed.
fn own_joints(
    design: &mut Design,
    level: usize,
    change: impl FnOnce(&mut calotte::design::JointProperties),
) {
    let mut joints = design.joints.clone();
    joints.releases.clear();
    change(&mut joints);
    if let Some(parts) = &joints.parts {
        joints.stiffness = Some(parts.pair_stiffness().unwrap());
    }
    design.own.joints.push(OwnJoints { level, joints });
}

/// The same joints with the bearing of another size, by the maker's names.
fn with_bearing(parts: &JointParts, name: &str) -> JointParts {
    let bearing = Bearing::shipped(name).unwrap();
    parts.with_bearing(&bearing)
}

fn linkage(design: &Design) -> Linkage {
    calotte::family::build(design).unwrap()
}

fn compliance(design: &Design, mechanism: [f64; 2]) -> Matrix6<f64> {
    let kinematics = Kinematics::new(design).unwrap();
    let structure = Structure::new(design, &kinematics.linkage).unwrap();
    let pose = kinematics.forward_from_mechanism(mechanism).unwrap();
    structure
        .solve(&pose.configuration, &pose.frame)
        .unwrap()
        .tip_compliance()
}

fn five_bar() -> Design {
    common::design(Family::five_bar(FiveBar {
        base_arc: 60.0 * DEGREE,
        proximal_arcs: [50.0 * DEGREE; 2],
        distal_arcs: [65.0 * DEGREE; 2],
        elbows: Elbows::Out,
    }))
}

/// Designs of every family, plain and built.
fn designs() -> Vec<Design> {
    let mut bent = scissor(&[30.0, 28.0], &[31.0, 29.0], &[25.0]);
    bent.tool.carried_by = ToolCarrier::Bisector;
    let mut designs = vec![arm(50.0, 40.0), uniform(2, 24.0), bent, five_bar()];
    for design in &mut designs {
        design.joints.stiffness = Some(reference_joints());
        design.joints.boss_diameter = 0.016;
        design.joints.mass = 0.01;
        design.tool.mass = Some(0.8.into());
    }
    for arrangement in [Arrangement::Two, Arrangement::Nested] {
        let mut design = built(uniform(2, 24.0), arrangement);
        design.tool.mass = Some(Uncertain::band(0.8, 0.7, 0.9));
        design.joints.parts.as_mut().unwrap().bearing.radial = Uncertain::band(1.2e7, 8e6, 1.5e7);
        let stiffness = design.joints.parts.as_ref().unwrap().pair_stiffness();
        design.joints.stiffness = Some(stiffness.unwrap());
        designs.push(design);
    }
    designs
}

/// Entries for every level and bar that say what the rule says.
fn spelled_out(design: &Design) -> Design {
    let linkage = linkage(design);
    let mut spelled = design.clone();
    for level in 0..=linkage.last_level() {
        own_level(&mut spelled, level, design.section.clone());
        own_joints(&mut spelled, level, |_| {});
    }
    for (_, bar) in linkage.bars() {
        own_bar(&mut spelled, &bar.name, design.section.clone());
    }
    spelled
}

/// All of an analysis, places and bands included, to the last bit.
#[test]
fn entries_equal_to_the_rule_change_nothing() {
    let brief = brief();
    for design in designs() {
        let spelled = spelled_out(&design);
        assert_ne!(spelled, design);
        let requirements = Requirements::from_brief(&brief);
        let options = AnalysisOptions::default();
        let of = |design: &Design| {
            let analysis = analyse(design, &requirements, &options).unwrap();
            format!("{analysis:?}")
        };
        assert_eq!(of(&spelled), of(&design), "{:?}", design.family);
        let linkage = linkage(&design);
        let parts = |design: &Design| Built::new(design, &linkage).unwrap();
        assert_eq!(parts(&spelled), parts(&design));
        assert_eq!(spelled.uncertain_inputs(), design.uncertain_inputs());
    }
}

/// In a chain compliances add up, so two arcs of sections a and b give in all four
/// combinations C(a,b) + C(b,a) = C(a,a) + C(b,b), and likewise for two joints; by level and
/// by name alike.
#[test]
fn compliances_of_a_chain_add_up() {
    let mechanism = [0.3, 0.9];
    let mut plain = arm(50.0, 40.0);
    plain.joints.stiffness = Some(reference_joints());
    let thick = rectangle(0.02, 0.01);
    let mut all_thick = plain.clone();
    all_thick.section = thick.clone();
    let mut first = plain.clone();
    own_bar(&mut first, "first-arc", thick.clone());
    let mut second = plain.clone();
    own_level(&mut second, 1, thick);
    let of = |design: &Design| compliance(design, mechanism);
    let gap = of(&first) + of(&second) - of(&plain) - of(&all_thick);
    assert!(gap.norm() < 1e-12 * of(&plain).norm());
    // Neither has no effect, and the two differ.
    assert!((of(&first) - of(&plain)).norm() > 0.05 * of(&plain).norm());
    assert!((of(&first) - of(&second)).norm() > 0.05 * of(&plain).norm());

    let soft = |joints: &mut calotte::design::JointProperties| {
        let stiffness = joints.stiffness.as_mut().unwrap();
        stiffness.tilt = 100.0.into();
        stiffness.radial = 2e6.into();
    };
    let mut all_soft = plain.clone();
    soft(&mut all_soft.joints);
    let [base, elbow] = [0, 1].map(|level| {
        let mut design = plain.clone();
        own_joints(&mut design, level, soft);
        design
    });
    let gap = of(&base) + of(&elbow) - of(&plain) - of(&all_soft);
    assert!(gap.norm() < 1e-12 * of(&plain).norm());
    assert!((of(&base) - of(&elbow)).norm() > 0.02 * of(&plain).norm());
}

/// A bar's own section goes before its level's, a level's before the rule.
#[test]
fn the_nearest_entry_goes_first() {
    let mut design = uniform(2, 24.0);
    own_bar(&mut design, "bar-right-1", rectangle(0.03, 0.01));
    own_level(&mut design, 1, rectangle(0.02, 0.01));
    let linkage = linkage(&design);
    let widths: Vec<f64> = linkage
        .bars()
        .map(|(_, bar)| bar.section(&design).width())
        .collect();
    assert_eq!(widths, [0.012, 0.012, 0.02, 0.03, 0.012, 0.012]);
    let levels: Vec<usize> = linkage.joints.iter().map(|joint| joint.level).collect();
    assert_eq!(levels, [0, 0, 1, 1, 1, 2, 2, 2]);
}

/// By hand: base bars of 16 × 8 mm and 24°, those of stage 1 of 12 × 6 mm and twice 24°, those
/// of stage 2 a rod of 8 mm and 24°, all at 150 mm; aluminium of 2700 kg/m³. Bosses of 20 mm at
/// the base, none elsewhere, and 30 g in each of two base joints, 5 g in the other six.
#[test]
fn masses_and_their_centre_by_hand() {
    let mut design = uniform(2, 24.0);
    design.joints.mass = 0.005;
    own_level(&mut design, 0, rectangle(0.016, 0.008));
    own_level(&mut design, 2, Section::Rod { diameter: 0.008 });
    own_joints(&mut design, 0, |joints| {
        joints.mass = 0.03;
        joints.boss_diameter = 0.02;
    });
    let linkage = linkage(&design);
    let built = Built::new(&design, &linkage).unwrap();
    let masses = MassModel::of_built(&design, &linkage, &built);
    let density = design.material.density.value;
    let arc = 24.0 * DEGREE * 0.15;
    let bar = |area: f64, arcs: f64| area * arc * arcs * density;
    let bars = 2.0 * (bar(0.016 * 0.008, 1.0) + bar(0.012 * 0.006, 2.0))
        + 2.0 * bar(PI * 0.004 * 0.004, 1.0);
    // What a round of 20 mm has outside a strip of 16 mm: r²(π − 2 asin 0.8 − sin(2 asin 0.8)).
    let half = 0.8_f64.asin();
    let outside = 0.01 * 0.01 * (PI - 2.0 * half - (2.0 * half).sin());
    let bosses = 2.0 * outside * 0.008 * density;
    let joints = 2.0 * 0.03 + 6.0 * 0.005;
    let by_hand = bars + bosses + joints;
    assert!((masses.moving_mass / by_hand - 1.0).abs() < 1e-12);
    // Of one base bar alone: its arc about its bisector, and the boss with 30 g on its axis.
    let base: Vec<_> = masses.items.iter().filter(|item| item.body == 1).collect();
    let total: f64 = base.iter().map(|item| item.mass).sum();
    let moment: Vector3<f64> = base.iter().map(|item| item.position * item.mass).sum();
    let chord = 0.15 * (12.0 * DEGREE).sin() / (12.0 * DEGREE);
    let (x, z) = (
        bar(0.016 * 0.008, 1.0) * chord * (12.0 * DEGREE).sin(),
        bar(0.016 * 0.008, 1.0) * chord * (12.0 * DEGREE).cos() + (0.5 * bosses + 0.03) * 0.15,
    );
    let centre = Vector3::new(x, 0.0, z);
    assert!(
        (moment - centre).norm() < 1e-12 * centre.norm(),
        "{moment} {centre}"
    );
    assert!(total > 0.0);
}

/// A built linkage with larger bearings at the base: bosses, pins and shafts by level, layers
/// as far apart as the highest boss asks, and lighter than all joints as at the base.
#[test]
fn bosses_pins_and_holes_are_those_of_their_level() {
    let plain = built(uniform(2, 24.0), Arrangement::Nested);
    let mut design = plain.clone();
    design.joint_radius = 0.25;
    own_joints(&mut design, 1, |joints| {
        joints.parts = Some(with_bearing(&joint_parts(), "626"));
        joints.boss_diameter = 0.024;
    });
    let linkage = linkage(&design);
    let built = Built::new(&design, &linkage).unwrap();
    let of_level = |level: usize| {
        linkage
            .joints
            .iter()
            .filter(move |joint| joint.level == level)
    };
    let (large, small) = (Bearing::shipped("626").unwrap(), joint_parts().bearing);
    for (level, diameter, bearing) in [(1, 0.024, &large), (2, 0.018, &small)] {
        for joint in of_level(level) {
            let parts = joint.properties(&design).parts.as_ref().unwrap();
            let pair = parts.pair_spacing + bearing.width;
            for place in [joint.first, joint.second] {
                let boss = built.boss(place);
                assert_eq!((boss.diameter, boss.height), (diameter, pair.max(0.006)));
            }
            let pin = built
                .solids
                .iter()
                .find(|solid| solid.name == format!("{} pin", joint.name))
                .unwrap();
            assert_eq!(2.0 * pin.pieces[0].half_width, parts.pin.diameter);
            assert_eq!(parts.pin.diameter, bearing.bore);
        }
    }
    let parts = design.joints_at(1).parts.as_ref().unwrap();
    let highest = parts.pair_spacing + large.width;
    assert!((built.pitch - (highest + 0.5e-3)).abs() < 1e-15);
    // A bar of stage 1 has a bearing or pin of level 1 at both of its inner joints, of level 2
    // at its last.
    let bar = built
        .solids
        .iter()
        .find(|solid| solid.name == "bar-left-1" && solid.kind == SolidKind::Bar)
        .unwrap();
    let holes: Vec<f64> = bar.holes.iter().map(|hole| hole.diameter).collect();
    assert_eq!(holes.len(), 3);
    assert!(
        holes[..2].iter().all(|d| [0.006, 0.019].contains(d)),
        "{holes:?}"
    );
    assert!([0.004, 0.013].contains(&holes[2]), "{holes:?}");
    let mass = |design: &Design| {
        let built = Built::new(design, &linkage).unwrap();
        MassModel::of_built(design, &linkage, &built).moving_mass
    };
    let mut all_small = design.clone();
    all_small.own.joints.clear();
    let mut all_large = design.clone();
    all_large.joints = design.joints_at(1).clone();
    all_large.layers.as_mut().unwrap().base = Default::default();
    assert!(mass(&all_small) < mass(&design) && mass(&design) < mass(&all_large));
}

/// The static safety of bearings is by each joint's own rating: with a base bearing of ten
/// times the rating and nothing else changed, its safety is ten times what it was.
#[test]
fn static_safety_is_by_the_rating_of_the_level() {
    let plain = built(uniform(2, 24.0), Arrangement::Two);
    let mut strong = plain.clone();
    own_joints(&mut strong, 0, |joints| {
        let parts = joints.parts.as_mut().unwrap();
        parts.bearing.static_rating = Some(4900.0);
    });
    let force = nalgebra::Vector6::new(3.0, 20.0, -10.0, 0.0, 0.2, 0.1);
    let of = |design: &Design, joint: usize| {
        let model = model(design);
        let strength = model.joint_strength.as_ref().unwrap();
        (
            strength.bearing_safety(joint, &force).unwrap(),
            strength.rated_load(joint, &force),
        )
    };
    for joint in 0..8 {
        let factor = if joint < 2 { 10.0 } else { 1.0 };
        let [(safety, load), (before, load_before)] = [of(&strong, joint), of(&plain, joint)];
        assert!((safety / before / factor - 1.0).abs() < 1e-12, "{joint}");
        // The load that stands for it is greatest where the safety is least.
        assert!((load_before / load / factor - 1.0).abs() < 1e-12);
    }
    // Unknown at one level is unknown.
    let mut unknown = plain.clone();
    own_joints(&mut unknown, 0, |joints| {
        joints.parts.as_mut().unwrap().bearing.static_rating = None;
    });
    let model = model(&unknown);
    assert!(!model.joint_strength.as_ref().unwrap().knows_rating());
}

/// Stress is that of each bar's own section: with one bar custom none is known; with all bars
/// of a stage thicker, the same section force gives less stress there.
#[test]
fn stress_is_that_of_each_bar() {
    let mut design = uniform(2, 24.0);
    own_level(&mut design, 1, rectangle(0.024, 0.012));
    let model = model(&design);
    let stress = model.stress.as_ref().unwrap();
    let force = nalgebra::Vector6::new(1.0, 2.0, 3.0, 0.4, 0.5, 0.6);
    let of: Vec<f64> = (0..8)
        .map(|arc| stress.of_arc(arc).equivalent_stress(&force))
        .collect();
    // Arcs: two base bars, two bars of two arcs, two bars of one.
    for (arc, value) in of.iter().enumerate() {
        let thick = (2..6).contains(&arc);
        assert_eq!(*value < 0.5 * of[0], thick, "{arc}: {of:?}");
    }
    own_bar(
        &mut design,
        "bar-left-2",
        Section::Custom {
            axial: 5e6,
            bending_in_plane: 15.0,
            bending_out_of_plane: 60.0,
            torsional: 16.0,
            shear_in_plane: f64::INFINITY,
            shear_out_of_plane: f64::INFINITY,
            mass_per_length: 0.2,
            radial: 0.006,
            tangential: 0.012,
        },
    );
    assert!(common::model(&design).stress.is_none());
}

/// Equal bearings share one band; another kind has its own, whichever level it is at.
#[test]
fn every_kind_of_bearing_has_one_band() {
    let mut design = built(uniform(2, 24.0), Arrangement::Two);
    let band = Uncertain::band(1.2e7, 8e6, 1.5e7);
    design.joints.parts.as_mut().unwrap().bearing.radial = band;
    let stiff = Uncertain::band(3e7, 2e7, 5e7);
    own_joints(&mut design, 1, |_| {});
    own_joints(&mut design, 0, |joints| {
        joints.parts.as_mut().unwrap().bearing.radial = stiff;
    });
    let inputs: Vec<(Input, Uncertain)> = design
        .uncertain_inputs()
        .into_iter()
        .filter(|(input, _)| matches!(input, Input::BearingRadial(_) | Input::BearingAxial(_)))
        .collect();
    let expected = [
        (Input::BearingRadial(0), band),
        (Input::BearingRadial(2), stiff),
    ];
    assert_eq!(inputs, expected);
    let at = design
        .with_inputs(&[
            (Input::BearingRadial(0), 9e6),
            (Input::BearingRadial(2), 4e7),
        ])
        .unwrap();
    for (level, radial) in [(0, 4e7), (1, 9e6), (2, 9e6)] {
        let joints = at.joints_at(level);
        let parts = joints.parts.as_ref().unwrap();
        assert_eq!(parts.bearing.radial, Uncertain::exact(radial), "{level}");
        assert_eq!(joints.stiffness.unwrap().radial.value, 2.0 * radial);
    }
    // Alike at nominal values is not alike: their bands differ.
    let mut narrow = design.clone();
    narrow.own.joints.remove(0);
    let parts = narrow.own.joints[0].joints.parts.as_mut().unwrap();
    parts.bearing.radial = Uncertain::band(1.2e7, 1.1e7, 1.3e7);
    let kinds = narrow.uncertain_inputs();
    let kinds = kinds
        .iter()
        .filter(|(input, _)| matches!(input, Input::BearingRadial(_)));
    assert_eq!(kinds.count(), 2);
}

/// Plain stiffness too, and the corner of all bands is the corner of each.
#[test]
fn stiffness_of_levels_has_bands_of_its_own() {
    let mut design = uniform(2, 24.0);
    let mut stiffness = reference_joints();
    stiffness.tilt = Uncertain::band(300.0, 200.0, 400.0);
    design.joints.stiffness = Some(stiffness);
    own_joints(&mut design, 0, |joints| {
        joints.stiffness.as_mut().unwrap().tilt = Uncertain::band(900.0, 600.0, 1200.0);
    });
    let inputs = design.uncertain_inputs();
    assert_eq!(
        inputs.iter().map(|(input, _)| *input).collect::<Vec<_>>(),
        [Input::JointTilt(0), Input::JointTilt(1)]
    );
    let low: Vec<(Input, f64)> = inputs.iter().map(|(i, n)| (*i, n.low)).collect();
    let by_inputs = design.with_inputs(&low).unwrap();
    let by_corner = design.at_corner(calotte::Corner::Soft);
    assert_eq!(by_inputs.joints_at(0), by_corner.joints_at(0));
    assert_eq!(by_inputs.joints_at(2), by_corner.joints_at(2));
}

/// The deepest bar makes the note of a thick bar, and bars are short for their own section.
#[test]
fn notes_are_of_the_bar_they_are_about() {
    let mut design = uniform(2, 24.0);
    own_level(&mut design, 1, rectangle(0.01, 0.02));
    let model = model(&design);
    let notes = model.structure.notes();
    let thick = notes.iter().find_map(|note| match note {
        ValidityNote::ThickBar { ratio, .. } => Some(*ratio),
        _ => None,
    });
    assert!((thick.unwrap() - 0.02 / 0.15).abs() < 1e-15);
    let short: Vec<(&str, f64)> = notes
        .iter()
        .filter_map(|note| match note {
            ValidityNote::ShortBar { body, size, .. } => Some((body.as_str(), *size)),
            _ => None,
        })
        .collect();
    // 62.8 mm between joints: shorter than 4 × 20 mm, longer than 4 × 12 mm.
    assert_eq!(short, [("bar-left-1", 0.02), ("bar-right-1", 0.02)]);
}

fn refused(change: impl FnOnce(&mut Design)) -> OwnError {
    let mut design = built(uniform(2, 24.0), Arrangement::Two);
    change(&mut design);
    match calotte::family::build(&design).unwrap_err() {
        LinkageError::Own(error) => error,
        other => panic!("{other}"),
    }
}

#[test]
fn what_does_not_belong_is_refused() {
    let thick = || rectangle(0.02, 0.01);
    let cases = [
        (
            refused(|d| own_bar(d, "bar-left-3", thick())),
            "no bar is named \"bar-left-3\"; the bars are base-left, base-right, bar-left-1, bar-right-1, bar-left-2, bar-right-2",
        ),
        (
            refused(|d| own_level(d, 3, thick())),
            "level 3 is given own sections; the levels are 0 (the base) to 2",
        ),
        (
            refused(|d| own_joints(d, 3, |_| {})),
            "level 3 is given own joints; the levels are 0 (the base) to 2",
        ),
        (
            refused(|d| {
                own_level(d, 1, thick());
                own_level(d, 1, thick());
            }),
            "level 1 is given own sections twice",
        ),
        (
            refused(|d| own_joints(d, 1, |joints| joints.parts = None)),
            "the joints of level 1 are described otherwise than all others: some have bearings, others have not",
        ),
        (
            refused(|d| {
                own_joints(d, 1, |joints| {
                    let pin = &mut joints.parts.as_mut().unwrap().pin;
                    pin.material = calotte::stock::Material::shipped("aluminium 6061-T6").unwrap();
                });
            }),
            "the joints of level 1 are described otherwise than all others: pins are of one material",
        ),
        (
            refused(|d| own_joints(d, 1, |joints| joints.boss_diameter = -1.0)),
            "boss diameter of level 1 is -1, must be zero or a positive number",
        ),
    ];
    for (error, words) in cases {
        assert_eq!(error.to_string(), words);
    }
    assert!(matches!(
        refused(|d| own_level(d, 1, rectangle(0.0, 0.01))),
        OwnError::Section(_)
    ));
}

/// What cannot be answered where bars or joints differ says so instead of a number.
#[test]
fn what_is_not_answered_yet_says_so() {
    use calotte::analysis::map::{MapError, Variable};
    use calotte::analysis::stage_curve::stage_curve;
    let mut design = built(uniform(2, 24.0), Arrangement::Two);
    own_level(&mut design, 1, rectangle(0.02, 0.01));
    let requirements = Requirements::from_brief(&brief());
    let curve = stage_curve(&design, &requirements, 2).unwrap_err();
    assert_eq!(
        curve.to_string(),
        "the comparison of numbers of stages: not available yet for a design whose sections differ"
    );
    for variable in [Variable::Tangential, Variable::Stages, Variable::Layers] {
        let refused = variable.apply(&mut design.clone(), 2.0).unwrap_err();
        assert!(matches!(refused, MapError::NotYet(_)), "{refused}");
    }
    // What all bars have stays free to vary.
    assert!(
        Variable::JointRadius
            .apply(&mut design.clone(), 0.2)
            .is_ok()
    );
    assert!(
        Variable::PairSpacing
            .apply(&mut design.clone(), 0.02)
            .is_ok()
    );
    own_joints(&mut design, 0, |_| {});
    let refused = Variable::PairSpacing.apply(&mut design, 0.02).unwrap_err();
    assert!(matches!(refused, MapError::NotYet(_)), "{refused}");
}
