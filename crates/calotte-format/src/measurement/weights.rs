//! Files of displacements under weights.

use calotte::brief::LoadPlace;
use calotte::design::Design;
use calotte::linkage::Linkage;
use calotte::measurement::{Course, Displacement, WeightRow, Weights};
use nalgebra::Vector3;

use super::RefusedRow;
use super::columns::{Known, KnownColumns, Quantity};
use super::finder::{Column, Finder};
use super::number::{ColumnUnit, Mark, read as read_number};
use super::problems::{nearest, short};
use super::row::{Refusal, Row};
use super::sheet::{Rows, read};
use crate::problem::FormatError;

/// Place along a bar where none is given, as in a brief.
const FRACTION: f64 = 0.5;

/// Displacements under weights with what was not used.
#[derive(Debug, Clone, PartialEq)]
pub struct WeightsRead {
    /// Weights and displacements, kg, m and rad.
    pub weights: Weights,
    /// Rows that are not used, in the order of the file.
    pub refused: Vec<RefusedRow>,
    /// What is worth knowing about how the file was read: units, remarks, what is taken
    /// where a column is not there.
    pub notes: Vec<String>,
}

/// Reads displacements under weights.
///
/// Columns: the active joints of the design (such as `swing_deg`, `opening_deg`), `mass_kg`,
/// `course` (`loading` or `unloading`), and either `displacement_mm` with the gauge's axis
/// `gauge_x`, `gauge_y`, `gauge_z`, or all three of `dx_mm`, `dy_mm`, `dz_mm`. Optional:
/// `place` (`tip`, `grip`, or a bar such as `bar-left-1@0.5` with the fraction of its arc;
/// the tip where none is given) and `pull_x`, `pull_y`, `pull_z` (straight down where the
/// columns are not there). Axes and pulls are in the world and may have any length. Angles
/// may be in `_rad`, masses in `_g`, lengths in `_um`, `_m`, `_cm` or `_in`. `expected_mm`
/// and `torque_…_nm` are accepted and not read.
///
/// # Arguments
/// - `text`: the bytes of the file, UTF-8.
/// - `design`: the design that was measured; it says which joints are active and which
///   bars there are.
///
/// # Errors
/// [`FormatError`] where the text or its heading cannot be read, where fewer than four rows
/// remain, or where more than half of them are refused.
pub fn read_weights(text: &[u8], design: &Design) -> Result<WeightsRead, FormatError> {
    let sheet = read::<WeightColumns>(text, design)?;
    Ok(WeightsRead {
        weights: Weights { rows: sheet.rows },
        refused: sheet.refused,
        notes: sheet.notes,
    })
}

/// Where the values of a weight are.
#[derive(Debug)]
struct WeightColumns {
    readings: [Column; 2],
    mass: Column,
    place: Option<Column>,
    pull: Option<[Column; 3]>,
    seen: Seen,
    course: Column,
}

/// Where the displacement is.
#[derive(Debug)]
enum Seen {
    Along { axis: [Column; 3], value: Column },
    Vector([Column; 3]),
}

const AXIS: [&str; 3] = ["gauge_x", "gauge_y", "gauge_z"];
const VECTOR: [&str; 3] = ["dx", "dy", "dz"];
const PULL: [&str; 3] = ["pull_x", "pull_y", "pull_z"];

/// Name of the column of a drive's torque.
fn torque_of(joint: &str) -> String {
    format!("torque_{joint}_nm")
}

impl Rows for WeightColumns {
    type Columns = WeightColumns;
    type Read = WeightRow;

    const KINDS: [&'static str; 2] = ["weights", "points"];
    const OWN: &'static [&'static str] = &["mass", "course", "displacement"];
    const OTHER: &'static [&'static str] = &["x", "y", "z"];

    fn known(joints: [&str; 2]) -> Vec<Known> {
        KnownColumns::default()
            .with(Quantity::Angle, &joints)
            .with(Quantity::Mass, &["mass"])
            .with(Quantity::Text, &["place"])
            .with(Quantity::Ratio, &PULL)
            .with(Quantity::Length, &["displacement"])
            .with(Quantity::Ratio, &AXIS)
            .with(Quantity::Length, &VECTOR)
            .with(Quantity::Text, &["course"])
            .with_unread(Quantity::Length, &["expected"])
            .with_unread(
                Quantity::Ratio,
                &joints.map(torque_of).each_ref().map(String::as_str),
            )
            .0
    }

    fn columns(finder: &mut Finder<'_, '_>, joints: [&str; 2]) -> Option<Self> {
        let readings = finder.needed(joints);
        let mass = finder.needed(["mass"]);
        let seen = seen(finder);
        let course = finder.needed(["course"]);
        let pull = finder.together(PULL);
        Some(WeightColumns {
            readings: readings?,
            mass: mass?[0],
            place: finder.column("place"),
            pull,
            seen: seen?,
            course: course?[0],
        })
    }

    fn numeric(columns: &Self) -> Vec<Column> {
        let mut numeric = columns.always();
        numeric.extend(columns.pull.iter().flatten());
        numeric
    }

    fn row(
        columns: &Self,
        row: &Row<'_, '_>,
        linkage: &Linkage,
    ) -> Result<WeightRow, Box<Refusal>> {
        let mut needed = Self::numeric(columns);
        needed.push(columns.course);
        row.complete(&needed)?;
        let displacement = match &columns.seen {
            Seen::Along { axis, value } => Displacement::Along {
                axis: row.direction(axis)?,
                value: row.number(*value)?,
            },
            Seen::Vector(parts) => Displacement::Vector(row.vector(parts)?),
        };
        Ok(WeightRow {
            row: row.row,
            readings: row.numbers(&columns.readings)?,
            mass: row.number(columns.mass)?,
            pull: match &columns.pull {
                Some(parts) => row.direction(parts)?,
                None => -Vector3::z(),
            },
            place: match columns.place {
                Some(column) => place(row, column, linkage)?,
                None => LoadPlace::Tip,
            },
            displacement,
            course: course(row, columns.course)?,
        })
    }

    fn same(first: &WeightRow, second: &WeightRow) -> bool {
        first.readings == second.readings
            && first.mass == second.mass
            && first.pull == second.pull
            && first.place == second.place
            && first.displacement == second.displacement
            && first.course == second.course
    }

    fn number(read: &WeightRow) -> usize {
        read.row
    }

    fn notes(columns: &Self, _: &[WeightRow]) -> Vec<String> {
        let mut notes = Vec::new();
        if columns.place.is_none() {
            notes.push("no column `place`: all weights hang on the tip".to_string());
        }
        if columns.pull.is_none() {
            notes.push(
                "no columns `pull_x`, `pull_y`, `pull_z`: all weights pull straight down"
                    .to_string(),
            );
        }
        notes
    }
}

impl WeightColumns {
    /// Columns whose numbers every row must have.
    fn always(&self) -> Vec<Column> {
        let mut always = self.readings.to_vec();
        always.push(self.mass);
        match &self.seen {
            Seen::Along { axis, value } => {
                always.push(*value);
                always.extend(axis);
            }
            Seen::Vector(parts) => always.extend(parts),
        }
        always
    }
}

/// The one of the two ways to give a displacement that the heading has.
fn seen(finder: &mut Finder<'_, '_>) -> Option<Seen> {
    let along = finder.is_written("displacement") || AXIS.iter().any(|s| finder.is_written(s));
    let vector = VECTOR.iter().any(|stem| finder.is_written(stem));
    if along && vector {
        finder.wrong(
            "the displacement is given along an axis and as a vector",
            "`displacement_mm` with `gauge_x`, `gauge_y`, `gauge_z`, or `dx_mm`, `dy_mm`, `dz_mm`",
            "keep one of the two",
        );
        return None;
    }
    if vector {
        return finder.needed(VECTOR).map(Seen::Vector);
    }
    let value = finder.needed(["displacement"]);
    let axis = finder.needed(AXIS);
    Some(Seen::Along {
        axis: axis?,
        value: value?[0],
    })
}

/// What a weight pulls on.
fn place(row: &Row<'_, '_>, column: Column, linkage: &Linkage) -> Result<LoadPlace, Box<Refusal>> {
    let text = row.text(column).to_lowercase();
    let (name, fraction) = match text.split_once('@') {
        Some((name, fraction)) => (name.trim(), Some(fraction.trim())),
        None => (text.as_str(), None),
    };
    let on_tool = match name {
        "" | "tip" => Some(LoadPlace::Tip),
        "grip" => Some(LoadPlace::Grip),
        _ => None,
    };
    match (on_tool, fraction) {
        (Some(place), None) => return Ok(place),
        (Some(_), Some(_)) => {
            return Err(row.refuse(
                column,
                format!("{} has a fraction, and is no bar", short(&text)),
                "tip, grip, or a bar's name with a fraction of its arc from 0 to 1",
                "a fraction is a place along a bar; take it out, or name the bar",
            ));
        }
        (None, _) => {}
    }
    let bars = linkage.bodies.iter().filter(|body| !body.arcs.is_empty());
    let mut names: Vec<String> = bars.map(|body| body.name.clone()).collect();
    if !names.iter().any(|bar| bar == name) {
        names.extend(["tip".to_string(), "grip".to_string()]);
        let hint = match nearest(name, &names) {
            Some(near) => format!("write {near}"),
            None => "name what the weight pulled on".to_string(),
        };
        return Err(row.refuse(
            column,
            format!("{} is no place of this design", short(name)),
            names.join(", "),
            hint,
        ));
    }
    let fraction = match fraction {
        None => Some(FRACTION),
        Some(text) => read_number(text, ColumnUnit::One, Mark::Point, ';')
            .or_else(|_| read_number(text, ColumnUnit::One, Mark::Comma, ';'))
            .ok()
            .filter(|fraction| (0.0..=1.0).contains(fraction)),
    };
    match fraction {
        Some(fraction) => Ok(LoadPlace::Bar {
            name: name.to_string(),
            fraction,
        }),
        None => Err(row.refuse(
            column,
            format!("{} has no fraction of the arc behind the @", short(&text)),
            "0 at the bar's first joint to 1 at its last",
            format!("write {name}@0.5 for its middle"),
        )),
    }
}

/// Whether the weight was being put on or taken off.
fn course(row: &Row<'_, '_>, column: Column) -> Result<Course, Box<Refusal>> {
    match row.text(column).to_lowercase().as_str() {
        "loading" => Ok(Course::Loading),
        "unloading" => Ok(Course::Unloading),
        other => Err(row.refuse(
            column,
            format!("{} is no course", short(other)),
            "loading, unloading",
            "write loading while weights are put on, unloading while they are taken off",
        )),
    }
}
