//! The table of corrections that a fit leaves.

use calotte::design::Design;
use calotte::kinematics::Margins;
use calotte::linkage::LinkageError;
use calotte::measurement::{corrections, readings_over};
use calotte::sphere::Direction;
use calotte::sphere::direction::wrap_signed;
use calotte::subject::Motion;
use calotte::uncertain::Corner;
use calotte_format::units::{degrees, radians};

use crate::error::ReportError;
use crate::found::FoundPoints;
use crate::prototype::STEPS_DEG;

/// Where the tool really points, over the working range.
///
/// # Errors
/// [`ReportError`] for a design without kinematics.
pub fn corrections_table(design: &Design, points: &FoundPoints) -> Result<String, ReportError> {
    let readings = readings(design)?;
    let [a, b] = points.prototype.model.active_names;
    let mut text = format!(
        "# Where the tool points by the design and by the fit, base frame; taken from neither side of the backlash.\n{a}_deg,{b}_deg,design_polar_deg,design_azimuth_deg,true_polar_deg,true_azimuth_deg,polar_off_deg,azimuth_off_deg\n"
    );
    for row in corrections(
        &points.prototype.model,
        &points.prototype.fit.values,
        readings,
    ) {
        let [designed, real] = [row.designed, row.true_direction].map(|d| Direction::of(&d));
        let values = [
            row.readings[0],
            row.readings[1],
            designed.polar,
            designed.azimuth,
            real.polar,
            real.azimuth,
            real.polar - designed.polar,
            wrap_signed(real.azimuth - designed.azimuth),
        ];
        let cells: Vec<String> = values
            .iter()
            .map(|v| format!("{:.4}", degrees(*v)))
            .collect();
        text.push_str(&cells.join(","));
        text.push('\n');
    }
    Ok(text)
}

/// Readings over the whole working range, margins left out.
fn readings(design: &Design) -> Result<Vec<[f64; 2]>, ReportError> {
    let cannot = |error: LinkageError| ReportError::new(error.to_string());
    let nominal = design.at_corner(Corner::Nominal);
    let margins = Margins::default();
    let motion = Motion::alone(&nominal, margins).map_err(cannot)?;
    let within = motion.range().map_or([0.0; 2], |range| range.second);
    readings_over(design, within, margins, STEPS_DEG.map(radians)).map_err(cannot)
}
