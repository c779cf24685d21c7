//! A report as one HTML file that stands alone.
//!
//! No script, no font, no image file, no link out: the file can be mailed, archived and
//! printed. Figures are embedded as SVG, text is escaped, colours follow the reader's light
//! or dark setting with figures on white, and a print style sheet keeps figures and tables
//! whole.
//!
//! # Example
//! ```
//! use calotte_report::html::{Block, Cell, Column, HtmlDocument, Section, Status, Table, Verdict};
//! let document = HtmlDocument {
//!     title: "Head arm".to_owned(),
//!     lead: "An invented arm, for the example.".to_owned(),
//!     status: Some(Status {
//!         verdict: Verdict::Met,
//!         text: "Requirement met, 1 caution".to_owned(),
//!     }),
//!     sections: vec![Section {
//!         heading: "Margins".to_owned(),
//!         blocks: vec![
//!             Block::Table(Table {
//!                 columns: vec![Column::text("Quantity"), Column::number("Found", "mm")],
//!                 rows: vec![vec![
//!                     Cell::Text("Contact deflection".to_owned()),
//!                     Cell::Number { value: 0.41, decimals: 2 },
//!                 ]],
//!                 ..Table::default()
//!             }),
//!             Block::Cautions(vec!["Test one bar first.".to_owned()]),
//!         ],
//!     }],
//!     ..HtmlDocument::default()
//! };
//! let text = document.to_html()?;
//! assert!(text.starts_with("<!DOCTYPE html>"));
//! # Ok::<(), calotte_report::html::HtmlError>(())
//! ```

mod figure;
mod table;

pub use table::{Cell, Column, Table};

use calotte_plot::markup::escape;
use std::fmt::Write;

/// Style sheet, embedded in every document.
const STYLE: &str = include_str!("html/style.css");

/// What the browser may load: nothing but the embedded style.
const POLICY: &str = "default-src 'none'; style-src 'unsafe-inline'";

/// Documents of this many sections or more open with a list of them.
const CONTENTS_FROM: usize = 4;

/// A document.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct HtmlDocument {
    /// Title.
    pub title: String,
    /// What the document is about, in a sentence or two; empty for none.
    pub lead: String,
    /// Verdict above everything else.
    pub status: Option<Status>,
    /// Sections, in reading order.
    pub sections: Vec<Section>,
    /// Where the numbers come from (program version, input hash, seed); closes the document.
    pub provenance: Vec<(String, String)>,
}

/// The verdict of a document.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Status {
    /// How it came out.
    pub verdict: Verdict,
    /// In words: colour and sign only repeat them.
    pub text: String,
}

/// How a requirement came out.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Verdict {
    /// All requirements are met.
    Met,
    /// At least one is not met.
    NotMet,
    /// Nothing was required.
    #[default]
    None,
}

/// A section.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Section {
    /// Heading.
    pub heading: String,
    /// Contents, in reading order.
    pub blocks: Vec<Block>,
}

/// A piece of a section. All text is plain: it is escaped, never read as markup.
#[derive(Debug, Clone, PartialEq)]
pub enum Block {
    /// A paragraph.
    Paragraph(String),
    /// A heading within the section.
    Subheading(String),
    /// Points of a list.
    List(Vec<String>),
    /// Terms with what they mean or amount to.
    Definitions(Vec<(String, String)>),
    /// A table.
    Table(Table),
    /// A figure.
    Figure {
        /// SVG document, as [`Drawing::svg`](calotte_plot::plot::Drawing::svg) gives it.
        svg: String,
        /// Caption below it; empty for none.
        caption: String,
    },
    /// What the reader must not overlook.
    Cautions(Vec<String>),
    /// Small print.
    Notes(Vec<String>),
    /// Text with its own line breaks, such as a command or a file.
    Preformatted(String),
}

/// Why a document cannot be written.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum HtmlError {
    /// A row of a table does not have one cell for each column.
    #[error("table `{table}`, row {row}: {found} cells for {expected} columns")]
    RowLength {
        /// Caption of the table, or its first column.
        table: String,
        /// Row, from 1.
        row: usize,
        /// Number of columns.
        expected: usize,
        /// Number of cells.
        found: usize,
    },
    /// A figure is not an SVG document that stands alone.
    #[error("figure `{caption}` cannot be embedded: {reason}")]
    Figure {
        /// Caption of the figure.
        caption: String,
        /// What is wrong with it.
        reason: String,
    },
}

impl HtmlDocument {
    /// The document as HTML text. Equal input gives equal bytes.
    ///
    /// # Errors
    /// [`HtmlError`] for a table row of the wrong length and for a figure that is not SVG or
    /// refers to anything outside itself.
    pub fn to_html(&self) -> Result<String, HtmlError> {
        let mut html = String::new();
        let _ = write!(
            html,
            "<!DOCTYPE html>\n<html lang=\"en-GB\">\n<head>\n<meta charset=\"utf-8\"/>\n\
             <meta http-equiv=\"Content-Security-Policy\" content=\"{}\"/>\n\
             <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\"/>\n\
             <meta name=\"color-scheme\" content=\"light dark\"/>\n\
             <title>{}</title>\n<style>\n{STYLE}</style>\n</head>\n<body>\n",
            escape(POLICY),
            escape(&self.title)
        );
        self.header(&mut html);
        html.push_str("<main>\n");
        let mut counters = Counters::default();
        for (index, section) in self.sections.iter().enumerate() {
            let _ = write!(
                html,
                "<section id=\"section-{0}\" aria-labelledby=\"heading-{0}\">\n\
                 <h2 id=\"heading-{0}\">{1}</h2>\n",
                index + 1,
                escape(&section.heading)
            );
            for block in &section.blocks {
                block.write(&mut html, &mut counters)?;
            }
            html.push_str("</section>\n");
        }
        html.push_str("</main>\n");
        if !self.provenance.is_empty() {
            html.push_str("<footer>\n<h2>Where the numbers come from</h2>\n");
            definitions(&mut html, &self.provenance);
            html.push_str("</footer>\n");
        }
        html.push_str("</body>\n</html>\n");
        Ok(html)
    }

    fn header(&self, html: &mut String) {
        let _ = write!(html, "<header>\n<h1>{}</h1>\n", escape(&self.title));
        if let Some(status) = &self.status {
            let (class, sign) = match status.verdict {
                Verdict::Met => ("met", "✓"),
                Verdict::NotMet => ("not-met", "✗"),
                Verdict::None => ("plain", ""),
            };
            let _ = write!(html, "<p class=\"status {class}\">");
            if !sign.is_empty() {
                let _ = write!(
                    html,
                    "<span class=\"sign\" aria-hidden=\"true\">{sign}</span> "
                );
            }
            let _ = writeln!(html, "{}</p>", escape(&status.text));
        }
        if !self.lead.is_empty() {
            let _ = writeln!(html, "<p class=\"lead\">{}</p>", escape(&self.lead));
        }
        if self.sections.len() >= CONTENTS_FROM {
            html.push_str("<nav aria-label=\"Contents\">\n<ol>\n");
            for (index, section) in self.sections.iter().enumerate() {
                let _ = writeln!(
                    html,
                    "<li><a href=\"#section-{}\">{}</a></li>",
                    index + 1,
                    escape(&section.heading)
                );
            }
            html.push_str("</ol>\n</nav>\n");
        }
        html.push_str("</header>\n");
    }
}

/// Running numbers of tables and figures.
#[derive(Debug, Default)]
struct Counters {
    tables: usize,
    figures: usize,
}

impl Block {
    fn write(&self, html: &mut String, counters: &mut Counters) -> Result<(), HtmlError> {
        match self {
            Self::Paragraph(text) => {
                let _ = writeln!(html, "<p>{}</p>", escape(text));
            }
            Self::Subheading(text) => {
                let _ = writeln!(html, "<h3>{}</h3>", escape(text));
            }
            Self::List(items) => list(html, items),
            Self::Definitions(items) => definitions(html, items),
            Self::Table(table) => {
                counters.tables += 1;
                table.write(html, counters.tables)?;
            }
            Self::Figure { svg, caption } => {
                counters.figures += 1;
                figure::write(html, svg, caption, counters.figures)?;
            }
            Self::Cautions(items) if items.is_empty() => {}
            Self::Cautions(items) => {
                let heading = if items.len() == 1 {
                    "Caution"
                } else {
                    "Cautions"
                };
                let _ = write!(
                    html,
                    "<div class=\"cautions\" role=\"note\">\n\
                     <p class=\"box-heading\">{heading}</p>\n"
                );
                list(html, items);
                html.push_str("</div>\n");
            }
            Self::Notes(items) if items.is_empty() => {}
            Self::Notes(items) => {
                html.push_str("<div class=\"notes\">\n");
                for item in items {
                    let _ = writeln!(html, "<p>{}</p>", escape(item));
                }
                html.push_str("</div>\n");
            }
            Self::Preformatted(text) => {
                let lines: Vec<String> = text.lines().map(escape).collect();
                let _ = writeln!(html, "<pre tabindex=\"0\">{}</pre>", lines.join("\n"));
            }
        }
        Ok(())
    }
}

fn list(html: &mut String, items: &[String]) {
    if items.is_empty() {
        return;
    }
    html.push_str("<ul>\n");
    for item in items {
        let _ = writeln!(html, "<li>{}</li>", escape(item));
    }
    html.push_str("</ul>\n");
}

fn definitions(html: &mut String, items: &[(String, String)]) {
    if items.is_empty() {
        return;
    }
    html.push_str("<dl>\n");
    for (term, meaning) in items {
        let _ = writeln!(
            html,
            "<div><dt>{}</dt><dd>{}</dd></div>",
            escape(term),
            escape(meaning)
        );
    }
    html.push_str("</dl>\n");
}
