//! The HTML document: well-formed, self-contained, readable.

#[path = "../../calotte-plot/examples/gallery/figures/mod.rs"]
mod figures;
#[path = "../examples/page/report.rs"]
mod report;

use calotte_report::html::*;
use roxmltree::{Document, Node, ParsingOptions};

const HOSTILE: &str = "</p><script>alert(\"1\")</script><img src=x onerror='y'>&amp;\u{0}";

fn parse(html: &str) -> Document<'_> {
    // The writer closes every element, so that a strict XML reader can check it.
    let options = ParsingOptions {
        allow_dtd: true,
        ..ParsingOptions::default()
    };
    Document::parse_with_options(html, options).expect("well-formed")
}

fn named<'a>(document: &'a Document, name: &'a str) -> Vec<Node<'a, 'a>> {
    document
        .descendants()
        .filter(|n| n.tag_name().name() == name)
        .collect()
}

fn document_of(blocks: Vec<Block>) -> HtmlDocument {
    HtmlDocument {
        title: HOSTILE.to_owned(),
        lead: HOSTILE.to_owned(),
        status: Some(Status {
            verdict: Verdict::NotMet,
            text: HOSTILE.to_owned(),
        }),
        sections: vec![Section {
            heading: HOSTILE.to_owned(),
            blocks,
        }],
        provenance: vec![(HOSTILE.to_owned(), HOSTILE.to_owned())],
    }
}

fn all_text(node: Node) -> String {
    node.descendants()
        .filter(Node::is_text)
        .filter_map(|n| n.text())
        .collect()
}

#[test]
fn nothing_outside_the_file_is_referenced() {
    let html = report::report().to_html().expect("valid");
    let document = parse(&html);
    for node in document.descendants().filter(Node::is_element) {
        let name = node.tag_name().name();
        let loads = [
            "script", "link", "img", "image", "use", "iframe", "object", "embed", "audio", "video",
            "source", "base", "form",
        ];
        assert!(!loads.contains(&name), "<{name}>");
        for attribute in node.attributes() {
            let (key, value) = (attribute.name(), attribute.value());
            assert!(!key.starts_with("on"), "{key}");
            assert!(
                !["src", "srcset", "style", "ping", "action"].contains(&key),
                "{key}"
            );
            if key == "href" {
                assert!(value.starts_with("#section-"), "{value}");
            }
            assert!(!value.contains("url("), "{value}");
        }
    }
    let styles = named(&document, "style");
    assert_eq!(styles.len(), 1);
    let style = styles[0].text().expect("style sheet");
    for word in ["url(", "@import", "http", "src:", "expression("] {
        assert!(!style.contains(word), "{word} in the style sheet");
    }
    // The only addresses in the file are the names of the SVG standard.
    let addresses = html.matches("http").count();
    let namespaces = html.matches("xmlns=\"http://www.w3.org/2000/svg\"").count();
    let policy = html.matches("http-equiv").count();
    assert_eq!(addresses, namespaces + policy);
    assert!(html.contains("default-src &#39;none&#39;"));
}

#[test]
fn same_input_gives_same_bytes() {
    let once = report::report().to_html().expect("valid");
    let again = report::report().to_html().expect("valid");
    assert!(once == again);
}

#[test]
fn hostile_text_stays_text_everywhere() {
    let blocks = vec![
        Block::Paragraph(HOSTILE.to_owned()),
        Block::Subheading(HOSTILE.to_owned()),
        Block::List(vec![HOSTILE.to_owned()]),
        Block::Definitions(vec![(HOSTILE.to_owned(), HOSTILE.to_owned())]),
        Block::Table(Table {
            caption: HOSTILE.to_owned(),
            columns: vec![Column::text(HOSTILE), Column::number(HOSTILE, HOSTILE)],
            rows: vec![vec![
                Cell::Text(HOSTILE.to_owned()),
                Cell::Missing(HOSTILE.to_owned()),
            ]],
            emphasised: Some(0),
        }),
        Block::Figure {
            svg: "<svg xmlns=\"http://www.w3.org/2000/svg\"/>".to_owned(),
            caption: HOSTILE.to_owned(),
        },
        Block::Cautions(vec![HOSTILE.to_owned()]),
        Block::Notes(vec![HOSTILE.to_owned()]),
        Block::Preformatted(HOSTILE.to_owned()),
    ];
    let html = document_of(blocks).to_html().expect("valid");
    let document = parse(&html);
    assert!(named(&document, "script").is_empty());
    assert!(named(&document, "img").is_empty());
    let kept = HOSTILE.replace('\u{0}', "\u{fffd}");
    // Title twice, status, lead, heading and two of the provenance make 7; the blocks hold
    // 1 + 1 + 1 + 2 + 6 (caption, two headings, unit, two cells) + 1 + 1 + 1 + 1 = 15.
    assert_eq!(all_text(document.root_element()).matches(&kept).count(), 22);
}

#[test]
fn numbers_stand_under_each_other_with_the_unit_in_the_header() {
    let rows = [(0.5, 1), (12.25, 2), (-3.0, 0), (f64::NAN, 2)]
        .into_iter()
        .map(|(value, decimals)| {
            vec![
                Cell::Text("row".to_owned()),
                Cell::Number { value, decimals },
            ]
        })
        .collect();
    let table = Table {
        caption: "Sag".to_owned(),
        columns: vec![Column::text("Variant"), Column::number("Sag", "mm")],
        rows,
        emphasised: Some(1),
    };
    let html = document_of(vec![Block::Table(table)])
        .to_html()
        .expect("valid");
    let document = parse(&html);
    let header = named(&document, "thead")[0];
    assert_eq!(all_text(header).replace('\n', ""), "VariantSag mm");
    let cells: Vec<Node> = named(&document, "td");
    let texts: Vec<String> = cells.iter().map(|n| all_text(*n)).collect();
    assert_eq!(
        texts,
        [
            "0.5\u{2007}",
            "12.25",
            "\u{2212}3\u{2007}\u{2007}\u{2008}",
            "no value"
        ]
    );
    assert!(
        cells[..3]
            .iter()
            .all(|n| n.attribute("class") == Some("number"))
    );
    assert_eq!(cells[3].attribute("class"), Some("number missing"));
    let emphasised: Vec<Node> = document
        .descendants()
        .filter(|n| n.attribute("class") == Some("emphasised"))
        .collect();
    assert!(emphasised.len() == 1 && all_text(emphasised[0]).contains("12.25"));
    // Each row is named for those who listen to the table.
    assert_eq!(
        document
            .descendants()
            .filter(|n| n.attribute("scope") == Some("row"))
            .count(),
        4
    );
}

#[test]
fn wrong_tables_and_figures_are_refused_by_name() {
    let table = Table {
        caption: "Margins".to_owned(),
        columns: vec![Column::text("a"), Column::text("b")],
        rows: vec![
            vec![Cell::Text("1".to_owned()), Cell::Text("2".to_owned())],
            vec![Cell::Text("1".to_owned())],
        ],
        emphasised: None,
    };
    let error = document_of(vec![Block::Table(table)])
        .to_html()
        .expect_err("short row");
    let text = error.to_string();
    assert!(text.contains("Margins") && text.contains("row 2"), "{text}");
    let block = Block::Figure {
        svg: "<svg><script>alert(1)</script></svg>".to_owned(),
        caption: "Dome".to_owned(),
    };
    let error = document_of(vec![block]).to_html().expect_err("script");
    let text = error.to_string();
    assert!(text.contains("Dome") && text.contains("script"), "{text}");
}

#[test]
fn empty_documents_and_blocks_are_fine() {
    let html = HtmlDocument::default().to_html().expect("valid");
    parse(&html);
    let blocks = vec![
        Block::List(vec![]),
        Block::Definitions(vec![]),
        Block::Table(Table::default()),
        Block::Cautions(vec![]),
        Block::Notes(vec![]),
        Block::Preformatted(String::new()),
    ];
    let html = document_of(blocks).to_html().expect("valid");
    let document = parse(&html);
    assert!(!html.contains("class=\"cautions\""));
    assert_eq!(named(&document, "table").len(), 1);
}

#[test]
fn headings_are_in_order_and_figures_are_numbered() {
    let html = report::report().to_html().expect("valid");
    let document = parse(&html);
    assert_eq!(named(&document, "h1").len(), 1);
    let mut last = 0;
    for node in document.descendants().filter(Node::is_element) {
        let level = match node.tag_name().name() {
            "h1" => 1,
            "h2" => 2,
            "h3" => 3,
            _ => continue,
        };
        assert!(
            level <= last + 1,
            "a heading of level {level} follows one of {last}"
        );
        last = level;
    }
    let figures = named(&document, "figcaption");
    for (index, caption) in figures.iter().enumerate() {
        assert!(all_text(*caption).starts_with(&format!("Figure {} ", index + 1)));
    }
    assert_eq!(figures.len(), named(&document, "svg").len());
}

/// Contrast of every text colour on its ground, light and dark: at least 4.5, level AA of
/// the Web Content Accessibility Guidelines 2.1, computed by their formula.
#[test]
fn colours_of_the_style_sheet_have_enough_contrast() {
    let html = HtmlDocument::default().to_html().expect("valid");
    let document = parse(&html);
    let style = named(&document, "style")[0].text().expect("style sheet");
    let blocks: Vec<&str> = style.split(":root {").skip(1).take(2).collect();
    assert_eq!(blocks.len(), 2, "a light and a dark set of colours");
    for block in blocks {
        let colour = |name: &str| {
            let start = block.find(&format!("--{name}: #")).expect("colour");
            let digits = &block[start + name.len() + 5..][..6];
            let value = u32::from_str_radix(digits, 16).expect("hexadecimal");
            calotte_plot::plot::Colour::hex(value)
        };
        for (text, ground) in [
            ("ink", "paper"),
            ("quiet", "paper"),
            ("accent", "paper"),
            ("good", "paper"),
            ("bad", "paper"),
            ("ink", "tint"),
            ("ink", "warn-tint"),
            ("warn", "warn-tint"),
        ] {
            let contrast = colour(text).contrast(colour(ground));
            assert!(contrast >= 4.5, "{text} on {ground}: {contrast:.2}");
        }
    }
}
