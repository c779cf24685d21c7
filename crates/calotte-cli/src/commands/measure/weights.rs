//! Weights hung on the prototype: read and fitted, for `calotte measure fit --weights`.

use std::path::Path;

use calotte::design::Design;
use calotte::kinematics::Kinematics;
use calotte::measurement::{WeightFit, WeightOptions, fit_weights};
use calotte_format::measurement::{WeightsRead, read_weights};

use crate::failure::Failure;
use crate::files::{read_bytes, sha256};

/// What weights said.
pub struct FoundWeights {
    /// The file as read.
    pub read: WeightsRead,
    /// The fit.
    pub fit: WeightFit,
    /// Names of the active joints, in the order of readings.
    pub joints: [&'static str; 2],
    /// Of the file.
    pub sha256: String,
}

/// Units that names of unknowns may carry.
const UNITS: [&str; 2] = ["_urad_per_nm", "_mm"];

/// Reads and fits a file of weights.
///
/// # Arguments
/// - `design`: as read, with its bands.
/// - `hold`: names of unknowns that stay as designed, with or without unit; names that are
///   none of the weights' are those of the points and not looked at.
pub fn found(path: &Path, design: &Design, hold: &[String]) -> Result<FoundWeights, Failure> {
    let bytes = read_bytes(path)?;
    let read = read_weights(&bytes, design).map_err(|error| Failure::format(&error, path))?;
    let cannot = |error: String| {
        Failure::new(format!("{}: {error}", path.display()))
            .hint("look at the file beside the design; the points are fitted without it")
    };
    let known: Vec<&str> = calotte::measurement::weights::WeightParameter::of(design)
        .into_iter()
        .map(|parameter| parameter.name())
        .collect();
    let options = WeightOptions {
        hold: hold
            .iter()
            .map(|name| without_unit(name))
            .filter(|name| known.contains(&name.as_str()))
            .collect(),
        ..WeightOptions::default()
    };
    let kinematics = Kinematics::new(design).map_err(|error| cannot(error.to_string()))?;
    let fit =
        fit_weights(design, &read.weights, &options).map_err(|error| cannot(error.to_string()))?;
    Ok(FoundWeights {
        read,
        fit,
        joints: kinematics.linkage.active_names,
        sha256: sha256(&bytes),
    })
}

/// Whether a name given to `--hold` is an unknown of the weights.
pub fn is_of_weights(design: &Design, name: &str) -> bool {
    let bare = without_unit(name);
    calotte::measurement::weights::WeightParameter::of(design)
        .into_iter()
        .any(|parameter| parameter.name() == bare)
}

fn without_unit(name: &str) -> String {
    let name = name.trim();
    UNITS
        .iter()
        .find_map(|unit| name.strip_suffix(unit))
        .unwrap_or(name)
        .to_string()
}
