//! `summary.html`: the evidence on one page that opens from disk.

mod closing;
mod parts;

use crate::html::{Block, Cell, Column, HtmlDocument, Section, Status, Table, Verdict as Mark};
use crate::notes::notes_words;
use calotte::analysis::Analysis;
use calotte::analysis::Row;
use calotte::quantity::Quantity;
use calotte_format::inputs::{key_of, shown};
use calotte_format::safety::Safety;
use calotte_format::units::degrees;

use super::certificate;
use super::evidence;
use super::explain;
use super::figures::{without_share, without_words};
use super::found::Found;
use crate::cautions::{between_words, cautions_of, range_margins_words};
use crate::error::ReportError;
use crate::safety;
use crate::summary::{clearing_words, surroundings_words, turned_words};
use crate::supports::typical_block;
use crate::verdict;
use calotte_format::words;
pub use parts::Drawn;
use parts::{drawn_block, section};

/// The page.
pub fn page(found: &Found, drawn: &[Drawn]) -> Result<String, ReportError> {
    let analysis = &found.analysis;
    let cautions = cautions_of(&found.design, analysis);
    let name = |row: &Row| words::within(&words::row_name(row));
    let text = verdict::sentence(&found.design, analysis, &name);
    let text = match cautions.len() {
        0 => text,
        1 => format!("{text}, 1 caution"),
        n => format!("{text}, {n} cautions"),
    };
    let document = HtmlDocument {
        title: found.brief.value.title.clone(),
        lead: format!(
            "Instrument holder with a remote centre of motion (RCM): {}.",
            words::linkage(&found.design)
        ),
        status: Some(Status {
            verdict: if analysis.met() {
                Mark::Met
            } else {
                Mark::NotMet
            },
            text,
        }),
        sections: vec![
            safety(found),
            requirements(found, drawn, &cautions),
            choice(found, drawn),
            reach(found, drawn),
            stiffness(found, drawn),
            loads(found),
            opinion(found),
            closing::design(found),
            closing::repeat(found),
        ],
        provenance: closing::provenance(found),
    };
    document
        .to_html()
        .map_err(|error| ReportError::new(format!("summary.html: {error}")))
}

/// Hazards, what is excluded and the standards in one box.
fn safety(found: &Found) -> Section {
    let safety = Safety::of(&found.design, found.brief.value.people_near);
    let items = safety::sentences(safety::document(safety));
    section("Before you rely on it", vec![Block::Cautions(items)])
}

fn requirements(found: &Found, drawn: &[Drawn], cautions: &[String]) -> Section {
    let rows = found.analysis.rows.iter();
    let rows = rows
        .map(|row| requirement_cells(row, &found.analysis))
        .collect();
    let mut blocks = vec![Block::Cautions(cautions.to_vec())];
    blocks.push(Block::Table(Table {
        caption: "Required against predicted. Elastic rows are the worst over the covered directions, the maximum of what is to stay low and the minimum of what is to be high; each end of a range is at those values of the uncertain numbers that give it. The margin, a share of what is required, is that of the value that is judged: the worse end of the range, unless the brief asks for nominal values.".to_string(),
        columns: vec![
            Column::text("Quantity"),
            Column::text("Required"),
            Column::text("Predicted"),
            Column::text("Margin as judged"),
            Column::text("Range"),
            Column::text("Worst at, and what governs"),
            Column::text("Met"),
        ],
        rows,
        emphasised: None,
    }));
    blocks.extend(what_decides(&found.analysis));
    blocks.extend(beside_ideal(&found.analysis));
    blocks.extend(typical_block(&found.design, &found.analysis));
    blocks.extend(drawn_block(drawn, "margins"));
    blocks.push(Block::Subheading("Evidence".to_string()));
    blocks.extend(evidence::blocks(found));
    if !found.warnings.is_empty() {
        blocks.push(Block::Subheading("Precheck".to_string()));
        blocks.push(Block::List(found.warnings.clone()));
    }
    if !found.analysis.met() {
        blocks.push(Block::Preformatted(explain::nearest_feasible_need(
            &found.brief.value,
            &found.analysis,
        )));
    }
    section("Requirements", blocks)
}

/// Share of the value below which an uncertain number is not shown as one that matters.
const SHOWN_FROM: f64 = 0.01;

/// What each uncertain number does to each limited value by itself, the most first; nothing
/// where none matters.
fn what_decides(analysis: &Analysis) -> Option<Block> {
    let mut cells: Vec<Vec<Cell>> = Vec::new();
    for row in &analysis.rows {
        let Ok(nominal) = row.got else {
            continue;
        };
        let change = |value: f64| (value / nominal - 1.0).abs();
        let mut alone: Vec<_> = row.alone.iter().collect();
        alone.retain(|one| change(one.value) >= SHOWN_FROM);
        alone.sort_by(|a, b| change(b.value).total_cmp(&change(a.value)));
        cells.extend(alone.into_iter().map(|one| {
            let (key, _) = key_of(one.input);
            let (at, unit) = shown(one.input, one.at);
            let number = format!("{} {unit}", words::three(at));
            vec![
                Cell::Text(words::row_name(row)),
                Cell::Text(key),
                Cell::Text(number.trim_end().to_string()),
                Cell::Text(words::value_of(row.quantity, one.value)),
                Cell::Text(match row.met_with(one) {
                    Some(true) => "met".to_string(),
                    Some(false) => "missed: this number alone reverses it".to_string(),
                    None => String::new(),
                }),
            ]
        }));
    }
    (!cells.is_empty()).then(|| {
        Block::Table(Table {
            caption: format!(
                "What each uncertain number does by itself, at its worse end and all others at their nominal values, where it changes the prediction by {} % or more. Several at once may reverse what none does alone: the range above has all of them at their worst.",
                SHOWN_FROM * 100.0
            ),
            columns: vec![
                Column::text("Quantity"),
                Column::text("Uncertain number, its key"),
                Column::text("At"),
                Column::text("Predicted then"),
                Column::text("Limit then"),
            ],
            rows: cells,
            emphasised: None,
        })
    })
}

/// A built design beside the ideal linkage; nothing where nothing is built.
fn beside_ideal(analysis: &Analysis) -> Option<Block> {
    let rows: Vec<Vec<Cell>> = analysis
        .rows
        .iter()
        .filter_map(|row| {
            let ideal = analysis.ideal_value(row)?;
            let got = row.got.as_ref().ok()?;
            Some(vec![
                Cell::Text(words::row_name(row)),
                Cell::Text(words::value_of(row.quantity, *got)),
                Cell::Text(words::value_of(row.quantity, ideal)),
            ])
        })
        .collect();
    (!rows.is_empty()).then(|| {
        Block::Table(Table {
            caption: "What is built beside the ideal linkage, which has rigid joints, all bars on one sphere and nothing in its way.".to_string(),
            columns: vec![
                Column::text("Quantity"),
                Column::text("With bearings and layers"),
                Column::text("Ideal linkage"),
            ],
            rows,
            emphasised: None,
        })
    })
}

fn requirement_cells(row: &Row, analysis: &Analysis) -> Vec<Cell> {
    // A number and its unit stay on one line.
    let text = |value: String| Cell::Text(value.replace(' ', "\u{a0}"));
    let sign = if row.at_least() { "≥" } else { "≤" };
    let [limit, value] = words::limit_and_value(row);
    // What bounds the working range cannot be missed in it.
    let mut boundaries = analysis.boundaries.iter();
    let bound = boundaries
        .find(|(quantity, _)| *quantity == row.quantity)
        .map(|(quantity, bound)| words::value_of(*quantity, *bound));
    let mut place = row
        .worst_at
        .map(|d| words::place(d, d.azimuth != 0.0))
        .unwrap_or_default();
    if !row.note.is_empty() {
        if !place.is_empty() {
            place.push_str("; ");
        }
        place.push_str(&row.note);
    }
    if row.quantity == Quantity::MovingMass {
        place.push_str("without tool");
    }
    vec![
        Cell::Text(words::row_name(row)),
        match (limit, bound) {
            (Some(limit), _) => text(format!("{sign} {limit}")),
            (None, Some(bound)) => Cell::Text(format!("{sign}\u{a0}{bound} bounds the range")),
            (None, None) => text("no limit".to_string()),
        },
        match (&row.got, value) {
            (Ok(_), value) => text(value.unwrap_or_default()),
            (Err(reason), _) => Cell::Missing(reason.to_string()),
        },
        text(words::row_margin(row).unwrap_or_default()),
        text(words::range_ends(row).map_or(String::new(), |[low, high]| format!("{low} … {high}"))),
        Cell::Text(place),
        text(match row.met() {
            Some(true) if row.band_met() == Some(false) => "at nominal values".to_string(),
            Some(true) => "yes".to_string(),
            Some(false) if row.met_at_nominal() == Some(true) => {
                "at nominal values only".to_string()
            }
            Some(false) => "no".to_string(),
            None => String::new(),
        }),
    ]
}

fn choice(found: &Found, drawn: &[Drawn]) -> Section {
    let mut blocks = vec![Block::List(explain::choice_words(found))];
    if let Some((prototype, pointing)) = &found.next {
        let tip_radius = found.design.tool.tip_radius;
        blocks.push(Block::Subheading("Based on prototype".to_string()));
        blocks.push(Block::List(prototype.words(pointing.as_ref(), tip_radius)));
        let cautions = prototype.cautions(&found.brief.value);
        if !cautions.is_empty() {
            blocks.push(Block::Cautions(cautions));
        }
        blocks.push(Block::Subheading("Alternatives rejected".to_string()));
    }
    blocks.extend(
        explain::rejected(found)
            .into_iter()
            .map(|text| Block::Paragraph(format!("Alternatives rejected: {text}."))),
    );
    for front in drawn.iter().filter(|d| d.name.starts_with("front")) {
        blocks.extend(drawn_block(drawn, &front.name));
    }
    blocks.extend(certificate::blocks(found));
    blocks.extend(drawn_block(drawn, "stages"));
    section("The choice", blocks)
}

fn reach(found: &Found, drawn: &[Drawn]) -> Section {
    let analysis = &found.analysis;
    let conditioning = &analysis.conditioning;
    let mut facts = Vec::new();
    let mut fact = |name: &str, value: String| facts.push((name.to_string(), value));
    if let Some(range) = &analysis.working_range {
        let inner = range.inner_end();
        fact(
            "Working range",
            format!(
                "polar {} to {}{}; inner edge: {}; outer edge: {}",
                words::angle(range.polar_min()),
                words::angle(range.polar_max()),
                turned_words(range),
                range.limits[inner].words(),
                range.limits[1 - inner].words()
            ),
        );
    }
    fact(
        "Conditioning",
        format!(
            "GCI {} over the required region and {} over the part reached (area weight, unreached counts 0 in the first); {} with the weight of the joint space; minimum LCI {} at polar {}; drive layout {}",
            words::number(conditioning.gci, 4),
            words::number(conditioning.gci_reached, 4),
            words::number(conditioning.gci_joint_weight, 4),
            words::number(conditioning.lci_min, 4),
            words::angle(conditioning.lci_min_polar),
            words::drive_layout(&found.design)
        ),
    );
    if let Some(report) = &analysis.singularity {
        let required = &report.required;
        let kind = required.type_one_kind.words();
        fact(
            "Type 1 singularity",
            format!(
                "{} of polar angle beyond the covered part of the required region ({})",
                words::angle(required.type_one_distance),
                kind.strip_prefix("type 1 singularity: ").unwrap_or(&kind)
            ),
        );
        fact(
            "Type 2 singularity",
            match required.transmission {
                Some((least, stage, polar)) => format!(
                    "transmission angle at least {} (stage {stage}, at polar {}); lower bound that holds between samples {}; distance in the second mechanism angle {}",
                    words::angle(least),
                    words::angle(polar),
                    report
                        .transmission_bound
                        .map_or("none".to_string(), words::angle),
                    required
                        .type_two_distance
                        .map_or("none in this mode".to_string(), words::angle)
                ),
                None => "none in this family".to_string(),
            },
        );
        fact(
            "At the ends of the working range",
            range_margins_words(&report.range),
        );
        fact(
            "Between samples",
            if report.proved_free {
                format!(
                    "both types of singularity excluded strictly inside the working range by interval arithmetic over the second mechanism angle ({} evaluations)",
                    report.proof_evaluations
                )
            } else {
                "singularities not excluded".to_string()
            },
        );
        if let Some(between) = between_words(analysis) {
            fact("Worst values", between);
        }
    }
    if let Some(m) = &analysis.mobility {
        fact(
            "Mobility",
            format!(
                "{} by rank (counting formula {}), {} bodies, {} joints; in space {} by rank, {} by counting: {} redundant constraints",
                m.by_rank,
                m.by_counting,
                m.bodies,
                m.joints,
                m.in_space_by_rank,
                words::number(m.in_space as f64, 0),
                m.redundant
            ),
        );
    }
    let mut blocks = vec![Block::Definitions(facts)];
    for (label, text) in [
        ("Layers", clearing_words(&found.analysis)),
        ("Surroundings", surroundings_words(&found.analysis)),
    ] {
        if let Some(text) = text {
            blocks.push(Block::Paragraph(format!("{label}: {text}.")));
        }
    }
    blocks.extend(drawn_block(drawn, "lci-over-dome"));
    section("Reach, conditioning, singularities", blocks)
}

fn stiffness(found: &Found, drawn: &[Drawn]) -> Section {
    let rows = found
        .analysis
        .rings
        .iter()
        .step_by(3)
        .map(|ring| {
            let number = |value: f64, decimals: usize| Cell::Number { value, decimals };
            let k = |value: f64| number(value / 1e3, 2);
            vec![
                number(degrees(ring.polar), 1),
                k(ring.stiffness.least),
                k(ring.stiffness.polar),
                k(ring.stiffness.azimuth),
                k(ring.stiffness.radial),
                number(ring.stiffness.isotropy, 3),
            ]
            .into_iter()
            .chain(
                ring.energy_shares
                    .iter()
                    .map(|share| number(100.0 * share, 0)),
            )
            .collect()
        })
        .collect();
    let mut blocks = vec![
        Block::Paragraph(
            "Stiffness in a direction means a force there, all else free (1/C). Minimum is over all directions of the force. Shares are of the strain energy along the softest direction.".to_string(),
        ),
        Block::Table(Table {
            caption: format!(
                "Stiffness at the tool tip by polar angle.{}",
                without_words(&found.design, &without_share(found.analysis.rings.iter().step_by(3)))
            ),
            columns: vec![
                Column::number("Polar", "°"),
                Column::number("Minimum", "N/mm"),
                Column::number("Polar", "N/mm"),
                Column::number("Azimuth", "N/mm"),
                Column::number("Radial", "N/mm"),
                Column::number("Isotropy", ""),
                Column::number("Arcs", "%"),
                Column::number("Joints", "%"),
                Column::number("Pins", "%"),
                Column::number("Drives", "%"),
                Column::number("Base", "%"),
            ],
            rows,
            emphasised: None,
        }),
    ];
    for name in [
        "stiffness-over-dome",
        "contact-deflection-over-dome",
        "centre-shift-over-dome",
        "sag-over-dome",
        "shares",
    ] {
        blocks.extend(drawn_block(drawn, name));
    }
    let notes = notes_words(&found.analysis.notes);
    if !notes.is_empty() {
        blocks.push(Block::Subheading("Where the model holds".to_string()));
        blocks.push(Block::Notes(notes));
    }
    section("Stiffness, deflection, sag", blocks)
}

fn loads(found: &Found) -> Section {
    let rows = found
        .analysis
        .joint_loads
        .iter()
        .map(|(name, load)| {
            vec![
                Cell::Text(name.clone()),
                Cell::Number {
                    value: load.axial,
                    decimals: 1,
                },
                Cell::Number {
                    value: load.radial,
                    decimals: 1,
                },
                Cell::Number {
                    value: load.tilt,
                    decimals: 3,
                },
            ]
        })
        .collect();
    section(
        "What the joints carry",
        vec![Block::Table(Table {
            caption: "Maximum over the covered directions, weight alone and with any one load case. Axial is along the joint's own axis, which is radial to the sphere.".to_string(),
            columns: vec![
                Column::text("Joint"),
                Column::number("Axial", "N"),
                Column::number("Radial", "N"),
                Column::number("Tilt", "N·m"),
            ],
            rows,
            emphasised: None,
        })],
    )
}

fn opinion(found: &Found) -> Section {
    let Some(comparison) = &found.analysis.cross_check else {
        return section(
            "Cross-check",
            vec![Block::Paragraph(
                "The virtual joint model has no answer at the softest direction.".to_string(),
            )],
        );
    };
    let rows = comparison
        .rows
        .iter()
        .map(|row| {
            let number = |value: f64| Cell::Number {
                value: value * 1e6,
                decimals: 3,
            };
            let share = |value: Option<f64>| {
                Cell::Text(value.map_or(String::new(), |v| {
                    format!("{} %", words::number(100.0 * v, 1))
                }))
            };
            vec![
                Cell::Text(row.entry.name().to_string()),
                number(row.reference),
                number(row.virtual_joints),
                share(row.virtual_joints_difference),
                row.hand_estimate
                    .map_or(Cell::Missing("not represented".to_string()), number),
                share(row.hand_estimate_difference),
            ]
        })
        .collect();
    section(
        "Cross-check",
        vec![
            Block::Table(Table {
                caption: "Compliance at the softest direction with rigid joints, by three models."
                    .to_string(),
                columns: vec![
                    Column::text("Entry"),
                    Column::number("Reference", "µm/N"),
                    Column::number("Virtual joints", "µm/N"),
                    Column::text("differs by"),
                    Column::number("Hand estimate", "µm/N"),
                    Column::text("differs by"),
                ],
                rows,
                emphasised: None,
            }),
            Block::Paragraph(comparison.explanation.clone()),
        ],
    )
}
