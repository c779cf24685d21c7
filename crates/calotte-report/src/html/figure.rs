//! Figures inside a document: checked to stand alone before they are embedded.

use super::HtmlError;
use calotte_plot::markup::escape;
use roxmltree::{Document, Node};
use std::fmt::Write;

/// Elements that run or load something.
const REFUSED: [&str; 7] = [
    "script",
    "foreignObject",
    "image",
    "use",
    "style",
    "a",
    "iframe",
];

/// Writes a figure with its caption.
pub(super) fn write(
    html: &mut String,
    svg: &str,
    caption: &str,
    count: usize,
) -> Result<(), HtmlError> {
    check(svg).map_err(|reason| HtmlError::Figure {
        caption: caption.to_owned(),
        reason,
    })?;
    let _ = write!(
        html,
        "<figure>\n<div class=\"card\">\n{}</div>\n",
        svg.trim_start()
    );
    if !caption.is_empty() {
        let _ = writeln!(
            html,
            "<figcaption><b>Figure {count}</b> {}</figcaption>",
            escape(caption)
        );
    }
    html.push_str("</figure>\n");
    Ok(())
}

/// Checks that `svg` is one SVG element that neither runs nor loads anything.
fn check(svg: &str) -> Result<(), String> {
    if !svg.trim_start().starts_with("<svg") {
        return Err("it does not start with `<svg`; leave out declaration and comments".to_owned());
    }
    let document = Document::parse(svg).map_err(|error| error.to_string())?;
    for node in document.descendants() {
        if node.is_comment() || node.is_pi() {
            return Err("it holds a comment or an instruction".to_owned());
        }
        if node.is_element() {
            check_element(node)?;
        }
    }
    Ok(())
}

fn check_element(node: Node) -> Result<(), String> {
    let name = node.tag_name().name();
    if REFUSED.contains(&name) {
        return Err(format!("it holds <{name}>"));
    }
    for attribute in node.attributes() {
        let key = attribute.name();
        let value = attribute.value().to_ascii_lowercase();
        let loads = key == "href" || key == "src" || key == "style" || value.contains("url(");
        if loads || key.starts_with("on") {
            return Err(format!("<{name}> has the attribute {key}"));
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn plain_svg_passes() {
        assert_eq!(
            check("<svg><title>a</title><rect width=\"1\"/></svg>"),
            Ok(())
        );
    }

    #[test]
    fn what_runs_or_loads_is_refused() {
        for svg in [
            "<svg><script>1</script></svg>",
            "<svg onload=\"x\"/>",
            "<svg><rect fill=\"url(http://example.org/a)\"/></svg>",
            "<svg><rect style=\"fill:red\"/></svg>",
            "<svg xmlns:x=\"http://www.w3.org/1999/xlink\"><g x:href=\"#a\"/></svg>",
            "<svg><image/></svg>",
            "<svg></svg><p>after</p>",
            "<svg><!-- a --></svg>",
            "<p>no figure</p>",
            "<svg>",
        ] {
            assert!(check(svg).is_err(), "{svg}");
        }
    }
}
