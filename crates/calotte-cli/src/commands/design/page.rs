//! `summary.html`: the evidence on one page that opens from disk.

use calotte::analysis::Row;
use calotte_format::results::{notes_words, row_unit};
use calotte_format::units::degrees;
use calotte_report::html::{Block, Cell, Column, HtmlDocument, Section, Status, Table, Verdict};
use calotte_report::plot::Drawing;

use super::{Found, explain, figures};
use crate::cautions;
use crate::failure::Failure;
use crate::summary::cautions_of;
use crate::words;

/// A figure as drawn, with its caption.
pub struct Drawn {
    /// File name without folder and ending.
    pub name: String,
    /// Title and caption.
    pub caption: String,
    /// The drawing.
    pub drawing: Drawing,
}

/// The page.
pub fn page(found: &Found, drawn: &[Drawn]) -> Result<String, Failure> {
    let analysis = &found.analysis;
    let cautions = cautions_of(analysis);
    let text = if analysis.met() {
        "Every requirement is met"
    } else {
        "Not every requirement is met"
    };
    let text = match cautions.len() {
        0 => text.to_string(),
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
                Verdict::Met
            } else {
                Verdict::NotMet
            },
            text,
        }),
        sections: vec![
            safety(),
            requirements(found, drawn, &cautions),
            choice(found, drawn),
            reach(found, drawn),
            stiffness(found, drawn),
            loads(found),
            opinion(found),
            design(found),
            repeat(found),
        ],
        provenance: provenance(found),
    };
    document
        .to_html()
        .map_err(|error| Failure::new(format!("summary.html: {error}")))
}

fn section(heading: &str, blocks: Vec<Block>) -> Section {
    Section {
        heading: heading.to_string(),
        blocks,
    }
}

fn drawn_block(drawn: &[Drawn], name: &str) -> Vec<Block> {
    drawn
        .iter()
        .filter(|d| d.name == name)
        .map(|d| Block::Figure {
            svg: d.drawing.svg.clone(),
            caption: format!("{} {}", d.caption, d.drawing.notes.join(" "))
                .trim()
                .to_string(),
        })
        .collect()
}

fn safety() -> Section {
    let standards = cautions::STANDARDS
        .iter()
        .map(|(standard, why)| ((*standard).to_string(), (*why).to_string()))
        .collect();
    section(
        "Before you rely on it",
        vec![
            Block::Cautions(
                cautions::PARAGRAPHS
                    .iter()
                    .map(|p| (*p).to_string())
                    .collect(),
            ),
            Block::Definitions(standards),
        ],
    )
}

fn requirements(found: &Found, drawn: &[Drawn], cautions: &[String]) -> Section {
    let rows = found.analysis.rows.iter().map(requirement_cells).collect();
    let mut blocks = vec![Block::Table(Table {
        caption: "Needed against got. Elastic rows are the worst over the covered directions; the spread sets all bands of uncertainty to their bad, then to their good ends together.".to_string(),
        columns: vec![
            Column::text("Quantity"),
            Column::text("Needed"),
            Column::text("Got"),
            Column::text("Margin"),
            Column::text("Spread"),
            Column::text("Worst at"),
            Column::text("Met"),
        ],
        rows,
        emphasised: None,
    })];
    blocks.extend(drawn_block(drawn, "margins"));
    if !cautions.is_empty() {
        blocks.push(Block::Cautions(cautions.to_vec()));
    }
    if !found.warnings.is_empty() {
        blocks.push(Block::Subheading("Precheck".to_string()));
        blocks.push(Block::List(found.warnings.clone()));
    }
    if !found.analysis.met() {
        blocks.push(Block::Preformatted(explain::nearest_feasible_need(found)));
    }
    section("Requirements", blocks)
}

fn requirement_cells(row: &Row) -> Vec<Cell> {
    let text = |value: String| Cell::Text(value);
    let sign = if row.kind.at_least() { "≥" } else { "≤" };
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
    vec![
        text(words::row_name(&row.kind)),
        text(row.needed.map_or("no limit".to_string(), |v| {
            format!("{sign} {}", words::row_value(&row.kind, v))
        })),
        match &row.got {
            Ok(value) => text(words::row_value(&row.kind, *value)),
            Err(reason) => Cell::Missing(reason.clone()),
        },
        text(words::row_margin(row).unwrap_or_default()),
        text(row.band.map_or(String::new(), |[low, high]| {
            format!(
                "{} … {}",
                words::row_value(&row.kind, low),
                words::row_value(&row.kind, high)
            )
        })),
        text(place),
        text(match row.met() {
            Some(true) => "yes".to_string(),
            Some(false) => "no".to_string(),
            None => String::new(),
        }),
    ]
}

fn choice(found: &Found, drawn: &[Drawn]) -> Section {
    let mut blocks = vec![Block::List(explain::choice_words(found))];
    blocks.extend(
        explain::beaten(found)
            .into_iter()
            .map(|text| Block::Paragraph(format!("It {text}."))),
    );
    for name in ["front", "front-1-3", "front-1-4"] {
        blocks.extend(drawn_block(drawn, name));
    }
    blocks.extend(drawn_block(drawn, "stages"));
    section("The choice", blocks)
}

fn reach(found: &Found, drawn: &[Drawn]) -> Section {
    let analysis = &found.analysis;
    let conditioning = &analysis.conditioning;
    let mut facts = Vec::new();
    let mut fact = |name: &str, value: String| facts.push((name.to_string(), value));
    if let Some(range) = &analysis.working_range {
        fact(
            "Working range",
            format!(
                "polar {} to {}; it ends because: {}; {}",
                words::angle(range.polar_min()),
                words::angle(range.polar_max()),
                range.limits[0].words(),
                range.limits[1].words()
            ),
        );
    }
    fact(
        "Conditioning",
        format!(
            "GCI {} over the required region and {} over the part reached (area weight, unreached counts 0 in the first); {} with the weight of the joint space; least LCI {} at polar {}; drive layout {}",
            words::number(conditioning.gci, 4),
            words::number(conditioning.gci_reached, 4),
            words::number(conditioning.gci_joint_weight, 4),
            words::number(conditioning.lci_min, 4),
            words::angle(conditioning.lci_min_polar),
            words::drive_layout(&found.design)
        ),
    );
    if let Some(report) = &analysis.singularity {
        fact(
            "Type 1 singularity",
            format!(
                "{} of polar angle away ({})",
                words::angle(report.type_one_distance),
                report.type_one_kind.words()
            ),
        );
        fact(
            "Type 2 singularity",
            match report.transmission {
                Some((least, stage, polar)) => format!(
                    "transmission angle at least {} (stage {stage}, at polar {}); lower bound that holds between samples {}; distance in the second mechanism angle {}",
                    words::angle(least),
                    words::angle(polar),
                    report
                        .transmission_bound
                        .map_or("none".to_string(), words::angle),
                    report
                        .type_two_distance
                        .map_or("none in this mode".to_string(), words::angle)
                ),
                None => "none in this family".to_string(),
            },
        );
        fact(
            "Between samples",
            if report.proved_free {
                format!(
                    "both types excluded strictly inside the range by interval arithmetic over the second mechanism angle ({} evaluations)",
                    report.proof_evaluations
                )
            } else {
                "not proved".to_string()
            },
        );
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
                m.in_space,
                m.redundant
            ),
        );
    }
    let mut blocks = vec![Block::Definitions(facts)];
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
                number(100.0 * ring.energy_shares[0], 0),
                number(100.0 * ring.energy_shares[1], 0),
            ]
        })
        .collect();
    let mut blocks = vec![
        Block::Paragraph(
            "Stiffness in a direction means a force there, all else free (1/C). Least is over all directions of the force. Shares are of the strain energy along the softest direction.".to_string(),
        ),
        Block::Table(Table {
            caption: "Stiffness at the tool tip by polar angle.".to_string(),
            columns: vec![
                Column::number("Polar", "°"),
                Column::number("Least", "N/mm"),
                Column::number("Polar", "N/mm"),
                Column::number("Azimuth", "N/mm"),
                Column::number("Radial", "N/mm"),
                Column::number("Isotropy", ""),
                Column::number("Arcs", "%"),
                Column::number("Joints", "%"),
            ],
            rows,
            emphasised: None,
        }),
    ];
    for name in [
        "stiffness-over-dome",
        "contact-deflection-over-dome",
        "sag-over-dome",
        "shares",
    ] {
        blocks.extend(drawn_block(drawn, name));
    }
    let notes = notes_words(&found.analysis.notes);
    if !notes.is_empty() {
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
            caption: "Greatest over the covered directions, weight alone and with any one load case. Axial is along the joint's own axis, which is radial to the sphere.".to_string(),
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
    let Some(comparison) = &found.analysis.second_opinion else {
        return section(
            "Second opinion",
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
        "Second opinion",
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

fn design(found: &Found) -> Section {
    section(
        "The design",
        vec![
            Block::Paragraph("The chosen design file, design.toml:".to_string()),
            Block::Preformatted(calotte_format::write_design(&found.design, "")),
        ],
    )
}

fn repeat(found: &Found) -> Section {
    let brief = found
        .brief
        .path
        .file_name()
        .map(|n| n.to_string_lossy().to_string())
        .unwrap_or_default();
    let mut commands =
        format!("calotte design {brief}\ncalotte analyse design.toml --brief {brief} --json\n");
    let worst = found
        .analysis
        .rows
        .iter()
        .find(|row| row_unit(&row.kind).0 == "least_translational_stiffness")
        .and_then(|row| row.worst_at);
    if let Some(direction) = worst
        && let Some([first, second]) = figures::joints_at(found, direction)
    {
        commands.push_str(&format!(
            "calotte analyse design.toml --joints {first:.3},{second:.3}   # the softest direction\n"
        ));
    }
    section(
        "Making the same numbers",
        vec![
            Block::Preformatted(commands),
            Block::Paragraph(
                "How the program's numbers are checked: calotte verify prints every published and derived check.".to_string(),
            ),
        ],
    )
}

fn provenance(found: &Found) -> Vec<(String, String)> {
    let pair = |name: &str, value: String| (name.to_string(), value);
    let options = &found.analysis.options;
    vec![
        pair("Program", format!("calotte {}", env!("CARGO_PKG_VERSION"))),
        pair(
            "Input",
            format!(
                "{}, SHA-256 {}",
                found
                    .brief
                    .path
                    .file_name()
                    .map(|n| n.to_string_lossy().to_string())
                    .unwrap_or_default(),
                found.brief.sha256
            ),
        ),
        pair("Seed", "none: no random numbers are used".to_string()),
        pair(
            "Grid",
            format!(
                "search {} × {}, analysis {} polar angles × about {} azimuths",
                calotte::search::evaluate::SEARCH_RINGS,
                calotte::search::evaluate::SEARCH_AROUND,
                options.rings,
                options.around
            ),
        ),
    ]
}
