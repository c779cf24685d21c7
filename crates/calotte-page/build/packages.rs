//! The packages of the page: from npm's cache where they are all there, else from the network,
//! and without a network an answer within seconds. A part of `build.rs`, tried by
//! `tests/no_network.rs`.

use std::ffi::OsStr;
use std::process::Command;

/// The ways around node.
pub const WITHOUT_NODE: &str = "hint: install node 20.19 or later with npm, or build without the page (`--no-default-features`), or let CALOTTE_PAGE_DIR name a folder with a built page (what `npm run build` leaves in web/dist)";
/// What to do without a network.
const WITHOUT_NETWORK: &str = "hint: build once with a network, which fills npm's cache; or build without the page (`--no-default-features`), or let CALOTTE_PAGE_DIR name a folder with a built page (what `npm run build` leaves in web/dist)";
/// What npm calls a network that is not there, does not answer or does not know the name.
const NO_NETWORK: [&str; 10] = [
    "ENOTFOUND",
    "EAI_AGAIN",
    "ECONNREFUSED",
    "ECONNRESET",
    "ENETUNREACH",
    "EHOSTUNREACH",
    "ENETDOWN",
    "ETIMEDOUT",
    "ERR_SOCKET_TIMEOUT",
    "network timeout",
];
/// How long the registry may take for its first answer, ms.
const FIRST_ANSWER: u32 = 8000;

/// Fetches the packages of the lock file of the folder that `npm` runs in.
///
/// # Errors
/// What npm wrote, with what to do; within seconds where there is no network.
pub fn fetch(npm: &dyn Fn() -> Command) -> Result<(), String> {
    let install = |whence: &str| {
        let mut command = npm();
        command.args(["ci", "--omit=dev", "--ignore-scripts", whence]);
        command.args(["--no-audit", "--no-fund"]);
        command
    };
    // The cache may hold everything; it says so at once if it does not.
    if run(&mut install("--offline")).is_ok() {
        return Ok(());
    }
    let mut ping = npm();
    ping.args(["ping", "--fetch-retries=0"]);
    ping.arg(format!("--fetch-timeout={FIRST_ANSWER}"));
    // A registry that knows no ping answers otherwise, which is an answer.
    if let Err(said) = run(&mut ping)
        && NO_NETWORK.iter().any(|code| said.contains(code))
    {
        let reason = said.lines().find_map(|line| {
            let (_, reason) = line
                .split_once("reason: ")
                .or(line.split_once("npm error "))?;
            reason
                .contains("timeout")
                .then_some(reason)
                .or(line.contains("reason: ").then_some(reason))
        });
        return Err(format!(
            "its packages are not all in npm's cache, and the registry of npm does not answer ({})\n{WITHOUT_NETWORK}",
            reason.unwrap_or("no network").trim()
        ));
    }
    run(&mut install("--prefer-offline"))
}

/// Runs a command that must succeed; what it wrote is shown if it does not.
pub fn run(command: &mut Command) -> Result<(), String> {
    let name = command.get_program().to_string_lossy().into_owned();
    let words: Vec<_> = command.get_args().map(OsStr::to_string_lossy).collect();
    let shown = format!("{name} {}", words.join(" "));
    let output = command
        .output()
        .map_err(|error| format!("`{shown}` cannot be run: {error}\n{WITHOUT_NODE}"))?;
    if output.status.success() {
        return Ok(());
    }
    Err(format!(
        "`{shown}` ended with {}\n{}{}{WITHOUT_NODE}",
        output.status,
        String::from_utf8_lossy(&output.stdout),
        String::from_utf8_lossy(&output.stderr),
    ))
}
