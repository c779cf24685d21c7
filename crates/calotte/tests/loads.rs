//! Load cases: any direction against many fixed ones, torque against virtual work, loads that
//! act together, limits of one load.

mod common;

use calotte::analysis::loaded::{Loading, loaded_shape};
use calotte::analysis::loaded_index::lci_under_load;
use calotte::analysis::ring::{CaseResult, RingResult, pose_at, solve_ring};
use calotte::analysis::{AnalysisOptions, LoadedIndex, Requirements, analyse};
use calotte::brief::{Directions, Load, LoadCase, LoadFrame, LoadPlace, LoadVector, Sought};
use calotte::design::{Arrangement, Design};
use calotte::kinematics::Pose;
use calotte::kinematics::conditioning::local_conditioning_index;
use calotte::quantity::Quantity;
use calotte::search::{Grid, evaluate_group};
use calotte::subject::Model;
use common::brief::brief;
use common::*;
use nalgebra::{Matrix2, Vector3};

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
    LoadCase::single(
        "load",
        Load {
            on,
            force,
            moment,
            ..Load::NOTHING
        },
    )
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
        ..Load::NOTHING
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
        ..Load::NOTHING
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

/// LCI at a pose from where the tip stands under load at active joint angles beside it.
fn lci_by_differences(model: &Model, pose: &Pose, case: &LoadCase, in_world: bool) -> f64 {
    let step = 2e-3;
    // What the load is in the world at the pose itself.
    let fixed = |here: &Pose| {
        let mut case = case.clone();
        for load in &mut case.loads {
            if let (LoadVector::Local(local), true) = (load.force, in_world) {
                let base = pose.frame.rotation() * local;
                load.force = LoadVector::Local(here.frame.rotation().transpose() * base);
            }
        }
        case
    };
    let tip = |active: [f64; 2]| {
        let here = model.kinematics.forward(active).unwrap();
        let shape = loaded_shape(model, &here, Loading::Case(&fixed(&here))).unwrap();
        shape.tip + shape.tip_displacement
    };
    let radius = model.structure.tip_radius();
    let mut total = Matrix2::zeros();
    for drive in 0..2 {
        let at = |steps: f64| {
            let mut active = pose.active;
            active[drive] += steps * step;
            tip(active)
        };
        let both = |n: f64| at(n) - at(-n);
        let rate = (both(1.0) * 45.0 - both(2.0) * 9.0 + both(3.0)) / (60.0 * step * radius);
        total[(0, drive)] = rate.dot(&pose.frame.polar);
        total[(1, drive)] = rate.dot(&pose.frame.azimuth);
    }
    let singular = total.singular_values();
    singular.min() / singular.max()
}

/// Against differences of the deflected tip, whichever way the load keeps its direction, for
/// every place; and towards the rigid index as the load vanishes.
#[test]
fn index_under_load_is_that_of_the_deflected_tip() {
    let model = model(&loaded_design());
    let pose = pose_at(&model, 1.4, 0.3).unwrap();
    let rigid = local_conditioning_index(&pose.jacobian);
    let bar = LoadPlace::Bar {
        name: "bar-right-1".to_string(),
        fraction: 0.4,
    };
    for on in [LoadPlace::Tip, LoadPlace::Grip, bar] {
        for frame in [LoadFrame::Tool, LoadFrame::World] {
            let of_size = |size: f64| {
                LoadCase::single(
                    "load",
                    Load {
                        on: on.clone(),
                        force: LoadVector::Local(Vector3::new(30.0, -20.0, 25.0) * size),
                        frame: Some(frame),
                        ..Load::NOTHING
                    },
                )
            };
            let found = lci_under_load(&model, &pose, &of_size(1.0)).unwrap();
            let in_world = frame == LoadFrame::World;
            let wanted = lci_by_differences(&model, &pose, &of_size(1.0), in_world);
            assert!(
                (found / wanted - 1.0).abs() < 1e-6,
                "{on:?} {frame:?} {found} {wanted}"
            );
            let change =
                |size: f64| (lci_under_load(&model, &pose, &of_size(size)).unwrap() - rigid) / size;
            // The change has a part that grows as the load, and one as its square: halving the
            // load twice tells them apart.
            let [whole, half, quarter] = [change(1.0), change(0.5), change(0.25)];
            let (slope, next) = (2.0 * half - whole, 2.0 * quarter - half);
            let scale = whole.abs().max(slope.abs()).max((whole - slope).abs());
            assert!(scale > 1e-5, "{on:?} {frame:?} {whole}");
            assert!(
                (slope - next).abs() < 0.02 * scale,
                "{on:?} {frame:?} {whole} {half} {quarter}"
            );
            let nothing = lci_under_load(&model, &pose, &of_size(1e-9)).unwrap();
            assert!((nothing - rigid).abs() < 1e-10);
        }
    }
}

/// Over a region: mean and minimum against many directions, virtual joints near the
/// structure, a load of any direction refused in words.
#[test]
fn index_under_load_over_a_region_is_the_mean_of_many_directions() {
    let mut brief = brief();
    brief.loads[0].loads[0].force = LoadVector::World(Vector3::new(4.0, 1.0, -3.0));
    let sought = Sought {
        size: 8.0,
        directions: Directions::All,
    };
    brief
        .loads
        .push(case(LoadPlace::Tip, LoadVector::Any(sought)));
    let design = uniform(2, 23.5);
    let requirements = Requirements::from_brief(&brief);
    let analysis = analyse(&design, &requirements, &AnalysisOptions::default()).unwrap();
    let [fixed, any] = &analysis.under_load[..] else {
        panic!("{:?}", analysis.under_load);
    };
    assert_eq!(fixed.fixed_in, "fixed in the world");
    assert!(any.exact.as_ref().unwrap_err().contains("any direction"));
    let found = fixed.exact.as_ref().unwrap();
    let model = model(&design);
    let (range, region) = (analysis.working_range.unwrap(), &analysis.region_in_base);
    let [low, high] = region.polar_extent().unwrap();
    let (low, high) = (low.max(range.polar_min()), high.min(range.polar_max()));
    let (rings, around) = (60, 8);
    // The rigid index has a corner where it is 1; the change jumps there.
    let polar_at = |x: f64| low + (high - low) * x;
    let rigid_at = |polar: f64| {
        let second = range.second_for_polar(&model.kinematics.meridian, polar);
        local_conditioning_index(&pose_at(&model, second.unwrap(), 0.0).unwrap().jacobian)
    };
    let corner = (1..20_000)
        .map(|k| polar_at(f64::from(k) / 20_000.0))
        .max_by(|a, b| rigid_at(*a).total_cmp(&rigid_at(*b)))
        .unwrap();
    let (mut change, mut least) = (0.0, f64::INFINITY);
    for [from, to] in [[low, corner], [corner, high]] {
        for ring in 0..rings {
            let width = (to - from) / f64::from(rings);
            let polar = from + width * (f64::from(ring) + 0.5);
            let second = range
                .second_for_polar(&model.kinematics.meridian, polar)
                .unwrap();
            for k in 0..around {
                let azimuth = std::f64::consts::TAU * f64::from(k) / f64::from(around);
                let pose = pose_at(&model, second, azimuth).unwrap();
                let lci = lci_under_load(&model, &pose, &brief.loads[0]).unwrap();
                let rigid = local_conditioning_index(&pose.jacobian);
                let area = polar.sin() * width * std::f64::consts::TAU / f64::from(around);
                change += (lci - rigid) * area;
                least = least.min(lci);
            }
        }
    }
    let wanted = analysis.conditioning.gci + change / region.area();
    assert!(
        (found.gci - wanted).abs() < 0.02 * (wanted - analysis.conditioning.gci).abs() + 1e-7,
        "{found:?} {wanted} {:?}",
        analysis.conditioning
    );
    assert!((found.gci - analysis.conditioning.gci).abs() > 1e-6);
    // The ends of the range, where the index is lowest, by many azimuths.
    for polar in [low + 1e-9, high - 1e-9] {
        let second = range
            .second_for_polar(&model.kinematics.meridian, polar)
            .unwrap();
        for k in 0..64 {
            let azimuth = std::f64::consts::TAU * f64::from(k) / 64.0;
            let pose = pose_at(&model, second, azimuth).unwrap();
            least = least.min(lci_under_load(&model, &pose, &brief.loads[0]).unwrap());
        }
    }
    let over = found.lci_min / least - 1.0;
    assert!(over > -1e-7 && over < 1e-3, "{found:?} {least}");
}

/// Virtual joints lack shear and axial terms, which govern near the base axis and less at its
/// side: there their change of the index is that of the structure within a tenth.
#[test]
fn virtual_joints_change_the_index_as_the_structure_does_off_the_base_axis() {
    let mut brief = brief();
    let polar = 70.0 * DEGREE;
    let axis = Vector3::new(polar.sin(), 0.0, polar.cos());
    brief.region = calotte::sphere::Region::cap(axis, 3.0 * DEGREE);
    brief.loads[0].loads[0].force = LoadVector::World(Vector3::new(4.0, 1.0, 0.0));
    let requirements = Requirements::from_brief(&brief);
    let options = AnalysisOptions::default();
    let analysis = analyse(&uniform(2, 23.5), &requirements, &options).unwrap();
    let found = &analysis.under_load[0];
    let change = |index: &Result<LoadedIndex, String>| {
        index.as_ref().unwrap().gci - analysis.conditioning.gci
    };
    let (exact, other) = (change(&found.exact), change(&found.virtual_joints));
    assert!(exact.abs() > 1e-4, "{exact}");
    assert!((other / exact - 1.0).abs() < 0.1, "{other} {exact}");
    // A load on a bar moves no virtual joint that it knows of, and it says so.
    brief.loads[0].loads[0].on = LoadPlace::Bar {
        name: "bar-left-1".to_string(),
        fraction: 0.5,
    };
    let requirements = Requirements::from_brief(&brief);
    let analysis = analyse(&uniform(2, 23.5), &requirements, &options).unwrap();
    let found = &analysis.under_load[0];
    assert!(found.exact.is_ok());
    let why = found.virtual_joints.as_ref().unwrap_err();
    assert!(why.contains("not represented"), "{why}");
}
