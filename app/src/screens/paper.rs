//! A sheet as it will be printed, and the way to the printer.

use std::collections::BTreeMap;

use leptos::prelude::*;
use tailplate_core::paper::{self, Desk, Layout, Sheet};

use crate::keeping::{self, counter};
use crate::later::later;
use crate::packs;
use crate::route::Route;
use crate::state::shared;
use crate::store;

/// Small labels about no job: for the inside of a spool, a bag, a box.
pub const STICKERS: &str = "stickers";

#[component]
pub fn Paper(sheet: String, id: String) -> impl IntoView {
    let shared = shared();
    let (layout, first) = (RwSignal::new(Layout::A4Of24), RwSignal::new(0_usize));
    let stickers = sheet == STICKERS;
    let labels = sheet == "tags" || stickers;
    let words = RwSignal::new(String::new());
    let (wanted, job) = (sheet.clone(), id.clone());
    let written = later(move || {
        shared.changed.track();
        let (layout, first, wanted, job) = (layout.get(), first.get(), wanted.clone(), job.clone());
        let words = words.get();
        Box::pin(async move {
            match wanted.as_str() {
                STICKERS => Ok(paper::stickers(&words, layout, first)),
                sheet => write(sheet, job, layout, first).await,
            }
        })
    });
    let print = move |_| {
        let _ = window().print();
    };
    view! {
        <section class="paper no-print">
            <h1>{Sheet::ALL.into_iter().find(|one| one.word() == sheet).map_or(if stickers { "Stickers" } else { "Tags" }, Sheet::title)}</h1>
            {stickers.then(|| view! {
                <label>"Words, an empty line between two stickers"<textarea rows="6" placeholder="Spool of the Dunling 3 inch\n0.30 mm, 8 lb\n14 March 2026" on:input=move |event| words.set(event_target_value(&event))></textarea></label>
            })}
            {labels.then(|| view! {
                <div class="segments">{Layout::ALL.into_iter().map(|one| view! { <button aria-pressed=move || (layout.get() == one).to_string() on:click=move |_| layout.set(one)>{one.words()}</button> }).collect_view()}</div>
                <label>"First free label of the sheet"<input type="number" min="1" max="30" value="1" on:change=move |event| first.set(event_target_value(&event).parse::<usize>().unwrap_or(1).saturating_sub(1))/></label>
            })}
            {move || match written.get() { Some(Err(trouble)) => view! { <p class="trouble" role="alert">{trouble}</p> }.into_any(), _ => ().into_any() }}
        </section>
        <div class="sheets">{move || written.get().and_then(Result::ok).map(|html| view! { <div inner_html=html></div> })}</div>
        <div class="actions">
            {(!stickers).then(|| view! { <a class="button quiet" href=Route::Job(id).href()>"Job"</a> })}
            <button class="main" on:click=print>"Print"</button>
        </div>
    }
}

async fn write(sheet: &str, job: String, layout: Layout, first: usize) -> Result<String, String> {
    let opened = counter::open_job(job).await?.ok_or("There is no such job. It may have been deleted elsewhere.")?;
    let (house, reference) = (counter::house().await, shared().packs().reference);
    if sheet == "tags" {
        return Ok(paper::tags(&house, reference, &opened.reels, layout, first));
    }
    let which = Sheet::ALL.into_iter().find(|one| one.word() == sheet).ok_or("There is no such sheet.")?;
    let mut photos = BTreeMap::new();
    if which == Sheet::Report {
        for photo in opened.reels.iter().flat_map(|reel| &reel.photos) {
            if let Some(url) = keeping::photo_url(photo.sha256.clone()).await {
                photos.insert(photo.sha256.clone(), url);
            }
        }
    }
    // Only what was serviced or tested needs the packs of the bench; without them it must not be left out in silence.
    let worked = opened.reels.iter().any(|reel| !reel.service.is_empty() || !reel.tests.is_empty());
    let bench = if which == Sheet::Report && worked { Some(packs::bench().await?) } else { None };
    let day = |ms: i64| crate::words::day(ms as f64);
    let desk = Desk { house: &house, reference, bench, day: &day, photo: &|sha256| photos.get(sha256).cloned() };
    let visit = paper::Visit { job: &opened.job, customer: opened.customer.as_ref(), reels: &opened.reels };
    paper::sheet(&desk, visit, which, store::now_ms()).map_err(|error| error.to_string())
}
