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
pub use document::document;
pub use layers::{LayerChoice, layer_choices, layers_json, layers_text};
pub use releases::{releases_json, releases_text};
pub use words::{differences, text};
