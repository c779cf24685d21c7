//! A computed map and what its cells say: values as shown, the best of them,
//! what is marked as not comparable.

use std::collections::BTreeMap;

use calotte::analysis::map::{Cell, NoValue, Variable, change, lines_of_equal_reach};
use calotte::brief::Brief;
use calotte::design::Design;
use calotte::elasticity::FewDigits;
use calotte::family::parameters::Capability;
use calotte::quantity::{Need, Quantity};
use calotte_format::safety::Safety;
use calotte_format::units::degrees;

use super::names;
use crate::input::Input;
use crate::notes::few_digits_words;
use crate::sides::{Mean, caution};
use calotte_format::map_request::{AxisValues, Request};
use calotte_format::words;

/// All that a map found.
pub struct Map {
    /// What was asked.
    pub request: Request,
    /// The cells, one row of x after the other.
    pub cells: Vec<Cell>,
    /// Designs of equal reach, one list for each line asked for.
    pub equal_reach: Vec<EqualReach>,
    /// The design whose other numbers stay.
    pub design: Input<Design>,
    /// Region and limits.
    pub brief: Option<Input<Brief>>,
}

/// Designs of one reach: for each value of one variable, the value of the other.
pub struct EqualReach {
    /// The reach, rad.
    pub level: f64,
    /// The variable that was solved for.
    pub solved: Variable,
    /// The variable whose values are gone through.
    pub along: Variable,
    /// One entry for each value of `along`.
    pub points: Vec<ReachPoint>,
}

/// A design on a line of equal reach.
pub struct ReachPoint {
    /// Value of the variable gone through, as shown.
    pub along: f64,
    /// Value of the solved variable, as shown, with the design's values there; `None`
    /// where the map's values do not enclose the reach.
    pub found: Option<(f64, Cell)>,
}

impl EqualReach {
    /// Values of a quantity (by its position) along the line, in its unit.
    pub fn values(&self, map: &Map, quantity: Quantity, real: bool) -> Vec<Option<f64>> {
        self.points
            .iter()
            .map(|point| {
                let (_, cell) = point.found.as_ref()?;
                map.value_of(cell, quantity, real)
            })
            .collect()
    }
}

/// Solves for the designs of equal reach of every line asked for.
pub fn equal_reach(design: &Design, request: &Request, cells: &[Cell]) -> Vec<EqualReach> {
    lines_of_equal_reach(&request.grid(design), cells, &request.lines)
        .into_iter()
        .map(|line| {
            let along = if line.along == request.x.variable {
                &request.x
            } else {
                &request.y
            };
            EqualReach {
                level: line.level,
                solved: line.solved,
                along: line.along,
                points: along
                    .shown
                    .iter()
                    .zip(line.points)
                    .map(|(along, point)| ReachPoint {
                        along: *along,
                        found: point
                            .map(|(value, cell)| (names::unit(line.solved).from_si(value), cell)),
                    })
                    .collect(),
            }
        })
        .collect()
}

impl Map {
    /// Who may be hurt by what.
    pub(super) fn safety(&self) -> Safety {
        let brief = self.brief.as_ref();
        Safety::of(
            &self.design.value,
            brief.is_none_or(|brief| brief.value.people_near),
        )
    }

    /// Cells in a row.
    pub fn columns(&self) -> usize {
        self.request.x.values.len()
    }

    /// A quantity of one cell, in its unit.
    pub fn value_of(&self, cell: &Cell, quantity: Quantity, real: bool) -> Option<f64> {
        let quantities = &self.request.task.quantities;
        let value = cell.values[quantities.iter().position(|q| *q == quantity)?];
        let factor = names::quantity(quantity, self.request.task.dimensionless).factor;
        let value = if real { value.real } else { value.rigid };
        value.map(|v| v * factor)
    }

    /// A quantity over all cells, in its unit.
    pub fn values(&self, quantity: Quantity, real: bool) -> Vec<Option<f64>> {
        self.cells
            .iter()
            .map(|cell| self.value_of(cell, quantity, real))
            .collect()
    }

    /// The same, only where cells compare.
    pub fn comparable(&self, quantity: Quantity, real: bool) -> Vec<Option<f64>> {
        let masked = self.is_masked(quantity);
        self.cells
            .iter()
            .map(|cell| {
                self.value_of(cell, quantity, real)
                    .filter(|_| !masked || cell.reaches_region)
            })
            .collect()
    }

    /// Whether cells that do not reach the region are marked for a quantity: its values
    /// are the worst over what is reached, and some cells reach the region.
    pub fn is_masked(&self, quantity: Quantity) -> bool {
        let one_place = self.request.at_polar_angles() && quantity.is_of_directions();
        quantity.facts().at_equal_reach
            && !one_place
            && self.cells.iter().any(|cell| cell.reaches_region)
    }

    /// What "does not reach the region" means here.
    pub fn short_of_region(&self) -> String {
        let requirements = &self.request.task.requirements;
        match requirements.coverage_min {
            Some(needed) => format!("coverage below {}", words::number(needed, 3)),
            None => "region's edge not reached".to_string(),
        }
    }

    /// Why cells are marked for a quantity, with their number.
    pub fn marked(&self, quantity: Quantity) -> Vec<(String, usize)> {
        let mut counts: BTreeMap<String, usize> = BTreeMap::new();
        let masked = self.is_masked(quantity);
        for cell in &self.cells {
            let why = match (self.value_of(cell, quantity, true), &cell.reason) {
                (None, reason) => reason
                    .as_ref()
                    .map_or("no value", NoValue::kind)
                    .to_string(),
                (Some(_), _) if masked && !cell.reaches_region => self.short_of_region(),
                _ => continue,
            };
            *counts.entry(why).or_default() += 1;
        }
        counts.into_iter().collect()
    }

    /// Headings of the panels of a quantity, and whether each has the design's joints.
    pub fn panels(&self, quantity: Quantity) -> Vec<(&'static str, bool)> {
        if self.is_built() {
            return vec![("Ideal linkage", false), ("With bearings and layers", true)];
        }
        let twice = quantity.needs(Need::Joints) && self.design.value.joints.stiffness.is_some();
        if twice {
            vec![("Rigid joints", false), ("These joints", true)]
        } else {
            vec![("", true)]
        }
    }

    /// Whether every quantity stands beside that of the ideal linkage: rigid joints, all
    /// bars on one sphere.
    pub fn is_built(&self) -> bool {
        self.design.value.is_built()
    }

    /// Position of the best comparable cell in each row.
    pub fn best_of_rows(&self, quantity: Quantity, real: bool) -> Vec<Option<usize>> {
        self.comparable(quantity, real)
            .chunks(self.columns())
            .map(|row| best(row, quantity))
            .collect()
    }

    /// Where the number of stages is varied: its axis, the other one, and for each
    /// value of the other the places of its cells, one for each number of stages.
    pub fn stage_groups(&self) -> Option<(&AxisValues, &AxisValues, Vec<Vec<usize>>)> {
        let (x, y) = (&self.request.x, &self.request.y);
        let (columns, rows) = (x.values.len(), y.values.len());
        let is_stages =
            |axis: &AxisValues| axis.variable == Variable::Stages && axis.values.len() > 1;
        if is_stages(x) {
            let row = |r: usize| (0..columns).map(|c| r * columns + c).collect();
            Some((x, y, (0..rows).map(row).collect()))
        } else if is_stages(y) {
            let column = |c: usize| (0..rows).map(|r| r * columns + c).collect();
            Some((y, x, (0..columns).map(column).collect()))
        } else {
            None
        }
    }

    /// Whether these cells have one reach, so that the best of them is fair.
    pub fn have_one_reach(&self, places: &[usize]) -> bool {
        let mut reaches = places.iter().filter_map(|i| self.cells[*i].reach);
        let first = reaches.next().unwrap_or_default();
        reaches.all(|reach| (reach - first).abs() < 1e-6)
    }

    /// What is said of left and right where they differ in what is mapped.
    pub(super) fn sides(&self) -> Option<String> {
        let mut design = self.design.value.clone();
        let changes = self.request.grid(&design).changes(0);
        // A first cell that cannot be made says nothing of the others.
        let _ = change(&mut design, &changes, &self.request.task.requirements);
        caution(&design, Mean::Everything)
    }

    /// Why no cell has any value; `None` where one has.
    pub fn without_answer(&self) -> Option<String> {
        let has = |cell: &Cell| cell.values.iter().any(|value| value.real.is_some());
        if self.cells.iter().any(has) {
            return None;
        }
        let mut reasons: BTreeMap<String, usize> = BTreeMap::new();
        for cell in &self.cells {
            let reason = cell.reason.as_ref();
            *reasons
                .entry(reason.map_or("no value".to_string(), NoValue::words))
                .or_default() += 1;
        }
        let said = reasons
            .into_iter()
            .map(|(reason, count)| format!("{count} of {} cells: {reason}", self.cells.len()));
        Some(said.collect::<Vec<_>>().join("; "))
    }

    /// What the reader must know before using the numbers.
    pub fn warnings(&self) -> Vec<String> {
        let mut list = Vec::new();
        let request = &self.request;
        list.extend(self.sides());
        let family = &self.design.value.family;
        if family.offers(Capability::Rings).is_err() {
            list.push(format!(
                "{}: all values over a region are sampled in cells of directions, the reach to ±1°",
                family.family_name().words()
            ));
        }
        let cells = self.cells.iter().filter_map(|cell| cell.few_digits);
        if let Some(few) = cells.clone().reduce(FewDigits::fewer) {
            list.push(format!(
                "in {} of {} cells {}",
                cells.count(),
                self.cells.len(),
                few_digits_words(&few)
            ));
        }
        let worst: Vec<&str> = request
            .task
            .quantities
            .iter()
            .filter(|q| {
                q.facts().at_equal_reach && !(request.at_polar_angles() && q.is_of_directions())
            })
            .map(|q| q.word())
            .collect();
        if !worst.is_empty() && !self.cells.iter().any(|cell| cell.reaches_region) {
            list.push(format!(
                "no cell reaches the region ({}): {} are over the part that each reaches, which differs from cell to cell",
                self.short_of_region(),
                worst.join(", ")
            ));
        }
        if request.at_polar_angles()
            && !request.task.quantities.iter().any(|q| q.is_of_directions())
        {
            list.push("no quantity shown is taken at a polar angle".to_string());
        }
        if !request.lines.is_empty() && self.equal_reach.is_empty() {
            list.push(format!(
                "neither {} nor {} is an angle of the bars: designs of equal reach are not solved for",
                request.x.variable.name(),
                request.y.variable.name()
            ));
        }
        for line in &self.equal_reach {
            if line.points.iter().all(|point| point.found.is_none()) {
                list.push(format!(
                    "no cell and no pair of neighbours has a reach of {}°",
                    names::number(degrees(line.level))
                ));
            }
        }
        let all_lack = self.cells.iter().all(|cell| cell.reason.is_some());
        let unsolved = self.cells.iter().find_map(|cell| match &cell.reason {
            Some(reason @ NoValue::NotSolved(_)) => Some(reason.words()),
            _ => None,
        });
        list.extend(unsolved.filter(|_| !all_lack));
        if all_lack && self.without_answer().is_none() {
            let reason = self.cells[0].reason.as_ref().map(NoValue::words);
            list.push(format!(
                "every cell lacks a value; the first: {}",
                reason.unwrap_or_default()
            ));
        }
        list
    }
}

/// Position of the best value, of equal ones the first; `None` where several values
/// are all the same.
pub fn best(values: &[Option<f64>], quantity: Quantity) -> Option<usize> {
    let known: Vec<f64> = values.iter().flatten().copied().collect();
    let same = known
        .iter()
        .all(|value| (value - known[0]).abs() <= 1e-9 * known[0].abs());
    if known.len() > 1 && same {
        return None;
    }
    let sign = if quantity.more_is_better() { 1.0 } else { -1.0 };
    values
        .iter()
        .enumerate()
        .filter_map(|(i, v)| v.map(|v| (i, sign * v)))
        .max_by(|a, b| a.1.total_cmp(&b.1).then(b.0.cmp(&a.0)))
        .map(|(i, _)| i)
}

/// Columns of a quantity: two where joints or layers change it, else one.
pub(super) fn columns(map: &Map, quantity: Quantity) -> Vec<(String, bool)> {
    let shown = names::quantity(quantity, map.request.task.dimensionless);
    let name = quantity.word().replace('-', "_");
    let column = |what: &str| match shown.suffix {
        "" => format!("{name}{what}"),
        suffix => format!("{name}{what}_{suffix}"),
    };
    if map.is_built() {
        vec![
            (column("_ideal"), false),
            (column("_with_bearings_and_layers"), true),
        ]
    } else if quantity.needs(Need::Joints) {
        vec![
            (column("_rigid_joints"), false),
            (column("_these_joints"), true),
        ]
    } else {
        vec![(column(""), true)]
    }
}

/// Why a line has no design at a value: the map's own values end before.
pub(super) fn outside(map: &Map, line: &EqualReach) -> String {
    let axis = if map.request.y.variable == line.solved {
        &map.request.y
    } else {
        &map.request.x
    };
    let ends = (axis.shown.first(), axis.shown.last());
    let (Some(first), Some(last)) = ends else {
        return String::new();
    };
    format!(
        "not with {} from {} to {}",
        line.solved.name(),
        names::number(*first),
        names::number(*last)
    )
}
