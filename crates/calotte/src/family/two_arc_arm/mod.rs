//! The two-arc arm: two arcs in series.
//!
//! Parts: [`bars`] (bodies and joints, closed-form configuration), [`closed_form`],
//! [`choice`] (what a search varies), [`real`] (every bar with errors of its own).

mod bars;
mod choice;
mod closed_form;
mod real;

use nalgebra::Matrix2;

use crate::design::{Design, Drives, ToolCarrier, TwoArcArm};
use crate::linkage::{Configuration, Linkage, LinkageError};

use super::behaviour::Behaviour;
use super::parameters::{Capability, Dimension, Family, Kind, Part};
use super::state::MeridianState;

pub(super) use choice::{coarse_sweep, combinations, count, ranges};
pub(super) use closed_form::ArmForm;
pub(super) use real::RealArm;

impl Behaviour for TwoArcArm {
    fn lacks(&self) -> &'static [Capability] {
        &[]
    }

    fn mechanism_from_active(&self, drives: &Drives) -> Matrix2<f64> {
        let [first, second] = drives.ratio;
        Matrix2::new(1.0 / first, 0.0, 0.0, 1.0 / second)
    }

    fn build(&self, design: &Design) -> Result<Linkage, LinkageError> {
        bars::build(self, design)
    }

    fn stages(&self) -> Option<usize> {
        None
    }

    fn bar_count(&self) -> usize {
        1
    }

    fn part(&self, body: &str) -> Option<Part> {
        match body {
            "first-arc" => Some(Part::Base),
            "second-arc" => Some(Part::Bar(1)),
            _ => None,
        }
    }

    fn branch_arcs(&self) -> Vec<f64> {
        self.arcs.to_vec()
    }

    fn usual_layer(&self, position: usize, _: usize, _: bool, _: ToolCarrier) -> usize {
        1 - position
    }

    fn configuration(
        &self,
        _: &MeridianState<f64>,
        _: &Linkage,
        [base, elbow]: [f64; 2],
    ) -> Configuration {
        bars::configuration(self, base, elbow)
    }

    fn angles_mut(&mut self) -> Vec<&mut f64> {
        self.arcs.iter_mut().collect()
    }

    fn values(&self, dimension: Dimension) -> Option<Vec<f64>> {
        match dimension {
            Dimension::Arc => Some(self.arcs.to_vec()),
            Dimension::TotalArc => Some(vec![self.arcs.iter().sum()]),
            Dimension::FirstArc => Some(vec![self.arcs[0]]),
            Dimension::SecondArc => Some(vec![self.arcs[1]]),
            Dimension::Stages | Dimension::Bend => None,
        }
    }

    fn set(&mut self, dimension: Dimension, value: f64) {
        match dimension {
            Dimension::Arc => self.arcs = [value; 2],
            Dimension::TotalArc => self.arcs = [value / 2.0; 2],
            Dimension::FirstArc => self.arcs[0] = value,
            Dimension::SecondArc => self.arcs[1] = value,
            Dimension::Stages | Dimension::Bend => {}
        }
    }

    fn keep(&mut self, base: bool, bars: &[usize], of: &Family) {
        if let Kind::TwoArcArm(old) = &of.kind {
            if base {
                self.arcs[0] = old.arcs[0];
            }
            if bars.contains(&1) {
                self.arcs[1] = old.arcs[1];
            }
        }
    }

    fn same_parts(&self, other: &Family, within: f64) -> (bool, Vec<usize>) {
        match &other.kind {
            Kind::TwoArcArm(other) => {
                let [first, second] = [0, 1].map(|k| (self.arcs[k] - other.arcs[k]).abs() < within);
                (first, if second { vec![1] } else { Vec::new() })
            }
            _ => (false, Vec::new()),
        }
    }

    fn take_found(&mut self, value: &dyn Fn(&str) -> Option<f64>) {
        for (arc, name) in self.arcs.iter_mut().zip(["first-arc", "second-arc"]) {
            *arc = value(&format!("{name}.first_arc")).unwrap_or(*arc);
        }
    }
}
