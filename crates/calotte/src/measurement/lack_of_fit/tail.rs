//! Probabilities of statistics at least as great as those seen.

use statrs::function::beta::checked_beta_reg;
use statrs::function::gamma::checked_gamma_ur;

/// Degrees of freedom beyond which a variance counts as known.
const KNOWN: f64 = 1e5;

/// Of Fisher's ratio of variances with these degrees of freedom; χ² over its degrees of freedom
/// where the second are infinite.
pub(super) fn of_ratio(ratio: f64, degrees: [f64; 2]) -> f64 {
    let [above, below] = degrees;
    if ratio <= 0.0 {
        return 1.0;
    }
    let probability = if below > KNOWN {
        checked_gamma_ur(0.5 * above, 0.5 * above * ratio).ok()
    } else {
        let rest = below / (below + above * ratio);
        checked_beta_reg(0.5 * below, 0.5 * above, rest).ok()
    };
    // No number is the most cautious: nothing is said to be found by it.
    probability.map_or(1.0, |p| p.clamp(0.0, 1.0))
}

/// The noncentrality with which a test at a level finds what is there with some probability.
///
/// # Theory
/// Noncentral χ² as a mixture of χ² by Poisson's weights; that the noise is estimated counts in
/// the limit of the test alone.
pub(super) fn noncentrality(degrees: [f64; 2], level: f64, power: f64) -> f64 {
    let limit = degrees[0] * bisected(|ratio| level - of_ratio(ratio, degrees));
    bisected(|square| beyond(limit, degrees[0], square) - power)
}

/// Probability that noncentral χ² exceeds a limit.
fn beyond(limit: f64, degrees: f64, noncentrality: f64) -> f64 {
    let half = 0.5 * noncentrality;
    let mut weight = (-half).exp();
    let mut sum = 0.0;
    for term in 0..TERMS {
        let own = checked_gamma_ur(0.5 * degrees + term as f64, 0.5 * limit).unwrap_or(1.0);
        sum += weight * own;
        weight *= half / (term + 1) as f64;
    }
    sum
}

/// Terms of the mixture: enough for a noncentrality of [`GREATEST`].
const TERMS: usize = 400;
/// Greatest root looked for.
const GREATEST: f64 = 400.0;

/// Where a growing function vanishes; the greatest looked for if it does not before.
fn bisected(function: impl Fn(f64) -> f64) -> f64 {
    let (mut from, mut to) = (0.0, GREATEST);
    for _ in 0..60 {
        let middle = 0.5 * (from + to);
        if function(middle) < 0.0 {
            from = middle;
        } else {
            to = middle;
        }
    }
    0.5 * (from + to)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Against an independent library (scipy.stats.f.isf, chi2.isf and ncx2.sf, solved).
    #[test]
    fn noncentralities_are_those_of_another_library() {
        for (degrees, level, wanted) in [
            ([3.0, 280.0], 0.01, 1.9543196579e+01),
            ([3.0, f64::INFINITY], 0.0025, 2.3330388733e+01),
            ([3.0, 9.0], 0.01, 3.2082814695e+01),
            ([12.0, 100.0], 0.003, 3.6961398377e+01),
        ] {
            let found = noncentrality(degrees, level, 0.9);
            assert!((found / wanted - 1.0).abs() < 1e-6, "{found} {wanted}");
        }
    }

    /// Against an independent library (scipy.stats.f.sf and chi2.sf).
    #[test]
    fn tails_are_those_of_another_library() {
        for (ratio, degrees, wanted) in [
            (1.0, [3.0, 9.0], 4.362899496511e-01),
            (4.0, [3.0, 268.5], 8.247135619874e-03),
            (4.9, [3.0, 277.0], 2.466705333965e-03),
            (2.4, [12.0, 250.3], 5.922363723029e-03),
            (30.0, [4.0, 7.5], 1.101180085283e-04),
            (1.3, [200.0, 60.0], 1.170197476041e-01),
            (1.05, [5000.0, 3000.0], 6.837936808872e-02),
            (6.0, [3.0, 59990.0], 4.403825982465e-04),
            (2.0, [18.0, 99000.0], 7.063579315286e-03),
            (1.0, [3.0, f64::INFINITY], 3.916251762711e-01),
            (4.7, [3.0, f64::INFINITY], 2.772147745351e-03),
            (2.5, [18.0, f64::INFINITY], 4.144144034997e-04),
        ] {
            let found = of_ratio(ratio, degrees);
            assert!(
                (found / wanted - 1.0).abs() < 1e-7,
                "{ratio} {degrees:?}: {found} {wanted}"
            );
        }
        assert_eq!(of_ratio(0.0, [3.0, 9.0]), 1.0);
        assert_eq!(of_ratio(-0.1, [3.0, 9.0]), 1.0);
    }
}
