//! The working range by cells: against the rings for what turns about a fixed axis, and
//! against random directions for the five-bar.

mod common;

use calotte::design::{Design, Elbows, Family, FiveBar};
use calotte::kinematics::by_closure::ByClosure;
use calotte::kinematics::conditioning::conditioning;
use calotte::kinematics::range_choice::working_range;
use calotte::kinematics::{Kinematics, Margins, Workspace, inverse};
use calotte::sphere::{Direction, Region};
use common::*;
use nalgebra::Vector3;
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;

/// Rings and cells of one design over one region, margins and all.
fn compare(design: &Design, margins: &Margins, region: &Region) {
    let kinematics = Kinematics::new(design).unwrap();
    let ring = working_range(&kinematics, &design.drives.range, margins, region).unwrap();
    let expected = conditioning(&kinematics, &ring, region);
    let workspace = Workspace::of_rings(&kinematics, ring.clone());
    let cells = workspace
        .range(&design.drives.range, margins, region)
        .unwrap();
    let found = workspace.summary(&cells, region);
    let coverage = found.conditioning.coverage;
    assert!((coverage.required - expected.coverage.required).abs() < 1e-12);
    // Rounding is stated by no cell.
    let within = |difference: f64, error: f64| difference.abs() <= error + 1e-9;
    assert!(
        within(
            coverage.fraction - expected.coverage.fraction,
            found.coverage_error
        ),
        "coverage {} for {}, stated {}",
        coverage.fraction,
        expected.coverage.fraction,
        found.coverage_error
    );
    assert!(
        within(found.conditioning.gci - expected.gci, found.gci_error),
        "GCI {} for {}, stated {}",
        found.conditioning.gci,
        expected.gci,
        found.gci_error
    );
    assert!(found.coverage_error < 0.01 && found.gci_error < 0.02);
    assert!(found.conditioning.lci_min >= expected.lci_min - 1e-9);
    let step = 2.0 * DEGREE;
    assert!((cells.polar[0] - ring.polar_min()).abs() < step);
    assert!((cells.polar[1] - ring.polar_max()).abs() < step);
}

#[test]
fn scissor_linkages_and_arms_by_cells_equal_their_rings() {
    let margins = Margins {
        lci_min: 0.25,
        transmission_angle_min: 20.0 * DEGREE,
    };
    let dome = Region::cap(Vector3::z(), 90.0 * DEGREE);
    let tilted = Region::cap(Vector3::new(0.5, 0.3, 0.8).normalize(), 40.0 * DEGREE);
    let mut swung = uniform(2, 23.5);
    swung.drives.range.first = Some([-1.1, 0.9]);
    let mut short = arm(70.0, 55.0);
    short.drives.range.first = Some([0.2, 2.9]);
    let bent = scissor(&[30.0, 28.0], &[31.0, 29.0], &[55.0]);
    for design in [&bent, &swung, &arm(70.0, 55.0)] {
        compare(design, &margins, &dome);
    }
    for design in [&swung, &short] {
        compare(design, &margins, &tilted);
    }
    compare(&uniform(3, 15.5), &Margins::default(), &dome);
}

/// Bodies and joints alone, no closed form, carried from one pose inside the range.
fn by_closure(design: &Design, margins: &Margins, region: &Region) {
    let kinematics = Kinematics::new(design).unwrap();
    let ring = working_range(&kinematics, &design.drives.range, margins, region).unwrap();
    let expected = conditioning(&kinematics, &ring, region);
    let second = 0.4 * ring.second[0] + 0.6 * ring.second[1];
    let first = ring.first.map_or(0.3, |[from, to]| 0.5 * (from + to));
    let inside = kinematics.forward_from_mechanism([first, second]).unwrap();
    let carried = ByClosure::new(
        kinematics.linkage.clone(),
        kinematics.meridian.mechanism_from_active,
        inside.active,
        &inside.configuration,
    )
    .unwrap();
    let workspace = Workspace::answered_by(&kinematics, Box::new(carried));
    let cells = workspace
        .range(&design.drives.range, margins, region)
        .unwrap();
    let found = workspace.summary(&cells, region);
    let apart = found.conditioning.coverage.fraction - expected.coverage.fraction;
    let title = &design.family;
    assert!(
        apart.abs() <= found.coverage_error + 1e-9,
        "{title:?}: coverage off by {apart}, stated {}",
        found.coverage_error
    );
    let apart = found.conditioning.gci - expected.gci;
    assert!(
        apart.abs() <= found.gci_error + 1e-9,
        "{title:?}: GCI off by {apart}, stated {}",
        found.gci_error
    );
    assert!(expected.coverage.fraction > 0.2);
    assert!(found.coverage_error < 0.02 && found.gci_error < 0.03);
    // The poses are those of the closed form.
    let mut met = 0;
    for i in 0..60 {
        let direction = Direction {
            polar: 0.2 + 0.025 * f64::from(i),
            azimuth: 2.4 * f64::from(i),
        };
        let closed = inverse(&kinematics, &ring, direction).ok();
        if let (Some(a), Some(b)) = (closed, workspace.within(&cells, direction)) {
            met += 1;
            let rotations = a.configuration.rotations.iter();
            for (a, b) in rotations.zip(&b.pose.configuration.rotations) {
                assert!((a.matrix() - b.matrix()).norm() < 1e-8);
            }
            assert!((a.jacobian - b.pose.jacobian).norm() < 1e-7 * (1.0 + a.jacobian.norm()));
        }
    }
    assert!(met > 10, "{title:?}: {met}");
}

#[test]
fn scissor_linkages_and_arms_from_bodies_and_joints_alone_equal_their_rings() {
    let margins = Margins {
        lci_min: 0.2,
        transmission_angle_min: 0.0,
    };
    let dome = Region::cap(Vector3::z(), 85.0 * DEGREE);
    let mut swung = uniform(2, 23.5);
    swung.drives.range.first = Some([-1.1, 0.9]);
    // Two bars driven, so that each mechanism angle hangs on both drives; ratios apart.
    swung.drives.ratio = [1.0, 2.0];
    let designs = [
        swung,
        scissor(&[30.0, 28.0], &[31.0, 29.0], &[55.0]),
        arm(70.0, 55.0),
    ];
    for design in &designs {
        by_closure(design, &margins, &dome);
    }
}

fn five_bar() -> (Design, Workspace) {
    let mut design = design(Family::five_bar(FiveBar {
        base_arc: 50.0 * DEGREE,
        proximal_arcs: [55.0 * DEGREE, 50.0 * DEGREE],
        distal_arcs: [62.0 * DEGREE, 58.0 * DEGREE],
        elbows: Elbows::Out,
    }));
    design.drives.ratio = [1.0, 2.0];
    let kinematics = Kinematics::new(&design).unwrap();
    let workspace = Workspace::of(&kinematics).unwrap();
    (design, workspace)
}

#[test]
fn a_five_bar_by_cells_agrees_with_random_directions() {
    let (mut design, workspace) = five_bar();
    design.drives.range.first = Some([40.0 * DEGREE, 200.0 * DEGREE]);
    let margins = Margins {
        lci_min: 0.15,
        transmission_angle_min: 20.0 * DEGREE,
    };
    let axis = Vector3::new(0.0, 0.6, 0.8);
    let region = Region::cap(axis, 60.0 * DEGREE);
    let range = workspace
        .range(&design.drives.range, &margins, &region)
        .unwrap();
    let summary = workspace.summary(&range, &region);
    let coverage = summary.conditioning.coverage;
    assert!(coverage.fraction > 0.1 && coverage.fraction < 0.95);
    let mut random = ChaCha8Rng::seed_from_u64(11);
    let (mut inside, mut lci, count) = (0.0, 0.0, 20_000);
    for _ in 0..count {
        // Uniform on the cap.
        let height = random.random_range((60.0 * DEGREE).cos()..1.0);
        let turn: f64 = random.random_range(0.0..std::f64::consts::TAU);
        let across = axis.cross(&Vector3::x());
        let side = (1.0 - height * height).sqrt();
        let vector = axis * height + (Vector3::x() * turn.cos() + across * turn.sin()) * side;
        if let Some(stand) = workspace.within(&range, Direction::of(&vector)) {
            inside += 1.0;
            let index =
                calotte::kinematics::conditioning::local_conditioning_index(&stand.pose.jacobian);
            assert!(index >= margins.lci_min);
            assert!(stand.transmission.unwrap() >= margins.transmission_angle_min);
            let left = stand.pose.mechanism[0].rem_euclid(std::f64::consts::TAU);
            assert!((40.0 * DEGREE..=200.0 * DEGREE).contains(&left));
            lci += index;
            // The pose closes, and its drives bring it back.
            let back = workspace.forward(stand.pose.active, Some(&range)).unwrap();
            assert!((back.pose.direction.vector() - vector).norm() < 1e-9);
        }
    }
    // Four standard errors of the samples, and what the cells state.
    let share = inside / f64::from(count);
    let noise = 4.0 * (share * (1.0 - share) / f64::from(count)).sqrt();
    assert!((share - coverage.fraction).abs() < noise + summary.coverage_error);
    let mean = lci / f64::from(count);
    assert!((mean - summary.conditioning.gci).abs() < noise + summary.gci_error);
    assert!(summary.coverage_error < 0.01, "{}", summary.coverage_error);
    assert!(summary.transmission.unwrap().0 >= margins.transmission_angle_min);
    assert!(summary.conditioning.lci_min >= margins.lci_min);
}

/// A direction outside is answered with the nearest of the range.
#[test]
fn a_direction_out_of_reach_has_a_nearest_one() {
    let (design, workspace) = five_bar();
    let region = Region::cap(Vector3::z(), 90.0 * DEGREE);
    let margins = Margins {
        lci_min: 0.15,
        transmission_angle_min: 20.0 * DEGREE,
    };
    let range = workspace
        .range(&design.drives.range, &margins, &region)
        .unwrap();
    let below = Direction {
        polar: 170.0 * DEGREE,
        azimuth: 90.0 * DEGREE,
    };
    assert!(workspace.within(&range, below).is_none());
    let (stand, apart) = workspace.nearest(&range, below).unwrap();
    let target = below.vector();
    for i in 0..4000 {
        let direction = Direction {
            polar: f64::from(i / 60) * 0.045,
            azimuth: f64::from(i % 60) * 0.105,
        };
        if let Some(other) = workspace.within(&range, direction) {
            let angle = other.pose.direction.vector().angle(&target);
            // To half a cell.
            assert!(angle > apart - 1.5 * DEGREE, "{direction:?}");
        }
    }
    assert!(workspace.within(&range, stand.pose.direction).is_some());
}

/// What hangs together only through a singularity is another range: each assembly mode
/// alone, although both can be reached.
#[test]
fn a_range_is_one_assembly() {
    let (design, workspace) = five_bar();
    let region = Region::cap(Vector3::z(), 90.0 * DEGREE);
    let range = workspace
        .range(&design.drives.range, &Margins::default(), &region)
        .unwrap();
    assert!(range.parts >= 2);
    let reached = |azimuth: f64| {
        let direction = Direction {
            polar: 50.0 * DEGREE,
            azimuth: azimuth * DEGREE,
        };
        (
            workspace.stand(direction).is_some(),
            workspace.within(&range, direction).is_some(),
        )
    };
    let sides = [reached(90.0), reached(270.0)];
    assert!(sides.iter().any(|(_, within)| *within));
    assert!(sides.iter().any(|(stands, within)| *stands && !within));
}
