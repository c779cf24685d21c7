//! The search of islands: what is judged is kept as it goes, so that a stopped search goes on to
//! the same result without judging anything twice.

use std::collections::HashMap;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Mutex, PoisonError};

use calotte::brief::Brief;
use calotte::evolution::Genome;
use calotte::search::{Effort, IslandFound, Outcome, Store, Verdict, explore, islands};
use calotte_files::Claim;
use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};

use super::journal::{Journal, Known};
use super::{Analysed, STOPPED, stopped};
use crate::failure::Failure;
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
    pub(super) islands: Vec<IslandFound>,
    pub(super) journal: Journal,
    pub(super) analysed: Analysed,
}

/// Searches all islands of a brief, with progress, stop and going on.
pub(super) fn search(brief: &Brief, effort: &Effort, claim: &Claim) -> Result<Searched, Failure> {
    say!(
        "search: {} kinds of linkage, each by itself",
        islands(brief).len()
    );
    let (journal, known) = Journal::open_islands(claim, brief, effort)?;
    let Known {
        candidates,
        analysed,
        ..
    } = known;
    if !candidates.is_empty() {
        say!("going on: {} candidates are judged", candidates.len());
    }
    // A second handler cannot be set within one process; the first stays.
    let _ = ctrlc::set_handler(|| STOPPED.store(true, Ordering::SeqCst));
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
    let explored = explore(brief, effort, &store);
    store.bar.finish_and_clear();
    let journal = store.journal.into_inner();
    let journal = journal.unwrap_or_else(PoisonError::into_inner);
    let explored = explored.ok_or_else(stopped)?;
    Ok(Searched {
        outcomes: explored.outcomes,
        islands: explored.islands,
        journal,
        analysed,
    })
}
