//! The map as one JSON object.

use calotte::analysis::AnalysisOptions;
use calotte::analysis::map::NoValue;
use calotte::quantity::{Need, Quantity};
use calotte_format::units::degrees;
use serde_json::{Map as Object, Value, json};

use super::names;
use super::result::{EqualReach, Map, best, columns, outside};
use crate::input::provenance;

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

fn quantity(map: &Map, quantity: Quantity) -> Value {
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
        "quantity": quantity.word(),
        "unit": names::quantity(quantity, map.request.task.dimensionless).unit,
        "more_is_better": quantity.more_is_better(),
        "joints_change_it": map.is_built() || quantity.needs(Need::Joints),
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
        "show": request.task.quantities.iter().map(|q| q.word()).collect::<Vec<_>>(),
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
