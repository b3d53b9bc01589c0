//! Photos of a find or a reel: taken one after another, kept as bytes under their hash, shown small, looked into large.

use leptos::prelude::*;
use tailplate_core::shop::{Find, PhotoRef, Reel, Spot, Stage};
use wasm_bindgen::JsCast;
use wasm_bindgen_futures::spawn_local;

use crate::keeping;
use crate::later::later;
use crate::route::Route;
use crate::state::{Shared, shared};

/// Whose photos.
#[derive(Clone, PartialEq)]
pub enum Owner {
    Find(String),
    Reel(String),
}

impl Owner {
    fn add(self, shared: Shared, files: Vec<web_sys::File>, stage: Stage, busy: RwSignal<usize>) {
        match self {
            Self::Find(id) => keeping::add_photos::<Find>(shared, id, files, stage, busy),
            Self::Reel(id) => keeping::add_photos::<Reel>(shared, id, files, stage, busy),
        }
    }
    fn remove(self, shared: Shared, sha256: String) {
        match self {
            Self::Find(id) => keeping::remove_photo::<Find>(shared, id, sha256),
            Self::Reel(id) => keeping::remove_photo::<Reel>(shared, id, sha256),
        }
    }
    /// Where a size is taken in one of its photos.
    fn measuring(&self, sha256: &str) -> Route {
        Route::Measure(match self {
            Self::Find(id) => format!("find/{id}/{sha256}"),
            Self::Reel(id) => format!("reel/{id}/{sha256}"),
        })
    }
    fn cover(self, shared: Shared, sha256: String) {
        match self {
            Self::Find(id) => keeping::make_cover::<Find>(shared, id, sha256),
            Self::Reel(id) => keeping::make_cover::<Reel>(shared, id, sha256),
        }
    }
    fn change(self, shared: Shared, sha256: String, change: impl FnOnce(&mut PhotoRef) + 'static) {
        match self {
            Self::Find(id) => keeping::change_photo::<Find>(shared, id, sha256, change),
            Self::Reel(id) => keeping::change_photo::<Reel>(shared, id, sha256, change),
        }
    }
}

#[component]
pub fn Photos(owner: Owner, photos: Vec<PhotoRef>, #[prop(optional)] stage: Stage) -> impl IntoView {
    let shared = shared();
    let busy = RwSignal::new(0_usize);
    let of = owner.clone();
    let take = move |event: web_sys::Event| {
        let files = keeping::copy::chosen(&event);
        of.clone().add(shared, files, stage, busy);
    };
    let open = RwSignal::new(None::<PhotoRef>);
    view! {
        <ul class="photos">
            {photos.into_iter().map(|photo| {
                let sha = photo.sha256.clone();
                let (back, of) = (sha.clone(), owner.clone());
                let words = photo.words.clone();
                let label = if words.is_empty() { "See it large".to_owned() } else { format!("See it large: {words}") };
                view! { <li><button class="thumb-button" aria-label=label on:click=move |_| open.set(Some(photo.clone()))><Thumb sha=Some(sha)/>
                    {(!words.is_empty()).then(|| view! { <small class="caption">{words.clone()}</small> })}</button>
                    <button class="chip-back" aria-label="Take this photo away" on:click=move |_| of.clone().remove(shared, back.clone())>"×"</button></li> }
            }).collect_view()}
            <li><label class="add-photo">
                <input type="file" accept="image/*" multiple=true on:change=take/>
                <svg viewBox="0 0 24 24" aria-hidden="true"><path d="M4 7h4l2-3h4l2 3h4v12H4zM12 9.5a3.5 3.5 0 1 0 .01 0"></path></svg>
                <span>{move || match busy.get() { 0 => "Photo".to_owned(), n => format!("{n} to go…") }}</span>
            </label></li>
        </ul>
        {move || open.get().map(|photo| view! { <Large owner=owner.clone() photo open/> })}
    }
}

/// One photo over the screen: larger, with words, and places on it marked with a word.
#[component]
fn Large(owner: Owner, photo: PhotoRef, open: RwSignal<Option<PhotoRef>>) -> impl IntoView {
    let shared = shared();
    let sha = photo.sha256.clone();
    let url = {
        let sha = sha.clone();
        later(move || Box::pin(keeping::photo_url(sha.clone())))
    };
    let (zoomed, marking) = (RwSignal::new(false), RwSignal::new(false));
    let spots = RwSignal::new(photo.spots.clone());
    let new_spot = RwSignal::new(None::<(u16, u16)>);
    let keep = StoredValue::new((owner, sha));
    let change = move |change: Box<dyn FnOnce(&mut PhotoRef)>| {
        let (owner, sha) = keep.get_value();
        owner.change(shared, sha, change);
    };
    let tapped = move |event: web_sys::MouseEvent| {
        if !marking.get_untracked() {
            zoomed.update(|z| *z = !*z);
            return;
        }
        let Some(image) = event.current_target().and_then(|t| t.dyn_into::<web_sys::Element>().ok()) else { return };
        let area = image.get_bounding_client_rect();
        let mille =
            |at: f64, from: f64, length: f64| ((at - from) / length.max(1.0) * 1000.0).clamp(0.0, 1000.0) as u16;
        new_spot.set(Some((
            mille(f64::from(event.client_x()), area.left(), area.width()),
            mille(f64::from(event.client_y()), area.top(), area.height()),
        )));
    };
    let name_spot = move |event: web_sys::Event| {
        let words = event_target_value(&event).trim().to_owned();
        let Some((x_mille, y_mille)) = new_spot.get_untracked() else { return };
        new_spot.set(None);
        marking.set(false);
        if !words.is_empty() {
            let spot = Spot { x_mille, y_mille, words };
            spots.update(|all| all.push(spot.clone()));
            change(Box::new(move |photo| photo.spots.push(spot)));
        }
    };
    let words = photo.words.clone();
    let measuring = keep.with_value(|(owner, sha)| owner.measuring(sha)).href();
    view! {
        <div class="large" role="dialog" aria-modal="true" aria-label="Photo">
            <div class="large-photo" class:zoomed=zoomed>
                <div class="spotted" on:click=tapped>
                    {move || url.get().flatten().map(|url| view! { <img src=url alt="Photo, tap for larger"/> })}
                    {move || spots.get().into_iter().map(|spot| view! { <span class="spot" style:left=format!("{}%", f64::from(spot.x_mille) / 10.0) style:top=format!("{}%", f64::from(spot.y_mille) / 10.0)>{spot.words}</span> }).collect_view()}
                </div>
            </div>
            {move || new_spot.get().map(|_| view! { <label class="large-field">"What is there?"<input autofocus=true on:change=name_spot/></label> })}
            <label class="large-field">"What it shows"<input prop:value=words.clone() on:change=move |event| { let words = event_target_value(&event); change(Box::new(move |photo| photo.words = words)); }/></label>
            <div class="large-actions">
                <button aria-pressed=move || marking.get().to_string() on:click=move |_| marking.update(|m| *m = !*m)>"Mark a spot"</button>
                <a class="button" href=measuring>"Measure in it"</a>
                <button on:click=move |_| { let (owner, sha) = keep.get_value(); owner.cover(shared, sha); open.set(None); }>"Make it the cover"</button>
                <button class="main" on:click=move |_| open.set(None)>"Close"</button>
            </div>
        </div>
    }
}

#[component]
pub fn Thumb(sha: Option<String>) -> impl IntoView {
    let class = RwSignal::new(sha.as_deref().and_then(keeping::thumb_at_hand));
    if let (Some(sha), None) = (sha, class.get_untracked()) {
        spawn_local(async move {
            if let Some(read) = keeping::thumb_class(&sha).await {
                // The row may be gone by now.
                let _ = class.try_set(Some(read));
            }
        });
    }
    view! { <span class=move || format!("thumb {}", class.get().unwrap_or_default())></span> }
}
