//! A model's card: its forms with their years, what is struck on it, how it looks, what it is taken for.

use leptos::prelude::*;
use tailplate_core::drawing;
use tailplate_core::reference::{Confidence, FeatureFact, Model, Variant};

use crate::drawn::Picture;
use crate::keeping;
use crate::route::{Route, go};
use crate::state::{World, shared};
use crate::words::{self, years};

#[component]
pub fn ModelScreen(id: String) -> impl IntoView {
    let shared = shared();
    let world = shared.packs();
    let Some(model) = world.reference.model(&id) else {
        return view! { <section class="paper"><h1>"No such model"</h1><p>"The packs in use hold no model of that name."</p></section> }.into_any();
    };
    let seen = model.typical(world.reference);
    let maker = world.reference.maker_name(&model.maker).to_owned();
    let alike: Vec<String> = model.look_alikes.iter().map(|l| l.model.clone()).collect();
    let on_table = shared.draft.with_untracked(|d| d.find.clone());
    let confirmed = model.id.clone();
    let mut sources: Vec<String> = Vec::new();
    for key in model
        .variants
        .iter()
        .flat_map(|v| v.marks.iter().flat_map(|m| &m.src).chain(v.features.values().flat_map(|f| &f.src)))
    {
        if let Some(source) = world.reference.source(&model.pack, key)
            && !sources.contains(&source.title)
        {
            sources.push(source.title.clone());
        }
    }
    view! {
        <section class="paper">
            <h1>{model.name.clone()}</h1>
            <p>{match &model.brand { Some(brand) => format!("Sold as {brand}; the maker is {maker}."), None => format!("Made by {maker}.") }}
               {(!model.numbers.is_empty()).then(|| format!(" Catalogue number {}: a number, not a year.", model.numbers.join(", ")))}</p>
            <div class="described"><Picture svg=drawing::face(world.reference, &seen)/><Picture svg=drawing::side(world.reference, &seen)/></div>
            {model.note.clone().map(|note| view! { <p>{note}</p> })}
            <h2>"Its forms"</h2>
            {model.variants.iter().map(|variant| view! { <Form world variant/> }).collect_view()}
            {(!model.look_alikes.is_empty()).then(|| view! { <h2>"Taken for"</h2><ul>
                {model.look_alikes.iter().map(|l| view! { <li><a href=Route::Compare(vec![model.id.clone(), l.model.clone()]).href()>{name(world, &l.model)}</a>": "{l.deciding.clone()}</li> }).collect_view()}
            </ul> })}
            {(alike.len() > 1).then(|| view! { <a class="button wide" href=Route::Compare(std::iter::once(model.id.clone()).chain(alike).take(4).collect()).href()>"All side by side"</a> })}
            {(!sources.is_empty()).then(|| view! { <details class="sources"><summary>{words::count(sources.len(), "source", "sources")}</summary><ul>{sources.into_iter().map(|s| view! { <li>{s}</li> }).collect_view()}</ul></details> })}
        </section>
        {on_table.map(|find| view! { <div class="actions"><button class="main" on:click=move |_| { keeping::confirm(shared, find.clone(), confirmed.clone()); go(Route::Find(find.clone())); }>"This is the one"</button></div> })}
    }.into_any()
}

fn name(world: World, model: &str) -> String {
    world.reference.model(model).map_or_else(|| model.to_owned(), |m: &Model| m.name.clone())
}

#[component]
fn Form(world: World, variant: &'static Variant) -> impl IntoView {
    let place = |id: &str| world.reference.mark_place(id).map_or(id.to_owned(), |p| p.label.clone());
    view! {
        <details class="form"><summary>{variant.name.clone()}<small>{years(&variant.years)}</small></summary>
            {(!variant.marks.is_empty()).then(|| view! { <h3>"Struck"</h3><ul>{variant.marks.iter().map(|m| {
                let words = if m.struck.is_empty() { m.words.clone() } else { m.struck.clone() };
                view! { <li><span class="struck">{words}</span>" "<small>{place(&m.place)}</small>{unverified(m.confidence)}</li> }
            }).collect_view()}</ul> })}
            <h3>"Looks"</h3>
            <dl class="facts">{variant.features.iter().filter(|(id, _)| *id != "reel_kind").map(|(id, fact)| view! {
                <dt>{world.reference.feature(id).map_or(id.clone(), |f| f.ask.clone())}</dt><dd>{fact_in_words(world, id, fact)}{unverified(fact.confidence)}</dd>
            }).collect_view()}</dl>
        </details>
    }
}

fn unverified(confidence: Confidence) -> impl IntoView {
    (confidence == Confidence::Low).then(|| view! { <em class="unverified">"unverified"</em> })
}

fn fact_in_words(world: World, id: &str, fact: &FeatureFact) -> String {
    let feature = world.reference.feature(id);
    if let Some(value) = fact.value {
        let unit = feature.and_then(|f| f.unit.as_deref());
        return match unit {
            Some("mm") => words::both_units(value, tailplate_core::observe::Unit::Mm),
            Some("g") => words::both_units(value, tailplate_core::observe::Unit::G),
            _ => format!("{value}"),
        };
    }
    let mut states: Vec<(&String, &f64)> = fact.states.iter().collect();
    tailplate_core::order::by(&mut states, |a, b| b.1.total_cmp(a.1));
    states
        .iter()
        .map(|(state, share)| {
            let label = feature.and_then(|f| f.state(state)).map_or_else(|| (*state).clone(), |s| s.label.clone());
            if **share >= 0.995 { label } else { format!("{label} ({})", words::percent(**share)) }
        })
        .collect::<Vec<_>>()
        .join(", ")
}
