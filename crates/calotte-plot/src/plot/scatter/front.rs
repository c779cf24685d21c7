//! Non-dominated candidates of two objectives.

use crate::plot::colour_scale::Better;

/// Indices of the points that no other point beats in one objective without losing in the
/// other, in order of growing x; of equal points the first.
///
/// Points with a coordinate that is not finite are left out.
///
/// # Theory
/// Pareto dominance: a dominates b if a is at least as good in both objectives and better
/// in one. After sorting by x (best first, ties by y) a point is non-dominated exactly if
/// its y is better than all before it.
///
/// # Example
/// ```
/// use calotte_plot::plot::{Better, non_dominated};
/// let points = [[1.0, 3.0], [2.0, 2.0], [2.5, 2.5], [3.0, 1.0]];
/// assert_eq!(non_dominated(&points, Better::Less, Better::Less), [0, 1, 3]);
/// ```
pub fn non_dominated(points: &[[f64; 2]], x_better: Better, y_better: Better) -> Vec<usize> {
    let sign = |better: Better| match better {
        Better::Less => 1.0,
        Better::More => -1.0,
    };
    let cost = |i: usize| [points[i][0] * sign(x_better), points[i][1] * sign(y_better)];
    let mut order: Vec<usize> = (0..points.len())
        .filter(|i| points[*i].iter().all(|c| c.is_finite()))
        .collect();
    order.sort_by(|a, b| {
        let (a_cost, b_cost) = (cost(*a), cost(*b));
        a_cost[0]
            .total_cmp(&b_cost[0])
            .then(a_cost[1].total_cmp(&b_cost[1]))
            .then(a.cmp(b))
    });
    let mut best = f64::INFINITY;
    let mut front: Vec<usize> = order
        .into_iter()
        .filter(|i| {
            let y = cost(*i)[1];
            let better = y < best;
            best = best.min(y);
            better
        })
        .collect();
    if x_better == Better::More {
        front.reverse();
    }
    front
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Against the definition of dominance, tried on every pair.
    #[test]
    fn front_agrees_with_the_definition_for_all_directions() {
        // A fixed multiplicative sequence stands in for random numbers; ties are frequent.
        let mut state = 12345_u64;
        let mut next = || {
            state = state
                .wrapping_mul(6364136223846793005)
                .wrapping_add(1442695040888963407);
            f64::from((state >> 33) as u32 % 17)
        };
        let points: Vec<[f64; 2]> = (0..200).map(|_| [next(), next()]).collect();
        for x_better in [Better::Less, Better::More] {
            for y_better in [Better::Less, Better::More] {
                let dominates = |a: [f64; 2], b: [f64; 2]| {
                    let worse = x_better.prefers(b[0], a[0]) || y_better.prefers(b[1], a[1]);
                    let better = x_better.prefers(a[0], b[0]) || y_better.prefers(a[1], b[1]);
                    !worse && better
                };
                let mut expected: Vec<[f64; 2]> = points
                    .iter()
                    .copied()
                    .filter(|p| !points.iter().any(|q| dominates(*q, *p)))
                    .collect();
                expected.sort_by(|a, b| a[0].total_cmp(&b[0]));
                expected.dedup();
                let found: Vec<[f64; 2]> = non_dominated(&points, x_better, y_better)
                    .into_iter()
                    .map(|i| points[i])
                    .collect();
                assert_eq!(found, expected, "{x_better:?} {y_better:?}");
            }
        }
    }
}
