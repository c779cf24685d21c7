//! What cells of directions say about a working range.

use crate::kinematics::workspace::CELL;
use crate::kinematics::{CellRange, CellSummary, Workspace};
use crate::sphere::Region;

/// What the cells say about the working range.
#[derive(Debug, Clone, PartialEq)]
pub struct CellsReport {
    /// Least and greatest polar angle of the range, to half a cell, rad.
    pub polar: [f64; 2],
    /// Greatest side of a cell, rad.
    pub cell: f64,
    /// Conditioning, coverage and margins over the region, with their stated errors.
    pub summary: CellSummary,
    /// Parts without connection that have the margins; the one that covers most of the
    /// region is in use.
    pub parts: usize,
}

impl CellsReport {
    /// Of a working range over a region (base frame).
    pub(super) fn of(workspace: &Workspace, range: &CellRange, region: &Region) -> Self {
        Self {
            polar: range.polar,
            cell: CELL,
            summary: workspace.summary(range, region),
            parts: range.parts,
        }
    }
}
