//! What a cell of a map says of a linkage that turns about no fixed first axis.

use crate::analysis::AnalysisOptions;
use crate::analysis::cells::CellsReport;
use crate::analysis::requirements::Requirements;
use crate::kinematics::conditioning::ConditioningSummary;
use crate::kinematics::workspace::Stand;
use crate::kinematics::{CellRange, Margins, Workspace};
use crate::sphere::{AzimuthSet, Direction, Region};
use crate::subject::Subject;

/// Working ranges by cells, with what they say of the region.
pub(super) struct ByCells {
    workspace: Workspace,
    region: Region,
    free: Option<CellRange>,
    elastic: Option<CellRange>,
    /// With the margins of the requirements.
    report: Option<CellsReport>,
    /// Whether all of the region is reached without margins, as far as cells can tell.
    reaches_all: bool,
}

/// Poses looked for.
pub(super) enum Poses {
    /// Those there are, one at least.
    Found(Vec<Stand>),
    /// None with the margins, some without.
    OnlyWithoutMargins,
    /// None at all.
    Nowhere,
}

/// The working range without margins; `None` where nothing is reached.
pub(super) fn free_range(workspace: &Workspace, subject: &Subject) -> Option<CellRange> {
    let drive_range = subject.motion.drive_range();
    workspace.range(drive_range, &Margins::default(), subject.region())
}

impl ByCells {
    /// Of a subject; `None` where everything turns about one fixed axis.
    pub(super) fn of(subject: &Subject, requirements: &Requirements) -> Option<Self> {
        let workspace = Workspace::of(subject.kinematics())?;
        let region = subject.region();
        let range =
            |margins: &Margins| workspace.range(subject.motion.drive_range(), margins, region);
        let free = free_range(&workspace, subject);
        let reaches_all = free.as_ref().is_some_and(|free| {
            let summary = workspace.summary(free, region);
            let short = 1.0 - summary.conditioning.coverage.fraction;
            short <= summary.coverage_error + 1e-9
        });
        let report =
            range(&requirements.margins).map(|range| CellsReport::of(&workspace, &range, region));
        Some(Self {
            elastic: range(&requirements.elastic_margins),
            region: region.clone(),
            free,
            report,
            reaches_all,
            workspace,
        })
    }

    /// Covered share of the region, 1.
    pub(super) fn coverage(&self) -> f64 {
        let covered = |report: &CellsReport| report.summary.conditioning.coverage.fraction;
        self.report.as_ref().map_or(0.0, covered)
    }

    /// Greatest polar angle without margins, to half a cell, rad.
    pub(super) fn reach(&self) -> Option<f64> {
        self.free.as_ref().map(|range| range.polar[1])
    }

    /// Whether all of the region is reached without margins, to the error of the cells.
    pub(super) fn reaches_all(&self) -> bool {
        self.reaches_all
    }

    /// What is covered with the margins; `None` where nothing is.
    pub(super) fn report(&self) -> Option<&CellsReport> {
        self.report.as_ref().filter(|_| self.coverage() > 0.0)
    }

    /// Conditioning over the region; `None` where nothing is covered.
    pub(super) fn conditioning(&self) -> Option<ConditioningSummary> {
        self.report().map(|report| report.summary.conditioning)
    }

    /// Poses at which elastic quantities are taken: over the region, or at one polar angle.
    pub(super) fn poses(&self, at_polar: Option<f64>, options: &AnalysisOptions) -> Poses {
        let elastic = self.elastic.as_ref();
        let Some(polar) = at_polar else {
            let grid = elastic.map(|range| {
                let (rings, around) = (options.rings, options.around);
                self.workspace.grid(range, &self.region, rings, around)
            });
            return grid
                .filter(|grid| !grid.is_empty())
                .map_or(Poses::Nowhere, Poses::Found);
        };
        let found = self.around(elastic, polar, options.around);
        if !found.is_empty() {
            return Poses::Found(found);
        }
        let free = self.around(self.free.as_ref(), polar, options.around);
        if free.is_empty() {
            Poses::Nowhere
        } else {
            Poses::OnlyWithoutMargins
        }
    }

    /// Poses at one polar angle: in the region where it is met, else all around.
    fn around(&self, range: Option<&CellRange>, polar: f64, around: usize) -> Vec<Stand> {
        let Some(range) = range else {
            return Vec::new();
        };
        let at = |azimuths: &AzimuthSet| -> Vec<Stand> {
            let azimuths = azimuths.samples(around);
            let directions = azimuths
                .into_iter()
                .map(|azimuth| Direction { polar, azimuth });
            directions
                .filter_map(|direction| self.workspace.within(range, direction))
                .collect()
        };
        let required = at(&self.region.azimuths_at(polar));
        if required.is_empty() {
            at(&AzimuthSet::full())
        } else {
            required
        }
    }
}
