//! Figures of a fit show what the numbers say (places derived by hand from the data of each
//! test).

mod common;

use calotte_plot::plot::*;
use common::{assert_texts_apart, texts};
use roxmltree::{Document, Node};

fn drawn(plot: Plot) -> Drawing {
    let figure = Figure {
        title: "Test".to_owned(),
        caption: "Invented.".to_owned(),
        settings: vec![],
        plot,
    };
    let drawing = figure.draw(&FigureStyle::screen()).expect("valid");
    let document = Document::parse(&drawing.svg).expect("well-formed");
    assert_texts_apart("figure of a fit", &document);
    drawing
}

fn group<'a>(document: &'a Document, class: &str) -> Vec<Node<'a, 'a>> {
    document
        .descendants()
        .filter(|n| n.attribute("class") == Some(class))
        .collect()
}

fn number(node: Node, key: &str) -> f64 {
    node.attribute(key).expect(key).parse().expect("number")
}

fn places(node: Node) -> Vec<[f64; 2]> {
    let data = node.attribute("d").expect("data");
    data.split(['M', 'L', 'Z'])
        .filter(|part| !part.is_empty())
        .map(|part| {
            let (x, y) = part.split_once(' ').expect("two numbers");
            [x.parse().expect("number"), y.parse().expect("number")]
        })
        .collect()
}

fn row(number: usize, direction: [f64; 2], residual: [f64; 3], used: bool) -> ResidualRow {
    ResidualRow {
        number,
        direction: Direction {
            polar_deg: direction[0],
            azimuth_deg: direction[1],
        },
        polar_mm: residual[0],
        azimuth_mm: residual[1],
        outward_mm: residual[2],
        used,
    }
}

fn dome(rows: Vec<ResidualRow>) -> Plot {
    Plot::ResidualDome(ResidualDome {
        panels: vec![ResidualPanel {
            title: "As designed".to_owned(),
            rows,
        }],
        ..ResidualDome::default()
    })
}

/// Tail and tip of every arrow of a group.
fn arrows(group: Node) -> Vec<[[f64; 2]; 2]> {
    group
        .children()
        .filter(|n| n.has_tag_name("path"))
        .map(|n| {
            let corners = places(n);
            let tail = [0, 1].map(|i| (corners[0][i] + corners[6][i]) / 2.0);
            [tail, corners[3]]
        })
        .collect()
}

fn length([tail, tip]: [[f64; 2]; 2]) -> f64 {
    (tip[0] - tail[0]).hypot(tip[1] - tail[1])
}

/// At azimuth 90°, which points up, growing polar angle points up and growing azimuth to the
/// left; the sheet's y points down.
#[test]
fn arrows_point_along_polar_angle_and_azimuth_with_one_scale() {
    let drawing = drawn(dome(vec![
        row(1, [45.0, 90.0], [2.0, 0.0, 0.0], true),
        row(2, [30.0, 90.0], [0.0, 2.0, 0.0], true),
        row(3, [60.0, 0.0], [0.0, 1.0, 0.0], true),
    ]));
    let document = Document::parse(&drawing.svg).expect("well-formed");
    // Arrows are drawn from the shortest to the longest.
    let found = arrows(group(&document, "arrows")[0]);
    let [one, polar, azimuth] = found[..] else {
        panic!("{found:?}")
    };
    let step = |[tail, tip]: [[f64; 2]; 2]| [tip[0] - tail[0], tip[1] - tail[1]];
    let close = |a: f64, b: f64| (a - b).abs() < 0.03;
    let reach = length(polar);
    assert!(reach > 10.0 && close(step(polar)[0], 0.0) && close(step(polar)[1], -reach));
    assert!(close(step(azimuth)[0], -reach) && close(step(azimuth)[1], 0.0));
    // At azimuth 0 growing azimuth points up, and half the residual has half the length.
    assert!(close(step(one)[0], 0.0) && close(step(one)[1], -reach / 2.0));
    let key = arrows(group(&document, "key-arrow")[0])[0];
    assert!(close(length(key), reach), "the key of 2 mm");
    let words: Vec<&str> = texts(&document).iter().filter_map(|n| n.text()).collect();
    assert!(words.contains(&"2 mm along the dome"), "{words:?}");
}

#[test]
fn each_panel_says_its_own_scale() {
    let panel = |size: f64| ResidualPanel {
        title: String::new(),
        rows: vec![
            row(1, [45.0, 90.0], [size, 0.0, size], true),
            row(2, [80.0, 10.0], [0.0, 0.0, -size], true),
        ],
    };
    let drawing = drawn(Plot::ResidualDome(ResidualDome {
        panels: vec![panel(1.0), panel(0.02)],
        ..ResidualDome::default()
    }));
    let document = Document::parse(&drawing.svg).expect("well-formed");
    let keys = group(&document, "key-arrow");
    let lengths: Vec<f64> = keys.iter().map(|key| length(arrows(*key)[0])).collect();
    assert!((lengths[0] - lengths[1]).abs() < 0.03, "{lengths:?}");
    let words: Vec<&str> = texts(&document).iter().filter_map(|n| n.text()).collect();
    for wanted in ["1 mm along the dome", "0.02 mm along the dome"] {
        assert!(words.contains(&wanted), "{words:?}");
    }
    assert_eq!(group(&document, "colour-bar").len(), 2);
    // The sign of the outward part is a shape too: disc outward, square inward.
    let marks = group(&document, "marks")[0];
    let discs = marks.children().filter(|n| n.has_tag_name("circle"));
    let squares = marks.children().filter(|n| n.has_tag_name("path"));
    assert_eq!((discs.count(), squares.count()), (1, 1));
}

#[test]
fn rows_not_used_are_crossed_with_their_number_and_set_no_scale() {
    let mut rows = vec![
        row(1, [45.0, 90.0], [1.0, 0.0, 0.0], true),
        row(2, [60.0, 200.0], [0.0, 1.0, 0.0], true),
    ];
    let before = drawn(dome(rows.clone()));
    rows.push(row(17, [50.0, 300.0], [400.0, 0.0, 90.0], false));
    let after = drawn(dome(rows));
    let arrows_of = |drawing: &Drawing| {
        let document = Document::parse(&drawing.svg).expect("well-formed");
        arrows(group(&document, "arrows")[0])
    };
    assert_eq!(arrows_of(&before), arrows_of(&after));
    let document = Document::parse(&after.svg).expect("well-formed");
    let words: Vec<&str> = texts(&document).iter().filter_map(|n| n.text()).collect();
    assert!(words.contains(&"17"), "{words:?}");
    assert!(words.contains(&"1 not used, up to 410 mm"), "{words:?}");
    // Without an outward part of a row used there is nothing to colour.
    assert!(group(&document, "colour-bar").is_empty());
}

#[test]
fn ten_thousand_rows_are_thinned_but_never_the_greatest_or_those_not_used() {
    let mut rows: Vec<ResidualRow> = (0..10_000)
        .map(|i| {
            let (polar, azimuth) = (f64::from(i % 100) * 0.9, f64::from(i / 100) * 3.6);
            row(i as usize + 1, [polar, azimuth], [0.1, 0.0, 0.1], true)
        })
        .collect();
    rows[4321].polar_mm = 0.4;
    for place in [5, 777, 9000] {
        rows[place].used = false;
    }
    let drawing = drawn(dome(rows.clone()));
    assert!(drawing.svg.len() < 300_000, "{}", drawing.svg.len());
    let document = Document::parse(&drawing.svg).expect("well-formed");
    let found = arrows(group(&document, "arrows")[0]);
    assert!((150..=401).contains(&found.len()), "{}", found.len());
    // The greatest is drawn last and is four times as long as the others.
    let longest = length(found[found.len() - 1]);
    assert!((longest / length(found[0]) - 4.0).abs() < 0.1);
    let words: Vec<&str> = texts(&document).iter().filter_map(|n| n.text()).collect();
    for wanted in ["6", "778", "9001"] {
        assert!(words.contains(&wanted), "{wanted} in {words:?}");
    }
    let all = words.join(" ");
    let said = format!("{} of 9997 rows used are drawn", found.len());
    assert!(all.contains(&said), "{all}");
    assert!(all.contains("maximum 0.41 mm (row 4322)"), "{all}");
}

#[test]
fn all_of_many_rows_not_used_are_crossed_and_the_greatest_is_numbered() {
    let mut rows: Vec<ResidualRow> = (0..400)
        .map(|i| {
            let (polar, azimuth) = (f64::from(i % 20) * 4.0, f64::from(i / 20) * 18.0);
            row(
                i as usize + 1000,
                [polar, azimuth],
                [0.1, 0.0, 0.0],
                i % 4 > 0,
            )
        })
        .collect();
    rows[40].outward_mm = 3.0;
    let drawing = drawn(dome(rows));
    let document = Document::parse(&drawing.svg).expect("well-formed");
    let crosses = group(&document, "not-used")[0];
    let path = crosses.children().find(|n| n.has_tag_name("path"));
    let data = path.and_then(|n| n.attribute("d")).expect("crosses");
    assert_eq!(data.matches('M').count(), 2 * 100);
    let words: Vec<&str> = texts(&document).iter().filter_map(|n| n.text()).collect();
    assert!(
        words.contains(&"1040") && !words.contains(&"1044"),
        "{words:?}"
    );
    let told = drawing.notes.join(" ");
    assert!(told.contains("1044") && !told.contains("1040"), "{told}");
}

#[test]
fn the_far_pole_is_a_rim_like_any_other() {
    let drawing = drawn(dome(vec![
        row(1, [180.0, 0.0], [0.0, 0.0, 0.2], true),
        row(2, [180.0, 180.0], [0.0, 0.0, -0.2], true),
        row(3, [0.0, 0.0], [0.0, 0.1, 0.0], true),
    ]));
    let document = Document::parse(&drawing.svg).expect("well-formed");
    let marks = group(&document, "marks")[0];
    let discs: Vec<[f64; 2]> = marks
        .children()
        .filter(|n| n.has_tag_name("circle"))
        .map(|n| [number(n, "cx"), number(n, "cy")])
        .collect();
    let square = marks.children().find(|n| n.has_tag_name("path"));
    let corners = places(square.expect("inward"));
    let opposite = (corners[0][0] + corners[2][0]) / 2.0;
    // Shortest residual first: the pole, then the disc of the two equal ones.
    let [pole, right] = discs[..] else {
        panic!("{discs:?}")
    };
    assert!(right[0] - pole[0] > 50.0 && (right[1] - pole[1]).abs() < 0.03);
    assert!((right[0] + opposite - 2.0 * pole[0]).abs() < 0.05);
    let words: Vec<&str> = texts(&document).iter().filter_map(|n| n.text()).collect();
    assert!(words.iter().any(|w| w.contains("rim at 180°")), "{words:?}");
}

fn fitted(name: &str, offset: f64, standard_error: f64, off: bool) -> ToldRow {
    ToldRow {
        name: name.to_owned(),
        state: ToldState::Fitted {
            offset,
            standard_error,
            with_held: (name == "b").then_some(10.0 * standard_error),
            off,
        },
    }
}

fn held(name: &str, signal: Option<f64>, because: HeldBecause) -> ToldRow {
    ToldRow {
        name: name.to_owned(),
        state: ToldState::Held { signal, because },
    }
}

#[test]
fn told_parameters_stand_where_their_numbers_say() {
    let drawing = drawn(Plot::ToldParameters(ToldParameters {
        rows: vec![
            fitted("a", 0.0, 0.01, false),
            fitted("b", 1.0, 0.1, false),
            fitted("c", -100.0, 1.0, true),
            held("d", Some(0.1), HeldBecause::LooksLike(vec!["b".to_owned()])),
            held("e", None, HeldBecause::Other("as asked".to_owned())),
        ],
    }));
    let document = Document::parse(&drawing.svg).expect("well-formed");
    let discs: Vec<[f64; 2]> = document
        .descendants()
        .filter(|n| n.has_tag_name("circle"))
        .map(|n| [number(n, "cx"), number(n, "cy")])
        .collect();
    // Error and offset of a and b, error of c, error that d would have had; the legend's two.
    let [a, a_offset, b, b_offset, c, d, ..] = discs[..] else {
        panic!("{discs:?}")
    };
    assert_eq!(discs.len(), 8);
    let decade = b[0] - a[0];
    assert!(decade > 5.0);
    assert!((c[0] - b[0] - decade).abs() < 0.03, "0.1 to 1");
    assert!(
        (d[0] - c[0] - decade).abs() < 0.03,
        "a signal of 0.1 is an error of 10"
    );
    // One typical error to the right, and −100 three such steps to the left, as a diamond.
    let step = b_offset[0] - a_offset[0];
    let diamond = document
        .descendants()
        .filter(|n| n.attribute("fill") == Some("#b3402a") && n.has_tag_name("path"))
        .map(places)
        .next()
        .expect("c is off");
    assert!((a_offset[0] - diamond[0][0] - 3.0 * step).abs() < 0.05);
    let words: Vec<&str> = texts(&document).iter().filter_map(|n| n.text()).collect();
    for wanted in [
        "fixed: not separable from b",
        "held: as asked",
        "\u{2212}100 ± 1.0",
    ] {
        assert!(words.contains(&wanted), "{wanted} in {words:?}");
    }
    // From the mark of b to its error with the held ones off too, ten times as large.
    let line = document
        .descendants()
        .filter(|n| n.has_tag_name("path") && n.attribute("stroke") == Some("#17365c"))
        .map(places)
        .next()
        .expect("b has such an error");
    assert!((line[0][0] - b[0]).abs() < 0.03 && (line[1][0] - c[0]).abs() < 0.03);
    let bold: Vec<&str> = texts(&document)
        .iter()
        .filter(|n| n.attribute("font-weight") == Some("bold"))
        .filter_map(|n| n.text())
        .collect();
    assert!(bold.contains(&"c") && !bold.contains(&"b"), "{bold:?}");
}
