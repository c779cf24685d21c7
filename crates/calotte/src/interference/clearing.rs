//! The part of a range in which every two parts keep their clearance.
//!
//! Turning the first mechanism angle turns everything, and what stands still is
//! coaxial with it, so distances depend on the second angle alone. Between samples
//! they are bounded by the bodies' relative angular speed; a piece of the range that
//! is neither surely free nor surely blocked is halved, down to [`RESOLUTION`].

use crate::linkage::Configuration;

use super::cores::PreparedCore;
use super::least::PairDistance;
use super::pairs::looked_at;
use super::sampler::{Sampler, starting_pieces};
use super::strips::{Shape, Strips};
use super::walk::Walk;

pub use super::answer::{ClearingError, Contact, FreeRange, RESOLUTION, RangeEnd};
pub use super::prepared::Clearing;

use super::answer::check_range;

impl Clearing<'_> {
    /// The connected part of a range about a value in which every pair keeps its
    /// clearance; its ends are located to [`RESOLUTION`].
    ///
    /// # Errors
    /// [`ClearingError`] for an empty range, a value outside it, and a value at which
    /// a pair is too near or the bars do not close.
    pub fn free_range(&self, range: [f64; 2], inside: f64) -> Result<FreeRange, ClearingError> {
        let [lo, hi] = check_range(range)?;
        if !(lo <= inside && inside <= hi) {
            return Err(ClearingError::Outside { inside, lo, hi });
        }
        if let Some(contact) = self.least_at(inside)?
            && contact.distance < self.clearance
        {
            let [first, second] = self.names(contact.solids).map(str::to_string);
            return Err(ClearingError::Blocked {
                first,
                second,
                contact,
            });
        }
        let mut walk = Walk::new(self);
        let (upper, upper_end) = walk.outward(inside, hi);
        let (lower, lower_end) = walk.outward(inside, lo);
        Ok(FreeRange {
            range: [lower, upper],
            ends: [lower_end, upper_end],
        })
    }

    /// All maximal parts of a range in which every pair keeps its clearance, ascending;
    /// parts narrower than [`RESOLUTION`] are left out.
    ///
    /// # Errors
    /// [`ClearingError::EmptyRange`].
    pub fn allowed_intervals(&self, range: [f64; 2]) -> Result<Vec<[f64; 2]>, ClearingError> {
        let [lo, hi] = check_range(range)?;
        let mut walk = Walk::new(self);
        let mut found = Vec::new();
        for piece in starting_pieces(lo, hi) {
            let active = walk.all_checks();
            walk.intervals(piece, active, None, &mut found);
        }
        found.retain(|piece: &[f64; 2]| piece[1] - piece[0] > RESOLUTION);
        Ok(found)
    }

    /// The pair with the least distance at a second mechanism angle among those that
    /// are sampled; `None` if all keep their radial distance.
    ///
    /// # Errors
    /// [`ClearingError::NotClosed`].
    pub fn least_at(&self, second: f64) -> Result<Option<Contact>, ClearingError> {
        let mut sampler = Sampler::new(self);
        if !second.is_finite() || !sampler.place(second) {
            return Err(ClearingError::NotClosed(second));
        }
        let mut least: Option<Contact> = None;
        for pair in &self.pairs.solids {
            for piece in &self.pairs.pieces[pair.pieces.clone()] {
                let chord = sampler.chord(piece.between);
                let distance = self.pairs.strips[piece.strips].distance(chord);
                if least.is_none_or(|best| distance < best.distance) {
                    least = Some(Contact {
                        solids: pair.solids,
                        second,
                        distance,
                    });
                }
            }
        }
        Ok(least)
    }

    /// Distances of all pairs at a configuration, those whose radial distance never
    /// changes included, in the order of the solids.
    pub fn distances_at(&self, configuration: &Configuration) -> Vec<PairDistance> {
        let solids = &self.built.solids;
        let placed: Vec<Vec<(PreparedCore, Shape)>> = solids
            .iter()
            .map(|solid| {
                let rotation = &configuration.rotations[solid.body];
                let pieces = solid.pieces.iter();
                pieces
                    .filter_map(|piece| {
                        let core = PreparedCore::new(&piece.core)?.turned(rotation);
                        Some((core, Shape::of(piece)?))
                    })
                    .collect()
            })
            .collect();
        let mut distances = Vec::new();
        for second in 0..solids.len() {
            for first in 0..second {
                if !looked_at(&solids[first], &solids[second]) {
                    continue;
                }
                let mut least = f64::INFINITY;
                for (core, shape) in &placed[first] {
                    for (other_core, other_shape) in &placed[second] {
                        let chord = super::cores::chord(core, other_core);
                        least = least.min(Strips::new(shape, other_shape).distance(chord));
                    }
                }
                distances.push(PairDistance {
                    solids: [first, second],
                    distance: least,
                    second: None,
                });
            }
        }
        distances
    }
}
