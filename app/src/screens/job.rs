//! One visit of a customer: who, their words, reel after reel, until when.

use leptos::prelude::*;
use tailplate_core::paper::reel_name;
use tailplate_core::record::Kind;
use tailplate_core::shop::{Price, Reel, Sought};
use tailplate_core::tag::grouped;

use super::customer::Reach;
use crate::keeping::{self, counter, shelf};
use crate::route::{Route, go};
use crate::state::shared;
use crate::widgets::live::Field;
use crate::widgets::photos::Thumb;
use crate::widgets::visit::{Visit, VisitScreen, visit};

#[component]
pub fn JobScreen(id: String) -> impl IntoView {
    let visit = visit(id);
    let closed = visit.part(|opened| opened.job.closed_ms);
    view! {
        <VisitScreen visit title="Job">
            <Who visit/>
            {move || closed.get().map(|ms| view! { <p class="note">"Closed on "{crate::words::day(ms as f64)}". "<button class="quiet" on:click=move |_| visit.change(|job| job.closed_ms = None)>"Open it again"</button></p> })}
            <Field label="What they said, in their words" rows=3 value=visit.part(|o| o.job.words.clone()) set=move |words: String| visit.change(move |job| job.words = words)/>
            <h2>"Reels"</h2>
            <Reels visit/>
            <h2>"Agreed"</h2>
            <Field label="Promised for" kind="date" value=visit.part(|o| o.job.promised.clone()) set=move |day: String| visit.change(move |job| job.promised = day)/>
            <Money label="Opening fee, whatever comes of it" value=visit.part(|o| amount(&o.job.opening_fee)) set={move |price: Option<Price>| visit.change(move |job| job.opening_fee = price)}/>
            <Money label="Not above this without asking" value=visit.part(|o| amount(&o.job.ceiling)) set={move |price: Option<Price>| visit.change(move |job| job.ceiling = price)}/>
            <Field label="Note" rows=2 value=visit.part(|o| o.job.note.clone()) set=move |words: String| visit.change(move |job| job.note = words)/>
            <Field label="Private note, never printed" rows=2 value=visit.part(|o| o.job.private_note.clone()) set=move |words: String| visit.change(move |job| job.private_note = words)/>
            <SetAside aside=visit.part(|o| o.job.set_aside.iter().map(|one| format!("{}: {}", one.what, one.was)).collect::<Vec<_>>())/>
            <h2>"Paper"</h2>
            <div class="choices">{[("tags", "Tags"), ("receipt", "Receipt"), ("quote", "Quote"), ("report", "Service report"), ("bill", "Bill"), ("packing", "Packing list")].into_iter().map(|(sheet, name)| view! {
                <button class="choice plain" on:click=move |_| go(Route::Paper(sheet.into(), visit.id()))>{name}</button>
            }).collect_view()}</div>
            <Message visit/>
            <div class="actions">
                <button class="quiet" on:click=move |_| go(Route::Quote(visit.id()))>"Price the work"</button>
                <button class="main" on:click=move |_| go(Route::HandBack(visit.id()))>"Hand back"</button>
            </div>
        </VisitScreen>
    }
}

pub fn amount(price: &Option<Price>) -> String {
    price.as_ref().map(|price| price.amount.clone()).unwrap_or_default()
}

/// Values of other devices that stand beside those that count.
#[component]
pub fn SetAside(aside: Memo<Vec<String>>) -> impl IntoView {
    move || {
        let aside = aside.get();
        (!aside.is_empty()).then(|| view! { <div class="note"><b>"Written elsewhere at the same time, not lost:"</b><ul>{aside.into_iter().map(|line| view! { <li>{line}</li> }).collect_view()}</ul></div> })
    }
}

/// The customer: found as typed, or new.
#[component]
fn Who(visit: Visit) -> impl IntoView {
    let shared = shared();
    let has = visit.part(|opened| opened.customer.is_some());
    let typed = RwSignal::new(String::new());
    let known = move || {
        let typed = typed.read();
        if typed.trim().is_empty() {
            return Vec::new();
        }
        let sought = Sought::new(&typed);
        shelf::with(|rows| {
            let fits = rows.iter().filter(|row| row.kind == Kind::Customer && !row.deleted && sought.are_in(&row.text));
            fits.take(5).map(|row| (row.id.clone(), row.name.clone(), row.line.clone())).collect::<Vec<_>>()
        })
    };
    let new = move |_| {
        let name = typed.get_untracked();
        if !name.trim().is_empty() {
            counter::set_customer(shared, visit.id(), None, name);
        }
    };
    let customer = Signal::derive(move || visit.opened.get().and_then(|opened| opened.customer));
    let name = visit.part(|o| o.customer.as_ref().map(|customer| customer.name.clone()).unwrap_or_default());
    view! {
        {move || if has.get() {
            view! {
                <h1>{name}</h1>
                <details><summary>"How to reach them"</summary>
                    <Reach customer/>
                    {move || customer.get().map(|customer| view! { <a class="button quiet" href=Route::Customer(customer.id).href()>"Their other jobs and reels"</a> })}
                    <button class="quiet" on:click=move |_| visit.change(|job| job.customer = None)>"Somebody else"</button>
                </details>
            }.into_any()
        } else {
            view! {
                <h1>"New job"</h1>
                <label>"Customer"<input autocomplete="off" placeholder="Name or phone" on:input=move |event| typed.set(event_target_value(&event)) on:change=move |_| ()/></label>
                <div class="choices">
                    {move || known().into_iter().map(|(id, name, line)| view! { <button class="choice plain" on:click=move |_| counter::set_customer(shared, visit.id(), Some(id.clone()), String::new())>{name}<small>{line}</small></button> }).collect_view()}
                    {move || (!typed.read().trim().is_empty()).then(|| view! { <button class="choice plain" on:click=new>"New customer: "{typed}</button> })}
                </div>
            }.into_any()
        }}
    }
}

/// The reels of the job, and the way to the next: its photo.
#[component]
fn Reels(visit: Visit) -> impl IntoView {
    let shared = shared();
    let reference = shared.packs().reference;
    let busy = RwSignal::new(0_usize);
    let reels = visit.reels();
    let row = move |reel: Reel| {
        let mut words: Vec<String> =
            reel.condition.iter().map(|one| reference.counter.label(&one.what).to_lowercase()).collect();
        words.extend(reel.missing.iter().map(|part| format!("without {}", part.part)));
        let line = if words.is_empty() { "nothing noted yet".to_owned() } else { words.join(", ") };
        view! { <li><a class="find-row" href=Route::Reel(reel.id.clone()).href()>
            <Thumb sha=reel.photos.first().map(|photo| photo.sha256.clone())/>
            <span><b><span class="code">{grouped(&reel.tag)}</span>" "{reel_name(reference, &reel)}</b><small>{line}</small></span>
            <em>{reel.stand().0.words()}</em>
        </a></li> }
    };
    view! {
        <ul class="finds">{move || reels.get().into_iter().map(row).collect_view()}</ul>
        <div class="take-in">
            <label class="add-photo wide-photo">
                <input type="file" accept="image/*" capture="environment" aria-label="Take a reel in by its photo" on:change=move |event| {
                    let files = keeping::copy::chosen(&event);
                    if !files.is_empty() {
                        counter::take_in(shared, visit.id(), files, busy);
                    }
                }/>
                <svg viewBox="0 0 24 24" aria-hidden="true"><path d="M4 7h4l2-3h4l2 3h4v12H4zM12 9.5a3.5 3.5 0 1 0 .01 0"></path></svg>
                <span>{move || if busy.get() > 0 { "Taking it in…" } else { "Snap the next reel" }}</span>
            </label>
            <button class="quiet" on:click=move |_| counter::take_in(shared, visit.id(), Vec::new(), busy)>"A reel without a photo"</button>
        </div>
    }
}

/// An amount in the shop's currency; what can't be read is told, and nothing is changed.
#[component]
pub fn Money(
    label: &'static str,
    #[prop(into)] value: Signal<String>,
    #[prop(into)] set: Callback<Option<Price>>,
) -> impl IntoView {
    let shared = shared();
    let trouble = RwSignal::new(String::new());
    let on = move |event: web_sys::Event| {
        let typed = event_target_value(&event);
        if typed.trim().is_empty() {
            trouble.set(String::new());
            return set.run(None);
        }
        match Price::parse(&typed, &shared.prefs.read_untracked().currency) {
            Ok(price) => {
                trouble.set(String::new());
                set.run(Some(price));
            }
            Err(error) => trouble.set(error.to_string()),
        }
    };
    view! {
        <label>{label}<span class="with-unit"><input inputmode="decimal" autocomplete="off" prop:value=value on:change=on/><span>{move || shared.prefs.read().currency.clone()}</span></span></label>
        <p class="trouble" role="alert">{trouble}</p>
    }
}

/// A word to the owner, ready to send.
#[component]
fn Message(visit: Visit) -> impl IntoView {
    let shared = shared();
    let written = RwSignal::new(None::<String>);
    let write = move |_| {
        leptos::task::spawn_local(async move {
            let Some(opened) = visit.opened.get_untracked() else { return };
            let house = counter::house().await;
            let day = |ms: i64| crate::words::day(ms as f64);
            let desk = tailplate_core::paper::Desk {
                house: &house,
                reference: shared.packs().reference,
                day: &day,
                bench: None,
                photo: &|_| None,
            };
            let about = tailplate_core::paper::Visit {
                job: &opened.job,
                customer: opened.customer.as_ref(),
                reels: &opened.reels,
            };
            written.set(Some(tailplate_core::paper::word_to_owner(&desk, about)));
        });
    };
    let href = move |scheme: &str, words: &str| {
        let to = visit.opened.with_untracked(|o| o.as_ref().and_then(|o| o.customer.clone())).unwrap_or_default();
        let body = js_sys::encode_uri_component(words);
        match scheme {
            "sms" => format!("sms:{}?&body={body}", to.phone.replace(' ', "")),
            _ => format!("mailto:{}?subject={}&body={body}", to.email, js_sys::encode_uri_component("Your reels")),
        }
    };
    view! {
        <button class="quiet wide" on:click=write>"A word to the owner: it has arrived"</button>
        {move || written.get().map(|words| view! {
            <textarea rows="7" aria-label="Word to the owner" prop:value=words.clone() readonly=true></textarea>
            <div class="choices"><a class="button" href=href("sms", &words)>"As a text message"</a><a class="button" href=href("mail", &words)>"As an e-mail"</a></div>
        })}
    }
}
