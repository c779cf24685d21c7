//! Size, letters and colours of a figure.

use super::colour::Colour;
use super::error::PlotError;

/// Points to the millimetre.
pub(crate) const POINTS_PER_MM: f64 = 72.0 / 25.4;

/// Least width of a figure, in font sizes.
const WIDTH_MIN_EM: f64 = 22.0;

/// Size and letters of a figure.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FigureStyle {
    /// Width, mm.
    pub width_mm: f64,
    /// Font size of labels, pt; tick labels and legends are a tenth smaller.
    pub font_pt: f64,
    /// Draw the title inside the figure. Off where a caption stands beside it.
    pub draw_title: bool,
}

impl FigureStyle {
    /// One column of a journal page: 85 mm, 8 pt.
    pub const fn journal_column() -> Self {
        Self {
            width_mm: 85.0,
            font_pt: 8.0,
            draw_title: false,
        }
    }

    /// Full width of a journal page: 174 mm, 8 pt.
    pub const fn journal_page() -> Self {
        Self {
            width_mm: 174.0,
            ..Self::journal_column()
        }
    }

    /// A column of text on the screen: 190 mm (about 720 CSS pixels), 10 pt.
    pub const fn screen() -> Self {
        Self {
            width_mm: 190.0,
            font_pt: 10.0,
            ..Self::journal_column()
        }
    }

    /// Checks size and letters.
    ///
    /// # Errors
    /// [`PlotError::OutOfRange`] for a width outside 20 to 2000 mm or a font outside 4 to
    /// 72 pt; [`PlotError::TooNarrow`] where the letters do not fit the width.
    pub(crate) fn check(&self) -> Result<(), PlotError> {
        for (what, value, from, to) in [
            ("width_mm", self.width_mm, 20.0, 2000.0),
            ("font_pt", self.font_pt, 4.0, 72.0),
        ] {
            if !(from..=to).contains(&value) {
                return Err(PlotError::OutOfRange {
                    what: what.to_owned(),
                    value,
                    from,
                    to,
                });
            }
        }
        let needed_mm = WIDTH_MIN_EM * self.font_pt / POINTS_PER_MM;
        if self.width_mm < needed_mm {
            return Err(PlotError::TooNarrow {
                width_mm: self.width_mm,
                font_pt: self.font_pt,
                needed_mm,
            });
        }
        Ok(())
    }
}

impl Default for FigureStyle {
    fn default() -> Self {
        Self::journal_column()
    }
}

/// Colours of everything that is not a value.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Palette {
    pub paper: Colour,
    pub ink: Colour,
    /// Secondary text and tick marks.
    pub quiet: Colour,
    /// Graticules and light separating lines.
    pub rule: Colour,
    /// Ground of cells without a value.
    pub blank: Colour,
    /// Hatch strokes.
    pub hatch: Colour,
    /// What the figure wants seen first: the choice, the worst place, a limit.
    pub accent: Colour,
    /// Series colours, told apart by lightness as well as hue.
    pub series: [Colour; 6],
}

impl Palette {
    pub const PRINT: Self = Self {
        paper: Colour::hex(0xffffff),
        ink: Colour::hex(0x1b222a),
        quiet: Colour::hex(0x56616d),
        rule: Colour::hex(0xd5dadf),
        blank: Colour::hex(0xeef0f2),
        hatch: Colour::hex(0x98a2ad),
        accent: Colour::hex(0xb3402a),
        series: [
            Colour::hex(0x17365c),
            Colour::hex(0xc2552d),
            Colour::hex(0x2f9c95),
            Colour::hex(0x6b2d5c),
            Colour::hex(0xd39a24),
            Colour::hex(0x76838f),
        ],
    };
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn text_meets_the_contrast_of_the_accessibility_guidelines() {
        let palette = Palette::PRINT;
        for text in [palette.ink, palette.quiet, palette.accent] {
            // 4.5 is level AA for body text.
            assert!(text.contrast(palette.paper) >= 4.5, "{text:?}");
        }
        for line in palette.series {
            // A line may be fainter than text; markers and dashes help. 2.3 is ours.
            assert!(line.contrast(palette.paper) >= 2.3, "{line:?}");
        }
    }

    #[test]
    fn letters_too_large_for_the_width_are_refused_with_the_width_needed() {
        let style = FigureStyle {
            width_mm: 40.0,
            font_pt: 12.0,
            ..FigureStyle::default()
        };
        assert!(matches!(
            style.check(),
            Err(PlotError::TooNarrow { needed_mm, .. }) if needed_mm > 90.0
        ));
        let style = FigureStyle {
            width_mm: f64::NAN,
            ..FigureStyle::default()
        };
        assert!(matches!(style.check(), Err(PlotError::OutOfRange { .. })));
    }
}
