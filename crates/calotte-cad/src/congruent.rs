//! Which solids are one part: the same but for a rotation about the remote centre.

use calotte::built::{Core, Hole, Piece, Solid};
use nalgebra::{Matrix3, Rotation3, Vector3};

use crate::circle::across;

/// Lengths (m) and directions that differ by less are equal.
const EQUAL: f64 = 1e-8;

/// Whether a rotation takes one solid to the other. Mirror images are different parts,
/// unless they are their own.
pub(crate) fn same_part(first: &Solid, second: &Solid) -> bool {
    if first.kind != second.kind
        || first.pieces.len() != second.pieces.len()
        || first.holes.len() != second.holes.len()
    {
        return false;
    }
    let (own, other) = (directions(first), directions(second));
    let Some(anchor) = own.first() else {
        return false;
    };
    let Some(aside) = own.iter().find(|d| anchor.cross(d).norm() > 1e-6) else {
        // One axis only: turning about it changes nothing.
        return other.iter().any(|axis| {
            let rotation = frame(axis, &across(axis)) * frame(anchor, &across(anchor)).inverse();
            takes(first, second, &rotation)
        });
    };
    let from = frame(anchor, aside).inverse();
    other.iter().any(|axis| {
        other.iter().any(|next| {
            axis.cross(next).norm() > 1e-6
                && (axis.dot(next) - anchor.dot(aside)).abs() < EQUAL
                && takes(first, second, &(frame(axis, next) * from))
        })
    })
}

/// All directions a solid is made of.
fn directions(solid: &Solid) -> Vec<Vector3<f64>> {
    let cores = solid.pieces.iter().flat_map(|piece| match piece.core {
        Core::Direction(axis) => vec![axis],
        Core::Arc(from, to) => vec![from, to],
    });
    cores
        .chain(solid.holes.iter().map(|hole| hole.axis))
        .collect()
}

/// The rotation whose first column is a direction and whose second lies towards another.
pub(crate) fn frame(first: &Vector3<f64>, towards: &Vector3<f64>) -> Rotation3<f64> {
    let third = first.cross(towards).normalize();
    Rotation3::from_matrix_unchecked(Matrix3::from_columns(&[*first, third.cross(first), third]))
}

fn takes(first: &Solid, second: &Solid, rotation: &Rotation3<f64>) -> bool {
    matched(&first.pieces, &second.pieces, |a, b| {
        same_piece(a, b, rotation)
    }) && matched(&first.holes, &second.holes, |a: &Hole, b: &Hole| {
        near(a.diameter, b.diameter) && (rotation * a.axis - b.axis).norm() < EQUAL
    })
}

/// Whether every item has an equal of its own among the others.
fn matched<T>(first: &[T], second: &[T], equal: impl Fn(&T, &T) -> bool) -> bool {
    let mut free = vec![true; second.len()];
    first.iter().all(|item| {
        let found = (0..second.len()).find(|index| free[*index] && equal(item, &second[*index]));
        found.is_some_and(|index| std::mem::replace(&mut free[index], false))
    })
}

fn same_piece(first: &Piece, second: &Piece, rotation: &Rotation3<f64>) -> bool {
    let voids = match (&first.void, &second.void) {
        (None, None) => true,
        (Some(a), Some(b)) => near(a.half_width, b.half_width) && near(a.height, b.height),
        _ => false,
    };
    let together = |a: &Vector3<f64>, b: &Vector3<f64>| (rotation * a - b).norm() < EQUAL;
    let cores = match (&first.core, &second.core) {
        (Core::Direction(a), Core::Direction(b)) => together(a, b),
        (Core::Arc(a, b), Core::Arc(c, d)) => {
            (together(a, c) && together(b, d)) || (together(a, d) && together(b, c))
        }
        _ => false,
    };
    voids
        && cores
        && first.profile == second.profile
        && near(first.half_width, second.half_width)
        && near(first.inner, second.inner)
        && near(first.outer, second.outer)
}

fn near(first: f64, second: f64) -> bool {
    (first - second).abs() < EQUAL
}
