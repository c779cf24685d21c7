//! A thousand connections at once, against a server in a process of its own: there its
//! descriptors and memory can be seen, and neither side needs more descriptors than a
//! process commonly may have (1,024).
//!
//! This program is its own server: it starts itself again with the word `serve`. It has
//! no test harness, so it prints its result in the form that one would.

use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::process::{Child, Command, ExitCode, Stdio};
use std::time::{Duration, Instant};

use calotte_page::{PageOptions, serve};

/// Streams that pages with the token hold open: those that watch and those to drag. Together
/// they stay below the 1,024 descriptors that this process commonly may have.
const STREAMS: [usize; 2] = [500, 400];
/// Connections that the attacker opens.
const CROWD: usize = 1000;
/// Descriptors the server may hold: its 256 connections and what it needs itself.
#[cfg(target_os = "linux")]
const DESCRIPTORS_MAX: usize = 256 + 64;

fn main() -> ExitCode {
    let words: Vec<String> = std::env::args().collect();
    if let [_, word, folder] = words.as_slice()
        && word == "serve"
    {
        return be_server(folder);
    }
    let tests: [(&str, fn()); 2] = [
        (
            "a_thousand_connections_at_once",
            a_thousand_connections_at_once,
        ),
        ("five_hundred_open_streams", five_hundred_open_streams),
    ];
    println!("\nrunning {} tests", tests.len());
    let mut failed = 0;
    for (name, test) in tests {
        let word = match std::panic::catch_unwind(test) {
            Ok(()) => "ok",
            Err(_) => "FAILED",
        };
        failed += u8::from(word == "FAILED");
        println!("test {name} ... {word}");
    }
    let word = if failed == 0 { "ok" } else { "FAILED" };
    let passed = tests.len() - usize::from(failed);
    println!(
        "\ntest result: {word}. {passed} passed; {failed} failed; 0 ignored; 0 measured; 0 filtered out\n"
    );
    ExitCode::from(failed)
}

/// Serves a folder until killed, and says where.
fn be_server(folder: &str) -> ExitCode {
    let options = PageOptions {
        folder: folder.into(),
        port: 0,
        open: false,
    };
    let served = serve(&options, |address| {
        println!("{address}");
        let _ = std::io::stdout().flush();
    });
    match served {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("{error}");
            ExitCode::FAILURE
        }
    }
}

/// The server, ended with the test.
struct Server {
    child: Child,
    host: String,
    token: String,
}

impl Server {
    fn start(folder: &std::path::Path) -> Self {
        let mut child = Command::new(std::env::current_exe().unwrap())
            .arg("serve")
            .arg(folder)
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        let mut line = String::new();
        BufReader::new(child.stdout.take().unwrap())
            .read_line(&mut line)
            .unwrap();
        let address = line.trim().strip_prefix("http://").unwrap();
        let (host, token) = address.split_once("/?token=").unwrap();
        Self {
            child,
            host: host.to_owned(),
            token: token.to_owned(),
        }
    }

    /// Asks for the page as its owner and returns the time that the answer took.
    fn answers(&self) -> Duration {
        let begin = Instant::now();
        let mut stream = TcpStream::connect(&self.host).unwrap();
        stream
            .set_read_timeout(Some(Duration::from_secs(20)))
            .unwrap();
        let request = format!(
            "GET / HTTP/1.1\r\nHost: {}\r\nx-calotte-token: {}\r\nConnection: close\r\n\r\n",
            self.host, self.token
        );
        stream.write_all(request.as_bytes()).unwrap();
        let mut text = Vec::new();
        stream.read_to_end(&mut text).unwrap();
        assert!(text.starts_with(b"HTTP/1.1 200"));
        begin.elapsed()
    }

    #[cfg(target_os = "linux")]
    fn descriptors(&self) -> usize {
        std::fs::read_dir(format!("/proc/{}/fd", self.child.id()))
            .unwrap()
            .count()
    }
}

impl Drop for Server {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// Pages left open: each watches the folder, and holds a connection for dragging. One more is
/// answered, and so is each of them when it asks again.
fn five_hundred_open_streams() {
    let place = tempfile::tempdir().unwrap();
    let server = Server::start(place.path());
    let open = |request: &str| {
        let mut stream = TcpStream::connect(&server.host).unwrap();
        stream.write_all(request.as_bytes()).unwrap();
        let patience = Some(Duration::from_secs(20));
        stream.set_read_timeout(patience).unwrap();
        let mut start = [0; 12];
        stream.read_exact(&mut start).unwrap();
        (stream, String::from_utf8(start.to_vec()).unwrap())
    };
    let head = format!(
        "Host: {}\r\nx-calotte-token: {}\r\nOrigin: http://{}\r\n",
        server.host, server.token, server.host
    );
    let watch = format!("GET /api/watch HTTP/1.1\r\n{head}\r\n");
    let drag = format!(
        "GET /api/poses HTTP/1.1\r\n{head}Connection: Upgrade\r\nUpgrade: websocket\r\nSec-WebSocket-Version: 13\r\nSec-WebSocket-Key: dGhlIHNhbXBsZSBub25jZQ==\r\n\r\n"
    );
    let mut streams = Vec::new();
    let kinds = [(&watch, "HTTP/1.1 200"), (&drag, "HTTP/1.1 101")];
    for ((request, status), number) in kinds.into_iter().zip(STREAMS) {
        for number in 0..number {
            let (stream, start) = open(request);
            assert_eq!(start, status, "stream {number}");
            streams.push(stream);
        }
    }
    let time = server.answers();
    println!(
        "answer while {} streams are open: {time:.1?}",
        streams.len()
    );
    #[cfg(target_os = "linux")]
    {
        let held = server.descriptors();
        println!("descriptors of the server: {held}");
        assert!(held <= DESCRIPTORS_MAX + 64, "{held}");
    }
    assert_eq!(open(&watch).1, "HTTP/1.1 200");
}

fn a_thousand_connections_at_once() {
    let place = tempfile::tempdir().unwrap();
    let server = Server::start(place.path());
    server.answers();
    let crowd: Vec<TcpStream> = (0..CROWD)
        .map(|_| TcpStream::connect(&server.host).unwrap())
        .collect();
    // They are all still open on our side, and the page answers nevertheless.
    let time = server.answers();
    println!("answer while {CROWD} connections are open: {time:.1?}");
    #[cfg(target_os = "linux")]
    {
        let held = server.descriptors();
        println!("descriptors of the server: {held}");
        assert!(held <= DESCRIPTORS_MAX, "{held}");
    }
    // Each of them now asks, without the token: none gets the page.
    let request = format!("GET / HTTP/1.1\r\nHost: {}\r\n\r\n", server.host);
    let mut refused = 0;
    for mut stream in crowd {
        let _ = stream.write_all(request.as_bytes());
        let mut start = [0; 12];
        if stream.read_exact(&mut start).is_ok() {
            assert_eq!(&start, b"HTTP/1.1 403");
            refused += 1;
        }
    }
    println!("{refused} were told so, the others had given way");
    assert!(refused <= 256);
    server.answers();
}
