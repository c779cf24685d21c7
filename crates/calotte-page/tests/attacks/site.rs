//! A real server on a free port, in a thread of this process, and a client that sends
//! exactly the bytes it is given.

use std::io::{Read, Write};
use std::net::{SocketAddr, TcpStream};
use std::path::PathBuf;
use std::sync::{Arc, Mutex};
use std::thread::JoinHandle;
use std::time::Duration;

use calotte_page::{Log, PageOptions, Server};
use tokio::sync::oneshot;

/// Longest wait for an answer; above every limit of the server.
const PATIENCE: Duration = Duration::from_secs(20);

/// A server with a folder of its own.
pub struct Site {
    pub address: SocketAddr,
    pub token: String,
    pub folder: PathBuf,
    lines: Arc<Mutex<Vec<String>>>,
    stop: Option<oneshot::Sender<()>>,
    thread: Option<JoinHandle<()>>,
    _place: tempfile::TempDir,
}

impl Site {
    /// Starts a server over an empty folder.
    pub fn start() -> Self {
        let place = tempfile::tempdir().unwrap();
        // A folder inside, so that there is an outside that belongs to this test.
        let folder = place.path().join("inside");
        std::fs::create_dir(&folder).unwrap();
        let lines = Arc::new(Mutex::new(Vec::new()));
        let kept = Arc::clone(&lines);
        let log = Log::new(move |line| kept.lock().unwrap().push(line.to_owned()));
        let options = PageOptions {
            folder: folder.clone(),
            port: 0,
            open: false,
        };
        let server = Server::start(&options, log).unwrap();
        let address = server.local_addr();
        let token = server.address().split_once("token=").unwrap().1.to_owned();
        let (stop, stopped) = oneshot::channel::<()>();
        let thread = std::thread::spawn(move || server.run(async { drop(stopped.await) }));
        Self {
            address,
            token,
            folder,
            lines,
            stop: Some(stop),
            thread: Some(thread),
            _place: place,
        }
    }

    /// A folder beside the one that is served.
    pub fn outside(&self) -> PathBuf {
        self.folder.parent().unwrap().to_path_buf()
    }

    /// The host as a browser would send it.
    pub fn host(&self) -> String {
        self.address.to_string()
    }

    /// A connection.
    pub fn connect(&self) -> TcpStream {
        let stream = TcpStream::connect(self.address).unwrap();
        stream.set_read_timeout(Some(PATIENCE)).unwrap();
        stream.set_write_timeout(Some(PATIENCE)).unwrap();
        stream.set_nodelay(true).unwrap();
        stream
    }

    /// Sends bytes and reads until the server closes or one answer is complete.
    pub fn send(&self, bytes: &[u8]) -> Option<Answer> {
        let mut stream = self.connect();
        // The server may cut the connection while we still write; its answer counts.
        let _ = stream.write_all(bytes);
        Answer::read(&mut stream)
    }

    /// Sends a request with these headers besides none other than `Connection: close`.
    pub fn request(
        &self,
        method: &str,
        target: &str,
        headers: &[(&str, &str)],
        body: &[u8],
    ) -> Answer {
        let mut text = format!("{method} {target} HTTP/1.1\r\nConnection: close\r\n");
        for (name, value) in headers {
            text.push_str(&format!("{name}: {value}\r\n"));
        }
        if !body.is_empty() {
            text.push_str(&format!("Content-Length: {}\r\n", body.len()));
        }
        text.push_str("\r\n");
        let mut bytes = text.into_bytes();
        bytes.extend_from_slice(body);
        self.send(&bytes)
            .unwrap_or_else(|| panic!("no answer to {method} {target}"))
    }

    /// A request as the page sends it.
    pub fn get(&self, target: &str) -> Answer {
        let host = self.host();
        self.request(
            "GET",
            target,
            &[("Host", &host), ("x-calotte-token", &self.token)],
            b"",
        )
    }

    /// A request with a JSON body, as the page sends it.
    pub fn post(&self, target: &str, body: &[u8]) -> Answer {
        let host = self.host();
        let headers = [
            ("Host", host.as_str()),
            ("x-calotte-token", &self.token),
            ("Content-Type", "application/json"),
        ];
        self.request("POST", target, &headers, body)
    }

    /// Saves a file, as the page does.
    pub fn save(&self, body: serde_json::Value) -> Answer {
        self.post("/api/file/save", body.to_string().as_bytes())
    }

    /// Forgets what was logged, asks, and returns the answer with the lines it caused.
    pub fn logged<T>(&self, ask: impl FnOnce() -> T) -> (T, Vec<String>) {
        self.lines.lock().unwrap().clear();
        let answer = ask();
        // The line of a cut connection comes just after the cut.
        for _ in 0..50 {
            if !self.lines.lock().unwrap().is_empty() {
                break;
            }
            std::thread::sleep(Duration::from_millis(10));
        }
        (answer, self.lines.lock().unwrap().clone())
    }

    /// Everything logged since the start or the last [`Site::logged`].
    pub fn lines(&self) -> Vec<String> {
        self.lines.lock().unwrap().clone()
    }

    /// The server still answers.
    pub fn assert_alive(&self) {
        assert_eq!(
            self.get("/").status,
            200,
            "the server answers after the attack"
        );
        assert_eq!(self.get("/api/files").status, 200);
    }

    /// Asks, and checks status and log line of the refusal.
    pub fn assert_refused(
        &self,
        status: u16,
        in_log: &str,
        ask: impl FnOnce() -> Answer,
    ) -> Answer {
        let (answer, lines) = self.logged(ask);
        assert_eq!(answer.status, status, "{}", answer.text());
        assert!(
            lines
                .iter()
                .any(|line| line.starts_with("refused: ") && line.contains(in_log)),
            "`{in_log}` is logged: {lines:?}"
        );
        // More than twenty a second would be counted instead of shown.
        std::thread::sleep(Duration::from_millis(50));
        answer
    }
}

impl Drop for Site {
    fn drop(&mut self) {
        let _ = self.stop.take().map(|stop| stop.send(()));
        let ended = self.thread.take().map(JoinHandle::join);
        if !std::thread::panicking() {
            assert!(matches!(ended, Some(Ok(()))), "the server ended well");
        }
    }
}

/// What came back.
pub struct Answer {
    pub status: u16,
    pub headers: Vec<(String, String)>,
    pub body: Vec<u8>,
}

impl Answer {
    /// Reads one answer; None if the server closed without a status line.
    pub fn read(stream: &mut TcpStream) -> Option<Self> {
        let mut bytes = Vec::new();
        let mut piece = [0_u8; 16 << 10];
        loop {
            if let Some(answer) = Self::parse(&bytes, false) {
                return Some(answer);
            }
            match stream.read(&mut piece) {
                Ok(0) | Err(_) => return Self::parse(&bytes, true),
                Ok(length) => bytes.extend_from_slice(&piece[..length]),
            }
        }
    }

    fn parse(bytes: &[u8], closed: bool) -> Option<Self> {
        let end = bytes.windows(4).position(|four| four == b"\r\n\r\n")?;
        let head = std::str::from_utf8(&bytes[..end]).unwrap();
        let mut lines = head.split("\r\n");
        let status = lines.next()?.split(' ').nth(1)?.parse().unwrap();
        let headers: Vec<(String, String)> = lines
            .filter_map(|line| line.split_once(": "))
            .map(|(name, value)| (name.to_ascii_lowercase(), value.to_owned()))
            .collect();
        let body = bytes[end + 4..].to_vec();
        let length = headers
            .iter()
            .find(|(name, _)| name == "content-length")
            .map_or(0, |(_, value)| value.parse().unwrap());
        (closed || body.len() >= length).then_some(Self {
            status,
            headers,
            body,
        })
    }

    /// The value of a header.
    pub fn header(&self, name: &str) -> Option<&str> {
        let found = self.headers.iter().find(|(key, _)| key == name);
        found.map(|(_, value)| value.as_str())
    }

    /// The body as text.
    pub fn text(&self) -> String {
        String::from_utf8_lossy(&self.body).into_owned()
    }

    /// The body as JSON.
    pub fn json(&self) -> serde_json::Value {
        serde_json::from_slice(&self.body).unwrap_or_else(|_| panic!("JSON: {}", self.text()))
    }
}
