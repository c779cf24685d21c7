//! What turns and holds the two freedoms.

use crate::uncertain::{Corner, Uncertain};

/// How the two freedoms are driven.
#[derive(Debug, Clone, PartialEq)]
pub struct Drives {
    /// Which joints are turned.
    pub layout: DriveLayout,
    /// Active joint angle per mechanism angle, in the order of the active joints; not zero.
    pub ratio: [f64; 2],
    /// Limits of the mechanism angles, rad.
    pub range: DriveRange,
    /// What turns each active joint, in their order.
    pub each: [Drive; 2],
}

impl Drives {
    /// Whether no drive gives way.
    pub fn rigid(&self) -> bool {
        self.each.iter().all(|drive| drive.stiffness.is_none())
    }

    /// Every drive with its numbers at one end of their bands.
    pub(super) fn at_corner(&self, corner: Corner) -> Self {
        let resisting = |u: &Uncertain| Uncertain::exact(u.resisting(corner));
        let loading = |u: &Uncertain| Uncertain::exact(u.loading(corner));
        Self {
            each: self.each.clone().map(|drive| Drive {
                stiffness: drive.stiffness.as_ref().map(resisting),
                mass: drive.mass.as_ref().map(loading),
                rides_on: drive.rides_on,
            }),
            ..self.clone()
        }
    }
}

/// Motor, gear or brake of one active joint.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Drive {
    /// Stiffness with which it holds its active joint, N·m/rad; `None` is rigid.
    pub stiffness: Option<Uncertain>,
    /// Mass, kg; `None` is not known and taken as nothing.
    pub mass: Option<Uncertain>,
    /// What carries its mass.
    pub rides_on: RidesOn,
}

/// What carries the mass of a drive. The mass lies on the axis of the drive's joint.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub enum RidesOn {
    /// What its joint turns from: the base for a joint of the base, the first arc for the
    /// elbow of a two-arc arm.
    #[default]
    Joint,
    /// The base, which does not move.
    Base,
    /// The bar of this name, which the joint's axis goes through.
    Bar(String),
}

/// The drive layout. For the two-arc arm the active joints are always base and elbow.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum DriveLayout {
    /// Each base bar is turned: active joints left, right.
    TwoBars,
    /// One joint swings the whole, one opens it: active joints swing, opening.
    SwingAndOpening,
}

impl DriveLayout {
    /// The layout's name as the files write it.
    pub fn name(self) -> &'static str {
        match self {
            DriveLayout::TwoBars => "two-bars",
            DriveLayout::SwingAndOpening => "swing-and-opening",
        }
    }
}

/// Limits of the mechanism angles whatever the layout, rad, lower then upper;
/// `None` is no limit. Scissor linkage: swing and opening; two-arc arm: base and elbow.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct DriveRange {
    /// Swing (scissor linkage) or base angle (two-arc arm).
    pub first: Option<[f64; 2]>,
    /// Opening (scissor linkage) or elbow angle (two-arc arm).
    pub second: Option<[f64; 2]>,
}
