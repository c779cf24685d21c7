//! Errors of the mechanics put down to keys: each kind, with the lines it is said to be of.

use calotte::analysis::AnalysisError;
use calotte::brief::Brief;
use calotte::built::BuiltError;
use calotte::design::Design;
use calotte::elasticity::{ElasticityError, Extremes, Spring};
use calotte::family::parameters::{Capability, NotAvailable};
use calotte::interference::ClearingError;
use calotte::linkage::mobility::MobilityError;
use calotte::linkage::{ArcPlace, LinkageError};
use calotte::search::KeptError;
use calotte::sphere::RegionError;
use calotte::surroundings::ShapeError;
use calotte_format::{
    FormatError, Refusal, read_brief_to_judge, read_design, refused, refused_to_keep,
};

const DESIGN: &str = include_str!("../../../examples/head-dome/bench/design.toml");
const BRIEF: &str = include_str!("../../../examples/head-dome/built.toml");

fn design() -> Design {
    read_design(DESIGN).expect("a design")
}

fn brief() -> Brief {
    read_brief_to_judge(BRIEF, &|_| Err("no files".to_string())).expect("a brief")
}

/// Checks that the problems are of these keys, that the first says what the error says, and
/// that each stands in the line that the file writes it in.
fn check(text: &str, problems: &FormatError, message: &str, keys: &[&str]) {
    let found: Vec<&str> = problems
        .problems
        .iter()
        .map(|one| one.key.as_str())
        .collect();
    assert_eq!(found, keys, "{message}");
    assert_eq!(problems.problems[0].message, message);
    for problem in &problems.problems {
        let line = text.lines().nth(problem.line - 1).expect("a line");
        let name = problem.key.rsplit('.').next().expect("a name");
        let written = text.lines().any(|line| line.trim_start().starts_with(name));
        assert!(
            !written || line.trim_start().starts_with(name),
            "{name} is not in line {}: {line}",
            problem.line
        );
        assert!(!problem.hint.is_empty(), "{problem:?}");
        assert!(!problem.allowed.is_empty(), "{problem:?}");
    }
}

#[test]
fn every_error_of_a_design_has_its_keys() {
    let design = design();
    let arcs = ["linkage.proximal_arcs_deg", "linkage.distal_arcs_deg"];
    let name = || "base-left".to_string();
    let not_offered = || NotAvailable {
        family: calotte::brief::FamilyName::FIVE_BAR,
        what: Capability::Layers,
    };
    let arc = |place| LinkageError::ArcAngle { place, value: 0.0 };
    let value = |name| LinkageError::Value {
        name,
        value: 0.0,
        allowed: "another",
    };
    let linkage = |error: LinkageError| AnalysisError::from(ElasticityError::from(error));
    let built = |error: BuiltError| AnalysisError::from(ElasticityError::from(error));
    let stage = |distal| ArcPlace::OfStage { stage: 0, distal };
    let no_digits = |soft, stiff| {
        let ratio = 1e13;
        AnalysisError::from(ElasticityError::NoDigits(Extremes { soft, stiff, ratio }))
    };
    let cases: Vec<(AnalysisError, Vec<&str>)> = vec![
        (not_offered().into(), vec!["linkage.family"]),
        (linkage(not_offered().into()), vec!["linkage.family"]),
        (
            ElasticityError::NoFlexibleLength {
                body: name(),
                boss: 0.05,
                length: 0.04,
            }
            .into(),
            vec![arcs[0], arcs[1], "joints.boss_diameter_mm"],
        ),
        (ElasticityError::Singular.into(), arcs.to_vec()),
        (
            no_digits(Spring::JointTilt(Some(1e-6)), Spring::Bars),
            vec!["joints.tilt_nm_per_rad"],
        ),
        (
            no_digits(
                Spring::JointAxial(Some(1e-6)),
                Spring::JointRadial(Some(1e9)),
            ),
            vec!["joints.axial_n_per_m", "joints.radial_n_per_m"],
        ),
        (
            no_digits(Spring::Pins, Spring::Bars),
            vec!["material.youngs_modulus_gpa"],
        ),
        (linkage(arc(stage(false))), vec![arcs[0]]),
        (linkage(arc(stage(true))), vec![arcs[1]]),
        (
            linkage(value("joint radius")),
            vec!["linkage.joint_radius_mm"],
        ),
        (linkage(value("tip radius")), vec!["tool.tip_radius_mm"]),
        (linkage(value("drive ratio")), vec!["drives.ratio"]),
        (
            linkage(value("boss diameter")),
            vec!["joints.boss_diameter_mm"],
        ),
        (linkage(value("bracket arc")), vec!["tool.bracket_arc_deg"]),
        (MobilityError::Disagree(2, 3).into(), arcs.to_vec()),
        (
            built(BuiltError::BossTooSmall {
                level: 0,
                boss: 0.01,
                bearing: 0.02,
            }),
            vec!["joints.boss_diameter_mm"],
        ),
        // No layers are given: the table is missing at the head of the file.
        (ClearingError::NoLayers.into(), vec!["layers"]),
        (ClearingError::Clearance(-1.0).into(), vec!["layers"]),
    ];
    for (error, keys) in cases {
        let message = error.to_string();
        match refused(&error, (&design, DESIGN), None) {
            Refusal::Design(problems) => check(DESIGN, &problems, &message, &keys),
            Refusal::Brief(problems) => panic!("{message}: {problems}"),
        }
    }
}

#[test]
fn every_error_of_a_brief_has_its_keys() {
    let (design, brief) = (design(), brief());
    let keep_out = |name: &str| -> AnalysisError {
        ShapeError::Negative {
            name: name.to_string(),
            what: "radius",
            value: -1.0,
        }
        .into()
    };
    let cases: Vec<(AnalysisError, &[&str])> = vec![
        (RegionError::Empty.into(), &["region"]),
        (keep_out("phantom"), &["keep_out[1].name"]),
        (keep_out("table"), &["keep_out[2].name"]),
        (
            ElasticityError::UnknownBar {
                name: "bar-left-9".to_string(),
                known: Vec::new(),
            }
            .into(),
            &["load[1].on"],
        ),
    ];
    for (error, keys) in cases {
        let message = error.to_string();
        match refused(&error, (&design, DESIGN), Some((&brief, BRIEF))) {
            Refusal::Brief(problems) => check(BRIEF, &problems, &message, keys),
            Refusal::Design(problems) => panic!("{message}: {problems}"),
        }
    }
}

#[test]
fn parts_that_cannot_be_kept_have_the_key_of_the_brief() {
    for (error, key) in [
        (
            KeptError::Stages {
                had: 2,
                needs: String::new(),
            },
            "choice.stages",
        ),
        (KeptError::Family("another"), "choice.families"),
        (KeptError::Stress, "limits.safety_factor_yield"),
        (
            KeptError::Rating("688".to_string()),
            "limits.bearing_static_safety",
        ),
    ] {
        let problems = refused_to_keep(&error, BRIEF).expect("a key");
        assert_eq!(problems.problems[0].key, key);
        assert_eq!(problems.problems[0].message, error.to_string());
    }
    let asked = KeptError::NoSuchBar { bar: 9, count: 2 };
    assert!(refused_to_keep(&asked, BRIEF).is_none());
}
