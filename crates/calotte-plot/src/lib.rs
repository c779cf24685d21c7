//! Results to plots and pages, as bytes.
//!
//! The crate touches no file: it takes numbers and text and returns documents that stand
//! alone.
//!
//! - [`plot`]: figures as SVG text, for print and screen.
//! - [`html`]: a document of text, tables and such figures in one file.

pub mod html;
mod markup;
mod number;
pub mod plot;
