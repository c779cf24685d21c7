//! What can be asked of a family from outside, whatever its kind.

use nalgebra::Matrix2;

use crate::design::{DriveLayout, Drives, ToolCarrier};
use crate::linkage::{Configuration, Linkage};

use super::behaviour::Behaviour;
use super::by_direction::ByDirection;
use super::parameters::{
    Capability, Dimension, Family, FamilyName, Kind, NotAvailable, Part, SideDifference,
};
use super::state::MeridianState;

impl FamilyName {
    /// Names of the active joints, in order.
    pub fn active_names(self, layout: DriveLayout) -> [&'static str; 2] {
        match layout {
            DriveLayout::TwoBars if self.has_drive_layouts() => ["left", "right"],
            _ => self.mechanism_names(),
        }
    }
}

impl Family {
    pub(super) fn behaviour(&self) -> &dyn Behaviour {
        match &self.kind {
            Kind::ScissorLinkage(scissor) => scissor,
            Kind::TwoArcArm(arm) => arm,
            Kind::FiveBar(five_bar) => five_bar,
        }
    }

    fn behaviour_mut(&mut self) -> &mut dyn Behaviour {
        match &mut self.kind {
            Kind::ScissorLinkage(scissor) => scissor,
            Kind::TwoArcArm(arm) => arm,
            Kind::FiveBar(five_bar) => five_bar,
        }
    }

    /// Refuses what the family does not answer yet.
    ///
    /// # Errors
    /// [`NotAvailable`] that names both.
    pub fn offers(&self, what: Capability) -> Result<(), NotAvailable> {
        if self.behaviour().lacks().contains(&what) {
            return Err(NotAvailable {
                family: self.family_name(),
                what,
            });
        }
        Ok(())
    }

    /// Answers by tool direction, of a linkage of which not everything turns about one fixed
    /// axis; `None` of any other.
    ///
    /// # Arguments
    /// - `carrier`, `bracket`: of the tool; rad.
    ///
    /// # Errors
    /// [`NotAvailable`] for what carries the tool.
    pub fn by_direction(
        &self,
        carrier: ToolCarrier,
        bracket: f64,
    ) -> Result<Option<Box<dyn ByDirection>>, NotAvailable> {
        self.behaviour().by_direction(carrier, bracket)
    }

    /// Names of the two mechanism angles, as the files write them.
    pub fn mechanism_names(&self) -> [&'static str; 2] {
        self.family_name().mechanism_names()
    }

    /// Names of the active joints, in order.
    pub fn active_names(&self, layout: DriveLayout) -> [&'static str; 2] {
        self.family_name().active_names(layout)
    }

    /// Mechanism angles per active joint angle, rows the mechanism angles, columns the
    /// active joints, 2×2.
    pub fn mechanism_from_active(&self, drives: &Drives) -> Matrix2<f64> {
        self.behaviour().mechanism_from_active(drives)
    }

    /// Number of stages; `None` for what is not made of stages.
    pub fn stages(&self) -> Option<usize> {
        self.behaviour().stages()
    }

    /// Bars beyond the base bars, of one branch; they are numbered from 1.
    pub fn bar_count(&self) -> usize {
        self.behaviour().bar_count()
    }

    /// What a body of this name is, as [`crate::family::build`] names them; `None` for
    /// ground, follower and foreign names.
    pub fn part(&self, body: &str) -> Option<Part> {
        self.behaviour().part(body)
    }

    /// Arcs of one branch, rad.
    pub fn branch_arcs(&self) -> Vec<f64> {
        self.behaviour().branch_arcs()
    }

    /// Sum of the arcs of one branch, rad: no tool direction lies farther from the base.
    pub fn total_arc(&self) -> f64 {
        self.branch_arcs().iter().sum()
    }

    /// Layer of a bar where none is given, 0 innermost: with the tool's carrier innermost and
    /// the base bars outermost, next to the housing.
    ///
    /// # Arguments
    /// - `position`, `count`: of the bar among so many, in the order of the bodies.
    /// - `nested`: every bar in a layer of its own, else the fewest layers that connect.
    pub fn usual_layer(
        &self,
        position: usize,
        count: usize,
        nested: bool,
        carrier: ToolCarrier,
    ) -> usize {
        self.behaviour()
            .usual_layer(position, count, nested, carrier)
    }

    /// Configuration in closed form for mechanism angles, rad, and the state at the second of
    /// them; the caller has made sure that the linkage closes.
    pub fn configuration(
        &self,
        state: &MeridianState<f64>,
        linkage: &Linkage,
        mechanism: [f64; 2],
    ) -> Configuration {
        self.behaviour().configuration(state, linkage, mechanism)
    }

    /// Every angle that fixes the bars, rad.
    pub fn angles(&self) -> Vec<f64> {
        self.clone().angles_mut().iter().map(|a| **a).collect()
    }

    /// Every angle that fixes the bars, rad, in the order of [`Family::angles`].
    pub fn angles_mut(&mut self) -> Vec<&mut f64> {
        self.behaviour_mut().angles_mut()
    }

    /// The values that a dimension sets, rad or 1; `None` where the family has no such
    /// dimension, empty where this linkage has none of them.
    pub fn values(&self, dimension: Dimension) -> Option<Vec<f64>> {
        self.behaviour().values(dimension)
    }

    /// Sets a dimension, rad or 1; `false` where the family has no such dimension.
    #[must_use]
    pub fn set(&mut self, dimension: Dimension, value: f64) -> bool {
        let has = self.values(dimension).is_some();
        if has {
            self.behaviour_mut().set(dimension, value);
        }
        has
    }

    /// Takes over the angles of parts that stay: of the base bars, and of bars by number.
    /// Of another family nothing stays.
    pub fn keep(&mut self, base: bool, bars: &[usize], of: &Family) {
        self.behaviour_mut().keep(base, bars, of);
    }

    /// Which parts have the angles of another linkage's within so much, rad: the base bars,
    /// and numbers of bars.
    pub fn same_parts(&self, other: &Family, within: f64) -> (bool, Vec<usize>) {
        self.behaviour().same_parts(other, within)
    }

    /// Where left and right differ, the most first, of a linkage whose closed forms take the
    /// mean of the two; none where nothing differs or nothing takes a mean.
    pub fn side_differences(&self) -> Vec<SideDifference> {
        self.behaviour().side_differences()
    }

    /// Takes the angles found by measuring, rad, by name such as `bar-left-1.first_arc`; lists
    /// that stand for left and right take the mean of the two, and the bars keep their own.
    pub fn take_found(&mut self, value: &dyn Fn(&str) -> Option<f64>) {
        self.behaviour_mut().take_found(value);
    }
}
