//! What the server answers when it cannot answer: a status, what is wrong, what to try.

use axum::Json;
use axum::extract::{FromRequest, Request};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use serde::de::DeserializeOwned;
use serde_json::{Map, Value};

/// A request that gets no result. The body is `{"error": …, "hint": …}`, with further
/// keys where the page needs them.
#[derive(Debug, Clone)]
pub(crate) struct ApiError {
    status: StatusCode,
    error: String,
    hint: Option<String>,
    more: Map<String, Value>,
    /// Why the request was turned away, for the log; None for a question that was heard
    /// and has no answer.
    refusal: Option<String>,
}

/// Left in the answer's extensions so that the outermost layer logs the refusal, with
/// method and path, in one place.
#[derive(Debug, Clone)]
pub(crate) struct Refused(pub String);

impl ApiError {
    /// An error with its status, sent to the page and not logged.
    pub(crate) fn new(status: StatusCode, error: impl Into<String>) -> Self {
        Self {
            status,
            error: error.into(),
            hint: None,
            more: Map::new(),
            refusal: None,
        }
    }

    /// Status 400: what was sent cannot be used.
    pub(crate) fn bad_request(error: impl Into<String>) -> Self {
        Self::new(StatusCode::BAD_REQUEST, error)
    }

    /// A request that is turned away; `reason` goes to the log.
    pub(crate) fn refused(
        status: StatusCode,
        reason: impl Into<String>,
        error: impl Into<String>,
    ) -> Self {
        Self {
            refusal: Some(reason.into()),
            ..Self::new(status, error)
        }
    }

    /// The status it is answered with.
    pub(crate) fn status(&self) -> StatusCode {
        self.status
    }

    /// Adds what to try.
    pub(crate) fn hint(mut self, hint: impl Into<String>) -> Self {
        self.hint = Some(hint.into());
        self
    }

    /// Adds a key beside `error` and `hint`.
    pub(crate) fn with(mut self, key: &str, value: impl Into<Value>) -> Self {
        self.more.insert(key.to_owned(), value.into());
        self
    }

    /// What is wrong, in a sentence.
    pub(crate) fn message(&self) -> String {
        self.error.clone()
    }

    /// The body: `error`, `hint` (null where there is none) and what was added.
    pub(crate) fn to_json(&self) -> Value {
        let mut body = self.more.clone();
        body.insert("error".to_owned(), self.error.clone().into());
        body.insert("hint".to_owned(), self.hint.clone().into());
        Value::Object(body)
    }
}

impl ApiError {
    /// The answer as a sentence, for an address that a person opens.
    pub(crate) fn into_plain_response(self) -> Response {
        let mut text = self.error;
        if let Some(hint) = self.hint {
            text.push('\n');
            text.push_str(&hint);
        }
        text.push('\n');
        marked((self.status, text).into_response(), self.refusal)
    }
}

impl IntoResponse for ApiError {
    fn into_response(self) -> Response {
        let response = (self.status, Json(self.to_json())).into_response();
        marked(response, self.refusal)
    }
}

fn marked(mut response: Response, refusal: Option<String>) -> Response {
    if let Some(reason) = refusal {
        response.extensions_mut().insert(Refused(reason));
    }
    response
}

/// The body of a request, read from JSON. What does not fit is a 400 that says where.
#[derive(Debug)]
pub(crate) struct Body<T>(pub T);

impl<S: Send + Sync, T: DeserializeOwned> FromRequest<S> for Body<T> {
    type Rejection = ApiError;

    async fn from_request(request: Request, state: &S) -> Result<Self, ApiError> {
        let bytes = axum::body::Bytes::from_request(request, state)
            .await
            .map_err(|error| ApiError::bad_request(format!("the body cannot be read: {error}")))?;
        serde_json::from_slice(&bytes).map(Self).map_err(|error| {
            ApiError::refused(
                StatusCode::BAD_REQUEST,
                format!("body is not what this route accepts: {error}"),
                format!("the request cannot be read: {error}"),
            )
            .hint("reload the page; if it stays, page and program are of different versions")
        })
    }
}
