//! An analysis in words.

use calotte::Uncertain;
use calotte::analysis::Analysis;
use calotte::brief::Brief;
use calotte::design::Design;
use calotte_format::safety::Safety;
use calotte_format::words;

use super::asked::Asked;
use super::configuration::{configuration_text, nearest_text, opinion_text};
use crate::safety;
use crate::sides::{Mean, caution};
use crate::summary::{Heading, summary};
use crate::text::line;

/// Where a design and the brief that judges it differ.
pub fn differences(design: &Design, brief: &Brief) -> Vec<String> {
    let mut found = Vec::new();
    let mut compare = |name: &str, in_design: Option<f64>, in_brief: Option<f64>, unit: &str| {
        let differ = match (in_design, in_brief) {
            (Some(a), Some(b)) => (a - b).abs() > 1e-9 * a.abs().max(b.abs()),
            (None, None) => false,
            _ => true,
        };
        if differ {
            let text = |value: Option<f64>| {
                value.map_or("nothing".to_string(), |v| {
                    format!("{} {unit}", words::three(v))
                })
            };
            found.push(format!(
                "{name}: the design has {}, the brief {}; the design's is used",
                text(in_design),
                text(in_brief)
            ));
        }
    };
    compare(
        "tool mass",
        design.tool.mass.map(|m| m.value),
        brief.tool.mass.map(|m| m.value),
        "kg",
    );
    compare(
        "tip radius",
        Some(design.tool.tip_radius * 1e3),
        Some(brief.tool.tip_radius * 1e3),
        "mm",
    );
    compare(
        "centre of mass radius",
        Some(design.tool.centre_of_mass_radius * 1e3),
        Some(brief.tool.centre_of_mass_radius * 1e3),
        "mm",
    );
    let joints = design.family.active_names(design.drives.layout);
    let drives = joints.into_iter().zip(&design.drives.each);
    for (joint, drive) in drives.filter(|_| !brief.drives.is_empty()) {
        let wanted = brief.drive(joint);
        let value = |number: Option<Uncertain>| number.map(|number| number.value);
        compare(
            &format!("stiffness of the {joint} drive"),
            value(drive.stiffness),
            value(wanted.stiffness),
            "N·m/rad",
        );
        compare(
            &format!("mass of the {joint} drive"),
            value(drive.mass),
            value(wanted.mass),
            "kg",
        );
    }
    let stands_on = brief.support.as_ref();
    if let Some(wanted) = stands_on.map(|support| support.at(design.joint_radius))
        && design.mount.support.as_ref() != Some(&wanted)
    {
        found.push(
            "what it stands on: the design has another [mount] than the brief; the design's is used"
                .to_string(),
        );
    }
    let radius = design.joint_radius;
    if radius < brief.joint_radius.from - 1e-9 || radius > brief.joint_radius.to + 1e-9 {
        found.push(format!(
            "joint radius: the design has {} mm, outside the brief's {} to {} mm",
            words::three(radius * 1e3),
            words::three(brief.joint_radius.from * 1e3),
            words::three(brief.joint_radius.to * 1e3)
        ));
    }
    found
}

/// What was asked, on one screen.
pub fn text(design: &Design, brief: Option<&Brief>, analysis: &Analysis, asked: &Asked) -> String {
    let mut out = String::new();
    let people_near = brief.is_none_or(|brief| brief.people_near);
    match asked {
        Asked::Region => {
            let title = if design.title.is_empty() {
                words::linkage(design)
            } else {
                design.title.clone()
            };
            let heading = Heading {
                title,
                people_near,
                elapsed: String::new(),
                rejected: Vec::new(),
                explained: Vec::new(),
                follows: Vec::new(),
                best_stages: None,
                next: String::new(),
            };
            out.push_str(&summary(design, analysis, &heading));
        }
        Asked::Configuration(single) => {
            out.push_str(&configuration_text(design, &single.result));
            if let Some(opinion) = &single.opinion {
                out.push_str(&opinion_text(opinion));
            }
            if let (Some(built), Some(distances)) = (&single.built, &single.distances) {
                out.push_str(&nearest_text(built, distances));
            }
        }
        Asked::Unreachable { wanted, nearest } => {
            line!(
                out,
                "out of the working range: {}",
                words::place(*wanted, true)
            );
            if let Some((direction, distance, result)) = nearest {
                line!(
                    out,
                    "nearest: {}, {} away",
                    words::place(*direction, true),
                    words::angle(*distance)
                );
                out.push_str(&configuration_text(design, result));
            }
        }
    }
    if !matches!(asked, Asked::Region) {
        // The summary of a region has both before what comes next.
        if let Some(differ) = caution(design, Mean::Everything) {
            for text in words::wrapped(&format!("Model limitation: {differ}"), 79) {
                line!(out, "{text}");
            }
        }
        out.push_str(&safety::text(Safety::of(design, people_near)));
    }
    out
}
