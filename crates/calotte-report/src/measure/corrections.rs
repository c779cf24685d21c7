//! The table of corrections that a fit leaves.

use calotte::design::Design;
use calotte::kinematics::Margins;
use calotte::linkage::LinkageError;
use calotte::measurement::{corrections, readings_over};
use calotte::sphere::Direction;
use calotte::sphere::direction::wrap_signed;
use calotte::subject::Motion;
use calotte::uncertain::Corner;
use calotte_format::safety::Safety;
use calotte_format::units::{degrees, radians};

use crate::error::ReportError;
use crate::found::FoundPoints;
use crate::prototype::STEPS_DEG;
use crate::safety::{NOTE, note};

/// Columns behind the readings of the joints.
const COLUMNS: [&str; 6] = [
    "design_polar_deg",
    "design_azimuth_deg",
    "true_polar_deg",
    "true_azimuth_deg",
    "polar_off_deg",
    "azimuth_off_deg",
];

/// What the table holds, for whoever has nothing else of it.
const ABOUT: &str = "Where the tool points by the design and by the fit, base frame; taken from neither side of the backlash.";

/// Where the tool really points, over the working range.
///
/// # Errors
/// [`ReportError`] for a design without kinematics.
pub fn corrections_table(design: &Design, points: &FoundPoints) -> Result<Vec<u8>, ReportError> {
    let readings = readings(design)?;
    let [a, b] = points.prototype.model.active_names;
    let failed = |error: csv::Error| ReportError::new(format!("corrections.csv: {error}"));
    let mut table = csv::Writer::from_writer(Vec::new());
    let mut head = [a, b].map(|joint| format!("{joint}_deg")).to_vec();
    head.extend(COLUMNS.map(str::to_string));
    head.push(NOTE.to_string());
    table.write_record(&head).map_err(failed)?;
    let safety = Safety::of(design, true);
    let rows = corrections(
        &points.prototype.model,
        &points.prototype.fit.values,
        readings,
    );
    for (index, row) in rows.into_iter().enumerate() {
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
        let mut cells: Vec<String> = values
            .iter()
            .map(|v| format!("{:.4}", degrees(*v)))
            .collect();
        cells.push(match index {
            1 => ABOUT.to_string(),
            _ => note(safety, index),
        });
        table.write_record(&cells).map_err(failed)?;
    }
    let bytes = table.into_inner();
    bytes.map_err(|error| ReportError::new(format!("corrections.csv: {error}")))
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
