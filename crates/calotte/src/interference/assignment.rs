//! The arrangement of layers with the fewest layers that leaves a range free.
//!
//! Bars are put into layers one after the other. What may be together is asked of
//! tables of sampled angles ([`tables`]): whether two bars may share a layer, whether
//! a pin or a shaft may pass through a layer beside a bar, whether two pins may pass
//! each other. The best arrangement of each number of layers is then built and its
//! free range measured with bounds between samples, so that what is reported is proven;
//! one that fails there is dropped and the next is taken.

mod search;
mod sizes;
mod tables;

use thiserror::Error;

use crate::built::{Built, BuiltError};
use crate::design::{Arrangement, Design};
use crate::kinematics::Kinematics;
use crate::linkage::LinkageError;
use crate::number::shown::degrees_of;

use super::clearing::{Clearing, ClearingError, FreeRange, RESOLUTION};
use search::Search;
use tables::Tables;

/// An arrangement and what it leaves.
#[derive(Debug, Clone, PartialEq)]
pub struct LayerOption {
    /// Number of layers.
    pub count: usize,
    /// Layer of each bar in the order of the linkage's bodies, 0 innermost.
    pub layers: Vec<usize>,
    /// The free range about the middle of the wanted one.
    pub free: FreeRange,
    /// Whether the wanted range is free.
    pub leaves_wanted: bool,
    /// Sum of the distances of the two bars' centre lines over all pins, m.
    pub pin_length: f64,
    /// Whether all arrangements of this number of layers were looked at; with very many
    /// bars the search stops early.
    pub complete: bool,
}

impl LayerOption {
    /// The arrangement for a design.
    pub fn arrangement(&self) -> Arrangement {
        Arrangement::Given(self.layers.clone())
    }
}

/// Arrangements for growing numbers of layers.
#[derive(Debug, Clone, PartialEq)]
pub struct Assignment {
    /// The arrangement with the fewest layers, and among those the shortest pins, that
    /// leaves the wanted range free.
    pub fewest: Option<LayerOption>,
    /// For each number of layers, fewest first, the arrangement that leaves most: of the
    /// wanted range first, then of the whole. Numbers that leave nothing free about the
    /// middle of the wanted range are missing.
    pub options: Vec<LayerOption>,
}

/// Why no layers can be assigned.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum AssignmentError {
    /// The clearances cannot be told.
    #[error(transparent)]
    Clearing(#[from] ClearingError),
    /// The design cannot be built from its parts.
    #[error(transparent)]
    Built(#[from] BuiltError),
    /// The linkage cannot be built.
    #[error(transparent)]
    Linkage(#[from] LinkageError),
    /// The wanted range is no part of the whole.
    #[error("the wanted range between {} is no part of the range between {}", degrees_of(.wanted), degrees_of(.range))]
    Wanted {
        /// Wanted range, rad.
        wanted: [f64; 2],
        /// Range looked at, rad.
        range: [f64; 2],
    },
}

/// Arrangements dropped for one number of layers because the proof did not bear the
/// samples out.
const DROPPED_MAX: usize = 4;

/// The best arrangement of every number of layers for a wanted range of the second
/// mechanism angle, rad, within the range that is looked at (the working range).
///
/// What is left free about the middle of the wanted range is told apart to the distance
/// of the samples, 1/120 of the range; among equals, the shortest pins are taken, then
/// the base bars nearest to the housing, then the order of the layers. The bar that
/// carries the tool lies innermost, and bars of one joint never share a layer. The
/// arrangement the design has is not used.
///
/// # Errors
/// [`AssignmentError`] without layers, for sizes that cannot be built, for a wanted
/// range outside the other and where the bars do not close.
pub fn assign_layers(
    design: &Design,
    kinematics: &Kinematics,
    range: [f64; 2],
    wanted: [f64; 2],
) -> Result<Assignment, AssignmentError> {
    let question = Question::new(design, kinematics, range, wanted)?;
    let mut fewest = None;
    let mut options: Vec<LayerOption> = Vec::new();
    for count in 2..=question.tables.bars() {
        let fewer = options.last().filter(|option| option.count + 1 == count);
        let fewer = fewer.map(|option| option.layers.clone());
        if fewest.is_none() {
            let found = question.best(count, false, fewer.as_deref())?;
            fewest = found.filter(|option| option.leaves_wanted);
        }
        options.extend(question.best(count, true, fewer.as_deref())?);
    }
    Ok(Assignment { options, fewest })
}

/// The arrangement with the fewest layers, and among those the shortest pins, that leaves
/// the wanted range free; where none does, the one that leaves most of it, fewest layers
/// first. `None` if every arrangement is blocked in the middle of the wanted range.
/// Otherwise as [`assign_layers`], which also tells what more layers give.
///
/// # Errors
/// As [`assign_layers`].
pub fn fewest_layers(
    design: &Design,
    kinematics: &Kinematics,
    range: [f64; 2],
    wanted: [f64; 2],
) -> Result<Option<LayerOption>, AssignmentError> {
    let question = Question::new(design, kinematics, range, wanted)?;
    let mut most: Option<LayerOption> = None;
    for count in 2..=question.tables.bars() {
        let Some(found) = question.best(count, false, None)? else {
            continue;
        };
        if found.leaves_wanted {
            return Ok(Some(found));
        }
        let left = |option: &LayerOption| overlap(&option.free.range, &wanted);
        if most
            .as_ref()
            .is_none_or(|known| left(&found) > left(known) + RESOLUTION)
        {
            most = Some(found);
        }
    }
    Ok(most)
}

/// The arrangement of a number of layers that leaves most: of the wanted range first, then
/// of the whole. `None` if every one is blocked in the middle of the wanted range.
///
/// # Errors
/// As [`assign_layers`].
pub fn best_of_count(
    design: &Design,
    kinematics: &Kinematics,
    range: [f64; 2],
    wanted: [f64; 2],
    count: usize,
) -> Result<Option<LayerOption>, AssignmentError> {
    let question = Question::new(design, kinematics, range, wanted)?;
    if !(2..=question.tables.bars()).contains(&count) {
        return Ok(None);
    }
    question.best(count, true, None)
}

/// What is asked, with what answers it.
struct Question<'d> {
    design: &'d Design,
    kinematics: &'d Kinematics,
    tables: Tables,
    range: [f64; 2],
    wanted: [f64; 2],
}

impl<'d> Question<'d> {
    fn new(
        design: &'d Design,
        kinematics: &'d Kinematics,
        range: [f64; 2],
        wanted: [f64; 2],
    ) -> Result<Self, AssignmentError> {
        let [lo, hi] = super::answer::check_range(range)?;
        super::answer::check_range(wanted)?;
        if !(lo <= wanted[0] && wanted[1] <= hi) {
            return Err(AssignmentError::Wanted { wanted, range });
        }
        let tables = Tables::new(design, kinematics, range, wanted)?;
        Ok(Self {
            design,
            kinematics,
            tables,
            range,
            wanted,
        })
    }

    /// The best arrangement of a number of layers, its free range measured.
    fn best(
        &self,
        count: usize,
        widest: bool,
        fewer: Option<&[usize]>,
    ) -> Result<Option<LayerOption>, AssignmentError> {
        let mut dropped: Vec<Vec<usize>> = Vec::new();
        let mut best: Option<LayerOption> = None;
        while dropped.len() <= DROPPED_MAX {
            let mut search = Search::new(&self.tables, count, widest, &dropped);
            if let Some(fewer) = fewer {
                search.start_from(fewer);
            }
            let Some(layers) = search.run() else { break };
            let (complete, promised) = (search.complete, search.covers_all_wanted());
            let Some(mut option) = self.measured(&layers)? else {
                dropped.push(layers);
                continue;
            };
            option.complete = complete;
            // What leaves most is measured, whatever was promised.
            let bears_out = widest || option.leaves_wanted || !promised;
            if best.as_ref().is_none_or(|known| {
                overlap(&option.free.range, &self.wanted) > overlap(&known.free.range, &self.wanted)
            }) {
                best = Some(option);
            }
            if bears_out {
                break;
            }
            dropped.push(layers);
        }
        Ok(best)
    }

    /// Builds an arrangement and measures what it leaves; `None` if nothing about the
    /// middle of the wanted range.
    fn measured(&self, layers: &[usize]) -> Result<Option<LayerOption>, AssignmentError> {
        let mut candidate = self.design.clone();
        if let Some(described) = &mut candidate.layers {
            described.arrangement = Arrangement::Given(layers.to_vec());
        }
        let built = Built::new(&candidate, &self.kinematics.linkage)?;
        let clearing = Clearing::new(&candidate, self.kinematics, &built)?;
        let middle = 0.5 * (self.wanted[0] + self.wanted[1]);
        let free = match clearing.free_range(self.range, middle) {
            Ok(free) => free,
            Err(ClearingError::Blocked { .. }) => return Ok(None),
            Err(other) => return Err(other.into()),
        };
        let pitches = self.tables.pin_pitches(layers);
        Ok(Some(LayerOption {
            count: 1 + layers.iter().max().copied().unwrap_or(0),
            layers: layers.to_vec(),
            leaves_wanted: free.range[0] <= self.wanted[0] + RESOLUTION
                && free.range[1] >= self.wanted[1] - RESOLUTION,
            free,
            pin_length: pitches as f64 * built.pitch,
            complete: true,
        }))
    }
}

fn overlap(a: &[f64; 2], b: &[f64; 2]) -> f64 {
    a[1].min(b[1]) - a[0].max(b[0])
}
