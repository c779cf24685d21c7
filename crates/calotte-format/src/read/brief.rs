//! The brief.

use calotte::brief::{ArrangementChoice, Brief, Range, SupportNeed, ToolNeed};
use calotte::design::{Arrangement, JointProperties, Layers};

use super::LoadFile;
use super::check::{Checker, FileKind};
use super::choice::FEWEST;
use super::design::number_or;
use super::drives::ActiveJoint;
use super::fields::Fields;
use super::limits::{limit_sources, limits};
use super::parts::envelope;
use super::syntax;
use crate::keys::brief::BRIEF;
use crate::keys::design::DESIGN;
use crate::problem::FormatError;
use crate::units::Unit;

/// Names of bars that do not count stages, as results print them.
pub(super) const BARS: [&str; 4] = ["base-left", "base-right", "first-arc", "second-arc"];

/// What a brief is read for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Use {
    /// A search, whose candidates get their joints from the brief.
    Search,
    /// Judging a design, which has joints of its own.
    Judge,
}

/// The brief among the files.
pub(super) const FILE: FileKind = FileKind {
    name: "brief",
    table: &BRIEF,
    other_name: "design",
    other: &DESIGN,
};

/// Reads a brief.
pub(super) fn read(text: &str, load_file: LoadFile, purpose: Use) -> Result<Brief, FormatError> {
    let (table, problems) = syntax::parse(text)?;
    let mut checker = Checker::new(text, FILE, problems);
    let fields = checker.file(table.get_ref());
    let brief = checker.brief(&fields, load_file, purpose);
    checker.finish(brief)
}

impl Checker<'_> {
    /// Every part is built before any is missed, so that all problems come at once.
    fn brief(&mut self, fields: &Fields, load_file: LoadFile, purpose: Use) -> Option<Brief> {
        let region = self.region(fields, load_file);
        let joint_radius = fields
            .table("space")
            .and_then(|space| space.range("joint_radius_mm"));
        let tool = fields
            .table("tool")
            .and_then(|table| tool(table, joint_radius));
        let loads = self.loads(fields);
        let limits = fields.table("limits").and_then(limits);
        let mut choice = fields.table("choice").and_then(|table| self.choice(table));
        let joints = fields.table("joints").map(|table| self.joints(table));
        if let Some(choice) = &mut choice
            && !Self::spacing_is_chosen(fields, joints.as_ref().and_then(Option::as_ref))
        {
            choice.bearing_spacing = None;
        }
        let layers = fields.table("layers").map(|table| {
            let joints = joints.as_ref().and_then(Option::as_ref);
            let heights = choice.as_ref().map(|choice| {
                let depths = choice.sections.iter().map(|section| section.depth());
                depths.fold(0.0, f64::max)
            });
            self.layers(table, joints, heights)
        });
        if let (Some(Some(layers)), Some(table)) = (&layers, fields.table("layers")) {
            self.brief_layers(table, layers);
            if let Some(choice) = &mut choice
                && choice.arrangements.is_empty()
                && table.text("arrangement") == Some(FEWEST)
            {
                choice.arrangements = vec![ArrangementChoice::Fewest];
            }
        }
        let joints_driven = choice.as_ref().map(|choice| {
            let families = choice.families.iter();
            let layouts = |family| {
                let layouts = choice.drive_layouts.iter();
                layouts.flat_map(move |layout| ActiveJoint::of(family, *layout))
            };
            families
                .flat_map(|family| layouts(*family))
                .collect::<Vec<_>>()
        });
        let drives = self.drives_of(
            fields,
            joints_driven.as_deref().unwrap_or_default(),
            purpose == Use::Search && joints_driven.is_some(),
        );
        let support = match fields.table("mount") {
            None => Some(None),
            Some(table) => self.support_of_candidates(table, joint_radius),
        };
        let keep_outs = self.keep_outs(fields, load_file);
        self.choice_has_what_it_varies(fields, joints.as_ref().and_then(Option::as_ref));
        let objectives = self.objectives(fields);
        self.limits_have_loads(fields);
        self.limits_have_bearings(fields, joints.as_ref().and_then(Option::as_ref));
        if purpose == Use::Search {
            self.stiffness_has_joints(fields);
            self.sag_has_a_tool(fields);
            let families = choice.as_ref().map(|choice| choice.families.as_slice());
            self.transmission_has_loops(fields, families.unwrap_or_default());
            let bearings = choice.as_ref().map(|choice| choice.bearings.as_slice());
            let joints = joints.as_ref().and_then(Option::as_ref);
            self.static_safety_has_ratings(fields, joints, bearings.unwrap_or_default());
        }
        if let (Some(Some(joints)), Some(choice), Some(radius)) = (&joints, &choice, joint_radius) {
            let arcs = [choice.arc.to, choice.arm_arc.to];
            let longest = arcs.into_iter().fold(0.0, f64::max) * radius.to;
            self.boss_fits_some(fields, joints, longest);
        }
        if ["joints", "layers", "keep_out", "mount"]
            .iter()
            .any(|name| fields.refused.contains(name))
        {
            return None;
        }
        let region_fields = fields.table("region")?;
        Some(Brief {
            kept: None,
            title: fields.text("title")?.to_string(),
            people_near: fields.flag("people_near")?,
            region: region?,
            coverage_min: region_fields.number("coverage_min")?,
            centre: fields.table("centre")?.vector("position_mm")?,
            joint_radius: joint_radius?,
            tool: tool?,
            loads: loads?,
            limits: limits?,
            limit_sources: fields
                .table("limits")
                .map(limit_sources)
                .unwrap_or_default(),
            choice: choice?,
            joints: match joints {
                None => None,
                Some(joints) => Some(joints?),
            },
            layers: match layers {
                None => None,
                Some(layers) => Some(layers?),
            },
            drives: drives?,
            support: support?,
            keep_outs: keep_outs?,
            allowance: fields.table("space")?.number("allowance_mm")?,
            way_in: fields.table("space")?.vector("insertion_direction"),
            objectives: objectives?,
        })
    }

    /// `[mount]`. The outer `None` is one that could not be read.
    fn support_of_candidates(
        &mut self,
        fields: &Fields,
        joint_radius: Option<Range>,
    ) -> Option<Option<SupportNeed>> {
        // Where the file gives no radius, each candidate's own is put in.
        let support = self.support(fields, joint_radius.map(|range| range.from))?;
        let table = fields.table("springs").or_else(|| fields.table("column"));
        let given = table.is_some_and(|table| table.given("at_radius_mm"));
        Some(support.map(|support| SupportNeed {
            support,
            at_joint_radius: !given,
        }))
    }

    /// A brief does not know its bars yet, so that it cannot list their layers.
    fn brief_layers(&mut self, fields: &Fields, layers: &Layers) {
        if matches!(layers.arrangement, Arrangement::Given(_)) {
            let problem = self.object(
                fields,
                "arrangement",
                None,
                "a brief cannot give the layer of each bar: the bars are not chosen yet",
            );
            problem.allowed = "\"two\", \"nested\" or \"fewest\"".to_string();
            problem.hint = "write one of them, or several in `layers` of [choice]".to_string();
        }
    }

    /// A boss that no arc of the choice can take.
    fn boss_fits_some(&mut self, fields: &Fields, joints: &JointProperties, longest: f64) {
        if joints.boss_diameter < longest {
            return;
        }
        let Some(table) = fields.table("joints") else {
            return;
        };
        let [boss, longest] =
            [joints.boss_diameter, longest].map(|si| Unit::Millimetre.from_si(si));
        let message = format!(
            "a boss of {boss} mm leaves nothing of the longest arc to choose from, {longest:.1} mm"
        );
        let problem = self.object(table, "boss_diameter_mm", None, message);
        problem.allowed = format!("below {longest:.1} mm: half a boss lies at each end of an arc");
        problem.hint =
            "take a smaller boss, or allow longer arcs in [choice] or larger radii in [space]"
                .to_string();
    }
}

/// `[tool]`.
fn tool(fields: &Fields, joint_radius: Option<Range>) -> Option<ToolNeed> {
    let smallest = joint_radius.map(|range| range.from);
    let tip_radius = number_or(fields, "tip_radius_mm", smallest)?;
    if ["mass_kg", "grip_radius_mm"]
        .iter()
        .any(|name| fields.refused.contains(name))
    {
        return None;
    }
    Some(ToolNeed {
        mass: fields.band("mass_kg"),
        centre_of_mass_radius: number_or(fields, "centre_of_mass_radius_mm", Some(tip_radius))?,
        tip_radius,
        grip_radius: fields.number("grip_radius_mm"),
        envelope: envelope(fields).ok()?,
    })
}
