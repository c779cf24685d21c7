//! The combinations of a brief, in a fixed order.

use nalgebra::Vector3;

use super::kept::{keep_angles, keep_rest, leaves_free};
use crate::brief::{ArrangementChoice, Brief, FamilyName, Kept};
use crate::design::{
    Design, DriveLayout, DriveRange, Drives, Family, JointProperties, Layers, Mount,
    ScissorLinkage, Tool, ToolCarrier, TwoArcArm,
};
use crate::sphere::direction::any_perpendicular;

/// The angles of a candidate: what its kinematics depend on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Angles {
    /// A scissor linkage of equal half-links.
    Scissor {
        /// Number of stages.
        stages: usize,
        /// Arc of each half-link, rad.
        arc: f64,
        /// Bend between stages, rad.
        bend: f64,
        /// Drive layout.
        layout: DriveLayout,
    },
    /// A two-arc arm.
    Arm {
        /// First and second arc, rad.
        arcs: [f64; 2],
    },
}

/// One combination: its angles and indices into the brief's lists.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Candidate {
    /// Position in the grid's order, from 0.
    pub index: usize,
    /// Angles.
    pub angles: Angles,
    /// Tilt of the base axis against the region's axis, rad.
    pub mount_tilt: f64,
    /// Radius of the bars, m.
    pub joint_radius: f64,
    /// Index into the brief's sections.
    pub section: usize,
    /// Index into the brief's materials.
    pub material: usize,
    /// Index into the brief's bearings; `None` keeps the joints as given.
    pub bearing: Option<usize>,
    /// Index into the brief's arrangements of the layers; `None` keeps the layers as given.
    pub arrangement: Option<usize>,
}

/// All combinations of a brief.
#[derive(Debug, Clone)]
pub struct Grid {
    /// Angles and mount tilts, in order; each stands for a group of candidates
    /// that share their kinematics.
    pub groups: Vec<(Angles, f64)>,
    radii: Vec<f64>,
    sections: usize,
    materials: usize,
    bearings: Vec<Option<usize>>,
    arrangements: Vec<Option<usize>>,
}

/// Positions in a list to choose from; one `None` if the list is empty.
fn positions(count: usize) -> Vec<Option<usize>> {
    if count == 0 {
        vec![None]
    } else {
        (0..count).map(Some).collect()
    }
}

impl Grid {
    /// The grid of a brief.
    pub fn new(brief: &Brief) -> Self {
        let mut groups = Vec::new();
        for angles in all_angles(brief) {
            for tilt in &brief.choice.mount_tilt {
                groups.push((angles, *tilt));
            }
        }
        Self {
            groups,
            radii: brief.joint_radius.values(),
            sections: brief.choice.sections.len(),
            materials: brief.choice.materials.len(),
            bearings: positions(brief.choice.bearings.len()),
            arrangements: positions(brief.choice.arrangements.len()),
        }
    }

    /// Number of candidates in each group.
    pub fn group_size(&self) -> usize {
        self.radii.len()
            * self.sections
            * self.materials
            * self.bearings.len()
            * self.arrangements.len()
    }

    /// Number of combinations.
    pub fn len(&self) -> usize {
        self.groups.len() * self.group_size()
    }

    /// Whether there is none.
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }

    /// The candidates of a group, in order.
    pub fn group(&self, group: usize) -> Vec<Candidate> {
        let (angles, mount_tilt) = self.groups[group];
        let mut candidates = Vec::with_capacity(self.group_size());
        for joint_radius in &self.radii {
            for section in 0..self.sections {
                for material in 0..self.materials {
                    for bearing in &self.bearings {
                        for arrangement in &self.arrangements {
                            candidates.push(Candidate {
                                index: group * self.group_size() + candidates.len(),
                                angles,
                                mount_tilt,
                                joint_radius: *joint_radius,
                                section,
                                material,
                                bearing: *bearing,
                                arrangement: *arrangement,
                            });
                        }
                    }
                }
            }
        }
        candidates
    }
}

pub(super) fn all_angles(brief: &Brief) -> Vec<Angles> {
    let choice = &brief.choice;
    let mut all = Vec::new();
    for family in &choice.families {
        match family {
            FamilyName::ScissorLinkage => {
                for stages in &choice.stages {
                    let [arcs_free, bends_free] = brief
                        .kept
                        .as_ref()
                        .map_or([true, true], |kept| leaves_free(kept, *stages));
                    // One stage has no crossing bars to bend.
                    let bends = if *stages > 1 && bends_free {
                        choice.bend.values()
                    } else {
                        vec![0.0]
                    };
                    let arcs = if arcs_free {
                        choice.arc.values()
                    } else {
                        vec![choice.arc.from]
                    };
                    for arc in arcs {
                        for bend in &bends {
                            for layout in &choice.drive_layouts {
                                all.push(Angles::Scissor {
                                    stages: *stages,
                                    arc,
                                    bend: *bend,
                                    layout: *layout,
                                });
                            }
                        }
                    }
                }
            }
            FamilyName::TwoArcArm => {
                let arcs = |kept: fn(&Kept) -> bool, own: usize| match &brief.kept {
                    Some(parts) if kept(parts) => match &parts.design.family {
                        Family::TwoArcArm(arm) => vec![arm.arcs[own]],
                        Family::ScissorLinkage(_) => choice.arm_arc.values(),
                    },
                    _ => choice.arm_arc.values(),
                };
                for first in arcs(|kept| kept.base, 0) {
                    for second in arcs(|kept| kept.bars.contains(&1), 1) {
                        all.push(Angles::Arm {
                            arcs: [first, second],
                        });
                    }
                }
            }
        }
    }
    all
}

impl Candidate {
    /// The brief's joints with this combination's bearing.
    fn joints(&self, brief: &Brief) -> JointProperties {
        let given = brief.joints.clone().unwrap_or(JointProperties {
            stiffness: None,
            parts: None,
            boss_diameter: 0.0,
            mass: 0.0,
            releases: Vec::new(),
        });
        match self.bearing {
            // A bearing of the shipped table makes a pair with whatever the brief has.
            Some(index) => given
                .with_bearing(&brief.choice.bearings[index])
                .unwrap_or(given),
            None => given,
        }
    }

    /// Whether its layers are the fewest that do, which only its motion can tell.
    pub(super) fn wants_fewest_layers(&self, brief: &Brief) -> bool {
        brief.layers.is_some()
            && self
                .arrangement
                .is_some_and(|index| brief.choice.arrangements[index] == ArrangementChoice::Fewest)
    }

    /// The design of this combination; `joints` where the brief gives none is rigid.
    /// Where the fewest layers are wanted, the brief's own arrangement stands.
    pub(super) fn before_layers(&self, brief: &Brief) -> Design {
        let (mut family, layout) = match self.angles {
            Angles::Scissor {
                stages,
                arc,
                bend,
                layout,
            } => {
                let mut linkage = ScissorLinkage::uniform(stages, arc);
                linkage.bends = vec![bend; stages.saturating_sub(1)];
                (Family::ScissorLinkage(linkage), layout)
            }
            Angles::Arm { arcs } => (
                Family::TwoArcArm(TwoArcArm { arcs }),
                DriveLayout::SwingAndOpening,
            ),
        };
        if let Some(kept) = &brief.kept {
            keep_angles(kept, &mut family);
        }
        let mut design = Design {
            title: brief.title.clone(),
            family,
            joint_radius: self.joint_radius,
            section: brief.choice.sections[self.section].clone(),
            material: brief.choice.materials[self.material].clone(),
            joints: self.joints(brief),
            layers: brief.layers.clone().map(|layers| {
                let chosen = self
                    .arrangement
                    .map(|index| &brief.choice.arrangements[index]);
                Layers {
                    arrangement: match chosen {
                        Some(ArrangementChoice::Of(arrangement)) => arrangement.clone(),
                        Some(ArrangementChoice::Fewest) | None => layers.arrangement.clone(),
                    },
                    ..layers
                }
            }),
            drives: Drives {
                layout,
                ratio: [1.0, 1.0],
                range: DriveRange::default(),
                holding: None,
            },
            tool: Tool {
                carried_by: ToolCarrier::Left,
                tip_radius: brief.tool.tip_radius,
                mass: brief.tool.mass,
                centre_of_mass_radius: brief.tool.centre_of_mass_radius,
                grip_radius: brief.tool.grip_radius,
                envelope: brief.tool.envelope,
                bracket_arc: 0.0,
                roll: 0.0,
            },
            mount: mount(brief, self.mount_tilt),
        };
        if let Some(kept) = &brief.kept {
            keep_rest(kept, &mut design);
        }
        design
    }
}

/// Mount whose base axis is the region's axis tilted towards the brief's
/// azimuth; azimuth 0 faces the region's axis where the two differ.
pub fn mount(brief: &Brief, tilt: f64) -> Mount {
    if let Some(kept) = brief.kept.as_ref().filter(|kept| kept.ground) {
        return Mount {
            position: brief.centre,
            ..kept.design.mount.clone()
        };
    }
    let axis = brief.region.axis();
    let zero = horizontal_reference(&axis);
    let (sin_towards, cos_towards) = brief.choice.mount_tilt_towards.sin_cos();
    let towards = zero * cos_towards + axis.cross(&zero) * sin_towards;
    let base_axis = axis * tilt.cos() + towards * tilt.sin();
    Mount {
        axis: tidy(base_axis),
        reference: tidy(if tilt.abs() < 1e-9 { towards } else { axis }),
        position: brief.centre,
        support: None,
    }
}

/// Direction of azimuth 0 about an axis: world x, or y where the axis is along x.
fn horizontal_reference(axis: &Vector3<f64>) -> Vector3<f64> {
    let across = Vector3::x() - axis * axis.x;
    if across.norm() > 1e-6 {
        across.normalize()
    } else {
        any_perpendicular(axis)
    }
}

/// Components at rounding level become zero, so that files read well.
fn tidy(vector: Vector3<f64>) -> Vector3<f64> {
    vector.map(|c| if c.abs() < 1e-15 { 0.0 } else { c })
}
