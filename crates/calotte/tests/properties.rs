//! Properties on random linkages; sample i uses stream i of the seed.

mod common;

use calotte::analysis::{AnalysisOptions, Requirements, analyse};
use calotte::design::{Design, DriveLayout, Family, ScissorLinkage, ToolCarrier};
use calotte::elasticity::Structure;
use calotte::kinematics::closure::close_by_continuation;
use calotte::kinematics::jacobian::tool_jacobian;
use calotte::kinematics::working_range::{all_ranges, isolate_singularities};
use calotte::kinematics::{Kinematics, Margins, inverse};
use calotte::quantity::Quantity;
use calotte::sphere::Region;
use common::long_form::cases;
use common::*;
use nalgebra::{Rotation3, Unit, Vector3, Vector6};
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;

const SEED: u64 = 20_261_125;

fn stream(index: u64) -> ChaCha8Rng {
    let mut random = ChaCha8Rng::seed_from_u64(SEED);
    random.set_stream(index);
    random
}

/// A random scissor linkage or arm with a mechanism configuration in the middle
/// of one of its ranges.
fn random_case(random: &mut ChaCha8Rng) -> Option<(Design, Kinematics, [f64; 2])> {
    let mut design = if random.random_bool(0.8) {
        let stages = random.random_range(1..=4usize);
        let arcs = |random: &mut ChaCha8Rng| -> Vec<f64> {
            (0..stages)
                .map(|_| random.random_range(12.0..45.0) * DEGREE)
                .collect()
        };
        let proximal_arcs = arcs(random);
        // Distal arcs near the proximal ones, so that most openings close.
        let distal_arcs = proximal_arcs
            .iter()
            .map(|a| a * random.random_range(0.9..1.3))
            .collect();
        let bends = (1..stages)
            .map(|_| random.random_range(-15.0..40.0) * DEGREE)
            .collect();
        design(Family::scissor_linkage(ScissorLinkage {
            proximal_arcs,
            distal_arcs,
            bends,
            assembly_modes: vec![1; stages],
            sides: Default::default(),
        }))
    } else {
        arm(
            random.random_range(20.0..90.0),
            random.random_range(20.0..90.0),
        )
    };
    design.drives.layout = if random.random_bool(0.5) {
        DriveLayout::TwoBars
    } else {
        DriveLayout::SwingAndOpening
    };
    design.drives.ratio = [
        random.random_range(0.3..4.0),
        -random.random_range(0.3..4.0),
    ];
    design.tool.carried_by =
        [ToolCarrier::Left, ToolCarrier::Right, ToolCarrier::Bisector][random.random_range(0..3)];
    design.tool.bracket_arc = random.random_range(-8.0..8.0) * DEGREE;
    design.tool.tip_radius = random.random_range(0.08..0.2);
    let kinematics = Kinematics::new(&design).ok()?;
    let ranges = all_ranges(&kinematics, &design.drives.range, &Margins::default());
    let range = ranges
        .iter()
        .max_by(|a, b| (a.second[1] - a.second[0]).total_cmp(&(b.second[1] - b.second[0])))?;
    let second =
        range.second[0] + (range.second[1] - range.second[0]) * random.random_range(0.15..0.85);
    let first = random.random_range(-3.0..3.0);
    Some((design, kinematics, [first, second]))
}

/// So many random cases that can be built, with their stream and what is left of it; none is
/// left out uncounted, and at most half of the streams may give none.
fn built_cases(
    first: u64,
    count: u64,
) -> impl Iterator<Item = (u64, ChaCha8Rng, Design, Kinematics, [f64; 2])> {
    let case = move |drawn: u64| {
        assert!(drawn < 2 * count, "too few random cases can be built");
        let mut random = stream(first + drawn);
        let (design, kinematics, mechanism) = random_case(&mut random)?;
        Some((first + drawn, random, design, kinematics, mechanism))
    };
    let count = usize::try_from(count).unwrap();
    (0..).filter_map(case).take(count)
}

#[test]
fn general_closure_meets_the_closed_form() {
    let count = cases(1000, 10_000);
    let mut compared = 0;
    for (index, mut random, _, kinematics, mechanism) in built_cases(0, count) {
        let start = kinematics.forward_from_mechanism(mechanism).unwrap();
        let moved = [
            mechanism[0] + random.random_range(-0.3..0.3),
            mechanism[1] + random.random_range(-0.05..0.05),
        ];
        let Ok(target) = kinematics.forward_from_mechanism(moved) else {
            continue;
        };
        let found = close_by_continuation(
            &kinematics.linkage,
            &start.configuration,
            start.active,
            target.active,
        )
        .unwrap_or_else(|error| panic!("case {index}: {error}"));
        let worst = found
            .configuration
            .rotations
            .iter()
            .zip(&target.configuration.rotations)
            .map(|(a, b)| (a.matrix() - b.matrix()).norm())
            .fold(0.0, f64::max);
        assert!(worst < 1e-9, "case {index}: {worst:e}");
        compared += 1;
    }
    assert!(
        compared > count / 10 * 9,
        "{compared} of {count} moved cases close"
    );
}

#[test]
fn inverse_after_forward_returns_and_jacobians_agree() {
    for (index, _, design, kinematics, mechanism) in built_cases(100_000, cases(200, 2000)) {
        let pose = kinematics.forward_from_mechanism(mechanism).unwrap();
        let range = all_ranges(&kinematics, &design.drives.range, &Margins::default())
            .into_iter()
            .find(|r| r.second[0] <= mechanism[1] && mechanism[1] <= r.second[1])
            .unwrap();
        let back = inverse(&kinematics, &range, pose.direction).unwrap();
        assert!((back.direction.vector() - pose.direction.vector()).norm() < 1e-10);
        assert!(
            (back.mechanism[1] - pose.mechanism[1]).abs() < 1e-7,
            "{index}"
        );
        let general = tool_jacobian(&kinematics.linkage, &pose.configuration, &pose.frame).unwrap();
        assert!(
            (general - pose.jacobian).norm() < 1e-8 * general.norm(),
            "{index}"
        );
        let step = 1e-6;
        for active in 0..2 {
            let at = |sign: f64| {
                let mut moved = pose.active;
                moved[active] += sign * step;
                kinematics.forward(moved).unwrap().direction.vector()
            };
            let slope = (at(1.0) - at(-1.0)) / (2.0 * step);
            let difference = (slope.dot(&pose.frame.polar) - pose.jacobian[(0, active)])
                .hypot(slope.dot(&pose.frame.azimuth) - pose.jacobian[(1, active)]);
            assert!(difference < 1e-6 * (1.0 + pose.jacobian.norm()), "{index}");
        }
    }
}

#[test]
fn compliance_is_reciprocal_positive_and_its_energy_is_the_work() {
    for (index, mut random, mut design, kinematics, mechanism) in
        built_cases(200_000, cases(100, 1000))
    {
        if random.random_bool(0.7) {
            design.joints.stiffness = Some(reference_joints());
        }
        if random.random_bool(0.3) {
            for drive in &mut design.drives.each {
                drive.stiffness = Some(400.0.into());
            }
        }
        let structure = Structure::new(&design, &kinematics.linkage).unwrap();
        let pose = kinematics.forward_from_mechanism(mechanism).unwrap();
        let solved = structure.solve(&pose.configuration, &pose.frame).unwrap();
        let compliance = solved.tip_compliance();
        assert!(compliance.symmetric_eigenvalues().min() > 0.0, "{index}");
        // The compliance is made symmetric; each column of these is a response of its own.
        let columns: Vec<Vector6<f64>> = (0..6)
            .map(|axis| {
                let mut unit = Vector6::zeros();
                unit[axis] = 1.0;
                solved.respond(&solved.tip_load(&unit)).unwrap().tip
            })
            .collect();
        for (i, column) in columns.iter().enumerate() {
            for (j, other) in columns.iter().enumerate() {
                let scale = (compliance[(i, i)] * compliance[(j, j)]).sqrt();
                let apart = (column[j] - other[i]).abs() / scale;
                assert!(apart < 1e-8, "{index}: {i} and {j} differ by {apart:e}");
                let apart = (column[j] - compliance[(i, j)]).abs() / scale;
                assert!(apart < 1e-8, "{index}: {i}, {j} by {apart:e}");
            }
        }
        let wrench = Vector6::from_fn(|_, _| random.random_range(-1.0..1.0));
        let response = solved.respond(&solved.tip_load(&wrench)).unwrap();
        let work = 0.5 * wrench.dot(&(compliance * wrench));
        let energy: f64 = response.energy.iter().sum();
        assert!(
            (energy / work - 1.0).abs() < 1e-7,
            "{index}: {energy} {work}"
        );
    }
}

#[test]
fn sampled_ranges_end_where_the_isolation_stops() {
    for (index, _, design, kinematics, _) in built_cases(300_000, cases(60, 600)) {
        let span = kinematics.meridian.natural_span();
        let stops: Vec<f64> = isolate_singularities(&kinematics.meridian, span)
            .iter()
            .flat_map(|isolation| isolation.stops())
            .flat_map(|stop| [stop.lo, stop.hi])
            .chain(span)
            .collect();
        for range in all_ranges(&kinematics, &design.drives.range, &Margins::default()) {
            for end in range.second {
                assert!(
                    stops.iter().any(|stop| (stop - end).abs() < 1e-5),
                    "case {index}: {end} among {stops:?}"
                );
            }
            // And no stop lies inside a sampled range.
            for stop in &stops {
                let inside = range.second[0] + 1e-5 < *stop && *stop < range.second[1] - 1e-5;
                assert!(!inside, "case {index}: {stop} in {:?}", range.second);
            }
        }
    }
}

#[test]
fn turning_mount_and_region_about_the_vertical_changes_nothing() {
    let mut design = uniform(2, 23.0);
    design.tool.mass = Some(0.8.into());
    design.joints.stiffness = Some(reference_joints());
    design.mount.axis = Vector3::new(0.5, 0.1, 0.8);
    design.mount.reference = Vector3::new(0.2, 1.0, 0.0);
    let region = Region::cap(Vector3::new(0.3, 0.0, 0.9).normalize(), 50.0 * DEGREE);
    let mut requirements = Requirements::without_brief(&design);
    requirements.region = region.clone();
    let plain = analyse(&design, &requirements, &AnalysisOptions::default()).unwrap();
    let turn = Rotation3::from_axis_angle(&Unit::new_normalize(Vector3::z()), 1.1);
    let mut turned_design = design.clone();
    turned_design.mount.axis = turn * design.mount.axis;
    turned_design.mount.reference = turn * design.mount.reference;
    requirements.region = region.rotated(turn.matrix());
    let turned = analyse(&turned_design, &requirements, &AnalysisOptions::default()).unwrap();
    for kind in [
        Quantity::Coverage,
        Quantity::Sag,
        Quantity::HoldingTorque,
        Quantity::Gci,
    ] {
        let value = |analysis: &calotte::analysis::Analysis| {
            analysis.row(kind).unwrap().got.clone().unwrap()
        };
        let (a, b) = (value(&plain), value(&turned));
        assert!((a - b).abs() < 1e-8 * a.abs(), "{kind:?} {a} {b}");
    }
}
