//! What weights may tell of a prototype.
//!
//! Inside a fit every unknown is a *coordinate* that is 0 where the prototype is as designed:
//! the natural logarithm of a factor, or the quantity itself.

use crate::design::{Design, JointProperties, Support};
use crate::stock::Material;
use crate::uncertain::Uncertain;

/// One unknown.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum WeightParameter {
    /// Factor on Young's and shear modulus of the bars.
    BarModulus,
    /// Factor on the tilt stiffness of every joint.
    JointTilt,
    /// Factor on the radial and the axial stiffness of every joint.
    JointRadial,
    /// Factor on the stiffness of every drive.
    DriveHolding,
    /// Factor on all compliances of the support, for a design that has one.
    SupportCompliance,
    /// Compliance of the base about any axis across its own, taken at the joints' radius on
    /// the base axis, rad/(N·m), for a design on rigid ground.
    BaseTilt,
    /// Play (dead zone) at the tip along the pull, m.
    Play,
    /// Width of the friction loop at the tip along the pull, m.
    Friction,
}

/// What an unknown is measured in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum WeightMeasure {
    /// Factor on the design's value.
    Factor,
    /// rad/(N·m).
    TiltCompliance,
    /// m.
    Length,
}

/// Errors of workshops that unknowns are weighed by (common practice, no source): a modulus
/// off by 10 %, a stiffness of joints, drives or support by a factor of two, a base that
/// tilts by 10 µrad/(N·m), 0.05 mm of play or friction.
const TYPICAL_MODULUS: f64 = 0.1;
const TYPICAL_STIFFNESS: f64 = 0.7;
const TYPICAL_BASE: f64 = 1e-5;
const TYPICAL_LENGTH: f64 = 0.05e-3;

impl WeightParameter {
    /// The unknowns of a design, in this order in every list.
    pub fn of(design: &Design) -> Vec<Self> {
        let mut list = vec![Self::BarModulus];
        if design.joints.stiffness.is_some() {
            list.extend([Self::JointTilt, Self::JointRadial]);
        }
        if !design.drives.rigid() {
            list.push(Self::DriveHolding);
        }
        list.push(if design.mount.support.is_some() {
            Self::SupportCompliance
        } else {
            Self::BaseTilt
        });
        list.extend([Self::Play, Self::Friction]);
        list
    }

    /// Name without its unit, as options and results write it.
    pub fn name(self) -> &'static str {
        match self {
            Self::BarModulus => "bar_modulus",
            Self::JointTilt => "joint_tilt_stiffness",
            Self::JointRadial => "joint_radial_stiffness",
            Self::DriveHolding => "drive_holding_stiffness",
            Self::SupportCompliance => "support_compliance",
            Self::BaseTilt => "base_tilt_compliance",
            Self::Play => "play",
            Self::Friction => "friction_hysteresis",
        }
    }

    /// What its value is measured in.
    pub fn measure(self) -> WeightMeasure {
        match self {
            Self::BaseTilt => WeightMeasure::TiltCompliance,
            Self::Play | Self::Friction => WeightMeasure::Length,
            _ => WeightMeasure::Factor,
        }
    }

    /// Error of typical size of its coordinate: of the logarithm for a factor.
    pub fn typical(self) -> f64 {
        match self {
            Self::BarModulus => TYPICAL_MODULUS,
            Self::BaseTilt => TYPICAL_BASE,
            Self::Play | Self::Friction => TYPICAL_LENGTH,
            _ => TYPICAL_STIFFNESS,
        }
    }

    /// Value at a coordinate: the factor, rad/(N·m) or m.
    pub fn value(self, coordinate: f64) -> f64 {
        match self.measure() {
            WeightMeasure::Factor => coordinate.exp(),
            _ => coordinate,
        }
    }

    /// Whether the elastic model depends on it.
    pub(super) fn is_elastic(self) -> bool {
        !matches!(self, Self::Play | Self::Friction)
    }
}

/// What happens to a stiffness: it takes a factor, and a band of its own or the one it has.
#[derive(Debug, Clone, Copy)]
struct Change {
    factor: f64,
    /// Ends of the measured band as factors; `None` moves the design's band along.
    band: Option<[f64; 2]>,
}

impl Change {
    /// By a factor that may lie off by `spread` to either side; errors of a factor are those
    /// of its logarithm.
    fn measured(value: f64, spread: f64) -> Self {
        let ratio = (spread / value).exp();
        Self {
            factor: value,
            band: Some([value / ratio, value * ratio]),
        }
    }

    fn of(self, stiffness: Uncertain) -> Uncertain {
        match self.band {
            None => stiffness.scaled(self.factor),
            Some([low, high]) => {
                let value = stiffness.value;
                Uncertain::band(value * self.factor, value * low, value * high)
            }
        }
    }

    /// The change of a stiffness whose compliance changes by this.
    fn inverse(self) -> Self {
        Self {
            factor: 1.0 / self.factor,
            band: self.band.map(|[low, high]| [1.0 / high, 1.0 / low]),
        }
    }
}

/// The design with the unknowns at these coordinates; bands move with their values. Play and
/// friction change nothing.
///
/// # Arguments
/// - `coordinates`: in the order of `parameters`; logarithms for factors.
pub fn applied(design: &Design, parameters: &[WeightParameter], coordinates: &[f64]) -> Design {
    let mut changed = design.clone();
    for (parameter, coordinate) in parameters.iter().zip(coordinates) {
        if *parameter == WeightParameter::BaseTilt {
            if *coordinate != 0.0 {
                let tilt = Uncertain::exact(1.0 / coordinate);
                changed.mount.support =
                    Some(tilting(design.joint_radius, tilt, [f64::INFINITY; 2]));
            }
            continue;
        }
        let change = Change {
            factor: coordinate.exp(),
            band: None,
        };
        change_stiffness(&mut changed, *parameter, change);
    }
    changed
}

/// Stiffness of what does not give way, where a file needs a number, N/m and N·m/rad.
const RIGID: [f64; 2] = [1e12, 1e9];

/// The design with one unknown as it was measured: value and band replace the design's.
///
/// # Arguments
/// - `value`: the factor, or rad/(N·m).
/// - `spread`: how far it may lie off to either side.
pub(in crate::measurement) fn measured(
    design: &Design,
    parameter: WeightParameter,
    value: f64,
    spread: f64,
) -> Design {
    let mut changed = design.clone();
    if parameter == WeightParameter::BaseTilt {
        if value > 0.0 {
            let high = if value > spread {
                1.0 / (value - spread)
            } else {
                RIGID[1]
            };
            let tilt = Uncertain::band(1.0 / value, 1.0 / (value + spread), high);
            changed.mount.support = Some(tilting(design.joint_radius, tilt, RIGID));
        }
        return changed;
    }
    change_stiffness(&mut changed, parameter, Change::measured(value, spread));
    if parameter == WeightParameter::BarModulus {
        changed.material = measured_material(&design.material, value, spread);
    }
    changed
}

/// A material whose moduli are off by a measured factor.
fn measured_material(material: &Material, value: f64, spread: f64) -> Material {
    let source = match material.source.as_str() {
        "" => "moduli as measured on a prototype".to_string(),
        other => format!("moduli as measured on a prototype; else {other}"),
    };
    Material {
        source,
        ..changed_material(material, Change::measured(value, spread))
    }
}

/// Joints with a measured factor; other unknowns than theirs change nothing.
pub(in crate::measurement) fn measured_joints(
    joints: &mut JointProperties,
    parameter: WeightParameter,
    value: f64,
    spread: f64,
) {
    change_joints(joints, parameter, Change::measured(value, spread));
}

/// Changes the stiffnesses that an unknown stands for, all but a tilting base.
fn change_stiffness(design: &mut Design, parameter: WeightParameter, change: Change) {
    match parameter {
        WeightParameter::BarModulus => design.material = changed_material(&design.material, change),
        WeightParameter::JointTilt | WeightParameter::JointRadial => {
            for joints in design.each_joints_mut() {
                change_joints(joints, parameter, change);
            }
        }
        WeightParameter::DriveHolding => {
            for drive in &mut design.drives.each {
                drive.stiffness = drive.stiffness.map(|stiffness| change.of(stiffness));
            }
        }
        WeightParameter::SupportCompliance => {
            let support = design.mount.support.take();
            design.mount.support = support.map(|support| softened(support, change.inverse()));
        }
        WeightParameter::BaseTilt | WeightParameter::Play | WeightParameter::Friction => {}
    }
}

/// Factors that a file can hold; two rounds of measuring may lead beyond.
fn in_files(factor: Uncertain) -> Uncertain {
    let [value, low, high] =
        [factor.value, factor.low, factor.high].map(|value| value.clamp(0.01, 100.0));
    Uncertain::band(value, low, high)
}

fn change_joints(joints: &mut JointProperties, parameter: WeightParameter, change: Change) {
    let (stiffness, parts) = (&mut joints.stiffness, &mut joints.parts);
    match parameter {
        WeightParameter::JointTilt => {
            if let Some(joint) = stiffness {
                joint.tilt = change.of(joint.tilt);
            }
            if let Some(parts) = parts {
                parts.measured.tilt = in_files(change.of(parts.measured.tilt));
            }
        }
        WeightParameter::JointRadial => {
            if let Some(joint) = stiffness {
                joint.axial = change.of(joint.axial);
                joint.radial = change.of(joint.radial);
            }
            if let Some(parts) = parts {
                parts.measured.radial = in_files(change.of(parts.measured.radial));
            }
        }
        _ => {}
    }
}

fn changed_material(material: &Material, change: Change) -> Material {
    Material {
        youngs_modulus: change.of(material.youngs_modulus),
        shear_modulus: change.of(material.shear_modulus),
        ..material.clone()
    }
}

fn softened(support: Support, change: Change) -> Support {
    match support {
        Support::Springs {
            at_radius,
            axial,
            lateral,
            tilt,
            twist,
        } => Support::Springs {
            at_radius,
            axial: change.of(axial),
            lateral: change.of(lateral),
            tilt: change.of(tilt),
            twist: change.of(twist),
        },
        Support::Column {
            at_radius,
            direction,
            length,
            section,
            material,
        } => Support::Column {
            material: changed_material(&material, change),
            at_radius,
            direction,
            length,
            section,
        },
    }
}

/// A base that only tilts; a compliance below 0, which differences need, is taken as it is.
fn tilting(at_radius: f64, tilt: Uncertain, [linear, angular]: [f64; 2]) -> Support {
    Support::Springs {
        at_radius,
        axial: Uncertain::exact(linear),
        lateral: Uncertain::exact(linear),
        tilt,
        twist: Uncertain::exact(angular),
    }
}
