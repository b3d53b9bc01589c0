//! What a reel would bring: the newest value with its day, the older ones, and room for the next.

use leptos::prelude::*;
use tailplate_core::shop::Valued;

use crate::state::shared;
use crate::store;
use crate::words::day;

#[component]
pub fn Values(#[prop(into)] all: Signal<Vec<Valued>>, #[prop(into)] add: Callback<Valued>) -> impl IntoView {
    let shared = shared();
    let (low, high) = (RwSignal::new(String::new()), RwSignal::new(String::new()));
    let (words, trouble) = (RwSignal::new(String::new()), RwSignal::new(String::new()));
    let keep = move |_| {
        let currency = shared.prefs.with_untracked(|prefs| prefs.currency.clone());
        let parsed = words.with_untracked(|words| {
            Valued::parse(&low.get_untracked(), &high.get_untracked(), &currency, words, store::now_ms())
        });
        match parsed {
            Ok(valued) => {
                for field in [low, high, words, trouble] {
                    field.set(String::new());
                }
                add.run(valued);
            }
            Err(error) => trouble.set(error.to_string()),
        }
    };
    let rows = move || {
        let mut all = all.get();
        all.sort_by_key(|valued| std::cmp::Reverse(valued.at_ms));
        let row = |valued: Valued| {
            let why = if valued.words.is_empty() { String::new() } else { format!(": {}", valued.words) };
            view! { <li class="line"><span><b>{valued.figure()}</b>" on "{day(valued.at_ms as f64)}{why}</span></li> }
        };
        (!all.is_empty()).then(|| view! { <ul class="plain-list">{all.into_iter().map(row).collect_view()}</ul> })
    };
    let field = |label: &'static str, of: RwSignal<String>, mode: &'static str| {
        view! { <label>{label}<input inputmode=mode autocomplete="off" prop:value=of on:input=move |event| of.set(event_target_value(&event))/></label> }
    };
    view! {
        {rows}
        <details><summary>"What it would bring"</summary>
            <div class="from-to">{field("From", low, "decimal")}{field("To, if a range", high, "decimal")}</div>
            {field("What that stands on: a sale, a guide and its year, somebody’s word", words, "text")}
            <p class="trouble" role="alert">{trouble}</p>
            <button class="wide" on:click=keep>"Keep this value, with today’s date"</button>
        </details>
    }
}
