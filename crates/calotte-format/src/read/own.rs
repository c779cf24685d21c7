//! `[[section.level]]`, `[[section.bar]]` and `[[joints.level]]`: what differs from the rule.
//!
//! Whether the linkage has the bars and levels is seen when it is built, and put down to the
//! entries by `blame`.

use calotte::design::{JointParts, JointProperties, JointStiffness, OwnJoints, OwnSection};
use calotte::design::{Pin, SectionOf};

use super::check::Checker;
use super::fields::Fields;

/// Keys of a level's joints beside the level itself.
const OF_JOINTS: [&str; 7] = [
    "axial_n_per_m",
    "radial_n_per_m",
    "tilt_nm_per_rad",
    "boss_diameter_mm",
    "mass_kg",
    "bearing",
    "pin",
];

/// The stiffnesses among them.
const STIFFNESSES: [&str; 3] = ["axial_n_per_m", "radial_n_per_m", "tilt_nm_per_rad"];

impl Checker<'_> {
    /// Sections of levels, then of bars; `None` where an entry is refused.
    pub(super) fn own_sections(&mut self, fields: &Fields) -> Option<Vec<OwnSection>> {
        let mut sound = !fields.refused.contains(&"level") && !fields.refused.contains(&"bar");
        let mut own: Vec<OwnSection> = Vec::new();
        let tables = ["level", "bar"].map(|key| fields.tables(key).iter().map(move |t| (key, t)));
        for (key, table) in tables.into_iter().flatten() {
            let of = match key {
                "level" => self.level(table).map(SectionOf::Level),
                _ => table
                    .text("name")
                    .map(|name| SectionOf::Bar(name.to_string())),
            };
            let section = self.section(table);
            match (of, section) {
                (Some(of), Some(section)) => own.push(OwnSection { of, section }),
                _ => sound = false,
            }
        }
        sound.then_some(own)
    }

    /// Joints of levels; `None` where an entry is refused.
    pub(super) fn own_joints(
        &mut self,
        fields: &Fields,
        rule: &JointProperties,
    ) -> Option<Vec<OwnJoints>> {
        let mut sound = !fields.refused.contains(&"level");
        let mut own = Vec::new();
        for table in fields.tables("level") {
            let level = self.level(table);
            let joints = self.joints_of_level(table, rule);
            match (level, joints) {
                (Some(level), Some(joints)) => own.push(OwnJoints { level, joints }),
                _ => sound = false,
            }
        }
        sound.then_some(own)
    }

    /// A level, which is a whole number.
    fn level(&mut self, fields: &Fields) -> Option<usize> {
        let level = fields.number("level")?;
        if level.fract() == 0.0 {
            return Some(level as usize);
        }
        let problem = self.object(fields, "level", None, "a level is a whole number");
        problem.allowed = "0 for the base joints, then 1, 2 and so on".to_string();
        None
    }

    fn joints_of_level(
        &mut self,
        fields: &Fields,
        rule: &JointProperties,
    ) -> Option<JointProperties> {
        if !OF_JOINTS.iter().any(|key| fields.written(key)) {
            let problem = self.object(fields, "level", None, "the level states nothing of its own");
            problem.allowed = format!("with {}", OF_JOINTS.join(", "));
            problem.hint = "take the entry out: its joints are then those of [joints]".to_string();
            return None;
        }
        if OF_JOINTS.iter().any(|key| fields.refused.contains(key)) {
            return None;
        }
        let foreign = match (&rule.parts, &rule.stiffness) {
            (Some(_), _) => Some((&STIFFNESSES[..], "have bearings", "give a bearing here")),
            (None, Some(_)) => Some((
                &["bearing", "pin"][..],
                "have stiffnesses without bearings",
                "give stiffnesses here, or [joints.bearing]",
            )),
            (None, None) => Some((&OF_JOINTS[..3], "are rigid", "take it out")),
        };
        if let Some((keys, why, hint)) = foreign {
            let mut any = false;
            let also: &[&str] = match rule.stiffness {
                None => &["bearing", "pin"],
                Some(_) => &[],
            };
            for key in keys.iter().chain(also) {
                if fields.written(key) {
                    let message = format!("`{key}` is given for a level, and all others {why}");
                    self.object(fields, key, None, message).hint = hint.to_string();
                    any = true;
                }
            }
            if any {
                return None;
            }
        }
        let mut own = JointProperties {
            releases: Vec::new(),
            mass: fields.number("mass_kg").unwrap_or(rule.mass),
            boss_diameter: rule.boss_diameter,
            ..rule.clone()
        };
        if let Some(parts) = &rule.parts {
            let parts = self.parts_of_level(fields, parts)?;
            if fields.written("bearing") {
                own.boss_diameter = parts.usual_boss_diameter();
            }
            own.stiffness = match parts.pair_stiffness() {
                Ok(stiffness) => Some(stiffness),
                Err(error) => {
                    self.object(fields, "bearing", None, error.to_string()).hint =
                        "check sizes and stiffnesses of the bearing".to_string();
                    return None;
                }
            };
            own.parts = Some(parts);
        } else if let Some(stiffness) = &rule.stiffness {
            own.stiffness = Some(JointStiffness {
                axial: fields.band("axial_n_per_m").unwrap_or(stiffness.axial),
                radial: fields.band("radial_n_per_m").unwrap_or(stiffness.radial),
                tilt: fields.band("tilt_nm_per_rad").unwrap_or(stiffness.tilt),
            });
        }
        if let Some(boss) = fields.number("boss_diameter_mm") {
            own.boss_diameter = boss;
        }
        let bearing = own.parts.as_ref().map(|parts| parts.bearing.outer_diameter);
        self.boss_takes(fields, own.boss_diameter, bearing)
            .then_some(own)
    }

    /// Bearing and pin of a level whose rule has these.
    fn parts_of_level(&mut self, fields: &Fields, rule: &JointParts) -> Option<JointParts> {
        let mut parts = rule.clone();
        if let Some(table) = fields.table("bearing") {
            let bearing = self.bearing(table);
            if !table.refused.is_empty() {
                return None;
            }
            let bearing = bearing?;
            let usual = JointParts::usual(bearing, rule.pin.material.clone());
            parts.pair_spacing = self.spacing(table, &usual)?;
            parts.both_locate = table.text("axial_hold")? == "both";
            parts.pin = Pin {
                clamped_in: rule.pin.clamped_in,
                ..usual.pin
            };
            parts.bearing = usual.bearing;
        }
        if let Some(table) = fields.table("pin") {
            if !table.refused.is_empty() {
                return None;
            }
            let usual = parts.bearing.bore;
            let [diameter, bore] = self.pin_sizes(table, parts.bearing.bore, usual)?;
            (parts.pin.diameter, parts.pin.bore) = (diameter, bore);
        }
        Some(parts)
    }
}
