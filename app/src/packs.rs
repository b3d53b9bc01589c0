//! Fetching the packs and building what reasons over them.

use leptos::prelude::window;
use tailplate_core::key::{Key, Learned};
use tailplate_core::reference::{Listed, Reference, Tree};
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::JsFuture;

use crate::pace::breathe;
use crate::state::World;

/// Which packs are read, and by what.
#[derive(Clone, Copy)]
pub struct Add {
    later: bool,
    one: fn(&mut Reference, &str, Tree<'_>) -> tailplate_core::Result<()>,
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
    Ok(load_features(practice, add, add_own, learned).await?.with_lettering().await)
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
) -> Result<Features, String> {
    // What only the bench needs is read when the bench is entered.
    let wanted = |pack: &Listed| (practice || !pack.invented) && (add.later || !pack.later);
    // All requests start before the first is waited for.
    let mut started: Vec<(String, JsFuture)> = Vec::new();
    for pack in list().await?.into_iter().filter(wanted) {
        let response = start(&pack.file);
        started.push((pack.file, response));
    }
    // One pack at a time, with the browser let in between.
    // Kept for the life of the page from the start: what takes it down again need not be downloaded.
    let reference: &'static mut Reference = Box::leak(Box::default());
    for (file, response) in started {
        let text = text_of(&file, response).await?;
        let tree = Tree::of(&file, &text).map_err(|error| error.to_string())?;
        breathe().await;
        (add.one)(reference, &file, tree).map_err(|error| error.to_string())?;
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

    pub async fn with_lettering(mut self) -> World {
        self.key.gather_lettering(self.reference);
        breathe().await;
        self.key.index_lettering(self.reference);
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
    let wanted = |pack: &Listed| pack.later || matches!(pack.kind.as_str(), "questions" | "counter");
    let reference: &'static mut Reference = Box::leak(Box::default());
    for Listed { file, .. } in list().await?.into_iter().filter(wanted) {
        let text = text_of(&file, start(&file)).await?;
        let tree = Tree::of(&file, &text).map_err(|error| error.to_string())?;
        breathe().await;
        reference.add_tree(&file, tree).map_err(|error| error.to_string())?;
        breathe().await;
    }
    reference.ready().map_err(|error| error.to_string())?;
    let ready: &'static Reference = reference;
    BENCH.set(Some(ready));
    Ok(ready)
}

async fn list() -> Result<Vec<Listed>, String> {
    let text = text_of("packs.json", start("packs.json")).await?;
    Listed::read(&text).map_err(|error| error.to_string())
}

/// Waited for from now on: a page that is left in the middle drops it without a word.
fn start(file: &str) -> JsFuture {
    let address = format!("reference/{file}");
    JsFuture::from(on_its_way(&address).unwrap_or_else(|| window().fetch_with_str(&address)))
}

/// A pack that the page asked for before the program was there. It can be read once.
fn on_its_way(address: &str) -> Option<js_sys::Promise> {
    let early = js_sys::Reflect::get(&window(), &"tailplatePacks".into()).ok()?.dyn_into::<js_sys::Object>().ok()?;
    let response = js_sys::Reflect::get(&early, &address.into()).ok()?.dyn_into().ok();
    let _ = js_sys::Reflect::delete_property(&early, &address.into());
    response
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
