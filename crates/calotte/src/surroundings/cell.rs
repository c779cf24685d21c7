//! A piece of a solid as a few cells whose extreme points along any direction are known.
//!
//! With r the distance from the remote centre and t the distance from the core,
//! each point of a straight piece is
//! √(r² − t²)·(cos ψ·u + sin ψ·v) + t·n in the band along an arc (n the normal of its
//! plane), or t·(cos ψ·u + sin ψ·v) + √(r² − t²)·n in the round about a direction n.
//! A round piece is its core's line, widened by the half width afterwards.
//! Derived in `docs/theory/surroundings.md`.

use nalgebra::{Matrix3, Vector3};

/// Which of the two parametrisations a cell has.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Kind {
    /// Along an arc: the angle runs in the arc's plane, the offset is across it.
    Band,
    /// About a direction: the angle runs about it, the offset is away from it.
    Round,
}

/// A part of a piece: ranges of angle, offset from the core and radius.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Cell {
    kind: Kind,
    /// Middle of the range of angles.
    u: Vector3<f64>,
    /// A quarter turn on from it.
    v: Vector3<f64>,
    /// Normal of the arc's plane, or the direction.
    n: Vector3<f64>,
    half_angle: f64,
    cos_half: f64,
    sin_half: f64,
    offset: [f64; 2],
    radius: [f64; 2],
    /// By how much the cell is widened on all sides, m.
    pub(super) inflate: f64,
}

impl Cell {
    /// A cell with its axes: middle of the angles, a quarter turn on, normal or direction.
    pub(super) fn new(
        kind: Kind,
        axes: [Vector3<f64>; 3],
        half_angle: f64,
        offset: [f64; 2],
        radius: [f64; 2],
    ) -> Self {
        let [u, v, n] = axes;
        let (sin_half, cos_half) = half_angle.sin_cos();
        Self {
            kind,
            u,
            v,
            n,
            half_angle,
            cos_half,
            sin_half,
            offset,
            radius,
            inflate: 0.0,
        }
    }

    /// A ball about the remote centre.
    pub(super) fn ball(radius: f64) -> Self {
        let axes = [Vector3::x(), Vector3::y(), Vector3::z()];
        let mut cell = Self::new(Kind::Round, axes, 0.0, [0.0; 2], [0.0; 2]);
        cell.inflate = radius;
        cell
    }

    /// The cell seen in another frame about the remote centre.
    pub(super) fn turned(&self, rotation: &Matrix3<f64>) -> Self {
        Self {
            u: rotation * self.u,
            v: rotation * self.v,
            n: rotation * self.n,
            ..*self
        }
    }

    /// A point well inside, from the remote centre.
    pub(super) fn middle(&self) -> Vector3<f64> {
        let offset = 0.5 * (self.offset[0] + self.offset[1]);
        let radius = 0.5 * (self.radius[0] + self.radius[1]);
        self.at(&self.u, offset, radius)
    }

    fn at(&self, around: &Vector3<f64>, offset: f64, radius: f64) -> Vector3<f64> {
        let depth = (radius * radius - offset * offset).max(0.0).sqrt();
        match self.kind {
            Kind::Band => around * depth + self.n * offset,
            Kind::Round => around * offset + self.n * depth,
        }
    }

    /// Least value of `slope`·p over the points p of the cell, and where.
    ///
    /// # Theory
    /// Over the angle the value is a cosine, whose least value on a range is known;
    /// its factor, √(r² − t²) or t, is not negative, so the angle is settled first.
    /// What is left, A√(r² − t²) + Bt, is for fixed t monotone in r, and for fixed r
    /// concave in t (A > 0) or convex with its least value at t = −rB/√(A² + B²).
    pub(super) fn least_along(&self, slope: &Vector3<f64>) -> (f64, Vector3<f64>) {
        let (along_u, along_v) = (slope.dot(&self.u), slope.dot(&self.v));
        let whole = length(along_u, along_v);
        let (around, by_angle) = if whole > 0.0 && -along_u >= whole * self.cos_half {
            ((self.u * along_u + self.v * along_v) / -whole, -whole)
        } else {
            let sine = self.sin_half.copysign(-along_v);
            (
                self.u * self.cos_half + self.v * sine,
                along_u * self.cos_half + along_v * sine,
            )
        };
        let along_n = slope.dot(&self.n);
        let (a, b) = match self.kind {
            Kind::Band => (by_angle, along_n),
            Kind::Round => (along_n, by_angle),
        };
        let radius = if a > 0.0 {
            self.radius[0]
        } else {
            self.radius[1]
        };
        let value = |t: f64| a * (radius * radius - t * t).max(0.0).sqrt() + b * t;
        let [low, high] = self.offset;
        let offset = if a > 0.0 {
            if value(low) <= value(high) { low } else { high }
        } else {
            let size = length(a, b);
            if size > 0.0 {
                (-radius * b / size).clamp(low, high)
            } else {
                low
            }
        };
        (value(offset), self.at(&around, offset, radius))
    }

    /// Greatest distance between two of its points cannot exceed this, m.
    pub(super) fn size(&self) -> f64 {
        self.sizes().iter().sum()
    }

    /// No point is farther from [`Self::middle`] than this, m.
    ///
    /// From the middle the radius is changed first, then the offset, then the angle. The
    /// depth changes most with the radius at the greatest offset, with the offset at the
    /// inner radius.
    pub(super) fn radius_about_middle(&self) -> f64 {
        let depth = |r: f64, t: f64| (r * r - t * t).max(0.0).sqrt();
        let [inner, outer] = self.radius;
        let [low, high] = self.offset;
        let far = low.abs().max(high.abs());
        let mean = 0.5 * (inner + outer);
        let by_radius = depth(outer, far) - depth(mean, far);
        let by_radius = by_radius.max(depth(mean, far) - depth(inner, far));
        let offset = 0.5 * (low + high);
        let aside = |t: f64| {
            let by_depth = depth(inner, t) - depth(inner, offset);
            length(t - offset, by_depth)
        };
        let by_offset = aside(low).max(aside(high));
        let arm = match self.kind {
            Kind::Band => outer,
            Kind::Round => high,
        };
        by_radius + by_offset + arm * self.half_angle
    }

    /// Extents along angle, offset and radius, m.
    fn sizes(&self) -> [f64; 3] {
        let arm = match self.kind {
            Kind::Band => self.radius[1],
            Kind::Round => self.offset[1],
        };
        let depth = |radius: f64, offset: f64| (radius * radius - offset * offset).max(0.0).sqrt();
        let [low, high] = self.offset;
        let (near, far) = (
            if low * high < 0.0 {
                0.0
            } else {
                low.abs().min(high.abs())
            },
            low.abs().max(high.abs()),
        );
        let [inner, outer] = self.radius;
        // At constant radius the depth changes most at the inner one, at constant
        // offset most at the greatest one.
        let by_depth = depth(inner, near) - depth(inner, far);
        let offset = length(high - low, by_depth);
        [
            2.0 * arm * self.half_angle,
            offset,
            depth(outer, far) - depth(inner, far),
        ]
    }

    /// Two halves across the longest extent.
    pub(super) fn halves(&self) -> [Self; 2] {
        let sizes = self.sizes();
        let (mut first, mut second) = (*self, *self);
        if sizes[0] >= sizes[1] && sizes[0] >= sizes[2] {
            let cos = (0.5 * (1.0 + self.cos_half)).max(0.0).sqrt();
            let sin = (0.5 * (1.0 - self.cos_half)).max(0.0).sqrt();
            for (half, side) in [(&mut first, -1.0), (&mut second, 1.0)] {
                half.half_angle = 0.5 * self.half_angle;
                (half.cos_half, half.sin_half) = (cos, sin);
                half.u = self.u * cos + self.v * (side * sin);
                half.v = self.v * cos - self.u * (side * sin);
            }
        } else if sizes[1] >= sizes[2] {
            let middle = 0.5 * (self.offset[0] + self.offset[1]);
            (first.offset[1], second.offset[0]) = (middle, middle);
        } else {
            let middle = 0.5 * (self.radius[0] + self.radius[1]);
            (first.radius[1], second.radius[0]) = (middle, middle);
        }
        [first, second]
    }
}

/// Length of a plane vector. Sizes of instruments need no care against overflow, which
/// makes the standard's function slow.
pub(super) fn length(x: f64, y: f64) -> f64 {
    (x * x + y * y).sqrt()
}
