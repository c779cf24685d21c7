//! Builds the page in `web/` and writes the table by which the program embeds it.
//!
//! Nothing is written into `web/`: it is copied to the build's own folder, its packages
//! are fetched there (only when the lock file changed), and it is built there. Where the
//! environment variable `CALOTTE_PAGE_DIR` names a folder with a built page, that one is
//! embedded instead and no node is needed.

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, ExitCode};

#[path = "build/packages.rs"]
mod packages;

use packages::{WITHOUT_NODE, run};

/// Oldest node that the page's build tools support, as (major, minor).
const NODE_MIN: (u32, u32) = (20, 19);
/// What stands in `web/` and is no source of the page: what others made there, what tests
/// and checks need. A change there is no reason to build the page again.
const LEFT_OUT: [&str; 14] = [
    "node_modules",
    "dist",
    "e2e",
    "pictures",
    "test-results",
    "playwright-report",
    ".vite",
    ".svelte-kit",
    "playwright.config.ts",
    "vitest.config.ts",
    "eslint.config.js",
    ".prettierrc.json",
    ".prettierignore",
    ".gitignore",
];
/// Names a built page.
const PAGE_DIR: &str = "CALOTTE_PAGE_DIR";

fn main() -> ExitCode {
    println!("cargo::rerun-if-changed=build.rs");
    println!("cargo::rerun-if-changed=build/packages.rs");
    if std::env::var_os("CARGO_FEATURE_PAGE").is_none() {
        return ExitCode::SUCCESS;
    }
    println!("cargo::rerun-if-env-changed={PAGE_DIR}");
    match build() {
        Ok(()) => ExitCode::SUCCESS,
        Err(message) => {
            eprintln!("error: the page cannot be built: {message}");
            ExitCode::FAILURE
        }
    }
}

fn build() -> Result<(), String> {
    let out = PathBuf::from(std::env::var_os("OUT_DIR").ok_or("cargo gave no OUT_DIR")?);
    let page = out.join("page");
    match std::env::var_os(PAGE_DIR).filter(|folder| !folder.is_empty()) {
        Some(folder) => take_built(Path::new(&folder), &page)?,
        None => {
            let web = Path::new("web");
            watch(web)?;
            let copy = out.join("web");
            mirror(web, &copy, &LEFT_OUT)?;
            check_node()?;
            fetch_packages(&copy, &out)?;
            run_vite(&copy, &page)?;
        }
    }
    write_table(&page, &out.join("assets.rs"))
}

/// Takes a page that was built elsewhere.
fn take_built(folder: &Path, page: &Path) -> Result<(), String> {
    println!("cargo::rerun-if-changed={}", folder.display());
    if !folder.join("index.html").is_file() {
        return Err(format!(
            "{PAGE_DIR} names {}, which holds no index.html\nhint: `npm ci` and `npm run build` in crates/calotte-page/web leave a built page in its folder dist",
            folder.display()
        ));
    }
    mirror(folder, page, &[])
}

/// Tells cargo what the page is made from. Only what exists is named: a name that does not
/// exist would make every build run this again.
fn watch(web: &Path) -> Result<(), String> {
    for name in names(web)? {
        if !LEFT_OUT.contains(&name.as_str()) {
            println!("cargo::rerun-if-changed={}", web.join(name).display());
        }
    }
    Ok(())
}

/// Makes `to` hold what `from` holds, except what is left out at the top, and tests.
/// Packages that were fetched there stay. Files that are the same are not touched.
fn mirror(from: &Path, to: &Path, left_out: &[&str]) -> Result<(), String> {
    fs::create_dir_all(to).map_err(|error| told(to, &error))?;
    let wanted: BTreeSet<String> = names(from)?
        .into_iter()
        .filter(|name| !left_out.contains(&name.as_str()) && !name.contains(".test."))
        .collect();
    for name in names(to)? {
        let kept = wanted.contains(&name) || left_out.contains(&name.as_str());
        if !kept {
            remove(&to.join(name))?;
        }
    }
    for name in wanted {
        let (source, target) = (from.join(&name), to.join(&name));
        if source.is_dir() {
            if target.is_file() {
                remove(&target)?;
            }
            mirror(&source, &target, &[])?;
            continue;
        }
        if target.is_dir() {
            remove(&target)?;
        }
        let bytes = fs::read(&source).map_err(|error| told(&source, &error))?;
        if fs::read(&target).ok().as_ref() != Some(&bytes) {
            fs::write(&target, bytes).map_err(|error| told(&target, &error))?;
        }
    }
    Ok(())
}

/// Node is there and new enough.
fn check_node() -> Result<(), String> {
    let version = Command::new("node").arg("--version").output();
    let version = match &version {
        Ok(output) => String::from_utf8_lossy(&output.stdout).trim().to_owned(),
        Err(error) => return Err(format!("`node` cannot be run: {error}\n{WITHOUT_NODE}")),
    };
    match node_version(&version) {
        Some(found) if found >= NODE_MIN => Ok(()),
        _ => Err(format!(
            "`node` is {version}, older than {}.{}\n{WITHOUT_NODE}",
            NODE_MIN.0, NODE_MIN.1
        )),
    }
}

/// Reads `v20.19.2` as (20, 19).
fn node_version(text: &str) -> Option<(u32, u32)> {
    let mut numbers = text.strip_prefix('v')?.split('.');
    Some((numbers.next()?.parse().ok()?, numbers.next()?.parse().ok()?))
}

/// Fetches the packages that the page is made from, if the lock file is not the one that
/// the present ones were fetched by. The stamp is written last.
fn fetch_packages(copy: &Path, out: &Path) -> Result<(), String> {
    let lock = copy.join("package-lock.json");
    let wanted = fs::read(&lock).map_err(|error| told(&lock, &error))?;
    let stamp = out.join("packages-of.json");
    if fs::read(&stamp).ok().as_ref() == Some(&wanted) && copy.join("node_modules").is_dir() {
        return Ok(());
    }
    let _ = fs::remove_file(&stamp);
    let npm = if cfg!(windows) { "npm.cmd" } else { "npm" };
    packages::fetch(&|| {
        let mut command = Command::new(npm);
        command.current_dir(copy);
        command
    })?;
    fs::write(&stamp, wanted).map_err(|error| told(&stamp, &error))
}

/// Builds the page into `page`.
fn run_vite(copy: &Path, page: &Path) -> Result<(), String> {
    let vite: PathBuf = ["node_modules", "vite", "bin", "vite.js"].iter().collect();
    let mut command = Command::new("node");
    command
        .arg(vite)
        .args(["build", "--outDir"])
        .arg(page)
        .arg("--emptyOutDir")
        .current_dir(copy);
    run(&mut command)
}

/// Writes the table of the page's files: path with slashes, and bytes.
fn write_table(page: &Path, table: &Path) -> Result<(), String> {
    let mut files = Vec::new();
    collect(page, "", &mut files)?;
    if !files.iter().any(|file| file == "index.html") {
        return Err(format!("{} holds no index.html", page.display()));
    }
    let mut text = String::from(
        "/// The files of the page: path and bytes.\npub(super) static FILES: &[(&str, &[u8])] = &[\n",
    );
    for file in files {
        text.push_str(&format!(
            "    ({file:?}, include_bytes!(concat!(env!(\"OUT_DIR\"), {:?}))),\n",
            format!("/page/{file}")
        ));
    }
    text.push_str("];\n");
    fs::write(table, text).map_err(|error| told(table, &error))
}

/// The files below a folder, in order, with slashes.
fn collect(folder: &Path, below: &str, files: &mut Vec<String>) -> Result<(), String> {
    for name in names(folder)? {
        let path = folder.join(&name);
        let inside = format!("{below}{name}");
        if path.is_dir() {
            collect(&path, &format!("{inside}/"), files)?;
        } else {
            files.push(inside);
        }
    }
    Ok(())
}

/// The names in a folder, in order.
fn names(folder: &Path) -> Result<Vec<String>, String> {
    let mut names = Vec::new();
    for entry in fs::read_dir(folder).map_err(|error| told(folder, &error))? {
        let name = entry.map_err(|error| told(folder, &error))?.file_name();
        names.push(
            name.into_string()
                .map_err(|name| format!("{}: the name {name:?} is not UTF-8", folder.display()))?,
        );
    }
    names.sort();
    Ok(names)
}

fn remove(path: &Path) -> Result<(), String> {
    let removed = if path.is_dir() && !path.is_symlink() {
        fs::remove_dir_all(path)
    } else {
        fs::remove_file(path)
    };
    removed.map_err(|error| told(path, &error))
}

fn told(path: &Path, error: &std::io::Error) -> String {
    format!("{}: {error}", path.display())
}
