//! What the tests of figures share: where texts lie and whether they keep apart.

use roxmltree::{Document, Node};

/// A text's box on the sheet, pt: corners, turned as the text is.
///
/// Widths come from a table of this test's own, coarser than the crate's: Helvetica's
/// advance widths rounded down, so that touching boxes do not count as covering.
fn text_box(node: Node) -> [[f64; 2]; 4] {
    let number = |name: &str| -> f64 {
        let text = node.attribute(name).expect("attribute");
        text.parse().expect("number")
    };
    let size = number("font-size");
    let text: String = node.text().expect("text is not empty").to_owned();
    let width: f64 = text
        .chars()
        .map(|c| match c {
            'i' | 'j' | 'l' | '\'' => 0.19,
            '.' | ',' | ';' | ':' | '|' | 'f' | 't' | ' ' | '·' | '!' | '[' | ']' | '/' => 0.25,
            '(' | ')' | '-' | 'r' | '"' => 0.32,
            '°' => 0.38,
            '⁰' | '¹' | '²' | '³' | '⁴' | '⁵' | '⁶' | '⁷' | '⁸' | '⁹' | '⁻' => {
                0.33
            }
            '\u{2009}' => 0.15,
            'c' | 'k' | 's' | 'v' | 'x' | 'y' | 'z' => 0.48,
            'm' | 'w' | 'M' | 'W' | '%' => 0.85,
            c if c.is_uppercase() => 0.68,
            _ => 0.53,
        })
        .sum::<f64>()
        * size;
    let (x, y) = (number("x"), number("y"));
    let left = match node.attribute("text-anchor") {
        None => x,
        Some("middle") => x - width / 2.0,
        Some("end") => x - width,
        Some(other) => panic!("unknown anchor {other}"),
    };
    let (top, bottom) = (y - 0.7 * size, y + 0.15 * size);
    let angle: f64 = node.attribute("transform").map_or(0.0, |turn| {
        let inner = turn.trim_start_matches("rotate(");
        let angle = inner.split(' ').next().expect("angle");
        angle.parse().expect("number")
    });
    let (sin, cos) = angle.to_radians().sin_cos();
    [
        [left, top],
        [left + width, top],
        [left + width, bottom],
        [left, bottom],
    ]
    .map(|[px, py]| {
        let (dx, dy) = (px - x, py - y);
        [x + cos * dx - sin * dy, y + sin * dx + cos * dy]
    })
}

/// Whether two convex quadrilaterals share area: no edge of either separates them.
fn overlap(a: &[[f64; 2]; 4], b: &[[f64; 2]; 4]) -> bool {
    [a, b].iter().all(|shape| {
        (0..4).all(|i| {
            let (p, q) = (shape[i], shape[(i + 1) % 4]);
            let normal = [q[1] - p[1], p[0] - q[0]];
            let range = |quad: &[[f64; 2]; 4]| {
                let along = quad.map(|c| c[0] * normal[0] + c[1] * normal[1]);
                let low = along.iter().copied().fold(f64::INFINITY, f64::min);
                let high = along.iter().copied().fold(f64::NEG_INFINITY, f64::max);
                (low, high)
            };
            let ((a_low, a_high), (b_low, b_high)) = (range(a), range(b));
            a_high > b_low + 1e-9 && b_high > a_low + 1e-9
        })
    })
}

/// All texts of a figure.
pub fn texts<'a>(document: &'a Document) -> Vec<Node<'a, 'a>> {
    document
        .descendants()
        .filter(|n| n.has_tag_name("text"))
        .collect()
}

/// Fails where a text covers another one or leaves the sheet.
pub fn assert_texts_apart(name: &str, document: &Document) {
    let view: Vec<f64> = document
        .root_element()
        .attribute("viewBox")
        .expect("view box")
        .split(' ')
        .map(|part| part.parse().expect("number"))
        .collect();
    let boxes: Vec<(&str, [[f64; 2]; 4])> = texts(document)
        .into_iter()
        .map(|n| (n.text().unwrap_or_default(), text_box(n)))
        .collect();
    for (index, (text, corners)) in boxes.iter().enumerate() {
        for [x, y] in corners {
            let inside = *x >= 0.0 && *x <= view[2] && *y >= 0.0 && *y <= view[3];
            assert!(inside, "{name}: “{text}” leaves the sheet at {x}, {y}");
        }
        for (other, other_corners) in &boxes[..index] {
            assert!(
                !overlap(corners, other_corners),
                "{name}: “{text}” covers “{other}”"
            );
        }
    }
}
