//! Another program writes the file that the page saves, around the same moments.

use std::collections::BTreeSet;
use std::path::Path;
use std::process::{Command, Stdio};

use serde_json::json;

use crate::site::Site;

const VERSIONS: usize = 150;

/// The other program: it looks, then writes its next version, by turns as a new file under the
/// old name and into the file that is there. It reports a version of its own that gave way to
/// one whose writer had not seen it. It looks again for ten seconds, since a save that finds
/// itself too late takes a moment to put back what it displaced, the longer the busier the
/// machine is.
const OTHER: &str = r#"
last() { sed -n 's/^version = //p' a.toml; }
n=0
while [ $n -lt VERSIONS ]; do
  looks=0
  while [ "$(last)" != $n ] && [ $looks -lt 100 ]; do sleep 0.1; looks=$((looks + 1)); done
  if [ $looks = 100 ]; then echo $n; fi
  n=$((n + 1))
  if [ $((n % 2)) = 0 ]; then
    printf 'version = %s\n' $n > a.tmp
    mv a.tmp a.toml
  else
    printf 'version = %s\n' $n > a.toml
  fi
  sleep 0.0$((n * 37 % 50 + 10))
done
"#;

/// The version that a text says it is, or says it follows.
fn version(text: &str) -> Option<usize> {
    text.lines()
        .find_map(|line| line.strip_prefix("version = "))?
        .parse()
        .ok()
}

/// Versions kept beside the file.
fn kept(folder: &Path) -> BTreeSet<usize> {
    std::fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| !path.ends_with("a.toml") && path.is_file())
        .filter_map(|path| version(&std::fs::read_to_string(path).unwrap()))
        .collect()
}

/// Every version of the other program stays on disk, or was read by the page before it was
/// replaced, or the save is refused.
#[test]
fn no_version_of_another_program_gives_way_unseen() {
    let site = Site::start();
    std::fs::write(site.folder.join("a.toml"), "version = 0\n").unwrap();
    let mut other = Command::new("sh")
        .args(["-c", &OTHER.replace("VERSIONS", &VERSIONS.to_string())])
        .current_dir(&site.folder)
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    let (mut saved, mut refused) = (0, 0);
    while other.try_wait().unwrap().is_none() {
        let known = site.get("/api/file?path=a.toml");
        assert_eq!(known.status, 200, "{}", known.text());
        let known = known.json();
        // Nothing in it yet: no page takes that for a design.
        let Some(seen) = version(known["text"].as_str().unwrap()) else {
            continue;
        };
        // Each save says which version its writer had seen.
        let answer = site.save(json!({
            "path": "a.toml",
            "text": format!("version = {seen}\nsave = {saved}\n"),
            "expect_sha256": known["sha256"],
        }));
        match answer.status {
            200 => saved += 1,
            409 => refused += 1,
            status => panic!("{status}: {}", answer.text()),
        }
    }
    let output = other.wait_with_output().unwrap();
    assert!(output.status.success(), "{output:?}");
    let unseen = String::from_utf8(output.stdout).unwrap();
    let kept = kept(&site.folder);
    println!(
        "{saved} saved, {refused} refused, {} kept beside",
        kept.len()
    );
    let lost: Vec<&str> = unseen
        .lines()
        .filter(|number| !kept.contains(&number.parse().unwrap()))
        .collect();
    assert_eq!(lost, [""; 0], "versions lost unnoticed");
    let last = std::fs::read_to_string(site.folder.join("a.toml")).unwrap();
    assert!(version(&last) == Some(VERSIONS) || kept.contains(&VERSIONS));
    assert!(saved > 0 && refused > 0, "never at the same moment");
    site.assert_alive();
}
