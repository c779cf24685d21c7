//! Which bar lies at which radius.

use crate::design::{Arrangement, Design};
use crate::family::parameters::Capability;
use crate::linkage::Linkage;

use super::{Built, BuiltError, boss};

/// Layers, radii and boss sizes of a design, without solids.
pub(super) fn place(design: &Design, linkage: &Linkage) -> Result<Built, BuiltError> {
    let mut built = Built {
        layers: vec![None; linkage.bodies.len()],
        layer_count: 1,
        radii: vec![design.joint_radius; linkage.bodies.len()],
        pitch: 0.0,
        bosses: boss::all(design, linkage),
        solids: Vec::new(),
        walls: Vec::new(),
    };
    refuse_small_bosses(design, linkage, &built)?;
    let Some(layers) = &design.layers else {
        for (index, _) in linkage.bars() {
            built.layers[index] = Some(0);
        }
        return Ok(built);
    };
    design.family.offers(Capability::Layers)?;
    refuse_shafts(design, linkage, &built)?;
    let deepest = linkage
        .bars()
        .map(|(_, body)| body.section(design).depth())
        .fold(0.0, f64::max);
    let highest = built.boss_height_max().max(deepest);
    built.pitch = highest + layers.gap;
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
    refuse_centre(design, linkage, &built)?;
    let half = 0.5 * highest;
    let outer_face = design.joint_radius + built.pitch * (built.layer_count - 1) as f64 + half;
    let housing = boss::base_drives(design, linkage).map_or(0.0, |base| base.housing_height);
    built.radii[0] = outer_face + layers.gap + 0.5 * housing;
    Ok(built)
}

/// Refuses a boss that the bearing of its level does not fit into.
fn refuse_small_bosses(
    design: &Design,
    linkage: &Linkage,
    built: &Built,
) -> Result<(), BuiltError> {
    for joint in &linkage.joints {
        let Some(parts) = &joint.properties(design).parts else {
            continue;
        };
        for place in [joint.first, joint.second] {
            let (boss, bearing) = (built.boss(place).diameter, parts.bearing.outer_diameter);
            if place.body != 0 && bearing >= boss {
                return Err(BuiltError::BossTooSmall {
                    level: joint.level,
                    boss,
                    bearing,
                });
            }
        }
    }
    Ok(())
}

/// Refuses shafts of the base bars that do not turn in one another and in their bosses.
fn refuse_shafts(design: &Design, linkage: &Linkage, built: &Built) -> Result<(), BuiltError> {
    let Some(base) = boss::base_drives(design, linkage) else {
        return Ok(());
    };
    let [hollow, bore] = base.hollow_shaft;
    let joints = linkage.joints.iter();
    let bosses = joints.filter(|joint| joint.first.body == 0 || joint.second.body == 0);
    let bosses = bosses.flat_map(|joint| [joint.first, joint.second]);
    let bosses = bosses.filter(|place| place.body != 0);
    let boss = bosses
        .map(|place| built.boss(place).diameter)
        .fold(f64::INFINITY, f64::min);
    // Without parts nothing is bored.
    let bored = design.joints.parts.is_some();
    if bore <= base.shaft_diameter || hollow <= bore || bored && boss <= hollow {
        return Err(BuiltError::Shafts {
            solid: base.shaft_diameter,
            bore,
            hollow,
            boss,
        });
    }
    Ok(())
}

/// Refuses a bar so near to the centre that its own round takes it up.
fn refuse_centre(design: &Design, linkage: &Linkage, built: &Built) -> Result<(), BuiltError> {
    let mut worst: Option<[f64; 2]> = None;
    for (index, body) in linkage.bodies.iter().enumerate().skip(1) {
        let depth = body.section(design).depth();
        for boss in &built.bosses[index] {
            let inner = built.radii[index] - 0.5 * boss.height.max(depth);
            let least = 0.5 * boss.diameter;
            if worst.is_none_or(|[other, needed]| inner - least < other - needed) {
                worst = Some([inner, least]);
            }
        }
    }
    match worst {
        Some([inner, least]) if inner <= least => Err(BuiltError::TooNearCentre { inner, least }),
        _ => Ok(()),
    }
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
