//! Vectors over plain numbers and gradients alike.

use super::jet::Scalar;

/// Three components.
pub(crate) type V<T> = [T; 3];

#[inline(always)]
pub(crate) fn constant<T: Scalar>(v: [f64; 3]) -> V<T> {
    [T::constant(v[0]), T::constant(v[1]), T::constant(v[2])]
}

#[inline(always)]
pub(crate) fn add<T: Scalar>(a: V<T>, b: V<T>) -> V<T> {
    [a[0] + b[0], a[1] + b[1], a[2] + b[2]]
}

#[inline(always)]
pub(crate) fn sub<T: Scalar>(a: V<T>, b: V<T>) -> V<T> {
    [a[0] - b[0], a[1] - b[1], a[2] - b[2]]
}

#[inline(always)]
pub(crate) fn times<T: Scalar>(a: V<T>, s: T) -> V<T> {
    [a[0] * s, a[1] * s, a[2] * s]
}

#[inline(always)]
pub(crate) fn dot<T: Scalar>(a: V<T>, b: V<T>) -> T {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

#[inline(always)]
pub(crate) fn cross<T: Scalar>(a: V<T>, b: V<T>) -> V<T> {
    [
        a[1] * b[2] - a[2] * b[1],
        a[2] * b[0] - a[0] * b[2],
        a[0] * b[1] - a[1] * b[0],
    ]
}

/// Turned about x.
#[inline(always)]
pub(crate) fn about_x<T: Scalar>(v: V<T>, angle: T) -> V<T> {
    let (s, c) = (angle.sine(), angle.cosine());
    [v[0], c * v[1] - s * v[2], s * v[1] + c * v[2]]
}

/// Turned about y.
#[inline(always)]
pub(crate) fn about_y<T: Scalar>(v: V<T>, angle: T) -> V<T> {
    let (s, c) = (angle.sine(), angle.cosine());
    [c * v[0] + s * v[2], v[1], c * v[2] - s * v[0]]
}

/// Turned about z.
#[inline(always)]
pub(crate) fn about_z<T: Scalar>(v: V<T>, angle: T) -> V<T> {
    let (s, c) = (angle.sine(), angle.cosine());
    [c * v[0] - s * v[1], s * v[0] + c * v[1], v[2]]
}

/// Direction of a polar angle and azimuth.
#[inline(always)]
pub(crate) fn direction<T: Scalar>(polar: T, azimuth: T) -> V<T> {
    let s = polar.sine();
    [s * azimuth.cosine(), s * azimuth.sine(), polar.cosine()]
}

/// Unit tangent at `at` away from `from`, both unit; not defined where they coincide.
#[inline(always)]
pub(crate) fn away<T: Scalar>(at: V<T>, from: V<T>) -> V<T> {
    let c = dot(at, from);
    let t = sub(times(at, c), from);
    let length = dot(t, t).square_root();
    [t[0] / length, t[1] / length, t[2] / length]
}
