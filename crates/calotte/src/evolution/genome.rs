//! What varies: numbers on lattices and choices from lists.

use rand::Rng;
use rand_chacha::ChaCha8Rng;

/// One thing that varies.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Gene {
    /// A number on a lattice of so many steps: places 0 to `steps`, both ends included.
    Number {
        /// Steps from the lower to the upper end; 0 is one value.
        steps: u32,
        /// What numbers move together in pairs: those of one group.
        group: u8,
    },
    /// One entry of a list that has no order.
    Choice {
        /// Entries.
        count: u32,
    },
    /// One entry of a list in which neighbours are alike.
    Ordered {
        /// Entries.
        count: u32,
    },
}

impl Gene {
    /// Places it may take: 0 to this.
    pub fn last(self) -> u32 {
        match self {
            Gene::Number { steps, .. } => steps,
            Gene::Choice { count } | Gene::Ordered { count } => count.saturating_sub(1),
        }
    }

    /// Any place.
    pub(super) fn any(self, random: &mut ChaCha8Rng) -> u32 {
        random.random_range(0..=self.last())
    }

    /// Whether it is a number whose differences mean something.
    pub(super) fn is_number(self) -> bool {
        matches!(self, Gene::Number { .. })
    }

    /// The place nearest to a number of steps.
    pub(super) fn nearest(self, place: f64) -> u32 {
        // Saturates at both ends; what is no number is the lower end.
        (place.round() as u32).min(self.last())
    }
}

/// The place of every gene.
pub type Genome = Vec<u32>;

/// Any genome.
pub(super) fn any(genes: &[Gene], random: &mut ChaCha8Rng) -> Genome {
    genes.iter().map(|gene| gene.any(random)).collect()
}

/// A genome with every place inside its gene's.
pub(super) fn within(genes: &[Gene], genome: &Genome) -> Genome {
    let places = genome.iter().zip(genes);
    places
        .map(|(place, gene)| (*place).min(gene.last()))
        .collect()
}
