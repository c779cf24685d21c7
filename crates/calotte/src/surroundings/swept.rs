//! The room the motion takes: extents of everything that moves over a working range,
//! and the volume it sweeps.
//!
//! Extents are found by halving ranges of configurations: no point moves farther from
//! the middle than a known length. The swept volume is a sum over shells about the
//! remote centre: on each, a solid that turns about the base axis sweeps the azimuths it
//! takes at a polar angle, widened by the range of the first angle.

use std::collections::btree_map::Entry;
use std::collections::{BTreeMap, BinaryHeap};
use std::f64::consts::{PI, TAU};

use nalgebra::Vector3;

use crate::kinematics::{KinematicsError, WorkingRange};
use crate::sphere::direction::rotation_about;
use crate::sphere::quadrature::rule_12;
use crate::sphere::{AzimuthSet, Region};

use super::clear::Surroundings;
use super::judge::Row;
use super::motion::base_axis;
use super::ordered::Ordered;
use super::piece_shape::PieceShape;

/// Extents are never below the true ones and at most this above, m: 0.5 mm.
pub const EXTENT_BOUND: f64 = 5e-4;

/// The room a design takes over a working range.
#[derive(Debug, Clone, PartialEq)]
pub struct SweptRoom {
    /// Greatest distance of any moving point from the remote centre, m; exact.
    pub outer_radius: f64,
    /// Greatest distance from the base axis, m; within [`EXTENT_BOUND`], not below.
    pub axis_radius: f64,
    /// Least corner of the box along the world's axes, m; z is the lowest height.
    pub low: Vector3<f64>,
    /// Greatest corner, m; z is the greatest height. The box holds the sweep and
    /// exceeds it by at most [`EXTENT_BOUND`] on each side.
    pub high: Vector3<f64>,
    /// Least and greatest the swept volume can be, m³.
    pub volume: [f64; 2],
}

impl Surroundings<'_> {
    /// The room everything that moves takes over a working range, holes and voids
    /// taken as filled.
    ///
    /// # Errors
    /// [`KinematicsError`] where the bars do not close within the range.
    pub fn swept_room(&self, range: &WorkingRange) -> Result<SweptRoom, KinematicsError> {
        let firsts = range.first.filter(|[from, to]| to - from < TAU);
        let bands = self.bands(range)?;
        let extent = |along: &Vector3<f64>| match firsts {
            None => Ok(extent_all_around(&bands, along)),
            Some(firsts) => self.extent(range, firsts, along),
        };
        let mut corners = [Vector3::zeros(), Vector3::zeros()];
        for axis in 0..3 {
            for (corner, side) in corners.iter_mut().zip([-1.0, 1.0]) {
                let mut along = Vector3::zeros();
                along[axis] = side;
                let base = self.world_from_base.transpose() * along;
                corner[axis] = self.centre[axis] + side * extent(&base)?;
            }
        }
        let outer_radius = self
            .solids
            .iter()
            .filter(|solid| solid.body != 0)
            .map(|solid| solid.reach)
            .fold(0.0, f64::max);
        let shells = self.shells();
        Ok(SweptRoom {
            outer_radius,
            axis_radius: extent_all_around(&bands, &Vector3::x()),
            low: corners[0],
            high: corners[1],
            volume: match firsts {
                None => volume_all_around(&bands, &shells),
                Some(firsts) => self.volume_of_part_turn(range, firsts, &shells)?,
            },
        })
    }

    /// Greatest extent along a direction of the base frame, from the remote centre, m:
    /// the part of the configurations with the greatest bound is halved until no bound
    /// exceeds what was found by more than [`EXTENT_BOUND`].
    fn extent(
        &self,
        range: &WorkingRange,
        firsts: [f64; 2],
        along: &Vector3<f64>,
    ) -> Result<f64, KinematicsError> {
        let mut search = ExtentSearch {
            surroundings: self,
            along: *along,
            sideways: along.cross(&base_axis()).norm(),
            rows: BTreeMap::new(),
            queue: BinaryHeap::new(),
            parts: Vec::new(),
            found: f64::NEG_INFINITY,
            certain: f64::NEG_INFINITY,
        };
        let [from, to] = range.second;
        let middle = 0.5 * (from + to);
        for (solid, moving) in self.solids.iter().enumerate() {
            if moving.body == 0 {
                continue;
            }
            let mut part = Part {
                solid,
                second: range.second,
                first: firsts,
            };
            if moving.turns_with_base {
                // The second angle, too, turns it about the base axis: one turn in all.
                let turn = search.row(range.second)?.rate(moving.body) * 0.5 * (to - from);
                part.second = [middle, middle];
                part.first = [part.first[0] - turn, part.first[1] + turn];
            }
            if search.sideways < 1e-12 {
                part.first = [0.0, 0.0];
            }
            search.look(part)?;
        }
        search.run()
    }

    fn extent_of(&self, row: &Row, solid: usize, along: &Vector3<f64>) -> f64 {
        let solid = &self.solids[solid];
        let seen = row.rotation(solid.body).inverse() * along;
        solid
            .pieces
            .iter()
            .map(|piece| -piece.least_along(&-seen))
            .fold(f64::NEG_INFINITY, f64::max)
    }

    /// Radii between which the same pieces are met, m.
    fn shells(&self) -> Vec<[f64; 2]> {
        let mut radii: Vec<f64> = self
            .moving_pieces()
            .flat_map(|(_, piece)| piece.radii())
            .collect();
        radii.sort_by(f64::total_cmp);
        radii.dedup_by(|a, b| (*a - *b).abs() < 1e-12);
        radii.windows(2).map(|pair| [pair[0], pair[1]]).collect()
    }

    fn moving_pieces(&self) -> impl Iterator<Item = (usize, &PieceShape)> {
        self.solids
            .iter()
            .filter(|solid| solid.body != 0)
            .flat_map(|solid| solid.pieces.iter().map(|piece| (solid.body, piece)))
    }

    /// For every moving piece the polar angles its core sweeps: surely and at most.
    fn bands(&self, range: &WorkingRange) -> Result<Vec<Band>, KinematicsError> {
        const TOLERANCE: f64 = 5e-4;
        const SEEDS: usize = 64;
        let pieces: Vec<(usize, &PieceShape)> = self.moving_pieces().collect();
        let turns_with_base: Vec<bool> = self
            .solids
            .iter()
            .filter(|solid| solid.body != 0)
            .flat_map(|solid| solid.pieces.iter().map(|_| solid.turns_with_base))
            .collect();
        let mut bands: Vec<Band> = pieces
            .iter()
            .map(|(_, piece)| Band {
                piece: **piece,
                sure: [f64::INFINITY, f64::NEG_INFINITY],
                most: [f64::INFINITY, f64::NEG_INFINITY],
            })
            .collect();
        let [from, to] = range.second;
        for seed in 0..=SEEDS {
            let posture = self.posture(from + (to - from) * seed as f64 / SEEDS as f64)?;
            for (band, (body, piece)) in bands.iter_mut().zip(&pieces) {
                let axis = posture.rotations[*body].inverse() * base_axis();
                let [lo, hi] = piece.core_polar_range(&axis);
                band.sure = [band.sure[0].min(lo), band.sure[1].max(hi)];
            }
        }
        let mut stack = vec![range.second];
        while let Some(second) = stack.pop() {
            let row = self.row(second)?;
            let half = 0.5 * (second[1] - second[0]);
            let mut halve = false;
            let mut grown = Vec::with_capacity(bands.len());
            for ((band, (body, piece)), with_base) in
                bands.iter_mut().zip(&pieces).zip(&turns_with_base)
            {
                let axis = row.rotation(*body).inverse() * base_axis();
                let [lo, hi] = piece.core_polar_range(&axis);
                band.sure = [band.sure[0].min(lo), band.sure[1].max(hi)];
                // Turning about the base axis changes no angle from it.
                let turn = if *with_base || row.rate(*body) == 0.0 {
                    0.0
                } else {
                    (row.rate(*body) * half).min(PI)
                };
                halve |= lo - turn < band.sure[0] - TOLERANCE;
                halve |= hi + turn > band.sure[1] + TOLERANCE;
                grown.push([lo - turn, hi + turn]);
            }
            if halve && half > 1e-9 {
                let middle = 0.5 * (second[0] + second[1]);
                stack.push([second[0], middle]);
                stack.push([middle, second[1]]);
            } else {
                for (band, [lo, hi]) in bands.iter_mut().zip(grown) {
                    band.most = [band.most[0].min(lo), band.most[1].max(hi)];
                }
            }
        }
        Ok(bands)
    }

    /// Volume where the first angle does not run all around: on rows of polar angle the
    /// azimuths taken, once with everything narrowed and once widened by half a row.
    fn volume_of_part_turn(
        &self,
        range: &WorkingRange,
        [from, to]: [f64; 2],
        shells: &[[f64; 2]],
    ) -> Result<[f64; 2], KinematicsError> {
        const ROWS: usize = 360;
        let half_row = 0.5 * PI / ROWS as f64;
        let pieces: Vec<(usize, &PieceShape)> = self.moving_pieces().collect();
        // Azimuths by shell, row and side (surely, at most).
        let mut taken = vec![[AzimuthSet::empty(), AzimuthSet::empty()]; shells.len() * ROWS];
        let mut stack = vec![range.second];
        while let Some(second) = stack.pop() {
            let row = self.row(second)?;
            let half = 0.5 * (second[1] - second[0]);
            let turn = |body: usize| {
                if row.rate(body) == 0.0 {
                    0.0
                } else {
                    row.rate(body) * half
                }
            };
            let too_far = pieces.iter().any(|(body, _)| turn(*body) > half_row);
            if too_far && half > 1e-9 {
                let middle = 0.5 * (second[0] + second[1]);
                stack.push([second[0], middle]);
                stack.push([middle, second[1]]);
                continue;
            }
            for (body, piece) in &pieces {
                let turned = piece.turned(row.rotation(*body).matrix());
                let [lo, hi] = turned.core_polar_range(&base_axis());
                for (shell, [inner, outer]) in shells.iter().enumerate() {
                    let (Some(a), Some(b)) = (
                        turned.spread_at(inner * (1.0 + 1e-12)),
                        turned.spread_at(outer * (1.0 - 1e-12)),
                    ) else {
                        continue;
                    };
                    let bulge = turned.spread_at(0.5 * (inner + outer)).unwrap_or(0.0);
                    let least = a.min(b) - half_row;
                    let most = a.max(b).max(bulge) + half_row + turn(*body);
                    let first_row =
                        ((lo - most) / (2.0 * half_row) - 0.5).floor().max(0.0) as usize;
                    let last_row = ((hi + most) / (2.0 * half_row) + 0.5).ceil().max(0.0) as usize;
                    for line in first_row..last_row.min(ROWS) {
                        let polar = (2 * line + 1) as f64 * half_row;
                        let cell = &mut taken[shell * ROWS + line];
                        for (set, spread) in cell.iter_mut().zip([least, most]) {
                            let azimuths = azimuths_of(&turned, spread, polar);
                            add_swept(set, &azimuths, from, to);
                        }
                    }
                }
            }
        }
        let mut volume = [0.0, 0.0];
        for (shell, [inner, outer]) in shells.iter().enumerate() {
            let thickness = (outer.powi(3) - inner.powi(3)) / 3.0;
            for line in 0..ROWS {
                let (upper, lower) = (
                    2.0 * line as f64 * half_row,
                    2.0 * (line + 1) as f64 * half_row,
                );
                let zone = thickness * (upper.cos() - lower.cos());
                for (sum, set) in volume.iter_mut().zip(&taken[shell * ROWS + line]) {
                    *sum += zone * set.measure();
                }
            }
        }
        Ok(volume)
    }
}

/// A solid in a range of configurations.
#[derive(Debug, Clone, Copy)]
struct Part {
    solid: usize,
    second: [f64; 2],
    first: [f64; 2],
}

/// Search for the greatest extent along a direction.
struct ExtentSearch<'s, 'a> {
    surroundings: &'s Surroundings<'a>,
    along: Vector3<f64>,
    /// Part of the direction across the base axis.
    sideways: f64,
    rows: BTreeMap<[u64; 2], Row>,
    /// Bounds of the parts left, by index, with the travel by second and first angle.
    queue: BinaryHeap<(Ordered, usize, [Ordered; 2])>,
    parts: Vec<Part>,
    found: f64,
    certain: f64,
}

impl ExtentSearch<'_, '_> {
    fn row(&mut self, second: [f64; 2]) -> Result<&Row, KinematicsError> {
        let key = second.map(f64::to_bits);
        if let Entry::Vacant(entry) = self.rows.entry(key) {
            entry.insert(self.surroundings.row(second)?);
        }
        Ok(&self.rows[&key])
    }

    fn look(&mut self, part: Part) -> Result<(), KinematicsError> {
        let surroundings = self.surroundings;
        let half = |range: [f64; 2]| 0.5 * (range[1] - range[0]);
        let middle = 0.5 * (part.first[0] + part.first[1]);
        // Turning the linkage on is turning the direction back.
        let seen = rotation_about(&base_axis(), -middle) * self.along;
        let sideways = self.sideways;
        let row = self.row(part.second)?;
        let extent = surroundings.extent_of(row, part.solid, &seen);
        let [by_second, by_first] =
            surroundings.row_travel(row, part.solid, half(part.second), half(part.first));
        let by_first = by_first * sideways;
        self.found = self.found.max(extent);
        let bound = extent + by_second + by_first;
        if bound <= self.found + EXTENT_BOUND {
            self.certain = self.certain.max(bound);
        } else {
            let index = self.parts.len();
            self.parts.push(part);
            let travel = [Ordered(by_second), Ordered(by_first)];
            self.queue.push((Ordered(bound), index, travel));
        }
        Ok(())
    }

    fn run(&mut self) -> Result<f64, KinematicsError> {
        while let Some((bound, index, [by_second, by_first])) = self.queue.pop() {
            if bound.0 <= self.found + EXTENT_BOUND {
                self.certain = self.certain.max(bound.0);
                break;
            }
            let part = self.parts[index];
            let halves = |[from, to]: [f64; 2]| {
                let middle = 0.5 * (from + to);
                [[from, middle], [middle, to]]
            };
            if by_second >= by_first {
                for second in halves(part.second) {
                    self.look(Part { second, ..part })?;
                }
            } else {
                for first in halves(part.first) {
                    self.look(Part { first, ..part })?;
                }
            }
        }
        Ok(self.certain.max(self.found))
    }
}

/// A piece with the polar angles its core sweeps.
struct Band {
    piece: PieceShape,
    sure: [f64; 2],
    most: [f64; 2],
}

/// Greatest extent along a direction of the base frame of everything turned all around the
/// base axis, m: at a radius it depends on the polar angle alone, r·cos(θ − θ_along), and
/// along a straight side it has no greatest value between the faces.
fn extent_all_around(bands: &[Band], along: &Vector3<f64>) -> f64 {
    let along = crate::sphere::arc_between(along, &base_axis());
    let of = |band: &Band| {
        let beyond = |spread: f64| {
            let [lo, hi] = [band.most[0] - spread, band.most[1] + spread];
            (lo - along).max(along - hi).clamp(0.0, PI)
        };
        band.piece
            .rims()
            .into_iter()
            .map(|(radius, spread, inflate)| radius * beyond(spread).cos() + inflate)
            .fold(f64::NEG_INFINITY, f64::max)
    };
    bands.iter().map(of).fold(f64::NEG_INFINITY, f64::max)
}

/// Least and greatest the volume swept all around can be, m³: the integral of
/// 2π r² ∫ sin θ dθ over the shells.
fn volume_all_around(bands: &[Band], shells: &[[f64; 2]]) -> [f64; 2] {
    let mut volume = [0.0, 0.0];
    for [inner, outer] in shells {
        for (x, weight) in rule_12() {
            let r = 0.5 * (inner + outer) + 0.5 * (outer - inner) * x;
            let weight = 0.5 * (outer - inner) * weight * r * r * TAU;
            for (side, sum) in volume.iter_mut().enumerate() {
                *sum += weight * zone_of(bands, r, side);
            }
        }
    }
    // The rule on each shell is exact but where bands begin to overlap.
    let bound = 1e-4 * volume[1];
    [volume[0] - bound, volume[1] + bound]
}

/// ∫ sin θ dθ over the polar angles that some band takes at a radius; side 0 surely, 1 at most.
fn zone_of(bands: &[Band], radius: f64, side: usize) -> f64 {
    let mut spans: Vec<[f64; 2]> = bands
        .iter()
        .filter_map(|band| {
            let spread = band.piece.spread_at(radius)?;
            let [lo, hi] = if side == 0 { band.sure } else { band.most };
            Some([(lo - spread).max(0.0), (hi + spread).min(PI)])
        })
        .collect();
    spans.sort_by(|a, b| a[0].total_cmp(&b[0]));
    let (mut sum, mut end) = (0.0, 0.0);
    for [lo, hi] in spans {
        let lo = lo.max(end);
        if hi > lo {
            sum += lo.cos() - hi.cos();
            end = hi;
        }
    }
    sum
}

/// Azimuths at a polar angle within an angle of a piece's core.
fn azimuths_of(piece: &PieceShape, spread: f64, polar: f64) -> AzimuthSet {
    if spread <= 0.0 {
        return AzimuthSet::empty();
    }
    let spread = spread.min(PI);
    let cap =
        |axis: Vector3<f64>, half_angle: f64| Region::cap(axis, half_angle).azimuths_at(polar);
    let [from, to] = piece.core_ends();
    let mut set = cap(from, spread);
    let Some(normal) = piece.core_normal() else {
        return set;
    };
    set = union(&set, &cap(to, spread));
    if spread >= 0.5 * PI {
        return AzimuthSet::full();
    }
    let band = cap(normal, 0.5 * PI + spread).difference(&cap(normal, 0.5 * PI - spread));
    let between =
        cap(normal.cross(&from), 0.5 * PI).intersection(&cap(to.cross(&normal), 0.5 * PI));
    // An arc shorter than a half turn lies on its middle's side.
    let side = cap((from + to).normalize(), 0.5 * PI);
    union(&set, &band.intersection(&between).intersection(&side))
}

fn union(first: &AzimuthSet, second: &AzimuthSet) -> AzimuthSet {
    first.complement().difference(second).complement()
}

/// Adds azimuths turned through every first angle from `from` to `to`.
fn add_swept(set: &mut AzimuthSet, azimuths: &AzimuthSet, from: f64, to: f64) {
    for [lo, hi] in azimuths.merged() {
        *set = union(set, &AzimuthSet::between(lo + from, hi + to));
    }
}

/// World from base, for callers that draw the sweep.
impl Surroundings<'_> {}
