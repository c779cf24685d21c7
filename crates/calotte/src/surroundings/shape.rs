//! Keep-outs made ready for distances: checked, and with a signed distance.

use nalgebra::Vector3;
use thiserror::Error;

use crate::brief::{KeepOut, KeepOutShape};
use crate::number::shown::millimetres;
use crate::sphere::unit;

use super::convex::Convex;
use super::mesh::{ClosedMesh, MeshError};

/// A keep-out no distance can be measured to.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum ShapeError {
    /// A number that is not finite.
    #[error("keep-out {name:?}: {what} is not a finite number")]
    NotFinite {
        /// The keep-out.
        name: String,
        /// Which of its numbers.
        what: &'static str,
    },
    /// A size below zero.
    #[error("keep-out {name:?}: {what} is {}, must not be below 0", millimetres(.value))]
    Negative {
        /// The keep-out.
        name: String,
        /// Which size.
        what: &'static str,
        /// Its value, m.
        value: f64,
    },
    /// A direction of no length: a plane's normal, or a cylinder whose ends coincide.
    #[error("keep-out {name:?}: {what} has no length")]
    NoDirection {
        /// The keep-out.
        name: String,
        /// Which direction.
        what: &'static str,
    },
    /// A surface that bounds no volume.
    #[error("keep-out {name:?}: {reason}")]
    Mesh {
        /// The keep-out.
        name: String,
        /// Why.
        reason: MeshError,
    },
}

/// A checked keep-out in the world.
#[derive(Debug, Clone, PartialEq)]
pub struct Obstacle {
    /// Name printed in results.
    pub name: String,
    /// Whether the tool may touch it.
    pub tool_may_touch: bool,
    pub(super) shape: Shape,
}

#[derive(Debug, Clone, PartialEq)]
pub(super) enum Shape {
    Sphere(Sphere),
    Cylinder(Cylinder),
    Box(AlignedBox),
    HalfSpace(HalfSpace),
    Mesh(ClosedMesh),
}

/// A ball.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Sphere {
    pub(super) centre: Vector3<f64>,
    pub(super) radius: f64,
}

impl Convex for Sphere {
    fn distance_and_slope(&self, point: &Vector3<f64>) -> (f64, Vector3<f64>) {
        let away = point - self.centre;
        let norm = away.norm();
        let slope = if norm > 0.0 {
            away / norm
        } else {
            Vector3::zeros()
        };
        (norm - self.radius, slope)
    }
}

/// The far side of a plane.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct HalfSpace {
    pub(super) normal: Vector3<f64>,
    /// Place of the plane along its normal, m.
    pub(super) offset: f64,
}

impl Convex for HalfSpace {
    fn distance_and_slope(&self, point: &Vector3<f64>) -> (f64, Vector3<f64>) {
        (self.normal.dot(point) - self.offset, self.normal)
    }
}

/// A round cylinder with flat ends.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Cylinder {
    pub(super) middle: Vector3<f64>,
    pub(super) axis: Vector3<f64>,
    pub(super) half_length: f64,
    pub(super) radius: f64,
}

impl Convex for Cylinder {
    fn distance_and_slope(&self, point: &Vector3<f64>) -> (f64, Vector3<f64>) {
        let from_middle = point - self.middle;
        let along = from_middle.dot(&self.axis);
        let across = from_middle - self.axis * along;
        let lateral = across.norm();
        let side = if lateral > 0.0 {
            across / lateral
        } else {
            Vector3::zeros()
        };
        let end = if along < 0.0 { -self.axis } else { self.axis };
        let (beyond_side, beyond_end) = (lateral - self.radius, along.abs() - self.half_length);
        if beyond_side > 0.0 && beyond_end > 0.0 {
            let distance = beyond_side.hypot(beyond_end);
            let slope = (side * beyond_side + end * beyond_end) / distance;
            (distance, slope)
        } else if beyond_side > beyond_end {
            (beyond_side, side)
        } else {
            (beyond_end, end)
        }
    }
}

/// A box along the world's axes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct AlignedBox {
    pub(super) centre: Vector3<f64>,
    pub(super) half: Vector3<f64>,
}

impl Convex for AlignedBox {
    fn distance_and_slope(&self, point: &Vector3<f64>) -> (f64, Vector3<f64>) {
        let from_centre = point - self.centre;
        let mut beyond = Vector3::zeros();
        let (mut nearest_face, mut nearest_axis) = (f64::NEG_INFINITY, 0);
        for axis in 0..3 {
            let past = from_centre[axis].abs() - self.half[axis];
            if past > nearest_face {
                (nearest_face, nearest_axis) = (past, axis);
            }
            if past > 0.0 {
                beyond[axis] = past.copysign(from_centre[axis]);
            }
        }
        if nearest_face > 0.0 {
            let distance = beyond.norm();
            return (distance, beyond / distance);
        }
        let mut slope = Vector3::zeros();
        slope[nearest_axis] = 1f64.copysign(from_centre[nearest_axis]);
        (nearest_face, slope)
    }
}

impl Obstacle {
    /// Checks a keep-out.
    ///
    /// A box or a ball of size zero is a plate, a line or a point: distances to it
    /// are meant, so it is taken.
    ///
    /// # Errors
    /// [`ShapeError`] for numbers that are not finite, negative sizes, directions
    /// without length and meshes that bound no volume.
    pub fn new(keep_out: &KeepOut) -> Result<Self, ShapeError> {
        let check = Check(&keep_out.name);
        let shape = match &keep_out.shape {
            KeepOutShape::Sphere { centre, radius } => {
                check.point("centre", centre)?;
                check.size("radius", *radius)?;
                Shape::Sphere(Sphere {
                    centre: *centre,
                    radius: *radius,
                })
            }
            KeepOutShape::Cylinder { from, to, radius } => {
                check.point("end", from)?;
                check.point("end", to)?;
                check.size("radius", *radius)?;
                Shape::Cylinder(Cylinder {
                    middle: 0.5 * (from + to),
                    axis: check.direction("axis from one end to the other", &(to - from))?,
                    half_length: 0.5 * (to - from).norm(),
                    radius: *radius,
                })
            }
            KeepOutShape::Box { centre, size } => {
                check.point("centre", centre)?;
                for value in size.iter() {
                    check.size("size", *value)?;
                }
                Shape::Box(AlignedBox {
                    centre: *centre,
                    half: 0.5 * size,
                })
            }
            KeepOutShape::HalfSpace { normal, at } => {
                check.point("normal", normal)?;
                check.point("point of the plane", at)?;
                let normal = check.direction("normal", normal)?;
                Shape::HalfSpace(HalfSpace {
                    normal,
                    offset: normal.dot(at),
                })
            }
            KeepOutShape::Mesh {
                vertices,
                triangles,
            } => Shape::Mesh(ClosedMesh::new(vertices, triangles).map_err(|reason| {
                ShapeError::Mesh {
                    name: keep_out.name.clone(),
                    reason,
                }
            })?),
        };
        Ok(Self {
            name: keep_out.name.clone(),
            tool_may_touch: keep_out.tool_may_touch,
            shape,
        })
    }

    /// Checks all keep-outs of a brief.
    ///
    /// # Errors
    /// As [`Obstacle::new`], for the first that fails.
    pub fn all(keep_outs: &[KeepOut]) -> Result<Vec<Self>, ShapeError> {
        keep_outs.iter().map(Self::new).collect()
    }

    /// Signed distance of a point of the world, m: exact outside, negative inside,
    /// where it is minus the distance to the surface.
    pub fn signed_distance(&self, point: &Vector3<f64>) -> f64 {
        match &self.shape {
            Shape::Sphere(sphere) => sphere.distance_and_slope(point).0,
            Shape::Cylinder(cylinder) => cylinder.distance_and_slope(point).0,
            Shape::Box(aligned) => aligned.distance_and_slope(point).0,
            Shape::HalfSpace(half_space) => half_space.distance_and_slope(point).0,
            Shape::Mesh(mesh) => mesh.signed_distance(point),
        }
    }

    /// A number that is cheap and not above the signed distance of a point, m.
    pub(super) fn lower_bound(&self, point: &Vector3<f64>) -> f64 {
        match &self.shape {
            // Within its box nothing is known.
            Shape::Mesh(mesh) => {
                let to_box = mesh.nodes[0].distance(point);
                if to_box > 0.0 {
                    to_box
                } else {
                    f64::NEG_INFINITY
                }
            }
            _ => self.signed_distance(point),
        }
    }

    /// Whether turning about an axis (a point and a unit direction) leaves it as it is.
    pub fn is_round_about(&self, point: &Vector3<f64>, axis: &Vector3<f64>) -> bool {
        const PARALLEL: f64 = 1e-12;
        let on_axis = |p: &Vector3<f64>| axis.cross(&(p - point)).norm() < PARALLEL;
        match &self.shape {
            Shape::Sphere(sphere) => on_axis(&sphere.centre),
            Shape::Cylinder(cylinder) => {
                axis.cross(&cylinder.axis).norm() < PARALLEL && on_axis(&cylinder.middle)
            }
            Shape::HalfSpace(plane) => axis.cross(&plane.normal).norm() < PARALLEL,
            Shape::Box(_) | Shape::Mesh(_) => false,
        }
    }

    /// Ball that holds it: centre and radius, m; `None` for a half-space.
    pub fn bounding_ball(&self) -> Option<(Vector3<f64>, f64)> {
        match &self.shape {
            Shape::Sphere(sphere) => Some((sphere.centre, sphere.radius)),
            Shape::Cylinder(c) => Some((c.middle, c.radius.hypot(c.half_length))),
            Shape::Box(aligned) => Some((aligned.centre, aligned.half.norm())),
            Shape::HalfSpace(_) => None,
            Shape::Mesh(mesh) => Some(mesh.bounding_ball()),
        }
    }
}

/// Checks of one keep-out's numbers.
struct Check<'a>(&'a str);

impl Check<'_> {
    fn point(&self, what: &'static str, point: &Vector3<f64>) -> Result<(), ShapeError> {
        if point.iter().all(|c| c.is_finite()) {
            Ok(())
        } else {
            Err(ShapeError::NotFinite {
                name: self.0.to_string(),
                what,
            })
        }
    }

    fn size(&self, what: &'static str, value: f64) -> Result<(), ShapeError> {
        if !value.is_finite() {
            Err(ShapeError::NotFinite {
                name: self.0.to_string(),
                what,
            })
        } else if value < 0.0 {
            Err(ShapeError::Negative {
                name: self.0.to_string(),
                what,
                value,
            })
        } else {
            Ok(())
        }
    }

    fn direction(
        &self,
        what: &'static str,
        vector: &Vector3<f64>,
    ) -> Result<Vector3<f64>, ShapeError> {
        unit(vector).ok_or_else(|| ShapeError::NoDirection {
            name: self.0.to_string(),
            what,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn obstacle(shape: KeepOutShape) -> Result<Obstacle, ShapeError> {
        Obstacle::new(&KeepOut {
            name: "block".to_string(),
            shape,
            tool_may_touch: false,
        })
    }

    #[test]
    fn cylinder_by_hand_in_all_its_zones() {
        let cylinder = obstacle(KeepOutShape::Cylinder {
            from: Vector3::new(0.0, 0.0, -1.0),
            to: Vector3::new(0.0, 0.0, 1.0),
            radius: 0.5,
        })
        .unwrap();
        for (point, distance) in [
            ([2.0, 0.0, 0.3], 1.5),
            ([0.1, 0.0, 3.0], 2.0),
            ([3.5, 0.0, 5.0], 5.0),
            ([0.0, 0.0, 0.0], -0.5),
            ([0.0, 0.1, 0.9], -0.1),
        ] {
            let got = cylinder.signed_distance(&Vector3::from(point));
            assert!((got - distance).abs() < 1e-15, "{point:?}: {got}");
        }
    }

    #[test]
    fn numbers_that_are_none_are_refused_by_name() {
        let nan = obstacle(KeepOutShape::Box {
            centre: Vector3::zeros(),
            size: Vector3::new(0.1, f64::NAN, 0.1),
        });
        assert!(matches!(
            nan,
            Err(ShapeError::NotFinite { what: "size", .. })
        ));
        let flat = obstacle(KeepOutShape::Cylinder {
            from: Vector3::zeros(),
            to: Vector3::zeros(),
            radius: 0.1,
        });
        assert!(matches!(flat, Err(ShapeError::NoDirection { .. })));
        let negative = obstacle(KeepOutShape::Sphere {
            centre: Vector3::zeros(),
            radius: -0.1,
        });
        assert!(matches!(negative, Err(ShapeError::Negative { .. })));
    }
}
