//! The search: every island gone through by itself, from angles that reach the region to
//! candidates that meet every limit.
//!
//! First angles alone are screened in closed form, which takes microseconds, for those that
//! cover the region with the margins asked for, spread between great GCI and short arcs. From
//! them candidates with sizes go on. Each is looked at in steps, from the cheapest: what it
//! reaches; then its objectives at three polar angles, which are never worse than over the whole
//! region, so that what the front beats already there is beaten; then all limits, over the rings
//! of the search. Limits are compared by kind before degree: what cannot move, what covers too
//! little, what misses limits at nominal values, what misses them in the stated uncertainty.
//!
//! No objective gains by covering less than the brief asks: whatever covers less meets no limit
//! and is behind all that does. Of what covers as much as is asked, the worst values are taken
//! over all that is covered, as the analysis takes them.

use std::sync::{Arc, Mutex, PoisonError};

use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;
use rayon::prelude::*;

use crate::analysis::Requirements;
use crate::analysis::point::StiffnessScalars;
use crate::analysis::ring::pose_at;
use crate::analysis::values::{Source, source, worse};
use crate::brief::{Brief, Objective};
use crate::evolution::{self, Answer, Front, Gene, Genome, Merit, Problem, Settings, Violation};
use crate::kinematics::Meridian;
use crate::kinematics::screen::{Screen, Screened};
use crate::quantity::{Quantity, Standing};
use crate::subject::{Model, Motion, Subject};

use super::complete::complete_on;
use super::evaluate::{Outcome, evaluate};
use super::grid::mount;
use super::island::{Island, islands};
use super::verdict::{Depth, JudgedBy, Verdict};

/// How much is looked at. Effort is counted, never timed, so that the same is found on any
/// machine.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Effort {
    /// Angles screened on each island for each of its free angles, before
    /// [`screened_most`](Self::screened_most).
    pub screened: usize,
    /// Candidates looked at on each island for each of its free angles and once more, before
    /// [`looked_at_most`](Self::looked_at_most).
    pub looked_at: usize,
    /// Where random numbers begin.
    pub seed: u64,
}

impl Default for Effort {
    fn default() -> Self {
        Self {
            screened: 1000,
            looked_at: 100,
            seed: 1,
        }
    }
}

impl Effort {
    /// Angles that are screened on an island at most. Where parts lie in layers these take their
    /// share of what angles reach, so that the best angles by themselves are not worth as much.
    pub fn screened_most(&self, brief: &Brief, island: &Island) -> usize {
        let usual = self.screened * island.free_angles();
        match brief.layers {
            Some(_) => usual,
            None => (4 * usual).min(SCREENED_MOST.max(usual)),
        }
    }

    /// Candidates that are looked at on an island at most; twice as many where parts lie in layers.
    pub fn looked_at_most(&self, brief: &Brief, island: &Island) -> usize {
        let usual = self.looked_at * (island.free_angles() + 1);
        match brief.layers {
            Some(_) => 2 * usual,
            None => usual,
        }
    }
}

/// What was judged before, and what is to be kept.
pub trait Store: Sync {
    /// What was found of a genome of an island; `None` where it was not judged.
    fn known(&self, island: usize, genome: &Genome) -> Option<Verdict>;
    /// Keeps what was found.
    fn keep(&self, island: usize, genome: &Genome, verdict: &Verdict);
    /// Whether the search is to stop.
    fn stopped(&self) -> bool;
    /// Told after every turn of an island: candidates looked at so far, members of its front.
    fn turned(&self, _island: usize, _looked_at: usize, _front: usize) {}
}

/// Nothing is known, and nothing is kept.
pub struct NoStore;

impl Store for NoStore {
    fn known(&self, _: usize, _: &Genome) -> Option<Verdict> {
        None
    }
    fn keep(&self, _: usize, _: &Genome, _: &Verdict) {}
    fn stopped(&self) -> bool {
        false
    }
}

/// What was found on one island.
#[derive(Debug, Clone, PartialEq)]
pub struct IslandFound {
    /// The island.
    pub island: Island,
    /// Angles screened.
    pub screened: usize,
    /// Candidates that were not judged wholly, as they reach too little.
    pub short_of_reach: usize,
    /// Candidates beaten before they were judged wholly.
    pub beaten: usize,
    /// Candidates judged.
    pub judged: usize,
}

/// What a search found.
#[derive(Debug, Clone, PartialEq)]
pub struct Explored {
    /// Every candidate that was judged, by island, then by genome.
    pub outcomes: Vec<Outcome>,
    /// Island and genome of each.
    pub genomes: Vec<(usize, Genome)>,
    /// Its counts, by island.
    pub islands: Vec<IslandFound>,
}

/// What was found on an island, with all that was judged, by genome.
type OneFound = (IslandFound, Vec<(Genome, Verdict)>);

/// Searches all islands of a brief; `None` where it was stopped.
pub fn explore(brief: &Brief, effort: &Effort, store: &dyn Store) -> Option<Explored> {
    explore_islands(brief, &islands(brief), effort, store)
}

/// Searches some islands.
pub fn explore_islands(
    brief: &Brief,
    islands: &[Island],
    effort: &Effort,
    store: &dyn Store,
) -> Option<Explored> {
    let requirements = Requirements::from_brief(brief);
    let found: Option<Vec<OneFound>> = islands
        .par_iter()
        .map(|island| explore_one(brief, &requirements, island, effort, store))
        .collect();
    let mut explored = Explored {
        outcomes: Vec::new(),
        genomes: Vec::new(),
        islands: Vec::new(),
    };
    for (found, judged) in found? {
        for (genome, verdict) in judged {
            explored.outcomes.push(Outcome {
                candidate: found.island.candidate(brief, &genome),
                verdict,
            });
            explored.genomes.push((found.island.index, genome));
        }
        explored.islands.push(found);
    }
    for (index, outcome) in explored.outcomes.iter_mut().enumerate() {
        outcome.candidate.index = index;
    }
    Some(explored)
}

/// Angles screened on an island, where this is more than usual: many stages rarely lead.
const SCREENED_MOST: usize = 20_000;
/// Most angles that sizes are first put to.
const STARTS: usize = 40;
/// Sizes that each of them is tried with at first.
const SIZES: usize = 2;

/// What random numbers of an island are for; each has its own.
#[derive(Clone, Copy)]
enum Use {
    Angles = 1,
    Sizes,
    Candidates,
}

/// Bits well mixed: the finaliser of splitmix64 (Steele, Lea, Flood, OOPSLA 2014, from memory).
fn mixed(bits: u64) -> u64 {
    let bits = bits.wrapping_add(0x9E37_79B9_7F4A_7C15);
    let bits = (bits ^ (bits >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
    let bits = (bits ^ (bits >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
    bits ^ (bits >> 31)
}

fn explore_one(
    brief: &Brief,
    requirements: &Requirements,
    island: &Island,
    effort: &Effort,
    store: &dyn Store,
) -> Option<OneFound> {
    let mut found = IslandFound {
        island: island.clone(),
        screened: 0,
        short_of_reach: 0,
        beaten: 0,
        judged: 0,
    };
    let seed = |use_of: Use| mixed(effort.seed ^ mixed(island.identity() ^ mixed(use_of as u64)));
    let before = island.candidate(brief, &vec![0; island.genes().len()]);
    let before = before.before_layers(brief);
    let base = mount(brief, island.mount_tilt).base_from_world();
    let region = requirements.region.rotated(&base);
    let screen = Screen::new(&region, requirements.margins, before.drives.range);
    let screening = Screening {
        brief,
        island,
        screen: &screen,
        coverage_min: requirements.coverage_min.unwrap_or(0.0),
    };
    let screened_most = effort.screened_most(brief, island);
    let angles = evolution::run(
        &screening,
        &[],
        &Settings {
            population: 60,
            children: 30,
            evaluations: screened_most,
            idle: 300 + screened_most / 8,
            front: 4 * STARTS,
            seed: seed(Use::Angles),
        },
        &mut |_, _| (),
    );
    found.screened = angles.judged;
    if store.stopped() {
        return None;
    }
    let mut random = ChaCha8Rng::seed_from_u64(seed(Use::Sizes));
    let reaching: Vec<&Genome> = if angles.front.is_empty() {
        // The nearest, for what is said of the island.
        let near = angles.population.iter().map(|member| &member.genome);
        near.take(4).collect()
    } else {
        let objectives: Vec<&[f64]> = angles
            .front
            .iter()
            .map(|member| member.merit.objectives.as_slice())
            .collect();
        let spread = evolution::spread(&objectives, STARTS);
        spread
            .into_iter()
            .map(|place| &angles.front[place].genome)
            .collect()
    };
    let mut starts = Vec::new();
    for genome in reaching {
        for _ in 0..SIZES {
            let mut start = genome.clone();
            let sizes = &island.genes()[start.len()..];
            start.extend(
                sizes
                    .iter()
                    .map(|gene| random.random_range(0..=gene.last())),
            );
            starts.push(start);
        }
    }
    let judging = Judging {
        brief,
        requirements,
        island,
        screening: &screening,
        store,
        all: angles.front.is_empty(),
        judged: Mutex::new(Vec::new()),
    };
    let looked_at = if angles.front.is_empty() {
        // Nothing reaches the region: a short look says what comes nearest.
        starts.len()
    } else {
        effort.looked_at_most(brief, island)
    };
    let run = evolution::run(
        &judging,
        &starts,
        &Settings {
            population: 48,
            children: 24,
            evaluations: looked_at,
            idle: looked_at / 2,
            front: 400,
            seed: seed(Use::Candidates),
        },
        &mut |front, looked_at| {
            store.turned(island.index, looked_at, front.members().len());
        },
    );
    if run.stopped {
        return None;
    }
    let judged = judging.judged.into_inner();
    let mut judged = judged.unwrap_or_else(PoisonError::into_inner);
    judged.sort_by(|a, b| a.0.cmp(&b.0));
    found.beaten = run.beaten;
    found.short_of_reach = run.judged - judged.len();
    found.judged = judged.len();
    Some((found, judged))
}

/// Angles alone: covering the region, with great GCI and short arcs.
struct Screening<'a> {
    brief: &'a Brief,
    island: &'a Island,
    screen: &'a Screen,
    coverage_min: f64,
}

/// How far coverage of the screening may lie off.
const SCREEN_ERROR: f64 = 4e-3;
/// How far GCI of the screening may lie off.
const SCREEN_GCI_ERROR: f64 = 1e-2;

impl Screening<'_> {
    /// How far angles miss the region, and what they reach.
    fn look(&self, genome: &Genome) -> (Violation, Option<Screened>, f64) {
        let design = self.island.candidate(self.brief, genome);
        let design = design.before_layers(self.brief);
        let arcs = design.family.total_arc();
        let screened = Meridian::of(&design)
            .ok()
            .and_then(|meridian| self.screen.look(&meridian));
        let violation = match &screened {
            // The longer the arcs, the likelier there is a range at all.
            None => Violation {
                kind: 5,
                degree: 1.0 / (1.0 + arcs),
            },
            Some(screened) if screened.coverage < self.coverage_min - SCREEN_ERROR => Violation {
                kind: 4,
                degree: self.coverage_min - screened.coverage,
            },
            Some(_) => Violation::NONE,
        };
        (violation, screened, arcs)
    }
}

impl Problem for Screening<'_> {
    type Found = ();

    fn genes(&self) -> &[Gene] {
        self.island.angle_genes()
    }

    fn judge(&self, genome: &Genome, _: &Front<()>) -> Answer<()> {
        let (violation, screened, arcs) = self.look(genome);
        let gci = screened.map_or(0.0, |screened| screened.gci);
        let objectives = vec![-gci, arcs];
        Answer::Judged(
            Merit {
                violation,
                objectives,
            },
            (),
        )
    }
}

/// Whole candidates.
struct Judging<'a> {
    brief: &'a Brief,
    requirements: &'a Requirements,
    island: &'a Island,
    screening: &'a Screening<'a>,
    store: &'a dyn Store,
    /// Whether what reaches too little is judged wholly too: where nothing reaches enough, the
    /// nearest says how far it is.
    all: bool,
    judged: Mutex<Vec<(Genome, Verdict)>>,
}

/// Where in the screened range objectives are first looked at, as shares of it: inside it, so
/// that its own error takes nothing in that is not covered.
const FIRST_LOOKS: [f64; 3] = [0.005, 0.5, 0.995];

impl Judging<'_> {
    fn keep(&self, genome: &Genome, verdict: Verdict) -> Answer<()> {
        let merit = merit(&verdict, &self.brief.objectives);
        let mut judged = self.judged.lock().unwrap_or_else(PoisonError::into_inner);
        judged.push((genome.clone(), verdict));
        Answer::Judged(merit, ())
    }

    /// What a candidate is, or why it is none.
    fn subject(&self, genome: &Genome) -> Result<Subject, Box<Verdict>> {
        let candidate = self.island.candidate(self.brief, genome);
        let not_built = |reason: String| {
            let reason = format!("cannot be built: {reason}");
            Box::new(Verdict::stopped(Depth::NotBuilt, reason))
        };
        let before = candidate.before_layers(self.brief);
        let motion = self.requirements.motion(&before);
        let motion: Arc<Motion> = Arc::new(motion.map_err(|error| not_built(error.to_string()))?);
        let design = complete_on(self.brief, &candidate, &motion).map_err(not_built)?;
        Subject::on(&motion, design).map_err(|error| not_built(error.to_string()))
    }

    /// Objectives that are never worse than the true ones, less is better.
    fn at_best(&self, model: &Model, screened: &Screened) -> Vec<f64> {
        let [low, high] = screened.second;
        let mut scalars: Option<Option<Vec<StiffnessScalars>>> = None;
        let objectives = self.brief.objectives.iter().map(|objective| {
            let quantity = objective.quantity;
            // What is wanted the other way round has its worst value on no side.
            let plain = objective.maximise == quantity.more_is_better();
            let value = match source(quantity) {
                Source::Linkage(value) => Some(value(model)),
                Source::Reached(_) if quantity == Quantity::Gci && plain => {
                    Some(screened.gci + SCREEN_GCI_ERROR)
                }
                Source::Compliance(value) if plain => {
                    let known = scalars.get_or_insert_with(|| {
                        let at = FIRST_LOOKS.map(|share| low + (high - low) * share);
                        at.into_iter()
                            .map(|second| scalars_at(model, second))
                            .collect()
                    });
                    let known = known.as_ref();
                    known.and_then(|known| {
                        let values = known.iter().map(value);
                        values.reduce(|a, b| worse(quantity, a, b))
                    })
                }
                _ => None,
            };
            let value = value.filter(|value| !value.is_nan());
            let sign = if objective.maximise { -1.0 } else { 1.0 };
            value.map_or(f64::NEG_INFINITY, |value| sign * value)
        });
        objectives.collect()
    }
}

fn scalars_at(model: &Model, second: f64) -> Option<StiffnessScalars> {
    let pose = pose_at(model, second, 0.0).ok()?;
    let solved = model
        .structure
        .solve(&pose.configuration, &pose.frame)
        .ok()?;
    Some(StiffnessScalars::of(&solved.tip_compliance()))
}

impl Problem for Judging<'_> {
    type Found = ();

    fn genes(&self) -> &[Gene] {
        self.island.genes()
    }

    fn judge(&self, genome: &Genome, front: &Front<()>) -> Answer<()> {
        if let Some(verdict) = self.store.known(self.island.index, genome) {
            return self.keep(genome, verdict);
        }
        if self.store.stopped() {
            return Answer::Stopped;
        }
        let (violation, screened, _) = self.screening.look(genome);
        let screened = screened.filter(|_| violation.is_none());
        if screened.is_none() && !self.all {
            let objectives = Vec::new();
            return Answer::Judged(
                Merit {
                    violation,
                    objectives,
                },
                (),
            );
        }
        let verdict = match self.subject(genome) {
            Err(verdict) => *verdict,
            Ok(subject) => {
                if let (Ok(model), Some(screened)) = (subject.model(), screened)
                    && front.covers(&self.at_best(model, &screened))
                {
                    return Answer::Beaten;
                }
                evaluate(&subject, self.requirements)
            }
        };
        self.store.keep(self.island.index, genome, &verdict);
        self.keep(genome, verdict)
    }
}

/// What a verdict is worth.
fn merit(verdict: &Verdict, objectives: &[Objective]) -> Merit {
    let share = |standing: &Standing| standing.missed_by().map_or(1.0, |by| by / (1.0 + by));
    let missed = || verdict.missed.iter();
    let of_reach =
        |(quantity, _): &&(Quantity, Standing)| matches!(source(*quantity), Source::Reached(_));
    let sum = |shares: &mut dyn Iterator<Item = f64>| shares.sum::<f64>();
    let reach = sum(&mut missed()
        .filter(of_reach)
        .map(|(_, standing)| share(standing)));
    let all = sum(&mut missed().map(|(_, standing)| share(standing)));
    let (kind, degree) = match verdict.depth {
        Depth::NotBuilt => (6, 1.0),
        Depth::NoRange => (5, 1.0),
        Depth::Reach if reach > 0.0 => (4, reach),
        Depth::Reach => (3, 1.0 + all),
        Depth::Whole if reach > 0.0 => (4, reach),
        Depth::Whole if all > 0.0 && verdict.judged_by == JudgedBy::Nominal => (2, all),
        Depth::Whole if !verdict.missed.is_empty() => (1, all),
        Depth::Whole => (0, 0.0),
    };
    let values = objectives.iter().map(|objective| {
        let score = verdict.objective(objective);
        score.map_or(f64::INFINITY, |score| -score)
    });
    Merit {
        violation: Violation { kind, degree },
        objectives: values.collect(),
    }
}
