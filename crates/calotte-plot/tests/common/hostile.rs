//! Plots whose every text is hostile, and the checks that each drawing must pass.

use crate::common::assert_texts_apart;
use calotte_plot::plot::*;
use roxmltree::Document;

/// Text that would break out of XML, if it could.
pub const HOSTILE: &str = "</text><script>alert(\"1\")</script>&amp;<!--]]>\u{0}\u{7}' onload='x";

pub fn figure(plot: Plot) -> Figure {
    Figure {
        title: HOSTILE.to_owned(),
        caption: HOSTILE.to_owned(),
        settings: vec![(HOSTILE.to_owned(), HOSTILE.to_owned())],
        plot,
    }
}

fn hostile_axis() -> Axis {
    Axis::new(HOSTILE, HOSTILE)
}

/// Draws at the three widths and checks that the result is one SVG of finite numbers.
pub fn draw(plot: Plot) -> Vec<Drawing> {
    let figure = figure(plot);
    let styles = [
        FigureStyle::journal_column(),
        FigureStyle::screen(),
        FigureStyle {
            draw_title: true,
            ..FigureStyle::journal_page()
        },
    ];
    styles
        .iter()
        .map(|style| {
            let drawing = figure.draw(style).expect("drawable");
            check(&drawing);
            drawing
        })
        .collect()
}

fn check(drawing: &Drawing) {
    let document = Document::parse(&drawing.svg).expect("well-formed");
    let names = [
        "svg", "title", "desc", "g", "rect", "path", "circle", "text",
    ];
    for node in document.descendants().filter(|n| n.is_element()) {
        assert!(
            names.contains(&node.tag_name().name()),
            "{:?}",
            node.tag_name()
        );
        for attribute in node.attributes() {
            assert!(!attribute.name().starts_with("on"), "{}", attribute.name());
            let value = attribute.value();
            let is_finite = !value.contains("NaN") && !value.contains("inf");
            assert!(is_finite, "{} = {value}", attribute.name());
        }
    }
    assert_texts_apart("edge case", &document);
    assert!(drawing.height_mm.is_finite() && drawing.height_mm > 0.0);
    assert!(drawing.height_mm < 3000.0, "{} mm high", drawing.height_mm);
}

pub fn heat_map(panels: Vec<HeatPanel>) -> HeatMap {
    HeatMap {
        x: hostile_axis(),
        y: hostile_axis(),
        scale: ColourScale::new(HOSTILE, HOSTILE),
        panels,
        contours: Contours::About(5),
        best: BestCells::Panel,
        no_value: HOSTILE.to_owned(),
        print_values: true,
        aspect: 0.7,
    }
}

pub fn heat_panel(x: Vec<f64>, y: Vec<f64>, values: Vec<Option<f64>>) -> HeatPanel {
    HeatPanel {
        title: HOSTILE.to_owned(),
        lines: vec![NamedLine {
            label: HOSTILE.to_owned(),
            values: values.clone(),
            level: 0.5,
        }],
        x,
        y,
        values,
        scale: None,
    }
}

pub fn line_chart(series: Vec<Series>) -> LineChart {
    LineChart {
        x: hostile_axis(),
        y: hostile_axis(),
        panels: vec![LinePanel {
            title: HOSTILE.to_owned(),
            series,
        }],
        aspect: 0.6,
    }
}

pub fn series(x: Vec<f64>, y: Vec<Option<f64>>) -> Series {
    Series {
        name: HOSTILE.to_owned(),
        best: (!x.is_empty()).then_some(0),
        best_label: HOSTILE.to_owned(),
        x,
        y,
    }
}

pub fn scatter(points: Vec<Candidate>) -> Scatter {
    Scatter {
        x: hostile_axis(),
        y: hostile_axis(),
        groups: vec![PointGroup {
            name: HOSTILE.to_owned(),
            points,
        }],
        front: true,
        ideal: true,
        named: vec![NamedPoint {
            label: HOSTILE.to_owned(),
            x: 0.5,
            y: 0.5,
            chosen: true,
        }],
        aspect: 0.7,
        ..Scatter::default()
    }
}

pub fn dome(rings: Vec<DomeRing>, axis: Direction) -> DomeMap {
    let circle = |polar_deg: f64| -> Vec<Direction> {
        (0..12)
            .map(|i| Direction {
                polar_deg,
                azimuth_deg: f64::from(i) * 30.0,
            })
            .collect()
    };
    DomeMap {
        scale: ColourScale::new(HOSTILE, HOSTILE),
        panels: vec![DomePanel {
            title: HOSTILE.to_owned(),
            rings,
            outlines: vec![DomeOutline {
                label: HOSTILE.to_owned(),
                points: circle(50.0),
                closed: true,
            }],
            excluded: vec![circle(10.0)],
            marks: vec![DomeMark {
                at: Direction {
                    polar_deg: 40.0,
                    azimuth_deg: 200.0,
                },
                label: HOSTILE.to_owned(),
            }],
        }],
        view: DomeView {
            axis,
            right_azimuth_deg: 0.0,
            note: HOSTILE.to_owned(),
        },
        not_reached: HOSTILE.to_owned(),
        excluded: HOSTILE.to_owned(),
    }
}
