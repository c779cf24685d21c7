//! The search of islands: what is judged is kept as it goes, so that a stopped search goes on to
//! the same result without judging anything twice.

use std::collections::HashMap;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Mutex, PoisonError};

use calotte::brief::Brief;
use calotte::evolution::Genome;
use calotte::search::{Effort, Island, IslandFound, Outcome, Store, Verdict, explore_islands};
use calotte_files::Claim;
use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};

use super::journal::{Journal, Known};
use super::{Analysed, STOPPED, stopped};
use crate::failure::Failure;
use crate::part::Part;
use crate::say;

/// What a journal knew and keeps.
struct Remembered {
    known: HashMap<(usize, Genome), Verdict>,
    journal: Mutex<Journal>,
    bar: ProgressBar,
    judged: AtomicUsize,
    feasible: AtomicUsize,
}

impl Store for Remembered {
    fn known(&self, island: usize, genome: &Genome) -> Option<Verdict> {
        self.known.get(&(island, genome.clone())).cloned()
    }

    fn keep(&self, island: usize, genome: &Genome, verdict: &Verdict) {
        let mut journal = self.journal.lock().unwrap_or_else(PoisonError::into_inner);
        journal.append_candidate(island, genome, verdict);
        self.judged.fetch_add(1, Ordering::Relaxed);
        if verdict.feasible() {
            self.feasible.fetch_add(1, Ordering::Relaxed);
        }
    }

    fn stopped(&self) -> bool {
        STOPPED.load(Ordering::SeqCst)
    }

    fn turned(&self, _: usize, _: usize, _: usize) {
        self.bar.set_message(format!(
            "{} judged, {} meet every limit",
            self.judged.load(Ordering::Relaxed),
            self.feasible.load(Ordering::Relaxed)
        ));
        self.bar.tick();
    }
}

/// What was searched: candidates, how it went, and what was analysed before.
pub(super) struct Searched {
    pub(super) outcomes: Vec<Outcome>,
    pub(super) genomes: Vec<(usize, Genome)>,
    pub(super) islands: Vec<IslandFound>,
    pub(super) journal: Journal,
    pub(super) analysed: Analysed,
}

/// Searches islands of a brief, all of them or those of a part, with progress, stop and going on.
pub(super) fn search(
    brief: &Brief,
    effort: &Effort,
    claim: &Claim,
    islands: &[Island],
    part: Option<Part>,
) -> Result<Searched, Failure> {
    say!(
        "search: {}, each by itself; arcs and bends to {}",
        kinds_words(islands.len()),
        within_words(brief.choice.round_angle)
    );
    let part = part.map_or(String::new(), |part| part.to_string());
    let (journal, known) = Journal::open_islands(claim, brief, effort, &part)?;
    let Known {
        candidates,
        analysed,
        ..
    } = known;
    if !candidates.is_empty() {
        say!("going on: {} candidates are judged", candidates.len());
    }
    super::stop_on_request();
    let bar = ProgressBar::with_draw_target(None, ProgressDrawTarget::stderr());
    if let Ok(style) = ProgressStyle::with_template("searching {elapsed}: {msg}") {
        bar.set_style(style);
    }
    let store = Remembered {
        known: candidates,
        journal: Mutex::new(journal),
        bar,
        judged: AtomicUsize::new(0),
        feasible: AtomicUsize::new(0),
    };
    let explored = explore_islands(brief, islands, effort, &store);
    store.bar.finish_and_clear();
    let journal = store.journal.into_inner();
    let journal = journal.unwrap_or_else(PoisonError::into_inner);
    let explored = explored.ok_or_else(stopped)?;
    Ok(Searched {
        outcomes: explored.outcomes,
        genomes: explored.genomes,
        islands: explored.islands,
        journal,
        analysed,
    })
}

fn kinds_words(count: usize) -> String {
    match count {
        1 => "1 kind of linkage".to_string(),
        count => format!("{count} kinds of linkage"),
    }
}

/// A step of angles, with all of its digits.
fn within_words(step: f64) -> String {
    // Of what the brief's degrees became in radians the rounding is left out.
    format!("{}°", (step.to_degrees() * 1e6).round() / 1e6)
}
