//! Free ways between the park configuration and work.
//!
//! The drives' whole range is divided into cells that are certainly clear, certainly
//! blocked or undecided. Two clear cells that share a side are joined; what is joined
//! with the cell of the park configuration can be reached from it through clear
//! configurations alone, and any straight line within one cell is clear.

use std::cmp::Reverse;
use std::collections::{BTreeMap, BinaryHeap};
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
#[derive(Debug, Clone)]
pub struct FreeWays {
    /// The clear cells of the drives' range; those with an area hold covered directions.
    pub cells: Vec<CoverageCell>,
    /// Whether each of them is joined with the park configuration.
    pub joined: Vec<bool>,
    /// Covered area of the clear cells, sr.
    pub clear: f64,
    /// Covered area of the cells joined with the park configuration, sr.
    pub reachable: f64,
    park: [f64; 2],
    /// For each cell the one before on the shortest way, and the place where they meet.
    before: Vec<Option<(usize, [f64; 2])>>,
    wraps: bool,
}

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
        let doors = doors(&cells, wraps.then_some(first));
        let (joined, before) = flood(&cells, &doors, park);
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
            cells,
            joined,
            park,
            before,
            wraps,
        }
    }

    /// A way from the park configuration to mechanism angles, rad: a list of
    /// configurations between which straight lines are proven clear; `None` if they are
    /// not in a clear cell that is joined with it. Short, not always the shortest: the
    /// shortest through the cells, then straightened.
    pub fn way_to(&self, ways: &FreeWays, target: [f64; 2]) -> Option<Vec<[f64; 2]>> {
        let mut target = [wrapped(target[0], ways.wraps), target[1]];
        let mut cell = ways
            .cells
            .iter()
            .zip(&ways.joined)
            .position(|(cell, joined)| *joined && holds(cell, target))?;
        let mut way = vec![target];
        while let Some((before, door)) = ways.before[cell] {
            // A door at the seam of a full turn is met a turn on.
            let turns = ((target[0] - door[0]) / TAU).round();
            let at = if ways.wraps {
                [door[0] + TAU * turns, door[1]]
            } else {
                door
            };
            way.push(at);
            target = at;
            cell = before;
        }
        let turns = if ways.wraps {
            ((target[0] - ways.park[0]) / TAU).round()
        } else {
            0.0
        };
        way.push([ways.park[0] + TAU * turns, ways.park[1]]);
        way.reverse();
        // Begin where the park configuration was given.
        for point in &mut way {
            point[0] -= TAU * turns;
        }
        Some(self.straightened(way))
    }

    /// Leaves out configurations that a straight line proven clear can skip.
    fn straightened(&self, way: Vec<[f64; 2]>) -> Vec<[f64; 2]> {
        let mut kept = vec![way[0]];
        let mut here = 0;
        while here + 1 < way.len() {
            let mut next = here + 1;
            let mut stride = (way.len() - 1 - here).next_power_of_two();
            while stride > 0 {
                let further = next + stride;
                if further < way.len() && self.line_is_clear(way[here], way[further]) {
                    next = further;
                }
                stride /= 2;
            }
            kept.push(way[next]);
            here = next;
        }
        kept
    }

    /// Whether a straight line of mechanism angles is proven clear.
    pub fn line_is_clear(&self, from: [f64; 2], to: [f64; 2]) -> bool {
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

fn holds(cell: &CoverageCell, point: [f64; 2]) -> bool {
    let within = |range: [f64; 2], x: f64| range[0] <= x && x <= range[1];
    within(cell.first, point[0]) && within(cell.second, point[1])
}

/// Neighbours of each cell with the middle of the side they share.
type Doors = Vec<Vec<(usize, [f64; 2])>>;

/// Cells that share a side. Their ends come from halving one rectangle, so those that
/// meet are equal to the last digit. `seam` are the first angles where a turn closes.
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
                .take_while(|cell| side(**cell)[0] < of[1])
                .map(|cell| {
                    let [lo, hi] = side(*cell);
                    (*cell, 0.5 * (lo.max(of[0]) + hi.min(of[1])))
                })
                .collect()
        };
    for (index, cell) in cells.iter().enumerate() {
        let above = begin_second.get(&cell.second[1].to_bits());
        for (other, first) in overlapping(above, &|c| cells[c].first, cell.first) {
            let door = [first, cell.second[1]];
            doors[index].push((other, door));
            doors[other].push((index, door));
        }
        let closes = seam.filter(|[_, end]| *end == cell.first[1]);
        let begins = closes.map_or(cell.first[1], |[start, _]| start);
        let beside = begin_first.get(&begins.to_bits());
        for (other, second) in overlapping(beside, &|c| cells[c].second, cell.second) {
            let door = [cell.first[1], second];
            doors[index].push((other, door));
            doors[other].push((index, door));
        }
    }
    doors
}

/// Shortest ways from the cell of a place, door to door (Dijkstra).
fn flood(
    cells: &[CoverageCell],
    doors: &Doors,
    start: [f64; 2],
) -> (Vec<bool>, Vec<Option<(usize, [f64; 2])>>) {
    let mut length = vec![f64::INFINITY; cells.len()];
    let mut entered = vec![start; cells.len()];
    let mut before = vec![None; cells.len()];
    let mut settled = vec![false; cells.len()];
    let mut queue = BinaryHeap::new();
    for (index, cell) in cells.iter().enumerate() {
        if holds(cell, start) {
            length[index] = 0.0;
            queue.push(Reverse((Ordered(0.0), index)));
        }
    }
    while let Some(Reverse((Ordered(here), index))) = queue.pop() {
        if settled[index] {
            continue;
        }
        settled[index] = true;
        for (other, door) in &doors[index] {
            let from = entered[index];
            // Within a cell no way is longer than its own width, seam or not.
            let sideways = (door[0] - from[0]).abs();
            let sideways = sideways.min((TAU - sideways).abs());
            let next = here + sideways.hypot(door[1] - from[1]);
            if next < length[*other] {
                length[*other] = next;
                entered[*other] = *door;
                before[*other] = Some((index, *door));
                queue.push(Reverse((Ordered(next), *other)));
            }
        }
    }
    (settled, before)
}
