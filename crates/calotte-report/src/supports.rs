//! What drives and ground are taken for, and how much usual ones would change.

use calotte::analysis::{Analysis, Row, WithTypicalSupports};
use calotte::design::Design;
use calotte::stock::{SUPPORTS_SOURCE, TYPICAL_DRIVE, TYPICAL_GROUND, TYPICAL_GROUND_TURNING};
use calotte_document::analysis as document;
use calotte_format::words;

use crate::html::{Block, Cell, Column, Table};

/// The drives and the ground that a design does not give; `None` where it gives all.
pub fn taken_as_rigid(design: &Design) -> Option<String> {
    let drives = words::rigid_drives(design);
    let ground = design.mount.support.is_none();
    match (drives, ground) {
        (Some(drives), true) => Some(format!("{drives} and ground")),
        (Some(drives), false) => Some(drives),
        (None, true) => Some("ground".to_string()),
        (None, false) => None,
    }
}

/// The usual values put in place of what is not given.
fn values(design: &Design, typical: &WithTypicalSupports) -> String {
    let mut parts = Vec::new();
    if let Some(drives) = words::rigid_drives(design) {
        parts.push(format!("{drives} of {TYPICAL_DRIVE} N·m/rad"));
    }
    if typical.ground {
        parts.push(format!(
            "ground of {} N/mm and {TYPICAL_GROUND_TURNING} N·m/rad",
            TYPICAL_GROUND / 1e3
        ));
    }
    format!("{} ({SUPPORTS_SOURCE})", parts.join(", "))
}

/// The rows that are met at nominal values as the design is given, and not with usual drives
/// and a usual ground.
pub fn missed_with_typical(analysis: &Analysis) -> Vec<&Row> {
    let rows = analysis.typical_supports.iter().flat_map(|t| &t.rows);
    let only_rigid = |row: &&Row| {
        let own = analysis.rows.iter().find(|own| own.is_like(row));
        row.met_at_nominal() == Some(false)
            && own.is_some_and(|own| own.met_at_nominal() == Some(true))
    };
    rows.filter(only_rigid).collect()
}

/// What is said of them beside the verdict, one sentence each.
pub fn cautions(design: &Design, analysis: &Analysis) -> Vec<String> {
    let Some(typical) = &analysis.typical_supports else {
        return Vec::new();
    };
    let rigid = taken_as_rigid(design).unwrap_or_default();
    missed_with_typical(analysis)
        .into_iter()
        .map(|row| {
            format!(
                "{}: {} at nominal values with {} in place of {rigid} taken as rigid; give [[drive]] and [mount.springs] or [mount.column] to judge by your own",
                words::row_name(row).to_lowercase(),
                value(row),
                values(design, typical),
            )
        })
        .collect()
}

/// The same beside the verdict in short; empty where nothing is missed.
pub fn missed_words(design: &Design, analysis: &Analysis, name: &dyn Fn(&Row) -> String) -> String {
    let rows = missed_with_typical(analysis);
    if rows.is_empty() {
        return String::new();
    }
    let named: Vec<String> = rows.into_iter().map(name).collect();
    format!(
        "; with typical {} in place of rigid, at nominal values missed: {}",
        taken_as_rigid(design).unwrap_or_default(),
        named.join("; ")
    )
}

/// The rows to show: those with a limit, or without any those worth knowing.
fn shown(typical: &WithTypicalSupports) -> Vec<&Row> {
    let with = |limited: bool| {
        let rows = typical.rows.iter();
        rows.filter(move |row| match limited {
            true => row.needed.is_some(),
            false => !row.quantity.facts().aside,
        })
        .collect::<Vec<&Row>>()
    };
    let limited = with(true);
    if limited.is_empty() {
        with(false)
    } else {
        limited
    }
}

/// A value, and whether it misses its limit.
fn value(row: &Row) -> String {
    let got = match &row.got {
        Ok(got) => words::value_of(row.quantity, *got),
        Err(reason) => format!("no value ({reason})"),
    };
    match (row.met_at_nominal(), row.needed) {
        (Some(false), Some(needed)) => {
            let sign = if row.at_least() { "≥" } else { "≤" };
            let [got, limit] = match &row.got {
                Ok(value) => words::apart(row.quantity, [*value, needed]),
                Err(_) => [got, words::value_of(row.quantity, needed)],
            };
            format!("{got}, which misses {sign} {limit}")
        }
        _ => got,
    }
}

/// The governing rows once more, with usual drives and a usual ground.
pub fn typical_words(design: &Design, analysis: &Analysis) -> Option<String> {
    let typical = analysis.typical_supports.as_ref()?;
    let rows: Vec<String> = shown(typical)
        .into_iter()
        .map(|row| format!("{} {}", words::row_name(row).to_lowercase(), value(row)))
        .collect();
    (!rows.is_empty()).then(|| {
        format!(
            "with {} at nominal values: {}",
            values(design, typical),
            rows.join("; ")
        )
    })
}

/// The same as a table of the page.
pub fn typical_block(design: &Design, analysis: &Analysis) -> Option<Block> {
    let typical = analysis.typical_supports.as_ref()?;
    let rows: Vec<Vec<Cell>> = shown(typical)
        .into_iter()
        .filter_map(|row| {
            let own = analysis.rows.iter().find(|own| own.is_like(row))?;
            Some(vec![
                Cell::Text(words::row_name(row)),
                Cell::Text(value(own)),
                Cell::Text(value(row)),
            ])
        })
        .collect();
    (!rows.is_empty()).then(|| {
        Block::Table(Table {
            caption: format!(
                "The governing rows once more with {}, at nominal values; give [[drive]] and [mount.springs] or [mount.column] to judge by your own.",
                values(design, typical)
            ),
            columns: vec![
                Column::text("Quantity"),
                Column::text("As judged"),
                Column::text("With typical supports"),
            ],
            rows,
            emphasised: None,
        })
    })
}

/// The same for JSON.
pub fn typical_document(analysis: &Analysis) -> Option<document::WithTypicalSupports> {
    let typical = analysis.typical_supports.as_ref()?;
    let rows = typical.rows.iter().map(|row| {
        let unit = row.quantity.unit();
        let got = row.got.as_ref().ok().map(|got| got * unit.factor());
        let predicted = got.filter(|value| value.is_finite());
        document::TypicalRow {
            quantity: row.quantity.name().to_string(),
            load: row.load.clone(),
            values: [(unit.after("predicted"), predicted)].into(),
            met_at_nominal: row.met_at_nominal(),
        }
    });
    Some(document::WithTypicalSupports {
        drive_stiffness_nm_per_rad: typical
            .drives
            .map(|typical| typical.then_some(TYPICAL_DRIVE)),
        ground: typical.ground.then_some(document::TypicalGround {
            axial_and_lateral_n_per_m: TYPICAL_GROUND,
            tilt_and_twist_nm_per_rad: TYPICAL_GROUND_TURNING,
        }),
        source: SUPPORTS_SOURCE.to_string(),
        rows: rows.collect(),
    })
}
