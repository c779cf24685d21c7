//! The page in the browser.
//!
//! [`serve`] answers on the loopback interface only, to whoever holds the token of this
//! run. The page (`web/`, embedded when it was built) holds no mechanics: it sends a
//! design with each request and draws what comes back. The server keeps nothing between
//! requests but what the last search judged; files are read and written in the folder it was
//! given, nowhere else.
//!
//! - `api`: the questions the page may ask, each answered by crate `calotte`
//! - `server`: who may ask, what a request may look like, the files of the folder, long
//!   jobs, and the page's own files

mod api;
mod memory;
mod server;
mod start;

pub use server::{Log, PageError, PageOptions, Server};
pub use start::serve;
