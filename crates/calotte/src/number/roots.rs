//! Real roots of a polynomial between two numbers, all of them.
//!
//! Between two neighbouring roots of its derivative a polynomial is monotone and has one root
//! at most; the derivative's are found the same way, down to the linear one.

/// Greatest degree.
pub const DEGREE: usize = 4;
/// Halvings or Newton steps after which a root is as good as it gets.
const STEPS: u32 = 80;

/// Roots, ascending.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Roots {
    values: [f64; DEGREE],
    count: usize,
}

impl Roots {
    /// The roots.
    pub fn as_slice(&self) -> &[f64] {
        &self.values[..self.count]
    }

    fn take(&mut self, root: f64) {
        if self.as_slice().last() != Some(&root) && self.count < DEGREE {
            self.values[self.count] = root;
            self.count += 1;
        }
    }
}

/// Roots in `[lo, hi]` of Σ cᵢ xⁱ, at most to [`DEGREE`]; a root without change of sign may be
/// left out, and where all coefficients vanish there is none to name.
pub fn roots_within(coefficients: &[f64; DEGREE + 1], lo: f64, hi: f64) -> Roots {
    let size = coefficients.iter().fold(0.0f64, |a, c| a.max(c.abs()));
    let degree = coefficients
        .iter()
        .rposition(|c| c.abs() > 1e-300 && c.abs() > 1e-17 * size);
    match degree {
        None | Some(0) => Roots::default(),
        Some(1) => {
            let mut roots = Roots::default();
            let root = -coefficients[0] / coefficients[1];
            if lo <= root && root <= hi {
                roots.take(root);
            }
            roots
        }
        Some(_) => between_stationary(coefficients, lo, hi),
    }
}

fn between_stationary(coefficients: &[f64; DEGREE + 1], lo: f64, hi: f64) -> Roots {
    let mut derivative = [0.0; DEGREE + 1];
    for (power, c) in coefficients.iter().enumerate().skip(1) {
        derivative[power - 1] = power as f64 * c;
    }
    let stationary = roots_within(&derivative, lo, hi);
    let value = |x: f64| coefficients.iter().rev().fold(0.0, |sum, c| sum * x + c);
    let slope = |x: f64| derivative.iter().rev().fold(0.0, |sum, c| sum * x + c);
    let mut roots = Roots::default();
    let (mut a, mut at_a) = (lo, value(lo));
    for b in stationary.as_slice().iter().copied().chain([hi]) {
        let at_b = value(b);
        if at_a == 0.0 {
            roots.take(a);
        }
        if at_a * at_b < 0.0 {
            roots.take(root_between(a, b, at_a < 0.0, &value, &slope));
        }
        (a, at_a) = (b, at_b);
    }
    if at_a == 0.0 {
        roots.take(a);
    }
    roots
}

/// Newton's method kept between two ends of opposite sign.
fn root_between(
    lo: f64,
    hi: f64,
    rising: bool,
    value: &impl Fn(f64) -> f64,
    slope: &impl Fn(f64) -> f64,
) -> f64 {
    let (mut lo, mut hi) = (lo, hi);
    let mut x = 0.5 * (lo + hi);
    for _ in 0..STEPS {
        let here = value(x);
        if here == 0.0 {
            return x;
        }
        if (here < 0.0) == rising {
            lo = x;
        } else {
            hi = x;
        }
        let mut next = x - here / slope(x);
        if !(next > lo && next < hi) {
            next = 0.5 * (lo + hi);
        }
        if (next - x).abs() <= 1e-16 * (1.0 + x.abs()) {
            return next;
        }
        x = next;
    }
    x
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Coefficients of Π (x − r).
    fn with_roots(roots: &[f64]) -> [f64; DEGREE + 1] {
        let mut coefficients = [0.0; DEGREE + 1];
        coefficients[0] = 1.0;
        for root in roots {
            let mut longer = [0.0; DEGREE + 1];
            for (power, c) in coefficients.iter().take(DEGREE).enumerate() {
                longer[power] -= root * c;
                longer[power + 1] += c;
            }
            coefficients = longer;
        }
        coefficients
    }

    #[test]
    fn every_root_is_found_wherever_it_lies() {
        for roots in [
            vec![-0.9, -0.2, 0.1, 0.7],
            vec![-1.0, 0.0, 0.5, 1.0],
            vec![0.3, 0.300_1, 0.5, 3.0],
            vec![-7.0, 0.25],
            vec![0.125],
        ] {
            let inside: Vec<f64> = roots
                .iter()
                .copied()
                .filter(|r: &f64| r.abs() <= 1.0)
                .collect();
            let found = roots_within(&with_roots(&roots), -1.0, 1.0);
            let found = found.as_slice();
            assert_eq!(found.len(), inside.len(), "{roots:?}: {found:?}");
            for (found, root) in found.iter().zip(&inside) {
                assert!((found - root).abs() < 1e-10, "{roots:?}: {found}");
            }
        }
    }

    #[test]
    fn a_polynomial_without_roots_or_without_anything_has_none() {
        let roots = |c: [f64; 5]| roots_within(&c, -1.0, 1.0).as_slice().to_vec();
        assert!(roots([1.0, 0.0, 1.0, 0.0, 0.0]).is_empty());
        assert!(roots([0.0; 5]).is_empty());
        assert!(roots([2.0, 0.0, 0.0, 0.0, 0.0]).is_empty());
        assert_eq!(roots([0.5, -1.0, 0.0, 0.0, 0.0]), [0.5]);
    }
}
