//! Parts: what is wanted, what lies in which box, what fits what.

use leptos::prelude::*;
use tailplate_core::fit::{self, Answer, Fact, Fits};
use tailplate_core::record::{Kind, Record};
use tailplate_core::reference::{Evidence, Reference, Says};
use tailplate_core::shop::{Fitment, Need, Part, Price};

use crate::keeping::{self, shelf};
use crate::later::later;
use crate::route::Route;
use crate::state::{World, shared};
use crate::store;

/// The source of what was tried here.
const OWN: &str = "this shop";

/// What the shop has of each kind.
#[derive(Clone, Default, PartialEq)]
pub struct Stock {
    pub needs: Vec<Need>,
    pub parts: Vec<Part>,
    pub facts: Vec<Fact>,
}

pub async fn stock() -> Result<Stock, String> {
    shelf::ready().await?;
    let ids = |kind: Kind| {
        shelf::with(|rows| {
            let open = rows.iter().filter(|row| row.kind == kind && !row.deleted && !row.done);
            open.map(|row| row.id.clone()).collect::<Vec<_>>()
        })
    };
    let mut needs = keeping::some::<Need>(&ids(Kind::Need)).await?;
    needs.sort_by_key(|need| (std::cmp::Reverse(need.urgency), need.made_ms));
    let facts = keeping::some::<Fitment>(&ids(Kind::Fitment)).await?;
    let facts = facts.into_iter().filter(|one| !one.is_deleted()).map(|one| one.fact).collect();
    Ok(Stock { needs, parts: keeping::some::<Part>(&ids(Kind::Part)).await?, facts })
}

#[component]
pub fn Parts() -> impl IntoView {
    let shared = shared();
    let world = later(move || Box::pin(keeping::full_world(shared)));
    let kept = later(move || {
        shared.changed.track();
        Box::pin(stock())
    });
    let here = RwSignal::new(Stock::default());
    Effect::new(move |_| {
        if let Some(Ok(stock)) = kept.get()
            && here.with_untracked(|old| *old != stock)
        {
            here.set(stock);
        }
    });
    view! {
        <section class="paper">
            <h1>"Parts"</h1>
            {move || match (world.get(), kept.get()) {
                (Some(Err(trouble)), _) | (_, Some(Err(trouble))) => view! { <p class="trouble" role="alert">{trouble}</p> }.into_any(),
                (Some(Ok(_)), _) => ().into_any(),
                _ => view! { <p role="status">"Laying out the packs…"</p> }.into_any(),
            }}
            {move || world.get().and_then(Result::ok).map(|world| view! {
                <h2>"Wanted"</h2><Needs world here/>
                <h2>"Does it fit?"</h2><DoesItFit world here/>
                <h2>"In the boxes"</h2><Spares world here/>
                <h2>"What other shops found"</h2><Sources here/>
            })}
        </section>
    }
}

pub fn role_label(reference: &Reference, role: &str) -> String {
    reference
        .parts
        .roles
        .iter()
        .find(|one| one.id == role)
        .map_or_else(|| role.replace('-', " "), |one| one.label.clone())
}

/// A need as a person would say it: the part, and for which reel.
pub fn need_words(reference: &Reference, need: &Need) -> String {
    let part = role_label(reference, &need.part);
    match need.model.as_str() {
        "" => part,
        model => format!("{part} for {}", fit::model_words(reference, model)),
    }
}

#[component]
fn Needs(world: World, here: RwSignal<Stock>) -> impl IntoView {
    let shared = shared();
    let (part, model) = (RwSignal::new(String::new()), RwSignal::new(String::new()));
    let add = move |event: web_sys::SubmitEvent| {
        event.prevent_default();
        let (part_now, model_now) = (part.get_untracked().trim().to_owned(), model.get_untracked());
        if part_now.is_empty() {
            return;
        }
        part.set(String::new());
        keeping::raise_need(shared, None, part_now, fit::words::settle(world.reference, &model_now));
    };
    let one = move |need: Need| {
        let (id, reel) = (need.id.clone(), need.reel.clone());
        let of = if need.model.is_empty() { String::new() } else { fit::model_words(world.reference, &need.model) };
        let urgent =
            ["", "one day", "wanted", "a customer waits"].get(usize::from(need.urgency)).copied().unwrap_or_default();
        view! { <li class="line"><span>{role_label(world.reference, &need.part)}<small>{[of, urgent.to_owned()].into_iter().filter(|w| !w.is_empty()).collect::<Vec<_>>().join(" · ")}</small></span>
        {reel.map(|reel| view! { <a class="button" href=Route::Reel(reel).href()>"Reel"</a> })}
        <button on:click={move |_| keeping::change::<Need>(shared, id.clone(), |need| need.settled_ms = Some(store::now_ms()))}>"Found"</button>
        </li><li class="weigh"><Weigh need/></li> }
    };
    view! {
        {move || here.read().needs.is_empty().then(|| view! { <p>"Nothing is wanted. A need is raised here or on a reel; a find then says which needs it would serve."</p> })}
        <ul class="plain-list">{move || here.get().needs.into_iter().map(one).collect_view()}</ul>
        <form class="add-line" on:submit=add>
            <label>"Part wanted"<input autocomplete="off" prop:value=part on:input=move |event| part.set(event_target_value(&event))/></label>
            <label>"For which reel"<input autocomplete="off" prop:value=model on:input=move |event| model.set(event_target_value(&event))/></label>
            <button class="wide" type="submit">"Raise the need"</button>
        </form>
        {move || (!here.read().needs.is_empty()).then(|| view! { <a class="button quiet wide" href=Route::Buy.href()>"What to buy for them"</a> })}
    }
}

/// How urgent a need is, and what having the part is worth: by these a donor is judged and a purchase planned.
#[component]
fn Weigh(need: Need) -> impl IntoView {
    let shared = shared();
    let id = StoredValue::new(need.id.clone());
    let currency = match &need.worth {
        Some(price) => price.currency.clone(),
        None => shared.prefs.with_untracked(|prefs| prefs.currency.clone()),
    };
    let trouble = RwSignal::new(String::new());
    let label = format!("Worth to the shop, {currency}");
    let set_worth = move |event: web_sys::Event| {
        let written = event_target_value(&event);
        let worth = match written.trim() {
            "" => None,
            amount => match Price::parse(amount, &currency) {
                Ok(price) => Some(price),
                Err(error) => return trouble.set(error.to_string()),
            },
        };
        trouble.set(String::new());
        keeping::change::<Need>(shared, id.get_value(), move |need| need.worth = worth);
    };
    let pressed = move |urgency: u8| (need.urgency == urgency).to_string();
    view! {
        <details><summary>"How urgent, and worth what"</summary>
            <div class="segments" role="group" aria-label="How urgent">{[(3, "A customer waits"), (2, "Wanted"), (1, "One day")].map(|(urgency, words)| view! {
                <button aria-pressed=pressed(urgency) on:click={move |_| keeping::change::<Need>(shared, id.get_value(), move |need| need.urgency = urgency)}>{words}</button> })}</div>
            <label>{label}<input inputmode="decimal" autocomplete="off" prop:value=need.worth.as_ref().map(|price| price.amount.clone()).unwrap_or_default() on:change=set_worth/></label>
            <p class="trouble" role="alert">{trouble}</p>
        </details>
    }
}

/// One part of one reel in another, with the chain of evidence; and the shop's own word on it in three taps.
#[component]
fn DoesItFit(world: World, here: RwSignal<Stock>) -> impl IntoView {
    let shared = shared();
    let (role, of, into) = (RwSignal::new(String::new()), RwSignal::new(String::new()), RwSignal::new(String::new()));
    let answers = RwSignal::new(None::<Vec<Answer>>);
    let asked = move || {
        let reference = world.reference;
        let facts = here.get_untracked().facts;
        let fits = Fits::new(reference, &facts);
        let into = fit::words::settle(reference, &into.get_untracked());
        let roles = fit::words::roles(&reference.parts, &role.get_untracked()).roles;
        let role = roles.first().cloned().unwrap_or_else(|| role.get_untracked().trim().to_lowercase());
        match of.get_untracked().trim() {
            "" => fits.all_into(&role, &into, 8),
            of => vec![fits.answer(&role, &fit::words::settle(reference, of), &into)],
        }
    };
    let keep = move |says: Says| {
        let reference = world.reference;
        let settle = |words: String| fit::words::settle(reference, &words);
        let fact = Fact {
            roles: vec![role.get_untracked().trim().to_owned()],
            of: settle(of.get_untracked()),
            into: settle(into.get_untracked()),
            verdict: says,
            evidence: Evidence::Tried,
            when: store::today(),
            sources: vec![OWN.into()],
            ..Fact::default()
        };
        keeping::work(shared, async move {
            keeping::add(&Fitment::new(&keeping::new_id()?, store::now_ms(), fact)).await?;
            shared.say("Kept: tried on this bench.");
            Ok(())
        });
    };
    let field = |label: &'static str, value: RwSignal<String>| view! { <label>{label}<input autocomplete="off" prop:value=value on:input=move |event| value.set(event_target_value(&event))/></label> };
    view! {
        <form class="add-line" on:submit=move |event| { event.prevent_default(); answers.set(Some(asked())); }>
            {field("Which part", role)}{field("Into which reel", into)}{field("From which reel (empty: from any)", of)}
            <button class="wide main" type="submit">"Look it up"</button>
            <div class="choices"><button type="button" class="choice plain" on:click=move |_| keep(Says::Fits)>"Tried here: fits"</button>
                <button type="button" class="choice plain" on:click=move |_| keep(Says::FitsWithWork)>"Fits with work"</button>
                <button type="button" class="choice plain" on:click=move |_| keep(Says::DoesNotFit)>"Does not fit"</button></div>
        </form>
        <div aria-live="polite">{move || answers.get().map(|answers| match answers.is_empty() {
            true => view! { <p>"Nothing is known of it. Measure both, and write down what you find."</p> }.into_any(),
            false => answers.into_iter().map(|answer| view! { <OneAnswer world answer/> }).collect_view().into_any(),
        })}</div>
    }
}

#[component]
fn OneAnswer(world: World, answer: Answer) -> impl IntoView {
    let reference = world.reference;
    let chain = answer.chain.clone();
    let list = |lines: Vec<String>| {
        (!lines.is_empty())
            .then(|| view! { <ul>{lines.into_iter().map(|line| view! { <li>{line}</li> }).collect_view()}</ul> })
    };
    view! {
        <section class="note">
            <p><b>{role_label(reference, &answer.role)}" of "{fit::model_words(reference, &answer.of)}</b>" in "{fit::model_words(reference, &answer.into)}": "<b>{answer.verdict.words()}</b>" ("{answer.trust.words()}")"</p>
            <Chain chain world/>
            {list(answer.chain.iter().map(|link| link.words(reference)).collect())}
            {(!answer.against.is_empty()).then(|| view! { <p>"Against it:"</p> })}{list(answer.against.iter().map(|link| link.words(reference)).collect())}
            {list(answer.checks)}{list(answer.sizes)}
            {answer.cure.map(|cure| view! { <p>{cure}</p> })}
            {(!answer.instead.is_empty()).then(|| view! { <p>"Instead: "{answer.instead.join("; ")}</p> })}
            {(!answer.leads.is_empty()).then(|| view! { <p>"Worth comparing: "{answer.leads.join("; ")}</p> })}
        </section>
    }
}

/// Facts by where they are from: others' words are kept apart, and any source can be dropped.
#[component]
fn Sources(here: RwSignal<Stock>) -> impl IntoView {
    let shared = shared();
    let by_source = move || {
        let mut by: Vec<(String, usize)> = Vec::new();
        for source in here.get().facts.into_iter().filter_map(|fact| fact.sources.into_iter().next()) {
            match by.iter_mut().find(|(one, _)| *one == source) {
                Some((_, count)) => *count += 1,
                None => by.push((source, 1)),
            }
        }
        by
    };
    let take = move |event: web_sys::Event| {
        for file in keeping::copy::chosen(&event) {
            keeping::work(shared, async move {
                let facts = fit::shared_facts(&keeping::copy::text_of(&file).await?, &file.name())
                    .map_err(|e| e.to_string())?;
                let known = stock().await?.facts;
                let new: Vec<Fact> = facts.into_iter().filter(|fact| !known.contains(fact)).collect();
                for fact in &new {
                    keeping::add(&Fitment::new(&keeping::new_id()?, store::now_ms(), fact.clone())).await?;
                }
                shared.say(format!("Taken in: {}.", crate::words::count(new.len(), "fact", "facts")));
                Ok(())
            });
        }
    };
    let hand_on = move |_| {
        let own = here.get_untracked().facts.into_iter().filter(|fact| fact.sources == [OWN]);
        let file = fit::facts_to_share(&own.collect::<Vec<_>>());
        let bytes = js_sys::Array::of1(&js_sys::Uint8Array::from(file.as_bytes()));
        keeping::work(shared, async move {
            shared.say(crate::page::hand_over_file(&bytes, "fits.json", "application/json", "What fits what").await?);
            Ok(())
        });
    };
    view! {
        <p class="how">"A file from another shop stays under its own name, beside what was tried here. What turns out wrong is dropped as a whole."</p>
        <ul class="plain-list">{move || by_source().into_iter().map(|(source, count)| {
            let own = source == OWN;
            let (name, dropped) = (if own { "Tried here".to_owned() } else { source.clone() }, source);
            view! { <li class="line"><span>{name}<small>{crate::words::count(count, "fact", "facts")}</small></span>
                {if own { view! { <button on:click=hand_on>"Hand on as a file"</button> }.into_any() }
                else { view! { <button class="danger" on:click=move |_| keeping::drop_source(shared, dropped.clone())>"Drop it"</button> }.into_any() }}</li> }
        }).collect_view()}</ul>
        <label class="add-photo wide-photo"><input type="file" accept=".json,application/json" aria-label="Take in another shop’s file" on:change=take/><span>"Take in another shop’s file"</span></label>
    }
}

/// The chain drawn: one box a reel, one arrow a fact.
#[component]
fn Chain(chain: Vec<fit::Link>, world: World) -> impl IntoView {
    if chain.is_empty() {
        return ().into_any();
    }
    let mut names: Vec<String> = vec![fit::model_words(world.reference, &chain[0].of)];
    names.extend(chain.iter().map(|link| fit::model_words(world.reference, &link.into)));
    view! { <p class="chain" aria-hidden="true">{names.into_iter().enumerate().map(|(n, name)| view! { {(n > 0).then_some("→")}<span>{name}</span> }).collect_view()}</p> }.into_any()
}

#[component]
fn Spares(world: World, here: RwSignal<Stock>) -> impl IntoView {
    let shared = shared();
    let sought = RwSignal::new(String::new());
    let (role, model, box_of, bag) = (
        RwSignal::new(String::new()),
        RwSignal::new(String::new()),
        RwSignal::new(String::new()),
        RwSignal::new(String::new()),
    );
    let hits = move || {
        let stock = here.get();
        let words = sought.get();
        if words.trim().is_empty() {
            return stock.parts.iter().take(30).map(|part| (part.clone(), String::new())).collect::<Vec<_>>();
        }
        let fits = Fits::new(world.reference, &stock.facts);
        fit::search(&fits, &stock.parts, &words)
            .into_iter()
            .map(|hit| (stock.parts[hit.part].clone(), hit.why))
            .collect()
    };
    let add = move |event: web_sys::SubmitEvent| {
        event.prevent_default();
        let role_now = role.get_untracked().trim().to_owned();
        if role_now.is_empty() {
            return;
        }
        let settled = fit::words::settle(world.reference, &model.get_untracked());
        let (lies_at, bag_now) = (box_of.get_untracked(), bag.get_untracked());
        role.set(String::new());
        keeping::work(shared, async move {
            let mut part = Part::new(&keeping::new_id()?, store::now_ms(), &role_now);
            part.model = settled;
            part.lies_at = lies_at;
            part.bag = bag_now;
            keeping::add(&part).await?;
            shared.say("Saved.");
            Ok(())
        });
    };
    let field = |label: &'static str, value: RwSignal<String>| view! { <label>{label}<input autocomplete="off" prop:value=value on:input=move |event| value.set(event_target_value(&event))/></label> };
    view! {
        <input type="search" aria-label="Search the boxes" placeholder="Part, reel: end plate for …" on:input=move |event| sought.set(event_target_value(&event))/>
        <ul class="plain-list">{move || hits().into_iter().map(|(part, why)| {
            let id = part.id.clone();
            let of = if part.model.is_empty() { String::new() } else { fit::model_words(world.reference, &part.model) };
            let line = [of, part.place(), part.wear.words().to_owned(), why].into_iter().filter(|w| !w.is_empty()).collect::<Vec<_>>().join(" · ");
            view! { <li class="line"><span>{role_label(world.reference, &part.role)}<small>{line}</small></span>
                <button on:click={move |_| keeping::change::<Part>(shared, id.clone(), |part| part.taken_ms = Some(store::now_ms()))}>"Taken"</button></li> }
        }).collect_view()}</ul>
        <form class="add-line" on:submit=add>
            {field("Part", role)}{field("Of which reel", model)}{field("Box", box_of)}{field("Bag", bag)}
            <button class="wide" type="submit">"Put it in the boxes"</button>
        </form>
    }
}

/// What a reel of a model would do for the shop: needs it serves, worth, risks. On a find.
#[component]
pub fn Donor(model: String, asking: Option<Price>) -> impl IntoView {
    let shared = shared();
    let told = later(move || {
        shared.changed.track();
        let (model, asking) = (model.clone(), asking.clone());
        Box::pin(async move {
            let (world, stock) = (keeping::full_world(shared).await?, stock().await?);
            let fits = Fits::new(world.reference, &stock.facts);
            let serves = fit::serves(&fits, &model, &[], &stock.needs, &Default::default(), asking.as_ref());
            let lines = serves.served.iter().map(|one| {
                let need = &stock.needs[one.need];
                let risk = one.risk.clone().map(|risk| format!(" {risk}")).unwrap_or_default();
                format!("{}: {}.{risk}", role_label(world.reference, &need.part), one.answer.verdict.words())
            });
            Ok::<_, String>((lines.collect::<Vec<_>>(), serves.words))
        })
    });
    move || {
        told.get().map(|told| match told {
            Err(trouble) => view! { <p class="trouble">{trouble}</p> }.into_any(),
            Ok((lines, words)) => view! {
                <h2>"As a donor"</h2>
                {lines.is_empty().then(|| view! { <p>"It would serve no open need that is known of."</p> })}
                <ul>{lines.into_iter().map(|line| view! { <li>{line}</li> }).collect_view()}</ul>
                {words.into_iter().map(|words| view! { <p class="how">{words}</p> }).collect_view()}
            }
            .into_any(),
        })
    }
}
