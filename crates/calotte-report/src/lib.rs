//! Results to what people and programs read: words, tables, pages and JSON.
//!
//! The crate touches no file: it takes results of crate `calotte` and returns text and bytes,
//! the same for the command line and the page.
//!
//! - [`cautions`]: what a reader must know before relying on the numbers.
//! - [`found`]: what measurements of a prototype say.
//! - [`html`]: a document of text, tables and figures in one file.
//! - [`results`]: results as JSON.

pub mod cautions;
pub mod found;
pub mod html;
pub mod results;
