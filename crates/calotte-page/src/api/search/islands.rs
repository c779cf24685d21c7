//! The search of islands, watched: candidates as they are judged, numbered as they come; in the
//! end all of them in the order of `calotte design`, which judges the same.

use std::sync::Mutex;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Instant;

use calotte::brief::Brief;
use calotte::evolution::Genome;
use calotte::search::{
    Candidate, Effort, Island, Outcome, SHOWN, Store, Verdict, explore, islands,
};

use super::super::linkage::index;
use super::super::wire::SearchDone;
use super::chosen::{Analysed, chosen};
use super::told::{PART_SECONDS, Telling};
use crate::memory::{Judged, locked};
use crate::server::Sender;

/// Searches the islands of a brief.
pub(super) fn watched(
    brief: &Brief,
    before: &Mutex<Judged>,
    sender: &Sender,
    cancelled: &AtomicBool,
) -> SearchDone {
    let effort = Effort::default();
    let all = islands(brief);
    let of: usize = all
        .iter()
        .map(|one| effort.looked_at_most(brief, one))
        .sum();
    let watching = Watching {
        before,
        islands: &all,
        brief,
        sender,
        cancelled,
        seen: Mutex::new(Seen {
            telling: Telling::new(brief, of),
            judged: Vec::new(),
            keys: Vec::new(),
            looked_at: vec![0; all.len()],
            last: None,
        }),
    };
    watching.tell(&mut locked(&watching.seen));
    let found = explore(brief, &effort, &watching);
    let mut seen = locked(&watching.seen);
    // What was judged since the last part.
    watching.tell(&mut seen);
    let Some(mut found) = found else {
        return SearchDone::default();
    };
    let (choice, done) = chosen(
        brief,
        &mut found.outcomes,
        Some(SHOWN),
        cancelled,
        &Kept(before),
    );
    let looked_at = seen.looked_at.iter().sum();
    let called = |place: usize| (index(place), key(&found.genomes[place]));
    sender.part(
        &seen
            .telling
            .end(&found.outcomes, &called, looked_at, choice, true),
    );
    done
}

/// Islands that a brief allows.
pub(super) fn count(brief: &Brief) -> u32 {
    index(islands(brief).len())
}

/// What a candidate is called in asking for it: its island and its genome.
fn key((island, genome): &(usize, Genome)) -> String {
    let genome: Vec<String> = genome.iter().map(u32::to_string).collect();
    format!("{island}/{}", genome.join("-"))
}

/// The candidate of a key; `None` where the brief has no such one.
pub(super) fn candidate(brief: &Brief, key: &str) -> Option<Candidate> {
    let (island, genome) = key.split_once('/')?;
    let genome: Option<Genome> = genome.split('-').map(|place| place.parse().ok()).collect();
    let island: usize = island.parse().ok()?;
    let (all, genome) = (islands(brief), genome?);
    let island = all.get(island).filter(|island| island.holds(&genome))?;
    Some(island.candidate(brief, &genome))
}

/// What was seen of a search that runs.
struct Seen<'a> {
    telling: Telling<'a>,
    judged: Vec<Outcome>,
    keys: Vec<(usize, Genome)>,
    /// Candidates looked at on each island.
    looked_at: Vec<usize>,
    last: Option<Instant>,
}

/// A search that is watched, and what was judged before.
struct Watching<'a> {
    before: &'a Mutex<Judged>,
    islands: &'a [Island],
    brief: &'a Brief,
    sender: &'a Sender,
    cancelled: &'a AtomicBool,
    seen: Mutex<Seen<'a>>,
}

impl Watching<'_> {
    fn tell(&self, seen: &mut Seen) {
        let called = |place: usize| (index(place), key(&seen.keys[place]));
        let looked_at = seen.looked_at.iter().sum();
        let part = seen.telling.part(&seen.judged, &called, looked_at);
        self.sender.part(&part);
        seen.last = Some(Instant::now());
    }

    fn see(&self, island: usize, genome: &Genome, verdict: &Verdict) {
        let mut seen = locked(&self.seen);
        let number = seen.judged.len();
        let mut candidate = self.islands[island].candidate(self.brief, genome);
        candidate.index = number;
        seen.judged.push(Outcome {
            candidate,
            verdict: verdict.clone(),
        });
        seen.keys.push((island, genome.clone()));
        let waited = seen.last.map(|last| last.elapsed().as_secs_f64());
        if waited.is_none_or(|waited| waited > PART_SECONDS) {
            self.tell(&mut seen);
        }
    }
}

impl Store for Watching<'_> {
    fn known(&self, island: usize, genome: &Genome) -> Option<Verdict> {
        let before = locked(self.before);
        let verdict = before.candidates.get(&(island, genome.clone())).cloned();
        drop(before);
        // What is taken up again is shown again.
        if let Some(verdict) = &verdict {
            self.see(island, genome, verdict);
        }
        verdict
    }

    fn keep(&self, island: usize, genome: &Genome, verdict: &Verdict) {
        let mut before = locked(self.before);
        let key = (island, genome.clone());
        before.candidates.insert(key, verdict.clone());
        drop(before);
        self.see(island, genome, verdict);
    }

    fn stopped(&self) -> bool {
        self.cancelled.load(Ordering::Relaxed)
    }

    fn turned(&self, island: usize, looked_at: usize, _: usize) {
        let mut seen = locked(&self.seen);
        seen.looked_at[island] = looked_at;
    }
}

/// What the whole analysis found before.
struct Kept<'a>(&'a Mutex<Judged>);

impl Analysed for Kept<'_> {
    fn known(&self, place: usize) -> Option<Verdict> {
        locked(self.0).analysed.get(&place).cloned()
    }

    fn keep(&self, place: usize, verdict: &Verdict) {
        locked(self.0).analysed.insert(place, verdict.clone());
    }
}
