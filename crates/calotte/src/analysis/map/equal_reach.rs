//! Designs of one given reach: for each value of one variable, the value of the
//! other at which the reach is as asked.
//!
//! At equal reach the numbers of stages compare fairly; over a grid they hardly
//! ever meet the same reach.

use crate::design::Design;

use super::cell::{MapTask, reach};
use super::variable::Variable;

/// What stays while one variable is solved for.
#[derive(Debug, Clone, Copy)]
pub struct Fixed<'a> {
    /// The design before any change.
    pub base: &'a Design,
    /// Changes that stay, SI.
    pub changes: &'a [(Variable, f64)],
    /// What is computed; gives the region by which the working range is chosen.
    pub task: &'a MapTask,
}

/// Reach that counts as equal, rad.
const REACH_TOLERANCE: f64 = 1e-9;

/// Value of `variable` at which the design's reach equals `level` (rad), between
/// neighbours of `values` (SI, ascending) whose known reaches enclose it.
///
/// Method: the first pair that encloses the level, then bisection with secant steps
/// inside it. `None` where no pair encloses the level, or where the reach jumps
/// across it.
pub fn at_reach(
    fixed: &Fixed<'_>,
    variable: Variable,
    values: &[f64],
    reaches: &[Option<f64>],
    level: f64,
) -> Option<f64> {
    let misses: Vec<Option<f64>> = reaches.iter().map(|r| r.map(|r| r - level)).collect();
    if let Some(exact) = misses
        .iter()
        .position(|miss| miss.is_some_and(|miss| miss.abs() <= REACH_TOLERANCE))
    {
        return Some(values[exact]);
    }
    let pair = misses
        .windows(2)
        .position(|pair| matches!(pair, [Some(a), Some(b)] if (*a < 0.0) != (*b < 0.0)))?;
    let miss = |value: f64| -> Option<f64> {
        let mut changes = fixed.changes.to_vec();
        changes.push((variable, value));
        reach(fixed.base, &changes, fixed.task).map(|reach| reach - level)
    };
    let (mut lo, mut hi) = (values[pair], values[pair + 1]);
    let (mut at_lo, mut at_hi) = (misses[pair]?, misses[pair + 1]?);
    for step in 0..200 {
        // A secant step every other time, so that a bent curve cannot hold one end.
        let next = if step % 2 == 0 {
            lo + (hi - lo) * at_lo / (at_lo - at_hi)
        } else {
            0.5 * (lo + hi)
        };
        let at_next = miss(next)?;
        if at_next.abs() <= REACH_TOLERANCE {
            return Some(next);
        }
        if (at_next < 0.0) == (at_lo < 0.0) {
            (lo, at_lo) = (next, at_next);
        } else {
            (hi, at_hi) = (next, at_next);
        }
    }
    None
}
