//! The places behind the four at the foot.

use leptos::prelude::*;

use super::paper::STICKERS;
use crate::route::Route;

#[component]
pub fn Places() -> impl IntoView {
    let places = [
        (Route::Stall, "Stall check", "Two minutes, cracks first"),
        (Route::Listing, "Check a listing", "A seller’s words against the marks and the facts"),
        (Route::Parts, "Parts", "Needs, spares, donors, what fits what"),
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
    view! {
        <section class="paper">
            <h1>"More"</h1>
            <ul class="places">{places.into_iter().map(|(place, name, words)| view! {
                <li><a href=place.href()><b>{name}</b><small>{words}</small></a></li>
            }).collect_view()}</ul>
        </section>
    }
}
