//! `calotte new`: a brief to start from.

use calotte_document::written::NewDocument;

use crate::Verdict;
use crate::arguments::NewOptions;
use crate::failure::Failure;
use crate::files::write_whole;
use crate::{put_line, say};

/// Writes the commented brief into a folder.
pub fn run(options: &NewOptions) -> Result<Verdict, Failure> {
    let folder = &options.folder;
    if folder.exists() && !folder.is_dir() {
        return Err(Failure::new(format!("{} is a file", folder.display()))
            .hint("give the name of a folder"));
    }
    let path = folder.join("brief.toml");
    if path.exists() && !options.force {
        return Err(
            Failure::new(format!("{} exists and is left as it is", path.display()))
                .hint("give --force to replace it, or another folder"),
        );
    }
    std::fs::create_dir_all(folder).map_err(|error| {
        Failure::new(format!("cannot make {}: {error}", folder.display()))
            .hint("check that the folder above it exists and may be written")
    })?;
    write_whole(&path, calotte_format::brief_template().as_bytes(), true)?;
    if options.json {
        let document = NewDocument {
            written: path.display().to_string(),
        };
        put_line!("{}", calotte_document::text(&document));
        return Ok(Verdict::Met);
    }
    put_line!("{}", path.display());
    say!("next: calotte design {}", path.display());
    Ok(Verdict::Met)
}
