//! The whole analysis and the search on a small brief.

mod common;

use calotte::analysis::{AnalysisOptions, Requirements, RingResult, analyse};
use calotte::brief::{Brief, Limits, Range};
use calotte::design::Design;
use calotte::quantity::{Quantity, Standing};
use calotte::search::verdict::Depth;
use calotte::search::{
    Grid, Outcome, choose, combinations, complete_design, evaluate_group, precheck,
};
use calotte::sphere::Region;
use common::brief::brief;
use common::*;
use nalgebra::Vector3;

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
    // The front by its definition, pair by pair.
    let scores = |place: usize| -> Vec<f64> {
        let outcome: &Outcome = &outcomes[place];
        let scored = brief.objectives.iter().map(|one| outcome.score(one));
        scored.collect::<Option<_>>().unwrap()
    };
    let feasible: Vec<usize> = (0..outcomes.len())
        .filter(|place| outcomes[*place].verdict.feasible())
        .collect();
    let as_good = |a: &[f64], b: &[f64]| a.iter().zip(b).all(|(a, b)| a >= b) && a != b;
    let front: Vec<usize> = feasible
        .iter()
        .copied()
        .filter(|place| {
            !feasible
                .iter()
                .any(|other| as_good(&scores(*other), &scores(*place)))
        })
        .collect();
    assert_eq!(choice.front, front);
    let chosen = &outcomes[choice.chosen];
    let requirements = Requirements::from_brief(&brief);
    let design = complete_design(&brief, &requirements, &chosen.candidate).unwrap();
    let requirements = Requirements::from_brief(&brief);
    let analysis = analyse(&design, &requirements, &AnalysisOptions::default()).unwrap();
    assert!(analysis.met(), "{:#?}", analysis.rows);
    let coarse = chosen.verdict.values.get(Quantity::Stiffness).unwrap();
    let fine = *analysis
        .row(Quantity::Stiffness)
        .unwrap()
        .got
        .as_ref()
        .unwrap();
    assert!((coarse / fine - 1.0).abs() < 0.02);
    assert!(analysis.singularity.unwrap().proved_free);
    assert!(analysis.rings.len() >= 25);
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

/// Rows and limits of centre shift and tilt hold what the worst point of the rings has, by
/// load and by own weight.
#[test]
fn rows_of_the_tools_line_are_the_worst_of_their_rings() {
    let mut brief = brief();
    let limits = [
        (Quantity::CentreShift, 1e-9),
        (Quantity::ToolTilt, 1.0),
        (Quantity::SagCentreShift, 1.0),
        (Quantity::SagToolTilt, 1e-9),
    ];
    for (quantity, limit) in limits {
        brief.limits.set(quantity, Some(limit));
    }
    let mut design = uniform(2, 23.5);
    design.tool.mass = Some(0.8.into());
    design.joints.stiffness = Some(reference_joints());
    let requirements = Requirements::from_brief(&brief);
    let analysis = analyse(&design, &requirements, &AnalysisOptions::default()).unwrap();
    let points = || analysis.rings.iter().flat_map(RingResult::directions);
    let most = |values: &mut dyn Iterator<Item = f64>| values.fold(0.0, f64::max);
    let wanted = [
        most(&mut points().map(|p| p.cases[0].centre_shift)),
        most(&mut points().map(|p| p.cases[0].tilt)),
        most(&mut points().map(|p| p.sag_line.centre_shift())),
        most(&mut points().map(|p| p.sag_line.tilt())),
    ];
    for ((quantity, limit), wanted) in limits.into_iter().zip(wanted) {
        let row = analysis.row(quantity).unwrap();
        assert_eq!(row.got, Ok(wanted), "{quantity:?}");
        assert!(wanted > 1e-6, "{quantity:?} {wanted}");
        assert_eq!(row.met(), Some(limit == 1.0), "{quantity:?}");
    }
    // The search judges the same limits.
    let grid = Grid::new(&brief);
    let whole = (0..grid.groups.len())
        .flat_map(|group| evaluate_group(&brief, &grid, group))
        .find(|outcome| outcome.verdict.depth == Depth::Whole)
        .unwrap();
    let mut missed = whole.verdict.missed.iter().map(|(quantity, _)| *quantity);
    assert!(missed.any(|quantity| quantity == Quantity::CentreShift));
}

/// What refuses a grid counts as what lists it does, whether a step meets the end or not.
#[test]
fn combinations_are_counted_as_they_are_listed() {
    let ranges = [
        (20.0, 20.0, 5.0),
        (20.0, 50.0, 10.0),
        (20.0, 50.0, 7.0),
        (20.0, 20.3, 0.1),
        (20.0, 21.0, 3.0),
        (20.0, 50.0, 0.0),
        (20.0, 20.0 + 1e-12, 0.1),
    ];
    let mut seen = Vec::new();
    for arc in ranges {
        for other in ranges {
            let of = |(from, to, step): (f64, f64, f64), unit: f64| Range {
                from: from * unit,
                to: to * unit,
                step: step * unit,
            };
            let degree = std::f64::consts::PI / 180.0;
            let mut asked = brief();
            asked.choice.arc = of(arc, degree);
            asked.choice.bend = of(other, degree);
            asked.choice.arm_arc = of(other, degree);
            asked.joint_radius = of(other, 0.005);
            asked.choice.stages = vec![1, 2, 3];
            let listed = Grid::new(&asked).len();
            assert_eq!(combinations(&asked), listed as f64, "{arc:?} {other:?}");
            seen.push(listed);
        }
    }
    seen.sort_unstable();
    seen.dedup();
    assert!(seen.len() > 10, "{seen:?}");
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
    let subject = requirements.subject(&design).unwrap();
    let elastic = subject.elastic_range().unwrap().unwrap();
    let range = analysis.working_range.unwrap();
    assert!(range.polar_max() > elastic.polar_max());
    let row = analysis
        .rows
        .iter()
        .find(|row| row.quantity == Quantity::Sag)
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

/// Two stages that turn the tool through 225° to 238°: every place is given by the tool's own
/// polar angle, which is what is left to a full turn. Reference: 360° less the sum of both
/// stages' turns, by the spherical law of cosines of equal arcs, tan(turn/2) = tan 60° cos(α/2)
/// per half stage (derived).
#[test]
fn places_beyond_half_a_turn_are_the_tools_own() {
    let mut design = uniform(2, 60.0);
    design.drives.range.second = Some([22.0 * DEGREE, 60.0 * DEGREE]);
    design.tool.mass = Some(0.8.into());
    let mut requirements = Requirements::without_brief(&design);
    requirements.region = Region::cap(Vector3::z(), 150.0 * DEGREE);
    let analysis = analyse(&design, &requirements, &AnalysisOptions::default()).unwrap();
    let range = analysis.working_range.unwrap();
    let own = |opening: f64| {
        let half_stage = (60.0 * DEGREE).tan() * (0.5 * opening * DEGREE).cos();
        360.0 * DEGREE - 4.0 * half_stage.atan()
    };
    assert!((range.polar_min() - own(22.0)).abs() < 1e-9);
    assert!((range.polar_max() - own(60.0)).abs() < 1e-9);
    let mut places = 0;
    for row in &analysis.rows {
        let Some(place) = row.worst_at else { continue };
        places += 1;
        let within = range.polar_min() - 1e-9..=range.polar_max() + 1e-9;
        assert!(
            within.contains(&place.polar),
            "{:?} at {place:?}",
            row.quantity
        );
    }
    assert!(places >= 4, "{places} places");
    let mut rows = analysis.rows.iter();
    let row = rows.find(|row| row.quantity == Quantity::TransmissionAngle);
    let (_, _, polar) = analysis.singularity.unwrap().required.transmission.unwrap();
    assert!((row.unwrap().worst_at.unwrap().polar - polar).abs() < 1e-12);
}

/// An arm that comes up to 36.1° and a cap from 70°: no least index, and no place of one.
#[test]
fn where_nothing_is_covered_there_is_no_least_index() {
    let mut brief = brief();
    brief.limits = Limits::default();
    brief.region = Region::cap(Vector3::x(), 20.0 * DEGREE);
    for limit in [None, Some(0.2)] {
        brief.limits.set(Quantity::LciMin, limit);
        let requirements = Requirements::from_brief(&brief);
        let options = AnalysisOptions::default();
        let analysis = analyse(&arm(20.0, 20.0), &requirements, &options).unwrap();
        assert!(analysis.working_range.is_some());
        let row = analysis.row(Quantity::LciMin).unwrap();
        let reason = row.got.clone().unwrap_err().to_string();
        assert_eq!(reason, "no direction of the region is covered");
        assert_eq!(row.worst_at, None);
        // It bounds the range, which covers nothing: that is missed.
        assert_eq!(row.met(), None);
        assert_eq!(analysis.boundaries.is_empty(), limit.is_none());
        let coverage = analysis.row(Quantity::Coverage).unwrap();
        assert_eq!(coverage.met(), Some(false));
        let gci = analysis.row(Quantity::Gci).unwrap();
        assert_eq!(gci.got, Ok(0.0));
    }
}

/// An arm has no transmission angle: a limit on it bounds nothing, and no row says it is met.
#[test]
fn a_limit_on_what_a_linkage_does_not_have_is_no_requirement() {
    let mut brief = brief();
    let options = AnalysisOptions::default();
    let row_of = |brief: &Brief, design: &Design| {
        let analysis = analyse(design, &Requirements::from_brief(brief), &options).unwrap();
        analysis.row(Quantity::TransmissionAngle).cloned()
    };
    assert!(brief.limits.get(Quantity::TransmissionAngle).is_some());
    assert_eq!(row_of(&brief, &arm(60.0, 50.0)), None);
    let row = row_of(&brief, &uniform(2, 30.0)).unwrap();
    assert!(row.got.is_ok());
    assert_eq!(row.met(), None);
    brief.limits.set(Quantity::TransmissionAngle, None);
    assert_eq!(row_of(&brief, &arm(60.0, 50.0)), None);
}

/// The search does not look for the reach without margins: a limit on it is not judged, so
/// that no candidate meets it.
#[test]
fn a_limit_without_a_value_is_not_met_by_the_search() {
    let mut brief = brief();
    let depth_and_missed = |brief: &Brief| {
        let outcomes = evaluate_group(brief, &Grid::new(brief), 0);
        let best = outcomes.iter().max_by_key(|one| one.verdict.depth).unwrap();
        (best.verdict.depth, best.verdict.missed.clone())
    };
    let (depth, without) = depth_and_missed(&brief);
    assert!(depth >= Depth::Reach);
    brief.limits.set(Quantity::Reach, Some(60.0 * DEGREE));
    let (_, with) = depth_and_missed(&brief);
    let open = with.iter().find(|(one, _)| *one == Quantity::Reach);
    assert!(matches!(open, Some((_, Standing::Unknown(_)))), "{with:?}");
    assert!(!without.iter().any(|(one, _)| *one == Quantity::Reach));
}
