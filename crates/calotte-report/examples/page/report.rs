//! A document with invented data that holds every kind of block.

use crate::figures;
use calotte_plot::plot::FigureStyle;
use calotte_report::html::*;

/// The document.
pub fn report() -> HtmlDocument {
    HtmlDocument {
        title: "Head arm: an invented holder".to_owned(),
        lead: "A passive holder for a head, as an example of a report. All numbers are invented."
            .to_owned(),
        status: Some(Status {
            verdict: Verdict::Met,
            text: "Requirement met, 1 caution".to_owned(),
        }),
        sections: vec![need(), choice(), stiffness(), reach(), repeat()],
        provenance: pairs(&[
            ("Program", "calotte 0.1.0"),
            ("Input", "head-arm.toml, SHA-256 0f3a…91"),
            ("Seed", "7"),
        ]),
    }
}

fn pairs(list: &[(&str, &str)]) -> Vec<(String, String)> {
    list.iter()
        .map(|(a, b)| ((*a).to_owned(), (*b).to_owned()))
        .collect()
}

fn figure(name: &str) -> Block {
    let (_, figure) = figures::all()
        .into_iter()
        .find(|(known, _)| *known == name)
        .expect("a figure of the gallery");
    let drawing = figure.draw(&FigureStyle::screen()).expect("valid");
    let notes = drawing.notes.join(" ");
    Block::Figure {
        svg: drawing.svg,
        caption: format!("{} {notes}", figure.caption).trim().to_owned(),
    }
}

fn need() -> Section {
    Section {
        heading: "What is required".to_owned(),
        blocks: vec![
            Block::Paragraph(
                "The tool points at one fixed centre from everywhere on a cap of 82° about the \
                 base axis and is pressed on with 5 N."
                    .to_owned(),
            ),
            Block::Definitions(pairs(&[
                ("Region", "cap, polar 0° to 82°"),
                ("Press", "5 N along the tool"),
                ("Tool", "0.40 kg at 90 mm from the centre"),
            ])),
            figure("margins"),
            Block::Cautions(vec![
                "The contact deflection of 0.41 mm becomes 0.52 mm at the low end of Young's \
                 modulus: test one bar first (12 N, 90 mm)."
                    .to_owned(),
            ]),
        ],
    }
}

fn choice() -> Section {
    let row = |name: &str, stages: f64, sag: Option<f64>, mass: f64, coverage: f64| {
        vec![
            Cell::Text(name.to_owned()),
            Cell::Number {
                value: stages,
                decimals: 0,
            },
            sag.map_or(Cell::Missing("not reached".to_owned()), |value| {
                Cell::Number { value, decimals: 2 }
            }),
            Cell::Number {
                value: mass,
                decimals: 0,
            },
            Cell::Number {
                value: coverage,
                decimals: 3,
            },
        ]
    };
    Section {
        heading: "The choice".to_owned(),
        blocks: vec![
            Block::Table(Table {
                caption: "Best candidate of each family.".to_owned(),
                columns: vec![
                    Column::text("Family"),
                    Column::number("Stages", ""),
                    Column::number("Contact deflection", "mm"),
                    Column::number("Moving mass", "g"),
                    Column::number("Coverage", ""),
                ],
                rows: vec![
                    row("scissor linkage", 2.0, Some(0.41), 236.0, 0.991),
                    row("two-arc arm", 1.0, Some(1.9), 188.0, 1.0),
                    row("five-bar", 1.0, None, 1204.0, 0.81),
                ],
                emphasised: Some(0),
            }),
            figure("scatter-many"),
            figure("heat-shared"),
        ],
    }
}

fn stiffness() -> Section {
    Section {
        heading: "Stiffness".to_owned(),
        blocks: vec![
            figure("dome"),
            Block::Subheading("Compliance shares".to_owned()),
            figure("shares"),
            figure("line-stages"),
        ],
    }
}

fn reach() -> Section {
    Section {
        heading: "Conditioning".to_owned(),
        blocks: vec![
            figure("heat-one"),
            Block::List(vec![
                "Type 1 singularity: 9.4° away.".to_owned(),
                "Type 2 singularity: none within 14°.".to_owned(),
            ]),
            Block::Notes(vec![
                "Between samples the index is bounded by its slope.".to_owned(),
                "These results are an input to risk management and testing by responsible \
                 people, not a replacement."
                    .to_owned(),
            ]),
        ],
    }
}

fn repeat() -> Section {
    Section {
        heading: "To repeat this".to_owned(),
        blocks: vec![Block::Preformatted(
            "calotte design head-arm.toml --out head-arm\ncalotte report head-arm".to_owned(),
        )],
    }
}
