//! What to measure on the prototype: what is asked, and what `calotte measure plan` says.

use calotte_document::common::PolarAzimuth;
use calotte_document::planned::PlanDocument;
use serde::{Deserialize, Serialize};
use serde_json::value::RawValue;
#[cfg(test)]
use ts_rs::TS;

/// A plan asked for.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct PlanAsked {
    /// The design.
    pub design: Box<RawValue>,
    /// Configurations, 8 to 500.
    pub count: usize,
    /// How many of them are measured again.
    pub repeated: usize,
    /// How often each of those is measured in all.
    pub times: usize,
    /// Noise expected of a component of a measured point, mm.
    pub noise_mm: f64,
    /// Noise expected of the gauge at the tip, mm.
    pub gauge_mm: f64,
}

/// A plan.
#[derive(Debug, Clone, Serialize)]
#[cfg_attr(test, derive(TS))]
pub(crate) struct PlanAnswer {
    /// Names of the active joints, in the order of readings.
    pub joints: [String; 2],
    /// Where the tool points in each row, in the order of measuring.
    pub directions_deg: Vec<PolarAzimuth>,
    /// What `measure plan --json` says.
    pub plan: PlanDocument,
    /// The file of points to fill in.
    pub points_csv: String,
    /// The file of weights to fill in.
    pub weights_csv: String,
}
