//! Search: linkages that a brief allows, judged, and one chosen.
//!
//! Parts: [`explore`](mod@explore) (the search), [`island`] (what it goes through by itself),
//! [`grid`] (every combination instead), `complete` (a candidate as a design),
//! [`evaluate`](mod@evaluate) (one design judged), [`verdict`] (what was found of it),
//! [`choose`](mod@choose) (non-dominated set and choice), [`proof`] (what is shown, judged as the
//! choice is), [`kept`] (parts of a prototype that
//! stay), [`precheck`](mod@precheck) (what no search can mend).

pub mod choose;
mod complete;
pub mod evaluate;
pub mod explore;
pub mod grid;
pub mod island;
pub mod kept;
pub mod precheck;
pub mod proof;
pub mod verdict;

pub use choose::{Choice, choose, non_dominated};
pub use complete::complete_design;
pub use evaluate::{Outcome, evaluate, evaluate_group};
pub use explore::{Effort, Explored, IslandFound, NoStore, Store, explore, explore_islands};
pub use grid::{Angles, Candidate, Grid, combinations};
pub use island::{Island, islands};
pub use kept::{KeptError, as_measured, is_kept, narrowed};
pub use precheck::{Precheck, precheck};
pub use proof::{NoChoice, SHOWN, choose_proved, prove};
pub use verdict::{Depth, JudgedBy, Verdict};
