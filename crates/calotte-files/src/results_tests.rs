use std::fs;

use super::*;

fn write(target: &Path, force: bool, text: &str) -> Result<Vec<String>, FileError> {
    let (mut results, mut told) = Results::prepare(target, force)?;
    results.add("a.txt", text);
    results.add("plots/deep/b.svg", "two");
    told.extend(results.finish("calotte, a test")?);
    Ok(told)
}

fn text(target: &Path) -> String {
    fs::read_to_string(target.join("a.txt")).unwrap()
}

fn names(folder: &Path) -> Vec<String> {
    let mut names: Vec<String> = fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .collect();
    names.sort();
    names
}

#[test]
fn results_are_replaced_and_leave_nothing_beside() {
    let around = tempfile::tempdir().unwrap();
    let target = around.path().join("results");
    assert!(write(&target, false, "one").unwrap().is_empty());
    assert!(write(&target, false, "two").unwrap().is_empty());
    assert_eq!(text(&target), "two");
    assert_eq!(names(around.path()), ["results"]);
    assert_eq!(names(&target), ["a.txt", "manifest.json", "plots"]);
}

#[test]
fn what_is_foreign_is_refused_and_with_force_kept() {
    type Change = fn(&Path);
    let changes: [(&str, Change); 5] = [
        ("plots/deep/b.svg was changed", |target| {
            fs::write(target.join("plots/deep/b.svg"), "mine").unwrap();
        }),
        ("notes.txt was not written", |target| {
            fs::write(target.join("notes.txt"), "mine").unwrap();
        }),
        ("empty was not written", |target| {
            fs::create_dir(target.join("empty")).unwrap();
        }),
        ("did not write", |target| {
            fs::remove_file(target.join("manifest.json")).unwrap();
        }),
        ("plots/deep/b.svg was not written", |target| {
            let place = target.join("plots/deep/b.svg");
            fs::remove_file(&place).unwrap();
            #[cfg(unix)]
            std::os::unix::fs::symlink("elsewhere", &place).unwrap();
            #[cfg(not(unix))]
            fs::create_dir(&place).unwrap();
        }),
    ];
    for (reason, change) in changes {
        let around = tempfile::tempdir().unwrap();
        let target = around.path().join("results");
        write(&target, false, "one").unwrap();
        change(&target);
        let error = write(&target, false, "two").unwrap_err();
        assert_eq!(error.kind, Kind::Exists);
        assert!(error.to_string().contains(reason), "{error}");
        assert_eq!(text(&target), "one");
        let told = write(&target, true, "two").unwrap();
        assert!(
            told[0].contains("results.kept-1") && told[0].contains(reason),
            "{told:?}"
        );
        assert_eq!(text(&target), "two");
        assert_eq!(text(&around.path().join("results.kept-1")), "one");
        assert_eq!(names(around.path()), ["results", "results.kept-1"]);
    }
}

#[test]
fn what_comes_while_it_is_computed_is_kept() {
    let around = tempfile::tempdir().unwrap();
    let target = around.path().join("results");
    let prepare = || {
        let (mut results, _) = Results::prepare(&target, false).unwrap();
        results.add("a.txt", "two");
        results
    };
    let results = prepare();
    fs::create_dir(&target).unwrap();
    fs::write(target.join("thesis.tex"), "years of work").unwrap();
    let told = results.finish("test").unwrap();
    assert!(
        told[0].contains("results.kept-1 is what was at"),
        "{told:?}"
    );
    assert_eq!(
        fs::read_to_string(around.path().join("results.kept-1/thesis.tex")).unwrap(),
        "years of work"
    );
    let results = prepare();
    fs::remove_dir_all(&target).unwrap();
    fs::write(&target, "a file now").unwrap();
    assert!(results.finish("test").unwrap()[0].contains("it was no folder"));
    assert_eq!(
        fs::read_to_string(around.path().join("results.kept-2")).unwrap(),
        "a file now"
    );
    assert_eq!(text(&target), "two");
}

#[test]
fn a_second_run_at_the_same_place_is_refused() {
    let around = tempfile::tempdir().unwrap();
    let target = around.path().join("results");
    let (first, _) = Results::prepare(&target, false).unwrap();
    assert_eq!(
        Results::prepare(&target, true).unwrap_err().kind,
        Kind::Busy
    );
    drop(first);
    write(&target, false, "one").unwrap();
}

#[test]
fn places_without_a_name_and_links_are_refused() {
    let around = tempfile::tempdir().unwrap();
    let refused = |path: &Path| Results::prepare(path, true).unwrap_err();
    for path in [".", "..", "/", "", "a/.."] {
        assert_eq!(refused(Path::new(path)).kind, Kind::NotOrdinary, "{path}");
    }
    let here = std::env::current_dir().unwrap();
    assert!(refused(&here).to_string().contains("runs in"));
    #[cfg(unix)]
    for to in ["real", "nowhere"] {
        let link = around.path().join(format!("link to {to}"));
        fs::create_dir_all(around.path().join("real")).unwrap();
        std::os::unix::fs::symlink(to, &link).unwrap();
        assert!(refused(&link).to_string().contains("is a link"));
    }
    fs::write(around.path().join("file"), "").unwrap();
    let below_a_file = refused(&around.path().join("file/results"));
    assert_eq!(below_a_file.kind, Kind::System, "{below_a_file}");
}

#[test]
fn a_folder_that_is_read_is_not_replaced() {
    let around = tempfile::tempdir().unwrap();
    let target = around.path().join("results");
    write(&target, false, "one").unwrap();
    let holding = |input: &str| Results::refuse_holding(&target, &[&around.path().join(input)]);
    assert_eq!(holding("results/a.txt").unwrap_err().kind, Kind::Exists);
    assert!(holding("brief.toml").is_ok());
}

/// Where two names cannot be exchanged there is a moment without results; a run that is cut off
/// there leaves them to the next one.
#[cfg(unix)]
#[test]
fn a_move_in_two_steps_is_ended_by_the_next_run() {
    for whole in [true, false] {
        let around = tempfile::tempdir().unwrap();
        let target = around.path().join("results");
        write(&target, false, "one").unwrap();
        let place = Place::of(&target).unwrap();
        let scratch = Scratch::new(&place).unwrap();
        fs::create_dir(scratch.fresh()).unwrap();
        fs::write(scratch.fresh().join("a.txt"), "two").unwrap();
        if whole {
            scratch.mark(&Replaceable::Results).unwrap();
        }
        fs::rename(&target, scratch.aside()).unwrap();
        let (_, told) = Results::prepare(&target, true).unwrap();
        assert!(
            told[0].contains(if whole {
                "the new one"
            } else {
                "the former one"
            }),
            "{told:?}"
        );
        assert_eq!(text(&target), if whole { "two" } else { "one" });
        assert_eq!(names(around.path()), ["results"]);
    }
}
