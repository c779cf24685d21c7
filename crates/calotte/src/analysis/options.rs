//! What an analysis is asked for besides requirements, and why there may be none.

use thiserror::Error;

use crate::elasticity::ElasticityError;
use crate::family::parameters::NotAvailable;
use crate::interference::ClearingError;
use crate::linkage::mobility::MobilityError;
use crate::sphere::RegionError;
use crate::surroundings::ShapeError;

use super::rows::Row;

/// How finely the region is sampled.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct AnalysisOptions {
    /// Polar angles, both ends included, before more are added between them.
    pub rings: usize,
    /// Azimuths on each, about.
    pub around: usize,
    /// Whether the ends of bands are evaluated too.
    pub bands: bool,
    /// Whether they are left out where a limit is missed at nominal values already, so that the
    /// verdict does not depend on them. The options of an analysis then say that they were.
    pub bands_only_if_met: bool,
    /// Whether singularities between samples are excluded by proof.
    pub proof: bool,
}

impl AnalysisOptions {
    /// Whether the ends of bands are evaluated for these rows, judged at nominal values.
    pub(super) fn want_bands(&self, rows: &[Row]) -> bool {
        let missed = |row: &Row| row.met_at_nominal() == Some(false);
        self.bands && !(self.bands_only_if_met && rows.iter().any(missed))
    }
}

impl Default for AnalysisOptions {
    fn default() -> Self {
        Self {
            rings: 25,
            around: 12,
            bands: true,
            bands_only_if_met: false,
            proof: true,
        }
    }
}

/// Why there is no analysis.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum AnalysisError {
    /// The family does not answer it yet.
    #[error(transparent)]
    NotAvailable(#[from] NotAvailable),
    /// The design cannot be built or solved at all.
    #[error(transparent)]
    Elasticity(#[from] ElasticityError),
    /// The region is empty.
    #[error(transparent)]
    Region(#[from] RegionError),
    /// Clearances cannot be told.
    #[error(transparent)]
    Clearing(#[from] ClearingError),
    /// A keep-out has no usable shape.
    #[error(transparent)]
    KeepOut(#[from] ShapeError),
    /// The linkage has not two freedoms.
    #[error(transparent)]
    Mobility(#[from] MobilityError),
}
