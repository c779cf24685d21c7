//! Which releases remove the redundant constraints, and which free a motion.
//!
//! Releasing a set of constraints R removes as many redundant ones as the
//! columns of R in the self-stress states have rank; what R has beyond that rank
//! is new freedom. So a set is **exact** (nothing redundant, no new freedom) if
//! its columns are square and regular, and every part of an exact set frees
//! nothing. Search rests on that; a verdict is taken from the rank of the
//! released linkage itself.

use nalgebra::DMatrix;

use crate::design::NamedRelease;

use super::redundancy::{
    ConstraintKind, FreedMotion, Redundancy, RedundancyError, RedundancyOptions,
    checked_redundancy, freed_motion,
};
use super::{Configuration, Linkage, LinkageError, Release};

/// Share of a column that must lie beyond the others for it to count as new.
const INDEPENDENT: f64 = 1e-7;

/// What a release sets free.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum ReleaseKind {
    /// Both rotations across the joint's axis: two constraints.
    Tilt,
    /// The displacement along the joint's own axis: one constraint.
    Axial,
}

/// One release of one joint.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Candidate {
    /// Index of the joint.
    pub joint: usize,
    /// What is set free.
    pub kind: ReleaseKind,
}

impl Candidate {}

/// A set of releases, judged by the rank of the released linkage.
#[derive(Debug, Clone, PartialEq)]
pub struct SetVerdict {
    /// Constraints released.
    pub released: usize,
    /// Redundant constraints left.
    pub redundant_left: usize,
    /// Mobility.
    pub mobility: usize,
    /// The motion it frees; `None` if it frees none.
    pub freed: Option<FreedMotion>,
}

impl SetVerdict {
    /// Nothing redundant left and nothing freed.
    pub fn is_exact(&self) -> bool {
        self.redundant_left == 0 && self.freed.is_none()
    }
}

/// An exact set over many configurations.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AlongRange {
    /// Least singular value of the set's columns in orthonormal self-stress
    /// states: 0 where it frees a motion, 1 where the released constraints alone
    /// carry the states, infinite where nothing is redundant.
    pub margin: f64,
    /// Index of the configuration where it is least.
    pub at: usize,
    /// First of two neighbouring configurations between which the set passes
    /// through one where it frees a motion.
    pub passes: Option<usize>,
}

/// The releases of a linkage at two regular configurations.
#[derive(Debug, Clone)]
pub struct ReleaseSpace {
    linkage: Linkage,
    configurations: [Configuration; 2],
    options: RedundancyOptions,
    at: [Redundancy; 2],
    candidates: Vec<Candidate>,
    /// Per candidate and configuration the columns it releases.
    columns: Vec<[Vec<Vec<f64>>; 2]>,
}

/// Candidates that together free nothing.
#[derive(Debug, Clone, Default)]
pub struct Selection {
    /// Positions among the candidates, as taken.
    pub members: Vec<usize>,
    spans: [Vec<Vec<f64>>; 2],
}

impl Selection {
    /// Constraints released.
    pub fn released(&self) -> usize {
        self.spans[0].len()
    }
}

impl ReleaseSpace {
    /// The linkage without any release, at two configurations.
    ///
    /// # Errors
    /// As [`checked_redundancy`].
    pub fn new(
        linkage: &Linkage,
        configurations: [&Configuration; 2],
        options: &RedundancyOptions,
    ) -> Result<Self, RedundancyError> {
        let mut linkage = linkage.clone();
        for joint in &mut linkage.joints {
            joint.release = Release::default();
        }
        let at = checked_redundancy(&linkage, configurations, options)?;
        let candidates: Vec<Candidate> = (0..linkage.joints.len())
            .flat_map(|joint| {
                [ReleaseKind::Tilt, ReleaseKind::Axial].map(|kind| Candidate { joint, kind })
            })
            .collect();
        let columns = candidates
            .iter()
            .map(|candidate| {
                [0, 1].map(|k| {
                    columns_of(&at[k], candidate)
                        .into_iter()
                        .map(|column| at[k].stresses.column(column).iter().copied().collect())
                        .collect()
                })
            })
            .collect();
        Ok(Self {
            linkage,
            configurations: configurations.map(Clone::clone),
            options: *options,
            at,
            candidates,
            columns,
        })
    }

    /// Redundant constraints without any release.
    pub fn redundant(&self) -> usize {
        self.at[0].redundant
    }

    /// Redundancy at the first configuration.
    pub fn redundancy(&self) -> &Redundancy {
        &self.at[0]
    }

    /// Each joint's tilt and axial release, in order.
    pub fn candidates(&self) -> &[Candidate] {
        &self.candidates
    }

    /// Fewest releases that could remove every redundant constraint: a tilt
    /// release takes two, so an odd number needs an axial one.
    pub fn fewest_releases(&self) -> usize {
        self.redundant().div_ceil(2)
    }

    /// A selection with one more candidate; `None` if it frees a motion at
    /// either configuration.
    pub fn with(&self, selection: &Selection, candidate: usize) -> Option<Selection> {
        let mut next = selection.clone();
        for (span, columns) in next.spans.iter_mut().zip(&self.columns[candidate]) {
            for column in columns {
                span.push(beyond(span, column)?);
            }
        }
        next.members.push(candidate);
        Some(next)
    }

    /// Whether candidates at these positions could make a selection exact, were
    /// their constraints free to choose.
    pub fn can_complete(&self, selection: &Selection, positions: &[usize]) -> bool {
        let mut span = selection.spans[0].clone();
        for position in positions {
            for column in &self.columns[*position][0] {
                if span.len() == self.redundant() {
                    return true;
                }
                if let Some(unit) = beyond(&span, column) {
                    span.push(unit);
                }
            }
        }
        span.len() == self.redundant()
    }

    /// A set as a selection; `None` if it frees a motion or names no candidate.
    pub fn selection(&self, set: &[Candidate]) -> Option<Selection> {
        set.iter()
            .try_fold(Selection::default(), |selection, wanted| {
                let position = self.candidates.iter().position(|c| c == wanted)?;
                self.with(&selection, position)
            })
    }

    /// Redundant constraints that releases of these joints alone can remove.
    pub fn rank_of_joints(&self, joints: &[usize]) -> usize {
        let mut span: Vec<Vec<f64>> = Vec::new();
        for (candidate, columns) in self.candidates.iter().zip(&self.columns) {
            if joints.contains(&candidate.joint) {
                for column in &columns[0] {
                    if let Some(unit) = beyond(&span, column) {
                        span.push(unit);
                    }
                }
            }
        }
        span.len()
    }

    /// Candidates at positions, ascending.
    pub fn candidates_at(&self, positions: &[usize]) -> Vec<Candidate> {
        let mut set: Vec<Candidate> = positions.iter().map(|k| self.candidates[*k]).collect();
        set.sort_unstable();
        set
    }

    /// The linkage with a set released.
    pub fn released(&self, set: &[Candidate]) -> Linkage {
        let mut linkage = self.linkage.clone();
        for candidate in set {
            let release = &mut linkage.joints[candidate.joint].release;
            match candidate.kind {
                ReleaseKind::Tilt => release.tilt = true,
                ReleaseKind::Axial => release.axial = true,
            }
        }
        linkage
    }

    /// A set, judged by the rank of the released linkage at both configurations.
    ///
    /// # Errors
    /// As [`checked_redundancy`].
    pub fn judge(&self, set: &[Candidate]) -> Result<SetVerdict, RedundancyError> {
        let linkage = self.released(set);
        let [first, second] = &self.configurations;
        let [found, _] = checked_redundancy(&linkage, [first, second], &self.options)?;
        let freed = (found.mobility > self.at[0].mobility)
            .then(|| freed_motion(&linkage, first, &self.options))
            .transpose()?;
        Ok(SetVerdict {
            released: self.at[0].constraints - found.constraints,
            redundant_left: found.redundant,
            mobility: found.mobility,
            freed,
        })
    }

    /// A set as a design file names it: one entry a joint.
    pub fn named(&self, set: &[Candidate]) -> Vec<NamedRelease> {
        self.released(set)
            .joints
            .iter()
            .filter(|joint| joint.release != Release::default())
            .map(|joint| NamedRelease {
                joint: joint.name.clone(),
                axial: joint.release.axial,
                tilt: joint.release.tilt,
            })
            .collect()
    }

    /// The set that a design file names.
    ///
    /// # Errors
    /// [`LinkageError::UnknownJoint`].
    pub fn candidates_of(&self, named: &[NamedRelease]) -> Result<Vec<Candidate>, LinkageError> {
        let mut set = Vec::new();
        for release in named {
            let joint = self.linkage.joint_named(&release.joint)?;
            for (free, kind) in [
                (release.tilt, ReleaseKind::Tilt),
                (release.axial, ReleaseKind::Axial),
            ] {
                if free {
                    set.push(Candidate { joint, kind });
                }
            }
        }
        set.sort_unstable();
        set.dedup();
        Ok(set)
    }

    /// How far a set of as many constraints as are redundant stays from freeing
    /// a motion over neighbouring configurations, each with its redundancy.
    ///
    /// # Theory
    /// With S the states and R the set, the set frees a motion where det S_R = 0.
    /// The sign of det S_R between neighbours k, k+1 is compared after carrying
    /// the one basis into the other by S_k S_{k+1}ᵀ; tangents turn with their
    /// bodies, so that this changes little from one to the next.
    pub fn along(&self, set: &[Candidate], range: &[Redundancy]) -> AlongRange {
        let mut result = AlongRange {
            margin: f64::INFINITY,
            at: 0,
            passes: None,
        };
        let mut before: Option<(f64, &Redundancy)> = None;
        for (index, here) in range.iter().enumerate() {
            if here.redundant == 0 {
                continue;
            }
            let columns: Vec<usize> = set.iter().flat_map(|c| columns_of(here, c)).collect();
            let square = here.stresses.select_columns(&columns);
            let gram = &square * square.transpose();
            let least = gram.symmetric_eigenvalues().min().max(0.0).sqrt();
            if least < result.margin {
                (result.margin, result.at) = (least, index);
            }
            if !square.is_square() {
                continue;
            }
            let determinant = square.determinant();
            if let Some((last, there)) = before {
                let carried = carry(there, here);
                if result.passes.is_none() && last * determinant * carried < 0.0 {
                    result.passes = Some(index - 1);
                }
            }
            before = Some((determinant, here));
        }
        result
    }
}

/// Determinant of the map between the bases of two neighbouring configurations.
fn carry(from: &Redundancy, to: &Redundancy) -> f64 {
    let map: DMatrix<f64> = &from.stresses * to.stresses.transpose();
    map.determinant()
}

fn columns_of(redundancy: &Redundancy, candidate: &Candidate) -> Vec<usize> {
    let kind = match candidate.kind {
        ReleaseKind::Tilt => ConstraintKind::Tilt,
        ReleaseKind::Axial => ConstraintKind::Axial,
    };
    redundancy
        .rows
        .iter()
        .enumerate()
        .filter(|(_, row)| row.joint == candidate.joint && row.kind == kind)
        .map(|(column, _)| column)
        .collect()
}

/// Unit part of a column beyond an orthonormal span; `None` if there is none.
fn beyond(span: &[Vec<f64>], column: &[f64]) -> Option<Vec<f64>> {
    let dot = |a: &[f64], b: &[f64]| -> f64 { a.iter().zip(b).map(|(x, y)| x * y).sum() };
    let mut rest = column.to_vec();
    for _ in 0..2 {
        for known in span {
            let along = dot(known, &rest);
            for (r, k) in rest.iter_mut().zip(known) {
                *r -= along * k;
            }
        }
    }
    let norm = dot(&rest, &rest).sqrt();
    (norm > INDEPENDENT).then(|| rest.into_iter().map(|r| r / norm).collect())
}
