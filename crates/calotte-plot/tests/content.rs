//! What the figures show stands where the numbers say (places derived by hand from the
//! data of each test).

use calotte_plot::plot::*;
use roxmltree::{Document, Node};

fn draw(plot: Plot) -> String {
    let figure = Figure {
        title: "Test".to_owned(),
        caption: "Invented.".to_owned(),
        settings: vec![],
        plot,
    };
    figure.draw(&FigureStyle::screen()).expect("valid").svg
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

/// Places of a path made of straight lines between given places.
fn places(data: &str) -> Vec<[f64; 2]> {
    data.split(['M', 'L', 'Z'])
        .filter(|part| !part.is_empty())
        .map(|part| {
            let (x, y) = part.split_once(' ').expect("two numbers");
            [x.parse().expect("number"), y.parse().expect("number")]
        })
        .collect()
}

/// Left, right, top and bottom of every cell of a path of upright cells.
fn cells(node: Node) -> Vec<[f64; 4]> {
    let data = node.attribute("d").expect("cells");
    data.split('M')
        .filter(|part| !part.is_empty())
        .map(|cell| {
            let numbers: Vec<f64> = cell
                .split(['H', 'V', 'Z', ' '])
                .filter(|part| !part.is_empty())
                .map(|part| part.parse().expect("number"))
                .collect();
            [numbers[0], numbers[2], numbers[1], numbers[3]]
        })
        .collect()
}

fn close(a: f64, b: f64) -> bool {
    (a - b).abs() < 0.02
}

fn plain_heat_map(values: [f64; 4], lines: Vec<NamedLine>) -> HeatMap {
    HeatMap {
        x: Axis::new("x", "mm"),
        y: Axis::new("y", "mm"),
        scale: ColourScale::new("Sag", "mm"),
        panels: vec![HeatPanel {
            x: vec![0.0, 10.0],
            y: vec![0.0, 10.0],
            values: values.iter().map(|v| Some(*v)).collect(),
            lines,
            ..HeatPanel::default()
        }],
        aspect: 0.7,
        ..HeatMap::default()
    }
}

#[test]
fn cells_stand_where_their_values_belong() {
    // Rows of x, lowest y first: the second value is bottom right, the third top left.
    let svg = draw(Plot::HeatMap(plain_heat_map([0.0, 1.0, 2.0, 3.0], vec![])));
    let document = Document::parse(&svg).expect("well-formed");
    let group = &group(&document, "cells")[0];
    let of_value = |fraction: f64| {
        let colour = ColourMap::Viridis.at(fraction).to_hex();
        let node = group
            .children()
            .find(|n| n.attribute("fill") == Some(colour.as_str()))
            .expect("a cell of that colour");
        cells(node)[0]
    };
    let [low, right, top, high] = [0.0, 1.0 / 3.0, 2.0 / 3.0, 1.0].map(of_value);
    assert!(
        close(low[1], right[0]) && close(low[2], right[2]),
        "right of the first"
    );
    assert!(
        close(low[2], top[3]) && close(low[0], top[0]),
        "above the first"
    );
    assert!(
        close(high[0], right[0]) && close(high[2], top[2]),
        "top right"
    );
}

#[test]
fn named_line_runs_where_its_quantity_has_the_level() {
    let line = NamedLine {
        label: "half".to_owned(),
        values: [0.0, 10.0, 0.0, 10.0].iter().map(|v| Some(*v)).collect(),
        level: 2.5,
    };
    let svg = draw(Plot::HeatMap(plain_heat_map(
        [0.0, 1.0, 2.0, 3.0],
        vec![line],
    )));
    let document = Document::parse(&svg).expect("well-formed");
    let all: Vec<[f64; 4]> = group(&document, "cells")[0]
        .children()
        .flat_map(|n| {
            if n.has_tag_name("path") {
                cells(n)
            } else {
                vec![]
            }
        })
        .collect();
    let left = all.iter().map(|c| c[0]).fold(f64::INFINITY, f64::min);
    let right = all.iter().map(|c| c[1]).fold(0.0, f64::max);
    let top = all.iter().map(|c| c[2]).fold(f64::INFINITY, f64::min);
    let bottom = all.iter().map(|c| c[3]).fold(0.0, f64::max);
    // Cells of 10 mm around 0 and 10: the frame spans −5 to 15, and 2.5 lies at 7.5 of 20.
    let expected = left + (right - left) * 7.5 / 20.0;
    let path = group(&document, "lines")[0]
        .children()
        .find(|n| n.has_tag_name("path"))
        .expect("the line");
    let line = places(path.attribute("d").expect("data"));
    assert!(
        line.iter().all(|p| close(p[0], expected)),
        "{line:?} {expected}"
    );
    // It runs from edge to edge of the frame.
    let ends = [line[0][1], line[line.len() - 1][1]];
    assert!(close(ends[0].min(ends[1]), top) && close(ends[0].max(ends[1]), bottom));
}

#[test]
fn line_has_a_gap_where_a_value_is_missing() {
    let values = [Some(1.0), Some(2.0), None, Some(2.0), Some(1.0), Some(3.0)];
    let svg = draw(Plot::LineChart(LineChart {
        x: Axis::new("x", "").with_kind(AxisKind::Integer),
        y: Axis::new("y", ""),
        panels: vec![LinePanel {
            series: vec![Series {
                x: (0..6).map(f64::from).collect(),
                y: values.to_vec(),
                best: Some(5),
                ..Series::default()
            }],
            ..LinePanel::default()
        }],
        aspect: 0.6,
    }));
    let document = Document::parse(&svg).expect("well-formed");
    let series = group(&document, "series")[0];
    let lengths: Vec<usize> = series
        .children()
        .filter(|n| n.has_tag_name("path"))
        .map(|n| places(n.attribute("d").expect("data")).len())
        .collect();
    assert_eq!(lengths, [2, 3]);
    let markers: Vec<Node> = series
        .children()
        .filter(|n| n.has_tag_name("circle"))
        .collect();
    assert_eq!(markers.len(), 5);
    // The ring around the best point has the place of the last marker.
    let ring = document
        .descendants()
        .filter(|n| n.has_tag_name("circle") && n.parent() != Some(series))
        .find(|n| n.attribute("fill") == Some("none"))
        .expect("ring");
    let last = markers[4];
    assert!(close(number(ring, "cx"), number(last, "cx")));
    assert!(close(number(ring, "cy"), number(last, "cy")));
}

#[test]
fn legend_covers_no_data() {
    // A rising and a falling series leave different corners free.
    for sign in [1.0, -1.0] {
        let series = |name: &str, shift: f64| Series {
            name: name.to_owned(),
            x: (0..20).map(f64::from).collect(),
            y: (0..20).map(|i| Some(shift + sign * f64::from(i))).collect(),
            ..Series::default()
        };
        let svg = draw(Plot::LineChart(LineChart {
            x: Axis::new("x", ""),
            y: Axis::new("y", ""),
            panels: vec![LinePanel {
                series: vec![series("one", 0.0), series("two", 2.0)],
                ..LinePanel::default()
            }],
            aspect: 0.6,
        }));
        let document = Document::parse(&svg).expect("well-formed");
        let legend = group(&document, "legend")[0];
        let ground = legend
            .children()
            .find(|n| n.has_tag_name("rect"))
            .expect("a legend inside the panel");
        let (left, top) = (number(ground, "x"), number(ground, "y"));
        let (right, bottom) = (
            left + number(ground, "width"),
            top + number(ground, "height"),
        );
        for series in group(&document, "series") {
            for path in series.children().filter(|n| n.has_tag_name("path")) {
                for [x, y] in places(path.attribute("d").expect("data")) {
                    let inside = x > left && x < right && y > top && y < bottom;
                    assert!(!inside, "legend over {x}, {y}");
                }
            }
        }
    }
}

#[test]
fn front_is_a_staircase_on_the_dominated_side() {
    let points = [[1.0, 4.0], [2.0, 2.0], [4.0, 1.0], [3.0, 3.0]];
    let svg = draw(Plot::Scatter(Scatter {
        x: Axis::new("mass", "g"),
        y: Axis::new("sag", "mm"),
        groups: vec![PointGroup {
            name: "all".to_owned(),
            points: points
                .iter()
                .map(|p| Candidate {
                    x: p[0],
                    y: p[1],
                    feasible: true,
                })
                .collect(),
        }],
        front: true,
        aspect: 0.7,
        ..Scatter::default()
    }));
    let document = Document::parse(&svg).expect("well-formed");
    let dots = group(&document, "candidates")[0]
        .children()
        .find(|n| n.has_tag_name("path"))
        .and_then(|n| n.attribute("d"))
        .expect("dots");
    let dots = places(&dots.replace("h0", ""));
    let front = group(&document, "front")[0]
        .children()
        .find(|n| n.has_tag_name("path"))
        .and_then(|n| n.attribute("d"))
        .expect("front");
    let corners = places(front);
    // Right at the sag of one member, then down at the mass of the next.
    let expected = [
        dots[0],
        [dots[1][0], dots[0][1]],
        [dots[1][0], dots[0][1]],
        dots[1],
        dots[1],
        [dots[2][0], dots[1][1]],
        [dots[2][0], dots[1][1]],
        dots[2],
    ];
    assert_eq!(corners.len(), expected.len());
    for (found, expected) in corners.iter().zip(&expected) {
        assert!(close(found[0], expected[0]) && close(found[1], expected[1]));
    }
}

#[test]
fn dome_marks_stand_at_their_direction() {
    let ring = |polar_deg: [f64; 2]| DomeRing {
        polar_deg,
        azimuth_start_deg: 0.0,
        cells: vec![DomeCell::Value(1.0); 12],
    };
    let mark = |polar_deg: f64, azimuth_deg: f64| DomeMark {
        at: Direction {
            polar_deg,
            azimuth_deg,
        },
        label: format!("{azimuth_deg}"),
    };
    let svg = draw(Plot::DomeMap(DomeMap {
        scale: ColourScale::new("Sag", "mm"),
        panels: vec![DomePanel {
            rings: vec![ring([0.0, 45.0]), ring([45.0, 90.0])],
            marks: vec![mark(0.0, 0.0), mark(90.0, 0.0), mark(45.0, 90.0)],
            ..DomePanel::default()
        }],
        ..DomeMap::default()
    }));
    let document = Document::parse(&svg).expect("well-formed");
    let rings: Vec<[f64; 2]> = group(&document, "marks")[0]
        .children()
        .filter(|n| n.has_tag_name("circle"))
        .map(|n| [number(n, "cx"), number(n, "cy")])
        .step_by(2)
        .collect();
    let [pole, rim, above] = [rings[0], rings[1], rings[2]];
    // Azimuth 0 points right, azimuth 90° up; the radius goes as sin(polar/2).
    let radius = rim[0] - pole[0];
    assert!(radius > 50.0 && close(rim[1], pole[1]));
    let expected = radius * 22.5_f64.to_radians().sin() / 45_f64.to_radians().sin();
    assert!(close(above[0], pole[0]) && close(pole[1] - above[1], expected));
}

#[test]
fn a_mark_on_the_rim_leaves_the_azimuth_readable() {
    let svg = draw(Plot::DomeMap(DomeMap {
        scale: ColourScale::new("Sag", "mm"),
        panels: vec![DomePanel {
            rings: vec![DomeRing {
                polar_deg: [0.0, 80.0],
                azimuth_start_deg: 0.0,
                cells: vec![DomeCell::Value(1.0)],
            }],
            marks: vec![DomeMark {
                at: Direction {
                    polar_deg: 80.0,
                    azimuth_deg: 0.0,
                },
                label: "worst".to_owned(),
            }],
            ..DomePanel::default()
        }],
        ..DomeMap::default()
    }));
    let document = Document::parse(&svg).expect("well-formed");
    let marks = group(&document, "marks")[0];
    let ring = marks.descendants().find(|n| n.has_tag_name("circle"));
    let ring = ring.expect("a ring");
    let label = document
        .descendants()
        .find(|n| n.has_tag_name("text") && n.text() == Some("0°"))
        .expect("azimuth 0° is named");
    // Derived: the text is centred, about one letter height wide, and beside the ring.
    let room = number(label, "x") - number(ring, "cx") - number(ring, "r");
    assert!(room > number(label, "font-size") / 2.0, "{room}");
}

#[test]
fn both_edges_of_one_region_look_alike() {
    let circle = |polar_deg: f64, label: &str| DomeOutline {
        label: label.to_owned(),
        points: [0.0, 120.0, 240.0]
            .map(|azimuth_deg| Direction {
                polar_deg,
                azimuth_deg,
            })
            .to_vec(),
        closed: true,
    };
    let svg = draw(Plot::DomeMap(DomeMap {
        scale: ColourScale::new("Sag", "mm"),
        panels: vec![DomePanel {
            outlines: vec![
                circle(80.0, "required"),
                circle(20.0, ""),
                circle(50.0, "reached"),
            ],
            ..DomePanel::default()
        }],
        ..DomeMap::default()
    }));
    let document = Document::parse(&svg).expect("well-formed");
    let dashes: Vec<Option<&str>> = group(&document, "outlines")[0]
        .descendants()
        .filter(|n| n.attribute("stroke") == Some("#1b222a"))
        .map(|n| n.attribute("stroke-dasharray"))
        .collect();
    assert_eq!(dashes.len(), 3, "{svg}");
    assert_eq!(dashes[0], dashes[1]);
    assert_ne!(dashes[0], dashes[2]);
}

#[test]
fn bars_are_as_long_as_their_numbers() {
    let svg = draw(Plot::StackedBars(StackedBars {
        label: String::new(),
        parts: vec!["a".to_owned(), "b".to_owned()],
        rows: vec![StackedRow {
            name: String::new(),
            values: vec![Some(30.0), Some(10.0)],
        }],
    }));
    let document = Document::parse(&svg).expect("well-formed");
    let widths: Vec<f64> = document
        .descendants()
        .filter(|n| n.has_tag_name("rect") && n.attribute("stroke").is_some())
        .map(|n| number(n, "width"))
        .collect();
    assert!(
        widths.len() == 2 && close(widths[0], 3.0 * widths[1]),
        "{widths:?}"
    );

    let row = |margin| MarginRow {
        name: "row".to_owned(),
        margin_percent: Some(margin),
        ..MarginRow::default()
    };
    let svg = draw(Plot::MarginBars(MarginBars {
        rows: vec![row(10.0), row(20.0)],
    }));
    let document = Document::parse(&svg).expect("well-formed");
    let widths: Vec<f64> = document
        .descendants()
        .filter(|n| n.has_tag_name("rect"))
        .skip(1) // The sheet itself comes first.
        .map(|n| number(n, "width"))
        .collect();
    assert!(
        widths.len() == 2 && close(widths[1], 2.0 * widths[0]),
        "{widths:?}"
    );
}

#[test]
fn a_range_beyond_the_axis_has_no_end_there() {
    let strokes = |band: [f64; 2]| {
        let svg = draw(Plot::MarginBars(MarginBars {
            rows: vec![MarginRow {
                name: "row".to_owned(),
                margin_percent: Some(band[0]),
                band_percent: Some(band),
                ..MarginRow::default()
            }],
        }));
        let document = Document::parse(&svg).expect("well-formed");
        document
            .descendants()
            .filter(|n| n.has_tag_name("path") && n.attribute("stroke") == Some("#1b222a"))
            .filter_map(|n| n.attribute("d"))
            .map(|data| data.matches('M').count())
            .sum::<usize>()
    };
    // Derived: margins are cut at 100 %, and a range is a line with a stroke at each end, or
    // an arrow of two where it goes on beyond.
    let (within, across, beyond) = (
        strokes([40.0, 60.0]),
        strokes([40.0, 600.0]),
        strokes([400.0, 600.0]),
    );
    assert_eq!(across, within + 1);
    assert_eq!(within, beyond + 3);
}

#[test]
fn a_margin_says_what_it_is_of_and_a_dot_marks_the_nominal_value() {
    let svg = draw(Plot::MarginBars(MarginBars {
        rows: vec![MarginRow {
            name: "row".to_owned(),
            needed: "≤ 0.150 mm".to_owned(),
            found: "0.170 mm".to_owned(),
            found_is: "at the worse end".to_owned(),
            margin_percent: Some(-13.0),
            band_percent: Some([-13.0, 28.0]),
            nominal_percent: Some(3.6),
        }],
    }));
    assert!(svg.contains("0.170 mm at the worse end"), "{svg}");
    assert!(svg.contains("dot at nominal values"));
    let document = Document::parse(&svg).expect("well-formed");
    let dots: Vec<f64> = document
        .descendants()
        .filter(|n| n.has_tag_name("circle"))
        .map(|n| number(n, "cx"))
        .collect();
    let bar = document
        .descendants()
        .filter(|n| n.has_tag_name("rect"))
        .nth(1) // The sheet itself comes first.
        .expect("a bar");
    let zero = number(bar, "x") + number(bar, "width");
    // Derived: 3.6 % to the right of zero on the scale of the bar of 13 %.
    assert_eq!(dots.len(), 1);
    let wanted = zero + 3.6 / 13.0 * number(bar, "width");
    assert!((dots[0] - wanted).abs() < 0.2, "{dots:?} {wanted}");
}

#[test]
fn feasible_candidates_stand_out_among_many_others() {
    let points = |count: u32, feasible: bool| -> Vec<Candidate> {
        (0..count)
            .map(|i| Candidate {
                x: f64::from(i % 97),
                y: f64::from(i / 97),
                feasible,
            })
            .collect()
    };
    let svg = draw(Plot::Scatter(Scatter {
        groups: vec![PointGroup {
            name: "arm".to_owned(),
            points: [points(9000, false), points(50, true)].concat(),
        }],
        front: false,
        ideal: false,
        ..Scatter::default()
    }));
    let document = Document::parse(&svg).expect("well-formed");
    let clouds: Vec<(usize, f64)> = group(&document, "candidates")[0]
        .descendants()
        .filter(|n| n.has_tag_name("path"))
        .map(|n| {
            let dots = n.attribute("d").expect("dots").matches('M').count();
            (dots, number(n, "stroke-width"))
        })
        .collect();
    let [(others, small), (feasible, large)] = clouds[..] else {
        panic!("{clouds:?}")
    };
    assert!(others > 5000 && feasible == 50, "{clouds:?}");
    assert!(large > 1.3 * small, "{clouds:?}");
}

#[test]
fn negative_ticks_have_a_true_minus_sign() {
    let svg = draw(Plot::LineChart(LineChart {
        x: Axis::new("x", ""),
        y: Axis::new("y", ""),
        panels: vec![LinePanel {
            series: vec![Series {
                x: vec![0.0, 1.0],
                y: vec![Some(-1.0), Some(1.0)],
                ..Series::default()
            }],
            ..LinePanel::default()
        }],
        aspect: 0.6,
    }));
    let document = Document::parse(&svg).expect("well-formed");
    let texts: Vec<&str> = document
        .descendants()
        .filter(|n| n.has_tag_name("text"))
        .filter_map(|n| n.text())
        .collect();
    assert!(texts.contains(&"\u{2212}1.0"), "{texts:?}");
    assert!(texts.iter().all(|t| !t.starts_with('-')), "{texts:?}");
}
