//! Files of measured points.

use calotte::design::Design;
use calotte::linkage::Linkage;
use calotte::measurement::{PointRow, Points};
use nalgebra::{Quaternion, UnitQuaternion, Vector3};

use super::RefusedRow;
use super::columns::{Known, KnownColumns, Quantity};
use super::finder::{Column, Finder};
use super::problems::numbers;
use super::row::{Refusal, Row};
use super::sheet::{Rows, read};
use crate::problem::FormatError;

/// How far the norm of an orientation may be from 1.
const NORM_SLIP: f64 = 0.01;

/// Measured points with what was not used.
#[derive(Debug, Clone, PartialEq)]
pub struct PointsRead {
    /// The points, m and rad.
    pub points: Points,
    /// Rows that are not used, in the order of the file.
    pub refused: Vec<RefusedRow>,
    /// What is worth knowing about how the file was read: units, remarks, repeats.
    pub notes: Vec<String>,
}

/// Reads measured points.
///
/// Columns: the active joints of the design (such as `swing_deg`, `opening_deg`), `x_mm`,
/// `y_mm`, `z_mm` in the tracker's frame; optional `group`, and `qw`, `qx`, `qy`, `qz`, of
/// which all four or none are given in a row. Angles may be in `_rad`, lengths in `_um`,
/// `_m`, `_cm` or `_in`. `expected_x_mm` and so on are accepted and not read.
///
/// # Arguments
/// - `text`: the bytes of the file, UTF-8.
/// - `design`: the design that was measured; it says which joints are active.
///
/// # Errors
/// [`FormatError`] where the text or its heading cannot be read, where fewer than four rows
/// remain, or where more than half of them are refused.
pub fn read_points(text: &[u8], design: &Design) -> Result<PointsRead, FormatError> {
    let sheet = read::<PointColumns>(text, design)?;
    Ok(PointsRead {
        points: Points { rows: sheet.rows },
        refused: sheet.refused,
        notes: sheet.notes,
    })
}

/// Where the values of a point are.
#[derive(Debug)]
struct PointColumns {
    readings: [Column; 2],
    point: [Column; 3],
    group: Option<Column>,
    orientation: Option<[Column; 4]>,
}

impl Rows for PointColumns {
    type Columns = PointColumns;
    type Read = PointRow;

    const KINDS: [&'static str; 2] = ["points", "weights"];
    const OWN: &'static [&'static str] = &["x", "y", "z"];
    const OTHER: &'static [&'static str] = &["mass", "course"];

    fn known(joints: [&str; 2]) -> Vec<Known> {
        KnownColumns::default()
            .with(Quantity::Angle, &joints)
            .with(Quantity::Length, &["x", "y", "z"])
            .with(Quantity::Text, &["group"])
            .with(Quantity::Ratio, &["qw", "qx", "qy", "qz"])
            .with_unread(
                Quantity::Length,
                &["expected_x", "expected_y", "expected_z"],
            )
            .0
    }

    fn columns(finder: &mut Finder<'_, '_>, joints: [&str; 2]) -> Option<Self> {
        let readings = finder.needed(joints);
        let point = finder.needed(["x", "y", "z"]);
        let orientation = finder.together(["qw", "qx", "qy", "qz"]);
        Some(PointColumns {
            readings: readings?,
            point: point?,
            group: finder.column("group"),
            orientation,
        })
    }

    fn numeric(columns: &Self) -> Vec<Column> {
        let given = columns.readings.iter().chain(&columns.point);
        given
            .chain(columns.orientation.iter().flatten())
            .copied()
            .collect()
    }

    fn row(columns: &Self, row: &Row<'_, '_>, _: &Linkage) -> Result<PointRow, Box<Refusal>> {
        let [first, second] = columns.readings;
        let [x, y, z] = columns.point;
        row.complete(&[first, second, x, y, z])?;
        let readings = row.numbers(&columns.readings)?;
        let point: Vector3<f64> = row.vector(&columns.point)?;
        let orientation = match &columns.orientation {
            Some(parts) => orientation(row, parts)?,
            None => None,
        };
        Ok(PointRow {
            row: row.row,
            readings,
            point,
            orientation,
            group: row.name_of(columns.group).to_string(),
        })
    }

    fn same(first: &PointRow, second: &PointRow) -> bool {
        first.readings == second.readings
            && first.point == second.point
            && first.orientation == second.orientation
            && first.group == second.group
    }

    fn number(read: &PointRow) -> usize {
        read.row
    }

    fn notes(columns: &Self, rows: &[PointRow]) -> Vec<String> {
        let without: Vec<usize> = rows
            .iter()
            .filter(|row| columns.orientation.is_some() && row.orientation.is_none())
            .map(|row| row.row)
            .collect();
        if without.is_empty() {
            Vec::new()
        } else {
            vec![format!(
                "kept without an orientation: row {}",
                numbers(&without)
            )]
        }
    }
}

/// The orientation of a row; none where all four parts are missing.
fn orientation(
    row: &Row<'_, '_>,
    parts: &[Column; 4],
) -> Result<Option<UnitQuaternion<f64>>, Box<Refusal>> {
    if parts.iter().all(|part| row.is_missing(*part)) {
        return Ok(None);
    }
    row.complete(parts)?;
    let [w, x, y, z] = row.numbers(parts)?;
    let quaternion = Quaternion::new(w, x, y, z);
    let norm = quaternion.norm();
    if (norm - 1.0).abs() > NORM_SLIP {
        let mut refusal = row.refuse(
            parts[0],
            format!("the orientation has the length {norm:.4}"),
            "a unit quaternion: qw² + qx² + qy² + qz² = 1 within 1 %",
            "check the order of the four parts: qw is the scalar one",
        );
        refusal.name.clear();
        return Err(refusal);
    }
    Ok(Some(UnitQuaternion::from_quaternion(quaternion)))
}
