//! Building the page without a network: an answer that says what to do. The words come from one
//! question that npm does not repeat; its own way is to try again for minutes.

#![cfg(unix)]

#[path = "../build/packages.rs"]
mod packages;

use std::net::TcpListener;
use std::path::Path;
use std::process::Command;

/// What is said about a registry, with an empty cache.
fn said(registry: &str) -> String {
    let place = tempfile::tempdir().unwrap();
    let web = Path::new(env!("CARGO_MANIFEST_DIR")).join("web");
    for name in ["package.json", "package-lock.json"] {
        std::fs::copy(web.join(name), place.path().join(name)).unwrap();
    }
    packages::fetch(&|| {
        let mut command = Command::new("npm");
        command
            .current_dir(place.path())
            .env("npm_config_cache", place.path().join("cache"))
            .env("npm_config_registry", registry);
        for proxy in ["proxy", "https_proxy", "http_proxy"] {
            command.env_remove(proxy).env_remove(proxy.to_uppercase());
        }
        command
    })
    .unwrap_err()
}

#[test]
fn a_registry_that_is_not_there_is_said_with_what_to_do() {
    let closed = TcpListener::bind("127.0.0.1:0")
        .unwrap()
        .local_addr()
        .unwrap();
    let silent = TcpListener::bind("127.0.0.1:0").unwrap();
    let quiet = silent.local_addr().unwrap();
    for registry in [format!("http://{closed}/"), format!("http://{quiet}/")] {
        let words = said(&registry);
        assert!(words.contains("does not answer"), "{words}");
        assert!(words.contains("--no-default-features"), "{words}");
        assert!(words.contains("CALOTTE_PAGE_DIR"), "{words}");
    }
}
