//! What the five-bar answers about itself.

use nalgebra::Matrix2;

use crate::design::{Design, Drives, ToolCarrier};
use crate::linkage::{Configuration, Linkage, LinkageError};

use super::super::behaviour::Behaviour;
use super::super::by_direction::ByDirection;
use super::super::parameters::{
    Capability, Dimension, Family, FamilyName, Kind, NotAvailable, Part,
};
use super::super::state::MeridianState;
use super::{Carrier, DirectedFiveBar, FiveBar, Side};

/// The bar a tool stands on.
fn carrier(carried_by: ToolCarrier, bracket: f64) -> Result<Carrier, NotAvailable> {
    let side = match carried_by {
        ToolCarrier::Left => Side::Left,
        ToolCarrier::Right => Side::Right,
        ToolCarrier::Bisector => {
            return Err(NotAvailable {
                family: FamilyName::FIVE_BAR,
                what: Capability::Follower,
            });
        }
    };
    Ok(Carrier { side, bracket })
}

impl Behaviour for FiveBar {
    fn lacks(&self) -> &'static [Capability] {
        &[
            Capability::Rings,
            Capability::Layers,
            Capability::Clearing,
            Capability::Search,
            Capability::Measurement,
            Capability::Follower,
            Capability::Releases,
            Capability::Page,
        ]
    }

    fn by_direction(
        &self,
        carried_by: ToolCarrier,
        bracket: f64,
    ) -> Result<Option<Box<dyn ByDirection>>, NotAvailable> {
        Ok(Some(Box::new(DirectedFiveBar {
            five_bar: *self,
            carrier: carrier(carried_by, bracket)?,
        })))
    }

    fn mechanism_from_active(&self, drives: &Drives) -> Matrix2<f64> {
        let [left, right] = drives.ratio;
        Matrix2::new(1.0 / left, 0.0, 0.0, 1.0 / right)
    }

    fn build(&self, design: &Design) -> Result<Linkage, LinkageError> {
        super::linkage(
            self,
            carrier(design.tool.carried_by, design.tool.bracket_arc)?,
            design.drives.ratio,
        )
    }

    fn stages(&self) -> Option<usize> {
        None
    }

    fn bar_count(&self) -> usize {
        1
    }

    fn part(&self, body: &str) -> Option<Part> {
        match body.split_once('-')? {
            ("proximal", _) => Some(Part::Base),
            ("distal", _) => Some(Part::Bar(1)),
            _ => None,
        }
    }

    /// Of the longer chain: no tool direction lies farther from the base axis of either.
    fn branch_arcs(&self) -> Vec<f64> {
        let [left, right] = [0, 1].map(|k| vec![self.proximal_arcs[k], self.distal_arcs[k]]);
        let sum = |arcs: &[f64]| arcs.iter().sum::<f64>();
        if sum(&right) > sum(&left) {
            right
        } else {
            left
        }
    }

    /// No layers yet: [`Capability::Layers`] is lacking, so nobody asks.
    fn usual_layer(&self, _: usize, _: usize, _: bool, _: ToolCarrier) -> usize {
        0
    }

    /// By rings alone, which are lacking: at the bars as they are built, without a pose.
    fn configuration(
        &self,
        _: &MeridianState<f64>,
        linkage: &Linkage,
        _: [f64; 2],
    ) -> Configuration {
        Configuration {
            rotations: vec![nalgebra::Rotation3::identity(); linkage.bodies.len()],
        }
    }

    fn angles_mut(&mut self) -> Vec<&mut f64> {
        let arcs = self.proximal_arcs.iter_mut().chain(&mut self.distal_arcs);
        std::iter::once(&mut self.base_arc).chain(arcs).collect()
    }

    fn values(&self, dimension: Dimension) -> Option<Vec<f64>> {
        (dimension == Dimension::Arc).then(|| [self.proximal_arcs, self.distal_arcs].concat())
    }

    fn set(&mut self, dimension: Dimension, value: f64) {
        if dimension == Dimension::Arc {
            self.proximal_arcs = [value; 2];
            self.distal_arcs = [value; 2];
        }
    }

    fn keep(&mut self, base: bool, bars: &[usize], of: &Family) {
        if let Kind::FiveBar(old) = &of.kind {
            if base {
                self.base_arc = old.base_arc;
                self.proximal_arcs = old.proximal_arcs;
            }
            if bars.contains(&1) {
                self.distal_arcs = old.distal_arcs;
            }
        }
    }

    fn same_parts(&self, other: &Family, within: f64) -> (bool, Vec<usize>) {
        let Kind::FiveBar(other) = &other.kind else {
            return (false, Vec::new());
        };
        let same =
            |a: &[f64; 2], b: &[f64; 2]| a.iter().zip(b).all(|(a, b)| (a - b).abs() < within);
        let base = (self.base_arc - other.base_arc).abs() < within
            && same(&self.proximal_arcs, &other.proximal_arcs);
        let distal = same(&self.distal_arcs, &other.distal_arcs);
        (base, if distal { vec![1] } else { Vec::new() })
    }

    /// Nothing is measured yet: [`Capability::Measurement`] is lacking.
    fn take_found(&mut self, _: &dyn Fn(&str) -> Option<f64>) {}
}
