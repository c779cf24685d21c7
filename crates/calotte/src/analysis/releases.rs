//! What releases cost: stiffness and rigidity of a design with and without them.
//!
//! A release removes redundant constraints and with them stiffness. Each set is
//! judged twice: by rank (what stays redundant, what is freed) and by the least
//! translational stiffness over the covered directions, ring by ring as in
//! [`ring`](super::ring). Releasing more never stiffens, so a set bounds all
//! that contain it from above, and the stiffest exact set is found without
//! solving every one.

use rayon::prelude::*;

use crate::design::{Design, NamedRelease};
use crate::elasticity::ElasticityError;
use crate::linkage::redundancy::{FreedMotion, JointRedundancy, SelfStress};
use crate::linkage::release_sets::{Candidate, SetVerdict};

use super::release_search::{Goal, Solved, search};
use super::release_stiffness::Prepared;
use super::requirements::Requirements;

pub use super::release_stiffness::{ReleaseError, ReleaseOptions};

/// What an option is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum OptionKind {
    /// No release.
    Unreleased,
    /// The releases the design names.
    Designed,
    /// One release alone.
    Single,
    /// Exact, and the stiffest found.
    Stiffest,
    /// Exact with the fewest releases, and the stiffest found of those.
    Fewest,
    /// One release in every stage: the least harmful.
    OneAStage,
}

/// One set of releases, judged.
#[derive(Debug, Clone, PartialEq)]
pub struct ReleaseOption {
    /// What it is for.
    pub kind: OptionKind,
    /// The releases, one entry a joint.
    pub releases: Vec<NamedRelease>,
    /// Redundant constraints left.
    pub redundant_left: usize,
    /// Mobility with joints that are infinitely rigid otherwise.
    pub mobility: usize,
    /// The motion it frees; `None` if it frees none.
    pub freed: Option<FreedMotion>,
    /// Least translational stiffness over the covered directions, N/m; `None`
    /// where the drives do not hold the linkage.
    pub stiffness: Option<f64>,
    /// Share of the stiffness without releases that is lost, 0 to 1; `None` with `stiffness`.
    pub loss: Option<f64>,
    /// Over the working range, the least singular value of the released
    /// constraints in the self-stress states: 0 where the set frees a motion.
    /// `None` for sets that are not exact.
    pub margin: Option<f64>,
}

impl ReleaseOption {
    /// Number of single releases: tilt and axial of one joint count two.
    pub fn count(&self) -> usize {
        self.releases
            .iter()
            .map(|r| usize::from(r.tilt) + usize::from(r.axial))
            .sum()
    }

    /// Nothing redundant and nothing freed.
    pub fn is_exact(&self) -> bool {
        self.redundant_left == 0 && self.freed.is_none()
    }
}

/// Redundant constraints of a design, and its releases.
#[derive(Debug, Clone, PartialEq)]
pub struct ReleaseReport {
    /// Redundant constraints without releases.
    pub redundant: usize,
    /// Fewest releases that could remove them, a tilt release taking two.
    pub releases_min: usize,
    /// Joints in order, with the share of their constraints that is redundant.
    pub per_joint: Vec<JointRedundancy>,
    /// One self-stress state for each redundant constraint.
    pub states: Vec<SelfStress>,
    /// The sets: none, the design's own, each single release, exact and partial ones.
    pub options: Vec<ReleaseOption>,
    /// The exact set that keeps most stiffness; among equals that of fewest releases.
    pub proposal: Option<usize>,
    /// The exact set of fewest releases, the stiffest found of those.
    pub fewest: Option<usize>,
    /// The least harmful set of one release a stage, which leaves some redundant.
    pub partial: Option<usize>,
    /// Whether the search for the proposal went through all sets.
    pub complete: bool,
    /// Structures solved.
    pub solves: usize,
}

/// Looks at the releases of a design over the covered directions of the region.
/// The design's own releases are one option; all others start from none.
///
/// Cost: (2 + 2·joints)·rings solves for the singles, plus at most three
/// searches of `solves_max` each.
///
/// # Errors
/// [`ReleaseError`] if the design cannot be built, covers nothing, or has no
/// clear rank in its working range.
pub fn release_report(
    design: &Design,
    requirements: &Requirements,
    options: &ReleaseOptions,
) -> Result<ReleaseReport, ReleaseError> {
    let prepared = Prepared::new(design, requirements, options)?;
    let space = &prepared.space;
    let mut report = ReleaseReport {
        redundant: space.redundant(),
        releases_min: space.fewest_releases(),
        per_joint: space.redundancy().per_joint.clone(),
        states: space.redundancy().states.clone(),
        options: vec![prepared.option(OptionKind::Unreleased, &[], prepared.unreleased)?],
        proposal: None,
        fewest: None,
        partial: None,
        complete: true,
        solves: prepared.rings.len(),
    };
    if !design.joints.releases.is_empty() {
        let set = space
            .candidates_of(&design.joints.releases)
            .map_err(ElasticityError::from)?;
        let stiffness = prepared.stiffness(&set);
        report
            .options
            .push(prepared.option(OptionKind::Designed, &set, stiffness)?);
        report.solves += prepared.rings.len();
    }
    let singles: Vec<Option<f64>> = space
        .candidates()
        .par_iter()
        .map(|candidate| prepared.stiffness(&[*candidate]))
        .collect();
    for (candidate, stiffness) in space.candidates().iter().zip(&singles) {
        report
            .options
            .push(prepared.option(OptionKind::Single, &[*candidate], *stiffness)?);
    }
    report.solves += singles.len() * prepared.rings.len();
    if space.redundant() > 0 {
        prepared.propose(&singles, options, &mut report)?;
    }
    Ok(report)
}

impl Prepared {
    fn option(
        &self,
        kind: OptionKind,
        set: &[Candidate],
        stiffness: Option<f64>,
    ) -> Result<ReleaseOption, ReleaseError> {
        let verdict: SetVerdict = self.space.judge(set)?;
        let margin = verdict
            .is_exact()
            .then(|| self.space.along(set, &self.range))
            .filter(|along| along.margin.is_finite())
            .map(|along| {
                if along.passes.is_some() {
                    0.0
                } else {
                    along.margin
                }
            });
        let stiffness = stiffness.filter(|_| verdict.freed.is_none());
        Ok(ReleaseOption {
            kind,
            releases: self.space.named(set),
            redundant_left: verdict.redundant_left,
            mobility: verdict.mobility,
            freed: verdict.freed,
            stiffness,
            loss: stiffness
                .zip(self.unreleased)
                .map(|(with, without)| 1.0 - with / without),
            margin,
        })
    }

    fn propose(
        &self,
        singles: &[Option<f64>],
        options: &ReleaseOptions,
        report: &mut ReleaseReport,
    ) -> Result<(), ReleaseError> {
        let mut solved = Solved::default();
        let mut run = |goal: Goal, seeds: &[(Vec<Candidate>, f64)]| {
            search(self, singles, &goal, seeds, options.solves_max, &mut solved)
        };
        // Few releases are what a builder likes best, if such a set exists at all.
        let mut fewest = None;
        for count in report.releases_min..=report.redundant {
            let found = run(Goal::exact(Some(count)), &[]);
            report.solves += found.solves;
            fewest = found.best;
            if fewest.is_some() {
                break;
            }
        }
        let seeds: Vec<_> = fewest.iter().cloned().collect();
        let stiffest = run(Goal::exact(None), &seeds);
        report.solves += stiffest.solves;
        report.complete = stiffest.complete;
        let partial = run(Goal::OneEach(self.stages.clone()), &[]);
        report.solves += partial.solves;
        let mut add = |kind, found: Option<(Vec<Candidate>, f64)>| -> Result<_, ReleaseError> {
            let Some((set, stiffness)) = found else {
                return Ok(None);
            };
            report
                .options
                .push(self.option(kind, &set, Some(stiffness))?);
            Ok(Some(report.options.len() - 1))
        };
        let same = stiffest.best == fewest;
        let proposal = add(OptionKind::Stiffest, stiffest.best)?;
        let few = if same {
            proposal
        } else {
            add(OptionKind::Fewest, fewest)?
        };
        let partial = add(OptionKind::OneAStage, partial.best)?;
        (report.proposal, report.fewest, report.partial) = (proposal, few, partial);
        Ok(())
    }
}
