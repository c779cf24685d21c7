//! What is worst between two rings: rings are added until nothing can hide there.
//!
//! Between neighbours a value that bends one way lies below both chords drawn on from the
//! rings beside them; where they meet is the most it can be. Pieces in which that is beyond the worst value by
//! more than [`LEFT`] are halved, and so are those next to a peak that is not yet drawn out.
//! Dips narrower than a piece come from configurations near a singularity: those nearest to
//! one are among the rings from the start. Apart from that the bound is as good as the
//! assumption: an estimate, no proof.

use rayon::prelude::*;

use crate::elasticity::FewDigits;
use crate::kinematics::Kinematics;
use crate::kinematics::conditioning::lci_at;
use crate::number::minimum::golden_minimum;

use super::precision::fewest;
use super::ring::RingResult;

/// Share by which a worst value may be exceeded between the rings.
pub(super) const LEFT: f64 = 1e-3;
/// Share of the worst value by which neighbours of its ring may be better.
const DRAWN_OUT: f64 = 0.1;
/// Peaks below this share of the worst value are left as they are.
const RIVAL: f64 = 0.7;
/// Share by which neighbours of a rival may be better than it.
const RIVAL_DRAWN_OUT: f64 = 0.3;
/// Rings added at most.
const ADDED_MAX: usize = 200;
/// Narrowest piece that is halved, rad.
const NARROWEST: f64 = 1e-6;

/// Rings with what was added, and what may be left.
#[derive(Debug, Clone)]
pub(super) struct Refined {
    /// Ascending polar angle.
    pub(super) rings: Vec<RingResult>,
    /// Share by which a worst value may be exceeded between them.
    pub(super) left: f64,
    /// The fewest digits of any of them, where they are not enough.
    pub(super) few_digits: Option<FewDigits>,
}

/// How bad a ring is by every measure, greater is worse, none below 0.
type Badness<'a> = dyn Fn(&RingResult) -> Vec<f64> + Sync + 'a;

/// Adds rings to a grid where something worse may lie between. `solve` gives the ring at a
/// polar angle, `None` where nothing of it is asked for or it has no answer.
pub(super) fn refined(
    grid: Vec<RingResult>,
    solve: &(dyn Fn(f64) -> Option<RingResult> + Sync),
    seeds: &[f64],
    badness: &Badness<'_>,
) -> Refined {
    let mut known: Vec<(Vec<f64>, RingResult)> = grid
        .into_iter()
        .map(|ring| (badness(&ring), ring))
        .collect();
    let mut asked: Vec<f64> = seeds.to_vec();
    let mut added = 0;
    let left = loop {
        let new: Vec<_> = asked
            .par_iter()
            .filter_map(|polar| solve(*polar))
            .map(|ring| (badness(&ring), ring))
            .collect();
        // What has no answer would be asked for again and again.
        let stuck = !asked.is_empty() && new.is_empty();
        added += asked.len();
        known.extend(new);
        known.sort_by(|a, b| a.1.polar.total_cmp(&b.1.polar));
        let found = open_pieces(&known);
        if found.pieces.is_empty() || stuck || added >= ADDED_MAX {
            break found.left;
        }
        asked = found.pieces;
    };
    let rings: Vec<RingResult> = known.into_iter().map(|(_, ring)| ring).collect();
    Refined {
        few_digits: fewest(None, &rings),
        rings,
        left,
    }
}

/// Where rings are missing, and by how much the worst may be exceeded.
struct Open {
    /// Polar angles to look at, rad.
    pieces: Vec<f64>,
    left: f64,
}

fn open_pieces(known: &[(Vec<f64>, RingResult)]) -> Open {
    let measures = known.first().map_or(0, |(values, _)| values.len());
    let mut open = vec![false; known.len().saturating_sub(1)];
    let mut left = 0.0f64;
    for measure in 0..measures {
        let curve: Vec<[f64; 2]> = known
            .iter()
            .map(|(values, ring)| [ring.polar, values[measure]])
            .collect();
        let worst = curve.iter().map(|point| point[1]).fold(0.0, f64::max);
        if !(worst > 0.0 && worst.is_finite()) {
            continue;
        }
        for (piece, open) in open.iter_mut().enumerate() {
            let narrow = curve[piece + 1][0] - curve[piece][0] < NARROWEST;
            if narrow
                || curve[piece..piece + 2]
                    .iter()
                    .any(|point| !point[1].is_finite())
            {
                continue;
            }
            let beyond = most_between(&curve, piece) / worst - 1.0;
            left = left.max(beyond);
            *open |= beyond > LEFT || !is_drawn_out(&curve, piece, worst);
        }
    }
    let middles = (0..open.len()).filter(|piece| open[*piece]);
    Open {
        pieces: middles
            .map(|piece| 0.5 * (known[piece].1.polar + known[piece + 1].1.polar))
            .collect(),
        left,
    }
}

/// The most a curve may be between two neighbours that bends one way there.
fn most_between(curve: &[[f64; 2]], piece: usize) -> f64 {
    let (from, to) = (curve[piece], curve[piece + 1]);
    let ends = from[1].max(to[1]);
    let slope = |a: [f64; 2], b: [f64; 2]| (b[1] - a[1]) / (b[0] - a[0]);
    let before = piece.checked_sub(1).map(|index| slope(curve[index], from));
    let after = curve.get(piece + 2).map(|next| slope(to, *next));
    let width = to[0] - from[0];
    let most = match (before, after) {
        (Some(before), Some(after)) => {
            // from + before·x = to − after·(width − x)
            let x = (to[1] - after * width - from[1]) / (before - after);
            if x > 0.0 && x < width {
                from[1] + before * x
            } else {
                ends
            }
        }
        // At an end of the region one chord alone bounds it.
        (Some(before), None) => from[1] + before * width,
        (None, Some(after)) => to[1] - after * width,
        (None, None) => ends,
    };
    if most.is_finite() {
        most.max(ends)
    } else {
        ends
    }
}

/// Whether neighbours of a peak are near enough to it that nothing hides beside it.
fn is_drawn_out(curve: &[[f64; 2]], piece: usize, worst: f64) -> bool {
    let is_peak = |index: usize| {
        let here = curve[index][1];
        let lower = |other: Option<&[f64; 2]>| other.is_none_or(|other| other[1] <= here);
        lower(index.checked_sub(1).and_then(|before| curve.get(before)))
            && lower(curve.get(index + 1))
    };
    let (from, to) = (curve[piece][1], curve[piece + 1][1]);
    let drop = |peak: f64, other: f64| 1.0 - other / peak;
    [(piece, from, to), (piece + 1, to, from)]
        .into_iter()
        .filter(|(index, here, _)| *here >= RIVAL * worst && is_peak(*index))
        .all(|(_, here, other)| {
            let allowed = if here >= worst {
                DRAWN_OUT
            } else {
                RIVAL_DRAWN_OUT
            };
            drop(here, other) <= allowed
        })
}

/// Pieces of a range that are looked at for what comes near a singularity.
const LOOKED_AT: u32 = 240;

/// Polar angles (rad) between two second mechanism angles at which the linkage is nearest to a
/// singularity of either type, and where it works most unevenly.
pub(super) fn nearest_to_singular(kinematics: &Kinematics, [lo, hi]: [f64; 2]) -> Vec<f64> {
    let meridian = &kinematics.meridian;
    let mut measures: Vec<Box<dyn Fn(f64) -> f64 + '_>> = vec![
        Box::new(|x| lci_at(kinematics, x)),
        Box::new(|x| meridian.state(x).polar.first.abs()),
    ];
    for stage in 0..meridian.loops() {
        measures.push(Box::new(move |x| {
            let half = meridian.state(x).distal_half_angles[stage].value;
            (2.0 * half).sin().abs()
        }));
    }
    let at = |i: u32| lo + (hi - lo) * f64::from(i) / f64::from(LOOKED_AT);
    let mut found = Vec::new();
    for measure in &measures {
        let values: Vec<f64> = (0..=LOOKED_AT).map(|i| measure(at(i))).collect();
        for (dip, i) in values.windows(3).zip(1u32..) {
            if dip[1] <= dip[0] && dip[1] <= dip[2] {
                let x = golden_minimum(at(i - 1), at(i + 1), measure);
                found.push(meridian.state(x).polar_angle());
            }
        }
    }
    found.sort_by(f64::total_cmp);
    found.dedup_by(|a, b| (*a - *b).abs() < NARROWEST);
    found
}
