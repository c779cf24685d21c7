//! Many requests, and slow ones.

use std::io::{Read, Write};
use std::net::TcpStream;
use std::time::{Duration, Instant};

use crate::site::{Answer, Site};

/// The server's limit for heads and bodies, and what a slow machine may add.
const LIMIT: Duration = Duration::from_secs(10);
const SLACK: Duration = Duration::from_secs(5);

/// Sends a byte now and then until the other side closes; returns how long that took.
fn trickle(mut stream: TcpStream, begin: &[u8], byte: u8) -> (Duration, Option<Answer>) {
    let start = Instant::now();
    stream.write_all(begin).unwrap();
    let mut reader = stream.try_clone().unwrap();
    let answer = std::thread::scope(|scope| {
        let answer = scope.spawn(move || Answer::read(&mut reader));
        while !answer.is_finished() && start.elapsed() < LIMIT + SLACK {
            let _ = stream.write_all(&[byte]);
            std::thread::sleep(Duration::from_millis(300));
        }
        answer.join().unwrap()
    });
    (start.elapsed(), answer)
}

#[test]
fn slow_clients_are_cut_off_and_others_do_not_notice() {
    let site = Site::start();
    let host = site.host();
    let body = format!(
        "POST /api/file/save HTTP/1.1\r\nHost: {host}\r\nx-calotte-token: {}\r\nContent-Type: application/json\r\nContent-Length: 1000\r\n\r\n{{",
        site.token
    );
    let in_time = |time: Duration| time > LIMIT / 2 && time < LIMIT + SLACK;
    std::thread::scope(|scope| {
        let silent = scope.spawn(|| {
            let start = Instant::now();
            let read = site.connect().read(&mut [0]).unwrap();
            (start.elapsed(), read)
        });
        let head = scope.spawn(|| trickle(site.connect(), b"GET / HTTP/1.1\r\nx: ", b'y'));
        let body = scope.spawn(|| trickle(site.connect(), body.as_bytes(), b' '));
        // Answers come at once all the while.
        while !silent.is_finished() {
            let start = Instant::now();
            site.assert_alive();
            assert!(start.elapsed() < Duration::from_secs(2));
            std::thread::sleep(Duration::from_millis(200));
        }
        let (time, read) = silent.join().unwrap();
        assert!(in_time(time) && read == 0, "{time:?}");
        let (time, answer) = head.join().unwrap();
        assert!(in_time(time), "{time:?}");
        assert!(answer.is_none_or(|answer| answer.status == 408));
        let (time, answer) = body.join().unwrap();
        assert!(in_time(time), "{time:?}");
        assert_eq!(answer.unwrap().status, 408);
    });
    let lines = site.lines().join("\n");
    assert!(
        lines.contains("connection: no complete request within 10 s"),
        "{lines}"
    );
    assert!(
        lines.contains("POST /api/file/save: the body did not arrive in time"),
        "{lines}"
    );
    site.assert_alive();
}

#[test]
fn a_flood_of_refusals_does_not_flood_the_terminal() {
    const REQUESTS: usize = 2000;
    let site = Site::start();
    let begin = Instant::now();
    let (_, _) = site.logged(|| {
        let bad = format!("GET /api/files HTTP/1.1\r\nHost: {}\r\n\r\n", site.host());
        let mut stream = site.connect();
        let mut reader = stream.try_clone().unwrap();
        std::thread::scope(|scope| {
            let refused = scope.spawn(move || {
                let mut text = Vec::new();
                let mut piece = [0; 16 << 10];
                let refused = |text: &[u8]| {
                    text.windows(12)
                        .filter(|part| part == b"HTTP/1.1 403")
                        .count()
                };
                while refused(&text) < REQUESTS {
                    let length = reader.read(&mut piece).unwrap();
                    assert_ne!(length, 0, "{} answers", refused(&text));
                    text.extend_from_slice(&piece[..length]);
                }
            });
            for _ in 0..REQUESTS {
                stream.write_all(bad.as_bytes()).unwrap();
            }
            refused.join().unwrap();
        });
    });
    let seconds = begin.elapsed().as_secs() as usize + 1;
    std::thread::sleep(Duration::from_millis(2200));
    let lines = site.lines();
    assert!(
        lines.len() <= 21 * seconds,
        "{} lines in {seconds} s",
        lines.len()
    );
    // Every one of them is shown or counted.
    let told: usize = lines
        .iter()
        .map(|line| match line.strip_suffix(" more within a second") {
            Some(start) => start.rsplit(' ').next().unwrap().parse().unwrap(),
            None => 1,
        })
        .sum();
    assert_eq!(told, REQUESTS, "{lines:?}");
    site.assert_alive();
}
