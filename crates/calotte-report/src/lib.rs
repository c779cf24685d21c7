//! Results to what people and programs read: words, tables, figures, pages and JSON.
//!
//! The crate touches no file: it takes results of crate `calotte` and returns text and bytes,
//! the same for the command line and the page.
//!
//! - [`cautions`]: what a reader must know before relying on the numbers.
//! - [`safety`]: what can hurt someone, and what no result answers.
//! - [`summary`]: one analysis on one screen.
//! - [`design`], [`analyse`], [`compare`], [`map`], [`measure`]: what each of these jobs says.
//! - [`found`]: what measurements of a prototype say.
//! - [`prototype`]: the prototype that a design follows.
//! - [`html`]: a document of text, tables and figures in one file.
//! - [`input`], [`results`]: what a result was made of, and results as JSON.

pub mod analyse;
pub mod cautions;
pub mod compare;
pub mod design;
mod error;
pub mod found;
pub mod html;
pub mod input;
pub mod map;
pub mod measure;
mod notes;
pub mod prototype;
pub mod results;
pub mod safety;
pub mod sides;
pub mod summary;
pub mod supports;
mod text;
mod verdict;

pub use error::ReportError;
