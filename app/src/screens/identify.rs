//! Name the reel on the table: its kind, what can be read, the checks that tell most; then keep it as a find.

use leptos::prelude::*;
use tailplate_core::drawing;
use tailplate_core::observe::{About, Observation};
use wasm_bindgen::JsCast;
use wasm_bindgen::closure::Closure;
use web_sys::{Element, HtmlElement};

use crate::drawn::Picture;
use crate::prefs::Draft;
use crate::route::{Route, go};
use crate::state::{Shared, shared};
use crate::widgets::candidates::{Candidates, verdict_in_words};
use crate::widgets::checks::NextChecks;
use crate::widgets::marks::MarkMap;
use crate::widgets::seen::SeenSoFar;
use crate::widgets::when::{WhenMade, range_in_words};
use crate::workshop;

#[component]
pub fn Identify() -> impl IntoView {
    let shared = shared();
    let kind = Memo::new(move |_| shared.kind());
    view! {
        // Without a kind the shell shows the kinds to pick from.
        {move || kind.get().map(|kind| view! { <OnTheTable kind/> })}
        {move || shared.workshop.get().map(|workshop| (workshop.ask)())}
    }
}

/// Listens to the kinds that the page brings; one may have been tapped before the program was there.
pub fn take_kinds(shared: Shared, kinds: &HtmlElement) {
    let take = move |button: &Element| {
        if let Some(kind) = button.get_attribute("data-kind") {
            shared.see(Observation::state("reel_kind", &kind));
        }
    };
    if let Ok(Some(early)) = kinds.query_selector(".taken") {
        let _ = early.class_list().remove_1("taken");
        if shared.kind().is_none() {
            take(&early);
        }
    }
    let on_tap = Closure::<dyn Fn(web_sys::Event)>::new(move |event: web_sys::Event| {
        let tapped = event.target().and_then(|target| target.dyn_into::<Element>().ok());
        if let Some(button) = tapped.and_then(|at| at.closest("[data-kind]").ok().flatten()) {
            take(&button);
        }
    });
    kinds.set_onclick(Some(on_tap.as_ref().unchecked_ref()));
    // As long as the page itself.
    on_tap.forget();
}

#[component]
fn OnTheTable(kind: String) -> impl IntoView {
    let shared = shared();
    let world = shared.packs();
    let label =
        world.reference.feature("reel_kind").and_then(|f| f.state(&kind)).map_or(kind.clone(), |s| s.label.clone());
    let has_mark = Memo::new(move |_| shared.draft.read().sheet.seen.iter().any(|o| matches!(o.about, About::Mark(_))));
    let headline = move || {
        shared.answer.get().map(|answer| {
            let (name, small) = verdict_in_words(world, &answer);
            let range = range_in_words(&answer.when);
            view! { <h1 class="tag-name">{name}</h1><p class="tag-small">{small}</p><p class="tag-years">{range}</p> }
        })
    };
    let is_find = move || shared.draft.read().find.is_some();
    view! {
        <section class="tag" aria-live="polite">
            <span class="hole" aria-hidden="true"></span>
            <Picture svg=drawing::kind_picture(&kind)/>
            <div>{headline}</div>
        </section>
        <SeenSoFar/>
        <section class="paper">
            {let kind = kind.clone(); move || {
                let map = view! { <MarkMap kind=kind.clone()/> };
                if has_mark.get() {
                    view! { <details><summary>"Read another mark"</summary>{map}</details> }.into_any()
                } else {
                    view! { <h2>"What does it say?"</h2><p class="how">"Tap the place where you can read something."</p>{map} }.into_any()
                }
            }}
            <NextChecks/>
            <Candidates/>
            <WhenMade/>
            <Cautions/>
            // Looked into later than the checks, so it may come later too.
            {move || shared.workshop.get().map(|workshop| (workshop.more)(kind.clone()))}
            <p class="kind-line">"Kind: "{label}" "<button class="quiet" on:click=move |_| shared.asking.set(Some(About::feature("reel_kind")))>"Change"</button></p>
        </section>
        <div class="actions">
            <button class="quiet" on:click=move |_| shared.clear_table()>"New reel"</button>
            {move || if is_find() {
                let back = if shared.draft.read_untracked().of_reel { "Back to the reel" } else { "Back to the find" };
                view! { <button class="main" on:click=move |_| if let Draft { find: Some(id), of_reel, .. } = shared.draft.get_untracked() { go(if of_reel { Route::Reel(id) } else { Route::Find(id) }) }>{back}</button> }.into_any()
            } else {
                view! { <button class="main" on:click=move |_| workshop::enter(shared, move |workshop| (workshop.keep_draft)(shared))>"Keep as a find"</button> }.into_any()
            }}
        </div>
    }
}

/// What may hurt or be against the law, where an answer speaks of it.
#[component]
fn Cautions() -> impl IntoView {
    let shared = shared();
    let reference = shared.packs().reference;
    let due = move || {
        let draft = shared.draft.read();
        { let seen: Vec<_> = draft.sheet.current().into_iter().cloned().collect(); reference.cautions_for(&seen) }.into_iter().map(|c| view! {
            <li><b>{c.when.clone()}</b><p>{c.text.clone()}</p>{c.defer_to.clone().map(|who| view! { <small>"Ask: "{who}</small> })}</li>
        }).collect::<Vec<_>>()
    };
    view! {
        {move || { let due = due(); (!due.is_empty()).then(|| view! {
            <section class="caution" aria-labelledby="caution-title"><h2 id="caution-title">"Take care"</h2><ul>{due}</ul></section>
        }) }}
    }
}
