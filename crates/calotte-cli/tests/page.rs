//! `calotte page` through the binary: what it prints, how it ends, what it refuses.
#![cfg(all(feature = "page", unix))]

use std::fs;
use std::io::{BufRead, BufReader, Read, Write};
use std::net::{TcpListener, TcpStream};
use std::os::unix::fs::PermissionsExt;
use std::path::Path;
use std::process::{Child, ChildStdout, Command, Output, Stdio};
use std::time::{Duration, Instant};

use serde_json::json;

fn calotte(folder: &Path, arguments: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_calotte"));
    command.current_dir(folder).arg("page").args(arguments);
    command
}

/// A page that is served.
struct Page {
    child: Child,
    stdout: BufReader<ChildStdout>,
    /// The first line on stdout.
    line: String,
}

impl Page {
    fn start(command: &mut Command) -> Self {
        let mut child = command
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .expect("the binary runs");
        let mut stdout = BufReader::new(child.stdout.take().expect("a stdout"));
        let mut line = String::new();
        stdout.read_line(&mut line).expect("a line");
        Self {
            child,
            stdout,
            line,
        }
    }

    /// Sends a signal and returns exit status, rest of stdout, and stderr.
    fn end(mut self, signal: &str) -> (Option<i32>, String, String) {
        let begun = Instant::now();
        let sent = Command::new("kill")
            .args([signal, &self.child.id().to_string()])
            .status()
            .expect("kill runs");
        assert!(sent.success());
        let mut rest = String::new();
        self.stdout.read_to_string(&mut rest).expect("the rest");
        let mut errors = String::new();
        let mut stderr = self.child.stderr.take().expect("a stderr");
        stderr.read_to_string(&mut errors).expect("stderr");
        let status = self.child.wait().expect("an end");
        assert!(begun.elapsed() < Duration::from_secs(5));
        (status.code(), rest, errors)
    }
}

/// Asks for an address as a browser would and returns the answer.
fn get(address: &str, cookie: Option<&str>) -> String {
    let rest = address.strip_prefix("http://").expect("an address");
    let (host, target) = rest.split_once('/').expect("a path");
    let mut stream = TcpStream::connect(host).expect("a connection");
    let cookie = cookie.map_or(String::new(), |pair| format!("Cookie: {pair}\r\n"));
    let request =
        format!("GET /{target} HTTP/1.1\r\nHost: {host}\r\n{cookie}Connection: close\r\n\r\n");
    stream.write_all(request.as_bytes()).expect("a request");
    let mut text = Vec::new();
    stream.read_to_end(&mut text).expect("an answer");
    String::from_utf8_lossy(&text).into_owned()
}

fn cookie_of(answer: &str) -> &str {
    let set = answer.split("set-cookie: ").nth(1).expect("a cookie");
    set.split(';').next().expect("a pair")
}

#[test]
fn the_address_is_printed_and_opens_the_page() {
    let place = tempfile::tempdir().expect("a folder");
    fs::write(place.path().join("design.toml"), "[linkage]\n").expect("a file");
    let page = Page::start(&mut calotte(place.path(), &["--no-open"]));
    let address = page
        .line
        .strip_prefix("open ")
        .expect("`open ADDRESS`")
        .trim_end();
    assert!(address.starts_with("http://127.0.0.1:"), "{address}");
    let entry = get(address, None);
    assert!(entry.starts_with("HTTP/1.1 303"), "{entry}");
    let root = address.split("?").next().expect("the root");
    assert!(get(root, None).starts_with("HTTP/1.1 403"));
    let cookie = Some(cookie_of(&entry));
    assert!(get(root, cookie).contains("<title>calotte"));
    let files = get(&format!("{root}api/files"), cookie);
    assert!(files.contains("\"design.toml\""), "{files}");
    assert!(get(&format!("{root}licences.txt"), cookie).contains("MIT"));
    let (status, rest, errors) = page.end("-INT");
    assert_eq!((status, rest.as_str()), (Some(0), ""), "{errors}");
    for part in ["Design aid", "licensed", "fingers", "Ctrl-C"] {
        assert!(errors.contains(part), "{errors}");
    }
    assert!(
        errors.contains("refused: GET /: no valid token"),
        "{errors}"
    );
}

#[test]
fn the_address_is_one_object_with_json_and_a_request_to_end_is_heard() {
    let place = tempfile::tempdir().expect("a folder");
    let mut page = Page::start(&mut calotte(place.path(), &["--no-open", "--json"]));
    let object: serde_json::Value = loop {
        if let Ok(object) = serde_json::from_str(&page.line) {
            break object;
        }
        let read = page.stdout.read_line(&mut page.line).expect("a line");
        assert!(read > 0, "no whole JSON: {}", page.line);
    };
    let address = object["address"].as_str().expect("an address");
    assert!(get(address, None).starts_with("HTTP/1.1 303"));
    assert_eq!(object["folder"], ".");
    assert!(object["safety"].is_object(), "{object}");
    let (status, rest, _) = page.end("-TERM");
    assert_eq!((status, rest.as_str()), (Some(0), ""));
}

/// The browser gets an address of its own, which works once: others on the machine can
/// read the words a program is started with.
#[test]
fn the_browser_is_opened_with_an_address_for_once() {
    let place = tempfile::tempdir().expect("a folder");
    let told = place.path().join("told.txt");
    let opener = if cfg!(target_os = "macos") {
        "open"
    } else {
        "xdg-open"
    };
    let browser = place.path().join(opener);
    fs::write(
        &browser,
        format!(
            "#!/bin/sh\nprintf %s \"$1\" > '{}.new'\nmv '{0}.new' '{0}'\n",
            told.display()
        ),
    )
    .expect("a script");
    fs::set_permissions(&browser, fs::Permissions::from_mode(0o755)).expect("permissions");
    let path = format!(
        "{}:{}",
        place.path().display(),
        std::env::var("PATH").unwrap_or_default()
    );
    let page = Page::start(calotte(place.path(), &[]).env("PATH", path));
    let begun = Instant::now();
    while !told.is_file() {
        assert!(
            begun.elapsed() < Duration::from_secs(10),
            "the browser is opened"
        );
        std::thread::sleep(Duration::from_millis(20));
    }
    let opened = fs::read_to_string(&told).expect("an address");
    let printed = page
        .line
        .strip_prefix("open ")
        .expect("an address")
        .trim_end();
    assert_ne!(opened, printed);
    assert!(get(&opened, None).starts_with("HTTP/1.1 303"));
    assert!(
        get(&opened, None).starts_with("HTTP/1.1 403"),
        "it works once"
    );
    assert!(get(printed, None).starts_with("HTTP/1.1 303"));
    assert!(
        get(printed, None).starts_with("HTTP/1.1 303"),
        "this one always"
    );
    assert_eq!(page.end("-INT").0, Some(0));
}

#[test]
fn without_a_browser_the_page_is_served_all_the_same() {
    let place = tempfile::tempdir().expect("a folder");
    let page = Page::start(calotte(place.path(), &[]).env("PATH", place.path()));
    let address = page
        .line
        .strip_prefix("open ")
        .expect("an address")
        .trim_end();
    assert!(get(address, None).starts_with("HTTP/1.1 303"));
    // The message comes from a thread of its own.
    std::thread::sleep(Duration::from_millis(300));
    let (status, _, errors) = page.end("-INT");
    assert_eq!(status, Some(0));
    assert!(errors.contains("no browser was opened"), "{errors}");
}

fn refused(folder: &Path, arguments: &[&str]) -> String {
    let output: Output = calotte(folder, arguments)
        .output()
        .expect("the binary runs");
    assert_eq!(output.status.code(), Some(2));
    assert!(output.stdout.is_empty());
    String::from_utf8(output.stderr).expect("UTF-8")
}

/// Sends JSON as the page does and returns the answer.
fn post(address: &str, token: &str, body: &str) -> String {
    let rest = address.strip_prefix("http://").expect("an address");
    let (host, target) = rest.split_once('/').expect("a path");
    let mut stream = TcpStream::connect(host).expect("a connection");
    let request = format!(
        "POST /{target} HTTP/1.1\r\nHost: {host}\r\nx-calotte-token: {token}\r\n\
         Content-Type: application/json\r\nContent-Length: {}\r\nConnection: close\r\n\r\n{body}",
        body.len()
    );
    stream.write_all(request.as_bytes()).expect("a request");
    let mut text = Vec::new();
    stream.read_to_end(&mut text).expect("an answer");
    String::from_utf8_lossy(&text).into_owned()
}

/// Every question about a family that the page does not show yet says so.
#[test]
fn a_five_bar_is_not_available_yet_whatever_is_asked_of_it() {
    let text = include_str!("five_bar/design.toml");
    let table: toml::Table = text.parse().expect("TOML");
    let design = serde_json::to_value(table).expect("JSON");
    let place = tempfile::tempdir().expect("a folder");
    let page = Page::start(&mut calotte(place.path(), &["--no-open"]));
    let address = page
        .line
        .strip_prefix("open ")
        .expect("an address")
        .trim_end();
    let root = address.split('?').next().expect("the root");
    let entry = get(address, None);
    let (_, token) = cookie_of(&entry).split_once('=').expect("a pair");
    let asked = |path: &str, body: &serde_json::Value| {
        let answer = post(&format!("{root}api/{path}"), token, &body.to_string());
        assert!(answer.starts_with("HTTP/1.1 422"), "{path}: {answer}");
        let told = "the page: not available yet for the spherical five-bar";
        assert!(answer.contains(told), "{path}: {answer}");
        assert!(answer.contains("calotte analyse"), "{path}: {answer}");
    };
    asked("design/read", &serde_json::json!({ "text": text }));
    let with = |more: serde_json::Value| {
        let mut body = serde_json::json!({ "design": design });
        let more = more.as_object().expect("an object").clone();
        body.as_object_mut().expect("an object").extend(more);
        body
    };
    for path in ["design/write", "linkage", "parts", "analysis"] {
        asked(path, &with(json!({})));
    }
    asked("design/change", &with(json!({ "set": ["arc_deg=50"] })));
    asked(
        "pose",
        &with(json!({ "to": { "joints-deg": [120, -220] } })),
    );
    asked("stages", &with(json!({ "stages_max": 3 })));
    let map = json!({ "x": "arc_deg=45..55:5", "y": "polar=30", "show": "gci" });
    asked("map", &with(map));
    asked("measure/fit", &with(json!({ "points": "" })));
    let plan = json!({ "count": 20, "repeated": 2, "times": 3, "noise_mm": 0.1, "gauge_mm": 0.1 });
    asked("measure/plan", &with(plan));
    let (status, _, errors) = page.end("-INT");
    assert_eq!(status, Some(0), "{errors}");
}

#[test]
fn what_cannot_be_served_ends_with_status_2_and_a_hint() {
    let place = tempfile::tempdir().expect("a folder");
    let missing = refused(place.path(), &["no-such-folder", "--no-open"]);
    assert!(
        missing.starts_with("error: no-such-folder is not a folder"),
        "{missing}"
    );
    assert!(
        missing.contains("\nhint: give an existing folder"),
        "{missing}"
    );
    fs::write(place.path().join("brief.toml"), "").expect("a file");
    let file = refused(place.path(), &["brief.toml", "--no-open"]);
    assert!(
        file.starts_with("error: brief.toml is a file\nhint: "),
        "{file}"
    );
    let taken = TcpListener::bind("127.0.0.1:0").expect("a port");
    let port = taken.local_addr().expect("an address").port().to_string();
    let told = refused(place.path(), &["--no-open", "--port", &port]);
    assert!(
        told.contains(&format!("cannot listen on 127.0.0.1:{port}")),
        "{told}"
    );
    assert!(told.contains("\nhint: give another port"), "{told}");
    assert!(refused(place.path(), &["--port", "70000"]).contains("70000"));
}

/// The example of `calotte page --help` works.
#[test]
fn the_example_of_the_help_works() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../..");
    let help = calotte(&root, &["--help"])
        .output()
        .expect("the binary runs");
    let help = String::from_utf8(help.stdout).expect("UTF-8");
    let example = help
        .lines()
        .find_map(|line| line.trim().strip_prefix("calotte page "))
        .expect("an example");
    let mut words: Vec<&str> = example.split(' ').collect();
    words.push("--no-open");
    let page = Page::start(&mut calotte(&root, &words));
    assert!(page.line.starts_with("open http://"), "{}", page.line);
    assert_eq!(page.end("-INT").0, Some(0));
}
