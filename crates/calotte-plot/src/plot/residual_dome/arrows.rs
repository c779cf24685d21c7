//! Sizes of residuals, which of them are drawn, and the shape of an arrow.

use super::ResidualRow;
use crate::plot::geometry::{Point, distance};
use crate::plot::thinning::one_per_square;

/// Up to this many rows every arrow is drawn.
const UNTHINNED_MAX: usize = 150;
/// Most arrows of one panel, the greatest residual aside.
const ARROWS_MAX: usize = 400;
/// Lengths below this are none, mm.
const NONE: f64 = 1e-90;

/// Sizes of a panel's residuals.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Statistics {
    /// Rows used.
    pub used: usize,
    /// Rows not used.
    pub not_used: usize,
    /// Root mean square length of those used, mm.
    pub rms: f64,
    /// Number and length of the longest used, mm; the first of equals.
    pub greatest: Option<(usize, f64)>,
    /// Number and length of the longest that is not used, mm.
    pub greatest_not_used: Option<(usize, f64)>,
    /// Longest part along the dome of those used, mm.
    pub along_max: f64,
    /// Greatest size of a part outward of those used, mm.
    pub outward_max: f64,
}

impl Statistics {
    pub fn of(rows: &[ResidualRow]) -> Self {
        let longest = |used: bool| {
            let of_kind = rows.iter().filter(|row| row.used == used);
            of_kind
                .map(|row| (row.number, none_if_tiny(row.length())))
                .fold(None, |best: Option<(usize, f64)>, found| match best {
                    Some(best) if best.1 >= found.1 => Some(best),
                    _ => Some(found),
                })
        };
        let used = || rows.iter().filter(|row| row.used);
        let count = used().count();
        let squares: f64 = used().map(|row| row.length().powi(2)).sum();
        let most =
            |size: fn(&ResidualRow) -> f64| none_if_tiny(used().map(size).fold(0.0, f64::max));
        Self {
            used: count,
            not_used: rows.len() - count,
            rms: (squares / count.max(1) as f64).sqrt(),
            greatest: longest(true),
            greatest_not_used: longest(false),
            along_max: most(ResidualRow::along),
            outward_max: most(|row| row.outward_mm.abs()),
        }
    }
}

fn none_if_tiny(length: f64) -> f64 {
    if length < NONE { 0.0 } else { length }
}

/// Which of the places get an arrow: all of few; of many one in every square of a mesh, and
/// the one of `greatest`. Returns the side of the squares, pt (0 where all are drawn), and
/// positions in the list, ascending.
pub(super) fn drawn(places: &[Point], greatest: Option<usize>, cell: f64) -> (f64, Vec<usize>) {
    if places.len() <= UNTHINNED_MAX {
        return (0.0, (0..places.len()).collect());
    }
    let dots: Vec<(usize, Point)> = places.iter().copied().enumerate().collect();
    let mut cell = cell;
    let mut kept = one_per_square(&dots, cell);
    while kept.len() > ARROWS_MAX {
        cell *= 1.1;
        kept = one_per_square(&dots, cell);
    }
    let mut indices: Vec<usize> = kept.into_iter().map(|(index, _)| index).collect();
    indices.extend(greatest);
    indices.sort_unstable();
    indices.dedup();
    (cell, indices)
}

/// The greatest of 1, 2 and 5 times a power of ten that is not above `length`.
pub(super) fn round_length(length: f64) -> f64 {
    let exponent = length.log10().floor() as i32;
    let ten = |multiple: f64, exponent: i32| {
        if exponent < 0 {
            multiple / 10f64.powi(-exponent)
        } else {
            multiple * 10f64.powi(exponent)
        }
    };
    [5.0, 2.0, 1.0]
        .into_iter()
        .map(|multiple| ten(multiple, exponent))
        .find(|round| *round <= length * (1.0 + 1e-9))
        .unwrap_or_else(|| ten(5.0, exponent - 1))
}

/// Outline of an arrow from `from` to `to` with a shaft `shaft` pt wide and a head at most
/// `head` pt long; `None` for one too short to be seen.
pub(super) fn arrow(from: Point, to: Point, shaft: f64, head: f64) -> Option<[Point; 7]> {
    let length = distance(from, to);
    if length < shaft {
        return None;
    }
    let along = [(to[0] - from[0]) / length, (to[1] - from[1]) / length];
    let head = head.min(length * 0.6);
    let wing = (head * 0.42).max(shaft * 0.9);
    let at = |distance: f64, aside: f64| {
        [
            from[0] + along[0] * distance - along[1] * aside,
            from[1] + along[1] * distance + along[0] * aside,
        ]
    };
    let (neck, half) = (length - head, shaft / 2.0);
    Some([
        at(0.0, -half),
        at(neck, -half),
        at(neck, -wing),
        to,
        at(neck, wing),
        at(neck, half),
        at(0.0, half),
    ])
}

#[cfg(test)]
mod tests {
    use super::*;

    fn row(number: usize, polar_mm: f64, outward_mm: f64, used: bool) -> ResidualRow {
        ResidualRow {
            number,
            polar_mm,
            outward_mm,
            used,
            ..ResidualRow::default()
        }
    }

    /// Lengths 5, 0 and 13 from the Pythagorean triples 3-4-5 and 5-12-13; the root mean
    /// square of 5 and 0 is 5/√2.
    #[test]
    fn sizes_are_of_the_rows_used_alone() {
        let rows = [
            row(3, 3.0, -4.0, true),
            row(4, 0.0, 0.0, true),
            row(9, 5.0, 12.0, false),
        ];
        let found = Statistics::of(&rows);
        assert_eq!((found.used, found.not_used), (2, 1));
        assert!((found.rms - 5.0 / 2f64.sqrt()).abs() < 1e-12);
        assert_eq!(found.greatest, Some((3, 5.0)));
        assert_eq!(found.greatest_not_used, Some((9, 13.0)));
        assert_eq!((found.along_max, found.outward_max), (3.0, 4.0));
    }

    #[test]
    fn key_lengths_are_one_two_or_five() {
        for (length, round) in [
            (1.0, 1.0),
            (1.99, 1.0),
            (4.9, 2.0),
            (0.07, 0.05),
            (730.0, 500.0),
        ] {
            assert!(
                (round_length(length) / round - 1.0).abs() < 1e-12,
                "{length}"
            );
        }
    }

    #[test]
    fn thinning_is_bounded_repeatable_and_keeps_the_greatest() {
        let places: Vec<Point> = (0..10_000)
            .map(|i| [f64::from(i % 100), f64::from(i / 100)])
            .collect();
        for greatest in [0, 77, 9_999] {
            let (cell, kept) = drawn(&places, Some(greatest), 3.0);
            assert!(cell >= 3.0 && kept.len() <= ARROWS_MAX + 1 && kept.len() > 200);
            assert!(kept.contains(&greatest));
            assert_eq!(drawn(&places, Some(greatest), 3.0), (cell, kept));
        }
        let (cell, all) = drawn(&places[..150], None, 3.0);
        assert_eq!((cell, all.len()), (0.0, 150));
    }

    #[test]
    fn arrow_points_where_it_should() {
        let outline = arrow([0.0, 0.0], [10.0, 0.0], 1.0, 4.0).expect("long enough");
        assert_eq!(outline[3], [10.0, 0.0]);
        assert_eq!(outline[1], [6.0, -0.5]);
        assert!(arrow([0.0, 0.0], [0.2, 0.0], 1.0, 4.0).is_none());
    }
}
