//! Families: what a kind of linkage is described by, and all that depends on the kind.
//!
//! Nothing outside this folder knows which kinds there are: the variants are private, so
//! the compiler refuses a match elsewhere. Parts: [`parameters`] (what describes a family,
//! below `design`), `behaviour` (what each family answers about itself), `door` (the
//! questions that can be asked), [`meridian`] (closed forms of all that turns about one
//! fixed axis; `state`, what they give), [`triangle`] (what one spherical triangle says everything
//! of), [`turning`] (rates), [`choice`] (what a search varies),
//! [`real`] (what real bars do to the tool: the model that measurement fits, in the parameters
//! of [`deviation`]), and a folder
//! for each family.
//!
//! # A new family
//! 1. `parameters.rs`: its struct, a variant of `Kind` and of `Which`, a constructor, a
//!    function of [`parameters::EachFamily`].
//! 2. A folder with an implementation of `behaviour::Behaviour`; `lacks` names what it does
//!    not answer yet. An analysis refuses that where it asks `offers`
//!    ([`parameters::NotAvailable`]), and nowhere else: one that is new must ask.
//! 3. The compiler then names every match of this folder that must know of it, and outside
//!    the words and keys that implement [`parameters::EachFamily`]. What it cannot name (reader,
//!    vocabulary, lists of dimensions, the page) is listed in `ARCHITECTURE.md`.
//!
//! What turns about one fixed axis has a form in `meridian.rs`. What does not lacks
//! `Capability::Rings`: `Kinematics` refuses it, and it is asked by direction.

mod behaviour;
pub mod by_direction;
pub mod choice;
pub mod deviation;
mod door;
pub mod five_bar;
pub mod meridian;
pub mod parameters;
pub mod real;
mod scissor_linkage;
mod state;
pub mod triangle;
pub mod turning;
mod two_arc_arm;

use nalgebra::Vector3;

use crate::design::{Design, RidesOn};

use crate::linkage::{ArcPlace, Body, BodyArc, Linkage, LinkageError, Release, tangent_towards};

/// Bodies and joints of a design.
///
/// # Errors
/// [`LinkageError`] for angles, sizes or names that cannot be built.
pub fn build(design: &Design) -> Result<Linkage, LinkageError> {
    validate(design)?;
    let mut linkage = design.family.behaviour().build(design)?;
    for named in &design.joints.releases {
        let index = linkage.joint_named(&named.joint)?;
        linkage.joints[index].release = Release {
            axial: named.axial,
            tilt: named.tilt,
        };
    }
    check_stations(&linkage)?;
    linkage.check_own(design)?;
    Ok(linkage)
}

/// Refuses a body with an arc between stations that span no plane.
fn check_stations(linkage: &Linkage) -> Result<(), LinkageError> {
    for body in &linkage.bodies {
        for arc in &body.arcs {
            if tangent_towards(&body.stations[arc.from], &body.stations[arc.to]).is_none() {
                return Err(LinkageError::CoincidentStations {
                    body: body.name.clone(),
                    first: arc.from + 1,
                    second: arc.to + 1,
                });
            }
        }
    }
    Ok(())
}

/// Refuses sizes, ratios and brackets that no family can be built with.
///
/// # Errors
/// [`LinkageError`] for the first of them.
pub(crate) fn validate(design: &Design) -> Result<(), LinkageError> {
    design.section.validate()?;
    let positive = |name: &'static str, value: f64| {
        if value > 0.0 && value.is_finite() {
            Ok(())
        } else {
            Err(LinkageError::Value {
                name,
                value,
                allowed: "a positive number",
            })
        }
    };
    positive("joint radius", design.joint_radius)?;
    positive("tip radius", design.tool.tip_radius)?;
    for ratio in design.drives.ratio {
        if !ratio.is_finite() || ratio.abs() < 1e-9 {
            return Err(LinkageError::Value {
                name: "drive ratio",
                value: ratio,
                allowed: "a number that is not zero",
            });
        }
    }
    for (active, drive) in design.drives.each.iter().enumerate() {
        let known = design.family.family_name().drive_carriers(active);
        if let RidesOn::Bar(name) = &drive.rides_on
            && !known.contains(&name.as_str())
        {
            return Err(LinkageError::DriveCarrier {
                joint: design.family.active_names(design.drives.layout)[active],
                active,
                carrier: name.clone(),
                known,
            });
        }
    }
    let boss = design.joints.boss_diameter;
    if !boss.is_finite() || boss < 0.0 {
        return Err(LinkageError::Value {
            name: "boss diameter",
            value: boss,
            allowed: "zero or a positive number",
        });
    }
    let bracket = design.tool.bracket_arc;
    if bracket.is_nan() || bracket.abs() >= std::f64::consts::PI {
        return Err(LinkageError::Value {
            name: "bracket arc",
            value: bracket,
            allowed: "below 180°",
        });
    }
    Ok(())
}

fn check_arc(place: ArcPlace, value: f64) -> Result<(), LinkageError> {
    if value > 1e-6 && value < std::f64::consts::PI - 1e-6 {
        Ok(())
    } else {
        Err(LinkageError::ArcAngle { place, value })
    }
}

/// The ground: one station on the base axis.
fn ground() -> Body {
    Body {
        name: "ground".to_string(),
        stations: vec![Vector3::z()],
        arcs: Vec::new(),
        level: 0,
    }
}

/// A bar of one arc that starts from a level: from its frame's z axis towards x.
fn single_arc_bar(name: String, arc: f64, level: usize) -> Body {
    Body {
        name,
        stations: vec![Vector3::z(), Vector3::new(arc.sin(), 0.0, arc.cos())],
        arcs: vec![BodyArc { from: 0, to: 1 }],
        level,
    }
}

/// Tangent of a bar's great circle in the x–z plane at an angle from z,
/// continued towards growing angle.
fn tangent_in_plane(angle: f64) -> Vector3<f64> {
    Vector3::new(angle.cos(), 0.0, -angle.sin())
}
