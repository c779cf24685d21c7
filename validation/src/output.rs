//! The table of checks as text for a terminal, as Markdown and as a document.

use std::fmt::Write;

use calotte_document::safety::Safety;
use calotte_document::verified::{CheckDocument, ChecksDocument};

use calotte_format::safety::FIRST;

use crate::check::{Check, Kind, Source};
use crate::number;

/// Columns of a terminal.
const WIDTH: usize = 80;
const ID_WIDTH: usize = 20;
const VALUE_WIDTH: usize = 12;
const DIFFERENCE_WIDTH: usize = 7;
const VERDICT_WIDTH: usize = 5;

/// All checks as a document; what is computed and its difference are null where the library
/// gave an error.
///
/// # Arguments
/// - `safety`: what stands in every document.
pub fn document(checks: &[Check], safety: Safety) -> ChecksDocument {
    let number = |value: f64| value.is_finite().then_some(value);
    let checks = checks.iter().map(|check| CheckDocument {
        id: check.id.clone(),
        kind: check.source.kind().word().to_string(),
        source: check.source.to_string(),
        file: check.source.file().map(str::to_string),
        quantity: check.quantity.clone(),
        unit: check.unit.to_string(),
        reference: check.reference,
        computed: number(check.computed),
        difference: number(check.difference()),
        tolerance: check.tolerance,
        holds: check.holds(),
    });
    ChecksDocument {
        checks: checks.collect(),
        safety,
    }
}

/// How many checks there are of each kind, and how many fail.
fn summary(checks: &[Check]) -> String {
    let of = |kind: Kind| {
        let of_kind = |check: &&Check| check.source.kind() == kind;
        checks.iter().filter(of_kind).count()
    };
    let failing = checks.iter().filter(|check| !check.holds()).count();
    let verdict = if failing == 0 {
        "all hold".to_string()
    } else {
        format!("{failing} fail")
    };
    format!(
        "{} checks: {} published, {} derived, {} from memory, {} common practice; {verdict}",
        checks.len(),
        of(Kind::Published),
        of(Kind::Derived),
        of(Kind::FromMemory),
        of(Kind::CommonPractice),
    )
}

/// Checks in runs of one topic.
fn by_topic(checks: &[Check]) -> impl Iterator<Item = &[Check]> {
    checks.chunk_by(|a, b| a.topic == b.topic)
}

/// All checks as a table that fits a terminal of 80 columns.
///
/// The reference is rounded to six digits; the difference is a share of it where the tolerance
/// is, else in its unit. A failing check is followed by its numbers in full and its source.
pub fn text_table(checks: &[Check]) -> String {
    let mut text = String::new();
    for group in by_topic(checks) {
        let topic = group[0].topic;
        let rule = "─".repeat(WIDTH - topic.chars().count() - 1);
        let _ = writeln!(text, "{topic} {rule}");
        let mut subject = "";
        for check in group {
            let (of, what) = split(&check.quantity);
            if of != subject {
                subject = of;
                let _ = writeln!(text, "{of}");
            }
            text.push_str(&text_row(check, what));
        }
        text.push('\n');
    }
    text.push_str(
        "Columns: id; quantity and unit; p published, d derived, m from memory,\n\
         c common practice; reference; difference; verdict.\n",
    );
    let _ = writeln!(text, "{}", summary(checks));
    text
}

/// Subject and what of it is computed: "subject: what".
fn split(quantity: &str) -> (&str, &str) {
    quantity.split_once(": ").unwrap_or(("", quantity))
}

fn text_row(check: &Check, what: &str) -> String {
    let kind = check.source.kind().letter();
    let unit = match check.unit {
        "1" => String::new(),
        unit => format!(", {unit}"),
    };
    let quantity_width = WIDTH - ID_WIDTH - VALUE_WIDTH - DIFFERENCE_WIDTH - VERDICT_WIDTH - 1 - 5;
    let id = cut(&format!("  {}", check.id), ID_WIDTH);
    let quantity = cut(&format!("{what}{unit}"), quantity_width);
    let reference = number::significant(check.reference, 6);
    let difference = number::difference(check);
    let verdict = if check.holds() { "holds" } else { "FAILS" };
    let mut row = format!(
        "{id:ID_WIDTH$} {quantity:quantity_width$} {kind} {reference:>VALUE_WIDTH$} \
         {difference:>DIFFERENCE_WIDTH$} {verdict}\n"
    );
    if !check.holds() {
        let _ = writeln!(row, "    {}, unit {}", check.quantity, check.unit);
        let _ = writeln!(
            row,
            "    reference {}, computed {}",
            number::exact(check.reference),
            number::exact(check.computed)
        );
        let _ = writeln!(
            row,
            "    difference {}, tolerance {}",
            number::significant(check.difference(), 3),
            number::significant(check.tolerance, 3)
        );
        for line in wrapped(&format!("source {}", check.source), WIDTH - 4) {
            let _ = writeln!(row, "    {line}");
        }
    }
    row
}

/// The text, or its start with an ellipsis where it is longer than `width` characters.
fn cut(text: &str, width: usize) -> String {
    if text.chars().count() <= width {
        text.to_string()
    } else {
        let start: String = text.chars().take(width - 1).collect();
        format!("{start}…")
    }
}

/// Words in lines of at most `width` characters; a longer word has a line of its own.
fn wrapped(text: &str, width: usize) -> Vec<String> {
    let mut lines = vec![String::new()];
    for word in text.split_whitespace() {
        let Some(line) = lines.last_mut() else {
            continue;
        };
        if line.is_empty() {
            line.push_str(word);
        } else if line.chars().count() + 1 + word.chars().count() <= width {
            line.push(' ');
            line.push_str(word);
        } else {
            lines.push(word.to_string());
        }
    }
    lines
}

/// Head of the Markdown table.
const MARKDOWN_HEAD: &str = "\
# Validation

Written by `calotte verify --markdown`; do not edit.

Each row compares a value the library computes with one from elsewhere. *Published*: printed in
the publication named, with its table or page. *Derived*: worked out for this project by the file
of this repository that is named, which does not use the library. *From memory*: recalled from the
literature without opening it. *Common practice*: as guides print it, without a source. Difference
and tolerance are shares of the reference, or in the unit of the quantity where the tolerance shows one. A
difference far below the tolerance is printed as a bound, so that this page is the same on every
machine.
";

/// What the literature or our own derivations could check and nothing here does.
const NOT_CHECKED: [(&str, &str); 6] = [
    (
        "Natural frequencies of arcs and of linkages",
        "the program computes none yet",
    ),
    (
        "Spring 5 mm to either side of the bars' centre line",
        "the joint springs of the program act at the centre line",
    ),
    (
        "GCI of an arm with a remote centre",
        "none was found in full text; isotropy and the arm of two right angles stand in for it",
    ),
    (
        "Isotropic home pose of the spherical linkage of three legs",
        "the Jacobian of the program has two drives",
    ),
    (
        "Solid elements at bosses and holes",
        "not by the program: the oracles hold arcs with and without bosses against solid bricks",
    ),
    (
        "Registration, pose accuracy, calibration",
        "not by this command: the oracles hold it against general-purpose libraries and simulated campaigns of known truth",
    ),
];

/// All checks as a Markdown page, the same on every platform.
pub fn markdown(checks: &[Check]) -> String {
    let mut text = String::from(MARKDOWN_HEAD);
    let _ = writeln!(text, "\n{FIRST}\n\n{}.", summary(checks));
    for group in by_topic(checks) {
        markdown_topic(&mut text, group);
    }
    text.push_str("\n## Not checked\n\n| what | why |\n| --- | --- |\n");
    for (what, why) in NOT_CHECKED {
        let _ = writeln!(text, "| {what} | {why} |");
    }
    text
}

fn markdown_topic(text: &mut String, group: &[Check]) {
    let _ = writeln!(text, "\n## {}\n", group[0].topic);
    text.push_str(
        "| id | quantity | unit | reference | computed | difference | tolerance | source | verdict |\n\
         | --- | --- | --- | --- | --- | --- | --- | --- | --- |\n",
    );
    let mut sources: Vec<Source> = Vec::new();
    for check in group {
        let known = sources.iter().position(|source| *source == check.source);
        let place = known.unwrap_or_else(|| {
            sources.push(check.source);
            sources.len() - 1
        });
        let unit = match check.unit {
            "1" => "",
            unit => unit,
        };
        let tolerance_unit = match check.stated {
            crate::check::Stated::Absolute if !unit.is_empty() => format!(" {unit}"),
            _ => String::new(),
        };
        let cells = [
            check.id.clone(),
            check.quantity.clone(),
            unit.to_string(),
            number::exact(check.reference),
            number::computed(check),
            number::difference(check),
            format!("{}{tolerance_unit}", number::tolerance(check)),
            format!("{}, {}", check.source.kind().word(), place + 1),
            if check.holds() { "holds" } else { "**fails**" }.to_string(),
        ];
        let cells = cells.map(|cell| cell.replace('|', "\\|"));
        let _ = writeln!(text, "| {} |", cells.join(" | "));
    }
    text.push_str("\nSources:\n\n");
    for (index, source) in sources.iter().enumerate() {
        let _ = writeln!(text, "{}. {source}.", index + 1);
    }
}
