//! What was measured: points under joint readings, displacements under weights.
//!
//! SI and radians. Rows keep the number they had in their file, so that every statement
//! about one names it as its reader knows it.

use nalgebra::{UnitQuaternion, Vector3};

use crate::brief::LoadPlace;

/// One measured point.
#[derive(Debug, Clone, PartialEq)]
pub struct PointRow {
    /// Number of the data row, from 1; headings, remarks and empty lines do not count.
    pub row: usize,
    /// Readings of the active joints in the design's order, rad.
    pub readings: [f64; 2],
    /// Where the sensor was, m, in the tracker's frame.
    pub point: Vector3<f64>,
    /// How the sensor was turned, tracker's frame, if it was measured.
    pub orientation: Option<UnitQuaternion<f64>>,
    /// Name shared by repeats of one configuration; empty if none.
    pub group: String,
}

/// What was measured without weights.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Points {
    /// Rows in the order of the file, which is the order of measuring.
    pub rows: Vec<PointRow>,
}

/// Whether the weight was being put on or taken off.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Course {
    /// Weights grow.
    Loading,
    /// Weights shrink.
    Unloading,
}

/// What a gauge saw.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Displacement {
    /// Along one axis.
    Along {
        /// The gauge's axis, world, unit; positive displacement is along it.
        axis: Vector3<f64>,
        /// Displacement, m.
        value: f64,
    },
    /// All three components, world, m.
    Vector(Vector3<f64>),
}

/// One weight with the displacement it made.
#[derive(Debug, Clone, PartialEq)]
pub struct WeightRow {
    /// Number of the data row, from 1.
    pub row: usize,
    /// Readings of the active joints in the design's order, rad.
    pub readings: [f64; 2],
    /// Mass that hangs, kg; 0 is the unloaded state before or after.
    pub mass: f64,
    /// Where the weight pulls, world, unit; straight down unless led over a pulley.
    pub pull: Vector3<f64>,
    /// What it pulls on.
    pub place: LoadPlace,
    /// What the gauge at the tool tip saw, against the unloaded state.
    pub displacement: Displacement,
    /// Whether it was being put on or taken off.
    pub course: Course,
}

/// What was measured with weights.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Weights {
    /// Rows in the order of the file.
    pub rows: Vec<WeightRow>,
}
