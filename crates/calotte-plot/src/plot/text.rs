//! How wide a text will be, and how to make it fit.
//!
//! Widths are those of Helvetica, in thousandths of the font size (Adobe's font metrics
//! for the base 14 fonts; equal to the advance widths of the metric-compatible Liberation
//! Sans, against which the table was compared). A viewer that has neither Helvetica nor
//! Arial falls back to its own sans-serif, which may be a sixth wider ([`WIDER`]); legends and
//! labels beside bars leave room for that, other margins for part of it.

use unicode_width::UnicodeWidthChar;

/// Fonts named in every figure, first choice first.
pub(crate) const FONT_FAMILY: &str = "Helvetica, Arial, sans-serif";

/// How much wider than Helvetica a viewer's own sans-serif may be: room for labels that have a
/// neighbour.
pub(crate) const WIDER: f64 = 7.0 / 6.0;

/// Baseline below the top of a text box, in font sizes.
pub(crate) const ASCENT: f64 = 0.76;
/// Height of a text box, in font sizes.
pub(crate) const LINE_BOX: f64 = 0.98;
/// From the middle of a digit or capital down to the baseline, in font sizes.
pub(crate) const MIDDLE: f64 = 0.35;

#[rustfmt::skip]
const REGULAR: [u16; 95] = [
    278, 278, 355, 556, 556, 889, 667, 191, 333, 333, 389, 584, 278, 333, 278, 278,
    556, 556, 556, 556, 556, 556, 556, 556, 556, 556, 278, 278, 584, 584, 584, 556,
    1015, 667, 667, 722, 722, 667, 611, 778, 722, 278, 500, 667, 556, 833, 722, 778,
    667, 778, 722, 667, 611, 722, 667, 944, 667, 667, 611, 278, 278, 278, 469, 556,
    333, 556, 556, 500, 556, 556, 278, 556, 556, 222, 222, 500, 222, 833, 556, 556,
    556, 556, 333, 500, 278, 556, 500, 722, 500, 500, 500, 334, 260, 334, 584,
];

/// Bold letters are at most this much wider than regular ones, taken over a label.
const BOLD: f64 = 1.07;

fn character_width(character: char) -> f64 {
    let index = u32::from(character).wrapping_sub(32) as usize;
    if let Some(width) = REGULAR.get(index) {
        return f64::from(*width);
    }
    match character {
        '°' => 400.0,
        '·' => 278.0,
        '\u{2009}' | '\u{202f}' => 200.0,
        '×' | '\u{2212}' | '±' => 584.0,
        '≤' | '≥' | '≈' => 549.0,
        '⁰' | '¹' | '²' | '³' | '⁴' | '⁵' | '⁶' | '⁷' | '⁸' | '⁹' | '⁻' => 370.0,
        '…' | '—' | '‰' => 1000.0,
        _ => match character.width() {
            Some(0) | None => 0.0,
            Some(1) if character.is_uppercase() => 722.0,
            Some(1) => 600.0,
            Some(_) => 1000.0,
        },
    }
}

/// Width of `text` set at `size`, in the unit of `size`.
pub(crate) fn width(text: &str, size: f64) -> f64 {
    text.chars().map(character_width).sum::<f64>() * size / 1000.0
}

/// Width of `text` set bold at `size`, in the unit of `size`.
pub(crate) fn bold_width(text: &str, size: f64) -> f64 {
    width(text, size) * BOLD
}

/// `text` cut with an ellipsis so that it is no wider than `limit`.
///
/// Returns the text and whether it was cut. A limit too small even for the ellipsis gives
/// an empty text.
pub(crate) fn fit(text: &str, size: f64, limit: f64) -> (String, bool) {
    if width(text, size) <= limit {
        return (text.to_owned(), false);
    }
    let ellipsis = width("…", size);
    if ellipsis > limit {
        return (String::new(), true);
    }
    let mut used = 0.0;
    let kept: String = text
        .chars()
        .take_while(|c| {
            used += character_width(*c) * size / 1000.0;
            used + ellipsis <= limit
        })
        .collect();
    (format!("{}…", kept.trim_end()), true)
}

/// `text` broken at spaces into lines no wider than `limit`, at most `lines_max` of them.
///
/// The last line, or a single word that is too long, is cut with an ellipsis. Returns the
/// lines and whether anything was cut.
pub(crate) fn wrap(text: &str, size: f64, limit: f64, lines_max: usize) -> (Vec<String>, bool) {
    let mut lines: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        match lines.last_mut() {
            Some(line) if width(line, size) + width(" ", size) + width(word, size) <= limit => {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(word.to_owned()),
        }
    }
    let mut cut = false;
    if lines.len() > lines_max {
        let rest = lines.split_off(lines_max.saturating_sub(1)).join(" ");
        lines.push(rest);
    }
    for line in &mut lines {
        let (fitted, was_cut) = fit(line, size, limit);
        *line = fitted;
        cut |= was_cut;
    }
    (lines, cut)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Sum of the widths printed in Adobe's Helvetica metrics file: H 722, e 556, l 222, v 500,
    /// e 556, t 278, i 222, c 500, a 556.
    #[test]
    fn width_adds_the_published_advance_widths() {
        assert_eq!(width("Helvetica", 1000.0), 4112.0);
        assert_eq!(
            width("\u{2212}0.5°", 1000.0),
            584.0 + 556.0 + 278.0 + 556.0 + 400.0
        );
    }

    #[test]
    fn fitted_text_is_never_wider_than_its_limit() {
        let text = "A rather long label with 漢字 and\u{301} accents";
        for limit in [0.0, 3.0, 9.9, 30.0, 55.5, 1000.0] {
            let (fitted, cut) = fit(text, 8.0, limit);
            assert!(width(&fitted, 8.0) <= limit, "{fitted} at {limit}");
            assert_eq!(cut, fitted != text);
        }
    }

    #[test]
    fn wrapped_text_keeps_its_words() {
        let (lines, cut) = wrap("one two three four five", 10.0, 60.0, 5);
        assert_eq!(lines.join(" "), "one two three four five");
        assert!(!cut);
        assert!(lines.iter().all(|line| width(line, 10.0) <= 60.0));
        let (lines, cut) = wrap("one two three four five", 10.0, 60.0, 1);
        assert_eq!(lines.len(), 1);
        assert!(cut && lines[0].ends_with('…'));
    }
}
