use std::fs;

use super::*;
use crate::hash::sha256;

#[test]
fn a_file_is_replaced_only_over_what_was_expected() {
    let around = tempfile::tempdir().unwrap();
    let path = around.path().join("a.toml");
    let text = || fs::read_to_string(&path).unwrap();
    let kind = |expected: Expected| write(&path, b"new", expected).unwrap_err().kind;
    assert_eq!(kind(Expected::Content("00")), Kind::Changed);
    write(&path, b"one", Expected::Nothing).unwrap();
    assert_eq!(kind(Expected::Nothing), Kind::Exists);
    assert_eq!(kind(Expected::Content("00")), Kind::Changed);
    write(&path, b"two", Expected::Content(&sha256(b"one"))).unwrap();
    assert_eq!(text(), "two");
    write(&path, b"three", Expected::Anything).unwrap();
    assert_eq!(text(), "three");
    assert_eq!(fs::read_dir(around.path()).unwrap().count(), 1);
}

#[cfg(unix)]
#[test]
fn permissions_stay_and_what_is_protected_is_left() {
    use std::os::unix::fs::PermissionsExt;
    let around = tempfile::tempdir().unwrap();
    let path = around.path().join("a.toml");
    for mode in [0o600, 0o664, 0o444] {
        fs::write(&path, "one").unwrap();
        fs::set_permissions(&path, fs::Permissions::from_mode(mode)).unwrap();
        let outcome = write(&path, b"two", Expected::Anything);
        let left = fs::metadata(&path).unwrap().permissions().mode() & 0o777;
        assert_eq!(left, mode);
        assert_eq!(outcome.is_ok(), mode != 0o444);
        fs::remove_file(&path).unwrap();
    }
    let aim = around.path().join("aim");
    fs::write(&aim, "mine").unwrap();
    std::os::unix::fs::symlink(&aim, &path).unwrap();
    assert_eq!(
        write(&path, b"two", Expected::Anything).unwrap_err().kind,
        Kind::NotOrdinary
    );
    assert_eq!(fs::read_to_string(&aim).unwrap(), "mine");
}

/// Another program that replaces the file whenever it likes: a version of its own that gave way
/// to ours is one that we had seen.
#[cfg(target_os = "linux")]
#[test]
fn no_version_of_another_writer_is_lost() {
    const VERSIONS: usize = 150;
    let around = tempfile::tempdir().unwrap();
    let path = around.path().join("a.toml");
    fs::write(&path, "theirs 0").unwrap();
    let other = path.clone();
    let theirs = std::thread::spawn(move || {
        let mut replaced = Vec::new();
        for number in 1..=VERSIONS {
            // Not in step with the saves.
            std::thread::sleep(Duration::from_micros(7919 * (number as u64 % 7 + 1) / 2));
            let beside = other.with_extension("tmp");
            fs::write(&beside, format!("theirs {number}")).unwrap();
            // In one step, so that what gives way is known: read before, it may be put back first.
            let here = rustix::fs::CWD;
            let exchange = rustix::fs::RenameFlags::EXCHANGE;
            rustix::fs::renameat_with(here, &beside, here, &other, exchange).unwrap();
            let gave_way = fs::read_to_string(&beside).unwrap();
            if gave_way == "ours" {
                replaced.push(format!("theirs {}", number - 1));
            }
            // One that was put back gives way here a second time: its own program replaced it.
            replaced.retain(|version| *version != gave_way);
        }
        replaced
    });
    let (mut seen, mut refused) = (Vec::new(), 0);
    while !theirs.is_finished() {
        let known = fs::read(&path).unwrap();
        match write(&path, b"ours", Expected::Content(&sha256(&known))) {
            Ok(_) => seen.push(String::from_utf8(known).unwrap()),
            Err(error) => {
                assert_eq!(error.kind, Kind::Changed, "{error}");
                refused += 1;
            }
        }
    }
    let replaced = theirs.join().unwrap();
    println!(
        "{} saved, {refused} refused, {} of {VERSIONS} versions replaced",
        seen.len(),
        replaced.len()
    );
    assert!(refused > 0, "never at the same moment");
    let kept: Vec<String> = fs::read_dir(around.path())
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.to_string_lossy().contains("kept"))
        .map(|path| fs::read_to_string(path).unwrap())
        .collect();
    for version in replaced {
        let known = seen.contains(&version) || kept.contains(&version);
        assert!(known, "{version} was replaced unseen; kept are {kept:?}");
    }
}
