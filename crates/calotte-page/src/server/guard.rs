//! The checks that every request passes before anything else looks at it, and the headers
//! that every answer carries.
//!
//! A page elsewhere on the web can make a browser send requests to this machine. What
//! keeps it out: the host and origin must be our own (a name that was pointed at this
//! machine is not), the browser must not call the request a foreign one, the token must
//! be there, and anything that changes something must be JSON, which a foreign page
//! cannot send without being asked first.

use std::panic::AssertUnwindSafe;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Duration;

use axum::body::{Body, Bytes};
use axum::extract::{Request, State};
use axum::http::header::{
    self, CACHE_CONTROL, CONTENT_LENGTH, CONTENT_TYPE, EXPECT, HOST, LOCATION, ORIGIN, SET_COOKIE,
};
use axum::http::{HeaderMap, HeaderName, HeaderValue, Method, StatusCode};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use futures_util::FutureExt;
use http_body_util::BodyExt;

use super::access::Access;
use super::answer::{ApiError, Refused};
use super::jobs::panicked;
use super::log::Log;

/// Most bytes of a request's body.
pub(crate) const BODY_MAX: usize = 4 << 20;
/// Time for a request's body to arrive.
const BODY_TIME: Duration = Duration::from_secs(10);
/// Time for which a body that is too long is read and thrown away: a client that is still
/// sending reads no answer.
const DRAIN_TIME: Duration = Duration::from_secs(2);

/// What the browser lets the page do: load from here, draw, nothing else.
const CONTENT_SECURITY_POLICY: &str = "default-src 'self'; img-src 'self' data: blob:; object-src 'none'; base-uri 'none'; frame-ancestors 'none'; form-action 'none'";

/// Headers of every answer.
const HEADERS: [(HeaderName, &str); 5] = [
    (header::CONTENT_SECURITY_POLICY, CONTENT_SECURITY_POLICY),
    (header::X_CONTENT_TYPE_OPTIONS, "nosniff"),
    (header::REFERRER_POLICY, "no-referrer"),
    (
        HeaderName::from_static("cross-origin-resource-policy"),
        "same-origin",
    ),
    (
        HeaderName::from_static("cross-origin-opener-policy"),
        "same-origin",
    ),
];

/// Set once a connection has shown the token; travels with each of its requests.
#[derive(Clone)]
pub(crate) struct Trusted(pub Arc<AtomicBool>);

/// What the checks need to know.
#[derive(Clone)]
pub(crate) struct Door {
    access: Arc<Access>,
    log: Log,
    /// `127.0.0.1:PORT` and `localhost:PORT`.
    hosts: [String; 2],
}

impl Door {
    /// The door of the server with these secrets.
    pub(crate) fn new(access: Arc<Access>, log: Log) -> Self {
        let end = match access.port() {
            // Browsers leave the port of http out.
            80 => String::new(),
            port => format!(":{port}"),
        };
        Self {
            hosts: [format!("127.0.0.1{end}"), format!("localhost{end}")],
            access,
            log,
        }
    }

    /// The checks that need no token. None of them reads the body.
    fn check_place(&self, request: &Request) -> Result<(), ApiError> {
        let headers = request.headers();
        let host = only(headers, &HOST);
        if !host.is_some_and(|host| self.hosts.iter().any(|own| own == host)) {
            return Err(foreign(format!("Host {}", shown(headers, &HOST))));
        }
        if let Some(authority) = request.uri().authority()
            && !self.hosts.iter().any(|own| own == authority.as_str())
        {
            return Err(foreign(format!("address of {authority}")));
        }
        if headers.contains_key(ORIGIN) {
            let origin = only(headers, &ORIGIN).and_then(|o| o.strip_prefix("http://"));
            // The origin is the host that was asked, not merely one of ours.
            if origin.is_none() || origin != host {
                return Err(foreign(format!("Origin {}", shown(headers, &ORIGIN))));
            }
        }
        let site = HeaderName::from_static("sec-fetch-site");
        if headers.contains_key(&site)
            && !matches!(only(headers, &site), Some("same-origin" | "none"))
        {
            return Err(foreign(format!("Sec-Fetch-Site {}", shown(headers, &site))));
        }
        Ok(())
    }

    /// The token, given in the address of the page: sets the cookie and sends the browser
    /// to the address without it. None for a request that is not of this kind.
    fn entry(&self, request: &Request) -> Option<Result<Response, ApiError>> {
        if request.method() != Method::GET || request.uri().path() != "/" {
            return None;
        }
        let given = request
            .uri()
            .query()?
            .split('&')
            .find_map(|pair| pair.strip_prefix("token="))?;
        if !self.access.opens(given) {
            return Some(Err(no_token("wrong token")));
        }
        self.trust(request);
        let mut response = StatusCode::SEE_OTHER.into_response();
        let headers = response.headers_mut();
        headers.insert(LOCATION, HeaderValue::from_static("/"));
        if let Some(cookie) = self.access.cookie() {
            headers.insert(SET_COOKIE, cookie);
        }
        Some(Ok(response))
    }

    fn trust(&self, request: &Request) {
        if let Some(Trusted(flag)) = request.extensions().get::<Trusted>() {
            flag.store(true, Ordering::Relaxed);
        }
    }

    /// All checks; what passes comes back with its body read.
    async fn admit(&self, request: Request) -> Result<Admitted, ApiError> {
        self.check_place(&request)?;
        if let Some(answer) = self.entry(&request) {
            return answer.map(Admitted::Answered);
        }
        if !self.access.admits(request.headers()) {
            return Err(no_token("no valid token"));
        }
        self.trust(&request);
        check_method(&request)?;
        if request.method() == Method::POST {
            check_content_type(request.headers())?;
        }
        with_body(request).await.map(Admitted::Request)
    }
}

/// What became of a request at the door.
enum Admitted {
    Request(Request),
    Answered(Response),
}

/// Runs the checks, then the request, and dresses the answer. A panic becomes a 500.
pub(crate) async fn guard(State(door): State<Door>, request: Request, next: Next) -> Response {
    let method = request.method().clone();
    let path = request.uri().path().to_owned();
    let mut response = match door.admit(request).await {
        Err(refusal) if path.starts_with("/api/") => refusal.into_response(),
        Err(refusal) => refusal.into_plain_response(),
        Ok(Admitted::Answered(response)) => response,
        Ok(Admitted::Request(request)) => AssertUnwindSafe(next.run(request))
            .catch_unwind()
            .await
            .unwrap_or_else(|_| panicked().into_response()),
    };
    if let Some(Refused(reason)) = response.extensions_mut().remove::<Refused>() {
        door.log.refused(&format!("{method} {path}: {reason}"));
    }
    let headers = response.headers_mut();
    for (name, value) in HEADERS {
        headers.insert(name, HeaderValue::from_static(value));
    }
    headers
        .entry(CACHE_CONTROL)
        .or_insert(HeaderValue::from_static("no-store"));
    response
}

/// The value of a header that is there once and is text.
fn only<'a>(headers: &'a HeaderMap, name: &HeaderName) -> Option<&'a str> {
    let mut values = headers.get_all(name).iter();
    match (values.next(), values.next()) {
        (Some(value), None) => value.to_str().ok(),
        _ => None,
    }
}

/// A header as the log shows it.
fn shown(headers: &HeaderMap, name: &HeaderName) -> String {
    let values: Vec<_> = headers
        .get_all(name)
        .iter()
        .map(|value| String::from_utf8_lossy(value.as_bytes()))
        .collect();
    if values.is_empty() {
        "missing".to_owned()
    } else {
        values.join(" and ")
    }
}

fn foreign(reason: String) -> ApiError {
    ApiError::refused(
        StatusCode::FORBIDDEN,
        reason,
        "this address answers its own page only",
    )
    .hint("open the address that calotte printed")
}

fn no_token(reason: &str) -> ApiError {
    ApiError::refused(
        StatusCode::FORBIDDEN,
        reason,
        "open the address that calotte printed",
    )
    .hint("each run has an address of its own; the terminal shows it")
}

fn check_method(request: &Request) -> Result<(), ApiError> {
    if [Method::GET, Method::HEAD, Method::POST].contains(request.method()) {
        return Ok(());
    }
    Err(method_not_allowed())
}

/// Status 405.
pub(crate) fn method_not_allowed() -> ApiError {
    ApiError::refused(
        StatusCode::METHOD_NOT_ALLOWED,
        "method not allowed",
        "this address does not take that method",
    )
}

fn check_content_type(headers: &HeaderMap) -> Result<(), ApiError> {
    let kind = only(headers, &CONTENT_TYPE).and_then(|value| value.split(';').next());
    if kind.is_some_and(|kind| kind.trim().eq_ignore_ascii_case("application/json")) {
        return Ok(());
    }
    Err(ApiError::refused(
        StatusCode::UNSUPPORTED_MEDIA_TYPE,
        format!("Content-Type {}", shown(headers, &CONTENT_TYPE)),
        "the body must be application/json",
    ))
}

/// Reads the whole body, within a size and a time.
async fn with_body(request: Request) -> Result<Request, ApiError> {
    let (parts, body) = request.into_parts();
    let declared = parts
        .headers
        .get(CONTENT_LENGTH)
        .and_then(|value| value.to_str().ok()?.parse::<u64>().ok())
        .unwrap_or(0);
    if declared > BODY_MAX as u64 {
        // A client that asks first has sent nothing yet.
        if !parts.headers.contains_key(EXPECT) {
            drain(body).await;
        }
        return Err(too_large());
    }
    let bytes = tokio::time::timeout(BODY_TIME, read(body))
        .await
        .map_err(|_| {
            ApiError::refused(
                StatusCode::REQUEST_TIMEOUT,
                "the body did not arrive in time",
                format!("the body did not arrive within {} s", BODY_TIME.as_secs()),
            )
        })??;
    Ok(Request::from_parts(parts, Body::from(bytes)))
}

async fn read(mut body: Body) -> Result<Bytes, ApiError> {
    let mut bytes = Vec::new();
    while let Some(frame) = body.frame().await {
        let frame = frame.map_err(|error| {
            ApiError::refused(
                StatusCode::BAD_REQUEST,
                format!("body broken off: {error}"),
                "the body ended early",
            )
        })?;
        let Ok(data) = frame.into_data() else {
            continue;
        };
        if bytes.len() + data.len() > BODY_MAX {
            drain(body).await;
            return Err(too_large());
        }
        bytes.extend_from_slice(&data);
    }
    Ok(bytes.into())
}

/// Throws away what still comes, for a while.
async fn drain(mut body: Body) {
    let rest = async { while let Some(Ok(_)) = body.frame().await {} };
    // Whether it ended in time makes no difference to the answer.
    let _ = tokio::time::timeout(DRAIN_TIME, rest).await;
}

fn too_large() -> ApiError {
    let limit = BODY_MAX >> 20;
    ApiError::refused(
        StatusCode::PAYLOAD_TOO_LARGE,
        format!("body above {limit} MiB"),
        format!("the body is longer than {limit} MiB"),
    )
}
