//! A figure: what is drawn, what it says about itself, and how it becomes SVG.

use super::bars::{MarginBars, StackedBars};
use super::dome_map::DomeMap;
use super::error::PlotError;
use super::heat_map::HeatMap;
use super::line_chart::LineChart;
use super::residual_dome::ResidualDome;
use super::scatter::Scatter;
use super::sheet::Sheet;
use super::style::{FigureStyle, POINTS_PER_MM};
use super::told_parameters::ToldParameters;

/// A figure with everything a reader needs to judge it.
#[derive(Debug, Clone, PartialEq)]
pub struct Figure {
    /// Title: the SVG's `<title>`, drawn only where the style asks for it.
    pub title: String,
    /// Caption in whole sentences: opens the SVG's `<desc>`.
    pub caption: String,
    /// Names and values of all settings behind the figure, listed in the `<desc>`.
    pub settings: Vec<(String, String)>,
    /// What is drawn.
    pub plot: Plot,
}

/// The kinds of figure.
#[derive(Debug, Clone, PartialEq)]
pub enum Plot {
    /// Cells over two variables.
    HeatMap(HeatMap),
    /// Series over one variable.
    LineChart(LineChart),
    /// Candidates in a plane of two objectives.
    Scatter(Scatter),
    /// A scalar over directions.
    DomeMap(DomeMap),
    /// Residual vectors over directions.
    ResidualDome(ResidualDome),
    /// Shares of a whole.
    StackedBars(StackedBars),
    /// Margins to the requirements.
    MarginBars(MarginBars),
    /// Parameters of a fit.
    ToldParameters(ToldParameters),
}

/// Words that a figure carries wherever it is taken, below the drawing and in its `<desc>`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Footing {
    /// One sentence to be seen: broken into lines where it does not fit, never cut.
    pub seen: String,
    /// A paragraph for the `<desc>`; it stands behind the caption.
    pub described: String,
}

/// A finished figure.
#[derive(Debug, Clone, PartialEq)]
pub struct Drawing {
    /// SVG document, without an XML declaration, so that it can stand inside HTML.
    pub svg: String,
    /// Width, mm.
    pub width_mm: f64,
    /// Height, mm.
    pub height_mm: f64,
    /// What the reader must know and the drawing does not show, such as thinned points;
    /// also in the SVG's `<desc>`.
    pub notes: Vec<String>,
}

impl Figure {
    /// Draws the figure.
    ///
    /// Equal figure and style give equal bytes. Missing values (`None`, NaN, infinities)
    /// are shown as such; a figure without any value says so in place of the data.
    ///
    /// # Errors
    /// [`PlotError`] for lists of the wrong length, coordinates that are not finite or not
    /// in order, and a style that has no room for its letters.
    pub fn draw(&self, style: &FigureStyle) -> Result<Drawing, PlotError> {
        self.drawn(style, None)
    }

    /// Draws the figure with words below it.
    ///
    /// # Errors
    /// As [`Figure::draw`].
    pub fn draw_above(&self, style: &FigureStyle, footing: &Footing) -> Result<Drawing, PlotError> {
        self.drawn(style, Some(footing))
    }

    fn drawn(&self, style: &FigureStyle, footing: Option<&Footing>) -> Result<Drawing, PlotError> {
        style.check()?;
        let mut sheet = Sheet::new(style);
        if style.draw_title && !self.title.trim().is_empty() {
            let size = sheet.em * 1.15;
            let room = (sheet.right() - sheet.left()) / 1.07;
            let lines = sheet.wrapped(&self.title, size, room, 3);
            let left = sheet.left();
            sheet.paragraph(&lines, left, size, true);
            sheet.y += sheet.em * 0.7;
        }
        match &self.plot {
            Plot::HeatMap(plot) => plot.draw(&mut sheet)?,
            Plot::LineChart(plot) => plot.draw(&mut sheet)?,
            Plot::Scatter(plot) => plot.draw(&mut sheet)?,
            Plot::DomeMap(plot) => plot.draw(&mut sheet)?,
            Plot::ResidualDome(plot) => plot.draw(&mut sheet)?,
            Plot::StackedBars(plot) => plot.draw(&mut sheet)?,
            Plot::MarginBars(plot) => plot.draw(&mut sheet)?,
            Plot::ToldParameters(plot) => plot.draw(&mut sheet)?,
        }
        let mut caption = self.caption.clone();
        if let Some(footing) = footing {
            sheet.footing(&footing.seen);
            caption = format!("{} {}", caption.trim(), footing.described);
        }
        let (svg, height, notes) = sheet.finish(&self.title, &caption, &self.settings);
        Ok(Drawing {
            svg,
            width_mm: style.width_mm,
            height_mm: height / POINTS_PER_MM,
            notes,
        })
    }
}
