//! Who may ask: the token of this run, and the cookie that carries it.

use std::fmt::Write;
use std::sync::{Mutex, PoisonError};
use std::time::{Duration, Instant};

use axum::http::header::COOKIE;
use axum::http::{HeaderMap, HeaderValue};

use super::PageError;

/// Bytes of a token; as many digits twice.
const TOKEN_BYTES: usize = 32;
/// How long the address that the browser is started with can be used.
const TICKET_TIME: Duration = Duration::from_secs(120);
/// Header for programs that keep no cookies.
const TOKEN_HEADER: &str = "x-calotte-token";

/// The secrets of one run.
pub(crate) struct Access {
    port: u16,
    token: String,
    /// A second secret that works once and for a short time: other users of the machine
    /// can read the words a browser is started with.
    ticket: Mutex<Option<(String, Instant)>>,
}

impl Access {
    /// Draws a token for a server on this port.
    pub(crate) fn new(port: u16) -> Result<Self, PageError> {
        Ok(Self {
            port,
            token: draw()?,
            ticket: Mutex::new(None),
        })
    }

    /// The address to hand out; it can be used as often as wanted.
    pub(crate) fn address(&self) -> String {
        format!("http://127.0.0.1:{}/?token={}", self.port, self.token)
    }

    /// An address that can be used once, within [`TICKET_TIME`].
    pub(crate) fn address_for_once(&self) -> Result<String, PageError> {
        let ticket = draw()?;
        let address = format!("http://127.0.0.1:{}/?token={ticket}", self.port);
        *self.ticket() = Some((ticket, Instant::now()));
        Ok(address)
    }

    /// The port of the server.
    pub(crate) fn port(&self) -> u16 {
        self.port
    }

    /// Whether `given` opens the page: the token, or the ticket, which is then used up.
    pub(crate) fn opens(&self, given: &str) -> bool {
        if same(given, &self.token) {
            return true;
        }
        let mut ticket = self.ticket();
        let holds = ticket
            .as_ref()
            .is_some_and(|(ticket, drawn)| same(given, ticket) && drawn.elapsed() < TICKET_TIME);
        if holds {
            *ticket = None;
        }
        holds
    }

    /// The cookie that the browser gets, for this server only: cookies do not know
    /// ports, so the name holds it.
    pub(crate) fn cookie(&self) -> Option<HeaderValue> {
        HeaderValue::from_str(&format!(
            "{}={}; HttpOnly; SameSite=Strict; Path=/",
            self.cookie_name(),
            self.token
        ))
        .ok()
    }

    /// Whether a request carries the token, by cookie or header.
    pub(crate) fn admits(&self, headers: &HeaderMap) -> bool {
        let by_header = headers
            .get_all(TOKEN_HEADER)
            .iter()
            .any(|value| same(value.to_str().unwrap_or_default(), &self.token));
        let name = self.cookie_name();
        let by_cookie = headers
            .get_all(COOKIE)
            .iter()
            .filter_map(|value| value.to_str().ok())
            .flat_map(|value| value.split(';'))
            .filter_map(|pair| pair.trim().split_once('='))
            .any(|(key, value)| key == name && same(value, &self.token));
        by_header || by_cookie
    }

    fn cookie_name(&self) -> String {
        format!("calotte-{}", self.port)
    }

    fn ticket(&self) -> std::sync::MutexGuard<'_, Option<(String, Instant)>> {
        self.ticket.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// Random bytes of the system as hexadecimal digits.
fn draw() -> Result<String, PageError> {
    let mut bytes = [0_u8; TOKEN_BYTES];
    getrandom::fill(&mut bytes).map_err(|error| PageError::Random(error.to_string()))?;
    let mut text = String::with_capacity(2 * TOKEN_BYTES);
    for byte in bytes {
        // Writing to a String cannot fail.
        let _ = write!(text, "{byte:02x}");
    }
    Ok(text)
}

/// Whether two texts are equal, in a time that does not tell where they differ.
fn same(given: &str, wanted: &str) -> bool {
    let (given, wanted) = (given.as_bytes(), wanted.as_bytes());
    let differing = given
        .iter()
        .zip(wanted)
        .fold(0_u8, |found, (a, b)| std::hint::black_box(found | (a ^ b)));
    given.len() == wanted.len() && std::hint::black_box(differing) == 0
}

#[cfg(test)]
mod tests {
    use super::*;

    fn headers(pairs: &[(&'static str, String)]) -> HeaderMap {
        pairs
            .iter()
            .map(|(name, value)| {
                (
                    axum::http::HeaderName::from_static(name),
                    HeaderValue::from_str(value).unwrap(),
                )
            })
            .collect()
    }

    #[test]
    fn the_token_is_long_and_new_each_time() {
        let (a, b) = (Access::new(1).unwrap(), Access::new(1).unwrap());
        assert_eq!(a.token.len(), 64);
        assert!(a.token.chars().all(|c| c.is_ascii_hexdigit()));
        assert_ne!(a.token, b.token);
    }

    #[test]
    fn a_request_is_admitted_by_header_or_by_the_cookie_of_this_port() {
        let access = Access::new(4000).unwrap();
        let token = &access.token;
        let admitted = |name, value: String| access.admits(&headers(&[(name, value)]));
        assert!(admitted(TOKEN_HEADER, token.clone()));
        assert!(admitted(
            "cookie",
            format!("a=b; calotte-4000={token}; c=d")
        ));
        assert!(!admitted("cookie", format!("calotte-4001={token}")));
        assert!(!admitted("cookie", format!("calotte-4000={}", &token[1..])));
        assert!(!admitted("cookie", format!("calotte-4000={token}0")));
        assert!(!admitted("cookie", "calotte-4000=".to_owned()));
        assert!(!access.admits(&HeaderMap::new()));
    }

    #[test]
    fn the_address_for_the_browser_works_once() {
        let access = Access::new(4000).unwrap();
        let address = access.address_for_once().unwrap();
        let ticket = address.split_once("token=").unwrap().1.to_owned();
        assert_ne!(ticket, access.token);
        assert!(!access.admits(&headers(&[(TOKEN_HEADER, ticket.clone())])));
        assert!(access.opens(&ticket));
        assert!(!access.opens(&ticket));
        assert!(access.opens(&access.token) && access.opens(&access.token));
    }
}
