//! Branch and bound: how great a function can be anywhere in boxes of a few numbers.
//!
//! Boxes are looked at in the order of their bounds, a fixed number at a time, each by itself:
//! the result does not depend on the number of threads.

use std::cmp::Ordering;
use std::collections::BinaryHeap;

use rayon::prelude::*;

/// Numbers that a box spans: near arc, far arc, and what is missed within.
pub(super) const SIDES: usize = 3;
/// Boxes cut at a time.
const AT_A_TIME: usize = 32;
/// Sides shorter than this are not cut any more.
const SIDE_MIN: f64 = 1e-12;

/// A box, closed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Piece {
    /// Lower and upper end of each number.
    pub(super) sides: [[f64; 2]; SIDES],
    /// Which of several cases it belongs to.
    pub(super) case: usize,
}

/// A value that is taken somewhere in a box.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Taken {
    /// The value.
    pub(super) value: f64,
    /// Where.
    pub(super) at: [f64; SIDES],
    /// In which case.
    pub(super) case: usize,
}

/// What is known of a box.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Known {
    /// No value in it is greater.
    pub(super) upper: f64,
    /// A value in it, to rounding.
    pub(super) taken: Option<Taken>,
    /// The side that is to be cut.
    pub(super) cut: usize,
}

/// When to stop.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Until {
    /// Distance between bound and best value that is near enough.
    pub(super) gap: f64,
    /// A value of which it must be known whether it is reached.
    pub(super) decided: Option<f64>,
    /// Boxes looked at, at most (by a few).
    pub(super) boxes: usize,
}

/// What was found over all boxes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Bounded {
    /// No value is greater; `None` where there surely is none at all.
    pub(super) upper: Option<f64>,
    /// The best value met.
    pub(super) best: Option<Taken>,
    /// Boxes looked at.
    pub(super) boxes: usize,
}

/// A box that was looked at.
struct Open {
    piece: Piece,
    upper: f64,
    cut: usize,
    order: usize,
}

impl Ord for Open {
    /// The greatest bound first, then the one that came first.
    fn cmp(&self, other: &Self) -> Ordering {
        let by_bound = self.upper.total_cmp(&other.upper);
        by_bound.then(other.order.cmp(&self.order))
    }
}

impl PartialOrd for Open {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl PartialEq for Open {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other) == Ordering::Equal
    }
}

impl Eq for Open {}

/// Bounds a function over boxes.
///
/// # Arguments
/// - `look`: what is known of a box; `None` where it surely holds no value.
pub(super) fn greatest(
    roots: &[Piece],
    until: Until,
    look: &(dyn Fn(&Piece) -> Option<Known> + Sync),
) -> Bounded {
    let mut open = BinaryHeap::new();
    let mut result = Bounded {
        upper: None,
        best: None,
        boxes: 0,
    };
    // Bounds of boxes too small to be cut.
    let mut left: Option<f64> = None;
    let mut new: Vec<(Piece, f64)> = roots.iter().map(|root| (*root, f64::INFINITY)).collect();
    loop {
        let known: Vec<Option<Known>> = new.par_iter().map(|(piece, _)| look(piece)).collect();
        for ((piece, of_parent), known) in new.drain(..).zip(known) {
            let order = result.boxes;
            result.boxes += 1;
            let Some(known) = known else { continue };
            if let Some(taken) = known.taken
                && result.best.is_none_or(|best| taken.value > best.value)
            {
                result.best = Some(taken);
            }
            open.push(Open {
                piece,
                upper: known.upper.min(of_parent),
                cut: known.cut,
                order,
            });
        }
        let top = open.peek().map(|open: &Open| open.upper);
        result.upper = [top, left].into_iter().flatten().reduce(f64::max);
        if enough(&result, until) || top.is_none() {
            return result;
        }
        while new.len() < 2 * AT_A_TIME {
            let Some(one) = open.pop() else { break };
            let [lo, hi] = one.piece.sides[one.cut];
            if hi - lo <= SIDE_MIN {
                left = Some(left.map_or(one.upper, |left| left.max(one.upper)));
                continue;
            }
            let middle = 0.5 * (lo + hi);
            for half in [[lo, middle], [middle, hi]] {
                let mut piece = one.piece;
                piece.sides[one.cut] = half;
                new.push((piece, one.upper));
            }
        }
    }
}

fn enough(result: &Bounded, until: Until) -> bool {
    let Some(upper) = result.upper else {
        return true;
    };
    let best = result.best.map(|best| best.value);
    let near = best.is_some_and(|best| upper - best <= until.gap);
    let decided = until
        .decided
        .is_none_or(|value| upper < value || best.is_some_and(|best| best >= value));
    (near && decided) || result.boxes >= until.boxes
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 1 − (x − 0.3)² − (y + 0.2)², bounded by its values at the nearest point.
    fn look(piece: &Piece) -> Option<Known> {
        let value = |x: f64, y: f64| 1.0 - (x - 0.3).powi(2) - (y + 0.2).powi(2);
        let [x, y, _] = piece.sides;
        if x[0] > 0.6 {
            return None;
        }
        let middle = [0.5 * (x[0] + x[1]), 0.5 * (y[0] + y[1]), 0.0];
        Some(Known {
            upper: value(0.3f64.clamp(x[0], x[1]), (-0.2f64).clamp(y[0], y[1])),
            taken: Some(Taken {
                value: value(middle[0], middle[1]),
                at: middle,
                case: piece.case,
            }),
            cut: usize::from(y[1] - y[0] > x[1] - x[0]),
        })
    }

    fn until(gap: f64, boxes: usize) -> Until {
        Until {
            gap,
            decided: None,
            boxes,
        }
    }

    #[test]
    fn bound_and_best_value_close_in_on_the_greatest() {
        let roots = [Piece {
            sides: [[-1.0, 2.0], [-1.0, 1.0], [0.0, 0.0]],
            case: 0,
        }];
        let found = greatest(&roots, until(1e-6, 10_000), &look);
        let best = found.best.unwrap();
        assert!(found.upper.unwrap() >= 1.0 && best.value <= 1.0);
        assert!(found.upper.unwrap() - best.value <= 1e-6);
        assert!((best.at[0] - 0.3).abs() < 1e-2, "{best:?}");
        let cut_short = greatest(&roots, until(1e-12, 100), &look);
        assert!(cut_short.upper.unwrap() >= 1.0 && cut_short.boxes < 200);
    }

    #[test]
    fn where_no_box_holds_a_value_there_is_no_bound() {
        let roots = [Piece {
            sides: [[0.7, 2.0], [-1.0, 1.0], [0.0, 0.0]],
            case: 0,
        }];
        let found = greatest(&roots, until(1e-6, 10_000), &look);
        assert_eq!((found.upper, found.best, found.boxes), (None, None, 1));
    }

    /// A value that is not reached is decided though the gap would be wide enough before.
    #[test]
    fn what_must_be_decided_is_decided() {
        let roots = [Piece {
            sides: [[-1.0, 2.0], [-1.0, 1.0], [0.0, 0.0]],
            case: 0,
        }];
        let decided = Until {
            decided: Some(1.0 - 1e-7),
            ..until(0.5, 100_000)
        };
        let found = greatest(&roots, decided, &look);
        assert!(found.best.unwrap().value >= 1.0 - 1e-7);
    }
}
