//! Requests that do not come from our own page: other hosts, other origins, no token.

use crate::site::{Answer, Site};

fn with(site: &Site, method: &str, target: &str, headers: &[(&str, &str)]) -> Answer {
    let body: &[u8] = if method == "POST" { b"{}" } else { b"" };
    let mut all = vec![("x-calotte-token", site.token.as_str())];
    if method == "POST" {
        all.push(("Content-Type", "application/json"));
    }
    all.extend_from_slice(headers);
    site.request(method, target, &all, body)
}

#[test]
fn a_foreign_host_is_refused() {
    let site = Site::start();
    let port = site.address.port();
    let own = site.host();
    let hosts = [
        "evil.example".to_owned(),
        format!("evil.example:{port}"),
        "127.0.0.1".to_owned(),
        "localhost".to_owned(),
        format!("127.0.0.1:{}", port.wrapping_add(1)),
        format!("127.0.0.1:{port}.evil.example"),
        format!("0.0.0.0:{port}"),
        format!("[::1]:{port}"),
        format!("user@127.0.0.1:{port}"),
        String::new(),
    ];
    for host in &hosts {
        for (method, target) in [
            ("GET", "/"),
            ("GET", "/api/files"),
            ("POST", "/api/file/save"),
        ] {
            site.assert_refused(403, &format!("{method} {target}: Host {host}"), || {
                with(&site, method, target, &[("Host", host)])
            });
        }
    }
    site.assert_refused(403, "Host missing", || with(&site, "GET", "/", &[]));
    site.assert_refused(403, "Host ", || {
        with(
            &site,
            "GET",
            "/",
            &[("Host", &own), ("Host", "evil.example")],
        )
    });
    // The address in the request line counts as well as the header.
    site.assert_refused(403, "address of evil.example", || {
        with(&site, "GET", "http://evil.example/", &[("Host", &own)])
    });
    let named = format!("localhost:{port}");
    assert_eq!(with(&site, "GET", "/", &[("Host", &named)]).status, 200);
    site.assert_alive();
}

#[test]
fn a_foreign_origin_is_refused() {
    let site = Site::start();
    let port = site.address.port();
    let host = site.host();
    let origins = [
        "http://evil.example".to_owned(),
        "null".to_owned(),
        format!("https://127.0.0.1:{port}"),
        "http://127.0.0.1".to_owned(),
        format!("http://127.0.0.1:{}", port.wrapping_add(1)),
        // Ours by another name, but not the page that was asked for.
        format!("http://localhost:{port}"),
        String::new(),
    ];
    for origin in &origins {
        for (method, target) in [("GET", "/api/files"), ("POST", "/api/file/save")] {
            site.assert_refused(403, &format!("{method} {target}: Origin {origin}"), || {
                with(
                    &site,
                    method,
                    target,
                    &[("Host", &host), ("Origin", origin)],
                )
            });
        }
    }
    for value in ["cross-site", "same-site", "anything"] {
        site.assert_refused(403, &format!("Sec-Fetch-Site {value}"), || {
            with(
                &site,
                "GET",
                "/api/files",
                &[("Host", &host), ("Sec-Fetch-Site", value)],
            )
        });
    }
    // What a browser asks before a foreign page may send JSON.
    let answer = site.assert_refused(403, "OPTIONS /api/file/save", || {
        let headers = [
            ("Host", host.as_str()),
            ("Origin", "http://evil.example"),
            ("Access-Control-Request-Method", "POST"),
        ];
        site.request("OPTIONS", "/api/file/save", &headers, b"")
    });
    assert!(
        answer
            .headers
            .iter()
            .all(|(name, _)| !name.starts_with("access-control"))
    );
    let own = format!("http://{host}");
    let headers = [
        ("Host", host.as_str()),
        ("Origin", own.as_str()),
        ("Sec-Fetch-Site", "same-origin"),
    ];
    assert_eq!(with(&site, "GET", "/api/files", &headers).status, 200);
    site.assert_alive();
}

#[test]
fn without_the_token_nothing_is_answered() {
    let site = Site::start();
    let host = site.host();
    let port = site.address.port();
    let wrong = "0".repeat(64);
    let cut = &site.token[..63];
    let cookie = |name: &str, value: &str| format!("{name}={value}");
    let own = format!("calotte-{port}");
    let tries: Vec<Vec<(&str, String)>> = vec![
        vec![],
        vec![("x-calotte-token", wrong.clone())],
        vec![("x-calotte-token", String::new())],
        vec![("x-calotte-token", cut.to_owned())],
        vec![("x-calotte-token", format!("{}0", site.token))],
        vec![("Authorization", format!("Bearer {}", site.token))],
        vec![("Cookie", cookie(&own, &wrong))],
        vec![("Cookie", cookie(&own, ""))],
        vec![("Cookie", cookie("calotte", &site.token))],
        vec![("Cookie", cookie(&format!("x{own}"), &site.token))],
    ];
    for headers in &tries {
        let mut all = vec![("Host", host.as_str())];
        all.extend(headers.iter().map(|(name, value)| (*name, value.as_str())));
        for target in [
            "/",
            "/api/files",
            "/assets/none.js",
            "/licences.txt",
            "/nothing",
        ] {
            let answer = site.assert_refused(403, "no valid token", || {
                site.request("GET", target, &all, b"")
            });
            assert!(
                answer
                    .text()
                    .contains("open the address that calotte printed")
            );
        }
    }
    // The token opens the page, not a question.
    let asked = format!("/api/files?token={}", site.token);
    let answer = site.request("GET", &asked, &[("Host", &host)], b"");
    assert_eq!(answer.status, 403);
    let entry = format!("/?token={wrong}");
    let answer = site.assert_refused(403, "wrong token", || {
        site.request("GET", &entry, &[("Host", &host)], b"")
    });
    assert!(answer.header("set-cookie").is_none());
    assert!(!site.lines().concat().contains(&site.token));
    site.assert_alive();
}

#[test]
fn the_token_in_the_address_becomes_a_cookie() {
    let site = Site::start();
    let host = site.host();
    let entry = format!("/?token={}", site.token);
    let answer = site.request("GET", &entry, &[("Host", &host)], b"");
    assert_eq!(answer.status, 303);
    assert_eq!(answer.header("location"), Some("/"));
    assert_eq!(answer.header("cache-control"), Some("no-store"));
    let cookie = answer.header("set-cookie").unwrap().to_owned();
    assert!(
        cookie.ends_with("; HttpOnly; SameSite=Strict; Path=/"),
        "{cookie}"
    );
    let pair = cookie.split(';').next().unwrap();
    assert_eq!(
        pair,
        format!("calotte-{}={}", site.address.port(), site.token)
    );
    let headers = [("Host", host.as_str()), ("Cookie", pair)];
    assert_eq!(site.request("GET", "/", &headers, b"").status, 200);
    assert_eq!(site.request("GET", "/api/files", &headers, b"").status, 200);
    // Neither from a foreign page nor by a foreign name.
    let foreign = [("Host", host.as_str()), ("Sec-Fetch-Site", "cross-site")];
    assert_eq!(site.request("GET", &entry, &foreign, b"").status, 403);
    let named = [("Host", "evil.example")];
    assert_eq!(site.request("GET", &entry, &named, b"").status, 403);
    site.assert_alive();
}
