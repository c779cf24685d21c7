//! What is marked on the dome: the required region and what is taken out of it, the
//! end of reach, both types of singularity.

use calotte::kinematics::{WorkingRange, singular_bands};
use calotte::sphere::region::{Shape, circle_outline};
use calotte_format::units::degrees;
use calotte_format::words;
use nalgebra::Vector3;

use super::linkage::triple;
use super::prepared::Prepared;
use super::wire::{CapShape, Triple, ZoneKind, ZoneShape};

/// Points of a circle.
const CIRCLE: usize = 181;

/// Circular edges of the region, for exact colouring.
pub(super) fn caps(ready: &Prepared) -> Vec<CapShape> {
    let mut caps = Vec::new();
    if let Shape::Cap { axis, half_angle } = &ready.region().shape {
        caps.push(CapShape {
            axis: triple(axis),
            half_angle_deg: degrees(*half_angle),
            excluded: false,
            why: String::new(),
        });
    }
    caps.extend(ready.region().excluded.iter().map(|zone| CapShape {
        axis: triple(&zone.axis),
        half_angle_deg: degrees(zone.half_angle),
        excluded: true,
        why: zone.why.clone(),
    }));
    caps
}

/// All zones, base frame.
pub(super) fn zones(ready: &Prepared) -> Vec<ZoneShape> {
    let mut zones = vec![region(ready)];
    zones.extend(ready.region().excluded.iter().map(|zone| ZoneShape {
        kind: ZoneKind::Excluded,
        name: format!("excluded: {}", zone.why),
        outlines: vec![circle(&zone.axis, zone.half_angle)],
        bands_deg: Vec::new(),
    }));
    if let Some(range) = &ready.range {
        zones.push(reach(range));
    }
    zones.extend(singular(ready));
    zones
}

fn region(ready: &Prepared) -> ZoneShape {
    let outlines = match &ready.region().shape {
        Shape::Cap { axis, half_angle } => vec![circle(axis, *half_angle)],
        Shape::Band {
            axis,
            polar_from,
            polar_to,
        } => vec![circle(axis, *polar_from), circle(axis, *polar_to)],
        Shape::Polygon(polygon) => vec![polygon_outline(polygon.vertices())],
        // Single directions: a small ring about each.
        Shape::Points(points) => points.iter().map(|point| circle(point, 0.01)).collect(),
    };
    ZoneShape {
        kind: ZoneKind::Region,
        name: "required region".to_owned(),
        outlines,
        bands_deg: Vec::new(),
    }
}

fn circle(axis: &Vector3<f64>, half_angle: f64) -> Vec<Triple> {
    if half_angle >= std::f64::consts::PI {
        return Vec::new();
    }
    let mut points: Vec<Triple> = circle_outline(axis, half_angle, CIRCLE)
        .iter()
        .map(triple)
        .collect();
    points.extend(points.first().copied());
    points
}

/// Great-circle edges between vertices, closed.
fn polygon_outline(vertices: &[Vector3<f64>]) -> Vec<Triple> {
    let mut points = Vec::new();
    for (index, from) in vertices.iter().enumerate() {
        let to = vertices[(index + 1) % vertices.len()];
        points.extend((0..24).map(|step| {
            let share = f64::from(step) / 24.0;
            triple(&(from * (1.0 - share) + to * share).normalize())
        }));
    }
    points.extend(points.first().copied());
    points
}

fn about_base_axis(polar: f64) -> Vec<Triple> {
    circle(&Vector3::z(), polar)
}

fn reach(range: &WorkingRange) -> ZoneShape {
    let (low, high) = (range.polar_min(), range.polar_max());
    let mut bands_deg = Vec::new();
    let mut outlines = Vec::new();
    if low > 1e-6 {
        bands_deg.push([0.0, degrees(low)]);
        outlines.push(about_base_axis(low));
    }
    if high < std::f64::consts::PI - 1e-6 {
        bands_deg.push([degrees(high), 180.0]);
        outlines.push(about_base_axis(high));
    }
    ZoneShape {
        kind: ZoneKind::Reach,
        name: format!(
            "out of the working range: below polar {}, above {}",
            words::angle(low),
            words::angle(high)
        ),
        outlines,
        bands_deg,
    }
}

/// Both types over the whole mode that the working range belongs to: the singular
/// circles, and the bands in which a margin of the brief is not kept.
fn singular(ready: &Prepared) -> Vec<ZoneShape> {
    let margins = &ready.requirements.margins;
    let Some(found) = singular_bands(
        &ready.model.kinematics,
        &ready.given().drives.range,
        margins,
        ready.range.as_ref(),
    ) else {
        return Vec::new();
    };
    let bands_deg = |bands: &[[f64; 2]]| bands.iter().map(|band| band.map(degrees)).collect();
    // On the base axis a small ring.
    let outline = |polar: f64| about_base_axis(polar.max(0.004));
    let mut type_one = ZoneShape {
        kind: ZoneKind::TypeOne,
        name: "type 1 singularity".to_owned(),
        outlines: found.type_one.iter().copied().map(outline).collect(),
        bands_deg: bands_deg(&found.low_conditioning),
    };
    let mut type_two = ZoneShape {
        kind: ZoneKind::TypeTwo,
        name: "type 2 singularity".to_owned(),
        outlines: Vec::new(),
        bands_deg: bands_deg(&found.low_transmission),
    };
    if margins.lci_min > 0.0 {
        type_one.name.push_str(&format!(
            " and LCI below {}",
            words::number(margins.lci_min, 2)
        ));
    }
    if margins.transmission_angle_min > 0.0 {
        type_two.name.push_str(&format!(
            " and transmission angle below {}",
            words::angle(margins.transmission_angle_min)
        ));
    }
    for (stage, polar) in found.type_two {
        type_two.name.push_str(&format!(" (stage {stage})"));
        type_two.outlines.push(outline(polar));
    }
    [type_one, type_two]
        .into_iter()
        .filter(|zone| !zone.outlines.is_empty() || !zone.bands_deg.is_empty())
        .collect()
}
