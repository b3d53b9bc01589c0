//! What a phone may ask of the shop's computer, under `/api/`.
//!
//! | call | what it does |
//! |---|---|
//! | `POST /api/pair` | lets a device in against a code; the only call without a token |
//! | `POST /api/push`, `POST /api/pull` | [`tailplate_core::sync`], as bytes |
//! | `GET /api/events` | tells when there is something to pull |
//! | `POST /api/photos/missing` | which of these photos are not here |
//! | `HEAD`, `GET`, `PUT /api/photos/{sha256}` | one photo |
//! | `GET /api/devices`, `PATCH`, `DELETE /api/devices/{id}` | who is in; names; shuts out |
//! | `POST /api/codes` | a new code, as words and as a square |
//!
//! All but pairing want `Authorization: Bearer` and the device's token. What is refused is answered with a JSON object of
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
        let is_full = matches!(&trouble, Trouble::Disk(error) if error.kind() == std::io::ErrorKind::StorageFull);
        if is_full {
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

async fn dispatch(hub: &Arc<Hub>, request: Request, who: &mut String) -> Done {
    let path = request.uri().path().to_owned();
    let words: Vec<&str> = path.trim_start_matches('/').split('/').skip(1).collect();
    let method = request.method().clone();
    let is = |wanted: Method| method == wanted;
    if words[..] == ["pair"] && is(Method::POST) {
        return devices::pair(hub, request).await;
    }
    let device = who_asks(hub, request.headers()).await?;
    who.clone_from(&device.id);
    match words[..] {
        ["push"] if is(Method::POST) => sync::push(hub, &device, request).await,
        ["pull"] if is(Method::POST) => sync::pull(hub, request).await,
        ["events"] if is(Method::GET) => events::stream(hub, request.headers()),
        ["photos", "missing"] if is(Method::POST) => photos::missing(hub, request).await,
        ["photos", name] if is(Method::GET) || is(Method::HEAD) => photos::get(hub, name, is(Method::HEAD)).await,
        ["photos", name] if is(Method::PUT) => photos::put(hub, name, request).await,
        ["devices"] if is(Method::GET) => devices::list(hub, &device).await,
        ["devices", id] if is(Method::PATCH) => devices::name(hub, id, request).await,
        ["devices", id] if is(Method::DELETE) => devices::revoke(hub, id).await,
        ["codes"] if is(Method::POST) => devices::code(hub).await,
        _ => Err(Refusal::nothing_here()),
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
