//! The solids of a design: bars with bosses, pins, spacers, shafts, housing, tool.

use nalgebra::Vector3;

use crate::design::{BaseDrives, ClampedIn, Design, JointParts};
use crate::linkage::{Joint, Linkage, Place};
use crate::stock::Section;

use super::boss::base_drives;
use super::{Built, Core, Hole, Piece, Profile, Solid, SolidKind, Void};

/// Share of the bearing's radial wall by which a spacer's rim stands on its inner
/// ring beyond the pin (common practice, no source).
const SPACER_RIM: f64 = 0.3;

/// All solids of a design whose layers and radii are placed.
pub(super) fn all(design: &Design, linkage: &Linkage, built: &Built) -> Vec<Solid> {
    let mut solids = Vec::new();
    for body in 0..linkage.bodies.len() {
        solids.extend(bar(design, linkage, built, body));
    }
    for (index, joint) in linkage.joints.iter().enumerate() {
        if let Some(parts) = &joint.properties(design).parts
            && joint.first.body != 0
            && joint.second.body != 0
        {
            solids.extend(pin_and_spacer(linkage, built, parts, index, joint));
        }
    }
    if let Some(drives) = base_drives(design, linkage) {
        solids.extend(base(design, linkage, built, &drives));
    }
    solids.extend(tool(design, linkage, built));
    solids
}

/// Bodies with a station on the axis of a joint, without the ground.
fn on_axis(linkage: &Linkage, joint: &Joint) -> Vec<usize> {
    let mut places = vec![joint.first, joint.second];
    let mut next = 0;
    while next < places.len() {
        let here = places[next];
        next += 1;
        for other in &linkage.joints {
            for (a, b) in [(other.first, other.second), (other.second, other.first)] {
                if a == here && !places.contains(&b) {
                    places.push(b);
                }
            }
        }
    }
    let mut bodies: Vec<usize> = places.iter().map(|place| place.body).collect();
    bodies.retain(|body| *body != 0);
    bodies.sort_unstable();
    bodies.dedup();
    bodies
}

/// A bar with a boss at every station; the follower is a boss alone.
fn bar(design: &Design, linkage: &Linkage, built: &Built, body: usize) -> Option<Solid> {
    let description = &linkage.bodies[body];
    let follows = linkage
        .follower
        .is_some_and(|follower| follower.body == body);
    if description.arcs.is_empty() && !follows {
        return None;
    }
    let radius = built.radii[body];
    let section = description.section(design);
    let (width, depth) = (section.width(), section.depth());
    let (profile, void) = match *section {
        Section::Rectangle { .. } | Section::Custom { .. } => (Profile::Straight, None),
        Section::RectangleTube {
            tangential,
            radial,
            wall,
        } => (
            Profile::Straight,
            Some(Void {
                half_width: 0.5 * tangential - wall,
                height: radial - 2.0 * wall,
            }),
        ),
        Section::Rod { .. } => (Profile::Round, None),
        Section::Tube {
            inner_diameter: inner,
            ..
        } => (
            Profile::Round,
            Some(Void {
                half_width: 0.5 * inner,
                height: inner,
            }),
        ),
    };
    let mut pieces: Vec<Piece> = description
        .arcs
        .iter()
        .map(|arc| Piece {
            core: Core::Arc(description.stations[arc.from], description.stations[arc.to]),
            profile,
            half_width: 0.5 * width,
            inner: radius - 0.5 * depth,
            outer: radius + 0.5 * depth,
            void,
        })
        .collect();
    if linkage.tool.body == body && !follows && design.tool.bracket_arc != 0.0 {
        let template = pieces[0];
        pieces.push(Piece {
            core: Core::Arc(
                description.stations[linkage.tool.station],
                linkage.tool.direction,
            ),
            ..template
        });
    }
    for (station, boss) in description.stations.iter().zip(&built.bosses[body]) {
        let half = 0.5 * boss.height;
        pieces.push(round(*station, boss.diameter, radius - half, radius + half));
    }
    Some(Solid {
        name: if follows {
            "tool flange".to_string()
        } else {
            description.name.clone()
        },
        kind: SolidKind::Bar,
        body,
        assembled_with: Vec::new(),
        joint: None,
        pieces,
        holes: holes(design, linkage, built, body),
    })
}

/// A round about a direction, of a diameter, between two distances from the centre.
fn round(axis: Vector3<f64>, diameter: f64, inner: f64, outer: f64) -> Piece {
    Piece {
        core: Core::Direction(axis),
        profile: Profile::Straight,
        half_width: 0.5 * diameter,
        inner,
        outer,
        void: None,
    }
}

/// The bore of a round, if it has one.
fn bored(axis: Vector3<f64>, diameter: f64) -> Vec<Hole> {
    if diameter > 0.0 {
        vec![Hole { axis, diameter }]
    } else {
        Vec::new()
    }
}

/// The bodies of a joint: the one the pin is clamped in, then the one with the bearings.
pub(crate) fn clamp_and_bearing(
    joint: &Joint,
    radii: &[f64],
    clamped_in: ClampedIn,
) -> (Place, Place) {
    // A base bar's shaft is clamped in the bar, its bearings sit in the ground.
    if joint.first.body == 0 {
        return (joint.second, joint.first);
    }
    if joint.second.body == 0 {
        return (joint.first, joint.second);
    }
    let first_inner = radii[joint.first.body] <= radii[joint.second.body];
    if first_inner == (clamped_in == ClampedIn::Inner) {
        (joint.first, joint.second)
    } else {
        (joint.second, joint.first)
    }
}

/// One hole at each station: the greatest of what its joints need there.
fn holes(design: &Design, linkage: &Linkage, built: &Built, body: usize) -> Vec<Hole> {
    let mut holes = Vec::new();
    for (station, axis) in linkage.bodies[body].stations.iter().enumerate() {
        let here = Place { body, station };
        let mut diameter: f64 = 0.0;
        for (index, joint) in linkage.joints.iter().enumerate() {
            let Some(parts) = &joint.properties(design).parts else {
                continue;
            };
            let (clamp, bearing) = clamp_and_bearing(joint, &built.radii, parts.pin.clamped_in);
            if clamp == here {
                let shaft = base_shaft(design, linkage, built, index);
                diameter = diameter.max(shaft.map_or(parts.pin.diameter, |[outer, _]| outer));
            } else if bearing == here {
                diameter = diameter.max(parts.bearing.outer_diameter);
            }
        }
        if diameter > 0.0 {
            holes.push(Hole {
                axis: *axis,
                diameter,
            });
        }
    }
    holes
}

/// Outer diameter and bore of the shaft of a base joint, m; `None` for other joints
/// and without layers. The bar nearer to the remote centre has the solid shaft,
/// which turns inside the hollow one.
pub(crate) fn base_shaft(
    design: &Design,
    linkage: &Linkage,
    built: &Built,
    joint: usize,
) -> Option<[f64; 2]> {
    let base = base_drives(design, linkage)?;
    let bar_of = |joint: &Joint| {
        (joint.first.body == 0)
            .then_some(joint.second.body)
            .or((joint.second.body == 0).then_some(joint.first.body))
    };
    let bar = bar_of(&linkage.joints[joint])?;
    let innermost = linkage
        .joints
        .iter()
        .filter_map(bar_of)
        .all(|other| built.radii[bar] <= built.radii[other]);
    Some(if innermost {
        [base.shaft_diameter, 0.0]
    } else {
        base.hollow_shaft
    })
}

fn pin_and_spacer(
    linkage: &Linkage,
    built: &Built,
    parts: &JointParts,
    index: usize,
    joint: &Joint,
) -> Vec<Solid> {
    let (clamp, bearing) = clamp_and_bearing(joint, &built.radii, parts.pin.clamped_in);
    let mut ends =
        [clamp, bearing].map(|place| (built.radii[place.body], 0.5 * built.boss(place).height));
    ends.sort_by(|a, b| a.0.total_cmp(&b.0));
    let [(low, half_low), (high, half_high)] = ends;
    let axis = linkage.bodies[clamp.body].stations[clamp.station];
    let solid = |kind, what: &str, diameter: f64, bore: f64, inner: f64, outer: f64| Solid {
        name: format!("{} {what}", joint.name),
        kind,
        body: clamp.body,
        assembled_with: on_axis(linkage, joint),
        joint: Some(index),
        pieces: vec![round(axis, diameter, inner, outer)],
        holes: bored(axis, bore),
    };
    let pin = &parts.pin;
    let mut solids = vec![solid(
        SolidKind::Pin,
        "pin",
        pin.diameter,
        pin.bore,
        low - half_low,
        high + half_high,
    )];
    if high - low > half_low + half_high {
        let wall = 0.5 * (parts.bearing.outer_diameter - parts.bearing.bore);
        let rim = pin.diameter + 2.0 * SPACER_RIM * wall;
        solids.push(solid(
            SolidKind::Spacer,
            "spacer",
            rim,
            pin.diameter,
            low + half_low,
            high - half_high,
        ));
    }
    solids
}

/// Shafts of the base bars and their housing.
fn base(design: &Design, linkage: &Linkage, built: &Built, drives: &BaseDrives) -> Vec<Solid> {
    let half_housing = 0.5 * drives.housing_height;
    let base_bars: Vec<(usize, &Joint, Place)> = linkage
        .joints
        .iter()
        .enumerate()
        .filter_map(|(index, joint)| {
            let bar = match (joint.first.body, joint.second.body) {
                (0, _) => joint.second,
                (_, 0) => joint.first,
                _ => return None,
            };
            Some((index, joint, bar))
        })
        .collect();
    let mut solids: Vec<Solid> = base_bars
        .iter()
        .map(|(index, joint, bar)| {
            let radius = built.radii[bar.body];
            let half_boss = 0.5 * built.boss(*bar).height;
            let axis = linkage.bodies[bar.body].stations[bar.station];
            let [outer, bore] = base_shaft(design, linkage, built, *index).unwrap_or_default();
            Solid {
                name: format!("{} shaft", joint.name),
                kind: SolidKind::Shaft,
                body: bar.body,
                assembled_with: on_axis(linkage, joint),
                joint: Some(*index),
                pieces: vec![round(
                    axis,
                    outer,
                    radius - half_boss,
                    built.radii[0] + half_housing,
                )],
                holes: bored(axis, bore),
            }
        })
        .collect();
    if let Some((_, joint, _)) = base_bars.first() {
        solids.push(Solid {
            name: "housing".to_string(),
            kind: SolidKind::Housing,
            body: 0,
            assembled_with: on_axis(linkage, joint),
            joint: None,
            pieces: vec![round(
                Vector3::z(),
                drives.housing_diameter,
                built.radii[0] - half_housing,
                built.radii[0] + half_housing,
            )],
            holes: Vec::new(),
        });
    }
    solids
}

/// The room the tool takes from its tip outward.
fn tool(design: &Design, linkage: &Linkage, built: &Built) -> Option<Solid> {
    let envelope = design.tool.envelope?;
    let carrier = linkage.tool.body;
    let at_apex = Place {
        body: carrier,
        station: linkage.tool.station,
    };
    let face = built.radii[carrier] - 0.5 * built.boss(at_apex).height;
    let outer = envelope.outer_radius.unwrap_or(face);
    let inner = design.tool.tip_radius;
    let mut assembled_with = vec![carrier];
    if design.tool.bracket_arc == 0.0 {
        for joint in &linkage.joints {
            if joint.first == at_apex || joint.second == at_apex {
                assembled_with.extend(on_axis(linkage, joint));
            }
        }
    }
    assembled_with.sort_unstable();
    assembled_with.dedup();
    (outer > inner).then(|| Solid {
        name: "tool".to_string(),
        kind: SolidKind::Tool,
        body: carrier,
        assembled_with,
        joint: None,
        pieces: vec![round(
            linkage.tool.direction,
            envelope.diameter,
            inner,
            outer,
        )],
        holes: Vec::new(),
    })
}
