//! Kinematics against published definitions' check values, finite differences
//! and Newton's closure.

mod common;

use calotte::design::{DriveLayout, ToolCarrier};
use calotte::kinematics::closure::close;
use calotte::kinematics::conditioning::conditioning;
use calotte::kinematics::jacobian::tool_jacobian;
use calotte::kinematics::range_choice::{best_range, working_range};
use calotte::kinematics::working_range::{
    Limit, all_ranges, isolate_singularities, singularity_report,
};
use calotte::kinematics::{Kinematics, Margins};
use calotte::linkage::JointRole;
use calotte::linkage::mobility::{checked_mobility, mobility};
use calotte::sphere::{Direction, Region};
use common::*;
use nalgebra::Vector3;

fn polar_deg(design: &calotte::design::Design, half_angle: f64) -> f64 {
    let kinematics = Kinematics::new(design).unwrap();
    let pose = kinematics
        .forward_from_mechanism([0.3, 2.0 * half_angle * DEGREE])
        .unwrap();
    pose.direction.polar / DEGREE
}

#[test]
fn polar_angles_of_the_three_reference_linkages() {
    assert!((polar_deg(&uniform(2, 23.5), 50.0) - 62.461012).abs() < 5e-7);
    assert!((polar_deg(&scissor(&[38.0], &[50.0], &[]), 65.0) - 57.505687).abs() < 5e-7);
    let bent = scissor(&[30.0, 28.0], &[31.0, 29.0], &[55.0]);
    assert!((polar_deg(&bent, 40.0) - 55.196117).abs() < 5e-7);
}

/// What a joint is follows from what it ties: the ground, the branches at their ends, the
/// tool's own body.
#[test]
fn roles_of_joints_agree_with_what_they_tie() {
    let mut bisected = uniform(2, 30.0);
    bisected.tool.carried_by = ToolCarrier::Bisector;
    let mut counts = [0; 4];
    for design in [uniform(3, 20.0), bisected, arm(60.0, 50.0)] {
        let linkage = Kinematics::new(&design).unwrap().linkage;
        for (index, joint) in linkage.joints.iter().enumerate() {
            let places = [joint.first, joint.second];
            let arcs = |body: usize| linkage.bodies[body].arcs.len();
            let follows = linkage.follower.is_some_and(|one| one.joint == index);
            let role = if places.iter().any(|place| place.body == 0) {
                JointRole::Base
            } else if follows {
                JointRole::Tool
            } else if places.iter().all(|place| {
                // Two bars both end their first arc at an apex alone.
                place.station == 1 && arcs(place.body) > 0
            }) {
                JointRole::Apex
            } else {
                JointRole::Side
            };
            assert_eq!(joint.role, role, "{}", joint.name);
            counts[role as usize] += 1;
        }
    }
    assert_eq!(counts, [5, 11, 5, 1]);
}

fn half_sphere_gci(design: &calotte::design::Design) -> (f64, f64, f64) {
    let kinematics = Kinematics::new(design).unwrap();
    let region = Region::cap(Vector3::z(), 90.0 * DEGREE);
    let range = working_range(
        &kinematics,
        &design.drives.range,
        &Margins::default(),
        &region,
    )
    .unwrap();
    let summary = conditioning(&kinematics, &range, &region);
    (
        summary.gci,
        range.polar_min() / DEGREE,
        range.polar_max() / DEGREE,
    )
}

#[test]
fn gci_of_the_reference_linkages_over_the_half_sphere() {
    assert!((half_sphere_gci(&uniform(2, 24.0)).0 - 0.60364).abs() < 5e-6);
    assert!((half_sphere_gci(&uniform(3, 15.5)).0 - 0.60661).abs() < 5e-6);
    assert!((half_sphere_gci(&uniform(1, 48.0)).0 - 0.56100).abs() < 5e-6);
    let bent = half_sphere_gci(&scissor(&[30.0, 28.0], &[31.0, 29.0], &[55.0]));
    assert!((bent.0 - 0.75808).abs() < 5e-6, "{bent:?}");
    assert!((bent.1 - 4.31418).abs() < 5e-6 && (bent.2 - 96.61135).abs() < 5e-6);
}

#[test]
fn the_index_depends_on_the_drive_layout() {
    let mut design = uniform(2, 23.75);
    assert!((half_sphere_gci(&design).0 - 0.604).abs() < 5e-4);
    design.drives.layout = DriveLayout::SwingAndOpening;
    assert!((half_sphere_gci(&design).0 - 0.615).abs() < 5e-4);
    let mut bent = scissor(&[30.0, 28.0], &[31.0, 29.0], &[55.0]);
    bent.drives.layout = DriveLayout::SwingAndOpening;
    assert!((half_sphere_gci(&bent).0 - 0.639).abs() < 5e-4);
}

#[test]
fn closed_form_configuration_closes_every_joint() {
    for design in [
        uniform(3, 20.0),
        scissor(&[30.0, 28.0, 20.0], &[31.0, 29.0, 25.0], &[20.0, -10.0]),
        arm(70.0, 55.0),
    ] {
        for carrier in [ToolCarrier::Left, ToolCarrier::Right, ToolCarrier::Bisector] {
            let mut design = design.clone();
            design.tool.carried_by = carrier;
            design.tool.bracket_arc = 7.0 * DEGREE;
            let kinematics = Kinematics::new(&design).unwrap();
            let pose = kinematics.forward_from_mechanism([0.4, 1.3]).unwrap();
            assert!(kinematics.linkage.closure_error(&pose.configuration) < 1e-14);
            let tool = kinematics.linkage.tool_direction(&pose.configuration);
            assert!(
                (tool - pose.direction.vector()).norm() < 1e-14,
                "{carrier:?}"
            );
        }
    }
}

#[test]
fn both_jacobians_and_finite_differences_agree() {
    for layout in [DriveLayout::TwoBars, DriveLayout::SwingAndOpening] {
        for carrier in [ToolCarrier::Left, ToolCarrier::Right, ToolCarrier::Bisector] {
            for (mut design, ratio) in [
                (scissor(&[30.0, 28.0], &[31.0, 29.0], &[25.0]), [1.0, 1.0]),
                (uniform(3, 17.0), [3.0, -0.7]),
                (arm(75.0, 60.0), [2.0, 5.0]),
            ] {
                design.drives.layout = layout;
                design.drives.ratio = ratio;
                design.tool.carried_by = carrier;
                design.tool.bracket_arc = 5.0 * DEGREE;
                let kinematics = Kinematics::new(&design).unwrap();
                let pose = kinematics.forward_from_mechanism([0.7, 1.5]).unwrap();
                let general =
                    tool_jacobian(&kinematics.linkage, &pose.configuration, &pose.frame).unwrap();
                assert!((general - pose.jacobian).norm() < 1e-10 * general.norm());
                let step = 1e-6;
                for active in 0..2 {
                    let mut ends = [Vector3::zeros(); 2];
                    for (end, sign) in ends.iter_mut().zip([1.0, -1.0]) {
                        let mut moved = pose.active;
                        moved[active] += sign * step;
                        let at = kinematics.forward(moved).unwrap();
                        *end = at.direction.vector();
                    }
                    let slope = (ends[0] - ends[1]) / (2.0 * step);
                    assert!((slope.dot(&pose.frame.polar) - general[(0, active)]).abs() < 1e-8);
                    assert!((slope.dot(&pose.frame.azimuth) - general[(1, active)]).abs() < 1e-8);
                }
            }
        }
    }
}

#[test]
fn mobility_is_two_with_three_redundancies_a_stage() {
    for stages in [1usize, 2, 3, 5] {
        let kinematics = Kinematics::new(&uniform(stages, 15.0)).unwrap();
        let first = kinematics.forward_from_mechanism([0.1, 1.1]).unwrap();
        let second = kinematics.forward_from_mechanism([-0.4, 1.7]).unwrap();
        let found = checked_mobility(
            &kinematics.linkage,
            &first.configuration,
            &second.configuration,
        )
        .unwrap();
        assert_eq!(found.by_rank, 2);
        assert_eq!(found.by_counting, 2);
        assert_eq!(found.in_space, 2 - 3 * stages as i64);
        assert_eq!(found.redundant, 3 * stages);
        assert_eq!(found.in_space_by_rank, 2);
    }
    let mut follower = uniform(2, 20.0);
    follower.tool.carried_by = ToolCarrier::Bisector;
    let kinematics = Kinematics::new(&follower).unwrap();
    let pose = kinematics.forward_from_mechanism([0.1, 1.1]).unwrap();
    assert_eq!(
        mobility(&kinematics.linkage, &pose.configuration).by_rank,
        2
    );
}

#[test]
fn newton_closure_returns_to_the_closed_form() {
    let design = scissor(&[30.0, 28.0], &[31.0, 29.0], &[25.0]);
    let kinematics = Kinematics::new(&design).unwrap();
    let start = kinematics.forward_from_mechanism([0.2, 1.2]).unwrap();
    let target = kinematics.forward_from_mechanism([0.35, 1.35]).unwrap();
    let solution = close(&kinematics.linkage, &start.configuration, target.active).unwrap();
    for (a, b) in solution
        .configuration
        .rotations
        .iter()
        .zip(&target.configuration.rotations)
    {
        assert!((a.matrix() - b.matrix()).norm() < 1e-12);
    }
    assert!(solution.residual < 1e-11);
    assert!(solution.singularity_distance.unwrap() > 0.0);
}

#[test]
fn inverse_after_forward_returns_the_angles() {
    let design = uniform(2, 23.5);
    let kinematics = Kinematics::new(&design).unwrap();
    let region = Region::cap(Vector3::z(), 90.0 * DEGREE);
    let range = working_range(
        &kinematics,
        &design.drives.range,
        &Margins::default(),
        &region,
    )
    .unwrap();
    for (polar, azimuth) in [(20.0, 10.0), (62.461012, -100.0), (90.0, 179.0)] {
        let direction = Direction {
            polar: polar * DEGREE,
            azimuth: azimuth * DEGREE,
        };
        let second = range
            .second_for_polar(&kinematics.meridian, direction.polar)
            .unwrap();
        let first = kinematics.first_angle_for(direction, second);
        let pose = kinematics.forward_from_mechanism([first, second]).unwrap();
        assert!((pose.direction.vector() - direction.vector()).norm() < 1e-13);
    }
}

#[test]
fn singularities_between_samples_are_excluded_by_proof() {
    let design = scissor(&[30.0, 28.0], &[31.0, 29.0], &[55.0]);
    let kinematics = Kinematics::new(&design).unwrap();
    let region = Region::cap(Vector3::z(), 80.0 * DEGREE);
    let margins = Margins {
        lci_min: 0.2,
        transmission_angle_min: 20.0 * DEGREE,
    };
    let range = working_range(&kinematics, &design.drives.range, &margins, &region).unwrap();
    let report = singularity_report(&kinematics, &design.drives.range, &range, range.second);
    assert!(report.proved_free, "{report:?} {range:?}");
    let (least, _, _) = report.range.transmission.unwrap();
    let bound = report.transmission_bound.unwrap();
    assert!(bound <= least + 1e-9 && bound > least - 1e-2);
}

#[test]
fn coinciding_side_joints_end_the_range_though_lci_is_blind_to_them() {
    // Bent linkage: at α₁ = 0 the side joints of stage 1 coincide while θ′ stays finite.
    let design = scissor(&[30.0, 28.0], &[31.0, 29.0], &[55.0]);
    let kinematics = Kinematics::new(&design).unwrap();
    let region = Region::cap(Vector3::z(), 90.0 * DEGREE);
    let range = working_range(
        &kinematics,
        &design.drives.range,
        &Margins::default(),
        &region,
    )
    .unwrap();
    assert_eq!(range.limits[0], Limit::TypeTwo(1));
    let lci = calotte::kinematics::conditioning::lci_at(&kinematics, range.second[0] + 1e-6);
    assert!(lci > 0.3, "{lci}");
    // The rigorous isolation finds the same ends.
    let stops: Vec<f64> = isolate_singularities(&kinematics.meridian, [-0.1, 6.0])
        .iter()
        .flat_map(|isolation| isolation.stops())
        .map(|stop| stop.middle())
        .collect();
    for end in range.second {
        assert!(
            stops.iter().any(|stop| (stop - end).abs() < 1e-6),
            "{end} not among {stops:?}"
        );
    }
}

#[test]
fn equal_arcs_stop_where_the_apexes_coincide() {
    let design = uniform(2, 23.5);
    let kinematics = Kinematics::new(&design).unwrap();
    let region = Region::cap(Vector3::z(), 90.0 * DEGREE);
    let range = working_range(
        &kinematics,
        &design.drives.range,
        &Margins::default(),
        &region,
    )
    .unwrap();
    assert!((range.second[1] - 180.0 * DEGREE).abs() < 1e-6, "{range:?}");
    assert!((range.polar_max() - 94.0 * DEGREE).abs() < 1e-6);
}

#[test]
fn releases_remove_redundancies_until_they_open_a_motion() {
    use calotte::design::NamedRelease;
    use calotte::linkage::mobility::MobilityError;
    let released = |joints: &[(&str, bool, bool)]| {
        let mut design = uniform(1, 40.0);
        design.joints.releases = joints
            .iter()
            .map(|(joint, axial, tilt)| NamedRelease {
                joint: (*joint).to_string(),
                axial: *axial,
                tilt: *tilt,
            })
            .collect();
        let kinematics = Kinematics::new(&design).unwrap();
        let first = kinematics.forward_from_mechanism([0.1, 1.1]).unwrap();
        let second = kinematics.forward_from_mechanism([-0.4, 1.7]).unwrap();
        checked_mobility(
            &kinematics.linkage,
            &first.configuration,
            &second.configuration,
        )
    };
    // One stage has three: a floating, self-aligning side joint removes them all.
    let floating = released(&[("side-left-1", true, true)]).unwrap();
    assert_eq!(floating.redundant, 0);
    assert_eq!(floating.in_space_by_rank, 2);
    // Two such joints on one bar leave it free to leave the sphere.
    let loose = released(&[("side-left-1", true, true), ("apex-1", true, true)]);
    match loose {
        Err(MobilityError::Released { found, motion }) => {
            assert!(found > 2);
            assert!(motion.contains("bar-left-1"), "{motion}");
        }
        other => panic!("{other:?}"),
    }
}

#[test]
fn a_stage_folded_on_itself_is_no_working_range() {
    // Equal arcs beyond 90°: the closed form folds stage 1 back onto the base
    // axis, where the rest would still move; four stages of 23° reach past 180°
    // and must not fall back to three.
    let design = uniform(4, 23.0);
    let kinematics = Kinematics::new(&design).unwrap();
    let region = Region::cap(Vector3::z(), 90.0 * DEGREE);
    let range = working_range(
        &kinematics,
        &design.drives.range,
        &Margins::default(),
        &region,
    )
    .unwrap();
    assert!(range.second[1] < 180.0 * DEGREE + 1e-6, "{range:?}");
    assert!((range.polar_max() - 180.0 * DEGREE).abs() < 1e-6);
}

/// Stages that turn by more than 180° bring the tool round to the other side: its polar angle
/// then falls while they go on turning.
#[test]
fn a_tool_that_has_run_round_beyond_180_degrees_is_told() {
    let mut design = uniform(2, 60.0);
    design.drives.layout = DriveLayout::SwingAndOpening;
    design.drives.range.second = Some([22.0 * DEGREE, 60.0 * DEGREE]);
    let kinematics = Kinematics::new(&design).unwrap();
    let region = Region::cap(Vector3::z(), 90.0 * DEGREE);
    let margins = Margins::default();
    let all = all_ranges(&kinematics, &design.drives.range, &margins);
    let range = best_range(&kinematics, all, &region).unwrap();
    let [from, to] = range.turned_beyond().unwrap();
    assert!((from / DEGREE - 225.239_73).abs() < 1e-4, "{from}");
    assert!((to / DEGREE - 238.151_26).abs() < 1e-4, "{to}");
    // The same direction as polar 134.8° to 121.8° on the other side.
    let folded = [360.0 * DEGREE - to, 360.0 * DEGREE - from];
    assert!((folded[0] - range.polar_min()).abs() < 1e-12);
    assert!((folded[1] - range.polar_max()).abs() < 1e-12);
    for second in [22.0, 31.0, 60.0] {
        let pose = kinematics
            .forward_from_mechanism([0.0, second * DEGREE])
            .unwrap();
        let turned = kinematics.meridian.state(second * DEGREE).polar.value;
        assert!((360.0 * DEGREE - turned - pose.direction.polar).abs() < 1e-12);
    }
    let near = uniform(2, 23.5);
    let kinematics = Kinematics::new(&near).unwrap();
    let all = all_ranges(&kinematics, &near.drives.range, &margins);
    assert!(!all.is_empty());
    assert!(all.iter().all(|range| range.turned_beyond().is_none()));
}
