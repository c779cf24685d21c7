//! What a fit leaves in a folder: itself, the calibrated design, a table of corrections,
//! figures.

use std::path::{Path, PathBuf};

use calotte::design::Design;
use calotte::kinematics::range_choice::working_range;
use calotte::kinematics::{Kinematics, Margins};
use calotte::linkage::LinkageError;
use calotte::measurement::{ToldByWeights, calibrated, corrections, readings_over};
use calotte::sphere::direction::wrap_signed;
use calotte::sphere::{Direction, Region};
use calotte::uncertain::Corner;
use calotte_format::units::{degrees, radians};
use nalgebra::Vector3;
use serde_json::Value;

use super::fit::Found;
use super::fit_figures;
use crate::arguments::FitOptions;
use crate::commands::design::next::STEPS_DEG;
use crate::failure::Failure;
use crate::files::ResultsFolder;
use crate::say;

/// Writes the folder asked for, if any.
pub fn write(options: &FitOptions, found: &Found, document: &Value) -> Result<(), Failure> {
    let Some(target) = &options.out else {
        return Ok(());
    };
    let read = [
        Some(&options.design),
        Some(&options.points),
        options.weights.as_ref(),
    ];
    let read: Vec<&Path> = read.into_iter().flatten().map(PathBuf::as_path).collect();
    ResultsFolder::refuse_holding(target, &read)?;
    let mut folder = ResultsFolder::prepare(target, options.force)?;
    folder.add("fit.json", format!("{document:#}\n"));
    let prototype = &found.points.prototype;
    let told = found.weights.as_ref().map_or(Vec::new(), |weights| {
        ToldByWeights::of(&weights.fit, &weights.judged)
    });
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
    say!("written: {}", target.display());
    Ok(())
}

/// Where the tool really points, over the working range.
fn table(found: &Found) -> Result<String, Failure> {
    let readings = readings(&found.design.value)?;
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

/// Readings over the whole working range, margins left out.
fn readings(design: &Design) -> Result<Vec<[f64; 2]>, Failure> {
    let cannot = |error: LinkageError| Failure::new(error.to_string());
    let nominal = design.at_corner(Corner::Nominal);
    let kinematics = Kinematics::new(&nominal).map_err(cannot)?;
    let region = Region::cap(Vector3::z(), std::f64::consts::FRAC_PI_2);
    let margins = Margins::default();
    let range = working_range(&kinematics, &nominal.drives.range, &margins, &region);
    let within = range.map_or([0.0; 2], |range| range.second);
    readings_over(design, within, &margins, STEPS_DEG.map(radians)).map_err(cannot)
}
