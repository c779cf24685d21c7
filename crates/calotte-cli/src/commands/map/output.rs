//! The files of a map: figures, captions, tables and the whole as JSON.

use calotte::analysis::AnalysisOptions;
use calotte::analysis::map::{MapQuantity, NoValue};
use calotte_format::units::degrees;
use calotte_plot::plot::{Figure, FigureStyle};
use serde_json::{Map as Object, Value, json};

use super::result::{EqualReach, Map, best};
use super::{figures, names};
use crate::arguments::MapOptions;
use crate::failure::Failure;
use crate::files::ResultsFolder;
use crate::inputs::provenance;

/// Fills the folder.
pub fn fill(folder: &mut ResultsFolder, map: &Map, options: &MapOptions) -> Result<(), Failure> {
    let style = FigureStyle {
        width_mm: options.width_mm,
        font_pt: options.font_pt,
        ..FigureStyle::journal_page()
    };
    let mut captions = String::from("# Captions\n");
    for quantity in &map.request.task.quantities {
        for (name, figure) in figures::all(map, *quantity, options.width_mm, options.font_pt) {
            let drawing = figure.draw(&style).map_err(|error| {
                Failure::new(format!("{name}.svg cannot be drawn: {error}"))
                    .hint("give a larger --width-mm or a smaller --font-pt")
            })?;
            folder.add(&format!("{name}.svg"), drawing.svg);
            captions.push_str(&caption(&name, &figure, &drawing.notes));
        }
    }
    folder.add("map.md", captions);
    folder.add("map.csv", cells_table(map)?);
    if !map.equal_reach.is_empty() {
        folder.add("equal-reach.csv", equal_reach_table(map)?);
    }
    folder.add("map.json", format!("{:#}\n", document(map)));
    Ok(())
}

/// A caption that can stand below the figure, and the settings behind it.
fn caption(file: &str, figure: &Figure, notes: &[String]) -> String {
    let mut text = format!("\n## {file}.svg\n\n{}", figure.caption);
    for note in notes {
        text.push_str(&format!(" {note}"));
    }
    let settings: Vec<String> = figure
        .settings
        .iter()
        .map(|(name, value)| format!("{name}: {value}"))
        .collect();
    text.push_str(&format!("\n\nSettings: {}.\n", settings.join("; ")));
    text
}

/// Columns of a quantity: two where joints or layers change it, else one.
fn columns(map: &Map, quantity: MapQuantity) -> Vec<(String, bool)> {
    let shown = names::quantity(quantity, map.request.task.dimensionless);
    let name = quantity.name().replace('-', "_");
    if map.is_built() {
        vec![
            (format!("{name}_ideal{}", shown.suffix), false),
            (format!("{name}_as_built{}", shown.suffix), true),
        ]
    } else if quantity.depends_on_joints() {
        vec![
            (format!("{name}_rigid_joints{}", shown.suffix), false),
            (format!("{name}_these_joints{}", shown.suffix), true),
        ]
    } else {
        vec![(format!("{name}{}", shown.suffix), true)]
    }
}

fn cells_table(map: &Map) -> Result<Vec<u8>, Failure> {
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
    let shown: Vec<(MapQuantity, String, bool)> = quantities
        .iter()
        .flat_map(|q| {
            columns(map, *q)
                .into_iter()
                .map(|(name, real)| (*q, name, real))
        })
        .collect();
    head.extend(shown.iter().map(|(_, name, _)| name.clone()));
    head.push("no_value_because".to_string());
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
        table.record(&record)?;
    }
    table.bytes()
}

fn equal_reach_table(map: &Map) -> Result<Vec<u8>, Failure> {
    let mut table = Table::new("equal-reach.csv");
    for (index, line) in map.equal_reach.iter().enumerate() {
        let shown: Vec<(MapQuantity, String, bool)> = map
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
            head.push("no_value_because".to_string());
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
            table.record(&record)?;
        }
    }
    table.bytes()
}

/// Why a line has no design at a value: the map's own values end before.
pub fn outside(map: &Map, line: &EqualReach) -> String {
    let axis = if map.request.y.variable == line.solved {
        &map.request.y
    } else {
        &map.request.x
    };
    let ends = (axis.shown.first(), axis.shown.last());
    let (Some(first), Some(last)) = ends else {
        return String::new();
    };
    format!(
        "not with {} from {} to {}",
        line.solved.name(),
        names::number(*first),
        names::number(*last)
    )
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

    fn record(&mut self, fields: &[String]) -> Result<(), Failure> {
        self.writer
            .write_record(fields)
            .map_err(|error| Failure::new(format!("{}: {error}", self.name)))
    }

    fn bytes(self) -> Result<Vec<u8>, Failure> {
        let name = self.name;
        self.writer
            .into_inner()
            .map_err(|error| Failure::new(format!("{name}: {error}")))
    }
}

/// The map as one JSON object.
pub fn document(map: &Map) -> Value {
    let (x, y) = (&map.request.x, &map.request.y);
    let axis = |axis: &calotte_format::map_request::AxisValues| {
        json!({
            "variable": axis.variable.name(),
            "unit": names::unit(axis.variable).symbol(),
            "values": axis.shown,
        })
    };
    let mut inputs = vec![(
        "design",
        map.design.path.as_path(),
        map.design.sha256.as_str(),
    )];
    if let Some(brief) = &map.brief {
        inputs.push(("brief", brief.path.as_path(), brief.sha256.as_str()));
    }
    json!({
        "x": axis(x),
        "y": axis(y),
        "order": "one row of x after the other",
        "reach_without_margins_deg": map.cells.iter().map(|c| c.reach.map(degrees)).collect::<Vec<_>>(),
        "coverage_of_region": map.cells.iter().map(|c| c.coverage).collect::<Vec<_>>(),
        "reaches_region": map.cells.iter().map(|c| c.reaches_region).collect::<Vec<_>>(),
        "no_value_because": map.cells.iter().map(|c| c.reason.as_ref().map(NoValue::words)).collect::<Vec<_>>(),
        "show": map.request.task.quantities.iter().map(|q| quantity(map, *q)).collect::<Vec<_>>(),
        "equal_reach": map.equal_reach.iter().map(|line| equal_reach(map, line)).collect::<Vec<_>>(),
        "settings": map.request.settings.iter().map(|(k, v)| json!([k, v])).collect::<Vec<_>>(),
        "run": provenance(&inputs, options(map), &map.warnings()),
    })
}

fn quantity(map: &Map, quantity: MapQuantity) -> Value {
    let (x, y) = (&map.request.x, &map.request.y);
    let part = |column: &str, real: bool| {
        let best: Vec<Value> = map
            .best_of_rows(quantity, real)
            .iter()
            .zip(&y.shown)
            .map(|(best, value)| json!({ "y": value, "best_x": best.map(|i| x.shown[i]) }))
            .collect();
        json!({ "column": column, "values": map.values(quantity, real), "best": best })
    };
    let names = columns(map, quantity);
    let (first, last) = (&names[0].0, &names[names.len() - 1].0);
    let (ideal, real) = if map.is_built() {
        ("ideal", "as_built")
    } else {
        ("rigid_joints", "these_joints")
    };
    json!({
        "quantity": quantity.name(),
        "unit": names::quantity(quantity, map.request.task.dimensionless).unit,
        "more_is_better": quantity.more_is_better(),
        "joints_change_it": map.is_built() || quantity.depends_on_joints(),
        "best_among": if map.is_masked(quantity) { "cells that reach the region" } else { "cells with a value" },
        ideal: part(first, false),
        real: part(last, true),
    })
}

fn equal_reach(map: &Map, line: &EqualReach) -> Value {
    let points: Vec<Value> = line
        .points
        .iter()
        .map(|point| {
            let mut object = Object::new();
            object.insert(line.along.name().to_string(), json!(point.along));
            let solved = point.found.as_ref().map(|(value, _)| *value);
            object.insert(line.solved.name().to_string(), json!(solved));
            let reason = match &point.found {
                None => Some(outside(map, line)),
                Some((_, cell)) => cell.reason.as_ref().map(NoValue::words),
            };
            object.insert("no_value_because".to_string(), json!(reason));
            for q in &map.request.task.quantities {
                for (name, real) in columns(map, *q) {
                    let value = point
                        .found
                        .as_ref()
                        .and_then(|(_, cell)| map.value_of(cell, *q, real));
                    object.insert(name, json!(value));
                }
            }
            Value::Object(object)
        })
        .collect();
    let best_of: Object<String, Value> = map
        .request
        .task
        .quantities
        .iter()
        .flat_map(|q| {
            columns(map, *q)
                .into_iter()
                .map(|(name, real)| (*q, name, real))
        })
        .map(|(q, name, real)| {
            let found = best(&line.values(map, q, real), q).map(|i| line.points[i].along);
            (name, json!(found))
        })
        .collect();
    json!({
        "reach_deg": degrees(line.level),
        "for_each": line.along.name(),
        "solved_for": line.solved.name(),
        "points": points,
        "best_by_column": best_of,
    })
}

/// The options as resolved.
fn options(map: &Map) -> Value {
    let request = &map.request;
    let grid = AnalysisOptions::default();
    json!({
        "show": request.task.quantities.iter().map(|q| q.name()).collect::<Vec<_>>(),
        "set": request.set.iter().map(|(variable, value)| {
            json!([variable.name(), names::unit(*variable).from_si(*value)])
        }).collect::<Vec<_>>(),
        "at_polar_deg": request.task.at_polar.map(degrees),
        "lines_of_reach_deg": request.lines.iter().map(|l| degrees(*l)).collect::<Vec<_>>(),
        "dimensionless": request.task.dimensionless,
        "polar_angles_in_region": grid.rings,
        "azimuths_at_each": grid.around,
    })
}
