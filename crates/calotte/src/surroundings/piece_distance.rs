//! Distance of a piece in the world to a keep-out, within a stated bound.
//!
//! Balls and half-spaces have closed forms. Cylinders, boxes and single triangles
//! are convex, so their distance lies above each of its tangent planes, and the least
//! value of a plane over a part of the piece is known: a part whose bound is not below
//! the best value found is done, any other is halved. Derived in
//! `docs/theory/surroundings.md`.

use nalgebra::Vector3;

use super::cell::{Cell, PieceShape};
use super::mesh::{ClosedMesh, Content};
use super::shape::{Convex, Obstacle, Shape};

/// A distance is never above the true one, and at most this below it, m.
pub const DISTANCE_BOUND: f64 = 2e-5;

/// Where a piece lies inside a mesh, its depth is never above the true one and at most
/// this below it, m.
pub const MESH_DEPTH_BOUND: f64 = 5e-4;

/// Halving ends here; half the bound, so that what is returned keeps it.
const TOLERANCE: f64 = 0.5 * DISTANCE_BOUND;

/// Memory of the halving, kept between calls.
#[derive(Debug, Clone, Default)]
pub struct Scratch {
    cells: Vec<Cell>,
    nodes: Vec<(f64, usize)>,
}

impl Obstacle {
    /// How far a distance to it can be below the true one outside it, m: nothing for
    /// closed forms.
    pub(super) fn distance_bound(&self) -> f64 {
        match &self.shape {
            Shape::Sphere(_) | Shape::HalfSpace(_) => 0.0,
            Shape::Cylinder(_) | Shape::Box(_) => DISTANCE_BOUND,
            Shape::Mesh(_) => MESH_DEPTH_BOUND,
        }
    }
}

/// Distance between a piece turned into the world's directions, its remote centre at
/// `centre`, and a keep-out, m; negative where it enters.
///
/// The distance is the least signed distance of the piece's points (for a round piece:
/// of its core's line, less its half width). It is never above the true one and at
/// most [`DISTANCE_BOUND`] below it; inside a mesh [`MESH_DEPTH_BOUND`] takes its place.
/// Where the distance is `enough` or more, some number not below `enough` (within
/// the bound) is returned as soon as that is certain.
pub fn piece_distance(
    piece: &PieceShape,
    centre: &Vector3<f64>,
    obstacle: &Obstacle,
    enough: f64,
    scratch: &mut Scratch,
) -> f64 {
    match &obstacle.shape {
        Shape::Sphere(ball) => piece.distance_to(&(ball.centre - centre)) - ball.radius,
        Shape::HalfSpace(plane) => {
            piece.least_along(&plane.normal) + plane.normal.dot(centre) - plane.offset
        }
        Shape::Cylinder(cylinder) => convex(piece, centre, cylinder, enough, scratch),
        Shape::Box(aligned) => convex(piece, centre, aligned, enough, scratch),
        Shape::Mesh(mesh) => to_mesh(piece, centre, mesh, enough, scratch),
    }
}

/// By how much a piece and a keep-out surely overlap, as a number not above zero, or
/// the distance of two points of them, m: no motion of the piece's points by less than
/// its size takes them apart.
///
/// # Theory
/// A point of the piece's core at its middle radius carries a ball that the piece holds
/// and, at depth −f in the keep-out, one that the keep-out holds. Balls about points less
/// than the sum of their radii apart overlap.
pub(super) fn overlap(
    piece: &PieceShape,
    centre: &Vector3<f64>,
    obstacle: &Obstacle,
    scratch: &mut Scratch,
) -> f64 {
    let (line, depth) = &piece.heart;
    let stack = &mut scratch.cells;
    let found = match &obstacle.shape {
        Shape::Sphere(ball) => search(line, centre, ball, f64::INFINITY, stack).1,
        Shape::HalfSpace(plane) => search(line, centre, plane, f64::INFINITY, stack).1,
        Shape::Cylinder(cylinder) => search(line, centre, cylinder, f64::INFINITY, stack).1,
        Shape::Box(aligned) => search(line, centre, aligned, f64::INFINITY, stack).1,
        Shape::Mesh(mesh) => {
            let halves = line.halves();
            let quarters = halves.map(|half| half.halves());
            halves
                .iter()
                .chain(quarters.iter().flatten())
                .chain([line])
                .map(|cell| mesh.signed_distance(&(centre + cell.middle())))
                .fold(f64::INFINITY, f64::min)
        }
    };
    found - depth
}

/// Distance between a piece and a convex volume.
fn convex(
    piece: &PieceShape,
    centre: &Vector3<f64>,
    volume: &impl Convex,
    enough: f64,
    scratch: &mut Scratch,
) -> f64 {
    let (ball_centre, ball_radius) = &piece.ball;
    let ball = volume.distance_and_slope(&(centre + ball_centre)).0 - ball_radius;
    if ball >= enough {
        return ball;
    }
    let mut least = f64::INFINITY;
    for cell in piece.cells() {
        // Only what is less than both matters.
        let target = enough.min(least) + cell.inflate;
        let distance = cell_distance(cell, centre, volume, target, &mut scratch.cells);
        least = least.min(distance - cell.inflate);
    }
    least
}

/// Least signed distance over a cell, not widened: certain to be no more than the
/// true one, within [`TOLERANCE`], or not below `enough`.
fn cell_distance(
    cell: &Cell,
    centre: &Vector3<f64>,
    volume: &impl Convex,
    enough: f64,
    stack: &mut Vec<Cell>,
) -> f64 {
    search(cell, centre, volume, enough, stack).0
}

/// The same, with the least that was found at any point.
fn search(
    cell: &Cell,
    centre: &Vector3<f64>,
    volume: &impl Convex,
    enough: f64,
    stack: &mut Vec<Cell>,
) -> (f64, f64) {
    let mut found = f64::INFINITY;
    let mut certain = f64::INFINITY;
    stack.clear();
    stack.push(*cell);
    while let Some(cell) = stack.pop() {
        let middle = cell.middle();
        let (value, slope) = volume.distance_and_slope(&(centre + middle));
        let (along, lowest) = cell.least_along(&slope);
        let (at_lowest, lowest_slope) = volume.distance_and_slope(&(centre + lowest));
        found = found.min(value).min(at_lowest);
        let first_bound = value + along - slope.dot(&middle);
        let mut bound = first_bound;
        if bound < found - TOLERANCE && bound < enough {
            let second = at_lowest + cell.least_along(&lowest_slope).0 - lowest_slope.dot(&lowest);
            bound = bound.max(second);
        }
        if bound >= found - TOLERANCE || bound >= enough || cell.size() < 0.5 * TOLERANCE {
            certain = certain.min(bound);
            continue;
        }
        // The half that holds the lowest point of the plane is looked at first.
        let [first, second] = cell.halves();
        let nearer_first =
            (first.middle() - lowest).norm_squared() < (second.middle() - lowest).norm_squared();
        if nearer_first {
            stack.extend([second, first]);
        } else {
            stack.extend([first, second]);
        }
    }
    (certain, found)
}

/// Distance between a piece and a closed surface.
fn to_mesh(
    piece: &PieceShape,
    centre: &Vector3<f64>,
    mesh: &ClosedMesh,
    enough: f64,
    scratch: &mut Scratch,
) -> f64 {
    let (ball_centre, ball_radius) = &piece.ball;
    let whole = mesh.nodes[0].distance(&(centre + ball_centre)) - ball_radius;
    if whole >= enough {
        return whole;
    }
    let outside = to_surface(piece, centre, mesh, enough, scratch);
    // A piece that does not meet the surface lies inside with all its points or with none.
    let sample = centre + piece.cells()[0].middle();
    if outside > 0.0 && mesh.signed_distance(&sample) >= 0.0 {
        return outside;
    }
    let mut least = f64::INFINITY;
    for cell in piece.cells() {
        least = least.min(depth(cell, centre, mesh, &mut scratch.cells) - cell.inflate);
    }
    least.min(0.0)
}

/// Distance between a piece and the triangles, not below zero.
fn to_surface(
    piece: &PieceShape,
    centre: &Vector3<f64>,
    mesh: &ClosedMesh,
    enough: f64,
    scratch: &mut Scratch,
) -> f64 {
    let bound = |node: usize| {
        let node = &mesh.nodes[node];
        piece.distance_to(&(node.centre - centre)) - node.half.norm()
    };
    let mut least = enough;
    let Scratch { cells, nodes } = scratch;
    nodes.clear();
    nodes.push((bound(0), 0));
    while let Some((near, node)) = nodes.pop() {
        if near >= least {
            continue;
        }
        match mesh.nodes[node].content {
            Content::Branch(first, second) => {
                let (first, second) = ((bound(first), first), (bound(second), second));
                if first.0 < second.0 {
                    nodes.extend([second, first]);
                } else {
                    nodes.extend([first, second]);
                }
            }
            Content::Leaf(from, to) => {
                for triangle in &mesh.triangles[from..to] {
                    for cell in piece.cells() {
                        let target = least + cell.inflate;
                        let distance = cell_distance(cell, centre, triangle, target, cells);
                        least = least.min(distance - cell.inflate);
                    }
                }
            }
        }
        if least <= 0.0 {
            return 0.0;
        }
    }
    least
}

/// Least signed distance of a cell that enters a mesh: never above the true one,
/// within [`MESH_DEPTH_BOUND`].
fn depth(cell: &Cell, centre: &Vector3<f64>, mesh: &ClosedMesh, stack: &mut Vec<Cell>) -> f64 {
    let mut found = f64::INFINITY;
    let mut certain = f64::INFINITY;
    stack.clear();
    stack.push(*cell);
    while let Some(cell) = stack.pop() {
        let value = mesh.signed_distance(&(centre + cell.middle()));
        found = found.min(value);
        let bound = value - cell.size();
        if bound >= found - MESH_DEPTH_BOUND {
            certain = certain.min(bound);
        } else {
            stack.extend(cell.halves());
        }
    }
    certain
}
