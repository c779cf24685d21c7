//! Dome map: a scalar over directions, in Lambert's azimuthal equal-area projection, seen
//! from outside.

mod layers;

use super::axis::check_finite;
use super::colour_scale::{ColourScale, Gradient, colour_bar, colour_bar_height};
use super::dome::{Direction, check_directions};
use super::error::PlotError;
use super::geometry::{HatchDirection, Rect};
use super::legend::{Entry, Sample, legend_rows};
use super::panel::{Margins, PANELS_MAX, Plan, columns, panel_title};
use super::sheet::Sheet;
use super::text::width;
use crate::number::shortest;
use layers::Dome;

/// A dome map of one or more panels seen along the same axis.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct DomeMap {
    /// What the colours mean, in all panels.
    pub scale: ColourScale,
    /// Panels, side by side where the width allows.
    pub panels: Vec<DomePanel>,
    /// From where the dome is seen.
    pub view: DomeView,
    /// Legend's text for cells that are not reached; empty gives "not reached".
    pub not_reached: String,
    /// Legend's text for excluded cells and zones; empty gives "excluded".
    pub excluded: String,
}

/// From where a dome is seen.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct DomeView {
    /// The axis that points at the viewer; the default looks straight at the pole.
    pub axis: Direction,
    /// Azimuth that points right when the pole is seen straight on, degrees.
    pub right_azimuth_deg: f64,
    /// Says in words from where the dome is seen; drawn below the map.
    pub note: String,
}

/// One dome.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct DomePanel {
    /// Heading; empty for none.
    pub title: String,
    /// Rings of cells.
    pub rings: Vec<DomeRing>,
    /// Lines, such as the edge of the required region.
    pub outlines: Vec<DomeOutline>,
    /// Zones to hatch, closed.
    pub excluded: Vec<Vec<Direction>>,
    /// Places with a text.
    pub marks: Vec<DomeMark>,
}

/// Cells side by side between two polar angles.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct DomeRing {
    /// Least and greatest polar angle, degrees.
    pub polar_deg: [f64; 2],
    /// Azimuth at which the first cell begins, degrees.
    pub azimuth_start_deg: f64,
    /// Cells of equal width all around, in the direction of growing azimuth.
    pub cells: Vec<DomeCell>,
}

/// What a cell shows.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub enum DomeCell {
    /// A value in the scale's unit; one that is not finite counts as not reached.
    Value(f64),
    /// Not reached: dotted grey.
    NotReached,
    /// Excluded: hatched.
    Excluded,
    /// Outside what is asked for: left empty.
    #[default]
    Outside,
}

/// A line over the dome.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct DomeOutline {
    /// Text in the legend; without one it is drawn like the outline before it.
    pub label: String,
    /// Corners; stretches between them run evenly in polar angle and azimuth.
    pub points: Vec<Direction>,
    /// Join the last corner to the first one.
    pub closed: bool,
}

/// A place with a text.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct DomeMark {
    /// Where.
    pub at: Direction,
    /// Text beside it, such as "worst 0.41 mm".
    pub label: String,
}

impl DomeCell {
    fn value(self) -> Option<f64> {
        match self {
            Self::Value(value) if value.is_finite() => Some(value),
            _ => None,
        }
    }

    fn is_not_reached(self) -> bool {
        match self {
            Self::Value(value) => !value.is_finite(),
            Self::NotReached => true,
            Self::Excluded | Self::Outside => false,
        }
    }
}

impl DomeMap {
    fn check(&self) -> Result<(), PlotError> {
        if self.panels.len() > PANELS_MAX {
            return Err(PlotError::TooMany {
                what: "panels".to_owned(),
                found: self.panels.len(),
                allowed: PANELS_MAX,
            });
        }
        check_directions("view axis", [self.view.axis])?;
        check_finite("view, azimuth to the right", [self.view.right_azimuth_deg])?;
        for (index, panel) in self.panels.iter().enumerate() {
            let name = format!("panel {} `{}`", index + 1, panel.title);
            for (number, ring) in panel.rings.iter().enumerate() {
                ring.check(&format!("{name}, ring {}", number + 1))?;
            }
            for outline in &panel.outlines {
                let what = format!("{name}, outline `{}`", outline.label);
                check_directions(&what, outline.points.iter().copied())?;
            }
            for zone in &panel.excluded {
                check_directions(&format!("{name}, excluded zone"), zone.iter().copied())?;
            }
            for mark in &panel.marks {
                check_directions(&format!("{name}, mark `{}`", mark.label), [mark.at])?;
            }
        }
        Ok(())
    }

    pub(crate) fn draw(&self, sheet: &mut Sheet) -> Result<(), PlotError> {
        self.check()?;
        let cells = || {
            let rings = self.panels.iter().flat_map(|p| &p.rings);
            rings.flat_map(|r| r.cells.iter().map(|c| c.value()))
        };
        let gradient = Gradient::new(&self.scale, cells())?;
        // A lone dome on a wide sheet need not fill it.
        let side_max = sheet.em * 34.0;
        let rim = width("360°", sheet.small) + sheet.em * 0.3;
        let across = columns(sheet, self.panels.len()) as f64;
        let spare = (sheet.right() - sheet.left() - across * side_max).max(0.0) / 2.0;
        let margins = Margins {
            first: spare,
            between: sheet.em * 0.8,
            last: spare,
        };
        let plan = Plan::new(sheet, self.panels.len(), margins);
        if !gradient.empty {
            colour_bar(sheet, &gradient, plan.left, plan.right() - plan.left);
            sheet.y += colour_bar_height(sheet) + sheet.em * 0.5;
        }
        if self.panels.is_empty() {
            sheet
                .notes
                .push("No panel was given: there is nothing to show.".to_owned());
            let line = ["No data".to_owned()];
            sheet.paragraph(&line, plan.left, sheet.em, false);
            return Ok(());
        }
        let polar_max_deg = layers::polar_max(&self.panels);
        let mut layout = Layout {
            plan: &plan,
            rim: [rim, sheet.em * 1.4],
            polar_max_deg,
            entries: Vec::new(),
        };
        for row in self.panels.chunks(plan.columns) {
            self.row(sheet, row, &mut layout, &gradient);
        }
        let mut entries = layout.entries;
        entries.push(Entry {
            sample: Sample::Rule,
            text: format!("rim at polar {}°", shortest(polar_max_deg, 1)),
        });
        let right = sheet.right();
        legend_rows(sheet, &entries, plan.left, right);
        self.note(sheet, &plan);
        Ok(())
    }

    fn row(&self, sheet: &mut Sheet, row: &[DomePanel], layout: &mut Layout, gradient: &Gradient) {
        let plan = layout.plan;
        if row.iter().any(|panel| !panel.title.is_empty()) {
            for (column, panel) in row.iter().enumerate() {
                panel_title(sheet, &panel.title, plan.column_left(column), plan.width);
            }
            sheet.y += sheet.em * 1.5;
        }
        let top = sheet.y;
        let mut lowest = top;
        for (column, panel) in row.iter().enumerate() {
            let side = Rect::new(plan.column_left(column), top, plan.width, plan.width);
            let dome = Dome::new(panel, &self.view, layout.polar_max_deg, &side, layout.rim);
            dome.draw(sheet, gradient);
            lowest = lowest.max(dome.ground.frame.bottom);
            for (sample, text) in self.legend(sheet, panel) {
                if !layout.entries.iter().any(|entry| entry.text == text) {
                    layout.entries.push(Entry { sample, text });
                }
            }
        }
        sheet.y = lowest + sheet.em * 0.4;
    }

    fn legend(&self, sheet: &Sheet, panel: &DomePanel) -> Vec<(Sample, String)> {
        let cells = || panel.rings.iter().flat_map(|r| r.cells.iter().copied());
        let or = |text: &str, default: &str| {
            if text.is_empty() {
                default.to_owned()
            } else {
                text.to_owned()
            }
        };
        let mut found = Vec::new();
        for (index, outline) in panel.outlines.iter().enumerate() {
            if !outline.label.is_empty() && outline.points.len() > 1 {
                let sample = Sample::Line {
                    colour: sheet.palette.ink,
                    dash: layers::outline_dash(&panel.outlines, index).to_vec(),
                    marker: None,
                    cased: true,
                };
                found.push((sample, outline.label.clone()));
            }
        }
        if cells().any(DomeCell::is_not_reached) {
            found.push((Sample::Dotted, or(&self.not_reached, "not reached")));
        }
        if !panel.excluded.is_empty() || cells().any(|c| c == DomeCell::Excluded) {
            let sample = Sample::Hatch(HatchDirection::Rising);
            found.push((sample, or(&self.excluded, "excluded")));
        }
        found
    }

    fn note(&self, sheet: &mut Sheet, plan: &Plan) {
        let room = plan.right() - plan.left;
        let lines = sheet.wrapped(&self.view.note, sheet.small, room, 3);
        if !lines.is_empty() {
            sheet.y += sheet.em * 0.25;
            let size = sheet.small;
            sheet.paragraph(&lines, plan.left, size, false);
        }
    }
}

/// What all panels of one dome map share while they are drawn.
struct Layout<'a> {
    plan: &'a Plan,
    /// Room for azimuth labels at the sides and at the ends, pt.
    rim: [f64; 2],
    polar_max_deg: f64,
    entries: Vec<Entry>,
}

impl DomeRing {
    fn check(&self, name: &str) -> Result<(), PlotError> {
        let [from, to] = self.polar_deg;
        check_directions(
            name,
            [from, to].map(|polar_deg| Direction {
                polar_deg,
                azimuth_deg: self.azimuth_start_deg,
            }),
        )?;
        if from >= to {
            return Err(PlotError::EmptyRange {
                what: format!("{name}, polar angle"),
                from,
                to,
            });
        }
        Ok(())
    }
}
