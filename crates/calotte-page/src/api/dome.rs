//! A quantity over the dome, on a grid of polar angle by azimuth.

use axum::Json;
use axum::extract::State;
use axum::http::StatusCode;
use calotte::analysis::RingResult;
use calotte::analysis::ring::{PointResult, solve_ring};
use calotte::analysis::values::{At, at_angle, at_direction, shown_at_angle};
use calotte::brief::LoadCase;
use calotte::kinematics::{Pose, WorkingRange};
use calotte::quantity::{Need, Quantity};
use calotte::sphere::Direction;
use calotte_format::units::degrees;
use rayon::prelude::*;

use crate::server::{ApiError, AppState, Body, compute};

use super::prepared::{Prepared, prepared};
use super::wire::{DomeAnswer, DomeAsked, DomeQuantity};
use super::zones::{caps, zones};

/// Most nodes of the grid.
const NODES_MAX: u32 = 40_000;
/// How far beside an edge of the range the outer node lies, rad.
const BESIDE: f64 = 1e-7;

/// A quantity over the dome.
pub(crate) async fn dome(
    State(state): State<AppState>,
    Body(asked): Body<DomeAsked>,
) -> Result<Json<DomeAnswer>, ApiError> {
    if asked.rings < 2 || asked.around < 4 || asked.rings.saturating_mul(asked.around) > NODES_MAX {
        return Err(ApiError::new(
            StatusCode::UNPROCESSABLE_ENTITY,
            format!("a grid of {} by {}", asked.rings, asked.around),
        )
        .hint("ask for 2 rings of 4 at least and 40,000 nodes at most"));
    }
    let folder = state.folder().to_owned();
    compute(&state, asked, move |asked| {
        let ready = prepared(
            &asked.design,
            asked.brief.as_deref(),
            asked.rigid_joints,
            &folder,
        )?;
        answer(&ready, &asked).map(Json)
    })
    .await?
}

/// A quantity as it is asked for.
#[derive(Debug, Clone, Copy)]
pub(super) struct Taken {
    pub quantity: Quantity,
    load: Option<usize>,
}

impl Taken {
    /// The value at a direction, in the unit of the quantity.
    fn at(self, ready: &Prepared, ring: &RingResult, point: &PointResult) -> Option<f64> {
        let at = At {
            model: &ready.model,
            ring,
            point,
            load: self.load,
        };
        let value = at_direction(self.quantity, &at)?;
        Some(value * self.quantity.unit().factor())
    }

    /// The value that every second mechanism angle has for itself, in the unit of the quantity;
    /// the outer `None` where it takes a structure to tell.
    fn at_angle(self, ready: &Prepared, second: f64) -> Option<Option<f64>> {
        let of_angle = at_angle(self.quantity)?;
        let value = of_angle(&ready.model.kinematics, second);
        let shown = |value| shown_at_angle(self.quantity, value, ready.roll.as_ref());
        Some(value.map(|value| shown(value) * self.quantity.unit().factor()))
    }

    /// The value at a pose, in the unit of the quantity; `None` where it has none.
    pub fn at_pose(self, ready: &Prepared, pose: &Pose) -> Option<f64> {
        let second = pose.mechanism[1];
        if let Some(value) = self.at_angle(ready, second) {
            return value;
        }
        let azimuth = Direction::of(&pose.direction.vector()).azimuth;
        let ring = solve_ring(&ready.model, second, &[azimuth], self.loads(ready)).ok()?;
        let value = self.at(ready, &ring, ring.points.first()?)?;
        value.is_finite().then_some(value)
    }

    /// The loads that must be solved for it.
    fn loads(self, ready: &Prepared) -> &[LoadCase] {
        match self.load {
            Some(_) => ready.loads(),
            None => &[],
        }
    }
}

/// What is asked for, with the label of its scale.
///
/// # Errors
/// Status 422 for a word or load that there is not, or without a mass where it needs one.
pub(super) fn taken(ready: &Prepared, asked: &DomeQuantity) -> Result<(Taken, String), ApiError> {
    let missing = |what: String, hint: String| {
        Err(ApiError::new(StatusCode::UNPROCESSABLE_ENTITY, what).hint(hint))
    };
    let colours = || {
        let all = Quantity::COLOURS.into_iter();
        all.filter_map(|quantity| Some((quantity, quantity.facts().colour?)))
    };
    let Some((quantity, colour)) = colours().find(|(_, colour)| colour.word == asked.word) else {
        let words: Vec<&str> = colours().map(|(_, colour)| colour.word).collect();
        return missing(
            format!("nothing is called {:?}", asked.word),
            format!("ask for one of: {}", words.join(", ")),
        );
    };
    let weightless = ready.given().tool.mass.is_none() && ready.model.holding.moving_mass() <= 0.0;
    if quantity.needs(Need::Weight) && !quantity.is_per_load() && weightless {
        return missing(
            "nothing has a mass".to_owned(),
            "write mass_kg in [tool] of the design".to_owned(),
        );
    }
    if !quantity.is_per_load() {
        let load = None;
        return Ok((Taken { quantity, load }, colour.label.to_owned()));
    }
    let name = asked.load.as_deref().unwrap_or_default();
    let load = ready.loads().iter().position(|load| load.name == name);
    match load {
        Some(_) => Ok((
            Taken { quantity, load },
            format!("{}, {name}", colour.label),
        )),
        None => missing(
            format!("the brief has no load {name:?}"),
            "open a brief with a [[load]] of this name".to_owned(),
        ),
    }
}

fn answer(ready: &Prepared, asked: &DomeAsked) -> Result<DomeAnswer, ApiError> {
    let (taken, label) = taken(ready, &asked.quantity)?;
    let polar = polar_nodes(ready, asked.rings);
    let around = asked.around as usize;
    let azimuth: Vec<f64> = (0..=around)
        .map(|k| std::f64::consts::TAU * k as f64 / around as f64)
        .collect();
    let rows: Vec<(Vec<Option<f64>>, Vec<u8>)> = polar
        .par_iter()
        .map(|polar| row(ready, taken, *polar, &azimuth))
        .collect();
    let mut values = Vec::with_capacity(polar.len() * azimuth.len());
    let mut state = Vec::with_capacity(values.capacity());
    for (row_values, row_state) in rows {
        values.extend(row_values);
        state.extend(row_state);
    }
    let covered = || {
        values
            .iter()
            .zip(&state)
            .filter(|(_, state)| **state == 0)
            .filter_map(|(value, _)| *value)
    };
    let low = covered().reduce(f64::min);
    let high = covered().reduce(f64::max);
    Ok(DomeAnswer {
        label,
        unit: taken.quantity.unit().symbol().to_owned(),
        reason: low.is_none().then(|| {
            "no direction of the required region is covered: the working range has none, or the linkage is singular there".to_owned()
        }),
        low,
        high,
        caps: caps(ready),
        zones: zones(ready),
        polar_deg: polar.iter().map(|angle| degrees(*angle)).collect(),
        azimuth_deg: azimuth.iter().map(|angle| degrees(*angle)).collect(),
        values,
        state,
    })
}

/// Equal steps from the base axis to beyond region and reach; the ends of the working
/// range stand twice, just inside and just outside, so that its edge is sharp.
fn polar_nodes(ready: &Prepared, rings: u32) -> Vec<f64> {
    let pi = std::f64::consts::PI;
    let reach = ready.range.as_ref().map_or(0.0, WorkingRange::polar_max);
    let region = ready
        .region()
        .polar_extent()
        .map_or(0.5 * pi, |[_, high]| high);
    let end = (reach.max(region) + 0.14).min(pi);
    let mut nodes: Vec<f64> = (0..rings)
        .map(|k| end * f64::from(k) / f64::from(rings - 1))
        .collect();
    for range in ready.range.iter().chain(&ready.elastic_range) {
        for edge in [range.polar_min(), range.polar_max()] {
            nodes.extend([edge - BESIDE, edge, edge + BESIDE]);
        }
    }
    nodes.retain(|angle| (0.0..=pi).contains(angle));
    nodes.sort_by(f64::total_cmp);
    nodes.dedup_by(|a, b| (*a - *b).abs() < 0.5 * BESIDE);
    nodes
}

fn row(ready: &Prepared, taken: Taken, polar: f64, azimuth: &[f64]) -> (Vec<Option<f64>>, Vec<u8>) {
    let meridian = &ready.model.kinematics.meridian;
    let reached = second_for(ready, ready.range.as_ref(), polar);
    let in_reach = |at: f64| {
        reached
            .as_ref()
            .is_some_and(|(second, range)| range.azimuths(meridian, *second).contains(at))
    };
    let state: Vec<u8> = azimuth
        .iter()
        .map(|at| {
            let direction = Direction {
                polar,
                azimuth: *at,
            }
            .vector();
            if !in_reach(*at) {
                1
            } else if ready.region().is_excluded(&direction) {
                2
            } else {
                u8::from(!ready.region().contains(&direction)) * 3
            }
        })
        .collect();
    // What every second angle has for itself needs no structure.
    let values = if at_angle(taken.quantity).is_some() {
        let value = reached
            .as_ref()
            .and_then(|(second, _)| taken.at_angle(ready, *second).flatten());
        state
            .iter()
            .map(|state| value.filter(|_| *state != 1))
            .collect()
    } else {
        let range = ready.elastic_range.as_ref();
        elastic(
            ready,
            taken,
            second_for(ready, range, polar),
            azimuth,
            &state,
        )
    };
    (values, state)
}

/// Second mechanism angle at a polar angle, with the range it lies in.
fn second_for<'a>(
    ready: &Prepared,
    range: Option<&'a WorkingRange>,
    polar: f64,
) -> Option<(f64, &'a WorkingRange)> {
    let range = range?;
    let meridian = &ready.model.kinematics.meridian;
    Some((range.second_for_polar(meridian, polar)?, range))
}

fn elastic(
    ready: &Prepared,
    taken: Taken,
    second: Option<(f64, &WorkingRange)>,
    azimuth: &[f64],
    state: &[u8],
) -> Vec<Option<f64>> {
    let none = vec![None; azimuth.len()];
    let Some((second, _)) = second else {
        return none;
    };
    match solve_ring(&ready.model, second, azimuth, taken.loads(ready)) {
        Ok(ring) => ring
            .points
            .iter()
            .zip(state)
            .map(|(point, state)| {
                let value = taken.at(ready, &ring, point)?;
                (*state != 1 && value.is_finite()).then_some(value)
            })
            .collect(),
        Err(_) => none,
    }
}
