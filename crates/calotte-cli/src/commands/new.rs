//! `calotte new`: a brief to start from.

use calotte_document::written::NewDocument;
use calotte_format::safety::Safety;
use calotte_report::safety;

use crate::Verdict;
use crate::arguments::NewOptions;
use crate::failure::Failure;
use crate::files::write_whole;
use crate::terminal;
use crate::{put_line, say};

/// Writes the commented brief into a folder.
pub fn run(options: &NewOptions) -> Result<Verdict, Failure> {
    let folder = &options.folder;
    if folder.exists() && !folder.is_dir() {
        return Err(Failure::new(format!("{} is a file", folder.display()))
            .hint("give the name of a folder"));
    }
    let path = folder.join("brief.toml");
    write_whole(
        &path,
        calotte_format::brief_template().as_bytes(),
        options.force,
    )?;
    if options.json {
        let document = NewDocument {
            written: path.display().to_string(),
            safety: safety::document(Safety::general()),
        };
        terminal::print_data(&(calotte_document::text(&document) + "\n"));
        return Ok(Verdict::Met);
    }
    put_line!("{}", path.display());
    say!("next: calotte design {}", path.display());
    say!("{}", safety::text(Safety::general()).trim_end());
    Ok(Verdict::Met)
}
