//! The order of measuring: at random over the range, from either side, and yet with little
//! movement.
//!
//! The range is gone through several times, each time by another part of the configurations
//! drawn at random and on a short way; then pieces of the way are exchanged at random
//! (annealing) while joints' motion and what a drift could be mistaken for grow less.

use super::drift::{Judge, Mistaken};
use super::sequence::Sequence;
use crate::measurement::fit::approaches;

use super::table::rows_of;

/// Greatest correlation of the row number with readings and directions that is aimed at.
pub const CORRELATION_MAX: f64 = 0.1;
/// Greatest multiple correlation of a parameter's effect with a drift that is aimed at.
pub const LOOK_MAX: f64 = 0.3;
/// Joints' motion in all over that of the shortest way found through all configurations once
/// that is aimed at, at most.
pub const MOTION_MAX: f64 = 5.0;

/// Times that the range is gone through.
const ROUNDS: usize = 4;
/// Work of the annealing: exchanges tried times rows.
const WORK: usize = 3_000_000;
/// Exchanges tried at most.
const TRIES_MAX: usize = 30_000;
/// Share of what is aimed at from which on it counts, so that something is left.
const RESERVE: f64 = 0.85;
/// What a correlation twice as great as aimed at counts, in motion over the shortest.
const WEIGHT: f64 = 6.0;
/// What counts an order that tells nothing of the backlash, in motion over the shortest.
const SHORT: f64 = 40.0;
/// What two rows at one configuration count that follow one another or have but one between
/// them: repeats in one go tell nothing of what changes with time.
const STANDSTILL: f64 = 5.0;
/// Worsening that is taken at the beginning and in the end, in motion from row to row on the
/// shortest way.
const HEAT: [f64; 2] = [10.0, 0.1];

/// What is measured how often.
#[derive(Debug)]
pub(super) struct Stops<'a> {
    /// Configurations, on a short way.
    pub(super) readings: &'a [[f64; 2]],
    /// The one at start, middle and end.
    pub(super) anchor: usize,
    /// Those measured again.
    pub(super) repeated: &'a [usize],
    /// How often each of those in all.
    pub(super) times: usize,
}

/// Rows in their order.
#[derive(Debug, Clone)]
pub(super) struct Course {
    /// Configuration of each row.
    pub(super) order: Vec<usize>,
    /// From which side its readings are reached.
    pub(super) approaches: Vec<[f64; 2]>,
    /// What a drift could be mistaken for.
    pub(super) mistaken: Mistaken,
    /// Joints' motion in all, rad.
    pub(super) motion: f64,
}

impl Stops<'_> {
    /// How often each configuration is measured.
    pub(super) fn visits(&self) -> Vec<usize> {
        let mut visits = vec![1; self.readings.len()];
        for stop in self.repeated {
            visits[*stop] = self.times.max(1);
        }
        visits[self.anchor] = 3;
        visits
    }

    /// An order; of equal seeds the same.
    ///
    /// # Arguments
    /// - `shortest`: joints' motion on the shortest way found through all once, rad.
    pub(super) fn ordered(&self, judge: &Judge, shortest: f64, random: &mut Sequence) -> Course {
        let unit = shortest.max(1e-3);
        let mut free = self.rounds(random);
        let mut now = self.worth(&free, judge, unit);
        let (mut best, mut least) = (free.clone(), now);
        let count = free.len();
        let tries = (WORK / (count + 2)).min(TRIES_MAX);
        for tried in 0..tries {
            let share = tried as f64 / tries as f64;
            let heat = HEAT[0] * (HEAT[1] / HEAT[0]).powf(share) / count as f64;
            let (a, b) = (random.below(count), random.below(count));
            let (from, to) = (a.min(b), a.max(b));
            let before = free.clone();
            match random.below(3) {
                0 => free[from..=to].reverse(),
                1 => free.swap(from, to),
                _ => {
                    let stop = free.remove(a);
                    free.insert(b, stop);
                }
            }
            let found = self.worth(&free, judge, unit);
            if found <= now || random.next() < ((now - found) / heat).exp() {
                now = found;
                if now < least {
                    (best, least) = (free.clone(), now);
                }
            } else {
                free = before;
            }
        }
        self.course(&best, judge)
    }

    /// All rows but those of the anchor: round by round over the range.
    fn rounds(&self, random: &mut Sequence) -> Vec<usize> {
        let mut once: Vec<usize> = (0..self.readings.len())
            .filter(|stop| *stop != self.anchor && !self.repeated.contains(stop))
            .collect();
        random.shuffle(&mut once);
        let count = ROUNDS.max(self.times.min(2 * ROUNDS));
        let mut rounds: Vec<Vec<usize>> = vec![Vec::new(); count];
        for (place, stop) in once.into_iter().enumerate() {
            rounds[place % count].push(stop);
        }
        for (place, stop) in self.repeated.iter().enumerate() {
            for time in 0..self.times.max(1) {
                rounds[(place + time) % count].push(*stop);
            }
        }
        for (place, round) in rounds.iter_mut().enumerate() {
            // All on a short way, every second time backwards.
            round.sort_unstable();
            shorten(round, self.readings);
            if place % 2 == 1 {
                round.reverse();
            }
        }
        rounds.concat()
    }

    /// With the anchor at start, middle and end.
    fn with_anchor(&self, free: &[usize]) -> Vec<usize> {
        let middle = free.len().div_ceil(2);
        let anchor = std::iter::once(self.anchor);
        let (before, after) = free.split_at(middle);
        anchor
            .clone()
            .chain(before.iter().copied())
            .chain(anchor.clone())
            .chain(after.iter().copied())
            .chain(anchor)
            .collect()
    }

    fn along(&self, order: &[usize]) -> Vec<[f64; 2]> {
        order.iter().map(|stop| self.readings[*stop]).collect()
    }

    /// What an order costs, in motion over the shortest.
    fn worth(&self, free: &[usize], judge: &Judge, unit: f64) -> f64 {
        let order = self.with_anchor(free);
        let still = order.windows(2).filter(|pair| pair[0] == pair[1]).count()
            + order
                .windows(3)
                .filter(|three| three[0] == three[2])
                .count();
        let sides = sides(&self.along(&order));
        let over = |found: f64, aim: f64| (found / aim - RESERVE).max(0.0);
        let features = judge.correlations(&order);
        let looks = judge.looks(&order, &sides);
        let mistaken: f64 = features
            .iter()
            .map(|r| over(*r, CORRELATION_MAX))
            .sum::<f64>()
            + looks.iter().map(|(_, r)| over(*r, LOOK_MAX)).sum::<f64>();
        let short = (1.0 - judge.kept(&order, &sides)).max(0.0);
        motion(&self.along(&order)) / unit
            + WEIGHT * mistaken
            + SHORT * short
            + STANDSTILL * still as f64
    }

    fn course(&self, free: &[usize], judge: &Judge) -> Course {
        let order = self.with_anchor(free);
        let approaches = sides(&self.along(&order));
        Course {
            mistaken: judge.mistaken(&order, &approaches),
            motion: motion(&self.along(&order)),
            approaches,
            order,
        }
    }
}

/// From which side readings are reached, in their order.
pub(super) fn sides(readings: &[[f64; 2]]) -> Vec<[f64; 2]> {
    approaches(&rows_of(readings))
}

fn distance(a: &[f64; 2], b: &[f64; 2]) -> f64 {
    (a[0] - b[0]).abs() + (a[1] - b[1]).abs()
}

/// Sum of the joints' motion from row to row, rad.
pub(super) fn motion(readings: &[[f64; 2]]) -> f64 {
    readings
        .windows(2)
        .map(|pair| distance(&pair[0], &pair[1]))
        .sum()
}

/// Puts configurations into an order of little motion: the nearest next, then pieces of the
/// way turned round while that shortens it.
pub(super) fn shorten(order: &mut [usize], readings: &[[f64; 2]]) {
    let far = |a: usize, b: usize| distance(&readings[a], &readings[b]);
    let count = order.len();
    for done in 1..count {
        let next = (done..count).min_by(|a, b| {
            let from = |i: usize| far(order[done - 1], order[i]);
            from(*a).total_cmp(&from(*b))
        });
        if let Some(next) = next {
            order.swap(done, next);
        }
    }
    let mut shorter = true;
    while shorter {
        shorter = false;
        for from in 0..count.saturating_sub(1) {
            for to in from + 1..count {
                let mut old = 0.0;
                let mut new = 0.0;
                if from > 0 {
                    old += far(order[from - 1], order[from]);
                    new += far(order[from - 1], order[to]);
                }
                if to + 1 < count {
                    old += far(order[to], order[to + 1]);
                    new += far(order[from], order[to + 1]);
                }
                if new < old - 1e-12 {
                    order[from..=to].reverse();
                    shorter = true;
                }
            }
        }
    }
}
