//! The points at which the outlines on the sphere of one level are sampled.
//!
//! Walls below and above a level take their points from one list for each circle, so
//! that walls below, walls above and the faces between them share their edges.

use std::collections::{BTreeMap, HashMap};
use std::f64::consts::TAU;

use nalgebra::Vector3;

use crate::circle::{Crossings, Kind, crossing, crossings, nearest_turn, wrapped};
use crate::outline::{Stretch, corner_at};
use crate::region::Model;

/// Parameters closer than this are one, rad.
const ONE_PARAMETER: f64 = 1e-9;
/// Side of the cells in which vertices are sought, in distances below which points are one.
const CELL: f64 = 16.0;
/// Share of a step by which a regular point must stay away from a corner.
const THINNED: f64 = 0.3;

/// A point of a circle, with its vertex once something uses it.
#[derive(Debug, Clone, Copy)]
struct Mark {
    parameter: f64,
    direction: Vector3<f64>,
    vertex: Option<u32>,
}

/// A point of a path: its parameter, growing along the path, and its vertex.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct PathPoint {
    pub parameter: f64,
    pub vertex: u32,
}

/// The sphere of one level.
pub(crate) struct Level<'a> {
    model: &'a Model,
    pub radius: f64,
    marks: BTreeMap<usize, Vec<Mark>>,
    /// Vertices by cells.
    cells: HashMap<[i64; 3], Vec<u32>>,
    /// Edges, lower vertex first, with 1 if they belong to the outline below and run that
    /// way, −1 if they run against it or belong to the outline above.
    edges: Vec<((u32, u32), i32)>,
}

impl<'a> Level<'a> {
    /// The points of a level from the stretches of the walls that end and begin on it.
    pub fn new(model: &'a Model, radius: f64, below: &[Stretch], above: &[Stretch]) -> Self {
        let mut corners: BTreeMap<usize, Vec<Mark>> = BTreeMap::new();
        for stretch in below.iter().chain(above) {
            let marks = corners.entry(stretch.circle).or_default();
            if let Some((from, to)) = stretch.ends {
                for corner in [from, to] {
                    let (direction, parameter) = corner_at(model, stretch.circle, corner, radius);
                    marks.push(Mark {
                        parameter: wrapped(parameter),
                        direction,
                        vertex: None,
                    });
                }
            }
        }
        for first in below {
            for second in above {
                mark_crossings(model, radius, first, second, &mut corners);
            }
        }
        let circles: Vec<usize> = corners.keys().copied().collect();
        let marks = circles
            .iter()
            .map(|circle| {
                let alike = circles
                    .iter()
                    .filter(|other| coincide(model, radius, *circle, **other));
                let (mut shared, mut steps) = (Vec::new(), 0);
                for other in alike {
                    shared.extend_from_slice(&corners[other]);
                    steps = steps.max(model.circles[*other].steps);
                }
                (*circle, with_steps(model, radius, *circle, shared, steps))
            })
            .collect();
        Self {
            model,
            radius,
            marks,
            cells: HashMap::new(),
            edges: Vec::new(),
        }
    }

    /// The points of a stretch, with the solid to the left of the path. A stretch without
    /// length has one point.
    pub fn path(&mut self, stretch: &Stretch, vertices: &mut Vec<Vector3<f64>>) -> Vec<PathPoint> {
        let mut marks = self.marks.remove(&stretch.circle).unwrap_or_default();
        let mut path = Vec::with_capacity(marks.len() + 2);
        match stretch.ends {
            None => {
                for mark in &mut marks {
                    path.push(self.marked(mark, 0.0, vertices));
                }
                if let Some(first) = path.first().copied() {
                    path.push(PathPoint {
                        parameter: first.parameter + TAU,
                        ..first
                    });
                }
            }
            Some(_) => {
                let ([start, end], directions) = ends(self.model, stretch, self.radius);
                let [first, last] =
                    directions.map(|direction| self.vertex(direction * self.radius, vertices));
                // Marks in order from the start on: those after it, then those before it.
                let turned = wrapped(start);
                let split = marks.partition_point(|mark| mark.parameter <= turned);
                let (before, after) = marks.split_at_mut(split);
                path.push(PathPoint {
                    parameter: start,
                    vertex: first,
                });
                let between = after
                    .iter_mut()
                    .map(|mark| (mark, start - turned))
                    .chain(before.iter_mut().map(|mark| (mark, start - turned + TAU)));
                for (mark, turn) in between {
                    let parameter = mark.parameter + turn;
                    if parameter > start + ONE_PARAMETER && parameter < end - ONE_PARAMETER {
                        path.push(self.marked(mark, turn, vertices));
                    }
                }
                path.push(PathPoint {
                    parameter: end,
                    vertex: last,
                });
            }
        }
        self.marks.insert(stretch.circle, marks);
        if !stretch.solid_left {
            path.reverse();
            for point in &mut path {
                point.parameter = -point.parameter;
            }
        }
        path.dedup_by_key(|point| point.vertex);
        path
    }

    /// The point of a path at a mark, its parameter turned.
    fn marked(
        &mut self,
        mark: &mut Mark,
        turn: f64,
        vertices: &mut Vec<Vector3<f64>>,
    ) -> PathPoint {
        let vertex = match mark.vertex {
            Some(vertex) => vertex,
            None => self.vertex(mark.direction * self.radius, vertices),
        };
        mark.vertex = Some(vertex);
        PathPoint {
            parameter: mark.parameter + turn,
            vertex,
        }
    }

    /// Counts the edges of a path, `times` being 1 for a wall that ends on the level, −1 for
    /// one that begins there.
    pub fn count(&mut self, path: &[PathPoint], times: i32) {
        self.edges.extend(path.windows(2).map(|pair| {
            let (from, to) = (pair[0].vertex, pair[1].vertex);
            if from < to {
                ((from, to), times)
            } else {
                ((to, from), -times)
            }
        }));
    }

    /// Outline below less outline above: edges, lower vertex first, with the number of
    /// times they run that way if it is not 0.
    pub fn difference(&self) -> BTreeMap<(u32, u32), i32> {
        let mut edges = self.edges.clone();
        edges.sort_unstable();
        let mut difference = BTreeMap::new();
        for same in edges.chunk_by(|a, b| a.0 == b.0) {
            let times: i32 = same.iter().map(|edge| edge.1).sum();
            if times != 0 {
                difference.insert(same[0].0, times);
            }
        }
        difference
    }

    /// The vertex at a position, a known one if it is near enough.
    fn vertex(&mut self, position: Vector3<f64>, vertices: &mut Vec<Vector3<f64>>) -> u32 {
        let same = self.model.same;
        let cell = |shift: Vector3<f64>| {
            let shifted = (position + shift) / (CELL * same);
            [0, 1, 2].map(|axis| shifted[axis].floor() as i64)
        };
        let (low, high) = (cell(Vector3::repeat(-same)), cell(Vector3::repeat(same)));
        for x in low[0]..=high[0] {
            for y in low[1]..=high[1] {
                for z in low[2]..=high[2] {
                    let near = self.cells.get(&[x, y, z]).and_then(|known| {
                        known
                            .iter()
                            .find(|vertex| (vertices[**vertex as usize] - position).norm() <= same)
                    });
                    if let Some(vertex) = near {
                        return *vertex;
                    }
                }
            }
        }
        let vertex = vertices.len() as u32;
        vertices.push(position);
        self.cells
            .entry(cell(Vector3::zeros()))
            .or_default()
            .push(vertex);
        vertex
    }
}

/// Parameters and directions of a stretch's ends at a radius, on the turn nearest to
/// where it lies in the middle of its slab.
fn ends(model: &Model, stretch: &Stretch, radius: f64) -> ([f64; 2], [Vector3<f64>; 2]) {
    let Some((from, to)) = stretch.ends else {
        let direction = model.circles[stretch.circle].point(0.0, radius);
        return ([0.0, TAU], [direction; 2]);
    };
    let (first, start) = corner_at(model, stretch.circle, from, radius);
    let (last, end) = corner_at(model, stretch.circle, to, radius);
    let start = stretch.start + nearest_turn(start - stretch.start);
    let length = stretch.length + nearest_turn(end - start - stretch.length);
    ([start, start + length.clamp(0.0, TAU)], [first, last])
}

/// Marks the crossings of a stretch below a level with one above it.
fn mark_crossings(
    model: &Model,
    radius: f64,
    first: &Stretch,
    second: &Stretch,
    corners: &mut BTreeMap<usize, Vec<Mark>>,
) {
    if first.circle == second.circle {
        return;
    }
    let (low, high) = (
        first.circle.min(second.circle),
        first.circle.max(second.circle),
    );
    let (a, b) = (&model.circles[low], &model.circles[high]);
    let signs: &[bool] = match crossings(a, b, radius) {
        Crossings::None => &[],
        Crossings::One => &[true],
        Crossings::Two => &[true, false],
    };
    for plus in signs {
        let direction = crossing(a, b, *plus, radius);
        let on = |stretch: &Stretch| {
            let ([start, end], _) = ends(model, stretch, radius);
            let parameter = model.circles[stretch.circle].parameter(&direction);
            nearest_turn(parameter - 0.5 * (start + end)).abs() <= 0.5 * (end - start) + 1e-8
        };
        if on(first) && on(second) {
            for circle in [low, high] {
                corners.entry(circle).or_default().push(Mark {
                    parameter: model.circles[circle].parameter(&direction),
                    direction,
                    vertex: None,
                });
            }
        }
    }
}

/// Whether two rims of different pieces are one on this level only, as where the ball
/// at a round bar's end meets a hole about the same axis. They must have the same points.
fn coincide(model: &Model, radius: f64, first: usize, second: usize) -> bool {
    let (a, b) = (&model.circles[first], &model.circles[second]);
    let apart = a.widening.at(radius).sine - b.widening.at(radius).sine;
    first == second
        || (a.kind == Kind::Rim
            && b.kind == Kind::Rim
            && (a.axis - b.axis).norm() < 1e-9
            && (apart * radius).abs() <= model.same)
}

/// Corners of a circle, each once, and its regular points away from them.
fn with_steps(
    model: &Model,
    radius: f64,
    circle: usize,
    mut corners: Vec<Mark>,
    steps: usize,
) -> Vec<Mark> {
    let here = &model.circles[circle];
    corners.sort_by(|a, b| a.parameter.total_cmp(&b.parameter));
    corners.dedup_by(|later, first| later.parameter - first.parameter < ONE_PARAMETER);
    let step = TAU / steps as f64;
    let mut marks = corners.clone();
    marks.extend(
        (0..steps)
            .map(|index| step * index as f64)
            .filter(|parameter| {
                corners
                    .iter()
                    .all(|corner| nearest_turn(corner.parameter - parameter).abs() > THINNED * step)
            })
            .map(|parameter| Mark {
                parameter,
                direction: here.point(parameter, radius),
                vertex: None,
            }),
    );
    marks.sort_by(|a, b| a.parameter.total_cmp(&b.parameter));
    marks
}
