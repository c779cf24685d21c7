//! Results to plots, as bytes.
//!
//! The crate touches no file: it takes numbers and text and returns figures that stand alone.
//!
//! - [`plot`]: figures as SVG text, for print and screen.
//! - [`markup`]: text inside XML and HTML.
//! - [`number`]: numbers as people read them in figures and tables.

pub mod markup;
pub mod number;
pub mod plot;
