//! Free ways between the park configuration and work.
//!
//! The drives' whole range is divided into cells that are certainly clear, certainly
//! blocked or undecided. Two clear cells that share a side are joined; what is joined
//! with the cell of the park configuration can be reached from it through clear
//! configurations alone, and any straight line within one cell is clear.

use std::collections::BTreeMap;
use std::f64::consts::TAU;

use crate::kinematics::WorkingRange;
use crate::sphere::Region;

use super::clear::Surroundings;
use super::coverage::{CoverageCell, Mapper, Verdict};
use super::judge::Certainty;
use super::ordered::Ordered;
use super::piece_distance::Scratch;

/// Halvings after which a straight line counts as not proven clear.
const LINE_DEPTH: u32 = 12;

/// What can be reached from the park configuration.
#[derive(Debug, Clone, Copy)]
pub struct FreeWays {
    /// Covered area of the clear cells, sr.
    pub clear: f64,
    /// Covered area of the cells joined with the park configuration, sr.
    pub reachable: f64,
}

/// Nearest cells that are tried with a straight line where none shares a side.
const LINES_TRIED: usize = 24;

impl FreeWays {
    /// Whether every clear working configuration can be reached from the park
    /// configuration; cells not proven clear are not looked at.
    pub fn all_reachable(&self) -> bool {
        self.clear > 0.0 && self.reachable >= self.clear * (1.0 - 1e-12)
    }
}

impl Surroundings<'_> {
    /// Looks for free ways from a park configuration.
    ///
    /// # Arguments
    /// - `park`: mechanism angles, rad, in `whole`.
    /// - `whole`: the range the drives may use on the way, see
    ///   [`park_range`](super::park::park_range).
    /// - `working`, `region` (base frame): what is to be reached. The region's areas are
    ///   counted by mechanism angles: where the first angle runs over more than a turn, a
    ///   direction counts once for each of its configurations.
    /// - `travel_min`: as for [`Surroundings::remaining_coverage`].
    pub fn free_ways(
        &self,
        park: [f64; 2],
        whole: &WorkingRange,
        working: &WorkingRange,
        region: &Region,
        travel_min: f64,
    ) -> FreeWays {
        let mut mapper = Mapper::new(self, whole.second, working, region, travel_min, true);
        let first = whole.first.unwrap_or([0.0, TAU]);
        mapper.map(first);
        let cells: Vec<CoverageCell> = mapper
            .result
            .cells
            .into_iter()
            .filter(|cell| cell.verdict == Verdict::Clear)
            .collect();
        let wraps = whole.first.is_none();
        let park = [wrapped(park[0], wraps), park[1]];
        let mut doors = doors(&cells, wraps.then_some(first));
        let begin = self.nearest_by_line(&cells, park, |_| true);
        let flooded = |doors: &Doors| {
            let mut joined = vec![false; cells.len()];
            if let Some(begin) = begin {
                group_of(begin, doors, &mut joined);
            }
            joined
        };
        let mut joined = flooded(&doors);
        if self.bridge(&cells, &joined, &mut doors) {
            joined = flooded(&doors);
        }
        let area = |wanted: &dyn Fn(usize) -> bool| {
            cells
                .iter()
                .enumerate()
                .filter(|(index, _)| wanted(*index))
                .map(|(_, cell)| cell.area)
                .sum::<f64>()
        };
        FreeWays {
            clear: area(&|_| true),
            reachable: area(&|index| joined[index]),
        }
    }

    /// The clear cell that holds a place, or one of the nearest that a straight line
    /// proven clear joins with it.
    fn nearest_by_line(
        &self,
        cells: &[CoverageCell],
        place: [f64; 2],
        wanted: impl Fn(usize) -> bool,
    ) -> Option<usize> {
        let mut near: Vec<(Ordered, usize)> = cells
            .iter()
            .enumerate()
            .filter(|(index, _)| wanted(*index))
            .map(|(index, cell)| {
                let [first, second] = nearest_in(cell, place);
                (Ordered((first - place[0]).hypot(second - place[1])), index)
            })
            .collect();
        if near.len() > LINES_TRIED {
            near.select_nth_unstable(LINES_TRIED);
            near.truncate(LINES_TRIED);
        }
        near.sort_unstable();
        near.into_iter().find_map(|(distance, index)| {
            let enters = nearest_in(&cells[index], place);
            (distance.0 == 0.0 || self.line_is_clear(place, enters)).then_some(index)
        })
    }

    /// Joins groups of cells that share no side with what is joined already by straight
    /// lines proven clear: between them lies what is undecided, not blocked. Says whether
    /// any was.
    fn bridge(&self, cells: &[CoverageCell], joined: &[bool], doors: &mut Doors) -> bool {
        let mut done = joined.to_vec();
        let mut any = false;
        for start in 0..cells.len() {
            if done[start] {
                continue;
            }
            let group = group_of(start, doors, &mut done);
            if group.iter().all(|index| cells[*index].area <= 0.0) {
                continue;
            }
            // The largest cell stands for its group.
            let size = |index: &usize| Ordered(cells[*index].area);
            let Some(largest) = group.iter().copied().max_by_key(size) else {
                continue;
            };
            let middle = |range: [f64; 2]| 0.5 * (range[0] + range[1]);
            let place = [middle(cells[largest].first), middle(cells[largest].second)];
            let Some(other) = self.nearest_by_line(cells, place, |index| joined[index]) else {
                continue;
            };
            doors[largest].push(other);
            doors[other].push(largest);
            any = true;
        }
        any
    }

    /// Whether a straight line of mechanism angles is proven clear.
    fn line_is_clear(&self, from: [f64; 2], to: [f64; 2]) -> bool {
        let all: Vec<usize> = (0..self.pairs.len()).collect();
        self.part_is_clear(from, to, &all, 0, &mut Scratch::default())
    }

    fn part_is_clear(
        &self,
        from: [f64; 2],
        to: [f64; 2],
        asked: &[usize],
        depth: u32,
        scratch: &mut Scratch,
    ) -> bool {
        let sorted = |a: f64, b: f64| [a.min(b), a.max(b)];
        let Ok(row) = self.row(sorted(from[1], to[1])) else {
            return false;
        };
        let mut open = Vec::new();
        let first = sorted(from[0], to[0]);
        let judgement = self.judge(&row, first, asked, &mut open, scratch, |_, _| ());
        match judgement.certainty {
            Certainty::Clear => true,
            Certainty::Blocked => false,
            Certainty::Open if depth >= LINE_DEPTH => false,
            Certainty::Open => {
                let middle = [0.5 * (from[0] + to[0]), 0.5 * (from[1] + to[1])];
                self.part_is_clear(from, middle, &open, depth + 1, scratch)
                    && self.part_is_clear(middle, to, &open, depth + 1, scratch)
            }
        }
    }
}

fn wrapped(first: f64, wraps: bool) -> f64 {
    if wraps {
        crate::sphere::direction::wrap_positive(first)
    } else {
        first
    }
}

/// The place of a cell nearest to a place.
fn nearest_in(cell: &CoverageCell, place: [f64; 2]) -> [f64; 2] {
    [
        place[0].clamp(cell.first[0], cell.first[1]),
        place[1].clamp(cell.second[0], cell.second[1]),
    ]
}

/// The cells joined with each cell.
type Doors = Vec<Vec<usize>>;

/// All cells joined with one, marked as done.
fn group_of(start: usize, doors: &Doors, done: &mut [bool]) -> Vec<usize> {
    let mut group = vec![start];
    done[start] = true;
    let mut next = 0;
    while next < group.len() {
        for &other in &doors[group[next]] {
            if !done[other] {
                done[other] = true;
                group.push(other);
            }
        }
        next += 1;
    }
    group
}

/// Doors between cells that share a side. Their ends come from halving one rectangle, so
/// those that meet are equal to the last digit. `seam` are the first angles where a turn closes.
fn doors(cells: &[CoverageCell], seam: Option<[f64; 2]>) -> Doors {
    let mut doors: Doors = vec![Vec::new(); cells.len()];
    let mut begin_second: BTreeMap<u64, Vec<usize>> = BTreeMap::new();
    let mut begin_first: BTreeMap<u64, Vec<usize>> = BTreeMap::new();
    for (index, cell) in cells.iter().enumerate() {
        let (second, first) = (cell.second[0].to_bits(), cell.first[0].to_bits());
        begin_second.entry(second).or_default().push(index);
        begin_first.entry(first).or_default().push(index);
    }
    for list in begin_second.values_mut() {
        list.sort_by(|a, b| cells[*a].first[0].total_cmp(&cells[*b].first[0]));
    }
    for list in begin_first.values_mut() {
        list.sort_by(|a, b| cells[*a].second[0].total_cmp(&cells[*b].second[0]));
    }
    let overlapping =
        |list: Option<&Vec<usize>>, side: &dyn Fn(usize) -> [f64; 2], of: [f64; 2]| {
            let Some(list) = list else {
                return Vec::new();
            };
            let start = list.partition_point(|cell| side(*cell)[1] <= of[0]);
            list[start..]
                .iter()
                .copied()
                .take_while(|cell| side(*cell)[0] < of[1])
                .collect()
        };
    let mut open = |one: usize, others: Vec<usize>| {
        for other in others {
            doors[one].push(other);
            doors[other].push(one);
        }
    };
    for (index, cell) in cells.iter().enumerate() {
        let above = begin_second.get(&cell.second[1].to_bits());
        open(index, overlapping(above, &|c| cells[c].first, cell.first));
        let closes = seam.filter(|[_, end]| *end == cell.first[1]);
        let begins = closes.map_or(cell.first[1], |[start, _]| start);
        let beside = begin_first.get(&begins.to_bits());
        open(
            index,
            overlapping(beside, &|c| cells[c].second, cell.second),
        );
    }
    doors
}
