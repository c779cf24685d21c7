//! Root isolation in one coordinate by interval arithmetic.
//!
//! A piece of the coordinate is called free when the enclosure of the function
//! over it does not hold zero; that is a proof for every point between samples,
//! given the stated error of the standard library's functions (see
//! [`super::enclosure`]). What is left is either one simple root, shown by a
//! slope of one sign, or an unresolved piece narrower than the stated width.

use super::enclosure::Enclosure;

/// Value and slope of a function over a piece; `None` where it is surely undefined.
pub type Evaluation = Option<(Enclosure, Enclosure)>;

/// What an isolation found.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Isolation {
    /// Enclosures of simple roots.
    pub roots: Vec<Enclosure>,
    /// Pieces narrower than the width that could not be decided: a double root,
    /// a kink or the edge of the domain.
    pub unresolved: Vec<Enclosure>,
    /// Pieces on which the function is surely undefined, merged.
    pub undefined: Vec<Enclosure>,
    /// Evaluations used.
    pub evaluations: usize,
    /// Whether the limit on evaluations cut the work short.
    pub exhausted: bool,
}

impl Isolation {
    /// All places where the function may vanish or stop, ascending.
    pub fn stops(&self) -> Vec<Enclosure> {
        let mut stops: Vec<Enclosure> = self
            .roots
            .iter()
            .chain(&self.unresolved)
            .chain(&self.undefined)
            .copied()
            .collect();
        stops.sort_by(|a, b| a.lo.total_cmp(&b.lo));
        stops
    }
}

/// Narrowest piece looked at, rad.
pub const WIDTH_MIN: f64 = 1e-9;
const EVALUATIONS_MAX: usize = 200_000;

/// Isolates the roots of `function` on `[lo, hi]`.
pub fn isolate(lo: f64, hi: f64, function: impl Fn(Enclosure) -> Evaluation) -> Isolation {
    let mut result = Isolation::default();
    let mut stack = vec![Enclosure::new(lo, hi)];
    while let Some(piece) = stack.pop() {
        result.evaluations += 1;
        if result.evaluations > EVALUATIONS_MAX {
            result.exhausted = true;
            result.unresolved.push(piece);
            continue;
        }
        let Some((value, slope)) = function(piece) else {
            push_merged(&mut result.undefined, piece);
            continue;
        };
        if !tightened(&function, piece, value, slope).holds_zero() {
            continue;
        }
        let monotone = !slope.holds_zero() && slope.lo.is_finite() && slope.hi.is_finite();
        if monotone {
            match monotone_root(&function, piece) {
                MonotoneRoot::None => continue,
                MonotoneRoot::Within(root) => {
                    push_merged(&mut result.roots, root);
                    continue;
                }
                // An end is a root itself or lies outside the domain: look closer.
                MonotoneRoot::Undecided => {}
            }
        }
        if piece.width() < WIDTH_MIN {
            push_merged(&mut result.unresolved, piece);
        } else {
            let middle = piece.middle();
            // The upper half goes on first so that pieces come out ascending.
            stack.push(Enclosure::new(middle, piece.hi));
            stack.push(Enclosure::new(piece.lo, middle));
        }
    }
    result
}

/// The value's enclosure narrowed by the mean-value form.
fn tightened(
    function: &impl Fn(Enclosure) -> Evaluation,
    piece: Enclosure,
    value: Enclosure,
    slope: Enclosure,
) -> Enclosure {
    if !value.holds_zero() || !slope.lo.is_finite() || !slope.hi.is_finite() {
        return value;
    }
    let middle = Enclosure::point(piece.middle());
    match function(middle) {
        Some((at_middle, _)) => {
            let form = at_middle + slope * (piece - middle);
            value.intersection(&form).unwrap_or(form)
        }
        None => value,
    }
}

/// What the ends of a piece say about a function of one slope sign on it.
enum MonotoneRoot {
    /// Both ends have the same sign: no root.
    None,
    /// The ends differ: one root, enclosed.
    Within(Enclosure),
    /// The sign at an end is not known.
    Undecided,
}

/// Looks for the one root of a function of one slope sign on a piece.
fn monotone_root(function: &impl Fn(Enclosure) -> Evaluation, piece: Enclosure) -> MonotoneRoot {
    let sign = |x: f64| match function(Enclosure::point(x)) {
        Some((value, _)) if value.lo > 0.0 => 1,
        Some((value, _)) if value.hi < 0.0 => -1,
        _ => 0,
    };
    let (mut lo, mut hi) = (piece.lo, piece.hi);
    let (at_lo, at_hi) = (sign(lo), sign(hi));
    if at_lo == 0 || at_hi == 0 {
        return MonotoneRoot::Undecided;
    }
    if at_lo == at_hi {
        return MonotoneRoot::None;
    }
    for _ in 0..60 {
        let middle = 0.5 * (lo + hi);
        match sign(middle) {
            0 => return MonotoneRoot::Within(Enclosure::new(lo, hi)),
            s if s == at_lo => lo = middle,
            _ => hi = middle,
        }
        if hi - lo < 1e-14 {
            break;
        }
    }
    MonotoneRoot::Within(Enclosure::new(lo, hi))
}

fn push_merged(list: &mut Vec<Enclosure>, piece: Enclosure) {
    match list.last_mut() {
        Some(last) if piece.lo - last.hi < 1e-12 => last.hi = last.hi.max(piece.hi),
        _ => list.push(piece),
    }
}

/// A lower bound of `function` over `[lo, hi]` that holds between samples, and
/// how far below the least sample it may lie. `None` where it is undefined.
pub fn lower_bound(
    lo: f64,
    hi: f64,
    tolerance: f64,
    function: impl Fn(Enclosure) -> Evaluation,
) -> Option<f64> {
    let mut best_sample = f64::INFINITY;
    let mut bound = f64::INFINITY;
    let mut stack = vec![Enclosure::new(lo, hi)];
    let mut evaluations = 0;
    while let Some(piece) = stack.pop() {
        evaluations += 1;
        let (value, slope) = function(piece)?;
        let (at_middle, _) = function(Enclosure::point(piece.middle()))?;
        best_sample = best_sample.min(at_middle.hi);
        let value = tightened(&function, piece, value, slope);
        let low = if value.holds_zero() || value.lo < best_sample - tolerance {
            let form = at_middle + slope * (piece - Enclosure::point(piece.middle()));
            if form.lo.is_finite() {
                value.lo.max(form.lo)
            } else {
                value.lo
            }
        } else {
            value.lo
        };
        if low >= best_sample - tolerance || piece.width() < WIDTH_MIN || evaluations > 20_000 {
            bound = bound.min(low);
        } else {
            let middle = piece.middle();
            stack.push(Enclosure::new(middle, piece.hi));
            stack.push(Enclosure::new(piece.lo, middle));
        }
    }
    Some(bound)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::number::jet::Jet;

    fn polynomial(x: Enclosure) -> Evaluation {
        // (x − 1)(x − 2)² has a simple and a double root.
        let x = Jet::variable(x);
        let f = (x - Jet::constant(1.0)) * (x - Jet::constant(2.0)) * (x - Jet::constant(2.0));
        Some((f.value, f.first))
    }

    #[test]
    fn simple_root_is_enclosed_and_double_root_is_left_open() {
        let found = isolate(0.0, 3.0, polynomial);
        assert_eq!(found.roots.len(), 1);
        assert!((found.roots[0].middle() - 1.0).abs() < 1e-12);
        assert!(!found.unresolved.is_empty());
        assert!(
            found
                .unresolved
                .iter()
                .all(|piece| (piece.middle() - 2.0).abs() < 1e-4)
        );
    }

    #[test]
    fn a_root_between_any_grid_of_samples_is_found() {
        // A dip of width 1e-5 that no grid of degrees would show.
        let dip = |x: Enclosure| {
            let x = Jet::variable(x) - Jet::constant(0.123_456);
            let f = (x * x).scaled(1e10) - Jet::constant(0.5);
            Some((f.value, f.first))
        };
        assert_eq!(isolate(0.0, 1.0, dip).roots.len(), 2);
    }

    #[test]
    fn an_undefined_end_does_not_hide_a_root() {
        // Defined up to 0.7, with its root at 0.5.
        let partly = |x: Enclosure| {
            if x.lo > 0.7 {
                return None;
            }
            let jet = Jet::variable(x) - Jet::constant(0.5);
            Some((jet.value, jet.first))
        };
        let found = isolate(0.3, 0.71, partly);
        assert_eq!(found.roots.len(), 1, "{found:?}");
        assert!((found.roots[0].middle() - 0.5).abs() < 1e-12);
    }

    #[test]
    fn lower_bound_lies_below_every_sample_and_near_the_least() {
        let f = |x: Enclosure| {
            let jet = Jet::variable(x).sin() + Jet::constant(2.0);
            Some((jet.value, jet.first))
        };
        let bound = lower_bound(0.0, 6.0, 1e-3, f).unwrap();
        assert!(bound <= 1.0 && bound > 1.0 - 2e-3);
    }
}
