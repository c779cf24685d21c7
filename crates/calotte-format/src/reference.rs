//! The reference of the files, made from the table of keys.

use std::fmt::Write;

use crate::keys::brief::BRIEF;
use crate::keys::design::DESIGN;
use crate::keys::words::Vocabulary;
use crate::keys::{Key, Kind, Need, Table};
use crate::safety::FIRST;

/// The reference of brief and design in Markdown.
pub fn reference_markdown() -> String {
    let mut text = format!("# Files\n\n{FIRST}\n\n");
    text.push_str(
        "Made from the table of keys that the program checks files against; do not edit.\n\n\
         Files are TOML in UTF-8. The unit of a number is in its key: `joint_radius_mm = 150`. \
         Unknown keys are refused. An uncertain number may be a band, \
         `{ value = 1.7, from = 1.4, to = 1.9 }`; a range is `{ from = 8, to = 60, step = 0.5 }`, \
         and both its ends belong to it.\n",
    );
    for (title, table) in [("Brief", &BRIEF), ("Design", &DESIGN)] {
        let _ = write!(text, "\n## {title}\n\n{}\n", table.meaning);
        table_reference(&mut text, table);
        inner_tables(&mut text, table, "");
    }
    text
}

/// The tables within a table, each under its header.
fn inner_tables(text: &mut String, table: &'static Table, path: &str) {
    for key in table.keys {
        let (inner, brackets) = match key.kind {
            Kind::Table(inner) => (inner, ["[", "]"]),
            Kind::Tables(inner) => (inner, ["[[", "]]"]),
            _ => continue,
        };
        let path = if path.is_empty() {
            key.name.to_string()
        } else {
            format!("{path}.{}", key.name)
        };
        let [open, close] = brackets;
        let _ = write!(text, "\n### `{open}{path}{close}`\n\n{}\n", inner.meaning);
        table_reference(text, inner);
        inner_tables(text, inner, &path);
    }
}

/// The keys of one table, then the words they take.
fn table_reference(text: &mut String, table: &'static Table) {
    text.push_str("\n| key | value | without it | meaning |\n| --- | --- | --- | --- |\n");
    for key in table.keys {
        row(text, key);
    }
    for key in table.keys {
        if let Kind::Word(vocabulary) | Kind::Words { vocabulary, .. } = &key.kind {
            words(text, key, vocabulary);
        }
    }
}

fn row(text: &mut String, key: &Key) {
    let name = key.name;
    if matches!(key.kind, Kind::NotYet) {
        let _ = writeln!(
            text,
            "| `{name}` | not available yet | | {}; {} |",
            cell(key.meaning),
            cell(key.advice)
        );
        return;
    }
    let allowed = match key.kind {
        Kind::Word(_) => "one of the words below".to_string(),
        Kind::Words { .. } => "a list of the words below, none twice".to_string(),
        Kind::Range { quantity, step } | Kind::Sizes { quantity, step } => format!(
            "{}; the step is {} unless given",
            key.allowed(),
            quantity.unit.with(&step.to_string())
        ),
        _ => key.allowed(),
    };
    let absent = match key.need {
        Need::Required => "required".to_string(),
        Need::Optional(absent) => absent.to_string(),
        Need::Default(default) => format!("`{default}`"),
    };
    let condition = key.when.map_or_else(String::new, |when| {
        let words: Vec<String> = when
            .words
            .iter()
            .map(|word| format!("\"{word}\""))
            .collect();
        format!("with `{} = {}`: ", when.key, words.join(" or "))
    });
    let _ = writeln!(
        text,
        "| `{name}` | {} | {} | {}{} |",
        cell(&allowed),
        cell(&absent),
        cell(&condition),
        cell(key.meaning)
    );
}

fn words(text: &mut String, key: &Key, vocabulary: &Vocabulary) {
    let _ = write!(text, "\n`{}`:\n\n", key.name);
    for word in (vocabulary.words)() {
        let later = match word.not_yet {
            Some(meanwhile) => format!(" (not available yet; {meanwhile})"),
            None => String::new(),
        };
        let _ = writeln!(text, "- `\"{}\"`: {}{later}", word.name, word.meaning);
    }
}

/// Text that stays within its cell.
fn cell(text: &str) -> String {
    text.replace('|', "\\|")
}
