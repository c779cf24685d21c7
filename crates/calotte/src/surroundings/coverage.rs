//! The coverage that remains: which of the covered directions are clear, proven
//! between samples.
//!
//! The covered directions are a rectangle of mechanism angles, cut by the region. It
//! is halved until each cell is certainly clear, certainly blocked, or so small that
//! no point of a solid moves farther than a stated length within it; the area of such
//! cells is stated. Where every keep-out is the same all around the base axis, cells
//! span the whole turn and the work is that of one ring.

use std::collections::BTreeMap;
use std::f64::consts::TAU;

use crate::kinematics::WorkingRange;
use crate::kinematics::conditioning::coverage;
use crate::sphere::direction::wrap_positive;
use crate::sphere::quadrature::{pieces, smooth_piece};
use crate::sphere::{AzimuthSet, Direction, Region};

use super::clear::Surroundings;
use super::judge::{Certainty, Row};
use super::piece_distance::{Scratch, Window};

/// Travel within a cell below which it is not halved further, m: 0.5 mm.
pub const TRAVEL_MIN: f64 = 5e-4;

/// Halvings of the working range after which a row is not halved further.
const LEVEL_MAX: u32 = 30;

/// Width of first mechanism angles below which a cell is not halved further, rad.
const FIRST_MIN: f64 = 1e-6;

/// What is known of a cell, with the solid and the keep-out nearest in its middle.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Verdict {
    /// Every configuration is clear.
    Clear,
    /// No configuration is clear.
    Blocked {
        /// Index of the solid in the built parts.
        solid: usize,
        /// Index of the keep-out.
        keep_out: usize,
    },
    /// Too near to the allowance to tell.
    Undecided {
        /// Index of the solid in the built parts.
        solid: usize,
        /// Index of the keep-out.
        keep_out: usize,
    },
}

/// A range of configurations with one verdict.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CoverageCell {
    /// Second mechanism angle, rad.
    pub second: [f64; 2],
    /// First mechanism angle, rad, within [0, 2π].
    pub first: [f64; 2],
    /// Polar angle of the tool at the two ends of `second`, rad.
    pub polar: [f64; 2],
    /// Azimuth of the tool at the two ends of `first`, in the middle of `second`, rad.
    pub azimuth: [f64; 2],
    /// Its part of the covered region, sr; for a region of points 1.
    pub area: f64,
    /// What is known of it.
    pub verdict: Verdict,
}

/// The coverage that remains among keep-outs.
#[derive(Debug, Clone, PartialEq)]
pub struct RemainingCoverage {
    /// Required area, sr (or number of points).
    pub required: f64,
    /// Covered area without looking at keep-outs, sr (or number of points).
    pub covered: f64,
    /// Area certainly clear, sr (or number of points).
    pub clear: f64,
    /// Area that may be clear or not, the error of the integration included, sr.
    pub undecided: f64,
    /// Area each keep-out takes by itself, in the order of the keep-outs, sr; where
    /// several take the same directions, each of them counts them.
    pub taken: Vec<f64>,
    /// The cells, for drawing.
    pub cells: Vec<CoverageCell>,
}

impl RemainingCoverage {
    /// Least and greatest share of the required area that remains.
    pub fn fraction(&self) -> [f64; 2] {
        if self.required <= 0.0 {
            return [0.0, 0.0];
        }
        [
            (self.clear / self.required).clamp(0.0, 1.0),
            ((self.clear + self.undecided) / self.required).clamp(0.0, 1.0),
        ]
    }
}

/// A row with the part of the region in it: weights and first angles wanted.
struct MapRow {
    row: Row,
    nodes: Vec<(f64, AzimuthSet)>,
    polar: [f64; 2],
    /// Azimuth of the tool less the first mechanism angle, in the middle, rad.
    ahead: f64,
}

/// Work on one map.
pub(super) struct Mapper<'s, 'a> {
    surroundings: &'s Surroundings<'a>,
    /// Second mechanism angles that are mapped, rad.
    mapped: [f64; 2],
    range: &'s WorkingRange,
    region: &'s Region,
    breaks: Vec<f64>,
    travel_min: f64,
    /// Whether cells without a part of the region are mapped, too.
    everything: bool,
    rows: BTreeMap<(u32, u64), Option<MapRow>>,
    scratch: Scratch,
    pub(super) result: RemainingCoverage,
}

impl Surroundings<'_> {
    /// The coverage of a region (base frame) that remains in a working range.
    ///
    /// # Arguments
    /// - `travel_min`: cells within which no point of a solid moves farther are not
    ///   halved further, m; [`TRAVEL_MIN`] is a good choice.
    pub fn remaining_coverage(
        &self,
        range: &WorkingRange,
        region: &Region,
        travel_min: f64,
    ) -> RemainingCoverage {
        let mut mapper = Mapper::new(self, range.second, range, region, travel_min, false);
        if region.is_points() {
            mapper.points();
        } else {
            mapper.map([0.0, TAU]);
            let result = &mut mapper.result;
            let sum: f64 = result.cells.iter().map(|cell| cell.area).sum();
            result.undecided += (result.covered - sum).abs();
        }
        mapper.result
    }

    /// Azimuth of the tool less the first mechanism angle, rad.
    fn ahead(&self, second: f64) -> f64 {
        self.kinematics.meridian.state(second).azimuth_ahead()
    }
}

/// Nodes and weights of Gauss's rule with three points on (−1, 1).
const RULE_3: [(f64, f64); 3] = [
    (-0.774_596_669_241_483_4, 5.0 / 9.0),
    (0.0, 8.0 / 9.0),
    (0.774_596_669_241_483_4, 5.0 / 9.0),
];

/// A piece of a row narrower than this that touches no break is integrated by three points, rad.
const NARROW: f64 = 0.02;

impl<'s, 'a> Mapper<'s, 'a> {
    /// Prepares a map of the second angles `mapped`; areas are those of the region
    /// within the working range.
    pub(super) fn new(
        surroundings: &'s Surroundings<'a>,
        mapped: [f64; 2],
        range: &'s WorkingRange,
        region: &'s Region,
        travel_min: f64,
        everything: bool,
    ) -> Self {
        let kinematics = surroundings.kinematics;
        let before = coverage(kinematics, range, region);
        let mut breaks: Vec<f64> = region
            .polar_breaks()
            .into_iter()
            .filter_map(|polar| range.second_for_polar(&kinematics.meridian, polar))
            .collect();
        breaks.extend(range.second);
        Self {
            surroundings,
            mapped,
            range,
            region,
            breaks,
            travel_min: travel_min.max(1e-7),
            everything,
            rows: BTreeMap::new(),
            scratch: Scratch::default(),
            result: RemainingCoverage {
                required: before.required,
                covered: before.covered,
                clear: 0.0,
                undecided: 0.0,
                taken: vec![0.0; surroundings.obstacles.len()],
                cells: Vec::new(),
            },
        }
    }

    /// Gives everything between two first angles a verdict.
    pub(super) fn map(&mut self, first: [f64; 2]) {
        let all: Vec<usize> = (0..self.surroundings.pairs.len()).collect();
        self.settle((0, 0), first, &all);
    }

    /// Gives every part of a cell a verdict, halving it where none is certain.
    fn settle(&mut self, key: (u32, u64), first: [f64; 2], asked: &[usize]) {
        self.prepare(key);
        let Some(Some(row)) = self.rows.get(&key) else {
            return;
        };
        let area = row.area(first);
        if area <= 0.0 && !self.everything {
            return;
        }
        let mut open = Vec::new();
        let mut taking: Vec<usize> = Vec::new();
        let surroundings = self.surroundings;
        let judgement = surroundings.judge(
            &row.row,
            first,
            asked,
            &mut open,
            &mut self.scratch,
            |index, distance| {
                let keep_out = surroundings.pairs[index].keep_out;
                if distance.most < surroundings.allowance && !taking.contains(&keep_out) {
                    taking.push(keep_out);
                }
            },
        );
        let pair = judgement
            .nearest
            .map(|(index, _)| surroundings.pairs[index]);
        let solid = pair.map_or(0, |pair| surroundings.solids[pair.solid].index);
        let keep_out = pair.map_or(0, |pair| pair.keep_out);
        let [by_second, by_first] = judgement.travel;
        // At a singular end the travel has no bound; then rows are halved to the last level.
        let by_rows = by_first.is_nan() || by_second.is_nan() || by_second >= by_first;
        let verdict = match judgement.certainty {
            Certainty::Clear => Verdict::Clear,
            Certainty::Blocked => {
                for index in &open {
                    let other = surroundings.pairs[*index].keep_out;
                    if !taking.contains(&other)
                        && surroundings.takes_the_middle(&row.row, first, *index, &mut self.scratch)
                    {
                        taking.push(other);
                    }
                }
                Verdict::Blocked { solid, keep_out }
            }
            Certainty::Open
                if by_second + by_first <= self.travel_min
                    || (by_rows && key.0 >= LEVEL_MAX)
                    || first[1] - first[0] < FIRST_MIN =>
            {
                Verdict::Undecided { solid, keep_out }
            }
            Certainty::Open => {
                if by_rows {
                    for half in [2 * key.1, 2 * key.1 + 1] {
                        self.settle((key.0 + 1, half), first, &open);
                    }
                } else {
                    let middle = 0.5 * (first[0] + first[1]);
                    self.settle(key, [first[0], middle], &open);
                    self.settle(key, [middle, first[1]], &open);
                }
                return;
            }
        };
        let cell = CoverageCell {
            second: row.row.second,
            first,
            polar: row.polar,
            azimuth: [first[0] + row.ahead, first[1] + row.ahead],
            area,
            verdict,
        };
        self.book(cell, &taking);
    }

    fn book(&mut self, cell: CoverageCell, taking: &[usize]) {
        match cell.verdict {
            Verdict::Clear => self.result.clear += cell.area,
            Verdict::Undecided { .. } => self.result.undecided += cell.area,
            Verdict::Blocked { .. } => {
                for keep_out in taking {
                    self.result.taken[*keep_out] += cell.area;
                }
            }
        }
        self.result.cells.push(cell);
    }

    /// Row `key.1` of the 2^`key.0` rows of a level.
    fn prepare(&mut self, key: (u32, u64)) {
        if self.rows.contains_key(&key) {
            return;
        }
        let [from, to] = self.mapped;
        let rows = (1u64 << key.0) as f64;
        let at = |index: u64| from + (to - from) * (index as f64 / rows);
        let second = [at(key.1), at(key.1 + 1)];
        let row = self.surroundings.row(second).ok().map(|row| {
            let meridian = &self.surroundings.kinematics.meridian;
            let polar = second.map(|s| meridian.state(s).polar_angle());
            MapRow {
                row,
                nodes: self.nodes(second),
                polar,
                ahead: self.surroundings.ahead(0.5 * (second[0] + second[1])),
            }
        });
        self.rows.insert(key, row);
    }

    /// Weights (area per first angle) and wanted first angles at the points of a rule.
    fn nodes(&self, second: [f64; 2]) -> Vec<(f64, AzimuthSet)> {
        let mut nodes = Vec::new();
        if self.region.is_points() {
            return nodes;
        }
        let within = self.range.second;
        let node = |x: f64, weight: f64| {
            let meridian = &self.surroundings.kinematics.meridian;
            let state = meridian.state(x);
            let polar = state.polar_angle();
            let wanted = self
                .region
                .azimuths_at(polar)
                .intersection(&self.range.azimuths(meridian, x))
                .turned(-self.surroundings.ahead(x));
            (weight * polar.sin() * state.polar.first.abs(), wanted)
        };
        for [lo, hi] in pieces(second[0], second[1], &self.breaks) {
            if lo < within[0] || hi > within[1] {
                continue;
            }
            let whole = lo == second[0] && hi == second[1];
            if whole && hi - lo < NARROW {
                let (middle, half) = (0.5 * (lo + hi), 0.5 * (hi - lo));
                nodes.extend(RULE_3.map(|(x, weight)| node(middle + half * x, weight * half)));
            } else {
                nodes.extend(smooth_piece(lo, hi).map(|(x, weight)| node(x, weight)));
            }
        }
        nodes.retain(|(weight, wanted)| *weight > 0.0 && !wanted.is_empty());
        nodes
    }

    /// A region of single directions: each by itself.
    fn points(&mut self) {
        let surroundings = self.surroundings;
        let meridian = &surroundings.kinematics.meridian;
        for point in self.region.points() {
            let direction = Direction::of(&point);
            let Some(second) = self.range.second_for_polar(meridian, direction.polar) else {
                continue;
            };
            let reached = self.range.azimuths(meridian, second);
            if !reached.contains(direction.azimuth) {
                continue;
            }
            let ahead = surroundings.ahead(second);
            let first = wrap_positive(direction.azimuth - ahead);
            let Ok(posture) = surroundings.posture(second) else {
                continue;
            };
            let mut taking = Vec::new();
            let mut nearest: Option<(f64, usize, usize)> = None;
            for pair in &surroundings.pairs {
                let enough = surroundings.allowance;
                let window = Window::below(enough);
                let distance =
                    surroundings.pair_distance(pair, &posture, first, window, &mut self.scratch);
                if distance < enough {
                    if !taking.contains(&pair.keep_out) {
                        taking.push(pair.keep_out);
                    }
                    if nearest.is_none_or(|(least, ..)| distance < least) {
                        let solid = surroundings.solids[pair.solid].index;
                        nearest = Some((distance, solid, pair.keep_out));
                    }
                }
            }
            let cell = CoverageCell {
                second: [second; 2],
                first: [first; 2],
                polar: [direction.polar; 2],
                azimuth: [direction.azimuth; 2],
                area: 1.0,
                verdict: nearest.map_or(Verdict::Clear, |(_, solid, keep_out)| Verdict::Blocked {
                    solid,
                    keep_out,
                }),
            };
            self.book(cell, &taking);
        }
    }
}

impl MapRow {
    /// Area of the covered region between two first angles, sr.
    fn area(&self, [from, to]: [f64; 2]) -> f64 {
        // First angles beyond a turn mean the same directions a turn on.
        let turns = (from / TAU).floor() as i64..=(to / TAU).floor() as i64;
        self.nodes
            .iter()
            .map(|(weight, wanted)| {
                let mut width = 0.0;
                for turn in turns.clone() {
                    let ahead = TAU * turn as f64;
                    for [lo, hi] in wanted.intervals() {
                        width += ((hi + ahead).min(to) - (lo + ahead).max(from)).max(0.0);
                    }
                }
                weight * width
            })
            .sum()
    }
}
