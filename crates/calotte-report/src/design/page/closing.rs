//! The end of the page: the design file, how to repeat the run, where it comes from.

use crate::html::{Block, Section};
use calotte::quantity::Quantity;

use super::parts::section;
use crate::design::figures;
use crate::design::found::{Found, Searched};

/// The design file as chosen.
pub fn design(found: &Found) -> Section {
    section(
        "The design",
        vec![
            Block::Paragraph("The chosen design file, design.toml:".to_string()),
            Block::Preformatted(calotte_format::write_design(&found.design, "")),
        ],
    )
}

/// Commands that make the same numbers.
pub fn repeat(found: &Found) -> Section {
    let brief = "brief.toml";
    let follows = found.next.as_ref();
    let follows = follows.map_or(String::new(), |(prototype, _)| prototype.options());
    let mut commands = format!(
        "calotte design {brief}{follows}\ncalotte analyse design.toml --brief {brief} --json\n"
    );
    let worst = found
        .analysis
        .rows
        .iter()
        .find(|row| row.quantity == Quantity::Stiffness)
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
            Block::Paragraph(
                if found.next.is_some() {
                    "Run in this folder, which holds the brief as it was read and the chosen design.toml, after the files that the brief names are put beside it, and in a folder prototype those of the one it follows:"
                } else {
                    "Run in this folder, which holds the brief as it was read and the chosen design.toml, after the files that the brief names, if any, are put beside it:"
                }
                .to_string(),
            ),
            Block::Preformatted(commands),
            Block::Paragraph(
                "How the program's numbers are checked: calotte verify prints every shipped check with its source.".to_string(),
            ),
        ],
    )
}

/// Where the numbers come from; no times, so that equal input gives equal bytes.
pub fn provenance(found: &Found) -> Vec<(String, String)> {
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
        pair(
            "Seed",
            match &found.searched {
                Some(searched) => format!("{}: {}", searched.effort.seed, found.seed_words()),
                None => format!("none: {}", found.seed_words()),
            },
        ),
        pair(
            "Grid",
            format!(
                "search {} polar angles, {} azimuths each among keep-outs; analysis {} polar angles or more, about {} azimuths each and the worst ones",
                calotte::search::evaluate::SEARCH_RINGS,
                calotte::search::evaluate::SEARCH_AROUND,
                options.rings,
                options.around
            ),
        ),
        pair(
            "Options",
            format!(
                "{}; ends of bands {}; proof between samples {}",
                match &found.searched {
                    Some(Searched { effort, .. }) => format!(
                        "search of islands, each with an effort of {} angles screened for each free angle and {} candidates looked at for each and once more ({})",
                        effort.screened,
                        effort.looked_at,
                        match found.brief.value.layers {
                            Some(_) => "twice as many candidates, as parts lie in layers",
                            None =>
                                "four times as many angles, up to 20,000, as no parts lie in layers",
                        }
                    ),
                    None => "full grid".to_string(),
                },
                done(options.bands),
                done(options.proof)
            ),
        ),
        pair(
            "Warnings",
            if found.warnings.is_empty() {
                "none".to_string()
            } else {
                found.warnings.join("; ")
            },
        ),
    ]
}

fn done(yes: bool) -> &'static str {
    if yes { "evaluated" } else { "left out" }
}
