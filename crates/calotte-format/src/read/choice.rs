//! `[choice]` and `[objectives]`.

use calotte::brief::{ArrangementChoice, Choice, Objective, Range};
use calotte::design::{Arrangement, JointProperties};
use calotte::quantity::{Need, Quantity};
use calotte::stock::Bearing;
use calotte::stock::{Material, Process};

use super::check::Checker;
use super::fields::Fields;
use crate::keys::words;

/// Layers that only the motion of a candidate can tell.
pub(super) const FEWEST: &str = "fewest";

/// Distances between two bearings that are searched where nobody says which, m (product rule of
/// this program).
const USUAL_SPACING: Range = Range {
    from: 5e-3,
    to: 30e-3,
    step: 1e-3,
};

impl Checker<'_> {
    /// `[choice]`.
    pub(super) fn choice(&mut self, fields: &Fields) -> Option<Choice> {
        let sections = fields
            .table("section")
            .and_then(|table| self.sections(table));
        let list = |name: &str| fields.words(name).unwrap_or_default();
        Some(Choice {
            bearings: list("bearings")
                .iter()
                .filter_map(|name| Bearing::shipped(name))
                .collect(),
            arrangements: list("layers")
                .iter()
                .map(|name| match name.as_str() {
                    FEWEST => ArrangementChoice::Fewest,
                    "nested" => ArrangementChoice::Of(Arrangement::Nested),
                    _ => ArrangementChoice::Of(Arrangement::Two),
                })
                .collect(),
            families: list("families")
                .iter()
                .filter_map(|name| words::family(name))
                .collect(),
            stages: fields
                .wholes("stages")?
                .iter()
                .filter_map(|stages| usize::try_from(*stages).ok())
                .collect(),
            arc: fields.range("arc_deg")?,
            bend: fields.range("bend_deg")?,
            equal_arcs: fields.flag("equal_arcs")?,
            full_grid: fields.flag("full_grid")?,
            round_angle: fields.number("round_arc_deg")?,
            bearing_spacing: Some(fields.range("bearing_spacing_mm").unwrap_or(USUAL_SPACING)),
            arm_arc: fields.range("arm_arc_deg")?,
            sections: sections?,
            materials: list("materials")
                .iter()
                .filter_map(|name| Material::shipped(name))
                .collect(),
            process: fields.text("process").and_then(Process::of_word),
            mount_tilt: fields.numbers("mount_tilt_deg")?.to_vec(),
            mount_tilt_towards: fields.number("mount_tilt_towards_deg")?,
            drive_layouts: list("drive_layout")
                .iter()
                .filter_map(|name| words::layout(name))
                .collect(),
        })
        .filter(|choice| !choice.families.is_empty())
        .filter(|choice| !choice.materials.is_empty() && !choice.drive_layouts.is_empty())
    }

    /// Bearings and layers can only be chosen where joints and layers are described by them.
    pub(super) fn choice_has_what_it_varies(
        &mut self,
        fields: &Fields,
        joints: Option<&JointProperties>,
    ) {
        let Some(choice) = fields.table("choice") else {
            return;
        };
        if choice.given("bearings") && joints.is_some_and(|joints| joints.parts.is_none()) {
            self.object(
                choice,
                "bearings",
                None,
                "`bearings` are to be chosen for joints without a bearing",
            )
            .hint =
                "give [joints.bearing], which says everything the choice leaves open".to_string();
        }
        if choice.given("bearing_spacing_mm") && joints.is_some_and(|joints| joints.parts.is_none())
        {
            self.object(
                choice,
                "bearing_spacing_mm",
                None,
                "a spacing is to be chosen for joints without a bearing",
            )
            .hint =
                "give [joints.bearing], which says everything the choice leaves open".to_string();
        }
        if let Some(parts) = joints.and_then(|joints| joints.parts.as_ref()) {
            let names = choice.words("bearings").unwrap_or_default();
            for (index, name) in names.iter().enumerate() {
                let loaded = Bearing::shipped(name).map(|one| one.loaded_like(&parts.bearing));
                if let Some(Err(error)) = loaded {
                    let message =
                        format!("{name} cannot carry what [joints.bearing] says: {error}");
                    self.object(choice, "bearings", Some(index), message).hint =
                        "leave preload or load out of [joints.bearing]".to_string();
                }
            }
        }
        if choice.given("layers") && !fields.written("layers") {
            self.object(
                choice,
                "layers",
                None,
                "`layers` are to be chosen without [layers]",
            )
            .hint = "give [layers], which says gap and clearance".to_string();
        }
    }

    /// Whether the distance between bearings is chosen: of joints made of them, where the choice
    /// gives it or the joints do not.
    pub(super) fn spacing_is_chosen(fields: &Fields, joints: Option<&JointProperties>) -> bool {
        let given = |table: &str, inner: Option<&str>, key: &str| {
            let table = fields.table(table);
            let table = inner.map_or(table, |inner| table?.table(inner));
            table.is_some_and(|table| table.given(key))
        };
        joints.is_some_and(|joints| joints.parts.is_some())
            && (given("choice", None, "bearing_spacing_mm")
                || !given("joints", Some("bearing"), "spacing_mm"))
    }

    /// `[objectives]`, or the usual ones: those that need stiff joints only
    /// where the brief has them.
    pub(super) fn objectives(&mut self, fields: &Fields) -> Option<Vec<Objective>> {
        if fields.refused.contains(&"objectives") {
            return None;
        }
        let Some(table) = fields.table("objectives") else {
            return Some(usual_objectives(fields.written("joints")));
        };
        if !table.refused.is_empty() {
            return None;
        }
        let mut objectives: Vec<Objective> = Vec::new();
        for (name, maximise) in [("maximise", true), ("minimise", false)] {
            for (index, word) in table.words(name).unwrap_or_default().iter().enumerate() {
                let Some(quantity) = words::objective(word) else {
                    continue;
                };
                if objectives.iter().any(|other| other.quantity == quantity) {
                    let message = format!("\"{word}\" is to be maximised and minimised");
                    self.object(table, name, Some(index), message).hint =
                        "keep it in one of the two lists".to_string();
                    return None;
                }
                objectives.push(Objective { quantity, maximise });
            }
        }
        if objectives.len() < 2 {
            let count = objectives.len();
            let message = format!(
                "[objectives] has {count} of the two or more objectives that make a choice"
            );
            let name = if table.written("minimise") && !table.written("maximise") {
                "minimise"
            } else {
                "maximise"
            };
            self.object(table, name, None, message).hint =
                "add one that pulls the other way, such as moving-mass against stiffness; leave [objectives] out for the usual ones"
                    .to_string();
            return None;
        }
        Some(objectives)
    }
}

/// Those the table of quantities calls usual; without joints no stiffness.
fn usual_objectives(with_joints: bool) -> Vec<Objective> {
    Quantity::OBJECTIVES
        .into_iter()
        .filter(|quantity| quantity.facts().objective.is_some_and(|one| one.usual))
        .filter(|quantity| with_joints || !quantity.needs(Need::Joints))
        .map(|quantity| Objective {
            quantity,
            maximise: quantity.more_is_better(),
        })
        .collect()
}
