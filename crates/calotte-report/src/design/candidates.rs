//! `candidates.csv`: every combination with what it reaches and why it failed.

use calotte::brief::Brief;
use calotte::family::parameters::Dimension;
use calotte::search::{Candidate, Outcome};
use calotte_format::units::{degrees, millimetres};
use calotte_format::words;

use super::found::Found;
use crate::error::ReportError;

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

/// The list of all candidates.
pub fn candidates_csv(found: &Found) -> Result<Vec<u8>, ReportError> {
    let failed = |error: csv::Error| ReportError::new(format!("candidates.csv: {error}"));
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
        .map_err(|error| ReportError::new(format!("candidates.csv: {error}")))
}

fn record(found: &Found, outcome: &Outcome, on_front: bool) -> Vec<String> {
    let candidate = &outcome.candidate;
    let brief = &found.brief.value;
    let short = |value: f64| format!("{value:.6}");
    let values = outcome.values.as_ref();
    let elastic = values.and_then(|v| v.elastic.as_ref());
    let mut fields = vec![candidate.index.to_string()];
    let angles = &candidate.angles;
    fields.push(angles.family_name().name().to_string());
    fields.push(angles.stages().map_or(String::new(), |n| n.to_string()));
    for dimension in [
        Dimension::Arc,
        Dimension::Bend,
        Dimension::FirstArc,
        Dimension::SecondArc,
    ] {
        // Of parts that are kept the prototype tells; here stands what was chosen.
        let kept = brief.kept.as_ref();
        let free = kept.is_none_or(|kept| angles.leaves_free(kept, dimension));
        let chosen = angles.chosen(dimension).filter(|_| free);
        fields.push(chosen.map_or(String::new(), |angle| degrees(angle).to_string()));
    }
    fields.push(words::layout_key(angles.family_name(), angles.layout()));
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
