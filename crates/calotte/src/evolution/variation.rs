//! How children come about.

use rand::Rng;
use rand_chacha::ChaCha8Rng;

use super::genome::{Gene, Genome, any};

/// Sharpness of simulated binary crossover: the greater, the nearer children stay to parents.
const SHARPNESS: f64 = 4.0;
/// Smallest step of a local change, as a power of ten of a gene's width.
const SMALLEST_STEP: f64 = -4.5;

/// From what a child comes: those on the front, and the population with what is not.
pub(super) struct Parents<'a> {
    pub(super) front: Vec<&'a Genome>,
    pub(super) population: Vec<&'a Genome>,
}

impl Parents<'_> {
    fn one<'a>(&'a self, random: &mut ChaCha8Rng) -> Option<&'a Genome> {
        let from_front = !self.front.is_empty() && random.random::<f64>() < 0.5;
        let list = if from_front || self.population.is_empty() {
            &self.front
        } else {
            &self.population
        };
        (!list.is_empty()).then(|| list[random.random_range(0..list.len())])
    }

    /// A child; any genome where there are no parents.
    pub(super) fn child(&self, genes: &[Gene], random: &mut ChaCha8Rng) -> Genome {
        let Some(first) = self.one(random) else {
            return any(genes, random);
        };
        let way = random.random::<f64>();
        let second = self.one(random).unwrap_or(first);
        if way < 0.5 {
            let mut child = crossed(genes, first, second, random);
            local(genes, &mut child, random, 0.3);
            child
        } else if way < 0.75 {
            let third = self.one(random).unwrap_or(first);
            along(genes, [first, second, third], random)
        } else {
            let mut child = first.clone();
            local(genes, &mut child, random, 1.0);
            child
        }
    }
}

/// Simulated binary crossover of numbers; of lists an entry of either.
fn crossed(genes: &[Gene], one: &Genome, other: &Genome, random: &mut ChaCha8Rng) -> Genome {
    let places = genes.iter().zip(one).zip(other);
    let cross = |((gene, a), b): ((&Gene, &u32), &u32)| {
        if random.random::<bool>() {
            return *a;
        }
        if !gene.is_number() {
            return *b;
        }
        let u: f64 = random.random();
        let spread = if u < 0.5 {
            (2.0 * u).powf(1.0 / (SHARPNESS + 1.0))
        } else {
            (0.5 / (1.0 - u)).powf(1.0 / (SHARPNESS + 1.0))
        };
        let (a, b) = (f64::from(*a), f64::from(*b));
        gene.nearest(0.5 * ((1.0 + spread) * a + (1.0 - spread) * b))
    };
    places.map(cross).collect()
}

/// The first, moved along the difference of two others: along what the front itself varies.
fn along(genes: &[Gene], [one, from, to]: [&Genome; 3], random: &mut ChaCha8Rng) -> Genome {
    let share = 1.2 * random.random::<f64>() - 0.2;
    let mut child = one.clone();
    for (place, gene) in genes.iter().enumerate() {
        if gene.is_number() {
            let difference = f64::from(to[place]) - f64::from(from[place]);
            child[place] = gene.nearest(f64::from(one[place]) + share * difference);
        } else if random.random::<f64>() < 0.15 {
            child[place] = to[place];
        }
    }
    local(genes, &mut child, random, 0.3);
    child
}

/// Changes one to three genes, with a chance: numbers by a step of any size down to the
/// lattice, two of one group now and then by the same or by opposite steps; lists to a
/// neighbour or to any entry.
fn local(genes: &[Gene], genome: &mut Genome, random: &mut ChaCha8Rng, chance: f64) {
    let free: Vec<usize> = (0..genes.len()).filter(|g| genes[*g].last() > 0).collect();
    if free.is_empty() || random.random::<f64>() >= chance {
        return;
    }
    let changes = match random.random::<f64>() {
        x if x < 0.5 => 1,
        x if x < 0.8 => 2,
        _ => 3,
    };
    for _ in 0..changes {
        let own = free[random.random_range(0..free.len())];
        let gene = genes[own];
        match gene {
            Gene::Number { steps, group } => {
                let step = step_of(steps, random);
                genome[own] = gene.nearest(f64::from(genome[own]) + step);
                if random.random::<f64>() < 0.4 {
                    let same = |g: &&usize| matches!(genes[**g], Gene::Number { group: other, .. } if other == group);
                    let others: Vec<usize> = free.iter().filter(same).copied().collect();
                    let other = others[random.random_range(0..others.len())];
                    if other != own {
                        let sign = if random.random::<bool>() { 1.0 } else { -1.0 };
                        // As many places; those of angles are all as wide.
                        genome[other] =
                            genes[other].nearest(f64::from(genome[other]) + sign * step);
                    }
                }
            }
            Gene::Ordered { .. } if random.random::<f64>() < 0.7 => {
                let up = random.random::<bool>();
                let place = i64::from(genome[own]) + if up { 1 } else { -1 };
                genome[own] = gene.nearest(place.max(0) as f64);
            }
            Gene::Ordered { .. } | Gene::Choice { .. } => genome[own] = gene.any(random),
        }
    }
}

/// A step either way, from a third of the gene's width down to its lattice, large ones more often
/// than small ones.
fn step_of(steps: u32, random: &mut ChaCha8Rng) -> f64 {
    let power = SMALLEST_STEP * random.random::<f64>().powi(2);
    let size = (f64::from(steps) * 0.3 * 10f64.powf(power)).max(1.0);
    if random.random::<bool>() { size } else { -size }
}
