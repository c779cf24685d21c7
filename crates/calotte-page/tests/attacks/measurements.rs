//! Tables of measurements: read within the folder, never written, and whatever they hold
//! is answered.

use std::io::{Read, Write};

use serde_json::{Value, json};

use crate::site::{Answer, Site};

const SECRET: &str = "row,x,y,z\n1,2,3,4\n# outside\n";
/// Most bytes of a table that is read.
const TABLE_MAX: usize = 3 << 20;

fn bench(name: &str) -> String {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR"));
    std::fs::read_to_string(folder.join("../../examples/head-dome/bench").join(name)).unwrap()
}

/// A site with measurements inside and outside, and ways that might lead out.
fn site() -> Site {
    let site = Site::start();
    std::fs::write(site.outside().join("secret.csv"), SECRET).unwrap();
    std::fs::create_dir(site.folder.join("bench")).unwrap();
    std::fs::write(site.folder.join("bench/points.csv"), bench("points.csv")).unwrap();
    std::fs::write(site.folder.join(".hidden.csv"), SECRET).unwrap();
    std::fs::create_dir(site.folder.join("folder.csv")).unwrap();
    #[cfg(unix)]
    {
        use std::os::unix::fs::symlink;
        let secret = site.outside().join("secret.csv");
        symlink(secret, site.folder.join("link.csv")).unwrap();
        symlink(site.outside(), site.folder.join("out")).unwrap();
        symlink("/dev/zero", site.folder.join("endless.csv")).unwrap();
    }
    site
}

/// The bench design as the page sends it.
fn design(site: &Site) -> Value {
    let body = json!({ "text": bench("design.toml") }).to_string();
    let answer = site.post("/api/design/read", body.as_bytes());
    assert_eq!(answer.status, 200, "{}", answer.text());
    answer.json()["design"].clone()
}

/// The last event of a fit: its name and data.
fn fit(site: &Site, body: &Value) -> (String, Value) {
    job(site, "/api/measure/fit", body)
}

/// The last event of a job: its name and data.
fn job(site: &Site, route: &str, body: &Value) -> (String, Value) {
    events(site, route, body).pop().unwrap()
}

/// All events of a job: their names and data.
fn events(site: &Site, route: &str, body: &Value) -> Vec<(String, Value)> {
    let body = body.to_string();
    let mut stream = site.connect();
    let head = format!(
        "POST {route} HTTP/1.1\r\nHost: {}\r\nx-calotte-token: {}\r\nContent-Type: application/json\r\nContent-Length: {}\r\nConnection: close\r\n\r\n",
        site.host(),
        site.token,
        body.len()
    );
    stream.write_all(head.as_bytes()).unwrap();
    stream.write_all(body.as_bytes()).unwrap();
    let mut bytes = Vec::new();
    stream.read_to_end(&mut bytes).unwrap();
    let text = String::from_utf8(unchunked(&bytes)).unwrap();
    assert!(!text.is_empty(), "{}", String::from_utf8_lossy(&bytes));
    let names = text.lines().filter_map(|line| line.strip_prefix("event: "));
    let data = text.lines().filter_map(|line| line.strip_prefix("data: "));
    names
        .zip(data)
        .map(|(name, data)| (name.to_owned(), serde_json::from_str(data).unwrap()))
        .collect()
}

/// The body of an answer in chunks.
fn unchunked(bytes: &[u8]) -> Vec<u8> {
    let find = |from: usize, what: &[u8]| {
        bytes[from..]
            .windows(what.len())
            .position(|part| part == what)
            .map(|at| from + at)
    };
    let mut body = Vec::new();
    let Some(end) = find(0, b"\r\n\r\n") else {
        return body;
    };
    let mut at = end + 4;
    while let Some(line) = find(at, b"\r\n") {
        let size = std::str::from_utf8(&bytes[at..line]).unwrap();
        let size = usize::from_str_radix(size, 16).unwrap();
        if size == 0 {
            break;
        }
        body.extend_from_slice(&bytes[line + 2..line + 2 + size]);
        at = line + 4 + size;
    }
    body
}

#[test]
fn no_path_to_a_table_leads_out_of_the_folder() {
    let site = site();
    let absolute = site.outside().join("secret.csv");
    let absolute = absolute.to_str().unwrap();
    let mut ways = vec![
        ("../secret.csv".to_owned(), 403),
        ("%2e%2e%2fsecret.csv".to_owned(), 403),
        ("bench/../../secret.csv".to_owned(), 403),
        ("..\\secret.csv".to_owned(), 400),
        (absolute.to_owned(), 403),
        ("C:secret.csv".to_owned(), 400),
        ("bench/points.csv%00".to_owned(), 400),
        (".hidden.csv".to_owned(), 403),
        ("bench/points.csv.gz".to_owned(), 400),
        ("bench/points.CSV".to_owned(), 400),
    ];
    if cfg!(unix) {
        for way in ["link.csv", "out/secret.csv", "endless.csv"] {
            ways.push((way.to_owned(), 403));
        }
    }
    for (way, status) in ways {
        let answer = site.assert_refused(status, "GET /api/file", || {
            site.get(&format!("/api/file?path={way}"))
        });
        assert!(!answer.text().contains("outside"), "{way}");
    }
    assert_eq!(site.get("/api/file?path=folder.csv").status, 400);
    assert_eq!(site.get("/api/file?path=bench/no.csv").status, 404);
    let listed = site.get("/api/files").json();
    assert_eq!(listed["files"].as_array().unwrap().len(), 1, "{listed}");
    assert_eq!(listed["files"][0]["path"], "bench/points.csv");
    assert_eq!(listed["files"][0]["kind"], "points");
    let read = site.get("/api/file?path=bench/points.csv").json();
    assert_eq!(read["text"], bench("points.csv").as_str());
    assert_eq!(read["sha256"], listed["files"][0]["sha256"]);
    site.assert_alive();
}

#[test]
fn a_table_is_never_written() {
    let site = site();
    for path in ["bench/points.csv", "bench/new.csv", "../secret.csv"] {
        let status = if path.starts_with("..") { 403 } else { 400 };
        site.assert_refused(status, "POST /api/file/save", || {
            site.save(json!({"path": path, "text": "x,y,z\n"}))
        });
    }
    let kept = std::fs::read_to_string(site.folder.join("bench/points.csv")).unwrap();
    assert_eq!(kept, bench("points.csv"));
    assert!(!site.folder.join("bench/new.csv").exists());
    let secret = std::fs::read_to_string(site.outside().join("secret.csv")).unwrap();
    assert_eq!(secret, SECRET);
    site.assert_alive();
}

#[test]
fn tables_too_long_or_no_text_are_told_as_such() {
    let site = site();
    let put = |name: &str, bytes: &[u8]| std::fs::write(site.folder.join(name), bytes).unwrap();
    put(
        "long.csv",
        &[b"a,x,y,z\n".as_slice(), &vec![b'1'; TABLE_MAX]].concat(),
    );
    put("latin.csv", b"row,x,y,z\n# caf\xe9\n1,2,3,4\n");
    let long = site.get("/api/file?path=long.csv");
    assert_eq!(long.status, 400);
    assert!(long.text().contains("longer than"), "{}", long.text());
    let latin = site.get("/api/file?path=latin.csv");
    assert_eq!(latin.status, 400);
    assert!(latin.text().contains("line 2"), "{}", latin.text());
    // Neither keeps the list from being made.
    let listed = site.get("/api/files").json();
    let of = |path: &str| {
        let files = listed["files"].as_array().unwrap();
        files
            .iter()
            .find(|one| one["path"] == path)
            .unwrap()
            .clone()
    };
    assert!(of("long.csv")["sha256"].is_null());
    assert!(of("latin.csv")["sha256"].is_string());
    site.assert_alive();
}

#[test]
fn a_fit_is_answered_to_the_page_of_this_run_alone() {
    const FIT: &str = "/api/measure/fit";
    let site = site();
    let (host, token) = (site.host(), site.token.clone());
    let ask = |headers: &[(&str, &str)]| -> Answer {
        let mut all = vec![("Content-Type", "application/json")];
        all.extend_from_slice(headers);
        site.request("POST", FIT, &all, b"{}")
    };
    site.assert_refused(403, "no valid token", || ask(&[("Host", &host)]));
    site.assert_refused(403, "Host evil.example", || {
        ask(&[("Host", "evil.example"), ("x-calotte-token", &token)])
    });
    site.assert_refused(403, "Origin https://evil.example", || {
        ask(&[
            ("Host", &host),
            ("x-calotte-token", &token),
            ("Origin", "https://evil.example"),
        ])
    });
    for body in [
        "{}",
        "[]",
        r#"{"design": {}, "points": 1}"#,
        r#"{"design": {}, "points": "", "path": "../secret.csv"}"#,
    ] {
        site.assert_refused(400, "POST /api/measure/fit: body", || {
            site.post(FIT, body.as_bytes())
        });
    }
    let long = json!({ "design": {}, "points": "1".repeat(4 << 20) }).to_string();
    site.assert_refused(413, "POST /api/measure/fit: body above 4 MiB", || {
        site.post(FIT, long.as_bytes())
    });
    assert_eq!(site.get(FIT).status, 405);
    site.assert_alive();
}

#[test]
fn whatever_a_table_holds_is_answered() {
    let site = site();
    let design = design(&site);
    let heading = "swing_deg,opening_deg,x_mm,y_mm,z_mm\n";
    let rows = |row: &str| format!("{heading}{}", row.repeat(30));
    let texts = [
        String::new(),
        "\n\n\n".to_owned(),
        "\0\0\0\0".to_owned(),
        "PK\u{3}\u{4}".to_owned(),
        heading.to_owned(),
        "a,".repeat(200_000),
        "\"".repeat(200_000),
        rows("0,0,0,0,0\n"),
        rows("1e308,1e308,1e308,1e308,1e308\n"),
        rows("nan,inf,-inf,nan,nan\n"),
        rows("10,40,1,2,3\n"),
        rows("10,179.999999,1,2,3\n"),
        rows(&format!("{},1,1,1,1\n", "9".repeat(1000))),
        rows("=1+1,@x,-2,+3,4\n"),
        rows("10,40,\u{202e}1,2,3\n"),
    ];
    for text in texts {
        let start: String = text.chars().take(60).collect();
        let (event, told) = fit(&site, &json!({ "design": design, "points": text }));
        assert_eq!(event, "failed", "{start:?}: {told}");
        assert_eq!(told["file"], "points", "{start:?}: {told}");
        assert!(!told["error"].as_str().unwrap().is_empty());
    }
    let (event, told) = fit(
        &site,
        &json!({
            "design": design, "points": bench("points.csv"),
            "hold": ["\0", "no-such-parameter", "", "../../x"],
        }),
    );
    assert_eq!(event, "failed", "{told}");
    // A question that is right is answered after all of these.
    let (event, found) = fit(
        &site,
        &json!({ "design": design, "points": bench("points.csv") }),
    );
    assert_eq!(event, "done");
    assert_eq!(found["fit"]["outlier_rows"], json!([16, 47]));
    site.assert_alive();
}

#[test]
fn a_fit_says_how_far_it_is_before_it_is_done() {
    let site = site();
    let body = json!({
        "design": design(&site), "points": bench("points.csv"), "weights": bench("weights.csv"),
    });
    let events = events(&site, "/api/measure/fit", &body);
    let (end, parts) = events.split_last().unwrap();
    assert_eq!(end.0, "done");
    let words: Vec<&str> = parts
        .iter()
        .map(|(name, part)| {
            assert_eq!(name, "part");
            part["words"].as_str().unwrap()
        })
        .collect();
    assert_eq!(words[0], "reading the points");
    assert_eq!(words[1], "60 rows; the pose of the tracker");
    assert!(words[2].starts_with("round 1 of at most 10; "), "{words:?}");
    let last: Vec<&str> = words[words.len() - 4..].to_vec();
    assert_eq!(
        last,
        [
            "hold-out validation",
            "single causes",
            "weights",
            "the results in words"
        ]
    );
    site.assert_alive();
}

#[test]
fn a_plan_without_end_or_sense_is_refused() {
    const PLAN: &str = "/api/measure/plan";
    let site = site();
    let design = design(&site);
    let plan = |count: u64, repeated: u64, times: u64, noise_mm: f64| {
        json!({
            "design": design, "count": count, "repeated": repeated, "times": times,
            "noise_mm": noise_mm, "gauge_mm": 0.005,
        })
    };
    for asked in [
        plan(0, 0, 0, 0.1),
        plan(u64::MAX, 3, 5, 0.1),
        plan(30, u64::MAX, u64::MAX, 0.1),
        plan(30, 3, 1_000_000, 0.1),
        plan(30, 3, 5, 0.0),
        plan(30, 3, 5, -1.0),
    ] {
        let (event, told) = job(&site, PLAN, &asked);
        assert_eq!(event, "failed", "{told}");
    }
    site.assert_refused(400, "POST /api/measure/plan: body", || {
        site.post(PLAN, br#"{"design": {}, "count": -1}"#)
    });
    let host = site.host();
    site.assert_refused(403, "no valid token", || {
        let headers = [
            ("Host", host.as_str()),
            ("Content-Type", "application/json"),
        ];
        site.request("POST", PLAN, &headers, b"{}")
    });
    let (event, made) = job(&site, PLAN, &plan(10, 1, 2, 0.1));
    assert_eq!(event, "done");
    assert_eq!(made["directions_deg"].as_array().unwrap().len(), 13);
    // What it offers is downloaded by the browser; nothing is written here.
    assert!(!site.folder.join("points.csv").exists());
    site.assert_alive();
}
