//! Which bar lies at which radius.

use crate::design::{Arrangement, Design};
use crate::family::parameters::Capability;
use crate::linkage::Linkage;

use super::{Built, BuiltError};

/// Layers, radii and boss sizes of a design, without solids.
pub(super) fn place(design: &Design, linkage: &Linkage) -> Result<Built, BuiltError> {
    let boss_diameter = design.boss_diameter();
    if let Some(parts) = &design.joints.parts
        && parts.bearing.outer_diameter >= boss_diameter
    {
        return Err(BuiltError::BossTooSmall {
            boss: boss_diameter,
            bearing: parts.bearing.outer_diameter,
        });
    }
    let depth = design.section.depth();
    let mut built = Built {
        layers: vec![None; linkage.bodies.len()],
        layer_count: 1,
        radii: vec![design.joint_radius; linkage.bodies.len()],
        pitch: 0.0,
        boss_height: depth,
        boss_diameter,
        solids: Vec::new(),
        walls: Vec::new(),
    };
    let Some(layers) = &design.layers else {
        for (index, body) in linkage.bodies.iter().enumerate() {
            if !body.arcs.is_empty() {
                built.layers[index] = Some(0);
            }
        }
        return Ok(built);
    };
    design.family.offers(Capability::Layers)?;
    built.boss_height = design.boss_height();
    let pin = design.joints.parts.as_ref();
    let base = layers.base.beside(
        pin.map_or(0.0, |parts| parts.pin.diameter),
        boss_diameter,
        built.boss_height,
    );
    let [hollow, bore] = base.hollow_shaft;
    // Without parts nothing is bored.
    let bored = design.joints.parts.is_some();
    if bore <= base.shaft_diameter || hollow <= bore || bored && boss_diameter <= hollow {
        return Err(BuiltError::Shafts {
            solid: base.shaft_diameter,
            bore,
            hollow,
            boss: boss_diameter,
        });
    }
    built.pitch = built.boss_height.max(depth) + layers.gap;
    let assignment = assign(&layers.arrangement, design, linkage)?;
    refuse_joints_in_one_layer(linkage, &assignment)?;
    for (index, layer) in assignment.iter().enumerate() {
        built.layers[index] = *layer;
        if let Some(layer) = layer {
            built.layer_count = built.layer_count.max(layer + 1);
            built.radii[index] += built.pitch * *layer as f64;
        }
    }
    if let Some(follower) = &linkage.follower {
        built.radii[follower.body] -= built.pitch;
    }
    let half = 0.5 * built.boss_height.max(depth);
    let inner = built.radii.iter().copied().fold(f64::INFINITY, f64::min) - half;
    if inner <= 0.5 * boss_diameter {
        return Err(BuiltError::TooNearCentre {
            inner,
            least: 0.5 * boss_diameter,
        });
    }
    let outer_face = design.joint_radius + built.pitch * (built.layer_count - 1) as f64 + half;
    built.radii[0] = outer_face + layers.gap + 0.5 * base.housing_height;
    Ok(built)
}

/// The arrangement of a design as the layer of each bar, so that equal ones are equal whatever
/// they are called; `None` without layers or where it cannot be built.
pub fn listed(design: &Design, linkage: &Linkage) -> Option<Arrangement> {
    design.layers.as_ref()?;
    let layers = place(design, linkage).ok()?.layers;
    Some(Arrangement::Given(layers.into_iter().flatten().collect()))
}

/// Layer of each body; `None` for ground and follower.
fn assign(
    arrangement: &Arrangement,
    design: &Design,
    linkage: &Linkage,
) -> Result<Vec<Option<usize>>, BuiltError> {
    let bars: Vec<usize> = (0..linkage.bodies.len())
        .filter(|body| !linkage.bodies[*body].arcs.is_empty())
        .collect();
    let mut layers = vec![None; linkage.bodies.len()];
    match arrangement {
        Arrangement::Given(given) => {
            if given.len() != bars.len() {
                return Err(BuiltError::LayerCount {
                    got: given.len(),
                    expected: bars.len(),
                    bars: bars
                        .iter()
                        .map(|bar| linkage.bodies[*bar].name.clone())
                        .collect(),
                });
            }
            for (bar, layer) in bars.iter().zip(given) {
                layers[*bar] = Some(*layer);
            }
        }
        Arrangement::Two | Arrangement::Nested => {
            let nested = *arrangement == Arrangement::Nested;
            for (position, bar) in bars.iter().enumerate() {
                let carrier = design.tool.carried_by;
                let family = &design.family;
                layers[*bar] = Some(family.usual_layer(position, bars.len(), nested, carrier));
            }
        }
    }
    Ok(layers)
}

fn refuse_joints_in_one_layer(
    linkage: &Linkage,
    layers: &[Option<usize>],
) -> Result<(), BuiltError> {
    for joint in &linkage.joints {
        let (first, second) = (joint.first.body, joint.second.body);
        if let (Some(a), Some(b)) = (layers[first], layers[second])
            && a == b
        {
            return Err(BuiltError::JointInOneLayer {
                joint: joint.name.clone(),
                first: linkage.bodies[first].name.clone(),
                second: linkage.bodies[second].name.clone(),
                layer: a,
            });
        }
    }
    Ok(())
}
