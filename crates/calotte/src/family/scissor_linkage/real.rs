//! A real scissor linkage: every bar with arcs and a bend of its own, and base axes that do
//! not lie in one line.

use crate::design::{Design, DriveLayout, ScissorLinkage, ToolCarrier};
use crate::family::deviation::{Cause, List, RealTool};
use crate::family::parameters::PairedAngle;
use crate::number::jet::Scalar;
use crate::number::vector::{
    V, about_x, about_y, about_z, add, away, constant, cross, direction, dot, times,
};

/// Where its parameters stand in the list.
#[derive(Debug, Clone)]
pub(crate) struct RealScissor {
    /// Assembly mode of each stage.
    modes: Vec<f64>,
    /// Whether swing and opening are driven.
    swings: bool,
    carrier: ToolCarrier,
    tilt: usize,
    /// Meant where swing and opening are driven.
    offset: usize,
    /// Base bars' arcs: left, right.
    base: [usize; 2],
    /// First arc, then second arc and bend, of the left and right bar of each stage.
    bars: Vec<[usize; 2]>,
}

impl RealScissor {
    /// Adds its parameters to the list.
    pub(crate) fn new(scissor: &ScissorLinkage, design: &Design, list: &mut List) -> Self {
        let mut angle = |angle: PairedAngle, side: usize| {
            let [left, right] = angle.bars();
            let bar = if side == 0 { left } else { right };
            let nominal = scissor.both(angle).unwrap_or_default()[side];
            let name = format!("{bar}.{}", angle.of_bar().name());
            list.angle(name, nominal, Cause::Bar(bar))
        };
        let base = [0, 1].map(|side| angle(PairedAngle::Proximal(0), side));
        let stages = scissor.stages();
        let mut bar = |stage: usize, side: usize| {
            let place = angle(PairedAngle::Distal(stage), side);
            if stage + 1 < stages {
                angle(PairedAngle::Proximal(stage + 1), side);
                angle(PairedAngle::Bend(stage), side);
            }
            place
        };
        let bars = (0..stages).map(|stage| [0, 1].map(|side| bar(stage, side)));
        let bars = bars.collect();
        let tilt = list.angle("axis.tilt_x".to_string(), 0.0, Cause::BaseAxes);
        list.angle("axis.tilt_y".to_string(), 0.0, Cause::BaseAxes);
        let swings = design.drives.layout == DriveLayout::SwingAndOpening;
        let mut offset = 0;
        if swings {
            offset = list.axis_offset("offset_x");
            list.axis_offset("offset_y");
        }
        Self {
            modes: scissor
                .assembly_modes
                .iter()
                .map(|m| f64::from(*m))
                .collect(),
            swings,
            carrier: design.tool.carried_by,
            tilt,
            offset,
            base,
            bars,
        }
    }

    /// Where the sensor is, m, base frame; `None` where the bars do not close.
    pub(crate) fn sensor<T: Scalar>(
        &self,
        tool: &RealTool,
        [swing, opening]: [T; 2],
        p: &[T],
    ) -> Option<V<T>> {
        let (at, swings) = (self, self.swings);
        let half = opening * T::constant(0.5);
        let turn = if swings { T::constant(0.0) } else { swing };
        let (tilt_x, tilt_y) = (p[at.tilt], p[at.tilt + 1]);
        let tilted = |v: V<T>| about_x(about_y(v, tilt_y), tilt_x);
        let mut left = direction(p[at.base[0]], turn + half);
        let mut right = direction(p[at.base[1]], turn - half);
        if !swings {
            right = tilted(right);
        }
        let mut apex = constant([0.0, 0.0, 1.0]);
        for (stage, mode) in self.modes.iter().enumerate() {
            let [of_left, of_right] = at.bars[stage];
            apex = meeting(left, p[of_left], right, p[of_right], *mode)?;
            if stage + 1 < self.modes.len() {
                // Bars cross over: the one from the left goes on to the right side joint.
                let onward = |side: V<T>, bar: usize, sense: f64| {
                    let straight = away(apex, side);
                    let bend = p[bar + 2] * T::constant(sense);
                    let turned = add(
                        times(straight, bend.cosine()),
                        times(cross(apex, straight), bend.sine()),
                    );
                    let arc = p[bar + 1];
                    add(times(apex, arc.cosine()), times(turned, arc.sine()))
                };
                let next = (onward(right, of_right, 1.0), onward(left, of_left, -1.0));
                (left, right) = next;
            }
        }
        let along = match self.carrier {
            ToolCarrier::Left => away(apex, left),
            ToolCarrier::Right => away(apex, right),
            ToolCarrier::Bisector => away(apex, constant([0.0, 0.0, 1.0])),
        };
        let place = tool.on_tool(apex, along, p);
        if !swings {
            return Some(place);
        }
        let moved = add(
            tilted(place),
            [p[at.offset], p[at.offset + 1], T::constant(0.0)],
        );
        Some(about_z(moved, swing))
    }
}

/// The direction at given angles from two others, on the side of left × right for mode +1;
/// `None` where the arcs do not reach each other.
fn meeting<T: Scalar>(
    left: V<T>,
    left_arc: T,
    right: V<T>,
    right_arc: T,
    mode: f64,
) -> Option<V<T>> {
    let one = T::constant(1.0);
    let c = dot(left, right);
    let square = one - c * c;
    let (a, b) = (left_arc.cosine(), right_arc.cosine());
    let (along_left, along_right) = ((a - c * b) / square, (b - c * a) / square);
    let rest = one - a * along_left - b * along_right;
    if !rest.surely_positive() || !square.surely_positive() {
        return None;
    }
    let out = (rest / square).square_root() * T::constant(mode);
    Some(add(
        add(times(left, along_left), times(right, along_right)),
        times(cross(left, right), out),
    ))
}
