//! What is built: bars at their layers' radii, bosses, pins, spacers, shafts,
//! housing and tool, each in the frame of the body it moves with.
//!
//! Every solid is made of [`Piece`]s: the points whose distance from the remote
//! centre lies between two radii and that lie within a half width of a joint
//! direction or of an arc. Their inner and outer faces are concentric with the
//! remote centre, so layers never touch whatever the bars do, and a bar of
//! constant width has exactly the volume width · height · arc length.
//! Derived in `docs/theory/built-geometry.md`.

mod boss;
mod layers;
mod placed;
mod solids;
mod wall;
mod walls;

use nalgebra::{Rotation3, Vector3};
use thiserror::Error;

pub use boss::{Boss, base_drives};
pub use layers::listed;
pub use placed::{PlacedBar, PlacedParts, PlacedPin};
pub(crate) use solids::{base_shaft, clamp_and_bearing};
pub use wall::{BoredFor, Degree, Wall, WallPlace};

use crate::design::Design;
use crate::linkage::{Linkage, Place};
use crate::number::shown::millimetres;

/// The parts of a design with their places.
#[derive(Debug, Clone, PartialEq)]
pub struct Built {
    /// Layer of each body, 0 innermost; `None` for ground and follower.
    pub layers: Vec<Option<usize>>,
    /// Number of layers.
    pub layer_count: usize,
    /// Radius of each body's centre line about the remote centre, m; the ground's is
    /// the middle of the base bearings.
    pub radii: Vec<f64>,
    /// Radial distance of neighbouring layers, m.
    pub pitch: f64,
    /// The round in which each body ends at each of its stations.
    pub bosses: Vec<Vec<Boss>>,
    /// All solids.
    pub solids: Vec<Solid>,
    /// What is left of the material around holes and voids and between holes.
    pub walls: Vec<Wall>,
}

/// What a solid is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SolidKind {
    /// A bar with its bosses.
    Bar,
    /// A pin across the gaps between two bars.
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

/// One solid part, or the room one takes.
#[derive(Debug, Clone, PartialEq)]
pub struct Solid {
    /// Name printed in results: the bar's, or the joint's with what it is, such as
    /// `side-left-1 pin`.
    pub name: String,
    /// What it is.
    pub kind: SolidKind,
    /// Index of the body it moves with.
    pub body: usize,
    /// Bodies it is assembled with, so that no distance is kept between them.
    pub assembled_with: Vec<usize>,
    /// Index of the joint it belongs to, for pins, spacers and shafts.
    pub joint: Option<usize>,
    /// What it consists of; pieces may overlap.
    pub pieces: Vec<Piece>,
    /// Round holes through it: direction in the body's frame, diameter in m.
    pub holes: Vec<Hole>,
}

/// A round hole about a direction through the remote centre, through the whole solid there.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hole {
    /// Its axis in the body's frame, unit.
    pub axis: Vector3<f64>,
    /// Diameter, m.
    pub diameter: f64,
}

/// A piece of a solid about its core.
///
/// [`Profile::Straight`]: all points p with inner ≤ |p| ≤ outer whose distance from
/// the core's ray (for an arc: from its plane, along its length; from its end rays,
/// beyond) is at most the half width. [`Profile::Round`]: all points within the half
/// width of the core's line at the middle radius.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Piece {
    /// The direction or arc it lies about, body frame.
    pub core: Core,
    /// Shape across the core.
    pub profile: Profile,
    /// Half width, m.
    pub half_width: f64,
    /// Distance of the inner face from the remote centre, m.
    pub inner: f64,
    /// Distance of the outer face from the remote centre, m.
    pub outer: f64,
    /// The void inside, centred on the middle radius; `None` for a solid piece.
    pub void: Option<Void>,
}

/// Shape of a piece across its core.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Profile {
    /// Two faces concentric with the remote centre, straight sides.
    Straight,
    /// A circle; outer − inner is twice the half width.
    Round,
}

/// The void of a hollow bar, of the same profile as its piece.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Void {
    /// Half width, m.
    pub half_width: f64,
    /// Radial size, m.
    pub height: f64,
}

/// What a piece lies about.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Core {
    /// A direction, unit.
    Direction(Vector3<f64>),
    /// The shorter great circle between two directions, unit.
    Arc(Vector3<f64>, Vector3<f64>),
}

impl Core {
    /// The core turned by a body's rotation.
    pub fn turned(&self, rotation: &Rotation3<f64>) -> Core {
        match self {
            Core::Direction(u) => Core::Direction(rotation * u),
            Core::Arc(from, to) => Core::Arc(rotation * from, rotation * to),
        }
    }
}

impl Piece {
    /// Middle of the two faces' radii, m.
    pub fn middle(&self) -> f64 {
        0.5 * (self.inner + self.outer)
    }
}

/// A design that cannot be built from its parts.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum BuiltError {
    /// The family lies in no layers yet.
    #[error(transparent)]
    NotAvailable(#[from] crate::family::parameters::NotAvailable),
    /// The list of layers does not belong to the linkage.
    #[error("{got} layers are given for {expected} bars: {}", bars.join(", "))]
    LayerCount {
        /// Entries given.
        got: usize,
        /// Bars there are.
        expected: usize,
        /// Their names.
        bars: Vec<String>,
    },
    /// Two bars of one joint lie in one layer.
    #[error("{first} and {second} share joint {joint} and lie in one layer ({layer})")]
    JointInOneLayer {
        /// The joint.
        joint: String,
        /// First bar.
        first: String,
        /// Second bar.
        second: String,
        /// The layer, from 0.
        layer: usize,
    },
    /// The innermost layer reaches the remote centre.
    #[error(
        "the innermost layer reaches to {} from the remote centre, must stay above half a bar's width, {}",
        millimetres(.inner), millimetres(.least)
    )]
    TooNearCentre {
        /// Inner radius, m.
        inner: f64,
        /// What is needed, m.
        least: f64,
    },
    /// The base bars' shafts do not turn in one another.
    #[error(
        "the solid shaft of {}, the bore of {} around it, the hollow shaft's {} and the boss of {} must grow in this order",
        millimetres(.solid), millimetres(.bore), millimetres(.hollow), millimetres(.boss)
    )]
    Shafts {
        /// Diameter of the solid shaft, m.
        solid: f64,
        /// Bore of the hollow one, m.
        bore: f64,
        /// Its outer diameter, m.
        hollow: f64,
        /// Diameter of the boss it goes through, m.
        boss: f64,
    },
    /// Nothing is left beside a hole: the part cannot be.
    #[error(
        "nothing is left of {}; change {}", .0.words(), .0.keys()
    )]
    NothingLeft(Box<Wall>),
    /// The boss has no room for the bearing.
    #[error("the boss of {} has no room for the bearing's outer diameter of {}",
        millimetres(.boss), millimetres(.bearing))]
    BossTooSmall {
        /// Level of the joint.
        level: usize,
        /// Boss diameter, m.
        boss: f64,
        /// Bearing's outer diameter, m.
        bearing: f64,
    },
}

impl Built {
    /// The parts of a design. Without layers all bars lie at `joint_radius`; their
    /// solids are still given, and pass through one another.
    ///
    /// # Errors
    /// [`BuiltError`] if layers or bosses do not fit.
    pub fn new(design: &Design, linkage: &Linkage) -> Result<Self, BuiltError> {
        let mut built = layers::place(design, linkage)?;
        built.solids = solids::all(design, linkage, &built);
        built.walls = walls::all(design, linkage, &built);
        walls::refuse_impossible(&built.walls)?;
        Ok(built)
    }

    /// The round in which a bar ends at a place.
    pub fn boss(&self, place: Place) -> Boss {
        self.bosses[place.body][place.station]
    }

    /// The greatest radial size of a boss, m.
    pub fn boss_height_max(&self) -> f64 {
        let bosses = self.bosses.iter().skip(1).flatten();
        bosses.map(|boss| boss.height).fold(0.0, f64::max)
    }

    /// Length of a bar that a boss holds rigid on either side of its axis, m.
    ///
    /// Without layers half the boss diameter. With layers d/2 + (1 − h/H)(D − d)/2, d
    /// being the hole's diameter, D and H the boss's diameter and height, h the bar's
    /// radial size: what fills the hole is rigid, and the wall around it as far
    /// as it is higher than the bar; a wall as high as the bar bends with it. Found by
    /// comparing with solid models of bars with bosses (docs/theory/built-geometry.md).
    pub fn rigid_zone(&self, design: &Design, linkage: &Linkage, place: Place) -> f64 {
        if design.layers.is_none() {
            return 0.5 * linkage.joints_at(design, place).boss_diameter;
        }
        let axis = linkage.bodies[place.body].stations[place.station];
        let hole = self
            .solids
            .iter()
            .filter(|solid| solid.kind == SolidKind::Bar && solid.body == place.body)
            .flat_map(|solid| &solid.holes)
            .find(|hole| hole.axis == axis)
            .map_or(0.0, |hole| hole.diameter);
        let boss = self.boss(place);
        let depth = linkage.bodies[place.body].section(design).depth();
        let higher = (1.0 - depth / boss.height).max(0.0);
        0.5 * (hole + higher * (boss.diameter - hole))
    }
}
