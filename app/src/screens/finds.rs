//! The finds, newest first, with a search over everything written on them.

use leptos::prelude::*;
use tailplate_core::drawing;
use tailplate_core::observe::Value;
use tailplate_core::shop::{Find, FindState};

use crate::drawn::Picture;

use crate::keeping;
use crate::later::later;
use crate::route::Route;
use crate::state::{World, shared};
use crate::widgets::photos::Thumb;
use crate::words;

/// Rows shown before “more” is asked for: a phone draws them at once.
const PAGE: usize = 40;

#[component]
pub fn Finds() -> impl IntoView {
    let shared = shared();
    let world = shared.packs();
    let sought = RwSignal::new(String::new());
    let shown = RwSignal::new(PAGE);
    let kept = later(move || {
        shared.changed.track();
        Box::pin(keeping::all_finds())
    });
    let list = move || {
        kept.get().map(|kept| match kept {
        Err(trouble) => view! { <p class="trouble" role="alert">{trouble}</p> }.into_any(),
        Ok((finds, damaged)) => {
            let words = sought.get().to_lowercase();
            let found: Vec<Find> = finds.into_iter().filter(|f| f.deleted_ms.is_none() && matches(world, f, &words)).collect();
            let total = found.len();
            let empty = total == 0 && words.is_empty();
            view! {
                {empty.then(|| view! { <div class="empty"><p>"No finds yet. Name a reel, then keep it: it stays on this phone with its photos, its place and what was asked for it."</p>
                    <a class="button main" href=Route::Identify.href()>"Name a reel"</a></div> })}
                {(total == 0 && !words.is_empty()).then(|| view! { <p>"Nothing found. Try a part of the name, the place or a mark."</p> })}
                <ul class="finds">{found.into_iter().take(shown.get()).map(|find| view! { <li><Row world find/></li> }).collect_view()}</ul>
                {(total > shown.get()).then(|| view! { <button class="quiet wide" on:click=move |_| shown.update(|n| *n += PAGE)>{format!("Show more ({} in all)", total)}</button> })}
                {(!damaged.is_empty()).then(|| view! { <p class="trouble">{format!("{} can’t be read and left untouched: {}.", words::count(damaged.len(), "record", "records"), damaged.join(", "))}</p> })}
            }.into_any()
        }
    })
    };
    view! {
        <section class="paper">
            <h1>"Finds"</h1>
            <input type="search" aria-label="Search the finds" placeholder="Search: name, place, mark, note" on:input=move |event| { sought.set(event_target_value(&event)); shown.set(PAGE); }/>
            {list}
        </section>
    }
}

fn matches(world: World, find: &Find, words: &str) -> bool {
    if words.is_empty() {
        return true;
    }
    let text = format!("{} {}", find.search_text(), title(world, find)).to_lowercase();
    words.split_whitespace().all(|word| text.contains(word))
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

#[component]
fn Row(world: World, find: Find) -> impl IntoView {
    let title = title(world, &find);
    let state = match &find.state {
        FindState::Open => "open",
        FindState::Confirmed { .. } => "confirmed",
        FindState::NotKnown => "not known",
    };
    let kind = match find.sheet.answer("reel_kind").map(|o| &o.value) {
        Some(Value::State(kind)) => kind.clone(),
        _ => String::new(),
    };
    let line: Vec<String> = [
        find.place.clone(),
        find.asking_price.as_ref().map(|p| p.to_string()).unwrap_or_default(),
        words::day(find.made_ms as f64),
    ]
    .into_iter()
    .filter(|s| !s.is_empty())
    .collect();
    view! {
        <a class="find-row" href=Route::Find(find.id.clone()).href()>
            {match find.photos.first() {
                Some(photo) => view! { <Thumb sha=Some(photo.sha256.clone())/> }.into_any(),
                None => view! { <Picture svg=drawing::kind_picture(&kind) class="picture thumb"/> }.into_any(),
            }}
            <span><b>{title}</b><small>{line.join(" · ")}</small></span>
            <em>{state}</em>
        </a>
    }
}
