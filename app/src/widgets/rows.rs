//! Rows of records, of which only those in sight are on the page: ten thousand scroll like ten.

use std::cell::RefCell;
use std::collections::BTreeMap;
use std::time::Duration;

use leptos::prelude::*;
use tailplate_core::record::Kind;
use tailplate_core::shop::{Row, Sought};
use wasm_bindgen::JsCast;
use wasm_bindgen::closure::Closure;

use crate::keeping::shelf;
use crate::route::Route;
use crate::state::{World, shared};
use crate::widgets::line::{Line, OneLine, Picture};
use crate::words;

/// A row's height; the style sheet says the same.
const ROW_PX: f64 = 76.0;
/// Rows kept ready above and below what is in sight, once somebody scrolls.
const SPARE: usize = 6;

/// What a row is called: its own name, else its model's, else its kind's.
pub fn title(world: World, row: &Row) -> String {
    let reference = world.reference;
    if !row.name.is_empty() {
        return row.name.clone();
    }
    if !row.model.is_empty() {
        return reference.model(&row.model).map_or_else(|| row.model.clone(), |m| m.name.clone());
    }
    if let Some(state) = reference.feature("reel_kind").and_then(|feature| feature.state(&row.reel_kind)) {
        return state.label.clone();
    }
    match row.kind {
        Kind::Find | Kind::Reel => "A reel not yet looked at",
        Kind::Customer => "A customer without a name",
        Kind::Job => "A job",
        Kind::Need | Kind::Part => "A part",
        Kind::Fitment => "What fits what",
        Kind::House => "The shop",
    }
    .to_owned()
}

pub fn href(row: &Row) -> String {
    match row.kind {
        Kind::Find => Route::Find(row.id.clone()),
        Kind::Reel => Route::Reel(row.id.clone()),
        Kind::Job => Route::Job(row.id.clone()),
        Kind::Customer => Route::Customer(row.id.clone()),
        Kind::Need if row.of.is_empty() => Route::Parts,
        Kind::Need => Route::Reel(row.of.clone()),
        Kind::House => Route::Shop,
        Kind::Part | Kind::Fitment => Route::Parts,
    }
    .href()
}

/// Which rows hold every word, their models' names counted in.
pub struct Wanted {
    sought: Sought,
    world: World,
    /// Of each model met, the words its name holds.
    in_models: RefCell<BTreeMap<String, u32>>,
}

impl Wanted {
    pub fn new(world: World, words: &str) -> Self {
        Self { sought: Sought::new(words), world, in_models: RefCell::default() }
    }

    pub fn holds(&self, row: &Row) -> bool {
        self.sought.are_in(&row.text)
            || (!row.model.is_empty()
                && self.in_model(&row.model) | self.sought.found_in(&row.text) == self.sought.all())
    }

    fn in_model(&self, id: &str) -> u32 {
        if let Some(found) = self.in_models.borrow().get(id) {
            return *found;
        }
        let name = self.world.reference.model(id).map(|model| model.name.to_lowercase()).unwrap_or_default();
        let found = self.sought.found_in(&name);
        self.in_models.borrow_mut().insert(id.to_owned(), found);
        found
    }
}

/// What a list shows of a row.
pub fn line(world: World, row: &Row) -> Line {
    let day = words::day(row.made_ms as f64);
    Line {
        href: href(row),
        picture: match (row.photo.is_empty(), row.reel_kind.is_empty()) {
            (false, _) => Picture::Photo(row.photo.clone()),
            (true, false) => Picture::Reel(row.reel_kind.clone()),
            (true, true) => Picture::Of(row.kind),
        },
        name: title(world, row),
        small: if row.line.is_empty() { day } else { format!("{} · {day}", row.line) },
        word: row.word.replace('_', " "),
        late: false,
    }
}

/// `places`: where on the shelf the rows stand, in the order to show.
#[component]
pub fn Rows(places: RwSignal<Vec<u32>>) -> impl IntoView {
    let world = shared().packs();
    let one = move |n: usize| {
        let place = *places.read().get(n)? as usize;
        shelf::with(|rows| rows.get(place).map(|row| line(world, row)))
    };
    view! { <Windowed length=Signal::derive(move || places.read().len()) line=one/> }
}

/// A list of `length` lines, of which those in sight are on the page. Another line that comes to stand at a place is
/// written into the one that is there.
#[component]
pub fn Windowed(
    length: Signal<usize>,
    line: impl Fn(usize) -> Option<Line> + Copy + Send + Sync + 'static,
) -> impl IntoView {
    // What the smallest screens show; the others get more with the first frame.
    let window = RwSignal::new((0_usize, 9_usize));
    let list: NodeRef<leptos::html::Ul> = NodeRef::new();
    let look = move |spare: usize| {
        // The frame may come when the screen is gone.
        let (Some(list), Some(now)) = (list.try_get_untracked().flatten(), window.try_get_untracked()) else { return };
        let top = -list.get_bounding_client_rect().top();
        let height = leptos::prelude::window().inner_height().ok().and_then(|h| h.as_f64()).unwrap_or(800.0);
        let first = (top / ROW_PX).max(0.0) as usize;
        let end = ((top + height) / ROW_PX).max(0.0) as usize + 1;
        let new = (first.saturating_sub(spare), end + spare);
        if now != new {
            window.set(new);
        }
    };
    let on_scroll = Closure::<dyn FnMut()>::new(move || look(SPARE));
    let page = leptos::prelude::window();
    let _ = page.add_event_listener_with_callback("scroll", on_scroll.as_ref().unchecked_ref());
    let held = StoredValue::new_local(Some(on_scroll));
    on_cleanup(move || {
        if let Some(listener) = held.try_update_value(Option::take).flatten() {
            let _ = leptos::prelude::window()
                .remove_event_listener_with_callback("scroll", listener.as_ref().unchecked_ref());
        }
    });
    Effect::new(move |_| {
        length.track();
        // When this frame has been shown: asked for now, the browser would have to lay the page out twice. None to
        // spare: what a search leaves changes with each key.
        request_animation_frame(move || set_timeout(move || look(0), Duration::ZERO));
    });
    let height = move || format!("{}px", length.get() as f64 * ROW_PX);
    let in_sight = Memo::new(move |_| {
        let ((first, end), length) = (window.get(), length.get());
        (first.min(length), end.min(length))
    });
    view! {
        <ul class="rows" style:height=height node_ref=list>
            <For each=move || { let (first, end) = in_sight.get(); first..end } key=|n| *n children=move |n| view! {
                <li style:top=format!("{}px", n as f64 * ROW_PX)><OneLine line=Memo::new(move |_| line(n))/></li>
            }/>
        </ul>
    }
}
