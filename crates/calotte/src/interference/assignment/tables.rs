//! What may lie or pass beside what, at samples of the range.

use std::cell::RefCell;
use std::collections::HashMap;
use std::hash::{BuildHasherDefault, Hasher};

use crate::built::{Built, Core, SolidKind};
use crate::design::{Arrangement, Design};
use crate::kinematics::Kinematics;
use crate::linkage::Place;

use super::super::answer::ClearingError;
use super::super::cores::{PreparedCore, chord};
use super::super::strips::Shape;
use super::AssignmentError;
use super::sizes::{Round, Sizes};

/// Samples of the range; one bit each.
const SAMPLES: usize = 120;

/// Which samples are free, one bit each.
pub(super) type Mask = u128;

/// What is known already, by a key packed into one number.
type Known<T> = RefCell<HashMap<u64, T, BuildHasherDefault<Spread>>>;

/// Spreads the bits of a packed key; the keys are our own and need no more.
#[derive(Debug, Default)]
struct Spread(u64);

impl Hasher for Spread {
    fn finish(&self) -> u64 {
        self.0
    }

    fn write(&mut self, bytes: &[u8]) {
        for byte in bytes {
            self.write_u64(u64::from(*byte));
        }
    }

    fn write_u64(&mut self, number: u64) {
        let mixed = (self.0 ^ number).wrapping_mul(0x9E37_79B9_7F4A_7C15);
        self.0 = mixed ^ (mixed >> 29);
    }
}

/// Four numbers below 65536 in one.
fn packed(parts: [usize; 4]) -> u64 {
    parts.iter().fold(0, |key, part| key << 16 | *part as u64)
}

/// A joint of two bars.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct PinJoint {
    /// Its two bars; `None` is the follower.
    pub(super) bars: [Option<usize>; 2],
    /// Bars with a station on its axis.
    pub(super) assembled: Vec<usize>,
    /// Index of its axis.
    pub(super) axis: usize,
}

/// Sampled chords between everything that may meet, and the limits they are held to.
#[derive(Debug)]
pub(super) struct Tables {
    bars: usize,
    pub(super) joints: Vec<PinJoint>,
    /// Bars on the base axis.
    pub(super) base_bars: Vec<usize>,
    /// The bar that carries the tool, if no follower does.
    pub(super) carrier: Option<usize>,
    /// Axis of the base, of the tool.
    pub(super) base_axis: usize,
    pub(super) tool_axis: Option<usize>,
    /// Bars assembled with the tool.
    pub(super) tool_assembled: Vec<usize>,
    pub(super) wanted: Mask,
    pub(super) all: Mask,
    pub(super) inside: usize,
    samples: usize,
    /// By bar and bar: arc to arc, arc to boss, boss to boss.
    bar_to_bar: Vec<[Vec<f64>; 3]>,
    /// By axis and bar: to arcs, to bosses.
    axis_to_bar: Vec<[Vec<f64>; 2]>,
    /// By axis and axis.
    axis_to_axis: Vec<Vec<f64>>,
    sizes: Sizes,
    shared: Known<Mask>,
    beside: Known<Mask>,
    passing: Known<Mask>,
    limits: Known<f64>,
}

/// The cores of the bars and axes, and how they are tied.
struct Parts {
    arcs: Vec<Vec<(usize, PreparedCore)>>,
    bosses: Vec<Vec<(usize, PreparedCore)>>,
    axes: Vec<(usize, PreparedCore)>,
}

impl Tables {
    pub(super) fn new(
        design: &Design,
        kinematics: &Kinematics,
        range: [f64; 2],
        wanted: [f64; 2],
    ) -> Result<Self, AssignmentError> {
        let linkage = &kinematics.linkage;
        let bodies: Vec<usize> = (0..linkage.bodies.len())
            .filter(|body| !linkage.bodies[*body].arcs.is_empty())
            .collect();
        let bar_of = |body: usize| bodies.iter().position(|bar| *bar == body);
        // Every joint of the nested arrangement can have a spacer to copy.
        let mut nested = design.clone();
        let layers = nested.layers.as_mut().ok_or(ClearingError::NoLayers)?;
        layers.arrangement = Arrangement::Nested;
        let built = Built::new(&nested, linkage)?;
        let mut parts = Parts::new(&built, &bodies)?;
        let mut joints = Vec::new();
        let mut base_bars = Vec::new();
        for (index, joint) in linkage.joints.iter().enumerate() {
            if joint.first.body == 0 || joint.second.body == 0 {
                base_bars.extend(bar_of(joint.first.body.max(joint.second.body)));
                continue;
            }
            let pin = built
                .solids
                .iter()
                .find(|solid| solid.kind == SolidKind::Pin && solid.joint == Some(index));
            let axis = parts.axes.len();
            let assembled = pin.map_or_else(Vec::new, |pin| pin.assembled_with.clone());
            let Place { body, station } = joint.first;
            parts.add_axis(body, linkage.bodies[body].stations[station])?;
            joints.push(PinJoint {
                bars: [bar_of(joint.first.body), bar_of(joint.second.body)],
                assembled: assembled.iter().filter_map(|body| bar_of(*body)).collect(),
                axis,
            });
        }
        let base_axis = parts.axes.len();
        parts.add_axis(0, nalgebra::Vector3::z())?;
        let tool = built.solids.iter().find(|s| s.kind == SolidKind::Tool);
        let tool_axis = tool.map(|_| parts.axes.len());
        if tool.is_some() {
            parts.add_axis(linkage.tool.body, linkage.tool.direction)?;
        }
        let tool_assembled = tool.map_or_else(Vec::new, |tool| {
            let bodies = tool.assembled_with.iter();
            bodies.filter_map(|body| bar_of(*body)).collect()
        });
        let sizes = Sizes::new(design, linkage, &built, &bodies, tool)?;
        let seconds = sample_points(range, wanted);
        let chords = parts.chords(kinematics, &seconds)?;
        let within = |x: f64| wanted[0] <= x && x <= wanted[1];
        let middle = 0.5 * (wanted[0] + wanted[1]);
        Ok(Self {
            bars: bodies.len(),
            joints,
            base_bars,
            carrier: bar_of(linkage.tool.body),
            base_axis,
            tool_axis,
            tool_assembled,
            wanted: mask(seconds.iter().map(|x| within(*x))),
            all: mask(seconds.iter().map(|_| true)),
            inside: seconds.iter().position(|x| *x == middle).unwrap_or(0),
            samples: seconds.len(),
            bar_to_bar: chords.0,
            axis_to_bar: chords.1,
            axis_to_axis: chords.2,
            sizes,
            shared: RefCell::default(),
            beside: RefCell::default(),
            passing: RefCell::default(),
            limits: RefCell::default(),
        })
    }

    pub(super) fn bars(&self) -> usize {
        self.bars
    }

    /// Whether joints have pins.
    pub(super) fn has_pins(&self) -> bool {
        self.sizes.pin.is_some()
    }

    /// Sum of all pins' lengths in pitches; a follower lies in layer −1.
    pub(super) fn pin_pitches(&self, layers: &[usize]) -> usize {
        self.joints
            .iter()
            .map(|joint| {
                let [first, second] = joint.bars.map(|bar| bar.map_or(-1, |b| layers[b] as i32));
                first.abs_diff(second) as usize
            })
            .sum()
    }

    /// Samples at which two bars may share a layer.
    pub(super) fn share(&self, first: usize, second: usize, layer: usize) -> Mask {
        let (first, second) = (first.min(second), first.max(second));
        let key = packed([0, first, second, layer]);
        if let Some(known) = self.shared.borrow().get(&key) {
            return *known;
        }
        let arc = self.sizes.arc_at(layer);
        let boss = self.sizes.boss_at(layer);
        let keep = |a: &Shape, b: &Shape| self.sizes.keeping(&[*a], &[*b]);
        let limits = [keep(&arc, &arc), keep(&arc, &boss), keep(&boss, &boss)];
        let chords = &self.bar_to_bar[first * self.bars + second];
        let free = (0..self.samples).map(|i| (0..3).all(|kind| chords[kind][i] >= limits[kind]));
        let result = mask(free);
        self.shared.borrow_mut().insert(key, result);
        result
    }

    /// Samples at which something round about an axis keeps clear of a bar in a layer.
    pub(super) fn beside(&self, axis: usize, round: Round, bar: usize, layer: usize) -> Mask {
        let key = packed([axis, round.code(), bar, layer]);
        if let Some(known) = self.beside.borrow().get(&key) {
            return *known;
        }
        let shapes = self.sizes.shapes(round);
        let limits = [
            self.sizes.keeping(&shapes, &[self.sizes.arc_at(layer)]),
            self.sizes.keeping(&shapes, &[self.sizes.boss_at(layer)]),
        ];
        let chords = &self.axis_to_bar[axis * self.bars + bar];
        let free = (0..self.samples).map(|i| (0..2).all(|kind| chords[kind][i] >= limits[kind]));
        let result = mask(free);
        self.beside.borrow_mut().insert(key, result);
        result
    }

    /// Samples at which two round things about different axes keep clear of each other.
    pub(super) fn passing(&self, axes: [usize; 2], rounds: [Round; 2]) -> Mask {
        let [first, second] = rounds.map(Round::code);
        let key = packed([axes[0], first, axes[1], second]);
        if let Some(known) = self.passing.borrow().get(&key) {
            return *known;
        }
        let limit = *self
            .limits
            .borrow_mut()
            .entry(packed([0, first, 0, second]))
            .or_insert_with(|| {
                let [first, second] = rounds.map(|round| self.sizes.shapes(round));
                self.sizes.keeping(&first, &second)
            });
        let count = self.axis_to_axis.len().isqrt();
        let chords = &self.axis_to_axis[axes[0] * count + axes[1]];
        let result = mask(chords.iter().map(|chord| *chord >= limit));
        self.passing.borrow_mut().insert(key, result);
        result
    }
}

/// Samples over the range, the wanted range's ends and middle among them, ascending.
fn sample_points(range: [f64; 2], wanted: [f64; 2]) -> Vec<f64> {
    let steps = SAMPLES as f64 - 1.0;
    let mut points: Vec<f64> = (0..SAMPLES)
        .map(|i| (range[0] + (range[1] - range[0]) * i as f64 / steps).min(range[1]))
        .collect();
    points.extend(wanted);
    points.push(0.5 * (wanted[0] + wanted[1]));
    points.sort_by(f64::total_cmp);
    points.dedup();
    points
}

fn mask(free: impl Iterator<Item = bool>) -> Mask {
    free.enumerate()
        .fold(0, |mask, (i, free)| mask | (Mask::from(free) << i))
}

/// Chords of bars to bars, axes to bars and axes to axes.
type Chords = (Vec<[Vec<f64>; 3]>, Vec<[Vec<f64>; 2]>, Vec<Vec<f64>>);

impl Parts {
    fn new(built: &Built, bodies: &[usize]) -> Result<Self, ClearingError> {
        let mut parts = Self {
            arcs: vec![Vec::new(); bodies.len()],
            bosses: vec![Vec::new(); bodies.len()],
            axes: Vec::new(),
        };
        for solid in &built.solids {
            let Some(bar) = bodies.iter().position(|body| *body == solid.body) else {
                continue;
            };
            if solid.kind != SolidKind::Bar {
                continue;
            }
            for piece in &solid.pieces {
                let core = PreparedCore::new(&piece.core)
                    .ok_or_else(|| ClearingError::Solid(solid.name.clone()))?;
                let list = match piece.core {
                    Core::Arc(..) => &mut parts.arcs[bar],
                    Core::Direction(_) => &mut parts.bosses[bar],
                };
                list.push((solid.body, core));
            }
        }
        Ok(parts)
    }

    fn add_axis(&mut self, body: usize, axis: nalgebra::Vector3<f64>) -> Result<(), ClearingError> {
        let core = PreparedCore::new(&Core::Direction(axis))
            .ok_or_else(|| ClearingError::Solid("an axis".to_string()))?;
        self.axes.push((body, core));
        Ok(())
    }

    fn chords(&self, kinematics: &Kinematics, seconds: &[f64]) -> Result<Chords, ClearingError> {
        let (bars, axes) = (self.arcs.len(), self.axes.len());
        let none = || Vec::with_capacity(seconds.len());
        let mut bar_to_bar = vec![[none(), none(), none()]; bars * bars];
        let mut axis_to_bar = vec![[none(), none()]; axes * bars];
        let mut axis_to_axis = vec![none(); axes * axes];
        for second in seconds {
            let pose = kinematics
                .forward_from_mechanism([0.0, *second])
                .map_err(|_| ClearingError::NotClosed(*second))?;
            let rotations = &pose.configuration.rotations;
            let placed = |list: &[(usize, PreparedCore)]| -> Vec<PreparedCore> {
                list.iter()
                    .map(|(body, core)| core.turned(&rotations[*body]))
                    .collect()
            };
            let arcs: Vec<_> = self.arcs.iter().map(|list| placed(list)).collect();
            let bosses: Vec<_> = self.bosses.iter().map(|list| placed(list)).collect();
            let centres = placed(&self.axes);
            for first in 0..bars {
                for other in first + 1..bars {
                    let chords = &mut bar_to_bar[first * bars + other];
                    chords[0].push(least(&arcs[first], &arcs[other]));
                    let crossed = least(&arcs[first], &bosses[other]);
                    chords[1].push(crossed.min(least(&bosses[first], &arcs[other])));
                    chords[2].push(least(&bosses[first], &bosses[other]));
                }
            }
            for (axis, centre) in centres.iter().enumerate() {
                let centre = std::slice::from_ref(centre);
                for bar in 0..bars {
                    let chords = &mut axis_to_bar[axis * bars + bar];
                    chords[0].push(least(centre, &arcs[bar]));
                    chords[1].push(least(centre, &bosses[bar]));
                }
                for (other, far) in centres.iter().enumerate() {
                    axis_to_axis[axis * axes + other].push(chord(&centre[0], far));
                }
            }
        }
        Ok((bar_to_bar, axis_to_bar, axis_to_axis))
    }
}

fn least(first: &[PreparedCore], second: &[PreparedCore]) -> f64 {
    let mut least = f64::INFINITY;
    for a in first {
        for b in second {
            least = least.min(chord(a, b));
        }
    }
    least
}
