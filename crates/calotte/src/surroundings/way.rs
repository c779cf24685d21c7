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
    /// Turns by which the park configuration was given beyond the first, rad.
    turns: f64,
    /// For each cell the step into it on the shortest way; `None` where the way begins.
    before: Vec<Option<Step>>,
    /// The cell in which ways begin, if there is one, and where they enter it.
    begin: Option<(usize, [f64; 2])>,
    wraps: bool,
}

/// A step from one cell to another: over a shared side, or along a line proven clear.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Step {
    /// The cell it leaves.
    from: usize,
    /// The cell it enters.
    to: usize,
    /// Where it leaves the one.
    leaves: [f64; 2],
    /// Where it enters the other; over a shared side the same place.
    enters: [f64; 2],
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
        let turns = park[0] - wrapped(park[0], wraps);
        let park = [park[0] - turns, park[1]];
        let mut steps = doors(&cells, wraps.then_some(first));
        let begin = self.nearest_by_line(&cells, park, |_| true);
        let mut flooded = flood(&cells, &steps, begin);
        if self.bridge(&cells, &flooded.0, &mut steps) {
            flooded = flood(&cells, &steps, begin);
        }
        let (joined, before) = flooded;
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
            turns,
            before,
            begin,
            wraps,
        }
    }

    /// The clear cell that holds a place, or one of the nearest that a straight line
    /// proven clear joins with it, and where the line enters it.
    fn nearest_by_line(
        &self,
        cells: &[CoverageCell],
        place: [f64; 2],
        wanted: impl Fn(usize) -> bool,
    ) -> Option<(usize, [f64; 2])> {
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
            (distance.0 == 0.0 || self.line_is_clear(place, enters)).then_some((index, enters))
        })
    }

    /// Joins groups of cells that share no side with what is joined already by straight
    /// lines proven clear: between them lies what is undecided, not blocked. Says whether
    /// any was.
    fn bridge(&self, cells: &[CoverageCell], joined: &[bool], steps: &mut Steps) -> bool {
        let mut done = joined.to_vec();
        let mut any = false;
        for start in 0..cells.len() {
            if done[start] {
                continue;
            }
            let group = group_of(start, steps, &mut done);
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
            let Some((other, enters)) = self.nearest_by_line(cells, place, |index| joined[index])
            else {
                continue;
            };
            for step in [
                Step {
                    from: largest,
                    to: other,
                    leaves: place,
                    enters,
                },
                Step {
                    from: other,
                    to: largest,
                    leaves: enters,
                    enters: place,
                },
            ] {
                steps[step.from].push(step);
            }
            any = true;
        }
        any
    }

    /// A way from the park configuration to mechanism angles, rad: a list of
    /// configurations between which straight lines are proven clear; `None` if they are
    /// not in a clear cell that is joined with it. Short, not always the shortest: the
    /// shortest through the cells, then straightened.
    pub fn way_to(&self, ways: &FreeWays, target: [f64; 2]) -> Option<Vec<[f64; 2]>> {
        let target = [wrapped(target[0], ways.wraps), target[1]];
        let (mut cell, enters) =
            self.nearest_by_line(&ways.cells, target, |index| ways.joined[index])?;
        let mut way = vec![target, enters];
        let push = |way: &mut Vec<[f64; 2]>, place: [f64; 2]| {
            // A door at the seam of a full turn is met a turn on.
            let last = way[way.len() - 1];
            let turns = if ways.wraps {
                ((last[0] - place[0]) / TAU).round()
            } else {
                0.0
            };
            way.push([place[0] + TAU * turns, place[1]]);
        };
        while let Some(step) = ways.before[cell] {
            push(&mut way, step.enters);
            push(&mut way, step.leaves);
            cell = step.from;
        }
        let (_, begins) = ways.begin?;
        push(&mut way, begins);
        push(&mut way, ways.park);
        way.reverse();
        way.dedup();
        // Begin where the park configuration was given.
        let ahead = ways.park[0] - way[0][0] + ways.turns;
        for place in &mut way {
            place[0] += ahead;
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

/// The place of a cell nearest to a place.
fn nearest_in(cell: &CoverageCell, place: [f64; 2]) -> [f64; 2] {
    [
        place[0].clamp(cell.first[0], cell.first[1]),
        place[1].clamp(cell.second[0], cell.second[1]),
    ]
}

/// Steps out of each cell.
type Steps = Vec<Vec<Step>>;

/// All cells joined with one by steps, marked as done.
fn group_of(start: usize, steps: &Steps, done: &mut [bool]) -> Vec<usize> {
    let mut group = vec![start];
    done[start] = true;
    let mut next = 0;
    while next < group.len() {
        for step in &steps[group[next]] {
            if !done[step.to] {
                done[step.to] = true;
                group.push(step.to);
            }
        }
        next += 1;
    }
    group
}

/// Steps between cells that share a side, over the middle of it. Their ends come from halving one rectangle, so those that
/// meet are equal to the last digit. `seam` are the first angles where a turn closes.
fn doors(cells: &[CoverageCell], seam: Option<[f64; 2]>) -> Steps {
    let mut doors: Steps = vec![Vec::new(); cells.len()];
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
            open_door(&mut doors, [index, other], [first, cell.second[1]]);
        }
        let closes = seam.filter(|[_, end]| *end == cell.first[1]);
        let begins = closes.map_or(cell.first[1], |[start, _]| start);
        let beside = begin_first.get(&begins.to_bits());
        for (other, second) in overlapping(beside, &|c| cells[c].second, cell.second) {
            open_door(&mut doors, [index, other], [cell.first[1], second]);
        }
    }
    doors
}

fn open_door(doors: &mut Steps, [one, other]: [usize; 2], place: [f64; 2]) {
    for (from, to) in [(one, other), (other, one)] {
        doors[from].push(Step {
            from,
            to,
            leaves: place,
            enters: place,
        });
    }
}

/// Shortest ways from a place in a cell, door to door (Dijkstra).
fn flood(
    cells: &[CoverageCell],
    steps: &Steps,
    begin: Option<(usize, [f64; 2])>,
) -> (Vec<bool>, Vec<Option<Step>>) {
    let mut length = vec![f64::INFINITY; cells.len()];
    let mut entered = vec![[0.0; 2]; cells.len()];
    let mut before: Vec<Option<Step>> = vec![None; cells.len()];
    let mut settled = vec![false; cells.len()];
    let mut queue = BinaryHeap::new();
    if let Some((cell, place)) = begin {
        length[cell] = 0.0;
        entered[cell] = place;
        queue.push(Reverse((Ordered(0.0), cell)));
    }
    let between = |a: [f64; 2], b: [f64; 2]| {
        // Within a cell no way is longer than its own width, seam or not.
        let sideways = (a[0] - b[0]).abs();
        sideways.min((TAU - sideways).abs()).hypot(a[1] - b[1])
    };
    while let Some(Reverse((Ordered(here), index))) = queue.pop() {
        if settled[index] {
            continue;
        }
        settled[index] = true;
        for step in &steps[index] {
            let next =
                here + between(entered[index], step.leaves) + between(step.leaves, step.enters);
            if next < length[step.to] {
                length[step.to] = next;
                entered[step.to] = step.enters;
                before[step.to] = Some(*step);
                queue.push(Reverse((Ordered(next), step.to)));
            }
        }
    }
    (settled, before)
}
