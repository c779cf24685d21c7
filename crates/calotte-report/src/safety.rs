//! The words of safety where they are shown: in documents, in tables, below figures and on
//! the terminal. The words themselves are those of [`calotte_format::safety`].

use calotte_document::safety::Safety as SafetyDocument;
use calotte_format::safety::{BENCH, EXCLUDED, FIRST, Safety, standards};
use calotte_format::words;
use calotte_plot::plot::Footing;

/// Label on the terminal.
const LABEL: &str = "Safety";

/// All lists of a document but those of the bench.
pub fn document(safety: Safety) -> SafetyDocument {
    SafetyDocument {
        notice: safety.notice(),
        hazards: Some(safety.hazards()),
        excluded: Some(strings(&EXCLUDED)),
        bench: None,
        standards: Some(standards()),
    }
}

/// The same with what to do at the bench, for measurements.
pub fn bench_document(safety: Safety) -> SafetyDocument {
    SafetyDocument {
        bench: Some(strings(&BENCH)),
        ..document(safety)
    }
}

/// The paragraph alone, where many documents follow one another.
pub fn notice_document(safety: Safety) -> SafetyDocument {
    SafetyDocument {
        notice: safety.notice(),
        ..SafetyDocument::default()
    }
}

/// Everything, sentence by sentence, for a box on a page: what comes first, hazards, what is
/// excluded, what to do at the bench where that is in it, standards.
pub fn sentences(safety: SafetyDocument) -> Vec<String> {
    let lists = [
        safety.hazards,
        safety.excluded,
        safety.bench,
        safety.standards,
    ];
    std::iter::once(FIRST.to_string())
        .chain(lists.into_iter().flatten().flatten())
        .collect()
}

/// What every figure carries.
pub fn footing(safety: Safety) -> Footing {
    Footing {
        seen: safety.seen(),
        described: safety.notice(),
    }
}

/// Name of the last column of every table, which holds [`Safety::notice`] in its first row:
/// tables are taken alone, and most of their readers know no remarks.
pub(crate) const NOTE: &str = "note";

/// What stands in the note of a row.
pub(crate) fn note(safety: Safety, row: usize) -> String {
    if row == 0 {
        safety.notice()
    } else {
        String::new()
    }
}

/// A text file that goes with parts to be made.
///
/// # Arguments
/// - `of`: title of the design; empty if it has none.
pub fn file(safety: Safety, of: &str) -> String {
    let of: String = of.chars().filter(|letter| !letter.is_control()).collect();
    let mut text = format!(
        "SAFETY{}{of}\nfor the parts of a calculated model; nothing here was built or inspected\n\n{FIRST}\n",
        if of.is_empty() { "" } else { ": " }
    );
    let lists = bench_document(safety);
    for (heading, sentences) in [
        ("Hazards", lists.hazards),
        ("Not assessed", lists.excluded),
        ("At the bench, with weights on a prototype", lists.bench),
        ("Standards", lists.standards),
    ] {
        text.push_str(&format!("\n{}\n", heading.to_uppercase()));
        for sentence in sentences.into_iter().flatten() {
            let mut mark = "- ";
            for line in words::wrapped(&sentence, 77) {
                text.push_str(&format!("{mark}{line}\n"));
                mark = "  ";
            }
        }
    }
    text
}

/// What stands below every result on the terminal: 80 columns, with a label of ten.
pub fn lines(safety: Safety) -> Vec<String> {
    labelled(LABEL, &safety.short())
}

/// The same, line by line, as a text.
pub fn text(safety: Safety) -> String {
    lines(safety).join("\n") + "\n"
}

fn labelled(label: &str, text: &str) -> Vec<String> {
    let labels = std::iter::once(label).chain(std::iter::repeat(""));
    words::wrapped(text, 69)
        .iter()
        .zip(labels)
        .map(|(line, label)| format!("{label:<10} {line}"))
        .collect()
}

fn strings(sentences: &[&str]) -> Vec<String> {
    sentences.iter().map(ToString::to_string).collect()
}
