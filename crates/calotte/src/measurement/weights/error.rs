//! Weights that cannot be fitted, and why.

use thiserror::Error;

use crate::elasticity::ElasticityError;

/// Weights that cannot be fitted.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum WeightError {
    /// The design has no elastic model.
    #[error(transparent)]
    Elasticity(#[from] ElasticityError),
    /// A row that says nothing physical.
    #[error("row {row}: {what}")]
    NotUsable {
        /// Number of the row.
        row: usize,
        /// What is wrong with it, and what is allowed.
        what: &'static str,
    },
    /// The place of a row's weight is none of the design's.
    #[error("row {row}: {source}")]
    Place {
        /// Number of the row.
        row: usize,
        /// What is wrong with it.
        source: ElasticityError,
    },
    /// Nothing hangs in any row.
    #[error("no row has a mass above 0: hang weights and read the gauge at each of them")]
    NoLoad,
    /// All rows with a mass have readings that the design cannot take.
    #[error(
        "the design cannot be in the configuration of any row with a mass (rows {}): compare the readings' zeros and signs with the design's",
        listed(rows)
    )]
    Unreachable {
        /// Numbers of the rows.
        rows: Vec<usize>,
    },
    /// All rows with a mass are of one configuration.
    #[error(
        "all weights hang in one configuration: bars, joints and base are not separable in it; repeat them in two more, with the tool low and high"
    )]
    OneConfiguration,
    /// Fewer readings of the gauge than a fit needs.
    #[error(
        "{got} readings of the gauge under load are too few; {needed} or more are required, such as three weights in each of two configurations"
    )]
    TooFew {
        /// Readings under load, those of all axes counted.
        got: usize,
        /// Needed.
        needed: usize,
    },
    /// No gauge sees the tip move.
    #[error(
        "the gauge looks across the tip's motion in all rows with a mass (rows {}): turn it along the pull",
        listed(rows)
    )]
    GaugeAcross {
        /// Numbers of the rows.
        rows: Vec<usize>,
    },
    /// A name in `hold` that no unknown of this design has.
    #[error("no unknown of the weights is called {name}; there are {}", known.join(", "))]
    UnknownParameter {
        /// The name.
        name: String,
        /// Those there are.
        known: Vec<String>,
    },
}

/// Numbers of rows shown at most.
const SHOWN: usize = 12;

fn listed(rows: &[usize]) -> String {
    let mut text: Vec<String> = rows.iter().take(SHOWN).map(usize::to_string).collect();
    if rows.len() > SHOWN {
        text.push(format!("and {} more", rows.len() - SHOWN));
    }
    text.join(", ")
}
