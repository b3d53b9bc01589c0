//! What to buy of what is offered: reels and parts against the open needs, within a budget.

use leptos::prelude::*;
use serde::{Deserialize, Serialize};
use tailplate_core::fit::plan::{Offer, Plan, Planned, Planning, STEPS_MAX, TELL_EACH};
use tailplate_core::fit::{self, Fits};
use tailplate_core::record::Kind;
use tailplate_core::shop::{Find, FindState, Need, Part, Price};

use super::parts::{Stock, need_words, role_label, stock};
use crate::keeping::{self, shelf};
use crate::later::later;
use crate::route::Route;
use crate::state::{World, judge, shared};
use crate::{pace, prefs, words};

/// Finds looked at for what they would serve; the newest.
const FINDS_MAX: usize = 100;

/// What was typed, kept until it is taken off.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Shopping {
    pub budget: String,
    pub offers: Vec<Offer>,
    /// Ids of finds that are not for sale, or not any more.
    pub left_out: Vec<String>,
}

/// A find with its price.
#[derive(Clone, PartialEq)]
struct OnTable {
    id: String,
    offer: Offer,
}

async fn on_tables(world: World) -> Result<Vec<OnTable>, String> {
    shelf::ready().await?;
    let mut ids = shelf::with(|rows| {
        let finds = rows.iter().filter(|row| row.kind == Kind::Find && !row.deleted);
        finds.map(|row| (row.made_ms, row.id.clone())).collect::<Vec<_>>()
    });
    ids.sort_by(|a, b| b.cmp(a));
    let ids: Vec<String> = ids.into_iter().take(FINDS_MAX).map(|(_, id)| id).collect();
    let finds = keeping::some::<Find>(&ids).await?;
    let offered = finds.into_iter().filter_map(|find| {
        let price = find.asking_price.clone()?;
        let model = match &find.state {
            FindState::Confirmed { model, .. } => model.clone(),
            FindState::Open => {
                judge(world, &find.sheet).which.candidates.first().filter(|best| best.p >= 0.3)?.model.clone()
            }
            FindState::NotKnown => return None,
        };
        let mut name = super::finds::title(world, &find);
        let called = fit::model_words(world.reference, &model);
        if !name.contains(&called) {
            name = format!("{name}: {called}");
        }
        if !find.place.is_empty() {
            name = format!("{name}, {}", find.place);
        }
        Some(OnTable { id: find.id.clone(), offer: Offer { name, price, model, parts: Vec::new() } })
    });
    Ok(offered.collect())
}

#[component]
pub fn Buy() -> impl IntoView {
    let shared = shared();
    let there = later(move || {
        shared.changed.track();
        Box::pin(async move {
            let world = keeping::full_world(shared).await?;
            Ok::<_, String>((world, stock().await?, on_tables(world).await?))
        })
    });
    let shopping = RwSignal::new(prefs::load_shopping());
    Effect::new(move |first: Option<()>| {
        let now = shopping.get();
        if first.is_some() {
            prefs::save_shopping(&now);
        }
    });
    view! {
        <section class="paper">
            <h1>"What to buy"</h1>
            <p class="how">"The cheapest of what is offered that serves the most urgent needs. Your own boxes come first and cost nothing."</p>
            {move || match there.get() {
                None => view! { <p role="status">"Laying out the packs…"</p> }.into_any(),
                Some(Err(trouble)) => view! { <p class="trouble" role="alert">{trouble}</p> }.into_any(),
                Some(Ok((_, stock, _))) if stock.needs.is_empty() => view! { <div class="empty"><p>"Nothing is wanted, so there is nothing to buy for. Raise a need on a reel, or among the parts."</p>
                    <a class="button main" href=Route::Parts.href()>"Parts"</a></div> }.into_any(),
                Some(Ok((world, stock, tables))) => view! { <Table world stock tables shopping/> }.into_any(),
            }}
        </section>
    }
}

/// Offers weighed at once: more than any market table, few enough for a phone.
const OFFERS_MOST: usize = 500;

#[component]
fn Table(world: World, stock: Stock, tables: Vec<OnTable>, shopping: RwSignal<Shopping>) -> impl IntoView {
    let currency = shared().prefs.with_untracked(|prefs| prefs.currency.clone());
    let trouble = RwSignal::new(String::new());
    let result = RwSignal::new_local(None::<(Plan, Vec<Offer>)>);
    let at = RwSignal::new(None::<(u64, usize)>);
    let stop = RwSignal::new(false);
    let (needs, parts, facts) = (StoredValue::new(stock.needs), StoredValue::new(stock.parts), stock.facts);
    let (tables, facts) = (StoredValue::new(tables), StoredValue::new(facts));
    let for_sale = move || {
        let now = shopping.get();
        let tables = tables.get_value().into_iter().filter(|one| !now.left_out.contains(&one.id));
        tables.map(|one| one.offer).chain(now.offers).collect::<Vec<Offer>>()
    };
    let own_currency = currency.clone();
    let plan = move |event: web_sys::SubmitEvent| {
        event.prevent_default();
        trouble.set(String::new());
        let budget = match Price::parse(&shopping.read_untracked().budget, &own_currency) {
            Ok(price) => price,
            Err(_) => return trouble.set("How much money is there? Write an amount, such as 60.".into()),
        };
        let (offers, others): (Vec<_>, Vec<_>) =
            for_sale().into_iter().partition(|offer| offer.price.currency == budget.currency);
        if offers.is_empty() {
            return trouble
                .set("Nothing is on offer yet. Write below what is for sale, or give a find its asking price.".into());
        }
        if offers.len() > OFFERS_MOST {
            return trouble.set(format!("More than {OFFERS_MOST} offers can’t be weighed at once: leave some out."));
        }
        if !others.is_empty() {
            let names = others.iter().map(|offer| offer.name.as_str()).collect::<Vec<_>>().join("; ");
            trouble.set(format!("Not counted, being asked for in another money than {}: {names}.", budget.currency));
        }
        stop.set(false);
        at.set(Some((0, 0)));
        leptos::task::spawn_local(async move {
            pace::breathe().await;
            let (Some(needs), Some(parts), Some(facts)) =
                (needs.try_get_value(), parts.try_get_value(), facts.try_get_value())
            else {
                return;
            };
            let fits = Fits::new(world.reference, &facts);
            let mut planning = match Planning::new(&fits, &needs, &offers, &parts, &budget, STEPS_MAX) {
                Ok(planning) => planning,
                Err(error) => {
                    let _ = at.try_set(None);
                    let _ = trouble.try_set(error.to_string());
                    return;
                }
            };
            while !planning.work(TELL_EACH) {
                let now = planning.progress();
                // The screen is gone, or the person has seen enough.
                if at.try_set(Some((now.steps, now.served))).is_some() || stop.try_get_untracked().unwrap_or(true) {
                    break;
                }
                pace::breathe().await;
            }
            let plan = planning.plan(world.reference, &needs, &offers, &budget);
            let _ = at.try_set(None);
            let _ = result.try_set(Some((plan, offers)));
        });
    };
    view! {
        <form class="price" on:submit=plan>
            <label>{format!("Money to spend, {currency}")}<input inputmode="decimal" autocomplete="off" prop:value=move || shopping.read().budget.clone() on:input=move |event| shopping.update(|now| now.budget = event_target_value(&event))/></label>
            <button class="main" type="submit" disabled=move || at.read().is_some()>"Plan it"</button>
        </form>
        <p class="trouble" role="alert">{trouble}</p>
        <div aria-live="polite">
            {move || at.get().map(|(steps, served)| view! { <p role="status">{format!("Looking… {} looked into, {} served so far. ", words::count(steps as usize, "branch", "branches"), words::count(served, "need", "needs"))}
                <button on:click=move |_| stop.set(true)>"Stop here"</button></p> })}
            {move || result.get().map(|(plan, offers)| view! { <Told world plan offers needs=needs.get_value() parts=parts.get_value()/> })}
        </div>
        <h2>"On offer"</h2>
        <OnOffer world tables=tables.get_value() shopping currency/>
    }
}

/// What is for sale: finds with their price, and what is typed here.
#[component]
fn OnOffer(world: World, tables: Vec<OnTable>, shopping: RwSignal<Shopping>, currency: String) -> impl IntoView {
    let (reel, parts, price) =
        (RwSignal::new(String::new()), RwSignal::new(String::new()), RwSignal::new(String::new()));
    let trouble = RwSignal::new(String::new());
    let add = move |event: web_sys::SubmitEvent| {
        event.prevent_default();
        let (reel_now, parts_now) = (reel.get_untracked().trim().to_owned(), parts.get_untracked().trim().to_owned());
        if reel_now.is_empty() && parts_now.is_empty() {
            return trouble.set("Which reel or part is it?".into());
        }
        let asked = match Price::parse(&price.get_untracked(), &currency) {
            Ok(price) => price,
            Err(error) => return trouble.set(error.to_string()),
        };
        trouble.set(String::new());
        let model = fit::words::settle(world.reference, &reel_now);
        let of =
            if reel_now.is_empty() { "a reel not named".to_owned() } else { fit::model_words(world.reference, &model) };
        let listed = parts_now.split([',', ';']).map(str::trim).filter(|one| !one.is_empty());
        let listed: Vec<Part> = listed.map(|one| Part::new("", 0, one)).collect();
        let name = if listed.is_empty() { of } else { format!("{parts_now} of {of}") };
        shopping.update(|now| now.offers.push(Offer { name, price: asked, model, parts: listed }));
        for field in [reel, parts, price] {
            field.set(String::new());
        }
    };
    let field = |label: &'static str, value: RwSignal<String>| view! { <label>{label}<input autocomplete="off" prop:value=value on:input=move |event| value.set(event_target_value(&event))/></label> };
    view! {
        <ul class="plain-list">
            {tables.into_iter().map(|one| {
                let (id, href) = (one.id.clone(), Route::Find(one.id.clone()).href());
                let out = Memo::new(move |_| shopping.read().left_out.contains(&id));
                let id = one.id.clone();
                let toggle = move |_| shopping.update(|now| match now.left_out.iter().position(|other| *other == id) {
                    Some(place) => { now.left_out.remove(place); }
                    None => now.left_out.push(id.clone()),
                });
                view! { <li class="line"><span class:out=out><a href=href>{one.offer.name}</a><small>{one.offer.price.to_string()}</small></span>
                    <button on:click=toggle>{move || if out.get() { "Count it in" } else { "Leave it out" }}</button></li> }
            }).collect_view()}
            {move || shopping.get().offers.into_iter().enumerate().map(|(place, offer)| view! {
                <li class="line"><span>{offer.name.clone()}<small>{offer.price.to_string()}</small></span>
                    <button aria-label=format!("Take off: {}", offer.name) on:click=move |_| shopping.update(|now| { now.offers.remove(place); })>"Take off"</button></li>
            }).collect_view()}
        </ul>
        <form class="add-line" on:submit=add>
            {field("Which reel, or the part is from", reel)}
            {field("Only these parts (empty: the whole reel)", parts)}
            <label>"Asked"<input inputmode="decimal" autocomplete="off" prop:value=price on:input=move |event| price.set(event_target_value(&event))/></label>
            <p class="trouble" role="alert">{trouble}</p>
            <button class="wide" type="submit">"Put it on offer"</button>
        </form>
    }
}

/// The plan in words.
#[component]
fn Told(world: World, plan: Plan, offers: Vec<Offer>, needs: Vec<Need>, parts: Vec<Part>) -> impl IntoView {
    let reference = world.reference;
    let money = |hundredths: i64| format!("{}.{:02} {}", hundredths / 100, hundredths % 100, plan.currency);
    let served = |planned: &Planned| {
        let need = need_words(reference, &needs[planned.need]);
        let cautions: Vec<String> = planned.answer.checks.iter().chain(&planned.risk).cloned().collect();
        view! { <li>{need}": "<b>{planned.answer.verdict.words()}</b>
        {cautions.into_iter().map(|words| view! { <small class="trouble">" "{words}</small> }).collect_view()}</li> }
    };
    view! {
        <h2>"The plan"</h2>
        <p><b>{plan.words(&needs)}</b></p>
        <p>{format!("It costs {} and leaves {}.", money(plan.cost_hundredths), money(plan.left_hundredths))}
            {plan.proved.then_some(" No plan serves more, and none that serves as much costs less.")}</p>
        {plan.at_best.clone().map(|words| view! { <p class="how">{words}</p> })}
        {plan.buys.iter().map(|buy| {
            let offer = &offers[buy.offer];
            view! { <section class="note"><h3>{format!("Buy {} for {}", offer.name, offer.price)}</h3>
                <ul>{buy.serves.iter().map(served).collect_view()}</ul>
                {(!buy.left_over.is_empty()).then(|| view! { <p class="how">{format!("Left over: {}.", buy.left_over.join(", ").to_lowercase())}</p> })}</section> }
        }).collect_view()}
        {(!plan.from_stock.is_empty()).then(|| view! { <section class="note"><h3>"From your own boxes"</h3>
            <ul>{plan.from_stock.iter().map(|(part, planned)| {
                let place = parts[*part].place();
                view! { <li>{role_label(reference, &parts[*part].role)}{(!place.is_empty()).then(|| format!(", {place}"))}<ul>{served(planned)}</ul></li> }
            }).collect_view()}</ul></section> })}
        {(!plan.unserved.is_empty()).then(|| view! { <h3>"Not served"</h3>
            <ul>{plan.unserved.iter().map(|(need, why)| view! { <li>{need_words(reference, &needs[*need])}": "{why.clone()}</li> }).collect_view()}</ul> })}
    }
}
