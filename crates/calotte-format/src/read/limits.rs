//! `[limits]`, and what a brief must describe for a limit or an objective to be judged at all.

use calotte::brief::{FamilyName, LimitSources, Limits};
use calotte::design::JointProperties;
use calotte::quantity::{Need, Quantity};
use calotte::stock::Bearing;

use crate::keys::brief::COVERAGE_MIN;
use crate::keys::words::{CHOICE_FAMILY, judged_at};
use crate::words::within;

use super::check::Checker;
use super::fields::Fields;
use super::source::short;

/// `[limits]`; a limit that was refused must not become no limit.
pub(super) fn limits(fields: &Fields) -> Option<Limits> {
    if !fields.refused.is_empty() {
        return None;
    }
    let limit = |quantity: Quantity| {
        let key = quantity.facts().limit?.key;
        Some((quantity, fields.number(key)?))
    };
    let mut limits = Limits::of(Quantity::LIMITS.into_iter().filter_map(limit));
    limits.judged_at = judged_at(fields.text("judge")?);
    Some(limits)
}

/// `[limits.source]`.
pub(super) fn limit_sources(fields: &Fields) -> LimitSources {
    let Some(sources) = fields.table("source") else {
        return LimitSources::default();
    };
    let source = |quantity: Quantity| {
        let key = match quantity {
            Quantity::Coverage => COVERAGE_MIN,
            _ => quantity.facts().limit?.key,
        };
        Some((quantity, sources.text(key)?.to_string()))
    };
    LimitSources::of(Quantity::ALL.into_iter().filter_map(source))
}

impl Checker<'_> {
    /// A limit or an objective that every load case has for itself needs a load.
    pub(super) fn limits_have_loads(&mut self, fields: &Fields) {
        if fields.written("load") {
            return;
        }
        const ALLOWED: &str = "at least one [[load]]";
        const HINT: &str = "add [[load]] with name = \"press\" and force_n = { radial = 8 }";
        if let Some(limits) = fields.table("limits") {
            for quantity in limited_by(Need::Load) {
                let Some(key) = quantity.facts().limit.map(|limit| limit.key) else {
                    continue;
                };
                if limits.given(key) {
                    let label = within(quantity.label());
                    let message = format!("{label} is limited, but the brief has no load");
                    let problem = self.object(limits, key, None, message);
                    (problem.allowed, problem.hint) = (ALLOWED.to_string(), HINT.to_string());
                }
            }
        }
        let Some(table) = fields.table("objectives") else {
            return;
        };
        for quantity in weighed_by(Need::Load) {
            if let Some((list, index)) = asked_for(table, quantity) {
                let label = within(quantity.label());
                let message = format!("{label} is an objective, but the brief has no load");
                let problem = self.object(table, list, Some(index), message);
                (problem.allowed, problem.hint) = (ALLOWED.to_string(), HINT.to_string());
            }
        }
    }

    /// Static safety is a bearing's.
    pub(super) fn limits_have_bearings(
        &mut self,
        fields: &Fields,
        joints: Option<&JointProperties>,
    ) {
        const KEY: &str = "bearing_static_safety";
        if let Some(limits) = fields.table("limits")
            && limits.given(KEY)
            && joints.is_some_and(|joints| joints.parts.is_none())
        {
            let message = format!("`{KEY}` is limited for joints without a bearing");
            self.object(limits, KEY, None, message).hint =
                "give [joints.bearing], or leave the limit out".to_string();
        }
    }

    /// A transmission angle is one of closed loops; where no family to choose from has any,
    /// the limit would be none.
    pub(super) fn transmission_has_loops(&mut self, fields: &Fields, families: &[FamilyName]) {
        const KEY: &str = "transmission_angle_min_deg";
        let Some(limits) = fields.table("limits").filter(|limits| limits.given(KEY)) else {
            return;
        };
        if families.is_empty() || families.iter().any(|family| family.has_closed_loops()) {
            return;
        }
        let chosen: Vec<&str> = families.iter().map(|family| family.words()).collect();
        // Of those that a search can use.
        let open: Vec<_> = (CHOICE_FAMILY.words)()
            .into_iter()
            .filter(|word| word.not_yet.is_none())
            .map(|word| word.name)
            .collect();
        let with_loops: Vec<String> = FamilyName::ALL
            .into_iter()
            .filter(|family| family.has_closed_loops() && open.iter().any(|n| n == family.name()))
            .map(|family| format!("\"{}\"", family.name()))
            .collect();
        let message =
            format!("`{KEY}` is limited, but no family of [choice] has a transmission angle");
        let problem = self.object(limits, KEY, None, message);
        problem.allowed = format!("with one of these in families: {}", with_loops.join(", "));
        problem.hint = format!(
            "leave the limit out: a {} has no closed loop, so that there is no type 2 singularity to keep away from",
            chosen.join(" or a ")
        );
    }

    /// Static safety is a share of the static rating, and every candidate takes its bearing
    /// from `[choice]`, or from `[joints.bearing]` where none is to be chosen.
    pub(super) fn static_safety_has_ratings(
        &mut self,
        fields: &Fields,
        joints: Option<&JointProperties>,
        to_choose: &[Bearing],
    ) {
        const KEY: &str = "bearing_static_safety";
        let Some(limits) = fields.table("limits").filter(|limits| limits.given(KEY)) else {
            return;
        };
        let own = joints.and_then(|joints| joints.parts.as_ref());
        let used = match to_choose {
            [] => own.map(|parts| &parts.bearing).into_iter().collect(),
            chosen => chosen.iter().collect::<Vec<_>>(),
        };
        let Some(unrated) = used.iter().find(|one| one.static_rating.is_none()) else {
            return;
        };
        let message = format!(
            "`{KEY}` is limited, but bearing \"{}\" has no static rating to judge it by",
            short(&unrated.name)
        );
        let problem = self.object(limits, KEY, None, message);
        problem.allowed = "with static_rating_n in [joints.bearing], or a bearing of the shipped \
                           table, whose ratings are known"
            .to_string();
        problem.hint =
            "add static_rating_n, the maker's static load rating C0, or leave the limit out"
                .to_string();
    }

    /// Sag is told with the tool on the linkage: without its mass a limit would be judged for
    /// bare bars in the search and not at all afterwards.
    pub(super) fn sag_has_a_tool(&mut self, fields: &Fields) {
        const ALLOWED: &str = "with mass_kg above 0 in [tool]";
        const HINT: &str = "add mass_kg to [tool], such as mass_kg = 0.8";
        let Some(tool) = fields.table("tool") else {
            return;
        };
        let heavy = tool.band("mass_kg").is_some_and(|mass| mass.value > 0.0);
        if heavy || tool.refused.contains(&"mass_kg") {
            return;
        }
        if let Some(limits) = fields.table("limits") {
            for key in keys_that_need(Need::ToolMass) {
                if limits.given(key) {
                    let message = format!("`{key}` is limited, but the tool has no mass");
                    let problem = self.object(limits, key, None, message);
                    (problem.allowed, problem.hint) = (ALLOWED.to_string(), HINT.to_string());
                }
            }
        }
        let Some(table) = fields.table("objectives") else {
            return;
        };
        for quantity in weighed_by(Need::ToolMass) {
            if let Some((list, index)) = asked_for(table, quantity) {
                let label = within(quantity.label());
                let message = format!("{label} is an objective, but the tool has no mass");
                let problem = self.object(table, list, Some(index), message);
                (problem.allowed, problem.hint) = (ALLOWED.to_string(), HINT.to_string());
            }
        }
    }

    /// Limits and objectives that need stiffness need `[joints]`.
    pub(super) fn stiffness_has_joints(&mut self, fields: &Fields) {
        if fields.written("joints") {
            return;
        }
        let of_loads = fields
            .table("limits")
            .map_or(&[][..], |limits| limits.tables("load"));
        let hint = "add [joints] with axial_n_per_m (along the joint's own axis, radial to the sphere), \
                    radial_n_per_m and tilt_nm_per_rad, or rigid = true";
        if let Some(limits) = fields.table("limits") {
            let tables = || std::iter::once(limits).chain(of_loads);
            for (table, name) in tables()
                .flat_map(|table| keys_that_need(Need::Joints).map(move |name| (table, name)))
            {
                if table.spec.key(name).is_some() && table.given(name) {
                    let message = format!("`{name}` asks for stiffness, but [joints] is missing");
                    let problem = self.object(table, name, None, message);
                    problem.allowed =
                        "[joints] is required where stiffness is asked for".to_string();
                    problem.hint = hint.to_string();
                }
            }
        }
        let Some(objectives) = fields.table("objectives") else {
            return;
        };
        for quantity in weighed_by(Need::Joints) {
            if let Some((list, index)) = asked_for(objectives, quantity) {
                let message = format!(
                    "\"{}\" asks for stiffness, but [joints] is missing",
                    quantity.word()
                );
                let problem = self.object(objectives, list, Some(index), message);
                problem.allowed = "[joints] is required where stiffness is asked for".to_string();
                problem.hint = hint.to_string();
            }
        }
    }
}

/// What can be limited and needs this.
fn limited_by(need: Need) -> impl Iterator<Item = Quantity> {
    let all = Quantity::LIMITS.into_iter();
    all.filter(move |quantity| quantity.needs(need))
}

/// What can be an objective and needs this.
fn weighed_by(need: Need) -> impl Iterator<Item = Quantity> {
    let all = Quantity::OBJECTIVES.into_iter();
    all.filter(move |quantity| quantity.needs(need))
}

/// The keys of limits for which this must be described.
fn keys_that_need(need: Need) -> impl Iterator<Item = &'static str> {
    limited_by(need).filter_map(|quantity| Some(quantity.facts().limit?.key))
}

/// The list of `[objectives]` that asks for a quantity, and its entry there.
fn asked_for(table: &Fields, quantity: Quantity) -> Option<(&'static str, usize)> {
    ["maximise", "minimise"].into_iter().find_map(|name| {
        let words = table.words(name)?;
        let index = words.iter().position(|word| word == quantity.word())?;
        Some((name, index))
    })
}
