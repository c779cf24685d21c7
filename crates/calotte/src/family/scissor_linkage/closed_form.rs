//! The closed form of the scissor linkage, stage by stage.

use crate::design::{ScissorLinkage, Tool, ToolCarrier};
use crate::family::state::{MeridianState, STAGES_MAX};
use crate::family::turning::Turning;
use crate::number::jet::{Jet, Scalar};

/// The stages with what carries the tool beyond them.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct ScissorForm<A> {
    stages: Vec<Stage<A>>,
    bracket: f64,
    carrier: ToolCarrier,
}

/// Sines and cosines of one stage.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Stage<A> {
    sin_proximal: A,
    cos_proximal: A,
    sin_distal: A,
    cos_distal: A,
    mode: f64,
    bend_before: A,
}

impl<A: Scalar> ScissorForm<A> {
    /// # Arguments
    /// - `angles`: proximal arcs, distal arcs, then bends, rad.
    pub(crate) fn over(scissor: &ScissorLinkage, angles: &[A], tool: &Tool) -> Self {
        let count = scissor.stages();
        let stages = (0..count).map(|i| {
            let (proximal, distal) = (angles[i], angles[count + i]);
            Stage {
                sin_proximal: proximal.sine(),
                cos_proximal: proximal.cosine(),
                sin_distal: distal.sine(),
                cos_distal: distal.cosine(),
                mode: f64::from(scissor.assembly_modes[i]),
                bend_before: if i == 0 {
                    A::constant(0.0)
                } else {
                    angles[2 * count + i - 1]
                },
            }
        });
        Self {
            stages: stages.collect(),
            bracket: tool.bracket_arc,
            carrier: tool.carried_by,
        }
    }

    pub(crate) fn stages(&self) -> usize {
        self.stages.len()
    }

    pub(crate) fn state<T: Scalar>(&self, lift: impl Fn(A) -> T, opening: T) -> MeridianState<T> {
        let mut half_angle = Jet::variable(opening).scaled(0.5);
        let mut apex = Jet::constant(0.0);
        let mut distal_half_angles = [Jet::constant(0.0); STAGES_MAX];
        let mut apexes = distal_half_angles;
        let (mut closes, mut breaks) = (true, false);
        for (index, stage) in self.stages.iter().enumerate() {
            half_angle = half_angle + Jet::of(lift(stage.bend_before));
            let sin_proximal = lift(stage.sin_proximal);
            let sin_distal = Jet::of(lift(stage.sin_distal));
            let offset_sine = half_angle.sin().times(sin_proximal);
            let rest = (sin_distal - offset_sine) * (sin_distal + offset_sine);
            closes &= rest.value.surely_positive();
            breaks |= rest.value.surely_negative();
            let depth = rest.sqrt();
            let first_part = half_angle
                .cos()
                .times(sin_proximal)
                .atan2(Jet::of(lift(stage.cos_proximal)));
            let second_part = depth
                .atan2(Jet::of(lift(stage.cos_distal)))
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
            stages: self.stages.len(),
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

    /// Rates of all bars and of the follower, ground left out.
    pub(crate) fn turnings<T: Scalar>(
        &self,
        follower: bool,
        state: &MeridianState<T>,
        into: &mut Vec<Turning<T>>,
    ) {
        for half in [0.5, -0.5] {
            into.push(Turning::about(T::constant(half), T::constant(0.0)));
        }
        for stage in 0..state.stages {
            let (apex, half_angle) = (state.apexes[stage], state.distal_half_angles[stage]);
            for spin in [-half_angle, half_angle] {
                into.push(Turning::new(
                    [apex.first, apex.second],
                    [spin.first, spin.second],
                    apex.value,
                ));
            }
        }
        if follower {
            let apex: Jet<T> = state.apexes[state.stages - 1];
            let none = T::constant(0.0);
            into.push(Turning::new(
                [apex.first, apex.second],
                [none, none],
                apex.value,
            ));
        }
    }
}
