//! Numbers that carry their first and second derivative along one coordinate.

use std::ops::{Add, Div, Mul, Neg, Sub};

use super::enclosure::Enclosure;

/// What the closed forms are written over: plain numbers or enclosures.
pub trait Scalar:
    Copy
    + Add<Output = Self>
    + Sub<Output = Self>
    + Mul<Output = Self>
    + Div<Output = Self>
    + Neg<Output = Self>
{
    /// A constant.
    fn constant(value: f64) -> Self;
    /// Sine.
    fn sine(self) -> Self;
    /// Cosine.
    fn cosine(self) -> Self;
    /// Square root.
    fn square_root(self) -> Self;
    /// Angle of the vector (`x`, `self`).
    fn angle_with(self, x: Self) -> Self;
    /// Whether the number is surely greater than zero.
    fn surely_positive(self) -> bool;
    /// Whether the number is surely less than zero.
    fn surely_negative(self) -> bool;
}

impl Scalar for f64 {
    fn constant(value: f64) -> Self {
        value
    }
    fn sine(self) -> Self {
        self.sin()
    }
    fn cosine(self) -> Self {
        self.cos()
    }
    fn square_root(self) -> Self {
        self.max(0.0).sqrt()
    }
    fn angle_with(self, x: Self) -> Self {
        self.atan2(x)
    }
    fn surely_positive(self) -> bool {
        self > 0.0
    }
    fn surely_negative(self) -> bool {
        self < 0.0
    }
}

impl Scalar for Enclosure {
    fn constant(value: f64) -> Self {
        Enclosure::point(value)
    }
    fn sine(self) -> Self {
        self.sin()
    }
    fn cosine(self) -> Self {
        self.cos()
    }
    fn square_root(self) -> Self {
        self.sqrt()
    }
    fn angle_with(self, x: Self) -> Self {
        self.atan2(x)
    }
    fn surely_positive(self) -> bool {
        self.lo > 0.0
    }
    fn surely_negative(self) -> bool {
        self.hi < 0.0
    }
}

/// Value, first and second derivative.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Jet<T> {
    /// Value.
    pub value: T,
    /// First derivative.
    pub first: T,
    /// Second derivative.
    pub second: T,
}

impl<T: Scalar> Jet<T> {
    /// A constant.
    pub fn constant(value: f64) -> Self {
        Self::of(T::constant(value))
    }

    /// A number that does not change with the coordinate.
    pub fn of(value: T) -> Self {
        Self {
            value,
            first: T::constant(0.0),
            second: T::constant(0.0),
        }
    }

    /// The coordinate itself.
    pub fn variable(value: T) -> Self {
        Self {
            value,
            first: T::constant(1.0),
            second: T::constant(0.0),
        }
    }

    /// The jet of f(self) from f, f′ and f″ at the value.
    fn chain(self, f: T, f1: T, f2: T) -> Self {
        Self {
            value: f,
            first: f1 * self.first,
            second: f2 * self.first * self.first + f1 * self.second,
        }
    }

    /// Sine.
    pub fn sin(self) -> Self {
        let (s, c) = (self.value.sine(), self.value.cosine());
        self.chain(s, c, -s)
    }

    /// Cosine.
    pub fn cos(self) -> Self {
        let (s, c) = (self.value.sine(), self.value.cosine());
        self.chain(c, -s, -c)
    }

    /// Square root.
    pub fn sqrt(self) -> Self {
        let root = self.value.square_root();
        let first = T::constant(0.5) / root;
        let second = -first / (T::constant(2.0) * self.value);
        self.chain(root, first, second)
    }

    /// Angle of the vector (`x`, `self`).
    pub fn atan2(self, x: Self) -> Self {
        let y = self;
        let square = x.value * x.value + y.value * y.value;
        let numerator = x.value * y.first - y.value * x.first;
        let first = numerator / square;
        let numerator_rate = x.value * y.second - y.value * x.second;
        let square_rate = T::constant(2.0) * (x.value * x.first + y.value * y.first);
        Self {
            value: y.value.angle_with(x.value),
            first,
            second: (numerator_rate - first * square_rate) / square,
        }
    }

    /// Multiplied by a constant.
    pub fn scaled(self, factor: f64) -> Self {
        self.times(T::constant(factor))
    }

    /// Multiplied by a number that does not change with the coordinate.
    pub fn times(self, factor: T) -> Self {
        Self {
            value: factor * self.value,
            first: factor * self.first,
            second: factor * self.second,
        }
    }

    /// The derivative as a quantity of its own; its second derivative is unknown
    /// and set to zero, so use value and first only.
    pub fn derivative(self) -> Self {
        Self {
            value: self.first,
            first: self.second,
            second: T::constant(0.0),
        }
    }
}

impl<T: Scalar> Add for Jet<T> {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self {
            value: self.value + other.value,
            first: self.first + other.first,
            second: self.second + other.second,
        }
    }
}

impl<T: Scalar> Sub for Jet<T> {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self {
            value: self.value - other.value,
            first: self.first - other.first,
            second: self.second - other.second,
        }
    }
}

impl<T: Scalar> Neg for Jet<T> {
    type Output = Self;
    fn neg(self) -> Self {
        Self {
            value: -self.value,
            first: -self.first,
            second: -self.second,
        }
    }
}

impl<T: Scalar> Mul for Jet<T> {
    type Output = Self;
    fn mul(self, other: Self) -> Self {
        Self {
            value: self.value * other.value,
            first: self.first * other.value + self.value * other.first,
            second: self.second * other.value
                + T::constant(2.0) * self.first * other.first
                + self.value * other.second,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn derivatives_are_the_slopes() {
        let f = |x: Jet<f64>| (x.sin() * x.cos() + x).sqrt().atan2(x.cos());
        let at = |x: f64| f(Jet::variable(x));
        let (x, h) = (0.7, 1e-4);
        let jet = at(x);
        let first = (at(x + h).value - at(x - h).value) / (2.0 * h);
        let second = (at(x + h).value - 2.0 * jet.value + at(x - h).value) / (h * h);
        assert!((jet.first - first).abs() < 1e-7);
        assert!((jet.second - second).abs() < 1e-6);
    }
}
