//! The tables of a map as comma-separated values.

use calotte::analysis::map::NoValue;
use calotte::quantity::Quantity;
use calotte_format::units::degrees;

use super::result::{Map, columns, outside};
use crate::error::ReportError;
use crate::safety::{NOTE, note};

/// One row for each cell.
pub(super) fn cells_table(map: &Map) -> Result<Vec<u8>, ReportError> {
    let (x, y) = (&map.request.x, &map.request.y);
    let mut table = Table::new("map.csv");
    let mut head = vec![x.variable.name().to_string(), y.variable.name().to_string()];
    head.extend(
        [
            "reach_without_margins_deg",
            "coverage_of_region",
            "reaches_region",
        ]
        .map(String::from),
    );
    let quantities = &map.request.task.quantities;
    let shown: Vec<(Quantity, String, bool)> = quantities
        .iter()
        .flat_map(|q| {
            columns(map, *q)
                .into_iter()
                .map(|(name, real)| (*q, name, real))
        })
        .collect();
    head.extend(shown.iter().map(|(_, name, _)| name.clone()));
    head.extend(["no_value_because", NOTE].map(String::from));
    table.record(&head)?;
    for (index, cell) in map.cells.iter().enumerate() {
        let mut record = vec![
            x.shown[index % x.shown.len()].to_string(),
            y.shown[index / x.shown.len()].to_string(),
            number(cell.reach.map(degrees)),
            number(cell.coverage),
            cell.reaches_region.to_string(),
        ];
        for (quantity, _, real) in &shown {
            record.push(number(map.value_of(cell, *quantity, *real)));
        }
        record.push(cell.reason.as_ref().map(NoValue::words).unwrap_or_default());
        record.push(note(map.safety(), index));
        table.record(&record)?;
    }
    table.bytes()
}

/// One row for each point of the lines of equal reach.
pub(super) fn equal_reach_table(map: &Map) -> Result<Vec<u8>, ReportError> {
    let mut table = Table::new("equal-reach.csv");
    let mut written = 0;
    for (index, line) in map.equal_reach.iter().enumerate() {
        let shown: Vec<(Quantity, String, bool)> = map
            .request
            .task
            .quantities
            .iter()
            .flat_map(|q| {
                columns(map, *q)
                    .into_iter()
                    .map(|(name, real)| (*q, name, real))
            })
            .collect();
        if index == 0 {
            let mut head = vec![
                "reach_without_margins_deg".to_string(),
                line.along.name().to_string(),
                line.solved.name().to_string(),
            ];
            head.extend(shown.iter().map(|(_, name, _)| name.clone()));
            head.extend(["no_value_because", NOTE].map(String::from));
            table.record(&head)?;
        }
        for point in &line.points {
            let mut record = vec![number(Some(degrees(line.level))), point.along.to_string()];
            match &point.found {
                Some((solved, cell)) => {
                    record.push(number(Some(*solved)));
                    for (quantity, _, real) in &shown {
                        record.push(number(map.value_of(cell, *quantity, *real)));
                    }
                    record.push(cell.reason.as_ref().map(NoValue::words).unwrap_or_default());
                }
                None => {
                    record.extend(vec![String::new(); shown.len() + 1]);
                    record.push(outside(map, line));
                }
            }
            record.push(note(map.safety(), written));
            written += 1;
            table.record(&record)?;
        }
    }
    table.bytes()
}

/// Twelve significant digits: enough for any use, without the noise of conversions.
fn number(value: Option<f64>) -> String {
    value
        .map(|v| {
            let rounded: f64 = format!("{v:.11e}").parse().unwrap_or(v);
            rounded.to_string()
        })
        .unwrap_or_default()
}

/// Comma-separated values in the making.
struct Table {
    name: &'static str,
    writer: csv::Writer<Vec<u8>>,
}

impl Table {
    fn new(name: &'static str) -> Self {
        Self {
            name,
            writer: csv::Writer::from_writer(Vec::new()),
        }
    }

    fn record(&mut self, fields: &[String]) -> Result<(), ReportError> {
        self.writer
            .write_record(fields)
            .map_err(|error| ReportError::new(format!("{}: {error}", self.name)))
    }

    fn bytes(self) -> Result<Vec<u8>, ReportError> {
        let name = self.name;
        self.writer
            .into_inner()
            .map_err(|error| ReportError::new(format!("{name}: {error}")))
    }
}
