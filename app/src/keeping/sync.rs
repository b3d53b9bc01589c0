//! In step with the shop's computer: what is sent when, what comes, and what is said of it.
//!
//! The talk itself is [`tailplate_core::sync::Replica`]; here are the calls, and the writes in the order it asks for.

use std::cell::Cell;
use std::collections::BTreeSet;

use js_sys::{Reflect, Uint8Array};
use leptos::prelude::*;
use serde::{Deserialize, Serialize};
use tailplate_core::record::Kind;
use tailplate_core::sync::{Id, Item, Outcome, PHOTOS_ASKED_MAX, Place, Pulled, Pushed, Replica, Write, wire};
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::{JsFuture, spawn_local};

use super::{shelf, the_store};
use crate::photo;
use crate::state::{Shared, the_shared};
use crate::store::{self, Incoming, Store};

/// Where it stands, for the person.
#[derive(Debug, Clone, PartialEq, Default)]
pub enum Step {
    /// No shop's computer is known: everything stays on this device.
    #[default]
    Alone,
    /// Waits for the network; so many records are not sent yet.
    Waiting(usize, String),
    /// So many to go.
    Sending(usize),
    Photos(usize),
    UpToDate(i64),
    /// The shop's computer refuses, and says why.
    Refused(String),
}

/// What lets this device in.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Pass {
    pub shop: String,
    pub device: String,
    token: String,
}

thread_local! {
    /// Of no screen's own: it outlives them all.
    static STEP: ArcRwSignal<Step> = ArcRwSignal::new(Step::Alone);
    static RUNNING: Cell<bool> = const { Cell::new(false) };
    static AGAIN: Cell<bool> = const { Cell::new(false) };
    /// Seconds to wait after a failure; doubled each time.
    static BACK_OFF_S: Cell<i32> = const { Cell::new(1) };
    static LISTENS: Cell<bool> = const { Cell::new(false) };
}

const BACK_OFF_MAX_S: i32 = 120;

pub fn step() -> ArcRwSignal<Step> {
    STEP.with(Clone::clone)
}

async fn pass(store: &Store) -> Option<Pass> {
    serde_json::from_str(&store.meta("pass").await.ok()??).ok()
}

/// Whether this device belongs to a shop's computer.
pub async fn paired() -> Option<Pass> {
    pass(&the_store().await.ok()?).await
}

/// Begins when the store is open: sends what waits, and again after each change.
pub fn begin(shared: Shared) {
    Effect::new(move |_| {
        shared.changed.track();
        set_timeout(soon, std::time::Duration::from_millis(800));
    });
    let online = wasm_bindgen::closure::Closure::<dyn FnMut()>::new(|| {
        BACK_OFF_S.set(1);
        soon();
    });
    for event in ["online", "focus"] {
        let _ = window().add_event_listener_with_callback(event, online.as_ref().unchecked_ref());
    }
    // Alive as long as the page.
    online.forget();
}

/// Syncs now, or once more after the run that is under way.
pub fn soon() {
    if RUNNING.replace(true) {
        AGAIN.set(true);
        return;
    }
    spawn_local(async {
        loop {
            AGAIN.set(false);
            match run().await {
                Ok(()) => BACK_OFF_S.set(1),
                Err(Trouble::Alone) => step().set(Step::Alone),
                Err(Trouble::Refused(why)) => step().set(Step::Refused(why)),
                Err(Trouble::Away(why)) => {
                    let waiting = match the_store().await {
                        Ok(store) => store.outbox().await.map(|all| all.len()).unwrap_or(0),
                        Err(_) => 0,
                    };
                    step().set(Step::Waiting(waiting, why));
                    let wait_s = BACK_OFF_S.get();
                    BACK_OFF_S.set((wait_s * 2).min(BACK_OFF_MAX_S));
                    set_timeout(soon, std::time::Duration::from_secs(wait_s as u64));
                }
            }
            if !AGAIN.get() {
                break;
            }
        }
        RUNNING.set(false);
    });
}

enum Trouble {
    Alone,
    /// Nothing answers, or not now: tried again later.
    Away(String),
    /// It answers no, for good.
    Refused(String),
}

impl From<String> for Trouble {
    fn from(why: String) -> Self {
        Self::Away(why)
    }
}

async fn run() -> Result<(), Trouble> {
    let store = the_store().await?;
    shelf::ready().await?;
    let pass = pass(&store).await.ok_or(Trouble::Alone)?;
    let shop = Id::of(&pass.shop).ok_or(Trouble::Alone)?;
    let kept = store.meta("place").await.map_err(|e| e.to_string())?;
    let place = kept.as_deref().and_then(unhex).and_then(|bytes| Place::of(&bytes)).unwrap_or(Place::paired(shop));
    let mut replica = Replica::new(place, store::random_number().map_err(|e| e.to_string())?);
    let mut came = false;
    loop {
        // Push until the outbox is empty.
        let outbox = store.outbox().await.map_err(|e| e.to_string())?;
        step().set(Step::Sending(outbox.len()));
        let mut entries = Vec::new();
        for (_, id, turn) in outbox.iter().take(tailplate_core::sync::COUNT_MAX) {
            if let (Some(raw), Some(record)) = (store.raw(id).await.map_err(|e| e.to_string())?, Id::of(id)) {
                entries.push((*turn as u64, Item { kind: raw.kind.word().into(), record, bytes: raw.bytes }));
            }
        }
        match replica.push(entries) {
            Some(push) => {
                let answer = call(&pass, "POST", "api/push", Some(&push.encode())).await?;
                let answer = Pushed::decode(&answer).map_err(|e| e.to_string())?;
                let over = matches!(answer.outcome, Outcome::StartOver);
                let writes = replica.pushed(&answer).map_err(|e| Trouble::Refused(e.to_string()))?;
                apply(&store, writes).await?;
                if over {
                    continue;
                }
            }
            None => {
                let answer = call(&pass, "POST", "api/pull", Some(&replica.pull().encode())).await?;
                let answer = Pulled::decode(&answer).map_err(|e| e.to_string())?;
                let more = match &answer.outcome {
                    Outcome::Done(more) => more.more,
                    Outcome::StartOver => true,
                };
                let writes = replica.pulled(answer).map_err(|e| Trouble::Refused(e.to_string()))?;
                came |= writes.iter().any(|write| matches!(write, Write::Join(_)));
                apply(&store, writes).await?;
                if !more && !replica.is_behind() && store.outbox().await.map_err(|e| e.to_string())?.is_empty() {
                    break;
                }
            }
        }
    }
    if came {
        the_shared().changed.update(|n| *n += 1);
    }
    photos_out(&store, &pass).await?;
    photos_in(&store, &pass).await?;
    step().set(Step::UpToDate(store::now_ms()));
    listen(pass);
    Ok(())
}

/// Does what the talk asks for, in its order.
async fn apply(store: &Store, writes: Vec<Write>) -> Result<(), Trouble> {
    let told = |e: store::StoreError| Trouble::Away(e.to_string());
    let mut incoming = Vec::new();
    for write in writes {
        match write {
            Write::Join(item) => {
                // A kind of a newer version stays on the shop's computer, and comes when this one is newer too.
                if let Some(kind) = Kind::of(&item.kind) {
                    incoming.push(Incoming { kind, id: item.record.hex(), bytes: item.bytes });
                }
            }
            other => {
                take_in(store, std::mem::take(&mut incoming)).await?;
                match other {
                    Write::Place(place) => {
                        store.change_meta("place", |_| Some(hex(&place.bytes()))).await.map_err(told)?;
                    }
                    Write::Forget { first, last } => store.forget_turns(first, last).await.map_err(told)?,
                    Write::SendAll => {
                        store.send_all_again().await.map_err(told)?;
                        store.change_meta("photos-sent", |_| None).await.map_err(told)?;
                    }
                    Write::SetAside { why, .. } => the_shared().warn(why),
                    Write::Join(_) => {}
                }
            }
        }
    }
    take_in(store, incoming).await
}

async fn take_in(store: &Store, incoming: Vec<Incoming>) -> Result<(), Trouble> {
    for some in incoming.chunks(50) {
        let rows = store.take_in(some, true).await.map_err(|e| e.to_string())?;
        // Photos that these records name are fetched afterwards, and not forgotten if that is cut short.
        let mut wanted = BTreeSet::new();
        for row in &rows {
            if let Ok(Some(raw)) = store.raw(&row.id).await {
                wanted.extend(photos_named(&raw.json));
            }
        }
        if !wanted.is_empty() {
            let join = |before: Option<String>| {
                let mut all: BTreeSet<String> =
                    before.unwrap_or_default().split_whitespace().map(str::to_owned).collect();
                all.extend(wanted.iter().cloned());
                Some(all.into_iter().collect::<Vec<_>>().join(" "))
            };
            store.change_meta("photos-wanted", join).await.map_err(|e| e.to_string())?;
        }
        shelf::put_all(rows);
    }
    Ok(())
}

/// The hashes of photos in a record's JSON.
fn photos_named(json: &str) -> Vec<String> {
    json.split("\"sha256\":\"").skip(1).filter_map(|rest| rest.get(..64)).map(str::to_owned).collect()
}

async fn photos_out(store: &Store, pass: &Pass) -> Result<(), Trouble> {
    let told = |e: store::StoreError| Trouble::Away(e.to_string());
    let sent = store.meta("photos-sent").await.map_err(told)?.unwrap_or_default();
    let sent: BTreeSet<&str> = sent.split_whitespace().collect();
    let here = store.photo_names().await.map_err(told)?;
    let new: Vec<&String> = here.iter().filter(|name| !sent.contains(name.as_str())).collect();
    let mut left = new.len();
    for some in new.chunks(PHOTOS_ASKED_MAX) {
        let asked: Vec<u8> = some.iter().filter_map(|name| unhex(name)).flatten().collect();
        let missing = call(pass, "POST", "api/photos/missing", Some(&asked)).await?;
        let missing: BTreeSet<String> = missing.chunks(32).map(hex).collect();
        for name in some {
            step().set(Step::Photos(left));
            left -= 1;
            if missing.contains(*name)
                && let Ok(Some(photo)) = store.photo(name).await
            {
                call(pass, "PUT", &format!("api/photos/{name}"), Some(&photo.bytes)).await?;
            }
            let name = (*name).clone();
            store
                .change_meta("photos-sent", |before| Some(format!("{} {name}", before.unwrap_or_default())))
                .await
                .map_err(told)?;
        }
    }
    Ok(())
}

async fn photos_in(store: &Store, pass: &Pass) -> Result<(), Trouble> {
    let told = |e: store::StoreError| Trouble::Away(e.to_string());
    let wanted = store.meta("photos-wanted").await.map_err(told)?.unwrap_or_default();
    let wanted: Vec<String> = wanted.split_whitespace().map(str::to_owned).collect();
    let here: BTreeSet<String> = store.photo_names().await.map_err(told)?.into_iter().collect();
    let mut left = wanted.len();
    let mut came = false;
    for name in wanted {
        step().set(Step::Photos(left));
        left -= 1;
        if !here.contains(&name) {
            match call(pass, "GET", &format!("api/photos/{name}"), None).await {
                Ok(bytes) if store::sha256_hex(&bytes) == name => {
                    let thumb = photo::thumb_of(&bytes).await?;
                    store.put_photo(&bytes, &thumb, photo::MEDIA_TYPE).await.map_err(told)?;
                    came = true;
                }
                // Not there yet: the device that took it has not sent it. It stays wanted.
                Ok(_) => continue,
                Err(Trouble::Refused(_)) => continue,
                Err(other) => return Err(other),
            }
        }
        let without = |before: Option<String>| {
            let rest: Vec<String> = before
                .unwrap_or_default()
                .split_whitespace()
                .filter(|other| **other != name)
                .map(str::to_owned)
                .collect();
            (!rest.is_empty()).then(|| rest.join(" "))
        };
        store.change_meta("photos-wanted", without).await.map_err(told)?;
        let sent = name.clone();
        store
            .change_meta("photos-sent", |before| Some(format!("{} {sent}", before.unwrap_or_default())))
            .await
            .map_err(told)?;
    }
    if came {
        the_shared().changed.update(|n| *n += 1);
    }
    Ok(())
}

/// Lets this device in with a code from the shop's computer's screen.
pub async fn pair(code: String, name: String) -> Result<(), String> {
    let body = serde_json::json!({ "code": code.trim(), "name": name.trim() }).to_string();
    let told = |trouble| match trouble {
        Trouble::Alone => "The shop's computer can't be reached.".to_owned(),
        Trouble::Away(why) | Trouble::Refused(why) => why,
    };
    let answer = fetch("POST", "api/pair", None, Some(body.as_bytes()), "application/json").await.map_err(told)?;
    let pass: Pass = serde_json::from_slice(&answer)
        .map_err(|_| "The shop's computer answered in a way this version can't read.".to_owned())?;
    let store = the_store().await?;
    let kept = serde_json::to_string(&pass).map_err(|e| e.to_string())?;
    let before = paired().await;
    let text = |e: store::StoreError| e.to_string();
    // Another shop's log is another story: everything goes to it, and all of it is read.
    if before.is_none_or(|before| before.shop != pass.shop) {
        store.change_meta("place", |_| None).await.map_err(text)?;
        store.change_meta("photos-sent", |_| None).await.map_err(text)?;
        store.send_all_again().await.map_err(text)?;
    }
    store.change_meta("pass", |_| Some(kept.clone())).await.map_err(text)?;
    soon();
    Ok(())
}

/// Forgets the shop's computer; what is on this device stays.
pub async fn part() -> Result<(), String> {
    the_store().await?.change_meta("pass", |_| None).await.map_err(|e| e.to_string())?;
    step().set(Step::Alone);
    Ok(())
}

/// A device that belongs to the shop.
#[derive(Debug, Clone, Deserialize)]
pub struct Listed {
    pub id: String,
    pub name: String,
    #[serde(default)]
    pub revoked_ms: i64,
}

#[derive(Deserialize)]
struct Devices {
    this: String,
    devices: Vec<Listed>,
}

/// Every device, and the id of this one.
pub async fn devices() -> Result<(String, Vec<Listed>), String> {
    let answer = with_pass("GET", "api/devices", None).await?;
    let told: Devices = serde_json::from_slice(&answer).map_err(|e| e.to_string())?;
    Ok((told.this, told.devices))
}

pub async fn shut_out(id: &str) -> Result<(), String> {
    with_pass("DELETE", &format!("api/devices/{id}"), None).await.map(|_| ())
}

/// A code for the next device.
#[derive(Debug, Clone, Deserialize)]
pub struct Code {
    pub code: String,
    pub url: String,
    pub svg: String,
}

pub async fn new_code() -> Result<Code, String> {
    serde_json::from_slice(&with_pass("POST", "api/codes", None).await?).map_err(|e| e.to_string())
}

async fn with_pass(method: &str, path: &str, body: Option<&[u8]>) -> Result<Vec<u8>, String> {
    let pass = paired().await.ok_or("This device is not paired.")?;
    call(&pass, method, path, body).await.map_err(|trouble| match trouble {
        Trouble::Alone => String::new(),
        Trouble::Away(why) | Trouble::Refused(why) => why,
    })
}

async fn call(pass: &Pass, method: &str, path: &str, body: Option<&[u8]>) -> Result<Vec<u8>, Trouble> {
    fetch(method, path, Some(&pass.token), body, wire::MEDIA_TYPE).await
}

const AWAY: &str = "The shop’s computer does not answer. Everything is safe here, and is sent when it does.";

fn request(method: &str, token: Option<&str>, body: Option<&[u8]>, media_type: &str) -> js_sys::Object {
    let (options, headers) = (js_sys::Object::new(), js_sys::Object::new());
    let set = |object: &js_sys::Object, name: &str, value: &JsValue| {
        let _ = Reflect::set(object, &name.into(), value);
    };
    if let Some(token) = token {
        set(&headers, "Authorization", &format!("Bearer {token}").into());
    }
    if let Some(body) = body {
        set(&headers, "Content-Type", &media_type.into());
        set(&options, "body", &Uint8Array::from(body));
    }
    set(&options, "method", &method.into());
    set(&options, "headers", &headers);
    set(&options, "cache", &"no-store".into());
    options
}

async fn respond(path: &str, options: &js_sys::Object) -> Result<web_sys::Response, Trouble> {
    let fetch: js_sys::Function = Reflect::get(&window(), &"fetch".into()).unwrap_or_default().unchecked_into();
    let away = |_: JsValue| Trouble::Away(AWAY.into());
    let promise: js_sys::Promise = fetch.call2(&window(), &path.into(), options).map_err(away)?.unchecked_into();
    Ok(JsFuture::from(promise).await.map_err(away)?.unchecked_into())
}

async fn fetch(
    method: &str,
    path: &str,
    token: Option<&str>,
    body: Option<&[u8]>,
    media_type: &str,
) -> Result<Vec<u8>, Trouble> {
    let response = respond(path, &request(method, token, body, media_type)).await?;
    let away = |_: JsValue| Trouble::Away(AWAY.into());
    let bytes = JsFuture::from(response.array_buffer().map_err(away)?).await.map_err(away)?;
    let bytes = Uint8Array::new(&bytes).to_vec();
    if response.ok() {
        return Ok(bytes);
    }
    let told = serde_json::from_slice::<serde_json::Value>(&bytes)
        .ok()
        .and_then(|answer| Some(answer["told"].as_str()?.to_owned()));
    match (response.status(), told) {
        // Busy or in trouble: later.
        (500.. | 429 | 408, told) => Err(Trouble::Away(told.unwrap_or_else(|| AWAY.into()))),
        // What answers there is no shop's computer that keeps records.
        (404 | 405, None) => {
            Err(Trouble::Away("What answers there keeps no records. Open Tailplate from the shop’s computer.".into()))
        }
        (_, told) => Err(Trouble::Refused(told.unwrap_or_else(|| AWAY.into()))),
    }
}

/// Hears when there is something to pull, for as long as the line holds.
fn listen(pass: Pass) {
    if LISTENS.replace(true) {
        return;
    }
    spawn_local(async move {
        if let Ok(response) = respond("api/events", &request("GET", Some(&pass.token), None, "")).await
            && response.ok()
            && let Some(body) =
                Reflect::get(&response, &"body".into()).ok().filter(|body| !body.is_null() && !body.is_undefined())
        {
            let method = |of: &JsValue, name: &str| -> Option<js_sys::Function> {
                Reflect::get(of, &name.into()).ok()?.dyn_into().ok()
            };
            let reader = method(&body, "getReader").and_then(|get| get.call0(&body).ok());
            let mut first = true;
            while let Some(reader) = &reader {
                let Some(promise) = method(reader, "read").and_then(|read| read.call0(reader).ok()) else { break };
                let Ok(piece) = JsFuture::from(promise.unchecked_into::<js_sys::Promise>()).await else { break };
                if Reflect::get(&piece, &"done".into()).is_ok_and(|done| done.is_truthy()) {
                    break;
                }
                let bytes =
                    Reflect::get(&piece, &"value".into()).ok().and_then(|value| value.dyn_into::<Uint8Array>().ok());
                let text = bytes.map(|bytes| String::from_utf8_lossy(&bytes.to_vec()).into_owned()).unwrap_or_default();
                // The first only says how far the log goes now, which was just read.
                if text.contains("event: log") && !std::mem::take(&mut first) {
                    soon();
                }
            }
        }
        LISTENS.set(false);
        // The line broke: soon it is tried again, with the usual patience.
        set_timeout(soon, std::time::Duration::from_secs(5));
    });
}

fn hex(bytes: &[u8]) -> String {
    bytes.iter().map(|byte| format!("{byte:02x}")).collect()
}

fn unhex(text: &str) -> Option<Vec<u8>> {
    if !text.len().is_multiple_of(2) || !text.is_ascii() {
        return None;
    }
    (0..text.len()).step_by(2).map(|at| u8::from_str_radix(&text[at..at + 2], 16).ok()).collect()
}
