//! What a bar or a level of a design has, by its own entry or by the rule.

use crate::stock::Section;

use super::own::{Differing, NotYetWhereDiffering, OwnError, SectionOf};
use super::{Design, JointProperties};

impl Design {
    /// Section of the bar of a name that starts from a level.
    pub fn section_of(&self, bar: &str, level: usize) -> &Section {
        let own = |wanted: &dyn Fn(&SectionOf) -> bool| {
            let found = self.own.sections.iter().find(|own| wanted(&own.of));
            found.map(|own| &own.section)
        };
        own(&|of| matches!(of, SectionOf::Bar(name) if name == bar))
            .or_else(|| own(&|of| *of == SectionOf::Level(level)))
            .unwrap_or(&self.section)
    }

    /// Joints of a level; their releases are those of [`Design::joints`], by name.
    pub fn joints_at(&self, level: usize) -> &JointProperties {
        let own = self.own.joints.iter().find(|own| own.level == level);
        own.map_or(&self.joints, |own| &own.joints)
    }

    /// The rule's joints and all that differ, the rule first.
    pub fn each_joints(&self) -> impl Iterator<Item = &JointProperties> {
        let own = self.own.joints.iter().map(|own| &own.joints);
        std::iter::once(&self.joints).chain(own)
    }

    /// The same to be changed: what is said of the joints of a design is said of all of them.
    pub fn each_joints_mut(&mut self) -> impl Iterator<Item = &mut JointProperties> {
        let own = self.own.joints.iter_mut().map(|own| &mut own.joints);
        std::iter::once(&mut self.joints).chain(own)
    }

    /// The rule's section and all that differ, the rule first.
    pub fn each_section(&self) -> impl Iterator<Item = &Section> {
        let own = self.own.sections.iter().map(|own| &own.section);
        std::iter::once(&self.section).chain(own)
    }

    /// All joints rigid; pins and bosses stay as they are.
    pub fn make_joints_rigid(&mut self) {
        for joints in self.each_joints_mut() {
            joints.stiffness = None;
        }
    }

    /// Refuses what cannot be answered for a design whose sections differ.
    ///
    /// # Errors
    /// [`NotYetWhereDiffering`] that names what was asked.
    pub fn needs_one_section(&self, what: &'static str) -> Result<(), NotYetWhereDiffering> {
        refuse(self.own.sections.is_empty(), what, Differing::Sections)
    }

    /// Refuses what cannot be answered for a design whose joints differ.
    ///
    /// # Errors
    /// [`NotYetWhereDiffering`] that names what was asked.
    pub fn needs_equal_joints(&self, what: &'static str) -> Result<(), NotYetWhereDiffering> {
        refuse(self.own.joints.is_empty(), what, Differing::Joints)
    }

    /// Refuses what cannot be answered for a design in which anything differs.
    ///
    /// # Errors
    /// [`NotYetWhereDiffering`] that names what was asked.
    pub fn needs_all_equal(&self, what: &'static str) -> Result<(), NotYetWhereDiffering> {
        self.needs_one_section(what)?;
        self.needs_equal_joints(what)
    }

    /// Refuses own sections and joints that no linkage of these bars has.
    ///
    /// # Arguments
    /// - `bars`: names of the bars there are.
    /// - `last_level`: the last level of joints.
    ///
    /// # Errors
    /// [`OwnError`] for the first that does not belong.
    pub fn check_own(&self, bars: &[&str], last_level: usize) -> Result<(), OwnError> {
        let unknown_level = |differing, entry, level| {
            Err(OwnError::UnknownLevel {
                differing,
                entry,
                level,
                last: last_level,
            })
        };
        for (entry, own) in self.own.sections.iter().enumerate() {
            match &own.of {
                SectionOf::Bar(name) if !bars.contains(&name.as_str()) => {
                    return Err(OwnError::UnknownBar {
                        entry,
                        name: name.clone(),
                        known: bars.iter().map(|bar| bar.to_string()).collect(),
                    });
                }
                SectionOf::Level(level) if *level > last_level => {
                    return unknown_level(Differing::Sections, entry, *level);
                }
                _ => {}
            }
            if self.own.sections[..entry]
                .iter()
                .any(|one| one.of == own.of)
            {
                return Err(OwnError::Twice {
                    differing: Differing::Sections,
                    entry,
                    of: own.of.words(),
                });
            }
            own.section.validate()?;
        }
        for (entry, own) in self.own.joints.iter().enumerate() {
            let level = own.level;
            if level > last_level {
                return unknown_level(Differing::Joints, entry, level);
            }
            if self.own.joints[..entry]
                .iter()
                .any(|one| one.level == level)
            {
                return Err(OwnError::Twice {
                    differing: Differing::Joints,
                    entry,
                    of: SectionOf::Level(level).words(),
                });
            }
            if let Some(why) = other_kind(&self.joints, &own.joints) {
                return Err(OwnError::OtherKind { entry, level, why });
            }
            let value = own.joints.boss_diameter;
            if !value.is_finite() || value < 0.0 {
                return Err(OwnError::BossDiameter {
                    entry,
                    level,
                    value,
                });
            }
        }
        Ok(())
    }
}

fn refuse(
    equal: bool,
    what: &'static str,
    differing: Differing,
) -> Result<(), NotYetWhereDiffering> {
    if equal {
        return Ok(());
    }
    Err(NotYetWhereDiffering { what, differing })
}

/// What joints of a level have otherwise than the rule's that all joints share.
fn other_kind(rule: &JointProperties, own: &JointProperties) -> Option<&'static str> {
    if rule.stiffness.is_some() != own.stiffness.is_some() {
        return Some("some are rigid");
    }
    if !own.releases.is_empty() {
        return Some("releases stand in the rule, by the joint's name");
    }
    match (&rule.parts, &own.parts) {
        (None, None) => None,
        (Some(rule), Some(own)) => {
            if rule.pin.material != own.pin.material {
                Some("pins are of one material")
            } else if rule.pin.clamped_in != own.pin.clamped_in {
                Some("pins are clamped in one and the same of the two bars")
            } else if rule.seat != own.seat {
                Some("seats are alike")
            } else if rule.measured != own.measured {
                Some("measured factors are one for all")
            } else {
                None
            }
        }
        _ => Some("some have bearings, others have not"),
    }
}
