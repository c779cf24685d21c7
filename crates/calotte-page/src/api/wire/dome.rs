//! A quantity and zones over the dome.

use calotte_document::common::{PolarAzimuth, Triple};
use serde::{Deserialize, Serialize};
use serde_json::value::RawValue;
#[cfg(test)]
use ts_rs::TS;

use super::pose::LoadAsked;

/// What the dome is coloured by.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[cfg_attr(test, derive(TS))]
#[serde(deny_unknown_fields)]
pub(crate) struct DomeQuantity {
    /// One of the words that the program's colours have.
    pub word: String,
    /// The load case of the brief, where each has a value of its own.
    pub load: Option<String>,
}

/// A quantity over the dome.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct DomeAsked {
    /// The design.
    pub design: Box<RawValue>,
    /// The brief.
    #[serde(default)]
    pub brief: Option<String>,
    /// What to colour by.
    pub quantity: DomeQuantity,
    /// Polar angles.
    pub rings: u32,
    /// Azimuths.
    pub around: u32,
    /// Whether rigid joints are asked for.
    #[serde(default)]
    pub rigid_joints: bool,
}

/// What is drawn along a path.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[cfg_attr(test, derive(TS))]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub(crate) enum PathQuantity {
    /// What the dome can be coloured by.
    Quantity(DomeQuantity),
    /// How far the tip moves by what acts.
    DeflectionBy(LoadAsked),
}

/// A quantity along a path.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct PathAsked {
    /// The design.
    pub design: Box<RawValue>,
    /// The brief.
    #[serde(default)]
    pub brief: Option<String>,
    /// What to draw.
    pub of: PathQuantity,
    /// The points of the path, base frame.
    pub points_deg: Vec<PolarAzimuth>,
    /// Whether rigid joints are asked for.
    #[serde(default)]
    pub rigid_joints: bool,
}

/// A quantity along a path.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(test, derive(TS))]
pub(crate) struct PathAnswer {
    /// Label of the scale.
    pub label: String,
    /// Unit; empty for none.
    pub unit: String,
    /// Value at each point; null out of reach or without a value there.
    pub values: Vec<Option<f64>>,
}

/// A cap on the sphere.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(test, derive(TS))]
pub(crate) struct CapShape {
    /// Base frame, unit.
    pub axis: Triple,
    /// Half angle, °.
    pub half_angle_deg: f64,
    /// Whether it is taken out of the region (else it is the region itself).
    pub excluded: bool,
    /// Why it is excluded.
    pub why: String,
}

/// A part of the sphere to be marked.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(test, derive(TS))]
pub(crate) struct ZoneShape {
    /// What it is.
    pub kind: ZoneKind,
    /// In words.
    pub name: String,
    /// Polylines of unit vectors, base frame.
    pub outlines: Vec<Vec<Triple>>,
    /// Bands about the base axis, polar from and to, °.
    pub bands_deg: Vec<[f64; 2]>,
}

/// What a zone is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[cfg_attr(test, derive(TS))]
#[serde(rename_all = "kebab-case")]
pub(crate) enum ZoneKind {
    /// The required region.
    Region,
    /// Taken out of the region.
    Excluded,
    /// Outside the working range.
    Reach,
    /// Near or at a type 1 singularity.
    #[serde(rename = "type-1")]
    #[cfg_attr(test, ts(rename = "type-1"))]
    TypeOne,
    /// Near or at a type 2 singularity.
    #[serde(rename = "type-2")]
    #[cfg_attr(test, ts(rename = "type-2"))]
    TypeTwo,
}

/// A quantity on a grid of polar angle by azimuth, base frame.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(test, derive(TS))]
pub(crate) struct DomeAnswer {
    /// Label.
    pub label: String,
    /// Unit; empty for none.
    pub unit: String,
    /// Polar angles, °, ascending.
    pub polar_deg: Vec<f64>,
    /// Azimuths, °, ascending from 0 to 360.
    pub azimuth_deg: Vec<f64>,
    /// Row by row (a row is one polar angle); null without a value.
    pub values: Vec<Option<f64>>,
    /// 0 covered, 1 outside the working range, 2 excluded, 3 outside the region.
    pub state: Vec<u8>,
    /// Least value over the covered nodes; null without any.
    pub low: Option<f64>,
    /// Greatest value over the covered nodes.
    pub high: Option<f64>,
    /// Circular edges.
    pub caps: Vec<CapShape>,
    /// Zones.
    pub zones: Vec<ZoneShape>,
    /// Why there is no value anywhere; null if there is one.
    pub reason: Option<String>,
}
