//! A walk over a range of the second mechanism angle that decides every piece of it.
//!
//! A sample with its margin and the bound of the speed keeps a piece free or blocked;
//! what it leaves open is halved, or near the end of a free range walked by steps.

use std::ops::Range;

use super::answer::{Contact, RESOLUTION, RangeEnd};
use super::motion::Closure;
use super::prepared::Clearing;
use super::sampler::{Sampler, Speeds, starting_pieces};

/// Pieces narrower than this are not halved, rad: the end of a range is then known to
/// [`RESOLUTION`] if the pair closes in at a fiftieth of the bound of its speed or faster.
const NARROW: f64 = 0.04 * RESOLUTION;

/// Pieces narrower than this that are not decided are walked by the bounds' own steps, rad.
const WALK_WIDTH: f64 = 0.02;

/// Margin over the rounding of chords, 1.
const ROUNDING: f64 = 1e-12;

/// Samples after which what is undecided counts as blocked: a pair that runs along its
/// limit for a stretch cannot be decided by more of them.
const EVALUATIONS_MAX: usize = 100_000;

/// A walk over a range by halving.
pub(super) struct Walk<'c> {
    clearing: &'c Clearing<'c>,
    sampler: Sampler<'c>,
    /// Indices of the checks that are undecided, a block for each level.
    undecided: Vec<u32>,
}

/// What a piece of the range turned out to be.
enum Verdict {
    Free,
    /// Blocked all over, by this check or because the bars do not close.
    Blocked(Option<usize>),
    /// These checks are undecided, and this one has the least margin.
    Undecided(Range<usize>, Option<usize>),
}

impl<'c> Walk<'c> {
    pub(super) fn new(clearing: &'c Clearing<'c>) -> Self {
        Self {
            clearing,
            sampler: Sampler::new(clearing),
            undecided: (0..clearing.pairs.checks.len() as u32).collect(),
        }
    }

    pub(super) fn all_checks(&self) -> Range<usize> {
        0..self.clearing.pairs.checks.len()
    }

    /// Looks at a piece: which checks it surely keeps, surely breaks or leaves open.
    fn look(
        &mut self,
        piece: [f64; 2],
        active: Range<usize>,
        within: Option<Speeds>,
    ) -> (Verdict, Speeds) {
        let (lo, hi) = (piece[0].min(piece[1]), piece[0].max(piece[1]));
        let speeds = self.sampler.speeds(lo, hi, within);
        let half = 0.5 * (hi - lo);
        if speeds.closure == Closure::Nowhere {
            return (Verdict::Blocked(None), speeds);
        }
        if speeds.closure == Closure::Everywhere {
            self.sampler.place_closed(0.5 * (lo + hi));
        } else if !self.sampler.place(0.5 * (lo + hi)) {
            return (Verdict::Undecided(active, None), speeds);
        }
        self.undecided.truncate(active.end);
        let start = self.undecided.len();
        let (mut least, mut nearest) = (f64::INFINITY, None);
        for place in active {
            let index = self.undecided[place];
            let check = &self.clearing.pairs.checks[index as usize];
            let margin = self.sampler.chord(check.between) - check.chord;
            let change = self.sampler.speed(speeds, check.between) * half + ROUNDING;
            if margin < -change {
                return (Verdict::Blocked(Some(index as usize)), speeds);
            }
            if margin <= change || !change.is_finite() {
                self.undecided.push(index);
                if margin < least {
                    (least, nearest) = (margin, Some(index as usize));
                }
            }
        }
        let end = self.undecided.len();
        if start == end && speeds.closure == Closure::Everywhere {
            (Verdict::Free, speeds)
        } else {
            (Verdict::Undecided(start..end, nearest), speeds)
        }
    }

    fn stop_here(&self, piece: [f64; 2]) -> bool {
        (piece[1] - piece[0]).abs() < NARROW || self.sampler.evaluations > EVALUATIONS_MAX
    }

    /// The first place outward from `inside` that is not surely free, and why.
    pub(super) fn outward(&mut self, inside: f64, end: f64) -> (f64, RangeEnd) {
        let active = self.all_checks();
        self.sampler.evaluations = 0;
        let blocked = starting_pieces(inside, end)
            .find_map(|piece| self.first_blocked(piece, active.clone(), None));
        match blocked {
            None => (end, RangeEnd::Asked),
            Some((second, None)) => (second, RangeEnd::NotClosed),
            Some((second, Some(check))) => (second, RangeEnd::Contact(self.contact(check, second))),
        }
    }

    fn contact(&mut self, check: usize, second: f64) -> Contact {
        let pairs = &self.clearing.pairs;
        let pair = &pairs.solids[pairs.checks[check].pair];
        let mut distance = f64::INFINITY;
        if self.sampler.place(second) {
            for piece in &pairs.pieces[pair.pieces.clone()] {
                let chord = self.sampler.chord(piece.between);
                distance = distance.min(pairs.strips[piece.strips].distance(chord));
            }
        }
        Contact {
            solids: pair.solids,
            second,
            distance,
        }
    }

    /// Walks a piece from its first end on, which may lie above the other.
    fn first_blocked(
        &mut self,
        piece: [f64; 2],
        active: Range<usize>,
        within: Option<Speeds>,
    ) -> Option<(f64, Option<usize>)> {
        let (verdict, speeds) = self.look(piece, active, within);
        match verdict {
            Verdict::Free => None,
            Verdict::Blocked(check) => Some((piece[0], check)),
            Verdict::Undecided(open, nearest) => {
                let middle = 0.5 * (piece[0] + piece[1]);
                if self.stop_here(piece) || middle == piece[0] || middle == piece[1] {
                    return Some((piece[0], nearest));
                }
                let narrow = (piece[1] - piece[0]).abs() < WALK_WIDTH;
                if narrow && speeds.tight {
                    return self.step_along(piece, open, speeds);
                }
                self.first_blocked([piece[0], middle], open.clone(), Some(speeds))
                    .or_else(|| self.first_blocked([middle, piece[1]], open, Some(speeds)))
            }
        }
    }

    /// Walks a piece by steps, each as long as the least margin allows.
    ///
    /// A sample keeps its surroundings free as far as its reach, margin over speed. The
    /// next sample is set ahead of what is free, just so far that by the slope of the
    /// reach it will reach back there.
    fn step_along(
        &mut self,
        piece: [f64; 2],
        active: Range<usize>,
        speeds: Speeds,
    ) -> Option<(f64, Option<usize>)> {
        let [start, end] = piece;
        let (length, side) = ((end - start).abs(), (end - start).signum());
        // Distances from the start: free up to `free`, the next sample `ahead` of it.
        let (mut free, mut ahead) = (0.0, 0.0);
        let mut last: Option<(f64, f64)> = None;
        loop {
            let at = free + ahead;
            let (reach, check) = self.reach(start + side * at, active.clone(), speeds);
            // How fast the reach falls, 0 to 1; taken as fast until it is known.
            let fall = last.map_or(1.0, |(place, before)| {
                ((before - reach) / (at - place)).clamp(0.0, 1.0)
            });
            last = Some((at, reach));
            if reach < ahead {
                ahead = 0.0;
                continue;
            }
            free = at + reach.max(0.0);
            if free >= length {
                return None;
            }
            if reach < NARROW || self.sampler.evaluations > EVALUATIONS_MAX {
                return Some((start + side * free, check));
            }
            ahead = (0.98 * reach * (1.0 - fall) / (1.0 + fall)).min(length - free);
        }
    }

    /// How far the angle may change from a sample with every check surely kept, and the
    /// check that allows least.
    fn reach(&mut self, second: f64, active: Range<usize>, speeds: Speeds) -> (f64, Option<usize>) {
        self.sampler.place_closed(second);
        let mut least = (f64::INFINITY, None);
        for place in active {
            let index = self.undecided[place] as usize;
            let check = &self.clearing.pairs.checks[index];
            let margin = self.sampler.chord(check.between) - check.chord - ROUNDING;
            let speed = self.sampler.speed(speeds, check.between);
            let reach = if margin <= 0.0 {
                margin
            } else {
                margin / speed
            };
            if reach < least.0 {
                least = (reach, Some(index));
            }
        }
        least
    }

    /// Collects the free parts of a piece, ascending.
    pub(super) fn intervals(
        &mut self,
        piece: [f64; 2],
        active: Range<usize>,
        within: Option<Speeds>,
        found: &mut Vec<[f64; 2]>,
    ) {
        let (verdict, speeds) = self.look(piece, active, within);
        match verdict {
            Verdict::Blocked(_) => {}
            Verdict::Free => match found.last_mut() {
                Some(last) if last[1] == piece[0] => last[1] = piece[1],
                _ => found.push(piece),
            },
            Verdict::Undecided(open, _) => {
                let middle = 0.5 * (piece[0] + piece[1]);
                if self.stop_here(piece) || middle == piece[0] || middle == piece[1] {
                    return;
                }
                self.intervals([piece[0], middle], open.clone(), Some(speeds), found);
                self.intervals([middle, piece[1]], open, Some(speeds), found);
            }
        }
    }
}
