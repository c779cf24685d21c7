//! What makes a stopped search go on without loss: one line per judged group.
//!
//! Numbers are written by their bits, so that what is read back is what was computed, to the
//! last one and for any number at all. A journal is believed only for the same question, asked
//! of the same program.

use std::collections::HashMap;
use std::fmt::{self, Write as _};
use std::fs::{self, File, OpenOptions};
use std::io::Write;
use std::path::{Path, PathBuf};

use calotte::brief::Brief;
use calotte::quantity::{Missing, Quantity, Standing, Values};
use calotte::search::{Depth, Grid, Outcome, Verdict};
use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};

use crate::failure::Failure;

/// Digest of the sources and the compiler that the numbers of this program come from.
const COMPUTED_BY: &str = env!("CALOTTE_COMPUTED_BY");

/// An open journal beside the results folder.
pub struct Journal {
    file: File,
}

/// The first line: what was asked of which program.
#[derive(Serialize)]
struct Header<'a> {
    /// Version of the program.
    calotte: &'a str,
    combinations: usize,
    /// Digest of the sources and the compiler.
    computed_by: &'a str,
    /// Digest of all that the search asks.
    question: String,
}

/// One judged group.
#[derive(Serialize, Deserialize)]
struct Line(usize, Vec<Judged>);

/// One candidate: how far its judging came and why no farther, limits that are not met,
/// polar angles reached, and values by the words of their quantities.
#[derive(Serialize, Deserialize)]
struct Judged(
    u8,
    Option<String>,
    Vec<(String, Limit)>,
    Option<[Bits; 2]>,
    Vec<(String, Bits)>,
);

/// A limit that is not met.
#[derive(Serialize, Deserialize)]
enum Limit {
    Missed(Bits),
    NotDescribed(String),
    NotComputed(String),
    NotThere(String),
}

/// How far a judging can come, by the number that stands for it.
const DEPTHS: [Depth; 4] = [Depth::NotBuilt, Depth::NoRange, Depth::Reach, Depth::Whole];

/// A number by its bits.
#[derive(Serialize, Deserialize, Clone, Copy)]
struct Bits(u64);

impl From<f64> for Bits {
    fn from(value: f64) -> Self {
        Self(value.to_bits())
    }
}

impl From<Bits> for f64 {
    fn from(bits: Bits) -> Self {
        f64::from_bits(bits.0)
    }
}

fn path_of(target: &Path) -> PathBuf {
    let mut name = target.file_name().unwrap_or_default().to_os_string();
    name.push(".unfinished");
    target.with_file_name(name)
}

/// Digest of all that a search asks, points and triangles of files beside the brief and parts of
/// a prototype included. It is taken of the values, whose text is exact and holds every field.
fn question(brief: &Brief) -> String {
    struct Hash(Sha256);
    impl fmt::Write for Hash {
        fn write_str(&mut self, text: &str) -> fmt::Result {
            self.0.update(text.as_bytes());
            Ok(())
        }
    }
    let mut hash = Hash(Sha256::new());
    // Hashing does not fail.
    let _ = write!(hash, "{brief:?}");
    let digest = hash.0.finalize();
    digest.iter().map(|byte| format!("{byte:02x}")).collect()
}

fn header(brief: &Brief, grid: &Grid, computed_by: &str) -> String {
    let header = Header {
        calotte: env!("CARGO_PKG_VERSION"),
        combinations: grid.len(),
        computed_by,
        question: question(brief),
    };
    // Numbers and words always have a text.
    serde_json::to_string(&header).unwrap_or_default()
}

impl Journal {
    /// Opens the journal of a results folder and returns the groups already
    /// judged for exactly this brief, by this program, over this grid.
    pub fn open(
        target: &Path,
        brief: &Brief,
        grid: &Grid,
    ) -> Result<(Self, HashMap<usize, Vec<Outcome>>), Failure> {
        Self::open_as(target, &header(brief, grid, COMPUTED_BY), grid)
    }

    fn open_as(
        target: &Path,
        header: &str,
        grid: &Grid,
    ) -> Result<(Self, HashMap<usize, Vec<Outcome>>), Failure> {
        let path = path_of(target);
        let mut known = HashMap::new();
        if let Ok(text) = fs::read_to_string(&path) {
            let mut lines = text.lines();
            if lines.next() == Some(header) {
                for line in lines {
                    // A line cut short by a kill is judged again.
                    if let Some((group, outcomes)) = read_line(line, grid) {
                        known.insert(group, outcomes);
                    }
                }
            }
        }
        let failed = |error: std::io::Error| {
            Failure::new(format!("cannot write {}: {error}", path.display()))
                .hint("check that the folder exists and may be written, or give --out DIR")
        };
        if let Some(folder) = path.parent().filter(|f| !f.as_os_str().is_empty()) {
            fs::create_dir_all(folder).map_err(failed)?;
        }
        let file = if known.is_empty() {
            let mut file = File::create(&path).map_err(failed)?;
            writeln!(file, "{header}").map_err(failed)?;
            file
        } else {
            let mut file = OpenOptions::new()
                .append(true)
                .open(&path)
                .map_err(failed)?;
            // Ends a line that a kill may have cut.
            writeln!(file).map_err(failed)?;
            file
        };
        Ok((Self { file }, known))
    }

    /// Adds a judged group. A journal that cannot be written costs only the
    /// chance to go on later, so the search does not stop for it.
    pub fn append(&mut self, group: usize, outcomes: &[Outcome]) {
        let _ = self.file.write_all(line_of(group, outcomes).as_bytes());
    }

    /// Removes the journal of a finished search.
    pub fn remove(target: &Path) {
        let _ = fs::remove_file(path_of(target));
    }
}

fn line_of(group: usize, outcomes: &[Outcome]) -> String {
    let line = Line(group, outcomes.iter().map(judged).collect());
    // Numbers and words always have a text.
    let mut text = serde_json::to_string(&line).unwrap_or_default();
    text.push('\n');
    text
}

fn judged(outcome: &Outcome) -> Judged {
    // Named one by one: what is added to a verdict must be written too.
    let Verdict {
        depth,
        reason,
        missed,
        polar,
        values,
    } = &outcome.verdict;
    let missed = missed.iter().map(|(quantity, standing)| {
        let limit = match standing {
            Standing::Met => Limit::Missed(0.0.into()),
            Standing::MissedBy(share) => Limit::Missed((*share).into()),
            Standing::Unknown(Missing::NotDescribed(why)) => Limit::NotDescribed(why.clone()),
            Standing::Unknown(Missing::NotComputed(why)) => Limit::NotComputed(why.clone()),
            Standing::Unknown(Missing::NotThere(why)) => Limit::NotThere(why.clone()),
        };
        (quantity.word().to_string(), limit)
    });
    let values = values.iter();
    Judged(
        *depth as u8,
        reason.clone(),
        missed.collect(),
        polar.map(|polar| polar.map(Bits::from)),
        values
            .map(|(quantity, value)| (quantity.word().to_string(), value.into()))
            .collect(),
    )
}

fn read_line(line: &str, grid: &Grid) -> Option<(usize, Vec<Outcome>)> {
    let Line(group, list) = serde_json::from_str(line).ok()?;
    if group >= grid.groups.len() {
        return None;
    }
    let candidates = grid.group(group);
    if list.len() != candidates.len() {
        return None;
    }
    let outcomes = candidates.into_iter().zip(list);
    let outcomes = outcomes.map(|(candidate, judged)| {
        let verdict = read_verdict(judged)?;
        Some(Outcome { candidate, verdict })
    });
    Some((group, outcomes.collect::<Option<_>>()?))
}

fn read_verdict(Judged(depth, reason, missed, polar, known): Judged) -> Option<Verdict> {
    let missed = missed.into_iter().map(|(word, limit)| {
        let standing = match limit {
            Limit::Missed(share) => Standing::MissedBy(share.into()),
            Limit::NotDescribed(why) => Standing::Unknown(Missing::NotDescribed(why)),
            Limit::NotComputed(why) => Standing::Unknown(Missing::NotComputed(why)),
            Limit::NotThere(why) => Standing::Unknown(Missing::NotThere(why)),
        };
        Some((Quantity::of_word(&word)?, standing))
    });
    let mut values = Values::default();
    for (word, value) in known {
        values.set(Quantity::of_word(&word)?, value.into());
    }
    Some(Verdict {
        depth: *DEPTHS.get(usize::from(depth))?,
        reason,
        missed: missed.collect::<Option<_>>()?,
        polar: polar.map(|polar| polar.map(f64::from)),
        values,
    })
}

#[cfg(test)]
#[path = "journal_tests.rs"]
mod tests;
