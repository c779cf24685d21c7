//! The WebSocket by which poses are asked for: the same door, and messages that are wrong.

use std::io::{Read, Write};
use std::net::{Shutdown, TcpStream};

use crate::site::{Answer, Site};

/// What a browser asks to open a WebSocket (RFC 6455, section 1.3), with these headers.
fn opening(headers: &[(&str, &str)]) -> Vec<u8> {
    let mut text = String::from(
        "GET /api/poses HTTP/1.1\r\nUpgrade: websocket\r\nConnection: Upgrade\r\nSec-WebSocket-Version: 13\r\nSec-WebSocket-Key: dGhlIHNhbXBsZSBub25jZQ==\r\n",
    );
    for (name, value) in headers {
        text.push_str(&format!("{name}: {value}\r\n"));
    }
    text.push_str("\r\n");
    text.into_bytes()
}

/// An open WebSocket of the page itself.
fn open(site: &Site) -> TcpStream {
    let mut stream = site.connect();
    let host = site.host();
    let own = format!("http://{host}");
    let headers = [
        ("Host", host.as_str()),
        ("Origin", own.as_str()),
        ("x-calotte-token", site.token.as_str()),
    ];
    stream.write_all(&opening(&headers)).unwrap();
    let answer = Answer::read(&mut stream).unwrap();
    assert_eq!(answer.status, 101, "{}", answer.text());
    // RFC 6455 gives the answer to this key.
    let accept = answer.header("sec-websocket-accept");
    assert_eq!(accept, Some("s3pPLMBiTxaQ9kYGzzhZRbK+xOo="));
    stream
}

/// A whole message in one frame, masked by zeros (RFC 6455, section 5.2).
fn frame(kind: u8, length: u64, payload: &[u8]) -> Vec<u8> {
    let mut bytes = vec![0x80 | kind, 0x80 | 127];
    bytes.extend_from_slice(&length.to_be_bytes());
    bytes.extend_from_slice(&[0; 4]);
    bytes.extend_from_slice(payload);
    bytes
}

fn text(payload: &str) -> Vec<u8> {
    frame(1, payload.len() as u64, payload.as_bytes())
}

/// The kind and payload of the next frame; None once the server has closed.
fn next(stream: &mut TcpStream) -> Option<(u8, Vec<u8>)> {
    let mut head = [0; 2];
    stream.read_exact(&mut head).ok()?;
    let length = match head[1] {
        126 => {
            let mut length = [0; 2];
            stream.read_exact(&mut length).ok()?;
            usize::from(u16::from_be_bytes(length))
        }
        127 => {
            let mut length = [0; 8];
            stream.read_exact(&mut length).ok()?;
            usize::try_from(u64::from_be_bytes(length)).unwrap()
        }
        length => usize::from(length),
    };
    let mut payload = vec![0; length];
    stream.read_exact(&mut payload).ok()?;
    Some((head[0] & 0x0f, payload))
}

#[test]
fn a_socket_is_opened_by_our_own_page_alone() {
    let site = Site::start();
    let host = site.host();
    let token = site.token.as_str();
    let refusals: [(&str, Vec<(&str, &str)>); 5] = [
        (
            "Host evil.example",
            vec![("Host", "evil.example"), ("x-calotte-token", token)],
        ),
        (
            "Origin http://evil.example",
            vec![
                ("Host", &host),
                ("Origin", "http://evil.example"),
                ("x-calotte-token", token),
            ],
        ),
        (
            "Origin null",
            vec![
                ("Host", &host),
                ("Origin", "null"),
                ("x-calotte-token", token),
            ],
        ),
        (
            "Sec-Fetch-Site cross-site",
            vec![
                ("Host", &host),
                ("Sec-Fetch-Site", "cross-site"),
                ("x-calotte-token", token),
            ],
        ),
        ("no valid token", vec![("Host", &host)]),
    ];
    for (reason, headers) in refusals {
        site.assert_refused(403, &format!("GET /api/poses: {reason}"), || {
            site.send(&opening(&headers)).unwrap()
        });
    }
    let mut stream = open(&site);
    stream.write_all(&frame(9, 2, b"hi")).unwrap();
    assert_eq!(
        next(&mut stream),
        Some((10, b"hi".to_vec())),
        "ping and pong"
    );
    site.assert_alive();
}

#[test]
fn a_message_that_is_no_question_gets_an_answer() {
    let site = Site::start();
    let mut stream = open(&site);
    let deep = "[".repeat(100_000);
    let wrong = [
        "",
        "{",
        "null",
        "[]",
        r#"{"design": 1}"#,
        r#"{"to": {}}"#,
        &deep,
    ];
    for message in wrong {
        stream.write_all(&text(message)).unwrap();
        let (kind, payload) = next(&mut stream).expect("an answer");
        assert_eq!(kind, 1);
        let answer: serde_json::Value = serde_json::from_slice(&payload).unwrap();
        assert!(answer["refused"]["error"].is_string(), "{answer}");
        assert_eq!(answer["status"], 400);
    }
    // Bytes are no question either; they are passed over.
    stream.write_all(&frame(2, 4, b"\0\x01\x02\x03")).unwrap();
    stream.write_all(&text("{}")).unwrap();
    assert_eq!(next(&mut stream).expect("an answer").0, 1);
    site.assert_alive();
}

#[test]
fn a_frame_that_breaks_the_rules_closes_the_socket() {
    let site = Site::start();
    let frames: [(&str, Vec<u8>); 6] = [
        ("a message that claims 100 MB", frame(1, 100_000_000, b"")),
        (
            "one that claims more than there can be",
            frame(1, u64::MAX, b""),
        ),
        ("an unknown kind", frame(3, 0, b"")),
        ("no mask", vec![0x81, 2, b'{', b'}']),
        ("text that is none", frame(1, 2, b"\xff\xfe")),
        ("noise", (0..=255).collect()),
    ];
    for (what, bytes) in frames {
        let mut stream = open(&site);
        stream.write_all(&bytes).unwrap();
        // A frame of kind 8 is the farewell; after it, or instead, the connection ends.
        while let Some((kind, _)) = next(&mut stream) {
            assert_eq!(kind, 8, "{what}");
        }
        site.assert_alive();
    }
    // A message in a thousand parts that grows above the limit.
    let mut stream = open(&site);
    let part = vec![b' '; 100_000];
    for number in 0..1000 {
        let mut bytes = frame(u8::from(number == 0), part.len() as u64, &part);
        bytes[0] &= 0x0f;
        if stream.write_all(&bytes).is_err() {
            break;
        }
    }
    while let Some((kind, _)) = next(&mut stream) {
        assert_eq!(kind, 8);
    }
    // The other side goes away in the middle of a frame.
    let mut stream = open(&site);
    stream.write_all(&frame(1, 1000, b"{\"des")).unwrap();
    stream.shutdown(Shutdown::Both).unwrap();
    site.assert_alive();
}
