//! Load cases: any direction against many fixed ones, torque against virtual work, loads that
//! act together, limits of one load.

mod common;

use calotte::analysis::ring::{CaseResult, RingResult, pose_at, solve_ring};
use calotte::analysis::{AnalysisOptions, Requirements, analyse};
use calotte::brief::{Directions, Load, LoadCase, LoadPlace, LoadVector, Sought};
use calotte::design::{Arrangement, Design};
use calotte::quantity::Quantity;
use calotte::search::{Grid, evaluate_group};
use calotte::subject::Model;
use common::brief::brief;
use common::*;
use nalgebra::Vector3;

/// A bent scissor linkage with elastic joints, and a heavy tool gripped off its tip.
fn loaded_design() -> Design {
    let mut design = scissor(&[30.0, 28.0], &[31.0, 29.0], &[55.0]);
    design.joints.stiffness = Some(reference_joints());
    design.tool.mass = Some(0.8.into());
    design.tool.centre_of_mass_radius = 0.165;
    design.tool.grip_radius = Some(0.19);
    design.tool.tip_radius = 0.1;
    design.mount.axis = Vector3::new(0.3, -0.1, 0.8).normalize();
    design
}

/// The same of bearings, pins and layers, with round bars.
fn built_design() -> Design {
    let mut design = built(
        scissor(&[30.0, 28.0], &[31.0, 29.0], &[20.0]),
        Arrangement::Two,
    );
    design.tool.mass = Some(0.8.into());
    design
}

fn case(on: LoadPlace, force: LoadVector) -> LoadCase {
    let moment = LoadVector::ZERO;
    LoadCase::single("load", Load { on, force, moment })
}

fn solved(model: &Model, loads: &[LoadCase]) -> RingResult {
    solve_ring(model, 1.4, &[0.3, 2.1], loads).unwrap()
}

/// Directions all over the sphere that are allowed.
fn directions(count: u32, allowed: Directions) -> Vec<Vector3<f64>> {
    let golden = std::f64::consts::PI * (3.0 - 5f64.sqrt());
    (0..count)
        .map(|k| {
            let z = 1.0 - 2.0 * (f64::from(k) + 0.5) / f64::from(count);
            let z = match allowed {
                Directions::All => z,
                Directions::Tangential => 0.0,
                Directions::Inward => z.min(0.0),
            };
            let (sine, cosine) = (golden * f64::from(k)).sin_cos();
            let across = (1.0 - z * z).sqrt();
            Vector3::new(across * cosine, across * sine, z)
        })
        .collect()
}

type OfCase = fn(&CaseResult) -> f64;
type OfJoint = fn(&RingResult, usize) -> f64;

/// What a load of any direction does, at every point, against the most that 3000 fixed
/// directions do: never less, and more by what lies between them at most.
fn holds_for(design: &Design, on: LoadPlace, directions_allowed: Directions) {
    let model = model(design);
    let size = 12.0;
    let sought = Sought {
        size,
        directions: directions_allowed,
    };
    let any = solved(&model, &[case(on.clone(), LoadVector::Any(sought))]);
    let fixed: Vec<LoadCase> = directions(3000, directions_allowed)
        .into_iter()
        .map(|direction| case(on.clone(), LoadVector::Local(direction * size)))
        .collect();
    let fixed: Vec<RingResult> = fixed.chunks(1).map(|one| solved(&model, one)).collect();
    let compare = |name: &str, any: f64, sampled: f64| {
        assert!(
            any >= sampled * (1.0 - 1e-9),
            "{on:?} {directions_allowed:?} {name}: {any} {sampled}"
        );
        assert!(
            any <= sampled * 1.004,
            "{on:?} {directions_allowed:?} {name}: {any} {sampled}"
        );
    };
    for place in 0..any.points.len() {
        let of: [(&str, OfCase); 5] = [
            ("deflection", |case| case.deflection),
            ("centre shift", |case| case.centre_shift),
            ("tilt", |case| case.tilt),
            ("first torque", |case| case.torque[0]),
            ("second torque", |case| case.torque[1]),
        ];
        for (name, value) in of {
            let sampled = fixed.iter().map(|ring| value(&ring.points[place].cases[0]));
            let most = sampled.fold(0.0, f64::max);
            compare(name, value(&any.points[place].cases[0]), most);
        }
        let stress = |ring: &RingResult| 1.0 / ring.points[place].safety.unwrap().factor;
        compare(
            "safety",
            stress(&any),
            fixed.iter().map(stress).fold(0.0, f64::max),
        );
        if any.points[place].bearing_safety.is_some() {
            let used = |ring: &RingResult| 1.0 / ring.points[place].bearing_safety.unwrap().0;
            compare(
                "bearings",
                used(&any),
                fixed.iter().map(used).fold(0.0, f64::max),
            );
        }
    }
    for joint in 0..any.joint_loads.len() {
        let of: [(&str, OfJoint); 3] = [
            ("axial", |ring, joint| ring.joint_loads[joint].axial),
            ("radial", |ring, joint| ring.joint_loads[joint].radial),
            ("moment", |ring, joint| ring.joint_loads[joint].tilt),
        ];
        for (name, value) in of {
            let most = fixed
                .iter()
                .map(|ring| value(ring, joint))
                .fold(0.0, f64::max);
            compare(name, value(&any, joint), most);
        }
    }
    let ratio = fixed
        .iter()
        .map(|ring| ring.geometric_ratio)
        .fold(0.0, f64::max);
    compare("geometric ratio", any.geometric_ratio, ratio);
}

#[test]
fn any_direction_is_the_worst_of_many() {
    let bar = LoadPlace::Bar {
        name: "bar-right-1".to_string(),
        fraction: 0.4,
    };
    for allowed in [Directions::All, Directions::Tangential, Directions::Inward] {
        holds_for(&loaded_design(), LoadPlace::Grip, allowed);
    }
    holds_for(&loaded_design(), bar, Directions::All);
    holds_for(&loaded_design(), LoadPlace::Tip, Directions::Inward);
    holds_for(&built_design(), LoadPlace::Grip, Directions::Inward);
}

/// At the tip itself: the size over the minimum stiffness.
#[test]
fn any_direction_at_the_tip_is_the_minimum_stiffness() {
    let model = model(&loaded_design());
    let sought = Sought {
        size: 8.0,
        directions: Directions::All,
    };
    let ring = solved(&model, &[case(LoadPlace::Tip, LoadVector::Any(sought))]);
    let wanted = 8.0 / ring.stiffness.least;
    assert!((ring.points[0].cases[0].deflection / wanted - 1.0).abs() < 1e-12);
}

/// Torque of each drive against a force, moment and weight: the slope of their potential, by
/// differences of where the places go when one drive turns.
#[test]
fn torque_under_load_is_the_slope_of_the_potential() {
    let design = loaded_design();
    let model = model(&design);
    let kinematics = &model.kinematics;
    let (second, azimuth) = (1.4, 0.3);
    let pose = pose_at(&model, second, azimuth).unwrap();
    let force = Vector3::new(3.0, -2.0, 5.0);
    let in_base = model.base_from_world * force;
    let body = model.bar_named("bar-right-1").unwrap();
    let point = |active: [f64; 2], on: &LoadPlace| -> Vector3<f64> {
        let pose = kinematics.forward(active).unwrap();
        match on {
            LoadPlace::Tip => pose.frame.radial * 0.1,
            LoadPlace::Grip => pose.frame.radial * 0.19,
            LoadPlace::Bar { fraction, .. } => {
                let solved = model.structure.solve(&pose.configuration, &pose.frame);
                solved.unwrap().point_on_bar(body, *fraction).unwrap()
            }
        }
    };
    let bar = LoadPlace::Bar {
        name: "bar-right-1".to_string(),
        fraction: 0.4,
    };
    for on in [LoadPlace::Tip, LoadPlace::Grip, bar] {
        let loads = [case(on.clone(), LoadVector::World(force))];
        let ring = solve_ring(&model, second, &[azimuth], &loads).unwrap();
        let point_result = &ring.points[0];
        for drive in 0..2 {
            let step = 1e-4;
            let at = |by: f64| {
                let mut active = pose.active;
                active[drive] += by;
                in_base.dot(&point(active, &on))
            };
            let against = -(at(step) - at(-step)) / (2.0 * step);
            let wanted = (point_result.torque[drive] + against).abs();
            let found = point_result.cases[0].torque[drive];
            assert!(
                (found - wanted).abs() < 1e-7 * (1.0 + wanted),
                "{on:?} {found} {wanted}"
            );
        }
    }
    // A pure moment: the work of a body that turns. A rate of the drive turns the tool by
    // its angular velocity, found from two configurations.
    let moment = Vector3::new(0.2, 0.1, -0.3);
    let load = Load {
        on: LoadPlace::Tip,
        force: LoadVector::ZERO,
        moment: LoadVector::World(moment),
    };
    let ring = solve_ring(&model, second, &[azimuth], &[LoadCase::single("m", load)]).unwrap();
    let tool = kinematics.linkage.tool.body;
    for drive in 0..2 {
        let step = 1e-4;
        let turned = |by: f64| {
            let mut active = pose.active;
            active[drive] += by;
            kinematics.forward(active).unwrap().configuration.rotations[tool]
        };
        let turn = (turned(step) * turned(-step).inverse()).scaled_axis() / (2.0 * step);
        let against = -(model.base_from_world * moment).dot(&turn);
        let wanted = (ring.points[0].torque[drive] + against).abs();
        let found = ring.points[0].cases[0].torque[drive];
        assert!((found - wanted).abs() < 1e-7, "{found} {wanted}");
    }
}

/// Two loads together are one load of their sum; beside a load of any direction a fixed one
/// shifts the worst direction.
#[test]
fn loads_together_add_up() {
    let model = model(&loaded_design());
    let load = |force: LoadVector| Load {
        on: LoadPlace::Grip,
        force,
        moment: LoadVector::ZERO,
    };
    let [a, b] = [Vector3::new(3.0, 1.0, -2.0), Vector3::new(-1.0, 4.0, 2.5)];
    let together = LoadCase {
        loads: vec![load(LoadVector::Local(a)), load(LoadVector::Local(b))],
        ..LoadCase::single("both", Load::NOTHING)
    };
    let sum = case(LoadPlace::Grip, LoadVector::Local(a + b));
    let ring = solved(&model, &[together, sum]);
    for point in &ring.points {
        let [both, sum] = [point.cases[0], point.cases[1]];
        let near = |a: f64, b: f64| (a - b).abs() <= 1e-12 * b.abs();
        assert!(near(both.deflection, sum.deflection));
        assert!(near(both.centre_shift, sum.centre_shift));
        assert!(near(both.torque[0], sum.torque[0]) && near(both.torque[1], sum.torque[1]));
    }
    let sought = Sought {
        size: 6.0,
        directions: Directions::All,
    };
    let beside = LoadCase {
        loads: vec![load(LoadVector::World(a)), load(LoadVector::Any(sought))],
        ..LoadCase::single("beside", Load::NOTHING)
    };
    let any = solved(&model, &[beside]);
    let worst = directions(3000, Directions::All)
        .into_iter()
        .map(|direction| {
            let fixed = LoadCase {
                loads: vec![
                    load(LoadVector::World(a)),
                    load(LoadVector::Local(direction * 6.0)),
                ],
                ..LoadCase::single("fixed", Load::NOTHING)
            };
            solved(&model, &[fixed]).points[1].cases[0].deflection
        })
        .fold(0.0, f64::max);
    let found = any.points[1].cases[0].deflection;
    assert!(found >= worst && found < worst * 1.003, "{found} {worst}");
    // Two of any direction have no answer, and say so.
    let twice = LoadCase {
        loads: vec![load(LoadVector::Any(sought)), load(LoadVector::Any(sought))],
        ..LoadCase::single("twice", Load::NOTHING)
    };
    let error = solve_ring(&model, 1.4, &[0.3], &[twice]).unwrap_err();
    assert!(error.to_string().contains("not available yet"), "{error}");
}

/// A limit of one load holds for it alone, in the analysis and in the search.
#[test]
fn a_load_has_limits_of_its_own() {
    let mut brief = brief();
    let mut second = brief.loads[0].clone();
    second.name = "lean".to_string();
    second.limits.set(Quantity::ContactDeflection, Some(1e-9));
    brief.loads.push(second);
    let requirements = Requirements::from_brief(&brief);
    let options = AnalysisOptions {
        bands: false,
        proof: false,
        ..AnalysisOptions::default()
    };
    let mut design = uniform(2, 23.5);
    design.section = brief.choice.sections[1].clone();
    design.tool.mass = Some(0.8.into());
    let analysis = analyse(&design, &requirements, &options).unwrap();
    let deflections: Vec<_> = analysis
        .rows
        .iter()
        .filter(|row| row.quantity == Quantity::ContactDeflection)
        .map(|row| {
            (
                row.load.clone().unwrap(),
                row.needed.unwrap(),
                row.met().unwrap(),
            )
        })
        .collect();
    let wanted = [("press", 0.5e-3, true), ("lean", 1e-9, false)];
    assert_eq!(
        deflections,
        wanted.map(|(name, limit, met)| (name.to_string(), limit, met))
    );
    let whole = |brief: &calotte::brief::Brief| {
        let grid = Grid::new(brief);
        (0..grid.groups.len())
            .flat_map(|group| evaluate_group(brief, &grid, group))
            .filter(|outcome| outcome.verdict.is_whole())
            .map(|outcome| outcome.verdict.feasible())
            .collect::<Vec<_>>()
    };
    assert!(whole(&brief).iter().all(|feasible| !feasible));
    brief.loads[1].limits = calotte::brief::Limits::default();
    assert!(whole(&brief).iter().any(|feasible| *feasible));
}

/// Contact that rises where the body comes nearer: 1 over the radial compliance, over the
/// region from its least to its greatest value.
#[test]
fn contact_stiffness_is_that_along_the_tool() {
    let mut brief = brief();
    brief.limits.set(Quantity::ContactStiffness, Some(1.0));
    let requirements = Requirements::from_brief(&brief);
    let mut design = uniform(2, 23.5);
    design.joints.stiffness = Some(reference_joints());
    let analysis = analyse(&design, &requirements, &AnalysisOptions::default()).unwrap();
    let row = analysis.row(Quantity::ContactStiffness).unwrap();
    let all = || {
        analysis
            .rings
            .iter()
            .map(|ring| 1.0 / ring.compliance[(2, 2)])
    };
    let (low, high) = (
        all().fold(f64::INFINITY, f64::min),
        all().fold(0.0, f64::max),
    );
    assert_eq!(row.got, Ok(high));
    assert_eq!(row.over_region, Some([low, high]));
    assert_eq!(row.met(), Some(false));
}
