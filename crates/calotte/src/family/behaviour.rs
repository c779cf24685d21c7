//! What every family answers about itself: one implementation in each family's folder.

use nalgebra::Matrix2;

use crate::design::{Design, Drives, ToolCarrier};
use crate::linkage::{Configuration, Linkage, LinkageError};

use super::by_direction::ByDirection;
use super::parameters::{Capability, Dimension, Family, NotAvailable, Part, SideDifference};
use super::state::MeridianState;

/// All that depends on the kind of linkage.
pub(super) trait Behaviour {
    /// What it does not answer yet.
    fn lacks(&self) -> &'static [Capability];

    /// Its answers by tool direction; `None` for what turns about one fixed axis, where the
    /// closed form is `meridian`.
    fn by_direction(
        &self,
        _: ToolCarrier,
        _: f64,
    ) -> Result<Option<Box<dyn ByDirection>>, NotAvailable> {
        Ok(None)
    }

    /// Mechanism angles per active joint angle, rows the mechanism angles, columns the
    /// active joints, 2×2.
    fn mechanism_from_active(&self, drives: &Drives) -> Matrix2<f64>;

    /// Bodies and joints.
    fn build(&self, design: &Design) -> Result<Linkage, LinkageError>;
    /// Number of stages; `None` for what is not made of stages.
    fn stages(&self) -> Option<usize>;
    /// Bars beyond the base bars, of one branch.
    fn bar_count(&self) -> usize;
    /// What a body of this name is; `None` for ground, follower and foreign names.
    fn part(&self, body: &str) -> Option<Part>;
    /// Arcs of one branch, rad: those between side joints and apexes before them, then
    /// those after them.
    fn branch_arcs(&self) -> Vec<f64>;
    /// Layer of a bar where none is given, 0 innermost.
    ///
    /// # Arguments
    /// - `position`, `count`: of the bar among so many, in the order of the bodies.
    /// - `nested`: every bar in a layer of its own, else the fewest layers that connect.
    fn usual_layer(
        &self,
        position: usize,
        count: usize,
        nested: bool,
        carrier: ToolCarrier,
    ) -> usize;

    /// Configuration for mechanism angles, rad, at which the linkage closes, and the state at the
    /// second of them.
    fn configuration(
        &self,
        state: &MeridianState<f64>,
        linkage: &Linkage,
        mechanism: [f64; 2],
    ) -> Configuration;

    /// Every angle that fixes the bars.
    fn angles_mut(&mut self) -> Vec<&mut f64>;
    /// The values that a dimension sets; `None` where the family has no such dimension.
    fn values(&self, dimension: Dimension) -> Option<Vec<f64>>;
    /// Sets a dimension; only for one that the family has.
    fn set(&mut self, dimension: Dimension, value: f64);

    /// Takes over the angles of parts that stay: of the base bars, and of bars by number.
    /// Of another family nothing stays.
    fn keep(&mut self, base: bool, bars: &[usize], of: &Family);
    /// Which parts have the angles of another linkage's within so much, rad.
    fn same_parts(&self, other: &Family, within: f64) -> (bool, Vec<usize>);
    /// Takes the angles found by measuring, by name of the bar and the angle.
    fn take_found(&mut self, value: &dyn Fn(&str) -> Option<f64>);
    /// Where left and right differ, the most first; none where they are equal, or where
    /// everything takes each side as it is.
    fn side_differences(&self) -> Vec<SideDifference> {
        Vec::new()
    }
}
