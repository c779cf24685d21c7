//! Computing beside the threads that answer: short computations, and long jobs that send
//! what they have as they go.

use std::convert::Infallible;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Duration;

use axum::http::StatusCode;
use axum::response::sse::{Event, KeepAlive, Sse};
use futures_util::stream::{self, Stream};
use serde::Serialize;
use tokio::sync::mpsc;
use tokio::task::JoinError;

use super::answer::ApiError;
use super::state::AppState;

/// Parts that wait for a slow reader before the job has to wait itself.
const PARTS_WAITING: usize = 64;
/// Silence after which a comment tells the page that the job still runs.
const KEEP_ALIVE: Duration = Duration::from_secs(5);

/// Runs a short computation (up to a second or so) on a thread of its own.
///
/// # Errors
/// Status 500 if it panics; the server goes on.
pub(crate) async fn compute<T, R>(
    state: &AppState,
    input: T,
    work: impl FnOnce(T) -> R + Send + 'static,
) -> Result<R, ApiError>
where
    T: Send + 'static,
    R: Send + 'static,
{
    let permit = Arc::clone(state.computations())
        .acquire_owned()
        .await
        .map_err(|_| ending())?;
    tokio::task::spawn_blocking(move || {
        // Given back when the work ends, not when the reader goes away.
        let _permit = permit;
        work(input)
    })
    .await
    .map_err(broken)
}

/// Where a long job puts what it has.
#[derive(Debug)]
pub(crate) struct Sender {
    events: mpsc::Sender<Event>,
    cancelled: Arc<AtomicBool>,
}

impl Sender {
    /// Sends `event: part` with the value as JSON; waits if the reader is slow. Once the
    /// reader has gone, the job is marked cancelled and nothing is sent.
    pub(crate) fn part(&self, value: &impl Serialize) {
        self.event("part", value);
    }

    fn event(&self, name: &str, value: &impl Serialize) {
        let event = match Event::default().event(name).json_data(value) {
            Ok(event) => event,
            // Only a map with keys that are not text cannot be written: our own mistake.
            Err(error) => failed(&ApiError::new(
                StatusCode::INTERNAL_SERVER_ERROR,
                format!("a result cannot be written as JSON: {error}"),
            )),
        };
        if self.events.blocking_send(event).is_err() {
            self.cancelled.store(true, Ordering::Relaxed);
        }
    }
}

/// Sets the flag when the stream is dropped: the reader has gone, or has all of it.
struct CancelOnDrop(Arc<AtomicBool>);

impl Drop for CancelOnDrop {
    fn drop(&mut self) {
        self.0.store(true, Ordering::Relaxed);
    }
}

/// Runs a long job and streams it as server-sent events: `waiting` if two others are
/// running, `part` for each value the job sends, then `done` with its result or `failed`
/// with `{"error", "hint"}`. Data are JSON.
///
/// When the reader goes away the flag given to the job turns true; the job must look at
/// it now and then and return early.
pub(crate) fn stream<F, R>(
    state: &AppState,
    job: F,
) -> Sse<impl Stream<Item = Result<Event, Infallible>> + use<F, R>>
where
    F: FnOnce(&Sender, &AtomicBool) -> Result<R, ApiError> + Send + 'static,
    R: Serialize + Send + 'static,
{
    let (events, received) = mpsc::channel(PARTS_WAITING);
    let cancelled = Arc::new(AtomicBool::new(false));
    let guard = CancelOnDrop(Arc::clone(&cancelled));
    tokio::spawn(run(state.clone(), events, cancelled, job));
    let stream = stream::unfold((received, guard), |(mut received, guard)| async move {
        let event = received.recv().await?;
        Some((Ok(event), (received, guard)))
    });
    Sse::new(stream).keep_alive(KeepAlive::new().interval(KEEP_ALIVE))
}

/// Waits for a place, runs the job on a thread of its own and sends how it ended.
async fn run<F, R>(state: AppState, events: mpsc::Sender<Event>, cancelled: Arc<AtomicBool>, job: F)
where
    F: FnOnce(&Sender, &AtomicBool) -> Result<R, ApiError> + Send + 'static,
    R: Serialize + Send + 'static,
{
    let places = Arc::clone(state.long_jobs());
    let permit = match Arc::clone(&places).try_acquire_owned() {
        Ok(permit) => permit,
        Err(_) => {
            let waiting = Event::default().event("waiting").data("{}");
            if events.send(waiting).await.is_err() {
                return;
            }
            tokio::select! {
                permit = places.acquire_owned() => match permit {
                    Ok(permit) => permit,
                    Err(_) => return,
                },
                () = events.closed() => return,
            }
        }
    };
    let sender = Sender {
        events: events.clone(),
        cancelled: Arc::clone(&cancelled),
    };
    let outcome = tokio::task::spawn_blocking(move || {
        let _permit = permit;
        match job(&sender, &cancelled) {
            Ok(result) => sender.event("done", &result),
            Err(error) => sender.event("failed", &error.to_json()),
        }
    })
    .await;
    if let Err(error) = outcome {
        // Nobody is left to tell if the reader has gone as well.
        let _ = events.send(failed(&broken(error))).await;
    }
}

fn failed(error: &ApiError) -> Event {
    Event::default()
        .event("failed")
        .data(error.to_json().to_string())
}

/// A computation that panicked: our own mistake, told as such.
pub(crate) fn broken(error: JoinError) -> ApiError {
    if error.is_panic() {
        panicked()
    } else {
        ending()
    }
}

/// Status 500 for a panic, whose message stands on the terminal.
pub(crate) fn panicked() -> ApiError {
    ApiError::new(
        StatusCode::INTERNAL_SERVER_ERROR,
        "the program made a mistake while computing this; it goes on",
    )
    .hint("the terminal shows where; please report it with the design that led to it")
}

fn ending() -> ApiError {
    ApiError::new(StatusCode::SERVICE_UNAVAILABLE, "the program is ending")
        .hint("start `calotte page` again")
}
