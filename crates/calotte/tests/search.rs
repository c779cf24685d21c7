//! The search judges as the analysis does: what it shows as meeting every limit does so over the
//! stated uncertainty, and no better candidate is lost.

mod common;

use calotte::Uncertain;
use calotte::analysis::{AnalysisOptions, Requirements, Row, Verdict, analyse, judged_limits};
use calotte::brief::{ArrangementChoice, Brief, FamilyName, KeepOut, KeepOutShape, Limits, Range};
use calotte::built::listed;
use calotte::design::{Arrangement, Design};
use calotte::quantity::{JudgedAt, Quantity};
use calotte::search::{
    Candidate, Choice, Grid, JudgedBy, NoChoice, Outcome, choose_proved, complete_design,
    evaluate_group, non_dominated, prove,
};
use common::brief::brief;
use common::{DEGREE, built, uniform};
use nalgebra::Vector3;
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;

/// A small grid with bands on joints, material and tool, and limits near what it can do.
fn tight(random: &mut ChaCha8Rng, index: usize) -> Brief {
    let mut number = |from: f64, to: f64| from + (to - from) * random.random::<f64>();
    let mut brief = brief();
    brief.coverage_min = 0.85;
    brief.tool.mass = Some(Uncertain::band(0.6, 0.5, number(0.65, 0.9)));
    brief.limits = Limits::of([
        (Quantity::ContactDeflection, number(0.3e-3, 0.8e-3)),
        (Quantity::Sag, number(0.5e-3, 2e-3)),
        (Quantity::LciMin, 0.1),
        (Quantity::TransmissionAngle, 15.0 * DEGREE),
    ]);
    brief.choice.stages = vec![1, 2];
    let from = number(20.0, 24.0).round();
    brief.choice.arc = Range {
        from: from * DEGREE,
        to: (from + 22.0) * DEGREE,
        step: 2.0 * DEGREE,
    };
    brief.choice.bend = Range::single(0.0);
    brief.choice.arm_arc = Range {
        from: 35.0 * DEGREE,
        to: 65.0 * DEGREE,
        step: 15.0 * DEGREE,
    };
    for material in &mut brief.choice.materials {
        material.youngs_modulus = Uncertain::band(6.89e10, 6e10, 7.2e10);
        material.creep = Uncertain::band(1.0, 1.0, 1.2);
    }
    let joints = brief.joints.as_mut().unwrap();
    let stiffness = joints.stiffness.as_mut().unwrap();
    stiffness.tilt = Uncertain::band(1500.0, number(600.0, 1300.0), 2500.0);
    match index % 4 {
        // Stiffness that must stay low is worst where all is stiff.
        1 => {
            brief
                .limits
                .set(Quantity::ContactStiffness, Some(number(6e4, 3e5)));
        }
        // Of bearings and in layers, beside a post.
        2 => {
            let mut design = built(uniform(1, 46.0), Arrangement::Two);
            let parts = design.joints.parts.as_mut().unwrap();
            parts.bearing.radial = Uncertain::band(1.2e7, number(4e6, 1e7), 2e7);
            design.joints.stiffness = Some(parts.pair_stiffness().unwrap());
            brief.joints = Some(design.joints);
            brief.layers = design.layers;
            brief.choice.families = vec![FamilyName::SCISSOR_LINKAGE];
            brief.choice.stages = vec![1];
            brief.choice.sections = vec![design.section];
            brief.choice.arrangements = vec![
                ArrangementChoice::Of(Arrangement::Two),
                ArrangementChoice::Fewest,
            ];
            brief.coverage_min = 0.7;
            brief
                .limits
                .set(Quantity::ContactDeflection, Some(number(0.8e-3, 3e-3)));
            brief.limits.set(Quantity::Sag, Some(number(1e-3, 4e-3)));
            brief.keep_outs = vec![KeepOut {
                name: "post".to_string(),
                shape: KeepOutShape::Cylinder {
                    from: Vector3::new(0.3, 0.0, -0.3),
                    to: Vector3::new(0.3, 0.0, 0.05),
                    radius: 0.03,
                },
                tool_may_touch: false,
            }];
        }
        // Less is asked, openly.
        3 => brief.limits.judged_at = JudgedAt::Nominal,
        _ => {}
    }
    brief
}

fn searched(brief: &Brief) -> (Grid, Vec<Outcome>) {
    let grid = Grid::new(brief);
    let groups = 0..grid.groups.len();
    let outcomes = groups.flat_map(|group| evaluate_group(brief, &grid, group));
    let outcomes = outcomes.collect();
    (grid, outcomes)
}

fn as_it_is(design: &Design) -> Design {
    design.clone()
}

fn chosen(brief: &Brief, outcomes: &mut [Outcome]) -> Choice {
    let requirements = Requirements::from_brief(brief);
    let analyse = |outcome: &Outcome| Some(prove(brief, &requirements, outcome, &as_it_is));
    choose_proved(outcomes, &brief.objectives, None, &analyse).unwrap()
}

/// The limits of a candidate, as if it alone were analysed.
fn limits(brief: &Brief, candidate: &Candidate) -> Option<Vec<Row>> {
    let requirements = Requirements::from_brief(brief);
    let design = complete_design(brief, &requirements, candidate).ok()?;
    let subject = requirements.subject(&design).ok()?;
    judged_limits(&subject, &requirements, &AnalysisOptions::default()).ok()
}

#[test]
fn what_is_shown_meets_every_limit_and_nothing_better_is_lost() {
    let mut random = ChaCha8Rng::seed_from_u64(14);
    let (mut on_fronts, mut left, mut at_corners) = (0, 0, 0);
    for index in 0..5 {
        let brief = tight(&mut random, index);
        let (_, before) = searched(&brief);
        let mut outcomes = before.clone();
        let choice = chosen(&brief, &mut outcomes);
        let by = |outcome: &&Outcome, judged| outcome.verdict.judged_by == judged;
        at_corners += before
            .iter()
            .filter(|one| by(one, JudgedBy::Corner) && !one.feasible())
            .count();
        left += outcomes
            .iter()
            .filter(|one| by(one, JudgedBy::Analysis) && !one.feasible())
            .count();
        // Every candidate with values, analysed by itself, whatever the search says of it.
        let meets: Vec<usize> = (0..outcomes.len())
            .filter(|place| before[*place].verdict.is_whole())
            .filter(|place| {
                limits(&brief, &before[*place].candidate)
                    .is_some_and(|rows| Verdict::of(&rows).is_met())
            })
            .collect();
        let best = non_dominated(&before, &meets, &brief.objectives);
        assert_eq!(choice.front, best, "brief {index}");
        on_fronts += best.len();
        if let Some(first) = choice.front.first() {
            assert!(choice.front.contains(&choice.chosen));
            let requirements = Requirements::from_brief(&brief);
            for place in [*first, choice.chosen] {
                let candidate = &outcomes[place].candidate;
                let design = complete_design(&brief, &requirements, candidate).unwrap();
                let options = AnalysisOptions::default();
                let analysis = analyse(&design, &requirements, &options).unwrap();
                assert!(analysis.met(), "brief {index}: {:?}", analysis.verdict());
                if brief.limits.judged_at == JudgedAt::WorstEnd {
                    assert_eq!(analysis.verdict(), Verdict::Met);
                }
                for row in limits(&brief, candidate).unwrap() {
                    let same = analysis.rows.iter().find(|other| other.is_like(&row));
                    assert_eq!(row.judged(), same.unwrap().judged(), "{:?}", row.quantity);
                }
            }
        }
    }
    // Fronts, candidates that only the analysis refuses, and some that a corner does.
    assert!(on_fronts > 10, "{on_fronts} on fronts");
    assert!(at_corners > 10, "{at_corners} refused at a corner");
    println!("{on_fronts} on fronts, {at_corners} refused at a corner, {left} by the analysis");
}

#[test]
fn a_corner_refuses_only_what_the_analysis_refuses_and_says_where() {
    let mut random = ChaCha8Rng::seed_from_u64(15);
    let mut refused = 0;
    for index in 0..4 {
        let brief = tight(&mut random, index);
        let (_, outcomes) = searched(&brief);
        for outcome in outcomes {
            let verdict = &outcome.verdict;
            let at_corner = verdict.judged_by == JudgedBy::Corner;
            assert!(!at_corner || brief.limits.judged_at == JudgedAt::WorstEnd);
            if !at_corner || verdict.missed.is_empty() || refused % 7 != 0 {
                refused += usize::from(at_corner && !verdict.missed.is_empty());
                continue;
            }
            refused += 1;
            let rows = limits(&brief, &outcome.candidate).unwrap();
            assert!(!Verdict::of(&rows).is_met());
            let said = verdict.against().join("; ");
            assert!(
                said.ends_with("at a corner of the stated uncertainty"),
                "{said}"
            );
            for (quantity, _) in &verdict.missed {
                let here = verdict.missed_value(*quantity).unwrap();
                let row = rows.iter().find(|row| row.quantity == *quantity).unwrap();
                // The worst end is no better than any corner, up to what rings differ in.
                let there = row.judged().unwrap();
                let beyond = if row.at_least() {
                    there / here - 1.0
                } else {
                    here / there - 1.0
                };
                assert!(beyond <= 1e-9, "{quantity:?}: {here} here, {there} there");
            }
        }
    }
    assert!(refused > 20, "{refused} refused");
}

/// The fewest layers are found, and may be those that another choice names.
#[test]
fn no_design_comes_twice() {
    let mut random = ChaCha8Rng::seed_from_u64(17);
    let mut twice = 0;
    for _ in 0..3 {
        let brief = tight(&mut random, 2);
        let (_, outcomes) = searched(&brief);
        let requirements = Requirements::from_brief(&brief);
        let mut known: Vec<(usize, Design)> = Vec::new();
        for outcome in &outcomes {
            let candidate = &outcome.candidate;
            let Ok(mut design) = complete_design(&brief, &requirements, candidate) else {
                continue;
            };
            let linkage = requirements.motion(&design).unwrap();
            let arrangement = listed(&design, &linkage.kinematics.linkage);
            if let (Some(layers), Some(arrangement)) = (&mut design.layers, arrangement) {
                layers.arrangement = arrangement;
            }
            let same = known.iter().find(|(_, other)| *other == design);
            let said = outcome.verdict.reason.clone().unwrap_or_default();
            match same {
                Some((index, _)) if outcome.verdict.polar.is_none() => {
                    twice += usize::from(said == format!("the same design as number {index}"));
                    assert!(!outcome.feasible());
                }
                // Only what its angles rule out is told twice, as the group's verdict.
                Some(_) => assert!(!outcome.verdict.is_whole(), "{said}"),
                None => {
                    assert!(!said.starts_with("the same design"), "{said}");
                    known.push((candidate.index, design));
                }
            }
        }
    }
    assert!(twice > 3, "{twice} told");
}

#[test]
fn without_candidates_or_when_stopped_nothing_is_chosen() {
    let mut random = ChaCha8Rng::seed_from_u64(16);
    let brief = tight(&mut random, 0);
    let (_, mut outcomes) = searched(&brief);
    let stopped = choose_proved(&mut outcomes, &brief.objectives, None, &|_| None);
    assert_eq!(stopped, Err(NoChoice::Stopped));
    let nothing = choose_proved(&mut [], &brief.objectives, None, &|_| None);
    assert_eq!(nothing, Err(NoChoice::Nothing));
}
