//! Reading: ordinary files, up to a limit.
//!
//! A named pipe would wait for a writer for ever, a device may never end, and a file of a few
//! bytes on the disk may claim gigabytes. None is opened for more than a look.

use std::fs::{File, Metadata, OpenOptions};
use std::io::{self, Read};
use std::path::Path;

use crate::error::{FileError, Kind};

/// All bytes of an ordinary file.
///
/// # Errors
/// [`Kind::NotThere`]; [`Kind::NotOrdinary`] for folders, pipes, devices and files that the
/// system makes up as they are read; [`Kind::TooLong`] above `most` bytes, told before any is
/// read where the file says its length; [`Kind::System`].
pub fn read(path: &Path, most: u64) -> Result<Vec<u8>, FileError> {
    let reading = |error: io::Error| FileError::reading(path, &error);
    let (file, length) = ordinary(path)?;
    if length > most {
        return Err(too_long(path, Some(length), most));
    }
    let mut bytes = Vec::new();
    if length == 0 {
        match (&file).take(1).read_to_end(&mut bytes) {
            Ok(0) => return Ok(bytes),
            // Another program has just begun to write it.
            Ok(_) if file.metadata().is_ok_and(|now| now.len() > 0) => {}
            // What is listed as empty and is not is made up by the system, and may have no end.
            Ok(_) | Err(_) => {
                return Err(not_ordinary(
                    path,
                    "a file that the system makes up as it is read",
                ));
            }
        }
    }
    let rest = (most + 1).saturating_sub(bytes.len() as u64);
    file.take(rest).read_to_end(&mut bytes).map_err(reading)?;
    if bytes.len() as u64 > most {
        return Err(too_long(path, None, most));
    }
    Ok(bytes)
}

/// Opens an ordinary file for reading, without waiting, and tells its length in bytes.
///
/// # Errors
/// As [`read`], but for the length.
pub fn ordinary(path: &Path) -> Result<(File, u64), FileError> {
    let reading = |error: io::Error| FileError::reading(path, &error);
    // Looked at before it is opened: to open a device can do something.
    judge(path, &std::fs::metadata(path).map_err(reading)?)?;
    let mut options = OpenOptions::new();
    options.read(true);
    #[cfg(unix)]
    {
        use std::os::unix::fs::OpenOptionsExt;
        let flags = rustix::fs::OFlags::NONBLOCK | rustix::fs::OFlags::NOCTTY;
        options.custom_flags(flags.bits().cast_signed());
    }
    let file = options.open(path).map_err(reading)?;
    // And again, since another one may lie there now.
    let found = file.metadata().map_err(reading)?;
    judge(path, &found)?;
    Ok((file, found.len()))
}

fn judge(path: &Path, found: &Metadata) -> Result<(), FileError> {
    if found.is_file() {
        return Ok(());
    }
    Err(not_ordinary(path, kind_of(found)))
}

/// What something is that is no file, in words.
fn kind_of(found: &Metadata) -> &'static str {
    if found.is_dir() {
        return "a folder";
    }
    #[cfg(unix)]
    {
        use std::os::unix::fs::FileTypeExt;
        let kind = found.file_type();
        if kind.is_fifo() {
            return "a pipe";
        }
        if kind.is_socket() {
            return "a socket";
        }
        if kind.is_char_device() || kind.is_block_device() {
            return "a device";
        }
    }
    "no ordinary file"
}

fn not_ordinary(path: &Path, what: &str) -> FileError {
    FileError::new(
        Kind::NotOrdinary,
        format!("cannot read {}: it is {what}", path.display()),
        "give the path of an ordinary file; copy into one what another program writes",
    )
}

fn too_long(path: &Path, length: Option<u64>, most: u64) -> FileError {
    let length = length.map_or("more".to_owned(), |length| length.to_string());
    FileError::new(
        Kind::TooLong,
        format!(
            "cannot read {}: it has {length} bytes, and at most {most} are read",
            path.display()
        ),
        "is this another file?",
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    fn kind(path: &Path) -> Kind {
        read(path, 1000).unwrap_err().kind
    }

    #[test]
    fn a_file_is_read_up_to_the_limit() {
        let place = tempfile::tempdir().unwrap();
        let path = place.path().join("a");
        for length in [0_usize, 1, 999, 1000] {
            std::fs::write(&path, vec![b'x'; length]).unwrap();
            assert_eq!(read(&path, 1000).unwrap().len(), length);
        }
        std::fs::write(&path, vec![b'x'; 1001]).unwrap();
        let error = read(&path, 1000).unwrap_err();
        assert_eq!(error.kind, Kind::TooLong);
        assert!(error.to_string().contains("1001 bytes"), "{error}");
        assert_eq!(kind(&place.path().join("b")), Kind::NotThere);
        assert_eq!(kind(place.path()), Kind::NotOrdinary);
    }

    #[cfg(unix)]
    #[test]
    fn what_is_no_file_is_refused_at_once() {
        let place = tempfile::tempdir().unwrap();
        let pipe = place.path().join("pipe");
        rustix::fs::mknodat(
            rustix::fs::CWD,
            &pipe,
            rustix::fs::FileType::Fifo,
            rustix::fs::Mode::from_raw_mode(0o600),
            0,
        )
        .unwrap();
        let socket = place.path().join("socket");
        let _listener = std::os::unix::net::UnixListener::bind(&socket).unwrap();
        let link = place.path().join("link");
        std::os::unix::fs::symlink(&pipe, &link).unwrap();
        for path in [
            &pipe,
            &socket,
            &link,
            Path::new("/dev/zero"),
            Path::new("/dev/null"),
        ] {
            assert_eq!(kind(path), Kind::NotOrdinary, "{}", path.display());
        }
    }

    #[cfg(target_os = "linux")]
    #[test]
    fn what_the_system_makes_up_is_refused() {
        for path in ["/proc/self/environ", "/proc/self/maps", "/proc/self/mem"] {
            assert_eq!(kind(Path::new(path)), Kind::NotOrdinary, "{path}");
        }
    }

    #[cfg(unix)]
    #[test]
    fn a_sparse_file_is_not_read() {
        let place = tempfile::tempdir().unwrap();
        let path = place.path().join("sparse");
        let file = File::create(&path).unwrap();
        file.set_len(1 << 40).unwrap();
        assert_eq!(kind(&path), Kind::TooLong);
    }
}
