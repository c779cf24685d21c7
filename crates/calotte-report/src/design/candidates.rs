//! `candidates.csv`: every combination with what it reaches and why it failed.

use calotte::brief::Brief;
use calotte::family::parameters::Dimension;
use calotte::quantity::{Over, Quantity};
use calotte::search::{Candidate, Outcome};
use calotte_format::safety::Safety;
use calotte_format::units::Unit;
use calotte_format::words;

use super::explain::judged_by_words;
use super::found::Found;
use crate::error::ReportError;
use crate::safety::{NOTE, note};

/// Columns that say what a candidate is and what became of it.
const CANDIDATE: [&str; 23] = [
    "index",
    "family",
    "stages",
    "arc_deg",
    "bend_deg",
    "first_arc_deg",
    "second_arc_deg",
    "proximal_arcs_deg",
    "distal_arcs_deg",
    "bends_deg",
    "assembly_modes",
    "drive_layout",
    "mount_tilt_deg",
    "joint_radius_mm",
    "section",
    "material",
    "bearing",
    "bearing_spacing_mm",
    "layers",
    "feasible",
    "judged",
    "not_dominated",
    "why_not",
];

/// Columns of the working range, after the quantities taken from it.
const RANGE: [&str; 2] = ["polar_min_deg", "polar_max_deg"];

/// Columns of quantities: those of the working range, then the others.
fn columns(of_range: bool) -> impl Iterator<Item = Quantity> {
    Quantity::COLUMNS
        .into_iter()
        .filter(move |quantity| (quantity.facts().over == Over::WorkingRange) == of_range)
}

/// The heads of all columns.
fn heads() -> Vec<String> {
    let head = |quantity: Quantity| {
        let facts = quantity.facts();
        let name = facts.column.map_or(facts.word, |column| column.name);
        quantity.unit().after(name)
    };
    let mut heads = CANDIDATE.map(str::to_string).to_vec();
    heads.extend(columns(true).map(head));
    heads.extend(RANGE.map(str::to_string));
    heads.extend(columns(false).map(head));
    heads.push(NOTE.to_string());
    heads
}

/// The list of all candidates.
pub fn candidates_csv(found: &Found) -> Result<Vec<u8>, ReportError> {
    let failed = |error: csv::Error| ReportError::new(format!("candidates.csv: {error}"));
    let mut writer = csv::Writer::from_writer(Vec::new());
    writer.write_record(heads()).map_err(failed)?;
    let safety = Safety::of(&found.design, found.brief.value.people_near);
    for (position, outcome) in found.outcomes.iter().enumerate() {
        let on_front = found.choice.front.binary_search(&position).is_ok();
        let mut fields = record(found, outcome, on_front);
        fields.push(note(safety, position));
        writer.write_record(fields).map_err(failed)?;
    }
    writer
        .into_inner()
        .map_err(|error| ReportError::new(format!("candidates.csv: {error}")))
}

/// Columns that say nothing of the members of a front, which meet every limit by the whole
/// analysis.
const SAME_ON_THE_FRONT: [&str; 5] = ["feasible", "judged", "not_dominated", "why_not", NOTE];

/// File of a member of the front, counted from 1.
pub(super) fn front_file(number: usize) -> String {
    format!("front/{number:04}.toml")
}

/// The front: the file of each member, what it is, and its nominal values by the whole
/// analysis.
pub fn front_csv(found: &Found) -> Result<Vec<u8>, ReportError> {
    let failed = |error: csv::Error| ReportError::new(format!("front.csv: {error}"));
    let heads = heads();
    let kept: Vec<bool> = heads
        .iter()
        .map(|head| !SAME_ON_THE_FRONT.contains(&head.as_str()))
        .collect();
    let of_front = |fields: Vec<String>| {
        let fields = fields.into_iter().zip(&kept);
        fields
            .filter(|(_, kept)| **kept)
            .map(|(field, _)| field)
            .collect::<Vec<_>>()
    };
    let mut writer = csv::Writer::from_writer(Vec::new());
    let mut first = vec!["file".to_string()];
    first.extend(of_front(heads.clone()));
    first.push(NOTE.to_string());
    writer.write_record(first).map_err(failed)?;
    let safety = Safety::of(&found.design, found.brief.value.people_near);
    for (place, position) in found.choice.front.iter().enumerate() {
        let mut fields = vec![front_file(place + 1)];
        fields.extend(of_front(record(found, &found.outcomes[*position], true)));
        fields.push(note(safety, place));
        writer.write_record(fields).map_err(failed)?;
    }
    writer
        .into_inner()
        .map_err(|error| ReportError::new(format!("front.csv: {error}")))
}

fn record(found: &Found, outcome: &Outcome, on_front: bool) -> Vec<String> {
    let candidate = &outcome.candidate;
    let brief = &found.brief.value;
    let short = |value: f64| format!("{value:.6}");
    let verdict = &outcome.verdict;
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
        fields.push(chosen.map_or(String::new(), |angle| plain(Unit::Degree, angle)));
    }
    let lists = angles.lists().map(|list| {
        let list = list.iter().map(|angle| plain(Unit::Degree, *angle));
        list.collect::<Vec<_>>().join(" ")
    });
    fields.extend(lists);
    let modes = angles.assembly_modes();
    let modes: Vec<String> = modes.iter().map(i8::to_string).collect();
    fields.push(modes.join(" "));
    fields.push(words::layout_key(angles.family_name(), angles.layout()));
    fields.extend([
        plain(Unit::Degree, candidate.mount_tilt),
        match &brief.kept {
            // The innermost radius follows from where the kept bars lie.
            Some(kept) if kept.any_bar() && brief.layers.is_some() => String::new(),
            _ => plain(Unit::Millimetre, candidate.joint_radius),
        },
        words::section(&brief.choice.sections[candidate.section]),
        brief.choice.materials[candidate.material].name.clone(),
        bearing_words(brief, candidate),
        candidate
            .spacing
            .map_or(String::new(), |spacing| plain(Unit::Millimetre, spacing)),
        layers_words(brief, candidate),
        outcome.feasible().to_string(),
        judged_by_words(brief, verdict).to_string(),
        on_front.to_string(),
        verdict.against().join("; "),
    ]);
    let written = |value: Option<f64>| {
        let finite = value.filter(|value| value.is_finite());
        finite.map(short).unwrap_or_default()
    };
    let value = |quantity: Quantity| {
        let factor = quantity.unit().factor();
        written(verdict.values.get(quantity).map(|value| value * factor))
    };
    let edge = |end: usize| written(verdict.polar.map(|polar| polar[end].to_degrees()));
    fields.extend(columns(true).map(value));
    fields.extend([edge(0), edge(1)]);
    fields.extend(columns(false).map(value));
    fields
}

/// A number as a person would write it, 23.5 where steps arrive at 23.500000000000004.
fn plain(unit: Unit, si: f64) -> String {
    unit.write(unit.tidied(si))
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
