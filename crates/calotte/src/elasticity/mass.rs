//! Masses of the moving parts: bars, bosses, pins with bearings.

use nalgebra::Vector3;

use crate::design::Design;
use crate::linkage::{Body, BodyArc, Linkage, Place};
use crate::sphere::arc_between;

use super::arc::BarStiffness;

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

/// All moving masses of a design without the tool.
#[derive(Debug, Clone, PartialEq)]
pub struct MassModel {
    /// Arcs, bosses and pins as point masses at their centres of mass.
    pub items: Vec<MassItem>,
    /// Boss and pin mass at each place, kg.
    pub at_places: Vec<(Place, f64)>,
    /// Sum, kg.
    pub moving_mass: f64,
}

impl MassModel {
    /// Masses of a design.
    ///
    /// A boss is a round of the boss diameter as high as the bar is deep; what
    /// lies inside the bar counts once. A pin with its bearing rides on the
    /// joint's second body.
    pub fn new(design: &Design, linkage: &Linkage) -> Self {
        let radius = design.joint_radius;
        let bar = BarStiffness::new(&design.section, &design.material, radius);
        let boss = boss_extra_area(design.joints.boss_diameter, design.section.width())
            * design.section.depth()
            * design.material.density.value;
        let mut items = Vec::new();
        let mut at_places: Vec<(Place, f64)> = Vec::new();
        for (index, body) in linkage.bodies.iter().enumerate() {
            for arc in &body.arcs {
                items.push(arc_mass(index, body, *arc, radius, bar.mass_per_length));
            }
            if !body.arcs.is_empty() && boss > 0.0 {
                for station in 0..body.stations.len() {
                    at_places.push((
                        Place {
                            body: index,
                            station,
                        },
                        boss,
                    ));
                }
            }
        }
        if design.joints.mass > 0.0 {
            for joint in &linkage.joints {
                at_places.push((joint.second, design.joints.mass));
            }
        }
        items.extend(at_places.iter().map(|(place, mass)| MassItem {
            body: place.body,
            position: linkage.bodies[place.body].stations[place.station] * radius,
            mass: *mass,
        }));
        let moving_mass = items.iter().map(|item| item.mass).sum();
        Self {
            items,
            at_places,
            moving_mass,
        }
    }
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
