//! What brief and design share: joints, and directions with a reference.

use calotte::design::{JointProperties, JointStiffness, NamedRelease};
use calotte::sphere::{arc_between, unit};
use nalgebra::Vector3;

use super::check::Checker;
use super::fields::Fields;
use super::source::short;
use crate::units::Unit;

/// The stiffnesses of `[joints]`.
const STIFFNESSES: [&str; 3] = ["axial_n_per_m", "radial_n_per_m", "tilt_nm_per_rad"];

/// Angle between an axis and its reference below which they count as parallel, rad.
const PARALLEL: f64 = 1e-6;

impl Checker<'_> {
    /// `[joints]`.
    pub(super) fn joints(&mut self, fields: &Fields) -> Option<JointProperties> {
        let rigid = fields.flag("rigid");
        if fields.refused.contains(&"bearing") {
            return None;
        }
        if fields.written("bearing") {
            return self.joints_from_parts(fields);
        }
        for name in ["seat", "measured", "pin"] {
            if fields.written(name) {
                self.object(
                    fields,
                    name,
                    None,
                    format!("`{name}` is given without `bearing`"),
                )
                .hint = "give [joints.bearing] too, or take it out".to_string();
            }
        }
        let stiffness = if rigid? {
            for name in STIFFNESSES {
                if fields.written(name) {
                    let problem = self.object(
                        fields,
                        name,
                        None,
                        format!("`{name}` is given for joints that are rigid"),
                    );
                    problem.allowed = "rigid = true, or the three stiffnesses".to_string();
                    problem.hint = "take out one or the other".to_string();
                }
            }
            None
        } else {
            let missing = |name: &&str| !fields.written(name);
            let absent: Vec<&str> = STIFFNESSES.into_iter().filter(missing).collect();
            if !absent.is_empty() {
                self.stiffness_missing(fields, &absent);
            }
            Some(JointStiffness {
                axial: fields.band("axial_n_per_m")?,
                radial: fields.band("radial_n_per_m")?,
                tilt: fields.band("tilt_nm_per_rad")?,
            })
        };
        let releases = self.releases(fields);
        Some(JointProperties {
            stiffness,
            parts: None,
            boss_diameter: fields.number("boss_diameter_mm")?,
            mass: fields.number("mass_kg")?,
            releases: releases?,
        })
    }

    fn stiffness_missing(&mut self, fields: &Fields, absent: &[&str]) {
        let names: Vec<String> = absent.iter().map(|name| format!("`{name}`")).collect();
        let verb = if absent.len() == 1 { "is" } else { "are" };
        let message = format!("{} {verb} missing in [{}]", names.join(", "), fields.path);
        let problem = self.object(fields, absent[0], None, message);
        problem.hint = "write rigid = true for rigid joints, or give all three: \
                        axial_n_per_m along the joint's own axis, radial_n_per_m across it, tilt_nm_per_rad"
            .to_string();
    }

    /// `[joints]` with bearings: the stiffness follows from them.
    fn joints_from_parts(&mut self, fields: &Fields) -> Option<JointProperties> {
        let mut sound = true;
        for name in STIFFNESSES.into_iter().chain(["rigid"]) {
            if fields.written(name) && (name != "rigid" || fields.flag("rigid") != Some(false)) {
                let problem = self.object(
                    fields,
                    name,
                    None,
                    format!("`{name}` is given for joints with bearings"),
                );
                problem.allowed = "bearing, or the stiffnesses, or rigid = true".to_string();
                problem.hint =
                    "take it out: the stiffness follows from bearing, seat and pin".to_string();
                sound = false;
            }
        }
        let parts = self.joint_parts(fields);
        let releases = self.releases(fields);
        let parts = parts.filter(|_| sound)?;
        let boss_diameter = if fields.given("boss_diameter_mm") {
            fields.number("boss_diameter_mm")?
        } else if fields.refused.contains(&"boss_diameter_mm") {
            return None;
        } else {
            parts.usual_boss_diameter()
        };
        if !self.boss_takes(fields, boss_diameter, Some(parts.bearing.outer_diameter)) {
            return None;
        }
        let stiffness = match parts.pair_stiffness() {
            Ok(stiffness) => stiffness,
            Err(error) => {
                self.object(fields, "bearing", None, error.to_string()).hint =
                    "check sizes and stiffnesses of [joints.bearing] and [joints.seat]".to_string();
                return None;
            }
        };
        Some(JointProperties {
            stiffness: Some(stiffness),
            parts: Some(parts),
            boss_diameter,
            mass: fields.number("mass_kg")?,
            releases: releases?,
        })
    }

    /// Whether a boss has room for its bearing, if there is one.
    pub(super) fn boss_takes(&mut self, fields: &Fields, boss: f64, bearing: Option<f64>) -> bool {
        let Some(bearing) = bearing.filter(|bearing| boss <= *bearing) else {
            return true;
        };
        let message = format!(
            "the boss of {} mm has no room for the bearing's outer diameter of {} mm",
            Unit::Millimetre.write(boss),
            Unit::Millimetre.write(bearing)
        );
        self.object(fields, "boss_diameter_mm", None, message).hint =
            "leave it out for a wall of 2.5 mm around the bearing".to_string();
        false
    }

    fn releases(&mut self, fields: &Fields) -> Option<Vec<NamedRelease>> {
        let mut releases: Vec<NamedRelease> = Vec::new();
        let mut sound = !fields.refused.contains(&"releases");
        for release in fields.tables("releases") {
            let (Some(joint), Some(axial), Some(tilt)) = (
                release.text("joint"),
                release.flag("axial"),
                release.flag("tilt"),
            ) else {
                sound = false;
                continue;
            };
            if joint.trim().is_empty() {
                self.object(release, "joint", None, "the joint has no name");
            } else if releases.iter().any(|other| other.joint == joint) {
                let message = format!("joint \"{}\" is released twice", short(joint));
                self.object(release, "joint", None, message).hint =
                    "write both directions into one entry".to_string();
            } else if !axial && !tilt && !release.written("axial") && !release.written("tilt") {
                let message = format!(
                    "joint \"{}\" is given, but nothing is released",
                    short(joint)
                );
                self.object(release, "joint", None, message).hint =
                    "write axial = true, tilt = true or both".to_string();
            }
            releases.push(NamedRelease {
                joint: joint.to_string(),
                axial,
                tilt,
            });
        }
        sound.then_some(releases)
    }

    /// The axis as written and the reference for azimuth 0 beside it: the one
    /// given, else x, else y where the axis is parallel to x.
    pub(super) fn axis_and_reference(
        &mut self,
        fields: &Fields,
    ) -> Option<(Vector3<f64>, Vector3<f64>)> {
        let axis = fields.vector("axis")?;
        let parallel = |reference: &Vector3<f64>| {
            let angle = arc_between(&axis, reference);
            angle.min(std::f64::consts::PI - angle) < PARALLEL
        };
        if fields.refused.contains(&"reference") {
            return None;
        }
        let Some(reference) = fields.vector("reference") else {
            let reference = if parallel(&Vector3::x()) {
                Vector3::y()
            } else {
                Vector3::x()
            };
            return Some((axis, reference));
        };
        if parallel(&reference) {
            let problem = self.object(
                fields,
                "reference",
                None,
                "the reference is parallel to the axis, so azimuth 0 has no direction",
            );
            problem.hint =
                "give any direction across the axis, or leave `reference` out".to_string();
            return None;
        }
        Some((axis, reference))
    }

    /// The unit vector of an `axis`.
    pub(super) fn unit_axis(&mut self, fields: &Fields) -> Option<Vector3<f64>> {
        unit(&fields.vector("axis")?)
    }
}
