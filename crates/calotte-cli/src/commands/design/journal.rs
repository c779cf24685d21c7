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
use calotte::search::evaluate::ElasticValues;
use calotte::search::{CandidateValues, Grid, Outcome};
use serde::{Deserialize, Serialize};
use serde_json::json;
use sha2::{Digest, Sha256};

use crate::failure::Failure;

/// Digest of the sources and the compiler that the numbers of this program come from.
const COMPUTED_BY: &str = env!("CALOTTE_COMPUTED_BY");

/// An open journal beside the results folder.
pub struct Journal {
    file: File,
}

/// One judged group.
#[derive(Serialize, Deserialize)]
struct Line(usize, Vec<Judged>);

/// One candidate: limits failed, violation, and values.
#[derive(Serialize, Deserialize)]
struct Judged(Vec<String>, Bits, Option<Values>);

/// Coverage, GCI, least LCI, polar angles, and elastic values.
#[derive(Serialize, Deserialize)]
struct Values([Bits; 5], Option<[Bits; 8]>);

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
    json!({
        "calotte": env!("CARGO_PKG_VERSION"),
        "computed_by": computed_by,
        "question": question(brief),
        "combinations": grid.len(),
    })
    .to_string()
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
    let values = outcome.values.map(|values| {
        // Named one by one: a value that is added must be written too.
        let CandidateValues {
            coverage,
            gci,
            lci_min,
            polar: [from, to],
            elastic,
        } = values;
        let elastic = elastic.map(|elastic| {
            let ElasticValues {
                remaining,
                stiffness,
                contact,
                sag,
                torque,
                safety,
                bearing_safety,
                moving_mass,
            } = elastic;
            [
                remaining,
                stiffness,
                contact,
                sag,
                torque,
                safety,
                bearing_safety,
                moving_mass,
            ]
            .map(Bits::from)
        });
        Values([coverage, gci, lci_min, from, to].map(Bits::from), elastic)
    });
    Judged(outcome.failed.clone(), outcome.violation.into(), values)
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
    let outcomes = outcomes.map(|(candidate, Judged(failed, violation, values))| Outcome {
        candidate,
        failed,
        violation: violation.into(),
        values: values.map(read_values),
    });
    Some((group, outcomes.collect()))
}

fn read_values(Values(kinematic, elastic): Values) -> CandidateValues {
    let [coverage, gci, lci_min, from, to] = kinematic.map(f64::from);
    let elastic = elastic.map(|list| {
        let [
            remaining,
            stiffness,
            contact,
            sag,
            torque,
            safety,
            bearing_safety,
            moving_mass,
        ] = list.map(f64::from);
        ElasticValues {
            remaining,
            stiffness,
            contact,
            sag,
            torque,
            safety,
            bearing_safety,
            moving_mass,
        }
    });
    CandidateValues {
        coverage,
        gci,
        lci_min,
        polar: [from, to],
        elastic,
    }
}

#[cfg(test)]
#[path = "journal_tests.rs"]
mod tests;
