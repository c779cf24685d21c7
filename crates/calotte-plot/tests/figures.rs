//! Every figure of the gallery, at every width: well-formed, finite, reproducible, with no
//! text over another one.

#[path = "../examples/gallery/figures/mod.rs"]
mod figures;

mod common;

use calotte_plot::plot::*;
use common::{assert_texts_apart, texts};
use roxmltree::{Document, Node};

fn styles() -> [FigureStyle; 4] {
    [
        FigureStyle::journal_column(),
        FigureStyle::journal_page(),
        FigureStyle::screen(),
        FigureStyle {
            draw_title: true,
            ..FigureStyle::screen()
        },
    ]
}

fn for_all(check: impl Fn(&str, &Drawing)) {
    for (name, figure) in figures::all() {
        for style in styles() {
            let drawing = figure.draw(&style).expect("gallery figures are valid");
            let name = format!("{name} at {} mm", style.width_mm);
            check(&name, &drawing);
        }
    }
}

#[test]
fn figures_are_well_formed_svg_with_title_and_description() {
    for_all(|name, drawing| {
        let document = Document::parse(&drawing.svg).unwrap_or_else(|e| panic!("{name}: {e}"));
        let root = document.root_element();
        assert_eq!(root.tag_name().name(), "svg", "{name}");
        assert_eq!(
            root.tag_name().namespace(),
            Some("http://www.w3.org/2000/svg"),
            "{name}"
        );
        let mut children = root.children().filter(Node::is_element);
        let title = children.next().expect("title");
        let description = children.next().expect("description");
        assert_eq!(title.tag_name().name(), "title", "{name}");
        assert_eq!(description.tag_name().name(), "desc", "{name}");
        let text = description.text().expect("description is not empty");
        assert!(text.contains("The data are invented."), "{name}: {text}");
        for note in &drawing.notes {
            assert!(text.contains(note.as_str()), "{name}: {note}");
        }
        assert!(!texts(&document).is_empty(), "{name} has no text");
    });
}

#[test]
fn figures_reference_nothing_and_carry_no_raster_script_or_identifier() {
    for_all(|name, drawing| {
        let document = Document::parse(&drawing.svg).expect("well-formed");
        for node in document.descendants().filter(Node::is_element) {
            let tag = node.tag_name().name();
            assert!(
                [
                    "svg", "title", "desc", "g", "rect", "path", "circle", "text"
                ]
                .contains(&tag),
                "{name}: <{tag}>"
            );
            for attribute in node.attributes() {
                let key = attribute.name();
                assert!(
                    !["id", "href", "style", "src"].contains(&key),
                    "{name}: {key}"
                );
                assert!(!key.starts_with("on"), "{name}: {key}");
                assert!(!attribute.value().contains("url("), "{name}: {key}");
            }
        }
    });
}

#[test]
fn figures_hold_finite_numbers_only() {
    for_all(|name, drawing| {
        let document = Document::parse(&drawing.svg).expect("well-formed");
        for node in document.descendants().filter(Node::is_element) {
            for attribute in node.attributes() {
                let value = attribute.value();
                assert!(
                    !value.contains("NaN") && !value.contains("inf"),
                    "{name}: {value}"
                );
                if attribute.name() == "d" {
                    let numbers = value
                        .split(|c: char| c.is_ascii_alphabetic() || c == ' ')
                        .filter(|part| !part.is_empty());
                    for number in numbers {
                        let parsed: f64 = number
                            .parse()
                            .unwrap_or_else(|_| panic!("{name}: `{number}` in a path"));
                        assert!(parsed.abs() < 1e5, "{name}: {parsed}");
                    }
                }
            }
        }
    });
}

#[test]
fn equal_input_gives_equal_bytes() {
    for (name, figure) in figures::all() {
        for style in styles() {
            let once = figure.draw(&style).expect("valid").svg;
            let again = figure.clone().draw(&style).expect("valid").svg;
            assert!(once == again, "{name} differs between two runs");
        }
    }
}

#[test]
fn no_text_covers_another_and_all_stay_on_the_sheet() {
    for_all(|name, drawing| {
        let document = Document::parse(&drawing.svg).expect("well-formed");
        assert_texts_apart(name, &document);
    });
}

#[test]
fn size_is_in_millimetres_and_matches_the_view_box() {
    for_all(|name, drawing| {
        let document = Document::parse(&drawing.svg).expect("well-formed");
        let root = document.root_element();
        let millimetres = |key: &str| -> f64 {
            let text = root.attribute(key).expect("size");
            let text = text.strip_suffix("mm").expect("in millimetres");
            text.parse().expect("number")
        };
        let view: Vec<f64> = root
            .attribute("viewBox")
            .expect("view box")
            .split(' ')
            .map(|part| part.parse().expect("number"))
            .collect();
        assert!(
            (millimetres("width") - drawing.width_mm).abs() < 0.01,
            "{name}"
        );
        // 72 points make an inch of 25.4 mm.
        assert!(
            (view[2] / 72.0 * 25.4 - drawing.width_mm).abs() < 0.01,
            "{name}"
        );
        assert!(
            (view[3] / 72.0 * 25.4 - millimetres("height")).abs() < 0.01,
            "{name}"
        );
    });
}

#[test]
fn letters_have_the_size_asked_for() {
    let figure = figures::all().remove(0).1;
    let drawing = figure.draw(&FigureStyle::journal_column()).expect("valid");
    let document = Document::parse(&drawing.svg).expect("well-formed");
    let sizes: Vec<f64> = texts(&document)
        .iter()
        .map(|n| {
            n.attribute("font-size")
                .expect("size")
                .parse()
                .expect("number")
        })
        .collect();
    assert!(sizes.contains(&8.0));
    // The smallest letters, values on contour lines, stay above 6 pt.
    assert!(sizes.iter().all(|s| (6.0..=8.0).contains(s)), "{sizes:?}");
}

#[test]
fn fifty_thousand_candidates_stay_below_a_megabyte_and_it_says_so() {
    let figures = figures::all();
    let (_, figure) = figures
        .iter()
        .find(|(name, _)| *name == "scatter-many")
        .expect("in the gallery");
    for style in styles() {
        let drawing = figure.draw(&style).expect("valid");
        assert!(drawing.svg.len() < 1_000_000, "{}", drawing.svg.len());
        assert!(drawing.notes.iter().any(|n| n.contains("50000 candidates")));
    }
}
