//! The whole result for programs: results.json.

use calotte::analysis::stage_curve::{best_stages, smaller_bearing};
use calotte::search::JudgedBy;
use calotte_document::design::{
    Choice, DesignDocument, ObjectiveDocument, PiercingTilt, Precheck, SmallestHole,
    StageStiffness, StagesAtEqualReach,
};
use calotte_document::run::{Run, SearchRun};
use calotte_format::safety::Safety;
use calotte_format::units::degrees;

use super::certificate;
use super::evidence;
use super::explain;
use super::found::Found;
use crate::input::provenance;
use crate::results::analysis_document;
use crate::safety;

/// The whole result for programs.
pub fn document(found: &Found) -> DesignDocument {
    let mut inputs = vec![(
        "brief",
        found.brief.path.as_path(),
        found.brief.sha256.as_str(),
    )];
    if let Some((prototype, _)) = &found.next {
        let design = &prototype.design;
        inputs.push(("prototype", design.path.as_path(), design.sha256.as_str()));
        if let Some(fit) = &prototype.fit {
            inputs.push(("fit", fit.path.as_path(), fit.sha256.as_str()));
        }
    }
    let effort = found.searched.as_ref().map(|searched| searched.effort);
    let options = SearchRun {
        search: match &found.searched {
            None => "full grid".to_string(),
            Some(_) => "islands, evolving".to_string(),
        },
        screened: effort.map(|effort| effort.screened),
        looked_at: effort.map(|effort| effort.looked_at),
        search_rings: calotte::search::evaluate::SEARCH_RINGS,
        search_azimuths_a_ring: calotte::search::evaluate::SEARCH_AROUND,
        rings: found.analysis.options.rings,
        azimuths_a_ring: found.analysis.options.around,
        bands: found.analysis.options.bands,
    };
    let mut warnings = found.warnings.clone();
    if let Some((prototype, _)) = &found.next {
        warnings.extend(prototype.cautions(&found.brief.value));
    }
    DesignDocument {
        analysis: analysis_document(&found.design, &found.analysis),
        choice: choice(found),
        evidence: evidence::evidence(found),
        precheck: precheck(found),
        certificates: certificate::document(found),
        stages_at_equal_reach: stages(found),
        follows: found.next.as_ref().map(|(prototype, pointing)| {
            prototype.document(pointing.as_ref(), found.design.tool.tip_radius)
        }),
        run: Run {
            seed: effort.map(|effort| effort.seed),
            seed_reason: found.seed_words(),
            ..provenance(&inputs, options, &warnings)
        },
        safety: safety::document(Safety::of(&found.design, found.brief.value.people_near)),
    }
}

fn choice(found: &Found) -> Choice {
    let choice = &found.choice;
    let index = |outcome: usize| found.outcomes[outcome].candidate.index;
    Choice {
        candidate: index(choice.chosen),
        combinations: found.outcomes.len(),
        feasible: choice.feasible,
        feasible_by_analysis: found
            .outcomes
            .iter()
            .filter(|outcome| outcome.feasible() && outcome.verdict.judged_by == JudgedBy::Analysis)
            .count(),
        not_dominated: choice.front.iter().map(|outcome| index(*outcome)).collect(),
        distance_to_ideal_point: choice.distance.is_finite().then_some(choice.distance),
        objectives: found
            .brief
            .value
            .objectives
            .iter()
            .map(|objective| ObjectiveDocument {
                quantity: objective.quantity.word().to_string(),
                sense: if objective.maximise {
                    "maximise"
                } else {
                    "minimise"
                }
                .to_string(),
            })
            .collect(),
        words: explain::choice_words(found),
        rejected: explain::rejected(found),
    }
}

fn precheck(found: &Found) -> Precheck {
    let precheck = &found.precheck;
    Precheck {
        base_axis_pierces_region: precheck
            .tilts
            .iter()
            .map(|tilt| PiercingTilt {
                mount_tilt_deg: degrees(tilt.tilt),
                pierces: tilt.axis_in_region,
                share_lost_to_smallest_hole: tilt.lost_share,
            })
            .collect(),
        smallest_hole_of_coarse_sweep: precheck
            .least_holes
            .iter()
            .map(|h| SmallestHole {
                family: h.family.name().to_string(),
                hole_deg: h.hole.map(degrees),
                combinations: h.combinations,
            })
            .collect(),
        reach_bound_deg: degrees(precheck.reach_bound),
        words: found.warnings.clone(),
    }
}

fn stages(found: &Found) -> StagesAtEqualReach {
    let curve = &found.curve;
    let shown = |stiffness: Option<f64>| stiffness.map(|k| k / 1e3);
    StagesAtEqualReach {
        minimum_stiffness: curve
            .iter()
            .map(|point| StageStiffness {
                stages: point.stages,
                rigid_joints_n_per_mm: shown(point.rigid),
                these_joints_n_per_mm: shown(point.real),
                one_size_down_n_per_mm: shown(point.smaller),
            })
            .collect(),
        best_rigid_joints: best_stages(curve, |p| p.rigid),
        best_these_joints: best_stages(curve, |p| p.real),
        best_one_size_down: best_stages(curve, |p| p.smaller),
        one_size_down: smaller_bearing(&found.design).map(|bearing| bearing.name),
    }
}
