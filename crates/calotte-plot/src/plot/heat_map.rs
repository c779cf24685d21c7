//! Heat map: a value for every pair of two variables, with contour lines, lines of a second
//! quantity, and cells that cannot be reached.

mod cells;
mod lines;

use super::axis::{Axis, AxisKind, Fringe, Span, check_finite, extent, span};
use super::colour_scale::{ColourScale, Gradient, colour_bar, colour_bar_height};
use super::error::PlotError;
use super::geometry::{HatchDirection, Rect};
use super::legend::{Entry, Sample, legend_rows};
use super::panel::{
    FrameLook, Margins, PANELS_MAX, Panel, Plan, SharedAxis, check_aspect, columns, frame_line,
    half_label_room, level_axis, level_heading, panel_title, upright_axis, upright_axis_room,
};
use super::sheet::Sheet;

/// A heat map of one or more panels over the same two variables.
#[derive(Debug, Clone, PartialEq)]
pub struct HeatMap {
    /// Variable along the panels.
    pub x: Axis,
    /// Variable up the panels.
    pub y: Axis,
    /// What the colours mean; panels with a scale of their own override it.
    pub scale: ColourScale,
    /// Panels, side by side where the width allows.
    pub panels: Vec<HeatPanel>,
    /// Contour lines of the value shown.
    pub contours: Contours,
    /// Which cells are marked as best, by the scale's `better`.
    pub best: BestCells,
    /// What it means that a cell has no value; the legend's text for hatched cells.
    pub no_value: String,
    /// Print the values inside the cells where they fit.
    pub print_values: bool,
    /// Height of a panel as a part of its width, 0.1 to 10.
    pub aspect: f64,
}

impl Default for HeatMap {
    /// No panel, plain axes, height 0.7 of the width.
    fn default() -> Self {
        Self {
            x: Axis::default(),
            y: Axis::default(),
            scale: ColourScale::default(),
            panels: Vec::new(),
            contours: Contours::default(),
            best: BestCells::default(),
            no_value: String::new(),
            print_values: false,
            aspect: 0.7,
        }
    }
}

/// One panel of a heat map.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct HeatPanel {
    /// Heading; empty for none.
    pub title: String,
    /// Values of the x variable at the columns, growing.
    pub x: Vec<f64>,
    /// Values of the y variable at the rows, growing.
    pub y: Vec<f64>,
    /// Values, one row of x after the other, `x.len() * y.len()` of them; `None` where
    /// there is none.
    pub values: Vec<Option<f64>>,
    /// Lines of other quantities over the same cells.
    pub lines: Vec<NamedLine>,
    /// A colour scale of this panel's own; `None` shares the map's.
    pub scale: Option<ColourScale>,
}

/// A line on which a second quantity has a given value, such as "reach 94°".
#[derive(Debug, Clone, PartialEq, Default)]
pub struct NamedLine {
    /// Text beside the line.
    pub label: String,
    /// The second quantity at the panel's cells, in their order.
    pub values: Vec<Option<f64>>,
    /// Value the line follows.
    pub level: f64,
}

/// Contour lines of the value that the colours show.
#[derive(Debug, Clone, PartialEq, Default)]
pub enum Contours {
    /// None.
    #[default]
    None,
    /// About this many, at round values.
    About(usize),
}

/// Which cells are marked as best.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum BestCells {
    /// None.
    #[default]
    None,
    /// The best cell of each panel.
    Panel,
    /// The best cell of each row: the best x for every y.
    EachRow,
}

impl HeatMap {
    /// Checks the lists of every panel.
    fn check(&self) -> Result<(), PlotError> {
        if self.panels.len() > PANELS_MAX {
            return Err(PlotError::TooMany {
                what: "panels".to_owned(),
                found: self.panels.len(),
                allowed: PANELS_MAX,
            });
        }
        check_aspect(self.aspect)?;
        for (index, panel) in self.panels.iter().enumerate() {
            let name = format!("panel {} `{}`", index + 1, panel.title);
            check_growing(&format!("{name}, x"), &panel.x)?;
            check_growing(&format!("{name}, y"), &panel.y)?;
            let expected = panel.x.len() * panel.y.len();
            let lists = panel
                .lines
                .iter()
                .map(|line| (format!("{name}, line `{}`", line.label), line.values.len()))
                .chain([(format!("{name}, values"), panel.values.len())]);
            for (what, found) in lists {
                if found != expected {
                    return Err(PlotError::Length {
                        what,
                        expected,
                        found,
                    });
                }
            }
            let levels = panel.lines.iter().map(|line| line.level);
            check_finite(&format!("{name}, levels of its lines"), levels)?;
        }
        Ok(())
    }

    /// Colour scales: one for all panels without their own, then one per panel.
    fn gradients(&self) -> Result<(Option<Gradient>, Vec<Gradient>), PlotError> {
        let sharing = self.panels.iter().filter(|p| p.scale.is_none());
        let values = sharing.clone().flat_map(|p| p.values.iter().copied());
        let shared = if sharing.clone().next().is_some() {
            Some(Gradient::new(&self.scale, values)?)
        } else {
            None
        };
        let each: Result<Vec<Gradient>, PlotError> = self
            .panels
            .iter()
            .map(|panel| match (&panel.scale, &shared) {
                (None, Some(shared)) => Ok(shared.clone()),
                (own, _) => Gradient::new(
                    own.as_ref().unwrap_or(&self.scale),
                    panel.values.iter().copied(),
                ),
            })
            .collect();
        Ok((shared, each?))
    }

    pub(crate) fn draw(&self, sheet: &mut Sheet) -> Result<(), PlotError> {
        self.check()?;
        let (shared, gradients) = self.gradients()?;
        let x_span = self.axis_span(&self.x, |panel| &panel.x)?;
        let y_span = self.axis_span(&self.y, |panel| &panel.y)?;
        let across = columns(sheet, self.panels.len());
        let rough = sheet.width * 0.8 / across as f64;
        let height = rough * self.aspect;
        let y = SharedAxis::new(sheet, &self.y, y_span, height, true);
        let x = SharedAxis::new(sheet, &self.x, x_span.clone(), rough, false);
        let margins = Margins {
            first: upright_axis_room(sheet, &self.y, &y.ticks),
            between: sheet.em * 0.6 + 2.0 * half_label_room(sheet, &x.ticks),
            last: half_label_room(sheet, &x.ticks).max(sheet.em * 0.3),
        };
        let plan = Plan::new(sheet, self.panels.len(), margins);
        let x = SharedAxis::new(sheet, &self.x, x_span, plan.width, false);
        if let Some(gradient) = shared.filter(|g| !g.empty) {
            colour_bar(sheet, &gradient, plan.left, plan.right() - plan.left);
            sheet.y += colour_bar_height(sheet) + sheet.em * 0.5;
        }
        let mut canvas = Canvas {
            map: self,
            x,
            y,
            plan,
            height,
            entries: Vec::new(),
        };
        let numbered: Vec<(usize, &HeatPanel)> = self.panels.iter().enumerate().collect();
        for row in numbered.chunks(canvas.plan.columns) {
            canvas.row(sheet, row, &gradients)?;
        }
        if self.panels.is_empty() {
            sheet
                .notes
                .push("No panel was given: there is nothing to show.".to_owned());
            let line = ["No data".to_owned()];
            sheet.paragraph(&line, canvas.plan.left, sheet.em, false);
        }
        legend_rows(sheet, &canvas.entries, canvas.plan.left, sheet.right());
        Ok(())
    }

    fn axis_span(
        &self,
        axis: &Axis,
        values: impl Fn(&HeatPanel) -> &Vec<f64>,
    ) -> Result<Span, PlotError> {
        let mut ends = Vec::new();
        for panel in &self.panels {
            let list = values(panel);
            if axis.kind == AxisKind::Logarithmic
                && let Some(first) = list.first().filter(|v| **v <= 0.0)
            {
                return Err(PlotError::NotPositive {
                    what: format!("axis `{}`", axis.label),
                    value: *first,
                });
            }
            let edges = cells::edges(list, axis);
            ends.extend(
                edges
                    .first()
                    .copied()
                    .into_iter()
                    .chain(edges.last().copied()),
            );
        }
        span(axis, extent(ends), Fringe::None)
    }
}

/// What all panels of one heat map share while they are drawn.
struct Canvas<'a> {
    map: &'a HeatMap,
    x: SharedAxis<'a>,
    y: SharedAxis<'a>,
    plan: Plan,
    height: f64,
    entries: Vec<Entry>,
}

impl Canvas<'_> {
    fn row(
        &mut self,
        sheet: &mut Sheet,
        row: &[(usize, &HeatPanel)],
        gradients: &[Gradient],
    ) -> Result<(), PlotError> {
        if row.iter().any(|(_, panel)| !panel.title.is_empty()) {
            for (column, (_, panel)) in row.iter().enumerate() {
                let left = self.plan.column_left(column);
                let room = self.plan.stride - sheet.em * 0.5;
                panel_title(sheet, &panel.title, left, room.max(self.plan.width));
            }
            sheet.y += sheet.em * 1.45;
        }
        if row.iter().any(|(_, panel)| panel.scale.is_some()) {
            for (column, (index, panel)) in row.iter().enumerate() {
                let gradient = &gradients[*index];
                if panel.scale.is_some() && !gradient.empty {
                    let left = self.plan.column_left(column);
                    colour_bar(sheet, gradient, left, self.plan.width);
                }
            }
            sheet.y += colour_bar_height(sheet) + sheet.em * 0.5;
        }
        let top = sheet.y;
        let mut lowest = top;
        for (column, (index, panel)) in row.iter().enumerate() {
            let left = self.plan.column_left(column);
            let frame = Rect::new(left, top, self.plan.width, self.height);
            let bottom = self.panel(sheet, panel, &gradients[*index], frame, column == 0)?;
            lowest = lowest.max(bottom);
        }
        sheet.y = lowest + sheet.em * 0.15;
        let right = self.plan.column_left(row.len() - 1) + self.plan.width;
        level_heading(sheet, self.x.axis, self.plan.left, right);
        sheet.y += sheet.em * 0.3;
        Ok(())
    }

    fn panel(
        &mut self,
        sheet: &mut Sheet,
        data: &HeatPanel,
        gradient: &Gradient,
        frame: Rect,
        first: bool,
    ) -> Result<f64, PlotError> {
        let panel = Panel {
            frame,
            x: &self.x.span,
            y: &self.y.span,
        };
        upright_axis(
            sheet,
            &panel,
            self.y.axis,
            &self.y.ticks,
            first,
            FrameLook::Closed,
        );
        let bottom = level_axis(sheet, &panel, self.x.axis, &self.x.ticks);
        let grid = cells::Grid::new(data, self.map, &panel);
        if grid.fill(sheet, gradient) {
            let text = if self.map.no_value.is_empty() {
                "no value"
            } else {
                &self.map.no_value
            };
            self.entry(Sample::Hatch(HatchDirection::Rising), text);
        }
        let levels = match &self.map.contours {
            Contours::None => Vec::new(),
            Contours::About(count) => gradient.levels(*count),
        };
        let better = data.scale.as_ref().unwrap_or(&self.map.scale).better;
        if self.map.print_values {
            grid.print_values(sheet, gradient);
        }
        if let Some(text) = grid.mark_best(sheet, gradient, self.map.best, better) {
            self.entry(Sample::Ring(sheet.palette.ink), text);
        }
        let named = lines::NamedLines::new(sheet, &grid, data)?;
        lines::contours(sheet, &grid, gradient, &levels, &named.beads)?;
        for (sample, text) in named.draw(sheet) {
            self.entry(sample, &text);
        }
        frame_line(sheet, &frame, FrameLook::Closed);
        Ok(bottom)
    }

    fn entry(&mut self, sample: Sample, text: &str) {
        if !self.entries.iter().any(|entry| entry.text == text) {
            self.entries.push(Entry {
                sample,
                text: text.to_owned(),
            });
        }
    }
}

/// Checks that `values` are finite and grow.
fn check_growing(what: &str, values: &[f64]) -> Result<(), PlotError> {
    check_finite(what, values.iter().copied())?;
    match values.windows(2).position(|pair| pair[1] <= pair[0]) {
        None => Ok(()),
        Some(index) => Err(PlotError::NotAscending {
            what: what.to_owned(),
            index: index + 1,
            previous: values[index],
            value: values[index + 1],
        }),
    }
}
