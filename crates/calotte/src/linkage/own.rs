//! What a bar or joint of a linkage has of its design: its section, its bearings and pin.

use crate::design::{Design, JointProperties, OwnError};
use crate::stock::Section;

use super::{Body, Joint, Linkage, Place};

impl Body {
    /// Its section in a design; of a body without arcs that of its level.
    pub fn section<'a>(&self, design: &'a Design) -> &'a Section {
        design.section_of(&self.name, self.level)
    }
}

impl Joint {
    /// Its bearings, pin and boss in a design.
    pub fn properties<'a>(&self, design: &'a Design) -> &'a JointProperties {
        design.joints_at(self.level)
    }
}

impl Linkage {
    /// Level of the joint at a place; of an end without a joint that of its body.
    pub fn level_at(&self, place: Place) -> usize {
        self.joints
            .iter()
            .find(|joint| joint.first == place || joint.second == place)
            .map_or(self.bodies[place.body].level, |joint| joint.level)
    }

    /// Bearings, pin and boss at a place in a design.
    pub fn joints_at<'a>(&self, design: &'a Design, place: Place) -> &'a JointProperties {
        design.joints_at(self.level_at(place))
    }

    /// Bodies that are bars, with their index.
    pub fn bars(&self) -> impl Iterator<Item = (usize, &Body)> {
        let bodies = self.bodies.iter().enumerate();
        bodies.filter(|(_, body)| !body.arcs.is_empty())
    }

    /// The last level there is, 0 the base.
    pub fn last_level(&self) -> usize {
        self.joints
            .iter()
            .map(|joint| joint.level)
            .max()
            .unwrap_or(0)
    }

    /// Refuses own sections and joints of a design that no bar or joint here has.
    ///
    /// # Errors
    /// [`OwnError`] for the first that does not belong.
    pub fn check_own(&self, design: &Design) -> Result<(), OwnError> {
        let names: Vec<&str> = self.bars().map(|(_, body)| body.name.as_str()).collect();
        design.check_own(&names, self.last_level())
    }
}
