//! Rows of records, of which only those in sight are on the page: ten thousand scroll like ten.

use leptos::prelude::*;
use tailplate_core::drawing;
use tailplate_core::record::Kind;
use tailplate_core::shop::Row;
use wasm_bindgen::JsCast;
use wasm_bindgen::closure::Closure;

use crate::drawn::Picture;
use crate::keeping::shelf;
use crate::route::Route;
use crate::state::{World, shared};
use crate::widgets::photos::Thumb;
use crate::words;

/// A row's height; the style sheet says the same.
const ROW_PX: f64 = 76.0;
/// Rows kept ready above and below what is in sight.
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

/// Whether a row holds every word, its model's name counted in.
pub fn holds(world: World, row: &Row, words: &[&str]) -> bool {
    let model = || world.reference.model(&row.model).map(|model| model.name.to_lowercase()).unwrap_or_default();
    row.holds(words)
        || (!row.model.is_empty() && {
            let model = model();
            words.iter().all(|word| row.text.contains(word) || model.contains(word))
        })
}

/// `places`: where on the shelf the rows stand, in the order to show.
#[component]
pub fn Rows(places: RwSignal<Vec<u32>>) -> impl IntoView {
    let world = shared().packs();
    let row = move |n: usize| {
        let place = *places.read_untracked().get(n)? as usize;
        shelf::with(|rows| rows.get(place).cloned())
    };
    let key = move |n: usize| row(n).map(|row| format!("{}{}", row.id, row.changed_ms)).unwrap_or_default();
    let show = move |n: usize| row(n).map(|row| view! { <OneRow world row/> }).into_any();
    view! { <Windowed length=Signal::derive(move || places.read().len()) key show/> }
}

/// A list of `length` rows, of which `show` draws those in sight; a row is drawn anew when its `key` is another.
#[component]
pub fn Windowed(
    length: Signal<usize>,
    key: impl Fn(usize) -> String + Send + Sync + 'static,
    show: impl Fn(usize) -> AnyView + Clone + Send + 'static,
) -> impl IntoView {
    let window = RwSignal::new((0_usize, 16_usize));
    let list: NodeRef<leptos::html::Ul> = NodeRef::new();
    let look = move || {
        let Some(list) = list.get_untracked() else { return };
        let top = -list.get_bounding_client_rect().top();
        let height = leptos::prelude::window().inner_height().ok().and_then(|h| h.as_f64()).unwrap_or(800.0);
        let first = (top / ROW_PX).max(0.0) as usize;
        let seen = (height / ROW_PX) as usize + 2;
        let new = (first.saturating_sub(SPARE), first + seen + SPARE);
        if window.get_untracked() != new {
            window.set(new);
        }
    };
    let on_scroll = Closure::<dyn FnMut()>::new(look);
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
        look();
    });
    let height = move || format!("{}px", length.get() as f64 * ROW_PX);
    let in_sight = move || {
        let ((first, end), length) = (window.get(), length.get());
        let end = end.min(length);
        (first.min(end)..end).map(|n| (n, key(n))).collect::<Vec<_>>()
    };
    view! {
        <ul class="rows" style:height=height node_ref=list>
            <For each=in_sight key=|(n, key)| format!("{n} {key}") children=move |(n, _)| view! {
                <li style:top=format!("{}px", n as f64 * ROW_PX)>{show(n)}</li>
            }/>
        </ul>
    }
}

#[component]
pub fn OneRow(world: World, row: Row) -> impl IntoView {
    let name = title(world, &row);
    let day = words::day(row.made_ms as f64);
    let line = if row.line.is_empty() { day } else { format!("{} · {day}", row.line) };
    view! {
        <a class="find-row" href=href(&row)>
            {match row.photo.is_empty() {
                false => view! { <Thumb sha=Some(row.photo.clone())/> }.into_any(),
                true => view! { <Picture svg=drawing::kind_picture(&row.reel_kind) class="picture thumb"/> }.into_any(),
            }}
            <span><b>{name}</b><small>{line}</small></span>
            {(!row.word.is_empty()).then(|| view! { <em>{row.word.replace('_', " ")}</em> })}
        </a>
    }
}
