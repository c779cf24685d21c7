//! A real two-arc arm, whose elbow axis may miss the centre.

use crate::design::TwoArcArm;
use crate::family::deviation::{Cause, List, RealTool};
use crate::number::jet::Scalar;
use crate::number::vector::{V, about_y, about_z, add, constant, direction};

/// Where its parameters stand in the list.
#[derive(Debug, Clone)]
pub(crate) struct RealArm {
    arcs: [usize; 2],
    offset: usize,
}

impl RealArm {
    /// Adds its parameters to the list.
    pub(crate) fn new(arm: &TwoArcArm, list: &mut List) -> Self {
        let [first, second] = arm.arcs;
        let arcs = [("first-arc", first), ("second-arc", second)].map(|(name, arc)| {
            list.angle(
                format!("{name}.first_arc"),
                arc,
                Cause::Bar(name.to_string()),
            )
        });
        Self {
            arcs,
            offset: list.axis_offset("offset"),
        }
    }

    /// Where the sensor is, m, base frame.
    pub(crate) fn sensor<T: Scalar>(
        &self,
        tool: &RealTool,
        [base, elbow]: [T; 2],
        p: &[T],
    ) -> V<T> {
        let zero = T::constant(0.0);
        let end = direction(p[self.arcs[1]], zero);
        let along = about_y(constant([1.0, 0.0, 0.0]), p[self.arcs[1]]);
        let place = about_y(about_z(tool.on_tool(end, along, p), elbow), p[self.arcs[0]]);
        let moved = add(place, [zero, p[self.offset], zero]);
        about_z(moved, base)
    }
}
