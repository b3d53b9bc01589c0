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

/// Opens what is needed and puts the screens into the page's `main`, what stays below them after it.
pub fn open() {
    let shared = Shared::new();
    crate::state::begin(shared);
    let route = route::follow();
    let Some(main) = document().get_element_by_id("main") else { return };
    mount_to(main.unchecked_into(), move || {
        follow_theme(shared);
        opening::open(shared);
        view! { <Screens route/> }
    })
    .forget();
    mount_to_body(move || view! { <Foot route/> <SayWord/> });
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

/// The places, low enough for the thumb.
#[component]
fn Foot(route: ReadSignal<Route>) -> impl IntoView {
    let places = [
        (Route::Identify, "Name it", ICON_NAME),
        (Route::Finds, "Finds", ICON_FINDS),
        (Route::Jobs, "Jobs", ICON_JOBS),
        (Route::Bench, "Bench", ICON_BENCH),
        (Route::More, "More", ICON_MORE),
    ];
    view! {
        <nav class="foot" aria-label="Places">
            {places.into_iter().map(|(place, name, icon)| {
                let here = { let place = place.clone(); move || route.get() == place };
                let current = move || if here() { Some("page") } else { None };
                view! { <a href=place.href() aria-current=current>
                    <svg viewBox="0 0 24 24" aria-hidden="true"><path d=icon></path></svg>
                    <span>{name}</span></a> }
            }).collect_view()}
        </nav>
    }
}

const ICON_NAME: &str = "M12 3a8 8 0 1 0 0 16a8 8 0 0 0 0-16M12 8a3 3 0 1 0 0 6a3 3 0 0 0 0-6M12 11h9M21 9v4M8 21h8";
const ICON_JOBS: &str = "M6 4h12v17H6zM9 2.5h6v3H9zM9 10h6M9 13.5h6M9 17h4";
const ICON_FINDS: &str = "M9 4h6l5 5v12H4V9zM12 8.5a1 1 0 1 0 .01 0M7 14h10M7 17h7";
/// A screwdriver over the edge of the bench.
const ICON_BENCH: &str = "M10 3h4v7h-4zM11 10v5h2v-5M10.5 15h3M2 19h20M5 19v2M19 19v2";
const ICON_MORE: &str = "M4 6h16M4 12h16M4 18h16";

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
                <div class="word">
                    <p>"A newer Tailplate is ready. Your finds stay as they are."</p>
                    <button on:click=move |_| workshop::enter(shared, |workshop| (workshop.use_update)())>"Use it now"</button>
                    <button on:click=move |_| shared.update_ready.set(false)>"Later"</button>
                </div>
            })}
        </div>
    }
}
