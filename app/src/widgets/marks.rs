//! The drawing on which a tap says where the lettering stands.

use leptos::prelude::*;
use tailplate_core::drawing;
use tailplate_core::observe::About;
use wasm_bindgen::JsCast;

use crate::state::shared;

#[component]
pub fn MarkMap(#[prop(into)] kind: String) -> impl IntoView {
    let shared = shared();
    let open = move |target: Option<web_sys::EventTarget>| {
        let element: Option<web_sys::Element> = target.and_then(|t| t.dyn_into().ok());
        let place =
            element.and_then(|e| e.closest("[data-place]").ok().flatten()).and_then(|e| e.get_attribute("data-place"));
        if let Some(place) = place {
            shared.asking.set(Some(About::Mark(place)));
        }
    };
    view! {
        <div class="mark-map" inner_html=drawing::mark_map(&kind)
            on:click=move |event| open(event.target())
            on:keydown=move |event| if matches!(event.key().as_str(), "Enter" | " ") { event.prevent_default(); open(event.target()); }></div>
    }
}
