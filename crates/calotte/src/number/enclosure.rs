//! Interval arithmetic with outward rounding, for proofs between samples.
//!
//! Sums, products, quotients and square roots are widened by one unit in the
//! last place on each side, which encloses the correctly rounded result.
//! Sines, cosines and arctangents of the standard library are assumed right to
//! within four units in the last place and are widened by that.

use std::f64::consts::{FRAC_PI_2, PI, TAU};
use std::ops::{Add, Div, Mul, Neg, Sub};

/// All real numbers between two ends, both included.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Enclosure {
    /// Lower end.
    pub lo: f64,
    /// Upper end.
    pub hi: f64,
}

impl Enclosure {
    /// Everything: no knowledge.
    pub const ALL: Enclosure = Enclosure {
        lo: f64::NEG_INFINITY,
        hi: f64::INFINITY,
    };

    /// The enclosure of these ends.
    pub fn new(lo: f64, hi: f64) -> Self {
        Self { lo, hi }
    }

    /// One number.
    pub fn point(value: f64) -> Self {
        Self {
            lo: value,
            hi: value,
        }
    }

    /// Whether zero may lie inside.
    pub fn holds_zero(&self) -> bool {
        !(self.lo > 0.0 || self.hi < 0.0)
    }

    /// Middle.
    pub fn middle(&self) -> f64 {
        0.5 * (self.lo + self.hi)
    }

    /// Width.
    pub fn width(&self) -> f64 {
        self.hi - self.lo
    }

    /// The numbers in both; `None` if there are none.
    pub fn intersection(&self, other: &Self) -> Option<Self> {
        let (lo, hi) = (self.lo.max(other.lo), self.hi.min(other.hi));
        (lo <= hi).then_some(Self { lo, hi })
    }

    fn widened(lo: f64, hi: f64, units: usize) -> Self {
        if lo.is_nan() || hi.is_nan() {
            return Self::ALL;
        }
        let (mut lo, mut hi) = (lo, hi);
        for _ in 0..units {
            lo = lo.next_down();
            hi = hi.next_up();
        }
        Self { lo, hi }
    }

    /// Sines of all numbers inside.
    pub fn sin(self) -> Self {
        (self - Self::new(FRAC_PI_2.next_down(), FRAC_PI_2.next_up())).cos()
    }

    /// Cosines of all numbers inside.
    pub fn cos(self) -> Self {
        if self.width().is_nan() || self.width() >= TAU || !self.lo.is_finite() {
            return Self::new(-1.0, 1.0);
        }
        let (a, b) = (self.lo.cos(), self.hi.cos());
        let mut result = Self::widened(a.min(b), a.max(b), 4);
        // A multiple of π inside brings the extreme value; odd ones −1, even ones 1.
        let first = ((self.lo - 1e-12) / PI).ceil() as i64;
        let last = ((self.hi + 1e-12) / PI).floor() as i64;
        for multiple in first..=last {
            if multiple.rem_euclid(2) == 0 {
                result.hi = 1.0;
            } else {
                result.lo = -1.0;
            }
        }
        Self::new(result.lo.max(-1.0), result.hi.min(1.0))
    }

    /// Square roots of the numbers inside that have one; everything if none is sure to.
    pub fn sqrt(self) -> Self {
        if self.hi < 0.0 || self.lo.is_nan() {
            return Self::ALL;
        }
        let result = Self::widened(self.lo.max(0.0).sqrt(), self.hi.sqrt(), 1);
        Self::new(result.lo.max(0.0), result.hi)
    }

    /// Angles of the vectors (`x`, `self`), continuous where x > 0 or `self` has one sign.
    pub fn atan2(self, x: Self) -> Self {
        let y = self;
        if x.lo > 0.0 || !y.holds_zero() {
            let corners = [
                y.lo.atan2(x.lo),
                y.lo.atan2(x.hi),
                y.hi.atan2(x.lo),
                y.hi.atan2(x.hi),
            ];
            let lo = corners.iter().copied().fold(f64::INFINITY, f64::min);
            let hi = corners.iter().copied().fold(f64::NEG_INFINITY, f64::max);
            Self::widened(lo, hi, 4)
        } else if y.lo >= 0.0 {
            Self::new(0.0, PI.next_up())
        } else {
            Self::new((-PI).next_down(), PI.next_up())
        }
    }
}

impl Add for Enclosure {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self::widened(self.lo + other.lo, self.hi + other.hi, 1)
    }
}

impl Sub for Enclosure {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self::widened(self.lo - other.hi, self.hi - other.lo, 1)
    }
}

impl Neg for Enclosure {
    type Output = Self;
    fn neg(self) -> Self {
        Self::new(-self.hi, -self.lo)
    }
}

impl Mul for Enclosure {
    type Output = Self;
    fn mul(self, other: Self) -> Self {
        let products = [
            self.lo * other.lo,
            self.lo * other.hi,
            self.hi * other.lo,
            self.hi * other.hi,
        ];
        if products.iter().any(|p| p.is_nan()) {
            return Self::ALL;
        }
        let lo = products.iter().copied().fold(f64::INFINITY, f64::min);
        let hi = products.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        Self::widened(lo, hi, 1)
    }
}

impl Div for Enclosure {
    type Output = Self;
    fn div(self, other: Self) -> Self {
        if other.holds_zero() {
            return Self::ALL;
        }
        self * Self::widened(1.0 / other.hi, 1.0 / other.lo, 1)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn operations_hold_every_sample() {
        let a = Enclosure::new(-0.7, 1.9);
        let b = Enclosure::new(0.3, 0.8);
        for i in 0..=20 {
            for j in 0..=20 {
                let x = a.lo + a.width() * f64::from(i) / 20.0;
                let y = b.lo + b.width() * f64::from(j) / 20.0;
                let holds = |e: Enclosure, v: f64| e.lo <= v && v <= e.hi;
                assert!(holds(a + b, x + y) && holds(a - b, x - y));
                assert!(holds(a * b, x * y) && holds(a / b, x / y));
                assert!(holds(a.sin(), x.sin()) && holds(a.cos(), x.cos()));
                assert!(holds(b.sqrt(), y.sqrt()) && holds(a.atan2(b), x.atan2(y)));
                assert!(holds(b.atan2(a), y.atan2(x)));
            }
        }
    }

    #[test]
    fn extremes_inside_are_kept() {
        let cosine = Enclosure::new(-0.1, 3.2).cos();
        assert_eq!((cosine.lo, cosine.hi), (-1.0, 1.0));
        assert_eq!(Enclosure::new(1.4, 1.8).sin().hi, 1.0);
    }

    #[test]
    fn division_by_zero_knows_nothing() {
        assert_eq!(
            Enclosure::point(1.0) / Enclosure::new(-1.0, 1.0),
            Enclosure::ALL
        );
    }
}
