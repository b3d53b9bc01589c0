//! A sheet as it will be printed, and the way to the printer.

use std::collections::BTreeMap;

use leptos::prelude::*;
use tailplate_core::paper::{self, Desk, Layout, Sheet};
use tailplate_core::shop::Reel;

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
    let (stickers, of_reel) = (sheet == STICKERS, sheet == WAY_BACK);
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
            <h1>{match sheet.as_str() { "tags" => "Tags", STICKERS => "Stickers", WAY_BACK => "The way back", _ => which(&sheet).map_or("Paper", Sheet::title) }}</h1>
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
            {(!stickers).then(|| match of_reel { true => view! { <a class="button quiet" href=Route::Strip(id).href()>"Strip"</a> }.into_any(), false => view! { <a class="button quiet" href=Route::Job(id).href()>"Job"</a> }.into_any() })}
            // An empty page would be printed.
            <button class="main" disabled=move || !matches!(&*written.read(), Some(Ok(_))) on:click=print>"Print"</button>
        </div>
    }
}

/// The one sheet that is about a reel and not about a job.
const WAY_BACK: &str = "way-back";

fn which(sheet: &str) -> Option<Sheet> {
    Sheet::ALL.into_iter().find(|one| one.word() == sheet)
}

async fn way_back(id: String) -> Result<String, String> {
    let reel = keeping::one::<Reel>(id).await?.ok_or("There is no such reel. It may have been deleted elsewhere.")?;
    let guide = keeping::guides::of_model(keeping::guides::model_of(&reel), reel.id.clone()).await?;
    let shown = reel.photos.iter().map(|photo| photo.sha256.clone());
    let of_others = guide.iter().flat_map(|guide| &guide.steps).flat_map(|step| step.photos.iter().take(1).cloned());
    let photos = photos(shown.chain(of_others)).await;
    let (house, reference) = (counter::house().await, shared().packs().reference);
    let (bench, day) = (Some(packs::bench().await?), |ms: i64| crate::words::day(ms as f64));
    let desk = Desk { house: &house, reference, bench, day: &day, photo: &|sha256| photos.get(sha256).cloned() };
    let written = paper::way_back(&desk, &reel, guide.as_ref(), store::now_ms());
    written.ok_or_else(|| "Nothing was taken off yet, so there is no way back to print.".to_owned())
}

/// Those of the photos that are here, as addresses.
async fn photos(wanted: impl Iterator<Item = String>) -> BTreeMap<String, String> {
    let mut photos = BTreeMap::new();
    for sha256 in wanted {
        if let Some(url) = keeping::photo_url(sha256.clone()).await {
            photos.insert(sha256, url);
        }
    }
    photos
}

async fn write(sheet: &str, job: String, layout: Layout, first: usize) -> Result<String, String> {
    if sheet == WAY_BACK {
        return way_back(job).await;
    }
    let opened = counter::open_job(job).await?.ok_or("There is no such job. It may have been deleted elsewhere.")?;
    let (house, reference) = (counter::house().await, shared().packs().reference);
    if sheet == "tags" {
        return Ok(paper::tags(&house, reference, &opened.reels, layout, first));
    }
    let which = which(sheet).ok_or("There is no such sheet.")?;
    let with_photos = opened.reels.iter().filter(|_| which == Sheet::Report);
    let photos = photos(with_photos.flat_map(|reel| &reel.photos).map(|photo| photo.sha256.clone())).await;
    // Only what was serviced or tested needs the packs of the bench; without them it must not be left out in silence.
    let worked = opened.reels.iter().any(|reel| !reel.service.is_empty() || !reel.tests.is_empty());
    let bench = if which == Sheet::Report && worked { Some(packs::bench().await?) } else { None };
    let day = |ms: i64| crate::words::day(ms as f64);
    let desk = Desk { house: &house, reference, bench, day: &day, photo: &|sha256| photos.get(sha256).cloned() };
    let visit = paper::Visit { job: &opened.job, customer: opened.customer.as_ref(), reels: &opened.reels };
    paper::sheet(&desk, visit, which, store::now_ms()).map_err(|error| error.to_string())
}
