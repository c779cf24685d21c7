//! Replacing a file: whole or not at all, and only if it is still what the page knew.

use std::path::Path;

use axum::http::StatusCode;
use calotte_files::{Expected, FileError, Kind, sha256, write};
use calotte_format::TEXT_MAX;

use super::path::ProjectPath;
use super::shapes::{Save, Saved};
use crate::server::answer::ApiError;

/// Writes a file. The caller sees to it that no other save runs.
///
/// # Errors
/// 400 or 403 for a path that is not allowed, 404 where its folder is not there, 409 with
/// the present `sha256` (null for no file) if the file changed or may not be replaced.
pub(super) fn save(folder: &Path, request: &Save) -> Result<Saved, ApiError> {
    let path = ProjectPath::parse_to_write(&request.path)?;
    if request.text.len() > TEXT_MAX {
        return Err(
            ApiError::bad_request(format!("the text is longer than {TEXT_MAX} bytes"))
                .hint("such a file could not be read again"),
        );
    }
    let place = path.to_write(folder)?;
    let present = || match calotte_files::read(&place, u64::MAX - 1) {
        Ok(bytes) => Ok(Some(sha256(&bytes))),
        Err(error) if error.kind == Kind::NotThere => Ok(None),
        Err(error) => Err(refused(&path, folder, &error)),
    };
    check_state(&path, request, present()?.as_deref())?;
    let expected = match &request.expect_sha256 {
        _ if !request.overwrite => Expected::Nothing,
        Some(known) => Expected::Content(known),
        None => Expected::Anything,
    };
    write(&place, request.text.as_bytes(), expected).map_err(|error| match error.kind {
        // Another program was quicker.
        Kind::Changed | Kind::Exists => {
            let now = present().ok().flatten();
            changed(&path, now.as_deref())
        }
        _ => refused(&path, folder, &error),
    })?;
    Ok(Saved {
        sha256: sha256(request.text.as_bytes()),
        path: path.into_string(),
    })
}

/// What the system said, with the path as the page knows it.
fn refused(path: &ProjectPath, folder: &Path, error: &FileError) -> ApiError {
    let inside = format!("{}/", folder.display());
    ApiError::new(
        StatusCode::FORBIDDEN,
        format!("{path}: {}", error.message.replace(&inside, "")),
    )
    .hint(error.hint.clone())
}

/// Whether the file is as the page expects, and may be replaced if it is there.
fn check_state(path: &ProjectPath, request: &Save, present: Option<&str>) -> Result<(), ApiError> {
    if let Some(expected) = &request.expect_sha256
        && present != Some(expected.as_str())
    {
        return Err(changed(path, present));
    }
    if present.is_some() && !request.overwrite {
        return Err(conflict(
            format!("{path} exists and is left as it is"),
            "choose another name, or replace it on purpose",
            present,
        ));
    }
    Ok(())
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

fn conflict(error: String, hint: &str, present: Option<&str>) -> ApiError {
    ApiError::refused(StatusCode::CONFLICT, error.clone(), error)
        .hint(hint)
        .with("sha256", present)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn request(path: &str, text: &str, expect: Option<&str>, overwrite: bool) -> Save {
        Save {
            path: path.to_owned(),
            text: text.to_owned(),
            expect_sha256: expect.map(str::to_owned),
            overwrite,
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
        let first = save(&folder, &request("a.toml", "one", None, false)).unwrap();
        assert_eq!(first.sha256, sha256(b"one"));
        assert!(save(&folder, &request("a.toml", "two", None, false)).is_err());
        let known = first.sha256.as_str();
        assert!(save(&folder, &request("a.toml", "two", Some(known), false)).is_err());
        assert_eq!(text(), "one");
        save(&folder, &request("a.toml", "two", Some(known), true)).unwrap();
        // The page still knows the first text.
        let late = save(&folder, &request("a.toml", "three", Some(known), true)).unwrap_err();
        assert_eq!(late.to_json()["sha256"], sha256(b"two"));
        assert_eq!(text(), "two");
        std::fs::remove_file(folder.join("a.toml")).unwrap();
        let gone = save(&folder, &request("a.toml", "three", Some(known), true)).unwrap_err();
        assert!(gone.to_json()["sha256"].is_null());
        assert_eq!(names(&folder), [""; 0]);
    }

    #[test]
    fn nothing_is_left_behind_by_a_save() {
        let place = tempfile::tempdir().unwrap();
        let folder = place.path().canonicalize().unwrap();
        save(&folder, &request("a.toml", "one", None, false)).unwrap();
        save(&folder, &request("a.toml", "two", None, true)).unwrap();
        assert!(save(&folder, &request("no/a.toml", "one", None, true)).is_err());
        let long = "#".repeat(TEXT_MAX + 1);
        assert!(save(&folder, &request("a.toml", &long, None, true)).is_err());
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
        save(&folder, &request("a.toml", "one", None, false)).unwrap();
        // A new file is like any other that this process makes.
        std::fs::write(folder.join("b.toml"), "").unwrap();
        let other = std::fs::metadata(folder.join("b.toml")).unwrap();
        assert_eq!(mode(), other.permissions().mode() & 0o777);
        set(0o664);
        save(&folder, &request("a.toml", "two", None, true)).unwrap();
        assert_eq!(mode(), 0o664);
        set(0o444);
        let kept = save(&folder, &request("a.toml", "three", None, true)).unwrap_err();
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
        assert!(save(&folder, &request("a.toml", "x", None, true)).is_err());
        assert!(save(&folder, &request("out/a.toml", "x", None, true)).is_err());
        assert!(save(&folder, &request("out/b.toml", "x", None, true)).is_err());
        assert_eq!(std::fs::read_to_string(&target).unwrap(), "mine");
        assert_eq!(names(outside.path()), ["a.toml"]);
    }
}
