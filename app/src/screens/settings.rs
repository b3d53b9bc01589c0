//! Units, theme, what is stored where, and the packs with their sources.

use leptos::prelude::*;

use crate::keeping;
use crate::later::later;
use crate::prefs::{self, Prefs, Theme, Units};
use crate::state::shared;
use crate::words;

#[component]
pub fn Settings() -> impl IntoView {
    let shared = shared();
    let reference = shared.packs().reference;
    let change = move |change: fn(&mut Prefs, u8), to: u8| {
        shared.prefs.update(|p| change(p, to));
        if !shared.prefs.with_untracked(prefs::save) {
            shared.warn("This browser has no room to keep the setting; it holds until the page closes.");
        }
    };
    let choice = move |label: &'static str,
                       names: &'static [&'static str],
                       at: fn(&Prefs) -> u8,
                       set: fn(&mut Prefs, u8)| {
        view! {
            <fieldset><legend>{label}</legend><div class="segments">
                {names.iter().enumerate().map(|(n, name)| view! {
                    <button aria-pressed=move || (at(&shared.prefs.read()) == n as u8).to_string() on:click=move |_| change(set, n as u8)>{*name}</button>
                }).collect_view()}
            </div></fieldset>
        }
    };
    let own = later(move || {
        shared.changed.track();
        Box::pin(keeping::own_models())
    });
    let storage = later(move || {
        shared.changed.track();
        Box::pin(keeping::storage_in_words())
    });
    view! {
        <section class="paper">
            <h1>"Settings"</h1>
            {choice("Measure in", &["Millimetres", "Inches"], |p| (p.units == Units::Inch) as u8,
                |p, n| p.units = if n == 1 { Units::Inch } else { Units::Metric })}
            {choice("Look", &["As the phone", "Paper", "Bench, dark"], |p| p.theme as u8,
                |p, n| p.theme = [Theme::Auto, Theme::Light, Theme::Dark][n as usize])}
            <h2>"What is kept here"</h2>
            <ul class="storage">{move || storage.get().map(|lines| lines.into_iter().map(|line| view! { <li>{line}</li> }).collect_view())}</ul>
            <button class="quiet wide" on:click=move |_| keeping::ask_to_stay(shared)>"Ask the browser never to clear it by itself"</button>
            <p class="how">"Put Tailplate on the home screen before you enter much: a phone may clear the storage of a page that is not opened for a week."</p>
            <h2>"Packs"</h2>
            <p>"What the key knows, each fact with where it was read. “Unverified” means that nobody looked it up."</p>
            {reference.packs.iter().map(|pack| {
                let prefix = format!("{}/", pack.id);
                let sources: Vec<_> = reference.sources.iter().filter(|(key, _)| key.starts_with(&prefix)).map(|(_, s)| s.clone()).collect();
                view! { <details><summary>{pack.title.clone()}<small>{match (pack.invented, sources.len()) { (true, _) => "invented".to_owned(), (_, 0) => String::new(), (_, n) => words::count(n, "source", "sources") }}</small></summary>
                    <p>{pack.about.clone()}</p>
                    <ul class="sources">{sources.into_iter().map(|s| view! { <li>{s.title}{s.url.map(|url| view! { " "<small>{url}</small> })}</li> }).collect_view()}</ul></details> }
            }).collect_view()}
            {move || own.get().filter(|own| !own.is_empty()).map(|own| view! { <h3>"Models you added"</h3><ul class="before">
                {own.into_iter().map(|model| view! { <li><span>{model.told.name}</span>
                    <button class="danger" on:click=move |_| keeping::remove_own_model(shared, model.id.clone())>"Remove"</button></li> }).collect_view()}
            </ul> })}
            <fieldset><legend>"Practice reels"</legend>
                <p class="how">"Invented makers to practise on. Leave them out for real reels: the key could name one of them."</p>
                <div class="segments">
                {["Left out", "In use"].into_iter().enumerate().map(|(n, name)| view! {
                    <button aria-pressed=move || ((shared.prefs.read().practice as usize) == n).to_string() on:click=move |_| {
                        shared.prefs.update(|p| p.practice = n == 1);
                        shared.prefs.with_untracked(prefs::save);
                        keeping::load_packs(shared);
                    }>{name}</button>
                }).collect_view()}</div></fieldset>
            <p class="how">"Version "{env!("CARGO_PKG_VERSION")}". Nothing is asked of any other computer than the one this page came from."</p>
        </section>
    }
}
