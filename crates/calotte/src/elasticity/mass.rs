//! Masses of the moving parts: bars, bosses, pins with bearings, drives that ride on bars.

use nalgebra::Vector3;

use crate::built::{Built, SolidKind, clamp_and_bearing};
use crate::design::{Design, RidesOn};
use crate::linkage::{Body, BodyArc, Linkage, Place};
use crate::sphere::arc_between;

use super::arc::BarStiffness;
use crate::stock::section::Section;

/// A mass on a body.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MassItem {
    /// Index of the body.
    pub body: usize,
    /// Centre of mass in the body's frame, m.
    pub position: Vector3<f64>,
    /// Mass, kg.
    pub mass: f64,
}

/// A mass on a joint axis.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PlaceMass {
    /// The place it rides on.
    pub place: Place,
    /// Mass, kg; a boss with large holes takes more out of its bar than it adds.
    pub mass: f64,
    /// Distance from the remote centre along the axis, m.
    pub radius: f64,
}

/// All moving masses of a design without the tool and without the shafts of the base
/// bars, which belong to the drives.
#[derive(Debug, Clone, PartialEq)]
pub struct MassModel {
    /// Arcs, bosses, pins, bearings and drives as point masses at their centres of mass.
    pub items: Vec<MassItem>,
    /// Bosses, pins, spacers, bearings and drives at each place.
    pub at_places: Vec<PlaceMass>,
    /// Sum, kg.
    pub moving_mass: f64,
}

impl MassModel {
    /// Masses of a design whose parts are placed.
    ///
    /// With layers, bosses are what `built` makes of them: rounds with their holes, bars
    /// up to their edge. Without layers a boss is a round of the boss diameter as high as
    /// the bar is deep, and what lies inside the bar counts once. Pins and spacers ride
    /// on the bar the pin is clamped in, bearings on the other; a mass given
    /// for the joints rides on the joint's second body. A drive lies on its joint's axis in
    /// what carries it; one on the base does not move.
    pub fn of_built(design: &Design, linkage: &Linkage, built: &Built) -> Self {
        let mut items = Vec::new();
        for (index, body) in linkage.bodies.iter().enumerate() {
            let radius = built.radii[index];
            let bar = BarStiffness::new(body.section(design), &design.material, radius);
            for arc in &body.arcs {
                items.push(arc_mass(index, body, *arc, radius, bar.mass_per_length));
            }
        }
        let mut at_places = bosses(design, linkage, built);
        at_places.extend(pins_and_bearings(design, linkage, built));
        at_places.extend(linkage.joints.iter().filter_map(|joint| {
            let mass = joint.properties(design).mass;
            (mass > 0.0).then(|| PlaceMass {
                place: joint.second,
                mass,
                radius: built.radii[joint.second.body],
            })
        }));
        at_places.extend(drives(design, linkage, built));
        items.extend(at_places.iter().map(|at| {
            let Place { body, station } = at.place;
            MassItem {
                body,
                position: linkage.bodies[body].stations[station] * at.radius,
                mass: at.mass,
            }
        }));
        let moving_mass = items.iter().map(|item| item.mass).sum();
        Self {
            items,
            at_places,
            moving_mass,
        }
    }
}

/// What the bosses add to their bars.
fn bosses(design: &Design, linkage: &Linkage, built: &Built) -> Vec<PlaceMass> {
    let density = design.material.density.value;
    let mut found = Vec::new();
    let mut add = |body: usize, station: usize, volume: f64| {
        if volume != 0.0 {
            found.push(PlaceMass {
                place: Place { body, station },
                mass: volume * density,
                radius: built.radii[body],
            });
        }
    };
    if design.layers.is_none() {
        for (index, body) in linkage.bars() {
            let section = body.section(design);
            for station in 0..body.stations.len() {
                let place = Place {
                    body: index,
                    station,
                };
                let boss = linkage.joints_at(design, place).boss_diameter;
                let extra = boss_extra_area(boss, section.width()) * section.depth();
                add(index, station, extra);
            }
        }
        return found;
    }
    for solid in built.solids.iter().filter(|s| s.kind == SolidKind::Bar) {
        let body = &linkage.bodies[solid.body];
        let section = body.section(design);
        for (station, direction) in body.stations.iter().enumerate() {
            let boss = built.bosses[solid.body][station];
            let hole = solid
                .holes
                .iter()
                .find(|hole| hole.axis == *direction)
                .map_or(0.0, |hole| hole.diameter);
            let round = std::f64::consts::FRAC_PI_4
                * (boss.diameter * boss.diameter - hole * hole)
                * boss.height;
            let arcs = body
                .arcs
                .iter()
                .filter(|arc| arc.from == station || arc.to == station)
                .count();
            let inside = arcs as f64 * bar_inside_boss(section, boss.diameter);
            add(solid.body, station, round - inside);
        }
    }
    found
}

/// Pins, spacers and bearings of the joints between moving bodies.
fn pins_and_bearings(design: &Design, linkage: &Linkage, built: &Built) -> Vec<PlaceMass> {
    let mut found = Vec::new();
    for solid in &built.solids {
        let (SolidKind::Pin | SolidKind::Spacer, Some(joint)) = (solid.kind, solid.joint) else {
            continue;
        };
        let joint = &linkage.joints[joint];
        let Some(parts) = &joint.properties(design).parts else {
            continue;
        };
        let density = parts.pin.material.density.value;
        let (clamp, bearing) = clamp_and_bearing(joint, &built.radii, parts.pin.clamped_in);
        let bore = solid.holes.first().map_or(0.0, |hole| hole.diameter);
        for piece in &solid.pieces {
            let outer = 2.0 * piece.half_width;
            let area = std::f64::consts::FRAC_PI_4 * (outer * outer - bore * bore);
            found.push(PlaceMass {
                place: clamp,
                mass: area * (piece.outer - piece.inner) * density,
                radius: piece.middle(),
            });
        }
        if solid.kind == SolidKind::Pin && parts.bearing.mass > 0.0 {
            found.push(PlaceMass {
                place: bearing,
                mass: 2.0 * parts.bearing.mass,
                radius: built.radii[bearing.body],
            });
        }
    }
    found
}

/// Drives that ride on bars.
fn drives(design: &Design, linkage: &Linkage, built: &Built) -> Vec<PlaceMass> {
    let drives = design.drives.each.iter().zip(linkage.driven);
    drives
        .filter_map(|(drive, joint)| {
            let mass = drive.mass?.value;
            let place = match &drive.rides_on {
                RidesOn::Base => return None,
                RidesOn::Joint => linkage.joints[joint].first,
                RidesOn::Bar(name) => linkage.place_on_axis(joint, name)?,
            };
            (place.body != 0 && mass > 0.0).then(|| PlaceMass {
                place,
                mass,
                radius: built.radii[place.body],
            })
        })
        .collect()
}

/// Volume of a bar inside the round boss about one of its ends, m³: the integral of
/// its radial chord t(z) times the length √(c² − z²) up to the boss's edge, across
/// the bar.
fn bar_inside_boss(section: &Section, boss_diameter: f64) -> f64 {
    let (edge, half_width) = (0.5 * boss_diameter, 0.5 * section.width());
    let solid_round = |radius: f64, z: f64| 2.0 * (radius * radius - z * z).max(0.0).sqrt();
    let chord = |z: f64| match *section {
        Section::Rectangle { radial, .. } | Section::Custom { radial, .. } => radial,
        Section::RectangleTube {
            tangential,
            radial,
            wall,
        } => {
            if z < 0.5 * tangential - wall {
                2.0 * wall
            } else {
                radial
            }
        }
        Section::Rod { diameter } => solid_round(0.5 * diameter, z),
        Section::Tube {
            outer_diameter,
            inner_diameter,
        } => solid_round(0.5 * outer_diameter, z) - solid_round(0.5 * inner_diameter, z),
    };
    // The chord jumps or turns at the inner face; each side is integrated by itself,
    // with z = h sin s taking out the root at a round's edge.
    let inner = match *section {
        Section::RectangleTube {
            tangential, wall, ..
        } => 0.5 * tangential - wall,
        Section::Tube { inner_diameter, .. } => 0.5 * inner_diameter,
        _ => 0.0,
    };
    let start = (inner / half_width).min(1.0).asin();
    let mut sum = 0.0;
    for (from, to) in [(0.0, start), (start, std::f64::consts::FRAC_PI_2)] {
        for (node, weight) in crate::sphere::quadrature::rule_12() {
            let s = from + 0.5 * (to - from) * (1.0 + node);
            let z = half_width * s.sin();
            let dz = half_width * s.cos() * 0.5 * (to - from) * weight;
            sum += 2.0 * dz * chord(z) * (edge * edge - z * z).max(0.0).sqrt();
        }
    }
    sum
}

/// An arc's mass at its centre of mass: on the bisector at R sin(φ/2)/(φ/2).
fn arc_mass(
    index: usize,
    body: &Body,
    arc: BodyArc,
    radius: f64,
    mass_per_length: f64,
) -> MassItem {
    let (from, to) = (body.stations[arc.from], body.stations[arc.to]);
    let angle = arc_between(&from, &to);
    let half = 0.5 * angle;
    MassItem {
        body: index,
        position: (from + to).normalize() * (radius * half.sin() / half),
        mass: mass_per_length * radius * angle,
    }
}

/// Area of a round of this diameter outside a straight strip of this width, m².
fn boss_extra_area(diameter: f64, width: f64) -> f64 {
    if diameter <= width {
        return 0.0;
    }
    let radius = 0.5 * diameter;
    let half_angle = (width / diameter).asin();
    let inside = 2.0 * radius * radius * half_angle
        + 0.5 * width * (diameter * diameter - width * width).sqrt();
    std::f64::consts::PI * radius * radius - inside
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn boss_area_tends_to_the_whole_round() {
        let round = std::f64::consts::PI * 0.01 * 0.01;
        assert!((boss_extra_area(0.02, 1e-9) / round - 1.0).abs() < 1e-6);
        assert_eq!(boss_extra_area(0.02, 0.02), 0.0);
    }
}
