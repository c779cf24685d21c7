//! Where a linkage works, direction by direction: the way for what turns about no fixed
//! first axis, and a second way for what does.
//!
//! Everything here is sampled: the working range is what hangs together in cells of 2° of
//! the whole sphere and holds in directions of the region down to 1/16 of that. The error
//! stated with coverage and means is the area that stays undecided at the finest cells; a
//! hole narrower than the spacing of the samples is not seen, and nothing is proved.

use crate::design::DriveRange;
use crate::family::by_direction::{ByDirection, Placed};
use crate::sphere::{Direction, Region};

use super::cells::{Cell, Patches, cut};
use super::conditioning::{ConditioningSummary, Coverage, local_conditioning_index};
use super::inverse::exact;
use super::pose::{Kinematics, Pose};
use super::working_range::{Margins, WorkingRange, state_transmission};

/// Greatest side of a cell, rad (2°).
pub const CELL: f64 = std::f64::consts::PI / 90.0;
/// How often a cell on a border is cut in four.
pub const DEPTH: usize = 4;
/// Angles nearer than this to a singularity count as on it, rad.
const ON_SINGULARITY: f64 = 1e-9;
/// How far the nearest pose keeps from one, rad: on it nothing could be said of the pose.
const OFF_SINGULARITY: f64 = 1e-3;

/// A pose with its margins.
#[derive(Debug, Clone, PartialEq)]
pub struct Stand {
    /// The pose.
    pub pose: Pose,
    /// Which assembly, see [`Placed::branch`].
    pub branch: i8,
    /// Angle from the nearest type 1 singularity, rad; for what turns about a fixed axis
    /// the lesser of sin θ and |θ′| as an angle.
    pub type_one: f64,
    /// Transmission angle, rad; `None` where no type 2 singularity exists.
    pub transmission: Option<f64>,
}

/// A linkage asked by direction.
#[derive(Debug)]
pub struct Workspace {
    kinematics: Kinematics,
    how: How,
}

#[derive(Debug)]
enum How {
    Direct(Box<dyn ByDirection>),
    Rings(WorkingRange),
}

/// The one working range in cells.
#[derive(Debug, Clone, PartialEq)]
pub struct CellRange {
    patches: Patches,
    label: usize,
    branch: i8,
    margins: Margins,
    drive_range: DriveRange,
    /// Least and greatest polar angle of the range, to half a cell, rad.
    pub polar: [f64; 2],
    /// Area of the whole range, sr, to about a cell along its border.
    pub area: f64,
    /// Number of parts without connection that have the margins, this one included.
    pub parts: usize,
}

/// Least of a margin with the direction it was met in.
pub type LeastAt = (f64, Direction);

/// Conditioning, coverage and margins over a region, by cells.
#[derive(Debug, Clone, PartialEq)]
pub struct CellSummary {
    /// Conditioning and coverage.
    pub conditioning: ConditioningSummary,
    /// Direction of the least LCI.
    pub lci_min_at: Direction,
    /// What coverage may be off by: undecided area over required area.
    pub coverage_error: f64,
    /// What the GCI may be off by: the same, and what halving the samples changes.
    pub gci_error: f64,
    /// Least angle from type 1 sampled, rad.
    pub type_one: Option<LeastAt>,
    /// Least transmission angle sampled, rad.
    pub transmission: Option<LeastAt>,
    /// Cells that are covered.
    pub cells: usize,
}

impl Workspace {
    /// A linkage that is asked by direction; `None` for what turns about one fixed axis.
    pub fn of(kinematics: &Kinematics) -> Option<Self> {
        Some(Self {
            how: How::Direct(kinematics.by_direction()?),
            kinematics: kinematics.clone(),
        })
    }

    /// Any linkage, asked by direction in another way than its family's own.
    pub fn answered_by(kinematics: &Kinematics, by: Box<dyn ByDirection>) -> Self {
        Self {
            how: How::Direct(by),
            kinematics: kinematics.clone(),
        }
    }

    /// A linkage that turns about a fixed first axis, within one working range.
    pub fn of_rings(kinematics: &Kinematics, range: WorkingRange) -> Self {
        Self {
            kinematics: kinematics.clone(),
            how: How::Rings(range),
        }
    }

    /// The pose that points the tool along a direction of the base frame, whatever the
    /// margins; `None` out of reach and on a singularity.
    pub fn stand(&self, direction: Direction) -> Option<Stand> {
        match &self.how {
            How::Direct(by) => Some(self.stand_of(by.at(&direction.vector())?, direction)),
            How::Rings(range) => {
                let pose = exact(&self.kinematics, range, direction)?;
                let state = self.kinematics.meridian.state(pose.mechanism[1]);
                let nearest = state.polar.value.sin().abs().min(state.polar.first.abs());
                Some(Stand {
                    branch: 0,
                    type_one: nearest.min(1.0).asin(),
                    transmission: state_transmission(&state).map(|(angle, _)| angle),
                    pose,
                })
            }
        }
    }

    /// The pose at active joint angles, rad; where two assemblies are in the mode the
    /// linkage is used in, that of the range. `None` where there is none.
    pub fn forward(&self, active: [f64; 2], range: Option<&CellRange>) -> Option<Stand> {
        match &self.how {
            How::Direct(by) => {
                let branch = range.map_or(1, |range| range.branch);
                let mechanism = self.kinematics.mechanism_from_active(active);
                let placed = by.forward(mechanism, branch)?;
                let direction = Direction::of(&placed.tool);
                Some(self.stand_of(placed, direction))
            }
            How::Rings(_) => {
                let pose = self.kinematics.forward(active).ok()?;
                self.stand(pose.direction)
            }
        }
    }

    fn stand_of(&self, placed: Placed, direction: Direction) -> Stand {
        Stand {
            branch: placed.branch,
            type_one: placed.type_one,
            transmission: placed.type_two,
            pose: self.kinematics.pose_of(placed, direction),
        }
    }

    /// Whether a pose keeps margins and drive ranges.
    fn allows(&self, stand: &Stand, drive_range: &DriveRange, margins: &Margins) -> bool {
        let transmission = stand.transmission.unwrap_or(std::f64::consts::FRAC_PI_2);
        if matches!(self.how, How::Direct(_)) {
            let turned = [drive_range.first, drive_range.second]
                .into_iter()
                .zip(stand.pose.mechanism)
                .all(|(range, angle)| range.is_none_or(|range| within_turns(range, angle)));
            if !turned {
                return false;
            }
        }
        stand.type_one > ON_SINGULARITY
            && transmission > ON_SINGULARITY
            && transmission >= margins.transmission_angle_min
            && (margins.lci_min <= 0.0
                || local_conditioning_index(&stand.pose.jacobian) >= margins.lci_min)
    }

    /// The part without interruption that covers most of a region (base frame); `None`
    /// where nothing has the margins.
    pub fn range(
        &self,
        drive_range: &DriveRange,
        margins: &Margins,
        region: &Region,
    ) -> Option<CellRange> {
        let allowed = |direction: Direction| {
            self.stand(direction)
                .filter(|stand| self.allows(stand, drive_range, margins))
        };
        let patches = Patches::of(|direction| allowed(direction).map(|stand| stand.branch));
        let points = region.points();
        let worth = |label: usize| {
            let covered: f64 = if region.is_points() {
                points
                    .iter()
                    .map(Direction::of)
                    .filter(|point| patches.near(label, *point) && allowed(*point).is_some())
                    .count() as f64
            } else {
                patches
                    .cells(label)
                    .filter(|(direction, _)| region.contains(&direction.vector()))
                    .map(|(_, area)| area)
                    .sum()
            };
            let whole: f64 = patches.cells(label).map(|(_, area)| area).sum();
            (covered, whole)
        };
        let (label, _) = (0..patches.count)
            .map(|label| (label, worth(label)))
            .max_by(|(a, x), (b, y)| {
                x.0.total_cmp(&y.0).then(x.1.total_cmp(&y.1)).then(b.cmp(a))
            })?;
        let first = patches.cells(label).next()?.0;
        let branch = self.stand(first)?.branch;
        let half = 0.5 * CELL;
        let polar = patches
            .cells(label)
            .fold([f64::INFINITY, 0.0], |[lo, hi], (direction, _)| {
                [
                    lo.min(direction.polar - half),
                    hi.max(direction.polar + half),
                ]
            });
        Some(CellRange {
            polar,
            area: patches.cells(label).map(|(_, area)| area).sum(),
            parts: patches.count,
            patches,
            label,
            branch,
            margins: *margins,
            drive_range: *drive_range,
        })
    }

    /// The pose for a direction within a range; `None` outside of it.
    pub fn within(&self, range: &CellRange, direction: Direction) -> Option<Stand> {
        self.stand(direction)
            .filter(|stand| self.holds(range, stand))
    }

    fn holds(&self, range: &CellRange, stand: &Stand) -> bool {
        stand.branch == range.branch
            && self.allows(stand, &range.drive_range, &range.margins)
            && range.patches.near(range.label, stand.pose.direction)
    }

    /// The pose in the range nearest to a direction, looked for over the range's cells and
    /// 1e-3 rad off any singularity; with the angle to it, rad.
    pub fn nearest(&self, range: &CellRange, direction: Direction) -> Option<(Stand, f64)> {
        let target = direction.vector();
        let apart = |d: &Direction| crate::sphere::arc_between(&d.vector(), &target);
        let (nearest, _) = range
            .patches
            .cells(range.label)
            .min_by(|(a, _), (b, _)| apart(a).total_cmp(&apart(b)))?;
        // From the nearest middle towards the target, to the border.
        let from = nearest.vector();
        let point = |share: f64| Direction::of(&(from * (1.0 - share) + target * share));
        let (mut inside, mut outside) = (0.0, 1.0);
        for _ in 0..50 {
            let middle = 0.5 * (inside + outside);
            let met = self.within(range, point(middle));
            let off = |stand: &Stand| {
                let nearest = stand
                    .transmission
                    .map_or(stand.type_one, |two| two.min(stand.type_one));
                nearest >= OFF_SINGULARITY
            };
            if met.as_ref().is_some_and(off) {
                inside = middle;
            } else {
                outside = middle;
            }
        }
        let found = self.within(range, point(inside))?;
        let distance = apart(&found.pose.direction);
        Some((found, distance))
    }

    /// Conditioning, coverage and margins of a range over a region (base frame).
    pub fn summary(&self, range: &CellRange, region: &Region) -> CellSummary {
        if region.is_points() {
            return self.summary_of_points(range, region);
        }
        let cut = cut(region, CELL, DEPTH, |direction| {
            self.within(range, direction).is_some()
        });
        let mut sums = Sums::default();
        for cell in &cut.inside {
            sums.cell(self, range, cell);
        }
        let required = region.area();
        let error = cut.undecided / required;
        sums.finish(
            required,
            error,
            error + sums.rule_difference / required,
            cut.inside.len(),
        )
    }

    fn summary_of_points(&self, range: &CellRange, region: &Region) -> CellSummary {
        let mut sums = Sums::default();
        let points = region.points();
        let mut cells = 0;
        for point in points.iter().map(Direction::of) {
            if let Some(stand) = self.within(range, point) {
                let lci = sums.weigh(&stand, 1.0);
                sums.lower(&stand, lci);
                sums.covered += 1.0;
                cells += 1;
            }
        }
        sums.finish(region.area(), 0.0, 0.0, cells)
    }

    /// Directions of a grid over the covered part of a region, with their poses: `rings`
    /// polar angles from the least to the greatest of the region and the range, and about
    /// `around` azimuths on each.
    pub fn grid(
        &self,
        range: &CellRange,
        region: &Region,
        rings: usize,
        around: usize,
    ) -> Vec<Stand> {
        if region.is_points() {
            let points = region.points();
            return points
                .iter()
                .filter_map(|point| self.within(range, Direction::of(point)))
                .collect();
        }
        let Ok([lo, hi]) = region.polar_extent() else {
            return Vec::new();
        };
        let (lo, hi) = (lo.max(range.polar[0]), hi.min(range.polar[1]));
        if lo > hi {
            return Vec::new();
        }
        let count = rings.max(2);
        let edge = 1e-9 * (hi - lo);
        (0..count)
            .flat_map(|i| {
                let share = i as f64 / (count - 1) as f64;
                let polar = (lo + edge) + (hi - lo - 2.0 * edge) * share;
                let azimuths = region.azimuths_at(polar).samples(around);
                azimuths
                    .into_iter()
                    .map(move |azimuth| Direction { polar, azimuth })
            })
            .filter_map(|direction| self.within(range, direction))
            .collect()
    }
}

/// Whether an angle lies in a range, whole turns aside.
fn within_turns([lo, hi]: [f64; 2], angle: f64) -> bool {
    let turn = std::f64::consts::TAU;
    let above = (angle - lo).rem_euclid(turn);
    // Rounding at the lower end.
    above <= hi - lo + 1e-12 || turn - above < 1e-12
}

#[derive(Debug, Default)]
struct Sums {
    lci: f64,
    covered: f64,
    joint_lci: f64,
    joint: f64,
    rule_difference: f64,
    lci_min: Option<LeastAt>,
    type_one: Option<LeastAt>,
    transmission: Option<LeastAt>,
}

fn lesser(least: &mut Option<LeastAt>, value: f64, at: Direction) {
    if least.is_none_or(|(known, _)| value < known) {
        *least = Some((value, at));
    }
}

impl Sums {
    /// Takes a direction's index into the means, and returns it.
    fn weigh(&mut self, stand: &Stand, weight: f64) -> f64 {
        let lci = local_conditioning_index(&stand.pose.jacobian);
        self.lci += weight * lci;
        let determinant = stand.pose.jacobian.determinant().abs();
        if determinant > 0.0 {
            self.joint_lci += weight * lci / determinant;
            self.joint += weight / determinant;
        }
        lci
    }

    /// Takes a direction of the range into the least values.
    fn lower(&mut self, stand: &Stand, lci: f64) {
        let at = stand.pose.direction;
        lesser(&mut self.lci_min, lci, at);
        lesser(&mut self.type_one, stand.type_one, at);
        if let Some(transmission) = stand.transmission {
            lesser(&mut self.transmission, transmission, at);
        }
    }

    fn cell(&mut self, workspace: &Workspace, range: &CellRange, cell: &Cell) {
        self.covered += cell.area();
        let before = self.lci;
        for (direction, weight) in cell.gauss() {
            if let Some(stand) = workspace.stand(direction) {
                let lci = self.weigh(&stand, weight);
                // A smallest cell on the border may reach beyond it.
                if workspace.holds(range, &stand) {
                    self.lower(&stand, lci);
                }
            }
        }
        if let Some(middle) = workspace.stand(cell.middle()) {
            let one_point = local_conditioning_index(&middle.pose.jacobian) * cell.area();
            self.rule_difference += (self.lci - before - one_point).abs();
        }
    }

    fn finish(
        &self,
        required: f64,
        coverage_error: f64,
        gci_error: f64,
        cells: usize,
    ) -> CellSummary {
        let mean = |sum: f64, weight: f64| if weight > 0.0 { sum / weight } else { 0.0 };
        let pole = Direction {
            polar: 0.0,
            azimuth: 0.0,
        };
        let (lci_min, lci_min_at) = self.lci_min.unwrap_or((0.0, pole));
        CellSummary {
            conditioning: ConditioningSummary {
                gci: mean(self.lci, required),
                gci_reached: mean(self.lci, self.covered),
                gci_joint_weight: mean(self.joint_lci, self.joint),
                lci_min,
                lci_min_polar: lci_min_at.polar,
                coverage: Coverage {
                    fraction: mean(self.covered, required).clamp(0.0, 1.0),
                    required,
                    covered: self.covered,
                },
            },
            lci_min_at,
            coverage_error,
            gci_error,
            type_one: self.type_one,
            transmission: self.transmission,
            cells,
        }
    }
}
