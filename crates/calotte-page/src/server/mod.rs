//! The server: who may ask, and what is answered.
//!
//! - `access`, `guard`: the token of this run, and the checks every request passes
//! - `connections`: accepted within a number, none for ever
//! - `answer`, `jobs`: bodies, errors, computations and streams for the routes
//! - `project`: the files of the folder
//! - `assets`: the files of the page itself
//! - `log`, `browser`: what the person at the terminal sees

mod access;
mod answer;
mod assets;
mod browser;
mod connections;
mod guard;
mod jobs;
mod log;
pub(crate) mod project;
mod state;
#[cfg(test)]
mod tests;

use std::future::Future;
use std::net::{Ipv4Addr, SocketAddr};
use std::path::PathBuf;
use std::sync::Arc;
use std::time::Duration;

use axum::Router;
use axum::middleware::from_fn_with_state;
use tokio::net::{TcpListener, TcpSocket};
use tokio::runtime::Runtime;

use access::Access;
pub(crate) use answer::{ApiError, Body};
use assets::Assets;
pub(crate) use guard::BODY_MAX;
use guard::{Door, method_not_allowed};
pub(crate) use jobs::{Sender, compute, panicked, stream};
pub use log::Log;
pub(crate) use state::AppState;

/// Threads that answer; computations have their own.
const ANSWERING_THREADS_MAX: usize = 4;
/// Threads for files and computations.
const BLOCKING_THREADS_MAX: usize = 32;
/// Connections that the system keeps until they are accepted.
const BACKLOG: u32 = 1024;
/// Time for computations to notice that the server ends.
const ENDING_TIME: Duration = Duration::from_millis(500);

/// What `calotte page` was asked for.
#[derive(Debug, Clone)]
pub struct PageOptions {
    /// Folder whose files the page may read and write.
    pub folder: PathBuf,
    /// Port on the loopback interface; 0 for any free one.
    pub port: u16,
    /// Whether [`serve`] opens the address in the browser.
    pub open: bool,
}

/// Why the page cannot be served.
#[derive(Debug, thiserror::Error)]
pub enum PageError {
    /// The folder is not there or cannot be read: try another.
    #[error("{folder} is not a folder that can be read: {reason}", folder = folder.display())]
    Folder {
        /// The folder asked for.
        folder: PathBuf,
        /// What the system says.
        reason: String,
    },
    /// The port cannot be had: try another, or 0.
    #[error("cannot listen on 127.0.0.1:{port}: {error}")]
    Listen {
        /// The port asked for.
        port: u16,
        /// What the system says.
        error: std::io::Error,
    },
    /// The folder named by `CALOTTE_PAGE_DIR` holds no built page.
    #[error("{folder} holds no built page: {reason}", folder = folder.display())]
    Assets {
        /// The folder.
        folder: PathBuf,
        /// What is wrong with it.
        reason: String,
    },
    /// The system has no random numbers for the token.
    #[error("no token can be drawn: {0}")]
    Random(String),
    /// The system gives no threads.
    #[error("the server cannot be started: {0}")]
    Start(std::io::Error),
}

/// A server that listens and does not answer yet.
pub struct Server {
    runtime: Runtime,
    listener: TcpListener,
    local: SocketAddr,
    access: Arc<Access>,
    assets: Arc<Assets>,
    state: AppState,
    api: Router<AppState>,
    log: Log,
}

impl Server {
    /// Listens on the loopback interface, and on no other, and answers these questions
    /// below `/api`. Refusals and messages go to `log`.
    ///
    /// # Errors
    /// [`PageError`] if the folder is not there, the port is taken, or the page's own
    /// files cannot be had.
    pub(crate) fn with_routes(
        options: &PageOptions,
        log: Log,
        api: Router<AppState>,
    ) -> Result<Self, PageError> {
        let folder = folder(options)?;
        let assets = Assets::load()?;
        let threads = std::thread::available_parallelism().map_or(2, usize::from);
        let runtime = tokio::runtime::Builder::new_multi_thread()
            .worker_threads(threads.clamp(2, ANSWERING_THREADS_MAX))
            .max_blocking_threads(BLOCKING_THREADS_MAX)
            .enable_io()
            .enable_time()
            .build()
            .map_err(PageError::Start)?;
        let failed = |error| PageError::Listen {
            port: options.port,
            error,
        };
        let listener = runtime
            .block_on(async { listen(options.port) })
            .map_err(failed)?;
        let local = listener.local_addr().map_err(failed)?;
        let access = Arc::new(Access::new(local.port())?);
        Ok(Self {
            runtime,
            listener,
            local,
            access,
            assets,
            state: AppState::new(folder),
            api: api.merge(project::routes()),
            log,
        })
    }

    /// The address of the page, with the token of this run.
    pub fn address(&self) -> String {
        self.access.address()
    }

    /// Where the server listens.
    pub fn local_addr(&self) -> SocketAddr {
        self.local
    }

    /// Answers until `stop`, then ends: answers under way get a moment, long jobs are told
    /// to stop.
    pub fn run(self, stop: impl Future<Output = ()>) {
        let door = Door::new(self.access, self.log.clone());
        let router = router(self.api, self.state, self.assets, door);
        self.runtime
            .block_on(connections::accept(self.listener, router, self.log, stop));
        self.runtime.shutdown_timeout(ENDING_TIME);
    }
}

/// Serves these questions until Ctrl-C (or, on Unix, a request to end). `ready` is told
/// the address once, as soon as it can be opened.
///
/// # Errors
/// [`PageError`] if it cannot be served at all.
pub(crate) fn serve(
    options: &PageOptions,
    api: Router<AppState>,
    ready: impl FnOnce(&str),
) -> Result<(), PageError> {
    let server = Server::with_routes(options, Log::stderr(), api)?;
    // Listened for before anybody is told, so that the first Ctrl-C ends it cleanly.
    let stop = {
        let _inside = server.runtime.enter();
        Stop::new().map_err(PageError::Start)?
    };
    ready(&server.address());
    if options.open {
        browser::open(&server.access.address_for_once()?, &server.log);
    }
    server.run(stop.asked());
    Ok(())
}

/// The signals that end the server.
struct Stop {
    #[cfg(unix)]
    interrupt: tokio::signal::unix::Signal,
    #[cfg(unix)]
    terminate: tokio::signal::unix::Signal,
    #[cfg(windows)]
    interrupt: tokio::signal::windows::CtrlC,
}

impl Stop {
    #[cfg(unix)]
    fn new() -> std::io::Result<Self> {
        use tokio::signal::unix::{SignalKind, signal};
        Ok(Self {
            interrupt: signal(SignalKind::interrupt())?,
            terminate: signal(SignalKind::terminate())?,
        })
    }

    #[cfg(windows)]
    fn new() -> std::io::Result<Self> {
        Ok(Self {
            interrupt: tokio::signal::windows::ctrl_c()?,
        })
    }

    #[cfg(unix)]
    async fn asked(mut self) {
        tokio::select! {
            _ = self.interrupt.recv() => {}
            _ = self.terminate.recv() => {}
        }
    }

    #[cfg(windows)]
    async fn asked(mut self) {
        self.interrupt.recv().await;
    }
}

/// The folder in its canonical form.
fn folder(options: &PageOptions) -> Result<PathBuf, PageError> {
    let failed = |reason: String| PageError::Folder {
        folder: options.folder.clone(),
        reason,
    };
    let folder = options
        .folder
        .canonicalize()
        .map_err(|error| failed(error.to_string()))?;
    std::fs::read_dir(&folder).map_err(|error| failed(error.to_string()))?;
    Ok(folder)
}

/// Listens on the loopback interface.
fn listen(port: u16) -> std::io::Result<TcpListener> {
    let socket = TcpSocket::new_v4()?;
    // A port whose last connections are still closing can be had again; elsewhere this
    // would let two programs share one port.
    #[cfg(unix)]
    socket.set_reuseaddr(true)?;
    socket.bind(SocketAddr::from((Ipv4Addr::LOCALHOST, port)))?;
    socket.listen(BACKLOG)
}

/// Every address, behind the checks.
fn router(api: Router<AppState>, state: AppState, assets: Arc<Assets>, door: Door) -> Router {
    Router::new()
        .nest("/api", api)
        .with_state(state)
        .fallback_service(axum::handler::Handler::with_state(assets::asset, assets))
        .method_not_allowed_fallback(async || method_not_allowed())
        .layer(from_fn_with_state(door, guard::guard))
}
