//! Reads and fits what `measure fit` was given.

use std::cell::Cell;
use std::ops::ControlFlow;
use std::path::Path;

use calotte::design::Design;
use calotte::measurement::{FitStage, Watch};
use calotte_report::found::{
    FoundError, FoundPoints, FoundWeights, found_points, found_weights, stage_words,
};
use calotte_report::input::Input;

use crate::arguments::FitOptions;
use crate::failure::Failure;
use crate::files::{read_bytes, sha256};
use crate::inputs;
use crate::say;

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
    let design = inputs::design_to_measure(&options.design)?;
    let failed = |path: &Path| {
        let beside = format!(
            "look at {} beside {}",
            path.display(),
            options.design.display()
        );
        let path = path.to_path_buf();
        move |error: FoundError| match error {
            FoundError::File(error) => Failure::format(&error, &path),
            error @ (FoundError::Fit(_) | FoundError::Stopped(_)) => {
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
    let told = progress();
    Ok(Found {
        points: found_points(
            &bytes,
            &design.value,
            &options.hold,
            options.sag,
            Watch::new(&told),
        )
        .map_err(failed(&options.points))?,
        points_hash: sha256(&bytes),
        weights,
        weights_hash,
        design,
    })
}

/// Rows from which one waits long enough to ask how far the fit is.
const ROWS_SLOW: usize = 5000;

/// Says how far the fit is, on standard error, where there are many rows.
fn progress() -> impl Fn(FitStage) -> ControlFlow<()> {
    let slow = Cell::new(false);
    move |stage| {
        if let FitStage::Pose { rows } | FitStage::Sag { rows, .. } = stage {
            slow.set(rows >= ROWS_SLOW);
        }
        // A round is said as it begins, sag by thousands of rows.
        let worth = match stage {
            FitStage::Round { step, .. } => step == 0,
            FitStage::Sag { done, .. } => done % ROWS_SLOW == 0,
            FitStage::Pose { .. } | FitStage::HoldOut | FitStage::Causes => true,
        };
        if slow.get() && worth {
            say!("fit: {}", stage_words(stage));
        }
        ControlFlow::Continue(())
    }
}
