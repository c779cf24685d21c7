//! The five-bar by tool direction, in the working mode it is used in.

use nalgebra::Vector3;

use super::super::by_direction::{ByDirection, Placed};
use super::modes::Sense;
use super::position::FiveBarPose;
use super::{Carrier, FiveBar, configuration};

/// A five-bar with its tool.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DirectedFiveBar {
    /// The linkage.
    pub five_bar: FiveBar,
    /// What carries the tool.
    pub carrier: Carrier,
}

impl DirectedFiveBar {
    fn placed(&self, pose: &FiveBarPose) -> Option<Placed> {
        let margins = pose.margins();
        let assembly = pose.assembly()?;
        Some(Placed {
            mechanism: pose.angles,
            configuration: configuration(pose),
            tool: pose.tool,
            velocity: self.five_bar.tool_rates(pose, self.carrier).ok()?,
            branch: match assembly {
                Sense::Counterclockwise => 1,
                Sense::Clockwise => -1,
            },
            type_one: margins.nearest_type_one().1,
            type_two: Some(margins.type_two),
        })
    }
}

impl ByDirection for DirectedFiveBar {
    fn at(&self, direction: &Vector3<f64>) -> Option<Placed> {
        let mode = self.five_bar.elbows.mode();
        let pose = self.five_bar.inverse(direction, mode, self.carrier).ok()?;
        self.placed(&pose)
    }

    fn forward(&self, mechanism: [f64; 2], branch: i8) -> Option<Placed> {
        let preferred = if branch < 0 {
            Sense::Clockwise
        } else {
            Sense::Counterclockwise
        };
        let mode = self.five_bar.elbows.mode();
        let pose = self
            .five_bar
            .forward_in_mode(mechanism, mode, preferred, self.carrier)
            .ok()??;
        self.placed(&pose)
    }
}
