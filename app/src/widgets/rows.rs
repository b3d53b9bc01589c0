//! Rows of records: what a list says of each.

use leptos::prelude::*;
use tailplate_core::record::Kind;
use tailplate_core::shop::Row;

use crate::keeping::shelf;
use crate::route::Route;
use crate::state::{World, shared};
use crate::widgets::line::{Line, Picture};
use crate::widgets::windowed::Windowed;
use crate::words;

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
