//! Paid, packed, handed back: a job is closed when every reel of it is accounted for.

use leptos::prelude::*;
use tailplate_core::paper::reel_name;
use tailplate_core::shop::job::{Packed, old_part};
use tailplate_core::shop::{Job, Paid, PaidFor, Price, Reel, Stand, Who};
use tailplate_core::tag::grouped;

use super::quote::SumsOf;
use crate::keeping::{self, counter};
use crate::later::later;
use crate::route::{Route, go};
use crate::state::shared;
use crate::store;
use crate::widgets::visit::{Visit, VisitScreen, visit};

#[component]
pub fn HandBack(id: String) -> impl IntoView {
    let visit = visit(id);
    view! {
        <VisitScreen visit title="Hand back">
            <h1>"Hand back"</h1>
            <h2>"Reels"</h2>
            <Packing visit/>
            <h2>"Money"</h2>
            <SumsOf visit/>
            <Pay visit/>
            <h2>"Close"</h2>
            <Close visit/>
            <div class="actions">
                <a class="button quiet" href=Route::Job(visit.id()).href()>"Job"</a>
                <button class="quiet" on:click=move |_| go(Route::Paper("report".into(), visit.id()))>"Report"</button>
                <button class="main" on:click=move |_| go(Route::Paper("bill".into(), visit.id()))>"Bill"</button>
            </div>
        </VisitScreen>
    }
}

/// Every reel and every old part that goes back, ticked as it goes into the parcel; and what becomes of each reel.
#[component]
fn Packing(visit: Visit) -> impl IntoView {
    let reference = shared().packs().reference;
    let reels = visit.reels();
    let packed = visit.part(|o| o.job.packed.clone());
    let tick = move |what: String| {
        visit.change(move |job| match job.packed.iter().position(|one| one.what == what) {
            Some(at) => drop(job.packed.remove(at)),
            None => job.packed.push(Packed { what, at_ms: store::now_ms() }),
        });
    };
    let box_of = move |what: String, words: String| {
        let ticked = {
            let what = what.clone();
            move || packed.read().iter().any(|one| one.what == what)
        };
        view! { <label class="tick"><input type="checkbox" prop:checked=ticked on:change=move |_| tick(what.clone())/><span>{words}</span></label> }
    };
    let one = move |reel: Reel| {
        let name = format!("{} {}", grouped(&reel.tag), reel_name(reference, &reel));
        let stand = reel.stand().0;
        let old: Vec<String> =
            reel.old_parts.iter().filter(|part| part.goes_back).map(|part| part.part.clone()).collect();
        let ways: Vec<(Stand, Who)> =
            stand.ways().iter().filter(|(way, _)| way.accounted_for() || stand.accounted_for()).copied().collect();
        let id = reel.id.clone();
        view! { <li class="hand-back">
            {box_of(reel.id.clone(), name)}
            {old.into_iter().map(|part| box_of(old_part(&reel, &part), format!("old part: {part}"))).collect_view()}
            <p class="how">"Stands at: "<b>{stand.words()}</b></p>
            <div class="choices">{ways.into_iter().map(|(way, who)| {
                let id = id.clone();
                let words = if who == Who::Customer { format!("{}, the owner says", way.words()) } else { way.words().to_owned() };
                view! { <button class="choice plain" on:click=move |_| go_on(id.clone(), way, who)>{words}</button> }
            }).collect_view()}
            {(!stand.accounted_for() && !matches!(stand, Stand::Ready | Stand::Declined)).then(|| view! { <a class="button" href=Route::Reel(reel.id.clone()).href()>"It is not ready: to the reel"</a> })}
            </div>
        </li> }
    };
    view! { <ul class="plain-list">{move || reels.get().into_iter().map(one).collect_view()}</ul>
    <p class="how">"Drag backed off, handle folded or off. Padding all round, no weight on the foot."</p> }
}

/// Sends a reel on its way; what is not allowed is told.
pub fn go_on(id: String, to: Stand, by: Who) {
    let shared = shared();
    keeping::work(shared, async move {
        let mut refused = None;
        keeping::change_now(&id, |reel: &mut Reel| refused = reel.go(to, by, store::now_ms(), "").err()).await?;
        match refused {
            Some(error) => Err(error.to_string()),
            None => {
                shared.say(format!("{}.", to.words()));
                Ok(())
            }
        }
    });
}

#[component]
fn Pay(visit: Visit) -> impl IntoView {
    let shared = shared();
    let (amount, how, trouble) = (RwSignal::new(String::new()), RwSignal::new("cash"), RwSignal::new(String::new()));
    let paid = visit.part(|o| o.job.paid.clone());
    let pay = move |what: PaidFor| match Price::parse(&amount.get_untracked(), &shared.prefs.read_untracked().currency)
    {
        Err(error) => trouble.set(error.to_string()),
        Ok(price) => {
            trouble.set(String::new());
            amount.set(String::new());
            let one = Paid { at_ms: store::now_ms(), price, what, how: how.get_untracked().into() };
            visit.change(move |job| job.paid.push(one));
        }
    };
    view! {
        <ul>{move || paid.get().into_iter().map(|one| {
            let what = match one.what { PaidFor::Deposit => "Deposit", PaidFor::Payment => "Paid", PaidFor::Refund => "Given back" };
            view! { <li>{format!("{what}: {}, {} ({})", one.price, one.how, crate::words::day(one.at_ms as f64))}</li> }
        }).collect_view()}</ul>
        <label>"Amount"<span class="with-unit"><input inputmode="decimal" autocomplete="off" prop:value=amount on:input=move |event| amount.set(event_target_value(&event))/><span>{move || shared.prefs.read().currency.clone()}</span></span></label>
        <div class="segments">{["cash", "card", "transfer"].into_iter().map(|one| view! { <button aria-pressed=move || (how.get() == one).to_string() on:click=move |_| how.set(one)>{one}</button> }).collect_view()}</div>
        <p class="trouble" role="alert">{trouble}</p>
        <div class="choices">
            <button class="choice plain" on:click=move |_| pay(PaidFor::Payment)>"Received"</button>
            <button class="choice plain" on:click=move |_| pay(PaidFor::Deposit)>"Received as a deposit"</button>
            <button class="choice plain" on:click=move |_| pay(PaidFor::Refund)>"Given back"</button>
        </div>
    }
}

#[component]
fn Close(visit: Visit) -> impl IntoView {
    let shared = shared();
    let house = later(move || {
        shared.changed.track();
        Box::pin(counter::house())
    });
    let open = move || {
        let opened = visit.opened.get()?;
        let tax = house.get().and_then(|house| house.tax);
        Some((opened.job.open_ends(&opened.reels, tax.as_ref()), opened.job.closed_ms.is_some()))
    };
    let close = move |_| {
        let Some(opened) = visit.opened.get_untracked() else { return };
        let tax = house.get_untracked().and_then(|house| house.tax);
        keeping::work(shared, async move {
            let mut refused = None;
            let reels =
                keeping::some::<Reel>(&opened.reels.iter().map(|reel| reel.id.clone()).collect::<Vec<_>>()).await?;
            let change = |job: &mut Job| refused = job.close(&reels, tax.as_ref(), store::now_ms()).err();
            keeping::change_now(&visit.id(), change).await?;
            match refused {
                Some(error) => Err(error.to_string()),
                None => {
                    shared.say("The job is closed.");
                    go(Route::Jobs);
                    Ok(())
                }
            }
        });
    };
    move || {
        open().map(|(ends, closed)| match (ends.is_empty(), closed) {
        (_, true) => view! { <p>"This job is closed."</p> }.into_any(),
        (true, false) => view! { <p>"Every reel is accounted for and everything is paid."</p><button class="main wide" on:click=close>"Close the job"</button> }.into_any(),
        (false, false) => view! { <p>"Before it can be closed:"</p><ul>{ends.into_iter().map(|end| view! { <li>{end}</li> }).collect_view()}</ul> }.into_any(),
    })
    }
}
