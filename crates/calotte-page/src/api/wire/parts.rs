//! The parts of a built design, as drawn.

use serde::Serialize;
#[cfg(test)]
use ts_rs::TS;

/// What a part is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[cfg_attr(test, derive(TS))]
#[serde(rename_all = "kebab-case")]
pub(crate) enum PartKind {
    /// A bar with its bosses.
    Bar,
    /// A pin across the gap between two bars.
    Pin,
    /// A round over a pin that keeps two bars apart.
    Spacer,
    /// A shaft of a base bar.
    Shaft,
    /// The housing of the base bearings.
    Housing,
    /// The room the tool takes.
    Tool,
}

/// Where a body lies among the layers.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[cfg_attr(test, derive(TS))]
pub(crate) struct BodyPlace {
    /// Layer, 0 innermost; null for ground and follower.
    pub layer: Option<u32>,
    /// Distance of its centre line from the remote centre, mm; of the ground: the middle
    /// of the base bearings.
    pub radius_mm: f64,
}

/// A part as a closed triangle mesh in the frame of the body it moves with.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(test, derive(TS))]
pub(crate) struct PartShape {
    /// Name as results print it.
    pub name: String,
    /// What it is.
    pub kind: PartKind,
    /// Index of the body it moves with.
    pub body: u32,
    /// Layer of a bar, 0 innermost; null for other parts.
    pub layer: Option<u32>,
    /// Name of the joint of a pin, spacer or shaft; null for other parts.
    pub joint: Option<String>,
    /// The two bodies of that joint, by index.
    pub between: Option<[u32; 2]>,
    /// Least and greatest distance from the remote centre, mm.
    pub radii_mm: [f64; 2],
    /// Corners x, y, z one after the other, body frame, mm.
    pub positions_mm: Vec<f32>,
    /// Three corners a triangle by index, anticlockwise seen from outside.
    pub triangles: Vec<u32>,
}

/// The parts of a design.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(test, derive(TS))]
pub(crate) struct PartsAnswer {
    /// Why there are none; null where there are.
    pub reason: Option<String>,
    /// Number of layers; 0 where nothing is built.
    pub layers: u32,
    /// Radial distance of neighbouring layers, mm.
    pub pitch_mm: f64,
    /// Places of the bodies, in the order of the linkage; the first is the ground.
    pub bodies: Vec<BodyPlace>,
    /// The parts, in the order of `calotte parts`, then housing and tool.
    pub parts: Vec<PartShape>,
}
