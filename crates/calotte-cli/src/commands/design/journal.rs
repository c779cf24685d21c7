//! What makes a stopped search go on without loss: one line per judged group of a grid, or per
//! judged candidate of an island.
//!
//! Numbers are written by their bits, so that what is read back is what was computed, to the
//! last one and for any number at all. A journal is believed only for the same question, asked
//! of the same program.

use std::collections::HashMap;
use std::fmt::{self, Write as _};

use calotte::brief::Brief;
use calotte::evolution::Genome;
use calotte::quantity::{Missing, Quantity, Standing, Values};
use calotte::search::{Depth, Effort, Grid, Island, IslandFound, JudgedBy, Outcome, Verdict};
use calotte_files::Claim;
use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};

use crate::failure::Failure;
use crate::say;

/// Digest of the sources and the compiler that the numbers of this program come from.
const COMPUTED_BY: &str = env!("CALOTTE_COMPUTED_BY");

/// How the first line of any journal begins.
const BEGINS: &str = "{\"calotte\":";

/// An open journal beside the results folder.
pub struct Journal {
    lines: calotte_files::Journal,
    /// Whether it was said that a line could not be written.
    failed: bool,
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

/// One judged group of a grid, one judged candidate of an island, or one candidate by its place
/// among all that was analysed afterwards.
#[derive(Serialize, Deserialize)]
enum Line {
    Group(usize, Vec<Judged>),
    Candidate(usize, Genome, Judged),
    Analysed(usize, Judged),
}

/// What a journal knew.
#[derive(Debug, Default)]
pub struct Known {
    /// Judged groups.
    pub groups: HashMap<usize, Vec<Outcome>>,
    /// Judged candidates by island and genome.
    pub candidates: HashMap<(usize, Genome), Verdict>,
    /// Candidates that were analysed, by their places among all.
    pub analysed: HashMap<usize, Verdict>,
}

/// One candidate: how far its judging came and why no farther, limits that are not met,
/// polar angles reached, values by the words of their quantities, by what it was judged, and
/// values of limits missed elsewhere.
#[derive(Serialize, Deserialize)]
pub struct Judged(
    u8,
    Option<String>,
    Vec<(String, Limit)>,
    Option<[Bits; 2]>,
    Vec<(String, Bits)>,
    u8,
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

/// By what a candidate can be judged, by the number that stands for it.
const JUDGED_BY: [JudgedBy; 3] = [JudgedBy::Nominal, JudgedBy::Corner, JudgedBy::Analysis];

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
    header_of(grid.len(), question(brief), computed_by)
}

fn header_of(combinations: usize, question: String, computed_by: &str) -> String {
    let header = Header {
        calotte: env!("CARGO_PKG_VERSION"),
        combinations,
        computed_by,
        question,
    };
    // Numbers and words always have a text.
    serde_json::to_string(&header).unwrap_or_default()
}

/// What a search of islands was asked, by which program.
#[derive(Serialize, Deserialize, PartialEq)]
pub struct Question {
    calotte: String,
    computed_by: String,
    brief: String,
    seed: u64,
    screened: usize,
    looked_at: usize,
}

impl Question {
    /// The question that this program is asked.
    pub fn of(brief: &Brief, effort: &Effort) -> Self {
        Self {
            calotte: env!("CARGO_PKG_VERSION").to_string(),
            computed_by: COMPUTED_BY.to_string(),
            brief: question(brief),
            seed: effort.seed,
            screened: effort.screened,
            looked_at: effort.looked_at,
        }
    }

    /// In what it differs from what is asked now, in words.
    pub fn differs_from(&self, asked: &Self) -> Option<String> {
        let differs = [
            (
                self.calotte != asked.calotte || self.computed_by != asked.computed_by,
                "another program found it".to_string(),
            ),
            (
                self.brief != asked.brief,
                "its brief says something else".to_string(),
            ),
            (
                self.seed != asked.seed,
                format!("its seed is {}, {} is asked for", self.seed, asked.seed),
            ),
            (
                (self.screened, self.looked_at) != (asked.screened, asked.looked_at),
                "its effort is another".to_string(),
            ),
        ];
        let first = differs.into_iter().find(|(differs, _)| *differs);
        first.map(|(_, words)| words)
    }
}

/// A line of a part of a search: an island with what was counted on it, or a candidate.
#[derive(Serialize, Deserialize)]
pub enum PartLine {
    Island(usize, Counted),
    Candidate(usize, Genome, Judged),
}

/// What was counted on an island: angles screened; candidates short of reach, behind others, judged.
#[derive(Serialize, Deserialize)]
pub struct Counted([usize; 4]);

impl Counted {
    /// On which island.
    pub fn of(self, island: Island) -> IslandFound {
        let [screened, short_of_reach, beaten, judged] = self.0;
        IslandFound {
            island,
            screened,
            short_of_reach,
            beaten,
            judged,
        }
    }
}

impl PartLine {
    /// The line of an island.
    pub fn island(found: &IslandFound) -> Self {
        let counted = [
            found.screened,
            found.short_of_reach,
            found.beaten,
            found.judged,
        ];
        Self::Island(found.island.index, Counted(counted))
    }

    /// The line of a candidate.
    pub fn candidate(island: usize, genome: &Genome, verdict: &Verdict) -> Self {
        Self::Candidate(island, genome.clone(), judged(verdict))
    }

    /// What a candidate's line says; `None` of another line, and where it says nothing that this
    /// program knows.
    pub fn verdict(self) -> Option<(usize, Genome, Verdict)> {
        match self {
            Self::Candidate(island, genome, judged) => {
                Some((island, genome, read_verdict(judged)?))
            }
            Self::Island(..) => None,
        }
    }
}

impl Journal {
    /// Opens the journal beside results and returns what was already judged for exactly this
    /// brief, by this program, over this grid.
    pub fn open(claim: &Claim, brief: &Brief, grid: &Grid) -> Result<(Self, Known), Failure> {
        Self::open_as(claim, &header(brief, grid, COMPUTED_BY), grid)
    }

    /// The same for a search of islands with an effort; of a part of them in its words.
    pub fn open_islands(
        claim: &Claim,
        brief: &Brief,
        effort: &Effort,
        part: &str,
    ) -> Result<(Self, Known), Failure> {
        let question = format!("{} {effort:?} {part}", question(brief));
        Self::open_as(claim, &header_of(0, question, COMPUTED_BY), None)
    }

    fn open_as<'a>(
        claim: &Claim,
        header: &str,
        grid: impl Into<Option<&'a Grid>>,
    ) -> Result<(Self, Known), Failure> {
        let grid = grid.into();
        let mut known = Known::default();
        // A line cut short by a kill is judged again.
        let believe = |line: &str| match read_line(line, grid) {
            Some(Read::Group(group, outcomes)) => {
                known.groups.insert(group, outcomes);
            }
            Some(Read::Candidate(island, genome, verdict)) => {
                known.candidates.insert((island, genome), *verdict);
            }
            Some(Read::Analysed(place, verdict)) => {
                known.analysed.insert(place, *verdict);
            }
            None => {}
        };
        let (lines, told) = calotte_files::Journal::open(claim, BEGINS, header, believe)?;
        if let Some(told) = told {
            say!("note: {told}");
        }
        let failed = false;
        Ok((Self { lines, failed }, known))
    }

    /// Adds a judged group. A journal that cannot be written costs only the
    /// chance to go on later, so the search does not stop for it.
    pub fn append(&mut self, group: usize, outcomes: &[Outcome]) {
        self.add(&line_of(group, outcomes));
    }

    /// Adds a judged candidate of an island.
    pub fn append_candidate(&mut self, island: usize, genome: &Genome, verdict: &Verdict) {
        self.add(&text_of(&Line::Candidate(
            island,
            genome.clone(),
            judged(verdict),
        )));
    }

    /// Adds a candidate that was analysed, by its place among all.
    pub fn append_analysed(&mut self, place: usize, verdict: &Verdict) {
        self.add(&text_of(&Line::Analysed(place, judged(verdict))));
    }

    fn add(&mut self, line: &str) {
        if let Err(error) = self.lines.append(line)
            && !self.failed
        {
            self.failed = true;
            say!(
                "note: if this search is stopped, what it judges from here on is judged again: {error}"
            );
        }
    }

    /// Removes the journal of a finished search.
    pub fn remove(self) {
        self.lines.remove();
    }
}

fn line_of(group: usize, outcomes: &[Outcome]) -> String {
    let verdicts = outcomes.iter().map(|outcome| judged(&outcome.verdict));
    text_of(&Line::Group(group, verdicts.collect()))
}

fn text_of(line: &Line) -> String {
    // Numbers and words always have a text.
    let mut text = serde_json::to_string(line).unwrap_or_default();
    text.push('\n');
    text
}

fn judged(verdict: &Verdict) -> Judged {
    // Named one by one: what is added to a verdict must be written too.
    let Verdict {
        depth,
        reason,
        missed,
        polar,
        values,
        judged_by,
        missed_at,
    } = verdict;
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
    let written = |(quantity, value): (Quantity, f64)| (quantity.word().to_string(), value.into());
    Judged(
        *depth as u8,
        reason.clone(),
        missed.collect(),
        polar.map(|polar| polar.map(Bits::from)),
        values.iter().map(written).collect(),
        *judged_by as u8,
        missed_at.iter().copied().map(written).collect(),
    )
}

/// A line, read.
#[derive(Debug)]
enum Read {
    Group(usize, Vec<Outcome>),
    Candidate(usize, Genome, Box<Verdict>),
    Analysed(usize, Box<Verdict>),
}

fn read_line<'a>(line: &str, grid: impl Into<Option<&'a Grid>>) -> Option<Read> {
    let grid = grid.into();
    let (group, list) = match serde_json::from_str(line).ok()? {
        Line::Group(group, list) => (group, list),
        Line::Analysed(place, judged) => {
            let verdict = read_verdict(judged)?;
            let is_one = grid.is_none_or(|grid| place < grid.len());
            return is_one.then_some(Read::Analysed(place, Box::new(verdict)));
        }
        Line::Candidate(island, genome, judged) => {
            let verdict = read_verdict(judged)?;
            return Some(Read::Candidate(island, genome, Box::new(verdict)));
        }
    };
    let grid = grid?;
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
    Some(Read::Group(group, outcomes.collect::<Option<_>>()?))
}

fn read_verdict(judged: Judged) -> Option<Verdict> {
    let Judged(depth, reason, missed, polar, known, judged_by, missed_at) = judged;
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
    let missed_at = missed_at.into_iter();
    let missed_at =
        missed_at.map(|(word, value)| Some((Quantity::of_word(&word)?, f64::from(value))));
    Some(Verdict {
        depth: *DEPTHS.get(usize::from(depth))?,
        reason,
        missed: missed.collect::<Option<_>>()?,
        polar: polar.map(|polar| polar.map(f64::from)),
        values,
        judged_by: *JUDGED_BY.get(usize::from(judged_by))?,
        missed_at: missed_at.collect::<Option<_>>()?,
    })
}

#[cfg(test)]
#[path = "journal_tests.rs"]
mod tests;
