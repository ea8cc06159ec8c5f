//! Turns what arrives at the port into requests of the one page that was opened here; everything else is refused.
//! Invariant: nothing behind this is reached without the secret of this run in the path, one exact `Host`, and, where something
//! is changed, the page's own `Origin`; every answer forbids scripts from elsewhere, framing and storing.
//! Must not: know what a screen shows, or say the secret in a refusal.

use std::sync::Arc;

use axum::body::Body;
use axum::extract::{Request, State};
use axum::http::header::{self, HeaderMap, HeaderName, HeaderValue};
use axum::http::{Method, StatusCode, Uri};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};

use crate::domain::digest::hexadecimal;

/// Hexadecimal digits of the secret: 128 bits.
const SECRET_DIGITS: usize = 32;

/// Longest address that is read; ours have less than a hundred characters.
const LONGEST_ADDRESS: usize = 2048;

const POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; connect-src 'self'; \
                      form-action 'self'; base-uri 'none'; frame-ancestors 'none'";

/// What every answer carries.
const ALWAYS: &[(&str, &str)] = &[
    ("content-security-policy", POLICY),
    ("cache-control", "no-store"),
    ("x-content-type-options", "nosniff"),
    // the page's own requests still say where they come from; nobody else hears it
    ("referrer-policy", "same-origin"),
    ("cross-origin-resource-policy", "same-origin"),
    ("cross-origin-opener-policy", "same-origin"),
    ("x-frame-options", "DENY"),
    (
        "permissions-policy",
        "camera=(), microphone=(), geolocation=(), clipboard-read=()",
    ),
];

/// The only address at which this desk is reached.
#[derive(Debug)]
pub(super) struct Gateway {
    secret: String,
    /// `127.0.0.1:PORT` and `localhost:PORT`: a name that was bent to this machine is none of them.
    hosts: [String; 2],
}

/// Why a request is not answered.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Refusal {
    /// It does not ask this desk, or asks in a way no browser does.
    Misdirected,
    /// It comes from another page.
    Foreign,
    /// Nothing is there. A wrong secret sounds the same.
    NotHere,
}

impl Gateway {
    /// A desk at this port, with a new secret.
    ///
    /// # Errors
    /// The system has no random numbers.
    pub fn new(port: u16) -> Result<Gateway, getrandom::Error> {
        let mut bytes = [0; SECRET_DIGITS / 2];
        getrandom::fill(&mut bytes)?;
        Ok(Gateway {
            secret: hexadecimal(&bytes),
            hosts: [format!("127.0.0.1:{port}"), format!("localhost:{port}")],
        })
    }

    /// Where the desk begins: `http://127.0.0.1:PORT/SECRET/`.
    pub fn address(&self) -> String {
        format!("http://{}/{}/", self.hosts[0], self.secret)
    }

    /// What stands before every path: `/SECRET`.
    pub fn root(&self) -> String {
        format!("/{}", self.secret)
    }

    /// The secret itself, for codes that must differ from run to run.
    pub fn secret(&self) -> &str {
        &self.secret
    }

    fn judge(&self, method: &Method, uri: &Uri, headers: &HeaderMap) -> Result<(), Refusal> {
        // a browser names the path alone; a proxy would name the whole address
        if uri.authority().is_some() || uri.to_string().len() > LONGEST_ADDRESS {
            return Err(Refusal::Misdirected);
        }
        // no browser sends a form in pieces; whoever does, hides where it ends
        if headers.contains_key(header::TRANSFER_ENCODING) {
            return Err(Refusal::Misdirected);
        }
        let host = only(headers, header::HOST).ok_or(Refusal::Misdirected)?;
        if !self.hosts.iter().any(|own| own == host) {
            return Err(Refusal::Misdirected);
        }
        let inside = uri
            .path()
            .strip_prefix('/')
            .and_then(|path| path.split_at_checked(SECRET_DIGITS))
            .filter(|(secret, rest)| same(secret, &self.secret) && rest.starts_with('/'))
            .map(|(_, rest)| rest)
            .ok_or(Refusal::NotHere)?;
        let own_origin = format!("http://{host}");
        match headers.get_all(header::ORIGIN).iter().count() {
            0 => {}
            1 if only(headers, header::ORIGIN) == Some(&own_origin) => {}
            _ => return Err(Refusal::Foreign),
        }
        let site = only(headers, HeaderName::from_static("sec-fetch-site"));
        let changes = *method != Method::GET && *method != Method::HEAD;
        match site {
            Some("same-origin") => {}
            Some("none") | None if !changes => {}
            // whoever opens the door has the key: a file on this machine does, see `opening`
            Some("cross-site" | "same-site") if !changes && inside == "/" && is_opened(headers) => {
            }
            // a browser that does not say where a form comes from says its origin
            None if headers.contains_key(header::ORIGIN) => {}
            _ => return Err(Refusal::Foreign),
        }
        Ok(())
    }
}

/// Somebody opens a page, in a tab of its own; nothing is loaded into another.
fn is_opened(headers: &HeaderMap) -> bool {
    let mode = only(headers, HeaderName::from_static("sec-fetch-mode"));
    let kind = only(headers, HeaderName::from_static("sec-fetch-dest"));
    mode == Some("navigate") && kind == Some("document")
}

/// The value of a header that stands there once.
fn only(headers: &HeaderMap, name: HeaderName) -> Option<&str> {
    let mut all = headers.get_all(name).iter();
    let one = all.next()?.to_str().ok()?;
    all.next().is_none().then_some(one)
}

/// Compares in a time that does not tell how much of a guess was right.
fn same(one: &str, other: &str) -> bool {
    let differ = one
        .bytes()
        .zip(other.bytes())
        .fold(0, |differ, (a, b)| differ | (a ^ b));
    one.len() == other.len() && differ == 0
}

impl IntoResponse for Refusal {
    fn into_response(self) -> Response {
        let (status, words) = match self {
            Refusal::Misdirected => (
                StatusCode::MISDIRECTED_REQUEST,
                "This is not the address of the desk.",
            ),
            Refusal::Foreign => (StatusCode::FORBIDDEN, "This comes from another page."),
            Refusal::NotHere => (StatusCode::NOT_FOUND, "Nothing is here."),
        };
        (status, words).into_response()
    }
}

/// Lets a request in or refuses it, and puts on every answer what it must carry.
pub(super) async fn guard(
    State(gateway): State<Arc<Gateway>>,
    request: Request<Body>,
    next: Next,
) -> Response {
    let judged = gateway.judge(request.method(), request.uri(), request.headers());
    let mut answer = match judged {
        Ok(()) => next.run(request).await,
        Err(refusal) => refusal.into_response(),
    };
    for (name, value) in ALWAYS {
        answer.headers_mut().insert(
            HeaderName::from_static(name),
            HeaderValue::from_static(value),
        );
    }
    // what is sent behind a request that was refused is read by nobody: it may be the rest of that one in disguise
    if answer.status().is_client_error() {
        let close = HeaderValue::from_static("close");
        answer.headers_mut().insert(header::CONNECTION, close);
    }
    answer
}

#[cfg(test)]
mod tests {
    use super::*;

    fn gateway() -> Gateway {
        Gateway::new(4711).expect("random numbers")
    }

    fn judged(
        gateway: &Gateway,
        method: Method,
        path: &str,
        headers: &[(&'static str, &str)],
    ) -> Result<(), Refusal> {
        let mut map = HeaderMap::new();
        for (name, value) in headers {
            let value = HeaderValue::from_str(value).expect("plain text");
            map.append(HeaderName::from_static(name), value);
        }
        let path = path.replace("SECRET", gateway.secret());
        gateway.judge(&method, &path.parse().expect("an address"), &map)
    }

    #[test]
    fn only_the_page_itself_is_let_in() {
        let gateway = gateway();
        let host = ("host", "127.0.0.1:4711");
        let own = ("origin", "http://127.0.0.1:4711");
        let get = |path: &str, headers: &[(&'static str, &str)]| {
            judged(&gateway, Method::GET, path, headers)
        };
        let post = |headers: &[(&'static str, &str)]| {
            judged(&gateway, Method::POST, "/SECRET/day/print", headers)
        };
        assert_eq!(get("/SECRET/day", &[host]), Ok(()));
        assert_eq!(get("/SECRET/day", &[("host", "localhost:4711")]), Ok(()));
        for wrong in [
            "127.0.0.1",
            "localhost",
            "example.org:4711",
            "127.0.0.1:4712",
            "LOCALHOST:4711",
        ] {
            assert_eq!(
                get("/SECRET/day", &[("host", wrong)]),
                Err(Refusal::Misdirected)
            );
        }
        assert_eq!(get("/SECRET/day", &[]), Err(Refusal::Misdirected));
        assert_eq!(get("/SECRET/day", &[host, host]), Err(Refusal::Misdirected));
        assert_eq!(
            get("http://127.0.0.1:4711/SECRET/day", &[host]),
            Err(Refusal::Misdirected)
        );
        for wrong in ["/", "/day", "/SECRET", "/SECRETx/day", "//SECRET/day"] {
            assert_eq!(get(wrong, &[host]), Err(Refusal::NotHere), "{wrong}");
        }
        let cross = ("sec-fetch-site", "cross-site");
        assert_eq!(get("/SECRET/day", &[host, cross]), Err(Refusal::Foreign));
        let opened = [
            host,
            cross,
            ("sec-fetch-mode", "navigate"),
            ("sec-fetch-dest", "document"),
        ];
        assert_eq!(get("/SECRET/", &opened), Ok(()));
        assert_eq!(get("/SECRET/day", &opened), Err(Refusal::Foreign));
        assert_eq!(get("/SECRET/", &opened[..3]), Err(Refusal::Foreign));
        let chunked = ("transfer-encoding", "chunked");
        assert_eq!(post(&[host, own, chunked]), Err(Refusal::Misdirected));

        assert_eq!(post(&[host, own]), Ok(()));
        assert_eq!(
            post(&[host, own, ("sec-fetch-site", "same-origin")]),
            Ok(())
        );
        assert_eq!(post(&[host]), Err(Refusal::Foreign));
        assert_eq!(
            post(&[host, ("sec-fetch-site", "none")]),
            Err(Refusal::Foreign)
        );
        assert_eq!(post(&[host, own, cross]), Err(Refusal::Foreign));
        assert_eq!(post(&[host, own, own]), Err(Refusal::Foreign));
        for foreign in [
            "null",
            "http://localhost:4711",
            "http://127.0.0.1:80",
            "https://127.0.0.1:4711",
        ] {
            assert_eq!(
                post(&[host, ("origin", foreign)]),
                Err(Refusal::Foreign),
                "{foreign}"
            );
        }
    }

    #[test]
    fn every_desk_has_a_secret_of_its_own() {
        let (one, other) = (gateway(), gateway());
        assert_eq!(one.secret().len(), SECRET_DIGITS);
        assert_ne!(one.secret(), other.secret());
    }
}
