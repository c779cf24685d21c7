//! What turns with an angle: vectors constant + cosine·cos φ + sine·sin φ, and where a
//! measure of them is greatest over arcs of φ.
//!
//! - A component is a first harmonic: greatest at atan2(sine, cosine), in closed form.
//! - A sum of squares holds a second harmonic: its stationary points are the roots of a
//!   quartic in tan(φ/2), all of them found ([`greatest_square`]).
//! - Any other measure that is a norm (sums and maxima of norms) is bracketed
//!   ([`greatest_convex`]): between φ − h and φ + h the vector stays in the triangle of its
//!   ends and the point where their tangents meet, so the measure is at most the greatest of
//!   the three.

use std::f64::consts::PI;

use nalgebra::SVector;

use super::roots::roots_within;

/// A vector that turns with an angle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Turning<const N: usize> {
    /// What does not turn.
    pub constant: SVector<f64, N>,
    /// Factor of cos φ.
    pub cosine: SVector<f64, N>,
    /// Factor of sin φ.
    pub sine: SVector<f64, N>,
}

impl<const N: usize> Turning<N> {
    /// The vector at an angle, rad.
    pub fn at(&self, angle: f64) -> SVector<f64, N> {
        let (sin, cos) = angle.sin_cos();
        self.constant + self.cosine * cos + self.sine * sin
    }

    /// What a measure that is a norm never exceeds: N(a) + √(N(b)² + N(c)²).
    pub fn bound(&self, measure: impl Fn(&SVector<f64, N>) -> f64) -> f64 {
        measure(&self.constant) + measure(&self.cosine).hypot(measure(&self.sine))
    }

    /// Whether nothing of a measure turns but what rounding leaves.
    fn is_still(&self, measure: impl Fn(&SVector<f64, N>) -> f64) -> bool {
        measure(&self.cosine).hypot(measure(&self.sine)) <= STILL * measure(&self.constant)
    }

    /// A linear map of the vector.
    pub fn map<const M: usize>(
        &self,
        linear: impl Fn(&SVector<f64, N>) -> SVector<f64, M>,
    ) -> Turning<M> {
        Turning {
            constant: linear(&self.constant),
            cosine: linear(&self.cosine),
            sine: linear(&self.sine),
        }
    }
}

/// The greatest value met, and its angle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Greatest {
    /// The value; starts below every measure.
    pub value: f64,
    /// The angle, rad; `None` before the first.
    pub angle: Option<f64>,
}

impl Greatest {
    /// Nothing met yet.
    pub const NOTHING: Self = Self {
        value: f64::NEG_INFINITY,
        angle: None,
    };

    /// Nothing met yet, of what is not above a value.
    pub const fn above(value: f64) -> Self {
        Self { value, angle: None }
    }

    /// Takes a value in if it is greater.
    pub fn take(&mut self, value: f64, angle: f64) {
        if value > self.value {
            *self = Self {
                value,
                angle: Some(angle),
            };
        }
    }
}

/// Share of what does not turn below which the rest is rounding.
const STILL: f64 = 1e-13;

/// Takes in the start of the arcs for what is the same all around.
fn still(arcs: &[[f64; 2]], value: f64, greatest: &mut Greatest) {
    if let Some([from, _]) = arcs.first() {
        greatest.take(value, *from);
    }
}

/// Whether an angle lies in one of the arcs (rad, from ≤ to), whole turns aside.
fn within(arcs: &[[f64; 2]], angle: f64) -> bool {
    arcs.iter().any(|[from, to]| {
        let ahead = (angle - from).rem_euclid(2.0 * PI);
        ahead <= to - from
    })
}

/// The greatest size of a component that turns, over arcs.
pub fn greatest_linear(turning: &Turning<1>, arcs: &[[f64; 2]], greatest: &mut Greatest) {
    if turning.bound(|vector| vector[0].abs()) <= greatest.value {
        return;
    }
    if turning.is_still(|vector| vector[0].abs()) {
        return still(arcs, turning.constant[0].abs(), greatest);
    }
    let peak = turning.sine[0].atan2(turning.cosine[0]);
    consider(turning, arcs, &[peak, peak + PI], greatest, |vector| {
        vector[0].abs()
    });
}

/// The greatest norm of a vector that turns, over arcs.
pub fn greatest_square<const N: usize>(
    turning: &Turning<N>,
    arcs: &[[f64; 2]],
    greatest: &mut Greatest,
) {
    if turning.bound(SVector::norm) <= greatest.value {
        return;
    }
    if turning.is_still(SVector::norm) {
        return still(arcs, turning.constant.norm(), greatest);
    }
    let (k, c, s) = (&turning.constant, &turning.cosine, &turning.sine);
    let stationary = stationary_angles(
        [2.0 * k.dot(c), 2.0 * k.dot(s)],
        [0.5 * (c.norm_squared() - s.norm_squared()), c.dot(s)],
    );
    consider(turning, arcs, &stationary, greatest, |vector| vector.norm());
}

fn consider<const N: usize>(
    turning: &Turning<N>,
    arcs: &[[f64; 2]],
    angles: &[f64],
    greatest: &mut Greatest,
    measure: impl Fn(&SVector<f64, N>) -> f64,
) {
    let stationary = angles.iter().copied().filter(|angle| within(arcs, *angle));
    for angle in stationary.chain(arcs.iter().flatten().copied()) {
        greatest.take(measure(&turning.at(angle)), angle);
    }
}

/// Where a₁ cos φ + b₁ sin φ + a₂ cos 2φ + b₂ sin 2φ is stationary, rad.
pub fn stationary_angles([a1, b1]: [f64; 2], [a2, b2]: [f64; 2]) -> Vec<f64> {
    let mut angles = Vec::with_capacity(8);
    // Either half of the circle with its own middle, so that tan(φ/2) stays within ±1.
    for (middle, sign) in [(0.0, 1.0), (PI, -1.0)] {
        let (a1, b1) = (sign * a1, sign * b1);
        let quartic = [
            b1 + 2.0 * b2,
            -2.0 * a1 - 8.0 * a2,
            -12.0 * b2,
            -2.0 * a1 + 8.0 * a2,
            -b1 + 2.0 * b2,
        ];
        let half_angles = roots_within(&quartic, -1.0, 1.0);
        angles.extend(
            half_angles
                .as_slice()
                .iter()
                .map(|t| middle + 2.0 * t.atan()),
        );
    }
    angles
}

/// Share by which a bracketed maximum may lie above the one found.
pub const BRACKET: f64 = 1e-5;
/// Widest piece to start from, rad.
const FIRST_PIECE: f64 = PI / 12.0;
/// Pieces are halved at most so often.
const HALVINGS: u32 = 24;

/// Share of the greatest value from which on every hill is climbed.
const HILLS: f64 = 0.95;

/// The greatest value of a norm of a vector that turns, over arcs: at most [`BRACKET`] of it
/// is missed, and that only by a hill narrower than what was looked at. Pieces that cannot
/// hold it are left aside, the rest halved; then every hill is climbed.
pub fn greatest_convex<const N: usize>(
    turning: &Turning<N>,
    arcs: &[[f64; 2]],
    greatest: &mut Greatest,
    measure: impl Fn(&SVector<f64, N>) -> f64,
) {
    if turning.bound(&measure) <= greatest.value {
        return;
    }
    if turning.is_still(&measure) {
        return still(arcs, measure(&turning.constant), greatest);
    }
    let at = |angle: f64| measure(&turning.at(angle));
    for arc in arcs {
        let found = bracketed(turning, *arc, greatest.value, &measure);
        let most = found.iter().map(|[_, value]| *value).fold(0.0, f64::max);
        if most * (1.0 + BRACKET) < greatest.value {
            continue;
        }
        for (place, [angle, value]) in found.iter().enumerate() {
            let before = place
                .checked_sub(1)
                .map_or([arc[0], f64::NEG_INFINITY], |i| found[i]);
            let after = found
                .get(place + 1)
                .map_or([arc[1], f64::NEG_INFINITY], |next| *next);
            if *value >= HILLS * most && *value > before[1] && *value >= after[1] {
                let top = super::minimum::golden_minimum(before[0], after[0], &|x| -at(x));
                greatest.take(*value, *angle);
                greatest.take(at(top), top);
            }
        }
    }
}

/// Angles looked at on an arc with their values, ascending: what lies between them is at most
/// [`BRACKET`] above the greatest, or not above `floor`.
fn bracketed<const N: usize>(
    turning: &Turning<N>,
    [from, to]: [f64; 2],
    floor: f64,
    measure: &impl Fn(&SVector<f64, N>) -> f64,
) -> Vec<[f64; 2]> {
    let at = |angle: f64| [angle, measure(&turning.at(angle))];
    let count = ((to - from) / FIRST_PIECE).ceil().max(1.0) as u32;
    let width = (to - from) / f64::from(count);
    let mut found: Vec<[f64; 2]> = (0..=count)
        .map(|index| at(from + width * f64::from(index)))
        .collect();
    let mut most = found.iter().map(|[_, value]| *value).fold(floor, f64::max);
    let mut pieces: Vec<([f64; 2], [f64; 2], u32)> =
        found.windows(2).map(|pair| (pair[0], pair[1], 0)).collect();
    while let Some((lo, hi, depth)) = pieces.pop() {
        let (angle, half) = (0.5 * (lo[0] + hi[0]), 0.5 * (hi[0] - lo[0]));
        let (sin, cos) = angle.sin_cos();
        let tangents = turning.constant + (turning.cosine * cos + turning.sine * sin) / half.cos();
        let bound = lo[1].max(hi[1]).max(measure(&tangents));
        if bound <= most * (1.0 + BRACKET) || depth >= HALVINGS {
            continue;
        }
        let middle = at(angle);
        most = most.max(middle[1]);
        found.push(middle);
        pieces.push((lo, middle, depth + 1));
        pieces.push((middle, hi, depth + 1));
    }
    found.sort_by(|a, b| a[0].total_cmp(&b[0]));
    found
}

#[cfg(test)]
mod tests {
    use super::*;
    use nalgebra::Vector3;
    use rand::{Rng, SeedableRng};
    use rand_chacha::ChaCha8Rng;

    type Measure = Box<dyn Fn(&Vector3<f64>) -> f64>;

    const WHOLE: [[f64; 2]; 1] = [[0.0, 2.0 * PI]];

    fn random(number: &mut impl FnMut() -> f64) -> Turning<3> {
        let mut vector = || Vector3::new(number(), number(), number());
        Turning {
            constant: vector(),
            cosine: vector(),
            sine: vector(),
        }
    }

    fn sampled(arcs: &[[f64; 2]], at: impl Fn(f64) -> f64) -> f64 {
        let count = 20_000;
        let angles = arcs.iter().flat_map(|[from, to]| {
            (0..=count).map(move |i| from + (to - from) * f64::from(i) / f64::from(count))
        });
        angles.map(at).fold(f64::NEG_INFINITY, f64::max)
    }

    /// Against 20,000 angles on whole circles and arcs: never below, and above by no more
    /// than what lies between the samples.
    #[test]
    fn nothing_greater_lies_between() {
        let mut source = ChaCha8Rng::seed_from_u64(11);
        for round in 0..300 {
            let mut number = || 2.0 * source.random::<f64>() - 1.0;
            let mut turning = random(&mut number);
            if round % 5 == 0 {
                turning.constant *= 0.0;
            }
            if round % 7 == 0 {
                turning.sine = turning.cosine * 1e-3;
            }
            let from = 6.0 * number();
            let arcs = match round % 3 {
                0 => WHOLE.to_vec(),
                1 => vec![[from, from + 1.5 * number().abs()]],
                _ => vec![
                    [from, from + 0.4],
                    [from + 2.0, from + 2.0 + number().abs()],
                ],
            };
            let component = turning.map(|v| SVector::<f64, 1>::new(v.x));
            let measures: [(&str, Measure); 3] = [
                ("component", Box::new(|v| v.x.abs())),
                ("norm", Box::new(|v| v.norm())),
                ("sum", Box::new(|v| v.x.abs() + v.y.hypot(v.z) * 0.6)),
            ];
            for (name, measure) in &measures {
                let mut greatest = Greatest::NOTHING;
                match *name {
                    "component" => greatest_linear(&component, &arcs, &mut greatest),
                    "norm" => greatest_square(&turning, &arcs, &mut greatest),
                    _ => greatest_convex(&turning, &arcs, &mut greatest, measure),
                }
                let dense = sampled(&arcs, |angle| measure(&turning.at(angle)));
                let angle = greatest.angle.unwrap();
                assert!(within(&arcs, angle), "{name} {round}: {angle}");
                let there = measure(&turning.at(angle));
                assert!((there - greatest.value).abs() < 1e-12, "{name} {round}");
                let allowed = if *name == "sum" { BRACKET } else { 1e-12 };
                assert!(
                    greatest.value >= dense * (1.0 - allowed) - 1e-12,
                    "{name} {round}"
                );
                assert!(greatest.value <= dense + 1e-6, "{name} {round}");
            }
        }
    }

    /// Of equal height all around, where a search by samples has nothing to climb.
    #[test]
    fn a_circle_is_as_far_everywhere() {
        let turning = Turning {
            constant: Vector3::zeros(),
            cosine: Vector3::x() * 2.0,
            sine: Vector3::y() * 2.0,
        };
        for convex in [false, true] {
            let mut greatest = Greatest::NOTHING;
            if convex {
                greatest_convex(&turning, &WHOLE, &mut greatest, |v| v.norm());
            } else {
                greatest_square(&turning, &WHOLE, &mut greatest);
            }
            assert!((greatest.value - 2.0).abs() < 1e-12);
        }
    }

    #[test]
    fn what_is_not_above_the_greatest_leaves_it() {
        let turning = Turning {
            constant: Vector3::x(),
            cosine: Vector3::y(),
            sine: Vector3::zeros(),
        };
        let mut greatest = Greatest::above(3.0);
        greatest_square(&turning, &WHOLE, &mut greatest);
        greatest_convex(&turning, &WHOLE, &mut greatest, |v| v.norm());
        assert_eq!(greatest, Greatest::above(3.0));
    }
}
