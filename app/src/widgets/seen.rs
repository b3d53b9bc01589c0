//! What was seen so far; a tap opens it again. The kind of reel stands drawn on the tag.

use leptos::prelude::*;

use crate::state::shared;
use crate::words;

#[component]
pub fn SeenSoFar() -> impl IntoView {
    let shared = shared();
    let reference = shared.packs().reference;
    view! {
        <ul class="seen" aria-label="Seen so far">
            {move || shared.draft.with(|d| d.sheet.current().into_iter().filter(|o| o.about.id() != "reel_kind").cloned().collect::<Vec<_>>()).into_iter().map(|seen| {
                let (subject, answer) = words::seen_in_words(reference, &seen);
                let about = seen.about.clone();
                let back = format!("Take back: {subject}, {answer}");
                view! { <li>
                    <button class="chip" on:click=move |_| shared.asking.set(Some(about.clone()))><small>{subject}</small>" "<b>{answer}</b></button>
                    <button class="chip-back" aria-label=back on:click=move |_| shared.take_back(&seen)>"×"</button>
                </li> }
            }).collect_view()}
        </ul>
    }
}
