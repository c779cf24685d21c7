//! The motion every linkage with one fixed first axis shares: turning the first
//! mechanism angle turns everything about the base axis, and the second one
//! alone moves the tool along and across its meridian.
//!
//! For the scissor linkage the second mechanism angle is the opening 2α₁ and
//! the tool stays on the meridian; for the two-arc arm it is the elbow angle.
//! One evaluation serves forward and inverse kinematics, the Jacobian,
//! conditioning, singularities and, over enclosures, the proofs between samples.

use crate::design::{Design, DriveLayout, Family, ToolCarrier};

use crate::number::jet::{Jet, Scalar};
use crate::sphere::direction::wrap_signed;

/// Most stages a scissor linkage may have.
pub const STAGES_MAX: usize = 16;

/// The closed form of one linkage: angles only, no lengths.
#[derive(Debug, Clone, PartialEq)]
pub struct Meridian {
    kind: Kind,
    bracket: f64,
    carrier: ToolCarrier,
    /// Mechanism angles from active joint angles, 2×2, rows (first, second).
    pub mechanism_from_active: nalgebra::Matrix2<f64>,
}

#[derive(Debug, Clone, PartialEq)]
enum Kind {
    Scissor { stages: Vec<Stage> },
    Arm { arcs: [f64; 2] },
}

/// Sines and cosines of one stage of a scissor linkage.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Stage {
    sin_proximal: f64,
    cos_proximal: f64,
    sin_distal: f64,
    cos_distal: f64,
    mode: f64,
    bend_before: f64,
}

/// Where the tool points for one value of the second mechanism angle.
#[derive(Debug, Clone, Copy)]
pub struct MeridianState<T> {
    /// Polar angle of the tool direction as the sum of what the stages turn, rad; negative
    /// beyond the base axis, and beyond π where the stages turn as far.
    pub polar: Jet<T>,
    /// Azimuth of the tool direction beyond the first mechanism angle, rad.
    pub offset: Jet<T>,
    /// Signed polar angles of the apexes after each stage, rad; meaningful up to `stages`.
    pub apexes: [Jet<T>; STAGES_MAX],
    /// Distal half-angles α′ of the stages, rad; meaningful up to `stages`.
    pub distal_half_angles: [Jet<T>; STAGES_MAX],
    /// Number of stages; zero for the two-arc arm.
    pub stages: usize,
    /// Whether every stage surely closes.
    pub closes: bool,
    /// Whether some stage surely does not close.
    pub breaks: bool,
}

impl MeridianState<f64> {
    /// Polar angle of the tool direction with the side of the base axis it lies on, rad, in
    /// (−π, π]; negative beyond the axis. The sum of arcs that `polar` is may be any number of
    /// turns.
    pub fn signed_polar(&self) -> f64 {
        wrap_signed(self.polar.value)
    }

    /// The tool's own polar angle, rad, in [0, π]: the one of [`Direction`] and of all that is
    /// printed.
    ///
    /// [`Direction`]: crate::sphere::Direction
    pub fn polar_angle(&self) -> f64 {
        self.signed_polar().abs()
    }

    /// Azimuth of the tool direction less the first mechanism angle, rad, for the tool's own
    /// polar angle: half a turn more than `offset` beyond the base axis.
    pub fn azimuth_ahead(&self) -> f64 {
        let turned = if self.signed_polar() < 0.0 {
            std::f64::consts::PI
        } else {
            0.0
        };
        self.offset.value + turned
    }
}

impl Meridian {
    /// The closed form of a design.
    pub fn of(design: &Design) -> Self {
        let kind = match &design.family {
            Family::ScissorLinkage(linkage) => Kind::Scissor {
                stages: (0..linkage.stages())
                    .map(|i| Stage {
                        sin_proximal: linkage.proximal_arcs[i].sin(),
                        cos_proximal: linkage.proximal_arcs[i].cos(),
                        sin_distal: linkage.distal_arcs[i].sin(),
                        cos_distal: linkage.distal_arcs[i].cos(),
                        mode: f64::from(linkage.assembly_modes[i]),
                        bend_before: if i == 0 { 0.0 } else { linkage.bends[i - 1] },
                    })
                    .collect(),
            },
            Family::TwoArcArm(arm) => Kind::Arm { arcs: arm.arcs },
        };
        Self {
            kind,
            bracket: design.tool.bracket_arc,
            carrier: design.tool.carried_by,
            mechanism_from_active: mechanism_from_active(design),
        }
    }

    /// Whether a second mechanism angle of this sign keeps left and right apart:
    /// the natural span of the second mechanism angle, rad.
    pub fn natural_span(&self) -> [f64; 2] {
        match self.kind {
            Kind::Scissor { .. } => [0.0, std::f64::consts::TAU],
            Kind::Arm { .. } => [-std::f64::consts::PI, std::f64::consts::PI],
        }
    }

    /// Whether the tool stays on the meridian, so that the Jacobian is diagonal.
    pub fn keeps_meridian(&self) -> bool {
        matches!(self.kind, Kind::Scissor { .. })
            && (self.bracket == 0.0 || self.carrier == ToolCarrier::Bisector)
    }

    /// Number of stages; zero for the two-arc arm.
    pub fn stages(&self) -> usize {
        match &self.kind {
            Kind::Scissor { stages } => stages.len(),
            Kind::Arm { .. } => 0,
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
        match &self.kind {
            Kind::Scissor { stages } => self.scissor_state(stages, second),
            Kind::Arm { arcs } => self.arm_state(*arcs, second),
        }
    }

    fn scissor_state<T: Scalar>(&self, stages: &[Stage], opening: T) -> MeridianState<T> {
        let mut half_angle = Jet::variable(opening).scaled(0.5);
        let mut apex = Jet::constant(0.0);
        let mut distal_half_angles = [Jet::constant(0.0); STAGES_MAX];
        let mut apexes = distal_half_angles;
        let (mut closes, mut breaks) = (true, false);
        for (index, stage) in stages.iter().enumerate() {
            half_angle = half_angle + Jet::constant(stage.bend_before);
            let offset_sine = half_angle.sin().scaled(stage.sin_proximal);
            let rest = (Jet::constant(stage.sin_distal) - offset_sine)
                * (Jet::constant(stage.sin_distal) + offset_sine);
            closes &= rest.value.surely_positive();
            breaks |= rest.value.surely_negative();
            let depth = rest.sqrt();
            let first_part = half_angle
                .cos()
                .scaled(stage.sin_proximal)
                .atan2(Jet::constant(stage.cos_proximal));
            let second_part = depth
                .atan2(Jet::constant(stage.cos_distal))
                .scaled(stage.mode);
            half_angle = offset_sine.atan2(depth.scaled(stage.mode));
            distal_half_angles[index] = half_angle;
            apex = apex + first_part + second_part;
            apexes[index] = apex;
        }
        let (polar, offset) = self.beyond_apex(apex, half_angle);
        MeridianState {
            polar,
            offset,
            apexes,
            distal_half_angles,
            stages: stages.len(),
            closes,
            breaks,
        }
    }

    /// Tool direction beyond the last apex by the bracket along its carrier's arc.
    fn beyond_apex<T: Scalar>(&self, apex: Jet<T>, half_angle: Jet<T>) -> (Jet<T>, Jet<T>) {
        let (sin_bracket, cos_bracket) = self.bracket.sin_cos();
        let side = match self.carrier {
            ToolCarrier::Bisector => {
                return (apex + Jet::constant(self.bracket), Jet::constant(0.0));
            }
            _ if self.bracket == 0.0 => return (apex, Jet::constant(0.0)),
            // The bar that comes from the left goes on to the right.
            ToolCarrier::Left => -1.0,
            ToolCarrier::Right => 1.0,
        };
        let along = half_angle.cos().scaled(sin_bracket);
        let x = apex.sin().scaled(cos_bracket) + along * apex.cos();
        let y = half_angle.sin().scaled(side * sin_bracket);
        let z = apex.cos().scaled(cos_bracket) - along * apex.sin();
        ((x * x + y * y).sqrt().atan2(z), y.atan2(x))
    }

    fn arm_state<T: Scalar>(&self, arcs: [f64; 2], elbow: T) -> MeridianState<T> {
        let elbow = Jet::variable(elbow);
        let (s1, c1) = arcs[0].sin_cos();
        let (s2, c2) = (arcs[1] + self.bracket).sin_cos();
        let x = Jet::constant(c2 * s1) + elbow.cos().scaled(s2 * c1);
        let y = elbow.sin().scaled(s2);
        let z = Jet::constant(c2 * c1) - elbow.cos().scaled(s2 * s1);
        let polar = (x * x + y * y).sqrt().atan2(z);
        MeridianState {
            polar,
            offset: y.atan2(x),
            apexes: [Jet::constant(0.0); STAGES_MAX],
            distal_half_angles: [Jet::constant(0.0); STAGES_MAX],
            stages: 0,
            closes: true,
            breaks: false,
        }
    }
}

/// Mechanism angles per active joint angle, rows (first, second), columns the
/// active joints. Two bars: swing = (left + right)/2, opening = left − right.
fn mechanism_from_active(design: &Design) -> nalgebra::Matrix2<f64> {
    let [first, second] = design.drives.ratio;
    let by_bars = matches!(design.family, Family::ScissorLinkage(_))
        && design.drives.layout == DriveLayout::TwoBars;
    if by_bars {
        nalgebra::Matrix2::new(0.5 / first, 0.5 / second, 1.0 / first, -1.0 / second)
    } else {
        nalgebra::Matrix2::new(1.0 / first, 0.0, 0.0, 1.0 / second)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn meridian(linkage: crate::design::ScissorLinkage) -> Meridian {
        Meridian {
            kind: Kind::Scissor {
                stages: (0..linkage.stages())
                    .map(|i| Stage {
                        sin_proximal: linkage.proximal_arcs[i].sin(),
                        cos_proximal: linkage.proximal_arcs[i].cos(),
                        sin_distal: linkage.distal_arcs[i].sin(),
                        cos_distal: linkage.distal_arcs[i].cos(),
                        mode: 1.0,
                        bend_before: if i == 0 { 0.0 } else { linkage.bends[i - 1] },
                    })
                    .collect(),
            },
            bracket: 0.0,
            carrier: ToolCarrier::Left,
            mechanism_from_active: nalgebra::Matrix2::identity(),
        }
    }

    /// Uniform stages: tan(θ/2m) = tan β cos α.
    #[test]
    fn uniform_stages_follow_the_tangent_rule() {
        for stages in 1..=6 {
            let arc: f64 = 0.41;
            let state =
                meridian(crate::design::ScissorLinkage::uniform(stages, arc)).state(2.0f64 * 0.9);
            let expected = 2.0 * stages as f64 * (arc.tan() * 0.9f64.cos()).atan();
            assert!((state.polar.value - expected).abs() < 1e-14);
        }
    }

    #[test]
    fn derivatives_match_finite_differences() {
        let linkage = crate::design::ScissorLinkage {
            proximal_arcs: vec![0.5, 0.45, 0.3],
            distal_arcs: vec![0.55, 0.5, 0.35],
            bends: vec![0.2, -0.1],
            assembly_modes: vec![1, 1, 1],
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
        let linkage = crate::design::ScissorLinkage {
            proximal_arcs: vec![0.8],
            distal_arcs: vec![0.3],
            bends: vec![],
            assembly_modes: vec![1],
        };
        let state = meridian(linkage).state(2.0f64);
        assert!(state.breaks && !state.closes);
    }
}
