//! Shapes of bars, pins, shafts and tool in any layers.

use crate::built::{Built, Piece, Profile, Solid, SolidKind, base_drives};
use crate::design::Design;
use crate::linkage::Linkage;

use super::super::answer::ClearingError;
use super::super::pairs::FACES_TOUCH;
use super::super::strips::{Shape, Strips};

/// A radial interval of layers, both ends included; a follower lies in layer −1.
pub(super) type Span = [i32; 2];

/// Something round about an axis, with the layers it passes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Round {
    /// A pin with its spacer, from the inner to the outer bar of a joint.
    Pin(Span),
    /// The solid shaft, from the inner base bar outward.
    SolidShaft(i32),
    /// The hollow shaft, from the outer base bar outward.
    HollowShaft(i32),
    /// The room the tool takes.
    Tool,
}

impl Round {
    /// A number below 65536 of its own.
    pub(super) fn code(self) -> usize {
        let layer = |layer: i32| (layer + 1) as usize;
        match self {
            Round::Pin([low, high]) => 128 * layer(low) + layer(high),
            Round::SolidShaft(from) => 32768 + layer(from),
            Round::HollowShaft(from) => 40960 + layer(from),
            Round::Tool => 49152,
        }
    }
}

/// Radial sizes that follow from the layer.
#[derive(Debug, Clone)]
pub(super) struct Sizes {
    radius: f64,
    pitch: f64,
    boss_height: f64,
    clearance: f64,
    arc: Piece,
    boss: Piece,
    bar_radius: f64,
    pub(super) pin: Option<f64>,
    spacer: Option<f64>,
    shafts: [f64; 2],
    tool: Option<Piece>,
    layers: i32,
}

impl Sizes {
    pub(super) fn new(
        design: &Design,
        linkage: &Linkage,
        built: &Built,
        bodies: &[usize],
        tool: Option<&Solid>,
    ) -> Result<Self, ClearingError> {
        let first_of = |kind: SolidKind| {
            built
                .solids
                .iter()
                .find(|solid| solid.kind == kind)
                .map(|solid| solid.pieces[0].half_width)
        };
        let layers = design.layers.as_ref().ok_or(ClearingError::NoLayers)?;
        // One bar and one boss stand for all.
        design.needs_all_equal("the arrangement of layers")?;
        let base = base_drives(design, linkage).ok_or(ClearingError::NoLayers)?;
        let bar = built
            .solids
            .iter()
            .find(|solid| solid.kind == SolidKind::Bar && bodies.contains(&solid.body));
        let bar = bar.ok_or(ClearingError::NoLayers)?;
        let (arc, boss) = (bar.pieces[0], bar.pieces[bar.pieces.len() - 1]);
        let sizes = Self {
            radius: design.joint_radius,
            pitch: built.pitch,
            boss_height: built.boss_height_max(),
            clearance: layers.clearance,
            arc,
            boss,
            bar_radius: built.radii[bar.body],
            pin: first_of(SolidKind::Pin),
            spacer: first_of(SolidKind::Spacer),
            shafts: [0.5 * base.shaft_diameter, 0.5 * base.hollow_shaft[0]],
            tool: tool.map(|tool| tool.pieces[0]),
            layers: bodies.len() as i32,
        };
        let pieces = [Some(arc), Some(boss), sizes.tool];
        if pieces
            .iter()
            .flatten()
            .all(|piece| Shape::of(piece).is_some())
        {
            Ok(sizes)
        } else {
            Err(ClearingError::Solid(bar.name.clone()))
        }
    }

    fn radius_of(&self, layer: i32) -> f64 {
        self.radius + self.pitch * f64::from(layer)
    }

    fn at(&self, piece: &Piece, layer: usize) -> Shape {
        let shift = self.radius_of(layer as i32) - self.bar_radius;
        shape(&Piece {
            inner: piece.inner + shift,
            outer: piece.outer + shift,
            ..*piece
        })
    }

    pub(super) fn arc_at(&self, layer: usize) -> Shape {
        self.at(&self.arc, layer)
    }

    pub(super) fn boss_at(&self, layer: usize) -> Shape {
        self.at(&self.boss, layer)
    }

    /// The shapes of something round, without the parts that meet nothing.
    pub(super) fn shapes(&self, round: Round) -> Vec<Shape> {
        let half = 0.5 * self.boss_height;
        let about = |half_width: f64, inner: f64, outer: f64| {
            shape(&Piece {
                core: self.boss.core,
                profile: Profile::Straight,
                half_width,
                inner,
                outer,
                void: None,
            })
        };
        let top = self.radius_of(self.layers) + half;
        match round {
            Round::Pin([low, high]) => {
                let (low, high) = (self.radius_of(low), self.radius_of(high));
                let pin = self.pin.map(|w| about(w, low - half, high + half));
                let spacer = (high - low > self.boss_height)
                    .then_some(self.spacer)
                    .flatten()
                    .map(|w| about(w, low + half, high - half));
                pin.into_iter().chain(spacer).collect()
            }
            Round::SolidShaft(from) => {
                vec![about(self.shafts[0], self.radius_of(from) - half, top)]
            }
            Round::HollowShaft(from) => {
                vec![about(self.shafts[1], self.radius_of(from) - half, top)]
            }
            Round::Tool => self.tool.iter().map(shape).collect(),
        }
    }

    /// Least chord at which two lists of shapes keep the clearance.
    pub(super) fn keeping(&self, first: &[Shape], second: &[Shape]) -> f64 {
        let mut chord = f64::NEG_INFINITY;
        for a in first {
            for b in second {
                let strips = Strips::new(a, b);
                if strips.radial_gap() < -FACES_TOUCH {
                    chord = chord.max(strips.chord_keeping(self.clearance));
                }
            }
        }
        chord
    }
}

/// The shape of a piece whose sizes were looked at before.
fn shape(piece: &Piece) -> Shape {
    Shape::of(piece).unwrap_or(Shape::EMPTY)
}
