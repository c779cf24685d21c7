//! What a fit leaves in a folder: itself, the calibrated design, a table of corrections,
//! figures.

use calotte::kinematics::Kinematics;
use calotte::kinematics::working_range::all_ranges;
use calotte::measurement::calibrated::ToldByWeights;
use calotte::measurement::{calibrated, corrections};
use calotte::sphere::Direction;
use calotte::sphere::direction::wrap_signed;
use calotte::uncertain::Corner;
use calotte_format::units::degrees;
use nalgebra::Vector2;
use serde_json::Value;

use super::fit::Found;
use super::fit_figures;
use crate::arguments::FitOptions;
use crate::failure::Failure;
use crate::files::ResultsFolder;

/// Steps of the table, degrees of the first and of the second mechanism angle.
const STEPS: [f64; 2] = [15.0, 5.0];

/// Writes the folder asked for, if any.
pub fn write(options: &FitOptions, found: &Found, document: &Value) -> Result<(), Failure> {
    let Some(target) = &options.out else {
        return Ok(());
    };
    let mut folder = ResultsFolder::prepare(target, options.force)?;
    folder.add("fit.json", format!("{document:#}\n"));
    let prototype = &found.points.prototype;
    let told = found
        .weights
        .as_ref()
        .map_or(Vec::new(), |weights| ToldByWeights::of(&weights.fit));
    let design = calibrated(
        &found.design.value,
        &prototype.model,
        &prototype.fit.values,
        &told,
    );
    let remark = format!(
        "Calibrated by calotte {} from {} (SHA-256 {}).\nLeft and right arcs are their mean; zeros, scales, backlash, base axes and the sensor's place are in fit.json.",
        env!("CARGO_PKG_VERSION"),
        options
            .points
            .file_name()
            .unwrap_or_default()
            .to_string_lossy(),
        found.points_hash
    );
    let text = calotte_format::write_design(&calotte_format::tidied(&design), &remark);
    folder.add("design-calibrated.toml", text);
    folder.add("corrections.csv", table(found)?);
    for (name, svg) in fit_figures::drawn(found)? {
        folder.add(&format!("{name}.svg"), svg);
    }
    folder.finish()?;
    eprintln!("written: {}", target.display());
    Ok(())
}

/// Where the tool really points, over the working range.
fn table(found: &Found) -> Result<String, Failure> {
    let nominal = found.design.value.at_corner(Corner::Nominal);
    let kinematics = Kinematics::new(&nominal).map_err(|error| Failure::new(error.to_string()))?;
    let Some(active_from_mechanism) = kinematics.meridian.mechanism_from_active.try_inverse()
    else {
        return Err(Failure::new("the drive ratios have no inverse"));
    };
    let ranges = all_ranges(&kinematics, &nominal.drives.range, &Default::default());
    let [step_first, step_second] = STEPS.map(f64::to_radians);
    let first_range = nominal
        .drives
        .range
        .first
        .unwrap_or([-std::f64::consts::PI, std::f64::consts::PI]);
    let mut readings = Vec::new();
    for range in &ranges {
        for second in grid(range.second, step_second) {
            for first in grid(first_range, step_first) {
                let active = active_from_mechanism * Vector2::new(first, second);
                readings.push([active.x, active.y]);
            }
        }
    }
    let [a, b] = found.points.prototype.model.active_names;
    let mut text = format!(
        "# Where the tool points by the design and by the fit, base frame; taken from neither side of the backlash.\n{a}_deg,{b}_deg,design_polar_deg,design_azimuth_deg,true_polar_deg,true_azimuth_deg,polar_off_deg,azimuth_off_deg\n"
    );
    for row in corrections(
        &found.points.prototype.model,
        &found.points.prototype.fit.values,
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

/// Values from the middle of a range outward, its ends left out.
fn grid([from, to]: [f64; 2], step: f64) -> Vec<f64> {
    let count = ((to - from) / step).floor().max(1.0) as usize;
    (0..count)
        .map(|i| from + (to - from) * (i as f64 + 0.5) / count as f64)
        .collect()
}
