//! Gives the program a digest of all that a search's numbers are computed by, so that a search
//! goes on only with numbers that this very program would compute.

use std::path::Path;
use std::process::{Command, ExitCode};

#[path = "build/sources.rs"]
mod sources;

/// What the numbers are computed by: the mechanics, and the versions of what they call.
const COMPUTING: [&str; 2] = ["crates/calotte/src", "Cargo.lock"];

fn main() -> ExitCode {
    println!("cargo::rerun-if-changed=build.rs");
    println!("cargo::rerun-if-changed=build");
    match digest() {
        Ok(digest) => {
            println!("cargo::rustc-env=CALOTTE_COMPUTED_BY={digest}");
            ExitCode::SUCCESS
        }
        Err(message) => {
            eprintln!("error: the digest of the sources cannot be made: {message}");
            ExitCode::FAILURE
        }
    }
}

/// Of the sources, the compiler and the machine it compiles for: each can move a last digit.
fn digest() -> Result<String, String> {
    let root = Path::new("../..");
    for part in COMPUTING {
        println!("cargo::rerun-if-changed={}", root.join(part).display());
    }
    let variable = |name: &str| std::env::var(name).map_err(|error| format!("{name}: {error}"));
    let rustc = Command::new(variable("RUSTC")?)
        .arg("-vV")
        .output()
        .map_err(|error| format!("the compiler does not say its version: {error}"))?;
    let made_by = [
        String::from_utf8_lossy(&rustc.stdout).into_owned(),
        variable("TARGET")?,
        // Not every machine has features to name.
        variable("CARGO_CFG_TARGET_FEATURE").unwrap_or_default(),
    ];
    sources::digest(root, &COMPUTING, &made_by).map_err(|error| error.to_string())
}
