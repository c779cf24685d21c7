//! Hostile, empty and wrong input: a clear drawing or a clear error, never a panic and
//! never a broken file.

mod common;
#[path = "common/hostile.rs"]
mod hostile;

use calotte_plot::plot::*;
use hostile::*;
use roxmltree::Document;

fn is_told(drawings: &[Drawing], words: &str) {
    for drawing in drawings {
        let told = drawing.notes.iter().any(|n| n.contains(words));
        assert!(told, "{words} not in {:?}", drawing.notes);
    }
}

#[test]
fn no_panel_and_no_data_say_so() {
    is_told(&draw(Plot::HeatMap(heat_map(vec![]))), "nothing to show");
    let empty = heat_panel(vec![], vec![], vec![]);
    is_told(&draw(Plot::HeatMap(heat_map(vec![empty]))), "No data");
    let chart = LineChart {
        aspect: 0.6,
        ..LineChart::default()
    };
    is_told(&draw(Plot::LineChart(chart)), "nothing to show");
    is_told(&draw(Plot::LineChart(line_chart(vec![]))), "No data");
    let empty = series(vec![], vec![]);
    is_told(&draw(Plot::LineChart(line_chart(vec![empty]))), "No data");
    is_told(&draw(Plot::Scatter(scatter(vec![]))), "No data");
    let map = DomeMap::default();
    is_told(&draw(Plot::DomeMap(map)), "nothing to show");
    let pole = Direction::default();
    is_told(&draw(Plot::DomeMap(dome(vec![], pole))), "No data");
    let bars = StackedBars::default();
    is_told(&draw(Plot::StackedBars(bars)), "No data");
    let bars = MarginBars::default();
    is_told(&draw(Plot::MarginBars(bars)), "No data");
    let domes = ResidualDome::default();
    is_told(&draw(Plot::ResidualDome(domes)), "nothing to show");
    is_told(&draw(residuals(vec![])), "No data");
    let told = ToldParameters::default();
    is_told(&draw(Plot::ToldParameters(told)), "No data");
}

fn residuals(rows: Vec<ResidualRow>) -> Plot {
    Plot::ResidualDome(ResidualDome {
        panels: vec![ResidualPanel {
            title: HOSTILE.to_owned(),
            rows,
        }],
        note: HOSTILE.to_owned(),
        ..ResidualDome::default()
    })
}

fn residual(number: usize, size: f64, used: bool) -> ResidualRow {
    ResidualRow {
        number,
        polar_mm: size,
        used,
        ..ResidualRow::default()
    }
}

#[test]
fn residuals_of_zero_and_none_used_are_drawn() {
    for drawing in draw(residuals(vec![residual(1, 0.0, true); 9])) {
        assert!(drawing.svg.contains("All residuals are 0."));
        assert!(!drawing.svg.contains("key-arrow"));
    }
    let not_used = (1..60).map(|i| residual(i, 1.0, false)).collect();
    is_told(&draw(residuals(not_used)), "Crossed without a number");
}

fn told_row(state: ToldState) -> Plot {
    let row = ToldRow {
        name: HOSTILE.to_owned(),
        state,
    };
    Plot::ToldParameters(ToldParameters {
        rows: vec![row; 40],
    })
}

fn fitted(offset: f64, standard_error: f64) -> ToldState {
    ToldState::Fitted {
        offset,
        standard_error,
        with_held: None,
        off: true,
    }
}

#[test]
fn parameters_told_exactly_or_not_at_all_are_drawn() {
    draw(told_row(fitted(0.0, 0.0)));
    draw(told_row(ToldState::Held {
        signal: Some(0.0),
        because: HeldBecause::LooksLike(vec![HOSTILE.to_owned(); 5]),
    }));
}

#[test]
fn wrong_figures_of_a_fit_are_refused_by_name() {
    let error = error_of(residuals(vec![residual(12, f64::NAN, true)]));
    assert!(
        error.contains("row 12") && error.contains("finite"),
        "{error}"
    );
    let mut row = residual(13, 1.0, true);
    row.direction.polar_deg = 181.0;
    let error = error_of(residuals(vec![row]));
    assert!(
        error.contains("row 13") && error.contains("polar"),
        "{error}"
    );
    let error = error_of(told_row(fitted(f64::INFINITY, 1.0)));
    assert!(error.contains("offset"), "{error}");
    let error = error_of(told_row(fitted(0.0, -1.0)));
    assert!(error.contains("standard error"), "{error}");
    let error = error_of(Plot::ToldParameters(ToldParameters {
        rows: vec![
            ToldRow {
                name: String::new(),
                state: fitted(0.0, 1.0)
            };
            41
        ],
    }));
    assert!(error.contains("41") && error.contains("40"), "{error}");
}

#[test]
fn values_that_are_all_missing_say_so() {
    let values = vec![None, Some(f64::NAN), Some(f64::INFINITY), None];
    let panel = heat_panel(vec![1.0, 2.0], vec![1.0, 2.0], values);
    let drawings = draw(Plot::HeatMap(heat_map(vec![panel])));
    is_told(&drawings, "No value in any cell");
    let missing = series(vec![1.0, 2.0], vec![None, Some(f64::NAN)]);
    is_told(&draw(Plot::LineChart(line_chart(vec![missing]))), "No data");
    let ring = DomeRing {
        polar_deg: [0.0, 30.0],
        azimuth_start_deg: 0.0,
        cells: vec![DomeCell::Value(f64::NAN), DomeCell::NotReached],
    };
    draw(Plot::DomeMap(dome(vec![ring], Direction::default())));
    let bars = StackedBars {
        label: HOSTILE.to_owned(),
        parts: vec![HOSTILE.to_owned()],
        rows: vec![StackedRow {
            name: HOSTILE.to_owned(),
            values: vec![None],
        }],
    };
    is_told(&draw(Plot::StackedBars(bars)), "count as zero");
}

#[test]
fn single_cells_and_points_are_drawn() {
    let panel = heat_panel(vec![3.0], vec![20.0], vec![Some(0.4)]);
    draw(Plot::HeatMap(heat_map(vec![panel])));
    let only = series(vec![3.0], vec![Some(0.4)]);
    draw(Plot::LineChart(line_chart(vec![only])));
    draw(Plot::Scatter(scatter(vec![Candidate {
        x: 0.5,
        y: 0.5,
        feasible: true,
    }])));
    let ring = DomeRing {
        polar_deg: [0.0, 90.0],
        azimuth_start_deg: 10.0,
        cells: vec![DomeCell::Value(1.0)],
    };
    draw(Plot::DomeMap(dome(vec![ring], Direction::default())));
}

#[test]
fn equal_values_are_drawn_with_one_colour() {
    let panel = heat_panel(vec![1.0, 2.0], vec![1.0, 2.0], vec![Some(7.0); 4]);
    for drawing in draw(Plot::HeatMap(heat_map(vec![panel]))) {
        let document = Document::parse(&drawing.svg).expect("well-formed");
        let cells = document
            .descendants()
            .find(|n| n.attribute("class") == Some("cells"))
            .expect("cells");
        let fills: Vec<_> = cells
            .children()
            .filter_map(|n| n.attribute("fill"))
            .collect();
        assert_eq!(fills.len(), 1, "{fills:?}");
    }
}

#[test]
fn hostile_text_stays_text() {
    let panel = heat_panel(
        vec![1.0, 2.0, 3.0],
        vec![1.0, 2.0],
        vec![Some(0.1), Some(0.4), Some(0.9), None, Some(0.6), Some(0.2)],
    );
    for drawing in draw(Plot::HeatMap(heat_map(vec![panel]))) {
        assert!(!drawing.svg.contains("<script"));
        assert!(!drawing.svg.contains("<!--"));
        let document = Document::parse(&drawing.svg).expect("well-formed");
        let title = document
            .root_element()
            .first_element_child()
            .expect("title");
        let kept = HOSTILE.replace(['\u{0}', '\u{7}'], "\u{fffd}");
        assert_eq!(title.text(), Some(kept.as_str()));
    }
    let bars = MarginBars {
        rows: vec![MarginRow {
            name: HOSTILE.repeat(40),
            needed: HOSTILE.to_owned(),
            found: HOSTILE.to_owned(),
            margin_percent: Some(-12.0),
            band_percent: Some([-20.0, f64::NAN]),
            found_is: HOSTILE.to_owned(),
            nominal_percent: Some(f64::NAN),
        }],
    };
    draw(Plot::MarginBars(bars));
}

#[test]
fn long_texts_are_cut_and_told_in_full() {
    let long = "a very long name ".repeat(60);
    let chart = LineChart {
        x: Axis::new(long.clone(), "mm"),
        y: Axis::new(long.clone(), "mm"),
        panels: vec![LinePanel {
            title: long.clone(),
            series: vec![Series {
                name: long.clone(),
                x: vec![0.0, 1.0],
                y: vec![Some(0.0), Some(1.0)],
                ..Series::default()
            }],
        }],
        aspect: 0.6,
    };
    for drawing in draw(Plot::LineChart(chart)) {
        assert!(drawing.notes.iter().any(|n| n.contains(long.trim())));
        let document = Document::parse(&drawing.svg).expect("well-formed");
        for node in document.descendants().filter(|n| n.has_tag_name("text")) {
            let text = node.text().unwrap_or_default();
            assert!(text.chars().count() < 250, "{text}");
        }
    }
}

fn error_of(plot: Plot) -> String {
    figure(plot)
        .draw(&FigureStyle::screen())
        .expect_err("must be refused")
        .to_string()
}

#[test]
fn wrong_input_is_refused_by_name() {
    let mut panel = heat_panel(vec![1.0, 2.0], vec![1.0, 2.0], vec![None; 4]);
    panel.title = "left".to_owned();
    panel.values.pop();
    let error = error_of(Plot::HeatMap(heat_map(vec![panel.clone()])));
    assert!(
        error.contains("left") && error.contains('3') && error.contains('4'),
        "{error}"
    );
    panel.values.push(None);
    panel.x = vec![2.0, 2.0];
    let error = error_of(Plot::HeatMap(heat_map(vec![panel.clone()])));
    assert!(error.contains("growing order"), "{error}");
    panel.x = vec![2.0, f64::NAN];
    let error = error_of(Plot::HeatMap(heat_map(vec![panel])));
    assert!(error.contains("finite"), "{error}");

    let mut short = series(vec![1.0, 2.0], vec![None]);
    short.name = "steel".to_owned();
    let error = error_of(Plot::LineChart(line_chart(vec![short])));
    assert!(error.contains("steel"), "{error}");
    let mut far = series(vec![1.0, 2.0], vec![None, None]);
    far.best = Some(2);
    let error = error_of(Plot::LineChart(line_chart(vec![far])));
    assert!(error.contains("best point"), "{error}");
    let huge = series(vec![1.0, 2.0], vec![Some(1e200), None]);
    let error = error_of(Plot::LineChart(line_chart(vec![huge])));
    assert!(error.contains("too large"), "{error}");

    let ring = DomeRing {
        polar_deg: [30.0, 20.0],
        azimuth_start_deg: 0.0,
        cells: vec![DomeCell::Value(1.0)],
    };
    let error = error_of(Plot::DomeMap(dome(vec![ring], Direction::default())));
    assert!(
        error.contains("ring 1") && error.contains("polar"),
        "{error}"
    );

    let bars = StackedBars {
        label: String::new(),
        parts: vec!["arcs".to_owned()],
        rows: vec![StackedRow {
            name: "two stages".to_owned(),
            values: vec![Some(-1.0)],
        }],
    };
    let error = error_of(Plot::StackedBars(bars));
    assert!(
        error.contains("two stages") && error.contains("arcs"),
        "{error}"
    );

    let chart = LineChart {
        y: Axis::new("Stiffness", "N/mm").with_kind(AxisKind::Logarithmic),
        ..line_chart(vec![series(vec![1.0], vec![Some(0.0)])])
    };
    let error = error_of(Plot::LineChart(chart));
    assert!(
        error.contains("Stiffness") && error.contains("logarithmic"),
        "{error}"
    );
}
