//! What is compared, in 80 columns: what the letters stand for, the table, the verdict.

use crate::found::FitRead;
use crate::verdict::{self, only_nominal};
use calotte::analysis::Row;
use calotte::elasticity::ValidityNote;
use calotte_format::words;

use super::column::{COVERAGE_SLACK, Column, covers_alike, safety_of};
use super::line::Line;
use super::lines::lines;
use crate::input::Input;
use crate::notes::{few_digits_words, keep_outs_words};
use crate::safety;
use crate::sides::{Mean, words_of};

/// Columns beside each other in 80 characters; more designs follow below.
const COLUMNS_MAX: usize = 4;

/// Width of the terminal.
const WIDTH: usize = 80;

/// Longest name of a line.
const NAME_MAX: usize = 29;

fn letter(index: usize) -> char {
    (b'A' + (index % 26) as u8) as char
}

/// The whole text: what the letters stand for, the table, the verdict.
///
/// # Arguments
/// - `people_near`: what the brief says; true without one.
pub fn text(columns: &[Column], fit: Option<&Input<FitRead>>, people_near: bool) -> String {
    let mut text = String::new();
    for (index, column) in columns.iter().enumerate() {
        text.push_str(&format!("{}  {}\n", letter(index), column.name));
        let design = &column.design.value;
        let mut words = format!(
            "{}, {}, {}",
            words::linkage(design),
            words::sections(design),
            design.material.name
        );
        if let Some(joints) = words::own_joints(design) {
            words.push_str(&format!(", joints: {joints}"));
        }
        for line in words::wrapped(&words, WIDTH - 4) {
            text.push_str(&format!("   {line}\n"));
        }
    }
    let lines = lines(columns, fit);
    let all: Vec<usize> = (0..columns.len()).collect();
    for part in all.chunks(COLUMNS_MAX) {
        text.push('\n');
        text.push_str(&table(&lines, part, columns));
    }
    let mut legend = Vec::new();
    // A promise and what was found of it are no rivals.
    if fit.is_none() {
        legend.push("*: best of the row");
    }
    let any = |of: fn(&Row) -> bool| columns.iter().any(|c| c.analysis.rows.iter().any(of));
    if any(|row| row.met_at_nominal() == Some(false)) {
        legend.push("✗: misses the limit, or no value");
    }
    if any(only_nominal) {
        legend.push("!: meets it at nominal values only");
    }
    for line in words::wrapped(&legend.join("; "), WIDTH - 1) {
        text.push_str(&format!("{line}\n"));
    }
    if let Some(fit) = fit {
        let note = "Pointing error: of the prototype as found, and of the next with kept parts as found and all others exact.";
        for line in words::wrapped(note, WIDTH - 1) {
            text.push_str(&format!("{line}\n"));
        }
        text.push_str(&verdict_of_fit(&fit.value));
    }
    if fit.is_none() && covers_alike(columns).contains(&false) {
        let note = format!(
            "What is the worst over the covered part compares only between designs that cover within {COVERAGE_SLACK} of the most; the others get no mark there."
        );
        for line in words::wrapped(&note, WIDTH - 1) {
            text.push_str(&format!("{line}\n"));
        }
    }
    for (index, column) in columns.iter().enumerate() {
        let notes = column.analysis.notes.iter().filter_map(|note| match note {
            ValidityNote::FewDigits(few) => Some(few_digits_words(few)),
            ValidityNote::SidesDiffer(most) => Some(words_of(most, Mean::Everything)),
            ValidityNote::KeepOutsNotJudged(count) => Some(keep_outs_words(*count)),
            _ => None,
        });
        for note in notes {
            let note = format!("{}: {note}", letter(index));
            for line in words::wrapped(&note, WIDTH - 1) {
                text.push_str(&format!("{line}\n"));
            }
        }
    }
    text.push_str(&verdict(columns));
    text.push_str(&safety::text(safety_of(columns, people_near)));
    text
}

fn table(lines: &[Line], part: &[usize], columns: &[Column]) -> String {
    let name_width = lines
        .iter()
        .map(|line| line.name.chars().count())
        .max()
        .unwrap_or(0)
        .min(NAME_MAX);
    let needed_width = match lines.iter().map(|l| l.needed.chars().count()).max() {
        None | Some(0) => 0,
        Some(longest) => longest.max(6) + 1,
    };
    let width = ((WIDTH - 1 - name_width - needed_width) / part.len()).clamp(8, 18);
    let needed_head = if needed_width > 0 { "required" } else { "" };
    let heads: String = part
        .iter()
        .map(|i| {
            let role = columns[*i].measured.as_ref().map(|_| match i {
                0 => " predicted",
                1 => " measured",
                _ => " next",
            });
            let head = format!("{}{}", letter(*i), role.unwrap_or_default());
            format!("{head:>width$} ", width = width - 1)
        })
        .collect();
    let head = format!("{:<name_width$}{needed_head:>needed_width$}{heads}", "");
    let mut text = format!("{}\n", head.trim_end());
    for line in lines {
        let best = best(line);
        let cells: String = part
            .iter()
            .map(|i| {
                let mark = if best == Some(*i) { '*' } else { ' ' };
                format!("{:>width$}{mark}", line.texts[*i], width = width - 1)
            })
            .collect();
        let row = format!(
            "{:<name_width$}{:>needed_width$}{cells}",
            shortened(&line.name),
            line.needed
        );
        text.push_str(&format!("{}\n", row.trim_end()));
    }
    text
}

/// A name that fits its column.
fn shortened(name: &str) -> String {
    if name.chars().count() <= NAME_MAX {
        return name.to_string();
    }
    let kept: String = name.chars().take(NAME_MAX - 1).collect();
    format!("{kept}…")
}

/// Position of the best score, if what is printed differs from all others.
fn best(line: &Line) -> Option<usize> {
    let known: Vec<(usize, f64)> = line
        .scores
        .iter()
        .enumerate()
        .filter_map(|(i, s)| s.map(|s| (i, s)))
        .collect();
    let (index, _) = known.iter().copied().max_by(|a, b| a.1.total_cmp(&b.1))?;
    let apart = known
        .iter()
        .all(|(i, _)| *i == index || line.texts[*i] != line.texts[index]);
    (known.len() > 1 && apart).then_some(index)
}

/// Which designs meet the brief, and what the others miss.
fn verdict(columns: &[Column]) -> String {
    let asked = columns
        .iter()
        .any(|c| c.analysis.rows.iter().any(|row| row.needed.is_some()));
    if !asked {
        return "No limits given: give --brief BRIEF to judge the designs.\n".to_string();
    }
    let mut text = String::new();
    for (index, column) in columns.iter().enumerate() {
        let said = verdict::printed(&column.design.value, &column.analysis, &missed_words);
        for (place, line) in words::wrapped(&said, WIDTH - 4).iter().enumerate() {
            let head = if place == 0 { letter(index) } else { ' ' };
            text.push_str(&format!("{head}  {line}\n"));
        }
    }
    text
}

/// A missed requirement, with the reason where it has no value.
fn missed_words(row: &Row) -> String {
    let mut name = words::row_name(row);
    // Indices keep their capitals, load names their own letters.
    let lower = name.to_lowercase();
    if row.load.is_none() && words::within(&name) == lower {
        name = lower;
    }
    match &row.got {
        Ok(_) => name,
        Err(reason) => format!("{name} ({reason})"),
    }
}

/// What measuring said of the prototype.
fn verdict_of_fit(fit: &FitRead) -> String {
    let mut text = String::new();
    for (what, said) in ["points", "weights"].iter().zip(&fit.verdicts) {
        for (place, line) in words::wrapped(said, WIDTH - 11).iter().enumerate() {
            let head = if place == 0 { what } else { "" };
            text.push_str(&format!("{head:<9}{line}\n"));
        }
    }
    text
}
