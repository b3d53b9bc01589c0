//! Photos of a find: taken one after another, kept as bytes under their hash, shown small.

use leptos::prelude::*;
use tailplate_core::shop::Find;
use wasm_bindgen::JsCast;

use crate::keeping;
use crate::later::later;
use crate::state::shared;

#[component]
pub fn Photos(find: Find) -> impl IntoView {
    let shared = shared();
    let id = find.id.clone();
    let busy = RwSignal::new(0_usize);
    let take = move |event: web_sys::Event| {
        let input: web_sys::HtmlInputElement =
            event.target().map(JsCast::unchecked_into).expect("the event has its input");
        let files: Vec<web_sys::File> =
            input.files().map(|list| (0..list.length()).filter_map(|i| list.get(i)).collect()).unwrap_or_default();
        input.set_value("");
        keeping::add_photos(shared, id.clone(), files, busy);
    };
    view! {
        <ul class="photos">
            {find.photos.iter().map(|photo| {
                let sha = photo.sha256.clone();
                let back = sha.clone();
                let of = find.id.clone();
                view! { <li><PhotoButton sha/><button class="chip-back" aria-label="Take this photo away" on:click=move |_| keeping::remove_photo(shared, of.clone(), back.clone())>"×"</button></li> }
            }).collect_view()}
            <li><label class="add-photo">
                <input type="file" accept="image/*" multiple=true on:change=take/>
                <svg viewBox="0 0 24 24" aria-hidden="true"><path d="M4 7h4l2-3h4l2 3h4v12H4zM12 9.5a3.5 3.5 0 1 0 .01 0"></path></svg>
                <span>{move || match busy.get() { 0 => "Photo".to_owned(), n => format!("{n} to go…") }}</span>
            </label></li>
        </ul>
    }
}

/// A thumbnail that opens large.
#[component]
fn PhotoButton(sha: String) -> impl IntoView {
    let open = RwSignal::new(false);
    let large = {
        let sha = sha.clone();
        later(move || {
            let (sha, wanted) = (sha.clone(), open.get());
            Box::pin(async move { if wanted { keeping::photo_url(sha).await } else { None } })
        })
    };
    view! {
        <button class="thumb-button" aria-label="See it large" on:click=move |_| open.set(true)><Thumb sha=Some(sha)/></button>
        {move || open.get().then(|| view! {
            <div class="large" role="dialog" aria-modal="true" aria-label="Photo" on:click=move |_| open.set(false)>
                {move || large.get().flatten().map(|url| view! { <img src=url alt="Photo of the find"/> })}
                <button class="main">"Close"</button>
            </div>
        })}
    }
}

#[component]
pub fn Thumb(sha: Option<String>) -> impl IntoView {
    let url = later(move || {
        let sha = sha.clone();
        Box::pin(async move {
            match sha {
                Some(sha) => keeping::thumb_url(sha).await,
                None => None,
            }
        })
    });
    view! {
        <span class="thumb">{move || url.get().flatten().map(|url| view! { <img src=url alt="" loading="lazy"/> })}</span>
    }
}
