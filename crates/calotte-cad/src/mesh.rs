//! Triangle meshes and what makes one sound.

use nalgebra::{Rotation3, Vector3};

use crate::options::MeshFault;

/// A triangle whose least height is below this share of the mesh's greatest distance
/// from the origin has no area to speak of.
const LEAST_HEIGHT: f64 = 1e-10;

/// A triangle mesh; triangles turn counter-clockwise seen from outside.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Mesh {
    /// Corners, m, in the frame of the body the solid moves with.
    pub vertices: Vec<Vector3<f64>>,
    /// Indices of the corners of each triangle.
    pub triangles: Vec<[u32; 3]>,
}

impl Mesh {
    /// Corners of a triangle, m.
    pub fn corners(&self, triangle: [u32; 3]) -> [Vector3<f64>; 3] {
        triangle.map(|vertex| self.vertices[vertex as usize])
    }

    /// Enclosed volume, m³: tetrahedra from a corner to every triangle (divergence theorem).
    pub fn volume(&self) -> f64 {
        let Some(apex) = self.vertices.first().copied() else {
            return 0.0;
        };
        let six_fold: f64 = self
            .triangles
            .iter()
            .map(|triangle| {
                let [a, b, c] = self.corners(*triangle).map(|corner| corner - apex);
                a.dot(&b.cross(&c))
            })
            .sum();
        six_fold / 6.0
    }

    /// The mesh turned, then moved.
    pub fn moved(&self, rotation: &Rotation3<f64>, translation: &Vector3<f64>) -> Mesh {
        Mesh {
            vertices: self
                .vertices
                .iter()
                .map(|vertex| rotation * vertex + translation)
                .collect(),
            triangles: self.triangles.clone(),
        }
    }

    /// Least and greatest coordinates, m.
    pub fn bounds(&self) -> [Vector3<f64>; 2] {
        let start = [f64::INFINITY, f64::NEG_INFINITY].map(Vector3::repeat);
        self.vertices.iter().fold(start, |[low, high], vertex| {
            [low.inf(vertex), high.sup(vertex)]
        })
    }

    /// Whether the mesh is closed, oriented and without degenerate triangles.
    ///
    /// # Errors
    /// The first [`MeshFault`] found.
    pub fn check(&self) -> Result<(), MeshFault> {
        if self.triangles.is_empty() {
            return Err(MeshFault::Empty);
        }
        // Every edge once in each direction: sorted, each has its reverse in its place.
        let mut edges: Vec<(u32, u32)> = self
            .triangles
            .iter()
            .flat_map(|[a, b, c]| [(*a, *b), (*b, *c), (*c, *a)])
            .collect();
        edges.sort_unstable();
        for same in edges.chunk_by(|a, b| a == b) {
            let ((from, to), times) = (same[0], same.len());
            if times > 1 {
                return Err(MeshFault::EdgeRepeated { from, to, times });
            }
        }
        let mut reversed: Vec<(u32, u32)> = edges.iter().map(|(from, to)| (*to, *from)).collect();
        reversed.sort_unstable();
        for (edge, reverse) in edges.iter().zip(&reversed) {
            if edge != reverse {
                let (from, to) = *edge.min(reverse);
                return Err(MeshFault::EdgeOpen { from, to });
            }
        }
        let size = self
            .vertices
            .iter()
            .map(|vertex| vertex.norm())
            .fold(0.0, f64::max);
        for (index, triangle) in self.triangles.iter().enumerate() {
            let height = least_height(self.corners(*triangle));
            if height.is_nan() || height <= LEAST_HEIGHT * size {
                return Err(MeshFault::Degenerate {
                    triangle: index,
                    height,
                });
            }
        }
        let volume = self.volume();
        if volume > 0.0 {
            Ok(())
        } else {
            Err(MeshFault::InsideOut { volume })
        }
    }
}

/// Least height of a triangle: twice its area over its longest side.
pub(crate) fn least_height([a, b, c]: [Vector3<f64>; 3]) -> f64 {
    let longest = (b - a).norm().max((c - b).norm()).max((a - c).norm());
    (b - a).cross(&(c - a)).norm() / longest
}
