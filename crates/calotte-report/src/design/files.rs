//! The results folder of the main job, as bytes.

use calotte::analysis::Requirements;
use calotte::search::complete_design;
use calotte_document::design::DesignDocument;
use calotte_format::safety::Safety;
use calotte_format::words;
use calotte_plot::plot::FigureStyle;
use rayon::prelude::*;

use super::candidates::{candidates_csv, front_csv, front_file};
use super::found::Found;
use super::{figures, page};
use crate::error::ReportError;
use crate::input::file_name;
use crate::safety;

/// Every member of the front as a design with the name of its file.
fn front_designs(found: &Found) -> Result<Vec<(String, String)>, ReportError> {
    let brief = &found.brief.value;
    let requirements = Requirements::from_brief(brief);
    let notice = Safety::of(&found.design, brief.people_near).notice();
    let notice = words::wrapped(&notice, 78).join("\n");
    let members = found.choice.front.par_iter().enumerate();
    members
        .map(|(place, position)| {
            let candidate = &found.outcomes[*position].candidate;
            let name = front_file(place + 1);
            let design = complete_design(brief, &requirements, candidate)
                .map_err(|error| ReportError::new(format!("{name}: {error}")))?;
            let header = format!(
                "One of the front that calotte {} found for {} (SHA-256 {}).\nCandidate {} of {}.\n{notice}",
                env!("CARGO_PKG_VERSION"),
                file_name(&found.brief.path),
                found.brief.sha256,
                candidate.index,
                found.outcomes.len(),
            );
            let design = calotte_format::tidied(&design);
            Ok((name, calotte_format::write_design(&design, &header)))
        })
        .collect()
}

/// The files of the folder with their paths in it.
///
/// # Errors
/// [`ReportError`] for a figure or page that these results do not give.
pub fn files(
    found: &Found,
    document: &DesignDocument,
) -> Result<Vec<(String, Vec<u8>)>, ReportError> {
    let mut files = Vec::new();
    let safety = Safety::of(&found.design, found.brief.value.people_near);
    let mut add = |name: &str, bytes: Vec<u8>| files.push((name.to_string(), bytes));
    let mut header = format!(
        "Chosen by calotte {} from {} (SHA-256 {}).\nCandidate {} of {}.",
        env!("CARGO_PKG_VERSION"),
        file_name(&found.brief.path),
        found.brief.sha256,
        found.outcomes[found.choice.chosen].candidate.index,
        found.outcomes.len()
    );
    if let Some((prototype, pointing)) = &found.next {
        let words = prototype.words(pointing.as_ref(), found.design.tool.tip_radius);
        header.push_str(&format!("\nFollows {}", words.join("\n")));
    }
    header.push('\n');
    header.push_str(&words::wrapped(&safety.notice(), 78).join("\n"));
    add(
        "design.toml",
        calotte_format::write_design(&found.design, &header).into_bytes(),
    );
    // Who has the folder alone sees what was asked.
    let above = format!(
        "What was asked of calotte {}: {} (SHA-256 {}), as it was read below these lines.\n{}",
        env!("CARGO_PKG_VERSION"),
        file_name(&found.brief.path),
        found.brief.sha256,
        words::wrapped(&safety.notice(), 78).join("\n")
    );
    let above: String = above.lines().map(|line| format!("# {line}\n")).collect();
    add(
        "brief.toml",
        format!("{above}{}", found.brief.text).into_bytes(),
    );
    let results = calotte_document::text(document)
        + "
";
    add("results.json", results.into_bytes());
    add("candidates.csv", candidates_csv(found)?);
    add("front.csv", front_csv(found)?);
    for (name, design) in front_designs(found)? {
        add(&name, design.into_bytes());
    }
    let footing = safety::footing(safety);
    let drawn = figures::all(found)?
        .into_iter()
        .map(|(name, figure)| {
            let drawing = figure
                .draw_above(&FigureStyle::screen(), &footing)
                .map_err(|error| ReportError::new(format!("plots/{name}.svg: {error}")))?;
            Ok(page::Drawn {
                caption: format!("{}. {}", figure.title, figure.caption),
                settings: figures::settings_words(&figure),
                name,
                drawing,
            })
        })
        .collect::<Result<Vec<_>, ReportError>>()?;
    for figure in &drawn {
        add(
            &format!("plots/{}.svg", figure.name),
            figure.drawing.svg.clone().into_bytes(),
        );
    }
    add("summary.html", page::page(found, &drawn)?.into_bytes());
    Ok(files)
}
