//! A piece of a solid prepared for distances: its cells, the ball about it, and the exact
//! distance of a point.

use std::f64::consts::{FRAC_PI_2, PI};

use nalgebra::{Matrix3, Vector3};

use crate::built::{Core, Piece, Profile};
use crate::sphere::direction::any_perpendicular;
use crate::sphere::unit;

use super::cell::{Cell, Kind, length};

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
        let r = length(offset, depth);
        let to_ball = if self.ball > 0.0 {
            (r - self.ball).max(0.0)
        } else {
            f64::INFINITY
        };
        if self.profile == Profile::Round {
            return to_ball.min(length(offset, depth - 0.5 * (a + b)) - w);
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
            length(offset - w, depth - inner_rim)
        };
        let to_outer = if ahead && offset * b <= w * r {
            (r - b).abs()
        } else {
            length(offset - w, depth - outer_rim)
        };
        let to_side = length(offset - w, depth - depth.clamp(inner_rim, outer_rim));
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
        if !filled || section.outer > section.inner {
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
                let depth = length(ahead, aside);
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

    /// A number not above the distance from a triangle, m: by a ball about the triangle,
    /// or by the radii between which the piece and the triangle lie about the remote
    /// centre, which tells concentric surfaces apart at once.
    pub(super) fn apart_from(&self, corners: &[Vector3<f64>; 3], centre: &Vector3<f64>) -> f64 {
        let middle = (corners[0] + corners[1] + corners[2]) / 3.0;
        let (mut ball, mut farthest) = (0.0_f64, 0.0_f64);
        for corner in corners {
            ball = ball.max((corner - middle).norm_squared());
            farthest = farthest.max((corner - centre).norm_squared());
        }
        let by_ball = self.distance_to(&(middle - centre)) - ball.sqrt();
        by_ball.max(self.radii()[0] - farthest.sqrt())
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
