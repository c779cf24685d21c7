//! What a search varies of each family: the angles its kinematics depend on.

use std::f64::consts::PI;

use crate::brief::{Brief, Choice, Kept};
use crate::design::DriveLayout;

use super::parameters::{Dimension, Family, FamilyName, Which};
use super::scissor_linkage::{self, ScissorAngles};
use super::two_arc_arm;

/// The angles of a candidate: what its kinematics depend on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Angles(Of);

#[derive(Debug, Clone, Copy, PartialEq)]
enum Of {
    Scissor(ScissorAngles),
    /// First and second arc, rad.
    Arm([f64; 2]),
}

impl Angles {
    /// The family.
    pub fn family_name(&self) -> FamilyName {
        match self.0 {
            Of::Scissor(_) => FamilyName::SCISSOR_LINKAGE,
            Of::Arm(_) => FamilyName::TWO_ARC_ARM,
        }
    }

    /// The linkage, nothing of it kept.
    pub fn family(&self) -> Family {
        match &self.0 {
            Of::Scissor(angles) => Family::scissor_linkage(angles.linkage()),
            Of::Arm(arcs) => Family::two_arc_arm(*arcs),
        }
    }

    /// The drive layout, where the family has more than one.
    pub fn layout(&self) -> Option<DriveLayout> {
        match &self.0 {
            Of::Scissor(angles) => Some(angles.layout),
            Of::Arm(_) => None,
        }
    }

    /// What was chosen of a dimension, rad or 1; `None` where the family has no such one.
    pub fn chosen(&self, dimension: Dimension) -> Option<f64> {
        match &self.0 {
            Of::Scissor(angles) => match dimension {
                Dimension::Stages => Some(angles.stages as f64),
                Dimension::Arc => Some(angles.arc),
                Dimension::Bend => Some(angles.bend),
                _ => None,
            },
            Of::Arm(arcs) => match dimension {
                Dimension::FirstArc => Some(arcs[0]),
                Dimension::SecondArc => Some(arcs[1]),
                _ => None,
            },
        }
    }

    /// Whether parts kept leave a dimension to choose; where they do not, the prototype's
    /// value stands and [`Angles::chosen`] means nothing.
    pub fn leaves_free(&self, kept: &Kept, dimension: Dimension) -> bool {
        match &self.0 {
            Of::Scissor(angles) => {
                let [arc, bend] = scissor_linkage::leaves_free(kept, angles.stages);
                match dimension {
                    Dimension::Arc => arc,
                    Dimension::Bend => angles.stages == 1 || bend,
                    _ => true,
                }
            }
            Of::Arm(_) => true,
        }
    }

    /// Number of stages; `None` for what is not made of stages.
    pub fn stages(&self) -> Option<usize> {
        match &self.0 {
            Of::Scissor(angles) => Some(angles.stages),
            Of::Arm(_) => None,
        }
    }
}

impl FamilyName {
    /// All combinations that a brief allows of the family, in order.
    pub fn combinations(self, brief: &Brief) -> Vec<Angles> {
        match self.0 {
            Which::ScissorLinkage => scissors(scissor_linkage::combinations(brief)),
            Which::TwoArcArm => arms(two_arc_arm::combinations(brief)),
            // Not searched for yet; the reader of the brief and `offers` say so.
            Which::FiveBar => Vec::new(),
        }
    }

    /// What all combinations of the family have alike though a linkage need not, in words;
    /// `None` where all of it is varied.
    pub fn alike(self) -> Option<&'static str> {
        match self.0 {
            Which::ScissorLinkage => Some("equal arcs and bends only"),
            Which::TwoArcArm | Which::FiveBar => None,
        }
    }

    /// How many there are, without listing them: for grids that no memory holds.
    pub fn count(self, brief: &Brief) -> f64 {
        match self.0 {
            Which::ScissorLinkage => scissor_linkage::count(brief),
            Which::TwoArcArm => two_arc_arm::count(brief),
            Which::FiveBar => 0.0,
        }
    }

    /// Wide steps over what the kinematics of the family depend on, whatever a brief allows.
    pub fn coarse_sweep(self) -> Vec<Angles> {
        match self.0 {
            Which::ScissorLinkage => scissors(scissor_linkage::coarse_sweep()),
            Which::TwoArcArm => arms(two_arc_arm::coarse_sweep()),
            Which::FiveBar => Vec::new(),
        }
    }

    /// Greatest polar angle that any combination could reach, rad: the sum of its arcs.
    pub fn reach_bound(self, choice: &Choice) -> f64 {
        let sum = match self.0 {
            Which::ScissorLinkage => {
                let stages = choice.stages.iter().copied().max().unwrap_or(0);
                2.0 * stages as f64 * choice.arc.to
            }
            Which::TwoArcArm => 2.0 * choice.arm_arc.to,
            Which::FiveBar => 0.0,
        };
        sum.min(PI)
    }
}

fn scissors(all: Vec<ScissorAngles>) -> Vec<Angles> {
    all.into_iter()
        .map(|one| Angles(Of::Scissor(one)))
        .collect()
}

fn arms(all: Vec<[f64; 2]>) -> Vec<Angles> {
    all.into_iter().map(|one| Angles(Of::Arm(one))).collect()
}
