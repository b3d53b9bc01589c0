//! Rows of records, of which only those in sight are on the page: ten thousand scroll like ten.

use std::cell::RefCell;
use std::collections::BTreeMap;

use leptos::prelude::*;
use tailplate_core::record::Kind;
use tailplate_core::shop::{Row, Sought};
use wasm_bindgen::JsCast;
use wasm_bindgen::closure::Closure;
use wasm_bindgen_futures::spawn_local;

use crate::keeping::shelf;
use crate::pace::shown;
use crate::route::Route;
use crate::state::{World, shared};
use crate::widgets::line::{Line, OneLine, Picture};
use crate::words;

/// A row's height; the style sheet says the same.
const ROW_PX: f64 = 76.0;
/// Rows kept ready above and below what is in sight, once somebody scrolls.
const SPARE: usize = 6;

/// What moves a list past the screen.
const MOVES: [&str; 2] = ["scroll", "resize"];

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
    let at = move |n: usize| places.read().get(n).map(|place| (shelf::turn_now(), *place));
    let line = move |(_, place)| shelf::with(|rows| rows.get(place as usize).map(|row| line(world, row)));
    view! { <Windowed length=Signal::derive(move || places.read().len()) at line/> }
}

/// A list of `length` lines, of which those in sight are on the page. Another line that comes to stand at a place is
/// written into the one that is there. `at`: what stands at a place; `line`: how that is written, asked for only when
/// something else stands there.
#[component]
pub fn Windowed<T: Clone + PartialEq + Send + Sync + 'static>(
    length: Signal<usize>,
    at: impl Fn(usize) -> Option<T> + Copy + Send + Sync + 'static,
    line: impl Fn(T) -> Option<Line> + Copy + Send + Sync + 'static,
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
    // Whether it must be looked at again where the list stands: that costs the browser a layout.
    let moved = StoredValue::new(true);
    let on_move = Closure::<dyn FnMut()>::new(move || {
        let _ = moved.try_set_value(true);
        look(SPARE);
    });
    for event in MOVES {
        let _ = leptos::prelude::window().add_event_listener_with_callback(event, on_move.as_ref().unchecked_ref());
    }
    let held = StoredValue::new_local(Some(on_move));
    on_cleanup(move || {
        let Some(listener) = held.try_update_value(Option::take).flatten() else { return };
        for event in MOVES {
            let _ =
                leptos::prelude::window().remove_event_listener_with_callback(event, listener.as_ref().unchecked_ref());
        }
    });
    Effect::new(move |last: Option<usize>| {
        let length = length.get();
        // With the first lines, what stands above them may have changed too.
        if !moved.get_value() && last != Some(0) {
            return length;
        }
        moved.set_value(false);
        // When this frame has been shown: asked for now, the browser would have to lay the page out twice. None to
        // spare: what a search leaves changes with each key.
        spawn_local(async move {
            shown().await;
            look(0);
        });
        length
    });
    let height = move || format!("{}px", length.get() as f64 * ROW_PX);
    let in_sight = Memo::new(move |_| {
        let ((first, end), length) = (window.get(), length.get());
        (first.min(length), end.min(length))
    });
    view! {
        <ul class="rows" style:height=height node_ref=list>
            <For each=move || { let (first, end) = in_sight.get(); first..end } key=|n| *n children=move |n| {
                let there = Memo::new(move |_| at(n));
                let line = Memo::new(move |_| there.get().and_then(line));
                view! { <li style:top=format!("{}px", n as f64 * ROW_PX)><OneLine line/></li> }
            }/>
        </ul>
    }
}
