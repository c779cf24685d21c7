//! Gauss–Legendre quadrature, and its use on pieces with square-root ends.

use std::f64::consts::PI;
use std::sync::LazyLock;

/// Nodes in (−1, 1) and weights of the rule with `N` points, by Newton's
/// iteration on the Legendre polynomial.
fn gauss_legendre<const N: usize>() -> [(f64, f64); N] {
    std::array::from_fn(|index| {
        let mut x = (PI * (index as f64 + 0.75) / (N as f64 + 0.5)).cos();
        let mut slope = 1.0;
        for _ in 0..100 {
            let (mut previous, mut current) = (1.0, x);
            for order in 2..=N {
                let k = order as f64;
                (previous, current) = (
                    current,
                    ((2.0 * k - 1.0) * x * current - (k - 1.0) * previous) / k,
                );
            }
            slope = N as f64 * (x * current - previous) / (x * x - 1.0);
            let step = current / slope;
            x -= step;
            if step.abs() < 1e-16 {
                break;
            }
        }
        (x, 2.0 / ((1.0 - x * x) * slope * slope))
    })
}

static RULE_12: LazyLock<[(f64, f64); 12]> = LazyLock::new(gauss_legendre::<12>);
static RULE_24: LazyLock<[(f64, f64); 24]> = LazyLock::new(gauss_legendre::<24>);

/// The rule with 12 points on (−1, 1): exact to rounding for the trigonometric
/// integrands of one arc up to π.
pub fn rule_12() -> &'static [(f64, f64); 12] {
    &RULE_12
}

/// Points and weights on `[from, to]` for an integrand that may behave like a
/// square root at both ends: x = from + (to − from)(1 − cos πt)/2, 24 points in t.
pub fn smooth_piece(from: f64, to: f64) -> impl Iterator<Item = (f64, f64)> {
    let span = to - from;
    RULE_24.iter().map(move |(node, weight)| {
        let t = 0.5 * (1.0 - node);
        let x = from + span * (0.5 * PI * t).sin().powi(2);
        (x, 0.5 * weight * span * 0.5 * PI * (PI * t).sin())
    })
}

/// Integral of `integrand` over `[from, to]`, split at every break that lies inside.
pub fn integrate_pieces(
    from: f64,
    to: f64,
    breaks: &[f64],
    mut integrand: impl FnMut(f64) -> f64,
) -> f64 {
    let pieces = pieces(from, to, breaks);
    let mut sum = 0.0;
    for [lo, hi] in pieces {
        for (x, weight) in smooth_piece(lo, hi) {
            sum += weight * integrand(x);
        }
    }
    sum
}

/// The pieces of `[from, to]` between the breaks inside it, ascending.
pub fn pieces(from: f64, to: f64, breaks: &[f64]) -> Vec<[f64; 2]> {
    if from.partial_cmp(&to) != Some(std::cmp::Ordering::Less) {
        return Vec::new();
    }
    let mut ends: Vec<f64> = breaks
        .iter()
        .copied()
        .filter(|x| *x > from && *x < to)
        .collect();
    ends.push(from);
    ends.push(to);
    ends.sort_by(f64::total_cmp);
    ends.dedup_by(|a, b| (*a - *b).abs() < 1e-13);
    ends.windows(2).map(|pair| [pair[0], pair[1]]).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rule_is_exact_for_polynomials() {
        let sum: f64 = rule_12().iter().map(|(x, w)| w * x.powi(22)).sum();
        assert!((sum - 2.0 / 23.0).abs() < 1e-15);
    }

    #[test]
    fn square_root_ends_keep_twelve_digits() {
        let half_circle = integrate_pieces(-1.0, 1.0, &[], |x| (1.0 - x * x).max(0.0).sqrt());
        assert!((half_circle - 0.5 * PI).abs() < 1e-12);
    }

    #[test]
    fn kink_is_met_by_a_break() {
        let value = integrate_pieces(0.0, 2.0, &[1.0], |x| (x - 1.0).abs());
        assert!((value - 1.0).abs() < 1e-13);
    }
}
