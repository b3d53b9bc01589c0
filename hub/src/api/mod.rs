//! What a phone may ask of the shop's computer, under `/api/`.
//!
//! | call | what it does |
//! |---|---|
//! | `POST /api/pair` | lets a device in against a code |
//! | `POST /api/push`, `POST /api/pull` | [`tailplate_core::sync`], as bytes |
//! | `GET /api/events` | tells when there is something to pull |
//! | `POST /api/photos/missing` | which of these photos are not here |
//! | `HEAD`, `GET`, `PUT /api/photos/{sha256}` | one photo |
//! | `GET /api/devices`, `PATCH`, `DELETE /api/devices/{id}` | who is in; names; shuts out |
//! | `POST /api/codes` | a new code, as words and as a square |
//! | `GET /api/openapi.json` | these calls, described for programs |
//!
//! All but pairing and the description want `Authorization: Bearer` and the device's token. What is refused is answered with a JSON object of
//! one word for the program (`error`) and one sentence for the person (`told`); then nothing has changed.

mod body;
mod devices;
mod events;
mod photos;
mod sync;

use std::sync::Arc;
use std::time::Duration;

use hyper::header::{self, HeaderMap};
use hyper::{Method, StatusCode};
use serde::Serialize;
use tokio::sync::{Semaphore, watch};

use crate::http::{Request, Response, builder, full};
use crate::store::{Device, Photos, Store, Trouble};

/// How long a device may take over a body before it is let go, unless told otherwise.
pub const PATIENCE: Duration = Duration::from_secs(20);
/// Event streams open at once.
const STREAMS_MAX: usize = 200;

/// Everything the calls share. No call leaves anything in memory for the next: several hubs may share one database.
pub struct Hub {
    pub store: Store,
    pub photos: Photos,
    /// Where phones find this hub, with a slash at its end.
    pub url: String,
    pub patience: Duration,
    /// The newest number of the log, for those who wait for it.
    pub news: watch::Sender<u64>,
    /// True when the server stops.
    pub stopping: watch::Receiver<bool>,
    streams: Arc<Semaphore>,
}

impl Hub {
    pub fn new(store: Store, photos: Photos, url: String, patience: Duration, stopping: watch::Receiver<bool>) -> Self {
        let streams = Arc::new(Semaphore::new(STREAMS_MAX));
        Self { store, photos, url, patience, news: watch::Sender::new(0), stopping, streams }
    }

    /// Looks after the log for as long as the server runs: what other hubs wrote is told here too, and long records are
    /// made short.
    pub async fn look_after(self: Arc<Self>) {
        const LOOK: Duration = Duration::from_secs(1);
        const COMPACT_EVERY: u32 = 60;
        let mut turn = 0u32;
        let mut compacted_at = None;
        loop {
            tokio::time::sleep(LOOK).await;
            turn = turn.wrapping_add(1);
            if self.news.receiver_count() == 0 && !turn.is_multiple_of(COMPACT_EVERY) {
                continue;
            }
            let Ok(last) = self.store.last().await else { continue };
            self.tell(last);
            if turn.is_multiple_of(COMPACT_EVERY) && compacted_at != Some(last) {
                compacted_at = Some(last);
                match self.store.compact().await {
                    Ok(0) => {}
                    Ok(count) => tracing::info!(count, "records made short"),
                    Err(error) => tracing::error!(%error, "records can't be made short"),
                }
            }
        }
    }

    fn tell(&self, last: u64) {
        self.news.send_if_modified(|news| {
            let is_newer = *news < last;
            *news = last.max(*news);
            is_newer
        });
    }
}

/// A call that is not done.
#[derive(Debug)]
pub struct Refusal {
    pub status: StatusCode,
    /// For the program.
    pub word: &'static str,
    /// For the person.
    pub told: String,
}

impl Refusal {
    pub fn new(status: StatusCode, word: &'static str, told: impl Into<String>) -> Self {
        Self { status, word, told: told.into() }
    }

    fn malformed(told: impl Into<String>) -> Self {
        Self::new(StatusCode::BAD_REQUEST, "malformed", told)
    }

    fn nothing_here() -> Self {
        Self::new(StatusCode::NOT_FOUND, "not-found", "There is nothing at this address.")
    }

    pub fn response(&self) -> Response {
        let mut response = json(self.status, &serde_json::json!({ "error": self.word, "told": self.told }));
        if self.status == StatusCode::UNAUTHORIZED {
            response.headers_mut().insert(header::WWW_AUTHENTICATE, header::HeaderValue::from_static("Bearer"));
        }
        response
    }
}

impl From<Trouble> for Refusal {
    /// The device learns that it was not its fault; what it was stands in the log.
    fn from(trouble: Trouble) -> Self {
        tracing::error!(%trouble, "a call could not be done");
        if trouble.is_full() {
            return Self::new(
                StatusCode::INSUFFICIENT_STORAGE,
                "full",
                "The shop's computer has no room left. Nothing is lost on this device; make room there.",
            );
        }
        Self::new(
            StatusCode::SERVICE_UNAVAILABLE,
            "trouble",
            "The shop's computer can't do this right now. Nothing is lost on this device; it tries again.",
        )
    }
}

type Done = Result<Response, Refusal>;

/// Answers a call under `/api/`; beside it whose it was, for the log.
pub async fn answer(hub: &Arc<Hub>, request: Request) -> (Response, String) {
    let mut device = String::new();
    let done = dispatch(hub, request, &mut device).await;
    (done.unwrap_or_else(|refusal| refusal.response()), device)
}

/// What a call does.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Does {
    Describe,
    Pair,
    Push,
    Pull,
    Events,
    MissingPhotos,
    HeadPhoto,
    GetPhoto,
    PutPhoto,
    Devices,
    NameDevice,
    RevokeDevice,
    Code,
}

/// Every call there is. A word in braces stands for any.
const CALLS: [(&str, &str, Does); 13] = [
    ("GET", "/api/openapi.json", Does::Describe),
    ("POST", "/api/pair", Does::Pair),
    ("POST", "/api/push", Does::Push),
    ("POST", "/api/pull", Does::Pull),
    ("GET", "/api/events", Does::Events),
    ("POST", "/api/photos/missing", Does::MissingPhotos),
    ("HEAD", "/api/photos/{sha256}", Does::HeadPhoto),
    ("GET", "/api/photos/{sha256}", Does::GetPhoto),
    ("PUT", "/api/photos/{sha256}", Does::PutPhoto),
    ("GET", "/api/devices", Does::Devices),
    ("PATCH", "/api/devices/{id}", Does::NameDevice),
    ("DELETE", "/api/devices/{id}", Does::RevokeDevice),
    ("POST", "/api/codes", Does::Code),
];

/// The calls as an OpenAPI document; tests hold it against the table above and against what is answered.
pub const OPENAPI: &str = include_str!("openapi.json");

/// The call that is meant, and the word that stands for the braces.
fn find<'a>(method: &Method, path: &'a str) -> Option<(Does, &'a str)> {
    CALLS.iter().find_map(|(its, pattern, does)| {
        let word = match pattern.split_once('{') {
            Some((front, _)) => path.strip_prefix(front).filter(|word| !word.is_empty() && !word.contains('/'))?,
            None => (*pattern == path).then_some("")?,
        };
        (*its == method.as_str()).then_some((*does, word))
    })
}

async fn dispatch(hub: &Arc<Hub>, request: Request, who: &mut String) -> Done {
    let path = request.uri().path().to_owned();
    let call = find(request.method(), &path);
    match call {
        Some((Does::Describe, _)) => return Ok(bytes(StatusCode::OK, "application/json", OPENAPI.into())),
        Some((Does::Pair, _)) => return devices::pair(hub, request).await,
        _ => {}
    }
    let device = who_asks(hub, request.headers()).await?;
    who.clone_from(&device.id);
    let (does, word) = call.ok_or_else(Refusal::nothing_here)?;
    match does {
        Does::Describe | Does::Pair => Err(Refusal::nothing_here()),
        Does::Push => sync::push(hub, &device, request).await,
        Does::Pull => sync::pull(hub, request).await,
        Does::Events => events::stream(hub, request.headers()),
        Does::MissingPhotos => photos::missing(hub, request).await,
        Does::HeadPhoto => photos::get(hub, word, true).await,
        Does::GetPhoto => photos::get(hub, word, false).await,
        Does::PutPhoto => photos::put(hub, word, request).await,
        Does::Devices => devices::list(hub, &device).await,
        Does::NameDevice => devices::name(hub, word, request).await,
        Does::RevokeDevice => devices::revoke(hub, word).await,
        Does::Code => devices::code(hub).await,
    }
}

/// The device whose token the call carries.
async fn who_asks(hub: &Hub, headers: &HeaderMap) -> Result<Device, Refusal> {
    let refused = |word, told: &str| Refusal::new(StatusCode::UNAUTHORIZED, word, told);
    let token =
        bearer(headers).ok_or_else(|| refused("no-token", "Pair this device with the shop's computer first."))?;
    match hub.store.device_of(token).await? {
        None => Err(refused("wrong-token", "The shop's computer does not know this device; pair it again.")),
        Some(device) if device.revoked_ms > 0 => Err(refused(
            "revoked",
            "This device was shut out on the shop's computer. What is on it stays on it; pair it again if it is yours.",
        )),
        Some(device) => Ok(device),
    }
}

fn bearer(headers: &HeaderMap) -> Option<&str> {
    let mut all = headers.get_all(header::AUTHORIZATION).iter();
    let (Some(one), None) = (all.next(), all.next()) else { return None };
    let (scheme, token) = one.to_str().ok()?.split_once(' ')?;
    let is_token = token.len() == 64 && token.bytes().all(|c| c.is_ascii_hexdigit());
    (scheme.eq_ignore_ascii_case("bearer") && is_token).then_some(token)
}

fn json(status: StatusCode, body: &impl Serialize) -> Response {
    let text = serde_json::to_string(body).unwrap_or_default();
    bytes(status, "application/json", text.into_bytes())
}

fn bytes(status: StatusCode, media_type: &str, body: Vec<u8>) -> Response {
    builder()
        .status(status)
        .header(header::CONTENT_TYPE, media_type)
        .header(header::CONTENT_LENGTH, body.len())
        .header(header::CACHE_CONTROL, "no-store")
        .body(full(body))
        .unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::*;

    #[test]
    fn every_call_is_described_and_nothing_else() {
        let document: serde_json::Value = serde_json::from_str(OPENAPI).unwrap();
        let described: BTreeSet<(String, String)> = document["paths"]
            .as_object()
            .unwrap()
            .iter()
            .flat_map(|(path, methods)| methods.as_object().unwrap().keys().map(move |method| (method, path)))
            .filter(|(method, _)| *method != "parameters")
            .map(|(method, path)| (method.to_uppercase(), path.clone()))
            .collect();
        let there = CALLS.iter().map(|(method, path, _)| (method.to_string(), path.to_string()));
        assert_eq!(described, there.collect());
    }

    #[test]
    fn a_word_in_braces_stands_for_one_word() {
        let find = |path| find(&Method::DELETE, path);
        assert_eq!(find("/api/devices/a1"), Some((Does::RevokeDevice, "a1")));
        for path in ["/api/devices/", "/api/devices", "/api/devices/a/b", "/api//devices/a", "/api/devices/../codes"] {
            assert_eq!(find(path), None, "{path}");
        }
    }
}
