//! The server with the questions it answers.

use crate::api;
use crate::server::{self, Log, PageError, PageOptions, Server};

/// Serves the page until Ctrl-C (or, on Unix, a request to end). `ready` is told the
/// address once, as soon as it can be opened.
///
/// # Errors
/// [`PageError`] if it cannot be served at all.
pub fn serve(options: &PageOptions, ready: impl FnOnce(&str)) -> Result<(), PageError> {
    server::serve(options, api::routes(), ready)
}

impl Server {
    /// Listens on the loopback interface, and on no other. Refusals and messages go to
    /// `log`.
    ///
    /// # Errors
    /// [`PageError`] if the folder is not there, the port is taken, or the page's own
    /// files cannot be had.
    pub fn start(options: &PageOptions, log: Log) -> Result<Self, PageError> {
        Self::with_routes(options, log, api::routes())
    }
}
