//! What makes a stopped search go on without loss: one line per judged group.

use std::collections::HashMap;
use std::fs::{self, File, OpenOptions};
use std::io::Write;
use std::path::{Path, PathBuf};

use calotte::search::evaluate::ElasticValues;
use calotte::search::{CandidateValues, Grid, Outcome};
use serde_json::{Value, json};

use crate::failure::Failure;

/// An open journal beside the results folder.
pub struct Journal {
    file: File,
}

fn path_of(target: &Path) -> PathBuf {
    let mut name = target.file_name().unwrap_or_default().to_os_string();
    name.push(".unfinished");
    target.with_file_name(name)
}

impl Journal {
    /// Opens the journal of a results folder and returns the groups already
    /// judged for exactly these inputs, by this program, over this grid.
    pub fn open(
        target: &Path,
        key: &str,
        grid: &Grid,
    ) -> Result<(Self, HashMap<usize, Vec<Outcome>>), Failure> {
        let path = path_of(target);
        let header = json!({
            "calotte": env!("CARGO_PKG_VERSION"),
            "inputs": key,
            "combinations": grid.len(),
        })
        .to_string();
        let mut known = HashMap::new();
        if let Ok(text) = fs::read_to_string(&path) {
            let mut lines = text.lines();
            if lines.next() == Some(header.as_str()) {
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
        let list: Vec<Value> = outcomes.iter().map(outcome_json).collect();
        let _ = writeln!(self.file, "{}", json!([group, list]));
    }

    /// Removes the journal of a finished search.
    pub fn remove(target: &Path) {
        let _ = fs::remove_file(path_of(target));
    }
}

fn outcome_json(outcome: &Outcome) -> Value {
    let values = outcome.values.map(|v| {
        json!([
            v.coverage,
            v.gci,
            v.lci_min,
            v.polar[0],
            v.polar[1],
            v.elastic.map(|e| {
                // JSON has no infinity: an unstressed candidate has no safety factor.
                json!([
                    e.stiffness,
                    e.contact,
                    e.sag,
                    e.torque,
                    e.safety.is_finite().then_some(e.safety),
                    e.moving_mass,
                    e.remaining,
                    e.bearing_safety.is_finite().then_some(e.bearing_safety)
                ])
            })
        ])
    });
    json!([outcome.failed, outcome.violation, values])
}

fn read_line(line: &str, grid: &Grid) -> Option<(usize, Vec<Outcome>)> {
    let value: Value = serde_json::from_str(line).ok()?;
    let group = value.get(0)?.as_u64()? as usize;
    if group >= grid.groups.len() {
        return None;
    }
    let candidates = grid.group(group);
    let list = value.get(1)?.as_array()?;
    if list.len() != candidates.len() {
        return None;
    }
    let outcomes = candidates
        .into_iter()
        .zip(list)
        .map(|(candidate, item)| {
            Some(Outcome {
                candidate,
                failed: item
                    .get(0)?
                    .as_array()?
                    .iter()
                    .map(|f| f.as_str().map(str::to_string))
                    .collect::<Option<_>>()?,
                violation: item.get(1)?.as_f64()?,
                values: match item.get(2)? {
                    Value::Null => None,
                    values => Some(read_values(values)?),
                },
            })
        })
        .collect::<Option<Vec<_>>>()?;
    Some((group, outcomes))
}

fn read_values(value: &Value) -> Option<CandidateValues> {
    let at = |index: usize| value.get(index)?.as_f64();
    let elastic = match value.get(5)? {
        Value::Null => None,
        list => {
            let at = |index: usize| list.get(index)?.as_f64();
            Some(ElasticValues {
                stiffness: at(0)?,
                contact: at(1)?,
                sag: at(2)?,
                torque: at(3)?,
                safety: at(4).unwrap_or(f64::INFINITY),
                moving_mass: at(5)?,
                remaining: at(6)?,
                bearing_safety: at(7).unwrap_or(f64::INFINITY),
            })
        }
    };
    Some(CandidateValues {
        coverage: at(0)?,
        gci: at(1)?,
        lci_min: at(2)?,
        polar: [at(3)?, at(4)?],
        elastic,
    })
}
