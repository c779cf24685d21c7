//! The settings behind a map in words, for captions and results.

use calotte::analysis::map::Variable;
use calotte::design::{Arrangement, Design};
use calotte::family::parameters::Dimension;
use calotte::sphere::Region;
use calotte::sphere::region::Shape;

use super::{Request, names};
use crate::words;

/// All settings: what stays of the design, what is set, where values are taken.
/// Numbers that the map varies or sets are not repeated as the design's.
pub fn settings(request: &Request, design: &Design) -> Vec<(String, String)> {
    let mut list: Vec<(String, String)> = Vec::new();
    let mut add = |name: &str, value: String| list.push((name.to_string(), value));
    let given = |variables: &[Variable]| variables.iter().any(|v| request.varies(*v));
    add("linkage", linkage(request, design));
    add("drive layout", words::drive_layout(design).to_string());
    let millimetres = |value: f64| format!("{} mm", names::number(value * 1e3));
    if !given(&[Variable::JointRadius]) {
        add("joint radius", millimetres(design.joint_radius));
    }
    if !given(&[Variable::TipRadius]) {
        add("tip radius", millimetres(design.tool.tip_radius));
    }
    if !given(&[Variable::Tangential, Variable::Radial, Variable::Diameter]) {
        add("section", words::sections(design));
    }
    add(
        "material",
        format!(
            "{} (E {} GPa)",
            design.material.name,
            names::number(design.material.youngs_modulus.value / 1e9)
        ),
    );
    joints(request, design, &mut add);
    if let Some(mass) = &design.tool.mass {
        add("tool mass", format!("{} kg", names::number(mass.value)));
    }
    for (variable, value) in &request.set {
        let shown = names::unit(*variable).from_si(*value);
        add(
            &format!("{} set to", names::label(*variable).to_lowercase()),
            names::value_in_words(*variable, shown),
        );
    }
    if request.task.quantities.iter().any(|q| q.is_of_directions()) {
        add("elastic quantities", elastic(request));
    }
    add("region", region(&request.task.requirements.region));
    margins(request, &mut add);
    if request.task.dimensionless {
        add(
            "dimensionless",
            "stiffness as k R³/(E I), R the joint radius, I for bending in the arc's plane"
                .to_string(),
        );
    }
    if design.has_bands() {
        add("uncertain numbers", "at their nominal value".to_string());
    }
    list
}

/// The family, with its angles where the map leaves them as they are.
fn linkage(request: &Request, design: &Design) -> String {
    let angles = [
        Variable::Stages,
        Variable::Arc,
        Variable::TotalArc,
        Variable::Bend,
        Variable::FirstArc,
        Variable::SecondArc,
    ];
    if !angles.iter().any(|variable| request.varies(*variable)) {
        return words::linkage(design);
    }
    let family = &design.family;
    let first_of = |dimension| family.values(dimension)?.first().copied();
    let mut text = family.family_name().words().to_string();
    if let Some(stages) = first_of(Dimension::Stages)
        && !request.varies(Variable::Stages)
    {
        let stages = names::value_in_words(Variable::Stages, stages);
        text.push_str(&format!(" of {stages}"));
    }
    if let Some(bend) = first_of(Dimension::Bend)
        && !request.varies(Variable::Bend)
        && bend != 0.0
    {
        text.push_str(&format!(", bend {}", words::angle(bend)));
    }
    for (variable, dimension, name) in [
        (Variable::FirstArc, Dimension::FirstArc, "first arc"),
        (Variable::SecondArc, Dimension::SecondArc, "second arc"),
    ] {
        let changed = [variable, Variable::Arc, Variable::TotalArc]
            .iter()
            .any(|v| request.varies(*v));
        if let (Some(arc), false) = (first_of(dimension), changed) {
            text.push_str(&format!(", {name} {}", words::angle(arc)));
        }
    }
    text
}

fn joints(request: &Request, design: &Design, add: &mut impl FnMut(&str, String)) {
    let Some(joints) = &design.joints.stiffness else {
        add("joints", "rigid".to_string());
        return;
    };
    parts_and_layers(request, design, add);
    if let Some(joints) = words::own_joints(design) {
        add("these joints", joints);
        return;
    }
    let parts: Vec<String> = [
        (Variable::JointAxial, joints.axial.value, "N/m axial"),
        (Variable::JointRadial, joints.radial.value, "N/m radial"),
        (Variable::JointTilt, joints.tilt.value, "N·m/rad tilt"),
    ]
    .into_iter()
    .filter(|(variable, _, _)| {
        let of_bearings = [Variable::BearingBore, Variable::PairSpacing];
        !request.varies(*variable) && !of_bearings.iter().any(|v| request.varies(*v))
    })
    .map(|(_, value, unit)| format!("{} {unit}", names::number(value)))
    .collect();
    if !parts.is_empty() {
        add("these joints", parts.join(", "));
    }
    let boss_follows = request.varies(Variable::BearingBore);
    let boss_varies = request.varies(Variable::BossDiameter) || boss_follows;
    if design.joints.boss_diameter > 0.0 && !boss_varies {
        add(
            "boss diameter",
            format!("{} mm", names::number(design.joints.boss_diameter * 1e3)),
        );
    }
}

/// Bearings, pins and layers where the map leaves them as they are.
fn parts_and_layers(request: &Request, design: &Design, add: &mut impl FnMut(&str, String)) {
    let millimetres = |value: f64| format!("{} mm", names::number(value * 1e3));
    let alike = design.own.joints.is_empty();
    if let Some(parts) = design.joints.parts.as_ref().filter(|_| alike) {
        let bearing = &parts.bearing;
        if request.varies(Variable::BearingBore) {
            add("bearings", format!("of the series of {}", bearing.name));
        } else {
            add("bearing", bearing.name.clone());
            if !request.varies(Variable::PairSpacing) {
                add("bearing spacing", millimetres(parts.pair_spacing));
            }
            add("pin", millimetres(parts.pin.diameter));
        }
    }
    let Some(layers) = &design.layers else {
        return;
    };
    if !request.varies(Variable::Layers) {
        let listed = matches!(layers.arrangement, Arrangement::Given(_));
        add(
            "layers",
            if listed && request.varies(Variable::Stages) {
                "the fewest that leave free what the region uses".to_string()
            } else {
                words::arrangement(&layers.arrangement)
            },
        );
    }
    if !request.varies(Variable::LayerGap) {
        add("gap between layers", millimetres(layers.gap));
    }
}

fn elastic(request: &Request) -> String {
    if request.varies(Variable::Polar) {
        "at the polar angle given".to_string()
    } else if let Some(polar) = request.task.at_polar {
        format!("at polar {}", words::angle(polar))
    } else {
        "worst over the covered directions".to_string()
    }
}

fn margins(request: &Request, add: &mut impl FnMut(&str, String)) {
    let requirements = &request.task.requirements;
    let parts = |margins: &calotte::kinematics::Margins| {
        let mut parts = Vec::new();
        if margins.lci_min > 0.0 {
            parts.push(format!("LCI at least {}", names::number(margins.lci_min)));
        }
        if margins.transmission_angle_min > 0.0 {
            parts.push(format!(
                "transmission angle at least {}",
                words::angle(margins.transmission_angle_min)
            ));
        }
        if parts.is_empty() {
            "none".to_string()
        } else {
            parts.join(", ")
        }
    };
    if requirements.margins == requirements.elastic_margins {
        add("margins", parts(&requirements.margins));
    } else {
        add("margins on conditioning", parts(&requirements.margins));
        add(
            "margins on elastic quantities",
            parts(&requirements.elastic_margins),
        );
    }
}

/// A region in words, in the frame it is given in.
pub fn region(region: &Region) -> String {
    let direction = |v: &nalgebra::Vector3<f64>| {
        format!(
            "({}, {}, {})",
            names::number(v.x),
            names::number(v.y),
            names::number(v.z)
        )
    };
    let mut text = match &region.shape {
        Shape::Cap { axis, half_angle } => format!(
            "cap of {} about {}",
            words::angle(*half_angle),
            direction(axis)
        ),
        Shape::Band {
            axis,
            polar_from,
            polar_to,
        } => format!(
            "band from {} to {} about {}",
            words::angle(*polar_from),
            words::angle(*polar_to),
            direction(axis)
        ),
        Shape::Polygon(polygon) => format!("polygon of {} vertices", polygon.vertices().len()),
        Shape::Points(points) => format!("{} directions", points.len()),
    };
    for zone in &region.excluded {
        text.push_str(&format!(
            ", without {} about {}",
            words::angle(zone.half_angle),
            direction(&zone.axis)
        ));
    }
    text
}
