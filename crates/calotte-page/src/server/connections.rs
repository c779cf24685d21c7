//! Connections: accepted within a number, none of them for ever.
//!
//! When all places are taken and another comes, one gives way: the oldest that has not shown
//! the token, so that connections from elsewhere cannot keep the page out; else the oldest that
//! waits or listens to a stream, so that pages left open cannot either. Whoever listens asks
//! again, and is heard.

use std::collections::VecDeque;
use std::future::Future;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::time::Duration;

use axum::Router;
use axum::body::Body;
use hyper::body::Incoming;
use hyper::server::conn::http1;
use hyper::service::service_fn;
use hyper_util::rt::{TokioIo, TokioTimer};
use tokio::net::{TcpListener, TcpStream};
use tokio::sync::watch;
use tokio::task::JoinHandle;
use tower_service::Service;

use super::guard::Trusted;
use super::log::Log;

/// Connections at the same time.
const CONNECTIONS_MAX: usize = 256;
/// Time for the head of a request to arrive, and for a connection to stay silent
/// between two requests.
const HEAD_TIME: Duration = Duration::from_secs(10);
/// Most bytes of a request's head.
const HEAD_MAX: usize = 32 << 10;
/// Most headers of a request.
const HEADERS_MAX: usize = 64;
/// Time for answers under way when the server ends.
const ENDING_TIME: Duration = Duration::from_millis(300);
/// Pause after the system refused to accept a connection, for lack of descriptors say.
const ACCEPT_PAUSE: Duration = Duration::from_millis(50);

/// One open connection.
struct Seat {
    state: Arc<SeatState>,
    task: JoinHandle<()>,
}

/// What a connection is doing.
#[derive(Default)]
struct SeatState {
    trusted: Arc<AtomicBool>,
    /// Requests whose answer has not begun.
    answering: AtomicUsize,
}

impl SeatState {
    fn is_trusted(&self) -> bool {
        self.trusted.load(Ordering::Relaxed)
    }

    /// Counts a request until what is returned is dropped, however that comes.
    fn answer(self: &Arc<Self>) -> impl Drop + use<> {
        struct Answering(Arc<SeatState>);
        impl Drop for Answering {
            fn drop(&mut self) {
                self.0.answering.fetch_sub(1, Ordering::Relaxed);
            }
        }
        self.answering.fetch_add(1, Ordering::Relaxed);
        Answering(Arc::clone(self))
    }
}

/// Accepts connections until `stop`, then lets answers under way finish for a moment.
pub(crate) async fn accept(
    listener: TcpListener,
    router: Router,
    log: Log,
    stop: impl Future<Output = ()>,
) {
    let (ending, told) = watch::channel(false);
    let mut seats = VecDeque::with_capacity(CONNECTIONS_MAX);
    let mut second = tokio::time::interval(Duration::from_secs(1));
    tokio::pin!(stop);
    loop {
        tokio::select! {
            () = &mut stop => break,
            _ = second.tick() => log.flush(),
            accepted = listener.accept() => match accepted {
                Err(error) => {
                    log.refused(&format!("connection: {error}"));
                    tokio::time::sleep(ACCEPT_PAUSE).await;
                }
                Ok((stream, _)) => {
                    if !make_room(&mut seats, &log).await {
                        continue;
                    }
                    let state = Arc::new(SeatState::default());
                    let task = tokio::spawn(serve(
                        stream,
                        router.clone(),
                        Arc::clone(&state),
                        log.clone(),
                        told.clone(),
                    ));
                    seats.push_back(Seat { state, task });
                }
            },
        }
    }
    // Every task may have ended already.
    let _ = ending.send(true);
    let all = async {
        for seat in &mut seats {
            let _ = (&mut seat.task).await;
        }
    };
    if tokio::time::timeout(ENDING_TIME, all).await.is_err() {
        seats.iter().for_each(|seat| seat.task.abort());
    }
    log.flush();
}

/// Sees to it that a place is free, if that can be.
async fn make_room(seats: &mut VecDeque<Seat>, log: &Log) -> bool {
    if seats.len() < CONNECTIONS_MAX {
        return true;
    }
    seats.retain(|seat| !seat.task.is_finished());
    if seats.len() < CONNECTIONS_MAX {
        return true;
    }
    let stranger = seats.iter().position(|seat| !seat.state.is_trusted());
    let waiting = |seat: &Seat| seat.state.answering.load(Ordering::Relaxed) == 0;
    let (place, which) = match stranger {
        Some(place) => (Some(place), "the oldest without the token is closed"),
        None => (
            seats.iter().position(waiting),
            "the oldest that only listens is closed",
        ),
    };
    let Some(seat) = place.and_then(|place| seats.remove(place)) else {
        log.refused(&format!(
            "connection: all {CONNECTIONS_MAX} places are taken by requests under way"
        ));
        return false;
    };
    log.refused(&format!("connection: {CONNECTIONS_MAX} open, {which}"));
    seat.task.abort();
    // Its descriptor is free once the task is gone; it was told to go, so this ends.
    let _ = seat.task.await;
    true
}

/// Answers the requests of one connection.
async fn serve(
    stream: TcpStream,
    router: Router,
    state: Arc<SeatState>,
    log: Log,
    mut told: watch::Receiver<bool>,
) {
    // Small answers must not wait for others to fill a packet; without it they still come.
    let _ = stream.set_nodelay(true);
    let service = service_fn(move |mut request: hyper::Request<Incoming>| {
        request
            .extensions_mut()
            .insert(Trusted(Arc::clone(&state.trusted)));
        let answering = state.answer();
        // A router is always ready.
        let answer = router.clone().call(request.map(Body::new));
        async move {
            let answer = answer.await;
            drop(answering);
            answer
        }
    });
    let connection = http1::Builder::new()
        .timer(TokioTimer::new())
        .header_read_timeout(HEAD_TIME)
        .max_buf_size(HEAD_MAX)
        .max_headers(HEADERS_MAX)
        .serve_connection(TokioIo::new(stream), service)
        .with_upgrades();
    tokio::pin!(connection);
    let outcome = tokio::select! {
        outcome = &mut connection => outcome,
        // The sender lives as long as the server, so this only comes with the word to end.
        _ = told.changed() => {
            connection.as_mut().graceful_shutdown();
            connection.await
        }
    };
    if let Err(error) = outcome
        && let Some(reason) = refusal(&error)
    {
        log.refused(&format!("connection: {reason}"));
    }
}

/// Why a connection was cut by us; None where the other side went away.
fn refusal(error: &hyper::Error) -> Option<String> {
    if error.is_parse_too_large() {
        Some(format!(
            "head of a request above {} KiB or {HEADERS_MAX} headers",
            HEAD_MAX >> 10
        ))
    } else if error.is_parse() {
        Some(format!("not HTTP: {error}"))
    } else if error.is_timeout() {
        Some(format!(
            "no complete request within {} s",
            HEAD_TIME.as_secs()
        ))
    } else {
        None
    }
}
