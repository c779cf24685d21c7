//! A search that is stopped, politely or not, goes on without loss.

use std::fs;
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

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

fn start(folder: &Path, out: &str) -> Child {
    Command::new(env!("CARGO_BIN_EXE_calotte"))
        .current_dir(folder)
        .args(["design", "brief.toml", "--out", out, "--json"])
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
        .expect("the binary runs")
}

/// Waits until the journal holds some judged groups, then sends a signal.
fn interrupt(folder: &Path, out: &str, signal: &str) -> Option<i32> {
    let mut child = start(folder, out);
    let journal = folder.join(format!("{out}.unfinished"));
    let begun = Instant::now();
    loop {
        let lines = fs::read_to_string(&journal).map_or(0, |text| text.lines().count());
        if lines > 12 {
            break;
        }
        assert!(
            begun.elapsed() < Duration::from_secs(60),
            "the search does not begin"
        );
        std::thread::sleep(Duration::from_millis(2));
    }
    let sent = Command::new("kill")
        .args([signal, &child.id().to_string()])
        .status()
        .expect("kill runs");
    assert!(sent.success());
    child.wait().expect("the search ends").code()
}

#[test]
fn a_stopped_search_ends_with_the_same_bytes() {
    let place = tempfile::tempdir().expect("a temporary folder");
    let folder = place.path();
    fs::write(folder.join("brief.toml"), BRIEF).expect("the brief");
    let whole = start(folder, "whole").wait().expect("the search ends");
    assert_eq!(whole.code(), Some(0));

    // Ctrl-C, then a kill that cannot be caught, then to the end.
    assert_eq!(interrupt(folder, "parts", "-INT"), Some(2));
    assert!(folder.join("parts.unfinished").exists());
    assert!(!folder.join("parts").exists(), "half a result was written");
    assert_eq!(interrupt(folder, "parts", "-KILL"), None);
    assert!(!folder.join("parts").exists(), "half a result was written");
    let rest = start(folder, "parts").wait().expect("the search ends");
    assert_eq!(rest.code(), Some(0));
    assert!(!folder.join("parts.unfinished").exists());
    for name in ["candidates.csv", "results.json", "design.toml"] {
        assert_eq!(
            fs::read(folder.join("whole").join(name)).expect("a file"),
            fs::read(folder.join("parts").join(name)).expect("a file"),
            "{name} differs"
        );
    }
}
