//! How much room is there, and may the browser clear it?

use js_sys::Promise;
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::JsFuture;

use super::db::get;

/// What the browser says of its storage; none where it says nothing.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Storage {
    pub used_bytes: Option<f64>,
    pub quota_bytes: Option<f64>,
    /// True: kept until the person clears it. False: the browser may clear it when room runs out.
    pub persisted: Option<bool>,
}

/// Asks the browser; never waits for a person.
pub async fn estimate() -> Storage {
    let mut told = Storage::default();
    if let Some(estimate) = ask("estimate").await {
        told.used_bytes = get(&estimate, "usage").as_f64();
        told.quota_bytes = get(&estimate, "quota").as_f64();
    }
    told.persisted = ask("persisted").await.and_then(|answer| answer.as_bool());
    told
}

/// Asks for storage that is not cleared by itself. One browser asks the person and may never answer: don't wait for
/// it on the way to a screen.
pub async fn ask_to_keep() -> Option<bool> {
    ask("persist").await.and_then(|answer| answer.as_bool())
}

/// Calls a method of `navigator.storage`; none if this browser lacks it or it fails.
async fn ask(method: &str) -> Option<JsValue> {
    let storage = get(&get(&js_sys::global(), "navigator"), "storage");
    let call: js_sys::Function = get(&storage, method).dyn_into().ok()?;
    let promise: Promise = call.call0(&storage).ok()?.dyn_into().ok()?;
    JsFuture::from(promise).await.ok()
}
