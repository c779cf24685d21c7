//! The whole analysis and the search on a small brief.

mod common;

use calotte::analysis::{AnalysisOptions, Requirements, RowKind, analyse};
use calotte::brief::*;
use calotte::design::{DriveLayout, JointProperties};
use calotte::elasticity::{Material, Section};
use calotte::search::{Grid, choose, complete_design, evaluate_group, precheck};
use calotte::sphere::{Exclusion, Region};
use common::*;
use nalgebra::Vector3;

fn brief() -> Brief {
    let mut region = Region::cap(Vector3::z(), 80.0 * DEGREE);
    region.excluded.push(Exclusion {
        axis: Vector3::z(),
        half_angle: 12.0 * DEGREE,
        why: "crown".to_string(),
    });
    Brief {
        kept: None,
        title: "test".to_string(),
        people_near: true,
        region,
        coverage_min: 0.98,
        centre: Vector3::zeros(),
        joint_radius: Range::single(0.15),
        tool: ToolNeed {
            mass: Some(0.8.into()),
            centre_of_mass_radius: 0.165,
            tip_radius: 0.1,
            grip_radius: None,
            envelope: None,
        },
        loads: vec![LoadCase {
            name: "press".to_string(),
            on: LoadPlace::Tip,
            force: LoadVector::Local(Vector3::new(0.0, 0.0, 8.0)),
            moment: LoadVector::ZERO,
        }],
        limits: Limits {
            contact_deflection: Some(0.5e-3),
            sag: Some(2e-3),
            lci_min: Some(0.2),
            transmission_angle_min: Some(20.0 * DEGREE),
            safety_factor_yield: Some(2.0),
            moving_mass: Some(1.5),
            ..Limits::default()
        },
        choice: Choice {
            families: vec![FamilyName::ScissorLinkage, FamilyName::TwoArcArm],
            stages: vec![1, 2, 3],
            arc: Range {
                from: 14.0 * DEGREE,
                to: 26.0 * DEGREE,
                step: 1.0 * DEGREE,
            },
            bend: Range {
                from: 0.0,
                to: 60.0 * DEGREE,
                step: 20.0 * DEGREE,
            },
            arm_arc: Range {
                from: 30.0 * DEGREE,
                to: 80.0 * DEGREE,
                step: 10.0 * DEGREE,
            },
            sections: vec![
                Section::Rectangle {
                    tangential: 0.012,
                    radial: 0.006,
                },
                Section::Rectangle {
                    tangential: 0.020,
                    radial: 0.016,
                },
            ],
            materials: vec![Material::shipped("aluminium 6061-T6").unwrap()],
            bearings: Vec::new(),
            arrangements: Vec::new(),
            mount_tilt: vec![0.0],
            mount_tilt_towards: 0.0,
            drive_layouts: vec![DriveLayout::TwoBars, DriveLayout::SwingAndOpening],
        },
        joints: Some(JointProperties {
            stiffness: Some(calotte::design::JointStiffness {
                tilt: 1500.0.into(),
                ..reference_joints()
            }),
            parts: None,
            boss_diameter: 0.01,
            mass: 0.02,
            releases: Vec::new(),
        }),
        layers: None,
        keep_outs: Vec::new(),
        allowance: 0.0,
        way_in: None,
        objectives: vec![
            Objective {
                quantity: ObjectiveQuantity::Stiffness,
                maximise: true,
            },
            Objective {
                quantity: ObjectiveQuantity::Gci,
                maximise: true,
            },
            Objective {
                quantity: ObjectiveQuantity::MovingMass,
                maximise: false,
            },
        ],
    }
}

#[test]
fn the_search_finds_a_design_that_the_analysis_confirms() {
    let brief = brief();
    let grid = Grid::new(&brief);
    let outcomes: Vec<_> = (0..grid.groups.len())
        .flat_map(|group| evaluate_group(&brief, &grid, group))
        .collect();
    assert_eq!(outcomes.len(), grid.len());
    let choice = choose(&outcomes, &brief.objectives).unwrap();
    assert!(choice.feasible > 0, "none of {} feasible", outcomes.len());
    let chosen = &outcomes[choice.chosen];
    let requirements = Requirements::from_brief(&brief);
    let design = complete_design(&brief, &requirements, &chosen.candidate).unwrap();
    let requirements = Requirements::from_brief(&brief);
    let analysis = analyse(&design, &requirements, &AnalysisOptions::default()).unwrap();
    assert!(analysis.met(), "{:#?}", analysis.rows);
    let coarse = chosen.values.unwrap().elastic.unwrap();
    let fine = analysis.least_stiffness().unwrap();
    assert!((coarse.stiffness / fine - 1.0).abs() < 0.02);
    assert!(analysis.singularity.unwrap().proved_free);
    assert!(analysis.rings.len() == 25);
    // The base joints carry at least the whole weight between them.
    let weight = (analysis.moving_mass + 0.8) * 9.80665;
    let carried: f64 = analysis
        .joint_loads
        .iter()
        .filter(|(name, _)| name.starts_with("base"))
        .map(|(_, load)| load.axial.hypot(load.radial))
        .sum();
    assert!(carried > 0.99 * weight, "{carried} {weight}");
}

#[test]
fn the_precheck_sees_the_axis_in_the_region() {
    let mut open = brief();
    assert!(!precheck(&open).full_coverage_impossible());
    open.region.excluded.clear();
    let found = precheck(&open);
    assert!(found.full_coverage_impossible());
    assert!(found.least_lost_share() > 0.0);
    // A hemisphere holds the axis at its rim when the mount is tilted by 90°.
    let mut hemisphere = brief();
    hemisphere.region = Region::cap(Vector3::z(), 90.0 * DEGREE);
    hemisphere.choice.mount_tilt = vec![90.0 * DEGREE];
    assert!(precheck(&hemisphere).full_coverage_impossible());
}

#[test]
fn without_a_brief_no_margin_touches_reach() {
    let design = uniform(2, 24.0);
    let requirements = Requirements::without_brief(&design);
    let analysis = analyse(&design, &requirements, &AnalysisOptions::default()).unwrap();
    assert!((analysis.conditioning.gci - 0.60364).abs() < 5e-6);
    let elastic = analysis.elastic_range.unwrap();
    let range = analysis.working_range.unwrap();
    assert!(range.polar_max() > elastic.polar_max());
    let row = analysis
        .rows
        .iter()
        .find(|row| row.kind == RowKind::Sag)
        .unwrap();
    assert!(row.got.is_err());
}

#[test]
fn the_number_of_threads_changes_nothing() {
    let design = uniform(2, 24.0);
    let requirements = Requirements::without_brief(&design);
    let run = |threads: usize| {
        rayon::ThreadPoolBuilder::new()
            .num_threads(threads)
            .build()
            .unwrap()
            .install(|| {
                analyse(&design, &requirements, &AnalysisOptions::default())
                    .unwrap()
                    .rings
            })
    };
    assert_eq!(run(1), run(4));
}
