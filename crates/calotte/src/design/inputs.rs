//! The uncertain numbers of a design, one by one, so that each may be set by itself.

use crate::stock::{MachineElementError, Material};
use crate::uncertain::{Corner, Uncertain};

use super::{Design, JointProperties, Support};

/// A constant of a material.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Constant {
    /// Young's modulus, Pa.
    YoungsModulus,
    /// Shear modulus, Pa.
    ShearModulus,
    /// Density, kg/m³.
    Density,
    /// Yield strength, Pa.
    YieldStrength,
    /// Factor by which strain under a load that stays grows, 1.
    Creep,
}

impl Constant {
    const ALL: [Self; 5] = [
        Self::YoungsModulus,
        Self::ShearModulus,
        Self::Density,
        Self::YieldStrength,
        Self::Creep,
    ];

    fn of(self, material: &mut Material) -> &mut Uncertain {
        match self {
            Self::YoungsModulus => &mut material.youngs_modulus,
            Self::ShearModulus => &mut material.shear_modulus,
            Self::Density => &mut material.density,
            Self::YieldStrength => &mut material.yield_strength,
            Self::Creep => &mut material.creep,
        }
    }
}

/// A number of a design that may carry a band.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Input {
    /// Of the bars' material.
    Bars(Constant),
    /// Of the pins' material.
    Pins(Constant),
    /// Of the column's material.
    Column(Constant),
    /// Stiffness of short bars over that of beam theory, 1.
    ShortBars,
    /// Stiffness of joints along their own axis, N/m. Joints that are alike share one input;
    /// it is named after the first that have it: 0 the rule's, else the entry of
    /// [`Own::joints`](super::Own::joints), from 1.
    JointAxial(u8),
    /// Across their own axis, N/m; named as the first.
    JointRadial(u8),
    /// About any axis across their own, N·m/rad; named as the first.
    JointTilt(u8),
    /// Stiffness of bearings across their axis, N/m; of one kind one input, named as that of
    /// joints.
    BearingRadial(u8),
    /// Along their axis, N/m; named as the first.
    BearingAxial(u8),
    /// Stiffness of a seat across the axis, N/m.
    SeatRadial,
    /// Along the axis, N/m.
    SeatAxial,
    /// Measured factor on radial and axial stiffness, 1.
    MeasuredRadial,
    /// Measured factor on the tilt stiffness, 1.
    MeasuredTilt,
    /// Stiffness of the drive of an active joint, 0 the first, N·m/rad.
    DriveStiffness(u8),
    /// Mass of the drive of an active joint, 0 the first, kg.
    DriveMass(u8),
    /// Mass of the tool, kg.
    ToolMass,
    /// Springs of the support along the base axis, N/m.
    SpringsAxial,
    /// Across it, N/m.
    SpringsLateral,
    /// About any axis across it, N·m/rad.
    SpringsTilt,
    /// About it, N·m/rad.
    SpringsTwist,
}

impl Input {
    /// Whether it is a stiffness: more of it makes no part of the linkage give way more.
    pub fn stiffens(self) -> bool {
        match self {
            Self::Bars(constant) | Self::Pins(constant) | Self::Column(constant) => {
                matches!(constant, Constant::YoungsModulus | Constant::ShearModulus)
            }
            Self::ToolMass | Self::DriveMass(_) => false,
            _ => true,
        }
    }
}

/// Which joints share their uncertain numbers, in the order of [`Design::each_joints`]: for
/// each the first that is alike.
struct Alike {
    stiffness: Vec<usize>,
    bearing: Vec<usize>,
}

impl Alike {
    fn of(design: &Design) -> Self {
        let joints: Vec<&JointProperties> = design.each_joints().collect();
        let first = |alike: &dyn Fn(&JointProperties, &JointProperties) -> bool| {
            let of_one = |one: &&JointProperties| {
                let found = joints.iter().position(|other| alike(one, other));
                found.unwrap_or_default()
            };
            joints.iter().map(of_one).collect()
        };
        let bearing = |joints: &JointProperties| joints.parts.as_ref().map(|p| p.bearing.clone());
        Self {
            stiffness: first(&|one, other| one.stiffness == other.stiffness),
            bearing: first(&|one, other| bearing(one) == bearing(other)),
        }
    }

    /// The first of every kind.
    fn kinds(of: &[usize]) -> impl Iterator<Item = u8> {
        let firsts = of
            .iter()
            .enumerate()
            .filter(|(index, first)| index == *first);
        firsts.filter_map(|(index, _)| u8::try_from(index).ok())
    }
}

impl Design {
    /// All inputs a design may have.
    fn inputs(&self, alike: &Alike) -> Vec<Input> {
        let materials: [fn(Constant) -> Input; 3] = [Input::Bars, Input::Pins, Input::Column];
        let constants = materials
            .into_iter()
            .flat_map(|of| Constant::ALL.into_iter().map(of));
        let joints = Alike::kinds(&alike.stiffness).flat_map(|kind| {
            [
                Input::JointAxial(kind),
                Input::JointRadial(kind),
                Input::JointTilt(kind),
            ]
        });
        let bearings = Alike::kinds(&alike.bearing)
            .flat_map(|kind| [Input::BearingRadial(kind), Input::BearingAxial(kind)]);
        constants
            .chain([Input::ShortBars])
            .chain(joints)
            .chain(bearings)
            .chain([
                Input::SeatRadial,
                Input::SeatAxial,
                Input::MeasuredRadial,
                Input::MeasuredTilt,
                Input::DriveStiffness(0),
                Input::DriveStiffness(1),
                Input::DriveMass(0),
                Input::DriveMass(1),
                Input::ToolMass,
                Input::SpringsAxial,
                Input::SpringsLateral,
                Input::SpringsTilt,
                Input::SpringsTwist,
            ])
            .collect()
    }

    /// The numbers behind an input of the joints, one for each joints that have it.
    fn joint_numbers(&mut self, input: Input, alike: &Alike) -> Vec<&mut Uncertain> {
        let is = |of: &[usize], index: usize, kind: u8| of[index] == usize::from(kind);
        let each = self.each_joints_mut().enumerate();
        each.filter_map(|(index, joints)| {
            let (parts, stiffness) = (joints.parts.as_mut(), joints.stiffness.as_mut());
            // What follows from parts is no number of its own.
            let stiffness = stiffness.filter(|_| parts.is_none());
            match input {
                Input::Pins(constant) => Some(constant.of(&mut parts?.pin.material)),
                Input::JointAxial(kind) if is(&alike.stiffness, index, kind) => {
                    Some(&mut stiffness?.axial)
                }
                Input::JointRadial(kind) if is(&alike.stiffness, index, kind) => {
                    Some(&mut stiffness?.radial)
                }
                Input::JointTilt(kind) if is(&alike.stiffness, index, kind) => {
                    Some(&mut stiffness?.tilt)
                }
                Input::BearingRadial(kind) if is(&alike.bearing, index, kind) => {
                    Some(&mut parts?.bearing.radial)
                }
                Input::BearingAxial(kind) if is(&alike.bearing, index, kind) => {
                    Some(&mut parts?.bearing.axial)
                }
                Input::SeatRadial => Some(&mut parts?.seat.as_mut()?.radial),
                Input::SeatAxial => Some(&mut parts?.seat.as_mut()?.axial),
                Input::MeasuredRadial => Some(&mut parts?.measured.radial),
                Input::MeasuredTilt => Some(&mut parts?.measured.tilt),
                _ => None,
            }
        })
        .collect()
    }

    /// The numbers behind an input, all of one value; none where the design has none.
    fn numbers(&mut self, input: Input, alike: &Alike) -> Vec<&mut Uncertain> {
        match input {
            Input::Pins(_)
            | Input::JointAxial(_)
            | Input::JointRadial(_)
            | Input::JointTilt(_)
            | Input::BearingRadial(_)
            | Input::BearingAxial(_)
            | Input::SeatRadial
            | Input::SeatAxial
            | Input::MeasuredRadial
            | Input::MeasuredTilt => self.joint_numbers(input, alike),
            _ => self.number(input).into_iter().collect(),
        }
    }

    /// The number behind an input of anything but the joints.
    fn number(&mut self, input: Input) -> Option<&mut Uncertain> {
        match input {
            Input::Bars(constant) => Some(constant.of(&mut self.material)),
            Input::Column(constant) => match self.mount.support.as_mut()? {
                Support::Column { material, .. } => Some(constant.of(material)),
                Support::Springs { .. } => None,
            },
            Input::ShortBars => self.short_bars.as_mut(),
            Input::DriveStiffness(joint) => {
                let drive = self.drives.each.get_mut(usize::from(joint))?;
                drive.stiffness.as_mut()
            }
            Input::DriveMass(joint) => {
                let drive = self.drives.each.get_mut(usize::from(joint))?;
                drive.mass.as_mut()
            }
            Input::ToolMass => self.tool.mass.as_mut(),
            Input::SpringsAxial
            | Input::SpringsLateral
            | Input::SpringsTilt
            | Input::SpringsTwist => match self.mount.support.as_mut()? {
                Support::Column { .. } => None,
                Support::Springs {
                    axial,
                    lateral,
                    tilt,
                    twist,
                    ..
                } => Some(match input {
                    Input::SpringsAxial => axial,
                    Input::SpringsLateral => lateral,
                    Input::SpringsTilt => tilt,
                    _ => twist,
                }),
            },
            _ => None,
        }
    }

    /// The numbers that carry a band. Measured factors stand for the bands of bearings and
    /// seats where both are given.
    pub fn uncertain_inputs(&self) -> Vec<(Input, Uncertain)> {
        let exact_one = Uncertain::exact(1.0);
        let measured = self.joints.parts.as_ref().is_some_and(|parts| {
            parts.measured.radial != exact_one && parts.measured.tilt != exact_one
        });
        let alike = Alike::of(self);
        let mut design = self.clone();
        let mut of = |input: Input| {
            let number = design.numbers(input, &alike).into_iter().next();
            let number = number.filter(|number| number.is_band())?;
            Some((input, *number))
        };
        self.inputs(&alike)
            .into_iter()
            .filter(|input| {
                let of_parts = matches!(
                    input,
                    Input::BearingRadial(_)
                        | Input::BearingAxial(_)
                        | Input::SeatRadial
                        | Input::SeatAxial
                );
                !(measured && of_parts)
            })
            .filter_map(&mut of)
            .collect()
    }

    /// The design with these inputs at these values and every other number at its nominal
    /// value; what follows from them follows anew.
    ///
    /// # Errors
    /// [`MachineElementError`] for a stiffness of a bearing or seat that is not above 0.
    pub fn with_inputs(&self, inputs: &[(Input, f64)]) -> Result<Design, MachineElementError> {
        let alike = Alike::of(self);
        let mut design = self.at_corner(Corner::Nominal);
        let own = design.each_joints_mut();
        for parts in own.filter_map(|joints| joints.parts.as_mut()) {
            let measured = &mut parts.measured;
            measured.radial = Uncertain::exact(measured.radial.value);
            measured.tilt = Uncertain::exact(measured.tilt.value);
        }
        for (input, value) in inputs {
            if *input == Input::ShortBars {
                // Where the design says nothing of it, its bars do.
                design.short_bars = Some(Uncertain::exact(*value));
            }
            for number in design.numbers(*input, &alike) {
                *number = Uncertain::exact(*value);
            }
        }
        for joints in design.each_joints_mut() {
            if let Some(parts) = &joints.parts {
                joints.stiffness = Some(parts.pair_stiffness()?);
            }
        }
        Ok(design)
    }
}
