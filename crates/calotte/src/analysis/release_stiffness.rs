//! The least stiffness of a design with a set of releases, ring by ring.

use rayon::prelude::*;
use thiserror::Error;

use crate::design::{Design, Support};
use crate::elasticity::{ElasticityError, Structure};
use crate::family::parameters::{Capability, NotAvailable};
use crate::interference::ClearingError;
use crate::kinematics::{Kinematics, Pose, WorkingRange};
use crate::linkage::redundancy::{Redundancy, RedundancyError, RedundancyOptions, redundancy};
use crate::linkage::release_sets::{Candidate, ReleaseSpace};
use crate::linkage::{Configuration, self_stress};
use crate::sphere::RegionError;
use crate::subject::Model;

use super::point::StiffnessScalars;
use super::requirements::Requirements;
use super::ring::{pose_at, ring_grid};

/// How finely releases are looked at.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ReleaseOptions {
    /// Polar angles at which stiffness is taken, both ends of the covered part included.
    pub rings: usize,
    /// Configurations over the working range at which an exact set must stay exact.
    pub samples: usize,
    /// Structures solved in the search for exact sets and for the partial one, each, at most.
    pub solves_max: usize,
}

impl Default for ReleaseOptions {
    fn default() -> Self {
        Self {
            rings: 9,
            samples: 33,
            solves_max: 4000,
        }
    }
}

/// Why nothing can be said of releases.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum ReleaseError {
    /// The family does not answer it yet.
    #[error(transparent)]
    NotAvailable(#[from] NotAvailable),
    /// The design cannot be built or solved at all.
    #[error(transparent)]
    Elasticity(#[from] ElasticityError),
    /// The region is empty.
    #[error(transparent)]
    Region(#[from] RegionError),
    /// Clearances cannot be told.
    #[error(transparent)]
    Clearing(#[from] ClearingError),
    /// No rank can be taken.
    #[error(transparent)]
    Redundancy(#[from] RedundancyError),
    /// No direction of the region is covered.
    #[error(
        "the design covers no direction of the region with the margins asked; nothing can be said of its stiffness"
    )]
    NothingCovered,
    /// Without releases the linkage has not two freedoms.
    #[error("mobility is {0} without releases, must be 2")]
    Mobility(usize),
}

/// What is known of a set: the least stiffness over the first rings, N/m.
#[derive(Debug, Clone, Copy)]
pub(super) struct Known {
    pub(super) least: f64,
    pub(super) rings: usize,
}

impl Default for Known {
    fn default() -> Self {
        Self {
            least: f64::INFINITY,
            rings: 0,
        }
    }
}

impl Known {
    /// The least stiffness over all rings if it is above a floor.
    pub(super) fn above(&self, floor: f64, rings: usize) -> Option<f64> {
        (self.least > floor && self.rings == rings).then_some(self.least)
    }
}

/// A design made ready: its covered rings, its releases, its stiffness without them.
pub(super) struct Prepared {
    pub(super) design: Design,
    pub(super) space: ReleaseSpace,
    /// Poses at which stiffness is taken, the softest without releases first.
    pub(super) rings: Vec<Vec<Pose>>,
    /// Loops of joints, one a stage.
    pub(super) stages: Vec<Vec<usize>>,
    /// Redundancy over the working range, in order.
    pub(super) range: Vec<Redundancy>,
    pub(super) unreleased: Option<f64>,
}

impl Prepared {
    pub(super) fn new(
        design: &Design,
        requirements: &Requirements,
        options: &ReleaseOptions,
    ) -> Result<Self, ReleaseError> {
        design.family.offers(Capability::Releases)?;
        let mut design = design.clone();
        design.joints.releases.clear();
        let subject = requirements.subject(&design)?;
        let model = subject.model()?;
        subject.region().polar_extent()?;
        let range = subject
            .elastic_range()?
            .ok_or(ReleaseError::NothingCovered)?;
        let rings = covered_poses(&design, model, range, subject.region(), options.rings);
        if rings.is_empty() {
            return Err(ReleaseError::NothingCovered);
        }
        let about = RedundancyOptions::at_radius(design.joint_radius);
        let linkage = &model.kinematics.linkage;
        // Nothing special about these two shares and azimuths.
        let pair = [(0.411_3, 0.317), (0.583_7, -1.271)];
        let [a, b] = pair.map(|(share, first)| at_share(&model.kinematics, range, share, first));
        let (a, b) = (a?, b?);
        let space = ReleaseSpace::new(linkage, [&a, &b], &about)?;
        if space.redundancy().mobility != 2 {
            return Err(ReleaseError::Mobility(space.redundancy().mobility));
        }
        let range = along_range(&model.kinematics, range, &about, options.samples)?;
        let mut prepared = Self {
            stages: self_stress::loops(linkage),
            design,
            space,
            rings,
            range,
            unreleased: None,
        };
        let structure = prepared.structure(&[])?;
        let mut soft: Vec<(f64, Vec<Pose>)> = Vec::new();
        for ring in std::mem::take(&mut prepared.rings) {
            soft.push((ring_stiffness(&structure, &ring)?, ring));
        }
        soft.sort_by(|a, b| a.0.total_cmp(&b.0));
        prepared.unreleased = soft.first().map(|(stiffness, _)| *stiffness);
        prepared.rings = soft.into_iter().map(|(_, ring)| ring).collect();
        Ok(prepared)
    }

    fn structure(&self, set: &[Candidate]) -> Result<Structure, ElasticityError> {
        let mut design = self.design.clone();
        design.joints.releases = self.space.named(set);
        Structure::new(&design, &self.space.released(set))
    }

    /// Least stiffness of a set over all rings, N/m; `None` if it does not hold.
    pub(super) fn stiffness(&self, set: &[Candidate]) -> Option<f64> {
        self.solve_above(set, 0.0, Known::default())
            .above(0.0, self.rings.len())
    }

    /// Solves a set ring by ring from where it was left, until it is no stiffer
    /// than a floor.
    pub(super) fn solve_above(&self, set: &[Candidate], floor: f64, mut known: Known) -> Known {
        if known.least <= floor || known.rings == self.rings.len() {
            return known;
        }
        let structure = self.structure(set);
        for ring in &self.rings[known.rings..] {
            // A structure that can move has no stiffness.
            let stiffness = match &structure {
                Ok(structure) => ring_stiffness(structure, ring).unwrap_or(0.0),
                Err(_) => 0.0,
            };
            known.least = known.least.min(stiffness);
            known.rings += 1;
            if known.least <= floor {
                break;
            }
        }
        known
    }

    /// Whether an exact set frees no motion anywhere in the working range.
    pub(super) fn holds_throughout(&self, set: &[Candidate]) -> bool {
        let along = self.space.along(set, &self.range);
        along.passes.is_none() && along.margin > 0.0
    }
}

/// Least translational stiffness over the poses of a ring, N/m.
fn ring_stiffness(structure: &Structure, ring: &[Pose]) -> Result<f64, ElasticityError> {
    let mut least = f64::INFINITY;
    for pose in ring {
        let compliance = structure
            .solve(&pose.configuration, &pose.frame)?
            .tip_compliance();
        least = least.min(StiffnessScalars::of(&compliance).least);
    }
    Ok(least)
}

/// One pose for each covered polar angle; with a column, which is not the same
/// all around, one for each azimuth of it.
fn covered_poses(
    design: &Design,
    model: &Model,
    range: &WorkingRange,
    region: &crate::sphere::Region,
    rings: usize,
) -> Vec<Vec<Pose>> {
    let column = matches!(design.mount.support, Some(Support::Column { .. }));
    let around = if column { 8 } else { 1 };
    ring_grid(&model.kinematics, range, region, rings, around)
        .iter()
        .map(|place| {
            let (second, azimuths) = (&place.second, &place.azimuths);
            azimuths[..if column { azimuths.len() } else { 1 }]
                .iter()
                .filter_map(|azimuth| pose_at(model, *second, *azimuth).ok())
                .collect::<Vec<Pose>>()
        })
        .filter(|poses| !poses.is_empty())
        .collect()
}

fn at_share(
    kinematics: &Kinematics,
    range: &WorkingRange,
    share: f64,
    first: f64,
) -> Result<Configuration, ReleaseError> {
    let second = range.second[0] + (range.second[1] - range.second[0]) * share;
    kinematics
        .forward_from_mechanism([first, second])
        .map(|pose| pose.configuration)
        .map_err(|_| ReleaseError::NothingCovered)
}

/// Redundancy at evenly spread configurations strictly inside the working
/// range, whose ends may be singular.
fn along_range(
    kinematics: &Kinematics,
    range: &WorkingRange,
    about: &RedundancyOptions,
    samples: usize,
) -> Result<Vec<Redundancy>, ReleaseError> {
    let count = samples.max(2);
    (0..count)
        .into_par_iter()
        .map(|k| {
            let share = (k as f64 + 0.5) / count as f64;
            let configuration = at_share(kinematics, range, share, 0.0)?;
            Ok(redundancy(&kinematics.linkage, &configuration, about)?)
        })
        .collect()
}
