//! Builder of the scissor linkage and its closed-form configuration.
//!
//! Bodies: ground, `base-left`, `base-right`, then per stage i `bar-left-i` and
//! `bar-right-i`. A bar `bar-left-i` starts at the left side joint of stage i,
//! runs along its distal arc to the apex and, unless the stage is the last,
//! crosses over along the proximal arc of the next stage to that stage's
//! *right* side joint. Joints: `base-left`, `base-right`, `side-left-i`,
//! `side-right-i`, `apex-i`, and `tool` where a follower carries the tool.

use nalgebra::{Matrix2, Rotation3, Vector3};

use crate::design::{Design, DriveLayout, ScissorLinkage, ToolCarrier};
use crate::family::parameters::{FamilyName, PairedAngle};
use crate::family::state::{MeridianState, STAGES_MAX};
use crate::linkage::{
    ArcPlace, Body, BodyArc, Configuration, Follower, Joint, JointRole, Linkage, LinkageError,
    Place, Release, ToolLine, rotation_from_pairs, tangent_towards,
};
use crate::sphere::direction::rotation_about;

use crate::family::{check_arc, ground, single_arc_bar, tangent_in_plane};

/// The two sides of the centre line.
#[derive(Clone, Copy, PartialEq)]
enum Side {
    Left,
    Right,
}

impl Side {
    const BOTH: [Side; 2] = [Side::Left, Side::Right];

    fn name(self) -> &'static str {
        match self {
            Side::Left => "left",
            Side::Right => "right",
        }
    }

    /// +1 towards growing azimuth.
    fn sign(self) -> f64 {
        match self {
            Side::Left => 1.0,
            Side::Right => -1.0,
        }
    }

    fn other(self) -> Side {
        match self {
            Side::Left => Side::Right,
            Side::Right => Side::Left,
        }
    }

    /// Index of the bar that starts on this side; stage 0 is the base bar.
    fn bar(self, stage: usize) -> usize {
        1 + 2 * stage + usize::from(self == Side::Right)
    }
}

fn validate(scissor: &ScissorLinkage) -> Result<(), LinkageError> {
    let stages = ScissorLinkage::stages(scissor);
    if stages == 0 || stages > STAGES_MAX {
        return Err(LinkageError::Stages {
            family: FamilyName::SCISSOR_LINKAGE.words(),
            got: stages,
            max: STAGES_MAX,
        });
    }
    for (name, got, expected) in [
        ("distal arcs", scissor.distal_arcs.len(), stages),
        ("bends", scissor.bends.len(), stages - 1),
        ("assembly modes", scissor.assembly_modes.len(), stages),
    ] {
        if got != expected {
            return Err(LinkageError::ListLength {
                name,
                got,
                expected,
            });
        }
    }
    for stage in 0..stages {
        for (distal, arcs) in [
            (false, &scissor.proximal_arcs),
            (true, &scissor.distal_arcs),
        ] {
            check_arc(ArcPlace::OfStage { stage, distal }, arcs[stage])?;
        }
        if scissor.assembly_modes[stage].abs() != 1 {
            return Err(LinkageError::Value {
                name: "assembly mode",
                value: f64::from(scissor.assembly_modes[stage]),
                allowed: "1 or −1",
            });
        }
    }
    for bend in &scissor.bends {
        check_bend(*bend)?;
    }
    for (angle, both) in &scissor.sides {
        for value in both {
            match angle {
                PairedAngle::Bend(_) => check_bend(*value)?,
                PairedAngle::Proximal(stage) | PairedAngle::Distal(stage) => {
                    let distal = matches!(angle, PairedAngle::Distal(_));
                    let stage = *stage;
                    check_arc(ArcPlace::OfStage { stage, distal }, *value)?;
                }
            }
        }
    }
    Ok(())
}

fn check_bend(bend: f64) -> Result<(), LinkageError> {
    if bend.is_nan() || bend.abs() >= std::f64::consts::PI {
        return Err(LinkageError::Value {
            name: "bend",
            value: bend,
            allowed: "between −180° and 180°",
        });
    }
    Ok(())
}

/// Bodies and joints of a scissor linkage.
pub(super) fn build(scissor: &ScissorLinkage, design: &Design) -> Result<Linkage, LinkageError> {
    validate(scissor)?;
    let stages = ScissorLinkage::stages(scissor);
    let mut bodies = vec![ground()];
    for side in Side::BOTH {
        bodies.push(single_arc_bar(
            format!("base-{}", side.name()),
            scissor.proximal_arcs[0],
            0,
        ));
    }
    for stage in 1..=stages {
        for side in Side::BOTH {
            bodies.push(bar(scissor, stage, side));
        }
    }
    let mut joints = vec![base_joint(Side::Left), base_joint(Side::Right)];
    for stage in 1..=stages {
        for side in Side::BOTH {
            joints.push(side_joint(scissor, stage, side));
        }
        joints.push(apex_joint(scissor, stage));
    }
    let (tool, follower) = tool_line(scissor, design, &mut bodies, &mut joints);
    let [first, second] = design.drives.ratio;
    let driven_from_active = match design.drives.layout {
        DriveLayout::TwoBars => Matrix2::new(1.0 / first, 0.0, 0.0, 1.0 / second),
        DriveLayout::SwingAndOpening => {
            Matrix2::new(1.0 / first, 0.5 / second, 1.0 / first, -0.5 / second)
        }
    };
    Ok(Linkage {
        bodies,
        joints,
        driven: [0, 1],
        driven_from_active,
        active_names: design.family.active_names(design.drives.layout),
        tool,
        follower,
    })
}

/// The bar that starts at a side joint of a stage.
fn bar(scissor: &ScissorLinkage, stage: usize, side: Side) -> Body {
    let name = format!("bar-{}-{stage}", side.name());
    let distal = scissor.distal_arcs[stage - 1];
    let mut body = single_arc_bar(name, distal, stage);
    if stage < scissor.stages() {
        // The bend opens the next stage: the bar from the left turns further to the right.
        let bend = -side.sign() * scissor.bends[stage - 1];
        let apex = body.stations[1];
        let onward = rotation_about(&apex, bend) * tangent_in_plane(distal);
        let next = scissor.proximal_arcs[stage];
        body.stations.push(apex * next.cos() + onward * next.sin());
        body.arcs.push(BodyArc { from: 1, to: 2 });
    }
    body
}

fn base_joint(side: Side) -> Joint {
    Joint {
        name: format!("base-{}", side.name()),
        role: JointRole::Base,
        level: 0,
        first: Place {
            body: 0,
            station: 0,
        },
        second: Place {
            body: side.bar(0),
            station: 0,
        },
        first_reference: Vector3::x(),
        second_reference: Vector3::x(),
        release: Release::default(),
    }
}

/// The proximal bar that ends at a side joint: the base bar of the same side in
/// the first stage, later the bar that crosses over from the other side.
fn proximal_place(stage: usize, side: Side) -> Place {
    if stage == 1 {
        Place {
            body: side.bar(0),
            station: 1,
        }
    } else {
        Place {
            body: side.other().bar(stage - 1),
            station: 2,
        }
    }
}

fn side_joint(scissor: &ScissorLinkage, stage: usize, side: Side) -> Joint {
    let proximal = proximal_place(stage, side);
    let distal = Place {
        body: side.bar(stage),
        station: 0,
    };
    // Towards the apex before, on the proximal bar, and towards the apex after, on the distal one.
    let proximal_body = if stage == 1 {
        single_arc_bar(String::new(), scissor.proximal_arcs[0], 0)
    } else {
        bar(scissor, stage - 1, side.other())
    };
    let back = tangent_in_body(&proximal_body, proximal.station, proximal.station - 1);
    let onward = Vector3::x();
    let name = format!("side-{}-{stage}", side.name());
    // Named so that the interior angle runs from first to second, below 180° when regular.
    let (first, second, first_reference, second_reference) = match side {
        Side::Left => (proximal, distal, back, onward),
        Side::Right => (distal, proximal, onward, back),
    };
    Joint {
        name,
        role: JointRole::Side,
        level: stage,
        first,
        second,
        first_reference,
        second_reference,
        release: Release::default(),
    }
}

fn apex_joint(scissor: &ScissorLinkage, stage: usize) -> Joint {
    let place = |side: Side| Place {
        body: side.bar(stage),
        station: 1,
    };
    let back = -tangent_in_plane(scissor.distal_arcs[stage - 1]);
    Joint {
        name: format!("apex-{stage}"),
        role: JointRole::Apex,
        level: stage,
        first: place(Side::Left),
        second: place(Side::Right),
        first_reference: back,
        second_reference: back,
        release: Release::default(),
    }
}

fn tangent_in_body(body: &Body, at: usize, towards: usize) -> Vector3<f64> {
    tangent_towards(&body.stations[at], &body.stations[towards]).unwrap_or_else(Vector3::x)
}

fn tool_line(
    scissor: &ScissorLinkage,
    design: &Design,
    bodies: &mut Vec<Body>,
    joints: &mut Vec<Joint>,
) -> (ToolLine, Option<Follower>) {
    let stages = ScissorLinkage::stages(scissor);
    let bracket = design.tool.bracket_arc;
    let distal = scissor.distal_arcs[stages - 1];
    let on_bar = |side: Side| ToolLine {
        body: side.bar(stages),
        station: 1,
        direction: Vector3::new((distal + bracket).sin(), 0.0, (distal + bracket).cos()),
        tangent: tangent_in_plane(distal + bracket),
    };
    match design.tool.carried_by {
        ToolCarrier::Left => (on_bar(Side::Left), None),
        ToolCarrier::Right => (on_bar(Side::Right), None),
        ToolCarrier::Bisector => {
            let body = bodies.len();
            bodies.push(Body {
                name: "tool".to_string(),
                stations: vec![Vector3::z()],
                arcs: Vec::new(),
                level: stages,
            });
            let carrier = Place {
                body: Side::Left.bar(stages),
                station: 1,
            };
            joints.push(Joint {
                name: "tool".to_string(),
                role: JointRole::Tool,
                level: stages,
                first: carrier,
                second: Place { body, station: 0 },
                first_reference: -tangent_in_plane(distal),
                second_reference: -Vector3::x(),
                release: Release::default(),
            });
            (
                ToolLine {
                    body,
                    station: 0,
                    direction: Vector3::new(bracket.sin(), 0.0, bracket.cos()),
                    tangent: tangent_in_plane(bracket),
                },
                Some(Follower {
                    body,
                    between: [Side::Left.bar(stages), Side::Right.bar(stages)],
                    reference: Vector3::x(),
                    between_references: [tangent_in_plane(distal); 2],
                    joint: joints.len() - 1,
                }),
            )
        }
    }
}

/// Closed-form configuration for swing and opening, rad, and the state at that opening; the
/// caller has made sure that every stage closes.
pub(super) fn configuration(
    scissor: &ScissorLinkage,
    state: &MeridianState<f64>,
    linkage: &Linkage,
    swing: f64,
    opening: f64,
) -> Configuration {
    let mut rotations = vec![Rotation3::identity(); linkage.bodies.len()];
    let half = 0.5 * opening;
    for side in Side::BOTH {
        rotations[side.bar(0)] = rotation_about(&Vector3::z(), swing + side.sign() * half);
    }
    let (sin_swing, cos_swing) = swing.sin_cos();
    let across = Vector3::new(-sin_swing, cos_swing, 0.0);
    // On the centre line: outward and forward directions at a polar angle.
    let outward = |polar: f64| {
        Vector3::new(
            polar.sin() * cos_swing,
            polar.sin() * sin_swing,
            polar.cos(),
        )
    };
    let forward = |polar: f64| {
        Vector3::new(
            polar.cos() * cos_swing,
            polar.cos() * sin_swing,
            -polar.sin(),
        )
    };
    for stage in 1..=scissor.stages() {
        let b = scissor.distal_arcs[stage - 1];
        let polar = state.apexes[stage - 1].value;
        let half_angle = state.distal_half_angles[stage - 1].value;
        let (apex, ahead) = (outward(polar), forward(polar));
        for side in Side::BOTH {
            // The bar from the left arrives heading to the right.
            let heading = ahead * half_angle.cos() - across * (side.sign() * half_angle.sin());
            rotations[side.bar(stage)] = rotation_from_pairs(
                &apex,
                &heading,
                &Vector3::new(b.sin(), 0.0, b.cos()),
                &tangent_in_plane(b),
            );
        }
        if stage == ScissorLinkage::stages(scissor)
            && let Some(follower) = linkage.follower
        {
            rotations[follower.body] =
                rotation_from_pairs(&apex, &ahead, &Vector3::z(), &Vector3::x());
        }
    }
    Configuration { rotations }
}
