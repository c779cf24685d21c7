//! Text inside XML and HTML.

/// `text` as XML character data or attribute value.
///
/// Characters that XML 1.0 does not allow become U+FFFD.
pub fn escape(text: &str) -> String {
    let mut escaped = String::with_capacity(text.len());
    for character in text.chars() {
        match character {
            '&' => escaped.push_str("&amp;"),
            '<' => escaped.push_str("&lt;"),
            '>' => escaped.push_str("&gt;"),
            '"' => escaped.push_str("&quot;"),
            '\'' => escaped.push_str("&#39;"),
            '\t' | '\n' | '\r' => escaped.push(' '),
            c if c.is_control() || matches!(c, '\u{fffe}' | '\u{ffff}') => {
                escaped.push('\u{fffd}');
            }
            c => escaped.push(c),
        }
    }
    escaped
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn hostile_text_cannot_leave_its_element() {
        let text = "</text><script>alert('x')</script> & \"q\" \u{0}\u{1b}\u{ffff}";
        let escaped = escape(text);
        assert!(!escaped.contains('<') && !escaped.contains('"'));
        assert!(!escaped.contains('\u{0}') && !escaped.contains('\u{1b}'));
        let document = format!("<a b=\"{escaped}\">{escaped}</a>");
        let parsed = roxmltree::Document::parse(&document).expect("well-formed");
        let expected = text.replace(['\u{0}', '\u{1b}', '\u{ffff}'], "\u{fffd}");
        assert_eq!(parsed.root_element().text(), Some(expected.as_str()));
        assert_eq!(
            parsed.root_element().attribute("b"),
            Some(expected.as_str())
        );
    }
}
