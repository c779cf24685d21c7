//! Sizes that are meant to be equal, made equal.
//!
//! A boss as wide as its bar touches the bar's sides all along; a billionth more or less
//! and the outlines cross at angles that no sampling resolves. What differs by far less
//! than the chord tolerance is taken as equal before anything is intersected.

use calotte::built::{Core, Piece, Profile, Solid};
use nalgebra::Vector3;

/// Share of the chord tolerance by which half widths and radii of faces may differ.
const SIZES: f64 = 0.01;
/// Share of the chord tolerance by which a direction may move into another arc's plane.
const BENDS: f64 = 0.1;
/// Directions that differ by less are one.
const ONE_DIRECTION: f64 = 1e-9;

/// The solid with nearly equal sizes equal and bars with hardly a bend straight.
pub(crate) fn snapped(solid: &Solid, tolerance: f64, outer: f64) -> Solid {
    let mut solid = solid.clone();
    one_direction_each(&mut solid);
    straighten(&mut solid, BENDS * tolerance / outer);
    let limit = SIZES * tolerance;
    // Round profiles keep their sizes: their faces follow from their half width.
    let (round, straight): (Vec<&mut Piece>, Vec<&mut Piece>) = solid
        .pieces
        .iter_mut()
        .partition(|piece| piece.profile == Profile::Round);
    let mut widths: Vec<f64> = round.iter().map(|piece| piece.half_width).collect();
    let mut faces: Vec<f64> = round
        .iter()
        .flat_map(|piece| [piece.inner, piece.outer])
        .collect();
    for piece in straight {
        settle(&mut piece.half_width, &mut widths, limit);
        settle(&mut piece.inner, &mut faces, limit);
        settle(&mut piece.outer, &mut faces, limit);
    }
    solid
}

/// Gives a size the value of a known one near it, or makes it known.
fn settle(size: &mut f64, known: &mut Vec<f64>, limit: f64) {
    match known.iter().find(|other| (*other - *size).abs() <= limit) {
        Some(other) => *size = *other,
        None => known.push(*size),
    }
}

/// Directions that are one but for rounding get the same numbers.
fn one_direction_each(solid: &mut Solid) {
    let mut known: Vec<Vector3<f64>> = Vec::new();
    let mut settle = |direction: &mut Vector3<f64>| {
        let near = known
            .iter()
            .find(|other| (*other - *direction).norm() <= ONE_DIRECTION);
        match near {
            Some(other) => *direction = *other,
            None => known.push(*direction),
        }
    };
    each_direction(solid, &mut settle);
}

fn each_direction(solid: &mut Solid, change: &mut impl FnMut(&mut Vector3<f64>)) {
    for piece in &mut solid.pieces {
        match &mut piece.core {
            Core::Direction(axis) => change(axis),
            Core::Arc(from, to) => {
                change(from);
                change(to);
            }
        }
    }
    for hole in &mut solid.holes {
        change(&mut hole.axis);
    }
}

/// Moves the far end of an arc that goes on from an earlier one, in nearly the same plane,
/// into that plane.
fn straighten(solid: &mut Solid, limit: f64) {
    for later in 0..solid.pieces.len() {
        for earlier in 0..later {
            let (Core::Arc(a, b), Core::Arc(from, to)) =
                (solid.pieces[earlier].core, solid.pieces[later].core)
            else {
                continue;
            };
            let far = if from == a || from == b {
                to
            } else if to == a || to == b {
                from
            } else {
                continue;
            };
            let normal = a.cross(&b).normalize();
            let off = normal.dot(&far);
            if off != 0.0 && off.abs() <= limit {
                let moved = (far - normal * off).normalize();
                each_direction(solid, &mut |direction| {
                    if *direction == far {
                        *direction = moved;
                    }
                });
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use calotte::built::{Hole, SolidKind};

    #[test]
    fn what_is_meant_equal_becomes_equal() {
        let piece = |core, half_width, inner, outer| Piece {
            core,
            profile: Profile::Straight,
            half_width,
            inner,
            outer,
            void: None,
        };
        let [a, b] = [Vector3::x(), Vector3::new(0.6, 0.8, 0.0)];
        let c = Vector3::new(-0.6, 0.8, 1e-6).normalize();
        let solid = Solid {
            name: "bar".into(),
            kind: SolidKind::Bar,
            body: 1,
            assembled_with: vec![],
            joint: None,
            pieces: vec![
                piece(Core::Arc(a, b), 0.005, 0.145, 0.155),
                piece(Core::Arc(b, c), 0.005, 0.145, 0.155),
                piece(Core::Direction(c), 0.005 + 1e-8, 0.145 - 1e-8, 0.156),
            ],
            holes: vec![Hole {
                axis: c,
                diameter: 0.004,
            }],
        };
        let found = snapped(&solid, 2e-5, 0.156);
        let Core::Direction(axis) = found.pieces[2].core else {
            panic!("still a direction");
        };
        assert_eq!(axis.z, 0.0);
        assert_eq!(
            (found.pieces[1].core, found.holes[0].axis),
            (Core::Arc(b, axis), axis)
        );
        assert_eq!(found.pieces[2].half_width, 0.005);
        assert_eq!(
            (found.pieces[2].inner, found.pieces[2].outer),
            (0.145, 0.156)
        );
        // A hundredth of a degree is a bend.
        let mut bent = solid.clone();
        let c = Vector3::new(-0.6, 0.8, 2e-4).normalize();
        bent.pieces[1].core = Core::Arc(b, c);
        assert_eq!(snapped(&bent, 2e-5, 0.156).pieces[1], bent.pieces[1]);
    }
}
