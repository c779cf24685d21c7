//! Bounds of LCI and GCI over a box of arcs, and values in its middle.

use std::f64::consts::PI;

use crate::family::triangle::{TriangleClass, cosine_at_tool, cosines_at_tool, stationary_polar};
use crate::kinematics::Margins;
use crate::number::enclosure::Enclosure;
use crate::number::minimum::golden_minimum;

use super::branch::{Known, Piece, SIDES, Taken};
use super::required::Required;

/// Places at which the least index of one linkage is looked for before it is drawn out.
const PLACES: usize = 24;

/// Shares of the region smaller than this are not cut any more.
const MISSED_MIN: f64 = 1e-6;

/// One class asked about one region from one attitude of the base.
pub(super) struct Case<'a> {
    pub(super) class: TriangleClass,
    pub(super) required: &'a Required,
    pub(super) coverage_min: f64,
    pub(super) margins: Margins,
    /// Pieces of polar angle for means, with the share of the region in each.
    pub(super) shares: Vec<([f64; 2], f64)>,
}

/// What a box asks for.
struct Asked {
    near: Enclosure,
    far: Enclosure,
    middle: [f64; SIDES],
    /// Polar angles that are reached from end to end, rad; `None` where none is sure.
    reached: Option<[f64; 2]>,
    cut: usize,
}

impl Case<'_> {
    /// Boxes that hold all arcs and all that may be missed within.
    pub(super) fn roots(&self, arcs: [[f64; 2]; 2], case: usize) -> Vec<Piece> {
        let spare = self.required.may_miss_surely(self.coverage_min);
        let each = self.required.missed_within(spare).into_iter();
        each.map(|missed| Piece {
            sides: [arcs[0], arcs[1], missed],
            case,
        })
        .collect()
    }

    fn asked(&self, piece: &Piece) -> Asked {
        let spare = self.required.may_miss_surely(self.coverage_min);
        let [near, far, missed] = piece.sides;
        let from = missed.map(|missed| self.required.from(missed));
        let to = missed.map(|missed| self.required.to(spare - missed));
        let width = |ends: [Option<f64>; 2]| match ends {
            [Some(a), Some(b)] => (a - b).abs(),
            _ => PI,
        };
        // Where the region has a gap what is required jumps, however little is missed.
        let by_missed = if self.required.share(missed[1] - missed[0]) > MISSED_MIN {
            width(from) + width(to)
        } else {
            0.0
        };
        let widths = [near[1] - near[0], far[1] - far[0], by_missed];
        let cut = (0..SIDES).max_by(|a, b| widths[*a].total_cmp(&widths[*b]).then(b.cmp(a)));
        Asked {
            near: Enclosure::new(near[0], near[1]),
            far: Enclosure::new(far[0], far[1]),
            middle: piece.sides.map(|[lo, hi]| 0.5 * (lo + hi)),
            reached: match (from[1], to[0]) {
                (Some(from), Some(to)) if from <= to => Some([from, to]),
                _ => None,
            },
            cut: cut.unwrap_or(0),
        }
    }

    /// The least index that any linkage of a box can have where it must reach.
    pub(super) fn lci(&self, piece: &Piece) -> Option<Known> {
        let asked = self.asked(piece);
        let worst = self.worst_in_middle(&asked);
        let upper = self.over_reached(&asked, worst.map(|(_, polar)| polar))?;
        Some(Known {
            upper,
            taken: worst.map(|(value, _)| Taken {
                value,
                at: asked.middle,
                case: piece.case,
            }),
            cut: asked.cut,
        })
    }

    /// The greatest mean index over the region of any linkage of a box that keeps all limits.
    pub(super) fn gci(&self, piece: &Piece) -> Option<Known> {
        let asked = self.asked(piece);
        let worst = self.worst_in_middle(&asked);
        let lci = self.over_reached(&asked, worst.map(|(_, polar)| polar))?;
        if lci < self.margins.lci_min - LOST {
            return None;
        }
        let spans = self.spans();
        let mut means = vec![LOST; spans.len()];
        for ([from, to], share) in &self.shares {
            let polar = Enclosure::new(*from, *to);
            let cosines = cosines_at_tool(asked.near, asked.far, polar);
            for (mean, [lo, hi]) in means.iter_mut().zip(&spans) {
                let held = cosines.intersection(&Enclosure::new(*lo, *hi));
                let index = held.map(|held| self.class.index_max(held, polar, asked.far));
                // What has not the margin is no part of the working range.
                *mean += index
                    .filter(|index| *index >= self.margins.lci_min - LOST)
                    .map_or(0.0, |index| index * share);
            }
        }
        let upper = means.into_iter().reduce(f64::max)?;
        let kept = worst.is_some_and(|(least, _)| least >= self.margins.lci_min);
        Some(Known {
            upper,
            taken: kept.then(|| Taken {
                value: self.mean_in_middle(&asked),
                at: asked.middle,
                case: piece.case,
            }),
            cut: asked.cut,
        })
    }

    fn spans(&self) -> Vec<[f64; 2]> {
        self.class.cosine_spans(self.margins.transmission_angle_min)
    }

    /// Upper bound of the index over the polar angles that are looked at, all of which must be
    /// reached without passing from one span of cos γ to another; `None` if that surely fails.
    fn over_reached(&self, asked: &Asked, worst: Option<f64>) -> Option<f64> {
        let Some([from, to]) = asked.reached else {
            return Some(1.0);
        };
        let stationary = stationary_polar(asked.middle[0], asked.middle[1]);
        let inside = [worst, stationary].into_iter().flatten();
        let places: Vec<f64> = [from, to]
            .into_iter()
            .chain(inside.filter(|polar| (from..=to).contains(polar)))
            .collect();
        let spans = self.spans().into_iter();
        spans
            .filter_map(|span| {
                places.iter().try_fold(1.0f64, |least, polar| {
                    let index = self.index_at(asked, Enclosure::point(*polar), span)?;
                    Some(least.min(index))
                })
            })
            .reduce(f64::max)
    }

    /// Upper bound of the index at polar angles; `None` where surely none of them is reached
    /// within a span of cos γ.
    fn index_at(&self, asked: &Asked, polar: Enclosure, [lo, hi]: [f64; 2]) -> Option<f64> {
        let cosines = cosines_at_tool(asked.near, asked.far, polar);
        let cosines = cosines.intersection(&Enclosure::new(lo, hi))?;
        Some(self.class.index_max(cosines, polar, asked.far))
    }

    /// The least index of the linkage in the middle over polar angles that cover enough, with
    /// its place; `None` if it does not reach all of them.
    fn worst_in_middle(&self, asked: &Asked) -> Option<(f64, f64)> {
        let [near, far, missed] = asked.middle;
        let spare = self.required.may_miss(self.coverage_min);
        let within = missed.min(spare);
        let [from, to] = self.required.covering(within, spare - within);
        if from > to {
            return None;
        }
        let index = |polar: f64| {
            let cosine = cosine_at_tool(near, far, polar);
            self.class.index(cosine, polar, far)
        };
        let at = |place: usize| from + (to - from) * place as f64 / PLACES as f64;
        let places: Vec<f64> = (0..=PLACES)
            .map(at)
            .chain(stationary_polar(near, far).filter(|polar| (from..=to).contains(polar)))
            .collect();
        let spans = self.spans();
        let held = |polar: &f64, [lo, hi]: &[f64; 2]| {
            (*lo..=*hi).contains(&cosine_at_tool(near, far, *polar))
        };
        if !spans
            .iter()
            .any(|span| places.iter().all(|polar| held(polar, span)))
        {
            return None;
        }
        let least =
            (0..places.len()).min_by(|a, b| index(places[*a]).total_cmp(&index(places[*b])))?;
        let step = (to - from) / PLACES as f64;
        let beside = [places[least] - step, places[least] + step].map(|x| x.clamp(from, to));
        let drawn_out = golden_minimum(beside[0], beside[1], &index);
        let polar = if index(drawn_out) < index(places[least]) {
            drawn_out
        } else {
            places[least]
        };
        Some((index(polar), polar))
    }

    /// The mean index over the region of the linkage in the middle, each piece by its middle.
    fn mean_in_middle(&self, asked: &Asked) -> f64 {
        let [near, far, _] = asked.middle;
        let spans = self.spans();
        let each = self.shares.iter().map(|([from, to], share)| {
            let polar = 0.5 * (from + to);
            let cosine = cosine_at_tool(near, far, polar);
            let held = spans.iter().any(|[lo, hi]| (*lo..=*hi).contains(&cosine));
            let index = self.class.index(cosine, polar, far);
            if held && index >= self.margins.lci_min {
                index * share
            } else {
                0.0
            }
        });
        each.sum()
    }
}

/// What sums, areas and comparisons of a judgement may be off by.
pub(super) const LOST: f64 = 1e-8;
