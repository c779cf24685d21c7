//! A map over two design variables, cell by cell as it is computed.

use std::sync::atomic::Ordering;

use axum::extract::State;
use axum::response::IntoResponse;
use calotte::analysis::map::{Cell, cell, lines_of_equal_reach};
use calotte::brief::Brief;
use calotte::design::Design;
use calotte::quantity::{Need, Quantity};
use calotte_format::map_request::{AxisValues, MapWords, Request, names};
use calotte_format::units::degrees;
use rayon::prelude::*;

use crate::server::{ApiError, AppState, Body, stream};

use super::about::quantity_row;
use super::asked::{brief_to_judge, design_of};
use super::files::request_error;
use super::linkage::index;
use super::wire::{EqualReach, MapAsked, MapAxis, MapCell, MapDone, MapHead, MapPart};

/// Cells between two looks at whether anybody still listens.
const CELLS_A_PART: usize = 24;

/// A map, streamed: `part` with cells, then `done` with lines of equal reach.
pub(crate) async fn map(
    State(state): State<AppState>,
    Body(asked): Body<MapAsked>,
) -> Result<impl IntoResponse, ApiError> {
    let design = design_of(&asked.design)?;
    let brief: Option<Brief> = asked
        .brief
        .as_deref()
        .map(|text| brief_to_judge(text, state.folder()))
        .transpose()?;
    let words = MapWords {
        design_name: "the design".to_owned(),
        x: asked.x,
        y: asked.y,
        show: asked.show,
        line: asked.line.filter(|line| !line.is_empty()),
        set: asked.set,
        at: asked.at.filter(|at| !at.is_empty()),
        dimensionless: false,
    };
    let request =
        Request::read(&words, &design, brief.as_ref()).map_err(|error| request_error(&error))?;
    Ok(stream(&state, move |sender, cancelled| {
        let quantity = request.task.quantities[0];
        let count = request.x.values.len() * request.y.values.len();
        sender.part(&MapPart {
            head: Some(MapHead {
                x: axis(&request.x),
                y: axis(&request.y),
                quantity: quantity_row(quantity),
                beside: beside(&design, quantity),
                settings: request
                    .settings
                    .iter()
                    .map(|(name, value)| [name.clone(), value.clone()])
                    .collect(),
                cells: index(count),
            }),
            cells: Vec::new(),
        });
        let grid = request.grid(&design);
        let mut cells: Vec<Cell> = Vec::with_capacity(count);
        while cells.len() < count {
            if cancelled.load(Ordering::Relaxed) {
                return Ok(MapDone { lines: Vec::new() });
            }
            let from = cells.len();
            let to = (from + CELLS_A_PART).min(count);
            let part: Vec<Cell> = (from..to)
                .into_par_iter()
                .map(|place| cell(&design, &grid.changes(place), &request.task))
                .collect();
            sender.part(&MapPart {
                head: None,
                cells: part
                    .iter()
                    .enumerate()
                    .map(|(offset, found)| map_cell(from + offset, found, quantity))
                    .collect(),
            });
            cells.extend(part);
        }
        let lines = lines_of_equal_reach(&grid, &cells, &request.lines)
            .into_iter()
            .map(|line| equal_reach(&request, &line))
            .collect();
        Ok(MapDone { lines })
    }))
}

/// What the map's values stand beside.
fn beside(design: &Design, quantity: Quantity) -> Option<String> {
    if design.is_built() {
        Some("ideal linkage".to_owned())
    } else {
        let twice = quantity.needs(Need::Joints) && design.joints.stiffness.is_some();
        twice.then(|| "rigid joints".to_owned())
    }
}

fn axis(axis: &AxisValues) -> MapAxis {
    MapAxis {
        word: axis.variable.name().to_owned(),
        label: names::label(axis.variable).to_owned(),
        unit: names::unit(axis.variable).symbol().to_owned(),
        values: axis.shown.clone(),
    }
}

fn map_cell(place: usize, found: &Cell, quantity: Quantity) -> MapCell {
    let factor = names::quantity(quantity, false).factor;
    let value = |value: Option<f64>| value.map(|value| value * factor);
    MapCell {
        index: index(place),
        rigid: value(found.values.first().and_then(|values| values.rigid)),
        real: value(found.values.first().and_then(|values| values.real)),
        reason: found.reason.as_ref().map(|reason| reason.words()),
    }
}

/// A line in the units of the axes, x then y.
fn equal_reach(request: &Request, line: &calotte::analysis::map::EqualReachLine) -> EqualReach {
    let along_x = line.along == request.x.variable;
    let along = if along_x { &request.x } else { &request.y };
    let unit = names::unit(line.solved);
    EqualReach {
        reach_deg: degrees(line.level),
        points: line
            .points
            .iter()
            .zip(&along.shown)
            .map(|(point, along)| {
                let solved = unit.from_si(point.as_ref()?.0);
                Some(if along_x {
                    [*along, solved]
                } else {
                    [solved, *along]
                })
            })
            .collect(),
    }
}
