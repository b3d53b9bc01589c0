//! The places behind the four at the foot.

use leptos::prelude::*;

use super::paper::STICKERS;
use crate::keeping;
use crate::route::Route;
use crate::state::shared;

#[component]
pub fn Places() -> impl IntoView {
    let places = [
        (Route::Stall, "Stall check", "Two minutes, cracks first"),
        (Route::Listing, "Check a listing", "A seller’s words against the marks and the facts"),
        (Route::Parts, "Parts", "Needs, spares, donors, what fits what"),
        (Route::Buy, "What to buy", "Reels and parts on offer against what is wanted"),
        (Route::Sums(String::new(), String::new()), "Sums", "Drag, washers, line, gears, threads, bearings, spin"),
        (Route::Measure(String::new()), "Size from a photo", "With a card or a coin beside it"),
        (Route::Scan, "Scan a tag", "With the camera, or type its code"),
        (Route::Search, "Search everything", "Reels, jobs, customers, finds, by any word"),
        (Route::Hub(String::new()), "The shop’s computer", "In step with it, and which devices are in"),
        (Route::Paper(STICKERS.into(), "-".into()), "Stickers", "For a spool’s line, a bag, a box"),
        (Route::Copy, "Saved copy", "Everything in one file, and back"),
        (Route::Shop, "The shop", "Its name and words on paper, prices, tax"),
        (Route::Settings, "Settings", "Units, look, storage, packs"),
    ];
    let wanted = RwSignal::new(String::new());
    let raise = move |event: web_sys::SubmitEvent| {
        event.prevent_default();
        let words = wanted.get_untracked();
        if !words.trim().is_empty() {
            wanted.set(String::new());
            keeping::raise_need_in_words(shared(), words);
        }
    };
    view! {
        <section class="paper">
            <h1>"More"</h1>
            <form class="price" on:submit=raise>
                <label>"Part wanted, and for which reel"<input autocomplete="off" placeholder="Click spring for …" prop:value=wanted on:input=move |event| wanted.set(event_target_value(&event))/></label>
                <button type="submit">"Raise the need"</button>
            </form>
            <ul class="places">{places.into_iter().map(|(place, name, words)| view! {
                <li><a href=place.href()><b>{name}</b><small>{words}</small></a></li>
            }).collect_view()}</ul>
        </section>
    }
}
