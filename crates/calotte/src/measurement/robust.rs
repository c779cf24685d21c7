//! The fit itself: what is believed of the parameters, which rows count, until neither changes.

use nalgebra::Vector3;

use super::faults::{Blamed, Estimated, Evidence, Explanation, LOOSE};
use super::problem::{Gain, POSE, Problem, Sample, places};
use super::registration::{Registration, RegistrationError, register};
use super::watch::{FitStage, Stopped, Watch};
use crate::family::real::PhysicalModel;

/// Median of the length of three normal components of deviation 1.
const MEDIAN_OF_THREE: f64 = 1.538_172_3;
/// Length of a residual over the noise beyond which a row is called off: 1 of 2000 good
/// rows lies there.
const OFF: f64 = 4.2;
/// Length over the noise at which a row no longer counts while outliers are looked for.
const REACH: f64 = 7.0;
/// Rounds in which rows are weighed anew.
const ROUNDS: usize = 40;
/// Rounds in which what is believed of the parameters follows the noise.
const BELIEFS: usize = 10;
/// Share by which the noise may still change from round to round in the end.
const NOISE_SETTLED: f64 = 0.1;
/// How much more noise than the best round had shows that the last went astray.
const ASTRAY: f64 = 1.2;
/// Noise assumed before any is known, m.
const NOISE_AT_FIRST: f64 = 0.1e-3;
/// Unknowns besides the pose that points determine as a rule.
const EFFECTIVE_AT_FIRST: f64 = 10.0;
/// Noise below which residuals are rounding, m.
const NOISE_MIN: f64 = 1e-12;
/// Noise below which parameters are not weighed against it, m: a tenth of a micrometre is less
/// than any tracker tells, and keeps the equations well conditioned.
const NOISE_WEIGHED: f64 = 1e-7;
/// Rows beyond which a fit begins with so many of them, evenly taken.
const FIRST_ROWS: usize = 600;

/// What is fitted to what.
pub(super) struct Task<'d> {
    pub(super) model: &'d PhysicalModel,
    pub(super) samples: &'d [Sample<'d>],
    /// Positions of the parameters that are fitted.
    pub(super) candidates: Vec<usize>,
    /// Positions of those that stay at the design's values because the user says so.
    pub(super) held: Vec<usize>,
    /// Who is told how far it is.
    pub(super) watch: Watch<'d>,
}

/// What a run ends with.
pub(super) struct Run<'d> {
    pub(super) problem: Problem<'d>,
    pub(super) estimated: Estimated,
    pub(super) noise: f64,
}

impl<'d> Task<'d> {
    /// The tracker's pose with the design's values, rows far off counting less and less.
    pub(super) fn first_pose(&self, values: &[f64]) -> Result<Registration, RegistrationError> {
        let from = places(self.model, self.samples, values);
        let to: Vec<Vector3<f64>> = self.samples.iter().map(|s| s.row.point).collect();
        let mut weights = vec![1.0; from.len()];
        let mut pose = register(&from, &to, &weights)?;
        for _ in 0..ROUNDS {
            let lengths: Vec<f64> = from
                .iter()
                .zip(&to)
                .map(|(p, q)| (pose.of(p) - q).norm())
                .collect();
            let scale = median(&lengths).max(NOISE_MIN);
            // Weights 1/√(1 + (r/s)²): the sum of the distances themselves, nearly.
            weights = lengths
                .iter()
                .map(|r| 1.0 / (1.0 + (r / scale).powi(2)).sqrt())
                .collect();
            pose = register(&from, &to, &weights)?;
        }
        Ok(pose)
    }

    /// Fits from values and a pose; many rows begin with a part of them. `None` where the
    /// rows that count determine no pose.
    pub(super) fn run(
        &self,
        values: Vec<f64>,
        pose: Registration,
    ) -> Result<Option<Run<'d>>, Stopped> {
        let count = self.samples.len();
        let stride = (count / FIRST_ROWS).max(1);
        let first: Vec<bool> = (0..count).map(|row| row.is_multiple_of(stride)).collect();
        let weights = first.iter().map(|looked| f64::from(u8::from(*looked)));
        let free = self.candidates.clone();
        let loose = vec![LOOSE; free.len()];
        let mut problem = Problem::new(
            self.model,
            self.samples,
            weights.collect(),
            free,
            values,
            pose,
        )
        .drawn(&loose, NOISE_AT_FIRST);
        let mut effective = EFFECTIVE_AT_FIRST.min(self.candidates.len() as f64) + POSE as f64;
        // The noise for which the problem is drawn to the design.
        let mut assumed = NOISE_AT_FIRST;
        let all = vec![true; count];
        let mut before: Option<(Vec<f64>, f64)> = None;
        let mut best: Option<Run> = None;
        for round in 0..BELIEFS {
            let beginning = round == 0 && stride > 1;
            let looked_at = if beginning { &first } else { &all };
            // Many rows are near the fit of a part of them already.
            let near = round > 0 && stride > 1;
            problem = self.robust(round, problem, (effective, assumed), looked_at, near)?;
            let noise = plain_noise(&problem, effective);
            let Some(estimated) = self.estimated(&problem, noise) else {
                return Ok(best);
            };
            effective = estimated.effective;
            let noise = plain_noise(&problem, effective);
            let precision = estimated.precision.clone();
            assumed = noise.max(NOISE_WEIGHED);
            problem = problem.drawn(&precision, assumed);
            let same = before.as_ref().is_some_and(|(known, last)| {
                *known == precision && (noise - last).abs() <= NOISE_SETTLED * last
            });
            before = Some((precision, noise));
            let run = Run {
                problem: problem.clone(),
                estimated,
                noise,
            };
            if same && !beginning {
                return Ok(Some(run));
            }
            // The first round fits whatever it can; what is believed comes after it. The last
            // one stands unless it went astray.
            let better = if round + 1 == BELIEFS { ASTRAY } else { 1.0 };
            let less = |known: &Run| noise < known.noise * better;
            if round > 0 && best.as_ref().is_none_or(less) {
                best = Some(run);
            }
        }
        Ok(best)
    }

    /// What is believed of the parameters at a state.
    fn estimated(&self, problem: &Problem, noise: f64) -> Option<Estimated> {
        self.evidence(problem, &[], noise)?.estimated()
    }

    /// What is at fault at a state; parameters that the user holds may lie anywhere within
    /// tolerance.
    pub(super) fn blamed(&self, problem: &Problem, noise: f64) -> Option<Blamed> {
        self.evidence(problem, &self.held, noise)?
            .blamed(self.model)
    }

    fn evidence(&self, problem: &Problem, held: &[usize], noise: f64) -> Option<Evidence> {
        let all: Vec<usize> = self.candidates.iter().chain(held).copied().collect();
        let normal = problem.normal(&all);
        let mut moved = problem.moved_by();
        moved.resize(all.len(), 0.0);
        let noise = noise.max(NOISE_WEIGHED);
        let free = self.candidates.len();
        Evidence::new(self.model, &normal, &all, &moved, free, noise)
    }

    /// The explanations, each fitted for itself: the straight line is not enough where parts
    /// are far off. What the points then miss decides how probable each is.
    pub(super) fn refined(
        &self,
        problem: &Problem<'d>,
        noise: f64,
        explanations: Vec<Explanation>,
    ) -> Vec<Explanation> {
        let noise = noise.max(NOISE_WEIGHED);
        let typical = |index: usize| self.model.parameters[index].typical;
        let all: Vec<usize> = self.candidates.iter().chain(&self.held).copied().collect();
        let mut logarithms: Vec<f64> = Vec::new();
        let mut refined: Vec<Explanation> = Vec::new();
        for mut one in explanations {
            let mut own = problem.clone();
            own.free = all.clone();
            for (slot, index) in all.iter().enumerate() {
                let nominal = self.model.parameters[*index].nominal;
                own.values[*index] = nominal + one.solution[slot] * typical(*index);
            }
            let own = own.drawn(&one.precision, noise).solved(Gain::Any);
            let missed = 0.5 * own.square_sum() / (noise * noise);
            logarithms.push(one.probability.ln() - missed - one.gain);
            let moved = own.moved_by();
            one.off = one
                .beyond
                .iter()
                .map(|slot| {
                    let index = all[*slot];
                    (index, moved[*slot] * typical(index))
                })
                .collect();
            one.off.sort_by(|a, b| {
                let size = |one: &(usize, f64)| (one.1 / typical(one.0)).abs();
                size(b).total_cmp(&size(a))
            });
            one.values = own.values;
            one.pose = own.pose;
            refined.push(one);
        }
        let most = logarithms.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let weights: Vec<f64> = logarithms.iter().map(|l| (l - most).exp()).collect();
        let total: f64 = weights.iter().sum();
        for (one, weight) in refined.iter_mut().zip(&weights) {
            one.probability = weight / total;
        }
        refined.retain(|one| one.probability > 0.0);
        refined.sort_by(|a, b| b.probability.total_cmp(&a.probability));
        refined
    }

    /// Fits with rows weighed by how well they go with the others; in the end rows count
    /// fully or not at all. Only some rows are looked at. `rounds` have gone before.
    ///
    /// # Arguments
    /// - `effective`: how many unknowns the points determine.
    /// - `assumed`: the noise for which the problem is drawn to the design, m.
    fn robust(
        &self,
        rounds: usize,
        problem: Problem<'d>,
        (effective, assumed): (f64, f64),
        looked_at: &[bool],
        near: bool,
    ) -> Result<Problem<'d>, Stopped> {
        let parameters = problem.free.len();
        let rows = looked_at.iter().filter(|looked| **looked).count();
        let tell = |step: usize| {
            self.watch.tell(FitStage::Round {
                round: rounds + 1,
                most: BELIEFS,
                step,
                parameters,
                rows,
            })
        };
        tell(0)?;
        let mut step = 0;
        let mut now = problem;
        let known = now.pull.clone();
        let assumed = assumed.max(NOISE_WEIGHED);
        let draw = |now: &mut Problem, noise: f64| {
            let share = (noise.clamp(NOISE_WEIGHED, assumed) / assumed).powi(2);
            now.pull = known.iter().map(|pull| share * pull).collect();
        };
        let mut before = f64::INFINITY;
        for _ in 0..if near { 0 } else { ROUNDS } {
            let lengths = lengths(&now, looked_at);
            let scale = (median(&lengths) / MEDIAN_OF_THREE).max(NOISE_MIN);
            // What draws to the design follows the noise down, or the rows that it keeps from
            // being met would be called off.
            draw(&mut now, scale);
            let mut reach = lengths.iter().map(|r| {
                let far = r / (REACH * scale);
                if far < 1.0 {
                    (1.0 - far * far).powi(2)
                } else {
                    0.0
                }
            });
            for (weight, looked) in now.weights.iter_mut().zip(looked_at) {
                *weight = if *looked {
                    reach.next().unwrap_or(0.0)
                } else {
                    0.0
                };
            }
            step += 1;
            tell(step)?;
            let moved = now.step(Gain::Any);
            if !moved || (before - scale).abs() < 1e-4 * scale {
                break;
            }
            before = scale;
        }
        // All or nothing.
        let mut last: Vec<f64> = Vec::new();
        let mut ended = false;
        for _ in 0..ROUNDS {
            let lengths = lengths(&now, looked_at);
            let noise = if last.is_empty() {
                (median(&lengths) / MEDIAN_OF_THREE).max(NOISE_MIN)
            } else {
                plain_noise(&now, effective)
            };
            let mut good = lengths
                .iter()
                .map(|r| f64::from(u8::from(*r <= OFF * noise)));
            let weights: Vec<f64> = looked_at
                .iter()
                .map(|looked| {
                    if *looked {
                        good.next().unwrap_or(0.0)
                    } else {
                        0.0
                    }
                })
                .collect();
            draw(&mut now, noise);
            if weights == last {
                if ended {
                    break;
                }
                now = now.solved(Gain::Any);
                ended = true;
                continue;
            }
            now.weights.clone_from(&weights);
            step += 1;
            tell(step)?;
            now = now.solved(Gain::Plain);
            ended = false;
            last = weights;
        }
        Ok(now)
    }
}

/// Standard deviation of a residual component of the rows that count, m.
///
/// # Arguments
/// - `effective`: how many unknowns the points determine.
pub(super) fn plain_noise(problem: &Problem, effective: f64) -> f64 {
    let (mut sum, mut count) = (0.0, 0usize);
    let misses = problem.misses_where(|row| problem.weights[row] > 0.0);
    for miss in misses.into_iter().flatten() {
        sum += miss.norm_squared();
        count += 3;
    }
    let freedom = (count as f64 - effective).max(1.0);
    (sum / freedom).sqrt().max(NOISE_MIN)
}

/// Lengths of what the rows looked at miss.
fn lengths(problem: &Problem, looked_at: &[bool]) -> Vec<f64> {
    problem
        .misses_where(|row| looked_at[row])
        .iter()
        .zip(looked_at)
        .filter(|(_, looked)| **looked)
        .map(|(miss, _)| miss.map_or(f64::INFINITY, |m| m.norm()))
        .collect()
}

/// Median; of an even number the greater of the middle two. Infinite for an empty list.
fn median(values: &[f64]) -> f64 {
    if values.is_empty() {
        return f64::INFINITY;
    }
    let mut sorted = values.to_vec();
    let middle = sorted.len() / 2;
    *sorted.select_nth_unstable_by(middle, f64::total_cmp).1
}
