//! What a prototype's measurements say: files of points and weights fitted, for programs
//! and in words, for everyone who asks.

mod controller;
mod lack;
mod place;
mod planned;
mod points;
mod read;
mod stiffness;
mod units;
mod verdict;
mod weights;
mod words;

use calotte::design::Design;
use calotte::kinematics::Kinematics;
use calotte::measurement::weights::{WeightParameter, WeightsJudged, weights_judged};
use calotte::measurement::{
    FitError, PhysicalModel, Prototype, PrototypeError, Stopped, Watch, WeightFit, WeightOptions,
    fit_weights,
};
use calotte_document::measured::FitDocument;
use thiserror::Error;

pub use controller::controller_words;
pub use lack::lack_words;
pub use place::place_words;
pub(crate) use planned::torque_with;
pub use planned::{Planned, plan_document, planned};
pub use read::{FitFileError, FitRead, StationRead, read_fit};
pub use stiffness::{weights_scope_words, weights_verdict_words};
pub use units::{in_unit, name_with_unit, shown, weight_in_unit, weight_name_with_unit};
pub use verdict::{next_words, of_standing, open_words, sides_words, verdict_words};
pub use weights::weights_document;
pub use words::{
    cause_words, combination_words, hint_words, orientation_words, outcome_words, part_words,
    stage_words, weight_cause_words,
};

use calotte_format::FormatError;
use calotte_format::measurement::{PointsRead, WeightsRead, read_points, read_weights};
use calotte_format::safety::Safety;

/// Points, read and fitted.
#[derive(Debug, Clone)]
pub struct FoundPoints {
    /// The file as read.
    pub read: PointsRead,
    /// What they say.
    pub prototype: Prototype,
}

/// Weights, read and fitted.
#[derive(Debug, Clone)]
pub struct FoundWeights {
    /// The file as read.
    pub read: WeightsRead,
    /// The fit.
    pub fit: WeightFit,
    /// The verdict.
    pub judged: WeightsJudged,
    /// Names of the active joints, in the order of readings.
    pub joints: [&'static str; 2],
}

/// Measurements that cannot be read or fitted.
#[derive(Debug, Error)]
pub enum FoundError {
    /// The file.
    #[error(transparent)]
    File(#[from] FormatError),
    /// What it says beside the design.
    #[error("{0}")]
    Fit(String),
    /// Whoever watches waits no longer.
    #[error(transparent)]
    Stopped(#[from] Stopped),
}

/// Units that names of parameters may carry.
const UNITS: [&str; 3] = ["_urad_per_nm", "_deg", "_mm"];

/// A name without the unit that files and options may write behind it.
pub fn without_unit(name: &str) -> String {
    let name = name.trim();
    UNITS
        .iter()
        .find_map(|unit| name.strip_suffix(unit))
        .unwrap_or(name)
        .to_string()
}

/// Whether a name is an unknown of the weights.
fn is_of_weights(design: &Design, name: &str) -> bool {
    let bare = without_unit(name);
    WeightParameter::of(design)
        .into_iter()
        .any(|parameter| parameter.name() == bare)
}

/// Reads and fits points.
///
/// # Arguments
/// - `text`: the file's bytes.
/// - `hold`: names of parameters that stay at the design's values, with or without unit;
///   those of weights are not looked at.
/// - `sag`: whether to add the sag of the elastic model.
/// - `watch`: who is told how far the fit is, and may stop it.
///
/// # Errors
/// [`FoundError`] for a file that cannot be read or points that determine nothing; and where whoever
/// watches stops it.
pub fn found_points(
    text: &[u8],
    design: &Design,
    hold: &[String],
    sag: bool,
    watch: Watch,
) -> Result<FoundPoints, FoundError> {
    let read = read_points(text, design)?;
    let hold = hold
        .iter()
        .filter(|name| !is_of_weights(design, name))
        .map(|name| without_unit(name))
        .collect();
    let prototype = Prototype::measured(design, &read.points, hold, sag, watch).map_err(
        |error| match error {
            PrototypeError::Stopped(stopped) | PrototypeError::Fit(FitError::Stopped(stopped)) => {
                FoundError::Stopped(stopped)
            }
            PrototypeError::Misread { ref hint, .. } => {
                let perhaps = PhysicalModel::new(design).map(|model| hint_words(&model, hint));
                let perhaps = perhaps.map_or(String::new(), |words| format!("; perhaps {words}"));
                FoundError::Fit(format!("{error}{perhaps}"))
            }
            error => FoundError::Fit(error.to_string()),
        },
    )?;
    Ok(FoundPoints { read, prototype })
}

/// Reads and fits weights.
///
/// # Arguments
/// - `text`: the file's bytes.
/// - `design`: as read, with its bands.
/// - `hold`: names of unknowns that stay as designed, with or without unit; names that are
///   none of the weights' are those of the points and not looked at.
///
/// # Errors
/// [`FoundError`] for a file that cannot be read or weights that determine nothing.
pub fn found_weights(
    text: &[u8],
    design: &Design,
    hold: &[String],
) -> Result<FoundWeights, FoundError> {
    let read = read_weights(text, design)?;
    let options = WeightOptions {
        hold: hold
            .iter()
            .filter(|name| is_of_weights(design, name))
            .map(|name| without_unit(name))
            .collect(),
        ..WeightOptions::default()
    };
    let cannot = |error: String| FoundError::Fit(error);
    let kinematics = Kinematics::new(design).map_err(|error| cannot(error.to_string()))?;
    let fit =
        fit_weights(design, &read.weights, &options).map_err(|error| cannot(error.to_string()))?;
    Ok(FoundWeights {
        judged: weights_judged(design, &fit),
        joints: kinematics.linkage.active_names,
        read,
        fit,
    })
}

/// Everything found: what `measure fit --json` says, without its run.
///
/// # Arguments
/// - `design`: the one that was measured.
pub fn fit_document(
    design: &Design,
    points: &FoundPoints,
    weights: Option<&FoundWeights>,
) -> FitDocument {
    points::points_document(
        points,
        weights.map(weights::weights_document),
        Safety::of(design, true),
    )
}
