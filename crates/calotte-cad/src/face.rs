//! Faces on the sphere of a level: where solid below meets none above, or the other way.
//!
//! Their outline is what the outlines below and above do not have in common. It is
//! triangulated in a stereographic chart about the direction opposite to the free one
//! (conformal, and circles stay circles), with points inside so that the facets follow
//! the sphere. Which side of the solid a triangle closes is found by walking over the
//! triangles and counting the outlines crossed, not from where its centre lies.

use std::collections::{BTreeMap, HashMap, VecDeque};

use nalgebra::Vector3;
use spade::{ConstrainedDelaunayTriangulation, HasPosition, Point2, Triangulation};

use crate::circle::across;
use crate::level::Level;
use crate::levels::Slab;
use crate::options::MeshError;
use crate::region::Model;

/// Share of the spacing that points inside keep from the outline.
const FROM_OUTLINE: f64 = 0.45;

/// A point of the chart with its vertex.
#[derive(Debug, Clone, Copy)]
struct ChartPoint {
    place: Point2<f64>,
    vertex: u32,
}

impl HasPosition for ChartPoint {
    type Scalar = f64;
    fn position(&self) -> Point2<f64> {
        self.place
    }
}

/// Stereographic chart of the unit sphere from its pole; seen from outside, x, y and
/// the outward direction are right-handed.
struct Chart {
    centre: Vector3<f64>,
    x: Vector3<f64>,
    y: Vector3<f64>,
}

impl Chart {
    fn new(pole: &Vector3<f64>) -> Self {
        let centre = -pole;
        let x = across(&centre);
        Self {
            centre,
            x,
            y: centre.cross(&x),
        }
    }

    /// 2 tan(θ/2) away from the centre: lengths near it are angles.
    fn place(&self, direction: &Vector3<f64>) -> Point2<f64> {
        let scale = 2.0 / (1.0 + direction.dot(&self.centre));
        Point2::new(
            scale * direction.dot(&self.x),
            scale * direction.dot(&self.y),
        )
    }

    fn direction(&self, place: [f64; 2]) -> Vector3<f64> {
        let square = 0.25 * (place[0] * place[0] + place[1] * place[1]);
        let across = (self.x * place[0] + self.y * place[1]) / (1.0 + square);
        across + self.centre * ((1.0 - square) / (1.0 + square))
    }
}

/// Adds the faces of a level to a mesh.
pub(crate) fn close(
    model: &Model,
    level: &Level,
    below: Option<&Slab>,
    above: Option<&Slab>,
    vertices: &mut Vec<Vector3<f64>>,
    triangles: &mut Vec<[u32; 3]>,
) -> Result<(), MeshError> {
    let edges = level.difference();
    if edges.is_empty() {
        return Ok(());
    }
    let crowded = || MeshError::Outline {
        solid: model.name.clone(),
        radius: level.radius,
    };
    let chart = Chart::new(&model.pole);
    let mut places: BTreeMap<u32, Point2<f64>> = BTreeMap::new();
    for vertex in edges.keys().flat_map(|(from, to)| [*from, *to]) {
        let direction = vertices[vertex as usize] / level.radius;
        places.insert(vertex, chart.place(&direction));
    }
    let mut triangulation = ConstrainedDelaunayTriangulation::<ChartPoint>::new();
    let mut handles = BTreeMap::new();
    for (vertex, place) in &places {
        let point = ChartPoint {
            place: *place,
            vertex: *vertex,
        };
        handles.insert(*vertex, triangulation.insert(point).map_err(|_| crowded())?);
    }
    if triangulation.num_vertices() != places.len() {
        return Err(crowded());
    }
    for (from, to) in edges.keys() {
        let (from, to) = (handles[from], handles[to]);
        if !triangulation.can_add_constraint(from, to) {
            return Err(crowded());
        }
        triangulation.add_constraint(from, to);
    }
    let is_face = |place: [f64; 2]| {
        let direction = chart.direction(place);
        let solid = |slab: Option<&Slab>| {
            slab.is_some_and(|slab| {
                model.solid(slab.active.iter().map(|region| {
                    let inside = model.regions[*region].contains(&direction, level.radius);
                    (*region, inside)
                }))
            })
        };
        solid(below) != solid(above)
    };
    let spacing = 2.0 * (model.options.chord_tolerance / level.radius).sqrt();
    for place in inside_points(&edges, &places, spacing, is_face) {
        let point = ChartPoint {
            place: Point2::new(place[0], place[1]),
            vertex: vertices.len() as u32,
        };
        vertices.push(chart.direction(place) * level.radius);
        triangulation.insert(point).map_err(|_| crowded())?;
    }
    for (triangle, winding) in windings(&triangulation, &edges).ok_or_else(crowded)? {
        let [a, b, c] = triangle;
        match winding {
            0 => {}
            1 => triangles.push([a, b, c]),
            -1 => triangles.push([a, c, b]),
            _ => return Err(crowded()),
        }
    }
    Ok(())
}

/// Triangles with how often the outline runs about them: 1 where solid lies below only,
/// −1 where above only. `None` if the outline does not close.
fn windings(
    triangulation: &ConstrainedDelaunayTriangulation<ChartPoint>,
    edges: &BTreeMap<(u32, u32), i32>,
) -> Option<Vec<([u32; 3], i32)>> {
    let outer = triangulation.outer_face().fix().index();
    let mut winding: Vec<Option<i32>> = vec![None; triangulation.num_all_faces()];
    winding[outer] = Some(0);
    // Neighbours of every face, with what is gained by crossing into them.
    let mut steps: Vec<Vec<(usize, i32)>> = vec![Vec::new(); winding.len()];
    for edge in triangulation.directed_edges() {
        let (from, to) = (edge.from().data().vertex, edge.to().data().vertex);
        let times = if from < to {
            edges.get(&(from, to)).copied().unwrap_or(0)
        } else {
            -edges.get(&(to, from)).copied().unwrap_or(0)
        };
        let (left, right) = (edge.face().fix().index(), edge.rev().face().fix().index());
        steps[right].push((left, times));
    }
    let mut queue = VecDeque::from([outer]);
    while let Some(face) = queue.pop_front() {
        let here = winding[face]?;
        for (next, times) in &steps[face] {
            match winding[*next] {
                None => {
                    winding[*next] = Some(here + times);
                    queue.push_back(*next);
                }
                Some(known) if known == here + times => {}
                Some(_) => return None,
            }
        }
    }
    triangulation
        .inner_faces()
        .map(|face| {
            let corners = face.vertices().map(|vertex| vertex.data().vertex);
            Some((corners, winding[face.fix().index()]?))
        })
        .collect()
}

/// Points of a triangular grid inside the faces and away from their outlines.
fn inside_points(
    edges: &BTreeMap<(u32, u32), i32>,
    places: &BTreeMap<u32, Point2<f64>>,
    spacing: f64,
    is_face: impl Fn([f64; 2]) -> bool,
) -> Vec<[f64; 2]> {
    let keep = FROM_OUTLINE * spacing;
    let cell = |x: f64| (x / spacing).floor() as i64;
    let mut near: HashMap<[i64; 2], Vec<[Point2<f64>; 2]>> = HashMap::new();
    let (mut low, mut high) = ([f64::INFINITY; 2], [f64::NEG_INFINITY; 2]);
    for (from, to) in edges.keys() {
        let (a, b) = (places[from], places[to]);
        for x in cell(a.x.min(b.x) - keep)..=cell(a.x.max(b.x) + keep) {
            for y in cell(a.y.min(b.y) - keep)..=cell(a.y.max(b.y) + keep) {
                near.entry([x, y]).or_default().push([a, b]);
            }
        }
        low = [low[0].min(a.x).min(b.x), low[1].min(a.y).min(b.y)];
        high = [high[0].max(a.x).max(b.x), high[1].max(a.y).max(b.y)];
    }
    let row_height = 0.75_f64.sqrt() * spacing;
    let rows = ((high[1] - low[1]) / row_height) as usize + 1;
    let columns = ((high[0] - low[0]) / spacing) as usize + 1;
    let mut points = Vec::new();
    for row in 0..rows {
        for column in 0..columns {
            let shift = if row % 2 == 0 { 0.25 } else { 0.75 };
            let x = low[0] + (column as f64 + shift) * spacing;
            let y = low[1] + (row as f64 + 0.5) * row_height;
            let clear = near
                .get(&[cell(x), cell(y)])
                .is_none_or(|close| close.iter().all(|edge| away(edge, [x, y]) > keep));
            if clear && is_face([x, y]) {
                points.push([x, y]);
            }
        }
    }
    points
}

/// Distance of a point from an edge.
fn away([a, b]: &[Point2<f64>; 2], [x, y]: [f64; 2]) -> f64 {
    let (along_x, along_y) = (b.x - a.x, b.y - a.y);
    let square = along_x * along_x + along_y * along_y;
    let share = (((x - a.x) * along_x + (y - a.y) * along_y) / square).clamp(0.0, 1.0);
    (x - a.x - share * along_x).hypot(y - a.y - share * along_y)
}
