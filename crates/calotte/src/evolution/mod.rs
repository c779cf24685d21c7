//! How a population finds the non-dominated set of any problem: genes on lattices, limits as
//! degrees of violation, any number of objectives.
//!
//! Every number of a problem lies on a lattice of its own (the step to which a workshop rounds),
//! so that what is judged is what is made, equal genomes are equal designs, and nothing is judged
//! twice. Parts: [`genome`] (what varies), [`merit`] (what is better), [`front`] (the
//! non-dominated set, thinned to a size), [`hypervolume`](mod@hypervolume) (the volume it
//! dominates), `selection` (who stays in the population), [`spread`](mod@spread) (few that stand for
//! many), `variation` (how children come about), [`run`](mod@run) (the loop).
//!
//! # Theory
//! Constrained non-dominated sorting (Deb, Pratap, Agarwal, Meyarivan, IEEE Trans. Evol. Comput.
//! 6 (2002) 182, from memory), truncation by nearest neighbours, which needs no grid in the
//! objectives (Zitzler, Laumanns, Thiele, TIK-Report 103 (2001), from memory), simulated binary
//! crossover, differences of members of the front, and steps of all sizes down to the lattice.

pub mod front;
pub mod genome;
pub mod hypervolume;
pub mod merit;
pub mod run;
mod selection;
pub mod spread;
mod variation;

pub use front::{Front, Member};
pub use genome::{Gene, Genome};
pub use hypervolume::hypervolume;
pub use merit::{Merit, Violation};
pub use run::{Answer, Outcome, Problem, Settings, run};
pub use spread::spread;
