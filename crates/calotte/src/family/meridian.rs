//! The motion every linkage with one fixed first axis shares: turning the first
//! mechanism angle turns everything about the base axis, and the second one
//! alone moves the tool along and across its meridian.
//!
//! For the scissor linkage the second mechanism angle is the opening 2α₁ and
//! the tool stays on the meridian; for the two-arc arm it is the elbow angle.
//! One evaluation serves forward and inverse kinematics, the Jacobian,
//! conditioning, singularities and, over enclosures, the proofs between samples.
//! The angles that fix the bars may be numbers of that kind too ([`Meridian::over`]), so
//! that derivatives by them and enclosures over whole families of designs come from the
//! same lines.

use nalgebra::Matrix2;

use crate::design::Design;
use crate::linkage::Linkage;
use crate::number::jet::{Jet, Scalar};

use super::parameters::{Capability, Kind, NotAvailable};
use super::scissor_linkage::ScissorForm;
pub use super::state::{MeridianState, STAGES_MAX};
use super::turning::Turning;
use super::two_arc_arm::ArmForm;

/// The closed form of one linkage: angles only, no lengths.
#[derive(Debug, Clone, PartialEq)]
pub struct Meridian<A = f64> {
    form: ClosedForm<A>,
    /// Mechanism angles from active joint angles, 2×2, rows (first, second).
    pub mechanism_from_active: Matrix2<f64>,
}

#[derive(Debug, Clone, PartialEq)]
enum ClosedForm<A> {
    Scissor(ScissorForm<A>),
    Arm(ArmForm<A>),
    /// Of what turns about no fixed axis.
    Absent,
}

impl Meridian {
    /// The closed form of a design.
    ///
    /// # Errors
    /// [`NotAvailable`] for a family of which not everything turns about one fixed axis.
    pub fn of(design: &Design) -> Result<Self, NotAvailable> {
        Self::over(design, &design.family.angles())
    }

    /// No closed form, of a linkage of which not everything turns about one fixed axis: no
    /// state closes, so that nothing asked by rings has a value.
    pub fn absent(design: &Design) -> Self {
        Self {
            form: ClosedForm::Absent,
            mechanism_from_active: design.family.mechanism_from_active(&design.drives),
        }
    }

    /// The tool direction for the second mechanism angle (opening or elbow), rad,
    /// with derivatives by it.
    ///
    /// # Theory
    /// Per stage of a scissor linkage with proximal half-angle α, w = sin a sin α
    /// and D = √(sin²b − w²): d₁ = atan2(sin a cos α, cos a),
    /// d₂ = σ atan2(D, cos b), α′ = atan2(w, σD) (sine and cosine rules; derived,
    /// checked against rigid-bar Newton). The arm: cosine rule at the elbow.
    pub fn state<T: Scalar>(&self, second: T) -> MeridianState<T> {
        self.state_with(T::constant, second)
    }

    /// Jacobian in closed form from a state: active joint rates to (polar, azimuth) velocity of
    /// the tool direction.
    ///
    /// # Theory
    /// By mechanism rates: polar velocity θ′·q̇₂, azimuth velocity
    /// sin θ·(q̇₁ + φ′·q̇₂), θ and φ the polar angle and the azimuth offset.
    /// A negative θ is the same point seen from the other side: both rows turn
    /// over, the local frame being that of the positive polar angle.
    pub fn jacobian_of(&self, state: &MeridianState<f64>) -> Matrix2<f64> {
        let signed = state.signed_polar();
        let side = if signed < 0.0 { -1.0 } else { 1.0 };
        let sine = signed.sin();
        let by_mechanism = Matrix2::new(
            0.0,
            side * state.polar.first,
            side * sine,
            side * sine * state.offset.first,
        );
        by_mechanism * self.mechanism_from_active
    }

    /// Rates of all bodies by the second mechanism angle, the first one held, in the order
    /// of the linkage's bodies.
    ///
    /// # Theory
    /// A bar of stage i from the left keeps its apex on the meridian at the polar angle
    /// θᵢ and its arc at −α′ᵢ from it: it turns by θᵢ′ about the meridian's normal and by
    /// −α′ᵢ′ about the apex; the bar from the right the other way round. Base bars turn by
    /// ±½ about the base axis. A follower turns with the meridian. The second arc of an
    /// arm turns by 1 about the elbow.
    pub fn turnings<T: Scalar>(
        &self,
        linkage: &Linkage,
        state: &MeridianState<T>,
        into: &mut Vec<Turning<T>>,
    ) {
        into.clear();
        into.push(Turning::still());
        match &self.form {
            ClosedForm::Scissor(form) => form.turnings(linkage.follower.is_some(), state, into),
            ClosedForm::Arm(form) => form.turnings(into),
            // No state closes, so nobody has one to ask with.
            ClosedForm::Absent => into.resize_with(linkage.bodies.len(), Turning::still),
        }
    }
}

impl<A: Scalar> Meridian<A> {
    /// The closed form of a design whose angles are numbers of any kind.
    ///
    /// # Arguments
    /// - `angles`: in the order of [`crate::design::Family::angles`], as many, rad; the
    ///   tool's bracket is the design's.
    ///
    /// # Errors
    /// [`NotAvailable`] for a family of which not everything turns about one fixed axis.
    pub fn over(design: &Design, angles: &[A]) -> Result<Self, NotAvailable> {
        design.family.offers(Capability::Rings)?;
        let form = match &design.family.kind {
            Kind::ScissorLinkage(scissor) => {
                ClosedForm::Scissor(ScissorForm::over(scissor, angles, &design.tool))
            }
            Kind::TwoArcArm(_) => ClosedForm::Arm(ArmForm::over(angles, &design.tool)),
            Kind::FiveBar(_) => {
                return Err(NotAvailable {
                    family: design.family.family_name(),
                    what: Capability::Rings,
                });
            }
        };
        Ok(Self {
            form,
            mechanism_from_active: design.family.mechanism_from_active(&design.drives),
        })
    }

    /// The tool direction for the second mechanism angle, a number of the same kind as the
    /// bars' angles.
    pub fn state_over(&self, second: A) -> MeridianState<A> {
        self.state_with(|angle| angle, second)
    }

    /// The natural span of the second mechanism angle, rad: opening from closed to closed,
    /// or a full turn of the elbow.
    pub fn natural_span(&self) -> [f64; 2] {
        match self.form {
            ClosedForm::Scissor(_) => [0.0, std::f64::consts::TAU],
            ClosedForm::Arm(_) | ClosedForm::Absent => {
                [-std::f64::consts::PI, std::f64::consts::PI]
            }
        }
    }

    /// Whether bars lie on each other where the natural span ends, a singularity of type 2.
    pub fn folds_at_natural_span(&self) -> bool {
        match self.form {
            ClosedForm::Scissor(_) => true,
            ClosedForm::Arm(_) | ClosedForm::Absent => false,
        }
    }

    /// Number of closed loops in a row, each with a transmission angle of its own: the
    /// stages of a scissor linkage, none of an arm.
    pub fn loops(&self) -> usize {
        match &self.form {
            ClosedForm::Scissor(form) => form.stages(),
            ClosedForm::Arm(_) | ClosedForm::Absent => 0,
        }
    }

    fn state_with<T: Scalar>(&self, lift: impl Fn(A) -> T, second: T) -> MeridianState<T> {
        match &self.form {
            ClosedForm::Scissor(form) => form.state(lift, second),
            ClosedForm::Arm(form) => form.state(lift, second),
            ClosedForm::Absent => MeridianState {
                polar: Jet::constant(0.0),
                offset: Jet::constant(0.0),
                apexes: [Jet::constant(0.0); STAGES_MAX],
                distal_half_angles: [Jet::constant(0.0); STAGES_MAX],
                stages: 0,
                closes: false,
                breaks: true,
            },
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::design::{Family, ScissorLinkage, sample};

    fn meridian(linkage: ScissorLinkage) -> Meridian {
        let mut design = sample::two_arc_arm([1.0, 1.0]);
        design.family = Family::scissor_linkage(linkage);
        Meridian::of(&design).unwrap()
    }

    /// Uniform stages: tan(θ/2m) = tan β cos α.
    #[test]
    fn uniform_stages_follow_the_tangent_rule() {
        for stages in 1..=6 {
            let arc: f64 = 0.41;
            let state = meridian(ScissorLinkage::uniform(stages, arc)).state(2.0f64 * 0.9);
            let expected = 2.0 * stages as f64 * (arc.tan() * 0.9f64.cos()).atan();
            assert!((state.polar.value - expected).abs() < 1e-14);
        }
    }

    #[test]
    fn derivatives_match_finite_differences() {
        let linkage = ScissorLinkage {
            proximal_arcs: vec![0.5, 0.45, 0.3],
            distal_arcs: vec![0.55, 0.5, 0.35],
            bends: vec![0.2, -0.1],
            assembly_modes: vec![1, 1, 1],
            sides: Default::default(),
        };
        let meridian = meridian(linkage);
        let (x, h) = (1.3, 1e-5);
        let state = meridian.state(x);
        let ahead = meridian.state(x + h);
        let behind = meridian.state(x - h);
        let slope = (ahead.polar.value - behind.polar.value) / (2.0 * h);
        let curvature = (ahead.polar.first - behind.polar.first) / (2.0 * h);
        assert!((state.polar.first - slope).abs() < 1e-9);
        assert!((state.polar.second - curvature).abs() < 1e-9);
    }

    #[test]
    fn a_distal_arc_too_short_breaks_the_closure() {
        let linkage = ScissorLinkage {
            proximal_arcs: vec![0.8],
            distal_arcs: vec![0.3],
            bends: vec![],
            assembly_modes: vec![1],
            sides: Default::default(),
        };
        let state = meridian(linkage).state(2.0f64);
        assert!(state.breaks && !state.closes);
    }
}
