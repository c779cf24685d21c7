//! What changes in the folder, as server-sent events:
//!
//! - `hello` with `{"program", "version", "files": [{"path", "sha256"}]}` at the start,
//!   and whenever the page connects again;
//! - `changed` with `{"path", "sha256"}` for a file that is new or says something else,
//!   `sha256` null for one that is gone (or too long to be read);
//! - `beat` with `{}` every [`BEAT`], so that a page that hears none knows that the
//!   program has ended.
//!
//! The folder is looked at again and again: this works on every system and every kind of
//! folder, network folders among them.

use std::collections::{BTreeMap, VecDeque};
use std::convert::Infallible;
use std::path::PathBuf;
use std::time::{Duration, Instant};

use axum::response::sse::{Event, Sse};
use futures_util::stream::{self, Stream};
use serde::Serialize;
use serde_json::json;

use super::listing::{self, Found};
use super::shapes::{Changed, Hello};
use crate::server::state::AppState;

/// Time between two looks at the folder.
const LOOK: Duration = Duration::from_millis(500);
/// Looking may take this share of the time: a slow folder is looked at less often.
const LOOK_SHARE: u32 = 10;
/// Time between two beats.
const BEAT: Duration = Duration::from_secs(5);

/// A file as it was at the last look.
#[derive(Debug, Clone)]
struct Known {
    found: Found,
    sha256: Option<String>,
}

type Files = BTreeMap<String, Known>;

/// One reader's view of the folder.
struct Watch {
    folder: PathBuf,
    files: Files,
    waiting: VecDeque<Event>,
    begun: bool,
    look_at: tokio::time::Instant,
    beat_at: tokio::time::Instant,
}

/// The events for one reader, until it goes away.
pub(super) fn stream(state: AppState) -> Sse<impl Stream<Item = Result<Event, Infallible>>> {
    let now = tokio::time::Instant::now();
    let watch = Watch {
        folder: state.folder().to_path_buf(),
        files: Files::new(),
        waiting: VecDeque::new(),
        begun: false,
        look_at: now,
        beat_at: now + BEAT,
    };
    Sse::new(stream::unfold(watch, |mut watch| async move {
        let event = watch.next().await?;
        Some((Ok(event), watch))
    }))
}

impl Watch {
    /// The next event; None if the server is ending.
    async fn next(&mut self) -> Option<Event> {
        loop {
            if let Some(event) = self.waiting.pop_front() {
                return Some(event);
            }
            if self.beat_at <= self.look_at {
                tokio::time::sleep_until(self.beat_at).await;
                self.beat_at += BEAT;
                return Some(event("beat", &json!({})));
            }
            tokio::time::sleep_until(self.look_at).await;
            self.look().await?;
        }
    }

    /// Looks at the folder and notes what is to be told.
    async fn look(&mut self) -> Option<()> {
        let (folder, before) = (self.folder.clone(), self.files.clone());
        let begin = Instant::now();
        let now = tokio::task::spawn_blocking(move || files(&folder, &before))
            .await
            .ok()?;
        if self.begun {
            self.waiting.extend(
                changes(&self.files, &now)
                    .iter()
                    .map(|change| event("changed", change)),
            );
        } else {
            self.begun = true;
            self.waiting.push_back(event("hello", &hello(&now)));
        }
        self.files = now;
        let pause = LOOK.max(begin.elapsed() * LOOK_SHARE);
        self.look_at = tokio::time::Instant::now() + pause;
        Some(())
    }
}

/// The files now; those whose size and time are as before are not opened.
fn files(folder: &std::path::Path, before: &Files) -> Files {
    let mut files = Files::new();
    for found in listing::find(folder).0 {
        let sha256 = match before.get(&found.path) {
            Some(known) if known.found == found => known.sha256.clone(),
            _ => listing::describe(folder, &found).sha256,
        };
        files.insert(found.path.clone(), Known { found, sha256 });
    }
    files
}

/// What the page is told about the difference.
fn changes(before: &Files, now: &Files) -> Vec<Changed> {
    let gone = before.keys().filter(|path| !now.contains_key(*path));
    let other = now.iter().filter(|(path, known)| {
        before
            .get(*path)
            .is_none_or(|old| old.sha256 != known.sha256)
    });
    gone.map(|path| Changed {
        path: path.clone(),
        sha256: None,
    })
    .chain(other.map(state_of))
    .collect()
}

/// A file as it is.
fn state_of((path, known): (&String, &Known)) -> Changed {
    Changed {
        path: path.clone(),
        sha256: known.sha256.clone(),
    }
}

fn hello(files: &Files) -> Hello {
    Hello {
        program: "calotte",
        version: env!("CARGO_PKG_VERSION"),
        files: files.iter().map(state_of).collect(),
    }
}

fn event(name: &str, data: &impl Serialize) -> Event {
    let event = Event::default().event(name);
    // Texts and numbers can always be written as JSON.
    event.json_data(data).unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;
    use calotte_files::sha256;

    #[test]
    fn new_changed_and_gone_files_are_told_and_others_are_not() {
        let place = tempfile::tempdir().unwrap();
        let write = |name: &str, text: &str| std::fs::write(place.path().join(name), text).unwrap();
        write("same.toml", "1");
        write("touched.toml", "1");
        write("changed.toml", "1");
        write("gone.toml", "1");
        let before = files(place.path(), &Files::new());
        write("new.toml", "1");
        write("changed.toml", "22");
        // Written again with the same bytes: nothing for the page to do.
        let later = std::time::SystemTime::now() + Duration::from_secs(10);
        let touched = std::fs::File::options()
            .write(true)
            .open(place.path().join("touched.toml"))
            .unwrap();
        touched.set_modified(later).unwrap();
        std::fs::remove_file(place.path().join("gone.toml")).unwrap();
        let now = files(place.path(), &before);
        let change = |path: &str, sha256| Changed {
            path: path.to_owned(),
            sha256,
        };
        assert_eq!(
            changes(&before, &now),
            [
                change("gone.toml", None),
                change("changed.toml", Some(sha256(b"22"))),
                change("new.toml", Some(sha256(b"1"))),
            ]
        );
        assert_eq!(changes(&now, &files(place.path(), &now)), []);
    }
}
