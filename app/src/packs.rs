//! Fetching the packs and building what reasons over them.

use leptos::prelude::window;
use serde::Deserialize;
use tailplate_core::key::{Key, Learned};
use tailplate_core::reference::{Reference, State, Tree};
use tailplate_core::shop::own_model::{self, OwnModel};
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::JsFuture;

use crate::state::World;

#[derive(Deserialize)]
struct Listed {
    file: String,
    #[serde(default)]
    invented: bool,
}

/// Reads every pack in use and the person's own models.
///
/// # Errors
/// A sentence for the screen.
pub async fn load(
    practice: bool,
    own: &[OwnModel],
    learned: &Learned,
    on_kinds: impl Fn(&[State]),
) -> Result<World, String> {
    let list = text_of("packs.json", start("packs.json")).await?;
    let list: Vec<Listed> =
        serde_json::from_str(&list).map_err(|e| format!("The list of packs can't be read: {e}."))?;
    // All requests start before the first is waited for.
    let started: Vec<(String, js_sys::Promise)> = list
        .into_iter()
        .filter(|pack| practice || !pack.invented)
        .map(|pack| (pack.file.clone(), start(&pack.file)))
        .collect();
    // One pack at a time, with the browser let in between: the first screen needs the questions only.
    let mut reference = Reference::default();
    for (file, promise) in started {
        let text = text_of(&file, promise).await?;
        let tree = Tree::of(&file, &text).map_err(|error| error.to_string())?;
        breathe().await;
        reference.add_tree(&file, tree).map_err(|error| error.to_string())?;
        if let Some(kinds) = reference.questions.features.iter().find(|f| f.id == "reel_kind") {
            on_kinds(&kinds.states);
        }
        breathe().await;
    }
    let mut reference = reference.ready().map_err(|error| error.to_string())?;
    own_model::add(&mut reference, own);
    breathe().await;
    Ok(World::keep(reference, learned))
}

/// Lets the browser paint and take taps.
async fn breathe() {
    let pause = js_sys::Promise::new(&mut |resolve, _| {
        let _ = window().set_timeout_with_callback(&resolve);
    });
    let _ = JsFuture::from(pause).await;
}

fn start(file: &str) -> js_sys::Promise {
    window().fetch_with_str(&format!("reference/{file}"))
}

async fn text_of(file: &str, promise: js_sys::Promise) -> Result<String, String> {
    let trouble = |_| {
        format!(
            "The pack {file} could not be read. Open Tailplate once with a connection; from then on it works without one."
        )
    };
    let response: web_sys::Response = JsFuture::from(promise).await.map_err(trouble)?.unchecked_into();
    if !response.ok() {
        return Err(trouble(JsValue::NULL));
    }
    let text = JsFuture::from(response.text().map_err(trouble)?).await.map_err(trouble)?;
    text.as_string().ok_or_else(|| trouble(JsValue::NULL))
}

impl World {
    /// Kept for the life of the page: screens hold plain references to it. A page that learns a confirmed find builds
    /// another; the few hundred kilobytes of the older one are let be.
    fn keep(reference: Reference, learned: &Learned) -> World {
        let reference: &'static Reference = Box::leak(Box::new(reference));
        let key: &'static Key = Box::leak(Box::new(Key::build(reference, learned)));
        World { reference, key }
    }
}
