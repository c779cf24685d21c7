//! One configuration: where the tool points, every number of it, what a load does.

use std::time::Instant;

use axum::Json;
use axum::extract::State;
use axum::extract::ws::{Message, WebSocket, WebSocketUpgrade};
use axum::http::StatusCode;
use axum::response::Response;
use calotte::analysis::loaded::{LoadedShape, Loading, loaded_shape};
use calotte::analysis::point::configuration_result;
use calotte::brief::{LoadCase, LoadPlace, LoadVector};
use calotte::kinematics::working_range::state_transmission;
use calotte::kinematics::{Pose, inverse};
use calotte::linkage::Place;
use calotte::sphere::direction::{wrap_positive, wrap_signed};
use calotte::sphere::{Direction, arc_between, unit};
use calotte_format::units::{degrees, millimetres, radians};
use calotte_report::results::configuration_document;
use nalgebra::Vector3;

use crate::server::{ApiError, AppState, BODY_MAX, Body, panicked};

use super::linkage::{index, point_mm, row_by_row, triple};
use super::prepared::{Prepared, cannot, prepared};
use super::wire::{
    ArcUnderLoad, ClosingStage, LoadAnswer, LoadAsked, NotReached, PolarAzimuth, PoseAnswer,
    PoseAsked, Target,
};

/// Samples of the second mechanism angle when a joint is dragged.
const SAMPLES: usize = 160;

/// The pose asked for. Short enough to be computed where it is answered.
pub(crate) async fn pose(
    State(state): State<AppState>,
    Body(asked): Body<PoseAsked>,
) -> Result<Json<PoseAnswer>, ApiError> {
    pose_answer(&asked, state.folder()).map(Json)
}

/// Poses over one WebSocket, for dragging: a question is a text message with what
/// [`pose`] takes, its answer `{"pose": …}` or `{"refused": …}`. Every question carries
/// its design; nothing is remembered between two. A request of its own for each would
/// cost several times the computation in the browser alone.
pub(crate) async fn poses(State(state): State<AppState>, upgrade: WebSocketUpgrade) -> Response {
    upgrade
        .max_message_size(BODY_MAX)
        .on_upgrade(move |socket| answer_poses(socket, state))
}

async fn answer_poses(mut socket: WebSocket, state: AppState) {
    while let Some(Ok(message)) = socket.recv().await {
        let Message::Text(text) = message else {
            continue;
        };
        let answered = std::panic::catch_unwind(|| answer_text(text.as_str(), state.folder()));
        let text = answered.unwrap_or_else(|_| refused(&panicked()));
        if socket.send(Message::Text(text.into())).await.is_err() {
            break;
        }
    }
}

fn answer_text(text: &str, folder: &std::path::Path) -> String {
    let answer = serde_json::from_str::<PoseAsked>(text)
        .map_err(|error| ApiError::bad_request(format!("the question cannot be read: {error}")))
        .and_then(|asked| pose_answer(&asked, folder))
        .and_then(|answer| {
            serde_json::to_string(&answer)
                .map_err(|error| ApiError::bad_request(format!("no JSON: {error}")))
        });
    match answer {
        Ok(json) => format!("{{\"pose\":{json}}}"),
        Err(error) => refused(&error),
    }
}

fn refused(error: &ApiError) -> String {
    serde_json::json!({ "refused": error.to_json(), "status": error.status().as_u16() }).to_string()
}

fn pose_answer(asked: &PoseAsked, folder: &std::path::Path) -> Result<PoseAnswer, ApiError> {
    let begin = Instant::now();
    let ready = prepared(
        &asked.design,
        asked.brief.as_deref(),
        asked.rigid_joints,
        folder,
    )?;
    let (pose, not_reached) = find(&ready, &asked.to)?;
    let mut answer = describe(&ready, &pose, not_reached)?;
    if let Some(load) = &asked.load {
        match under_load(&ready, &pose, load) {
            Ok(found) => answer.load = Some(found),
            Err(reason) => answer.load_reason = Some(reason),
        }
    }
    answer.computed_ms = begin.elapsed().as_secs_f64() * 1e3;
    Ok(answer)
}

fn find(ready: &Prepared, to: &Target) -> Result<(Pose, Option<NotReached>), ApiError> {
    let kinematics = &ready.model.kinematics;
    match to {
        Target::JointsDeg(joints) => kinematics
            .forward(joints.map(radians))
            .map(|pose| (pose, None))
            .map_err(|error| {
                ApiError::new(StatusCode::UNPROCESSABLE_ENTITY, error.to_string())
                    .hint("give joint angles inside the working range")
            }),
        Target::DirectionDeg(wanted) => {
            if !(0.0..=180.0).contains(&wanted.polar) || !wanted.azimuth.is_finite() {
                return Err(ApiError::new(
                    StatusCode::UNPROCESSABLE_ENTITY,
                    format!("polar {}° is outside 0° to 180°", wanted.polar),
                )
                .hint("polar is measured from the base axis; azimuth takes any angle"));
            }
            let direction = Direction {
                polar: radians(wanted.polar),
                azimuth: wrap_positive(radians(wanted.azimuth)),
            };
            let range = ready.range.as_ref().ok_or_else(no_range)?;
            Ok(match inverse(kinematics, range, direction) {
                Ok(pose) => (pose, None),
                Err(unreachable) => (
                    *unreachable.pose,
                    Some(NotReached {
                        wanted_deg: *wanted,
                        distance_deg: degrees(unreachable.distance),
                    }),
                ),
            })
        }
        Target::Joint {
            joint,
            towards,
            from_deg,
        } => drag_joint(ready, *joint, towards, from_deg.map(radians)).map(|pose| (pose, None)),
    }
}

fn no_range() -> ApiError {
    ApiError::new(
        StatusCode::UNPROCESSABLE_ENTITY,
        "no configuration has the required margins",
    )
    .hint("give the arcs more reach, or relax lci_min and transmission_angle_min_deg of the brief")
}

/// The pose of the working range in which a joint lies nearest to a direction; among
/// equals the one nearest to where the linkage is.
///
/// The first mechanism angle turns everything about the base axis, so that only the
/// second is searched: samples over the range, then golden-section about the best.
fn drag_joint(
    ready: &Prepared,
    joint: usize,
    towards: &[f64; 3],
    from: [f64; 2],
) -> Result<Pose, ApiError> {
    let kinematics = &ready.model.kinematics;
    let range = ready.range.as_ref().ok_or_else(no_range)?;
    let place = kinematics
        .linkage
        .joints
        .get(joint)
        .filter(|joint| joint.first.body != 0 && joint.second.body != 0)
        .map(|joint| joint.second)
        .ok_or_else(|| {
            ApiError::bad_request(format!("joint {joint} cannot be dragged"))
                .hint("drag a joint between two moving bars")
        })?;
    let target = unit(&Vector3::from(*towards))
        .ok_or_else(|| ApiError::bad_request("the direction to drag to has no length"))?;
    let aim = Direction::of(&target);
    let now = kinematics.mechanism_from_active(from);
    let at = |second: f64| -> Option<(f64, f64)> {
        let pose = kinematics.forward_from_mechanism([0.0, second]).ok()?;
        let here = Direction::of(&kinematics.linkage.direction(place, &pose.configuration));
        let mut first = wrap_signed(aim.azimuth - here.azimuth);
        if let Some([low, high]) = range.first {
            first = nearest_turn(first, low, high);
        }
        let reached = Direction {
            polar: here.polar,
            azimuth: here.azimuth + first,
        };
        Some((arc_between(&reached.vector(), &target), first))
    };
    let [low, high] = range.second;
    if let Some([first, second]) = beside_the_base(ready, place, aim, now) {
        return kinematics
            .forward_from_mechanism([first, second])
            .map_err(|error| cannot(&error));
    }
    let sample = |k: usize| low + (high - low) * k as f64 / SAMPLES as f64;
    // A hair of the distance to the present angle settles ties between two branches.
    let cost = |second: f64| {
        at(second).map_or(f64::INFINITY, |(miss, _)| {
            miss + 1e-3 * (second - now[1]).abs()
        })
    };
    let best = (0..=SAMPLES)
        .map(sample)
        .min_by(|a, b| cost(*a).total_cmp(&cost(*b)))
        .unwrap_or(low);
    let step = (high - low) / SAMPLES as f64;
    let second = golden((best - step).max(low), (best + step).min(high), |second| {
        at(second).map_or(f64::INFINITY, |(miss, _)| miss)
    });
    let first = at(second).map_or(now[0], |(_, first)| first);
    kinematics
        .forward_from_mechanism([first, second])
        .map_err(|error| cannot(&error))
}

/// Mechanism angles for a joint at the end of a base bar, which keeps its polar angle
/// whatever the linkage does: its own bar follows the hand and the other one stays.
/// `None` for any other joint.
fn beside_the_base(
    ready: &Prepared,
    place: Place,
    aim: Direction,
    now: [f64; 2],
) -> Option<[f64; 2]> {
    let kinematics = &ready.model.kinematics;
    let range = ready.range.as_ref()?;
    let [low, high] = range.second;
    // Polar angle, and azimuth against the first mechanism angle.
    let at = |second: f64| -> Option<Direction> {
        let pose = kinematics.forward_from_mechanism([0.0, second]).ok()?;
        Some(Direction::of(
            &kinematics.linkage.direction(place, &pose.configuration),
        ))
    };
    let ends = [at(low)?, at(high)?];
    let offset = |second: f64| at(second).map_or(0.0, |here| wrap_signed(here.azimuth));
    let keeps_polar = (ends[0].polar - ends[1].polar).abs() < 1e-9;
    if !keeps_polar || (offset(low) - offset(high)).abs() < 1e-9 {
        return None;
    }
    let other = now[0] - offset(now[1]);
    let wanted = 0.5 * wrap_signed(aim.azimuth - other);
    let second = golden(low, high, |second| (offset(second) - wanted).abs());
    let first = wrap_signed(other + offset(second));
    Some([
        range
            .first
            .map_or(first, |[from, to]| nearest_turn(first, from, to)),
        second,
    ])
}

/// The angle within limits nearest to one that may be turned by whole turns.
fn nearest_turn(angle: f64, low: f64, high: f64) -> f64 {
    let turns = std::f64::consts::TAU;
    [angle - turns, angle, angle + turns]
        .into_iter()
        .map(|turned| {
            (
                turned.clamp(low, high),
                (turned - turned.clamp(low, high)).abs(),
            )
        })
        .min_by(|a, b| a.1.total_cmp(&b.1))
        .map_or(angle, |(clamped, _)| clamped)
}

/// Place of the least value between two ends, by golden section.
fn golden(mut low: f64, mut high: f64, value: impl Fn(f64) -> f64) -> f64 {
    let ratio = 0.5 * (5f64.sqrt() - 1.0);
    let mut inner = [high - ratio * (high - low), low + ratio * (high - low)];
    let mut values = inner.map(&value);
    for _ in 0..48 {
        if values[0] <= values[1] {
            high = inner[1];
            inner = [high - ratio * (high - low), inner[0]];
            values = [value(inner[0]), values[0]];
        } else {
            low = inner[0];
            inner = [inner[1], low + ratio * (high - low)];
            values = [values[1], value(inner[1])];
        }
    }
    0.5 * (low + high)
}

fn describe(
    ready: &Prepared,
    pose: &Pose,
    not_reached: Option<NotReached>,
) -> Result<PoseAnswer, ApiError> {
    let result = configuration_result(&ready.model, pose);
    // The document of `analyse --json`, so that the numbers cannot differ.
    let configuration = configuration_document(&result);
    let state = ready.model.kinematics.meridian.state(pose.mechanism[1]);
    let margin = ready.requirements.elastic_margins.transmission_angle_min;
    Ok(PoseAnswer {
        rotations: pose
            .configuration
            .rotations
            .iter()
            .map(|rotation| row_by_row(rotation.matrix()))
            .collect(),
        configuration,
        not_reached,
        in_range: ready.range.as_ref().is_some_and(|range| {
            let [low, high] = range.second;
            let second = (low - 1e-9..=high + 1e-9).contains(&pose.mechanism[1]);
            let first = range.first.is_none_or(|[low, high]| {
                (low - 1e-9..=high + 1e-9).contains(&wrap_signed(pose.mechanism[0]))
                    || (low - 1e-9..=high + 1e-9).contains(&pose.mechanism[0])
            });
            second && first
        }),
        closing: state_transmission(&state).map(|(angle, stage)| ClosingStage {
            stage: index(stage),
            transmission_angle_deg: degrees(angle),
            margin_deg: degrees(margin),
        }),
        load: None,
        load_reason: None,
        computed_ms: 0.0,
    })
}

fn under_load(ready: &Prepared, pose: &Pose, load: &LoadAsked) -> Result<LoadAnswer, String> {
    let own;
    let (name, loading) = match load {
        LoadAsked::Weight => ("own weight".to_owned(), Loading::Weight),
        LoadAsked::Case(name) => {
            let case = ready
                .loads()
                .iter()
                .find(|case| case.name == *name)
                .ok_or_else(|| format!("the brief has no load {name:?}"))?;
            (name.clone(), Loading::Case(case))
        }
        LoadAsked::TipN(force) => {
            if force.iter().any(|part| !part.is_finite()) {
                return Err("the force is no finite number".to_owned());
            }
            own = LoadCase {
                name: "force on the tip".to_owned(),
                on: LoadPlace::Tip,
                force: LoadVector::Local(Vector3::from(*force)),
                moment: LoadVector::ZERO,
            };
            (own.name.clone(), Loading::Case(&own))
        }
    };
    let shape = loaded_shape(&ready.model, pose, loading).map_err(|error| error.to_string())?;
    Ok(load_answer(ready, name, &shape))
}

fn load_answer(ready: &Prepared, name: String, shape: &LoadedShape) -> LoadAnswer {
    let response = &shape.deflected.response;
    let energy: f64 = response.energy[1..].iter().sum::<f64>()
        + shape.deflected.energy_by_body.iter().sum::<f64>();
    let share = |part: f64| if energy > 0.0 { part / energy } else { 0.0 };
    let arcs_energy: f64 = shape.deflected.energy_by_body.iter().sum();
    let tip = [response.tip[0], response.tip[1], response.tip[2]].map(millimetres);
    LoadAnswer {
        name,
        at_mm: point_mm(&shape.at),
        force_n: triple(&shape.force),
        deflection_mm: Vector3::from(tip).norm(),
        tip_mm: tip,
        shares: (0..ready.model.kinematics.linkage.bodies.len())
            .map(|body| share(shape.deflected.energy_by_body[body]))
            .collect(),
        causes: [
            share(arcs_energy),
            share(response.energy[1]),
            share(response.energy[2]),
            share(response.energy[3]),
            share(response.energy[4]),
        ],
        arcs: shape
            .deflected
            .arcs
            .iter()
            .map(|arc| ArcUnderLoad {
                points: arc.points.iter().map(point_mm).collect(),
                moved: arc
                    .points
                    .iter()
                    .zip(&arc.displacements)
                    .map(|(point, moved)| point_mm(&(point + moved)))
                    .collect(),
            })
            .collect(),
        tip: [
            point_mm(&shape.tip),
            point_mm(&(shape.tip + shape.tip_displacement)),
        ],
    }
}

/// A direction as it travels.
pub(super) fn polar_azimuth(direction: Direction) -> PolarAzimuth {
    PolarAzimuth {
        polar: degrees(direction.polar),
        azimuth: degrees(direction.azimuth),
    }
}
