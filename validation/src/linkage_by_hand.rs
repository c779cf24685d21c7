//! Linkages written down as bodies and joints, without a family's builder.

use calotte::linkage::{
    Body, BodyArc, Configuration, Joint, JointRole, Linkage, Place, Release, ToolLine,
    tangent_towards,
};
use calotte::sphere::direction::any_perpendicular;
use nalgebra::{Matrix2, Matrix3, Rotation3, Vector3};

/// A body of stations with arcs between the pairs named.
pub(crate) fn body(name: &str, stations: Vec<Vector3<f64>>, arcs: &[[usize; 2]]) -> Body {
    Body {
        name: name.to_string(),
        stations,
        arcs: arcs
            .iter()
            .map(|[from, to]| BodyArc {
                from: *from,
                to: *to,
            })
            .collect(),
        level: 0,
    }
}

/// A bar of one arc in its own frame: from z towards x.
pub(crate) fn bar(name: &str, arc: f64) -> Body {
    let end = Vector3::new(arc.sin(), 0.0, arc.cos());
    body(name, vec![Vector3::z(), end], &[[0, 1]])
}

/// A joint between (body, station) and (body, station), with the directions its angle is
/// measured between.
pub(crate) fn joint(
    name: &str,
    places: [(usize, usize); 2],
    references: [Vector3<f64>; 2],
) -> Joint {
    let [first, second] = places.map(|(body, station)| Place { body, station });
    let on_ground = first.body == 0 || second.body == 0;
    Joint {
        name: name.to_string(),
        role: if on_ground {
            JointRole::Base
        } else {
            JointRole::Side
        },
        level: 0,
        first,
        second,
        first_reference: references[0],
        second_reference: references[1],
        release: Release::default(),
    }
}

/// A joint whose angle no one asks for, between bodies given in the base frame.
pub(crate) fn plain_joint(bodies: &[Body], places: [(usize, usize); 2]) -> Joint {
    let (body, station) = places[0];
    let across = any_perpendicular(&bodies[body].stations[station]);
    joint("", places, [across; 2])
}

/// A linkage whose active joint angles are the angles of two joints.
pub(crate) fn linkage(
    bodies: Vec<Body>,
    joints: Vec<Joint>,
    driven: [usize; 2],
    tool: (usize, usize),
) -> Linkage {
    let (body, station) = tool;
    let direction = bodies[body].stations[station];
    Linkage {
        bodies,
        joints,
        driven,
        driven_from_active: Matrix2::identity(),
        active_names: ["first", "second"],
        tool: ToolLine {
            body,
            station,
            direction,
            tangent: any_perpendicular(&direction),
        },
        follower: None,
    }
}

/// The configuration of bodies that are given in the base frame.
pub(crate) fn as_given(linkage: &Linkage) -> Configuration {
    Configuration {
        rotations: vec![Rotation3::identity(); linkage.bodies.len()],
    }
}

/// Rotation that brings a bar (from z towards x in its own frame) to start at one direction
/// and head for another.
pub(crate) fn heading(from: &Vector3<f64>, towards: &Vector3<f64>) -> Rotation3<f64> {
    let tangent = tangent_towards(from, towards).unwrap_or_else(|| any_perpendicular(from));
    Rotation3::from_matrix_unchecked(Matrix3::from_columns(&[
        tangent,
        from.cross(&tangent),
        *from,
    ]))
}
