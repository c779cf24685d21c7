//! What a search varies of each family: the angles its kinematics depend on.

use std::f64::consts::PI;

use crate::brief::{Brief, Choice, Kept, Range};
use crate::design::DriveLayout;

use super::parameters::{Dimension, Family, FamilyName, Which};
use super::scissor_linkage::{self, ScissorAngles, ScissorVariant};
use super::two_arc_arm;

/// The angles of a candidate: what its kinematics depend on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Angles(Of);

// Candidates are copied and kept by the thousand, those with stages most of all.
#[expect(clippy::large_enum_variant, reason = "the large one is the usual one")]
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

    /// What was chosen of a dimension, rad or 1; `None` where the family has no such one, and
    /// where what it stands for differs from bar to bar.
    pub fn chosen(&self, dimension: Dimension) -> Option<f64> {
        match &self.0 {
            Of::Scissor(angles) => match dimension {
                Dimension::Stages => Some(angles.stages as f64),
                Dimension::Arc => angles.arc(),
                Dimension::Bend => angles.bend(),
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

    /// Proximal arcs, distal arcs and bends, stage by stage, rad; empty of what has no stages.
    pub fn lists(&self) -> [&[f64]; 3] {
        match &self.0 {
            Of::Scissor(angles) => [
                &angles.proximal[..angles.stages],
                &angles.distal[..angles.stages],
                &angles.bends[..angles.stages.saturating_sub(1)],
            ],
            Of::Arm(_) => [&[]; 3],
        }
    }

    /// Assembly mode of each stage, 1 or −1; empty of what has no stages.
    pub fn assembly_modes(&self) -> &[i8] {
        match &self.0 {
            Of::Scissor(angles) => &angles.modes[..angles.stages],
            Of::Arm(_) => &[],
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

/// What linkages of a family have alike that a search goes through by itself: number of stages,
/// drive layout, assembly modes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Variant(Alike);

#[derive(Debug, Clone, Copy, PartialEq)]
enum Alike {
    Scissor(ScissorVariant),
    Arm,
}

impl Variant {
    /// The family.
    pub fn family_name(&self) -> FamilyName {
        match self.0 {
            Alike::Scissor(_) => FamilyName::SCISSOR_LINKAGE,
            Alike::Arm => FamilyName::TWO_ARC_ARM,
        }
    }

    /// Number of stages; `None` for what is not made of stages.
    pub fn stages(&self) -> Option<usize> {
        match &self.0 {
            Alike::Scissor(variant) => Some(variant.stages),
            Alike::Arm => None,
        }
    }

    /// The drive layout, where the family has more than one.
    pub fn layout(&self) -> Option<DriveLayout> {
        match &self.0 {
            Alike::Scissor(variant) => Some(variant.layout),
            Alike::Arm => None,
        }
    }

    /// Stages (from 1) whose apex lies inward of their side joints; none is the usual assembly.
    pub fn turned_stages(&self) -> Vec<usize> {
        match &self.0 {
            Alike::Scissor(variant) => (1..=variant.stages)
                .filter(|stage| variant.modes[stage - 1] < 0)
                .collect(),
            Alike::Arm => Vec::new(),
        }
    }

    /// The ranges of the angles that are free in it, rad, with whether each is an arc.
    pub fn ranges(&self, brief: &Brief) -> Vec<(Range, bool)> {
        match &self.0 {
            Alike::Scissor(variant) => variant.ranges(brief),
            Alike::Arm => two_arc_arm::ranges(brief).map(|range| (range, true)).into(),
        }
    }

    /// The angles of one of these linkages, rad, in the order of [`Variant::ranges`].
    pub fn angles(&self, values: &[f64]) -> Angles {
        match &self.0 {
            Alike::Scissor(variant) => Angles(Of::Scissor(variant.angles(values))),
            Alike::Arm => Angles(Of::Arm([0, 1].map(|place| {
                let value: Option<&f64> = values.get(place);
                value.copied().unwrap_or(0.0)
            }))),
        }
    }
}

impl FamilyName {
    /// What a search goes through by itself of the family, in order; a family that cannot be
    /// searched for has nothing.
    pub fn variants(self, brief: &Brief) -> Vec<Variant> {
        match self.0 {
            Which::ScissorLinkage => scissor_linkage::variants(brief)
                .into_iter()
                .map(|variant| Variant(Alike::Scissor(variant)))
                .collect(),
            Which::TwoArcArm => vec![Variant(Alike::Arm)],
            Which::FiveBar => Vec::new(),
        }
    }

    /// All combinations that a brief allows of the family, in order.
    pub fn combinations(self, brief: &Brief) -> Vec<Angles> {
        match self.0 {
            Which::ScissorLinkage => scissors(scissor_linkage::combinations(brief)),
            Which::TwoArcArm => arms(two_arc_arm::combinations(brief)),
            // Not searched for yet; the reader of the brief and `offers` say so.
            Which::FiveBar => Vec::new(),
        }
    }

    /// What all candidates of the family have alike though a linkage need not, in words;
    /// `None` where all of it is varied.
    pub fn alike(self, choice: &Choice) -> Option<&'static str> {
        match self.0 {
            Which::ScissorLinkage if choice.arcs_are_equal() => Some("equal arcs and bends only"),
            Which::ScissorLinkage => None,
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
