//! A built design with its pairs, ready to look at clearances.

use crate::built::Built;
use crate::design::Design;
use crate::kinematics::Kinematics;

use super::answer::ClearingError;
use super::pairs::Pairs;

/// A built design prepared for looking at its clearances.
#[derive(Debug, Clone)]
pub struct Clearing<'a> {
    pub(super) design: &'a Design,
    pub(super) kinematics: &'a Kinematics,
    pub(super) built: &'a Built,
    pub(super) pairs: Pairs,
    pub(super) clearance: f64,
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
}
