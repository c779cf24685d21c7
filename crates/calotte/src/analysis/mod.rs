//! Analysis of one design: everything a requirement asks, over the region.
//!
//! Reach, conditioning and singularities come from the one working range;
//! deflection, sag, holding torque and safety are judged over the covered
//! directions on a ring grid. Parts: [`requirements`] (what is asked), [`reach`] (the working range as built),
//! [`fewest_layers`] (the arrangement of layers a region needs),
//! [`point`] (one configuration), [`ring`] (all directions at one polar angle), `by_cells` (what turns about no fixed axis), `cells` (what cells say of its range), `bands` (ends over the stated uncertainty), `typical` (usual drives and ground), `roll` (of the tool), `ring_grid` (which are looked at), `between` (which are added between them),
//! `case_response` (what load cases do there), `extremes` (at which azimuths something is worst), `climb` (the same where azimuths must be sampled), `joint_loads` (what joints carry), `precision` (how many digits are sure), [`values`] (what a quantity is worth), [`rows`] (needed against got), `judge` (the rows of an analysis), `judged` (where they are looked for), `options` (how finely), `around` (keep-outs), [`report`] (the whole), `analyse` (which way it goes), [`stage_curve`] (how
//! many stages are stiffest), [`releases`] (what removing redundant constraints costs), [`loaded`] (the shape under one load), [`loaded_index`] (LCI and GCI under load), [`map`] (one cell of a map over two variables).

mod analyse;
mod around;
mod bands;
mod between;
mod by_cells;
mod case_response;
mod cells;
mod climb;
mod extremes;
pub mod fewest_layers;
mod joint_loads;
pub(crate) mod judge;
mod judged;
pub mod loaded;
pub mod loaded_index;
pub mod map;
mod options;
pub mod point;
mod precision;
pub mod reach;
mod release_search;
mod release_stiffness;
pub mod releases;
pub mod report;
pub mod requirements;
pub mod ring;
mod ring_grid;
mod roll;
pub mod rows;
mod safety;
pub mod stage_curve;
mod typical;
pub mod values;

pub use analyse::{analyse, analyse_subject, judged_limits, judged_rows};
pub use around::{Met, ParkReport, SurroundingsReport, WayInReport};
pub use cells::CellsReport;
pub use loaded_index::{IndexUnderLoad, LoadedIndex};
pub use options::{AnalysisError, AnalysisOptions};
pub use point::{ConfigurationResult, StiffnessScalars};
pub use reach::{ClearingReport, NamedPair};
pub use report::Analysis;
pub use requirements::Requirements;
pub use ring::RingResult;
pub use roll::RollRange;
pub use rows::{Row, Verdict};
pub use typical::WithTypicalSupports;
