//! Replacing a file: whole or not at all, and only if it is still what the page knew.

use std::io::Write;
use std::path::Path;

use axum::http::StatusCode;
use calotte_format::TEXT_MAX;

use super::path::ProjectPath;
use super::shapes::{Save, Saved};
use crate::server::answer::ApiError;
use crate::server::hash::sha256;

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
    let failed = |error: std::io::Error| {
        ApiError::new(
            StatusCode::FORBIDDEN,
            format!("{path} cannot be written: {error}"),
        )
        .hint("check that the folder may be written and has room")
    };
    let present = match std::fs::read(&place) {
        Ok(bytes) => Some(sha256(&bytes)),
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => None,
        Err(error) => return Err(failed(error)),
    };
    check_state(&path, request, present.as_deref())?;
    write_whole(&place, request.text.as_bytes(), present.is_some()).map_err(|error| {
        if error.kind() == std::io::ErrorKind::AlreadyExists {
            // Another program was quicker.
            let now = std::fs::read(&place).ok().map(|bytes| sha256(&bytes));
            return changed(&path, now.as_deref());
        }
        failed(error)
    })?;
    Ok(Saved {
        sha256: sha256(request.text.as_bytes()),
        path: path.into_string(),
    })
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

/// Writes beside the file and moves into place, so that a reader sees the old file or the
/// new one, never a part.
fn write_whole(place: &Path, bytes: &[u8], replace: bool) -> std::io::Result<()> {
    let folder = place.parent().unwrap_or(Path::new("."));
    let mut builder = tempfile::Builder::new();
    builder.prefix(".calotte-").suffix(".unfinished");
    let permissions = permissions(place, replace)?;
    if let Some(permissions) = &permissions {
        builder.permissions(permissions.clone());
    }
    let mut temporary = builder.tempfile_in(folder)?;
    temporary.write_all(bytes)?;
    if replace && let Some(permissions) = permissions {
        // Once more, for what the mask of this process took away.
        temporary.as_file().set_permissions(permissions)?;
    }
    temporary.as_file().sync_all()?;
    if replace {
        temporary.persist(place).map_err(|error| error.error)?;
    } else {
        temporary
            .persist_noclobber(place)
            .map_err(|error| error.error)?;
    }
    sync_folder(folder);
    Ok(())
}

/// What may be done with the file: as before, or as the system would have it for a new
/// one. A file that its owner made unwritable stays.
fn permissions(place: &Path, replace: bool) -> std::io::Result<Option<std::fs::Permissions>> {
    if replace {
        let found = std::fs::metadata(place)?.permissions();
        if found.readonly() {
            return Err(std::io::Error::other("it is write-protected"));
        }
        return Ok(cfg!(unix).then_some(found));
    }
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        Ok(Some(std::fs::Permissions::from_mode(0o666)))
    }
    #[cfg(not(unix))]
    Ok(None)
}

/// Makes the new name last through a loss of power, where the system can do so.
fn sync_folder(folder: &Path) {
    #[cfg(unix)]
    if let Ok(folder) = std::fs::File::open(folder) {
        // The file itself is safe already.
        let _ = folder.sync_all();
    }
    #[cfg(not(unix))]
    let _ = folder;
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
