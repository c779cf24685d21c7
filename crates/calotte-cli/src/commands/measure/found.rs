//! Reads and fits what `measure fit` was given.

use std::path::Path;

use calotte::design::Design;
use calotte::family::parameters::Capability;
use calotte_report::found::{FoundError, FoundPoints, FoundWeights, found_points, found_weights};
use calotte_report::input::Input;

use crate::arguments::FitOptions;
use crate::failure::Failure;
use crate::files::{read_bytes, sha256};
use crate::inputs;

/// What was found.
pub struct Found {
    pub design: Input<Design>,
    pub points: FoundPoints,
    pub points_hash: String,
    pub weights: Option<FoundWeights>,
    pub weights_hash: Option<String>,
}

/// Reads the design and the measurements, and fits.
pub fn found(options: &FitOptions) -> Result<Found, Failure> {
    let design = inputs::design_offering(&options.design, Capability::Measurement)?;
    let failed = |path: &Path| {
        let beside = format!(
            "look at {} beside {}",
            path.display(),
            options.design.display()
        );
        let path = path.to_path_buf();
        move |error: FoundError| match error {
            FoundError::File(error) => Failure::format(&error, &path),
            FoundError::Fit(error) => {
                Failure::new(format!("{}: {error}", path.display())).hint(beside.clone())
            }
        }
    };
    let bytes = read_bytes(&options.points)?;
    let weights = options.weights.as_deref().map(|path| {
        let bytes = read_bytes(path)?;
        let found = found_weights(&bytes, &design.value, &options.hold).map_err(failed(path))?;
        Ok::<_, Failure>((found, sha256(&bytes)))
    });
    let (weights, weights_hash) = weights.transpose()?.unzip();
    Ok(Found {
        points: found_points(&bytes, &design.value, &options.hold, options.sag)
            .map_err(failed(&options.points))?,
        points_hash: sha256(&bytes),
        weights,
        weights_hash,
        design,
    })
}
