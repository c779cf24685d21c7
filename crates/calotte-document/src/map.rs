//! Quantities over two variables: `calotte map --json`.

use std::collections::BTreeMap;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
#[cfg(feature = "typescript")]
use ts_rs::TS;

use crate::run::{MapRun, Run};
use crate::safety::Safety;

/// A map.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct MapDocument {
    /// The variable along a row of cells.
    pub x: MapAxis,
    /// The variable across rows.
    pub y: MapAxis,
    /// Order of the cells in all lists.
    pub order: String,
    /// Reach of each cell.
    pub reach_without_margins_deg: Vec<Option<f64>>,
    /// Coverage of each cell.
    pub coverage_of_region: Vec<Option<f64>>,
    /// Whether each cell reaches the region.
    pub reaches_region: Vec<bool>,
    /// Why a cell lacks values.
    pub no_value_because: Vec<Option<String>>,
    /// Quantities shown.
    pub show: Vec<MapQuantity>,
    /// Designs of equal reach.
    pub equal_reach: Vec<EqualReach>,
    /// Everything the figures were made with.
    pub settings: Vec<[String; 2]>,
    /// What it was made of.
    pub run: Run<MapRun>,
    /// What to know before anything is built, fitted or used.
    pub safety: Safety,
}

/// A variable.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct MapAxis {
    /// Its name.
    pub variable: String,
    /// Its unit.
    pub unit: String,
    /// Its values.
    pub values: Vec<f64>,
}

/// A quantity over the cells. Its two parts stand as `ideal` and `with_bearings_and_layers` where layers are
/// given, else as `rigid_joints` and `these_joints`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct MapQuantity {
    /// Its name.
    pub quantity: String,
    /// Its unit.
    pub unit: String,
    /// Whether more is better.
    pub more_is_better: bool,
    /// Whether the joints change it.
    pub joints_change_it: bool,
    /// Among which cells the best are sought.
    pub best_among: String,
    /// Values without and with the design's joints and layers.
    #[serde(flatten)]
    #[cfg_attr(feature = "typescript", ts(skip))]
    pub parts: BTreeMap<String, MapPart>,
}

/// Values over the cells.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct MapPart {
    /// Name of their column in tables.
    pub column: String,
    /// One for each cell; null where it lacks one.
    pub values: Vec<Option<f64>>,
    /// The best of each row.
    pub best: Vec<MapBest>,
}

/// The best of a row.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct MapBest {
    /// The row.
    pub y: f64,
    /// Where it is best; null where nothing is.
    pub best_x: Option<f64>,
}

/// Designs of equal reach.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct EqualReach {
    /// Their reach.
    pub reach_deg: f64,
    /// The variable that is given.
    pub for_each: String,
    /// The variable that is solved for.
    pub solved_for: String,
    /// The designs.
    pub points: Vec<EqualReachPoint>,
    /// Where each column is best.
    pub best_by_column: BTreeMap<String, Option<f64>>,
}

/// A design of equal reach: both variables and all columns by name.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "typescript", derive(TS))]
pub struct EqualReachPoint {
    /// Why values are missing.
    pub no_value_because: Option<String>,
    /// Values by name.
    #[serde(flatten)]
    #[cfg_attr(feature = "typescript", ts(skip))]
    pub values: BTreeMap<String, Option<f64>>,
}
