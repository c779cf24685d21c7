//! One configuration: where the tool points, every number of it, what a load does.

use std::time::Instant;

use axum::Json;
use axum::extract::State;
use axum::extract::ws::{Message, WebSocket, WebSocketUpgrade};
use axum::http::StatusCode;
use axum::response::Response;
use calotte::analysis::loaded::{LoadedShape, Loading, loaded_shape};
use calotte::analysis::point::configuration_result;
use calotte::brief::{Load, LoadCase, LoadPlace, LoadVector};
use calotte::kinematics::working_range::state_transmission;
use calotte::kinematics::{DragError, Pose, drag_joint, inverse};
use calotte::sphere::Direction;
use calotte::sphere::direction::wrap_positive;
use calotte_format::units::{degrees, millimetres, radians};
use calotte_report::results::configuration_document;
use nalgebra::Vector3;

use crate::server::{ApiError, AppState, BODY_MAX, Body, panicked};

use super::linkage::{index, point_mm, row_by_row, triple};
use super::prepared::{Prepared, cannot, prepared};
use super::wire::{
    ArcUnderLoad, ClosingStage, LoadAnswer, LoadAsked, NotReached, PoseAnswer, PoseAsked,
    PoseReply, Target,
};

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
    let mut ended = state.socket();
    loop {
        let message = tokio::select! {
            message = socket.recv() => message,
            _ = &mut ended => break,
        };
        let Some(Ok(message)) = message else { break };
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
    let asked = serde_json::from_str::<PoseAsked>(text)
        .map_err(|error| ApiError::bad_request(format!("the question cannot be read: {error}")));
    match asked.and_then(|asked| pose_answer(&asked, folder)) {
        Ok(pose) => reply(&PoseReply::Answer {
            pose: Box::new(pose),
        }),
        Err(error) => refused(&error),
    }
}

fn refused(error: &ApiError) -> String {
    reply(&PoseReply::Refusal {
        refused: error.to_json(),
        status: error.status().as_u16(),
    })
}

fn reply(reply: &PoseReply) -> String {
    // Numbers and words always have a text.
    serde_json::to_string(reply).unwrap_or_default()
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

/// The pose of a target; with how far it is missed, the nearest one instead.
pub(super) fn find(ready: &Prepared, to: &Target) -> Result<(Pose, Option<NotReached>), ApiError> {
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
        } => pull(ready, *joint, towards, *from_deg).map(|pose| (pose, None)),
    }
}

fn no_range() -> ApiError {
    ApiError::new(
        StatusCode::UNPROCESSABLE_ENTITY,
        "no configuration has the required margins",
    )
    .hint("give the arcs more reach, or relax lci_min and transmission_angle_min_deg of the brief")
}

fn pull(
    ready: &Prepared,
    joint: usize,
    towards: &[f64; 3],
    from_deg: [f64; 2],
) -> Result<Pose, ApiError> {
    let kinematics = &ready.model.kinematics;
    let range = ready.range.as_ref().ok_or_else(no_range)?;
    let from = kinematics.mechanism_from_active(from_deg.map(radians));
    drag_joint(kinematics, range, joint, &Vector3::from(*towards), from).map_err(|error| {
        match &error {
            DragError::Fixed(_) => ApiError::bad_request(error.to_string())
                .hint("drag a joint between two moving bars"),
            DragError::NoDirection => ApiError::bad_request(error.to_string()),
            DragError::Kinematics(error) => cannot(error),
        }
    })
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
        in_range: ready
            .range
            .as_ref()
            .is_some_and(|range| range.contains(pose.mechanism)),
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

/// What a load does at a pose.
///
/// # Errors
/// Why it has no answer, in words.
pub(super) fn under_load(
    ready: &Prepared,
    pose: &Pose,
    load: &LoadAsked,
) -> Result<LoadAnswer, String> {
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
            let load = Load {
                on: LoadPlace::Tip,
                force: LoadVector::Local(Vector3::from(*force)),
                moment: LoadVector::ZERO,
                ..Load::NOTHING
            };
            own = LoadCase::single("force on the tip", load);
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
