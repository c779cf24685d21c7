//! The combinations of a brief, in a fixed order.

use nalgebra::Vector3;

use super::kept::keep_rest;
use crate::brief::{ArrangementChoice, Brief, FamilyName};
use crate::design::{
    Design, DriveLayout, DriveRange, Drives, JointProperties, Layers, Mount, Own, Tool, ToolCarrier,
};
pub use crate::family::choice::Angles;
use crate::sphere::direction::any_perpendicular;

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
    /// Distance between the two bearings of a joint, m; `None` keeps it as given.
    pub spacing: Option<f64>,
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

/// Number of combinations of a brief, without listing them: for grids that no memory holds.
pub fn combinations(brief: &Brief) -> f64 {
    let choice = &brief.choice;
    let angles: f64 = choice
        .families
        .iter()
        .map(|family| family.count(brief))
        .sum();
    let lists = [
        choice.mount_tilt.len(),
        choice.sections.len(),
        choice.materials.len(),
        choice.bearings.len().max(1),
        choice.arrangements.len().max(1),
    ];
    let lists: f64 = lists.into_iter().map(|length| length as f64).product();
    angles * lists * brief.joint_radius.count()
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
                                spacing: None,
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

fn all_angles(brief: &Brief) -> Vec<Angles> {
    let families = brief.choice.families.iter();
    families
        .flat_map(|family| family.combinations(brief))
        .collect()
}

impl Candidate {
    /// The class it belongs to: its family with the number of stages, where there are some.
    pub fn class(&self) -> (FamilyName, Option<usize>) {
        (self.angles.family_name(), self.angles.stages())
    }

    /// The brief's joints with this combination's bearing.
    fn joints(&self, brief: &Brief) -> JointProperties {
        let given = brief.joints.clone().unwrap_or(JointProperties {
            stiffness: None,
            parts: None,
            boss_diameter: 0.0,
            mass: 0.0,
            releases: Vec::new(),
        });
        let joints = match self.bearing {
            // A bearing of the shipped table makes a pair with whatever the brief has.
            Some(index) => given
                .with_bearing(&brief.choice.bearings[index])
                .unwrap_or(given),
            None => given,
        };
        match self.spacing {
            Some(spacing) => joints.with_spacing(spacing).unwrap_or(joints),
            None => joints,
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
        let mut family = self.angles.family();
        let layout = self.angles.layout();
        let mut material = brief.choice.materials[self.material].clone();
        material.process = brief.choice.process.unwrap_or(material.process);
        if let Some(kept) = &brief.kept {
            family.keep(kept.base, &kept.bars, &kept.design.family);
        }
        let layout = layout.unwrap_or(DriveLayout::SwingAndOpening);
        let each = family.active_names(layout).map(|joint| brief.drive(joint));
        let mut stands = mount(brief, self.mount_tilt);
        if let Some(support) = &brief.support
            && !brief.kept.as_ref().is_some_and(|kept| kept.ground)
        {
            stands.support = Some(support.at(self.joint_radius));
        }
        let mut design = Design {
            title: brief.title.clone(),
            family,
            joint_radius: self.joint_radius,
            section: brief.choice.sections[self.section].clone(),
            material,
            short_bars: None,
            own: Own::default(),
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
                each,
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
            mount: stands,
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
