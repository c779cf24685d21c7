//! Results to figures: SVG text for print and screen.
//!
//! A [`Figure`] takes plain numbers and becomes an SVG document of a given width and font
//! size ([`FigureStyle`]). Text stays text, colours survive grey printing, nothing is
//! rasterised, no other file is referenced, and equal input gives equal bytes. What the
//! drawing cannot show (thinned points, cut texts, values beyond the scale) is told in the
//! notes of the [`Drawing`] and in the SVG's description.
//!
//! | figure | answers |
//! | --- | --- |
//! | [`HeatMap`] | how a quantity depends on two variables, and where it cannot be had |
//! | [`LineChart`] | how it depends on one variable, and where it is best |
//! | [`Scatter`] | what the candidates trade against each other |
//! | [`DomeMap`] | how it varies over directions, and where it is worst |
//! | [`ResidualDome`] | where and which way measured points miss the model |
//! | [`StackedBars`] | what a whole is made of |
//! | [`MarginBars`] | how far the requirements are met |
//! | [`ToldParameters`] | which parameters a fit tells, which are off, which are held and why |
//!
//! # Example
//! ```
//! use calotte_plot::plot::{Axis, Figure, FigureStyle, LineChart, LinePanel, Plot, Series};
//! let figure = Figure {
//!     title: "Sag by polar angle".to_owned(),
//!     caption: "Sag of an invented arm under its own weight.".to_owned(),
//!     settings: vec![("load".to_owned(), "4 N".to_owned())],
//!     plot: Plot::LineChart(LineChart {
//!         x: Axis::new("Polar angle", "°"),
//!         y: Axis::new("Sag", "mm").from_zero(),
//!         panels: vec![LinePanel {
//!             series: vec![Series {
//!                 name: "two-arc arm".to_owned(),
//!                 x: vec![0.0, 30.0, 60.0, 90.0],
//!                 y: vec![Some(0.1), Some(0.2), None, Some(0.6)],
//!                 ..Series::default()
//!             }],
//!             ..LinePanel::default()
//!         }],
//!         aspect: 0.6,
//!         ..LineChart::default()
//!     }),
//! };
//! let drawing = figure.draw(&FigureStyle::journal_column())?;
//! assert!(drawing.svg.starts_with("<svg"));
//! # Ok::<(), calotte_plot::plot::PlotError>(())
//! ```

mod axis;
mod bars;
mod callout;
mod colour;
mod colour_scale;
mod contour_lines;
mod dome;
mod dome_map;
mod error;
mod figure;
mod geometry;
mod heat_map;
mod legend;
mod line_chart;
mod panel;
mod polyline;
mod residual_dome;
mod scatter;
mod sheet;
mod style;
mod svg;
mod text;
mod thinning;
mod ticks;
mod told_parameters;

pub use axis::{Axis, AxisKind};
pub use bars::{MarginBars, MarginRow, StackedBars, StackedRow};
pub use colour::{Colour, ColourMap};
pub use colour_scale::{Better, ColourScale};
pub use dome::Direction;
pub use dome_map::{DomeCell, DomeMap, DomeMark, DomeOutline, DomePanel, DomeRing, DomeView};
pub use error::PlotError;
pub use figure::{Drawing, Figure, Footing, Plot};
pub use heat_map::{BestCells, Contours, HeatMap, HeatPanel, NamedLine};
pub use line_chart::{LineChart, LinePanel, Series};
pub use residual_dome::{ResidualDome, ResidualPanel, ResidualRow};
pub use scatter::{Candidate, NamedPoint, PointGroup, Scatter, non_dominated};
pub use style::FigureStyle;
pub use told_parameters::{HeldBecause, ToldParameters, ToldRow, ToldState};
