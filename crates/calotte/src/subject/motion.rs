//! How a linkage moves, shared by designs that differ in sizes only.

use std::f64::consts::FRAC_PI_2;
use std::sync::{Arc, OnceLock};

use nalgebra::Vector3;

use crate::design::{Design, DriveRange};
use crate::family;
use crate::kinematics::conditioning::{ConditioningSummary, conditioning};
use crate::kinematics::range_choice::best_range;
use crate::kinematics::working_range::all_ranges;
use crate::kinematics::{Kinematics, Margins, WorkingRange};
use crate::linkage::LinkageError;
use crate::sphere::{Region, unit};

/// Which margins a working range keeps.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Keeps {
    /// None: it ends at singularities and drive limits.
    Nothing,
    /// Those of reach, coverage and conditioning.
    Margins,
    /// Those of elastic values.
    ElasticMargins,
}

impl Keeps {
    /// How many there are.
    pub(super) const COUNT: usize = 3;
}

/// Kinematics with the region in the base frame, and the working ranges of the bare
/// linkage: as if no parts were in each other's way.
#[derive(Debug)]
pub struct Motion {
    /// The kinematics.
    pub kinematics: Arc<Kinematics>,
    /// The region asked for, base frame.
    pub region: Region,
    region_in_world: Region,
    /// The design it was made of.
    of: Design,
    margins: [Margins; Keeps::COUNT],
    all: [OnceLock<Vec<WorkingRange>>; Keeps::COUNT],
    best: [OnceLock<Option<WorkingRange>>; Keeps::COUNT],
    summary: OnceLock<ConditioningSummary>,
}

impl Motion {
    /// The motion of a design; arguments as of [`super::Subject::new`].
    ///
    /// # Errors
    /// [`LinkageError`] for a design that cannot be built.
    pub fn new(
        design: &Design,
        region: &Region,
        margins: Margins,
        elastic_margins: Margins,
    ) -> Result<Self, LinkageError> {
        Ok(Self {
            kinematics: Arc::new(Kinematics::new(design)?),
            region: region.rotated(&design.mount.base_from_world()),
            region_in_world: region.clone(),
            of: design.clone(),
            margins: [Margins::default(), margins, elastic_margins],
            all: Default::default(),
            best: Default::default(),
            summary: OnceLock::new(),
        })
    }

    /// The motion of a design that no brief asks for a region: in the cap of 90° about its
    /// base axis.
    ///
    /// # Errors
    /// [`LinkageError`] for a design that cannot be built.
    pub fn alone(design: &Design, margins: Margins) -> Result<Self, LinkageError> {
        let axis = unit(&design.mount.axis).unwrap_or_else(Vector3::z);
        let region = Region::cap(axis, FRAC_PI_2);
        Self::new(design, &region, margins, margins)
    }

    /// A motion for a design: this one where the design moves alike, else its own.
    ///
    /// # Errors
    /// [`LinkageError`] for a design that cannot be built.
    pub fn shared(motion: &Arc<Self>, design: &Design) -> Result<Arc<Self>, LinkageError> {
        if moves_alike(&motion.of, design) {
            family::validate(design)?;
            motion.kinematics.linkage.check_own(design)?;
            return Ok(Arc::clone(motion));
        }
        let [_, margins, elastic_margins] = motion.margins;
        Self::new(design, &motion.region_in_world, margins, elastic_margins).map(Arc::new)
    }

    /// The range of the drives.
    pub fn drive_range(&self) -> &DriveRange {
        &self.of.drives.range
    }

    /// All working ranges of the bare linkage with the margins of reach.
    pub fn all_ranges(&self) -> &[WorkingRange] {
        self.all(Keeps::Margins)
    }

    /// The one of them that covers most of the region; `None` if no configuration has the
    /// margins.
    pub fn range(&self) -> Option<&WorkingRange> {
        self.best(Keeps::Margins)
    }

    /// The one of them over which the second mechanism angle turns farthest.
    pub fn widest_range(&self) -> Option<&WorkingRange> {
        let width = |range: &WorkingRange| range.second[1] - range.second[0];
        self.all_ranges()
            .iter()
            .max_by(|a, b| width(a).total_cmp(&width(b)))
    }

    /// Conditioning and coverage of the region in the one that covers most of it.
    pub fn summary(&self) -> &ConditioningSummary {
        self.summary
            .get_or_init(|| summary_over(&self.kinematics, self.range(), &self.region))
    }

    /// Ranges with equal margins are found once.
    pub(super) fn slot(&self, keeps: Keeps) -> usize {
        let own = &self.margins[keeps as usize];
        let first = self.margins.iter().position(|margins| margins == own);
        first.unwrap_or(keeps as usize)
    }

    pub(super) fn all(&self, keeps: Keeps) -> &[WorkingRange] {
        let slot = self.slot(keeps);
        self.all[slot]
            .get_or_init(|| all_ranges(&self.kinematics, self.drive_range(), &self.margins[slot]))
    }

    pub(super) fn best(&self, keeps: Keeps) -> Option<&WorkingRange> {
        let slot = self.slot(keeps);
        let best = self.best[slot].get_or_init(|| {
            let all = self.all(keeps).to_vec();
            best_range(&self.kinematics, all, &self.region)
        });
        best.as_ref()
    }
}

/// Conditioning and coverage of a region over a working range, or without one.
pub(super) fn summary_over(
    kinematics: &Kinematics,
    range: Option<&WorkingRange>,
    region: &Region,
) -> ConditioningSummary {
    match range {
        Some(range) => conditioning(kinematics, range, region),
        None => ConditioningSummary::of_nothing(region),
    }
}

/// Whether two designs have the same kinematics, drive ranges and base frame, whatever
/// their sizes.
fn moves_alike(one: &Design, other: &Design) -> bool {
    let drives = |design: &Design| {
        let drives = &design.drives;
        (drives.layout, drives.ratio, drives.range)
    };
    let tool = |design: &Design| {
        let tool = &design.tool;
        (tool.carried_by, tool.bracket_arc, tool.roll)
    };
    let frame = |design: &Design| (design.mount.axis, design.mount.reference);
    one.family == other.family
        && one.joints.releases == other.joints.releases
        && drives(one) == drives(other)
        && tool(one) == tool(other)
        && frame(one) == frame(other)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::design::sample;

    fn motion_of(design: &Design) -> Arc<Motion> {
        let region = Region::cap(nalgebra::Vector3::z(), 1.0);
        let margins = Margins::default();
        Arc::new(Motion::new(design, &region, margins, margins).unwrap())
    }

    /// A change of sizes shares the motion and leaves the kinematics as they are; any
    /// other change does not share it.
    #[test]
    fn what_moves_alike_is_shared() {
        let design = sample::two_arc_arm([1.2, 0.9]);
        let motion = motion_of(&design);
        let sizes: [fn(&mut Design); 6] = [
            |d| d.joint_radius *= 1.5,
            |d| d.section = crate::stock::Section::Rod { diameter: 0.01 },
            |d| d.material.youngs_modulus = 1e9.into(),
            |d| d.joints.boss_diameter = 0.004,
            |d| d.tool.tip_radius = 0.1,
            |d| d.tool.mass = Some(0.3.into()),
        ];
        for change in sizes {
            let mut other = design.clone();
            change(&mut other);
            assert_ne!(other, design);
            assert!(Arc::ptr_eq(
                &Motion::shared(&motion, &other).unwrap(),
                &motion
            ));
            assert_eq!(Kinematics::new(&other).unwrap(), *motion.kinematics);
        }
        let motions: [fn(&mut Design); 6] = [
            |d| d.family = sample::two_arc_arm([1.2, 0.8]).family,
            |d| d.drives.ratio = [1.0, 2.0],
            |d| d.drives.range.second = Some([0.1, 0.2]),
            |d| d.tool.roll = 0.2,
            |d| d.tool.bracket_arc = 0.2,
            |d| d.mount.axis = nalgebra::Vector3::x(),
        ];
        for change in motions {
            let mut other = design.clone();
            change(&mut other);
            let own = Motion::shared(&motion, &other).unwrap();
            assert!(!Arc::ptr_eq(&own, &motion));
            assert_eq!(*own.kinematics, Kinematics::new(&other).unwrap());
        }
    }

    /// What cannot be built is refused, shared motion or not.
    #[test]
    fn a_shared_motion_still_refuses_bad_sizes() {
        let design = sample::two_arc_arm([1.2, 0.9]);
        let motion = motion_of(&design);
        let mut bad = design.clone();
        bad.joint_radius = -1.0;
        assert_eq!(
            Motion::shared(&motion, &bad).unwrap_err(),
            Kinematics::new(&bad).unwrap_err()
        );
    }
}
