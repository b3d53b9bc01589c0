//! A seller's words against the marks, the dates and themselves.

use leptos::prelude::*;
use tailplate_core::listing::{self, Finding, Judged, Speaks};

use crate::keeping;
use crate::later::later;
use crate::route::Route;
use crate::state::{shared, this_year};

#[component]
pub fn Listing() -> impl IntoView {
    let shared = shared();
    let world = later(move || Box::pin(keeping::full_world(shared)));
    let text = RwSignal::new(crate::prefs::load_listing());
    let judged = Signal::derive(move || {
        let Some(Ok(world)) = world.get() else { return None };
        let text = text.read();
        let claims = listing::read(&text, world.reference);
        let judged =
            shared.draft.with(|draft| listing::judge(&claims, &draft.sheet, world.reference, world.key, this_year()));
        Some((claims, judged))
    });
    view! {
        <section class="paper">
            <h1>"Check a listing"</h1>
            <label>"The seller’s text"<textarea rows="7" placeholder="Paste what the seller writes" prop:value=text on:input=move |event| {
                let words = event_target_value(&event);
                crate::prefs::save_listing(&words);
                text.set(words);
            }></textarea></label>
            <p class="how">"What the photos show is noted on the reel on the table: marks first. "<a href=Route::Identify.href()>"Note what the photos show"</a></p>
            {move || match world.get() {
                None => view! { <p role="status">"Laying out the packs…"</p> }.into_any(),
                Some(Err(trouble)) => view! { <p class="trouble" role="alert">{trouble}</p> }.into_any(),
                Some(Ok(_)) => ().into_any(),
            }}
            <div aria-live="polite">{move || judged.get().filter(|_| !text.read().trim().is_empty()).map(|(claims, judged)| {
                if claims.is_empty() {
                    return view! { <p>"No claim was found in this text: no maker, year, material or condition."</p> }.into_any();
                }
                let quotes: Vec<String> = claims.into_iter().map(|claim| claim.quote).collect();
                view! { <Verdicts quotes judged/> }.into_any()
            })}</div>
        </section>
    }
}

#[component]
fn Verdicts(quotes: Vec<String>, judged: Judged) -> impl IntoView {
    let shared = shared();
    let order = [Finding::Contradicted, Finding::NotShown, Finding::CantBeJudged, Finding::BorneOut];
    let class = |finding: Finding| match finding {
        Finding::Contradicted => "verdict bad",
        Finding::BorneOut => "verdict good",
        _ => "verdict",
    };
    let mut verdicts = judged.verdicts;
    verdicts.sort_by_key(|verdict| order.iter().position(|one| *one == verdict.finding));
    let message = judged.message.clone();
    let copy = move |_| {
        let message = message.clone();
        leptos::task::spawn_local(async move {
            let clipboard = window().navigator().clipboard();
            match wasm_bindgen_futures::JsFuture::from(clipboard.write_text(&message)).await {
                Ok(_) => shared.say("The message is copied."),
                Err(_) => shared.warn("This browser does not let the message be copied. Mark it and copy it by hand."),
            }
        });
    };
    view! {
        <h2>"What it claims"</h2>
        <ul class="plain-list">{verdicts.into_iter().map(|verdict| view! {
            <li class=class(verdict.finding)><p><q>{quotes.get(verdict.claim).cloned().unwrap_or_default()}</q>" "<b>{verdict.finding.words()}</b></p>
                <ul>{verdict.reasons.into_iter().map(|reason| {
                    let sign = match reason.speaks { Speaks::For => "+ ", Speaks::Against => "− ", Speaks::Neither => "" };
                    view! { <li>{sign}{reason.words}</li> }
                }).collect_view()}</ul></li>
        }).collect_view()}</ul>
        {(!judged.asks.is_empty()).then(|| view! {
            <h2>"Ask the seller first"</h2>
            <ol>{judged.asks.into_iter().take(5).map(|ask| view! { <li>{ask.request}<small>" "{ask.why}</small></li> }).collect_view()}</ol>
        })}
        {(!judged.message.is_empty()).then(|| view! {
            <textarea rows="6" aria-label="Message to the seller" readonly=true prop:value=judged.message.clone()></textarea>
            <button class="wide" on:click=copy>"Copy the message"</button>
        })}
        {judged.problems.into_iter().map(|words| view! { <p class="note">{words}</p> }).collect_view()}
    }
}
