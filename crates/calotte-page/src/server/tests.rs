//! Computations, long jobs and panics, asked for over a real connection.

use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex};
use std::thread::JoinHandle;
use std::time::{Duration, Instant};

use axum::extract::State;
use axum::http::StatusCode;
use axum::response::IntoResponse;
use axum::routing::get;
use axum::{Json, Router};
use serde_json::{Value, json};
use tokio::sync::oneshot;

use super::{ApiError, AppState, Log, PageOptions, Server, compute, stream};

/// Longest wait for anything here.
const PATIENCE: Duration = Duration::from_secs(10);

/// A server that answers these questions.
struct Site {
    address: std::net::SocketAddr,
    token: String,
    stop: Option<oneshot::Sender<()>>,
    thread: Option<JoinHandle<()>>,
    _place: tempfile::TempDir,
}

impl Site {
    fn start(api: Router<AppState>) -> Self {
        let place = tempfile::tempdir().unwrap();
        let options = PageOptions {
            folder: place.path().to_path_buf(),
            port: 0,
            open: false,
        };
        let server = Server::with_routes(&options, Log::new(|_| {}), api).unwrap();
        let address = server.local_addr();
        let token = server.address().split_once("token=").unwrap().1.to_owned();
        let (stop, stopped) = oneshot::channel::<()>();
        let thread = std::thread::spawn(move || server.run(async { drop(stopped.await) }));
        Self {
            address,
            token,
            stop: Some(stop),
            thread: Some(thread),
            _place: place,
        }
    }

    fn ask(&self, path: &str) -> BufReader<TcpStream> {
        let mut stream = TcpStream::connect(self.address).unwrap();
        stream.set_read_timeout(Some(PATIENCE)).unwrap();
        let request = format!(
            "GET /api/{path} HTTP/1.1\r\nHost: {}\r\nx-calotte-token: {}\r\nConnection: close\r\n\r\n",
            self.address, self.token
        );
        stream.write_all(request.as_bytes()).unwrap();
        BufReader::new(stream)
    }

    fn answer(&self, path: &str) -> (u16, Value) {
        let mut text = String::new();
        self.ask(path).read_to_string(&mut text).unwrap();
        let status = text.split(' ').nth(1).unwrap().parse().unwrap();
        let body = text.split_once("\r\n\r\n").unwrap().1;
        (status, serde_json::from_str(body).unwrap())
    }

    fn end(&mut self) {
        let _ = self.stop.take().map(|stop| stop.send(()));
        if let Some(thread) = self.thread.take() {
            thread.join().unwrap();
        }
    }
}

impl Drop for Site {
    fn drop(&mut self) {
        if !std::thread::panicking() {
            self.end();
        }
    }
}

/// The next event of a stream: its name and data; None at the end.
fn event(reader: &mut BufReader<TcpStream>) -> Option<(String, Value)> {
    let mut name = String::new();
    loop {
        let mut line = String::new();
        if reader.read_line(&mut line).unwrap() == 0 {
            return None;
        }
        if let Some(found) = line.strip_prefix("event: ") {
            name = found.trim_end().to_owned();
        }
        if let Some(data) = line.strip_prefix("data: ") {
            return Some((name, serde_json::from_str(data.trim_end()).unwrap()));
        }
    }
}

fn events(mut reader: BufReader<TcpStream>) -> Vec<(String, Value)> {
    std::iter::from_fn(|| event(&mut reader)).collect()
}

/// Waits until something holds.
fn comes_true(what: impl Fn() -> bool) -> bool {
    let begin = Instant::now();
    while begin.elapsed() < PATIENCE {
        if what() {
            return true;
        }
        std::thread::sleep(Duration::from_millis(10));
    }
    false
}

#[test]
fn a_panic_is_an_answer_and_the_server_goes_on() {
    let site = Site::start(
        Router::new()
            .route("/sum", get(async || Json(json!(1 + 1))))
            .route(
                "/inline",
                get(async || -> Json<Value> { panic!("on purpose, inline") }),
            )
            .route(
                "/beside",
                get(async |State(state): State<AppState>| {
                    compute(&state, (), |()| -> Value { panic!("on purpose, beside") })
                        .await
                        .map(Json)
                }),
            )
            .route(
                "/long",
                get(async |State(state): State<AppState>| {
                    stream(&state, |sender, _| -> Result<(), ApiError> {
                        sender.part(&1);
                        panic!("on purpose, long")
                    })
                }),
            ),
    );
    for _ in 0..3 {
        for path in ["inline", "beside"] {
            let (status, body) = site.answer(path);
            assert_eq!(status, 500);
            assert!(body["error"].as_str().unwrap().contains("made a mistake"));
            assert!(body["hint"].is_string());
        }
        let told = events(site.ask("long"));
        assert_eq!(told[0], ("part".to_owned(), json!(1)));
        assert_eq!(told[1].0, "failed");
        assert!(
            told[1].1["error"]
                .as_str()
                .unwrap()
                .contains("made a mistake")
        );
        assert_eq!(told.len(), 2);
        assert_eq!(site.answer("sum"), (200, json!(2)));
    }
}

#[test]
fn a_long_job_sends_its_parts_and_how_it_ended() {
    let site = Site::start(
        Router::new()
            .route(
                "/good",
                get(async |State(state): State<AppState>| {
                    stream(&state, |sender, cancelled| {
                        for number in 0..200 {
                            sender.part(&json!({ "number": number }));
                        }
                        Ok(json!({ "cancelled": cancelled.load(Ordering::Relaxed) }))
                    })
                }),
            )
            .route(
                "/bad",
                get(async |State(state): State<AppState>| {
                    stream(&state, |_, _| -> Result<(), ApiError> {
                        Err(
                            ApiError::new(StatusCode::UNPROCESSABLE_ENTITY, "no design left")
                                .hint("allow more stages"),
                        )
                    })
                }),
            ),
    );
    let told = events(site.ask("good"));
    assert_eq!(told.len(), 201);
    for (number, part) in told[..200].iter().enumerate() {
        assert_eq!(*part, ("part".to_owned(), json!({ "number": number })));
    }
    assert_eq!(
        told[200],
        ("done".to_owned(), json!({ "cancelled": false }))
    );
    let why = json!({"error": "no design left", "hint": "allow more stages"});
    assert_eq!(events(site.ask("bad")), [("failed".to_owned(), why)]);
}

/// Jobs that say "begun" and wait until they may end; they note that they were cancelled.
#[derive(Clone, Default)]
struct Held {
    may_end: Arc<AtomicBool>,
    cancelled: Arc<Mutex<u32>>,
}

impl Held {
    fn routes(&self) -> Router<AppState> {
        let held = self.clone();
        Router::new().route(
            "/held",
            get(async move |State(state): State<AppState>| {
                stream(&state, move |sender, cancelled| {
                    sender.part(&"begun");
                    while !held.may_end.load(Ordering::Relaxed) {
                        if cancelled.load(Ordering::Relaxed) {
                            *held.cancelled.lock().unwrap() += 1;
                            break;
                        }
                        std::thread::sleep(Duration::from_millis(5));
                    }
                    Ok(())
                })
                .into_response()
            }),
        )
    }
}

#[test]
fn a_job_whose_reader_goes_away_is_told_to_stop() {
    let held = Held::default();
    let site = Site::start(held.routes());
    let mut reader = site.ask("held");
    assert_eq!(
        event(&mut reader).unwrap(),
        ("part".to_owned(), json!("begun"))
    );
    assert_eq!(*held.cancelled.lock().unwrap(), 0);
    let begin = Instant::now();
    drop(reader);
    assert!(comes_true(|| *held.cancelled.lock().unwrap() == 1));
    // At once, not only with the next comment that finds nobody.
    assert!(
        begin.elapsed() < Duration::from_secs(2),
        "{:?}",
        begin.elapsed()
    );
}

#[test]
fn a_third_long_job_waits_for_its_turn() {
    let held = Held::default();
    let site = Site::start(held.routes());
    let begun = ("part".to_owned(), json!("begun"));
    let mut first = site.ask("held");
    let mut second = site.ask("held");
    assert_eq!(event(&mut first).unwrap(), begun);
    assert_eq!(event(&mut second).unwrap(), begun);
    let mut third = site.ask("held");
    assert_eq!(
        event(&mut third).unwrap(),
        ("waiting".to_owned(), json!({}))
    );
    // One that goes away while it waits takes no place.
    let mut fourth = site.ask("held");
    assert_eq!(event(&mut fourth).unwrap().0, "waiting");
    drop(fourth);
    drop(first);
    assert_eq!(event(&mut third).unwrap(), begun);
    held.may_end.store(true, Ordering::Relaxed);
    let done = ("done".to_owned(), json!(null));
    assert_eq!(events(second), std::slice::from_ref(&done));
    assert_eq!(events(third), [done]);
    assert_eq!(*held.cancelled.lock().unwrap(), 1);
}

#[test]
fn the_end_of_the_server_stops_long_jobs() {
    let held = Held::default();
    let mut site = Site::start(held.routes());
    let mut reader = site.ask("held");
    assert_eq!(event(&mut reader).unwrap().0, "part");
    let begin = Instant::now();
    site.end();
    assert!(
        begin.elapsed() < Duration::from_secs(3),
        "{:?}",
        begin.elapsed()
    );
    assert!(comes_true(|| *held.cancelled.lock().unwrap() == 1));
}
