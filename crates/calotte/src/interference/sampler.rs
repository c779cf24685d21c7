//! Places the cores at a configuration and bounds the speeds between configurations.

use nalgebra::Rotation3;

use super::cores::{PreparedCore, chord};
use super::motion::{Closure, RateBounds};
use super::prepared::Clearing;
use crate::family::meridian::MeridianState;

/// Width of the pieces a walk starts from, rad; wider ones decide nothing.
const START_WIDTH: f64 = 0.15;

/// Work space of one walk over a range.
pub(super) struct Sampler<'c> {
    clearing: &'c Clearing<'c>,
    rotations: Vec<Rotation3<f64>>,
    /// Cores in the base frame with the placing they belong to.
    placed: Vec<(usize, PreparedCore)>,
    /// Chords with the placing they belong to.
    chords: Vec<(usize, f64)>,
    placing: usize,
    bounds: RateBounds,
    /// Bounds of the couples' speeds, one block for each level of the walk.
    speeds: Vec<f64>,
    pub(super) evaluations: usize,
}

/// Where in the list of bounds the speeds over a piece stand.
#[derive(Debug, Clone, Copy)]
pub(super) struct Speeds {
    pub(super) closure: Closure,
    /// Whether they are near enough to serve all parts of the piece.
    pub(super) tight: bool,
    block: usize,
    next: usize,
}

impl<'c> Sampler<'c> {
    pub(super) fn new(clearing: &'c Clearing<'c>) -> Self {
        let pairs = &clearing.pairs;
        Self {
            rotations: Vec::new(),
            placed: pairs.cores.iter().map(|core| (0, core.core)).collect(),
            chords: vec![(0, 0.0); pairs.betweens.len()],
            placing: 0,
            clearing,
            bounds: RateBounds::default(),
            speeds: Vec::new(),
            evaluations: 0,
        }
    }

    /// Turns all bodies to a configuration; `false` where the linkage does not close.
    pub(super) fn place(&mut self, second: f64) -> bool {
        let state = self.clearing.kinematics.meridian.state(second);
        if state.breaks {
            return false;
        }
        self.place_at(&state, second);
        true
    }

    /// Turns all bodies to a configuration in which the linkage closes.
    pub(super) fn place_closed(&mut self, second: f64) {
        let state = self.clearing.kinematics.meridian.state(second);
        self.place_at(&state, second);
    }

    fn place_at(&mut self, state: &MeridianState<f64>, second: f64) {
        self.evaluations += 1;
        self.placing += 1;
        let kinematics = self.clearing.kinematics;
        let configuration = kinematics.configuration(state, [0.0, second]);
        self.rotations = configuration.rotations;
    }

    fn placed(&mut self, index: usize) -> PreparedCore {
        let (placing, core) = &mut self.placed[index];
        if *placing != self.placing {
            let fixed = &self.clearing.pairs.cores[index];
            *core = fixed.core.turned(&self.rotations[fixed.body]);
            *placing = self.placing;
        }
        *core
    }

    /// Chord between two cores as placed.
    pub(super) fn chord(&mut self, between: usize) -> f64 {
        if self.chords[between].0 != self.placing {
            let [first, second] = self.clearing.pairs.betweens[between].cores;
            let (first, second) = (self.placed(first), self.placed(second));
            self.chords[between] = (self.placing, chord(&first, &second));
        }
        self.chords[between].1
    }

    /// Bounds of the speeds over a piece, within a piece whose bounds are known.
    pub(super) fn speeds(&mut self, lo: f64, hi: f64, within: Option<Speeds>) -> Speeds {
        if let Some(known) = within
            && known.tight
        {
            return known;
        }
        let Clearing {
            kinematics, pairs, ..
        } = self.clearing;
        let start = within.map_or(0, |known| known.next);
        let closure = self
            .bounds
            .evaluate(&kinematics.linkage, &kinematics.meridian, [lo, hi]);
        self.speeds.truncate(start);
        if closure == Closure::Everywhere {
            for couple in &pairs.couples {
                let speed = self.bounds.relative_speed(*couple, 0.5 * (hi - lo));
                self.speeds.push(speed);
            }
        }
        Speeds {
            closure,
            tight: closure == Closure::Everywhere && self.bounds.tight(0.5 * (hi - lo)),
            block: start,
            next: self.speeds.len(),
        }
    }

    /// Greatest rate at which the chord between two cores can change: the least relative
    /// angular speed of any two bodies that hold them.
    pub(super) fn speed(&self, speeds: Speeds, between: usize) -> f64 {
        let pairs = &self.clearing.pairs;
        let couples = &pairs.couple_lists[pairs.betweens[between].couples.clone()];
        if couples.is_empty() {
            return 0.0;
        }
        if speeds.closure != Closure::Everywhere {
            return f64::INFINITY;
        }
        let all = &self.speeds[speeds.block..];
        couples
            .iter()
            .map(|couple| all[*couple])
            .fold(f64::INFINITY, f64::min)
    }
}

/// Cuts a range into pieces to start from, from its first end to the other.
pub(super) fn starting_pieces(from: f64, to: f64) -> impl Iterator<Item = [f64; 2]> {
    let count = ((to - from).abs() / START_WIDTH).ceil().max(1.0) as usize;
    let at = move |i: usize| {
        if i == count {
            to
        } else {
            from + (to - from) * i as f64 / count as f64
        }
    };
    (0..count).map(move |i| [at(i), at(i + 1)])
}
