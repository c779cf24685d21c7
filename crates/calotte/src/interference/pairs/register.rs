//! Cores and shapes that occur, each once, with what belongs to every two of them.

use nalgebra::Vector3;

use crate::built::{Core, Solid};
use crate::linkage::{Linkage, Place};

use super::super::answer::ClearingError;
use super::super::cores::PreparedCore;
use super::super::strips::{Shape, Strips};
use super::{Between, BodyCore};

/// No core.
const NONE: usize = usize::MAX;

/// A solid's pieces as indices of cores and shapes.
pub(super) struct Listed {
    pub(super) pieces: Vec<(usize, usize)>,
    pub(super) inner: f64,
    pub(super) outer: f64,
}

/// A joint axis: the places whose directions coincide in every configuration.
struct Axis {
    places: Vec<Place>,
    core: Option<usize>,
}

/// Everything that occurs, each once.
pub(super) struct Register<'l> {
    linkage: &'l Linkage,
    axes: Vec<Axis>,
    pub(super) cores: Vec<BodyCore>,
    shapes: Vec<Shape>,
    /// Strips of two shapes with the chord that keeps the clearance.
    pub(super) strips: Vec<(Strips, f64)>,
    /// Index of the strips of two shapes, by shape and shape.
    of_shapes: Vec<usize>,
    pub(super) betweens: Vec<Between>,
    /// Index of what lies between two cores, by core and core.
    of_cores: Vec<usize>,
    pub(super) couples: Vec<[usize; 2]>,
    pub(super) couple_lists: Vec<usize>,
    /// Index of two bodies' couple, by body and body.
    of_bodies: Vec<usize>,
}

impl<'l> Register<'l> {
    pub(super) fn new(linkage: &'l Linkage) -> Self {
        let bodies = linkage.bodies.len();
        Self {
            linkage,
            axes: axes(linkage),
            cores: Vec::new(),
            shapes: Vec::new(),
            strips: Vec::new(),
            of_shapes: Vec::new(),
            betweens: Vec::new(),
            of_cores: Vec::new(),
            couples: Vec::new(),
            couple_lists: Vec::new(),
            of_bodies: vec![NONE; bodies * bodies],
        }
    }

    /// Enters the pieces of a solid.
    pub(super) fn list(&mut self, solid: &Solid) -> Result<Listed, ClearingError> {
        let bad = || ClearingError::Solid(solid.name.clone());
        let mut listed = Listed {
            pieces: Vec::with_capacity(solid.pieces.len()),
            inner: f64::INFINITY,
            outer: 0.0,
        };
        for piece in &solid.pieces {
            let shape = Shape::of(piece).ok_or_else(bad)?;
            let core = self.core(solid.body, &piece.core).ok_or_else(bad)?;
            listed.inner = listed.inner.min(piece.inner);
            listed.outer = listed.outer.max(piece.outer);
            let known = self.shapes.iter().position(|known| *known == shape);
            let shape = known.unwrap_or_else(|| {
                self.shapes.push(shape);
                self.shapes.len() - 1
            });
            listed.pieces.push((core, shape));
        }
        Ok(listed)
    }

    /// Ends the entries; what lies between cores and shapes can be asked for from now on.
    pub(super) fn close(&mut self) {
        self.of_shapes = vec![NONE; self.shapes.len() * self.shapes.len()];
        self.of_cores = vec![NONE; self.cores.len() * self.cores.len()];
    }

    fn core(&mut self, body: usize, core: &Core) -> Option<usize> {
        match core {
            Core::Direction(direction) => self.direction(body, direction),
            Core::Arc(from, to) => {
                let prepared = PreparedCore::new(core)?;
                if !prepared.is_arc() {
                    return self.direction(body, from);
                }
                let ends = [self.direction(body, from)?, self.direction(body, to)?];
                Some(self.enter(BodyCore {
                    body,
                    core: prepared,
                    held_by: vec![body],
                    ends,
                }))
            }
        }
    }

    fn direction(&mut self, body: usize, direction: &Vector3<f64>) -> Option<usize> {
        let core = PreparedCore::new(&Core::Direction(*direction))?;
        let at = self.axes.iter().position(|axis| {
            axis.places.iter().any(|place| {
                place.body == body
                    && self.linkage.bodies[body].stations[place.station] == *direction
            })
        });
        let Some(axis) = at else {
            return Some(self.enter(BodyCore {
                body,
                core,
                held_by: vec![body],
                ends: [NONE; 2],
            }));
        };
        if let Some(known) = self.axes[axis].core {
            return Some(known);
        }
        let entered = self.enter(BodyCore {
            body,
            core,
            held_by: self.axes[axis].places.iter().map(|p| p.body).collect(),
            ends: [NONE; 2],
        });
        self.axes[axis].core = Some(entered);
        Some(entered)
    }

    fn enter(&mut self, core: BodyCore) -> usize {
        let known = self
            .cores
            .iter()
            .position(|known| known.body == core.body && known.core == core.core);
        known.unwrap_or_else(|| {
            self.cores.push(core);
            self.cores.len() - 1
        })
    }

    /// Strips of two shapes.
    pub(super) fn strips(&mut self, first: usize, second: usize, clearance: f64) -> usize {
        let place = first * self.shapes.len() + second;
        if self.of_shapes[place] == NONE {
            let strips = Strips::new(&self.shapes[first], &self.shapes[second]);
            let chord = if strips.radial_gap() >= -super::FACES_TOUCH {
                f64::NEG_INFINITY
            } else {
                strips.chord_keeping(clearance)
            };
            self.of_shapes[place] = self.strips.len();
            self.strips.push((strips, chord));
        }
        self.of_shapes[place]
    }

    fn place(&self, cores: [usize; 2]) -> usize {
        cores[0].min(cores[1]) * self.cores.len() + cores[0].max(cores[1])
    }

    /// What lies between two cores, if anything was looked at there.
    pub(super) fn known_between(&self, cores: [usize; 2]) -> Option<usize> {
        let known = self.of_cores[self.place(cores)];
        (known != NONE).then_some(known)
    }

    /// What lies between two cores.
    pub(super) fn between(&mut self, cores: [usize; 2]) -> usize {
        let place = self.place(cores);
        if self.of_cores[place] == NONE {
            let start = self.couple_lists.len();
            let [first, second] = cores;
            let one_body = self.cores[first]
                .held_by
                .iter()
                .any(|body| self.cores[second].held_by.contains(body));
            if !one_body {
                for a in 0..self.cores[first].held_by.len() {
                    for b in 0..self.cores[second].held_by.len() {
                        let bodies = [self.cores[first].held_by[a], self.cores[second].held_by[b]];
                        let couple = self.couple(bodies);
                        self.couple_lists.push(couple);
                    }
                }
            }
            self.of_cores[place] = self.betweens.len();
            self.betweens.push(Between {
                cores,
                couples: start..self.couple_lists.len(),
            });
        }
        self.of_cores[place]
    }

    fn couple(&mut self, bodies: [usize; 2]) -> usize {
        let count = self.linkage.bodies.len();
        let place = bodies[0].min(bodies[1]) * count + bodies[0].max(bodies[1]);
        if self.of_bodies[place] == NONE {
            self.of_bodies[place] = self.couples.len();
            self.couples.push(bodies);
        }
        self.of_bodies[place]
    }

    /// The arcs that a direction ends.
    pub(super) fn arcs_ending_in(&self, core: usize) -> impl Iterator<Item = usize> {
        self.cores
            .iter()
            .enumerate()
            .filter(move |(_, arc)| arc.ends.contains(&core))
            .map(|(index, _)| index)
    }
}

/// The joint axes of a linkage: places tied by joints, in groups.
fn axes(linkage: &Linkage) -> Vec<Axis> {
    let mut axes: Vec<Axis> = Vec::new();
    for joint in &linkage.joints {
        let places = [joint.first, joint.second];
        let mut merged = Axis {
            places: places.to_vec(),
            core: None,
        };
        axes.retain_mut(|axis| {
            let tied = axis.places.iter().any(|place| places.contains(place));
            if tied {
                merged.places.append(&mut axis.places);
            }
            !tied
        });
        merged.places.sort_unstable_by_key(|p| (p.body, p.station));
        merged.places.dedup();
        axes.push(merged);
    }
    axes
}
