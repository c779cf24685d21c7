//! Combinations of parameters that the points tell although they tell none of them alone.

use nalgebra::DMatrix;

use super::faults::Estimated;
use super::problem::Problem;

/// A sum of parameters that the points tell.
#[derive(Debug, Clone, PartialEq)]
pub struct Combination {
    /// Positions in the model's list with how often each counts, SI; the first counts once.
    pub terms: Vec<(usize, f64)>,
    /// Found less the design's, in the unit of the first, SI.
    pub by: f64,
    /// Standard error, as `by`.
    pub standard_error: f64,
}

/// Standard error of a combination, in tolerances of its first parameter, up to which it
/// counts as told.
const TOLD: f64 = 0.25;
/// How much better than any of its parameters alone it has to be told.
const BETTER: f64 = 0.5;
/// Most parameters that are added to the first.
const PARTNERS_MAX: usize = 3;

/// Combinations of what is not identifiable: each such parameter with those that make up for
/// it, until what is left of its variance is small; each set of parameters once.
pub(super) fn combinations(
    estimated: &Estimated,
    problem: &Problem,
    identifiable: &[bool],
) -> Vec<Combination> {
    let covariance = &estimated.covariance;
    let moved = problem.moved_by();
    let mut found: Vec<Combination> = Vec::new();
    let mut said: Vec<Vec<usize>> = Vec::new();
    let open: Vec<usize> = (0..identifiable.len())
        .filter(|i| !identifiable[*i])
        .collect();
    for first in &open {
        let mut partners: Vec<usize> = Vec::new();
        let mut left = covariance[(*first, *first)];
        while left.sqrt() > TOLD && partners.len() < PARTNERS_MAX {
            let tried = open.iter().filter(|j| *j != first && !partners.contains(j));
            let best = tried
                .filter_map(|j| {
                    let with: Vec<usize> = partners.iter().chain([j]).copied().collect();
                    Some((*j, rest(covariance, *first, &with)?.1))
                })
                .min_by(|a, b| a.1.total_cmp(&b.1));
            let Some((partner, rest)) = best else { break };
            partners.push(partner);
            left = rest;
        }
        let error = left.max(0.0).sqrt();
        let alone = covariance[(*first, *first)].sqrt();
        let mut set: Vec<usize> = partners.iter().chain([first]).copied().collect();
        set.sort_unstable();
        if partners.is_empty() || error > TOLD || error > BETTER * alone || said.contains(&set) {
            continue;
        }
        let Some((shares, _)) = rest(covariance, *first, &partners) else {
            continue;
        };
        said.push(set);
        let typical = |slot: usize| problem.model.parameters[problem.free[slot]].typical;
        let unit = typical(*first);
        let mut terms = vec![(problem.free[*first], 1.0)];
        let mut by = moved[*first];
        for (partner, share) in partners.iter().zip(&shares) {
            by -= share * moved[*partner];
            terms.push((problem.free[*partner], -share * unit / typical(*partner)));
        }
        found.push(Combination {
            terms,
            by: by * unit,
            standard_error: error * unit,
        });
    }
    found
}

/// How one parameter follows others, and the variance that they leave of it.
fn rest(covariance: &DMatrix<f64>, one: usize, others: &[usize]) -> Option<(Vec<f64>, f64)> {
    let across = covariance.select_rows(&[one]).select_columns(others);
    let own = covariance.select_rows(others).select_columns(others);
    let shares = own.cholesky()?.solve(&across.transpose());
    let left = covariance[(one, one)] - (across * &shares)[(0, 0)];
    Some((shares.iter().copied().collect(), left.max(0.0)))
}
