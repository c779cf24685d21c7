//! Linkages that one spherical triangle says everything of: the one-stage scissor linkage and
//! the two-arc arm.
//!
//! Base axis, tool direction and the joint between both arcs are the corners of a triangle
//! with the near arc a, the far arc b and the polar angle θ as sides, whatever the assembly
//! mode, the sign of the polar angle and the azimuth. Its angle γ at the tool follows from the
//! cosine rule, so that the mechanism angle drops out: conditioning at a polar angle is a
//! closed form of (θ, a, b), over numbers and over enclosures.
//!
//! # Theory
//! cos γ = (cos a − cos b cos θ)/(sin b sin θ).
//!
//! One stage: γ is the distal half-angle or its supplement, dθ/dα = ∓ sin θ tan γ for the
//! proximal half-angle α, so that LCI = min(t, 1/t) with t = g·|tan γ|; g = 1 with two bars
//! driven, ½ with swing and opening (drive ratio 1). sin 2γ is what vanishes in a type 2
//! singularity, so that no working range passes cos γ = 0.
//!
//! Arm: the elbow moves the tool by sin b across its second arc, the base joint by sin θ along
//! the azimuth; the angle between both is 90° − γ or 90° + γ. With ρ = sin b/sin θ, σ₁σ₂/(σ₁² + σ₂²) =
//! sin γ/(ρ + 1/ρ), and with m = 2 sin γ/(ρ + 1/ρ), LCI = m/(1 + √(1 − m²)).
//!
//! Derived; `docs/theory/certificates.md`.

use crate::brief::Choice;
use crate::design::DriveLayout;
use crate::number::enclosure::Enclosure;

use super::parameters::{Family, FamilyName, ScissorLinkage, Which};

/// A class of linkages of one triangle, with drive ratio 1 and the tool where the triangle ends
/// (no bracket).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TriangleClass(Of);

#[derive(Debug, Clone, Copy, PartialEq)]
enum Of {
    /// One stage, arcs alike on the left and on the right.
    OneStage(DriveLayout),
    Arm,
}

impl TriangleClass {
    /// The classes that a choice allows, in its order.
    pub fn allowed(choice: &Choice) -> Vec<Self> {
        let mut all = Vec::new();
        for family in &choice.families {
            match family.0 {
                Which::ScissorLinkage if choice.stages.contains(&1) => {
                    let layouts = choice.drive_layouts.iter();
                    all.extend(layouts.map(|layout| Self(Of::OneStage(*layout))));
                }
                Which::TwoArcArm => all.push(Self(Of::Arm)),
                Which::ScissorLinkage | Which::FiveBar => {}
            }
        }
        all
    }

    /// Least and greatest near and far arc that a choice allows, rad.
    pub fn arcs(self, choice: &Choice) -> [[f64; 2]; 2] {
        let range = match self.0 {
            Of::OneStage(_) => &choice.arc,
            Of::Arm => &choice.arm_arc,
        };
        [[range.from, range.to]; 2]
    }

    /// The family.
    pub fn family_name(self) -> FamilyName {
        match self.0 {
            Of::OneStage(_) => FamilyName::SCISSOR_LINKAGE,
            Of::Arm => FamilyName::TWO_ARC_ARM,
        }
    }

    /// Number of stages; `None` for what is not made of stages.
    pub fn stages(self) -> Option<usize> {
        match self.0 {
            Of::OneStage(_) => Some(1),
            Of::Arm => None,
        }
    }

    /// The drive layout, where the family has more than one.
    pub fn layout(self) -> Option<DriveLayout> {
        match self.0 {
            Of::OneStage(layout) => Some(layout),
            Of::Arm => None,
        }
    }

    /// The linkages of a near and a far arc, rad: one for each assembly mode.
    pub fn linkages(self, arcs: [f64; 2]) -> Vec<Family> {
        match self.0 {
            Of::OneStage(_) => [1, -1]
                .map(|mode| {
                    Family::scissor_linkage(ScissorLinkage {
                        proximal_arcs: vec![arcs[0]],
                        distal_arcs: vec![arcs[1]],
                        bends: Vec::new(),
                        assembly_modes: vec![mode],
                        sides: Default::default(),
                    })
                })
                .to_vec(),
            Of::Arm => vec![Family::two_arc_arm(arcs)],
        }
    }

    /// Values that cos γ may take in one working range with a transmission angle of at least so
    /// much, rad: no working range passes from one of these intervals to another.
    pub fn cosine_spans(self, transmission_angle_min: f64) -> Vec<[f64; 2]> {
        match self.0 {
            Of::OneStage(_) => {
                // The angle of 2γ from 0° and 180°, less what rounding may take.
                let half = 0.5 * (transmission_angle_min - 1e-9).max(0.0);
                let span = [half.sin(), half.cos()];
                vec![span, [-span[1], -span[0]]]
            }
            Of::Arm => vec![[-1.0, 1.0]],
        }
    }

    /// LCI where the triangle has this cosine at the tool, for a polar angle and a far arc, rad.
    pub fn index(self, cosine: f64, polar: f64, far: f64) -> f64 {
        let square = cosine * cosine;
        let sine = (1.0 - square).max(0.0).sqrt();
        match self.0 {
            Of::OneStage(layout) => {
                let (up, down) = (gain(layout) * sine, square.sqrt());
                if up.max(down) > 0.0 {
                    up.min(down) / up.max(down)
                } else {
                    0.0
                }
            }
            Of::Arm => {
                let ratio = far.sin() / polar.sin();
                let m = (2.0 * sine / (ratio + 1.0 / ratio)).min(1.0);
                m / (1.0 + (1.0 - m * m).sqrt())
            }
        }
    }

    /// An upper bound of the LCI over all cosines, polar angles and far arcs of three
    /// enclosures, rad; the cosines between −1 and 1.
    pub fn index_max(self, cosine: Enclosure, polar: Enclosure, far: Enclosure) -> f64 {
        let size = if cosine.holds_zero() {
            Enclosure::new(0.0, (-cosine.lo).max(cosine.hi))
        } else if cosine.hi < 0.0 {
            -cosine
        } else {
            cosine
        };
        let one = Enclosure::point(1.0);
        let sine = |of: f64| {
            let of = Enclosure::point(of);
            ((one - of) * (one + of)).sqrt()
        };
        let bound = match self.0 {
            Of::OneStage(layout) => {
                // t falls with |cos γ|: it is greatest at the lower end, 1/t at the upper one.
                let gain = Enclosure::point(gain(layout));
                let rising = gain * sine(size.lo) / Enclosure::point(size.lo);
                let falling = Enclosure::point(size.hi) / (gain * sine(size.hi));
                rising.hi.min(falling.hi)
            }
            Of::Arm => {
                let ratio = far.sin() / polar.sin();
                let sum = |ratio: f64| {
                    let ratio = Enclosure::point(ratio);
                    ratio + one / ratio
                };
                let sum = if ratio.lo > 1.0 {
                    sum(ratio.lo)
                } else if ratio.hi < 1.0 && ratio.lo > 0.0 {
                    sum(ratio.hi)
                } else {
                    Enclosure::point(2.0)
                };
                let m = Enclosure::point(2.0) * sine(size.lo) / sum;
                let m = Enclosure::point(m.hi.min(1.0));
                (m / (one + ((one - m) * (one + m)).sqrt())).hi
            }
        };
        bound.min(1.0)
    }
}

/// g of the theory above.
fn gain(layout: DriveLayout) -> f64 {
    match layout {
        DriveLayout::TwoBars => 1.0,
        DriveLayout::SwingAndOpening => 0.5,
    }
}

/// cos γ of a near arc, a far arc and a polar angle, rad; beyond ±1 where they close no triangle.
pub fn cosine_at_tool(near: f64, far: f64, polar: f64) -> f64 {
    (near.cos() - far.cos() * polar.cos()) / (far.sin() * polar.sin())
}

/// All cos γ of near arcs, far arcs and polar angles of three enclosures, rad.
///
/// cos γ falls with the near arc; with the far arc it has the slope's sign of
/// cos θ − cos a cos b, with the polar angle that of cos b − cos a cos θ. Where such a sign is
/// sure, an end of the enclosure stands for all of it.
pub fn cosines_at_tool(near: Enclosure, far: Enclosure, polar: Enclosure) -> Enclosure {
    let end = |near: f64, greatest: bool| {
        let near = Enclosure::point(near).cos();
        let far = towards(greatest, polar.cos() - near * far.cos(), far);
        let polar = towards(greatest, far.cos() - near * polar.cos(), polar);
        (near - far.cos() * polar.cos()) / (far.sin() * polar.sin())
    };
    Enclosure::new(end(near.hi, false).lo, end(near.lo, true).hi)
}

/// The end of an enclosure at which a function with this slope is greatest or least; all of it
/// where the sign of the slope is not sure.
fn towards(greatest: bool, slope: Enclosure, of: Enclosure) -> Enclosure {
    if slope.holds_zero() {
        of
    } else {
        Enclosure::point(if (slope.lo > 0.0) == greatest {
            of.hi
        } else {
            of.lo
        })
    }
}

/// Polar angle at which cos γ is least or greatest for given arcs, rad, if there is one: the
/// right angle at the base axis.
pub fn stationary_polar(near: f64, far: f64) -> Option<f64> {
    let cosine = far.cos() / near.cos();
    (cosine.abs() < 1.0).then(|| cosine.acos())
}
