//! The whole result as one JSON object.

use crate::results::analysis_json;
use calotte::analysis::stage_curve::{best_stages, smaller_bearing};
use calotte_format::units::degrees;
use serde_json::{Value, json};

use super::explain;
use super::found::Found;
use crate::input::provenance;

/// The whole result as one JSON object.
pub fn document(found: &Found) -> Value {
    let mut object = analysis_json(&found.design, &found.analysis);
    let choice = &found.choice;
    let objectives: Vec<Value> = found
        .brief
        .value
        .objectives
        .iter()
        .map(|o| {
            json!({
                "quantity": o.quantity.word(),
                "sense": if o.maximise { "maximise" } else { "minimise" },
            })
        })
        .collect();
    object.insert(
        "choice".into(),
        json!({
            "candidate": found.outcomes[choice.chosen].candidate.index,
            "combinations": found.outcomes.len(),
            "feasible": choice.feasible,
            "not_dominated": choice.front.iter().map(|i| found.outcomes[*i].candidate.index).collect::<Vec<_>>(),
            "distance_to_ideal_point": choice.distance.is_finite().then_some(choice.distance),
            "objectives": objectives,
            "words": explain::choice_words(found),
            "beaten": explain::beaten(found),
        }),
    );
    object.insert("precheck".into(), precheck_json(found));
    object.insert(
        "stages_at_equal_reach".into(),
        json!({
            "least_stiffness": found.curve.iter().map(|p| json!({
                "stages": p.stages,
                "rigid_joints_n_per_mm": p.rigid.map(|k| k / 1e3),
                "these_joints_n_per_mm": p.real.map(|k| k / 1e3),
                "one_size_down_n_per_mm": p.smaller.map(|k| k / 1e3),
            })).collect::<Vec<_>>(),
            "best_rigid_joints": best_stages(&found.curve, |p| p.rigid),
            "best_these_joints": best_stages(&found.curve, |p| p.real),
            "best_one_size_down": best_stages(&found.curve, |p| p.smaller),
            "one_size_down": smaller_bearing(&found.design).map(|bearing| bearing.name),
        }),
    );
    let mut inputs = vec![(
        "brief",
        found.brief.path.as_path(),
        found.brief.sha256.as_str(),
    )];
    if let Some((prototype, pointing)) = &found.next {
        let design = &prototype.design;
        inputs.push(("prototype", design.path.as_path(), design.sha256.as_str()));
        if let Some(fit) = &prototype.fit {
            inputs.push(("fit", fit.path.as_path(), fit.sha256.as_str()));
        }
        let tip_radius = found.design.tool.tip_radius;
        let json = prototype.json(pointing.as_ref(), tip_radius);
        object.insert("follows".into(), json);
    }
    let options = json!({
        "search": "full grid",
        "search_rings": calotte::search::evaluate::SEARCH_RINGS,
        "search_azimuths_a_ring": calotte::search::evaluate::SEARCH_AROUND,
        "rings": found.analysis.options.rings,
        "azimuths_a_ring": found.analysis.options.around,
        "bands": found.analysis.options.bands,
    });
    let mut warnings = found.warnings.clone();
    if let Some((prototype, _)) = &found.next {
        warnings.extend(prototype.cautions(&found.brief.value));
    }
    object.insert("run".into(), provenance(&inputs, options, &warnings));
    Value::Object(object)
}

fn precheck_json(found: &Found) -> Value {
    let precheck = &found.precheck;
    json!({
        "base_axis_pierces_region": precheck.tilts.iter().map(|t| json!({
            "mount_tilt_deg": degrees(t.tilt),
            "pierces": t.axis_in_region,
            "share_lost_to_least_hole": t.lost_share,
        })).collect::<Vec<_>>(),
        "least_hole_of_coarse_sweep": precheck.least_holes.iter().map(|h| json!({
            "family": h.family.name(),
            "hole_deg": h.hole.map(degrees),
            "combinations": h.combinations,
        })).collect::<Vec<_>>(),
        "reach_bound_deg": degrees(precheck.reach_bound),
        "words": found.warnings,
    })
}
