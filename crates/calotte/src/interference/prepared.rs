//! A built design with its pairs, ready to look at clearances.

use std::sync::Arc;

use crate::built::Built;
use crate::design::Design;
use crate::family::parameters::Capability;
use crate::kinematics::Kinematics;

use super::answer::ClearingError;
use super::pairs::Pairs;

/// A built design prepared for looking at its clearances.
#[derive(Debug, Clone)]
pub struct Clearing<'a> {
    pub(super) kinematics: &'a Kinematics,
    pub(super) built: &'a Built,
    pub(super) pairs: Arc<Pairs>,
    pub(super) clearance: f64,
}

impl<'a> Clearing<'a> {
    /// Prepares a built design.
    ///
    /// # Errors
    /// [`ClearingError`] without layers, and for sizes that are no finite numbers.
    pub fn new(
        design: &Design,
        kinematics: &'a Kinematics,
        built: &'a Built,
    ) -> Result<Self, ClearingError> {
        let clearance = clearance_of(design)?;
        let pairs = Arc::new(Pairs::new(built, &kinematics.linkage, clearance)?);
        Self::of_pairs(design, kinematics, built, pairs)
    }

    /// The same with the pairs that an earlier one of this design has found.
    pub(crate) fn of_pairs(
        design: &Design,
        kinematics: &'a Kinematics,
        built: &'a Built,
        pairs: Arc<Pairs>,
    ) -> Result<Self, ClearingError> {
        Ok(Self {
            kinematics,
            built,
            pairs,
            clearance: clearance_of(design)?,
        })
    }

    /// The pairs, for another one of this design.
    pub(crate) fn into_pairs(self) -> Arc<Pairs> {
        self.pairs
    }

    /// The clearance that is kept, m.
    pub fn clearance(&self) -> f64 {
        self.clearance
    }

    /// Names of two solids.
    pub fn names(&self, solids: [usize; 2]) -> [&'a str; 2] {
        solids.map(|index| self.built.solids[index].name.as_str())
    }
}

/// The distance that parts of a design keep, m.
fn clearance_of(design: &Design) -> Result<f64, ClearingError> {
    design.family.offers(Capability::Clearing)?;
    let layers = design.layers.as_ref().ok_or(ClearingError::NoLayers)?;
    let clearance = layers.clearance;
    if clearance >= 0.0 && clearance.is_finite() {
        Ok(clearance)
    } else {
        Err(ClearingError::Clearance(clearance))
    }
}
