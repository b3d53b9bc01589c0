//! The shell: opens what is needed, shows the screen of the address, and keeps the word at the foot.

use leptos::mount::{mount_to, mount_to_body};
use leptos::prelude::*;
use wasm_bindgen::JsCast;

use crate::drawn;
use crate::prefs::Theme;
use crate::route::{self, Route};
use crate::screens::identify;
use crate::state::Shared;
use crate::{opening, workshop};

/// Opens what is needed and puts the screens into the page's `main`, the last word after it.
pub fn open() {
    let shared = Shared::new();
    crate::state::begin(shared);
    let route = route::follow();
    let Some(main) = document().get_element_by_id("main") else { return };
    mount_to(main.unchecked_into(), move || {
        follow_theme(shared);
        mark_place(route);
        opening::open(shared);
        view! { <Screens route/> }
    })
    .forget();
    mount_to_body(move || view! { <SayWord/> });
}

fn follow_theme(shared: Shared) {
    Effect::new(move |_| {
        let (theme, dark) = match shared.prefs.read().theme {
            Theme::Auto => ("", None),
            Theme::Light => ("light", Some(false)),
            Theme::Dark => ("dark", Some(true)),
        };
        if let Some(root) = document().document_element() {
            let _ = root.set_attribute("data-theme", theme);
        }
        drawn::set_theme(dark);
    });
}

#[component]
fn Screens(route: ReadSignal<Route>) -> impl IntoView {
    let shared = crate::state::shared();
    // Kept apart from the packs: when they arrive, or are laid out anew, what a finger is on stays in place.
    let shows = Memo::new(move |_| {
        let (route, first) = (route.get(), shared.kind().is_none());
        match &*shared.world.read() {
            Some(Err(trouble)) => Shows::Trouble(trouble.clone()),
            _ if route == Route::Identify && first => Shows::Kinds,
            None => Shows::Waiting,
            Some(Ok(_)) if route == Route::Identify => Shows::Table,
            Some(Ok(world)) => match shared.workshop.get() {
                None => Shows::Waiting,
                // The settings list the packs, so they follow them.
                Some(_) if route == Route::Settings => Shows::Screen(route, world.reference.models.len()),
                Some(_) => Shows::Screen(route, 0),
            },
        }
    });
    // The page brings the kinds drawn, to look at while the rest comes. They are not drawn again.
    if let Some(start) = document().get_element_by_id("start") {
        identify::take_kinds(shared, start.unchecked_ref());
        Effect::new(move |_| {
            let _ = start.toggle_attribute_with_force("hidden", shows.get() != Shows::Kinds);
        });
    }
    move || {
        match shows.get() {
        Shows::Kinds => ().into_any(),
        Shows::Waiting => view! { <p class="waiting" role="status">"Laying out the packs…"</p> }.into_any(),
        Shows::Trouble(trouble) => view! {
            <section class="paper"><h1>"The packs can’t be read"</h1><p>{trouble}</p>
            <p>"Finds already kept are safe."</p><button class="main" on:click=move |_| { let _ = window().location().reload(); }>"Try again"</button></section>
        }
        .into_any(),
        Shows::Table => view! { <identify::Identify/> }.into_any(),
        Shows::Screen(route, _) => shared.workshop.get_untracked().map(|workshop| (workshop.screen)(route)).into_any(),
    }
    }
}

/// What stands between head and foot.
#[derive(Clone, PartialEq)]
enum Shows {
    Kinds,
    Waiting,
    Table,
    Trouble(String),
    Screen(Route, usize),
}

/// The page brings the places, low enough for the thumb; which of them is on the screen is said here.
fn mark_place(route: ReadSignal<Route>) {
    Effect::new(move |_| {
        let find = |link: &str| document().query_selector(link).ok().flatten();
        let here = find(&format!(".foot [href=\"{}\"]", route.get().href()));
        if let Some(last) = find(".foot [aria-current]") {
            let _ = last.remove_attribute("aria-current");
        }
        if let Some(here) = here {
            let _ = here.set_attribute("aria-current", "page");
        }
    });
}

/// The last word to the person, with an undo where there is one.
#[component]
fn SayWord() -> impl IntoView {
    let shared = crate::state::shared();
    let close = move |_| shared.word.set(None);
    // A good word goes by itself; trouble, and what can be undone, stay until they are read.
    Effect::new(move |_| {
        let Some(word) = shared.word.get() else { return };
        if !word.bad && word.undo.is_none() && word.table.is_none() {
            set_timeout(
                move || {
                    if shared.word.with_untracked(|now| now.as_ref() == Some(&word)) {
                        shared.word.set(None);
                    }
                },
                std::time::Duration::from_secs(4),
            );
        }
    });
    view! {
        <div class="word-holder" role="status" aria-live="polite">
            {move || shared.word.get().map(|word| view! {
                <div class="word" class:bad=word.bad>
                    <p>{word.text}</p>
                    {word.undo.map(|id| view! { <button on:click=move |_| { let id = id.clone(); workshop::enter(shared, move |workshop| (workshop.bring_back)(shared, id)) }>"Undo"</button> })}
                    {word.table.map(|draft| view! { <button on:click=move |_| { shared.change_draft(|d| *d = draft.clone()); shared.word.set(None); }>"Undo"</button> })}
                    <button on:click=close aria-label="Close this word">"×"</button>
                </div>
            })}
            {move || shared.update_ready.get().then(|| view! {
                <div class="word asks">
                    <p>"A newer Tailplate is ready. Your finds stay as they are."</p>
                    <button on:click=move |_| workshop::enter(shared, |workshop| (workshop.use_update)())>"Use it now"</button>
                    <button on:click=move |_| shared.update_ready.set(false)>"Later"</button>
                </div>
            })}
        </div>
    }
}
