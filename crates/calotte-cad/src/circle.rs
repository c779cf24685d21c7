//! Small circles on the unit sphere whose size changes with the distance from the centre.
//!
//! On the sphere of radius r about the remote centre the outline of every piece is
//! made of small circles: rims about a direction and sides parallel to an arc's plane.

use std::f64::consts::{PI, TAU};

use calotte::built::Profile;
use nalgebra::Vector3;

/// Squared distance from tangency below which two circles touch in one point.
const TOUCHING: f64 = 1e-14;

/// How far a piece reaches beyond its core, as an angle that depends on the radius.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Widening {
    pub profile: Profile,
    /// m.
    pub half_width: f64,
    /// Middle radius of a round profile, m; without meaning for a straight one.
    pub middle: f64,
}

/// An angle α between 0 and π/2.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Angle {
    pub sine: f64,
    pub cosine: f64,
    /// 2 sin(α/2): the distance of two unit vectors at this angle.
    pub chord: f64,
}

impl Widening {
    /// Straight: asin(w/r). Round: the angle at the centre of the triangle with sides
    /// r, ρ and w, by the half-angle formula sin²(α/2) = (w² − (r−ρ)²)/4rρ.
    pub fn at(&self, radius: f64) -> Angle {
        match self.profile {
            Profile::Straight => {
                let sine = (self.half_width / radius).min(1.0);
                let cosine = ((1.0 - sine) * (1.0 + sine)).sqrt();
                Angle {
                    sine,
                    cosine,
                    chord: sine / (0.5 * (1.0 + cosine)).sqrt(),
                }
            }
            Profile::Round => {
                let beyond = radius - self.middle;
                let product = (self.half_width - beyond) * (self.half_width + beyond);
                let mut half = product / (4.0 * radius * self.middle);
                // At its faces a round profile has no width; rounding must not give it one.
                if half < 1e-14 {
                    half = 0.0;
                }
                Angle {
                    sine: 2.0 * (half * (1.0 - half)).sqrt(),
                    cosine: 1.0 - 2.0 * half,
                    chord: 2.0 * half.sqrt(),
                }
            }
        }
    }

    fn same_as(&self, other: &Widening) -> bool {
        let near = |a: f64, b: f64| (a - b).abs() <= 1e-10 * a.abs().max(b.abs());
        self.profile == other.profile
            && near(self.half_width, other.half_width)
            && (self.profile == Profile::Straight || near(self.middle, other.middle))
    }
}

/// Where a circle lies relative to its axis.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Kind {
    /// At the widening's angle from the axis.
    Rim,
    /// In the plane at ± the widening's sine along the axis.
    Side(f64),
}

/// A small circle, counter-clockwise about its axis.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Circle {
    pub axis: Vector3<f64>,
    /// Where its parameter is 0; with `quarter` and `axis` a right-handed frame.
    pub zero: Vector3<f64>,
    pub quarter: Vector3<f64>,
    pub widening: Widening,
    pub kind: Kind,
    /// Number of chords of the whole circle.
    pub steps: usize,
}

impl Circle {
    pub fn new(axis: Vector3<f64>, zero: Vector3<f64>, widening: Widening, kind: Kind) -> Self {
        let zero = (zero - axis * axis.dot(&zero)).normalize();
        Self {
            axis,
            zero,
            quarter: axis.cross(&zero),
            widening,
            kind,
            steps: 0,
        }
    }

    /// Distance of its plane from the centre of the unit sphere, along the axis, and
    /// its radius.
    fn height_and_radius(&self, radius: f64) -> (f64, f64) {
        let angle = self.widening.at(radius);
        match self.kind {
            Kind::Rim => (angle.cosine, angle.sine),
            Kind::Side(sign) => (sign * angle.sine, angle.cosine),
        }
    }

    /// Direction at a parameter, on the sphere of a radius.
    pub fn point(&self, parameter: f64, radius: f64) -> Vector3<f64> {
        let (height, size) = self.height_and_radius(radius);
        let (sine, cosine) = parameter.sin_cos();
        self.axis * height + (self.zero * cosine + self.quarter * sine) * size
    }

    /// Parameter of a direction, in [0, 2π).
    pub fn parameter(&self, direction: &Vector3<f64>) -> f64 {
        wrapped(
            direction
                .dot(&self.quarter)
                .atan2(direction.dot(&self.zero)),
        )
    }

    /// Whether both are the same circle at every radius: `Some(true)` if they turn
    /// in opposite senses.
    pub fn same_as(&self, other: &Circle) -> Option<bool> {
        if !self.widening.same_as(&other.widening) {
            return None;
        }
        let along = (self.axis - other.axis).norm() < 1e-9;
        let against = (self.axis + other.axis).norm() < 1e-9;
        match (self.kind, other.kind) {
            (Kind::Rim, Kind::Rim) => along.then_some(false),
            (Kind::Side(a), Kind::Side(b)) => {
                if along && a == b {
                    Some(false)
                } else {
                    (against && a == -b).then_some(true)
                }
            }
            _ => None,
        }
    }
}

/// The crossings of two circles.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Crossings {
    None,
    /// They touch.
    One,
    Two,
}

/// Number of crossings of two circles on the sphere of a radius.
pub(crate) fn crossings(first: &Circle, second: &Circle, radius: f64) -> Crossings {
    match middle_and_square(first, second, radius) {
        None => Crossings::None,
        Some((_, square, _)) if square < -TOUCHING => Crossings::None,
        Some((_, square, _)) if square <= TOUCHING => Crossings::One,
        Some(_) => Crossings::Two,
    }
}

/// A crossing of two circles: the one on the side of first × second (`plus`) or the
/// other. Where the circles part it is the point at which they touched.
pub(crate) fn crossing(first: &Circle, second: &Circle, plus: bool, radius: f64) -> Vector3<f64> {
    let Some((middle, square, normal)) = middle_and_square(first, second, radius) else {
        return first.point(0.0, radius);
    };
    if square <= TOUCHING {
        return middle.normalize();
    }
    let sign = if plus { 1.0 } else { -1.0 };
    middle + normal * (sign * (square / normal.norm_squared()).sqrt())
}

/// Point common to both planes nearest to the centre, 1 − its square, and the direction
/// of the planes' line; `None` for parallel planes.
fn middle_and_square(
    first: &Circle,
    second: &Circle,
    radius: f64,
) -> Option<(Vector3<f64>, f64, Vector3<f64>)> {
    let normal = first.axis.cross(&second.axis);
    let square = normal.norm_squared();
    if square < 1e-16 {
        return None;
    }
    let along = first.axis.dot(&second.axis);
    let (a, b) = (
        first.height_and_radius(radius).0,
        second.height_and_radius(radius).0,
    );
    let middle = first.axis * ((a - along * b) / square) + second.axis * ((b - along * a) / square);
    Some((middle, 1.0 - middle.norm_squared(), normal))
}

/// An angle in [0, 2π); what rounding puts just below 2π becomes 0.
pub(crate) fn wrapped(angle: f64) -> f64 {
    let turned = angle.rem_euclid(TAU);
    if TAU - turned < 1e-11 { 0.0 } else { turned }
}

/// An angle in (−π, π].
pub(crate) fn nearest_turn(angle: f64) -> f64 {
    let turned = angle.rem_euclid(TAU);
    if turned > PI { turned - TAU } else { turned }
}

/// Any unit vector across a unit vector.
pub(crate) fn across(axis: &Vector3<f64>) -> Vector3<f64> {
    let least = axis.iamin();
    let mut helper = Vector3::zeros();
    helper[least] = 1.0;
    axis.cross(&helper).normalize()
}
