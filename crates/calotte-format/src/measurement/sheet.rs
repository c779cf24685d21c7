//! A whole file: every row read or refused, and what is worth saying about it.

use calotte::design::Design;
use calotte::family::build;
use calotte::linkage::Linkage;

use super::columns::Known;
use super::finder::{Column, Finder};
use super::heading::{Heading, find, notes};
use super::lines::{Kind, kind, lines};
use super::number::{Mark, is_missing, mark_of};
use super::problems::{alone, numbers, problem};
use super::row::{Refusal, Row};
use super::split::{Cell, split};
use super::text::text_of;
use super::{ROWS_MAX, ROWS_MIN, RefusedRow};
use crate::problem::{FormatError, Problem};

/// Reasons that are listed where a file is refused for its rows.
const REASONS_LISTED: usize = 10;

/// What rows of one kind of file are made of.
pub(super) trait Rows {
    /// The columns it reads.
    type Columns;
    /// One row read.
    type Read;

    /// What it holds, and what files of the other kind hold.
    const KINDS: [&'static str; 2];
    /// Stems that a file of this kind has, and files of the other kind have not.
    const OWN: &'static [&'static str];
    /// The same of the other kind.
    const OTHER: &'static [&'static str];

    /// Every column a file may have; the two active joints first.
    fn known(joints: [&str; 2]) -> Vec<Known>;
    /// Looks its columns up; `None` where one is missing.
    fn columns(finder: &mut Finder<'_, '_>, joints: [&str; 2]) -> Option<Self::Columns>;
    /// Columns that hold numbers, by which headings are told from rows.
    fn numeric(columns: &Self::Columns) -> Vec<Column>;
    /// One row.
    fn row(
        columns: &Self::Columns,
        row: &Row<'_, '_>,
        linkage: &Linkage,
    ) -> Result<Self::Read, Box<Refusal>>;
    /// Whether two rows were measured as exactly the same; their numbers do not count.
    fn same(first: &Self::Read, second: &Self::Read) -> bool;
    /// Number of the data row.
    fn number(read: &Self::Read) -> usize;
    /// What else is worth saying.
    fn notes(columns: &Self::Columns, rows: &[Self::Read]) -> Vec<String>;
}

/// A file read.
#[derive(Debug)]
pub(super) struct Sheet<T> {
    /// Rows in the order of the file.
    pub(super) rows: Vec<T>,
    /// Rows that are not used.
    pub(super) refused: Vec<RefusedRow>,
    /// What is worth saying.
    pub(super) notes: Vec<String>,
}

/// Reads a file of one kind.
pub(super) fn read<R: Rows>(bytes: &[u8], design: &Design) -> Result<Sheet<R::Read>, FormatError> {
    let linkage = build(design).map_err(|error| {
        alone(problem(
            (1, 1),
            "",
            format!("the design this file belongs to cannot be built: {error}"),
            "",
            "put the design right first",
        ))
    })?;
    let joints = linkage.active_names;
    let text = text_of(bytes)?;
    let heading = find(text, R::known(joints))?;
    heading.not_of_other_kind(R::OWN, R::OTHER, R::KINDS)?;
    let mut finder = Finder::new(&heading, design);
    let columns = R::columns(&mut finder, joints);
    let columns = finder.finish(columns)?;
    let numeric = R::numeric(&columns);

    let mark = decimal_mark(text, &heading, &numeric);
    let mut walk = Walk::default();
    let (mut rows, mut refused, mut first_refused) = (Vec::new(), Vec::new(), Vec::new());
    for (line, content) in lines(text).skip(heading.line) {
        match kind(content, heading.separator) {
            Kind::Empty | Kind::Remark => continue,
            Kind::Separators => {
                walk.blank.push(line);
                continue;
            }
            Kind::Values => {}
        }
        walk.rows += 1;
        if walk.rows > ROWS_MAX {
            return Err(too_many_rows(line));
        }
        let bare = Row {
            row: walk.rows,
            line,
            text: content,
            heading: &heading,
            mark,
            cells: &[],
        };
        let read = match cells(&bare, &mut walk) {
            Ok(cells) => {
                let row = Row {
                    cells: &cells,
                    ..bare
                };
                if let Some(problem) = second_heading(&row, &numeric) {
                    return Err(alone(problem));
                }
                R::row(&columns, &row, &linkage)
            }
            Err(refusal) => Err(refusal),
        };
        match read {
            Ok(read) => {
                if rows
                    .last()
                    .is_some_and(|last| R::number(last) + 1 == walk.rows && R::same(last, &read))
                {
                    walk.repeated.push(walk.rows);
                }
                rows.push(read);
            }
            Err(refusal) => {
                refused.push(refusal.refused());
                if first_refused.len() < REASONS_LISTED {
                    first_refused.push(refusal);
                }
            }
        }
    }
    enough(&heading, walk.rows, refused.len(), &first_refused)?;
    let mut notes = notes(&heading);
    notes.extend(walk.notes(mark));
    notes.extend(R::notes(&columns, &rows));
    if !refused.is_empty() {
        let numbers_refused: Vec<usize> = refused.iter().map(|refusal| refusal.row).collect();
        notes.push(format!(
            "{} of {} rows refused: {}",
            refused.len(),
            walk.rows,
            numbers(&numbers_refused)
        ));
    }
    Ok(Sheet {
        rows,
        refused,
        notes,
    })
}

/// What is met on the way through a file.
#[derive(Debug, Default)]
struct Walk {
    /// Data rows so far.
    rows: usize,
    /// Lines of separators only.
    blank: Vec<usize>,
    /// Rows with a remark behind their values.
    remarked: Vec<usize>,
    /// Rows that repeat the one before.
    repeated: Vec<usize>,
}

impl Walk {
    fn notes(&self, mark: Mark) -> Vec<String> {
        let mut notes = Vec::new();
        if mark == Mark::Comma {
            notes.push("numbers are read with decimal commas".to_string());
        }
        for (list, words) in [
            (&self.blank, "separators only, passed over: line"),
            (&self.remarked, "a remark behind the values, not read: row"),
            (
                &self.repeated,
                "exactly the same as the row before, kept: row",
            ),
        ] {
            if !list.is_empty() {
                notes.push(format!("{words} {}", numbers(list)));
            }
        }
        notes
    }
}

/// The values of a row, as many as the heading has names.
fn cells<'r>(row: &Row<'r, '_>, walk: &mut Walk) -> Result<Vec<Cell<'r>>, Box<Refusal>> {
    let heading = row.heading;
    let wanted = heading.cells.len();
    let split = split(row.text, heading.separator, super::COLUMNS_MAX).map_err(|fault| {
        let (at, message, hint) = fault.words();
        row.refuse_at(at, message, "", hint)
    })?;
    let found = split.cells.len();
    if found != wanted {
        let hint = if found == 1 {
            "separate values as the names in the heading are separated"
        } else if found == wanted + 1 && split.cells.last().is_some_and(|last| last.text.is_empty())
        {
            "take the separator at the end of the line out"
        } else if found > wanted && heading.separator == ',' {
            "with decimal commas, separate values by semicolons or tabs; put a text with commas in quotes"
        } else {
            "write one value for each name of the heading; leave none out"
        };
        let at = split.cells.get(wanted).map_or(0, |cell| cell.at);
        let values = if found == 1 { "value" } else { "values" };
        let message = format!("{found} {values}, and the heading has {wanted} names");
        return Err(row.refuse_at(at, message, "", hint));
    }
    for (index, cell) in split.cells.iter().enumerate() {
        if heading.cells[index].text.is_empty() && !cell.text.is_empty() {
            return Err(row.refuse_at(
                cell.at,
                format!("value {} stands in a column without a name", index + 1),
                "",
                "name the column, or take the value out",
            ));
        }
    }
    if split.remark {
        walk.remarked.push(row.row);
    }
    Ok(split.cells)
}

/// A second heading: the same names again, or a first row without a single number.
fn second_heading(row: &Row<'_, '_>, numeric: &[Column]) -> Option<Problem> {
    let names = row.heading.cells.iter().map(|cell| &cell.text);
    let again = names.eq(row.cells.iter().map(|cell| &cell.text));
    let no_number = |column: &Column| {
        let text = row.text(*column);
        !is_missing(text) && !text.contains(|c: char| c.is_ascii_digit())
    };
    let (message, hint) = if again {
        (
            "the heading stands here again",
            "keep one heading; files put together need only the first one's",
        )
    } else if row.row == 1 && numeric.iter().all(no_number) {
        (
            "a second line of names or units",
            "keep one heading, with the unit in each name, such as x_mm; put # before other lines",
        )
    } else {
        return None;
    };
    Some(problem(
        (row.line, 1),
        row.text,
        message,
        "one heading, then rows of numbers",
        hint,
    ))
}

/// The file's decimal mark: the one most of its numbers have. With commas between values
/// it is the point.
fn decimal_mark(text: &str, heading: &Heading<'_>, numeric: &[Column]) -> Mark {
    if heading.separator == ',' {
        return Mark::Point;
    }
    let (mut points, mut commas) = (0usize, 0usize);
    for (_, content) in lines(text).skip(heading.line).take(ROWS_MAX) {
        if kind(content, heading.separator) != Kind::Values {
            continue;
        }
        let Ok(split) = split(content, heading.separator, super::COLUMNS_MAX) else {
            continue;
        };
        for column in numeric {
            match split
                .cells
                .get(column.index)
                .and_then(|cell| mark_of(&cell.text))
            {
                Some(Mark::Point) => points += 1,
                Some(Mark::Comma) => commas += 1,
                None => {}
            }
        }
    }
    if commas > points {
        Mark::Comma
    } else {
        Mark::Point
    }
}

/// Refuses a file of which too little is left.
fn enough(
    heading: &Heading<'_>,
    rows: usize,
    refused: usize,
    first: &[Box<Refusal>],
) -> Result<(), FormatError> {
    let remaining = rows - refused;
    if remaining >= ROWS_MIN && 2 * refused <= rows {
        return Ok(());
    }
    let message = match (rows, refused) {
        (0, _) => "there is a heading and no row".to_string(),
        (1, 0) => "one row is too few".to_string(),
        (_, 0) => format!("{rows} rows are too few"),
        _ => format!("{refused} of {rows} rows are refused; rows that remain: {remaining}"),
    };
    let hint = match refused {
        0 => "measure more points and write a row for each",
        few if few <= REASONS_LISTED => "the reasons follow; often all have the same cause",
        _ => "the first ten reasons follow; often all have the same cause",
    };
    let allowed =
        format!("at least {ROWS_MIN} rows that can be used, and at most half of the rows refused");
    let mut problems = vec![problem((heading.line, 1), "", message, allowed, hint)];
    problems.extend(first.iter().map(|refusal| refusal.problem()));
    Err(FormatError { problems })
}

fn too_many_rows(line: usize) -> FormatError {
    alone(problem(
        (line, 1),
        "",
        format!("the file has more than {ROWS_MAX} rows"),
        format!("at most {ROWS_MAX} rows"),
        "a few hundred configurations are plenty; average repeats, or keep every tenth row",
    ))
}
