//! Numbers that carry their derivatives by several parameters, so that one evaluation of a
//! closed form gives its whole row of the Jacobian, exact to rounding.

// Plain loops over the lanes: iterators of arrays are not always seen through.
#![allow(clippy::needless_range_loop)]

use std::ops::{Add, Div, Mul, Neg, Sub};

use super::jet::Scalar;

/// A value with its derivatives by `N` parameters.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Gradient<const N: usize> {
    /// The value.
    pub value: f64,
    /// Its derivative by each parameter.
    pub by: [f64; N],
}

impl<const N: usize> Gradient<N> {
    /// The parameter of an index, with its value.
    pub fn parameter(value: f64, index: usize) -> Self {
        let mut by = [0.0; N];
        by[index] = 1.0;
        Self { value, by }
    }

    /// f(self), of which value and derivative are given.
    #[inline(always)]
    fn chained(self, value: f64, slope: f64) -> Self {
        let mut by = self.by;
        for d in &mut by {
            *d *= slope;
        }
        Self { value, by }
    }
}

impl<const N: usize> Add for Gradient<N> {
    type Output = Self;
    #[inline(always)]
    fn add(mut self, other: Self) -> Self {
        self.value += other.value;
        for i in 0..N {
            self.by[i] += other.by[i];
        }
        self
    }
}

impl<const N: usize> Sub for Gradient<N> {
    type Output = Self;
    #[inline(always)]
    fn sub(mut self, other: Self) -> Self {
        self.value -= other.value;
        for i in 0..N {
            self.by[i] -= other.by[i];
        }
        self
    }
}

impl<const N: usize> Mul for Gradient<N> {
    type Output = Self;
    #[inline(always)]
    fn mul(mut self, other: Self) -> Self {
        for i in 0..N {
            self.by[i] = self.by[i] * other.value + self.value * other.by[i];
        }
        self.value *= other.value;
        self
    }
}

impl<const N: usize> Div for Gradient<N> {
    type Output = Self;
    #[inline(always)]
    fn div(self, other: Self) -> Self {
        let inverse = 1.0 / other.value;
        self * other.chained(inverse, -inverse * inverse)
    }
}

impl<const N: usize> Neg for Gradient<N> {
    type Output = Self;
    #[inline(always)]
    fn neg(self) -> Self {
        self.chained(-self.value, -1.0)
    }
}

impl<const N: usize> Scalar for Gradient<N> {
    #[inline(always)]
    fn constant(value: f64) -> Self {
        Self {
            value,
            by: [0.0; N],
        }
    }
    #[inline(always)]
    fn sine(self) -> Self {
        self.chained(self.value.sin(), self.value.cos())
    }
    #[inline(always)]
    fn cosine(self) -> Self {
        self.chained(self.value.cos(), -self.value.sin())
    }
    #[inline(always)]
    fn square_root(self) -> Self {
        let root = self.value.max(0.0).sqrt();
        self.chained(root, 0.5 / root)
    }
    #[inline(always)]
    fn angle_with(self, x: Self) -> Self {
        let square = self.value * self.value + x.value * x.value;
        let mut angle = self.chained(self.value.atan2(x.value), x.value / square);
        for (a, b) in angle.by.iter_mut().zip(&x.by) {
            *a -= self.value / square * b;
        }
        angle
    }
    #[inline(always)]
    fn surely_positive(self) -> bool {
        self.value > 0.0
    }
    #[inline(always)]
    fn surely_negative(self) -> bool {
        self.value < 0.0
    }
}
