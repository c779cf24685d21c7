//! The scissor linkage: crossing bars between apexes on one great circle.
//!
//! Parts: [`bars`] (bodies and joints, closed-form configuration), [`closed_form`],
//! [`choice`] (what a search varies), [`sides`] (what left and right have each of their own),
//! [`real`] (every bar with errors of its own).

mod bars;
mod choice;
mod closed_form;
mod real;
mod sides;

use nalgebra::Matrix2;

use crate::design::{Design, DriveLayout, Drives, ScissorLinkage, ToolCarrier};
use crate::linkage::{Configuration, Linkage, LinkageError};

use super::behaviour::Behaviour;
use super::parameters::{Capability, Dimension, Family, Kind, PairedAngle, Part, SideDifference};
use super::state::MeridianState;

pub(super) use choice::{
    ScissorAngles, ScissorVariant, coarse_sweep, combinations, count, leaves_free, variants,
};
pub(super) use closed_form::ScissorForm;
pub(super) use real::RealScissor;

impl Behaviour for ScissorLinkage {
    fn lacks(&self) -> &'static [Capability] {
        &[]
    }

    /// Two bars: swing = (left + right)/2, opening = left − right.
    fn mechanism_from_active(&self, drives: &Drives) -> Matrix2<f64> {
        let [first, second] = drives.ratio;
        match drives.layout {
            DriveLayout::TwoBars => {
                Matrix2::new(0.5 / first, 0.5 / second, 1.0 / first, -1.0 / second)
            }
            DriveLayout::SwingAndOpening => Matrix2::new(1.0 / first, 0.0, 0.0, 1.0 / second),
        }
    }

    fn build(&self, design: &Design) -> Result<Linkage, LinkageError> {
        bars::build(self, design)
    }

    fn stages(&self) -> Option<usize> {
        Some(ScissorLinkage::stages(self))
    }

    fn bar_count(&self) -> usize {
        ScissorLinkage::stages(self)
    }

    fn part(&self, body: &str) -> Option<Part> {
        if body.starts_with("base-") {
            return Some(Part::Base);
        }
        let number = body
            .strip_prefix("bar-left-")
            .or(body.strip_prefix("bar-right-"))?;
        number.parse().ok().map(Part::Bar)
    }

    fn branch_arcs(&self) -> Vec<f64> {
        [self.proximal_arcs.as_slice(), self.distal_arcs.as_slice()].concat()
    }

    fn usual_layer(
        &self,
        position: usize,
        count: usize,
        nested: bool,
        carrier: ToolCarrier,
    ) -> usize {
        // Bars are listed from the base outward along the chain, left before right.
        let (stage, right) = (position / 2, position % 2 == 1);
        let second = right != (carrier == ToolCarrier::Right);
        if nested {
            count - 2 - 2 * stage + usize::from(second)
        } else {
            // A base bar continues the bars of the other side.
            usize::from(second != (stage == 0))
        }
    }

    fn configuration(
        &self,
        state: &MeridianState<f64>,
        linkage: &Linkage,
        [swing, opening]: [f64; 2],
    ) -> Configuration {
        bars::configuration(self, state, linkage, swing, opening)
    }

    fn angles_mut(&mut self) -> Vec<&mut f64> {
        let arcs = self.proximal_arcs.iter_mut().chain(&mut self.distal_arcs);
        arcs.chain(&mut self.bends)
            .chain(self.sides.values_mut().flatten())
            .collect()
    }

    fn values(&self, dimension: Dimension) -> Option<Vec<f64>> {
        match dimension {
            Dimension::Stages => Some(vec![ScissorLinkage::stages(self) as f64]),
            Dimension::Arc => Some(self.branch_arcs()),
            Dimension::TotalArc => Some(vec![self.branch_arcs().iter().sum()]),
            Dimension::Bend => Some(self.bends.clone()),
            Dimension::FirstArc | Dimension::SecondArc => None,
        }
    }

    fn set(&mut self, dimension: Dimension, value: f64) {
        match dimension {
            Dimension::Stages => {
                let stages = value.round().max(0.0) as usize;
                let bend = self.bends.first().copied().unwrap_or(0.0);
                self.proximal_arcs = vec![self.proximal_arcs[0]; stages];
                self.distal_arcs = vec![self.distal_arcs[0]; stages];
                self.assembly_modes = vec![self.assembly_modes[0]; stages];
                self.bends = vec![bend; stages.saturating_sub(1)];
                self.sides.clear();
            }
            Dimension::Bend => {
                self.bends.fill(value);
                self.sides
                    .retain(|angle, _| !matches!(angle, PairedAngle::Bend(_)));
            }
            Dimension::Arc | Dimension::TotalArc => {
                let each = match dimension {
                    Dimension::TotalArc => value / (2 * ScissorLinkage::stages(self)) as f64,
                    _ => value,
                };
                self.proximal_arcs.fill(each);
                self.distal_arcs.fill(each);
                self.sides
                    .retain(|angle, _| matches!(angle, PairedAngle::Bend(_)));
            }
            Dimension::FirstArc | Dimension::SecondArc => {}
        }
    }

    fn keep(&mut self, base: bool, bars: &[usize], of: &Family) {
        if let Kind::ScissorLinkage(old) = &of.kind {
            choice::keep(self, base, bars, old);
        }
    }

    fn same_parts(&self, other: &Family, within: f64) -> (bool, Vec<usize>) {
        match &other.kind {
            Kind::ScissorLinkage(other) => choice::same_parts(self, other, within),
            _ => (false, Vec::new()),
        }
    }

    fn side_differences(&self) -> Vec<SideDifference> {
        self.differences()
    }

    fn take_found(&mut self, value: &dyn Fn(&str) -> Option<f64>) {
        for angle in self.paired_angles() {
            let name = angle.of_bar().name();
            let both = angle.bars().map(|bar| value(&format!("{bar}.{name}")));
            if let [Some(left), Some(right)] = both {
                self.find(angle, [left, right]);
            }
        }
    }
}
