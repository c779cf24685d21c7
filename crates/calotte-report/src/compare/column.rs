//! One design of a comparison.

use calotte::analysis::Analysis;
use calotte::design::Design;
use calotte_format::safety::Safety;

use super::measured::Measured;
use crate::input::Input;

/// One design.
pub struct Column {
    /// What it is called.
    pub name: String,
    /// The design.
    pub design: Input<Design>,
    /// What it does.
    pub analysis: Analysis,
    /// What measuring says of it, where a prototype was measured.
    pub measured: Option<Measured>,
}

/// Who may be hurt by what, of all designs together.
pub fn safety_of(columns: &[Column], people_near: bool) -> Safety {
    Safety::of_all(columns.iter().map(|c| &c.design.value), people_near)
}

/// Coverage that may be missing against the most for a design to compare in what is
/// the worst over the covered part (a rule of this program).
pub(super) const COVERAGE_SLACK: f64 = 0.05;

/// Whether each design covers about as much as the one that covers most.
pub(super) fn covers_alike(columns: &[Column]) -> Vec<bool> {
    let covered = |c: &Column| c.analysis.conditioning.coverage.fraction;
    let most = columns.iter().map(covered).fold(0.0, f64::max);
    columns
        .iter()
        .map(|c| covered(c) >= most - COVERAGE_SLACK)
        .collect()
}
