//! Figures of the results folder.

mod dome;
mod frame;

use calotte::analysis::ring::{RingResult, pose_at};
use calotte::analysis::stage_curve::{StagePoint, best_stages, smaller_bearing};
use calotte::brief::{FamilyName, Objective};
use calotte::design::Design;
use calotte::search::Outcome;
use calotte::search::evaluate::{SEARCH_AROUND, SEARCH_RINGS};
use calotte::sphere;
use calotte_format::units::degrees;
use calotte_plot::plot::{
    Axis, AxisKind, Better, Candidate, Figure, LineChart, LinePanel, MarginBars, MarginRow,
    NamedPoint, Plot, PointGroup, Scatter, Series, StackedBars, StackedRow,
};

use super::explain;
use super::found::Found;
use crate::error::ReportError;
use calotte_format::words;
pub use frame::settings_words;
use frame::{analysis_grid, figure};

/// All figures with their file names, without folder and ending.
pub fn all(found: &Found) -> Result<Vec<(String, Figure)>, ReportError> {
    let mut figures = Vec::new();
    if let Some(range) = &found.analysis.working_range {
        figures.extend(dome::maps(found, range)?);
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

fn margins(found: &Found) -> Figure {
    let rows = found
        .analysis
        .rows
        .iter()
        .filter_map(|row| {
            // A limit of zero has no relative margin; its row stands in the table.
            let needed = row.needed.filter(|needed| *needed != 0.0)?;
            let sign = if row.at_least() { "≥" } else { "≤" };
            let percent = |value: f64| {
                let difference = if row.at_least() {
                    value - needed
                } else {
                    needed - value
                };
                if difference.abs() < 1e-9 * needed.abs() {
                    return 0.0;
                }
                // Without load the safety factor is infinite; the bar is cut long before.
                (100.0 * difference / needed.abs()).clamp(-1e6, 1e6)
            };
            let [limit, value] = words::limit_and_value(row);
            let judged = row.judged().ok();
            let nominal = row.got.as_ref().copied().ok();
            // A row judged by the worse end of its range shows that end.
            let worse = judged.filter(|judged| Some(*judged) != nominal);
            let (found, found_is) = match worse {
                Some(worse) => {
                    let [text, _] = words::apart(row.quantity, [worse, needed]);
                    (text, "at the worse end".to_string())
                }
                None => (value.unwrap_or("no value".to_string()), String::new()),
            };
            Some(MarginRow {
                name: words::row_name(row),
                needed: format!("{sign} {}", limit.unwrap_or_default()),
                found,
                found_is,
                margin_percent: judged.map(percent),
                nominal_percent: nominal.filter(|_| row.band.is_some()).map(percent),
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
        "Margin as a share of what is required: a bar is that of the value that is judged, the worse end of the range unless the brief asks for nominal values. The thin line is the range over the stated uncertainty, the dot on it the nominal value. A bar with two strokes and a line with an arrow go on beyond the edge at 100 %.".to_string(),
        &analysis_grid(found),
        Plot::MarginBars(MarginBars { rows }),
    )
}

/// Ratio of the stiffest to the softest number of stages from which a linear axis
/// would press one panel flat.
const LOGARITHMIC_FROM: f64 = 10.0;

fn stages(found: &Found) -> Figure {
    let x: Vec<f64> = found.curve.iter().map(|p| p.stages as f64).collect();
    let panel = |title: &str, value: fn(&StagePoint) -> Option<f64>| {
        let best = best_stages(&found.curve, value);
        LinePanel {
            title: title.to_string(),
            series: vec![Series {
                x: x.clone(),
                y: found
                    .curve
                    .iter()
                    .map(|p| value(p).map(|k| k / 1e3))
                    .collect(),
                best: best.and_then(|b| found.curve.iter().position(|p| p.stages == b)),
                best_label: best.map(|b| format!("best: {b}")).unwrap_or_default(),
                ..Series::default()
            }],
        }
    };
    let mut panels = vec![
        panel("Rigid joints", |p| p.rigid),
        panel("These joints", |p| p.real),
    ];
    if let Some(bearing) = smaller_bearing(&found.design) {
        panels.push(panel(&format!("Bearing {}", bearing.name), |p| p.smaller));
    }
    let values = || {
        let points = found.curve.iter();
        points.flat_map(|p| [p.rigid, p.real, p.smaller]).flatten()
    };
    let least = values().fold(f64::INFINITY, f64::min);
    let most = values().fold(0.0, f64::max);
    let plain = Axis::new("Minimum stiffness", "N/mm");
    let ideal = if found.design.is_built() {
        " With rigid joints: the ideal linkage, without bosses, pins and layers."
    } else {
        ""
    };
    let logarithmic = least > 0.0 && most > LOGARITHMIC_FROM * least;
    let (y, scale) = if logarithmic {
        (
            plain.with_kind(AxisKind::Logarithmic),
            " Logarithmic scale.",
        )
    } else {
        (plain.from_zero(), "")
    };
    let family = FamilyName::SCISSOR_LINKAGE.words();
    figure(
        found,
        "Minimum stiffness against the number of stages at equal reach",
        format!(
            "Minimum translational stiffness over the covered directions for {family}s of equal, unbent stages that share the chosen linkage's total arc; section, material, radius, bosses and tool as chosen.{ideal} A number without a point covers nothing or leaves no free length between the bosses. Other limits are not judged here.{scale}"
        ),
        "9 polar angles",
        Plot::LineChart(LineChart {
            x: Axis::new("Stages", "").with_kind(AxisKind::Integer),
            y,
            panels,
            aspect: 0.7,
        }),
    )
}

/// What no share falls on, and why.
pub(super) fn without_words(design: &Design, none: &[&str]) -> String {
    if none.is_empty() {
        return String::new();
    }
    let rigid = |cause: &str| match cause {
        "joints" => design.joints.stiffness.is_none(),
        "drives" => design
            .drives
            .each
            .iter()
            .all(|drive| drive.stiffness.is_none()),
        "base" => design.mount.support.is_none(),
        _ => false,
    };
    let named: Vec<String> = none
        .iter()
        .map(|cause| match *cause {
            "pins" if design.joints.parts.is_none() => "pins (none are described)".to_string(),
            cause if rigid(cause) => format!("{cause} (taken as rigid)"),
            cause => cause.to_string(),
        })
        .collect();
    format!(" No share falls on: {}.", named.join(", "))
}

/// What takes a share of the strain energy.
pub(super) const CAUSES: [&str; 5] = ["arcs", "joints", "pins", "drives", "base"];

/// The causes that take none of it at any of these places.
pub(super) fn without_share<'a>(
    rings: impl Iterator<Item = &'a RingResult> + Clone,
) -> Vec<&'static str> {
    let causes = CAUSES.into_iter().enumerate();
    let none = causes.filter(|(cause, _)| {
        let mut shares = rings.clone().map(|ring| ring.energy_shares[*cause]);
        shares.all(|share| share == 0.0)
    });
    none.map(|(_, cause)| cause).collect()
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
    let none = without_share(picked.iter().map(|place| &rings[*place]));
    let without = without_words(&found.design, &none);
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
        format!(
            "Shares of the strain energy under a force along the softest direction, at the inner edge, the middle and the outer edge of what is covered, and where the tool tip is softest.{without}"
        ),
        &analysis_grid(found),
        Plot::StackedBars(StackedBars {
            label: "Shares of the strain energy".to_string(),
            // Always all of them: a cause keeps its colour from one design to the next.
            parts: CAUSES.map(str::to_string).to_vec(),
            rows,
        }),
    )
}

/// Value of an objective in its axis's unit, if the search found one.
fn objective_value(outcome: &Outcome, objective: &Objective) -> Option<f64> {
    let factor = objective.quantity.unit().factor();
    let sign = if objective.maximise { 1.0 } else { -1.0 };
    outcome.score(objective).map(|score| sign * score * factor)
}

/// The candidates with values of both objectives, by class.
fn point_groups(found: &Found, first: &Objective, second: &Objective) -> Vec<PointGroup> {
    let mut groups: Vec<PointGroup> = Vec::new();
    for outcome in &found.outcomes {
        let values = [first, second].map(|objective| objective_value(outcome, objective));
        let [Some(x), Some(y)] = values else {
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
    groups
}

/// What a front figure shows, in words.
fn front_words(found: &Found, listed: usize, ringed: bool) -> String {
    let reading = if found.choice.feasible > 0 {
        format!(
            "Feasible are those that meet every limit as the search looks at them; those on the line do so by the whole analysis too. The line joins those for which no other is at least as good in both objectives and better in one; the ideal point has the best of each. The choice weighs all {} objectives.",
            found.brief.value.objectives.len()
        )
    } else if ringed {
        "None is feasible, so there is no front; the design shown in these results is ringed."
            .to_string()
    } else {
        "None is feasible, so there is no front; the design shown in these results has no values of both in the search.".to_string()
    };
    format!(
        "{listed} of {} {} have values of both; the others already fail a kinematic limit or repeat another. {reading}",
        found.outcomes.len(),
        if found.searched.is_some() {
            "candidates judged"
        } else {
            "combinations"
        }
    )
}

fn front(found: &Found, first: &Objective, second: &Objective) -> Figure {
    let groups = point_groups(found, first, second);
    let chosen = &found.outcomes[found.choice.chosen];
    let place = [first, second].map(|objective| objective_value(chosen, objective));
    let named: Vec<NamedPoint> = match place {
        [Some(x), Some(y)] => vec![NamedPoint {
            label: "choice".to_string(),
            x,
            y,
            chosen: true,
        }],
        _ => Vec::new(),
    };
    let axis = |objective: &Objective| {
        let quantity = objective.quantity;
        Axis::new(quantity.label(), quantity.unit().symbol())
    };
    let better = |objective: &Objective| {
        if objective.maximise {
            Better::More
        } else {
            Better::Less
        }
    };
    let listed = groups.iter().map(|g| g.points.len()).sum();
    figure(
        found,
        &format!(
            "Candidates: {} against {}",
            words::within(first.quantity.label()),
            words::within(second.quantity.label())
        ),
        front_words(found, listed, !named.is_empty()),
        &format!(
            "{SEARCH_RINGS} polar angles per candidate, worst azimuths by their equations ({SEARCH_AROUND} sampled among keep-outs)"
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
    let model = found.subject.model().ok()?;
    let range = found.analysis.working_range.as_ref()?;
    let second = range.second_for_polar(&model.kinematics.meridian, direction.polar)?;
    let pose = pose_at(model, second, direction.azimuth).ok()?;
    Some(pose.active.map(degrees))
}
