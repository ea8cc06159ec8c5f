//! Turns a request that was let in into what a screen needs of it, and what a screen says into an answer.
//! Invariant: a body is read whole before a screen works on it, within its size and time; a screen works away from the thread
//! that listens.
//! Must not: know which screens there are.

use std::sync::Arc;
use std::time::Duration;

use axum::body::{Body, Bytes};
use axum::extract::{FromRequest, Multipart, RawPathParams, Request, State};
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};
use axum::routing::{self, MethodRouter};

use super::Desk;

/// Largest form: a plan may have a megabyte, and a form that was changed underneath carries it three times.
const LARGEST_FORM: usize = 8 * 1024 * 1024;

/// Largest paper that is dropped on the page.
const LARGEST_PAPER: usize = 64 * 1024 * 1024;

/// So long may a body take to arrive.
const BODY_TIME: Duration = Duration::from_secs(10);

/// What was asked.
#[derive(Debug, Default)]
pub(super) struct Asked {
    /// What the path names, in its order.
    pub named: Vec<String>,
    /// Behind the question mark, or in the form.
    pub fields: Vec<(String, String)>,
    /// A file that came with the form, and what it is called.
    pub file: Option<(String, Bytes)>,
    /// What the browser says its reader reads.
    pub languages: String,
}

impl Asked {
    /// The first field of this name.
    pub fn field(&self, name: &str) -> Option<&str> {
        let mut fields = self.fields.iter();
        fields
            .find(|(own, _)| own == name)
            .map(|(_, value)| value.as_str())
    }

    /// The same without the space around it; none where nothing is in it.
    pub fn filled(&self, name: &str) -> Option<&str> {
        self.field(name)
            .map(str::trim)
            .filter(|text| !text.is_empty())
    }
}

/// What a screen says.
#[derive(Debug)]
pub(super) enum Answer {
    /// A page.
    Page(String),
    /// A page about something that could not be done as it was asked.
    Sorry(StatusCode, String),
    /// Go there, under the root of the desk.
    See(String),
    /// A file to look at.
    File {
        kind: &'static str,
        bytes: Bytes,
        /// Under which it is saved.
        name: Option<String>,
    },
    /// Part of a page, for its script.
    Data(serde_json::Value),
}

/// A screen.
pub(super) type Screen = fn(&Desk, &Asked) -> Answer;

/// Shows a screen.
pub(super) fn get(screen: Screen) -> MethodRouter<Arc<Desk>> {
    routing::get(
        move |State(desk): State<Arc<Desk>>, named: RawPathParams, request: Request| async move {
            let mut asked = asked_in(&named, &request);
            asked.fields = fields_of(request.uri().query().unwrap_or_default().as_bytes());
            worked(desk, asked, screen).await
        },
    )
}

/// Takes a form.
pub(super) fn post(screen: Screen) -> MethodRouter<Arc<Desk>> {
    routing::post(
        move |State(desk): State<Arc<Desk>>, named: RawPathParams, request: Request| async move {
            let mut asked = asked_in(&named, &request);
            match tokio::time::timeout(BODY_TIME, with_form(request, &mut asked)).await {
                Ok(Ok(())) => worked(desk, asked, screen).await,
                Ok(Err(status)) => status.into_response(),
                Err(_) => StatusCode::REQUEST_TIMEOUT.into_response(),
            }
        },
    )
}

fn asked_in(named: &RawPathParams, request: &Request) -> Asked {
    let languages = request.headers().get(header::ACCEPT_LANGUAGE);
    Asked {
        named: named.iter().map(|(_, value)| value.to_owned()).collect(),
        languages: languages
            .and_then(|value| value.to_str().ok())
            .unwrap_or_default()
            .to_owned(),
        ..Asked::default()
    }
}

fn fields_of(encoded: &[u8]) -> Vec<(String, String)> {
    form_urlencoded::parse(encoded)
        .map(|(name, value)| (name.into_owned(), value.replace("\r\n", "\n")))
        .collect()
}

async fn with_form(request: Request, asked: &mut Asked) -> Result<(), StatusCode> {
    let length = request.headers().get(header::CONTENT_LENGTH);
    let length = length.and_then(|length| length.to_str().ok()?.parse::<usize>().ok());
    // refused before anything of it is read
    if length.is_some_and(|length| length > LARGEST_PAPER) {
        return Err(StatusCode::PAYLOAD_TOO_LARGE);
    }
    let kind = request.headers().get(header::CONTENT_TYPE);
    let kind = kind.and_then(|kind| kind.to_str().ok()).unwrap_or_default();
    if kind.starts_with("application/x-www-form-urlencoded") {
        let body = axum::body::to_bytes(request.into_body(), LARGEST_FORM).await;
        asked.fields = fields_of(&body.map_err(|_| StatusCode::PAYLOAD_TOO_LARGE)?);
        return Ok(());
    }
    if !kind.starts_with("multipart/form-data") {
        return Err(StatusCode::UNSUPPORTED_MEDIA_TYPE);
    }
    let (head, whole) = request.into_parts();
    let body = axum::body::to_bytes(whole, LARGEST_PAPER)
        .await
        .map_err(|_| StatusCode::PAYLOAD_TOO_LARGE)?;
    let request = Request::from_parts(head, Body::from(body));
    // the body is in memory and within its size, so that nothing has to be limited twice
    let mut parts = Multipart::from_request(request, &())
        .await
        .map_err(|_| StatusCode::BAD_REQUEST)?;
    while let Ok(Some(part)) = parts.next_field().await {
        let name = part.name().unwrap_or_default().to_owned();
        let file = part.file_name().map(str::to_owned);
        let bytes = part.bytes().await.map_err(|_| StatusCode::BAD_REQUEST)?;
        match file {
            Some(file) if !bytes.is_empty() => asked.file = Some((file, bytes)),
            Some(_) => {}
            None => {
                let text = String::from_utf8_lossy(&bytes).replace("\r\n", "\n");
                asked.fields.push((name, text));
            }
        }
    }
    Ok(())
}

async fn worked(desk: Arc<Desk>, asked: Asked, screen: Screen) -> Response {
    let root = desk.root();
    match tokio::task::spawn_blocking(move || screen(&desk, &asked)).await {
        Ok(answer) => answer.into_response_under(&root),
        // a screen that panics is a fault of ours; the desk goes on
        Err(_) => StatusCode::INTERNAL_SERVER_ERROR.into_response(),
    }
}

impl Answer {
    fn into_response_under(self, root: &str) -> Response {
        const HTML: (header::HeaderName, &str) = (header::CONTENT_TYPE, "text/html; charset=utf-8");
        match self {
            Answer::Page(html) => ([HTML], html).into_response(),
            Answer::Sorry(status, html) => (status, [HTML], html).into_response(),
            Answer::See(path) => {
                let place = format!("{root}/{path}");
                (StatusCode::SEE_OTHER, [(header::LOCATION, place)]).into_response()
            }
            Answer::File { kind, bytes, name } => {
                let shown = match name {
                    Some(name) => format!("inline; filename=\"{}\"", plain(&name)),
                    None => "inline".to_owned(),
                };
                let head = [
                    (header::CONTENT_TYPE, kind.to_owned()),
                    (header::CONTENT_DISPOSITION, shown),
                ];
                (head, bytes).into_response()
            }
            Answer::Data(data) => {
                let kind = [(header::CONTENT_TYPE, "application/json")];
                (kind, data.to_string()).into_response()
            }
        }
    }
}

/// A file name that means nothing in a header.
fn plain(name: &str) -> String {
    let kept = |c: &char| c.is_ascii_alphanumeric() || "-_.".contains(*c);
    name.chars().filter(kept).collect()
}
