//! Parts: what is wanted, what lies in which box, what fits what.

use leptos::prelude::*;
use tailplate_core::fit::{self, Answer, Fact, Fits};
use tailplate_core::record::{Kind, Record};
use tailplate_core::reference::{Evidence, Reference, Says};
use tailplate_core::shop::{Fitment, Need, Part};

use crate::keeping::{self, shelf};
use crate::later::later;
use crate::route::Route;
use crate::state::{World, shared};
use crate::store;

/// What the shop has of each kind.
#[derive(Clone, Default, PartialEq)]
struct Stock {
    needs: Vec<Need>,
    parts: Vec<Part>,
    facts: Vec<Fact>,
}

async fn stock() -> Result<Stock, String> {
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
            })}
        </section>
    }
}

fn role_label(reference: &Reference, role: &str) -> String {
    reference
        .parts
        .roles
        .iter()
        .find(|one| one.id == role)
        .map_or_else(|| role.replace('-', " "), |one| one.label.clone())
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
        <button on:click={move |_| keeping::change::<Need>(shared, id.clone(), |need| need.settled_ms = Some(store::now_ms()))}>"Found"</button></li> }
    };
    view! {
        {move || here.read().needs.is_empty().then(|| view! { <p>"Nothing is wanted. A need is raised here or on a reel; a find then says which needs it would serve."</p> })}
        <ul class="plain-list">{move || here.get().needs.into_iter().map(one).collect_view()}</ul>
        <form class="add-line" on:submit=add>
            <label>"Part wanted"<input autocomplete="off" prop:value=part on:input=move |event| part.set(event_target_value(&event))/></label>
            <label>"For which reel"<input autocomplete="off" prop:value=model on:input=move |event| model.set(event_target_value(&event))/></label>
            <button class="wide" type="submit">"Raise the need"</button>
        </form>
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
            sources: vec!["this shop".into()],
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
pub fn Donor(model: String, asking: Option<tailplate_core::shop::Price>) -> impl IntoView {
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
