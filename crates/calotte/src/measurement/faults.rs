//! Which parts are at fault, as hypotheses weighed against each other, and what each parameter
//! is believed to be over all of them.
//!
//! Every parameter is either within tolerance or faulty, each with a normal distribution of
//! its own ([`spread`]). A hypothesis is a set of faulty parameters. About the solution the
//! points are linear in the parameters, so that each hypothesis has its mean, its covariance
//! and its weight (the marginal likelihood times what is believed of the set beforehand) in
//! closed form; sets of up to four are all weighed. Lengths of parameters are counted in
//! tolerances. Derived in `docs/theory/measurement.md`.

use nalgebra::{DMatrix, DVector};

use super::problem::{Normal, POSE};
use super::registration::Registration;
use crate::family::real::{Cause, PhysicalModel, spread};

/// Most faulty parameters of one hypothesis.
const TOGETHER_MAX: usize = 4;
/// Hypotheses that weigh less than this of the best are not looked at any more.
const WEIGHT_MIN: f64 = 1e-5;
/// Precision of a faulty parameter.
const FAULTY: f64 = 1.0 / (spread::FAULTY * spread::FAULTY);
/// Probability below which an explanation is not looked at any more.
const PROBABLE: f64 = 2e-3;
/// Most explanations that are looked at.
const EXPLANATIONS_MAX: usize = 12;
/// Standard errors by which a parameter lies beyond its tolerance for that to be counted.
const SURELY: f64 = 2.0;
/// Standard deviations of chance that a fault is seen in spite of: nine times in ten.
const NINE_IN_TEN: f64 = 1.281_551_6;
/// Faults greater than so many tolerances are not meant: a part of which only those would have
/// been seen counts as not judged (common practice, no source).
const SEEN_MAX: f64 = 8.0;

/// Sum of the squares of the noise and of what draws the parameters to the design, as the
/// points leave it: information about the parameters, the tracker's pose left free.
pub(super) struct Evidence {
    /// Information about the parameters in tolerances.
    information: DMatrix<f64>,
    /// What the points push the parameters by: information times what they would be alone.
    push: DVector<f64>,
    /// Positions of the parameters in the model's list.
    order: Vec<usize>,
    /// Whether a parameter is of a part that can be at fault; where the sensor sits is
    /// nobody's fault.
    part: Vec<bool>,
    /// How many of them may be faulty; those after are held by the user, within tolerance.
    free: usize,
}

/// A set of parts that together explain the points.
#[derive(Debug, Clone, PartialEq)]
pub struct Explanation {
    /// The parts; none if all is within tolerance.
    pub parts: Vec<Cause>,
    /// How probable it is, 0 to 1.
    pub probability: f64,
    /// Parameters beyond tolerance in the best hypothesis of these parts, worst first, and by
    /// how much, SI.
    pub off: Vec<(usize, f64)>,
    /// Values of all parameters then, SI.
    pub values: Vec<f64>,
    /// The tracker's pose then.
    pub pose: Registration,
    /// Candidates that are beyond tolerance.
    pub(super) beyond: Vec<usize>,
    /// All parameters of the evidence then, in tolerances about the design, and their precision
    /// beforehand.
    pub(super) solution: DVector<f64>,
    pub(super) precision: Vec<f64>,
    /// Half of the squares, over the noise, that its parameters take away by the straight line.
    pub(super) gain: f64,
    /// Logarithm of the weight of its best hypothesis.
    heaviest: f64,
}

impl Explanation {
    fn new(parts: Vec<Cause>) -> Self {
        Self {
            parts,
            probability: 0.0,
            off: Vec::new(),
            values: Vec::new(),
            pose: Registration::identity(),
            beyond: Vec::new(),
            solution: DVector::zeros(0),
            precision: Vec::new(),
            gain: 0.0,
            heaviest: f64::NEG_INFINITY,
        }
    }
}

/// What is believed of the parameters; lists by candidates.
#[derive(Debug, Clone)]
pub(super) struct Estimated {
    /// Precision of each beforehand in the best hypothesis.
    pub(super) precision: Vec<f64>,
    /// Second moments over all hypotheses about the values of the best: on their diagonal the
    /// squares of the standard errors.
    pub(super) moments: DMatrix<f64>,
    /// Part of the errors that the noise makes.
    pub(super) by_noise: DVector<f64>,
    /// Covariance in the best hypothesis.
    pub(super) covariance: DMatrix<f64>,
    /// How many unknowns the points determine, the pose's included.
    pub(super) effective: f64,
}

/// What is believed to be at fault; lists by candidates, held ones after them.
#[derive(Debug, Clone)]
pub(super) struct Blamed {
    /// Most probable first, by the straight line.
    pub(super) explanations: Vec<Explanation>,
    /// The least fault of each that would have been seen, in tolerances; infinite if none.
    pub(super) seen: Vec<f64>,
    /// What a tolerance of each moves the points by, the others within theirs, over the noise.
    pub(super) signal: Vec<f64>,
    /// Sum of the squares over the noise that parts within tolerance let expect.
    pub(super) squares: f64,
}

/// Share of a parameter's look that is worth naming.
const WORTH_NAMING: f64 = 0.25;

impl Estimated {
    /// What a parameter looks like: for one tolerance of it, so many of others, most first.
    pub(super) fn looks_like(&self, of: usize) -> Vec<(usize, f64)> {
        // Of a normal distribution: one parameter's row of the precision over its diagonal is
        // how the others make up for it.
        let own = self.covariance[(of, of)];
        let mut like: Vec<(usize, f64)> = (0..self.covariance.nrows())
            .filter(|other| *other != of)
            .map(|other| (other, -self.covariance[(of, other)] / own))
            .filter(|(_, share)| share.abs() > WORTH_NAMING)
            .collect();
        like.sort_by(|a, b| b.1.abs().total_cmp(&a.1.abs()));
        like
    }
}

/// The precision that lets every fault be found: to begin with.
pub(super) const LOOSE: f64 = FAULTY;

/// All hypotheses for one spread of parts that are not faulty.
struct Weighing {
    /// Precision of each parameter that is not faulty.
    within: Vec<f64>,
    /// What a fault takes off it.
    less: Vec<f64>,
    /// Logarithm of what a fault of it costs.
    price: Vec<f64>,
    /// Covariance and mean where nothing is faulty.
    covariance: DMatrix<f64>,
    mean: DVector<f64>,
    /// All sets worth looking at, and the best.
    sets: Vec<Set>,
    best: Set,
}

/// One set of faulty parameters, up to [`TOGETHER_MAX`].
#[derive(Clone, Copy)]
struct Set {
    members: [u16; TOGETHER_MAX],
    count: usize,
    /// Logarithm of its weight.
    weight: f64,
    /// ½ |solved|²: half of the squares, over the noise, that its members take away.
    gain: f64,
}

impl Set {
    fn empty() -> Self {
        Self {
            members: [0; TOGETHER_MAX],
            count: 0,
            weight: 0.0,
            gain: 0.0,
        }
    }

    fn members(&self) -> impl Iterator<Item = usize> + '_ {
        self.members[..self.count].iter().map(|m| usize::from(*m))
    }
}

/// A hypothesis being put together, with the Cholesky factor of 1 − √`less`·covariance·√`less`.
#[derive(Clone, Copy)]
struct Open {
    set: Set,
    factor: [[f64; TOGETHER_MAX]; TOGETHER_MAX],
    solved: [f64; TOGETHER_MAX],
    /// Σ ln of the factor's diagonal.
    volume: f64,
    /// What its members cost.
    price: f64,
}

impl Evidence {
    /// Evidence of normal equations about a solution.
    ///
    /// # Arguments
    /// - `normal`: by `candidates` in tolerances, then the pose; without what draws them.
    /// - `moved`: where the solution is, in tolerances about the design.
    /// - `free`: how many of the candidates may be faulty, the first ones.
    /// - `noise`: standard deviation of a component, m.
    ///
    /// `None` where the points determine no pose.
    pub(super) fn new(
        model: &PhysicalModel,
        normal: &Normal,
        candidates: &[usize],
        moved: &[f64],
        free: usize,
        noise: f64,
    ) -> Option<Self> {
        let count = candidates.len();
        let square = noise * noise;
        let matrix = &normal.matrix / square;
        let gradient = &normal.gradient / square;
        let pose = matrix.view((count, count), (POSE, POSE)).clone_owned();
        let across = matrix.view((count, 0), (POSE, count)).clone_owned();
        let factor = pose.cholesky()?;
        let following = factor.solve(&across);
        let rest_gradient = gradient.rows(count, POSE).clone_owned();
        let information = matrix.view((0, 0), (count, count)) - across.tr_mul(&following);
        let own = gradient.rows(0, count) - following.tr_mul(&rest_gradient);
        let moved = DVector::from_column_slice(moved);
        let push = &information * moved - own;
        Some(Self {
            information,
            push,
            order: candidates.to_vec(),
            free,
            part: candidates
                .iter()
                .map(|index| model.parameters[*index].cause != Cause::Sensor)
                .collect(),
        })
    }

    /// What is believed of the parameters: all hypotheses weighed, parts that are not faulty
    /// having the spread that estimates allow.
    ///
    /// `None` only where rounding leaves no positive matrix.
    pub(super) fn estimated(&self) -> Option<Estimated> {
        let allowed = self.weighing(spread::ALLOWED)?;
        let mut precision = self.beforehand(spread::ALLOWED);
        for member in allowed.best.members() {
            precision[member] = FAULTY;
        }
        let covariance = self.covariance(&precision)?;
        let resolved = &covariance * &self.information;
        let noise_alone = &resolved * &covariance;
        Some(Estimated {
            by_noise: noise_alone.diagonal().map(|v| v.max(0.0).sqrt()),
            effective: resolved.trace() + POSE as f64,
            covariance,
            precision,
            moments: allowed.moments(),
        })
    }

    /// What is at fault: all hypotheses weighed, parts that are not faulty being within
    /// tolerance.
    ///
    /// `None` only where rounding leaves no positive matrix.
    pub(super) fn blamed(&self, model: &PhysicalModel) -> Option<Blamed> {
        let within = self.weighing(spread::WITHIN)?;
        let mut tally: Vec<Explanation> = Vec::new();
        for (set, weight) in within.weights() {
            let one = within.hypothesis(set);
            self.count(model, &one, weight, &mut tally);
        }
        let tally = worth_a_look(tally);
        Some(Blamed {
            seen: self.seen(&within),
            signal: self.signal(&within),
            explanations: tally,
            squares: (0..self.order.len())
                .map(|i| self.information[(i, i)] / within.within[i])
                .sum(),
        })
    }

    /// Precision of every parameter if nothing is faulty; where the sensor sits is measured
    /// by hand.
    fn beforehand(&self, spread: f64) -> Vec<f64> {
        let of = |part: &bool| {
            let spread = if *part { spread } else { spread::ALLOWED };
            1.0 / (spread * spread)
        };
        self.part.iter().map(of).collect()
    }

    fn covariance(&self, precision: &[f64]) -> Option<DMatrix<f64>> {
        let mut matrix = self.information.clone();
        for (i, own) in precision.iter().enumerate() {
            matrix[(i, i)] += own;
        }
        Some(matrix.cholesky()?.inverse())
    }

    /// All sets worth looking at, parts that are not faulty having this spread.
    fn weighing(&self, spread: f64) -> Option<Weighing> {
        let within = self.beforehand(spread);
        let covariance = self.covariance(&within)?;
        let mean = &covariance * &self.push;
        let rare = (spread::FAULTY_SHARE / (1.0 - spread::FAULTY_SHARE)).ln();
        let mut weighing = Weighing {
            less: within.iter().map(|own| own - FAULTY).collect(),
            // What a further faulty parameter costs: it is rare, and its distribution wide.
            price: within
                .iter()
                .map(|own| rare + 0.5 * (FAULTY / own).ln())
                .collect(),
            within,
            covariance,
            mean,
            sets: Vec::new(),
            best: Set::empty(),
        };
        let mut open = vec![Open::empty()];
        while let Some(one) = open.pop() {
            if one.set.weight > weighing.best.weight {
                weighing.best = one.set;
            }
            if one.set.weight > weighing.best.weight + WEIGHT_MIN.ln() {
                weighing.sets.push(one.set);
            }
            if one.set.count == TOGETHER_MAX {
                continue;
            }
            let from = one.set.members().last().map_or(0, |last| last + 1);
            for next in from..self.free {
                if let Some(more) = one.with(next, &weighing) {
                    open.push(more);
                }
            }
        }
        let least = weighing.best.weight + WEIGHT_MIN.ln();
        weighing.sets.retain(|set| set.weight > least);
        Some(weighing)
    }

    /// Adds a hypothesis to the explanation that it is of.
    fn count(
        &self,
        model: &PhysicalModel,
        one: &Hypothesis,
        weight: f64,
        tally: &mut Vec<Explanation>,
    ) {
        let beyond = (0..self.order.len()).filter(|i| {
            self.part[*i] && {
                let by = one.values[*i].abs();
                let faulty = one.set.members().any(|member| member == *i);
                by > 1.0 && (faulty || by > 1.0 + SURELY * one.variances[*i].sqrt())
            }
        });
        let beyond: Vec<usize> = beyond.collect();
        let mut parts: Vec<Cause> = Vec::new();
        for i in &beyond {
            let cause = &model.parameters[self.order[*i]].cause;
            if !parts.contains(cause) {
                parts.push(cause.clone());
            }
        }
        let known = tally.iter().position(|known| {
            known.parts.len() == parts.len() && parts.iter().all(|p| known.parts.contains(p))
        });
        let known = known.unwrap_or_else(|| {
            tally.push(Explanation::new(parts));
            tally.len() - 1
        });
        let known = &mut tally[known];
        known.probability += weight;
        // The heaviest hypothesis stands for them all.
        if one.set.weight > known.heaviest {
            known.heaviest = one.set.weight;
            known.gain = one.set.gain;
            known.solution.clone_from(&one.values);
            known.precision = self.beforehand(spread::WITHIN);
            for member in one.set.members() {
                known.precision[member] = FAULTY;
            }
            known.beyond = beyond;
        }
    }

    /// Square root of what the points say of each parameter, the others within tolerance.
    fn signal(&self, weighing: &Weighing) -> Vec<f64> {
        let own = (0..self.order.len()).map(|i| {
            let own = 1.0 / weighing.covariance[(i, i)] - weighing.within[i];
            own.max(0.0).sqrt()
        });
        own.collect()
    }

    /// The least fault of each parameter, in tolerances, that in nine of ten campaigns makes
    /// the hypothesis of that fault weigh more than that of none, the others within tolerance.
    fn seen(&self, weighing: &Weighing) -> Vec<f64> {
        (0..self.order.len())
            .map(|i| {
                let own = weighing.covariance[(i, i)];
                let less = weighing.less[i];
                let follows = 1.0 - weighing.within[i] * own;
                if !self.part[i] || follows <= 0.0 {
                    return f64::INFINITY;
                }
                let left = 1.0 - less * own;
                let needed = 2.0 * left / less * (0.5 * left.ln() - weighing.price[i]);
                let chance = (own * follows).sqrt();
                let fault = (needed.max(0.0).sqrt() + NINE_IN_TEN * chance) / follows;
                if fault > SEEN_MAX {
                    f64::INFINITY
                } else {
                    fault
                }
            })
            .collect()
    }
}

/// Explanations worth fitting for themselves, most probable first; where all are improbable
/// the first of them.
fn worth_a_look(mut all: Vec<Explanation>) -> Vec<Explanation> {
    all.sort_by(|a, b| b.probability.total_cmp(&a.probability));
    let probable = all.iter().filter(|one| one.probability >= PROBABLE);
    all.truncate(probable.count().clamp(1, EXPLANATIONS_MAX));
    all
}

impl Open {
    fn empty() -> Self {
        Self {
            set: Set::empty(),
            factor: [[0.0; TOGETHER_MAX]; TOGETHER_MAX],
            solved: [0.0; TOGETHER_MAX],
            volume: 0.0,
            price: 0.0,
        }
    }

    /// One more faulty parameter; `None` where rounding forbids it.
    fn with(&self, next: usize, weighing: &Weighing) -> Option<Self> {
        // The members' rows and columns are scaled by √`less`, so that the factor is of a
        // symmetric matrix.
        let root = |i: usize| weighing.less[i].sqrt();
        let scaled = |i: usize, j: usize| root(i) * weighing.covariance[(i, j)] * root(j);
        let at = self.set.count;
        let mut more = *self;
        let mut square = 1.0 - scaled(next, next);
        let mut right = root(next) * weighing.mean[next];
        for (row, member) in self.set.members().enumerate() {
            let mut entry = -scaled(next, member);
            for k in 0..row {
                entry -= self.factor[row][k] * more.factor[at][k];
            }
            let entry = entry / self.factor[row][row];
            more.factor[at][row] = entry;
            square -= entry * entry;
            right -= entry * self.solved[row];
        }
        if square <= 0.0 {
            return None;
        }
        let diagonal = square.sqrt();
        more.factor[at][at] = diagonal;
        more.solved[at] = right / diagonal;
        more.volume += diagonal.ln();
        more.set.gain += 0.5 * more.solved[at].powi(2);
        more.set.members[at] = u16::try_from(next).ok()?;
        more.set.count += 1;
        more.price += weighing.price[next];
        more.set.weight = more.set.gain - more.volume + more.price;
        Some(more)
    }
}

/// Mean and variances under one hypothesis.
struct Hypothesis {
    set: Set,
    values: DVector<f64>,
    variances: DVector<f64>,
}

impl Weighing {
    /// Sets with their shares of all weights.
    fn weights(&self) -> impl Iterator<Item = (&Set, f64)> {
        let of = |set: &Set| (set.weight - self.best.weight).exp();
        let total: f64 = self.sets.iter().map(of).sum();
        self.sets.iter().map(move |set| (set, of(set) / total))
    }

    /// What a set's members add, as a matrix between and a vector of its members: the covariance
    /// gains C·matrix·C, the mean C·vector. `None` where rounding forbids it, and for no members.
    fn added(&self, members: &[usize]) -> Option<(DMatrix<f64>, DVector<f64>)> {
        if members.is_empty() {
            return None;
        }
        let mut left = -self.covariance.select_columns(members).select_rows(members);
        for (i, member) in members.iter().enumerate() {
            left[(i, i)] += 1.0 / self.less[*member];
        }
        let factor = left.cholesky()?;
        let own = self.mean.select_rows(members);
        Some((factor.inverse(), factor.solve(&own)))
    }

    /// Second moments about the mean of the best set, over all sets.
    fn moments(&self) -> DMatrix<f64> {
        let count = self.mean.len();
        let along = |set: &Set| {
            let members: Vec<usize> = set.members().collect();
            let mut whole = DVector::zeros(count);
            let added = self.added(&members);
            if let Some((_, vector)) = &added {
                for (value, member) in vector.iter().zip(&members) {
                    whole[*member] = *value;
                }
            }
            (members, added.map(|(matrix, _)| matrix), whole)
        };
        let (_, _, best) = along(&self.best);
        let mut between = DMatrix::zeros(count, count);
        for (set, weight) in self.weights() {
            let (members, added, own) = along(set);
            for (a, i) in members.iter().enumerate() {
                for (b, j) in members.iter().enumerate() {
                    between[(*i, *j)] += added.as_ref().map_or(0.0, |m| weight * m[(a, b)]);
                }
            }
            let apart = own - &best;
            between.ger(weight, &apart, &apart, 1.0);
        }
        &self.covariance + &self.covariance * between * &self.covariance
    }

    /// Mean and variances of one set.
    fn hypothesis(&self, set: &Set) -> Hypothesis {
        let mut values = self.mean.clone();
        let mut variances = self.covariance.diagonal();
        let members: Vec<usize> = set.members().collect();
        if let Some((matrix, vector)) = self.added(&members) {
            let columns = self.covariance.select_columns(&members);
            values += &columns * vector;
            let spread = matrix * columns.transpose();
            for i in 0..variances.len() {
                variances[i] += columns.row(i).transpose().dot(&spread.column(i));
            }
        }
        Hypothesis {
            set: *set,
            values,
            variances,
        }
    }
}

#[cfg(test)]
mod tests;
