//! Designs of one given reach: for each value of one variable, the value of the
//! other at which the reach is as asked.
//!
//! At equal reach the numbers of stages compare fairly; over a grid they hardly
//! ever meet the same reach.

use rayon::prelude::*;

use crate::design::Design;

use super::cell::{Cell, MapTask, cell, reach};
use super::variable::Variable;

/// Designs of one reach: for each value of one variable, the value of the other.
#[derive(Debug, Clone, PartialEq)]
pub struct EqualReachLine {
    /// The reach, rad.
    pub level: f64,
    /// The variable that was solved for.
    pub solved: Variable,
    /// The variable whose values are gone through.
    pub along: Variable,
    /// For each value of `along`, the value of the solved variable, SI, with the
    /// design's values there; `None` where the map's values do not enclose the reach.
    pub points: Vec<Option<(f64, Cell)>>,
}

/// A map's grid: what is varied, and what stays changed.
#[derive(Debug, Clone, Copy)]
pub struct MapGrid<'a> {
    /// The design before any change.
    pub base: &'a Design,
    /// Changes of the whole map, SI.
    pub set: &'a [(Variable, f64)],
    /// Along the figure: the variable and its values, SI, ascending.
    pub x: (Variable, &'a [f64]),
    /// Up the figure.
    pub y: (Variable, &'a [f64]),
    /// What each cell computes.
    pub task: &'a MapTask,
}

impl MapGrid<'_> {
    /// The changes of one cell, SI; cells go one row of x after the other.
    pub fn changes(&self, index: usize) -> Vec<(Variable, f64)> {
        let columns = self.x.1.len();
        let mut changes = self.set.to_vec();
        changes.push((self.x.0, self.x.1[index % columns]));
        changes.push((self.y.0, self.y.1[index / columns]));
        changes
    }
}

/// Solves for the designs of equal reach at each level (rad); empty where neither
/// variable moves the reach.
///
/// # Arguments
/// - `cells`: the grid's cells, one row of x after the other.
pub fn lines_of_equal_reach(
    grid: &MapGrid<'_>,
    cells: &[Cell],
    levels: &[f64],
) -> Vec<EqualReachLine> {
    let (x, y) = (grid.x, grid.y);
    let along_x = y.0.moves_reach();
    if !along_x && !x.0.moves_reach() {
        return Vec::new();
    }
    let (along, solved) = if along_x { (x, y) } else { (y, x) };
    let columns = x.1.len();
    let reaches_beside = |index: usize| -> Vec<Option<f64>> {
        (0..solved.1.len())
            .map(|other| {
                let place = if along_x {
                    other * columns + index
                } else {
                    index * columns + other
                };
                cells[place].reach
            })
            .collect()
    };
    let point = |index: usize, level: f64| {
        let mut changes = grid.set.to_vec();
        changes.push((along.0, along.1[index]));
        let fixed = Fixed {
            base: grid.base,
            changes: &changes,
            task: grid.task,
        };
        let value = at_reach(&fixed, solved.0, solved.1, &reaches_beside(index), level)?;
        changes.push((solved.0, value));
        Some((value, cell(grid.base, &changes, grid.task)))
    };
    levels
        .iter()
        .map(|level| EqualReachLine {
            level: *level,
            solved: solved.0,
            along: along.0,
            points: (0..along.1.len())
                .into_par_iter()
                .map(|index| point(index, *level))
                .collect(),
        })
        .collect()
}

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
