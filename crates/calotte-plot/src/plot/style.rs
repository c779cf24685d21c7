//! Size, letters and colours of a figure.

use super::colour::Colour;
use super::error::PlotError;

/// Points to the millimetre.
pub(crate) const POINTS_PER_MM: f64 = 72.0 / 25.4;

/// Least width of a figure, in font sizes.
const WIDTH_MIN_EM: f64 = 22.0;

/// Light or dark ground.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Theme {
    /// White ground, for print and for pages that put figures on a white card.
    #[default]
    Light,
    /// Dark ground, for screens only.
    Dark,
}

/// Size, letters and ground of a figure.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FigureStyle {
    /// Width, mm.
    pub width_mm: f64,
    /// Font size of labels, pt; tick labels and legends are a tenth smaller.
    pub font_pt: f64,
    /// Ground and ink.
    pub theme: Theme,
    /// Draw the title inside the figure. Off where a caption stands beside it.
    pub draw_title: bool,
}

impl FigureStyle {
    /// One column of a journal page: 85 mm, 8 pt.
    pub const fn journal_column() -> Self {
        Self {
            width_mm: 85.0,
            font_pt: 8.0,
            theme: Theme::Light,
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
    pub fn of(theme: Theme) -> Self {
        match theme {
            Theme::Light => Self {
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
            },
            Theme::Dark => Self {
                paper: Colour::hex(0x12171d),
                ink: Colour::hex(0xe9edf1),
                quiet: Colour::hex(0xa7b1bc),
                rule: Colour::hex(0x37424d),
                blank: Colour::hex(0x222a32),
                hatch: Colour::hex(0x66727e),
                accent: Colour::hex(0xff8a66),
                series: [
                    Colour::hex(0x8fb8ee),
                    Colour::hex(0xf0906a),
                    Colour::hex(0x63cfc6),
                    Colour::hex(0xd79ac9),
                    Colour::hex(0xf1c76a),
                    Colour::hex(0xa9b4bf),
                ],
            },
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn text_meets_the_contrast_of_the_accessibility_guidelines() {
        for theme in [Theme::Light, Theme::Dark] {
            let palette = Palette::of(theme);
            for text in [palette.ink, palette.quiet, palette.accent] {
                // 4.5 is level AA for body text.
                assert!(text.contrast(palette.paper) >= 4.5, "{theme:?} {text:?}");
            }
            for line in palette.series {
                // A line may be fainter than text; markers and dashes help. 2.3 is ours.
                assert!(line.contrast(palette.paper) >= 2.3, "{theme:?} {line:?}");
            }
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
