//! Putting the core's drawings on the page.

use leptos::prelude::*;

/// A drawing that repeats what the words beside it say: hidden from readers.
#[component]
pub fn Picture(#[prop(into)] svg: String, #[prop(default = "picture")] class: &'static str) -> impl IntoView {
    view! { <span class=class aria-hidden="true" inner_html=svg></span> }
}
