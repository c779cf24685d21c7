//! One bearing: its sizes and how far it gives way.

use crate::uncertain::{Corner, Uncertain};

/// Loads of the typical band, N: at its lower end, its value and its upper end.
pub const TYPICAL_LOADS: [f64; 3] = [5.0, 20.0, 50.0];

/// How a bearing carries its load.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BearingKind {
    /// Deep groove ball bearing.
    Ball,
    /// Plain bushing.
    Bushing,
}

/// The load a bearing's stiffness was computed for.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub enum StiffnessAt {
    /// None: stated, or a typical band.
    #[default]
    Stated,
    /// An axial preload.
    Preload {
        /// Preload, N.
        axial: f64,
        /// Radial and axial play before it, m.
        play_before: [f64; 2],
    },
    /// Loads on one bearing.
    Load {
        /// Across its axis, N.
        radial: f64,
        /// Along its axis, N.
        axial: f64,
    },
}

/// One bearing of a pair.
#[derive(Debug, Clone, PartialEq)]
pub struct Bearing {
    /// Designation, such as `624`, or a name of the user's own.
    pub name: String,
    /// Ball bearing or bushing.
    pub kind: BearingKind,
    /// Bore, m.
    pub bore: f64,
    /// Outer diameter, m.
    pub outer_diameter: f64,
    /// Width along its axis, m.
    pub width: f64,
    /// Stiffness across its axis, N/m.
    pub radial: Uncertain,
    /// Stiffness along its axis, N/m.
    pub axial: Uncertain,
    /// Mass, kg.
    pub mass: f64,
    /// Static load rating C0, N; `None` is not known.
    pub static_rating: Option<f64>,
    /// Dynamic load rating C, N; `None` is not known.
    pub dynamic_rating: Option<f64>,
    /// Internal play across its axis, difference of the diameters, m.
    pub radial_play: f64,
    /// Internal play along its axis, from end to end, m.
    pub axial_play: f64,
    /// The load its stiffness belongs to.
    pub stiffness_at: StiffnessAt,
}

impl Bearing {
    /// The same bearing with its stiffness fixed at one end of the band.
    pub fn at_corner(&self, corner: Corner) -> Bearing {
        Bearing {
            radial: Uncertain::exact(self.radial.resisting(corner)),
            axial: Uncertain::exact(self.axial.resisting(corner)),
            ..self.clone()
        }
    }
}
