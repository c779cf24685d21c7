//! How a weight pulls and where the gauge lies, drawn small: from the side and from above.

use std::fmt::Write;

use calotte::measurement::PlannedWeights;
use nalgebra::Vector3;

/// Side of one view, in units of the drawing.
const SIDE: f64 = 150.0;
/// Room above the views for their names.
const TOP: f64 = 18.0;
/// Where the tip lies from the middle of a view, at most.
const REACH: f64 = 34.0;
/// Length of an arrow that lies in the plane of the view.
const ARROW: f64 = 34.0;
/// Length below which an arrow looks out of the view and is a ring.
const FLAT: f64 = 5.0;

/// Two views of one pull as an SVG document.
pub(super) fn sketch(one: &PlannedWeights, described: &str) -> String {
    let mut svg = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {w} {h}\" width=\"{w}\" height=\"{h}\" role=\"img\"><title>{t}</title><rect width=\"{w}\" height=\"{h}\" fill=\"#ffffff\"/>",
        w = 2.0 * SIDE,
        h = SIDE + TOP,
        t = calotte_plot::markup::escape(described)
    );
    // The tool stands out to one side as seen from beside it; from above it lies as it does.
    let level = Vector3::new(one.tool.x, one.tool.y, 0.0);
    let out = level.try_normalize(1e-9).unwrap_or_else(Vector3::x);
    let beside = |v: &Vector3<f64>| [v.dot(&out), v.z];
    let above = |v: &Vector3<f64>| [v.x, v.y];
    view(&mut svg, 0.0, "from the side", one, beside);
    view(&mut svg, SIDE, "from above (x right, y up)", one, above);
    svg.push_str("</svg>");
    svg
}

fn view(
    svg: &mut String,
    left: f64,
    name: &str,
    one: &PlannedWeights,
    flat: impl Fn(&Vector3<f64>) -> [f64; 2],
) {
    let middle = [left + 0.5 * SIDE, TOP + 0.5 * SIDE];
    let at = |[x, y]: [f64; 2]| [middle[0] + x, middle[1] - y];
    let tool = flat(&one.tool).map(|part| part * REACH);
    let (centre, tip) = (at([0.0; 2]), at(tool));
    text(svg, [left + 0.5 * SIDE, 12.0], "middle", "#333333", name);
    let _ = write!(
        svg,
        "<rect x=\"{}\" y=\"{TOP}\" width=\"{}\" height=\"{}\" fill=\"none\" stroke=\"#cccccc\"/>",
        left + 2.0,
        SIDE - 4.0,
        SIDE - 2.0
    );
    line(svg, centre, tip, "#666666", 3.0, "");
    let _ = write!(
        svg,
        "<circle cx=\"{:.1}\" cy=\"{:.1}\" r=\"3\" fill=\"none\" stroke=\"#666666\"/>",
        centre[0], centre[1]
    );
    arrow(svg, tip, flat(&one.pull), "#b00020", "", "pull");
    arrow(svg, tip, flat(&one.axis), "#0050a0", "4 3", "gauge +");
}

/// An arrow from the tip, its name at its head; a ring where it looks towards the reader or away.
fn arrow(
    svg: &mut String,
    from: [f64; 2],
    along: [f64; 2],
    colour: &str,
    dashes: &str,
    name: &str,
) {
    let [x, y] = [along[0] * ARROW, -along[1] * ARROW];
    let length = x.hypot(y);
    // Names of arrows that lie on one another stand on either side.
    let below = if dashes.is_empty() { 11.0 } else { -5.0 };
    if length < FLAT {
        let radius = if dashes.is_empty() { 5.0 } else { 8.0 };
        let _ = write!(
            svg,
            "<circle cx=\"{:.1}\" cy=\"{:.1}\" r=\"{radius}\" fill=\"none\" stroke=\"{colour}\" stroke-width=\"1.5\"/>",
            from[0], from[1]
        );
        text(
            svg,
            [from[0] + 11.0, from[1] + below],
            "start",
            colour,
            name,
        );
        return;
    }
    let head = [from[0] + x, from[1] + y];
    line(svg, from, head, colour, 2.0, dashes);
    let unit = [x / length, y / length];
    for side in [-1.0, 1.0] {
        let barb = [
            head[0] - 7.0 * unit[0] + side * 4.0 * unit[1],
            head[1] - 7.0 * unit[1] - side * 4.0 * unit[0],
        ];
        line(svg, head, barb, colour, 2.0, "");
    }
    let anchor = if unit[0] < -0.3 { "end" } else { "start" };
    let beside = if anchor == "end" { -4.0 } else { 4.0 };
    text(
        svg,
        [head[0] + beside, head[1] + below],
        anchor,
        colour,
        name,
    );
}

fn line(svg: &mut String, from: [f64; 2], to: [f64; 2], colour: &str, width: f64, dashes: &str) {
    let dashes = if dashes.is_empty() {
        String::new()
    } else {
        format!(" stroke-dasharray=\"{dashes}\"")
    };
    let _ = write!(
        svg,
        "<line x1=\"{:.1}\" y1=\"{:.1}\" x2=\"{:.1}\" y2=\"{:.1}\" stroke=\"{colour}\" stroke-width=\"{width}\"{dashes}/>",
        from[0], from[1], to[0], to[1]
    );
}

fn text(svg: &mut String, at: [f64; 2], anchor: &str, colour: &str, words: &str) {
    let _ = write!(
        svg,
        "<text x=\"{:.1}\" y=\"{:.1}\" font-size=\"10\" font-family=\"sans-serif\" text-anchor=\"{anchor}\" fill=\"{colour}\">{words}</text>",
        at[0], at[1]
    );
}
