//! How many digits of an elastic answer are sure.
//!
//! Stiffnesses are added up and unknowns eliminated one after the other. Where what resists a
//! motion is far below the stiffness that went into the unknowns it moves, the digits above
//! were subtracted away: with κ the ratio of the two in the motion that resists least, the
//! norm of the inverse of the matrix scaled to a unit diagonal, an answer is off by a few κ·u
//! of itself, u being the rounding of one operation (N. J. Higham, Accuracy and Stability of
//! Numerical Algorithms, 2nd ed., section 10.1). A large ratio of two stiffnesses takes digits
//! only where one stands in the way of the other: a rigid joint has no unknown, and a support
//! is added to the compliance at the end.

use crate::design::Design;

/// Digits below which it is said: with so many, all that is shown is right.
pub const DIGITS_ENOUGH: u32 = 6;

/// How many κ·u an answer is off at most: twice the most that is met in forces and
/// displacements of thousands of linkages with stiffnesses from 1e-6 to 1e12.
const ROUNDINGS: f64 = 64.0;

/// Ratio of the greatest to the least spring up to which there are digits enough in every
/// configuration that is not next to a singular one.
pub(super) const SPREAD_OF_NO_ACCOUNT: f64 = 1e4;

/// κ after two steps of its iteration up to which there are digits enough; such an estimate
/// falls short by a factor of 25 at most.
pub(super) const RATIO_OF_NO_ACCOUNT: f64 = 2e6;

/// Share of every unknown's stiffness that holds what nothing else holds while it is found out
/// which motion that is.
pub(super) const RAISED: f64 = 1e-10;

/// A stiffness that a design states, or what its bars and pins give; of joints without the
/// number where their levels differ in it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Spring {
    /// The stated stiffness of all joints along their own axes, N/m.
    JointAxial(Option<f64>),
    /// The stated stiffness of all joints across their own axes, N/m.
    JointRadial(Option<f64>),
    /// The stated stiffness of all joints against tilting, N·m/rad.
    JointTilt(Option<f64>),
    /// Bearing pairs along their own axes, N/m.
    BearingAxial(Option<f64>),
    /// Bearing pairs across their own axes, N/m.
    BearingRadial(Option<f64>),
    /// Bearing pairs against tilting, N·m/rad.
    BearingTilt(Option<f64>),
    /// Pins and shafts.
    Pins,
    /// The softer of the drives, N·m/rad.
    Drives(f64),
    /// Bars.
    Bars,
}

impl Spring {
    /// Its value, N/m or N·m/rad; `None` where it is not one number.
    pub fn value(self) -> Option<f64> {
        match self {
            Self::JointAxial(value)
            | Self::JointRadial(value)
            | Self::JointTilt(value)
            | Self::BearingAxial(value)
            | Self::BearingRadial(value)
            | Self::BearingTilt(value) => value,
            Self::Drives(value) => Some(value),
            Self::Pins | Self::Bars => None,
        }
    }

    /// What it is, with its value where it is one number.
    pub fn words(self) -> String {
        let (what, unit) = match self {
            Self::JointAxial(_) => ("axial stiffness of the joints", "N/m"),
            Self::JointRadial(_) => ("radial stiffness of the joints", "N/m"),
            Self::JointTilt(_) => ("tilt stiffness of the joints", "N·m/rad"),
            Self::BearingAxial(_) => ("axial stiffness of the bearings", "N/m"),
            Self::BearingRadial(_) => ("radial stiffness of the bearings", "N/m"),
            Self::BearingTilt(_) => ("tilt stiffness of the bearings", "N·m/rad"),
            Self::Drives(_) => ("minimum stiffness of the drives", "N·m/rad"),
            Self::Pins => ("stiffness of the pins", ""),
            Self::Bars => ("stiffness of the bars", ""),
        };
        match self.value() {
            Some(value) => format!("the {what} ({value:e} {unit})"),
            None => format!("the {what}"),
        }
    }
}

/// Two stiffnesses that stand too far apart.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Extremes {
    /// What yields.
    pub soft: Spring,
    /// What stands beside it.
    pub stiff: Spring,
    /// How far what yields is below all that stands beside it, in the motion that resists
    /// least: digits lost are its decimal logarithm.
    pub ratio: f64,
}

/// Fewer sure digits than enough.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FewDigits {
    /// How many are sure, at least.
    pub digits: u32,
    /// Which stiffnesses take the others; `None` next to a configuration without stiffness.
    pub extremes: Option<Extremes>,
}

impl FewDigits {
    /// The fewer of two.
    pub fn fewer(self, other: Self) -> Self {
        if other.digits < self.digits {
            other
        } else {
            self
        }
    }
}

/// Digits that a ratio κ assures.
pub(super) fn digits_with(ratio: f64) -> u32 {
    let digits = -(ROUNDINGS * f64::EPSILON * ratio).log10();
    digits.floor().max(0.0) as u32
}

/// What is stated about the springs of a design.
#[derive(Debug, Clone, Copy)]
pub(super) struct Stated {
    pub(super) joints: [Spring; 3],
    pub(super) drives: Spring,
}

impl Stated {
    pub(super) fn of(design: &Design) -> Self {
        let stated = design.each_joints().map(|joint| {
            let stiffness = joint.stiffness.as_ref();
            stiffness.map_or([0.0; 3], |stiffness| {
                [stiffness.axial, stiffness.radial, stiffness.tilt].map(|one| one.value)
            })
        });
        let stated: Vec<[f64; 3]> = stated.collect();
        let common = |which: usize| {
            let first = stated[0][which];
            stated
                .iter()
                .all(|one| one[which] == first)
                .then_some(first)
        };
        let [axial, radial, tilt] = [0, 1, 2].map(common);
        let drives = design.drives.each.iter();
        let softest = drives
            .filter_map(|drive| Some(drive.stiffness?.value))
            .reduce(f64::min);
        Self {
            joints: if design.joints.parts.is_some() {
                [
                    Spring::BearingAxial(axial),
                    Spring::BearingRadial(radial),
                    Spring::BearingTilt(tilt),
                ]
            } else {
                [
                    Spring::JointAxial(axial),
                    Spring::JointRadial(radial),
                    Spring::JointTilt(tilt),
                ]
            },
            drives: softest.map_or(Spring::Pins, Spring::Drives),
        }
    }
}
