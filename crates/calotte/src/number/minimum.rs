//! The minimum of a function of one number.

/// Minimum of a function with one dip on `[lo, hi]`, by golden section.
pub fn golden_minimum(lo: f64, hi: f64, f: &impl Fn(f64) -> f64) -> f64 {
    let ratio = 0.5 * (5f64.sqrt() - 1.0);
    let (mut lo, mut hi) = (lo, hi);
    let (mut a, mut b) = (hi - ratio * (hi - lo), lo + ratio * (hi - lo));
    let (mut fa, mut fb) = (f(a), f(b));
    while hi - lo > 1e-12 {
        if fa < fb {
            (hi, b, fb) = (b, a, fa);
            a = hi - ratio * (hi - lo);
            fa = f(a);
        } else {
            (lo, a, fa) = (a, b, fb);
            b = lo + ratio * (hi - lo);
            fb = f(b);
        }
    }
    0.5 * (lo + hi)
}
