//! The one working range: what the second mechanism angle may do between
//! singularities of both types, the drives' limits and the required margins.
//!
//! Type 1: the tool lies on the base axis (sin θ = 0) or turns back (θ′ = 0).
//! Type 2: with the drives held the linkage can still move; for the scissor
//! linkage the drive-locked determinant is const · Π sin 2α′ᵢ, so the margin is
//! the transmission angle, the least angle of any 2α′ᵢ from 0° and 180°.

use std::f64::consts::PI;

use crate::design::DriveRange;
use crate::sphere::AzimuthSet;
use crate::sphere::direction::wrap_signed;

use super::jacobian::local_conditioning_index;
use super::pose::{Kinematics, Pose};
use crate::family::meridian::{Meridian, MeridianState};
use crate::number::enclosure::Enclosure;
use crate::number::isolation::{Evaluation, Isolation, isolate, lower_bound};
use crate::number::jet::{Jet, Scalar};
use crate::number::minimum::golden_minimum;

/// Margins that shrink the working range.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Margins {
    /// Least local conditioning index, 1; 0 asks for none.
    pub lci_min: f64,
    /// Least transmission angle, rad; 0 asks for none.
    pub transmission_angle_min: f64,
}

/// What ends a range.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Limit {
    /// A drive reaches the end of its range.
    DriveRange,
    /// The local conditioning index falls to its margin.
    ConditioningMargin,
    /// The transmission angle of a stage (from 1) falls to its margin.
    TransmissionMargin(usize),
    /// Type 1: the tool direction reaches the base axis.
    BaseAxis,
    /// Type 1: the tool direction turns back along its meridian.
    TurningPoint,
    /// Type 2: side joints coincide or distal arcs lie in line in a stage (from 1).
    TypeTwo(usize),
    /// A stage no longer closes.
    ClosureLost,
    /// The joint angle's natural span ends.
    NaturalSpan,
    /// Two parts come nearer to each other than their clearance.
    Clearing,
}

impl Limit {
    /// The limit in words.
    pub fn words(self) -> String {
        match self {
            Limit::DriveRange => "the drive's range ends".to_string(),
            Limit::ConditioningMargin => "LCI falls to its limit".to_string(),
            Limit::TransmissionMargin(stage) => {
                format!("transmission angle of stage {stage} falls to its limit")
            }
            Limit::BaseAxis => "type 1 singularity: tool on the base axis".to_string(),
            Limit::TurningPoint => "type 1 singularity: tool turns back".to_string(),
            Limit::TypeTwo(stage) => format!("type 2 singularity in stage {stage}"),
            Limit::ClosureLost => "the bars no longer close".to_string(),
            Limit::NaturalSpan => "full turn of the joint".to_string(),
            Limit::Clearing => "two parts come too near each other".to_string(),
        }
    }
}

/// Angles nearer than this to an end of a range lie on it, rad.
const ON_END: f64 = 1e-9;

/// A connected range of the second mechanism angle in one assembly mode.
#[derive(Debug, Clone, PartialEq)]
pub struct WorkingRange {
    /// Lower and upper end of the second mechanism angle, rad.
    pub second: [f64; 2],
    /// Signed polar angle of the tool at those ends, rad.
    pub polar_at_ends: [f64; 2],
    /// What the stages turn together at those ends, rad: the same, and more than half a turn
    /// where the tool has run round beyond 180°.
    pub turned_at_ends: [f64; 2],
    /// What ends the range at each end.
    pub limits: [Limit; 2],
    /// Range of the first mechanism angle, rad; `None` is unlimited.
    pub first: Option<[f64; 2]>,
}

impl WorkingRange {
    /// Least polar angle of the tool direction, rad.
    pub fn polar_min(&self) -> f64 {
        self.polar_at_ends[0].abs().min(self.polar_at_ends[1].abs())
    }

    /// Greatest polar angle of the tool direction, rad.
    pub fn polar_max(&self) -> f64 {
        self.polar_at_ends[0].abs().max(self.polar_at_ends[1].abs())
    }

    /// What the stages turn together, from the least to the greatest, rad, where the tool has run
    /// round beyond 180° and points back from the other side; `None` where it has not.
    pub fn turned_beyond(&self) -> Option<[f64; 2]> {
        let [one, other] = self.turned_at_ends.map(f64::abs);
        let turned = [one.min(other), one.max(other)];
        // All of a range lies on one side: the opposite pole is a singularity.
        (turned[1] > PI * (1.0 + 1e-12)).then_some(turned)
    }

    /// Which end of the second mechanism angle has the least polar angle; either may.
    pub fn inner_end(&self) -> usize {
        usize::from(self.polar_at_ends[1].abs() < self.polar_at_ends[0].abs())
    }

    /// Whether mechanism angles (rad) lie in the range, ends included.
    pub fn contains(&self, mechanism: [f64; 2]) -> bool {
        let between =
            |[low, high]: [f64; 2], angle: f64| (low - ON_END..=high + ON_END).contains(&angle);
        let [first, second] = mechanism;
        between(self.second, second)
            && self
                .first
                .is_none_or(|ends| between(ends, wrap_signed(first)) || between(ends, first))
    }

    /// Azimuths the tool can take at a second mechanism angle.
    pub fn azimuths(&self, meridian: &Meridian, second: f64) -> AzimuthSet {
        let Some([from, to]) = self.first else {
            return AzimuthSet::full();
        };
        let state = meridian.state(second);
        AzimuthSet::between(from, to).turned(state.azimuth_ahead())
    }

    /// The part of it between two second mechanism angles, rad.
    pub fn part(&self, meridian: &Meridian, second: [f64; 2]) -> Self {
        Self {
            second,
            polar_at_ends: second.map(|x| meridian.state(x).signed_polar()),
            turned_at_ends: second.map(|x| meridian.state(x).polar.value),
            ..self.clone()
        }
    }

    /// Second mechanism angle at which the tool has this polar angle, rad;
    /// `None` outside the range. The polar angle is monotone in it.
    pub fn second_for_polar(&self, meridian: &Meridian, polar: f64) -> Option<f64> {
        let value = |x: f64| meridian.state(x).polar_angle() - polar;
        let (mut lo, mut hi) = (self.second[0], self.second[1]);
        let (at_lo, at_hi) = (
            self.polar_at_ends[0].abs() - polar,
            self.polar_at_ends[1].abs() - polar,
        );
        if at_lo.abs() < 1e-12 {
            return Some(lo);
        }
        if at_hi.abs() < 1e-12 {
            return Some(hi);
        }
        if (at_lo > 0.0) == (at_hi > 0.0) {
            return None;
        }
        let rising = at_hi > 0.0;
        let mut x = lo + (hi - lo) * at_lo / (at_lo - at_hi);
        for _ in 0..100 {
            let state = meridian.state(x);
            let signed = state.signed_polar();
            let miss = signed.abs() - polar;
            if (miss > 0.0) == rising {
                hi = x;
            } else {
                lo = x;
            }
            let slope = state.polar.first * signed.signum();
            let mut next = x - miss / slope;
            if !(next > lo && next < hi) {
                next = 0.5 * (lo + hi);
            }
            if (next - x).abs() < 1e-15 * (1.0 + x.abs()) || hi - lo < 1e-15 {
                return Some(next);
            }
            x = next;
        }
        debug_assert!(value(x).abs() < 1e-9);
        Some(x)
    }
}

/// Distance of the samples between which ranges are looked for, rad: 0.5°.
const SAMPLE_STEP: f64 = PI / 360.0;

/// All connected ranges with the margins, ascending.
pub fn all_ranges(
    kinematics: &Kinematics,
    drive_range: &DriveRange,
    margins: &Margins,
) -> Vec<WorkingRange> {
    let meridian = &kinematics.meridian;
    let span = search_span(meridian, drive_range);
    let judge = |x: f64| Judgement::of(&kinematics.meridian, margins, x);
    let count = ((span[1] - span[0]) / SAMPLE_STEP).ceil() as usize;
    let count = count.clamp(16, 1440);
    let at = |i: usize| span[0] + (span[1] - span[0]) * i as f64 / count as f64;
    let samples: Vec<(f64, Judgement)> = extra_points(kinematics, margins, &at, count)
        .into_iter()
        .map(|x| (x, judge(x)))
        .collect();
    let mut ranges = Vec::new();
    let mut index = 0;
    while index < samples.len() {
        if !samples[index].1.good {
            index += 1;
            continue;
        }
        let start = index;
        while index + 1 < samples.len() && samples[index + 1].1.same_mode(&samples[start].1) {
            index += 1;
        }
        let mode = samples[start].1;
        let (lo, lo_limit) = if start == 0 {
            (samples[0].0, end_limit(drive_range))
        } else {
            refine(&judge, &mode, samples[start].0, samples[start - 1].0)
        };
        let (hi, hi_limit) = if index + 1 == samples.len() {
            (samples[index].0, end_limit(drive_range))
        } else {
            refine(&judge, &mode, samples[index].0, samples[index + 1].0)
        };
        if hi - lo > 1e-9 {
            let polar = |x: f64| meridian.state(x).signed_polar();
            ranges.push(WorkingRange {
                second: [lo, hi],
                polar_at_ends: [polar(lo), polar(hi)],
                turned_at_ends: [lo, hi].map(|x| meridian.state(x).polar.value),
                limits: [lo_limit, hi_limit],
                first: drive_range.first,
            });
        }
        index += 1;
    }
    ranges
}

pub(super) fn search_span(meridian: &Meridian, drive_range: &DriveRange) -> [f64; 2] {
    drive_range
        .second
        .unwrap_or_else(|| meridian.natural_span())
}

fn end_limit(drive_range: &DriveRange) -> Limit {
    if drive_range.second.is_some() {
        Limit::DriveRange
    } else {
        Limit::NaturalSpan
    }
}

/// A singularity function this near zero counts as zero.
const ON_ROOT: f64 = 1e-12;

/// Sample points: a grid just inside the span's ends, and the bottoms of dips
/// of any singularity function between grid points, where a double root would
/// hide from sign changes.
fn extra_points(
    kinematics: &Kinematics,
    margins: &Margins,
    at: &impl Fn(usize) -> f64,
    count: usize,
) -> Vec<f64> {
    let mut points: Vec<f64> = (0..=count).map(at).collect();
    // The ends themselves are often singular; look just inside them too.
    points.push(at(0) + 1e-10);
    points.push(at(count) - 1e-10);
    let dip = |x: f64| {
        let state = kinematics.meridian.state(x);
        if state.breaks {
            return f64::INFINITY;
        }
        let judgement = Judgement::of(&kinematics.meridian, margins, x);
        judgement.nearness
    };
    let values: Vec<f64> = (0..=count).map(|i| dip(at(i))).collect();
    for i in 1..count {
        // A sample that lies on a root, or a mode that is singular all along, needs no search.
        let is_dip = values[i] > ON_ROOT
            && values[i] < 0.05
            && values[i] <= values[i - 1]
            && values[i] <= values[i + 1];
        if is_dip && values[i].is_finite() {
            points.push(golden_minimum(at(i - 1), at(i + 1), &dip));
        }
    }
    points.sort_by(f64::total_cmp);
    points.dedup();
    points
}

/// Apexes nearer than this coincide, rad.
const ADVANCE_MIN: f64 = 1e-9;

/// Angle from the apex before a stage to the one after it, rad.
fn stage_advance(state: &MeridianState<f64>, stage: usize) -> f64 {
    let before = if stage == 0 {
        0.0
    } else {
        state.apexes[stage - 1].value
    };
    state.apexes[stage].value - before
}

/// Whether a configuration may be used, in which mode, and what forbids it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Judgement {
    pub(super) good: bool,
    /// Signs of sin θ, θ′ and every sin 2α′.
    signs: u64,
    limit: Limit,
    /// Least absolute singularity function, for finding double roots.
    nearness: f64,
}

impl Judgement {
    fn of(meridian: &Meridian, margins: &Margins, x: f64) -> Self {
        Self::of_state(meridian, margins, &meridian.state(x))
    }

    pub(super) fn of_state(
        meridian: &Meridian,
        margins: &Margins,
        state: &MeridianState<f64>,
    ) -> Self {
        if state.breaks {
            return Self {
                good: false,
                signs: 0,
                limit: Limit::ClosureLost,
                nearness: f64::INFINITY,
            };
        }
        let sine = state.polar.value.sin();
        let mut signs = u64::from(sine > 0.0) | (u64::from(state.polar.first > 0.0) << 1);
        let mut nearness = sine.abs().min(state.polar.first.abs());
        let mut limit = if sine.abs() < state.polar.first.abs() {
            Limit::BaseAxis
        } else {
            Limit::TurningPoint
        };
        let mut good = nearness > ON_ROOT;
        let needed = margins.transmission_angle_min.sin();
        for stage in 0..state.stages {
            if stage_advance(state, stage).abs() < ADVANCE_MIN {
                // Both apexes of the stage coincide: it lies folded on itself, whatever
                // its opening, and carries the tool nowhere.
                good = false;
                limit = Limit::TypeTwo(stage + 1);
            }
            let sine = (2.0 * state.distal_half_angles[stage].value).sin();
            signs |= u64::from(sine > 0.0) << (stage + 2);
            if sine.abs() < nearness {
                nearness = sine.abs();
                limit = Limit::TypeTwo(stage + 1);
            }
            if sine.abs() < ON_ROOT {
                good = false;
            }
            if good && sine.abs() < needed {
                good = false;
                limit = Limit::TransmissionMargin(stage + 1);
            }
        }
        if good && margins.lci_min > 0.0 {
            let lci = local_conditioning_index(&meridian.jacobian_of(state));
            if lci < margins.lci_min {
                good = false;
                limit = Limit::ConditioningMargin;
            }
        }
        Self {
            good,
            signs,
            limit,
            nearness,
        }
    }

    pub(super) fn same_mode(&self, other: &Self) -> bool {
        self.good && other.good && self.signs == other.signs
    }
}

/// The end of a range between a good and a bad point, by bisection, and its cause.
fn refine(
    judge: &impl Fn(f64) -> Judgement,
    mode: &Judgement,
    good: f64,
    bad: f64,
) -> (f64, Limit) {
    let (mut good, mut bad) = (good, bad);
    let mut outside = judge(bad);
    while (bad - good).abs() > 1e-14 * (1.0 + good.abs()) {
        let middle = 0.5 * (good + bad);
        if middle == good || middle == bad {
            break;
        }
        let judgement = judge(middle);
        if judgement.same_mode(mode) {
            good = middle;
        } else {
            bad = middle;
            outside = judgement;
        }
    }
    (good, outside.limit)
}

/// Distances from singularities over a part of a working range, with their places.
#[derive(Debug, Clone, PartialEq)]
pub struct RangeMargins {
    /// Least transmission angle, rad, with stage (from 1) and polar angle; `None` without stages.
    pub transmission: Option<(f64, usize, f64)>,
    /// Distance from the nearest type 1 singularity of its mode, rad of polar angle.
    pub type_one_distance: f64,
    /// What the nearest type 1 singularity is.
    pub type_one_kind: Limit,
    /// Distance from the nearest type 2 singularity of its mode, in the second mechanism
    /// angle, rad; `None` if the mode has none.
    pub type_two_distance: Option<f64>,
}

/// How far both types of singularity are from what is required, and from the whole range.
#[derive(Debug, Clone, PartialEq)]
pub struct SingularityReport {
    /// Over the part of the range that is required.
    pub required: RangeMargins,
    /// Over the whole range.
    pub range: RangeMargins,
    /// Lower bound of the transmission angle over the required part that holds between
    /// samples, rad.
    pub transmission_bound: Option<f64>,
    /// Whether interval arithmetic proved that no singularity of either type
    /// lies strictly inside the range.
    pub proved_free: bool,
    /// Evaluations the proof took.
    pub proof_evaluations: usize,
}

/// Looks at the margins of a range and of the part of it that is required (ends of the second
/// mechanism angle, rad) to both types, and proves what lies between samples of the range.
pub fn singularity_report(
    kinematics: &Kinematics,
    drive_range: &DriveRange,
    range: &WorkingRange,
    required: [f64; 2],
) -> SingularityReport {
    let meridian = &kinematics.meridian;
    let mode = all_ranges(
        kinematics,
        &DriveRange {
            first: None,
            second: drive_range.second.map(|[lo, hi]| {
                let natural = meridian.natural_span();
                [lo.min(natural[0]), hi.max(natural[1])]
            }),
        },
        &Margins::default(),
    )
    .into_iter()
    .find(|mode| {
        let middle = 0.5 * (range.second[0] + range.second[1]);
        mode.second[0] <= middle && middle <= mode.second[1]
    })
    .unwrap_or_else(|| range.clone());
    let required = range.part(meridian, required);
    let margins = |part: &WorkingRange| {
        let (type_one_distance, type_one_kind) = type_one_margin(part, &mode);
        let type_two_distance = (0..2)
            .filter(|end| {
                matches!(mode.limits[*end], Limit::TypeTwo(_) | Limit::ClosureLost)
                    || (meridian.folds_at_natural_span() && mode.limits[*end] == Limit::NaturalSpan)
            })
            .map(|end| (mode.second[end] - part.second[end]).abs())
            .reduce(f64::min);
        RangeMargins {
            transmission: least_transmission(meridian, part.second),
            type_one_distance,
            type_one_kind,
            type_two_distance,
        }
    };
    let proof = prove_free(kinematics, range);
    let of_required = margins(&required);
    SingularityReport {
        transmission_bound: of_required
            .transmission
            .and_then(|_| transmission_bound(meridian, &required)),
        required: of_required,
        range: margins(range),
        proved_free: proof.0,
        proof_evaluations: proof.1,
    }
}

/// Distance in polar angle from the range to the nearest place where the mode
/// meets a type 1 singularity.
fn type_one_margin(range: &WorkingRange, mode: &WorkingRange) -> (f64, Limit) {
    let mut best = (range.polar_min(), Limit::BaseAxis);
    let far = PI - range.polar_max();
    if far < best.0 {
        best = (far, Limit::BaseAxis);
    }
    for end in 0..2 {
        if mode.limits[end] == Limit::TurningPoint || mode.limits[end] == Limit::NaturalSpan {
            let distance = (mode.polar_at_ends[end] - range.polar_at_ends[end]).abs();
            if distance < best.0 {
                best = (distance, Limit::TurningPoint);
            }
        }
    }
    best
}

/// Angle of 2α′ from 0° and 180°, rad in [0, π/2].
pub fn transmission_angle(distal_half_angle: f64) -> f64 {
    (2.0 * distal_half_angle).sin().abs().min(1.0).asin()
}

/// Least transmission angle of a state with its stage (from 1).
pub fn state_transmission(state: &MeridianState<f64>) -> Option<(f64, usize)> {
    (0..state.stages)
        .map(|i| (transmission_angle(state.distal_half_angles[i].value), i + 1))
        .min_by(|a, b| a.0.total_cmp(&b.0))
}

/// Least transmission angle of a pose, rad, with its stage (from 1) where there are stages;
/// `None` where no type 2 singularity exists.
pub fn transmission_at(kinematics: &Kinematics, pose: &Pose) -> Option<(f64, Option<usize>)> {
    if let Some(by) = kinematics.by_direction() {
        let placed = by.at(&pose.direction.vector())?;
        return placed.type_two.map(|angle| (angle, None));
    }
    let state = kinematics.meridian.state(pose.mechanism[1]);
    state_transmission(&state).map(|(angle, stage)| (angle, Some(stage)))
}

/// Steps at which the least transmission angle is looked for before it is drawn out.
const TRANSMISSION_STEPS: u32 = 400;

/// Least transmission angle between two second mechanism angles, rad, with its stage (from 1)
/// and polar angle; `None` without stages.
pub fn least_transmission(meridian: &Meridian, [lo, hi]: [f64; 2]) -> Option<(f64, usize, f64)> {
    let at = |step: u32| lo + (hi - lo) * f64::from(step) / f64::from(TRANSMISSION_STEPS);
    let angle =
        |x: f64| state_transmission(&meridian.state(x)).map_or(f64::INFINITY, |(angle, _)| angle);
    let least = (0..=TRANSMISSION_STEPS).min_by(|a, b| angle(at(*a)).total_cmp(&angle(at(*b))))?;
    let beside = [least.saturating_sub(1), (least + 1).min(TRANSMISSION_STEPS)].map(at);
    let drawn_out = golden_minimum(beside[0], beside[1], &angle);
    // Golden section never looks at the ends.
    let x = if angle(drawn_out) < angle(at(least)) {
        drawn_out
    } else {
        at(least)
    };
    let state = meridian.state(x);
    state_transmission(&state).map(|(angle, stage)| (angle, stage, state.polar_angle()))
}

/// sin²2α′ of the least stage as a lower bound over the whole range.
fn transmission_bound(meridian: &Meridian, range: &WorkingRange) -> Option<f64> {
    (0..meridian.loops())
        .map(|stage| {
            lower_bound(range.second[0], range.second[1], 1e-5, |x| {
                let state = defined(meridian.state(x))?;
                let sine = state.distal_half_angles[stage].scaled(2.0).sin();
                let square = sine * sine;
                Some((square.value, square.first))
            })
            .map(|square| square.clamp(0.0, 1.0).sqrt().asin())
        })
        .try_fold(f64::INFINITY, |least, bound| Some(least.min(bound?)))
}

fn defined<T: Scalar>(state: MeridianState<T>) -> Option<MeridianState<T>> {
    (!state.breaks).then_some(state)
}

/// Singularity functions of a state: sin θ, θ′ and every sin 2α′.
fn singularity_functions<T: Scalar>(state: &MeridianState<T>) -> Vec<Jet<T>> {
    let mut functions = vec![state.polar.sin(), state.polar.derivative()];
    for stage in 0..state.stages {
        functions.push(state.distal_half_angles[stage].scaled(2.0).sin());
    }
    functions
}

/// Isolates the roots of every singularity function over a span of the second
/// mechanism angle: the rigorous counterpart of the sampled ranges.
pub fn isolate_singularities(meridian: &Meridian, span: [f64; 2]) -> Vec<Isolation> {
    (0..meridian.loops() + 2)
        .map(|index| {
            isolate(span[0], span[1], |x: Enclosure| -> Evaluation {
                let state = meridian.state(x);
                if state.breaks {
                    return None;
                }
                let function = singularity_functions(&state)[index];
                Some((function.value, function.first))
            })
        })
        .collect()
}

/// Whether no singularity function can vanish strictly inside the range.
fn prove_free(kinematics: &Kinematics, range: &WorkingRange) -> (bool, usize) {
    // Ends at a singularity are singular themselves; the proof is for the inside.
    let inset = 1e-7 * (range.second[1] - range.second[0]).max(1e-3);
    let found = isolate_singularities(
        &kinematics.meridian,
        [range.second[0] + inset, range.second[1] - inset],
    );
    let free = found.iter().all(|isolation| {
        isolation.roots.is_empty()
            && isolation.unresolved.is_empty()
            && isolation.undefined.is_empty()
    });
    (free, found.iter().map(|i| i.evaluations).sum())
}
