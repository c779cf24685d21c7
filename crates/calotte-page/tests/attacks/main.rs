//! The server under attack: every request that it must not answer is refused with the
//! right status, told on the terminal, and the server answers the next one.

mod files;
mod floods;
mod foreign;
mod measurements;
mod site;
mod sockets;
mod watching;
mod wire;
#[cfg(unix)]
mod writers;

use site::Site;

/// The headers that every answer carries, whatever its status.
#[test]
fn every_answer_carries_the_headers_that_protect_it() {
    let site = Site::start();
    let host = site.host();
    let answers = [
        (200, site.get("/")),
        (200, site.get("/api/files")),
        (403, site.request("GET", "/", &[("Host", &host)], b"")),
        (
            403,
            site.request("GET", "/", &[("Host", "evil.example")], b""),
        ),
        (404, site.get("/nothing")),
        (404, site.get("/api/nothing")),
        (405, site.post("/", b"{}")),
        (400, site.post("/api/file/save", b"{")),
    ];
    for (status, answer) in answers {
        assert_eq!(answer.status, status, "{}", answer.text());
        let policy = answer.header("content-security-policy").unwrap();
        for part in [
            "default-src 'self'",
            "object-src 'none'",
            "base-uri 'none'",
            "frame-ancestors 'none'",
            "form-action 'none'",
        ] {
            assert!(policy.contains(part), "{policy}");
        }
        assert!(!policy.contains("unsafe"));
        assert_eq!(answer.header("x-content-type-options"), Some("nosniff"));
        assert_eq!(answer.header("referrer-policy"), Some("no-referrer"));
        let same = Some("same-origin");
        assert_eq!(answer.header("cross-origin-resource-policy"), same);
        assert_eq!(answer.header("cross-origin-opener-policy"), same);
        assert!(answer.header("access-control-allow-origin").is_none());
    }
    assert_eq!(
        site.get("/api/files").header("cache-control"),
        Some("no-store")
    );
    assert_eq!(site.get("/").header("cache-control"), Some("no-cache"));
}

/// Only this machine can connect, and only by the one loopback address.
#[test]
fn the_server_listens_on_loopback_alone() {
    let site = Site::start();
    assert_eq!(site.address.ip().to_string(), "127.0.0.1");
    assert_ne!(site.address.port(), 0);
    // Linux takes the whole of 127.0.0.0/8 for loopback: a server bound to all
    // interfaces would answer there.
    #[cfg(target_os = "linux")]
    {
        let other = std::net::SocketAddr::from(([127, 0, 0, 2], site.address.port()));
        assert!(std::net::TcpStream::connect(other).is_err());
    }
    site.assert_alive();
}

/// A port that is taken, and a folder that is not there, are errors with their names.
#[test]
fn what_cannot_be_served_is_an_error() {
    let site = Site::start();
    let start = |folder: std::path::PathBuf, port| {
        let options = calotte_page::PageOptions {
            folder,
            port,
            open: false,
        };
        match calotte_page::Server::start(&options, calotte_page::Log::new(|_| {})) {
            Ok(_) => panic!("started"),
            Err(error) => error.to_string(),
        }
    };
    let port = site.address.port();
    let taken = start(site.folder.clone(), port);
    assert!(taken.contains(&format!("127.0.0.1:{port}")), "{taken}");
    let missing = start(site.folder.join("no-such-folder"), 0);
    assert!(missing.contains("no-such-folder"), "{missing}");
    site.assert_alive();
}
