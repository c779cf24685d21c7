//! Pieces that every section of the page is made of.

use calotte_plot::plot::Drawing;

use crate::html::{Block, Section};

/// A figure as drawn, with its caption.
pub struct Drawn {
    /// File name without folder and ending.
    pub name: String,
    /// Title and caption.
    pub caption: String,
    /// Everything it was made with, in a sentence.
    pub settings: String,
    /// The drawing.
    pub drawing: Drawing,
}

/// A section.
pub(super) fn section(heading: &str, blocks: Vec<Block>) -> Section {
    Section {
        heading: heading.to_string(),
        blocks,
    }
}

/// The figure of a name with its caption, if it was drawn.
pub(super) fn drawn_block(drawn: &[Drawn], name: &str) -> Vec<Block> {
    drawn
        .iter()
        .filter(|d| d.name == name)
        .map(|d| Block::Figure {
            svg: d.drawing.svg.clone(),
            caption: [d.caption.as_str(), &d.drawing.notes.join(" "), &d.settings]
                .into_iter()
                .filter(|part| !part.is_empty())
                .collect::<Vec<_>>()
                .join(" "),
        })
        .collect()
}
