//! Figures of the results folder.

use calotte::analysis::ring::{RingResult, pose_at, solve_ring};
use calotte::analysis::stage_curve::best_stages;
use calotte::analysis::{Model, Requirements, RowKind};
use calotte::brief::{Objective, ObjectiveQuantity};
use calotte::design::Design;
use calotte::kinematics::WorkingRange;
use calotte::sphere::region::circle_outline;
use calotte::sphere::{self, Region, Shape};
use calotte::uncertain::Corner;
use calotte_format::units::degrees;
use calotte_report::plot::{
    Axis, AxisKind, Better, Candidate, ColourScale, Direction, DomeCell, DomeMap, DomeMark,
    DomeOutline, DomePanel, DomeRing, DomeView, Figure, LineChart, LinePanel, MarginBars,
    MarginRow, NamedPoint, Naming, Plot, PointGroup, Scatter, Series, StackedBars, StackedRow,
};
use rayon::prelude::*;

use super::{Found, explain};
use crate::failure::Failure;
use crate::words;

/// Sectors of a dome map.
const SECTORS: usize = 72;
/// Width of its rings, rad.
const RING_WIDTH: f64 = 2.0 * std::f64::consts::PI / 180.0;

/// All figures with their file names, without folder and ending.
pub fn all(found: &Found) -> Result<Vec<(String, Figure)>, Failure> {
    let mut figures = Vec::new();
    if let Some(range) = &found.analysis.working_range {
        let dome = Dome::solve(found, range)?;
        figures.push(("lci-over-dome".to_string(), dome.lci(found)));
        figures.push(("stiffness-over-dome".to_string(), dome.stiffness(found)));
        if !found.brief.value.loads.is_empty() {
            let name = "contact-deflection-over-dome".to_string();
            figures.push((name, dome.contact(found)));
        }
        if found.design.tool.mass.is_some() {
            figures.push(("sag-over-dome".to_string(), dome.sag(found)));
        }
    }
    figures.push(("margins".to_string(), margins(found)));
    figures.push(("stages".to_string(), stages(found)));
    if !found.analysis.rings.is_empty() {
        figures.push(("shares".to_string(), shares(found)));
    }
    let objectives = &found.brief.value.objectives;
    for (index, other) in objectives.iter().enumerate().skip(1) {
        let name = if index == 1 {
            "front".to_string()
        } else {
            format!("front-1-{}", index + 1)
        };
        figures.push((name, front(found, &objectives[0], other)));
    }
    Ok(figures)
}

/// What every caption says.
fn settings(found: &Found) -> Vec<(String, String)> {
    let design = &found.design;
    let pair = |name: &str, value: String| (name.to_string(), value);
    vec![
        pair("design", words::linkage(design)),
        pair("drive layout", words::drive_layout(design).to_string()),
        pair(
            "radius",
            format!("{} mm", words::three(design.joint_radius * 1e3)),
        ),
        pair("section", words::section(&design.section)),
        pair("material", design.material.name.clone()),
        pair("made by", format!("calotte {}", env!("CARGO_PKG_VERSION"))),
    ]
}

fn figure(found: &Found, title: &str, caption: String, plot: Plot) -> Figure {
    Figure {
        title: title.to_string(),
        caption,
        settings: settings(found),
        plot,
    }
}

fn shown(direction: sphere::Direction) -> Direction {
    Direction {
        polar_deg: direction.polar.to_degrees(),
        azimuth_deg: direction.azimuth.to_degrees(),
    }
}

/// One ring of cells: its edges, and its answers where it is reached.
struct Ring {
    edges: [f64; 2],
    solved: Option<RingResult>,
}

/// The dome, solved cell by cell.
struct Dome {
    rings: Vec<Ring>,
    model: Model,
    range: WorkingRange,
    region: Region,
}

impl Dome {
    fn solve(found: &Found, range: &WorkingRange) -> Result<Self, Failure> {
        let nominal: Design = found.design.at_corner(Corner::Nominal);
        let model = Model::new(&nominal).map_err(Failure::new)?;
        let region = found.analysis.region_in_base.clone();
        let azimuths: Vec<f64> = (0..SECTORS)
            .map(|k| sector_middle(k).to_radians())
            .collect();
        let loads = &Requirements::from_brief(&found.brief.value).loads;
        let rings = ring_edges(range, &region)
            .par_windows(2)
            .map(|pair| {
                let middle = 0.5 * (pair[0] + pair[1]);
                let solved = range
                    .second_for_polar(&model.kinematics.meridian, middle)
                    .and_then(|second| solve_ring(&model, second, &azimuths, loads).ok());
                Ring {
                    edges: [pair[0], pair[1]],
                    solved,
                }
            })
            .collect();
        Ok(Self {
            rings,
            model,
            range: range.clone(),
            region,
        })
    }

    /// Cells with a value of each reached direction.
    fn cells(&self, value: impl Fn(&RingResult, usize) -> f64) -> Vec<DomeRing> {
        self.rings
            .iter()
            .map(|ring| DomeRing {
                polar_deg: ring.edges.map(f64::to_degrees),
                azimuth_start_deg: 0.0,
                cells: (0..SECTORS)
                    .map(|sector| self.cell(ring, sector, &value))
                    .collect(),
            })
            .collect()
    }

    fn cell(
        &self,
        ring: &Ring,
        sector: usize,
        value: &impl Fn(&RingResult, usize) -> f64,
    ) -> DomeCell {
        let direction = sphere::Direction {
            polar: 0.5 * (ring.edges[0] + ring.edges[1]),
            azimuth: sector_middle(sector).to_radians(),
        };
        let vector = direction.vector();
        if self.region.is_excluded(&vector) {
            return DomeCell::Excluded;
        }
        if !self.region.is_points() && !self.region.contains(&vector) {
            return DomeCell::Outside;
        }
        match &ring.solved {
            Some(solved) => {
                let reached = self
                    .range
                    .azimuths(&self.model.kinematics.meridian, solved.second)
                    .contains(direction.azimuth);
                if reached {
                    DomeCell::Value(value(solved, sector))
                } else {
                    DomeCell::NotReached
                }
            }
            None => DomeCell::NotReached,
        }
    }

    fn map(
        &self,
        found: &Found,
        title: &str,
        scale: ColourScale,
        rings: Vec<DomeRing>,
        worst: Option<(sphere::Direction, String)>,
    ) -> Figure {
        let axis = sphere::Direction::of(&self.region.axis());
        let straight = axis.polar < 1e-6;
        let note = if straight {
            "Seen from outside along the base axis; azimuth 0° to the right.".to_string()
        } else {
            format!(
                "Seen from outside along the region's axis, {}.",
                words::place(axis, true)
            )
        };
        figure(
            found,
            title,
            format!(
                "Equal areas; {} rings, {SECTORS} sectors, base frame. Needed: {} of the region; covered: {}.",
                self.rings.len(),
                words::number(found.brief.value.coverage_min, 3),
                words::number(found.analysis.conditioning.coverage.fraction, 3)
            ),
            Plot::DomeMap(DomeMap {
                scale,
                panels: vec![DomePanel {
                    rings,
                    outlines: outlines(&self.region),
                    marks: worst
                        .map(|(direction, label)| DomeMark {
                            at: shown(direction),
                            label,
                        })
                        .into_iter()
                        .collect(),
                    ..DomePanel::default()
                }],
                view: DomeView {
                    axis: if straight {
                        Direction::default()
                    } else {
                        shown(axis)
                    },
                    right_azimuth_deg: 0.0,
                    note,
                },
                not_reached: "not covered".to_string(),
                excluded: "excluded by the brief".to_string(),
            }),
        )
    }

    fn lci(&self, found: &Found) -> Figure {
        let cells = self.cells(|ring, _| ring.lci);
        let worst = worst(found, |kind| *kind == RowKind::LciMin, "least");
        let scale = ColourScale {
            better: Better::More,
            ..ColourScale::new("Local conditioning index (LCI)", "")
        };
        self.map(found, "Conditioning over the dome", scale, cells, worst)
    }

    fn stiffness(&self, found: &Found) -> Figure {
        let cells = self.cells(|ring, _| ring.stiffness.least / 1e3);
        let worst = worst(found, |kind| *kind == RowKind::Stiffness, "least");
        let scale = ColourScale {
            better: Better::More,
            ..ColourScale::new("Least translational stiffness", "N/mm")
        };
        self.map(found, "Least stiffness over the dome", scale, cells, worst)
    }

    fn contact(&self, found: &Found) -> Figure {
        let cells = self.cells(|ring, sector| {
            let all = &ring.points[sector].contact;
            all.iter().copied().fold(0.0, f64::max) * 1e3
        });
        let worst = worst(
            found,
            |kind| matches!(kind, RowKind::ContactDeflection(_)),
            "worst",
        );
        let scale = ColourScale::new("Contact deflection, worst load case", "mm");
        self.map(
            found,
            "Contact deflection over the dome",
            scale,
            cells,
            worst,
        )
    }

    fn sag(&self, found: &Found) -> Figure {
        let cells = self.cells(|ring, sector| ring.points[sector].sag.norm() * 1e3);
        let worst = worst(found, |kind| *kind == RowKind::Sag, "worst");
        let scale = ColourScale::new("Sag by own weight", "mm");
        self.map(found, "Sag over the dome", scale, cells, worst)
    }
}

/// Place and label of the worst row of a kind: the same number as in the table.
fn worst(
    found: &Found,
    of_kind: impl Fn(&RowKind) -> bool,
    word: &str,
) -> Option<(sphere::Direction, String)> {
    found
        .analysis
        .rows
        .iter()
        .filter(|row| of_kind(&row.kind))
        .filter_map(|row| Some((row, *row.got.as_ref().ok()?, row.worst_at?)))
        .max_by(|a, b| {
            let sign = if a.0.kind.at_least() { -1.0 } else { 1.0 };
            (sign * a.1).total_cmp(&(sign * b.1))
        })
        .map(|(row, value, place)| {
            (
                place,
                format!("{word} {}", words::row_value(&row.kind, value)),
            )
        })
}

/// Middle of a sector, degrees.
fn sector_middle(sector: usize) -> f64 {
    (sector as f64 + 0.5) * 360.0 / SECTORS as f64
}

/// Edges of the rings: a plain grid, and every polar angle at which the region
/// or the reach begins or ends.
fn ring_edges(range: &WorkingRange, region: &Region) -> Vec<f64> {
    let far = region
        .polar_extent()
        .map_or(std::f64::consts::FRAC_PI_2, |[_, hi]| hi);
    let mut edges: Vec<f64> = (0..=(far / RING_WIDTH).ceil() as usize)
        .map(|i| (i as f64 * RING_WIDTH).min(far))
        .collect();
    edges.extend(region.polar_breaks());
    edges.extend([range.polar_min(), range.polar_max()]);
    edges.retain(|edge| (0.0..=far).contains(edge));
    edges.push(far);
    edges.sort_by(f64::total_cmp);
    edges.dedup_by(|a, b| (*a - *b).abs() < 1e-4);
    edges
}

fn outlines(region: &Region) -> Vec<DomeOutline> {
    let circle = |axis, angle: f64, label: &str| DomeOutline {
        label: label.to_string(),
        points: circle_outline(&axis, angle, 144)
            .iter()
            .map(|v| shown(sphere::Direction::of(v)))
            .collect(),
        closed: true,
    };
    let label = "required region";
    match &region.shape {
        Shape::Cap { axis, half_angle } => vec![circle(*axis, *half_angle, label)],
        Shape::Band {
            axis,
            polar_from,
            polar_to,
        } => vec![
            circle(*axis, *polar_from, ""),
            circle(*axis, *polar_to, label),
        ],
        Shape::Polygon(polygon) => {
            let corners = polygon.vertices();
            let points = (0..corners.len())
                .flat_map(|i| {
                    let (a, b) = (corners[i], corners[(i + 1) % corners.len()]);
                    // Great circles are no straight lines in polar angle and azimuth.
                    (0..24).map(move |k| {
                        let share = f64::from(k) / 24.0;
                        shown(sphere::Direction::of(&(a * (1.0 - share) + b * share)))
                    })
                })
                .collect();
            vec![DomeOutline {
                label: label.to_string(),
                points,
                closed: true,
            }]
        }
        Shape::Points(_) => Vec::new(),
    }
}

fn margins(found: &Found) -> Figure {
    let rows = found
        .analysis
        .rows
        .iter()
        .filter_map(|row| {
            let needed = row.needed?;
            let sign = if row.kind.at_least() { "≥" } else { "≤" };
            let percent = |value: f64| {
                let difference = if row.kind.at_least() {
                    value - needed
                } else {
                    needed - value
                };
                if difference.abs() < 1e-9 * needed.abs() {
                    return 0.0;
                }
                // Far beyond the limit the exact share means nothing.
                (100.0 * difference / needed).clamp(-200.0, 200.0)
            };
            Some(MarginRow {
                name: words::row_name(&row.kind),
                needed: format!("{sign} {}", words::row_value(&row.kind, needed)),
                found: match &row.got {
                    Ok(value) => words::row_value(&row.kind, *value),
                    Err(_) => "no value".to_string(),
                },
                margin_percent: row.got.as_ref().ok().map(|value| percent(*value)),
                band_percent: row.band.map(|[low, high]| {
                    let (a, b) = (percent(low), percent(high));
                    [a.min(b), a.max(b)]
                }),
            })
        })
        .collect();
    figure(
        found,
        "Margins to the requirements",
        "Margin as a share of what is needed, cut at ±200 %; the thin line is the spread over all bands of uncertainty.".to_string(),
        Plot::MarginBars(MarginBars { rows }),
    )
}

fn stages(found: &Found) -> Figure {
    let x: Vec<f64> = found.curve.iter().map(|p| p.stages as f64).collect();
    let panel = |title: &str, y: Vec<Option<f64>>, best: Option<usize>| LinePanel {
        title: title.to_string(),
        series: vec![Series {
            x: x.clone(),
            y,
            best: best.and_then(|b| found.curve.iter().position(|p| p.stages == b)),
            best_label: best.map(|b| format!("best: {b}")).unwrap_or_default(),
            ..Series::default()
        }],
        ..LinePanel::default()
    };
    let rigid = found
        .curve
        .iter()
        .map(|p| p.rigid.map(|k| k / 1e3))
        .collect();
    let real = found
        .curve
        .iter()
        .map(|p| p.real.map(|k| k / 1e3))
        .collect();
    figure(
        found,
        "Least stiffness against the number of stages at equal reach",
        "Least translational stiffness over the covered directions for equal, unbent stages that share the chosen linkage's total arc; section, material, radius, bosses and tool as chosen.".to_string(),
        Plot::LineChart(LineChart {
            x: Axis::new("Stages", "").with_kind(AxisKind::Integer),
            y: Axis::new("Least stiffness", "N/mm").from_zero(),
            panels: vec![
                panel("Rigid joints", rigid, best_stages(&found.curve, |p| p.rigid)),
                panel("These joints", real, best_stages(&found.curve, |p| p.real)),
            ],
            naming: Naming::Legend,
            aspect: 0.7,
        }),
    )
}

fn shares(found: &Found) -> Figure {
    let rings = &found.analysis.rings;
    let worst = rings
        .iter()
        .enumerate()
        .min_by(|a, b| a.1.stiffness.least.total_cmp(&b.1.stiffness.least))
        .map_or(0, |(i, _)| i);
    let mut picked = vec![0, rings.len() / 2, rings.len() - 1, worst];
    picked.sort_unstable();
    picked.dedup();
    let rows = picked
        .into_iter()
        .map(|i| StackedRow {
            name: format!(
                "polar {}{}",
                words::angle(rings[i].polar),
                if i == worst { ", softest" } else { "" }
            ),
            values: rings[i].energy_shares.iter().map(|s| Some(*s)).collect(),
        })
        .collect();
    figure(
        found,
        "Where the compliance comes from",
        "Shares of the strain energy under a force along the softest direction.".to_string(),
        Plot::StackedBars(StackedBars {
            label: "Strain energy by cause".to_string(),
            parts: ["arcs", "joints", "drives", "base"]
                .map(str::to_string)
                .to_vec(),
            rows,
        }),
    )
}

/// Label, unit and factor from SI of an objective.
fn objective_axis(quantity: ObjectiveQuantity) -> (&'static str, &'static str, f64) {
    match quantity {
        ObjectiveQuantity::Stiffness => ("Least stiffness", "N/mm", 1e-3),
        ObjectiveQuantity::Gci => ("GCI", "", 1.0),
        ObjectiveQuantity::LciMin => ("Least LCI", "", 1.0),
        ObjectiveQuantity::Coverage => ("Coverage", "", 1.0),
        ObjectiveQuantity::MovingMass => ("Moving mass", "kg", 1.0),
        ObjectiveQuantity::Sag => ("Sag", "mm", 1e3),
        ObjectiveQuantity::ContactDeflection => ("Contact deflection", "mm", 1e3),
        ObjectiveQuantity::HoldingTorque => ("Holding torque", "N·m", 1.0),
        ObjectiveQuantity::Joints => ("Joints", "", 1.0),
    }
}

fn front(found: &Found, first: &Objective, second: &Objective) -> Figure {
    let value = |outcome: &calotte::search::Outcome, objective: &Objective| {
        let (_, _, factor) = objective_axis(objective.quantity);
        let sign = if objective.maximise { 1.0 } else { -1.0 };
        outcome.score(objective).map(|score| sign * score * factor)
    };
    let mut groups: Vec<PointGroup> = Vec::new();
    for outcome in &found.outcomes {
        let (Some(x), Some(y)) = (value(outcome, first), value(outcome, second)) else {
            continue;
        };
        let name = explain::class_of(outcome);
        let point = Candidate {
            x,
            y,
            feasible: outcome.feasible(),
        };
        match groups.iter_mut().find(|group| group.name == name) {
            Some(group) => group.points.push(point),
            None => groups.push(PointGroup {
                name,
                points: vec![point],
            }),
        }
    }
    let chosen = &found.outcomes[found.choice.chosen];
    let named = match (value(chosen, first), value(chosen, second)) {
        (Some(x), Some(y)) => vec![NamedPoint {
            label: "choice".to_string(),
            x,
            y,
            chosen: true,
        }],
        _ => Vec::new(),
    };
    let axis = |objective: &Objective| {
        let (label, unit, _) = objective_axis(objective.quantity);
        Axis::new(label, unit)
    };
    let better = |objective: &Objective| {
        if objective.maximise {
            Better::More
        } else {
            Better::Less
        }
    };
    let listed = groups.iter().map(|g| g.points.len()).sum::<usize>();
    figure(
        found,
        "Candidates and their front",
        format!(
            "{listed} of {} combinations have values of both; the others already fail a kinematic limit. The line joins those not beaten in these two objectives.",
            found.outcomes.len()
        ),
        Plot::Scatter(Scatter {
            x: axis(first),
            y: axis(second),
            x_better: better(first),
            y_better: better(second),
            groups,
            front: true,
            ideal: true,
            named,
            aspect: 0.7,
        }),
    )
}

/// The joint angles at the worst place of a row, for commands that repeat it.
pub fn joints_at(found: &Found, direction: sphere::Direction) -> Option<[f64; 2]> {
    let model = Model::new(&found.design.at_corner(Corner::Nominal)).ok()?;
    let range = found.analysis.working_range.as_ref()?;
    let second = range.second_for_polar(&model.kinematics.meridian, direction.polar)?;
    let pose = pose_at(&model, second, direction.azimuth).ok()?;
    Some(pose.active.map(degrees))
}
