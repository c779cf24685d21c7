//! The sag by own weight at every measured configuration, from the design's elastic model.

use nalgebra::Vector3;

use super::data::PointRow;
use crate::analysis::ring::solve_ring;
use crate::elasticity::ElasticityError;
use crate::sphere::Direction;
use crate::subject::Subject;

/// Displacement of the tool tip by own weight for each row, base frame, m; nothing where
/// the design has no configuration.
///
/// # Errors
/// [`ElasticityError`] for a design that cannot be built or is singular at a row.
pub fn sags(subject: &Subject, rows: &[PointRow]) -> Result<Vec<Vector3<f64>>, ElasticityError> {
    let model = subject.model()?;
    rows.iter()
        .map(|row| {
            let Ok(pose) = model.kinematics.forward(row.readings) else {
                return Ok(Vector3::zeros());
            };
            let direction = model.kinematics.linkage.tool_direction(&pose.configuration);
            let azimuth = Direction::of(&direction).azimuth;
            let ring = solve_ring(model, pose.mechanism[1], &[azimuth], &[])?;
            let sag = ring
                .points
                .first()
                .map_or(Vector3::zeros(), |point| point.sag);
            Ok(pose.frame.rotation() * sag)
        })
        .collect()
}
