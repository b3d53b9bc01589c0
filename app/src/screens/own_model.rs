//! A model of one's own, made from the reel in hand: what was seen becomes what is known.

use leptos::prelude::*;
use tailplate_core::shop::own_model;

use crate::keeping;
use crate::route::{Route, go};
use crate::state::shared;
use crate::widgets::seen::SeenSoFar;

#[component]
pub fn OwnModel() -> impl IntoView {
    let shared = shared();
    let (name, maker, number, from, to) = (
        RwSignal::new(String::new()),
        RwSignal::new(String::new()),
        RwSignal::new(String::new()),
        RwSignal::new(String::new()),
        RwSignal::new(String::new()),
    );
    let trouble = RwSignal::new(String::new());
    let save = move || {
        let sheet = shared.draft.with_untracked(|d| d.sheet.clone());
        let told = own_model::Told {
            name: name.get_untracked(),
            maker: maker.get_untracked(),
            number: number.get_untracked(),
            from: from.get_untracked(),
            to: to.get_untracked(),
        };
        match own_model::model(shared.packs().reference, &told, &sheet) {
            Err(error) => trouble.set(error.to_string()),
            Ok(_) => keeping::add_own_model(shared, told, sheet, move || go(Route::Identify)),
        }
    };
    let field = |label: &'static str, hint: &'static str, value: RwSignal<String>| {
        view! {
            <label>{label}<input autocomplete="off" placeholder=hint prop:value=value on:input=move |e| value.set(event_target_value(&e))/></label>
        }
    };
    view! {
        <section class="paper">
            <h1>"A model of your own"</h1>
            <p>"What you saw on this reel becomes its entry. It counts from the next reel on, and is shown as yours."</p>
            <SeenSoFar/>
            <form on:submit=move |event| { event.prevent_default(); save(); }>
                {field("Name of the model", "as it is sold or spoken of", name)}
                {field("Maker, if known", "leave empty if not", maker)}
                {field("Catalogue number, if any", "", number)}
                {field("First year, if known", "1948", from)}
                {field("Last year, if known", "1955", to)}
                <p class="trouble" role="alert">{trouble}</p>
                <button class="main wide" type="submit">"Add the model"</button>
            </form>
        </section>
    }
}
