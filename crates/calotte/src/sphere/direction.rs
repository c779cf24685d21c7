//! Directions as unit vectors and as polar and azimuth angles.

use std::f64::consts::TAU;

use nalgebra::{Matrix3, Rotation3, Unit, Vector3};

/// A direction by its angles in a stated frame.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Direction {
    /// Angle from the frame's z axis, rad, in [0, π].
    pub polar: f64,
    /// Angle about the frame's z axis from x towards y, rad.
    pub azimuth: f64,
}

impl Direction {
    /// Angles of a vector; azimuth in [0, 2π), 0 on the axis.
    pub fn of(vector: &Vector3<f64>) -> Self {
        let across = vector.x.hypot(vector.y);
        let azimuth = if across == 0.0 {
            0.0
        } else {
            wrap_positive(vector.y.atan2(vector.x))
        };
        Self {
            polar: across.atan2(vector.z),
            azimuth,
        }
    }

    /// Unit vector of the direction.
    pub fn vector(&self) -> Vector3<f64> {
        let (sin_polar, cos_polar) = self.polar.sin_cos();
        let (sin_azimuth, cos_azimuth) = self.azimuth.sin_cos();
        Vector3::new(sin_polar * cos_azimuth, sin_polar * sin_azimuth, cos_polar)
    }

    /// The same direction with a signed polar angle folded into [0, π]: a
    /// negative polar angle lies on the opposite azimuth.
    pub fn from_signed_polar(polar: f64, azimuth: f64) -> Self {
        let polar = wrap_signed(polar);
        if polar < 0.0 {
            Self {
                polar: -polar,
                azimuth: wrap_positive(azimuth + std::f64::consts::PI),
            }
        } else {
            Self {
                polar,
                azimuth: wrap_positive(azimuth),
            }
        }
    }
}

/// The frame (polar, azimuth, radial) at a direction; radial points outward.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LocalFrame {
    /// Towards growing polar angle.
    pub polar: Vector3<f64>,
    /// Towards growing azimuth.
    pub azimuth: Vector3<f64>,
    /// Outward.
    pub radial: Vector3<f64>,
}

impl LocalFrame {
    /// The frame at a direction; on the z axis the azimuth angle still fixes it.
    pub fn at(direction: Direction) -> Self {
        let (sin_polar, cos_polar) = direction.polar.sin_cos();
        let (sin_azimuth, cos_azimuth) = direction.azimuth.sin_cos();
        Self {
            polar: Vector3::new(cos_polar * cos_azimuth, cos_polar * sin_azimuth, -sin_polar),
            azimuth: Vector3::new(-sin_azimuth, cos_azimuth, 0.0),
            radial: direction.vector(),
        }
    }

    /// Rotation whose columns are polar, azimuth and radial: frame from local.
    pub fn rotation(&self) -> Matrix3<f64> {
        Matrix3::from_columns(&[self.polar, self.azimuth, self.radial])
    }
}

/// Angle between two vectors, rad, in [0, π]; accurate at both ends.
pub fn arc_between(first: &Vector3<f64>, second: &Vector3<f64>) -> f64 {
    first.cross(second).norm().atan2(first.dot(second))
}

/// The vector scaled to length one; `None` for a vector that has no direction.
pub fn unit(vector: &Vector3<f64>) -> Option<Vector3<f64>> {
    let norm = vector.norm();
    (norm.is_finite() && norm > 1e-12).then(|| vector / norm)
}

/// Any unit vector across a unit vector, chosen the same way every time.
pub fn any_perpendicular(axis: &Vector3<f64>) -> Vector3<f64> {
    let helper = if axis.x.abs() < 0.6 {
        Vector3::x()
    } else {
        Vector3::y()
    };
    let across = helper - axis * axis.dot(&helper);
    across / across.norm()
}

/// Rotation by an angle about a unit vector.
pub fn rotation_about(axis: &Vector3<f64>, angle: f64) -> Rotation3<f64> {
    Rotation3::from_axis_angle(&Unit::new_unchecked(*axis), angle)
}

/// Angle in [0, 2π).
pub fn wrap_positive(angle: f64) -> f64 {
    let wrapped = angle.rem_euclid(TAU);
    if wrapped >= TAU { 0.0 } else { wrapped }
}

/// Angle in (−π, π].
pub fn wrap_signed(angle: f64) -> f64 {
    let wrapped = wrap_positive(angle);
    if wrapped > std::f64::consts::PI {
        wrapped - TAU
    } else {
        wrapped
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::{FRAC_PI_2, PI};

    #[test]
    fn direction_angles_return_from_their_vector() {
        for (polar, azimuth) in [(0.3, 0.2), (2.9, 6.1), (FRAC_PI_2, 3.0)] {
            let direction = Direction::of(&Direction { polar, azimuth }.vector());
            assert!((direction.polar - polar).abs() < 1e-15);
            assert!((direction.azimuth - azimuth).abs() < 1e-15);
        }
    }

    #[test]
    fn negative_polar_is_the_opposite_azimuth() {
        let direction = Direction::from_signed_polar(-0.4, 0.5);
        assert!((direction.polar - 0.4).abs() < 1e-15);
        assert!((direction.azimuth - (0.5 + PI)).abs() < 1e-15);
    }

    #[test]
    fn small_arc_keeps_its_digits() {
        let first = Vector3::x();
        let second = Vector3::new(1.0, 1e-9, 0.0);
        assert!((arc_between(&first, &second) - 1e-9).abs() < 1e-24);
    }

    #[test]
    fn wrapping_never_returns_a_full_turn() {
        assert_eq!(wrap_positive(-1e-20), 0.0);
        assert_eq!(wrap_signed(-PI), PI);
    }
}
