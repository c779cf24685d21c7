//! Fewer dots where candidates are many: one for every square of a mesh.

use crate::plot::geometry::Point;
use std::collections::BTreeMap;

/// Most dots drawn; a dot takes about 14 bytes, so the file stays well below a megabyte.
const DOTS_MAX: usize = 40_000;
/// Up to this many candidates all are drawn.
pub(crate) const UNTHINNED_MAX: usize = 5_000;
/// Up to this many feasible candidates are all drawn, and large, whatever else is: they
/// are what is chosen from.
pub(crate) const LARGE_MAX: usize = 1_500;

/// A dot and the group it belongs to.
pub(crate) type Dot = (usize, Point);

/// Keeps one dot of every square of a mesh, each layer by itself; the squares grow from
/// `cell` pt until few enough are left. Few feasible dots, the second layer, all stay. Returns the side of the
/// squares, pt, and the dots in their order.
///
/// Which dot stays is decided by a scrambled count, so that no group is favoured.
pub(crate) fn thin(layers: [Vec<Dot>; 2], mut cell: f64) -> (f64, [Vec<Dot>; 2]) {
    if layers.iter().map(Vec::len).sum::<usize>() <= UNTHINNED_MAX {
        return (0.0, layers);
    }
    let [infeasible, feasible] = layers;
    loop {
        let kept = [
            one_per_square(&infeasible, cell),
            if feasible.len() <= LARGE_MAX {
                feasible.clone()
            } else {
                one_per_square(&feasible, cell)
            },
        ];
        if kept.iter().map(Vec::len).sum::<usize>() <= DOTS_MAX {
            return (cell, kept);
        }
        cell *= 1.1;
    }
}

/// Keeps one dot of every square of `cell` pt, in their order.
pub(crate) fn one_per_square(dots: &[Dot], cell: f64) -> Vec<Dot> {
    let mut stays: BTreeMap<(i64, i64), (u64, usize)> = BTreeMap::new();
    for (index, (_, place)) in dots.iter().enumerate() {
        let square = |c: f64| (c / cell).floor() as i64;
        let rank = scrambled(index as u64);
        let best = stays
            .entry((square(place[0]), square(place[1])))
            .or_insert((rank, index));
        *best = (*best).min((rank, index));
    }
    let mut indices: Vec<usize> = stays.into_values().map(|(_, index)| index).collect();
    indices.sort_unstable();
    indices.into_iter().map(|index| dots[index]).collect()
}

/// Bits of `count` mixed (the finalising step of the published SplitMix64 generator).
fn scrambled(count: u64) -> u64 {
    let mut z = count.wrapping_add(0x9e37_79b9_7f4a_7c15);
    z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    z ^ (z >> 31)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn mesh(count: u32) -> Vec<Dot> {
        (0..count)
            .map(|i| (0, [f64::from(i % 300), f64::from(i / 300)]))
            .collect()
    }

    #[test]
    fn few_dots_are_all_drawn() {
        let (_, [none, all]) = thin([Vec::new(), mesh(3000)], 5.0);
        assert!(none.is_empty());
        assert_eq!(all.len(), 3000);
    }

    #[test]
    fn thinning_is_bounded_and_keeps_every_occupied_square() {
        let dots = mesh(90_000);
        let (cell, [_, kept]) = thin([Vec::new(), dots.clone()], 0.5);
        assert!(kept.len() <= DOTS_MAX && cell > 1.0);
        let squares = |dots: &[Dot]| -> std::collections::BTreeSet<(i64, i64)> {
            let square = |c: f64| (c / cell).floor() as i64;
            dots.iter()
                .map(|(_, p)| (square(p[0]), square(p[1])))
                .collect()
        };
        assert_eq!(squares(&dots), squares(&kept));
    }

    #[test]
    fn few_feasible_dots_all_stay_among_many_others() {
        let few: Vec<Dot> = mesh(600)
            .into_iter()
            .map(|(g, p)| (g, [p[0], p[1] * 1e-3]))
            .collect();
        let (cell, [others, kept]) = thin([mesh(90_000), few.clone()], 0.5);
        assert!(cell > 0.0 && others.len() < 90_000);
        assert_eq!(kept, few);
    }

    /// Two groups of equal size on the same places keep about half each (derived: a fair
    /// choice among n squares strays by about √n/2).
    #[test]
    fn thinning_favours_no_group() {
        let dots: Vec<Dot> = (0..20_000)
            .map(|i| (i % 2, [(i / 2 % 100) as f64, (i / 200) as f64]))
            .collect();
        let kept = one_per_square(&dots, 1.0);
        let first = kept.iter().filter(|(group, _)| *group == 0).count();
        assert_eq!(kept.len(), 10_000);
        assert!((4_800..=5_200).contains(&first), "{first}");
    }
}
