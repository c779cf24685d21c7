//! Assembly modes: on which side of its chord each elbow lies, and on which
//! side of the two elbows the apex lies.
//!
//! A direction within reach has four configurations, one per working mode: each
//! chain can be folded either way. A pair of drive angles has two, one per
//! assembly of the distal pair: the apex lies on either side of the elbows. The
//! two descriptions are not independent: working mode and direction fix the
//! assembly, drive angles and assembly fix the working mode. Between the
//! singularities neither changes: a working mode ends where a chain is in line
//! (type 1), an assembly where the distal arcs are in one great circle (type 2).

use std::fmt;

use super::super::parameters::Elbows;

/// A side of the linkage; left is towards −x of the base frame.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Side {
    /// The chain on the base axis towards −x.
    Left,
    /// The chain on the base axis towards +x.
    Right,
}

impl Side {
    /// Both, in the order of every pair.
    pub const BOTH: [Side; 2] = [Side::Left, Side::Right];

    /// Place in a pair.
    pub fn index(self) -> usize {
        usize::from(self == Side::Right)
    }

    /// The other side.
    pub fn other(self) -> Side {
        match self {
            Side::Left => Side::Right,
            Side::Right => Side::Left,
        }
    }

    /// +1 for left, −1 for right.
    pub(super) fn towards_left(self) -> f64 {
        match self {
            Side::Left => 1.0,
            Side::Right => -1.0,
        }
    }

    /// The side as names of bodies and joints have it.
    pub fn name(self) -> &'static str {
        match self {
            Side::Left => "left",
            Side::Right => "right",
        }
    }
}

impl fmt::Display for Side {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}

/// Which way a path over the sphere turns at a corner, seen from outside.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sense {
    /// To the left.
    Counterclockwise,
    /// To the right.
    Clockwise,
}

impl Sense {
    /// +1 counterclockwise, −1 clockwise.
    pub fn sign(self) -> f64 {
        match self {
            Sense::Counterclockwise => 1.0,
            Sense::Clockwise => -1.0,
        }
    }

    /// The sense of a signed turn; `None` for a turn of zero or one that is no number.
    pub fn of(turn: f64) -> Option<Sense> {
        if turn > 0.0 {
            Some(Sense::Counterclockwise)
        } else if turn < 0.0 {
            Some(Sense::Clockwise)
        } else {
            None
        }
    }
}

/// How both chains are folded: the sense in which each path base axis → elbow →
/// apex turns at its elbow.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct WorkingMode {
    /// Left chain.
    pub left: Sense,
    /// Right chain.
    pub right: Sense,
}

impl WorkingMode {
    /// All four.
    pub const ALL: [WorkingMode; 4] = [
        Elbows::Out.mode(),
        Elbows::In.mode(),
        Elbows::Crossed.mode(),
        WorkingMode {
            left: Sense::Counterclockwise,
            right: Sense::Counterclockwise,
        },
    ];

    /// The sense at a side's elbow.
    pub fn of(self, side: Side) -> Sense {
        match side {
            Side::Left => self.left,
            Side::Right => self.right,
        }
    }
}

impl Elbows {
    /// The working mode it names.
    pub const fn mode(self) -> WorkingMode {
        use Sense::{Clockwise, Counterclockwise};
        let (left, right) = match self {
            Elbows::Out => (Clockwise, Counterclockwise),
            Elbows::In => (Counterclockwise, Clockwise),
            Elbows::Crossed => (Clockwise, Clockwise),
        };
        WorkingMode { left, right }
    }
}
