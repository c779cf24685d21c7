//! The printable sheet of a plan: what to set, what to expect, lines to write on.

use crate::found::{Planned, in_unit, name_with_unit, sides_words, torque_with};
use crate::html::{Block, Cell, Column, HtmlDocument, Section, Table};
use calotte::measurement::{ANCHOR_GROUP, PhysicalModel, Plan, PlannedWeights};
use calotte_format::safety::Safety;
use calotte_format::units::degrees;
use calotte_format::words;

use super::plan_words::{holding_words, mass_words, names, order_words, pull_words, range_words};
use super::sketch::sketch;
use crate::error::ReportError;
use crate::safety::{bench_document, sentences};

/// The sheet as a page that prints.
///
/// # Errors
/// [`ReportError`] for a table that cannot be written.
pub fn sheet(found: &Planned) -> Result<String, ReportError> {
    let (design, model, made) = (&found.nominal, &found.model, &found.made);
    let document = HtmlDocument {
        title: format!("Measuring sheet: {}", design.title),
        lead: format!(
            "{}; fill in by hand or in points.csv and weights.csv.",
            words::linkage(design)
        ),
        status: None,
        sections: vec![
            Section {
                heading: "Before you begin".to_string(),
                blocks: vec![Block::Cautions(sentences(bench_document(Safety::of(
                    design, true,
                ))))],
            },
            how(found),
            names_of(model),
            points(model, made),
            told(model, made),
            hung(model, &found.weights),
        ],
        provenance: vec![(
            "Program".to_string(),
            format!("calotte {}", env!("CARGO_PKG_VERSION")),
        )],
    };
    document
        .to_html()
        .map_err(|error| ReportError::new(format!("sheet.html: {error}")))
}

fn number(value: f64, decimals: usize) -> Cell {
    Cell::Number { value, decimals }
}

/// Room to write.
fn blank() -> Cell {
    Cell::Text("\u{a0}\u{a0}\u{a0}\u{a0}\u{a0}\u{a0}\u{a0}\u{a0}".to_string())
}

/// Order and repeats, for whoever measures.
fn how(found: &Planned) -> Section {
    let [a, b] = found.model.active_names;
    let mut steps = vec![
        format!("Set {a} and {b} as each row says, wait until nothing moves, measure the sensor, write x, y and z."),
        "Measure the rows from top to bottom, in one go. Do not sort them. Whatever changes slowly (temperature, the tracker, the stand) then touches all positions alike and is not taken for a wrong bar.".to_string(),
        format!("Go from row to row without going beyond a reading and coming back: from which side a reading is reached shows the play of the drives. Row 1 is the same position as one in the middle and as the last row (Repeat: {ANCHOR_GROUP}). If its point has moved in between, something has drifted: say so, and look for it before anything is made again."),
        "Rows with the same name under Repeat are the same position. Set them anew each time, even though you have been there: their scatter shows how well the arm comes back.".to_string(),
        "A row that cannot be measured stays empty; go on with the next one.".to_string(),
    ];
    for text in range_words(found) {
        steps.push(sentence(&text));
    }
    for warning in &found.warnings {
        steps.push(sentence(warning));
    }
    if !found.drift_is_separable() {
        steps.push(sentence(&format!("Order: {}", order_words(found))));
    }
    Section {
        heading: "How to measure".to_string(),
        blocks: vec![Block::List(steps)],
    }
}

/// What parts are called, and where what was drawn and what was found stand.
fn names_of(model: &PhysicalModel) -> Section {
    let mut told: Vec<String> = sides_words(model)
        .iter()
        .map(|text| sentence(text))
        .collect();
    told.push("As drawn: the design file that this plan was made of. Parts are made, and made again, to it.".to_string());
    told.push("As found: `calotte measure fit` writes what it finds of this prototype to design-calibrated.toml and fit.json. No part is made to these.".to_string());
    Section {
        heading: "Names of parts, and which file is which".to_string(),
        blocks: vec![Block::List(told)],
    }
}

/// A text that begins with a capital and ends with a full stop.
fn sentence(text: &str) -> String {
    let mut letters = text.chars();
    let first = letters.next().map(|first| first.to_uppercase().to_string());
    format!("{}{}.", first.unwrap_or_default(), letters.as_str())
}

fn points(model: &PhysicalModel, made: &Plan) -> Section {
    let [a, b] = model.active_names;
    let rows = made
        .configurations
        .iter()
        .enumerate()
        .map(|(index, row)| {
            let mut cells = vec![
                number((index + 1) as f64, 0),
                number(degrees(row.readings[0]), 3),
                number(degrees(row.readings[1]), 3),
            ];
            cells.extend(row.expected.iter().map(|c| number(c * 1e3, 1)));
            cells.extend([blank(), blank(), blank(), Cell::Text(row.group.clone())]);
            cells
        })
        .collect();
    Section {
        heading: "Points".to_string(),
        blocks: vec![Block::Table(Table {
            caption: "In this order. Expected: where the design has the sensor, base frame; the tracker's own frame will differ.".to_string(),
            columns: vec![
                Column::number("Row", ""),
                Column::number(a, "°"),
                Column::number(b, "°"),
                Column::number("expected x", "mm"),
                Column::number("y", "mm"),
                Column::number("z", "mm"),
                Column::text("x"),
                Column::text("y"),
                Column::text("z"),
                Column::text("Repeat"),
            ],
            rows,
            emphasised: None,
        })],
    }
}

fn told(model: &PhysicalModel, made: &Plan) -> Section {
    let rows = made
        .told
        .iter()
        .map(|(index, error)| {
            let described = &model.parameters[*index];
            vec![
                Cell::Text(name_with_unit(described)),
                number(in_unit(described, described.nominal), 3),
                number(in_unit(described, *error), 4),
            ]
        })
        .collect();
    Section {
        heading: "What these points identify".to_string(),
        blocks: vec![
            Block::Table(Table {
                caption: "Standard error that the fit is expected to print of each parameter."
                    .to_string(),
                columns: vec![
                    Column::text("Parameter"),
                    Column::number("Design", ""),
                    Column::number("Expected error", ""),
                ],
                rows,
                emphasised: None,
            }),
            Block::Paragraph(format!(
                "Not identifiable one by one from these points to half their tolerance: {}. A fault of such a part can be seen all the same: the verdict of the fit says which parts are at fault, in question or not judged.",
                names(model, &made.not_told)
            )),
        ],
    }
}

fn hung(model: &PhysicalModel, weights: &[PlannedWeights]) -> Section {
    let [a, b] = model.active_names;
    let mut blocks = vec![Block::List(vec![
        "Set the position, hold or brake the drives, put the gauge to the tip along the blue arrow (\"gauge +\": this way the reading grows) and zero it before the first weight.".to_string(),
        "Put the weights on in the order of the rows, then take them off again, without touching the arm; read the gauge each time. A hanger counts as a weight: weigh it.".to_string(),
        "A level pull goes over a pulley that turns freely, along the red arrow. Do both sides, one after the other: from one side alone only half of play and hysteresis is seen.".to_string(),
        "Masses are made up of one set of weights as sold: 1, 2, 2, 5 times powers of ten (nominal values of OIML R 111, from memory), from 10 g to 5 kg; other weights will do if their mass is written down.".to_string(),
    ])];
    if let Some(text) = holding_words(weights) {
        blocks.push(Block::Cautions(vec![sentence(&text)]));
    }
    for (index, one) in weights.iter().enumerate() {
        let name = format!(
            "Position {}: {a} {}°, {b} {}°, pull {}",
            index + 1,
            words::number(degrees(one.readings[0]), 3),
            words::number(degrees(one.readings[1]), 3),
            pull_words(&one.pull)
        );
        let axis: Vec<String> = one
            .axis
            .iter()
            .map(|part| words::number(*part, 2))
            .collect();
        blocks.push(Block::Figure {
            svg: sketch(one, &name),
            caption: format!(
                "{name}. Tool in grey from the centre (ring) to the tip; gauge along ({}) in the world; a ring at the tip: the arrow points to the reader or away.",
                axis.join(", ")
            ),
        });
        if one.masses.is_empty() {
            blocks.push(Block::Paragraph(
                "No weight is safe here: leave this position out.".to_string(),
            ));
        } else {
            blocks.push(Block::Table(readings(one, [a, b])));
        }
    }
    Section {
        heading: "Weights".to_string(),
        blocks,
    }
}

/// The rows of one position: weights put on, then taken off again.
fn readings(one: &PlannedWeights, [a, b]: [&str; 2]) -> Table {
    let up = std::iter::once(0.0).chain(one.masses.iter().copied());
    let down = one.masses.iter().rev().skip(1).copied();
    let down = down.chain(std::iter::once(0.0));
    let steps = up
        .map(|mass| (mass, "on"))
        .chain(down.map(|mass| (mass, "off")));
    let rows = steps.map(|(mass, course)| {
        let torque = torque_with(one, mass);
        let moved = mass * calotte::statics::STANDARD_GRAVITY * one.per_newton * 1e3;
        vec![
            Cell::Text(mass_words(mass)),
            Cell::Text(course.to_string()),
            number(moved, 4),
            number(torque[0].abs(), 3),
            number(torque[1].abs(), 3),
            Cell::Text(if one.exceeds(torque) { "NOT HELD" } else { "" }.to_string()),
            blank(),
        ]
    });
    Table {
        caption: format!(
            "Torque on each drive or brake, arm and tool included; safety factor against yield with the heaviest: {}.",
            one.safety.map_or("not known".to_string(), words::three)
        ),
        columns: vec![
            Column::text("Mass, kg"),
            Column::text("Put"),
            Column::number("Expected", "mm"),
            Column::number(format!("Torque {a}"), "N·m"),
            Column::number(format!("Torque {b}"), "N·m"),
            Column::text("Warning"),
            Column::text("Gauge, mm"),
        ],
        rows: rows.collect(),
        emphasised: None,
    }
}
