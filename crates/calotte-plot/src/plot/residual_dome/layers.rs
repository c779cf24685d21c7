//! Layers of one dome of residuals: graticule, arrows, marks, crosses, texts.

use super::arrows::{Statistics, arrow, drawn, round_length};
use super::{ResidualDome, ResidualPanel, ResidualRow};
use crate::number::{fixed, shortest, significant};
use crate::plot::colour::{Colour, ColourMap};
use crate::plot::colour_scale::{ColourScale, Gradient};
use crate::plot::dome::{Ground, Projection};
use crate::plot::geometry::{Point, Rect};
use crate::plot::line_chart::say_empty;
use crate::plot::polyline::beads;
use crate::plot::sheet::Sheet;
use crate::plot::style::POINTS_PER_MM;
use crate::plot::svg::{Anchor, Stroke};
use crate::plot::text::{MIDDLE, width};

/// Longest arrow as a part of the rim's diameter.
const REACH: f64 = 0.2;
/// The same in distances between neighbours.
const REACH_NEIGHBOURS: f64 = 2.4;

/// Scale of the outward parts.
pub(super) fn outward_scale() -> ColourScale {
    ColourScale {
        map: ColourMap::Diverging,
        ..ColourScale::new("Outward part", "mm")
    }
}

/// One dome laid out on the sheet.
pub(super) struct Dome<'a> {
    pub rows: Vec<(&'a ResidualRow, Point)>,
    pub statistics: &'a Statistics,
    /// Where it stands.
    pub ground: Ground,
    /// Positions in `rows` of those that get a mark and an arrow.
    drawn: Vec<usize>,
    /// Side of the squares that keep one row each, pt; 0 where all are drawn.
    cell: f64,
    /// Points to a millimetre of residual; 0 where no part lies along the dome.
    scale: f64,
    /// Radius of a mark, pt.
    mark: f64,
    pub em: f64,
}

impl<'a> Dome<'a> {
    pub fn new(
        panel: &'a ResidualPanel,
        statistics: &'a Statistics,
        figure: &ResidualDome,
        side: &Rect,
        rim: [f64; 2],
        em: f64,
    ) -> Self {
        let projection = Projection::whole(figure.right_azimuth_deg);
        let ground = Ground::new(projection, figure.rim_deg(), side, rim);
        let rows: Vec<(&ResidualRow, Point)> = panel
            .rows
            .iter()
            .filter_map(|row| Some((row, ground.place(row.direction)?)))
            .collect();
        let used: Vec<usize> = (0..rows.len()).filter(|i| rows[*i].0.used).collect();
        let places: Vec<Point> = used.iter().map(|i| rows[*i].1).collect();
        let greatest = statistics
            .greatest
            .and_then(|(number, _)| used.iter().position(|i| rows[*i].0.number == number));
        let (cell, kept) = drawn(&places, greatest, em * 0.7);
        let drawn: Vec<usize> = kept.into_iter().map(|i| used[i]).collect();
        // Distance of neighbours spread evenly over the disc.
        let radius = ground.radius();
        let apart = radius * (std::f64::consts::PI / drawn.len().max(1) as f64).sqrt();
        let mut dome = Self {
            rows,
            statistics,
            ground,
            drawn,
            cell,
            scale: 0.0,
            mark: (apart * 0.25).clamp(em * 0.13, em * 0.22),
            em,
        };
        if statistics.along_max > 0.0 {
            let longest = (apart * REACH_NEIGHBOURS)
                .max(em * 1.8)
                .min(radius * 2.0 * REACH);
            dome.scale = longest / statistics.along_max;
            // Near the rim an arrow must not leave the panel.
            let bounds = dome.ground.frame.grown(-em * 0.1);
            for _ in 0..40 {
                if dome.drawn.iter().all(|i| bounds.contains(dome.tip(*i))) {
                    break;
                }
                dome.scale *= 0.92;
            }
        }
        dome
    }

    /// Where the arrow of a row ends.
    fn tip(&self, index: usize) -> Point {
        let (row, at) = self.rows[index];
        let [polar, azimuth] = self.ground.tangents(row.direction.azimuth_deg);
        let part = |axis: usize| polar[axis] * row.polar_mm + azimuth[axis] * row.azimuth_mm;
        [at[0] + part(0) * self.scale, at[1] + part(1) * self.scale]
    }

    fn shaft(&self) -> f64 {
        (self.mark * 0.7).min(self.em * 0.15)
    }

    fn head(&self) -> f64 {
        (self.mark * 2.8).min(self.em * 0.6)
    }

    /// Returns the polar angles of the circles, degrees.
    pub fn draw(&self, sheet: &mut Sheet, gradient: Option<&Gradient>) -> Vec<f64> {
        let polars = self.ground.graticule(sheet);
        if self.rows.is_empty() {
            say_empty(sheet, &self.ground.frame);
            self.ground.azimuth_labels(sheet, &[], 0.0);
            return polars;
        }
        self.small_crosses(sheet);
        let mut obstacles = self.arrows(sheet, gradient);
        let crosses = self.crosses(sheet);
        obstacles.extend(&crosses);
        let push = sheet.em * 0.6;
        self.ground.azimuth_labels(sheet, &obstacles, push);
        self.numbers(sheet, &obstacles, &crosses);
        // Where there is no room, the legend still tells the circles.
        self.ground.polar_labels(sheet, &polars, &obstacles, &[]);
        polars
    }

    /// Draws arrows, then marks on top of them, long ones last; returns what texts must keep
    /// off.
    fn arrows(&self, sheet: &mut Sheet, gradient: Option<&Gradient>) -> Vec<Rect> {
        let mut order = self.drawn.clone();
        order.sort_by(|a, b| {
            let [a, b] = [a, b].map(|i| self.rows[*i].0.length());
            a.total_cmp(&b)
        });
        let plain = sheet.palette.series[0];
        let colour = |row: &ResidualRow| gradient.map_or(plain, |g| g.colour(row.outward_mm));
        // A dark edge keeps the pale colours near zero visible.
        let edge = Stroke::solid(sheet.palette.ink, self.em * 0.05);
        let mut obstacles = Vec::new();
        sheet.svg.open("arrows");
        for index in &order {
            let (row, at) = self.rows[*index];
            let tip = self.tip(*index);
            if let Some(outline) = arrow(at, tip, self.shaft(), self.head()) {
                sheet.svg.polygon(&outline, Some(colour(row)), Some(edge));
                obstacles.extend(beads(&[at, tip], self.em * 0.4));
            }
        }
        sheet.svg.close();
        sheet.svg.open("marks");
        for index in &order {
            let (row, at) = self.rows[*index];
            self.mark(sheet, row, at, colour(row), edge);
            obstacles.push(Rect::around(at, self.mark * 2.4, self.mark * 2.4));
        }
        sheet.svg.close();
        if let Some((number, greatest)) = self.statistics.greatest
            && greatest > 0.0
            && let Some((_, at)) = self
                .rows
                .iter()
                .find(|(row, _)| row.used && row.number == number)
        {
            let radius = self.mark + self.em * 0.22;
            let casing = Stroke::solid(sheet.palette.paper, self.em * 0.26);
            let ring = Stroke::solid(sheet.palette.accent, self.em * 0.13);
            sheet.svg.open("maximum");
            sheet.svg.circle(*at, radius, None, Some(casing));
            sheet.svg.circle(*at, radius, None, Some(ring));
            sheet.svg.close();
            obstacles.push(Rect::around(*at, radius * 2.4, radius * 2.4));
        }
        obstacles
    }

    /// A disc outward, a square inward: the sign is seen in grey too.
    fn mark(&self, sheet: &mut Sheet, row: &ResidualRow, at: Point, fill: Colour, edge: Stroke) {
        let r = self.mark;
        if row.outward_mm >= 0.0 {
            sheet.svg.circle(at, r, Some(fill), Some(edge));
        } else {
            let corners = Rect::around(at, 1.85 * r, 1.85 * r).corners();
            sheet.svg.polygon(&corners, Some(fill), Some(edge));
        }
    }

    /// Draws an arrow of a round length with its length beside it, from the cursor down, which
    /// stays; `false` where nothing lies along the dome.
    pub fn key_arrow(&self, sheet: &mut Sheet, left: f64, room: f64) -> bool {
        if self.scale == 0.0 {
            return false;
        }
        let length = round_length(self.statistics.along_max);
        let points = length * self.scale;
        let text = format!("{} mm along the dome", key_number(length));
        let text = sheet.fitted(&text, sheet.small, room - points - sheet.em * 0.8);
        let whole = points + sheet.em * 0.5 + width(&text, sheet.small);
        let from = [
            left + (room - whole).max(0.0) / 2.0,
            sheet.y + sheet.em * 0.6,
        ];
        let to = [from[0] + points, from[1]];
        let ink = sheet.palette.ink;
        sheet.svg.open("key-arrow");
        if let Some(outline) = arrow(from, to, self.shaft(), self.head()) {
            sheet.svg.polygon(&outline, Some(ink), None);
        }
        let at = [to[0] + sheet.em * 0.5, to[1] + MIDDLE * sheet.small];
        let label = sheet.label(text, at, Anchor::Start);
        sheet.text(&label);
        sheet.svg.close();
        true
    }

    /// How many rows there are and how many of them are drawn.
    pub fn count_words(&self) -> Vec<String> {
        let statistics = self.statistics;
        let count = |number: usize| fixed(number as f64, 0);
        let mut words = Vec::new();
        if self.drawn.len() < statistics.used {
            words.push(format!(
                "{} of {} rows used are drawn: one per square of {} mm, and the largest",
                count(self.drawn.len()),
                count(statistics.used),
                significant(self.cell / POINTS_PER_MM, 2)
            ));
        } else if statistics.used > 0 {
            words.push(format!("{} rows used", count(statistics.used)));
        }
        if let Some((_, greatest)) = statistics.greatest_not_used {
            words.push(format!(
                "{} not used, up to {} mm",
                count(statistics.not_used),
                significant(greatest, 2)
            ));
        }
        words
    }
}

/// A round length without needless digits.
fn key_number(length: f64) -> String {
    if (1e-3..1e5).contains(&length) {
        shortest(length, 3)
    } else {
        significant(length, 1)
    }
}
