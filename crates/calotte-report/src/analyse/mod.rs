//! Everything about one design, in words and for programs.
//!
//! Parts: `asked` (what is asked of it), `words` (the screen), `configuration` (one
//! configuration on it), `document` (for programs), `layers` and `releases` (what a builder
//! may choose).

mod asked;
mod configuration;
mod document;
mod layers;
mod releases;
mod words;

pub use asked::{Asked, Single, configuration};
pub use document::{Choices, document};
pub use layers::{LayerChoice, layer_choices, layers_document, layers_text};
pub use releases::{releases_document, releases_text};
pub use words::{differences, text};
