//! The places behind the four at the foot.

use leptos::prelude::*;

use crate::route::Route;

#[component]
pub fn Places() -> impl IntoView {
    let places = [
        (Route::Stall, "Stall check", "Two minutes, cracks first"),
        (Route::Scan, "Scan a tag", "With the camera, or type its code"),
        (Route::Search, "Search everything", "Reels, jobs, customers, finds, by any word"),
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
