//! Residual dome: residual vectors of measured points over the directions of the tool, seen
//! along the base axis in Lambert's azimuthal equal-area projection.

mod arrows;
mod crosses;
mod layers;

use super::axis::check_finite;
use super::colour_scale::{Gradient, colour_bar, colour_bar_height};
use super::dome::{Direction, check_directions};
use super::error::PlotError;
use super::geometry::Rect;
use super::legend::{Entry, Marker, Sample, legend_rows};
use super::panel::{Margins, PANELS_MAX, Plan, columns, panel_title};
use super::sheet::Sheet;
use super::text::width;
use crate::number::{shortest, significant};
use arrows::Statistics;
use layers::Dome;

/// Most rows of one panel.
const ROWS_MAX: usize = 100_000;
/// Widest dome, in font sizes.
const SIDE_MAX: f64 = 34.0;
/// Step to which the rim is rounded up, degrees.
const RIM_STEP_DEG: f64 = 15.0;

/// Residual vectors over the dome, one or more panels seen along the base axis.
///
/// Arrows show the part along the dome, magnified by the same factor in both directions;
/// the colour and the shape of the mark show the part outward. Each panel has scales of its
/// own, and says them: residuals before and after a fit differ many times over.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct ResidualDome {
    /// Panels, side by side where the width allows.
    pub panels: Vec<ResidualPanel>,
    /// Azimuth that points right, degrees.
    pub right_azimuth_deg: f64,
    /// Says in words from where the dome is seen; drawn below the panels.
    pub note: String,
}

/// One dome of residuals.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct ResidualPanel {
    /// Heading, such as "As designed"; empty for none.
    pub title: String,
    /// Measured rows.
    pub rows: Vec<ResidualRow>,
}

/// The residual of one measured row, measured less predicted.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct ResidualRow {
    /// The row's number in its list.
    pub number: usize,
    /// Direction of the tool in the base frame.
    pub direction: Direction,
    /// Component along growing polar angle, mm.
    pub polar_mm: f64,
    /// Component along growing azimuth, right-handed about the base axis, mm.
    pub azimuth_mm: f64,
    /// Component outward, mm.
    pub outward_mm: f64,
    /// Whether the fit used the row; one that it did not is crossed, without an arrow.
    pub used: bool,
}

impl ResidualRow {
    /// Length of the part along the dome, mm.
    fn along(&self) -> f64 {
        self.polar_mm.hypot(self.azimuth_mm)
    }

    /// Length of the residual, mm.
    fn length(&self) -> f64 {
        self.along().hypot(self.outward_mm)
    }
}

impl ResidualDome {
    fn check(&self) -> Result<(), PlotError> {
        let too_many = |what: &str, found, allowed| PlotError::TooMany {
            what: what.to_owned(),
            found,
            allowed,
        };
        if self.panels.len() > PANELS_MAX {
            return Err(too_many("panels", self.panels.len(), PANELS_MAX));
        }
        check_finite("azimuth to the right", [self.right_azimuth_deg])?;
        for (index, panel) in self.panels.iter().enumerate() {
            let name = format!("panel {} `{}`", index + 1, panel.title);
            if panel.rows.len() > ROWS_MAX {
                return Err(too_many(&name, panel.rows.len(), ROWS_MAX));
            }
            for row in &panel.rows {
                let name = format!("{name}, row {}", row.number);
                check_directions(&name, [row.direction])?;
                check_finite(
                    &format!("{name}, residual along polar angle, along azimuth, outward"),
                    [row.polar_mm, row.azimuth_mm, row.outward_mm],
                )?;
            }
        }
        Ok(())
    }

    /// Polar angle of the rim: the farthest row's, rounded up, degrees.
    fn rim_deg(&self) -> f64 {
        let rows = self.panels.iter().flat_map(|panel| &panel.rows);
        let farthest = rows
            .map(|row| row.direction.polar_deg)
            .fold(None, |a, b| Some(a.map_or(b, |a: f64| a.max(b))));
        farthest.map_or(90.0, |polar| {
            let steps = (polar / RIM_STEP_DEG - 1e-9).ceil();
            (steps * RIM_STEP_DEG).clamp(RIM_STEP_DEG, 180.0)
        })
    }

    pub(crate) fn draw(&self, sheet: &mut Sheet) -> Result<(), PlotError> {
        self.check()?;
        if self.panels.is_empty() {
            sheet
                .notes
                .push("No panel was given: there is nothing to show.".to_owned());
            let (line, left, size) = (["No data".to_owned()], sheet.left(), sheet.em);
            sheet.paragraph(&line, left, size, false);
            return Ok(());
        }
        let across = columns(sheet, self.panels.len()) as f64;
        let room = sheet.right() - sheet.left() - across * SIDE_MAX * sheet.em;
        let spare = room.max(0.0) / 2.0;
        let margins = Margins {
            first: spare,
            between: sheet.em * 1.2,
            last: spare,
        };
        let plan = Plan::new(sheet, self.panels.len(), margins);
        let (mut entries, mut circles) = (Vec::new(), Vec::new());
        for row in self.panels.chunks(plan.columns) {
            circles = self.row(sheet, row, &plan, &mut entries)?;
        }
        entries.push(Entry {
            sample: Sample::Rule,
            text: self.circle_words(&circles),
        });
        let right = sheet.right();
        legend_rows(sheet, &entries, plan.left, right);
        let lines = sheet.wrapped(&self.note, sheet.small, plan.right() - plan.left, 3);
        if !lines.is_empty() {
            sheet.y += sheet.em * 0.25;
            let size = sheet.small;
            sheet.paragraph(&lines, plan.left, size, false);
        }
        Ok(())
    }

    fn circle_words(&self, circles: &[f64]) -> String {
        let list: Vec<String> = circles
            .iter()
            .map(|p| format!("{}°", shortest(*p, 1)))
            .collect();
        format!(
            "circles at polar {}, rim at {}°",
            list.join(", "),
            shortest(self.rim_deg(), 1)
        )
    }

    /// Panels side by side: heading, what the residuals are, dome, key arrow, colour bar.
    /// Returns the polar angles of the circles, degrees.
    fn row(
        &self,
        sheet: &mut Sheet,
        row: &[ResidualPanel],
        plan: &Plan,
        entries: &mut Vec<Entry>,
    ) -> Result<Vec<f64>, PlotError> {
        let lefts: Vec<f64> = (0..row.len()).map(|i| plan.column_left(i)).collect();
        if row.iter().any(|panel| !panel.title.is_empty()) {
            for (panel, left) in row.iter().zip(&lefts) {
                panel_title(sheet, &panel.title, *left, plan.width);
            }
            sheet.y += sheet.em * 1.4;
        }
        let statistics: Vec<Statistics> = row.iter().map(|p| Statistics::of(&p.rows)).collect();
        let texts: Vec<Vec<String>> = statistics.iter().map(size_words).collect();
        level_paragraphs(sheet, &texts, &lefts, plan.width);
        sheet.y += sheet.em * 0.3;
        let rim = [width("360°", sheet.small) + sheet.em * 0.3, sheet.em * 2.0];
        let top = sheet.y;
        let mut lowest = top;
        let (mut domes, mut circles) = (Vec::new(), Vec::new());
        for ((panel, statistics), left) in row.iter().zip(&statistics).zip(&lefts) {
            let gradient = panel.gradient(statistics)?;
            let side = Rect::new(*left, top, plan.width, plan.width);
            let dome = Dome::new(panel, statistics, self, &side, rim, sheet.em);
            circles = dome.draw(sheet, gradient.as_ref());
            lowest = lowest.max(dome.ground.frame.bottom);
            domes.push((dome, gradient));
        }
        sheet.y = lowest + sheet.em * 0.3;
        let keyed: Vec<bool> = domes
            .iter()
            .zip(&lefts)
            .map(|((dome, _), left)| dome.key_arrow(sheet, *left, plan.width))
            .collect();
        if keyed.contains(&true) {
            sheet.y += sheet.em * 1.5;
        }
        let mut barred = false;
        for ((_, gradient), left) in domes.iter().zip(&lefts) {
            if let Some(gradient) = gradient {
                colour_bar(sheet, gradient, *left, plan.width);
                barred = true;
            }
        }
        if barred {
            sheet.y += colour_bar_height(sheet) + sheet.em * 0.2;
        }
        let texts: Vec<Vec<String>> = domes.iter().map(|(dome, _)| dome.count_words()).collect();
        level_paragraphs(sheet, &texts, &lefts, plan.width);
        sheet.y += sheet.em * 0.3;
        for statistics in &statistics {
            for entry in legend(sheet, statistics) {
                if !entries.iter().any(|known| known.text == entry.text) {
                    entries.push(entry);
                }
            }
        }
        Ok(circles)
    }
}

impl ResidualPanel {
    /// Colours of the outward parts; `None` where there is none.
    fn gradient(&self, statistics: &Statistics) -> Result<Option<Gradient>, PlotError> {
        if statistics.outward_max == 0.0 {
            return Ok(None);
        }
        let used = self.rows.iter().filter(|row| row.used);
        let values = used.map(|row| Some(row.outward_mm));
        Gradient::new(&layers::outward_scale(), values).map(Some)
    }
}

/// Paragraphs side by side from the cursor down, which moves below the longest.
fn level_paragraphs(sheet: &mut Sheet, texts: &[Vec<String>], lefts: &[f64], room: f64) {
    let top = sheet.y;
    let mut lowest = top;
    for (sentences, left) in texts.iter().zip(lefts) {
        sheet.y = top;
        for sentence in sentences {
            let size = sheet.small;
            let lines = sheet.wrapped(sentence, size, room, 3);
            sheet.paragraph(&lines, *left, size, false);
        }
        lowest = lowest.max(sheet.y);
    }
    sheet.y = lowest;
}

/// How large the residuals of a panel are.
fn size_words(statistics: &Statistics) -> Vec<String> {
    let Some((number, greatest)) = statistics.greatest else {
        return Vec::new();
    };
    if greatest == 0.0 {
        return vec!["All residuals are 0.".to_owned()];
    }
    vec![format!(
        "rms {} mm, maximum {} mm (row {number})",
        significant(statistics.rms, 2),
        significant(greatest, 2)
    )]
}

fn legend(sheet: &Sheet, statistics: &Statistics) -> Vec<Entry> {
    let ink = sheet.palette.ink;
    let entry = |sample, text: &str| Entry {
        sample,
        text: text.to_owned(),
    };
    let mut entries = Vec::new();
    if statistics.outward_max > 0.0 {
        entries.push(entry(Sample::Mark(Marker::Disc, ink), "outward or none"));
        entries.push(entry(Sample::Mark(Marker::Square, ink), "inward"));
    }
    if statistics
        .greatest
        .is_some_and(|(_, greatest)| greatest > 0.0)
    {
        entries.push(entry(Sample::Ring(sheet.palette.accent), "maximum"));
    }
    if statistics.not_used > 0 {
        let words = if statistics.not_used <= crosses::NUMBERS_MAX {
            "not used, with its row number"
        } else {
            "not used, the largest with its row number"
        };
        entries.push(entry(Sample::SlantingCross(ink), words));
    }
    entries
}
