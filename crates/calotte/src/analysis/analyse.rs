//! The whole analysis: by rings where everything turns about one fixed axis, else by cells.

use crate::design::Design;
use crate::kinematics::Workspace;
use crate::subject::Subject;

use super::by_cells::by_cells;
use super::options::{AnalysisError, AnalysisOptions};
use super::report::{Analysis, by_rings, rows_by_rings};
use super::requirements::Requirements;
use super::rows::Row;

/// Analyses a design against its requirements.
///
/// # Errors
/// [`AnalysisError`] if the design cannot be built, the region is empty, the
/// mobility is not two, or something is asked that the family does not answer yet. A design
/// that reaches nothing is an answer, not an error.
pub fn analyse(
    design: &Design,
    requirements: &Requirements,
    options: &AnalysisOptions,
) -> Result<Analysis, AnalysisError> {
    analyse_subject(&requirements.subject(design)?, requirements, options)
}

/// The same for a design made ready for these requirements.
///
/// # Errors
/// As [`analyse`].
pub fn analyse_subject(
    subject: &Subject,
    requirements: &Requirements,
    options: &AnalysisOptions,
) -> Result<Analysis, AnalysisError> {
    match Workspace::of(subject.kinematics()) {
        Some(workspace) => by_cells(subject, &workspace, requirements, options),
        None => by_rings(subject, requirements, options),
    }
}

/// The rows of a design, its limits each judged by the same number as by [`analyse_subject`]
/// with the same options, at a share of its work: no proof between samples, no band of what has
/// no limit, of what is missed already or is to hold at nominal values alone. Limits come first.
///
/// # Errors
/// As [`analyse`].
pub fn judged_rows(
    subject: &Subject,
    requirements: &Requirements,
    options: &AnalysisOptions,
) -> Result<Vec<Row>, AnalysisError> {
    match Workspace::of(subject.kinematics()) {
        Some(workspace) => Ok(by_cells(subject, &workspace, requirements, options)?.rows),
        None => rows_by_rings(subject, requirements, options),
    }
}

/// The limits of a design alone, see [`judged_rows`]. The rows of all limits are there.
///
/// # Errors
/// As [`analyse`].
pub fn judged_limits(
    subject: &Subject,
    requirements: &Requirements,
    options: &AnalysisOptions,
) -> Result<Vec<Row>, AnalysisError> {
    let mut rows = judged_rows(subject, requirements, options)?;
    rows.retain(|row| row.needed.is_some());
    Ok(rows)
}
