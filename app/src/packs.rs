//! Fetching the packs and building what reasons over them.

use std::borrow::Cow;

use leptos::prelude::window;
use tailplate_core::key::{Key, Learned};
use tailplate_core::reference::{Listed, Reference, Tree, sequence};
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::JsFuture;

use crate::pace::breathe;
use crate::state::World;

/// Which packs are read, and by what.
#[derive(Clone, Copy)]
pub struct Add {
    later: bool,
    one: AddOne,
}

type AddOne = fn(&mut Reference, &str, Tree<'_>) -> tailplate_core::Result<()>;

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
    let reference = read(|pack| (practice || !pack.invented) && (add.later || !pack.later), add.one).await?;
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
    let ready: &'static Reference = read(wanted, Add::ALL.one).await?;
    BENCH.set(Some(ready));
    Ok(ready)
}

/// A pack that is here, or on its way.
enum Pack<'a> {
    Here(&'a str),
    Coming(JsFuture),
}

/// Reads packs one at a time, with the browser let in between. They are kept for the life of the page from the start: what
/// takes them down again need not be downloaded.
async fn read(wanted: impl Fn(&Listed) -> bool, add: AddOne) -> Result<&'static mut Reference, String> {
    let first = first().await?;
    let mut texts = sequence::texts(&first);
    let list = Listed::read(texts.next().unwrap_or_default()).map_err(|error| error.to_string())?;
    // All requests start before the first is waited for.
    let mut packs = Vec::new();
    for pack in list {
        let here = if pack.is_first() { texts.next().map(Pack::Here) } else { None };
        if wanted(&pack) {
            packs.push((here.unwrap_or_else(|| Pack::Coming(start(&pack.file))), pack.file));
        }
    }
    let reference: &'static mut Reference = Box::leak(Box::default());
    for (pack, file) in packs {
        let text = match pack {
            Pack::Here(text) => Cow::Borrowed(text),
            Pack::Coming(response) => Cow::Owned(text_of(&file, response).await?),
        };
        let tree = Tree::of(&file, &text).map_err(|error| error.to_string())?;
        breathe().await;
        add(reference, &file, tree).map_err(|error| error.to_string())?;
        breathe().await;
    }
    reference.ready().map_err(|error| error.to_string())?;
    Ok(reference)
}

/// The list of packs and those that naming a reel needs, one after the other; the build joins them.
async fn first() -> Result<String, String> {
    const FILE: &str = "first.json-seq";
    // The page asked for it before the program was there.
    const ON_ITS_WAY: &str = "tailplatePacks";
    let asked = js_sys::Reflect::get(&window(), &ON_ITS_WAY.into()).ok();
    let asked = asked.and_then(|asked| asked.dyn_into::<js_sys::Promise>().ok());
    // What came can be read once.
    let _ = js_sys::Reflect::delete_property(&window(), &ON_ITS_WAY.into());
    text_of(FILE, asked.map_or_else(|| start(FILE), JsFuture::from)).await
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
