//! The usual cautions, in one place: README, summary page, page and terminal show
//! them; and those that follow from an analysis.

use calotte::analysis::Analysis;

use crate::words;

/// One line for the terminal.
pub const LINE: &str = "Design aid: results are inputs to risk management and testing by responsible, licensed people.";

/// For the terminal, where people are near the instrument.
pub const PEOPLE_LINE: &str = "A scissor closes on fingers; a holder without power must not fall; contact force needs a limit that does not depend on software, and a way to free the person.";

/// Paragraphs for pages and reports.
pub const PARAGRAPHS: [&str; 3] = [
    "This is a design aid. Its results are inputs to risk management and testing by licensed, responsible people under the rules of their place; they are not a replacement. Local codes and licensed practice come first.",
    "A scissor closes on fingers: keep gaps that crush body parts closed or covered. A holder without power must not fall: prove the brake or counterbalance. A tool that presses on a person needs a force limit that does not depend on software, and a way to free the person.",
    "No limit value is quoted from a standard here: enter the limits that apply to you from the text itself.",
];

/// Standards by number and title, each with why it matters.
pub const STANDARDS: [(&str, &str); 6] = [
    (
        "ISO 14971, Medical devices: application of risk management",
        "results are inputs to it, not a substitute",
    ),
    (
        "IEC 60601-1, Medical electrical equipment: basic safety and essential performance",
        "moving parts, instability, support systems",
    ),
    (
        "IEC 80601-2-77, Robotically assisted surgical equipment",
        "applies when the linkage carries a surgical instrument",
    ),
    (
        "IEC 62366-1, Usability engineering for medical devices",
        "hands, reach and mistakes are part of the design",
    ),
    (
        "ASME V&V 40, Credibility of computational modeling for medical devices",
        "how far a computed number may be relied on",
    ),
    (
        "ISO 13854, Safety of machinery: minimum gaps to avoid crushing of parts of the human body",
        "scissor cells close on fingers",
    ),
];

/// What a reader must know before relying on the numbers.
pub fn cautions_of(analysis: &Analysis) -> Vec<String> {
    let mut cautions = Vec::new();
    for row in &analysis.rows {
        if row.met() == Some(true) && row.band_met() == Some(false) {
            let worst = row
                .band
                .map(|[low, high]| if row.kind.at_least() { low } else { high });
            if let (Some(worst), Ok(got)) = (worst, &row.got) {
                cautions.push(format!(
                    "{}: {} becomes {} at the bad end of all bands together: measure a bar and a joint first",
                    words::row_name(&row.kind).to_lowercase(),
                    words::row_value(&row.kind, *got),
                    words::row_value(&row.kind, worst)
                ));
            }
        }
    }
    if analysis.geometric_ratio > 0.05 {
        cautions.push(format!(
            "loads are large for the linear model: geometric stiffness is {} % of the elastic one",
            words::number(100.0 * analysis.geometric_ratio, 0)
        ));
    }
    cautions.extend(crate::results::notes_words(&analysis.notes));
    if analysis
        .singularity
        .as_ref()
        .is_some_and(|s| !s.proved_free)
    {
        cautions.push("a singularity between samples could not be excluded".to_string());
    }
    cautions
}
