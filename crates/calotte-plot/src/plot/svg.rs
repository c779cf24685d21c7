//! Writer of scalable vector graphics (SVG 1.1, W3C), and nothing that needs a script, a
//! style sheet, an identifier or another file.
//!
//! Lengths are points. Numbers have two decimals at most (3.5 µm on paper), so that equal
//! input gives equal bytes.

use super::colour::Colour;
use super::geometry::{Point, Rect, turned_box};
use super::style::POINTS_PER_MM;
use super::text::{ASCENT, FONT_FAMILY, LINE_BOX, bold_width, width};
use crate::markup::escape;
use std::fmt::Write;

/// A line's look.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Stroke<'a> {
    pub colour: Colour,
    pub width: f64,
    /// Lengths of dashes and gaps, pt; empty for a solid line.
    pub dash: &'a [f64],
}

impl Stroke<'_> {
    pub const fn solid(colour: Colour, width: f64) -> Self {
        Self {
            colour,
            width,
            dash: &[],
        }
    }
}

/// Which end of a text sits at its place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Anchor {
    Start,
    Middle,
    End,
}

/// A text and where it goes.
#[derive(Debug, Clone)]
pub(crate) struct Label {
    pub text: String,
    /// Baseline point that `anchor` speaks of, pt.
    pub at: Point,
    pub size: f64,
    pub anchor: Anchor,
    pub colour: Colour,
    pub bold: bool,
    /// Turned clockwise about `at`, degrees.
    pub turn_deg: f64,
}

impl Label {
    pub fn width(&self) -> f64 {
        if self.bold {
            bold_width(&self.text, self.size)
        } else {
            width(&self.text, self.size)
        }
    }

    /// The box the text fills, upright even where the text is turned.
    pub fn rect(&self) -> Rect {
        let width = self.width();
        let left = match self.anchor {
            Anchor::Start => 0.0,
            Anchor::Middle => -width / 2.0,
            Anchor::End => -width,
        };
        let flat = Rect::new(left, -ASCENT * self.size, width, LINE_BOX * self.size);
        let centre = flat.centre();
        let (sin, cos) = self.turn_deg.to_radians().sin_cos();
        let turned = [
            self.at[0] + cos * centre[0] - sin * centre[1],
            self.at[1] + sin * centre[0] + cos * centre[1],
        ];
        turned_box(turned, flat.width(), flat.height(), self.turn_deg)
    }
}

/// `value` with two decimals at most and no negative zero.
pub(crate) fn number(value: f64) -> String {
    debug_assert!(value.is_finite(), "a coordinate is {value}");
    let value = if value.is_finite() { value } else { 0.0 };
    let text = format!("{value:.2}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" {
        "0".to_owned()
    } else {
        text.to_owned()
    }
}

/// Path data of a polyline, closed or open.
pub(crate) fn path_data(points: &[Point], closed: bool) -> String {
    let mut data = String::new();
    for (index, point) in points.iter().enumerate() {
        data.push(if index == 0 { 'M' } else { 'L' });
        let _ = write!(data, "{} {}", number(point[0]), number(point[1]));
    }
    if closed {
        data.push('Z');
    }
    data
}

/// A drawing that grows element by element.
#[derive(Debug, Default)]
pub(crate) struct Svg {
    body: String,
    depth: usize,
}

impl Svg {
    fn element(&mut self, name: &str, attributes: &str) {
        let _ = writeln!(self.body, "<{name}{attributes}/>");
    }

    /// Opens a group; `class` says what it holds, for those who edit the figure.
    pub fn open(&mut self, class: &str) {
        let _ = writeln!(self.body, "<g class=\"{class}\">");
        self.depth += 1;
    }

    pub fn close(&mut self) {
        debug_assert!(self.depth > 0, "a group is closed that was never opened");
        self.body.push_str("</g>\n");
        self.depth = self.depth.saturating_sub(1);
    }

    pub fn rect(&mut self, rect: &Rect, fill: Option<Colour>, stroke: Option<Stroke>) {
        let place = format!(
            " x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\"",
            number(rect.left),
            number(rect.top),
            number(rect.width()),
            number(rect.height())
        );
        self.element("rect", &format!("{place}{}", paint(fill, stroke)));
    }

    /// A box of colour without soft edges, so that neighbours meet without a seam.
    pub fn tile(&mut self, rect: &Rect, fill: Colour) {
        let place = format!(
            " x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\"",
            number(rect.left),
            number(rect.top),
            number(rect.width()),
            number(rect.height())
        );
        self.element(
            "rect",
            &format!(
                "{place} fill=\"{}\" shape-rendering=\"crispEdges\"",
                fill.to_hex()
            ),
        );
    }

    pub fn polyline(&mut self, points: &[Point], stroke: Stroke) {
        if points.len() > 1 {
            self.path(&path_data(points, false), None, Some(stroke));
        }
    }

    pub fn polygon(&mut self, points: &[Point], fill: Option<Colour>, stroke: Option<Stroke>) {
        if points.len() > 2 {
            self.path(&path_data(points, true), fill, stroke);
        }
    }

    /// Separate straight strokes in one element.
    pub fn strokes(&mut self, strokes: &[(Point, Point)], stroke: Stroke) {
        if strokes.is_empty() {
            return;
        }
        let data: String = strokes
            .iter()
            .map(|(a, b)| path_data(&[*a, *b], false))
            .collect();
        self.path(&data, None, Some(stroke));
    }

    pub fn path(&mut self, data: &str, fill: Option<Colour>, stroke: Option<Stroke>) {
        if !data.is_empty() {
            self.element("path", &format!(" d=\"{data}\"{}", paint(fill, stroke)));
        }
    }

    /// A filled area that lets what lies below shine through; holes by the even-odd rule.
    pub fn veil(&mut self, data: &str, fill: Colour, opacity: f64) {
        if !data.is_empty() {
            self.element(
                "path",
                &format!(
                    " d=\"{data}\" fill=\"{}\" fill-opacity=\"{}\" fill-rule=\"evenodd\"",
                    fill.to_hex(),
                    number(opacity)
                ),
            );
        }
    }

    /// Round dots of one size in one element.
    pub fn dots(&mut self, places: &[Point], diameter: f64, colour: Colour) {
        self.capped(places, diameter, colour, "round");
    }

    /// Square dots of one size in one element.
    pub fn square_dots(&mut self, places: &[Point], side: f64, colour: Colour) {
        self.capped(places, side, colour, "square");
    }

    /// Strokes of no length, of which only the caps show.
    fn capped(&mut self, places: &[Point], diameter: f64, colour: Colour, cap: &str) {
        if places.is_empty() {
            return;
        }
        let mut data = String::with_capacity(places.len() * 16);
        for place in places {
            let _ = write!(data, "M{} {}h0", number(place[0]), number(place[1]));
        }
        self.element(
            "path",
            &format!(
                " d=\"{data}\" fill=\"none\" stroke=\"{}\" stroke-width=\"{}\" stroke-linecap=\"{cap}\"",
                colour.to_hex(),
                number(diameter)
            ),
        );
    }

    pub fn circle(
        &mut self,
        centre: Point,
        radius: f64,
        fill: Option<Colour>,
        stroke: Option<Stroke>,
    ) {
        let place = format!(
            " cx=\"{}\" cy=\"{}\" r=\"{}\"",
            number(centre[0]),
            number(centre[1]),
            number(radius)
        );
        self.element("circle", &format!("{place}{}", paint(fill, stroke)));
    }

    pub fn text(&mut self, label: &Label) {
        if label.text.is_empty() {
            return;
        }
        let anchor = match label.anchor {
            Anchor::Start => "",
            Anchor::Middle => " text-anchor=\"middle\"",
            Anchor::End => " text-anchor=\"end\"",
        };
        let (x, y) = (number(label.at[0]), number(label.at[1]));
        let turn = if label.turn_deg == 0.0 {
            String::new()
        } else {
            format!(" transform=\"rotate({} {x} {y})\"", number(label.turn_deg))
        };
        let weight = if label.bold {
            " font-weight=\"bold\""
        } else {
            ""
        };
        let _ = writeln!(
            self.body,
            "<text x=\"{x}\" y=\"{y}\" font-size=\"{}\" fill=\"{}\"{anchor}{weight}{turn}>{}</text>",
            number(label.size),
            label.colour.to_hex(),
            escape(&label.text)
        );
    }

    /// The finished document.
    pub fn finish(self, size: [f64; 2], paper: Colour, title: &str, description: &str) -> String {
        debug_assert_eq!(self.depth, 0, "a group is left open");
        let [width, height] = size;
        let millimetres = |points: f64| number(points / POINTS_PER_MM);
        format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{}mm\" height=\"{}mm\" \
             viewBox=\"0 0 {} {}\" role=\"img\" font-family=\"{FONT_FAMILY}\">\n\
             <title>{}</title>\n<desc>{}</desc>\n\
             <rect width=\"{}\" height=\"{}\" fill=\"{}\"/>\n{}</svg>\n",
            millimetres(width),
            millimetres(height),
            number(width),
            number(height),
            escape(title),
            escape(description),
            number(width),
            number(height),
            paper.to_hex(),
            self.body
        )
    }
}

fn paint(fill: Option<Colour>, stroke: Option<Stroke>) -> String {
    let mut text = match fill {
        Some(colour) => format!(" fill=\"{}\"", colour.to_hex()),
        None => " fill=\"none\"".to_owned(),
    };
    if let Some(stroke) = stroke {
        let _ = write!(
            text,
            " stroke=\"{}\" stroke-width=\"{}\" stroke-linejoin=\"round\"",
            stroke.colour.to_hex(),
            number(stroke.width)
        );
        if !stroke.dash.is_empty() {
            let dash: Vec<String> = stroke.dash.iter().map(|d| number(*d)).collect();
            let _ = write!(text, " stroke-dasharray=\"{}\"", dash.join(" "));
        }
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_short_and_never_negative_zero() {
        assert_eq!(number(1.0), "1");
        assert_eq!(number(1.239), "1.24");
        assert_eq!(number(-0.001), "0");
        assert_eq!(number(100.0), "100");
        assert_eq!(number(-2.5), "-2.5");
    }

    #[test]
    fn turned_label_stands_upright_beside_its_anchor() {
        let label = Label {
            text: "HHHH".to_owned(),
            at: [10.0, 50.0],
            size: 10.0,
            anchor: Anchor::Middle,
            colour: Colour::hex(0),
            bold: false,
            turn_deg: -90.0,
        };
        let rect = label.rect();
        assert!((rect.height() - 28.88).abs() < 1e-9);
        assert!((rect.centre()[1] - 50.0).abs() < 1e-9);
        assert!(rect.right <= 10.0 + 2.3 && rect.left >= 10.0 - 7.7);
    }
}
