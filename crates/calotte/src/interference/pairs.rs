//! Which pairs of solids are looked at, and what each needs to keep its clearance.
//!
//! Left out: solids of one body and solids assembled with each other. Pieces whose
//! shells lie apart along the radius can never come nearer than that; their radial
//! distance is kept and nothing is sampled. For all others the clearance is turned
//! into the least chord between the two cores, once for each pair of shapes. Of
//! several pieces about one axis (pin, spacer, bosses of both bars) the one that needs
//! most decides, and a direction that ends an arc needs no look of its own where the
//! arc asks for as much.

mod register;

use std::ops::Range;

use crate::built::{Built, Solid};
use crate::linkage::Linkage;

use super::answer::ClearingError;
use super::cores::PreparedCore;
use super::strips::Strips;
use register::{Listed, Register};

/// Shells nearer than this lie face to face, m: they may slide on one another.
pub(super) const FACES_TOUCH: f64 = 1e-9;

/// A core and the bodies it is fixed to; a joint axis is fixed to all its bodies.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct BodyCore {
    /// The body whose frame the core is given in.
    pub(super) body: usize,
    pub(super) core: PreparedCore,
    /// All bodies that hold it.
    pub(super) held_by: Vec<usize>,
    /// The directions that end an arc, as indices of cores.
    pub(super) ends: [usize; 2],
}

/// A pair of solids that is looked at.
#[derive(Debug, Clone, PartialEq)]
pub struct SolidPair {
    /// Indices in `Built::solids`, ascending.
    pub solids: [usize; 2],
    /// Least radial distance of those of their pieces whose shells lie apart, m;
    /// infinite if there are none.
    pub radial: f64,
    pub(super) pieces: Range<usize>,
}

/// Two cores between which something is looked at.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Between {
    pub(super) cores: [usize; 2],
    /// The couples of bodies that hold them, as a part of `Pairs::couple_lists`; empty
    /// if one body holds both and nothing changes.
    pub(super) couples: Range<usize>,
}

/// Two pieces whose shells overlap along the radius.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct PiecePair {
    pub(super) between: usize,
    pub(super) strips: usize,
}

/// Two cores that must keep a chord.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Check {
    pub(super) between: usize,
    /// Least chord, 1.
    pub(super) chord: f64,
    /// The pair of solids that asks for it.
    pub(super) pair: usize,
}

/// All pairs of a built design.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Pairs {
    /// The pairs that are looked at.
    pub solids: Vec<SolidPair>,
    pub(super) cores: Vec<BodyCore>,
    pub(super) betweens: Vec<Between>,
    /// Two bodies each.
    pub(super) couples: Vec<[usize; 2]>,
    pub(super) couple_lists: Vec<usize>,
    pub(super) pieces: Vec<PiecePair>,
    pub(super) strips: Vec<Strips>,
    pub(super) checks: Vec<Check>,
}

impl Pairs {
    /// All pairs of solids that may come near each other.
    ///
    /// # Errors
    /// [`ClearingError::Solid`] for a solid whose sizes are no finite numbers.
    pub fn new(built: &Built, linkage: &Linkage, clearance: f64) -> Result<Self, ClearingError> {
        let mut register = Register::new(linkage);
        let listed: Vec<Listed> = built
            .solids
            .iter()
            .map(|solid| register.list(solid))
            .collect::<Result<_, _>>()?;
        register.close();
        let mut pairs = Pairs::default();
        for second in 0..listed.len() {
            for first in 0..second {
                if !looked_at(&built.solids[first], &built.solids[second]) {
                    continue;
                }
                let start = pairs.pieces.len();
                let lists = [&listed[first], &listed[second]];
                let radial = pairs.add_pieces(&mut register, lists, clearance);
                pairs.solids.push(SolidPair {
                    solids: [first, second],
                    radial,
                    pieces: start..pairs.pieces.len(),
                });
            }
        }
        pairs.checks = checks(&pairs, &register);
        let Register {
            cores,
            strips,
            betweens,
            couples,
            couple_lists,
            ..
        } = register;
        pairs.strips = strips.iter().map(|(strips, _)| *strips).collect();
        (pairs.cores, pairs.betweens) = (cores, betweens);
        (pairs.couples, pairs.couple_lists) = (couples, couple_lists);
        Ok(pairs)
    }

    /// Adds what two solids must look at; the radial distance of what they need not.
    fn add_pieces(&mut self, register: &mut Register, lists: [&Listed; 2], clearance: f64) -> f64 {
        let apart = (lists[0].inner - lists[1].outer).max(lists[1].inner - lists[0].outer);
        if apart >= -FACES_TOUCH {
            return apart.max(0.0);
        }
        let mut radial = f64::INFINITY;
        for (core, shape) in &lists[0].pieces {
            for (other_core, other_shape) in &lists[1].pieces {
                let strips = register.strips(*shape, *other_shape, clearance);
                let gap = register.strips[strips].0.radial_gap();
                if gap >= -FACES_TOUCH {
                    radial = radial.min(gap.max(0.0));
                } else {
                    self.pieces.push(PiecePair {
                        between: register.between([*core, *other_core]),
                        strips,
                    });
                }
            }
        }
        radial
    }
}

/// Whether any distance is kept between two solids.
pub(super) fn looked_at(first: &Solid, second: &Solid) -> bool {
    first.body != second.body
        && !first.assembled_with.contains(&second.body)
        && !second.assembled_with.contains(&first.body)
}

/// What is asked of each two cores, less what others cover.
fn checks(pairs: &Pairs, register: &Register) -> Vec<Check> {
    let mut checks: Vec<Option<Check>> = vec![None; register.betweens.len()];
    for (pair, solids) in pairs.solids.iter().enumerate() {
        for piece in &pairs.pieces[solids.pieces.clone()] {
            let chord = register.strips[piece.strips].1;
            let check = &mut checks[piece.between];
            if check.is_none_or(|known| known.chord < chord) && chord > f64::NEG_INFINITY {
                *check = Some(Check {
                    between: piece.between,
                    chord,
                    pair,
                });
            }
        }
    }
    let asks_as_much = |cores: [usize; 2], check: &Check| {
        register
            .known_between(cores)
            .filter(|other| *other != check.between)
            .and_then(|other| checks[other])
            .is_some_and(|other| other.chord >= check.chord)
    };
    let covered = |check: &Check| {
        let [first, second] = register.betweens[check.between].cores;
        let holders = |core: usize| std::iter::once(core).chain(register.arcs_ending_in(core));
        holders(first).any(|a| holders(second).any(|b| asks_as_much([a, b], check)))
    };
    checks
        .iter()
        .flatten()
        .filter(|check| !covered(check))
        .copied()
        .collect()
}
