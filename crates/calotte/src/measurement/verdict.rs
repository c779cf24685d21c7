//! What a fit says of the prototype: whether it is the design within what workshops leave,
//! which parameters are off, and what one would remake or set anew.

use super::faults::Explanation;
use super::fit::PointFit;
use crate::family::real::{Cause, PhysicalModel};

/// One parameter that is further off than workshops leave.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Off {
    /// Position in the model's list.
    pub index: usize,
    /// The fit's value less the design's, SI: the number that the fit prints of it.
    pub by: f64,
    /// Standard error of it, SI; `None` for a parameter that is held.
    pub standard_error: Option<f64>,
    /// By how much in typical errors.
    pub in_typical: f64,
}

/// How a verdict stands to one part.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Standing {
    /// At fault for certain.
    AtFault,
    /// The points do not decide whether it is at fault.
    InQuestion,
    /// No fault of it would have been seen.
    NotJudged,
    /// Within tolerance by all explanations that are listed.
    Sound,
}

/// What to do about the cause that explains most.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Remedy {
    /// Make this bar anew.
    RemakeBar(String),
    /// Set this zero anew in the drive.
    SetZero(String),
    /// Enter this scale in the drive.
    SetScale(String),
    /// Take the backlash out of this drive.
    TakeOutBacklash(String),
    /// Bring the base axes into one line through the centre.
    AlignBase,
}

/// Why points cannot be those of a prototype of the design.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Unlike {
    /// The best fit misses them by so much, root mean square, m.
    Misses(f64),
    /// The sensor would sit so far from the centre, m.
    Radius(f64),
}

/// What points say of the prototype.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Outcome {
    /// It is the design within workshop tolerance, and a fault would have been seen.
    Agrees,
    /// It is not.
    Deviates,
    /// The points hold something that no linkage does: no parameter is to be believed.
    LackOfFit,
    /// The points decide neither.
    Undecided,
    /// They are not points of this design.
    NotOfThisDesign,
}

/// A prototype judged.
#[derive(Debug, Clone, PartialEq)]
pub struct Judged {
    /// What the points say.
    pub outcome: Outcome,
    /// Whether that is agreement.
    pub agrees: bool,
    /// Why the points cannot be of this design at all; then nothing else is judged.
    pub unlike: Option<Unlike>,
    /// Parameters beyond tolerance in the most probable explanation, worst first.
    pub off: Vec<Off>,
    /// What to do about the parts that are at fault for certain.
    pub remedies: Vec<Remedy>,
    /// How many of the fit's explanations, the most probable first, account for all but a
    /// twentieth of what is probable besides all being within tolerance; one alone is certain.
    /// None where most probably nothing is beyond tolerance.
    pub listed: usize,
    /// Parts that all of these have.
    pub certain: Vec<Cause>,
    /// What each of these has besides, with its probability among them: the points do not tell
    /// which it is. Empty where there is but one explanation.
    pub alternatives: Vec<(Vec<Cause>, f64)>,
    /// Probability that all parts are within tolerance.
    pub within: f64,
    /// Whether the points lie further off the design than parts within tolerance let expect.
    pub far: bool,
    /// Parameters of which no fault of a size that is meant would have been seen, by position.
    pub unseen: Vec<usize>,
}

/// Probability of a fault from which the prototype deviates (common practice, no source).
const CERTAIN: f64 = 0.95;
/// Probability of a fault up to which it agrees.
const DOUBTFUL: f64 = 0.5;
/// Probability of one part to be at fault from which agreement is not said (common practice,
/// no source).
const SUSPECT: f64 = 0.25;
/// How much further off than tolerances let expect points may lie for agreement to be said
/// (common practice, no source).
const FAR: f64 = 2.5;
/// Greatest share of parts that are not judged, and named, for agreement to be said of the
/// others (common practice, no source): every linkage has some that no tracker tells.
const UNSEEN_MAX: f64 = 0.25;
/// Share of the sensor's distance from the centre that no prototype of a design is off by
/// all over (common practice, no source).
const OFF_ALL_OVER: f64 = 0.05;
/// Ratio of the sensor's found and designed distance that no mounting explains.
const RADIUS_RATIO: f64 = 2.0;

/// Whether points can be of a prototype of the design at all.
fn unlike(model: &PhysicalModel, fit: &PointFit) -> Option<Unlike> {
    let designed = model.parameters[model.sensor_radius()].nominal;
    let found = fit.values[model.sensor_radius()];
    let ratio = found / designed;
    if !(1.0 / RADIUS_RATIO..=RADIUS_RATIO).contains(&ratio) {
        return Some(Unlike::Radius(found));
    }
    let rms = fit.noise * 3f64.sqrt();
    (rms > OFF_ALL_OVER * designed).then_some(Unlike::Misses(rms))
}

/// Judges a fit.
pub fn judged(model: &PhysicalModel, fit: &PointFit) -> Judged {
    let within: f64 = fit
        .explanations
        .iter()
        .filter(|one| one.parts.is_empty())
        .map(|one| one.probability)
        .sum();
    let unlike = unlike(model, fit);
    let faulty: Vec<&Explanation> = fit
        .explanations
        .iter()
        .filter(|one| !one.parts.is_empty())
        .collect();
    let all: f64 = faulty.iter().map(|one| one.probability).sum();
    let (unseen, parts) = unseen(model, fit);
    let suspect = fit.causes.iter().any(|one| one.probability > SUSPECT);
    let far = is_far(fit);
    let expected = within >= DOUBTFUL && !suspect && !far;
    let judges = unseen.len() as f64 <= UNSEEN_MAX * parts as f64;
    let outcome = if unlike.is_some() {
        Outcome::NotOfThisDesign
    } else if fit.lack_of_fit.is_found() {
        Outcome::LackOfFit
    } else if within <= 1.0 - CERTAIN && !faulty.is_empty() {
        Outcome::Deviates
    } else if expected && judges {
        Outcome::Agrees
    } else {
        Outcome::Undecided
    };
    let mut listed = 0;
    let mut told = 0.0;
    if !expected {
        while listed < faulty.len() && told < CERTAIN * all {
            told += faulty[listed].probability;
            listed += 1;
        }
    }
    let listed_ones = &faulty[..listed];
    let off: Vec<Off> = listed_ones.first().map_or_else(Vec::new, |one| {
        let off = one.off.iter().map(|(index, _)| {
            let described = &model.parameters[*index];
            let by = fit.values[*index] - described.nominal;
            Off {
                index: *index,
                by,
                standard_error: fit.parameters[*index].standard_error,
                in_typical: by.abs() / described.typical,
            }
        });
        off.collect()
    });
    let certain: Vec<Cause> = listed_ones.first().map_or_else(Vec::new, |one| {
        let in_all = |part: &&Cause| listed_ones.iter().all(|other| other.parts.contains(part));
        one.parts.iter().filter(in_all).cloned().collect()
    });
    let mut alternatives: Vec<(Vec<Cause>, f64)> = Vec::new();
    if listed > 1 {
        for one in listed_ones {
            let besides = one.parts.iter().filter(|part| !certain.contains(part));
            alternatives.push((besides.cloned().collect(), one.probability / told));
        }
    }
    let sure = outcome == Outcome::Deviates;
    let remedies = certain.iter().filter(|_| sure).filter_map(remedy).collect();
    Judged {
        outcome,
        agrees: outcome == Outcome::Agrees,
        remedies,
        unlike,
        off,
        listed,
        certain,
        alternatives,
        within,
        far,
        unseen,
    }
}

impl Judged {
    /// How the verdict stands to a part: the one source of what is called at fault, open or
    /// sound.
    pub fn standing(&self, model: &PhysicalModel, part: &Cause) -> Standing {
        let is_of = |index: &usize| model.parameters[*index].cause == *part;
        let besides = || self.alternatives.iter().flat_map(|(parts, _)| parts);
        match self.outcome {
            Outcome::NotOfThisDesign => Standing::NotJudged,
            _ if *part == Cause::Sensor => Standing::Sound,
            Outcome::LackOfFit => Standing::InQuestion,
            Outcome::Deviates if self.certain.contains(part) => Standing::AtFault,
            _ if self.certain.contains(part) || besides().any(|one| one == part) => {
                Standing::InQuestion
            }
            Outcome::Undecided if self.listed == 0 && self.far => Standing::InQuestion,
            _ if self.unseen.iter().any(is_of) => Standing::NotJudged,
            _ => Standing::Sound,
        }
    }
}

/// Whether the points lie further off the design than tolerances let expect.
fn is_far(fit: &PointFit) -> bool {
    let squares = fit.before.iter().map(|miss| miss.norm_squared());
    let counted = squares.zip(&fit.counted).filter(|(_, counts)| **counts);
    let squares: f64 = counted.map(|(square, _)| square).sum();
    squares > FAR * FAR * fit.expected.powi(2) * fit.used.len() as f64
}

/// What to do about a part; where the sensor sits is nobody's fault.
fn remedy(cause: &Cause) -> Option<Remedy> {
    Some(match cause {
        Cause::Bar(name) => Remedy::RemakeBar(name.clone()),
        Cause::Zero(name) => Remedy::SetZero((*name).to_string()),
        Cause::Scale(name) => Remedy::SetScale((*name).to_string()),
        Cause::Backlash(name) => Remedy::TakeOutBacklash((*name).to_string()),
        Cause::BaseAxes => Remedy::AlignBase,
        Cause::Sensor => return None,
    })
}

/// Parts of which no parameter's fault would have been seen, its first one standing for each,
/// and how many parts there are.
fn unseen(model: &PhysicalModel, fit: &PointFit) -> (Vec<usize>, usize) {
    let mut parts: Vec<(&Cause, usize, bool)> = Vec::new();
    for one in &fit.parameters {
        let described = &model.parameters[one.index];
        if described.cause == Cause::Sensor || one.standard_error.is_none() {
            continue;
        }
        let seen = one.seen.is_some();
        match parts.iter_mut().find(|part| *part.0 == described.cause) {
            Some(part) => part.2 |= seen,
            None => parts.push((&described.cause, one.index, seen)),
        }
    }
    let unseen = parts.iter().filter(|part| !part.2);
    (unseen.map(|part| part.1).collect(), parts.len())
}
