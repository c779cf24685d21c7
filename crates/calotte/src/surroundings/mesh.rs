//! A closed surface of triangles: its checks, a tree of boxes over it, and the
//! signed distance of a point.
//!
//! The sign comes from the angle-weighted normal of the nearest feature
//! (Bærentzen and Aanæs, IEEE Trans. Vis. Comput. Graph. 11 (2005) 243, from memory).

use std::collections::BTreeMap;

use nalgebra::Vector3;
use thiserror::Error;

use crate::sphere::{arc_between, unit};

use super::convex::Convex;

/// Why a surface bounds no volume.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum MeshError {
    /// No triangle at all.
    #[error("its mesh has no triangles")]
    Empty,
    /// A coordinate that is no number.
    #[error("corner {0} of its mesh is not a finite point")]
    NotFinite(usize),
    /// A triangle names a corner that does not exist.
    #[error("triangle {triangle} names corner {corner}; the mesh has {corners}")]
    NoSuchCorner {
        /// Index of the triangle.
        triangle: usize,
        /// The corner it names.
        corner: usize,
        /// Corners there are.
        corners: usize,
    },
    /// Edges that do not have exactly one triangle on either side.
    #[error(
        "its mesh is not closed: {edges} edges lack a neighbour or have several, the first from ({}, {}, {}) m to ({}, {}, {}) m", from.x, from.y, from.z, to.x, to.y, to.z
    )]
    NotClosed {
        /// Number of such edges.
        edges: usize,
        /// One end of the first, m.
        from: Vector3<f64>,
        /// Its other end, m.
        to: Vector3<f64>,
    },
    /// The triangles face inward, or bound nothing.
    #[error("its mesh bounds a volume of {0} m³; the triangles must face outward")]
    Inward(f64),
}

/// A triangle and the normals of its features.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Triangle {
    pub(super) corners: [Vector3<f64>; 3],
    normal: Vector3<f64>,
    /// Sums of the normals on both sides of the edges 0–1, 1–2, 2–0.
    edge_normals: [Vector3<f64>; 3],
    /// Sums of the normals about each corner, weighted by the angle there.
    corner_normals: [Vector3<f64>; 3],
}

/// What of a triangle is nearest to a point.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Feature {
    Face,
    Edge(usize),
    Corner(usize),
}

impl Triangle {
    /// Nearest point of the triangle and what it belongs to, by the zones of its
    /// corners and edges (Ericson, Real-Time Collision Detection, 2005, 5.1.5, from memory).
    fn nearest(&self, point: &Vector3<f64>) -> (Vector3<f64>, Feature) {
        let [a, b, c] = &self.corners;
        let (ab, ac, ap) = (b - a, c - a, point - a);
        let (d1, d2) = (ab.dot(&ap), ac.dot(&ap));
        if d1 <= 0.0 && d2 <= 0.0 {
            return (*a, Feature::Corner(0));
        }
        let bp = point - b;
        let (d3, d4) = (ab.dot(&bp), ac.dot(&bp));
        if d3 >= 0.0 && d4 <= d3 {
            return (*b, Feature::Corner(1));
        }
        let vc = d1 * d4 - d3 * d2;
        if vc <= 0.0 && d1 >= 0.0 && d3 <= 0.0 {
            return (a + ab * (d1 / (d1 - d3)), Feature::Edge(0));
        }
        let cp = point - c;
        let (d5, d6) = (ab.dot(&cp), ac.dot(&cp));
        if d6 >= 0.0 && d5 <= d6 {
            return (*c, Feature::Corner(2));
        }
        let vb = d5 * d2 - d1 * d6;
        if vb <= 0.0 && d2 >= 0.0 && d6 <= 0.0 {
            return (a + ac * (d2 / (d2 - d6)), Feature::Edge(2));
        }
        let va = d3 * d6 - d5 * d4;
        if va <= 0.0 && d4 - d3 >= 0.0 && d5 - d6 >= 0.0 {
            let along = (d4 - d3) / ((d4 - d3) + (d5 - d6));
            return (b + (c - b) * along, Feature::Edge(1));
        }
        let scale = 1.0 / (va + vb + vc);
        (a + ab * (vb * scale) + ac * (vc * scale), Feature::Face)
    }

    fn feature_normal(&self, feature: Feature) -> &Vector3<f64> {
        match feature {
            Feature::Face => &self.normal,
            Feature::Edge(edge) => &self.edge_normals[edge],
            Feature::Corner(corner) => &self.corner_normals[corner],
        }
    }
}

impl Convex for Triangle {
    fn distance_and_slope(&self, point: &Vector3<f64>) -> (f64, Vector3<f64>) {
        let away = point - self.nearest(point).0;
        let distance = away.norm();
        if distance > 0.0 {
            (distance, away / distance)
        } else {
            (0.0, Vector3::zeros())
        }
    }
}

/// A box of the tree: its triangles or its two children.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Node {
    pub(super) centre: Vector3<f64>,
    pub(super) half: Vector3<f64>,
    pub(super) content: Content,
}

#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Content {
    /// Range of triangles.
    Leaf(usize, usize),
    /// Indices of two nodes.
    Branch(usize, usize),
}

impl Node {
    /// Distance of a point from the box, m.
    pub(super) fn distance(&self, point: &Vector3<f64>) -> f64 {
        let beyond = (point - self.centre).abs() - self.half;
        beyond.map(|x| x.max(0.0)).norm()
    }
}

/// A closed surface with a tree of boxes over its triangles.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct ClosedMesh {
    pub(super) triangles: Vec<Triangle>,
    pub(super) nodes: Vec<Node>,
}

/// Triangles in one leaf of the tree.
const LEAF: usize = 4;

impl ClosedMesh {
    /// Checks a surface and builds its tree. Corners at exactly one place count as one.
    pub(super) fn new(
        vertices: &[Vector3<f64>],
        triangles: &[[usize; 3]],
    ) -> Result<Self, MeshError> {
        if let Some(bad) = vertices
            .iter()
            .position(|v| v.iter().any(|c| !c.is_finite()))
        {
            return Err(MeshError::NotFinite(bad));
        }
        for (triangle, corners) in triangles.iter().enumerate() {
            if let Some(corner) = corners.iter().find(|c| **c >= vertices.len()) {
                return Err(MeshError::NoSuchCorner {
                    triangle,
                    corner: *corner,
                    corners: vertices.len(),
                });
            }
        }
        let welded = weld(vertices);
        let faces: Vec<[usize; 3]> = triangles
            .iter()
            .map(|corners| corners.map(|c| welded[c]))
            .filter(|[a, b, c]| a != b && b != c && c != a)
            .collect();
        if faces.is_empty() {
            return Err(MeshError::Empty);
        }
        refuse_open(vertices, &faces)?;
        let volume = enclosed_volume(vertices, &faces);
        if volume.partial_cmp(&0.0) != Some(std::cmp::Ordering::Greater) {
            return Err(MeshError::Inward(volume));
        }
        let mut triangles = with_normals(vertices, &faces);
        let mut nodes = Vec::with_capacity(triangles.len());
        let count = triangles.len();
        build(&mut triangles, 0, count, &mut nodes);
        Ok(Self { triangles, nodes })
    }

    /// Signed distance of a point, m.
    pub(super) fn signed_distance(&self, point: &Vector3<f64>) -> f64 {
        let mut best = (f64::INFINITY, 0, Feature::Face, *point);
        self.search(0, point, &mut best);
        let (square, triangle, feature, nearest) = best;
        let outward = self.triangles[triangle].feature_normal(feature);
        let distance = square.sqrt();
        if (point - nearest).dot(outward) < 0.0 {
            -distance
        } else {
            distance
        }
    }

    fn search(
        &self,
        node: usize,
        point: &Vector3<f64>,
        best: &mut (f64, usize, Feature, Vector3<f64>),
    ) {
        match self.nodes[node].content {
            Content::Leaf(from, to) => {
                for index in from..to {
                    let (nearest, feature) = self.triangles[index].nearest(point);
                    let square = (point - nearest).norm_squared();
                    if square < best.0 {
                        *best = (square, index, feature, nearest);
                    }
                }
            }
            Content::Branch(first, second) => {
                let mut order = [first, second].map(|n| (self.nodes[n].distance(point), n));
                if order[1].0 < order[0].0 {
                    order.swap(0, 1);
                }
                for (distance, child) in order {
                    if distance * distance < best.0 {
                        self.search(child, point, best);
                    }
                }
            }
        }
    }

    /// Ball about the whole, centre and radius, m.
    pub(super) fn bounding_ball(&self) -> (Vector3<f64>, f64) {
        (self.nodes[0].centre, self.nodes[0].half.norm())
    }
}

/// For each corner the first at the same place.
fn weld(vertices: &[Vector3<f64>]) -> Vec<usize> {
    let mut seen: BTreeMap<[u64; 3], usize> = BTreeMap::new();
    vertices
        .iter()
        .enumerate()
        .map(|(index, vertex)| {
            // Adding zero makes −0 and 0 one.
            let key = [vertex.x, vertex.y, vertex.z].map(|c| (c + 0.0).to_bits());
            *seen.entry(key).or_insert(index)
        })
        .collect()
}

/// Every directed edge must occur once, and once the other way.
fn refuse_open(vertices: &[Vector3<f64>], faces: &[[usize; 3]]) -> Result<(), MeshError> {
    let mut counts: BTreeMap<[usize; 2], usize> = BTreeMap::new();
    for face in faces {
        for corner in 0..3 {
            *counts
                .entry([face[corner], face[(corner + 1) % 3]])
                .or_default() += 1;
        }
    }
    let mut bad = counts
        .iter()
        .filter(|([from, to], count)| **count != 1 || counts.get(&[*to, *from]) != Some(&1))
        .map(|(edge, _)| *edge);
    let Some([from, to]) = bad.next() else {
        return Ok(());
    };
    Err(MeshError::NotClosed {
        edges: 1 + bad.count(),
        from: vertices[from],
        to: vertices[to],
    })
}

/// Volume by the divergence theorem about the first corner, m³.
fn enclosed_volume(vertices: &[Vector3<f64>], faces: &[[usize; 3]]) -> f64 {
    let origin = vertices[faces[0][0]];
    faces
        .iter()
        .map(|face| {
            let [a, b, c] = face.map(|corner| vertices[corner] - origin);
            a.dot(&b.cross(&c)) / 6.0
        })
        .sum()
}

fn with_normals(vertices: &[Vector3<f64>], faces: &[[usize; 3]]) -> Vec<Triangle> {
    let normal_of = |face: &[usize; 3]| {
        let [a, b, c] = face.map(|corner| vertices[corner]);
        unit_of_any_length(&(b - a).cross(&(c - a)))
    };
    let mut about_edge: BTreeMap<[usize; 2], Vector3<f64>> = BTreeMap::new();
    let mut about_corner: BTreeMap<usize, Vector3<f64>> = BTreeMap::new();
    let edge_key = |a: usize, b: usize| [a.min(b), a.max(b)];
    for face in faces {
        let normal = normal_of(face);
        for corner in 0..3 {
            let (here, next, last) = (face[corner], face[(corner + 1) % 3], face[(corner + 2) % 3]);
            let angle = arc_between(
                &(vertices[next] - vertices[here]),
                &(vertices[last] - vertices[here]),
            );
            *about_edge.entry(edge_key(here, next)).or_default() += normal;
            *about_corner.entry(here).or_default() += normal * angle;
        }
    }
    faces
        .iter()
        .map(|face| Triangle {
            corners: face.map(|corner| vertices[corner]),
            normal: normal_of(face),
            edge_normals: [0, 1, 2].map(|i| about_edge[&edge_key(face[i], face[(i + 1) % 3])]),
            corner_normals: face.map(|corner| about_corner[&corner]),
        })
        .collect()
}

/// Unit vector; zero for a triangle without area. [`unit`] would refuse the small
/// cross products of fine triangles, so they are scaled up first.
fn unit_of_any_length(vector: &Vector3<f64>) -> Vector3<f64> {
    let greatest = vector.amax();
    if greatest == 0.0 {
        return Vector3::zeros();
    }
    unit(&(vector / greatest)).unwrap_or_else(Vector3::zeros)
}

/// Divides the triangles at the middle of the longest side of their centroids' box.
fn build(triangles: &mut [Triangle], from: usize, to: usize, nodes: &mut Vec<Node>) -> usize {
    let (mut low, mut high) = (
        Vector3::repeat(f64::INFINITY),
        Vector3::repeat(f64::NEG_INFINITY),
    );
    for corner in triangles[from..to].iter().flat_map(|t| t.corners) {
        low = low.inf(&corner);
        high = high.sup(&corner);
    }
    let index = nodes.len();
    nodes.push(Node {
        centre: 0.5 * (low + high),
        half: 0.5 * (high - low),
        content: Content::Leaf(from, to),
    });
    if to - from > LEAF {
        let axis = (high - low).imax();
        let middle = from + (to - from) / 2;
        let key = |t: &Triangle| t.corners[0][axis] + t.corners[1][axis] + t.corners[2][axis];
        triangles[from..to].select_nth_unstable_by(middle - from, |a, b| key(a).total_cmp(&key(b)));
        let first = build(triangles, from, middle, nodes);
        let second = build(triangles, middle, to, nodes);
        nodes[index].content = Content::Branch(first, second);
    }
    index
}
