//! Replacing a file: whole or not at all, and only if it is still what the page knew.

use std::path::Path;

use axum::http::StatusCode;
use calotte_files::{Expected, FileError, Kind, sha256, write};
use calotte_format::TEXT_MAX;

use super::listing;
use super::path::ProjectPath;
use super::shapes::{Save, Saved};
use crate::server::answer::ApiError;

/// Writes a file. The caller sees to it that no other save runs.
///
/// # Errors
/// 400 or 403 for a path that is not allowed, 404 where its folder is not there, 409 with
/// the present `sha256` (null for no file) if the file is not as the page knew it, and with
/// `measured` too if files of measurements belong to the design that would be replaced.
pub(super) fn save(folder: &Path, request: &Save) -> Result<Saved, ApiError> {
    let path = ProjectPath::parse_to_write(&request.path)?;
    if request.text.len() > TEXT_MAX {
        return Err(
            ApiError::bad_request(format!("the text is longer than {TEXT_MAX} bytes"))
                .hint("such a file could not be read again"),
        );
    }
    let place = path.to_write(folder)?;
    let present = || match calotte_files::read(&place, TEXT_MAX as u64) {
        Ok(bytes) => Ok(Some(bytes)),
        Err(error) if error.kind == Kind::NotThere => Ok(None),
        Err(error) => Err(refused(&path, folder, &error)),
    };
    let before = present()?;
    let hash = before.as_deref().map(sha256);
    check_state(&path, request, hash.as_deref())?;
    if let Some(before) = &before
        && before != request.text.as_bytes()
        && !request.replace_measured
    {
        check_measured(&path, folder, request, before, hash.as_deref())?;
    }
    let expected = match &request.expect_sha256 {
        Some(known) => Expected::Content(known),
        None => Expected::Nothing,
    };
    let notes =
        write(&place, request.text.as_bytes(), expected).map_err(|error| match error.kind {
            // Another program was quicker.
            Kind::Changed | Kind::Exists => {
                let now = present().ok().flatten().as_deref().map(sha256);
                conflict(said(&path, folder, &error), &error.hint, now.as_deref())
            }
            _ => refused(&path, folder, &error),
        })?;
    Ok(Saved {
        sha256: sha256(request.text.as_bytes()),
        notes: notes.iter().map(|note| inside(folder, note)).collect(),
        path: path.into_string(),
    })
}

/// A sentence about a file with every path as the page knows it.
fn inside(folder: &Path, sentence: &str) -> String {
    sentence.replace(&format!("{}/", folder.display()), "")
}

/// What the room for files said, named once by the path as the page knows it.
fn said(path: &ProjectPath, folder: &Path, error: &FileError) -> String {
    let message = inside(folder, &error.message);
    if message.starts_with(path.as_str()) {
        message
    } else {
        format!("{path}: {message}")
    }
}

/// What the system said.
fn refused(path: &ProjectPath, folder: &Path, error: &FileError) -> ApiError {
    ApiError::new(StatusCode::FORBIDDEN, said(path, folder, error)).hint(error.hint.clone())
}

/// Whether the file is as the page expects: of the content that it knows, or not there.
fn check_state(path: &ProjectPath, request: &Save, present: Option<&str>) -> Result<(), ApiError> {
    match (request.expect_sha256.as_deref(), present) {
        (None, None) => Ok(()),
        (Some(known), Some(present)) if known == present => Ok(()),
        (None, Some(_)) => Err(conflict(
            format!("{path} exists and is left as it is"),
            "choose another name, or replace it on purpose",
            present,
        )),
        (Some(_), _) => Err(changed(path, present)),
    }
}

fn changed(path: &ProjectPath, present: Option<&str>) -> ApiError {
    let how = match present {
        Some(_) => "was changed by another program",
        None => "was removed by another program",
    };
    conflict(
        format!("{path} {how} and is left as it is"),
        "look at what it says now before replacing it, or save under another name",
        present,
    )
}

/// Whether no measurements belong to the design that would be replaced: neither files beside
/// it nor those the page holds. A fit can be repeated only against the design as it was built.
fn check_measured(
    path: &ProjectPath,
    folder: &Path,
    request: &Save,
    before: &[u8],
    present: Option<&str>,
) -> Result<(), ApiError> {
    if !listing::is_design(before) {
        return Ok(());
    }
    let mut files = listing::measured_beside(folder, path.as_str());
    for held in &request.measured {
        if !files.contains(held) {
            files.push(held.clone());
        }
    }
    if files.is_empty() {
        return Ok(());
    }
    let names = files.join(", ");
    Err(conflict(
        format!("{path} is the design of the measurements in {names} and is left as it is"),
        "save under another name; or replace it on purpose, and the fit can no longer be repeated",
        present,
    )
    .with("measured", files))
}

fn conflict(error: String, hint: &str, present: Option<&str>) -> ApiError {
    ApiError::refused(StatusCode::CONFLICT, error.clone(), error)
        .hint(hint)
        .with("sha256", present)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn request(path: &str, text: &str, expect: Option<&str>) -> Save {
        Save {
            path: path.to_owned(),
            text: text.to_owned(),
            expect_sha256: expect.map(str::to_owned),
            measured: Vec::new(),
            replace_measured: false,
        }
    }

    fn names(folder: &Path) -> Vec<String> {
        let mut names: Vec<String> = std::fs::read_dir(folder)
            .unwrap()
            .map(|entry| entry.unwrap().file_name().into_string().unwrap())
            .collect();
        names.sort();
        names
    }

    #[test]
    fn a_file_is_made_kept_and_replaced_on_purpose() {
        let place = tempfile::tempdir().unwrap();
        let folder = place.path().canonicalize().unwrap();
        let text = || std::fs::read_to_string(folder.join("a.toml")).unwrap();
        let first = save(&folder, &request("a.toml", "one", None)).unwrap();
        assert_eq!(first.sha256, sha256(b"one"));
        assert!(save(&folder, &request("a.toml", "two", None)).is_err());
        assert_eq!(text(), "one");
        let known = first.sha256.as_str();
        save(&folder, &request("a.toml", "two", Some(known))).unwrap();
        // The page still knows the first text.
        let late = save(&folder, &request("a.toml", "three", Some(known))).unwrap_err();
        assert_eq!(late.to_json()["sha256"], sha256(b"two"));
        assert_eq!(text(), "two");
        std::fs::remove_file(folder.join("a.toml")).unwrap();
        let gone = save(&folder, &request("a.toml", "three", Some(known))).unwrap_err();
        assert!(gone.to_json()["sha256"].is_null());
        assert_eq!(names(&folder), [""; 0]);
    }

    #[test]
    fn nothing_is_left_behind_by_a_save() {
        let place = tempfile::tempdir().unwrap();
        let folder = place.path().canonicalize().unwrap();
        let one = sha256(b"one");
        let two = sha256(b"two");
        save(&folder, &request("a.toml", "one", None)).unwrap();
        save(&folder, &request("a.toml", "two", Some(&one))).unwrap();
        assert!(save(&folder, &request("no/a.toml", "one", None)).is_err());
        let long = "#".repeat(TEXT_MAX + 1);
        assert!(save(&folder, &request("a.toml", &long, Some(&two))).is_err());
        assert_eq!(names(&folder), ["a.toml"]);
    }

    #[cfg(unix)]
    #[test]
    fn a_file_too_long_to_be_read_is_not_replaced() {
        let place = tempfile::tempdir().unwrap();
        let folder = place.path().canonicalize().unwrap();
        let file = std::fs::File::create(folder.join("a.toml")).unwrap();
        // A terabyte that holds nothing: read whole, it would fill the memory.
        file.set_len(1 << 40).unwrap();
        for known in [None, Some(sha256(b"one"))] {
            let said = save(&folder, &request("a.toml", "two", known.as_deref())).unwrap_err();
            let said = said.to_json()["error"].to_string();
            assert!(said.contains("1099511627776 bytes"), "{said}");
        }
        assert_eq!(file.metadata().unwrap().len(), 1 << 40);
        assert_eq!(names(&folder), ["a.toml"]);
    }

    #[cfg(unix)]
    #[test]
    fn who_may_read_a_file_stays_as_it_was() {
        use std::os::unix::fs::PermissionsExt;
        let place = tempfile::tempdir().unwrap();
        let folder = place.path().canonicalize().unwrap();
        let file = folder.join("a.toml");
        let mode = || std::fs::metadata(&file).unwrap().permissions().mode() & 0o777;
        let set = |mode| {
            std::fs::set_permissions(&file, std::fs::Permissions::from_mode(mode)).unwrap();
        };
        save(&folder, &request("a.toml", "one", None)).unwrap();
        // A new file is like any other that this process makes.
        std::fs::write(folder.join("b.toml"), "").unwrap();
        let other = std::fs::metadata(folder.join("b.toml")).unwrap();
        assert_eq!(mode(), other.permissions().mode() & 0o777);
        set(0o664);
        save(&folder, &request("a.toml", "two", Some(&sha256(b"one")))).unwrap();
        assert_eq!(mode(), 0o664);
        set(0o444);
        let kept = save(&folder, &request("a.toml", "three", Some(&sha256(b"two")))).unwrap_err();
        assert!(
            kept.to_json()["error"]
                .as_str()
                .unwrap()
                .contains("write-protected")
        );
        assert_eq!(std::fs::read_to_string(&file).unwrap(), "two");
    }

    #[cfg(unix)]
    #[test]
    fn a_link_is_neither_followed_nor_replaced() {
        let place = tempfile::tempdir().unwrap();
        let outside = tempfile::tempdir().unwrap();
        let folder = place.path().canonicalize().unwrap();
        let target = outside.path().join("a.toml");
        std::fs::write(&target, "mine").unwrap();
        std::os::unix::fs::symlink(&target, folder.join("a.toml")).unwrap();
        std::os::unix::fs::symlink(outside.path(), folder.join("out")).unwrap();
        let mine = sha256(b"mine");
        for known in [None, Some(mine.as_str())] {
            for path in ["a.toml", "out/a.toml", "out/b.toml"] {
                assert!(save(&folder, &request(path, "x", known)).is_err(), "{path}");
            }
        }
        assert_eq!(std::fs::read_to_string(&target).unwrap(), "mine");
        assert_eq!(names(outside.path()), ["a.toml"]);
    }

    /// A design with measurements beside it, or held by the page, is replaced on purpose only.
    #[test]
    fn the_design_of_measurements_is_replaced_on_purpose_only() {
        let place = tempfile::tempdir().unwrap();
        let folder = place.path().canonicalize().unwrap();
        std::fs::create_dir(folder.join("bench")).unwrap();
        let put = |path: &str, text: &str| std::fs::write(folder.join(path), text).unwrap();
        let text = |path: &str| std::fs::read_to_string(folder.join(path)).unwrap();
        let (built, edited) = ("[linkage]\n", "[linkage]\n# edited\n");
        let known = sha256(built.as_bytes());
        for path in ["design.toml", "bench/design.toml"] {
            put(path, built);
        }
        put("bench/points.csv", "swing_deg,opening_deg,x,y,z\n");
        put("bench/weights.csv", "swing_deg,opening_deg,mass_kg\n");
        put("bench/candidates.csv", "stages,x_mm_min\n");
        put("bench/brief.toml", "[region]\n");

        let beside = request("bench/design.toml", edited, Some(&known));
        let error = save(&folder, &beside).unwrap_err();
        assert_eq!(error.status(), StatusCode::CONFLICT);
        let files = serde_json::json!(["bench/points.csv", "bench/weights.csv"]);
        assert_eq!(error.to_json()["measured"], files);
        assert_eq!(error.to_json()["sha256"], known.as_str());
        assert!(
            error
                .message()
                .contains("bench/points.csv, bench/weights.csv")
        );
        assert_eq!(text("bench/design.toml"), built);

        // The same bytes, another name, and a file that is no design lose nothing.
        save(&folder, &request("bench/design.toml", built, Some(&known))).unwrap();
        save(&folder, &request("bench/other.toml", edited, None)).unwrap();
        let brief = sha256(b"[region]\n");
        save(
            &folder,
            &request("bench/brief.toml", "[region]\n\n", Some(&brief)),
        )
        .unwrap();

        // Here none lie beside it, but the page holds some.
        let held = Save {
            measured: vec!["picked.csv".to_owned()],
            ..request("design.toml", edited, Some(&known))
        };
        let error = save(&folder, &held).unwrap_err();
        assert_eq!(
            error.to_json()["measured"],
            serde_json::json!(["picked.csv"])
        );
        assert_eq!(text("design.toml"), built);
        save(&folder, &request("design.toml", edited, Some(&known))).unwrap();

        let on_purpose = Save {
            replace_measured: true,
            ..beside
        };
        save(&folder, &on_purpose).unwrap();
        assert_eq!(text("bench/design.toml"), edited);
    }
}
