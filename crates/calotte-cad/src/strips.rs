//! Which levels each loop of the outline is sampled at.
//!
//! A level belongs to whatever made it necessary: the steps of a void's round profile
//! mean nothing to the hole beside it. A loop that keeps its structure from slab to slab
//! skips every level at which it would be on a straight line anyway.

use nalgebra::Vector3;

use crate::circle::nearest_turn;
use crate::levels::{Slab, off_chord, profile_steps};
use crate::outline::{Corner, Stretch, corner_at};
use crate::region::Model;

use calotte::built::Profile;

/// What one stretch sweeps between two levels.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Strip {
    /// Index of the lower level.
    pub low: usize,
    /// Index of the upper level.
    pub high: usize,
    /// The stretch as it is next to the lower level.
    pub lower: Stretch,
    /// The stretch as it is next to the upper level, on the same turn.
    pub upper: Stretch,
}

/// A loop that keeps its structure: its stretches in each slab from the first on.
struct Chain {
    first: usize,
    slabs: Vec<Vec<Stretch>>,
}

/// The strips of all walls; level `i` is the lower end of slab `i`.
pub(crate) fn strips(model: &Model, slabs: &[Slab]) -> Vec<Strip> {
    let mut open: Vec<Chain> = Vec::new();
    let mut strips = Vec::new();
    for (index, slab) in slabs.iter().enumerate() {
        let mut next = Vec::new();
        for stretches in loops(model, slab) {
            let known = open.iter().position(|chain| {
                let last = &chain.slabs[chain.slabs.len() - 1];
                last.len() == stretches.len()
                    && last.iter().zip(&stretches).all(|(a, b)| a.same_as(b))
            });
            next.push(match known {
                Some(position) => {
                    let mut chain = open.swap_remove(position);
                    chain.slabs.push(stretches);
                    chain
                }
                None => Chain {
                    first: index,
                    slabs: vec![stretches],
                },
            });
        }
        for ended in std::mem::replace(&mut open, next) {
            divide(model, slabs, &ended, &mut strips);
        }
    }
    for chain in open {
        divide(model, slabs, &chain, &mut strips);
    }
    strips
}

/// The stretches of a slab's outline by loops: those that share ends.
fn loops(model: &Model, slab: &Slab) -> Vec<Vec<Stretch>> {
    let stretches = &slab.outline.stretches;
    let radius = 0.5 * (slab.low + slab.high);
    let ends: Vec<Vec<Vector3<f64>>> = stretches
        .iter()
        .map(|stretch| {
            let corners = stretch.ends.map_or(Vec::new(), |(from, to)| vec![from, to]);
            let place = |corner| corner_at(model, stretch.circle, corner, radius).0 * radius;
            corners.into_iter().map(place).collect()
        })
        .collect();
    let touch = |a: usize, b: usize| {
        ends[a]
            .iter()
            .any(|p| ends[b].iter().any(|q| (p - q).norm() <= model.same))
    };
    let mut free: Vec<usize> = (0..stretches.len()).collect();
    let mut loops = Vec::new();
    while !free.is_empty() {
        let mut members = vec![free.remove(0)];
        let mut seen = 0;
        while seen < members.len() {
            let here = members[seen];
            seen += 1;
            let (near, far) = free.into_iter().partition(|other| touch(here, *other));
            members.extend::<Vec<usize>>(near);
            free = far;
        }
        members.sort_unstable();
        loops.push(members.iter().map(|index| stretches[*index]).collect());
    }
    loops
}

/// Takes a chain in steps as long as its corners and round profiles allow.
fn divide(model: &Model, slabs: &[Slab], chain: &Chain, strips: &mut Vec<Strip>) {
    let last = chain.slabs.len();
    let mut from = 0;
    while from < last {
        let mut to = from + 1;
        while to < last && straight(model, slabs, chain, from, to + 1) {
            to += 1;
        }
        for (lower, upper) in chain.slabs[from].iter().zip(&chain.slabs[to - 1]) {
            let turned = nearest_turn(upper.start - lower.start);
            strips.push(Strip {
                low: chain.first + from,
                high: chain.first + to,
                lower: *lower,
                upper: Stretch {
                    start: lower.start + turned,
                    ..*upper
                },
            });
        }
        from = to;
    }
}

/// Whether all that moves along a chain stays near the chord from one level to another.
fn straight(model: &Model, slabs: &[Slab], chain: &Chain, from: usize, to: usize) -> bool {
    let radius_at = |level: usize| slabs[chain.first + level].low;
    let (low, high) = (radius_at(from), slabs[chain.first + to - 1].high);
    // Levels between, and the middles of what lies between those.
    let between: Vec<f64> = (from + 1..to)
        .flat_map(|level| {
            let slab = &slabs[chain.first + level];
            [slab.low, 0.5 * (slab.low + slab.high)]
        })
        .collect();
    chain.slabs[from].iter().all(|stretch| {
        let circle = &model.circles[stretch.circle];
        let round = circle.widening.profile == Profile::Round;
        let width = circle.widening.half_width;
        // Nearer to the centre than it is wide, a straight round has a flat end instead.
        if !round && low < width && width < high {
            return false;
        }
        let tolerance = if round {
            let steps = profile_steps(model, width);
            let half_step = std::f64::consts::FRAC_PI_2 / steps as f64;
            // What the profile's own steps leave, and a little for rounding.
            1.001 * width * (1.0 - half_step.cos())
        } else {
            model.options.chord_tolerance
        };
        let mut moving: Vec<Corner> = Vec::new();
        if let Some((start, end)) = stretch.ends {
            moving.extend([start, end]);
        }
        if round {
            moving.push(Corner::Fixed(stretch.start + 0.5 * stretch.length));
        }
        moving.iter().all(|corner| {
            let at = |radius: f64| corner_at(model, stretch.circle, *corner, radius).0 * radius;
            let (start, end) = (at(low), at(high));
            between
                .iter()
                .all(|radius| off_chord(start, at(*radius), end) <= tolerance)
        })
    })
}
