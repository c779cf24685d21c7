//! Scatter of candidates in the plane of two objectives: infeasible ones in light grey, the
//! non-dominated front as a staircase, the choice and the ideal point marked.

mod front;

pub use front::non_dominated;

use super::axis::{Axis, Fringe, check_finite, extent, span};
use super::callout::Callout;
use super::colour::Colour;
use super::colour_scale::Better;
use super::error::PlotError;
use super::geometry::{Point, Rect};
use super::legend::{DotShape, Entry, Sample, cross, legend_rows};
use super::line_chart::say_empty;
use super::panel::{
    FrameLook, Margins, Panel, Plan, SharedAxis, check_aspect, frame_line, half_label_room,
    level_axis, level_heading, upright_axis, upright_axis_room,
};
use super::polyline::beads;
use super::sheet::Sheet;
use super::style::POINTS_PER_MM;
use super::svg::Stroke;
use super::thinning::{LARGE_MAX, UNTHINNED_MAX, thin};

/// Most groups of candidates in one scatter.
const GROUPS_MAX: usize = 6;
/// Diameter of a large dot, in font sizes.
const LARGE: f64 = 0.36;
/// Diameter of a small dot, in font sizes.
const SMALL: f64 = 0.24;

/// A scatter of candidates.
#[derive(Debug, Clone, PartialEq)]
pub struct Scatter {
    /// First objective.
    pub x: Axis,
    /// Second objective.
    pub y: Axis,
    /// Which way the first objective is better.
    pub x_better: Better,
    /// Which way the second objective is better.
    pub y_better: Better,
    /// Candidates by group, such as one group for each family of linkages.
    pub groups: Vec<PointGroup>,
    /// Join the candidates that are non-dominated in these two objectives.
    pub front: bool,
    /// Mark the ideal point: the best of each objective over all feasible candidates.
    pub ideal: bool,
    /// The chosen candidate and others worth a name.
    pub named: Vec<NamedPoint>,
    /// Height of the panel as a part of its width, 0.1 to 10.
    pub aspect: f64,
}

impl Default for Scatter {
    /// No candidate, less is better in both, height 0.7 of the width.
    fn default() -> Self {
        Self {
            x: Axis::default(),
            y: Axis::default(),
            x_better: Better::default(),
            y_better: Better::default(),
            groups: Vec::new(),
            front: true,
            ideal: true,
            named: Vec::new(),
            aspect: 0.7,
        }
    }
}

/// Candidates of one kind.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct PointGroup {
    /// Name in the legend.
    pub name: String,
    /// Candidates.
    pub points: Vec<Candidate>,
}

/// One candidate.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Candidate {
    /// Value of the first objective.
    pub x: f64,
    /// Value of the second objective.
    pub y: f64,
    /// Whether it meets all requirements.
    pub feasible: bool,
}

/// A candidate with a name.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct NamedPoint {
    /// Text beside the point.
    pub label: String,
    /// Value of the first objective.
    pub x: f64,
    /// Value of the second objective.
    pub y: f64,
    /// Whether this is the choice.
    pub chosen: bool,
}

impl Scatter {
    fn check(&self) -> Result<(), PlotError> {
        check_aspect(self.aspect)?;
        if self.groups.len() > GROUPS_MAX {
            return Err(PlotError::TooMany {
                what: "groups of candidates".to_owned(),
                found: self.groups.len(),
                allowed: GROUPS_MAX,
            });
        }
        for group in &self.groups {
            let name = |axis: &str| format!("candidates `{}`, {axis}", group.name);
            check_finite(&name("x"), group.points.iter().map(|p| p.x))?;
            check_finite(&name("y"), group.points.iter().map(|p| p.y))?;
        }
        check_finite("named candidates, x", self.named.iter().map(|p| p.x))?;
        check_finite("named candidates, y", self.named.iter().map(|p| p.y))
    }

    fn feasible(&self) -> Vec<[f64; 2]> {
        self.groups
            .iter()
            .flat_map(|g| &g.points)
            .filter(|p| p.feasible)
            .map(|p| [p.x, p.y])
            .collect()
    }

    pub(crate) fn draw(&self, sheet: &mut Sheet) -> Result<(), PlotError> {
        self.check()?;
        let all = || self.groups.iter().flat_map(|g| &g.points);
        let ends = |pick: fn(&Candidate) -> f64, named: fn(&NamedPoint) -> f64| {
            extent(all().map(pick).chain(self.named.iter().map(named)))
        };
        let x_span = span(&self.x, ends(|p| p.x, |p| p.x), Fringe::Fraction(0.04))?;
        let y_span = span(&self.y, ends(|p| p.y, |p| p.y), Fringe::Fraction(0.05))?;
        let height = sheet.width * 0.85 * self.aspect;
        let y = SharedAxis::new(sheet, &self.y, y_span, height, true);
        let x = SharedAxis::new(sheet, &self.x, x_span.clone(), sheet.width * 0.8, false);
        let margins = Margins {
            first: upright_axis_room(sheet, &self.y, &y.ticks),
            between: 0.0,
            last: half_label_room(sheet, &x.ticks).max(sheet.em * 0.4),
        };
        let plan = Plan::new(sheet, 1, margins);
        let x = SharedAxis::new(sheet, &self.x, x_span, plan.width, false);
        let frame = Rect::new(plan.left, sheet.y, plan.width, height);
        let panel = Panel {
            frame,
            x: &x.span,
            y: &y.span,
        };
        upright_axis(sheet, &panel, &self.y, &y.ticks, true, FrameLook::Ruled);
        let bottom = level_axis(sheet, &panel, &self.x, &x.ticks);
        frame_line(sheet, &frame, FrameLook::Ruled);
        let entries = self.data(sheet, &panel);
        sheet.y = bottom + sheet.em * 0.15;
        level_heading(sheet, &self.x, frame.left, frame.right);
        legend_rows(sheet, &entries, frame.left, sheet.right());
        Ok(())
    }

    /// Draws everything inside the frame and returns the legend.
    fn data(&self, sheet: &mut Sheet, panel: &Panel) -> Vec<Entry> {
        let mut entries = self.cloud(sheet, panel);
        if self.groups.iter().all(|g| g.points.is_empty()) {
            say_empty(sheet, &panel.frame);
        }
        let feasible = self.feasible();
        let members = non_dominated(&feasible, self.x_better, self.y_better);
        let mut obstacles = Vec::new();
        if self.front && !members.is_empty() {
            let places: Vec<Point> = members
                .iter()
                .map(|i| panel.place(feasible[*i][0], feasible[*i][1]))
                .collect();
            obstacles.extend(self.staircase(sheet, panel, &places));
            entries.push(Entry {
                sample: Sample::Line {
                    colour: sheet.palette.ink,
                    dash: Vec::new(),
                    marker: None,
                    cased: false,
                },
                text: "non-dominated in these two".to_owned(),
            });
        }
        let ideal = self.ideal_point(&feasible).filter(|_| self.ideal);
        if let Some([x, y]) = ideal.filter(|[x, y]| panel.holds(*x, *y)) {
            let at = panel.place(x, y);
            cross(sheet, at, sheet.em * 0.45, sheet.palette.ink);
            sheet.take(Rect::around(at, sheet.em, sheet.em));
            let callout = Callout {
                text: "ideal",
                anchors: &[at],
                clearance: sheet.em * 0.6,
                leader_start: sheet.em * 0.6,
                bounds: panel.frame,
                obstacles: &obstacles,
            };
            if !callout.draw(sheet) {
                entries.push(Entry {
                    sample: Sample::Cross(sheet.palette.ink),
                    text: "ideal".to_owned(),
                });
            }
        }
        self.name_points(sheet, panel, &mut obstacles);
        entries
    }

    fn ideal_point(&self, feasible: &[[f64; 2]]) -> Option<[f64; 2]> {
        let best = |axis: usize, better: Better| {
            feasible
                .iter()
                .map(|p| p[axis])
                .reduce(|a, b| if better.prefers(b, a) { b } else { a })
        };
        Some([best(0, self.x_better)?, best(1, self.y_better)?])
    }

    /// Draws the candidates, thinned where there are many, and returns their legend.
    fn cloud(&self, sheet: &mut Sheet, panel: &Panel) -> Vec<Entry> {
        let mut infeasible = Vec::new();
        let mut feasible = Vec::new();
        let mut outside = 0;
        for (group, list) in self.groups.iter().enumerate() {
            for candidate in &list.points {
                let place = panel.place(candidate.x, candidate.y);
                if !panel.holds(candidate.x, candidate.y) {
                    outside += 1;
                } else if candidate.feasible {
                    feasible.push((group, place));
                } else {
                    infeasible.push((group, place));
                }
            }
        }
        if outside > 0 {
            let note = format!("{outside} candidates lie outside the axes.");
            sheet.notes.push(note);
        }
        let inside = infeasible.len() + feasible.len();
        let (cell, [infeasible, feasible]) = thin([infeasible, feasible], sheet.em * 0.12);
        let drawn = infeasible.len() + feasible.len();
        if drawn < inside {
            let kept = if feasible.is_empty() {
                "one in each square"
            } else if feasible.len() <= LARGE_MAX {
                "every feasible one, and of the others one in each square"
            } else {
                "in each square one feasible and one that is not, squares"
            };
            sheet.notes.push(format!(
                "{inside} candidates are drawn as {drawn} dots: {kept} of {:.2} mm.",
                cell / POINTS_PER_MM
            ));
        }
        let diameter = if cell > 0.0 {
            (cell * 1.25).min(sheet.em * SMALL)
        } else {
            sheet.em * if drawn > LARGE_MAX { SMALL } else { LARGE }
        };
        let feasible_diameter = if feasible.len() <= LARGE_MAX {
            sheet.em * LARGE
        } else {
            diameter
        };
        let mut entries = Vec::new();
        sheet.svg.open("candidates");
        let grey = light_grey(sheet);
        let places: Vec<Point> = infeasible.iter().map(|(_, place)| *place).collect();
        sheet.svg.dots(&places, diameter, grey);
        for (group, list) in self.groups.iter().enumerate() {
            let of_group = feasible.iter().filter(|(g, _)| *g == group);
            let places: Vec<Point> = of_group.map(|(_, place)| *place).collect();
            let colour = sheet.palette.series[group];
            // Among very many dots a shape cannot be seen and costs bytes.
            let shape = if feasible.len() <= UNTHINNED_MAX {
                DotShape::of(group)
            } else {
                DotShape::Round
            };
            shape.draw(sheet, &places, feasible_diameter, colour);
            if !places.is_empty() && !list.name.is_empty() {
                entries.push(Entry {
                    sample: Sample::Dot(colour, shape, 0.6),
                    text: list.name.clone(),
                });
            }
        }
        sheet.svg.close();
        if !infeasible.is_empty() {
            entries.push(Entry {
                sample: Sample::Dot(grey, DotShape::Round, 0.6),
                text: "not feasible".to_owned(),
            });
        }
        entries
    }

    /// Joins the front's members, given in order along x, and returns what texts must keep
    /// off.
    fn staircase(&self, sheet: &mut Sheet, panel: &Panel, places: &[Point]) -> Vec<Rect> {
        let mut line: Vec<Point> = Vec::new();
        for place in places {
            if let Some(last) = line.last().copied() {
                // Up to the next member the worse of both holds: the step lies on the
                // dominated side.
                let corner = match self.x_better {
                    Better::Less => [place[0], last[1]],
                    Better::More => [last[0], place[1]],
                };
                line.push(corner);
            }
            line.push(*place);
        }
        let clipped: Vec<(Point, Point)> = line
            .windows(2)
            .filter_map(|pair| panel.frame.clip(pair[0], pair[1]))
            .collect();
        let casing = Stroke::solid(sheet.palette.paper, sheet.em * 0.24);
        sheet.svg.open("front");
        sheet.svg.strokes(&clipped, casing);
        sheet
            .svg
            .strokes(&clipped, Stroke::solid(sheet.palette.ink, sheet.em * 0.12));
        let members: Vec<Point> = places
            .iter()
            .copied()
            .filter(|p| panel.frame.grown(1e-6).contains(*p))
            .collect();
        if members.len() <= 60 {
            sheet.svg.dots(&members, sheet.em * 0.42, sheet.palette.ink);
        }
        sheet.svg.close();
        clipped
            .iter()
            .flat_map(|(a, b)| beads(&[*a, *b], sheet.em * 0.3))
            .collect()
    }

    fn name_points(&self, sheet: &mut Sheet, panel: &Panel, obstacles: &mut Vec<Rect>) {
        let inside: Vec<&NamedPoint> = self
            .named
            .iter()
            .filter(|p| panel.holds(p.x, p.y))
            .collect();
        for point in &inside {
            let at = panel.place(point.x, point.y);
            let (colour, radius) = if point.chosen {
                (sheet.palette.accent, sheet.em * 0.55)
            } else {
                (sheet.palette.ink, sheet.em * 0.4)
            };
            let casing = Stroke::solid(sheet.palette.paper, sheet.em * 0.34);
            sheet.svg.circle(at, radius, None, Some(casing));
            sheet.svg.circle(
                at,
                radius,
                None,
                Some(Stroke::solid(colour, sheet.em * 0.16)),
            );
            if point.chosen {
                sheet.svg.dots(&[at], sheet.em * 0.4, colour);
            }
            obstacles.push(Rect::around(at, radius * 2.2, radius * 2.2));
        }
        for point in inside {
            let at = panel.place(point.x, point.y);
            let callout = Callout {
                text: &point.label,
                anchors: &[at],
                clearance: sheet.em * 0.8,
                leader_start: sheet.em * 0.7,
                bounds: panel.frame,
                obstacles,
            };
            if !callout.draw(sheet) {
                sheet
                    .notes
                    .push(format!("A ringed candidate is “{}”.", point.label));
            }
        }
    }
}

/// Grey of infeasible candidates: visible, but behind everything.
fn light_grey(sheet: &Sheet) -> Colour {
    let mixed = |a: u8, b: u8| ((u16::from(a) + u16::from(b)) / 2) as u8;
    let (hatch, paper) = (sheet.palette.hatch, sheet.palette.rule);
    Colour {
        red: mixed(hatch.red, paper.red),
        green: mixed(hatch.green, paper.green),
        blue: mixed(hatch.blue, paper.blue),
    }
}
