//! The uncertain numbers of a design, one by one, so that each may be set by itself.

use crate::stock::{MachineElementError, Material};
use crate::uncertain::{Corner, Uncertain};

use super::{Design, Support};

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
    /// Stiffness of a joint along its own axis, N/m.
    JointAxial,
    /// Across its own axis, N/m.
    JointRadial,
    /// About any axis across its own, N·m/rad.
    JointTilt,
    /// Stiffness of a bearing across its axis, N/m.
    BearingRadial,
    /// Along its axis, N/m.
    BearingAxial,
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
    /// All there are.
    pub fn all() -> Vec<Self> {
        let materials: [fn(Constant) -> Self; 3] = [Self::Bars, Self::Pins, Self::Column];
        let constants = materials
            .into_iter()
            .flat_map(|of| Constant::ALL.into_iter().map(of));
        constants
            .chain([
                Self::ShortBars,
                Self::JointAxial,
                Self::JointRadial,
                Self::JointTilt,
                Self::BearingRadial,
                Self::BearingAxial,
                Self::SeatRadial,
                Self::SeatAxial,
                Self::MeasuredRadial,
                Self::MeasuredTilt,
                Self::DriveStiffness(0),
                Self::DriveStiffness(1),
                Self::DriveMass(0),
                Self::DriveMass(1),
                Self::ToolMass,
                Self::SpringsAxial,
                Self::SpringsLateral,
                Self::SpringsTilt,
                Self::SpringsTwist,
            ])
            .collect()
    }

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

impl Design {
    /// The number behind an input; `None` where the design has none.
    fn number(&mut self, input: Input) -> Option<&mut Uncertain> {
        let joints = &mut self.joints;
        match input {
            Input::Bars(constant) => Some(constant.of(&mut self.material)),
            Input::Pins(constant) => {
                let parts = joints.parts.as_mut()?;
                Some(constant.of(&mut parts.pin.material))
            }
            Input::Column(constant) => match self.mount.support.as_mut()? {
                Support::Column { material, .. } => Some(constant.of(material)),
                Support::Springs { .. } => None,
            },
            Input::ShortBars => self.short_bars.as_mut(),
            // What follows from parts is no number of its own.
            Input::JointAxial | Input::JointRadial | Input::JointTilt if joints.parts.is_some() => {
                None
            }
            Input::JointAxial => Some(&mut joints.stiffness.as_mut()?.axial),
            Input::JointRadial => Some(&mut joints.stiffness.as_mut()?.radial),
            Input::JointTilt => Some(&mut joints.stiffness.as_mut()?.tilt),
            Input::BearingRadial => Some(&mut joints.parts.as_mut()?.bearing.radial),
            Input::BearingAxial => Some(&mut joints.parts.as_mut()?.bearing.axial),
            Input::SeatRadial => Some(&mut joints.parts.as_mut()?.seat.as_mut()?.radial),
            Input::SeatAxial => Some(&mut joints.parts.as_mut()?.seat.as_mut()?.axial),
            Input::MeasuredRadial => Some(&mut joints.parts.as_mut()?.measured.radial),
            Input::MeasuredTilt => Some(&mut joints.parts.as_mut()?.measured.tilt),
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
        }
    }

    /// The numbers that carry a band. Measured factors stand for the bands of bearings and
    /// seats where both are given.
    pub fn uncertain_inputs(&self) -> Vec<(Input, Uncertain)> {
        let exact_one = Uncertain::exact(1.0);
        let measured = self.joints.parts.as_ref().is_some_and(|parts| {
            parts.measured.radial != exact_one && parts.measured.tilt != exact_one
        });
        let mut design = self.clone();
        let mut of = |input: Input| {
            let number = design.number(input).filter(|number| number.is_band())?;
            Some((input, *number))
        };
        Input::all()
            .into_iter()
            .filter(|input| {
                let of_parts = matches!(
                    input,
                    Input::BearingRadial
                        | Input::BearingAxial
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
        let mut design = self.at_corner(Corner::Nominal);
        if let Some(parts) = &mut design.joints.parts {
            let measured = &mut parts.measured;
            measured.radial = Uncertain::exact(measured.radial.value);
            measured.tilt = Uncertain::exact(measured.tilt.value);
        }
        for (input, value) in inputs {
            if *input == Input::ShortBars {
                // Where the design says nothing of it, its bars do.
                design.short_bars = Some(Uncertain::exact(*value));
            } else if let Some(number) = design.number(*input) {
                *number = Uncertain::exact(*value);
            }
        }
        if let Some(parts) = &design.joints.parts {
            design.joints.stiffness = Some(parts.pair_stiffness()?);
        }
        Ok(design)
    }
}
