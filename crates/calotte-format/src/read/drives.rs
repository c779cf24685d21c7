//! `[[drive]]`.

use calotte::brief::{DriveNeed, FamilyName};
use calotte::design::{Drive, DriveLayout, RidesOn};

use super::check::Checker;
use super::fields::Fields;
use super::source::short;
use crate::keys::words::EVERY_JOINT;

/// An active joint that a linkage may have.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct ActiveJoint {
    family: FamilyName,
    /// Its place among the active joints.
    active: usize,
    name: &'static str,
}

impl ActiveJoint {
    /// The active joints of a family in a layout.
    pub(super) fn of(family: FamilyName, layout: DriveLayout) -> [Self; 2] {
        let names = family.active_names(layout);
        [0, 1].map(|active| Self {
            family,
            active,
            name: names[active],
        })
    }
}

impl Checker<'_> {
    /// What turns the active joints.
    ///
    /// - `joints`: those there may be.
    /// - `all`: whether every one must be described once any is, so that no candidate gets a
    ///   rigid drive beside others with springs.
    pub(super) fn drives_of(
        &mut self,
        fields: &Fields,
        joints: &[ActiveJoint],
        all: bool,
    ) -> Option<Vec<DriveNeed>> {
        let mut found: Vec<DriveNeed> = Vec::new();
        let mut sound = !fields.refused.contains(&"drive");
        for table in fields.tables("drive") {
            let Some(need) = self.drive(table, joints) else {
                sound = false;
                continue;
            };
            if found.iter().any(|other| other.joint == need.joint) {
                let name = need.joint.as_deref().unwrap_or(EVERY_JOINT);
                let message = format!("the drive of \"{name}\" is described twice");
                self.object(table, "joint", None, message).hint =
                    "write all of it into one entry".to_string();
                sound = false;
            }
            found.push(need);
        }
        let missing: Vec<&str> = joints
            .iter()
            .map(|joint| joint.name)
            .filter(|name| {
                let named = |need: &DriveNeed| {
                    let joint = need.joint.as_deref();
                    joint.is_none_or(|joint| joint == *name)
                };
                !found.iter().any(named)
            })
            .fold(Vec::new(), |mut names: Vec<&str>, name| {
                if !names.contains(&name) {
                    names.push(name);
                }
                names
            });
        if let Some(first) = fields.tables("drive").first()
            && all
            && sound
            && !missing.is_empty()
        {
            let message = format!(
                "some candidates would have rigid drives beside others: no entry is for {}",
                missing.join(", ")
            );
            let problem = self.object(first, "joint", None, message);
            problem.allowed =
                "one entry for each active joint of [choice], or \"every\"".to_string();
            problem.hint = "add [[drive]] without `joint` for the others (without stiffness_nm_per_rad they are rigid), or narrow families and drive_layout in [choice]".to_string();
            sound = false;
        }
        sound.then_some(found)
    }

    fn drive(&mut self, fields: &Fields, joints: &[ActiveJoint]) -> Option<DriveNeed> {
        let word = fields.text("joint")?;
        let meant: Vec<ActiveJoint> = joints
            .iter()
            .filter(|joint| word == EVERY_JOINT || joint.name == word)
            .copied()
            .collect();
        if meant.is_empty() && !joints.is_empty() {
            let mut names: Vec<String> = vec![quoted(EVERY_JOINT)];
            for joint in joints {
                let name = quoted(joint.name);
                if !names.contains(&name) {
                    names.push(name);
                }
            }
            let problem = self.object(
                fields,
                "joint",
                None,
                format!("there is no active joint \"{word}\" here"),
            );
            problem.allowed = names.join(", ");
            problem.hint =
                "the active joints follow from the family and the layout of its drives".to_string();
            return None;
        }
        if ["stiffness_nm_per_rad", "mass_kg", "rides_on"]
            .iter()
            .any(|name| fields.refused.contains(name))
        {
            return None;
        }
        let mass = fields.band("mass_kg");
        let rides_on = match fields.text("rides_on") {
            None => RidesOn::Joint,
            Some("base") => RidesOn::Base,
            Some(bar) => RidesOn::Bar(bar.to_string()),
        };
        if let RidesOn::Bar(bar) = &rides_on {
            let known = |joint: &ActiveJoint| joint.family.drive_carriers(joint.active);
            let strange = meant
                .iter()
                .find(|joint| !known(joint).contains(&bar.as_str()));
            if let Some(joint) = strange {
                let message = format!(
                    "the axis of {} of a {} does not go through \"{}\"",
                    joint.name,
                    joint.family.words(),
                    short(bar)
                );
                let bars = known(joint).iter().map(|bar| quoted(bar));
                let names: Vec<String> = [quoted("base")].into_iter().chain(bars).collect();
                let problem = self.object(fields, "rides_on", None, message);
                problem.allowed = names.join(" or ");
                problem.hint =
                    "leave rides_on out for what the joint turns from, or write \"base\""
                        .to_string();
                return None;
            }
        }
        if mass.is_none() && fields.given("rides_on") {
            self.object(
                fields,
                "rides_on",
                None,
                "something carries this drive, but it has no mass",
            )
            .hint = "give mass_kg, or take rides_on out".to_string();
            return None;
        }
        Some(DriveNeed {
            joint: (word != EVERY_JOINT).then(|| word.to_string()),
            drive: Drive {
                stiffness: fields.band("stiffness_nm_per_rad"),
                mass,
                rides_on,
            },
        })
    }
}

fn quoted(word: &str) -> String {
    format!("\"{word}\"")
}
