//! The angle between directions and great-circle arcs on the unit sphere.
//!
//! Angles are carried as chords c = 2 sin(δ/2) of the unit sphere: no
//! trigonometric function is needed to get them, they keep their digits near
//! zero, and a body that turns by dφ changes no chord by more than dφ.

use nalgebra::{Rotation3, Vector3};

use crate::built::Core;

/// Arcs shorter than this are directions, rad: far below a nanometre at any radius.
const ARC_MIN: f64 = 1e-10;

/// A core ready for measuring, in any one frame.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PreparedCore {
    /// The direction, or where the arc starts.
    from: Vector3<f64>,
    /// Where the arc ends; the direction again.
    to: Vector3<f64>,
    /// Normal of the arc's plane, right-handed from start to end; zero for a direction.
    normal: Vector3<f64>,
    /// Along the arc at its start, pointing into it.
    onward: Vector3<f64>,
    /// Along the arc at its end, pointing into it.
    back: Vector3<f64>,
    is_arc: bool,
}

impl PreparedCore {
    /// Prepares a core. `None` for a vector without direction and for an arc of a
    /// half turn, which has no plane.
    pub fn new(core: &Core) -> Option<Self> {
        let (from, to) = match core {
            Core::Direction(u) => return Some(Self::direction(scaled(u)?)),
            Core::Arc(from, to) => (scaled(from)?, scaled(to)?),
        };
        let across = from.cross(&to);
        let sine = square(&across).sqrt();
        if sine < ARC_MIN {
            return (from.dot(&to) > 0.0).then_some(Self::direction(from));
        }
        let normal = across / sine;
        Some(Self {
            from,
            to,
            normal,
            onward: normal.cross(&from),
            back: to.cross(&normal),
            is_arc: true,
        })
    }

    fn direction(u: Vector3<f64>) -> Self {
        let none = Vector3::zeros();
        Self {
            from: u,
            to: u,
            normal: none,
            onward: none,
            back: none,
            is_arc: false,
        }
    }

    /// Whether it is an arc; otherwise a direction.
    pub fn is_arc(&self) -> bool {
        self.is_arc
    }

    /// Start and end, unit.
    pub fn ends(&self) -> [Vector3<f64>; 2] {
        [self.from, self.to]
    }

    /// The core turned by a body's rotation.
    pub fn turned(&self, rotation: &Rotation3<f64>) -> Self {
        let matrix = rotation.matrix();
        // Written out: this is where most of the time goes.
        let turn = |v: &Vector3<f64>| {
            Vector3::new(
                matrix[(0, 0)] * v.x + matrix[(0, 1)] * v.y + matrix[(0, 2)] * v.z,
                matrix[(1, 0)] * v.x + matrix[(1, 1)] * v.y + matrix[(1, 2)] * v.z,
                matrix[(2, 0)] * v.x + matrix[(2, 1)] * v.y + matrix[(2, 2)] * v.z,
            )
        };
        if !self.is_arc {
            return Self::direction(turn(&self.from));
        }
        Self {
            from: turn(&self.from),
            to: turn(&self.to),
            normal: turn(&self.normal),
            onward: turn(&self.onward),
            back: turn(&self.back),
            is_arc: true,
        }
    }

    /// Whether the foot of the perpendicular from a direction lies within the arc.
    fn spans(&self, u: &Vector3<f64>) -> bool {
        u.dot(&self.onward) >= 0.0 && u.dot(&self.back) >= 0.0
    }
}

/// Chord between the nearest directions of two cores in one frame, in [0, 2].
pub fn chord(first: &PreparedCore, second: &PreparedCore) -> f64 {
    chord_squared(first, second).sqrt()
}

fn chord_squared(first: &PreparedCore, second: &PreparedCore) -> f64 {
    match (first.is_arc, second.is_arc) {
        (false, false) => square(&(first.from - second.from)),
        (false, true) => to_arc(&first.from, second),
        (true, false) => to_arc(&second.from, first),
        (true, true) => {
            if cross(first, second).is_some() {
                return 0.0;
            }
            // Arcs that do not cross are nearest at an end of one of them.
            to_arc(&first.from, second)
                .min(to_arc(&first.to, second))
                .min(to_arc(&second.from, first))
                .min(to_arc(&second.to, first))
        }
    }
}

/// Squared length, written out: the library's own goes through a loop.
#[inline]
fn square(v: &Vector3<f64>) -> f64 {
    v.x * v.x + v.y * v.y + v.z * v.z
}

/// The vector scaled to length one; `None` for a vector that has no direction.
#[inline]
fn scaled(v: &Vector3<f64>) -> Option<Vector3<f64>> {
    let length = square(v).sqrt();
    (length.is_finite() && length > 1e-12).then(|| v / length)
}

/// Squared chord from a direction to an arc.
#[inline]
fn to_arc(u: &Vector3<f64>, arc: &PreparedCore) -> f64 {
    if arc.spans(u) {
        let sine = u.dot(&arc.normal);
        let square = sine * sine;
        // c² = 2(1 − cos δ), written without the difference.
        2.0 * square / (1.0 + (1.0 - square).max(0.0).sqrt())
    } else {
        square(&(u - arc.from)).min(square(&(u - arc.to)))
    }
}

/// The direction in which two arcs cross, not scaled to length one.
#[inline]
fn cross(first: &PreparedCore, second: &PreparedCore) -> Option<Vector3<f64>> {
    let from = second.from.dot(&first.normal);
    let to = second.to.dot(&first.normal);
    if from * to > 0.0 {
        return None;
    }
    let other_from = first.from.dot(&second.normal);
    let other_to = first.to.dot(&second.normal);
    if other_from * other_to > 0.0 {
        return None;
    }
    // Where each arc pierces the other's plane; both in one direction, not opposite.
    let pierced = second.from * to.abs() + second.to * from.abs();
    let piercing = first.from * other_to.abs() + first.to * other_from.abs();
    (pierced.dot(&piercing) > 0.0).then_some(pierced)
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::{FRAC_PI_2, PI};

    fn at(polar: f64, azimuth: f64) -> Vector3<f64> {
        let (s, c) = polar.sin_cos();
        Vector3::new(s * azimuth.cos(), s * azimuth.sin(), c)
    }

    fn angle(first: Core, second: Core) -> f64 {
        let first = PreparedCore::new(&first).unwrap();
        let second = PreparedCore::new(&second).unwrap();
        2.0 * (0.5 * chord(&first, &second)).min(1.0).asin()
    }

    #[test]
    fn hand_cases() {
        let equator = Core::Arc(at(FRAC_PI_2, 0.0), at(FRAC_PI_2, 1.0));
        // Above the arc, beside its end, opposite.
        let above = Core::Direction(at(FRAC_PI_2 - 0.3, 0.5));
        assert!((angle(above, equator) - 0.3).abs() < 1e-15);
        let beside = Core::Direction(at(FRAC_PI_2, 1.25));
        assert!((angle(equator, beside) - 0.25).abs() < 1e-15);
        let pole = Core::Direction(Vector3::z());
        assert!((angle(pole, equator) - FRAC_PI_2).abs() < 1e-15);
        // Crossing, and the same arc on the far side, which does not cross.
        let meridian = Core::Arc(at(1.3, 0.4), at(1.9, 0.4));
        assert_eq!(angle(meridian, equator), 0.0);
        let far = Core::Arc(at(1.3, 0.4 + PI), at(1.9, 0.4 + PI));
        assert!(angle(far, equator) > 2.0);
        // Coincident and antipodal directions.
        assert_eq!(angle(pole, pole), 0.0);
        assert!((angle(pole, Core::Direction(-Vector3::z())) - PI).abs() < 1e-7);
    }

    #[test]
    fn collinear_arcs_overlap_or_keep_their_gap() {
        let arc = |a: f64, b: f64| Core::Arc(at(FRAC_PI_2, a), at(FRAC_PI_2, b));
        assert!(angle(arc(0.0, 1.0), arc(0.5, 1.5)) < 1e-15);
        assert!((angle(arc(0.0, 1.0), arc(1.2, 1.5)) - 0.2).abs() < 1e-14);
    }

    #[test]
    fn long_and_empty_arcs() {
        let nearly_half = Core::Arc(at(FRAC_PI_2, 0.0), at(FRAC_PI_2, PI - 1e-6));
        let above = Core::Direction(at(FRAC_PI_2 - 0.2, 3.0));
        assert!((angle(above, nearly_half) - 0.2).abs() < 1e-9);
        let empty = Core::Arc(at(0.4, 0.2), at(0.4, 0.2));
        assert!((angle(empty, Core::Direction(at(0.7, 0.2))) - 0.3).abs() < 1e-15);
        let half_turn = Core::Arc(Vector3::z(), -Vector3::z());
        assert_eq!(PreparedCore::new(&half_turn), None);
        let nothing = Core::Direction(Vector3::new(f64::NAN, 0.0, 0.0));
        assert_eq!(PreparedCore::new(&nothing), None);
        assert_eq!(PreparedCore::new(&Core::Direction(Vector3::zeros())), None);
    }

    #[test]
    fn small_angles_keep_their_digits() {
        let small = angle(
            Core::Direction(Vector3::z()),
            Core::Direction(at(1e-9, 0.0)),
        );
        assert!((small - 1e-9).abs() < 1e-22);
    }

    /// Against a search over both arcs by brute force.
    #[test]
    fn the_chord_is_the_least_of_many() {
        let mut state = 1u64;
        let mut random = move || {
            state = state
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1_442_695_040_888_963_407);
            (state >> 11) as f64 / (1u64 << 53) as f64
        };
        for _ in 0..200 {
            let mut direction = || at(PI * random(), 2.0 * PI * random());
            let cores = [
                Core::Arc(direction(), direction()),
                Core::Arc(direction(), direction()),
            ];
            let [first, second] = cores.map(|core| PreparedCore::new(&core).unwrap());
            let along = |core: &PreparedCore, i: usize| {
                let [from, to] = core.ends();
                let angle = crate::sphere::arc_between(&from, &to) * i as f64 / 300.0;
                from * angle.cos() + core.onward * angle.sin()
            };
            let mut least = f64::INFINITY;
            for i in 0..=300 {
                for j in 0..=300 {
                    least = least.min((along(&first, i) - along(&second, j)).norm());
                }
            }
            let exact = chord(&first, &second);
            assert!(exact <= least + 1e-12 && exact > least - 0.02);
        }
    }
}
