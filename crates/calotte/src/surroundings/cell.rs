//! A piece of a solid as a few cells whose extreme points along any direction are known.
//!
//! With r the distance from the remote centre and t the distance from the core,
//! each point of a straight piece is
//! √(r² − t²)·(cos ψ·u + sin ψ·v) + t·n in the band along an arc (n the normal of its
//! plane), or t·(cos ψ·u + sin ψ·v) + √(r² − t²)·n in the round about a direction n.
//! A round piece is its core's line, widened by the half width afterwards.
//! Derived in `docs/theory/surroundings.md`.

use std::f64::consts::{FRAC_PI_2, PI};

use nalgebra::{Matrix3, Vector3};

use crate::built::{Core, Piece, Profile};
use crate::sphere::direction::any_perpendicular;
use crate::sphere::unit;

/// Which of the two parametrisations a cell has.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Kind {
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
    fn new(
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
    fn ball(radius: f64) -> Self {
        let axes = [Vector3::x(), Vector3::y(), Vector3::z()];
        let mut cell = Self::new(Kind::Round, axes, 0.0, [0.0; 2], [0.0; 2]);
        cell.inflate = radius;
        cell
    }

    fn turned(&self, rotation: &Matrix3<f64>) -> Self {
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
        let whole = along_u.hypot(along_v);
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
            let size = a.hypot(b);
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
        let aside = |t: f64| (t - offset).hypot(depth(inner, t) - depth(inner, offset));
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
        let offset = (high - low).hypot(depth(inner, near) - depth(inner, far));
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

/// Section of a piece in the half-plane through its core: offset and depth.
#[derive(Debug, Clone, Copy, PartialEq)]
struct SectionShape {
    half_width: f64,
    inner: f64,
    outer: f64,
    /// Ball about the remote centre that a very wide piece fills, m.
    ball: f64,
    profile: Profile,
}

impl SectionShape {
    /// Distance of a point at `offset` ≥ 0 from the core's line and `depth` along it, m.
    fn distance(&self, offset: f64, depth: f64) -> f64 {
        let (w, a, b) = (self.half_width, self.inner, self.outer);
        let r = offset.hypot(depth);
        let to_ball = if self.ball > 0.0 {
            (r - self.ball).max(0.0)
        } else {
            f64::INFINITY
        };
        if self.profile == Profile::Round {
            return to_ball.min(offset.hypot(depth - 0.5 * (a + b)) - w);
        }
        if b <= a {
            return to_ball;
        }
        let (inner_rim, outer_rim) = ((a * a - w * w).max(0.0).sqrt(), (b * b - w * w).sqrt());
        if depth > 0.0 && offset <= w && a <= r && r <= b {
            return 0.0;
        }
        let ahead = depth > 0.0;
        let to_inner = if ahead && offset * a <= w * r {
            (r - a).abs()
        } else {
            (offset - w).hypot(depth - inner_rim)
        };
        let to_outer = if ahead && offset * b <= w * r {
            (r - b).abs()
        } else {
            (offset - w).hypot(depth - outer_rim)
        };
        let to_side = (offset - w).hypot(depth - depth.clamp(inner_rim, outer_rim));
        to_inner.min(to_outer).min(to_side).min(to_ball)
    }
}

/// What a piece lies about, with the frame of its arc.
#[derive(Debug, Clone, Copy, PartialEq)]
enum CoreShape {
    Direction(Vector3<f64>),
    Arc {
        ends: [Vector3<f64>; 2],
        middle: Vector3<f64>,
        across: Vector3<f64>,
        normal: Vector3<f64>,
        cos_half: f64,
    },
}

impl CoreShape {
    /// What lies within `offset` of the core, between its ends, at these radii.
    fn cell(&self, offset: f64, radius: [f64; 2]) -> Cell {
        match self {
            CoreShape::Direction(n) => {
                let u = any_perpendicular(n);
                let axes = [u, n.cross(&u), *n];
                Cell::new(Kind::Round, axes, PI, [0.0, offset], radius)
            }
            CoreShape::Arc {
                middle,
                across,
                normal,
                cos_half,
                ..
            } => {
                let axes = [*middle, *across, *normal];
                let half = cos_half.clamp(-1.0, 1.0).acos();
                Cell::new(Kind::Band, axes, half, [-offset, offset], radius)
            }
        }
    }
}

/// Most cells of one piece: band, two rounds and a ball.
pub(super) const CELLS_MAX: usize = 4;

/// A piece prepared for distances, in some frame about the remote centre.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PieceShape {
    core: CoreShape,
    section: SectionShape,
    cells: [Cell; CELLS_MAX],
    count: usize,
    /// Points about which the piece holds balls of one radius, and that radius, m.
    pub(super) heart: (Cell, f64),
    /// Ball about the piece: centre from the remote centre, and radius, m.
    pub(super) ball: (Vector3<f64>, f64),
    /// Greatest distance of any of its points from the remote centre, m.
    pub(super) reach: f64,
}

impl PieceShape {
    /// Prepares a piece; voids and holes are taken as filled. A piece wider than
    /// its inner radius allows, w > inner, is taken as solid to the remote centre.
    pub fn new(piece: &Piece) -> Self {
        let w = piece.half_width;
        let filled = w > piece.inner && piece.profile == Profile::Straight;
        let ball = if filled { w.min(piece.outer) } else { 0.0 };
        let section = SectionShape {
            half_width: w,
            inner: if filled {
                w.min(piece.outer)
            } else {
                piece.inner
            },
            outer: piece.outer,
            ball,
            profile: piece.profile,
        };
        let core = core_shape(&piece.core);
        let mut shape = Self {
            core,
            section,
            cells: [Cell::ball(ball); CELLS_MAX],
            count: 0,
            heart: (Cell::ball(0.0), ball),
            ball: (Vector3::zeros(), 0.0),
            reach: piece.outer.max(ball),
        };
        if filled {
            shape.count = 1;
        }
        if section.outer > section.inner {
            shape.add_cells();
        }
        shape.ball = shape.bounding_ball();
        shape
    }

    fn add_cells(&mut self) {
        let section = &self.section;
        let depth = (0.5 * (section.outer - section.inner)).min(section.half_width);
        // The distance from the core and the radius change by no more than a point moves.
        let mut radius = [section.inner + depth, section.outer - depth];
        radius[1] = radius[1].max(radius[0]);
        let heart = self.core.cell(section.half_width - depth, radius);
        self.heart = (heart, depth);
        let (offset, radius, inflate) = match self.section.profile {
            Profile::Straight => (
                self.section.half_width,
                [self.section.inner, self.section.outer],
                0.0,
            ),
            Profile::Round => {
                let middle = 0.5 * (self.section.inner + self.section.outer);
                (0.0, [middle; 2], self.section.half_width)
            }
        };
        let whole = self.core.cell(offset, radius);
        let mut push = |mut cell: Cell| {
            cell.inflate = inflate;
            self.cells[self.count] = cell;
            self.count += 1;
        };
        push(whole);
        // A round piece's line ends where the band ends.
        if let CoreShape::Arc { ends, normal, .. } = &self.core
            && offset > 0.0
        {
            for (end, side) in [(ends[0], -1.0), (ends[1], 1.0)] {
                let outward = normal.cross(&end) * side;
                let axes = [outward, end.cross(&outward), end];
                push(Cell::new(
                    Kind::Round,
                    axes,
                    FRAC_PI_2,
                    [0.0, offset],
                    radius,
                ));
            }
        }
    }

    fn bounding_ball(&self) -> (Vector3<f64>, f64) {
        let section = &self.section;
        let (direction, cos_half) = match &self.core {
            CoreShape::Direction(u) => (*u, 1.0),
            CoreShape::Arc {
                middle, cos_half, ..
            } => (*middle, cos_half.max(0.0)),
        };
        if section.ball > 0.0 {
            return (Vector3::zeros(), self.reach);
        }
        // The ball on the chord of the core at its middle radius holds the core; every
        // point lies within half the height and the chord of its spread from there.
        let mean = 0.5 * (section.inner + section.outer);
        let centre = direction * (mean * cos_half);
        let half_height = 0.5 * (section.outer - section.inner);
        let core_radius = mean * (1.0 - cos_half * cos_half).max(0.0).sqrt();
        // At radius r a point is at most the chord of its spread from the core's point at r.
        let slack = match section.profile {
            Profile::Round => section.half_width,
            Profile::Straight => {
                let spread = (section.half_width / section.inner).min(1.0).asin();
                half_height + 2.0 * section.outer * (0.5 * spread).sin()
            }
        };
        (centre, core_radius + slack)
    }

    /// The piece seen in another frame about the remote centre.
    pub fn turned(&self, rotation: &Matrix3<f64>) -> Self {
        let mut shape = *self;
        for cell in &mut shape.cells[..self.count] {
            *cell = cell.turned(rotation);
        }
        shape.heart.0 = self.heart.0.turned(rotation);
        shape.core = match self.core {
            CoreShape::Direction(u) => CoreShape::Direction(rotation * u),
            CoreShape::Arc {
                ends,
                middle,
                across,
                normal,
                cos_half,
            } => CoreShape::Arc {
                ends: [rotation * ends[0], rotation * ends[1]],
                middle: rotation * middle,
                across: rotation * across,
                normal: rotation * normal,
                cos_half,
            },
        };
        shape.ball.0 = rotation * self.ball.0;
        shape
    }

    pub(super) fn cells(&self) -> &[Cell] {
        &self.cells[..self.count]
    }

    /// Distance of a point, given from the remote centre, m: exact, 0 inside a straight
    /// piece, negative inside a round one.
    pub fn distance_to(&self, point: &Vector3<f64>) -> f64 {
        let about = |axis: &Vector3<f64>| {
            let depth = axis.dot(point);
            self.section.distance((point - axis * depth).norm(), depth)
        };
        match &self.core {
            CoreShape::Direction(u) => about(u),
            CoreShape::Arc {
                ends,
                middle,
                across,
                normal,
                cos_half,
            } => {
                let (ahead, aside) = (middle.dot(point), across.dot(point));
                let depth = ahead.hypot(aside);
                if ahead >= depth * cos_half {
                    self.section.distance(normal.dot(point).abs(), depth)
                } else {
                    about(&ends[0]).min(about(&ends[1]))
                }
            }
        }
    }

    /// Least value of `slope`·p over the piece's points p from the remote centre, m
    /// for a unit slope.
    pub fn least_along(&self, slope: &Vector3<f64>) -> f64 {
        self.cells()
            .iter()
            .map(|cell| cell.least_along(slope).0 - cell.inflate * slope.norm())
            .fold(f64::INFINITY, f64::min)
    }

    /// Greatest distance of its points from a line through the remote centre cannot
    /// exceed this, m.
    pub(super) fn lateral_reach(&self, axis: &Vector3<f64>) -> f64 {
        // The core's greatest angle from the line, then the spread at the outer face.
        let lateral = match &self.core {
            CoreShape::Direction(u) => u.cross(axis).norm(),
            CoreShape::Arc {
                ends,
                middle,
                across,
                cos_half,
                ..
            } => {
                let (along, aside) = (middle.dot(axis), across.dot(axis));
                let whole = along.hypot(aside);
                // The arc crosses the plane across the axis where its cosine vanishes.
                let crosses = whole <= 1e-15 || aside.abs() >= whole * cos_half;
                if crosses {
                    1.0
                } else {
                    ends[0]
                        .cross(axis)
                        .norm()
                        .max(ends[1].cross(axis).norm())
                        .max(middle.cross(axis).norm())
                }
            }
        };
        (self.reach * lateral + self.section.half_width).min(self.reach)
    }

    /// Least and greatest angle of the core from an axis, rad.
    pub(super) fn core_polar_range(&self, axis: &Vector3<f64>) -> [f64; 2] {
        let polar = |u: &Vector3<f64>| crate::sphere::arc_between(u, axis);
        match &self.core {
            CoreShape::Direction(u) => [polar(u), polar(u)],
            CoreShape::Arc {
                ends,
                middle,
                across,
                normal,
                cos_half,
            } => {
                let at_ends = [polar(&ends[0]), polar(&ends[1])];
                let mut range = [at_ends[0].min(at_ends[1]), at_ends[0].max(at_ends[1])];
                let (along, aside) = (middle.dot(axis), across.dot(axis));
                let whole = along.hypot(aside);
                let tilt = polar(normal).min(PI - polar(normal));
                if along >= whole * cos_half {
                    range[0] = FRAC_PI_2 - tilt;
                }
                if -along >= whole * cos_half {
                    range[1] = FRAC_PI_2 + tilt;
                }
                range
            }
        }
    }

    /// Angle from the core that the piece reaches at a radius, rad; `None` where it
    /// does not reach this radius.
    pub(super) fn spread_at(&self, radius: f64) -> Option<f64> {
        let section = &self.section;
        if radius <= section.ball {
            return Some(PI);
        }
        if radius < section.inner || radius > section.outer {
            return None;
        }
        match section.profile {
            Profile::Straight => Some((section.half_width / radius).min(1.0).asin()),
            Profile::Round => {
                let mean = 0.5 * (section.inner + section.outer);
                let w = section.half_width;
                let cosine = (radius * radius + mean * mean - w * w) / (2.0 * radius * mean);
                Some(cosine.clamp(-1.0, 1.0).acos())
            }
        }
    }

    /// Greatest angle from the core that the piece reaches at any radius, rad.
    pub(super) fn spread_max(&self) -> f64 {
        let section = &self.section;
        match section.profile {
            _ if section.ball > 0.0 => PI,
            Profile::Straight => (section.half_width / section.inner).min(1.0).asin(),
            Profile::Round => {
                let mean = 0.5 * (section.inner + section.outer);
                (section.half_width / mean).min(1.0).asin()
            }
        }
    }

    /// Where its extents are met: radius, angle from the core there, and by how much it is
    /// widened on all sides, m and rad.
    pub(super) fn rims(&self) -> [(f64, f64, f64); 2] {
        let section = &self.section;
        if section.profile == Profile::Round {
            let mean = 0.5 * (section.inner + section.outer);
            return [(mean, 0.0, section.half_width); 2];
        }
        [section.inner, section.outer].map(|r| {
            let spread = (section.half_width / r).min(1.0).asin();
            (r, if section.ball > 0.0 { PI } else { spread }, 0.0)
        })
    }

    /// Radii at which the piece begins and ends, m.
    pub(super) fn radii(&self) -> [f64; 2] {
        if self.section.ball > 0.0 {
            [0.0, self.reach]
        } else {
            [self.section.inner, self.section.outer]
        }
    }

    /// Ends of the core: both of an arc, one direction twice.
    pub(super) fn core_ends(&self) -> [Vector3<f64>; 2] {
        match &self.core {
            CoreShape::Direction(u) => [*u, *u],
            CoreShape::Arc { ends, .. } => *ends,
        }
    }

    /// Normal of the core's arc; `None` for a direction.
    pub(super) fn core_normal(&self) -> Option<Vector3<f64>> {
        match &self.core {
            CoreShape::Direction(_) => None,
            CoreShape::Arc { normal, .. } => Some(*normal),
        }
    }
}

fn core_shape(core: &Core) -> CoreShape {
    let (from, to) = match core {
        Core::Direction(u) => return CoreShape::Direction(*u),
        Core::Arc(from, to) => (*from, *to),
    };
    let Some(normal) = unit(&from.cross(&to)) else {
        return CoreShape::Direction(from);
    };
    // Sum or difference of the ends, whichever is longer, has the better digits.
    let middle = if from.dot(&to) >= 0.0 {
        unit(&(from + to)).unwrap_or(from)
    } else {
        unit(&(to - from)).unwrap_or(from).cross(&normal)
    };
    CoreShape::Arc {
        ends: [from, to],
        middle,
        across: normal.cross(&middle),
        normal,
        cos_half: middle.dot(&from),
    }
}
