//! The stream that tells the page what changes in the folder.

use std::io::{BufRead, BufReader, Write};
use std::time::{Duration, Instant};

use serde_json::{Value, json};

use crate::site::Site;

/// The events of `GET /api/watch`, one by one.
struct Events(BufReader<std::net::TcpStream>);

impl Events {
    fn open(site: &Site) -> Self {
        let mut stream = site.connect();
        let request = format!(
            "GET /api/watch HTTP/1.1\r\nHost: {}\r\nx-calotte-token: {}\r\n\r\n",
            site.host(),
            site.token
        );
        stream.write_all(request.as_bytes()).unwrap();
        Self(BufReader::new(stream))
    }

    /// The next event: its name and data.
    fn next(&mut self) -> (String, Value) {
        let mut name = String::new();
        loop {
            let mut line = String::new();
            assert_ne!(self.0.read_line(&mut line).unwrap(), 0, "the stream ended");
            if let Some(found) = line.strip_prefix("event: ") {
                name = found.trim_end().to_owned();
            }
            if let Some(data) = line.strip_prefix("data: ") {
                return (name, serde_json::from_str(data.trim_end()).unwrap());
            }
        }
    }

    /// The next event that is no beat.
    fn next_change(&mut self) -> (String, Value) {
        loop {
            let event = self.next();
            if event.0 != "beat" {
                return event;
            }
        }
    }
}

#[test]
fn changes_by_other_programs_are_told() {
    let site = Site::start();
    let file = site.folder.join("a.toml");
    std::fs::write(&file, "x = 1\n").unwrap();
    let sha = || site.get("/api/file?path=a.toml").json()["sha256"].clone();
    let first = sha();
    let mut events = Events::open(&site);
    let (name, hello) = events.next();
    assert_eq!(name, "hello");
    assert_eq!(hello["program"], "calotte");
    assert_eq!(hello["version"], env!("CARGO_PKG_VERSION"));
    assert_eq!(hello["files"], json!([{"path": "a.toml", "sha256": first}]));
    std::fs::write(&file, "x = 22\n").unwrap();
    let changed = (
        "changed".to_owned(),
        json!({"path": "a.toml", "sha256": sha()}),
    );
    assert_eq!(events.next_change(), changed);
    std::fs::write(site.folder.join("b.toml"), "").unwrap();
    assert_eq!(events.next_change().1["path"], "b.toml");
    std::fs::remove_file(&file).unwrap();
    let gone = (
        "changed".to_owned(),
        json!({"path": "a.toml", "sha256": null}),
    );
    assert_eq!(events.next_change(), gone);
    site.assert_alive();
}

#[test]
fn a_beat_says_that_the_program_is_there() {
    let site = Site::start();
    let mut events = Events::open(&site);
    assert_eq!(events.next().0, "hello");
    let begin = Instant::now();
    assert_eq!(events.next(), ("beat".to_owned(), json!({})));
    assert_eq!(events.next(), ("beat".to_owned(), json!({})));
    let time = begin.elapsed();
    assert!(
        time > Duration::from_secs(8) && time < Duration::from_secs(15),
        "{time:?}"
    );
}

/// A page that is open does not keep the program from ending.
#[test]
fn the_program_ends_while_pages_watch() {
    let site = Site::start();
    let mut watching: Vec<Events> = (0..20).map(|_| Events::open(&site)).collect();
    for events in &mut watching {
        assert_eq!(events.next().0, "hello");
    }
    let begin = Instant::now();
    drop(site);
    assert!(
        begin.elapsed() < Duration::from_secs(3),
        "{:?}",
        begin.elapsed()
    );
}
