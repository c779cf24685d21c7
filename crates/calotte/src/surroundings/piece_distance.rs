//! Distance of a piece in the world to a keep-out, within a stated bound.
//!
//! Balls and half-spaces have closed forms. Cylinders, boxes and single triangles
//! are convex, so their distance lies above each of its tangent planes, and the least
//! value of a plane over a part of the piece is known: a part whose bound is not below
//! the best value found is done, any other is halved. Derived in
//! `docs/theory/surroundings.md`.

use nalgebra::Vector3;

use super::cell::Cell;
use super::convex::Convex;
use super::mesh::{ClosedMesh, Content};
use super::piece_shape::PieceShape;
use super::shape::{Obstacle, Shape};

/// A distance given is never above the true one, and at most this below it, m.
pub const DISTANCE_BOUND: f64 = 2e-5;

/// Where a piece enters, the distance given (minus its depth) is never above the true one
/// and at most this share of it below, or [`DISTANCE_BOUND`], whichever is more.
pub const DEPTH_BOUND: f64 = 0.1;

/// Where a piece enters a mesh, it may be this much below at least, m.
pub const MESH_DEPTH_BOUND: f64 = 5e-4;

/// Halving ends here; half the bound, so that what is returned keeps it.
const TOLERANCE: f64 = 0.5 * DISTANCE_BOUND;

/// How far below what was found a bound may stay, m.
fn tolerance(found: f64) -> f64 {
    TOLERANCE.max(-DEPTH_BOUND * found)
}

/// Memory of the halving, kept between calls.
#[derive(Debug, Clone, Default)]
pub struct Scratch {
    cells: Vec<Cell>,
    nodes: Vec<(f64, usize)>,
}

/// How much of a distance is asked for, m.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Window {
    /// From here on the exact value does not matter.
    pub enough: f64,
    /// With a value: it does not matter below `enough` either, but for whether it is
    /// below this.
    pub little: Option<f64>,
}

impl Window {
    /// The exact distance.
    pub const EXACT: Window = Window {
        enough: f64::INFINITY,
        little: None,
    };

    /// The exact distance, if it is below this, m.
    pub fn below(enough: f64) -> Self {
        Self {
            enough,
            little: None,
        }
    }

    /// Only whether the distance is at least this, m.
    pub fn whether(enough: f64) -> Self {
        Self {
            enough,
            little: Some(enough),
        }
    }

    /// Whether a part of a piece whose distance is at least `bound` can be left out,
    /// `found` being the least found so far.
    fn leaves_out(&self, bound: f64, found: f64) -> bool {
        bound >= found - tolerance(found)
            || bound >= self.enough
            || (found < self.enough && self.little.is_some_and(|little| bound >= little))
    }

    /// Whether no more needs to be known.
    fn is_settled(&self, found: f64) -> bool {
        self.little.is_some_and(|little| found < little)
    }

    /// What is still asked of other parts when one has this distance.
    pub(super) fn after(&self, distance: &Distance) -> Self {
        let enough = match self.little {
            // What is not certainly nearer than what was found by more than the tolerance
            // cannot bring the bound of the result below it by more.
            None => self
                .enough
                .min(distance.least)
                .min(distance.most - tolerance(distance.most)),
            Some(little) if distance.most < self.enough => little,
            Some(_) => self.enough,
        };
        Self {
            enough,
            little: self.little,
        }
    }

    fn widened(&self, by: f64) -> Self {
        Self {
            enough: self.enough + by,
            little: self.little.map(|little| little + by),
        }
    }
}

/// What is certain about a distance, m.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Distance {
    /// It is not less than this, unless it is below the `little` asked for.
    pub least: f64,
    /// It is not more than this.
    pub most: f64,
}

impl Distance {
    /// Nothing there.
    pub(super) const NONE: Distance = Distance {
        least: f64::INFINITY,
        most: f64::INFINITY,
    };

    fn exactly(value: f64) -> Self {
        Self {
            least: value,
            most: value,
        }
    }

    fn at_least(value: f64) -> Self {
        Self {
            least: value,
            most: f64::INFINITY,
        }
    }

    /// The nearer of two.
    pub(super) fn nearer(self, other: Self) -> Self {
        Self {
            least: self.least.min(other.least),
            most: self.most.min(other.most),
        }
    }

    fn lessened(self, by: f64) -> Self {
        Self {
            least: self.least - by,
            most: self.most - by,
        }
    }
}

/// Distance between a piece turned into the world's directions, its remote centre at
/// `centre`, and a keep-out; negative where it enters.
///
/// The distance is the least signed distance of the piece's points (for a round piece:
/// of its core's line, less its half width). With [`Window::EXACT`], `least` and `most`
/// are at most [`DISTANCE_BOUND`] apart; where the piece enters, [`DEPTH_BOUND`] and, for
/// a mesh, [`MESH_DEPTH_BOUND`] take its place.
pub fn piece_distance(
    piece: &PieceShape,
    centre: &Vector3<f64>,
    obstacle: &Obstacle,
    window: Window,
    scratch: &mut Scratch,
) -> Distance {
    match &obstacle.shape {
        Shape::Sphere(ball) => {
            Distance::exactly(piece.distance_to(&(ball.centre - centre)) - ball.radius)
        }
        Shape::HalfSpace(plane) => Distance::exactly(
            piece.least_along(&plane.normal) + plane.normal.dot(centre) - plane.offset,
        ),
        Shape::Cylinder(cylinder) => convex(piece, centre, cylinder, window, scratch),
        Shape::Box(aligned) => convex(piece, centre, aligned, window, scratch),
        Shape::Mesh(mesh) => to_mesh(piece, centre, mesh, window, scratch),
    }
}

/// Whether a piece and a keep-out widened by `allowance` surely overlap whatever the
/// motion of the piece's points by up to `travel`, m.
///
/// # Theory
/// The heart of a piece are points that carry balls of radius d the piece holds; where the
/// signed distance is f, the widened keep-out holds a ball of radius allowance − f. Balls
/// whose middles are less than the sum of their radii apart overlap, so travel < d +
/// allowance − f is enough.
pub(super) fn surely_overlaps(
    piece: &PieceShape,
    centre: &Vector3<f64>,
    obstacle: &Obstacle,
    allowance: f64,
    travel: f64,
    scratch: &mut Scratch,
) -> bool {
    let (heart, depth) = &piece.heart;
    let wanted = depth + allowance - travel;
    let window = Window::whether(wanted);
    let stack = &mut scratch.cells;
    let found = match &obstacle.shape {
        Shape::Sphere(ball) => search(heart, centre, ball, window, stack).most,
        Shape::HalfSpace(plane) => search(heart, centre, plane, window, stack).most,
        Shape::Cylinder(cylinder) => search(heart, centre, cylinder, window, stack).most,
        Shape::Box(aligned) => search(heart, centre, aligned, window, stack).most,
        Shape::Mesh(mesh) => {
            let halves = heart.halves();
            let quarters = halves.map(|half| half.halves());
            halves
                .iter()
                .chain(quarters.iter().flatten())
                .chain([heart])
                .map(|cell| mesh.signed_distance(&(centre + cell.middle())))
                .fold(f64::INFINITY, f64::min)
        }
    };
    found < wanted
}

/// Distance between a piece and a convex volume.
fn convex(
    piece: &PieceShape,
    centre: &Vector3<f64>,
    volume: &impl Convex,
    window: Window,
    scratch: &mut Scratch,
) -> Distance {
    let (ball_centre, ball_radius) = &piece.ball;
    let ball = volume.distance_and_slope(&(centre + ball_centre)).0 - ball_radius;
    if ball >= window.enough {
        return Distance::at_least(ball);
    }
    let mut distance = Distance::NONE;
    for cell in piece.cells() {
        // Only what is nearer than the cells before matters.
        let window = window.after(&distance).widened(cell.inflate);
        let here = search(cell, centre, volume, window, &mut scratch.cells);
        distance = distance.nearer(here.lessened(cell.inflate));
        if window.is_settled(distance.most) {
            break;
        }
    }
    distance
}

/// Least signed distance over a cell, not widened.
fn search(
    cell: &Cell,
    centre: &Vector3<f64>,
    volume: &impl Convex,
    window: Window,
    stack: &mut Vec<Cell>,
) -> Distance {
    let mut distance = Distance::NONE;
    stack.clear();
    stack.push(*cell);
    while let Some(cell) = stack.pop() {
        let middle = cell.middle();
        let (value, slope) = volume.distance_and_slope(&(centre + middle));
        let (along, lowest) = cell.least_along(&slope);
        let (at_lowest, lowest_slope) = volume.distance_and_slope(&(centre + lowest));
        distance.most = distance.most.min(value).min(at_lowest);
        if window.is_settled(distance.most) {
            distance.least = distance.least.min(distance.most);
            return distance;
        }
        let mut bound = value + along - slope.dot(&middle);
        if !window.leaves_out(bound, distance.most) {
            let second = at_lowest + cell.least_along(&lowest_slope).0 - lowest_slope.dot(&lowest);
            bound = bound.max(second);
        }
        if window.leaves_out(bound, distance.most) || cell.size() < 0.5 * TOLERANCE {
            distance.least = distance.least.min(bound);
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
    distance
}

/// Distance between a piece and a closed surface.
fn to_mesh(
    piece: &PieceShape,
    centre: &Vector3<f64>,
    mesh: &ClosedMesh,
    window: Window,
    scratch: &mut Scratch,
) -> Distance {
    let (ball_centre, ball_radius) = &piece.ball;
    let whole = mesh.nodes[0].distance(&(centre + ball_centre)) - ball_radius;
    if whole >= window.enough {
        return Distance::at_least(whole);
    }
    let first = &piece.cells()[0];
    let sample = mesh.signed_distance(&(centre + first.middle())) - first.inflate;
    let surface = to_surface(piece, centre, mesh, window, sample, scratch);
    // A piece that does not meet the surface lies inside with all its points or with none.
    if surface.least > 0.0 && sample + first.inflate >= 0.0 {
        return surface;
    }
    if window.little.is_some() {
        // It is not clear; how deep it is is not asked.
        return Distance {
            least: f64::NEG_INFINITY,
            most: surface.most.min(sample),
        };
    }
    let mut distance = Distance::NONE;
    for cell in piece.cells() {
        let window = window.after(&distance).widened(cell.inflate);
        let here = depth(cell, centre, mesh, window, &mut scratch.cells);
        distance = distance.nearer(here.lessened(cell.inflate));
    }
    Distance {
        least: distance.least.min(surface.least.max(0.0)),
        most: distance.most.min(surface.most),
    }
}

/// Distance between a piece and the triangles; `found` is one of its points'. Nothing
/// below zero is looked for.
fn to_surface(
    piece: &PieceShape,
    centre: &Vector3<f64>,
    mesh: &ClosedMesh,
    window: Window,
    found: f64,
    scratch: &mut Scratch,
) -> Distance {
    // Touching matters however little is enough.
    let window = Window {
        enough: window.enough.max(TOLERANCE),
        ..window
    };
    let mut distance = Distance {
        least: window.enough,
        most: found.max(0.0),
    };
    let bound = |node: usize| {
        let node = &mesh.nodes[node];
        piece.distance_to(&(node.centre - centre)) - node.half.norm()
    };
    let Scratch { cells, nodes } = scratch;
    nodes.clear();
    nodes.push((bound(0), 0));
    while let Some((near, node)) = nodes.pop() {
        if near >= distance.least || window.leaves_out(near, distance.most) {
            distance.least = distance.least.min(near);
            continue;
        }
        match mesh.nodes[node].content {
            Content::Branch(first, second) => {
                let (first, second) = ((bound(first), first), (bound(second), second));
                // The nearer one comes first.
                if first.0 < second.0 {
                    nodes.extend([second, first]);
                } else {
                    nodes.extend([first, second]);
                }
            }
            Content::Leaf(from, to) => {
                for triangle in &mesh.triangles[from..to] {
                    let near = piece.apart_from(&triangle.corners, centre);
                    if near >= distance.least || window.leaves_out(near, distance.most) {
                        distance.least = distance.least.min(near);
                        continue;
                    }
                    for cell in piece.cells() {
                        let window = window.after(&distance).widened(cell.inflate);
                        let here = search(cell, centre, triangle, window, cells);
                        distance = distance.nearer(here.lessened(cell.inflate));
                    }
                }
            }
        }
        if distance.least <= 0.0 || window.is_settled(distance.most) {
            break;
        }
    }
    distance
}

/// Least signed distance of a cell that enters a mesh, within [`MESH_DEPTH_BOUND`].
fn depth(
    cell: &Cell,
    centre: &Vector3<f64>,
    mesh: &ClosedMesh,
    window: Window,
    stack: &mut Vec<Cell>,
) -> Distance {
    let mut distance = Distance::NONE;
    stack.clear();
    stack.push(*cell);
    while let Some(cell) = stack.pop() {
        let value = mesh.signed_distance(&(centre + cell.middle()));
        distance.most = distance.most.min(value);
        let bound = value - cell.radius_about_middle();
        let settled = window.is_settled(distance.most);
        if settled
            || bound >= distance.most - MESH_DEPTH_BOUND.max(tolerance(distance.most))
            || window.leaves_out(bound, distance.most)
        {
            distance.least = distance.least.min(bound);
        } else {
            stack.extend(cell.halves());
        }
        if settled {
            break;
        }
    }
    distance
}
