//! What the last search judged, so that one that was stopped goes on without judging twice.

use std::collections::HashMap;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use calotte::brief::Brief;
use calotte::evolution::Genome;
use calotte::search::Verdict;

/// What was judged of one brief.
#[derive(Default)]
pub(crate) struct Judged {
    /// By island and genome.
    pub candidates: HashMap<(usize, Genome), Verdict>,
    /// By the whole analysis, by place among all candidates.
    pub analysed: HashMap<usize, Verdict>,
}

/// The brief of the last search with what was judged of it.
#[derive(Default)]
pub(crate) struct Memory(Mutex<Option<(Brief, Arc<Mutex<Judged>>)>>);

impl Memory {
    /// What was judged of a brief; another brief's is forgotten.
    pub(crate) fn of(&self, brief: &Brief) -> Arc<Mutex<Judged>> {
        let mut known = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        match &*known {
            Some((of, judged)) if of == brief => Arc::clone(judged),
            _ => {
                let judged = Arc::default();
                *known = Some((brief.clone(), Arc::clone(&judged)));
                judged
            }
        }
    }
}

/// A lock that holds whole entries whatever happened to who held it.
pub(crate) fn locked<T>(lock: &Mutex<T>) -> MutexGuard<'_, T> {
    lock.lock().unwrap_or_else(PoisonError::into_inner)
}
