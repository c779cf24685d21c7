//! A search that is stopped, politely or not, at any moment goes on without loss.
//!
//! `CALOTTE_LONG=1` kills hundreds of times.

use std::fs;
use std::path::PathBuf;
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;
use serde::de::IgnoredAny;
use serde_json::Value;

/// Invented. It is searched, or all of its combinations are gone through.
const BRIEF: &str = r#"title = "stop and go on"
[region]
shape = "cap"
half_angle_deg = 60
coverage_min = 0.9
[[exclude]]
half_angle_deg = 12
[tool]
mass_kg = 0.5
centre_of_mass_radius_mm = 150
tip_radius_mm = 100
[space]
joint_radius_mm = { from = 140, to = 170, step = 30 }
[limits]
sag_mm = 2
[choice]
families = ["scissor-linkage", "two-arc-arm"]
full_grid = true
stages = [1, 2, 3]
arc_deg = { from = 12, to = 45, step = 1 }
arm_arc_deg = { from = 20, to = 80, step = 4 }
drive_layout = ["two-bars", "swing-and-opening"]
[choice.section]
shape = "rectangle"
tangential_mm = [12, 14]
radial_mm = 6
[joints]
axial_n_per_m = 3e6
radial_n_per_m = 6e6
tilt_nm_per_rad = 500
"#;

/// Kills in mid-search.
const KILLS: usize = 6;
/// Kills where time does not matter.
const KILLS_LONG: usize = 200;
/// Longest a search may take to judge its next group.
const PATIENCE: Duration = Duration::from_secs(60);

/// How a brief is gone through.
#[derive(Clone, Copy, PartialEq)]
enum Way {
    /// Every combination, by groups.
    Grid,
    /// A search, candidate by candidate.
    Search,
}

/// A folder with the brief and the result of a search that nobody stopped.
struct Bench {
    place: tempfile::TempDir,
    way: Way,
    /// Groups, or candidates.
    groups: usize,
}

/// What a journal holds: judged groups or candidates, those of a cut line left out.
#[derive(Debug)]
struct Journal {
    path: PathBuf,
}

impl Journal {
    fn judged(&self) -> usize {
        let text = fs::read_to_string(&self.path).unwrap_or_default();
        let lines = text.lines().skip(1);
        let whole = |line: &&str| {
            let judged = line.starts_with("{\"Group") || line.starts_with("{\"Candidate");
            judged && serde_json::from_str::<IgnoredAny>(line).is_ok()
        };
        lines.filter(whole).count()
    }
}

impl Bench {
    fn new(way: Way) -> Self {
        let place = tempfile::tempdir().expect("a temporary folder");
        let brief = match way {
            Way::Grid => BRIEF.to_string(),
            // One stage and arms: as many candidates as the grid has groups, about.
            Way::Search => BRIEF
                .replace("full_grid = true\n", "")
                .replace("stages = [1, 2, 3]", "stages = [1]"),
        };
        fs::write(place.path().join("brief.toml"), brief).expect("the brief");
        let mut bench = Self {
            place,
            way,
            groups: 0,
        };
        let (code, said) = bench.finish("whole");
        assert_eq!(code, Some(0), "{said}");
        let groups = match way {
            Way::Grid => {
                let groups = said.split_once("combinations (").expect("the grid").1;
                groups.split_once(' ').expect("the grid").0.to_string()
            }
            Way::Search => {
                let text = fs::read_to_string(bench.place.path().join("whole/results.json"));
                let text = text.expect("results");
                let results: Value = serde_json::from_str(&text).expect("results");
                results["choice"]["combinations"].to_string()
            }
        };
        bench.groups = groups.parse().expect("a number of groups");
        bench
    }

    fn journal(&self, out: &str) -> Journal {
        Journal {
            path: self.place.path().join(format!("{out}.unfinished")),
        }
    }

    fn command(&self, out: &str) -> Command {
        let mut command = Command::new(env!("CARGO_BIN_EXE_calotte"));
        command
            .current_dir(self.place.path())
            .args(["design", "brief.toml", "--out", out, "--json"])
            .stdout(Stdio::null());
        command
    }

    /// Runs a search to its end: its status, and what it said.
    fn finish(&self, out: &str) -> (Option<i32>, String) {
        let output = self.command(out).output().expect("the binary runs");
        let said = String::from_utf8_lossy(&output.stderr).into_owned();
        (output.status.code(), said)
    }

    /// Starts a search and waits until so many more groups are judged than before; `None` if it
    /// ended before anybody looked.
    fn search_until(&self, out: &str, judged: usize) -> Option<Child> {
        let mut command = self.command(out);
        let mut child = command.stderr(Stdio::null()).spawn().expect("it runs");
        let journal = self.journal(out);
        let begun = Instant::now();
        while journal.judged() < judged {
            if child.try_wait().expect("its status").is_some() {
                return None;
            }
            assert!(begun.elapsed() < PATIENCE, "the search does not go on");
            std::thread::sleep(Duration::from_millis(1));
        }
        Some(child)
    }

    /// Goes on to the end and compares every file with the search nobody stopped.
    fn ends_the_same(&self, out: &str) {
        let judged = self.journal(out).judged();
        let (code, said) = self.finish(out);
        assert_eq!(code, Some(0), "{said}");
        // What was judged is taken, not judged again.
        let going_on = match self.way {
            Way::Grid => format!("going on: {judged} of {} groups", self.groups),
            Way::Search => format!("going on: {judged} candidates are judged"),
        };
        assert!(said.contains(&going_on), "{going_on}: {said}");
        assert!(!self.journal(out).path.exists());
        for name in ["candidates.csv", "front.csv", "results.json", "design.toml"] {
            let read = |out: &str| fs::read(self.place.path().join(out).join(name));
            assert_eq!(
                read("whole").expect("a file"),
                read(out).expect("a file"),
                "{name} differs"
            );
        }
    }

    /// What a stopped search leaves: a journal that holds more than before and not all, and no
    /// result.
    fn is_in_mid_search(&self, out: &str, before: usize) {
        let judged = self.journal(out).judged();
        assert!(
            before < judged && judged < self.groups,
            "{judged} of {} groups after {before}",
            self.groups
        );
        let result = self.place.path().join(out);
        assert!(!result.exists(), "half a result was written");
    }
}

#[test]
fn a_politely_stopped_search_ends_with_the_same_bytes() {
    for way in [Way::Grid, Way::Search] {
        politely_stopped(&Bench::new(way));
    }
}

fn politely_stopped(bench: &Bench) {
    let mut child = bench
        .search_until("parts", bench.groups / 4)
        .expect("the search is stopped before its end");
    let sent = Command::new("kill")
        .args(["-INT", &child.id().to_string()])
        .status()
        .expect("kill runs");
    assert!(sent.success());
    assert_eq!(child.wait().expect("the search ends").code(), Some(2));
    bench.is_in_mid_search("parts", 0);
    bench.ends_the_same("parts");
}

/// Kills that nothing can catch, each at a random moment between two groups or while one is
/// written, up to three of them on the way of one search.
#[test]
fn a_grid_killed_at_any_moment_ends_with_the_same_bytes() {
    killed(&Bench::new(Way::Grid));
}

#[test]
fn a_search_killed_at_any_moment_ends_with_the_same_bytes() {
    killed(&Bench::new(Way::Search));
}

fn killed(bench: &Bench) {
    let wanted = match std::env::var_os("CALOTTE_LONG") {
        Some(_) => KILLS_LONG,
        None => KILLS,
    };
    let mut random = ChaCha8Rng::seed_from_u64(29);
    let (mut kills, mut late, mut search) = (0, 0, 0);
    while kills < wanted {
        search += 1;
        let out = format!("parts-{search}");
        let mut killed_here = 0;
        for _ in 0..random.random_range(1..=3) {
            let before = bench.journal(&out).judged();
            let left = bench.groups - before;
            let until = before + 1 + random.random_range(0..=left / 2);
            let wait = Duration::from_micros(random.random_range(0..3000));
            let Some(mut child) = bench.search_until(&out, until) else {
                break;
            };
            std::thread::sleep(wait);
            child.kill().expect("a signal is sent");
            // A process that ended by itself has a status; a killed one has none.
            if child.wait().expect("it ends").code().is_some() {
                break;
            }
            if bench.journal(&out).judged() == bench.groups {
                break;
            }
            bench.is_in_mid_search(&out, before);
            killed_here += 1;
        }
        kills += killed_here;
        if killed_here == 0 {
            late += 1;
            assert!(
                late <= wanted,
                "{late} searches ended before they were killed"
            );
            continue;
        }
        if bench.journal(&out).path.exists() {
            bench.ends_the_same(&out);
        }
    }
}
