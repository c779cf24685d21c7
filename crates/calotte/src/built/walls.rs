//! Walls and lands of all parts: what holes and voids leave of them.

use nalgebra::Vector3;

use crate::design::Design;
use crate::linkage::{Linkage, Place};
use crate::stock::Process;

use super::wall::{BoredFor, Degree, Wall, WallPlace};
use super::{Built, BuiltError, Core, Hole, Solid, SolidKind};

/// All walls and lands of the parts that are made: bars, pins with a bore, shafts.
pub(super) fn all(design: &Design, linkage: &Linkage, built: &Built) -> Vec<Wall> {
    // Where a body's hole is, and its bearing and pin there.
    let at_hole = |solid: &Solid, hole: &Hole| {
        let stations = &linkage.bodies[solid.body].stations;
        let station = stations.iter().position(|station| *station == hole.axis);
        Place {
            body: solid.body,
            station: station.unwrap_or_default(),
        }
    };
    let bored_for = |solid: &Solid, hole: &Hole| {
        let parts = linkage
            .joints_at(design, at_hole(solid, hole))
            .parts
            .as_ref();
        let is = |size: Option<f64>| size == Some(hole.diameter);
        match solid.kind {
            SolidKind::Bar if is(parts.map(|parts| parts.bearing.outer_diameter)) => {
                BoredFor::Bearing
            }
            SolidKind::Bar if is(parts.map(|parts| parts.pin.diameter)) => BoredFor::Pin,
            SolidKind::Bar => BoredFor::Shaft,
            _ => BoredFor::Nothing,
        }
    };
    let mut walls = Vec::new();
    for solid in &built.solids {
        let process = match solid.kind {
            SolidKind::Bar => design.material.process,
            SolidKind::Pin | SolidKind::Shaft => Process::Turned,
            // A spacer is bought, a housing has sizes of its own drives.
            SolidKind::Spacer | SolidKind::Housing | SolidKind::Tool => continue,
        };
        let wall = |place: WallPlace, thickness: f64| Wall {
            part: solid.name.clone(),
            kind: solid.kind,
            place,
            // To the picometre: half the difference of two sizes in millimetres.
            thickness: (thickness * 1e12).round() / 1e12,
            process,
        };
        for hole in &solid.holes {
            for round in rounds_about(solid, hole.axis) {
                let bored_for = bored_for(solid, hole);
                let place = WallPlace::Around {
                    hole: hole.diameter,
                    round,
                    bored_for,
                };
                walls.push(wall(place, 0.5 * (round - hole.diameter)));
            }
        }
        let around_void = solid.pieces.iter().filter_map(|piece| {
            let void = piece.void?;
            let sideways = piece.half_width - void.half_width;
            Some(sideways.min(0.5 * (piece.outer - piece.inner - void.height)))
        });
        if let Some(thickness) = around_void.reduce(f64::min) {
            walls.push(wall(WallPlace::Void, thickness));
        }
        for (index, one) in solid.holes.iter().enumerate() {
            for other in &solid.holes[..index] {
                // Along the face of the higher boss, the nearer to the centre.
                let height = [one, other]
                    .map(|hole| built.boss(at_hole(solid, hole)).height)
                    .into_iter()
                    .fold(0.0, f64::max);
                let face = built.radii[solid.body] - 0.5 * height;
                let angle = one
                    .axis
                    .cross(&other.axis)
                    .norm()
                    .atan2(one.axis.dot(&other.axis));
                let thickness = land(face, angle, [one.diameter, other.diameter]);
                let holes = [other.diameter, one.diameter];
                walls.push(wall(WallPlace::Between { holes }, thickness));
            }
        }
    }
    walls
}

/// Diameters of the rounds of a solid about a direction, m.
fn rounds_about(solid: &Solid, axis: Vector3<f64>) -> impl Iterator<Item = f64> {
    solid
        .pieces
        .iter()
        .filter_map(move |piece| match piece.core {
            Core::Direction(direction) if direction == axis => Some(2.0 * piece.half_width),
            _ => None,
        })
}

/// Arc left on a sphere between two holes whose axes meet at its centre, m; below zero by as
/// much as they overlap.
///
/// # Arguments
/// - `radius`: of the sphere, m.
/// - `angle`: between the axes, rad.
fn land(radius: f64, angle: f64, diameters: [f64; 2]) -> f64 {
    let halves = diameters.map(|diameter| (0.5 * diameter / radius).clamp(-1.0, 1.0).asin());
    radius * (angle - halves[0] - halves[1])
}

/// Refuses a part that cannot be: a hole takes all of what is about it, or runs into another.
///
/// # Errors
/// [`BuiltError::NothingLeft`].
pub(super) fn refuse_impossible(walls: &[Wall]) -> Result<(), BuiltError> {
    let impossible = walls
        .iter()
        .find(|wall| wall.degree() == Degree::Impossible);
    match impossible {
        Some(wall) => Err(BuiltError::NothingLeft(Box::new(wall.clone()))),
        None => Ok(()),
    }
}

impl Built {
    /// The thinnest wall of the bars; `None` where no bar has a hole or void.
    pub fn thinnest_wall(&self) -> Option<&Wall> {
        self.thinnest(false)
    }

    /// The narrowest land between two holes of a bar; `None` where no bar has two.
    pub fn narrowest_land(&self) -> Option<&Wall> {
        self.thinnest(true)
    }

    fn thinnest(&self, land: bool) -> Option<&Wall> {
        self.walls
            .iter()
            .filter(|wall| wall.kind == SolidKind::Bar && wall.is_land() == land)
            .min_by(|a, b| a.thickness.total_cmp(&b.thickness))
    }

    /// Walls and lands thinner than their process usually makes; of like ones of one part the
    /// thinnest.
    pub fn thin_walls(&self) -> Vec<&Wall> {
        let mut thin: Vec<&Wall> = Vec::new();
        for wall in &self.walls {
            if wall.degree() == Degree::Enough {
                continue;
            }
            let like =
                |other: &&mut &Wall| other.part == wall.part && other.is_land() == wall.is_land();
            match thin.iter_mut().find(like) {
                Some(other) if wall.thickness < other.thickness => *other = wall,
                Some(_) => {}
                None => thin.push(wall),
            }
        }
        thin
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: on a sphere of 100 mm, holes of 20 mm about axes 30° apart. A hole of radius
    /// 10 mm takes asin(0.1) = 5.7392°, so 18.5217° are left, 32.3264 mm.
    #[test]
    fn a_land_is_the_arc_between_the_holes() {
        let left = land(0.1, std::f64::consts::FRAC_PI_6, [20e-3, 20e-3]);
        assert!((left - 32.3264e-3).abs() < 1e-6, "{left}");
        assert!(land(0.1, 0.1, [20e-3, 20e-3]) < 0.0);
    }
}
