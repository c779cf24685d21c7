//! The results folder of the main job.

use calotte::analysis::stage_curve::{best_stages, smaller_bearing};
use calotte::brief::Brief;
use calotte::search::kept::leaves_free;
use calotte::search::{Angles, Candidate, Outcome};
use calotte_format::units::{degrees, millimetres};
use calotte_plot::plot::FigureStyle;
use calotte_report::results::analysis_json;
use serde_json::{Value, json};

use super::{Found, explain, figures, page};
use crate::failure::Failure;
use crate::files::ResultsFolder;
use crate::inputs::provenance;
use calotte_format::words;

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
                "quantity": o.quantity.name(),
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
            "family": match h.family {
                calotte::brief::FamilyName::ScissorLinkage => "scissor-linkage",
                calotte::brief::FamilyName::TwoArcArm => "two-arc-arm",
            },
            "hole_deg": h.hole.map(degrees),
            "combinations": h.combinations,
        })).collect::<Vec<_>>(),
        "reach_bound_deg": degrees(precheck.reach_bound),
        "words": found.warnings,
    })
}

/// Fills the folder.
pub fn fill(folder: &mut ResultsFolder, found: &Found, document: &Value) -> Result<(), Failure> {
    let mut header = format!(
        "Chosen by calotte {} from {} (SHA-256 {}).\nCandidate {} of {}.",
        env!("CARGO_PKG_VERSION"),
        found
            .brief
            .path
            .file_name()
            .map(|n| n.to_string_lossy().to_string())
            .unwrap_or_default(),
        found.brief.sha256,
        found.outcomes[found.choice.chosen].candidate.index,
        found.outcomes.len()
    );
    if let Some((prototype, pointing)) = &found.next {
        let words = prototype.words(pointing.as_ref(), found.design.tool.tip_radius);
        header.push_str(&format!("\nFollows {}", words.join("\n")));
    }
    folder.add(
        "design.toml",
        calotte_format::write_design(&found.design, &header),
    );
    folder.add("results.json", format!("{document:#}\n"));
    folder.add("candidates.csv", candidates_csv(found)?);
    let drawn = figures::all(found)?
        .into_iter()
        .map(|(name, figure)| {
            let drawing = figure
                .draw(&FigureStyle::screen())
                .map_err(|error| Failure::new(format!("plots/{name}.svg: {error}")))?;
            Ok(page::Drawn {
                caption: format!("{}. {}", figure.title, figure.caption),
                settings: figures::settings_words(&figure),
                name,
                drawing,
            })
        })
        .collect::<Result<Vec<_>, Failure>>()?;
    for figure in &drawn {
        folder.add(
            &format!("plots/{}.svg", figure.name),
            figure.drawing.svg.clone(),
        );
    }
    folder.add("summary.html", page::page(found, &drawn)?);
    Ok(())
}

const COLUMNS: [&str; 28] = [
    "index",
    "family",
    "stages",
    "arc_deg",
    "bend_deg",
    "first_arc_deg",
    "second_arc_deg",
    "drive_layout",
    "mount_tilt_deg",
    "joint_radius_mm",
    "section",
    "material",
    "bearing",
    "layers",
    "feasible",
    "not_dominated",
    "why_not",
    "coverage",
    "gci",
    "lci_min",
    "polar_min_deg",
    "polar_max_deg",
    "least_stiffness_n_per_mm",
    "contact_deflection_mm",
    "sag_mm",
    "holding_torque_nm",
    "safety_factor_yield",
    "moving_mass_kg",
];

fn candidates_csv(found: &Found) -> Result<Vec<u8>, Failure> {
    let failed = |error: csv::Error| Failure::new(format!("candidates.csv: {error}"));
    let mut writer = csv::Writer::from_writer(Vec::new());
    writer.write_record(COLUMNS).map_err(failed)?;
    for (position, outcome) in found.outcomes.iter().enumerate() {
        let on_front = found.choice.front.binary_search(&position).is_ok();
        writer
            .write_record(record(found, outcome, on_front))
            .map_err(failed)?;
    }
    writer
        .into_inner()
        .map_err(|error| Failure::new(format!("candidates.csv: {error}")))
}

fn record(found: &Found, outcome: &Outcome, on_front: bool) -> Vec<String> {
    let candidate = &outcome.candidate;
    let brief = &found.brief.value;
    let short = |value: f64| format!("{value:.6}");
    let values = outcome.values.as_ref();
    let elastic = values.and_then(|v| v.elastic.as_ref());
    let mut fields = vec![candidate.index.to_string()];
    let empty = String::new;
    match candidate.angles {
        Angles::Scissor {
            stages,
            arc,
            bend,
            layout,
        } => {
            // Of parts that are kept the prototype tells; here stands what was chosen.
            let kept = brief.kept.as_ref();
            let free = kept.map_or([true; 2], |kept| leaves_free(kept, stages));
            let chosen = |free: bool, angle: f64| match free {
                true => degrees(angle).to_string(),
                false => String::new(),
            };
            fields.extend([
                "scissor-linkage".to_string(),
                stages.to_string(),
                chosen(free[0], arc),
                chosen(free[1] || stages == 1, bend),
                empty(),
                empty(),
                layout.name().to_string(),
            ]);
        }
        Angles::Arm { arcs } => fields.extend([
            "two-arc-arm".to_string(),
            empty(),
            empty(),
            empty(),
            degrees(arcs[0]).to_string(),
            degrees(arcs[1]).to_string(),
            "base-and-elbow".to_string(),
        ]),
    }
    fields.extend([
        degrees(candidate.mount_tilt).to_string(),
        match &brief.kept {
            // The innermost radius follows from where the kept bars lie.
            Some(kept) if kept.any_bar() && brief.layers.is_some() => String::new(),
            _ => millimetres(candidate.joint_radius).to_string(),
        },
        words::section(&brief.choice.sections[candidate.section]),
        brief.choice.materials[candidate.material].name.clone(),
        bearing_words(brief, candidate),
        layers_words(brief, candidate),
        outcome.feasible().to_string(),
        on_front.to_string(),
        outcome.failed.join("; "),
    ]);
    let kinematic = |value: Option<f64>| value.map(short).unwrap_or_default();
    fields.extend([
        kinematic(values.map(|v| v.coverage)),
        kinematic(values.map(|v| v.gci)),
        kinematic(values.map(|v| v.lci_min)),
        kinematic(values.map(|v| v.polar[0].to_degrees())),
        kinematic(values.map(|v| v.polar[1].to_degrees())),
        kinematic(elastic.map(|e| e.stiffness / 1e3)),
        kinematic(elastic.map(|e| e.contact * 1e3)),
        kinematic(elastic.map(|e| e.sag * 1e3)),
        kinematic(elastic.map(|e| e.torque)),
        kinematic(elastic.map(|e| e.safety).filter(|s| s.is_finite())),
        kinematic(elastic.map(|e| e.moving_mass)),
    ]);
    fields
}

/// The bearing of a candidate; empty where joints have none.
fn bearing_words(brief: &Brief, candidate: &Candidate) -> String {
    let given = brief
        .joints
        .as_ref()
        .and_then(|joints| joints.parts.as_ref());
    match candidate.bearing {
        Some(index) => brief.choice.bearings[index].name.clone(),
        None => given.map_or(String::new(), |parts| parts.bearing.name.clone()),
    }
}

/// The arrangement of a candidate's layers; empty without layers.
fn layers_words(brief: &Brief, candidate: &Candidate) -> String {
    let chosen = candidate
        .arrangement
        .map(|index| &brief.choice.arrangements[index]);
    match (chosen, &brief.layers) {
        (Some(chosen), _) => words::arrangement_choice(chosen),
        (None, Some(layers)) => words::arrangement(&layers.arrangement),
        (None, None) => String::new(),
    }
}
