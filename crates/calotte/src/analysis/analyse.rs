//! The whole analysis: by rings where everything turns about one fixed axis, else by cells.

use crate::design::Design;
use crate::kinematics::Workspace;
use crate::subject::Subject;

use super::by_cells::by_cells;
use super::report::{Analysis, AnalysisError, AnalysisOptions, by_rings};
use super::requirements::Requirements;

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
