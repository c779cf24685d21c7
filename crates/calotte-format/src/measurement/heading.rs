//! The heading: where it is, what separates its names, which column is where.

use super::columns::Known;
use super::lines::{Kind, is_remark, kind, lines};
use super::names::{Meaning, meaning, stem};
use super::no_value::begins_with_no_value;
use super::number::{ColumnUnit, Mark, is_missing, read};
use super::problems::{alone, listed, problem, short};
use super::split::{Cell, split};
use super::{COLUMNS_MAX, ROWS_MIN};
use crate::problem::FormatError;

/// The heading of a file.
#[derive(Debug)]
pub(super) struct Heading<'a> {
    /// Line of the heading.
    pub(super) line: usize,
    /// What stands between values.
    pub(super) separator: char,
    /// The names as written.
    pub(super) cells: Vec<Cell<'a>>,
    /// What they mean.
    pub(super) meanings: Vec<Meaning>,
    /// The columns there may be.
    pub(super) known: Vec<Known>,
    /// The text of its line.
    pub(super) text: &'a str,
}

/// Finds the heading and what its names mean; problems of single names come later.
pub(super) fn find<'a>(text: &'a str, known: Vec<Known>) -> Result<Heading<'a>, FormatError> {
    let mut stated = None;
    for (line, content) in lines(text) {
        let trimmed = content.trim();
        let quoted_remark = trimmed.strip_prefix('"').is_some_and(is_remark);
        if is_remark(trimmed)
            || quoted_remark
            || [',', ';', '\t']
                .into_iter()
                .any(|s| kind(content, s) != Kind::Values)
        {
            continue;
        }
        if stated.is_none()
            && let Some(separator) = separator_line(content)
        {
            stated = Some(separator);
            continue;
        }
        return heading(line, content, stated, known);
    }
    Err(alone(problem(
        (1, 1),
        "",
        "the file has no heading and no rows",
        allowed(&known),
        format!("write a heading and at least {ROWS_MIN} rows, or begin with a template"),
    )))
}

/// The separator of a line such as `sep=;`, which some spreadsheets write first.
fn separator_line(line: &str) -> Option<char> {
    let rest = line.trim_matches([' ', '"']).strip_prefix("sep=")?;
    let mut characters = rest.chars();
    match (characters.next(), characters.next()) {
        (Some(separator @ (',' | ';' | '\t')), None) => Some(separator),
        _ => None,
    }
}

fn heading<'a>(
    line: usize,
    text: &'a str,
    stated: Option<char>,
    known: Vec<Known>,
) -> Result<Heading<'a>, FormatError> {
    let separator = stated.unwrap_or_else(|| separator_of(text));
    let split = split(text, separator, COLUMNS_MAX).map_err(|fault| {
        let (at, message, hint) = fault.words();
        let place = (line, column_of(text, at));
        alone(problem(place, text, message, allowed(&known), hint))
    })?;
    let cells = split.cells;
    if cells.len() > COLUMNS_MAX {
        return Err(alone(problem(
            (line, 1),
            text,
            format!("the heading has more than {COLUMNS_MAX} columns"),
            allowed(&known),
            "keep only the columns that are required",
        )));
    }
    if let Some(message) = no_names(&cells, separator) {
        return Err(alone(problem(
            (line, 1),
            text,
            message,
            allowed(&known),
            "write the names of the columns above the first row",
        )));
    }
    if cells.len() == 1 {
        return Err(alone(problem(
            (line, 1),
            text,
            "the heading has one column only",
            format!(
                "{}; a comma, a semicolon or a tab between them",
                allowed(&known)
            ),
            "put the same separator between names and between values; blanks do not separate; put # before lines above the heading",
        )));
    }
    let meanings = cells.iter().map(|cell| meaning(&cell.text, &known));
    Ok(Heading {
        line,
        separator,
        meanings: meanings.collect(),
        cells,
        known,
        text,
    })
}

/// What separates the names: whatever of tab, semicolon and comma there is most of.
fn separator_of(text: &str) -> char {
    let count = |separator: char| match split(text, separator, COLUMNS_MAX) {
        Ok(split) => split.cells.len(),
        Err(_) => text.matches(separator).count() + 1,
    };
    [',', ';', '\t']
        .into_iter()
        .max_by_key(|separator| count(*separator))
        .unwrap_or(',')
}

/// Why a heading is none: every one of its names is a number or missing.
fn no_names(cells: &[Cell<'_>], separator: char) -> Option<String> {
    let number = |text: &str| {
        [Mark::Point, Mark::Comma]
            .into_iter()
            .any(|mark| read(text, ColumnUnit::One, mark, separator).is_ok())
    };
    let no_name = |cell: &Cell<'_>| {
        number(&cell.text) || is_missing(&cell.text) || begins_with_no_value(&cell.text)
    };
    let any = cells.iter().any(|cell| number(&cell.text));
    (any && cells.iter().all(no_name))
        .then(|| "the first line has numbers where the names of the columns belong".to_string())
}

impl Heading<'_> {
    /// Refuses a file of the other kind, known by the stems that only it has.
    pub(super) fn not_of_other_kind(
        &self,
        own: &[&str],
        other: &[&str],
        kinds: [&str; 2],
    ) -> Result<(), FormatError> {
        let stems: Vec<String> = self.cells.iter().map(|cell| stem(&cell.text)).collect();
        let has = |wanted: &[&str]| wanted.iter().all(|name| stems.iter().any(|s| s == name));
        if !has(other) || own.iter().any(|name| has(&[name])) {
            return Ok(());
        }
        let [own, other] = kinds;
        Err(alone(problem(
            (self.line, 1),
            self.text,
            format!("this is a file of {other}, and is read as {own}"),
            allowed(&self.known),
            format!("give the file of {own} here; a template shows its columns"),
        )))
    }
}

/// Column in characters, from 1, of a byte offset in a line.
pub(super) fn column_of(text: &str, at: usize) -> usize {
    text.get(..at).map_or(0, |before| before.chars().count()) + 1
}

/// All names a heading may have.
pub(super) fn allowed(known: &[Known]) -> String {
    let names: Vec<String> = known.iter().map(Known::name).collect();
    format!("columns in any order: {}", names.join(", "))
}

/// What of a heading's columns is worth saying: other units, and what is not read.
pub(super) fn notes(heading: &Heading<'_>) -> Vec<String> {
    let mut notes = Vec::new();
    let names = heading.cells.iter().map(|cell| short(&cell.text));
    let named: Vec<(String, &Meaning)> = names.zip(&heading.meanings).collect();
    for (name, meaning) in &named {
        if let Meaning::Known(index, unit) = meaning {
            let usual = heading.known[*index].quantity.usual_unit();
            if *unit != usual && heading.known[*index].used {
                notes.push(format!("`{name}` is read in {}", unit.words()));
            }
        }
    }
    let remarks: Vec<String> = named
        .iter()
        .filter(|(_, meaning)| matches!(meaning, Meaning::Remark))
        .map(|(name, _)| name.clone())
        .collect();
    if !remarks.is_empty() {
        notes.push(format!(
            "kept as remarks and not read: {}",
            listed(&remarks)
        ));
    }
    notes
}
