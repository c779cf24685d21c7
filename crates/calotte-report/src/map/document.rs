//! The map for programs.

use calotte::analysis::AnalysisOptions;
use calotte::analysis::map::NoValue;
use calotte::quantity::{Need, Quantity};
use calotte_document::map as document;
use calotte_document::map::{EqualReachPoint, MapAxis, MapBest, MapDocument, MapPart};
use calotte_document::run::MapRun;
use calotte_format::map_request::AxisValues;
use calotte_format::units::degrees;

use super::names;
use super::result::{EqualReach, Map, best, columns, outside};
use crate::input::provenance;
use crate::safety;

/// The map for programs.
pub fn document(map: &Map) -> MapDocument {
    let mut inputs = vec![(
        "design",
        map.design.path.as_path(),
        map.design.sha256.as_str(),
    )];
    if let Some(brief) = &map.brief {
        inputs.push(("brief", brief.path.as_path(), brief.sha256.as_str()));
    }
    let task = &map.request.task;
    MapDocument {
        x: axis(&map.request.x),
        y: axis(&map.request.y),
        order: "one row of x after the other".to_string(),
        reach_without_margins_deg: map.cells.iter().map(|c| c.reach.map(degrees)).collect(),
        coverage_of_region: map.cells.iter().map(|c| c.coverage).collect(),
        reaches_region: map.cells.iter().map(|c| c.reaches_region).collect(),
        no_value_because: map
            .cells
            .iter()
            .map(|c| c.reason.as_ref().map(NoValue::words))
            .collect(),
        show: task.quantities.iter().map(|q| quantity(map, *q)).collect(),
        equal_reach: map
            .equal_reach
            .iter()
            .map(|line| equal_reach(map, line))
            .collect(),
        settings: map
            .request
            .settings
            .iter()
            .map(|(name, value)| [name.clone(), value.clone()])
            .collect(),
        run: provenance(&inputs, options(map), &map.warnings()),
        safety: safety::document(map.safety()),
    }
}

fn axis(axis: &AxisValues) -> MapAxis {
    MapAxis {
        variable: axis.variable.name().to_string(),
        unit: names::unit(axis.variable).symbol().to_string(),
        values: axis.shown.clone(),
    }
}

fn quantity(map: &Map, quantity: Quantity) -> document::MapQuantity {
    let (x, y) = (&map.request.x, &map.request.y);
    let part = |column: &str, real: bool| MapPart {
        column: column.to_string(),
        values: map.values(quantity, real),
        best: map
            .best_of_rows(quantity, real)
            .iter()
            .zip(&y.shown)
            .map(|(best, value)| MapBest {
                y: *value,
                best_x: best.map(|i| x.shown[i]),
            })
            .collect(),
    };
    let names = columns(map, quantity);
    let (first, last) = (&names[0].0, &names[names.len() - 1].0);
    let (ideal, real) = if map.is_built() {
        ("ideal", "with_bearings_and_layers")
    } else {
        ("rigid_joints", "these_joints")
    };
    document::MapQuantity {
        quantity: quantity.word().to_string(),
        unit: names::quantity(quantity, map.request.task.dimensionless)
            .unit
            .to_string(),
        more_is_better: quantity.more_is_better(),
        joints_change_it: map.is_built() || quantity.needs(Need::Joints),
        best_among: if map.is_masked(quantity) {
            "cells that reach the region"
        } else {
            "cells with a value"
        }
        .to_string(),
        parts: [
            (ideal.to_string(), part(first, false)),
            (real.to_string(), part(last, true)),
        ]
        .into(),
    }
}

fn equal_reach(map: &Map, line: &EqualReach) -> document::EqualReach {
    let columns: Vec<(Quantity, String, bool)> = map
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
    let points = line
        .points
        .iter()
        .map(|point| {
            let found = point.found.as_ref();
            let mut values = std::collections::BTreeMap::new();
            values.insert(line.along.name().to_string(), Some(point.along));
            let solved = found.map(|(value, _)| *value);
            values.insert(line.solved.name().to_string(), solved);
            values.extend(columns.iter().map(|(q, name, real)| {
                let value = found.and_then(|(_, cell)| map.value_of(cell, *q, *real));
                (name.clone(), value)
            }));
            EqualReachPoint {
                no_value_because: match found {
                    None => Some(outside(map, line)),
                    Some((_, cell)) => cell.reason.as_ref().map(NoValue::words),
                },
                values,
            }
        })
        .collect();
    document::EqualReach {
        reach_deg: degrees(line.level),
        for_each: line.along.name().to_string(),
        solved_for: line.solved.name().to_string(),
        points,
        best_by_column: columns
            .into_iter()
            .map(|(q, name, real)| {
                let best = best(&line.values(map, q, real), q);
                (name, best.map(|i| line.points[i].along))
            })
            .collect(),
    }
}

/// The options as resolved.
fn options(map: &Map) -> MapRun {
    let request = &map.request;
    let task = &request.task;
    let grid = AnalysisOptions::default();
    let set = request.set.iter();
    MapRun {
        show: task
            .quantities
            .iter()
            .map(|q| q.word().to_string())
            .collect(),
        set: set
            .map(|(variable, value)| {
                let shown = names::unit(*variable).from_si(*value);
                (variable.name().to_string(), shown)
            })
            .collect(),
        at_polar_deg: task.at_polar.map(degrees),
        lines_of_reach_deg: request.lines.iter().map(|line| degrees(*line)).collect(),
        dimensionless: task.dimensionless,
        polar_angles_in_region: grid.rings,
        azimuths_at_each: grid.around,
    }
}
