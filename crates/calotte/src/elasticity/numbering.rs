//! From places and joints to numbered unknowns and constant entries: which motions
//! are shared, which spring ties which, in what order they are eliminated.

use nalgebra::{Matrix2, Vector2, Vector3};

use crate::built::Built;
use crate::design::Design;
use crate::linkage::{Linkage, Place};
use crate::sphere::direction::any_perpendicular;

use super::elements::{DriveSprings, Motion, StructuralArc, StructuralJoint, StructuralPlace};
use super::error::ElasticityError;
use super::factor::Symbolic;
use super::joint::{CARRIED, JointLaw, RigidReleaseAway};

/// Places gathered into groups on one joint axis, with each group's tangent.
pub(super) fn group_places(
    linkage: &Linkage,
) -> (Vec<StructuralPlace>, Vec<(usize, Vector3<f64>)>) {
    let mut places: Vec<StructuralPlace> = Vec::new();
    for (body, description) in linkage.bodies.iter().enumerate() {
        for station in 0..description.stations.len() {
            places.push(StructuralPlace {
                place: Place { body, station },
                group: places.len(),
                motions: [None; 6],
            });
        }
    }
    let find = |places: &[StructuralPlace], wanted: Place| {
        places
            .iter()
            .position(|p| p.place == wanted)
            .unwrap_or_default()
    };
    for joint in &linkage.joints {
        let a = places[find(&places, joint.first)].group;
        let b = places[find(&places, joint.second)].group;
        let (keep, drop) = (a.min(b), a.max(b));
        for place in &mut places {
            if place.group == drop {
                place.group = keep;
            }
        }
    }
    let mut numbers: Vec<usize> = places.iter().map(|p| p.group).collect();
    numbers.sort_unstable();
    numbers.dedup();
    for place in &mut places {
        place.group = numbers.binary_search(&place.group).unwrap_or_default();
    }
    let frames = (0..numbers.len())
        .map(|group| {
            let first = places
                .iter()
                .position(|p| p.group == group)
                .unwrap_or_default();
            let place = places[first].place;
            let direction = linkage.bodies[place.body].stations[place.station];
            (first, any_perpendicular(&direction))
        })
        .collect();
    (places, frames)
}

pub(super) fn joint_laws(
    design: &Design,
    linkage: &Linkage,
    built: &Built,
) -> Result<Vec<JointLaw>, ElasticityError> {
    (0..linkage.joints.len())
        .map(|index| {
            JointLaw::new(design, linkage, built, index).map_err(|RigidReleaseAway| {
                ElasticityError::RigidRelease {
                    joint: linkage.joints[index].name.clone(),
                }
            })
        })
        .collect()
}

/// Compliance of the drives in series with the shafts they turn, by the driven joints,
/// rad/(N·m). A row of zeros is a joint that nothing lets turn.
fn drive_compliance(design: &Design, linkage: &Linkage, laws: &[JointLaw]) -> Matrix2<f64> {
    let drives = design.drives.each.each_ref();
    let own = drives.map(|drive| {
        drive
            .stiffness
            .map_or(0.0, |stiffness| 1.0 / stiffness.value)
    });
    let of_drives = linkage.driven_from_active
        * Matrix2::from_diagonal(&Vector2::from(own))
        * linkage.driven_from_active.transpose();
    let torsion = linkage.driven.map(|joint| laws[joint].torsion);
    of_drives + Matrix2::from_diagonal(&Vector2::from(torsion))
}

/// Drives or brakes in series with the shafts they turn; `None` if neither gives way.
///
/// Where one drive turns both joints and the other is rigid, the compliance is r·rᵀ: joints
/// turn along r only. Across it they are held ([`DriveSprings::held`]), and a spring there,
/// which nothing ever stretches, keeps every pivot positive before that.
pub(super) fn drive_springs(
    design: &Design,
    linkage: &Linkage,
    laws: &[JointLaw],
    spin: impl Fn(Place) -> Motion,
) -> Option<DriveSprings> {
    let driven = linkage.driven;
    let compliance = drive_compliance(design, linkage, laws);
    let own = [compliance[(0, 0)], compliance[(1, 1)]];
    if own == [0.0, 0.0] {
        return None;
    }
    let torsion = driven.map(|joint| laws[joint].torsion);
    let any_rigid = design
        .drives
        .each
        .iter()
        .any(|drive| drive.stiffness.is_none());
    let (stiffness, held) = if compliance[(1, 0)] == 0.0 {
        let inverse = own.map(|entry| if entry > 0.0 { 1.0 / entry } else { 0.0 });
        (Matrix2::from_diagonal(&Vector2::from(inverse)), None)
    } else if any_rigid && torsion == [0.0, 0.0] {
        let along = Vector2::new(own[0], compliance[(1, 0)]).normalize();
        let stiffness = Matrix2::identity() / compliance.trace();
        (stiffness, Some([-along[1], along[0]]))
    } else {
        let inverse = compliance.try_inverse();
        (inverse.unwrap_or_else(Matrix2::zeros), None)
    };
    Some(DriveSprings {
        spins: driven.map(|joint| {
            let joint = &linkage.joints[joint];
            [spin(joint.second), spin(joint.first)]
        }),
        stiffness,
        held,
        torsion,
    })
}

/// Numbers the motions of every place: the ground is fixed, rigid joints and
/// locked drives share numbers.
pub(super) fn number_motions(
    linkage: &Linkage,
    design: &Design,
    laws: &[JointLaw],
    places: &mut [StructuralPlace],
) {
    let count = places.len();
    // Union of equal motions; slot 6·count stands for the ground.
    let ground = 6 * count;
    let mut parent: Vec<usize> = (0..=ground).collect();
    fn root(parent: &[usize], mut x: usize) -> usize {
        while parent[x] != x {
            x = parent[x];
        }
        x
    }
    let join = |parent: &mut Vec<usize>, a: usize, b: usize| {
        let (a, b) = (root(parent, a), root(parent, b));
        // The ground's slot is the greatest and stays root.
        parent[a.min(b)] = a.max(b);
    };
    let slot = |places: &[StructuralPlace], place: Place, motion: usize| {
        6 * places
            .iter()
            .position(|p| p.place == place)
            .unwrap_or_default()
            + motion
    };
    for (index, place) in places.iter().enumerate() {
        if place.place.body == 0 {
            for motion in 0..6 {
                join(&mut parent, 6 * index + motion, ground);
            }
        }
    }
    let compliance = drive_compliance(design, linkage, laws);
    let locked = |joint: usize| {
        let driven = linkage.driven.iter().position(|driven| *driven == joint);
        driven.is_some_and(|driven| compliance[(driven, driven)] == 0.0)
    };
    for (index, joint) in linkage.joints.iter().enumerate() {
        for motion in 0..6 {
            let shared = match CARRIED.iter().position(|carried| *carried == motion) {
                None => locked(index),
                Some(carried) => laws[index].shared[carried],
            };
            if shared {
                let (a, b) = (
                    slot(places, joint.first, motion),
                    slot(places, joint.second, motion),
                );
                join(&mut parent, a, b);
            }
        }
    }
    // The follower's own spin is the mean of two others and no unknown.
    if let Some(follower) = &linkage.follower {
        let own = slot(
            places,
            Place {
                body: follower.body,
                station: 0,
            },
            3,
        );
        join(&mut parent, own, ground);
    }
    let mut numbers = vec![None; ground + 1];
    let mut next = 0;
    for (index, place) in places.iter_mut().enumerate() {
        for (motion, slot) in place.motions.iter_mut().enumerate() {
            let r = root(&parent, 6 * index + motion);
            if r == ground {
                continue;
            }
            let number = *numbers[r].get_or_insert_with(|| {
                next += 1;
                next - 1
            });
            *slot = Some(number);
        }
    }
}

pub(super) fn symbolic(
    places: &[StructuralPlace],
    arcs: &[StructuralArc],
    joints: &[StructuralJoint],
    drive: &Option<DriveSprings>,
    tool_place: usize,
) -> Symbolic {
    let unknowns = places
        .iter()
        .flat_map(|p| p.motions)
        .flatten()
        .max()
        .map_or(0, |u| u + 1);
    let mut group_of = vec![0; unknowns];
    for place in places {
        for unknown in place.motions.iter().flatten() {
            group_of[*unknown] = place.group;
        }
    }
    // The torque of a rigid drive that turns both joints is an unknown more, in their group.
    let held = drive.as_ref().and_then(|drive| {
        let first = drive.spins.iter().flatten().flatten().next()?;
        Some((group_of[*first], drive.held?, drive.spins))
    });
    group_of.extend(held.map(|(group, ..)| group));
    let elements: Vec<Vec<Motion>> = arcs
        .iter()
        .map(|arc| {
            arc.ends
                .iter()
                .flat_map(|end| places[*end].motions)
                .collect()
        })
        .collect();
    let mut symbolic = Symbolic::new(&group_of, &elements, places[tool_place].group);
    if let Some((_, weights, spins)) = held {
        symbolic.hold(unknowns);
        for (weight, [second, first]) in weights.into_iter().zip(spins) {
            for (spin, sign) in [(second, 1.0), (first, -1.0)] {
                if let Some(spin) = spin {
                    symbolic.add_constant(unknowns, spin, sign * weight);
                }
            }
        }
    }
    // Every pair of unknowns of a relative motion, with the signs of its two ends.
    let mut tie = |first: [Motion; 2], second: [Motion; 2], stiffness: f64| {
        if stiffness == 0.0 {
            return;
        }
        for (a, sign_a) in first.iter().zip([1.0, -1.0]) {
            for (b, sign_b) in second.iter().zip([1.0, -1.0]) {
                // Off the diagonal each pair comes twice and counts once.
                if let (Some(a), Some(b)) = (a, b)
                    && a <= b
                {
                    symbolic.add_constant(*a, *b, sign_a * sign_b * stiffness);
                }
            }
        }
    };
    for joint in joints {
        let Some(stiffness) = &joint.law.stiffness else {
            continue;
        };
        let relative = |motion: usize| [joint.ends[1][motion], joint.ends[0][motion]];
        for row in 0..5 {
            for column in 0..5 {
                tie(relative(row), relative(column), stiffness[(row, column)]);
            }
        }
    }
    if let Some(drive) = drive {
        for row in 0..2 {
            for column in 0..2 {
                let stiffness = drive.stiffness[(row, column)];
                tie(drive.spins[row], drive.spins[column], stiffness);
            }
        }
    }
    symbolic
}
