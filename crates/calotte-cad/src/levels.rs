//! The radii at which a solid is cut, and its outline between each two of them.
//!
//! Between neighbouring levels the outline keeps its structure, so that every stretch
//! of it sweeps one strip of wall. Levels are the faces of the pieces, the steps of
//! round profiles, the radii at which stretches appear, part or join, and as many more
//! as curved edges need to keep within the chord tolerance.

use std::f64::consts::PI;

use calotte::built::{Core, Profile};
use nalgebra::Vector3;

use crate::outline::{Outline, corner_at};
use crate::region::{Model, Role, steps_of};

/// Where in a slab its outline is looked at: near either end and in the middle.
const PROBES: [f64; 3] = [1.0 / 1024.0, 0.5, 1.0 - 1.0 / 1024.0];
/// Share of the distance of two points that are one by which levels stay apart.
const LEAST_SLAB: f64 = 0.1;
/// How often a slab is halved, at most.
const DEEPEST: usize = 24;

/// What lies between two neighbouring levels.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Slab {
    /// Lower radius, m.
    pub low: f64,
    /// Upper radius, m.
    pub high: f64,
    /// Regions there.
    pub active: Vec<usize>,
    pub outline: Outline,
}

/// The slabs of a solid, from the centre outward.
pub(crate) fn slabs(model: &Model) -> Vec<Slab> {
    let radii = radii(model);
    let mut slabs = Vec::new();
    for pair in radii.windows(2) {
        let active = model.active(pair[0], pair[1]);
        divide(model, &active, [pair[0], pair[1]], None, 0, &mut slabs);
    }
    slabs
}

/// Faces of the pieces and steps of their round profiles.
fn radii(model: &Model) -> Vec<f64> {
    let mut faces = Vec::new();
    let mut steps = Vec::new();
    for region in model.regions.iter().filter(|r| r.role != Role::Hole) {
        faces.extend([region.inner, region.outer]);
        let (width, middle) = (region.widening.half_width, region.widening.middle);
        match region.widening.profile {
            Profile::Straight => {
                // A lone round that begins nearer to the centre than it is wide.
                let direction = matches!(region.core, Core::Direction(_));
                if direction && region.inner < width && width < region.outer {
                    faces.push(width);
                }
            }
            Profile::Round => {
                let count = profile_steps(model, width);
                steps.extend((1..count).map(|step| {
                    let (sine, cosine) = (PI * step as f64 / count as f64).sin_cos();
                    (middle - width * cosine).hypot(width * sine)
                }));
            }
        }
    }
    faces.sort_by(f64::total_cmp);
    faces.dedup_by(|later, first| *later - *first <= model.same);
    let (least, greatest) = (faces[0], faces[faces.len() - 1]);
    steps.sort_by(f64::total_cmp);
    let mut radii = faces.clone();
    let mut last = least;
    for step in steps {
        let apart = |other: f64| (step - other).abs() > 20.0 * model.same;
        if apart(last) && step < greatest && faces.iter().all(|face| apart(*face)) {
            radii.push(step);
            last = step;
        }
    }
    radii.sort_by(f64::total_cmp);
    radii
}

/// Steps of half a round profile.
pub(crate) fn profile_steps(model: &Model, half_width: f64) -> usize {
    steps_of(half_width, model.options.chord_tolerance)
        .max(model.options.round_sides)
        .div_ceil(2)
}

/// Divides a slab until its outline keeps its structure and its edges are nearly straight.
/// `start` is an outline just above the lower end, if that is where the structure changed.
fn divide(
    model: &Model,
    active: &[usize],
    [low, high]: [f64; 2],
    start: Option<(f64, &Outline)>,
    depth: usize,
    slabs: &mut Vec<Slab>,
) {
    let outline_at = |radius: f64| Outline::new(model, active, radius);
    let probes = PROBES.map(|share| low + share * (high - low));
    let outlines = probes.map(outline_at);
    let [first, middle, last] = &outlines;
    let cut = if let Some(start) = start
        && start.0 < probes[0]
        && !start.1.same_structure(first)
    {
        Some(change(&outline_at, [start.0, probes[0]], start.1))
    } else if !first.same_structure(middle) {
        Some(change(&outline_at, [probes[0], probes[1]], first))
    } else if !middle.same_structure(last) {
        Some(change(&outline_at, [probes[1], probes[2]], middle))
    } else if bulge(model, middle, [low, high]) > model.options.chord_tolerance {
        Some(probes[1])
    } else {
        None
    };
    let least = LEAST_SLAB * model.same;
    match cut {
        Some(cut) if depth < DEEPEST && cut - low > least && high - cut > least => {
            divide(model, active, [low, cut], start, depth + 1, slabs);
            // Changes come in groups, closer together than probes: the next is sought from
            // where this one was found.
            let after = cut + least;
            let next = outline_at(after);
            divide(
                model,
                active,
                [cut, high],
                Some((after, &next)),
                depth + 1,
                slabs,
            );
        }
        // A change too near to a level to be told from it is closed by the level's face.
        _ => slabs.push(Slab {
            low,
            high,
            active: active.to_vec(),
            outline: outlines[1].clone(),
        }),
    }
}

/// The radius at which the structure stops being that of the lower end.
fn change(
    outline_at: &impl Fn(f64) -> Outline,
    [mut low, mut high]: [f64; 2],
    lower: &Outline,
) -> f64 {
    for _ in 0..60 {
        let middle = 0.5 * (low + high);
        if middle <= low || middle >= high {
            break;
        }
        if outline_at(middle).same_structure(lower) {
            low = middle;
        } else {
            high = middle;
        }
    }
    low
}

/// How far the corners' paths through a slab lie from their chords, m.
fn bulge(model: &Model, outline: &Outline, [low, high]: [f64; 2]) -> f64 {
    let mut greatest: f64 = 0.0;
    for stretch in &outline.stretches {
        let Some((from, to)) = stretch.ends else {
            continue;
        };
        for corner in [from, to] {
            let at = |radius: f64| corner_at(model, stretch.circle, corner, radius).0 * radius;
            greatest = greatest.max(off_chord(at(low), at(0.5 * (low + high)), at(high)));
        }
    }
    greatest
}

/// Distance of a point from the line through two others, m.
pub(crate) fn off_chord(start: Vector3<f64>, middle: Vector3<f64>, end: Vector3<f64>) -> f64 {
    let chord = end - start;
    let to_middle = middle - start;
    match chord.try_normalize(0.0) {
        Some(along) => (to_middle - along * to_middle.dot(&along)).norm(),
        None => to_middle.norm(),
    }
}
