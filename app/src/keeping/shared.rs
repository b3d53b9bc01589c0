//! What another app shared with this one: its words, and its photos kept as a find. The service worker left them in a cache.

use js_sys::{Array, Promise, Uint8Array};
use leptos::prelude::Update;
use tailplate_core::shop::{Find, Stage};
use wasm_bindgen::prelude::wasm_bindgen;
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::JsFuture;
use web_sys::{Blob, Response};

use super::photos::add_photo;
use super::{add, new_id};
use crate::photo;
use crate::state::Shared;
use crate::store;

#[wasm_bindgen]
extern "C" {
    #[derive(Clone)]
    type Caches;
    type Waiting;
    /// None in a page that is no secure context.
    #[wasm_bindgen(thread_local_v2, js_name = caches)]
    static CACHES: Option<Caches>;
    #[wasm_bindgen(method)]
    fn has(this: &Caches, name: &str) -> Promise;
    #[wasm_bindgen(method)]
    fn open(this: &Caches, name: &str) -> Promise;
    #[wasm_bindgen(method)]
    fn delete(this: &Caches, name: &str) -> Promise;
    #[wasm_bindgen(method)]
    fn keys(this: &Waiting) -> Promise;
    #[wasm_bindgen(method, js_name = match)]
    fn find(this: &Waiting, request: &JsValue) -> Promise;
}

/// The service worker calls it the same.
const WAITING: &str = "shared-with-tailplate";
/// A find's name is a line, not the whole text.
const NAME_MAX: usize = 60;

pub struct Handed {
    pub words: String,
    /// The find that has the photos.
    pub find: Option<String>,
}

/// Takes what waits; each thing is let go of once it is safe.
pub async fn take(shared: Shared) -> Result<Option<Handed>, String> {
    let Some(caches) = CACHES.with(Clone::clone) else {
        return Ok(None);
    };
    if wait(caches.has(WAITING)).await? != JsValue::TRUE {
        return Ok(None);
    }
    let waiting: Waiting = wait(caches.open(WAITING)).await?.unchecked_into();
    let keys: Array = wait(waiting.keys()).await?.unchecked_into();
    let (mut words, mut files) = (Vec::new(), Vec::new());
    for request in keys.iter() {
        let Ok(response) = wait(waiting.find(&request)).await?.dyn_into::<Response>() else { continue };
        let blob: Blob = wait(response.blob().map_err(told)?).await?.unchecked_into();
        let bytes = Uint8Array::new(&wait(blob.array_buffer()).await?).to_vec();
        match blob.type_() {
            kind if kind.starts_with("text/") => words.push(String::from_utf8_lossy(&bytes).into_owned()),
            kind => files.push(photo::file_of(&bytes, &kind)?),
        }
    }
    let words = words.join("\n");
    let mut find = None;
    if !files.is_empty() {
        let mut kept = Find::new(&new_id()?, store::now_ms());
        kept.name = words.lines().next().unwrap_or_default().chars().take(NAME_MAX).collect();
        kept.note = words.clone();
        let kept = add(&kept).await?;
        for file in &files {
            // One that is no picture must not keep the others out.
            if let Err(trouble) = add_photo::<Find>(&kept.id, file, Stage::Arrival).await {
                shared.warn(trouble);
            }
        }
        shared.changed.update(|n| *n += 1);
        find = Some(kept.id);
    }
    wait(caches.delete(WAITING)).await?;
    Ok((find.is_some() || !words.is_empty()).then_some(Handed { words, find }))
}

async fn wait(promise: Promise) -> Result<JsValue, String> {
    JsFuture::from(promise).await.map_err(told)
}

fn told(_: JsValue) -> String {
    "What was shared could not be read. Share it again.".to_owned()
}
