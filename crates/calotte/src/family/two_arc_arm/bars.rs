//! Builder of the two-arc arm and its closed-form configuration.
//!
//! Bodies: ground, `first-arc`, `second-arc`. Joints: `base`, `elbow`. The
//! elbow angle is 0 when the arcs are stretched in line and turns right-handed
//! about the outward elbow axis.

use nalgebra::{Matrix2, Rotation3, Vector3};

use crate::design::{Design, TwoArcArm};
use crate::linkage::{
    ArcPlace, Configuration, Joint, JointRole, Linkage, LinkageError, Place, Release, ToolLine,
};
use crate::sphere::direction::rotation_about;

use crate::family::{check_arc, ground, single_arc_bar, tangent_in_plane};

/// Bodies and joints of a two-arc arm.
pub(super) fn build(arm: &TwoArcArm, design: &Design) -> Result<Linkage, LinkageError> {
    for (index, arc) in arm.arcs.into_iter().enumerate() {
        check_arc(ArcPlace::InSeries(index), arc)?;
    }
    let bodies = vec![
        ground(),
        single_arc_bar("first-arc".to_string(), arm.arcs[0], 0),
        single_arc_bar("second-arc".to_string(), arm.arcs[1], 1),
    ];
    let joint = |name: &str, role: JointRole, places: [Place; 2], first_reference| Joint {
        name: name.to_string(),
        role,
        // As many arcs lie before it.
        level: places[0].body,
        first: places[0],
        second: places[1],
        first_reference,
        second_reference: Vector3::x(),
        release: Release::default(),
    };
    let place = |body: usize, station: usize| Place { body, station };
    let joints = vec![
        joint(
            "base",
            JointRole::Base,
            [place(0, 0), place(1, 0)],
            Vector3::x(),
        ),
        joint(
            "elbow",
            JointRole::Side,
            [place(1, 1), place(2, 0)],
            tangent_in_plane(arm.arcs[0]),
        ),
    ];
    let [first, second] = design.drives.ratio;
    let end = arm.arcs[1] + design.tool.bracket_arc;
    Ok(Linkage {
        bodies,
        joints,
        driven: [0, 1],
        driven_from_active: Matrix2::new(1.0 / first, 0.0, 0.0, 1.0 / second),
        active_names: design.family.active_names(design.drives.layout),
        tool: ToolLine {
            body: 2,
            station: 1,
            direction: Vector3::new(end.sin(), 0.0, end.cos()),
            tangent: tangent_in_plane(end),
        },
        follower: None,
    })
}

/// Closed-form configuration for base and elbow angle, rad.
pub(super) fn configuration(arm: &TwoArcArm, base: f64, elbow: f64) -> Configuration {
    let first = rotation_about(&Vector3::z(), base);
    // The second arc's frame: its z on the elbow, its x along the first arc's
    // tangent continued, turned by the elbow angle.
    let to_elbow = rotation_about(&Vector3::y(), arm.arcs[0]);
    let second = first * to_elbow * rotation_about(&Vector3::z(), elbow);
    Configuration {
        rotations: vec![Rotation3::identity(), first, second],
    }
}
