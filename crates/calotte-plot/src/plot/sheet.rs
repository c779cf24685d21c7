//! The sheet a figure is drawn on: its width, letters and colours, what is already taken,
//! and a cursor that moves down as blocks are added.

use super::geometry::{Point, Rect};
use super::style::{FigureStyle, POINTS_PER_MM, Palette};
use super::svg::{Anchor, Label, Svg};
use super::text::{ASCENT, fit, wrap};

/// What a figure is drawn on.
#[derive(Debug)]
pub(crate) struct Sheet {
    pub svg: Svg,
    pub palette: Palette,
    /// Width, pt.
    pub width: f64,
    /// Size of labels, pt.
    pub em: f64,
    /// Size of tick labels and legends, pt.
    pub small: f64,
    /// Top of the next block, pt.
    pub y: f64,
    /// What the reader must know and the drawing does not show.
    pub notes: Vec<String>,
    taken: Vec<Rect>,
    shortened: Vec<String>,
}

impl Sheet {
    pub fn new(style: &FigureStyle) -> Self {
        Self {
            svg: Svg::default(),
            palette: Palette::PRINT,
            width: style.width_mm * POINTS_PER_MM,
            em: style.font_pt,
            small: style.font_pt * 0.9,
            y: style.font_pt * 0.5,
            notes: Vec::new(),
            taken: Vec::new(),
            shortened: Vec::new(),
        }
    }

    /// Left edge of the drawing area, pt.
    pub fn left(&self) -> f64 {
        self.em * 0.4
    }

    /// Right edge of the drawing area, pt.
    pub fn right(&self) -> f64 {
        self.width - self.em * 0.4
    }

    /// A label in ink at the small size.
    pub fn label(&self, text: impl Into<String>, at: Point, anchor: Anchor) -> Label {
        Label {
            text: text.into(),
            at,
            size: self.small,
            anchor,
            colour: self.palette.ink,
            bold: false,
            turn_deg: 0.0,
        }
    }

    /// Draws a text and remembers its box, so that later labels keep off it.
    pub fn text(&mut self, label: &Label) {
        if !label.text.is_empty() {
            self.taken.push(label.rect());
            self.svg.text(label);
        }
    }

    /// `text` cut to `limit` pt at `size`; what was cut is told in the description.
    pub fn fitted(&mut self, text: &str, size: f64, limit: f64) -> String {
        let (fitted, cut) = fit(text, size, limit);
        if cut {
            self.remember(text);
        }
        fitted
    }

    /// `text` broken into lines of `limit` pt at `size`; what was cut is told in the
    /// description.
    pub fn wrapped(&mut self, text: &str, size: f64, limit: f64, lines_max: usize) -> Vec<String> {
        let (lines, cut) = wrap(text, size, limit, lines_max);
        if cut {
            self.remember(text);
        }
        lines
    }

    fn remember(&mut self, text: &str) {
        if !self.shortened.iter().any(|known| known == text) {
            self.shortened.push(text.to_owned());
        }
    }

    /// Marks a box as taken by something that is not a text.
    pub fn take(&mut self, rect: Rect) {
        self.taken.push(rect);
    }

    /// Whether nothing drawn so far reaches into `rect`.
    pub fn is_free(&self, rect: &Rect) -> bool {
        self.taken.iter().all(|taken| taken.overlap(rect) == 0.0)
    }

    /// Draws lines of text from the cursor down and moves the cursor below them.
    pub fn paragraph(&mut self, lines: &[String], left: f64, size: f64, bold: bool) {
        for line in lines {
            let mut label = self.label(line.clone(), [left, self.y + ASCENT * size], Anchor::Start);
            label.size = size;
            label.bold = bold;
            self.text(&label);
            self.y += size * 1.25;
        }
    }

    /// A sentence below everything, in as many lines as it takes, with room for letters wider
    /// than those the widths are of: not a word of it may be cut off where another font stands in.
    pub fn footing(&mut self, text: &str) {
        /// Widths of the usual font over those of the widest that stands in for it.
        const WIDEST: f64 = 0.8;
        let (left, size) = (self.left(), self.small);
        let lines = self.wrapped(text, size, WIDEST * (self.right() - left), usize::MAX);
        self.y += self.em * 0.4;
        self.paragraph(&lines, left, size, false);
    }

    /// The finished figure of a title, a caption and its settings: SVG text, its height in
    /// pt, and the notes.
    pub fn finish(
        mut self,
        title: &str,
        caption: &str,
        settings: &[(String, String)],
    ) -> (String, f64, Vec<String>) {
        let height = self.y + self.em * 0.4;
        let mut description = caption.trim().to_owned();
        let mut add = |sentence: String| {
            if !description.is_empty() {
                description.push(' ');
            }
            description.push_str(&sentence);
        };
        if !settings.is_empty() {
            let list: Vec<String> = settings
                .iter()
                .map(|(name, value)| format!("{name}: {value}"))
                .collect();
            add(format!("Settings: {}.", list.join("; ")));
        }
        for note in &self.notes {
            add(note.clone());
        }
        if !self.shortened.is_empty() {
            let list: Vec<String> = self.shortened.iter().map(|t| format!("“{t}”")).collect();
            let note = format!("Texts cut short in the drawing: {}.", list.join(", "));
            add(note.clone());
            self.notes.push(note);
        }
        let svg = self.svg.finish(
            [self.width, height],
            self.palette.paper,
            title,
            &description,
        );
        (svg, height, self.notes)
    }
}
