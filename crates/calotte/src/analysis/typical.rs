//! A design on usual drives and a usual ground, where it says nothing of its own.

use super::rows::Row;
use crate::design::Design;
use crate::elasticity::ElasticityError;
use crate::quantity::Over;
use crate::subject::Subject;

/// What changes where drives and ground that are not given are usual ones and not rigid.
#[derive(Debug, Clone)]
pub struct WithTypicalSupports {
    /// Which drives were not given, in the order of the active joints.
    pub drives: [bool; 2],
    /// Whether the ground was not given.
    pub ground: bool,
    /// The rows that change, at nominal values.
    pub rows: Vec<Row>,
}

impl WithTypicalSupports {
    /// Judges a design again with what it does not give; `None` where it gives all of it.
    ///
    /// - `own`: its own rows.
    /// - `judge`: the rows of another design that moves alike.
    ///
    /// # Errors
    /// Those of `judge`.
    pub(super) fn of<E: From<ElasticityError>>(
        subject: &Subject,
        own: &[Row],
        judge: impl FnOnce(&Subject) -> Result<Vec<Row>, E>,
    ) -> Result<Option<Self>, E> {
        let given: &Design = &subject.given;
        let Some(other) = given.with_typical_supports() else {
            return Ok(None);
        };
        let mut rows = judge(&subject.beside(other)?)?;
        rows.retain(|row| {
            let differs = |own: &Row| own.is_like(row) && own.got != row.got;
            row.quantity.facts().over == Over::Directions && own.iter().any(differs)
        });
        Ok(Some(Self {
            drives: given
                .drives
                .each
                .each_ref()
                .map(|drive| drive.stiffness.is_none()),
            ground: given.mount.support.is_none(),
            rows,
        }))
    }
}
