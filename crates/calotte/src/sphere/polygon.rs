//! Regions with corners: simple spherical polygons inside an open hemisphere.

use nalgebra::Vector3;

use super::direction::any_perpendicular;
use super::enclosing::smallest_cap_axis;
use super::error::RegionError;

/// A simple polygon of great-circle edges.
#[derive(Debug, Clone, PartialEq)]
pub struct Polygon {
    vertices: Vec<Vector3<f64>>,
    /// Of the smallest cap that holds them.
    axis: Vector3<f64>,
}

impl Polygon {
    /// A polygon through unit vectors in order, either way round; its inside is
    /// the part on the axis's side of a hemisphere, the axis that of the smallest cap that holds
    /// all vertices. A vertex on the edge between its neighbours says nothing and is dropped.
    ///
    /// # Errors
    /// [`RegionError`] for fewer than three vertices, repeated neighbours,
    /// vertices that fit in no open hemisphere, or edges that cross.
    pub fn new(vertices: Vec<Vector3<f64>>) -> Result<Self, RegionError> {
        if vertices.len() < 3 {
            return Err(RegionError::TooFewVertices(vertices.len()));
        }
        let polygon = Self::about_axis(vertices).ok_or(RegionError::PolygonTooWide)?;
        if polygon.vertices.iter().any(|v| v.dot(&polygon.axis) < 1e-6) {
            return Err(RegionError::PolygonTooWide);
        }
        let flat = polygon.projected();
        let count = flat.len();
        for index in 0..count {
            let next = (index + 1) % count;
            if (polygon.vertices[index] - polygon.vertices[next]).norm() < 1e-9 {
                return Err(RegionError::RepeatedVertex(index + 1));
            }
            for other in index + 2..count {
                if (other + 1) % count == index {
                    continue;
                }
                let other_next = (other + 1) % count;
                if segments_cross(flat[index], flat[next], flat[other], flat[other_next]) {
                    return Err(RegionError::CrossingEdges(index + 1, other + 1));
                }
            }
        }
        Ok(polygon.without_vertices_on_edges())
    }

    /// The polygon without vertices that lie between their neighbours on one great circle.
    fn without_vertices_on_edges(self) -> Self {
        let count = self.vertices.len();
        let on_edge = |index: usize| {
            let [before, own, after] =
                [count - 1, 0, 1].map(|step| self.vertices[(index + step) % count]);
            let across = before.cross(&after);
            let forward = (own - before).dot(&(after - own)) > 0.0;
            forward && own.dot(&across).abs() < ON_EDGE * across.norm()
        };
        let vertices: Vec<_> = (0..count)
            .filter(|index| !on_edge(*index))
            .map(|index| self.vertices[index])
            .collect();
        let corners = (vertices.len() >= 3).then_some(vertices);
        corners.and_then(Self::about_axis).unwrap_or(self)
    }

    fn about_axis(vertices: Vec<Vector3<f64>>) -> Option<Self> {
        let axis = smallest_cap_axis(&vertices)?;
        Some(Self { vertices, axis })
    }

    /// Axis of the smallest cap that holds it.
    pub fn axis(&self) -> Vector3<f64> {
        self.axis
    }

    /// The vertices that are corners, unit vectors.
    pub fn vertices(&self) -> &[Vector3<f64>] {
        &self.vertices
    }

    /// The polygon with every vertex turned by a rotation.
    pub fn rotated(&self, rotation: &nalgebra::Matrix3<f64>) -> Self {
        Self {
            vertices: self.vertices.iter().map(|v| rotation * v).collect(),
            axis: rotation * self.axis,
        }
    }

    /// Whether a direction lies inside.
    pub fn contains(&self, direction: &Vector3<f64>) -> bool {
        let height = direction.dot(&self.axis);
        if height <= 0.0 {
            return false;
        }
        let (u, v) = tangent_axes(&self.axis);
        let point = [direction.dot(&u) / height, direction.dot(&v) / height];
        let flat = self.projected();
        let mut inside = false;
        for index in 0..flat.len() {
            let (a, b) = (flat[index], flat[(index + 1) % flat.len()]);
            if (a[1] > point[1]) != (b[1] > point[1]) {
                let crossing = a[0] + (point[1] - a[1]) / (b[1] - a[1]) * (b[0] - a[0]);
                if point[0] < crossing {
                    inside = !inside;
                }
            }
        }
        inside
    }

    /// Vertices in the central projection about the axis, which maps
    /// great circles to straight lines.
    fn projected(&self) -> Vec<[f64; 2]> {
        let (u, v) = tangent_axes(&self.axis);
        self.vertices
            .iter()
            .map(|w| {
                let height = w.dot(&self.axis);
                [w.dot(&u) / height, w.dot(&v) / height]
            })
            .collect()
    }
}

/// A vertex this far from the edge between its neighbours lies on it, rad.
const ON_EDGE: f64 = 1e-9;

fn tangent_axes(axis: &Vector3<f64>) -> (Vector3<f64>, Vector3<f64>) {
    let u = any_perpendicular(axis);
    (u, axis.cross(&u))
}

fn segments_cross(a: [f64; 2], b: [f64; 2], c: [f64; 2], d: [f64; 2]) -> bool {
    let side = |p: [f64; 2], q: [f64; 2], r: [f64; 2]| {
        (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])
    };
    side(a, b, c) * side(a, b, d) < 0.0 && side(c, d, a) * side(c, d, b) < 0.0
}
