//! What a map varies: numbers of a design, by the names the command line writes.

use thiserror::Error;

use crate::design::{Design, JointProperties, NotYetWhereDiffering};
use crate::family::parameters::Dimension;
use crate::stock::Section;
use crate::stock::{MachineElementError, series_of};
use crate::uncertain::Uncertain;

/// A number of a design that a map can vary; angles rad, lengths m, SI.
///
/// The order is that in which changes are made: the number of stages first, then
/// their arcs; bearings before the bosses around them and the stiffness they make.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Variable {
    /// Number of stages; all take the first stage's arcs and bend.
    Stages,
    /// Every arc, both arcs of a two-arc arm.
    Arc,
    /// Sum of all arcs of one branch, shared equally (half the total for each arc
    /// of a two-arc arm).
    TotalArc,
    /// Every bend between stages.
    Bend,
    /// First arc of a two-arc arm.
    FirstArc,
    /// Second arc of a two-arc arm.
    SecondArc,
    /// Radius of the bars.
    JointRadius,
    /// Radius of the tool tip.
    TipRadius,
    /// Section across the bar.
    Tangential,
    /// Section along the sphere's radius.
    Radial,
    /// Diameter of a rod, outer diameter of a tube.
    Diameter,
    /// Bore of the bearings: that of the shipped table with this bore in the series of
    /// the design's.
    BearingBore,
    /// Distance of the middles of the two bearings.
    PairSpacing,
    /// Free radial distance between layers.
    LayerGap,
    /// Number of layers: the arrangement of so many that leaves most of what the region
    /// uses of the range.
    Layers,
    /// Boss diameter.
    BossDiameter,
    /// Joint stiffness along its axis.
    JointAxial,
    /// Joint stiffness across its axis.
    JointRadial,
    /// Joint tilt stiffness.
    JointTilt,
    /// Polar angle of the tool at which elastic quantities are taken.
    Polar,
}

/// A change that a design cannot take.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum MapError {
    /// The family has no such number.
    #[error("a {family} has no {variable}")]
    NotOfFamily {
        /// The variable's name.
        variable: &'static str,
        /// The family's name.
        family: &'static str,
    },
    /// The section has no such size.
    #[error("{0} is no size of this section's shape")]
    NotOfSection(&'static str),
    /// Joint stiffness of rigid joints.
    #[error("{0} needs joints with three stiffnesses; this design's are rigid")]
    RigidJoints(&'static str),
    /// A size of bearings, of joints without.
    #[error("{0} needs joints with bearings; this design's have none")]
    NoBearings(&'static str),
    /// A number of layers, of a design without.
    #[error("{0} needs a design with [layers]; this one has none")]
    NoLayers(&'static str),
    /// No such bearing.
    #[error("no bearing of the series of {name} has a bore of {bore_mm} mm; the table has {there}")]
    NoSuchBearing {
        /// Designation of the design's bearing.
        name: String,
        /// Bore, mm.
        bore_mm: f64,
        /// Bores of the series, mm.
        there: String,
    },
    /// A joint that cannot be made from its parts.
    #[error(transparent)]
    Part(#[from] MachineElementError),
    /// Two bearings of one pair overlap.
    #[error("bearings {width_mm} mm wide overlap with their middles {spacing_mm} mm apart")]
    PairOverlaps {
        /// Width of one, mm.
        width_mm: f64,
        /// Spacing, mm.
        spacing_mm: f64,
    },
    /// It is not answered yet where bars or joints differ.
    #[error(transparent)]
    NotYet(#[from] NotYetWhereDiffering),
    /// A bend between stages of a linkage with one stage.
    #[error("{0} needs two stages or more; this linkage has one")]
    NoBends(&'static str),
}

impl Variable {
    /// All of them with the names and units the command line writes.
    pub const ALL: [(Variable, &'static str); 20] = [
        (Variable::Stages, "stages"),
        (Variable::Arc, "arc_deg"),
        (Variable::TotalArc, "total_arc_deg"),
        (Variable::Bend, "bend_deg"),
        (Variable::FirstArc, "first_arc_deg"),
        (Variable::SecondArc, "second_arc_deg"),
        (Variable::JointRadius, "joint_radius_mm"),
        (Variable::TipRadius, "tip_radius_mm"),
        (Variable::Tangential, "tangential_mm"),
        (Variable::Radial, "radial_mm"),
        (Variable::Diameter, "diameter_mm"),
        (Variable::BossDiameter, "boss_diameter_mm"),
        (Variable::JointAxial, "axial_n_per_m"),
        (Variable::JointRadial, "radial_n_per_m"),
        (Variable::JointTilt, "tilt_nm_per_rad"),
        (Variable::BearingBore, "bearing_bore_mm"),
        (Variable::PairSpacing, "bearing_spacing_mm"),
        (Variable::LayerGap, "layer_gap_mm"),
        (Variable::Layers, "layers"),
        (Variable::Polar, "polar"),
    ];

    /// The name the command line writes.
    pub fn name(self) -> &'static str {
        Self::ALL
            .iter()
            .find(|(variable, _)| *variable == self)
            .map_or("", |(_, name)| name)
    }

    /// Whether two variables set the same angles, so that only one of them can be given.
    pub fn clashes_with(self, other: Variable) -> bool {
        let whole = |v: Variable| matches!(v, Variable::Arc | Variable::TotalArc);
        let one = |v: Variable| matches!(v, Variable::FirstArc | Variable::SecondArc);
        self == other
            || (whole(self) && (whole(other) || one(other)))
            || (one(self) && whole(other))
    }

    /// Whether the reach depends on it evenly, so that a line of equal reach can be
    /// followed along it.
    pub fn moves_reach(self) -> bool {
        matches!(
            self,
            Variable::Arc
                | Variable::TotalArc
                | Variable::Bend
                | Variable::FirstArc
                | Variable::SecondArc
        )
    }

    /// Changes a design by several variables, whatever their order in the list.
    ///
    /// # Errors
    /// [`MapError`] where the design has no such number.
    pub fn apply_all(design: &mut Design, changes: &[(Variable, f64)]) -> Result<(), MapError> {
        let mut changes = changes.to_vec();
        changes.sort_by_key(|(variable, _)| *variable);
        for (variable, value) in changes {
            variable.apply(design, value)?;
        }
        Ok(())
    }

    /// Refuses a variable that changes nothing of a design or that it does not have.
    ///
    /// # Errors
    /// [`MapError`] with the reason.
    pub fn check(self, design: &Design) -> Result<(), MapError> {
        if self == Variable::Bend
            && design
                .family
                .values(Dimension::Bend)
                .is_some_and(|bends| bends.is_empty())
        {
            return Err(MapError::NoBends(self.name()));
        }
        if self == Variable::BearingBore {
            let bore = design.joints.parts.as_ref().map(|parts| parts.bearing.bore);
            return self.apply(&mut design.clone(), bore.unwrap_or(0.0));
        }
        self.apply(&mut design.clone(), 1.0)
    }

    /// Changes a design.
    ///
    /// # Errors
    /// [`MapError`] where the design has no such number.
    pub fn apply(self, design: &mut Design, value: f64) -> Result<(), MapError> {
        match self {
            Variable::Tangential | Variable::Radial | Variable::Diameter => {
                design.needs_one_section(self.name())?;
            }
            Variable::BossDiameter
            | Variable::JointAxial
            | Variable::JointRadial
            | Variable::JointTilt
            | Variable::BearingBore
            | Variable::PairSpacing => design.needs_equal_joints(self.name())?,
            Variable::Stages | Variable::Layers => design.needs_all_equal(self.name())?,
            _ => {}
        }
        match self {
            Variable::Polar => {}
            Variable::JointRadius => design.joint_radius = value,
            Variable::TipRadius => design.tool.tip_radius = value,
            Variable::BossDiameter => design.joints.boss_diameter = value,
            Variable::JointAxial | Variable::JointRadial | Variable::JointTilt => {
                let stiffness = design
                    .joints
                    .stiffness
                    .as_mut()
                    .ok_or(MapError::RigidJoints(self.name()))?;
                let slot = match self {
                    Variable::JointAxial => &mut stiffness.axial,
                    Variable::JointRadial => &mut stiffness.radial,
                    _ => &mut stiffness.tilt,
                };
                *slot = Uncertain::exact(value);
            }
            Variable::BearingBore | Variable::PairSpacing => {
                self.apply_to_bearings(&mut design.joints, value)?;
            }
            Variable::LayerGap | Variable::Layers => {
                let layers = design
                    .layers
                    .as_mut()
                    .ok_or(MapError::NoLayers(self.name()))?;
                // Which bar lies in which of so many layers depends on the motion: the
                // cell finds it.
                if self == Variable::LayerGap {
                    layers.gap = value;
                }
            }
            Variable::Tangential | Variable::Radial | Variable::Diameter => {
                self.apply_to_section(&mut design.section, value)?;
            }
            Variable::Stages => self.apply_to_family(Dimension::Stages, design, value)?,
            Variable::Arc => self.apply_to_family(Dimension::Arc, design, value)?,
            Variable::TotalArc => self.apply_to_family(Dimension::TotalArc, design, value)?,
            Variable::Bend => self.apply_to_family(Dimension::Bend, design, value)?,
            Variable::FirstArc => self.apply_to_family(Dimension::FirstArc, design, value)?,
            Variable::SecondArc => self.apply_to_family(Dimension::SecondArc, design, value)?,
        }
        Ok(())
    }

    fn apply_to_bearings(self, joints: &mut JointProperties, value: f64) -> Result<(), MapError> {
        let parts = joints
            .parts
            .as_mut()
            .ok_or(MapError::NoBearings(self.name()))?;
        if self == Variable::PairSpacing {
            if value < parts.bearing.width * (1.0 - 1e-9) {
                return Err(MapError::PairOverlaps {
                    width_mm: parts.bearing.width * 1e3,
                    spacing_mm: value * 1e3,
                });
            }
            parts.pair_spacing = value;
            joints.stiffness = Some(parts.pair_stiffness()?);
            return Ok(());
        }
        let series = series_of(&parts.bearing.name);
        let found = series.iter().find(|row| (row.bore - value).abs() < 1e-6);
        let Some(row) = found else {
            let bores = series.iter().map(|row| format!("{}", row.bore * 1e3));
            let there: Vec<String> = bores.collect();
            return Err(MapError::NoSuchBearing {
                name: parts.bearing.name.clone(),
                bore_mm: value * 1e3,
                there: if there.is_empty() {
                    "no such series".to_string()
                } else {
                    there.join(", ")
                },
            });
        };
        *joints = joints.with_bearing(&row.bearing()?)?;
        Ok(())
    }

    fn apply_to_family(
        self,
        dimension: Dimension,
        design: &mut Design,
        value: f64,
    ) -> Result<(), MapError> {
        if design.family.set(dimension, value) {
            return Ok(());
        }
        Err(MapError::NotOfFamily {
            variable: self.name(),
            family: design.family.name(),
        })
    }

    fn apply_to_section(self, section: &mut Section, value: f64) -> Result<(), MapError> {
        let slot = match (self, section) {
            (
                Variable::Tangential,
                Section::Rectangle { tangential, .. } | Section::RectangleTube { tangential, .. },
            ) => tangential,
            (
                Variable::Radial,
                Section::Rectangle { radial, .. } | Section::RectangleTube { radial, .. },
            ) => radial,
            (Variable::Diameter, Section::Rod { diameter }) => diameter,
            (Variable::Diameter, Section::Tube { outer_diameter, .. }) => outer_diameter,
            _ => return Err(MapError::NotOfSection(self.name())),
        };
        *slot = value;
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::design::sample::two_arc_arm;
    use crate::design::{Family, ScissorLinkage};

    fn scissor(stages: usize) -> Design {
        let mut design = two_arc_arm([1.0, 1.0]);
        design.family = Family::scissor_linkage(ScissorLinkage::uniform(stages, 0.4));
        design
    }

    #[test]
    fn stages_are_set_before_the_arcs_whatever_the_order_given() {
        for changes in [
            [(Variable::TotalArc, 1.2), (Variable::Stages, 3.0)],
            [(Variable::Stages, 3.0), (Variable::TotalArc, 1.2)],
        ] {
            let mut design = scissor(2);
            Variable::apply_all(&mut design, &changes).unwrap();
            // Three stages are six arcs a branch.
            assert_eq!(design.family.stages(), Some(3));
            assert_eq!(design.family.values(Dimension::Bend).unwrap().len(), 2);
            let arcs = design.family.branch_arcs();
            assert_eq!(arcs.len(), 6);
            assert!(arcs.iter().all(|arc| (arc - 0.2).abs() < 1e-15));
        }
    }

    #[test]
    fn what_a_design_lacks_is_refused() {
        assert!(matches!(
            Variable::Bend.check(&scissor(1)),
            Err(MapError::NoBends(_))
        ));
        assert!(Variable::Bend.check(&scissor(2)).is_ok());
        assert!(matches!(
            Variable::Stages.check(&two_arc_arm([1.0, 1.0])),
            Err(MapError::NotOfFamily { .. })
        ));
        assert!(matches!(
            Variable::JointTilt.check(&scissor(2)),
            Err(MapError::RigidJoints(_))
        ));
        assert!(matches!(
            Variable::Diameter.check(&scissor(2)),
            Err(MapError::NotOfSection(_))
        ));
    }

    #[test]
    fn variables_of_the_same_arcs_clash() {
        assert!(Variable::Arc.clashes_with(Variable::TotalArc));
        assert!(Variable::FirstArc.clashes_with(Variable::Arc));
        assert!(!Variable::FirstArc.clashes_with(Variable::SecondArc));
        assert!(!Variable::Stages.clashes_with(Variable::TotalArc));
    }
}
