//! Requests that are wrong in themselves: bodies, methods, heads, bytes.

use std::io::{Read, Write};
use std::time::{Duration, Instant};

use crate::site::{Answer, Site};

const SAVE: &str = "/api/file/save";

#[test]
fn a_body_that_is_not_what_the_route_takes_is_refused() {
    let site = Site::start();
    let deep = "[".repeat(100_000);
    let deeper = format!(
        r#"{{"path": "a.toml", "text": {}"#,
        r#"{"a":"#.repeat(50_000)
    );
    let bodies: [&[u8]; 10] = [
        b"{",
        b"null",
        b"[]",
        b"\"text\"",
        b"{\"path\": \"a.toml\"}",
        b"{\"path\": \"a.toml\", \"text\": 1}",
        b"{\"path\": \"a.toml\", \"text\": \"\", \"more\": 1}",
        b"{\"path\": \"\xff\xfe.toml\", \"text\": \"\"}",
        deep.as_bytes(),
        deeper.as_bytes(),
    ];
    for body in bodies {
        let answer =
            site.assert_refused(400, "POST /api/file/save: body", || site.post(SAVE, body));
        let json = answer.json();
        assert!(
            json["error"].as_str().unwrap().contains("cannot be read"),
            "{json}"
        );
        assert!(json["hint"].is_string());
    }
    site.assert_refused(400, "POST /api/file/save", || site.post(SAVE, b""));
    assert_eq!(std::fs::read_dir(&site.folder).unwrap().count(), 0);
    site.assert_alive();
}

#[test]
fn a_body_that_is_not_json_by_its_type_is_refused() {
    let site = Site::start();
    let host = site.host();
    let body = br#"{"path": "a.toml", "text": ""}"#;
    let send = |kinds: &[&str]| {
        let mut headers = vec![("Host", host.as_str()), ("x-calotte-token", &site.token)];
        headers.extend(kinds.iter().map(|kind| ("Content-Type", *kind)));
        site.request("POST", SAVE, &headers, body)
    };
    for kinds in [
        &["text/plain"][..],
        &["application/x-www-form-urlencoded"],
        &["multipart/form-data; boundary=x"],
        &["text/plain; application/json"],
        &["application/jsonp"],
        &[""],
        &[],
        &["text/plain", "application/json"],
    ] {
        site.assert_refused(415, "Content-Type", || send(kinds));
    }
    assert_eq!(std::fs::read_dir(&site.folder).unwrap().count(), 0);
    assert_eq!(send(&["Application/JSON; charset=utf-8"]).status, 200);
    site.assert_alive();
}

#[test]
fn a_method_that_an_address_does_not_take_is_refused() {
    let site = Site::start();
    let host = site.host();
    let headers = [
        ("Host", host.as_str()),
        ("x-calotte-token", site.token.as_str()),
        ("Content-Type", "application/json"),
    ];
    for method in ["PUT", "DELETE", "PATCH", "OPTIONS", "TRACE", "BREW"] {
        for target in ["/", "/api/files", SAVE] {
            site.assert_refused(405, &format!("{method} {target}"), || {
                site.request(method, target, &headers, b"")
            });
        }
    }
    for (method, target) in [("POST", "/"), ("POST", "/api/files"), ("GET", SAVE)] {
        let answer = site.assert_refused(405, &format!("{method} {target}"), || {
            site.request(method, target, &headers, b"")
        });
        assert!(answer.json()["error"].is_string());
    }
    for target in ["/api/nothing", "/api", "/api/", "/API/files", "/api/files/"] {
        let answer = site.assert_refused(404, "nothing there", || site.get(target));
        assert!(answer.json()["hint"].is_string());
    }
    let head = site.request("HEAD", "/", &headers, b"");
    assert_eq!((head.status, head.body.len()), (200, 0));
    site.assert_alive();
}

/// The head of a request that asks to save with whatever follows.
fn head(site: &Site, more: &str) -> String {
    format!(
        "POST {SAVE} HTTP/1.1\r\nHost: {}\r\nx-calotte-token: {}\r\nContent-Type: application/json\r\n{more}\r\n",
        site.host(),
        site.token
    )
}

#[test]
fn a_body_of_100_megabytes_is_refused() {
    const LENGTH: usize = 100_000_000;
    let site = Site::start();
    let piece = vec![b' '; 100_000];
    // With its length told before.
    site.assert_refused(413, "body above 4 MiB", || {
        let mut stream = site.connect();
        let told = head(&site, &format!("Content-Length: {LENGTH}\r\n"));
        stream.write_all(told.as_bytes()).unwrap();
        for _ in 0..LENGTH / piece.len() {
            if stream.write_all(&piece).is_err() {
                break;
            }
        }
        Answer::read(&mut stream).unwrap()
    });
    // In chunks, its length told by nobody.
    site.assert_refused(413, "body above 4 MiB", || {
        let mut stream = site.connect();
        let told = head(&site, "Transfer-Encoding: chunked\r\n");
        stream.write_all(told.as_bytes()).unwrap();
        for _ in 0..LENGTH / piece.len() {
            let mut chunk = format!("{:x}\r\n", piece.len()).into_bytes();
            chunk.extend_from_slice(&piece);
            chunk.extend_from_slice(b"\r\n");
            if stream.write_all(&chunk).is_err() {
                break;
            }
        }
        let _ = stream.write_all(b"0\r\n\r\n");
        Answer::read(&mut stream).unwrap()
    });
    // A length that is only claimed does not keep the server waiting.
    let begin = Instant::now();
    site.assert_refused(413, "body above 4 MiB", || {
        site.send(head(&site, "Content-Length: 999999999999999\r\n").as_bytes())
            .unwrap()
    });
    assert!(begin.elapsed() < Duration::from_secs(5));
    // Without the token not even the first byte is read.
    let host = site.host();
    let answer = site.request(
        "POST",
        SAVE,
        &[("Host", &host), ("Content-Type", "application/json")],
        &piece,
    );
    assert_eq!(answer.status, 403);
    // The largest body that is allowed arrives whole and is judged by what it says.
    let most = format!(
        r#"{{"path": "a.toml", "text": "{}"}}"#,
        "x".repeat((4 << 20) - 40)
    );
    assert!(most.len() <= 4 << 20);
    assert_eq!(site.post(SAVE, most.as_bytes()).status, 400);
    site.assert_alive();
}

#[test]
fn a_huge_head_is_refused() {
    let site = Site::start();
    let long = "x".repeat(1 << 20);
    let many = "x: y\r\n".repeat(1000);
    let heads = [
        format!(
            "GET / HTTP/1.1\r\nHost: {}\r\nx: {long}\r\n\r\n",
            site.host()
        ),
        format!("GET / HTTP/1.1\r\nHost: {}\r\n{many}\r\n", site.host()),
        format!("GET /{long} HTTP/1.1\r\nHost: {}\r\n\r\n", site.host()),
        format!(
            "GET / HTTP/1.1\r\nHost: {}\r\nCookie: {long}\r\n\r\n",
            site.host()
        ),
        format!("{long} / HTTP/1.1\r\nHost: {}\r\n\r\n", site.host()),
    ];
    for head in heads {
        let (answer, lines) = site.logged(|| site.send(head.as_bytes()));
        // While we are still writing, the cut may overtake the answer.
        if let Some(answer) = answer {
            assert!(
                [400, 414, 431].contains(&answer.status),
                "{}",
                answer.status
            );
        }
        assert!(
            lines
                .iter()
                .any(|line| line.contains("refused: connection: ")),
            "{lines:?}"
        );
    }
    // Within what is taken, but more headers than any browser sends: an answer arrives.
    let some = "x: y\r\n".repeat(100);
    let answer = site.assert_refused(431, "connection", || {
        site.send(format!("GET / HTTP/1.1\r\nHost: {}\r\n{some}\r\n", site.host()).as_bytes())
            .unwrap()
    });
    assert_eq!(answer.body, b"");
    site.assert_alive();
}

#[test]
fn bytes_that_are_not_http_are_refused() {
    let site = Site::start();
    let host = site.host();
    let hello = b"\x16\x03\x01\x02\x00\x01\x00\x01\xfc\x03\x03 a TLS client hello \r\n\r\n";
    let zeros = vec![0_u8; 10_000];
    // Every byte there is, from a rule, so that the test is the same each time.
    let noise: Vec<u8> = (0..20_000_u32)
        .map(|i| (i.wrapping_mul(2_654_435_761) >> 13) as u8)
        .collect();
    let token = &site.token;
    let texts = [
        "GET / HTTP/9.9\r\n\r\n".to_owned(),
        "GET /\r\n\r\n".to_owned(),
        "hello\r\n\r\n".to_owned(),
        format!("GET / HTTP/1.1\nHost : {host}\r\n\r\n"),
        format!("GET / HTTP/1.1\r\nHost: {host}\r\n x: folded\r\n\r\n"),
        format!("GET / HTTP/1.1\r\nHost: {host}\r\nbad header\r\n\r\n"),
        // Two lengths: whoever stands in between may believe the other one.
        format!(
            "POST {SAVE} HTTP/1.1\r\nHost: {host}\r\nx-calotte-token: {token}\r\nContent-Length: 3\r\nContent-Length: 5\r\n\r\nabcde"
        ),
        format!(
            "POST {SAVE} HTTP/1.1\r\nHost: {host}\r\nx-calotte-token: {token}\r\nContent-Length: -1\r\n\r\n"
        ),
        format!(
            "POST {SAVE} HTTP/1.1\r\nHost: {host}\r\nx-calotte-token: {token}\r\nTransfer-Encoding: gzip\r\n\r\n"
        ),
    ];
    let all = [hello.as_slice(), &zeros, &noise]
        .into_iter()
        .chain(texts.iter().map(String::as_bytes));
    for bytes in all {
        let (answer, lines) = site.logged(|| site.send(bytes));
        if let Some(answer) = answer {
            assert!(
                [400, 431, 505].contains(&answer.status),
                "{}: {}",
                answer.status,
                String::from_utf8_lossy(&bytes[..bytes.len().min(80)])
            );
        }
        assert!(
            lines
                .iter()
                .any(|line| line.contains("refused: connection: not HTTP")),
            "{lines:?} {}",
            String::from_utf8_lossy(&bytes[..bytes.len().min(80)])
        );
    }
    site.assert_alive();
}

/// A chunk that lies about its length breaks off the body, and nothing is written.
#[test]
fn a_body_that_is_broken_off_is_refused() {
    let site = Site::start();
    let told = head(&site, "Transfer-Encoding: chunked\r\n");
    site.assert_refused(400, "body broken off", || {
        site.send(format!("{told}zz\r\nnot a length\r\n").as_bytes())
            .unwrap()
    });
    // The other side goes away in the middle of a body.
    let mut stream = site.connect();
    let told = head(&site, "Content-Length: 100\r\n");
    stream
        .write_all(format!("{told}{{\"path\"").as_bytes())
        .unwrap();
    stream.shutdown(std::net::Shutdown::Both).unwrap();
    drop(stream);
    assert_eq!(std::fs::read_dir(&site.folder).unwrap().count(), 0);
    site.assert_alive();
}

/// Several requests on one connection, sent before the first is answered.
#[test]
fn requests_in_a_row_on_one_connection_are_judged_one_by_one() {
    let site = Site::start();
    let own = format!(
        "GET /api/files HTTP/1.1\r\nHost: {}\r\nx-calotte-token: {}\r\n\r\n",
        site.host(),
        site.token
    );
    let foreign = format!(
        "GET /api/files HTTP/1.1\r\nHost: {}\r\nConnection: close\r\n\r\n",
        site.host()
    );
    let mut stream = site.connect();
    stream
        .write_all(format!("{own}{own}{foreign}").as_bytes())
        .unwrap();
    let mut text = String::new();
    stream.read_to_string(&mut text).unwrap();
    assert_eq!(text.matches("HTTP/1.1 200").count(), 2, "{text}");
    assert_eq!(text.matches("HTTP/1.1 403").count(), 1, "{text}");
    site.assert_alive();
}
