//! What every request may look at: where the files are, who may ask, how much may run.

use std::collections::VecDeque;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use tokio::sync::{Semaphore, oneshot};

use crate::memory::Memory;

/// Long jobs (searches, maps) at the same time; a further one waits.
const LONG_JOBS_MAX: usize = 2;
/// Short computations at the same time; a further one waits.
const COMPUTATIONS_MAX: usize = 4;

/// Connections for dragging at the same time; with a further one the oldest ends.
const SOCKETS_MAX: usize = 64;

/// Shared by all requests; cheap to clone. Holds no result of any request but what the last search
/// judged.
#[derive(Clone)]
pub(crate) struct AppState(Arc<Inner>);

struct Inner {
    folder: PathBuf,
    long_jobs: Arc<Semaphore>,
    computations: Arc<Semaphore>,
    saving: Mutex<()>,
    memory: Memory,
    sockets: Mutex<VecDeque<oneshot::Sender<()>>>,
}

impl AppState {
    /// State for one run over one folder, given in its canonical form.
    pub(crate) fn new(folder: PathBuf) -> Self {
        Self(Arc::new(Inner {
            folder,
            long_jobs: Arc::new(Semaphore::new(LONG_JOBS_MAX)),
            computations: Arc::new(Semaphore::new(COMPUTATIONS_MAX)),
            saving: Mutex::new(()),
            memory: Memory::default(),
            sockets: Mutex::default(),
        }))
    }

    /// The folder whose files the page may read and write, canonical.
    pub(crate) fn folder(&self) -> &Path {
        &self.0.folder
    }

    /// What the last search judged.
    pub(crate) fn memory(&self) -> &Memory {
        &self.0.memory
    }

    /// Places for long jobs.
    pub(crate) fn long_jobs(&self) -> &Arc<Semaphore> {
        &self.0.long_jobs
    }

    /// Places for short computations.
    pub(crate) fn computations(&self) -> &Arc<Semaphore> {
        &self.0.computations
    }

    /// Counts a connection for dragging as long as what is returned lives; it comes when the
    /// connection is to end, because newer ones took all places.
    pub(crate) fn socket(&self) -> oneshot::Receiver<()> {
        let (end, ended) = oneshot::channel();
        // What is kept is a list of open ends, whole at any time.
        let sockets = self.0.sockets.lock();
        let mut sockets = sockets.unwrap_or_else(PoisonError::into_inner);
        sockets.retain(|end| !end.is_closed());
        if sockets.len() >= SOCKETS_MAX
            && let Some(oldest) = sockets.pop_front()
        {
            // One that has just ended needs no word.
            let _ = oldest.send(());
        }
        sockets.push_back(end);
        ended
    }

    /// Held while a file is compared and replaced, so that two saves cannot interleave.
    pub(crate) fn saving(&self) -> MutexGuard<'_, ()> {
        // A save that panicked left the old file or the new one, so the next may go on.
        self.0.saving.lock().unwrap_or_else(PoisonError::into_inner)
    }
}
