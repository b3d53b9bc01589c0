//! Fetching the packs and building what reasons over them.

use leptos::prelude::window;
use serde_json::Value;
use tailplate_core::key::{Key, Learned};
use tailplate_core::reference::{Reference, State, Tree};
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::JsFuture;

use crate::pace::breathe;
use crate::state::World;

/// Which packs are read, and by what.
#[derive(Clone, Copy)]
pub struct Add {
    later: bool,
    one: fn(&mut Reference, &str, Tree) -> tailplate_core::Result<()>,
}

impl Add {
    /// Those that naming a reel needs.
    pub const FIRST: Self =
        Self { later: false, one: |reference, name, tree| reference.add_first_tree(name, tree).map(|_| ()) };
    /// Those too that counter and bench need. Named in the later parts only, so that the first brings no reader of them.
    pub const ALL: Self = Self { later: true, one: Reference::add_tree };
}

/// Reads every pack in use and the person's own models. `add`: which of them.
///
/// # Errors
/// A sentence for the screen.
pub async fn load(
    practice: bool,
    add: Add,
    add_own: impl FnOnce(&mut Reference),
    learned: &Learned,
) -> Result<World, String> {
    Ok(load_features(practice, add, add_own, learned, |_| ()).await?.with_lettering())
}

/// As [`load`], but for the lettering: what is not yet asked for what a reel bears can do without it for a moment.
///
/// # Errors
/// A sentence for the screen.
pub async fn load_features(
    practice: bool,
    add: Add,
    add_own: impl FnOnce(&mut Reference),
    learned: &Learned,
    on_kinds: impl Fn(&[State]),
) -> Result<Features, String> {
    let list = text_of("packs.json", start("packs.json")).await?;
    let list: Value = serde_json::from_str(&list).map_err(|e| format!("The list of packs can't be read: {e}."))?;
    let is = |pack: &Value, what: &str| pack.get(what).is_some_and(|is| is == true);
    // What only the bench needs is read when the bench is entered.
    let wanted = |pack: &Value| (practice || !is(pack, "invented")) && (add.later || !is(pack, "later"));
    let files = list.as_array().into_iter().flatten().filter(|pack| wanted(pack));
    // All requests start before the first is waited for.
    let started: Vec<(String, JsFuture)> =
        files.filter_map(|pack| pack.get("file")?.as_str()).map(|file| (file.to_owned(), start(file))).collect();
    // One pack at a time, with the browser let in between: the first screen needs the questions only.
    // Kept for the life of the page from the start: what takes it down again need not be downloaded.
    let reference: &'static mut Reference = Box::leak(Box::default());
    for (file, response) in started {
        let text = text_of(&file, response).await?;
        let tree = Tree::of(&file, &text).map_err(|error| error.to_string())?;
        breathe().await;
        (add.one)(reference, &file, tree).map_err(|error| error.to_string())?;
        if let Some(kinds) = reference.questions.features.iter().find(|f| f.id == "reel_kind") {
            on_kinds(&kinds.states);
        }
        breathe().await;
    }
    reference.ready().map_err(|error| error.to_string())?;
    add_own(reference);
    breathe().await;
    let key = Key::of_features(reference, learned);
    breathe().await;
    Ok(Features { reference, key })
}

/// The packs, and a key that reads no lettering yet.
pub struct Features {
    reference: &'static Reference,
    key: Key,
}

impl Features {
    /// What can be said from features alone.
    pub fn so_far(&self) -> World {
        World::keep(self.reference, self.key.clone())
    }

    pub fn with_lettering(mut self) -> World {
        self.key.add_lettering(self.reference);
        World::keep(self.reference, self.key)
    }
}

thread_local! {
    static BENCH: std::cell::Cell<Option<&'static Reference>> = const { std::cell::Cell::new(None) };
}

/// The questions, and the packs that only the bench needs, read once.
///
/// # Errors
/// A sentence for the screen.
pub async fn bench() -> Result<&'static Reference, String> {
    if let Some(ready) = BENCH.get() {
        return Ok(ready);
    }
    let list = text_of("packs.json", start("packs.json")).await?;
    let list: Value = serde_json::from_str(&list).map_err(|e| format!("The list of packs can't be read: {e}."))?;
    let wanted = |pack: &&Value| pack["later"] == true || pack["kind"] == "questions" || pack["kind"] == "counter";
    let reference: &'static mut Reference = Box::leak(Box::default());
    for file in list.as_array().into_iter().flatten().filter(wanted).filter_map(|pack| pack["file"].as_str()) {
        let text = text_of(file, start(file)).await?;
        let tree = Tree::of(file, &text).map_err(|error| error.to_string())?;
        breathe().await;
        reference.add_tree(file, tree).map_err(|error| error.to_string())?;
        breathe().await;
    }
    reference.ready().map_err(|error| error.to_string())?;
    let ready: &'static Reference = reference;
    BENCH.set(Some(ready));
    Ok(ready)
}

/// Waited for from now on: a page that is left in the middle drops it without a word.
fn start(file: &str) -> JsFuture {
    JsFuture::from(window().fetch_with_str(&format!("reference/{file}")))
}

async fn text_of(file: &str, response: JsFuture) -> Result<String, String> {
    let trouble = |_| {
        format!(
            "The pack {file} could not be read. Open Tailplate once with a connection; from then on it works without one."
        )
    };
    let response: web_sys::Response = response.await.map_err(trouble)?.unchecked_into();
    if !response.ok() {
        return Err(trouble(JsValue::NULL));
    }
    // As bytes: a text would be turned into the browser's own form and back.
    let bytes = JsFuture::from(response.array_buffer().map_err(trouble)?).await.map_err(trouble)?;
    String::from_utf8(js_sys::Uint8Array::new(&bytes).to_vec()).map_err(|_| trouble(JsValue::NULL))
}

impl World {
    /// Kept for the life of the page: screens hold plain references to it. A page that learns a confirmed find builds
    /// another; the few hundred kilobytes of the older one are let be.
    fn keep(reference: &'static Reference, key: Key) -> World {
        World { reference, key: Box::leak(Box::new(key)) }
    }
}
