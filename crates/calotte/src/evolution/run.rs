//! The loop: children, judged side by side, and who stays.

use std::collections::HashSet;

use rand::SeedableRng;
use rand_chacha::ChaCha8Rng;
use rayon::prelude::*;

use super::front::{Front, Member};
use super::genome::{Gene, Genome, any, within};
use super::merit::Merit;
use super::selection::survivors;
use super::variation::Parents;

/// What is to be solved.
pub trait Problem: Sync {
    /// What else is found of a genome.
    type Found: Send + Sync + Clone;

    /// What varies.
    fn genes(&self) -> &[Gene];

    /// What a genome is worth. It may be found beaten early, by what the front holds; the
    /// front is the same for all genomes of one turn, so that answers do not depend on threads.
    fn judge(&self, genome: &Genome, front: &Front<Self::Found>) -> Answer<Self::Found>;
}

/// What a genome is worth.
#[derive(Debug, Clone, PartialEq)]
pub enum Answer<T> {
    /// It was judged.
    Judged(Merit, T),
    /// A member of the front is at least as good in every objective.
    Beaten,
    /// It was not judged: the run is to end.
    Stopped,
}

/// How long and how widely is searched.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Settings {
    /// Members of the population.
    pub population: usize,
    /// Children judged side by side.
    pub children: usize,
    /// Genomes judged or found beaten before it ends.
    pub evaluations: usize,
    /// It ends earlier after so many in a row that gave the front nothing, and nothing better
    /// where it is empty.
    pub idle: usize,
    /// Members the front keeps, about.
    pub front: usize,
    /// Where the random numbers begin.
    pub seed: u64,
}

/// What a run found.
#[derive(Debug, Clone, PartialEq)]
pub struct Outcome<T> {
    /// The non-dominated that meet every limit.
    pub front: Vec<Member<T>>,
    /// The last population.
    pub population: Vec<Member<T>>,
    /// Genomes judged.
    pub judged: usize,
    /// Genomes found beaten early.
    pub beaten: usize,
    /// Whether it was stopped.
    pub stopped: bool,
}

/// Searches, from given genomes where there are some.
///
/// # Arguments
/// - `starts`: genomes to begin with, as many as there are; the rest of the first population is
///   random where there are fewer than a quarter of it.
/// - `watch`: called after every turn with the front and the genomes judged or beaten.
pub fn run<P: Problem>(
    problem: &P,
    starts: &[Genome],
    settings: &Settings,
    watch: &mut dyn FnMut(&Front<P::Found>, usize),
) -> Outcome<P::Found> {
    let genes = problem.genes();
    let mut random = ChaCha8Rng::seed_from_u64(settings.seed);
    let mut seen: HashSet<Genome> = HashSet::new();
    let mut front = Front::new(settings.front);
    let mut population: Vec<Member<P::Found>> = Vec::new();
    let (mut judged, mut beaten, mut idle) = (0, 0, 0);
    let mut turn: Vec<Genome> = Vec::new();
    for start in starts {
        let start = within(genes, start);
        if seen.insert(start.clone()) {
            turn.push(start);
        }
    }
    let wanted = turn
        .len()
        .max(settings.population / 4)
        .max(settings.population.min(8));
    fill(&mut turn, wanted, &mut seen, || any(genes, &mut random));
    let mut stopped = false;
    while !turn.is_empty() && !stopped {
        let answers: Vec<Answer<P::Found>> = turn
            .par_iter()
            .map(|genome| problem.judge(genome, &front))
            .collect();
        for (genome, answer) in turn.drain(..).zip(answers) {
            match answer {
                Answer::Stopped => stopped = true,
                Answer::Beaten => {
                    beaten += 1;
                    idle += 1;
                }
                Answer::Judged(merit, found) => {
                    judged += 1;
                    let member = Member {
                        genome,
                        merit,
                        found,
                    };
                    idle = if front.take(member.clone()) || is_nearer(&member, &population) {
                        0
                    } else {
                        idle + 1
                    };
                    population.push(member);
                }
            }
        }
        population = survivors(population, settings.population);
        watch(&front, judged + beaten);
        let left = settings.evaluations.saturating_sub(judged + beaten);
        if left == 0 || idle >= settings.idle {
            break;
        }
        let parents = Parents {
            front: front
                .members()
                .iter()
                .map(|member| &member.genome)
                .collect(),
            population: population.iter().map(|member| &member.genome).collect(),
        };
        fill(&mut turn, settings.children.min(left), &mut seen, || {
            parents.child(genes, &mut random)
        });
    }
    Outcome {
        front: front.into_members(),
        population,
        judged,
        beaten,
        stopped,
    }
}

/// Whether it misses limits less than anything in the population, none of which meets them.
fn is_nearer<T>(member: &Member<T>, population: &[Member<T>]) -> bool {
    let mut others = population.iter();
    others.all(|other| {
        let own = &member.merit.violation;
        !other.merit.violation.is_none() && own.order(&other.merit.violation).is_lt()
    })
}

/// Tries for a new genome before one is given up.
const TRIES: usize = 30;

/// Fills a turn with genomes not seen yet, as far as new ones are found.
fn fill(
    turn: &mut Vec<Genome>,
    wanted: usize,
    seen: &mut HashSet<Genome>,
    mut make: impl FnMut() -> Genome,
) {
    let mut tries = 0;
    while turn.len() < wanted && tries < TRIES * wanted {
        let genome = make();
        tries += 1;
        if seen.insert(genome.clone()) {
            turn.push(genome);
        }
    }
}
