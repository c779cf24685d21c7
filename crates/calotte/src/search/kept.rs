//! The next prototype: what of a built one stays, and what it leaves to be chosen.
//!
//! A design has one section, material, kind of joint and radius for all its bars; who keeps a
//! bar keeps these.

use std::sync::Arc;

use thiserror::Error;

use crate::brief::{Brief, Kept, Limits, Range};
use crate::design::{Design, JointProperties, Mount, NotYetWhereDiffering, Support};
use crate::family::parameters::{Family, Part};
use crate::measurement::{ToldByWeights, change_joints};
use crate::quantity::Quantity;
use crate::sphere::{Region, arc_between};
use crate::stock::Section;
use crate::subject::{Motion, Subject};

/// Parts that cannot be kept.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum KeptError {
    /// A bar that the prototype does not have.
    #[error("bar {bar} is to be kept, and the prototype has {}", bars_words(*.count))]
    NoSuchBar {
        /// Number of the bar, from 1.
        bar: usize,
        /// Bars there are.
        count: usize,
    },
    /// No number of stages that the brief allows goes with the bars kept.
    #[error(
        "no number of stages that [choice] allows goes with the bars kept: they are of {had} stages, {needs}"
    )]
    Stages {
        /// Stages of the prototype.
        had: usize,
        /// What they need.
        needs: String,
    },
    /// The brief does not allow the prototype's family.
    #[error("[choice] families does not hold {0}, of which the parts kept are")]
    Family(&'static str),
    /// Every candidate would have the bearing kept, which static safety cannot be judged for.
    #[error(
        "bearing_static_safety is limited, and the bearing of the bars kept, {0}, has no static rating to judge it by"
    )]
    Rating(String),
    /// Every candidate would have the section kept, whose stress is not known.
    #[error(
        "safety_factor_yield is limited, and the bars kept have a custom section, whose stress is not known"
    )]
    Stress,
    /// It is not answered yet where bars or joints differ.
    #[error(transparent)]
    NotYet(#[from] NotYetWhereDiffering),
}

fn bars_words(count: usize) -> String {
    match count {
        1 => "bar 1".to_string(),
        count => format!("bars 1 to {count}"),
    }
}

/// The brief that is left when parts of a prototype are kept: its lists hold what goes with them.
///
/// # Errors
/// [`KeptError`] for parts that the prototype does not have or that the brief does not allow.
pub fn narrowed(brief: &Brief, kept: &Kept) -> Result<Brief, KeptError> {
    let design = &kept.design;
    let count = design.family.bar_count();
    if let Some(bar) = kept.bars.iter().find(|bar| !(1..=count).contains(*bar)) {
        return Err(KeptError::NoSuchBar { bar: *bar, count });
    }
    let mut brief = brief.clone();
    brief.kept = Some(Kept {
        space: Some(brief.joint_radius),
        ..kept.clone()
    });
    if !kept.ground && !kept.any_bar() {
        return Ok(brief);
    }
    let family = design.family.family_name();
    if !brief.choice.families.contains(&family) {
        return Err(KeptError::Family(design.family.name()));
    }
    let choice = &mut brief.choice;
    choice.families = vec![family];
    if kept.ground {
        // The mount's own tilt, told; it is not taken from here.
        choice.mount_tilt = vec![tilt_of(&design.mount, &brief.region)];
        choice.drive_layouts = vec![design.drives.layout];
        if let (Some(own), Some(asked)) = (&design.layers, &mut brief.layers) {
            asked.base = own.base;
        }
    }
    if !kept.any_bar() {
        return Ok(brief);
    }
    design.needs_all_equal("keeping bars of a prototype")?;
    can_be_judged(&brief.limits, design)?;
    choice.sections = vec![design.section.clone()];
    choice.materials = vec![design.material.clone()];
    choice.bearings.clear();
    choice.bearing_spacing = None;
    brief.joints = Some(design.joints.clone());
    brief.joint_radius = Range::single(design.joint_radius);
    if let Some(had) = design.family.stages() {
        choice.stages.retain(|stages| goes_with(kept, had, *stages));
        if choice.stages.is_empty() {
            return Err(KeptError::Stages {
                had,
                needs: if kept.bars.contains(&had) {
                    format!("and the last one carries the tool, so {had} is required")
                } else {
                    let last = kept.bars.iter().max().copied().unwrap_or(0);
                    format!(
                        "and the last one kept crosses, so {} or more are required",
                        last + 1
                    )
                },
            });
        }
    }
    brief.layers = match (&design.layers, brief.layers.take()) {
        (Some(own), Some(asked)) => Some(crate::design::Layers {
            arrangement: asked.arrangement,
            ..own.clone()
        }),
        (own, _) => own.clone(),
    };
    if brief.layers.is_none() {
        brief.choice.arrangements.clear();
    }
    Ok(brief)
}

/// Whether limits can be judged for candidates with the section and the joints of a design.
fn can_be_judged(limits: &Limits, design: &Design) -> Result<(), KeptError> {
    let parts = design.joints.parts.as_ref();
    if limits.get(Quantity::BearingStaticSafety).is_some()
        && let Some(parts) = parts.filter(|parts| parts.bearing.static_rating.is_none())
    {
        return Err(KeptError::Rating(parts.bearing.name.clone()));
    }
    if limits.get(Quantity::SafetyFactor).is_some()
        && matches!(design.section, Section::Custom { .. })
    {
        return Err(KeptError::Stress);
    }
    Ok(())
}

/// Angle between a mount's base axis and the region's axis, rad.
fn tilt_of(mount: &Mount, region: &Region) -> f64 {
    arc_between(&mount.axis, &region.axis())
}

/// Whether a linkage of so many stages can hold the bars kept of one that had `had`.
fn goes_with(kept: &Kept, had: usize, stages: usize) -> bool {
    kept.bars.iter().all(|bar| {
        if *bar == had {
            stages == had
        } else {
            *bar < stages
        }
    })
}

/// The brief with what was found of a prototype: its material where the brief offers the one
/// of that name, and the stiffness of joints.
///
/// What weights tell is a factor on the prototype's own values, which may be measured ones of
/// an earlier round. Joints made of bearings take the prototype's factors along to the brief's
/// bearings; stiffness that the brief gives by numbers is what it says, times the factor told.
///
/// # Arguments
/// - `found`: the prototype as found.
/// - `told`: what weights told.
pub fn as_measured(brief: &Brief, found: &Design, told: &[ToldByWeights]) -> Brief {
    let mut brief = brief.clone();
    for material in &mut brief.choice.materials {
        if material.name == found.material.name {
            *material = found.material.clone();
        }
    }
    if let Some(joints) = &mut brief.joints {
        joints_as_found(joints, &found.joints, told);
    }
    brief
}

fn joints_as_found(joints: &mut JointProperties, found: &JointProperties, told: &[ToldByWeights]) {
    if let (Some(parts), Some(own)) = (&mut joints.parts, &found.parts) {
        parts.measured = own.measured;
        if let Ok(stiffness) = parts.pair_stiffness() {
            joints.stiffness = Some(stiffness);
        }
        return;
    }
    for one in told {
        change_joints(joints, one);
    }
}

/// Drives, tool and layers as kept, in a design whose angles are those of a candidate.
pub(super) fn keep_rest(kept: &Kept, design: &mut Design) {
    let old = &kept.design;
    if kept.ground {
        design.drives = old.drives.clone();
    }
    if kept.bars.contains(&old.family.bar_count()) {
        design.tool.carried_by = old.tool.carried_by;
        design.tool.bracket_arc = old.tool.bracket_arc;
        design.tool.roll = old.tool.roll;
    }
    if keeps_arrangement(kept, design)
        && let (Some(layers), Some(own)) = (&mut design.layers, &old.layers)
    {
        layers.arrangement = own.arrangement.clone();
    }
}

/// Whether a design has as many bars as the prototype whose bars it keeps, and so its layers.
pub(super) fn keeps_arrangement(kept: &Kept, design: &Design) -> bool {
    keeps_layers(kept, &design.family)
}

/// The same of a linkage of the prototype's family.
pub(super) fn keeps_layers(kept: &Kept, family: &Family) -> bool {
    kept.any_bar()
        && kept.design.layers.is_some()
        && family.bar_count() == kept.design.family.bar_count()
}

/// Moves the innermost radius so that the bars kept lie where they lay.
///
/// # Errors
/// In words, where other layers than theirs are left for them, or where bars would lie
/// outside the space that the brief allows.
pub(super) fn settle(kept: &Kept, motion: &Arc<Motion>, design: &mut Design) -> Result<(), String> {
    if !kept.any_bar() {
        return Ok(());
    }
    let ready =
        |design: &Design| Subject::on(motion, design.clone()).map_err(|error| error.to_string());
    let (old, new) = (ready(&kept.design)?, ready(design)?);
    let now: Vec<(&str, usize)> = layers_of(&new).collect();
    let mut shift = None;
    for (name, layer) in layers_of(&old) {
        if !is_kept(kept, name) {
            continue;
        }
        let Some((_, now)) = now.iter().find(|(other, _)| *other == name) else {
            continue;
        };
        let own = *now as f64 - layer as f64;
        if shift.is_some_and(|shift| shift != own) {
            return Err(
                "the bars kept would lie in other layers than they were made for".to_string(),
            );
        }
        shift = Some(own);
    }
    let radius = kept.design.joint_radius - shift.unwrap_or(0.0) * new.built.pitch;
    // What stands at the joint radius goes with it, unless it is the prototype's own.
    if let Some(Support::Springs { at_radius, .. } | Support::Column { at_radius, .. }) =
        &mut design.mount.support
        && *at_radius == design.joint_radius
        && !kept.ground
    {
        *at_radius = radius;
    }
    design.joint_radius = radius;
    let outside = kept.space.is_some_and(|space| {
        design.joint_radius < space.from * (1.0 - 1e-9)
            || design.joint_radius > space.to * (1.0 + 1e-9)
    });
    if outside {
        return Err(format!(
            "the innermost bars would lie at {:.1} mm, outside the space of the brief",
            1e3 * design.joint_radius
        ));
    }
    Ok(())
}

/// Layers of the bars by name.
fn layers_of(subject: &Subject) -> impl Iterator<Item = (&str, usize)> {
    let bodies = &subject.kinematics().linkage.bodies;
    bodies
        .iter()
        .zip(&subject.built.layers)
        .filter_map(|(body, layer)| Some((body.name.as_str(), (*layer)?)))
}

/// Whether a body of the linkage is kept.
pub fn is_kept(kept: &Kept, body: &str) -> bool {
    match kept.design.family.part(body) {
        Some(Part::Base) => kept.base,
        Some(Part::Bar(number)) => kept.bars.contains(&number),
        None => false,
    }
}
