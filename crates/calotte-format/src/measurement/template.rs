//! Files to fill in while measuring.

use std::fmt::Write as _;

use calotte::brief::LoadPlace;
use calotte::design::Design;
use calotte::family::build;
use calotte::linkage::LinkageError;
use calotte::measurement::Course;
use nalgebra::Vector3;

use super::number::is_missing;
use super::problems::short;
use crate::safety::{BENCH, Safety};
use crate::units::{Unit, degrees, millimetres};
use crate::words::wrapped;

/// A configuration to be measured.
#[derive(Debug, Clone, PartialEq)]
pub struct PlannedPoint {
    /// Readings of the active joints in the design's order, rad.
    pub readings: [f64; 2],
    /// Where the model puts the sensor, m, base frame.
    pub expected: Vector3<f64>,
    /// Name shared by repeats of one configuration; empty if none.
    pub group: String,
}

/// A weight to be hung and its displacement to be read.
#[derive(Debug, Clone, PartialEq)]
pub struct PlannedWeight {
    /// Readings of the active joints in the design's order, rad.
    pub readings: [f64; 2],
    /// Mass, kg.
    pub mass: f64,
    /// What it pulls on.
    pub place: LoadPlace,
    /// Where the weight pulls, world.
    pub pull: Vector3<f64>,
    /// The gauge's axis, world; positive displacement is along it.
    pub axis: Vector3<f64>,
    /// Displacement the model expects along the axis, m.
    pub expected: f64,
    /// Whether it is being put on or taken off.
    pub course: Course,
    /// Torque that each drive gives with it, own weight included, N·m.
    pub torques: [f64; 2],
}

/// A reading as a template states it, rad: rounded to 0.001°. Expectations belong to this one.
pub fn template_reading(reading: f64) -> f64 {
    Unit::Degree.read(&reading_text(reading)).unwrap_or(reading)
}

/// A file of points to fill in: `x_mm`, `y_mm`, `z_mm` are empty.
///
/// Readings are written in degrees with three decimals, expectations in mm with three.
///
/// # Errors
/// [`LinkageError`] for a design that cannot be built.
pub fn write_points_template(
    design: &Design,
    planned: &[PlannedPoint],
) -> Result<String, LinkageError> {
    let joints = build(design)?.active_names;
    let mut text = title("points", design);
    reading_remarks(&mut text, joints);
    text.push_str(
        "# expected_x_mm expected_y_mm expected_z_mm: where the model puts the sensor; base frame; not read\n\
         # x_mm y_mm z_mm: where the sensor was; tracker's frame; fill in\n\
         # group: name shared by repeats of one configuration\n\
         # qw qx qy qz: columns to add where the tracker measures orientation too\n\
         # Leave x_mm y_mm z_mm empty where nothing could be measured.\n",
    );
    let _ = writeln!(
        text,
        "{},expected_x_mm,expected_y_mm,expected_z_mm,x_mm,y_mm,z_mm,group",
        joint_names(joints)
    );
    for point in planned {
        let expected: Vec<String> = point
            .expected
            .iter()
            .map(|value| fixed(millimetres(*value), 3))
            .collect();
        let _ = writeln!(
            text,
            "{},{},,,,{}",
            readings(point.readings),
            expected.join(","),
            cell(&point.group)
        );
    }
    Ok(text)
}

/// A file of weights to fill in: `displacement_mm` is empty.
///
/// Readings are written in degrees with three decimals, expectations in mm with four,
/// directions with six.
///
/// # Errors
/// [`LinkageError`] for a design that cannot be built.
pub fn write_weights_template(
    design: &Design,
    planned: &[PlannedWeight],
) -> Result<String, LinkageError> {
    let joints = build(design)?.active_names;
    let mut text = title("weights", design);
    reading_remarks(&mut text, joints);
    text.push_str(
        "# mass_kg: mass that hangs; 0 before the first and after the last weight\n\
         # course: loading while weights are put on; unloading while they are taken off\n\
         # place: tip; grip; or a bar with the fraction of its arc such as bar-left-1@0.5\n\
         # pull_x pull_y pull_z: where the weight pulls; world; down is 0 0 -1\n\
         # gauge_x gauge_y gauge_z: the gauge's axis; world; positive displacement is along it\n\
         # expected_mm: displacement of the tip by the model; not read\n\
         # torque_…_nm: torque that this drive or its brake holds with the weight; arm and tool included; not read\n\
         # displacement_mm: what the gauge at the tip saw against the unloaded state; fill in\n\
         # Leave displacement_mm empty where nothing could be measured.\n",
    );
    let _ = writeln!(
        text,
        "{},mass_kg,course,place,pull_x,pull_y,pull_z,gauge_x,gauge_y,gauge_z,expected_mm,{},displacement_mm",
        joint_names(joints),
        joints.map(|joint| format!("torque_{joint}_nm")).join(",")
    );
    for weight in planned {
        let course = match weight.course {
            Course::Loading => "loading",
            Course::Unloading => "unloading",
        };
        let place = match &weight.place {
            LoadPlace::Tip => "tip".to_string(),
            LoadPlace::Grip => "grip".to_string(),
            LoadPlace::Bar { name, fraction } => format!("{name}@{fraction}"),
        };
        let _ = writeln!(
            text,
            "{},{},{course},{},{},{},{},{},",
            readings(weight.readings),
            Unit::Kilogram.write(weight.mass),
            cell(&place),
            direction(&weight.pull),
            direction(&weight.axis),
            fixed(millimetres(weight.expected), 4),
            weight.torques.map(|torque| fixed(torque, 4)).join(","),
        );
    }
    Ok(text)
}

/// The first lines of a template.
fn title(what: &str, design: &Design) -> String {
    let of = match short(&design.title).replace([',', ';', '"'], " ") {
        title if title.is_empty() => String::new(),
        title => format!(" of {title}"),
    };
    format!(
        "# Measured {what}{of}: fill in what is empty.\n\
         # Lines that begin with # are remarks. Rows are measured in this order.\n{}",
        safety_remarks(design)
    )
}

/// What to take care of, as remarks. A comma would be a separator to whoever opens the file
/// as a table.
fn safety_remarks(design: &Design) -> String {
    let notice = Safety::of(design, true).notice();
    wrapped(&notice, 98)
        .iter()
        .map(String::as_str)
        .chain(BENCH)
        .map(|line| format!("# {}\n", line.replace(',', ";")))
        .collect()
}

fn reading_remarks(text: &mut String, joints: [&str; 2]) {
    for joint in joints {
        let _ = writeln!(
            text,
            "# {joint}_deg: reading of the active joint {joint}; write what was read if it is another"
        );
    }
}

fn joint_names(joints: [&str; 2]) -> String {
    joints.map(|joint| format!("{joint}_deg")).join(",")
}

fn readings(readings: [f64; 2]) -> String {
    readings.map(reading_text).join(",")
}

/// A reading in degrees with three decimals.
fn reading_text(reading: f64) -> String {
    fixed(degrees(reading), 3)
}

/// A number with so many decimals, and without a minus before a zero.
fn fixed(value: f64, decimals: usize) -> String {
    let text = format!("{value:.decimals$}");
    match text.strip_prefix('-') {
        Some(size) if size.chars().all(|c| matches!(c, '0' | '.')) => size.to_string(),
        _ => text,
    }
}

/// Components with up to six decimals.
fn direction(vector: &Vector3<f64>) -> String {
    let parts: Vec<String> = vector
        .iter()
        .map(|part| format!("{}", (part * 1e6).round() / 1e6 + 0.0))
        .collect();
    parts.join(",")
}

/// A text as a value: on one line, in quotes where it would be read as something else.
fn cell(text: &str) -> String {
    let line: String = text
        .trim()
        .chars()
        .map(|character| {
            if character.is_control() {
                ' '
            } else {
                character
            }
        })
        .collect();
    let plain = !line.contains([',', ';', '"', '#']) && !is_missing(&line);
    if plain || line.is_empty() {
        line
    } else {
        format!("\"{}\"", line.replace('"', "\"\""))
    }
}
