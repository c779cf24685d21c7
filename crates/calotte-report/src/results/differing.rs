//! The table of bars and joints where they differ.

use calotte::design::Design;
use calotte_document::differing::{BarSection, Differing, JointAtLevel};
use calotte_format::words;

/// Every bar and joint with what it has; `None` where all are alike.
pub fn differing_document(design: &Design) -> Option<Differing> {
    if design.own.is_empty() {
        return None;
    }
    let linkage = calotte::family::build(design).ok()?;
    let bars = linkage.bars().map(|(_, body)| {
        let section = body.section(design);
        BarSection {
            name: body.name.clone(),
            level: body.level,
            section: words::section(section),
            tangential_mm: section.width() * 1e3,
            radial_mm: section.depth() * 1e3,
        }
    });
    let joints = linkage.joints.iter().map(|joint| {
        let properties = joint.properties(design);
        let parts = properties.parts.as_ref();
        let stiffness = properties.stiffness.as_ref();
        JointAtLevel {
            name: joint.name.clone(),
            level: joint.level,
            bearing: parts.map(|parts| parts.bearing.name.clone()),
            spacing_mm: parts.map(|parts| parts.pair_spacing * 1e3),
            pin_diameter_mm: parts.map(|parts| parts.pin.diameter * 1e3),
            axial_n_per_m: stiffness.map(|stiffness| stiffness.axial.value),
            radial_n_per_m: stiffness.map(|stiffness| stiffness.radial.value),
            tilt_nm_per_rad: stiffness.map(|stiffness| stiffness.tilt.value),
            boss_diameter_mm: properties.boss_diameter * 1e3,
        }
    });
    Some(Differing {
        bars: bars.collect(),
        joints: joints.collect(),
    })
}
