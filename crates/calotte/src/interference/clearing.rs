//! The part of a range in which every two parts keep their clearance.
//!
//! Turning the first mechanism angle turns everything, and what stands still is
//! coaxial with it, so distances depend on the second angle alone. Between samples
//! they are bounded by the bodies' relative angular speed; a piece of the range that
//! is neither surely free nor surely blocked is halved, down to [`RESOLUTION`].

use thiserror::Error;

use crate::built::Built;
use crate::design::Design;
use crate::kinematics::Kinematics;
use crate::linkage::Configuration;

use super::cores::PreparedCore;
use super::least::PairDistance;
use super::pairs::{Pairs, looked_at};
use super::sampler::{Sampler, starting_pieces};
use super::strips::{Shape, Strips};
use super::walk::Walk;

/// Ends of free ranges are located to this, rad.
pub const RESOLUTION: f64 = 1e-9;

/// A built design prepared for looking at its clearances.
#[derive(Debug, Clone)]
pub struct Clearing<'a> {
    pub(super) design: &'a Design,
    pub(super) kinematics: &'a Kinematics,
    pub(super) built: &'a Built,
    pub(super) pairs: Pairs,
    clearance: f64,
}

/// Two solids that reach their clearance.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Contact {
    /// Indices in `Built::solids`.
    pub solids: [usize; 2],
    /// Second mechanism angle, rad.
    pub second: f64,
    /// Their distance there, m; negative where they pass through one another.
    pub distance: f64,
}

/// What ends a free range.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum RangeEnd {
    /// The range asked for ends; nothing has come near.
    Asked,
    /// The first pair reaches its clearance.
    Contact(Contact),
    /// The bars no longer close.
    NotClosed,
}

impl RangeEnd {
    /// The pair that comes near, if one does.
    pub fn contact(&self) -> Option<&Contact> {
        match self {
            RangeEnd::Contact(contact) => Some(contact),
            _ => None,
        }
    }
}

/// A connected range in which every pair keeps its clearance.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FreeRange {
    /// Lower and upper end of the second mechanism angle, rad.
    pub range: [f64; 2],
    /// What ends it at either end.
    pub ends: [RangeEnd; 2],
}

/// Why clearances cannot be told.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum ClearingError {
    /// Without layers bars pass through one another by intent.
    #[error("the design has no layers; without [layers] the bars pass through one another")]
    NoLayers,
    /// A clearance that is no distance.
    #[error("clearance {0} m, must be zero or a positive number")]
    Clearance(f64),
    /// A solid whose sizes or directions are no finite numbers.
    #[error("{0} has a size or a direction that is no finite number, or an arc of a half turn")]
    Solid(String),
    /// A range that holds nothing.
    #[error("range {lo} to {hi} rad of the second mechanism angle is empty")]
    EmptyRange {
        /// Lower end, rad.
        lo: f64,
        /// Upper end, rad.
        hi: f64,
    },
    /// The value to start from lies outside the range.
    #[error("{inside} rad lies outside the range {lo} to {hi} rad")]
    Outside {
        /// The value, rad.
        inside: f64,
        /// Lower end, rad.
        lo: f64,
        /// Upper end, rad.
        hi: f64,
    },
    /// Two solids lack their clearance at the value to start from.
    #[error("{first} and {second} are {} m apart at {} rad, too near", contact.distance, contact.second)]
    Blocked {
        /// Name of the first.
        first: String,
        /// Name of the second.
        second: String,
        /// Where and how near.
        contact: Contact,
    },
    /// The bars do not close at this value.
    #[error("the bars do not close at {0} rad")]
    NotClosed(f64),
}

impl<'a> Clearing<'a> {
    /// Prepares a built design.
    ///
    /// # Errors
    /// [`ClearingError`] without layers, and for sizes that are no finite numbers.
    pub fn new(
        design: &'a Design,
        kinematics: &'a Kinematics,
        built: &'a Built,
    ) -> Result<Self, ClearingError> {
        let layers = design.layers.as_ref().ok_or(ClearingError::NoLayers)?;
        let clearance = layers.clearance;
        if !(clearance >= 0.0 && clearance.is_finite()) {
            return Err(ClearingError::Clearance(clearance));
        }
        Ok(Self {
            design,
            kinematics,
            built,
            pairs: Pairs::new(built, &kinematics.linkage, clearance)?,
            clearance,
        })
    }

    /// The pairs that are looked at.
    pub fn pairs(&self) -> &Pairs {
        &self.pairs
    }

    /// The clearance that is kept, m.
    pub fn clearance(&self) -> f64 {
        self.clearance
    }

    /// Names of two solids.
    pub fn names(&self, solids: [usize; 2]) -> [&'a str; 2] {
        solids.map(|index| self.built.solids[index].name.as_str())
    }

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

    /// The widest free part of a range; `None` if no part is free.
    ///
    /// # Errors
    /// [`ClearingError::EmptyRange`].
    pub fn widest_free_range(&self, range: [f64; 2]) -> Result<Option<FreeRange>, ClearingError> {
        let mut widest: Option<[f64; 2]> = None;
        for piece in self.allowed_intervals(range)? {
            if widest.is_none_or(|best| piece[1] - piece[0] > best[1] - best[0]) {
                widest = Some(piece);
            }
        }
        widest
            .map(|piece| self.free_range(range, 0.5 * (piece[0] + piece[1])))
            .transpose()
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

pub(super) fn check_range(range: [f64; 2]) -> Result<[f64; 2], ClearingError> {
    let [lo, hi] = range;
    if lo <= hi && (hi - lo).is_finite() {
        Ok(range)
    } else {
        Err(ClearingError::EmptyRange { lo, hi })
    }
}
