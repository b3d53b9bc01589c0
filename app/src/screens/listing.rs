//! A seller's words against the marks, the dates and themselves.

use leptos::prelude::*;
use tailplate_core::listing::{self, Claim, Finding, Firm, Judged, Reader, Speaks};

use crate::keeping::{self, shared as handed};
use crate::later::later;
use crate::route::Route;
use crate::state::{shared, this_year};

#[component]
pub fn Listing() -> impl IntoView {
    let shared = shared();
    let world = later(move || Box::pin(keeping::full_world(shared)));
    let text = RwSignal::new(crate::prefs::load_listing());
    let reader = Memo::new_with_compare(
        move |_| world.get().and_then(Result::ok).map(|world| std::sync::Arc::new(Reader::of(world.reference))),
        |_, _| true,
    );
    let judged = Signal::derive(move || {
        let (Some(Ok(world)), Some(reader)) = (world.get(), reader.get()) else { return None };
        let claims = reader.read(&text.read());
        let judged =
            shared.draft.with(|draft| listing::judge(&claims, &draft.sheet, world.reference, world.key, this_year()));
        Some((claims, judged))
    });
    // What another app shared is laid in as soon as the screen opens.
    let photos_of = RwSignal::new(None::<String>);
    leptos::task::spawn_local(async move {
        match handed::take(shared).await {
            Ok(Some(handed)) => {
                if !handed.words.is_empty() {
                    crate::prefs::save_listing(&handed.words);
                    let _ = text.try_set(handed.words);
                }
                let _ = photos_of.try_set(handed.find);
            }
            Ok(None) => {}
            Err(trouble) => shared.warn(trouble),
        }
    });
    view! {
        <section class="paper">
            <h1>"Check a listing"</h1>
            <label>"The seller’s text"<textarea rows="7" placeholder="Paste what the seller writes" prop:value=text on:input=move |event| {
                let words = event_target_value(&event);
                crate::prefs::save_listing(&words);
                text.set(words);
            }></textarea></label>
            {move || photos_of.get().map(|id| view! { <p class="note">"The photos that came with it are kept as a find. "<a href=Route::Find(id).href()>"Open the find"</a></p> })}
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
                view! { <Verdicts claims judged/> }.into_any()
            })}</div>
        </section>
    }
}

/// The claim as the seller put it: what is denied, and what is only guessed, is told as such.
fn said(claim: &Claim) -> impl IntoView + use<> {
    let firm = match claim.firm {
        Firm::Vouched => " (vouched for)",
        Firm::Stated => "",
        Firm::Guessed => " (put as a guess)",
        Firm::Likeness => " (put as a likeness)",
    };
    view! { {claim.denied.then_some("not ")}<q>{claim.quote.clone()}</q>{firm} }
}

#[component]
fn Verdicts(claims: Vec<Claim>, judged: Judged) -> impl IntoView {
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
            <li class=class(verdict.finding)><p>{claims.get(verdict.claim).map(said)}" "<b>{verdict.finding.words()}</b></p>
                <ul class="reasons">{verdict.reasons.into_iter().map(|reason| {
                    let side = match reason.speaks { Speaks::For => "for", Speaks::Against => "against", Speaks::Neither => "" };
                    view! { <li class=side>{reason.words}</li> }
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
