//! Spherical triangles and rhombi on the unit sphere.
//!
//! Source: Napier's rules and the cosine rule of spherical trigonometry;
//! checked as S01 to S07 by `calotte verify`.

use thiserror::Error;

use crate::number::shown::degrees;

/// Three sides that close no triangle, or angles outside their range.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum TriangleError {
    /// The sides break the triangle inequality or exceed a full circle.
    #[error("sides of {}, {} and {} close no spherical triangle",
        degrees(.0), degrees(.1), degrees(.2))]
    NoTriangle(f64, f64, f64),
}

/// Sides a, b, c and the opposite angles A, B, C of a spherical triangle, rad.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Triangle {
    /// Sides.
    pub sides: [f64; 3],
    /// Angles opposite to the sides.
    pub angles: [f64; 3],
}

impl Triangle {
    /// The right triangle (C = 90°) with the legs a and b, rad, in (0, π).
    pub fn right(leg_a: f64, leg_b: f64) -> Self {
        let (sin_a, cos_a) = leg_a.sin_cos();
        let (sin_b, cos_b) = leg_b.sin_cos();
        let sin_c = sin_a.hypot(cos_a * sin_b);
        Self {
            sides: [leg_a, leg_b, sin_c.atan2(cos_a * cos_b)],
            angles: [
                sin_a.atan2(cos_a * sin_b),
                sin_b.atan2(cos_b * sin_a),
                std::f64::consts::FRAC_PI_2,
            ],
        }
    }

    /// The triangle with three given sides, rad, each in (0, π).
    ///
    /// # Errors
    /// [`TriangleError::NoTriangle`] if the sides close none.
    ///
    /// # Theory
    /// Half-angle formulas, which keep their digits for small triangles:
    /// tan²(A/2) = sin(s−b) sin(s−c) / (sin s sin(s−a)).
    pub fn from_sides(a: f64, b: f64, c: f64) -> Result<Self, TriangleError> {
        let s = 0.5 * (a + b + c);
        let (sin_s, sin_sa, sin_sb, sin_sc) =
            (s.sin(), (s - a).sin(), (s - b).sin(), (s - c).sin());
        let valid = [a, b, c]
            .iter()
            .all(|side| *side > 0.0 && *side < std::f64::consts::PI)
            && sin_s > 0.0
            && sin_sa > 0.0
            && sin_sb > 0.0
            && sin_sc > 0.0
            && s < std::f64::consts::PI;
        if !valid {
            return Err(TriangleError::NoTriangle(a, b, c));
        }
        let angle = |first: f64, second: f64, opposite: f64| {
            2.0 * (first * second).sqrt().atan2((sin_s * opposite).sqrt())
        };
        Ok(Self {
            sides: [a, b, c],
            angles: [
                angle(sin_sb, sin_sc, sin_sa),
                angle(sin_sa, sin_sc, sin_sb),
                angle(sin_sa, sin_sb, sin_sc),
            ],
        })
    }

    /// Spherical excess A + B + C − π, which is the area, sr.
    pub fn excess(&self) -> f64 {
        self.angles.iter().sum::<f64>() - std::f64::consts::PI
    }
}

/// Spherical excess from the sides alone (L'Huilier), sr.
pub fn excess_from_sides(a: f64, b: f64, c: f64) -> f64 {
    let s = 0.5 * (a + b + c);
    let product =
        (0.5 * s).tan() * (0.5 * (s - a)).tan() * (0.5 * (s - b)).tan() * (0.5 * (s - c)).tan();
    4.0 * product.max(0.0).sqrt().atan()
}

/// A spherical rhombus: four equal sides and the interior angle at one pair of vertices.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rhombus {
    /// Diagonal between the vertices where `angle` is measured, rad.
    pub diagonal: f64,
    /// The other diagonal, rad.
    pub width: f64,
    /// Interior angle at the other pair of vertices, rad.
    pub side_angle: f64,
}

impl Rhombus {
    /// The rhombus of this side and vertex angle, both rad in (0, π); the side
    /// below π/2.
    ///
    /// # Theory
    /// tan(d/2) = tan α cos(ω/2), sin(w/2) = sin α sin(ω/2),
    /// cos α = cot(ω/2) cot(χ/2) (Napier's rules on one quarter).
    pub fn new(side: f64, vertex_angle: f64) -> Self {
        let (sin_half, cos_half) = (0.5 * vertex_angle).sin_cos();
        let (sin_side, cos_side) = side.sin_cos();
        Self {
            diagonal: 2.0 * (sin_side * cos_half).atan2(cos_side),
            width: 2.0 * (sin_side * sin_half).asin(),
            side_angle: 2.0 * cos_half.atan2(sin_half * cos_side),
        }
    }

    /// Change of the diagonal with the vertex angle at constant side, rad/rad.
    pub fn diagonal_rate(side: f64, vertex_angle: f64) -> f64 {
        let (sin_half, cos_half) = (0.5 * vertex_angle).sin_cos();
        let tangent = side.tan();
        -tangent * sin_half / (1.0 + (tangent * cos_half).powi(2))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn octant_has_three_right_angles() {
        let side = std::f64::consts::FRAC_PI_2;
        let triangle = Triangle::from_sides(side, side, side).unwrap();
        for angle in triangle.angles {
            assert!((angle - side).abs() < 1e-15);
        }
        assert!((triangle.excess() - side).abs() < 1e-15);
        assert!((excess_from_sides(side, side, side) - side).abs() < 1e-14);
    }

    #[test]
    fn broken_triangle_is_refused() {
        assert!(Triangle::from_sides(1.0, 0.2, 0.3).is_err());
        assert!(Triangle::from_sides(f64::NAN, 0.2, 0.3).is_err());
    }

    #[test]
    fn rhombus_rate_is_the_slope_of_its_diagonal() {
        let (side, angle, step) = (0.4, 1.1, 1e-6);
        let slope = (Rhombus::new(side, angle + step).diagonal
            - Rhombus::new(side, angle - step).diagonal)
            / (2.0 * step);
        assert!((slope - Rhombus::diagonal_rate(side, angle)).abs() < 1e-9);
    }
}
