//! The linkage as drawn.

use axum::Json;
use axum::extract::State;
use calotte::design::Design;
use calotte::linkage::Linkage;
use calotte::stock::Section;
use calotte_format::units::{degrees, millimetres};
use calotte_format::words;
use nalgebra::{Matrix3, Vector3};

use crate::server::{ApiError, AppState, Body, compute};

use super::prepared::{Prepared, prepared};
use super::wire::{
    BodyShape, JointRole, JointShape, Judged, LinkageAnswer, SectionShape, ToolShape, Triple,
};

/// The linkage of a design.
pub(crate) async fn linkage(
    State(state): State<AppState>,
    Body(asked): Body<Judged>,
) -> Result<Json<LinkageAnswer>, ApiError> {
    let folder = state.folder().to_owned();
    compute(&state, asked, move |asked| {
        let ready = prepared(&asked.design, asked.brief.as_deref(), false, &folder)?;
        Ok(Json(answer(&ready)))
    })
    .await?
}

fn answer(ready: &Prepared) -> LinkageAnswer {
    let design = ready.given();
    let linkage = &ready.model.kinematics.linkage;
    let tool = &linkage.tool;
    LinkageAnswer {
        words: words::linkage(design),
        stages: design.family.stages().map(index),
        total_arc_deg: degrees(design.family.total_arc()),
        joint_radius_mm: millimetres(design.joint_radius),
        section: section(&design.section),
        differing: differing(design),
        boss_diameter_mm: millimetres(design.joints.boss_diameter),
        bodies: linkage
            .bodies
            .iter()
            .map(|body| BodyShape {
                name: body.name.clone(),
                section: section(body.section(design)),
                stations: body.stations.iter().map(triple).collect(),
                arcs: body
                    .arcs
                    .iter()
                    .map(|arc| [index(arc.from), index(arc.to)])
                    .collect(),
            })
            .collect(),
        joints: joints(linkage),
        tool: ToolShape {
            body: index(tool.body),
            direction: triple(&tool.direction),
            tip_radius_mm: millimetres(design.tool.tip_radius),
            centre_of_mass_radius_mm: millimetres(design.tool.centre_of_mass_radius),
        },
        world_from_base: row_by_row(&ready.model.base_from_world.transpose()),
        active_names: linkage.active_names.map(str::to_owned),
        bars: linkage
            .bodies
            .iter()
            .filter(|body| !body.arcs.is_empty())
            .map(|body| body.name.clone())
            .collect(),
        start_joints_deg: start(ready).map(degrees),
        layers: design
            .is_built()
            .then(|| index(ready.model.built.layer_count)),
    }
}

/// What differs, a line for sections and one for joints.
fn differing(design: &Design) -> Vec<String> {
    let sections = (!design.own.sections.is_empty()).then(|| words::sections(design));
    let joints = words::own_joints(design);
    let line = |what: &str, words: Option<String>| words.map(|words| format!("{what}: {words}"));
    let lines = [line("sections", sections), line("joints", joints)];
    lines.into_iter().flatten().collect()
}

/// Active joint angles in the middle of the working range, rad; of the natural span
/// where there is none.
fn start(ready: &Prepared) -> [f64; 2] {
    let kinematics = &ready.model.kinematics;
    let (first, [lo, hi]) = match &ready.range {
        Some(range) => (
            range.first.map_or(0.0, |[from, to]| 0.0f64.clamp(from, to)),
            range.second,
        ),
        None => (0.0, kinematics.meridian.natural_span()),
    };
    kinematics.active_from_mechanism([first, 0.5 * (lo + hi)])
}

/// A joint can be dragged when it is carried by a moving body: not at the base.
fn joints(linkage: &Linkage) -> Vec<JointShape> {
    linkage
        .joints
        .iter()
        .map(|joint| {
            let moving = joint.first.body != 0 && joint.second.body != 0;
            JointShape {
                name: joint.name.clone(),
                role: role(joint.role),
                body: index(joint.second.body),
                station: index(joint.second.station),
                handle: moving,
            }
        })
        .collect()
}

fn role(role: calotte::linkage::JointRole) -> JointRole {
    use calotte::linkage::JointRole as Role;
    match role {
        Role::Base => JointRole::Base,
        Role::Side => JointRole::Side,
        Role::Apex => JointRole::Apex,
        Role::Tool => JointRole::Tool,
    }
}

/// The section in mm. An own section is drawn by its overall size.
fn section(section: &Section) -> SectionShape {
    match *section {
        Section::Rectangle { tangential, radial }
        | Section::Custom {
            tangential, radial, ..
        } => SectionShape::Rectangle {
            tangential_mm: millimetres(tangential),
            radial_mm: millimetres(radial),
            wall_mm: None,
        },
        Section::RectangleTube {
            tangential,
            radial,
            wall,
        } => SectionShape::Rectangle {
            tangential_mm: millimetres(tangential),
            radial_mm: millimetres(radial),
            wall_mm: Some(millimetres(wall)),
        },
        Section::Tube {
            outer_diameter,
            inner_diameter,
        } => SectionShape::Round {
            outer_mm: millimetres(outer_diameter),
            inner_mm: Some(millimetres(inner_diameter)),
        },
        Section::Rod { diameter } => SectionShape::Round {
            outer_mm: millimetres(diameter),
            inner_mm: None,
        },
    }
}

/// An index as it travels.
pub(super) fn index(value: usize) -> u32 {
    u32::try_from(value).unwrap_or(u32::MAX)
}

/// A vector as it travels.
pub(super) fn triple(vector: &Vector3<f64>) -> Triple {
    [vector.x, vector.y, vector.z]
}

/// A point in mm as it travels.
pub(super) fn point_mm(vector: &Vector3<f64>) -> Triple {
    triple(&vector.map(millimetres))
}

/// A matrix row by row.
pub(super) fn row_by_row(m: &Matrix3<f64>) -> [f64; 9] {
    [
        m.m11, m.m12, m.m13, m.m21, m.m22, m.m23, m.m31, m.m32, m.m33,
    ]
}
