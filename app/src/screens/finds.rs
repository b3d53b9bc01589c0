//! The finds, newest first, with a search over everything written on them.

use leptos::prelude::*;
use tailplate_core::record::Kind;
use tailplate_core::shop::{Find, FindState, Sought};

use crate::keeping::shelf;
use crate::later::later;
use crate::route::Route;
use crate::state::{World, shared};
use crate::widgets::rows::Rows;
use crate::words;

#[component]
pub fn Finds() -> impl IntoView {
    let shared = shared();
    let world = shared.packs();
    let sought = RwSignal::new(String::new());
    let ready = later(move || {
        shared.changed.track();
        Box::pin(shelf::damaged())
    });
    let places = RwSignal::new(Vec::new());
    let any = RwSignal::new(true);
    Effect::new(move |_| {
        shelf::turn();
        let (words, Some(Ok(_))) = (sought.get(), ready.get()) else { return };
        let wanted = Sought::new(&words);
        places.set(shelf::search(world.reference, |shelf| {
            let finds = shelf.rows.iter().enumerate().filter(|(_, row)| row.kind == Kind::Find && !row.deleted);
            any.set(finds.clone().next().is_some());
            finds.filter(|(at, _)| shelf.holds(&wanted, *at)).map(|(at, _)| at as u32).collect()
        }));
    });
    let none = move || {
        let read = matches!(&*ready.read(), Some(Ok(_)));
        match (read && places.read().is_empty(), any.get()) {
            (false, _) => ().into_any(),
            (true, true) => view! { <p>"Nothing found. Try a part of the name, the place or a mark."</p> }.into_any(),
            (true, false) => view! { <div class="empty"><p>"No finds yet. Name a reel, then keep it: it stays on this phone with its photos, its place and what was asked for it."</p>
                <a class="button main" href=Route::Identify.href()>"Name a reel"</a></div> }.into_any(),
        }
    };
    view! {
        <section class="paper">
            <h1>"Finds"</h1>
            <input type="search" aria-label="Search the finds" placeholder="Search: name, place, mark, note" on:input=move |event| sought.set(event_target_value(&event))/>
            {move || match &*ready.read() {
                Some(Err(trouble)) => view! { <p class="trouble" role="alert">{trouble.clone()}</p> }.into_any(),
                Some(Ok(damaged)) if !damaged.is_empty() => view! { <p class="trouble">{format!("{} can’t be read and left untouched: {}.", words::count(damaged.len(), "record", "records"), damaged.join(", "))}</p> }.into_any(),
                _ => ().into_any(),
            }}
            {none}
            <Rows places/>
            {move || any.get().then(|| view! { <p><a class="button quiet wide" href=Route::Buy.href()>"Which of them to buy"</a></p> })}
        </section>
    }
}

/// The find's own name, else what it was confirmed as, else its kind.
pub fn title(world: World, find: &Find) -> String {
    if !find.name.is_empty() {
        return find.name.clone();
    }
    if let FindState::Confirmed { model, .. } = &find.state {
        return world.reference.model(model).map_or_else(|| model.clone(), |m| m.name.clone());
    }
    let kind = find.sheet.answer("reel_kind").map(|o| words::seen_in_words(world.reference, o).1);
    kind.unwrap_or_else(|| "A reel not yet looked at".into())
}
