//! `calotte page`: the page in the browser.

use calotte_document::written::PageDocument;
use calotte_format::safety::Safety;
use calotte_page::PageError;
use calotte_report::safety;

use crate::Verdict;
use crate::arguments::PageOptions;
use crate::failure::Failure;
use crate::terminal;
use crate::{put_line, say};

/// Serves the page until Ctrl-C.
pub fn run(options: &PageOptions) -> Result<Verdict, Failure> {
    let folder = &options.folder;
    if folder.is_file() {
        return Err(Failure::new(format!("{} is a file", folder.display()))
            .hint("give the folder that holds it"));
    }
    let asked = calotte_page::PageOptions {
        folder: folder.clone(),
        port: options.port,
        open: !options.no_open,
    };
    let ready = |address: &str| {
        if options.json {
            let shown = PageDocument {
                address: address.to_string(),
                folder: folder.display().to_string(),
                safety: safety::document(Safety::general()),
            };
            terminal::print_data(&(calotte_document::text(&shown) + "\n"));
        } else {
            put_line!("open {address}");
        }
        say!("{}", safety::text(Safety::general()).trim_end());
        say!("Ctrl-C ends the page.");
    };
    calotte_page::serve(&asked, ready).map_err(failure)?;
    Ok(Verdict::Met)
}

/// Why the page cannot be served, with a way out.
fn failure(error: PageError) -> Failure {
    let hint = match &error {
        PageError::Folder { .. } => {
            "give an existing folder; `calotte new DIR` makes one with a brief to start from"
        }
        PageError::Listen { .. } => "give another port, or leave --port out for any free one",
        PageError::Assets { .. } => "let CALOTTE_PAGE_DIR name the folder of a built page",
        PageError::Random(_) | PageError::Start(_) => {
            "the system refuses what every server needs; is it short of memory or threads?"
        }
    };
    Failure::new(&error).hint(hint)
}
