//! Bodies and joints of a five-bar, and its configuration of them.
//!
//! Bodies: ground, `proximal-left`, `proximal-right`, `distal-left`,
//! `distal-right`. Joints: `base-left`, `base-right`, `elbow-left`,
//! `elbow-right`, `apex`.

use nalgebra::{Matrix2, Rotation3, Vector3};

use crate::linkage::{
    ArcPlace, Body, Configuration, Joint, JointRole, Linkage, LinkageError, Place, Release,
    ToolLine, rotation_from_pairs, tangent_towards,
};

use super::super::{check_arc, single_arc_bar, tangent_in_plane};
use super::modes::Side;
use super::position::FiveBarPose;
use super::{Carrier, FiveBar};

/// Index of a side's proximal bar.
fn proximal(side: Side) -> usize {
    1 + side.index()
}

/// Index of a side's distal bar.
fn distal(side: Side) -> usize {
    3 + side.index()
}

/// Bodies and joints, the tool on its carrier.
///
/// `ratio` is the active joint angle per drive angle, left and right.
///
/// # Errors
/// [`LinkageError::ArcAngle`] for an arc, or a distal arc with its bracket, outside
/// 0° to 180°.
pub fn linkage(
    five_bar: &FiveBar,
    carrier: Carrier,
    ratio: [f64; 2],
) -> Result<Linkage, LinkageError> {
    five_bar.validate()?;
    let end = five_bar.distal_arcs[carrier.side.index()] + carrier.bracket;
    let right = carrier.side == Side::Right;
    check_arc(ArcPlace::WithBracket { right }, end)?;
    let mut bodies = vec![Body {
        name: "ground".to_string(),
        stations: Side::BOTH.map(|side| five_bar.base_axis(side)).to_vec(),
        arcs: Vec::new(),
        level: 0,
    }];
    for (level, (name, arcs)) in [
        ("proximal", five_bar.proximal_arcs),
        ("distal", five_bar.distal_arcs),
    ]
    .into_iter()
    .enumerate()
    {
        for side in Side::BOTH {
            let name = format!("{name}-{side}");
            bodies.push(single_arc_bar(name, arcs[side.index()], level));
        }
    }
    let place = |body: usize, station: usize| Place { body, station };
    let joint =
        |name: String, role: JointRole, places: [Place; 2], references: [Vector3<f64>; 2]| Joint {
            name,
            role,
            level: usize::from(role != JointRole::Base),
            first: places[0],
            second: places[1],
            first_reference: references[0],
            second_reference: references[1],
            release: Release::default(),
        };
    let mut joints = Vec::new();
    for side in Side::BOTH {
        joints.push(joint(
            format!("base-{side}"),
            JointRole::Base,
            [place(0, side.index()), place(proximal(side), 0)],
            [five_bar.zero_direction(side), Vector3::x()],
        ));
    }
    for side in Side::BOTH {
        joints.push(joint(
            format!("elbow-{side}"),
            JointRole::Side,
            [place(proximal(side), 1), place(distal(side), 0)],
            [
                -tangent_in_plane(five_bar.proximal_arcs[side.index()]),
                Vector3::x(),
            ],
        ));
    }
    joints.push(joint(
        "apex".to_string(),
        JointRole::Apex,
        Side::BOTH.map(|side| place(distal(side), 1)),
        five_bar.distal_arcs.map(|arc| -tangent_in_plane(arc)),
    ));
    Ok(Linkage {
        bodies,
        joints,
        driven: [0, 1],
        driven_from_active: Matrix2::new(1.0 / ratio[0], 0.0, 0.0, 1.0 / ratio[1]),
        active_names: ["left", "right"],
        tool: ToolLine {
            body: distal(carrier.side),
            station: 1,
            direction: Vector3::new(end.sin(), 0.0, end.cos()),
            tangent: tangent_in_plane(end),
        },
        follower: None,
    })
}

/// One rotation per body at a pose.
pub fn configuration(pose: &FiveBarPose) -> Configuration {
    // Arcs are neither 0 nor 180° (validated), so both ends of a bar span its plane.
    let heading = |from: &Vector3<f64>, to: &Vector3<f64>| {
        let tangent = tangent_towards(from, to)
            .unwrap_or_else(|| crate::sphere::direction::any_perpendicular(from));
        rotation_from_pairs(from, &tangent, &Vector3::z(), &Vector3::x())
    };
    let mut rotations = vec![Rotation3::identity()];
    for k in 0..2 {
        rotations.push(heading(&pose.bases[k], &pose.elbows[k]));
    }
    for k in 0..2 {
        rotations.push(heading(&pose.elbows[k], &pose.apex));
    }
    Configuration { rotations }
}
