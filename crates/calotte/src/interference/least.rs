//! Least distances of all pairs over a range, bounded between samples.

use super::answer::{ClearingError, RESOLUTION, check_range};
use super::prepared::Clearing;
use super::sampler::{Sampler, Speeds, starting_pieces};

/// No configuration of the range brings a pair nearer than its reported least distance
/// less this, m, and [`RELATIVE_TOLERANCE`] of it.
pub const TOLERANCE: f64 = 1e-5;

/// See [`TOLERANCE`]; what is far away need not be known as well.
pub const RELATIVE_TOLERANCE: f64 = 0.01;

/// Samples of the range that set the first estimates.
const SAMPLES: usize = 16;

/// Samples after which the search for lower distances stops.
const EVALUATIONS_MAX: usize = 200_000;

/// Distance of two solids.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PairDistance {
    /// Indices in `Built::solids`, ascending.
    pub solids: [usize; 2],
    /// Distance, m; negative where they pass through one another.
    pub distance: f64,
    /// Second mechanism angle at which it is reached, rad; `None` if it is the radial
    /// distance of their shells, which no angle changes, or belongs to one given
    /// configuration.
    pub second: Option<f64>,
}

impl Clearing<'_> {
    /// Least distance of every pair over a range, in the order of the pairs.
    ///
    /// The distance is one that the pair has at the stated angle, or the radial
    /// distance of its shells; nowhere in the range is it less by more than
    /// [`TOLERANCE`] and [`RELATIVE_TOLERANCE`] of it.
    ///
    /// # Errors
    /// [`ClearingError`] for an empty range and for one in which the bars do not close.
    pub fn least_distances(&self, range: [f64; 2]) -> Result<Vec<PairDistance>, ClearingError> {
        let [lo, hi] = check_range(range)?;
        let mut search = Search {
            clearing: self,
            sampler: Sampler::new(self),
            open: Vec::new(),
            best: self
                .pairs
                .solids
                .iter()
                .map(|pair| PairDistance {
                    solids: pair.solids,
                    distance: pair.radial,
                    second: None,
                })
                .collect(),
        };
        for (pair, solids) in self.pairs.solids.iter().enumerate() {
            let pieces = solids.pieces.clone();
            search.open.extend(pieces.map(|piece| (piece, pair)));
        }
        for sample in 0..=SAMPLES {
            let second = lo + (hi - lo) * sample as f64 / SAMPLES as f64;
            if !search.sampler.place(second) {
                return Err(ClearingError::NotClosed(second));
            }
            for place in 0..search.open.len() {
                let (piece, pair) = search.open[place];
                search.measure(piece, pair, second);
            }
        }
        let all = 0..search.open.len();
        for piece in starting_pieces(lo, hi) {
            search.descend(piece, all.clone(), None)?;
        }
        Ok(search.best)
    }
}

struct Search<'c> {
    clearing: &'c Clearing<'c>,
    sampler: Sampler<'c>,
    /// Pairs of pieces with their pair of solids, a block for each level.
    open: Vec<(usize, usize)>,
    best: Vec<PairDistance>,
}

impl Search<'_> {
    /// Takes a distance at a sample into account; the chord it belongs to.
    fn measure(&mut self, piece: usize, pair: usize, second: f64) -> f64 {
        let pieces = self.clearing.pairs.pieces[piece];
        let chord = self.sampler.chord(pieces.between);
        let distance = self.clearing.pairs.strips[pieces.strips].distance(chord);
        let best = &mut self.best[pair];
        if distance < best.distance {
            best.distance = distance;
            best.second = Some(second);
        }
        chord
    }

    fn descend(
        &mut self,
        piece: [f64; 2],
        active: std::ops::Range<usize>,
        within: Option<Speeds>,
    ) -> Result<(), ClearingError> {
        let [lo, hi] = piece;
        let middle = 0.5 * (lo + hi);
        let speeds = self.sampler.speeds(lo, hi, within);
        if !self.sampler.place(middle) {
            return Err(ClearingError::NotClosed(middle));
        }
        self.open.truncate(active.end);
        let start = self.open.len();
        for place in active {
            let (index, pair) = self.open[place];
            let chord = self.measure(index, pair, middle);
            let pieces = self.clearing.pairs.pieces[index];
            let change = self.sampler.speed(speeds, pieces.between) * 0.5 * (hi - lo);
            let lowest = self.clearing.pairs.strips[pieces.strips].distance(chord - change);
            // Whether a piece of the range may hold less is settled by all samples so far.
            let best = self.best[pair].distance;
            let kept = lowest >= best - TOLERANCE - RELATIVE_TOLERANCE * best.abs();
            if !kept {
                self.open.push((index, pair));
            }
        }
        let end = self.open.len();
        let narrow = middle <= lo || middle >= hi || hi - lo < RESOLUTION;
        if start == end || narrow || self.sampler.evaluations > EVALUATIONS_MAX {
            return Ok(());
        }
        self.descend([lo, middle], start..end, Some(speeds))?;
        self.descend([middle, hi], start..end, Some(speeds))
    }
}
