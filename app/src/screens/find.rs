//! One find: photos, where, what was asked, what it is; every field kept as soon as it is left.

use leptos::prelude::*;
use tailplate_core::shop::{Find, FindState, Found, Price};

use super::finds::title;
use crate::keeping;
use crate::later::later;
use crate::route::{Route, go};
use crate::state::{World, judge, shared};
use crate::widgets::candidates::verdict_in_words;
use crate::widgets::photos::{Owner, Photos};
use crate::widgets::valued::Values;
use crate::widgets::when::range_in_words;

#[component]
pub fn FindScreen(id: String) -> impl IntoView {
    let shared = shared();
    let world = shared.packs();
    let wanted = id.clone();
    let find = later(move || {
        shared.changed.track();
        Box::pin(keeping::one::<Find>(wanted.clone()))
    });
    // While a field has the focus, what was just typed there is on the screen already: the card stays as it is.
    // The card is laid out anew only when more than words has changed: a field that is being typed in stays in place.
    let shown = RwSignal::new_local(None);
    let words = RwSignal::new(None::<Find>);
    Effect::new(move |_| {
        let Some(found) = find.get() else { return };
        let same = match (shown.get_untracked(), &found) {
            (Some(Ok(Some(old))), Ok(Some(new))) => same_but_for_words(&old, new),
            _ => false,
        };
        words.set(found.as_ref().ok().cloned().flatten());
        if !same {
            shown.set(Some(found));
        }
    });
    view! {
        <section class="paper">
            {move || shown.get().map(|found| match found {
                Err(trouble) => view! { <h1>"Find"</h1><p class="trouble" role="alert">{trouble}</p> }.into_any(),
                Ok(None) => view! { <h1>"No such find"</h1><p>"It may have been deleted in another tab."</p><a class="button" href=Route::Finds.href()>"All finds"</a> }.into_any(),
                Ok(Some(find)) => view! { <Card world find words/> }.into_any(),
            })}
        </section>
    }
}

fn same_but_for_words(a: &Find, b: &Find) -> bool {
    a.photos == b.photos
        && a.state == b.state
        && a.sheet == b.sheet
        && a.stall == b.stall
        && a.deleted_ms == b.deleted_ms
}

/// One field of the find as it was last saved, here or in another tab.
fn field(words: RwSignal<Option<Find>>, of: fn(&Find) -> String) -> Memo<String> {
    Memo::new(move |_| words.read().as_ref().map(of).unwrap_or_default())
}

#[component]
fn Card(world: World, find: Find, words: RwSignal<Option<Find>>) -> impl IntoView {
    let shared = shared();
    let heading = Memo::new(move |_| words.read().as_ref().map(|find| title(world, find)).unwrap_or_default());
    let (name_saved, place, note, private) = (
        field(words, |f| f.name.clone()),
        field(words, |f| f.place.clone()),
        field(words, |f| f.note.clone()),
        field(words, |f| f.private_note.clone()),
    );
    let lies_at = field(words, |f| f.lies_at.clone());
    let valued = Memo::new(move |_| words.read().as_ref().map(|f| f.valued.clone()).unwrap_or_default());
    let price = field(words, |f| f.asking_price.as_ref().map(|p| p.amount.clone()).unwrap_or_default());
    let answer = judge(world, &find.sheet);
    let (name, small) = verdict_in_words(world, &answer);
    let range = range_in_words(&answer.when);
    let id = StoredValue::new(find.id.clone());
    let change = move |change: Box<dyn FnOnce(&mut Find)>| keeping::change::<Find>(shared, id.get_value(), change);
    let price_trouble = RwSignal::new(String::new());
    let currency = RwSignal::new(
        find.asking_price
            .as_ref()
            .map_or_else(|| shared.prefs.read_untracked().currency.clone(), |p| p.currency.clone()),
    );
    let set_price = move |text: String| {
        if text.trim().is_empty() {
            price_trouble.set(String::new());
            change(Box::new(|f| f.asking_price = None));
            return;
        }
        match Price::parse(&text, &currency.get_untracked()) {
            Ok(price) => {
                price_trouble.set(String::new());
                change(Box::new(move |f| f.asking_price = Some(price)));
            }
            Err(error) => price_trouble.set(error.to_string()),
        }
    };
    let flaws: Vec<String> = find
        .stall
        .iter()
        .flat_map(|s| &s.answers)
        .filter(|a| a.found == Found::Trouble)
        .filter_map(|a| world.reference.care.stall.iter().find(|s| s.id == a.check))
        .map(|s| s.look.clone())
        .collect();
    let candidates: Vec<(String, String)> = answer
        .which
        .candidates
        .iter()
        .take(4)
        .filter(|c| c.p >= 0.02)
        .map(|c| (c.model.clone(), world.reference.model(&c.model).map_or(c.model.clone(), |m| m.name.clone())))
        .collect();
    let donor = match &find.state {
        FindState::Confirmed { model, .. } => Some(model.clone()),
        _ => answer.which.candidates.first().filter(|best| best.p >= 0.3).map(|best| best.model.clone()),
    };
    let asking = find.asking_price.clone();
    let state = find.state.clone();
    let state_words = match &state {
        FindState::Open => "Open: not settled yet.".to_owned(),
        FindState::Confirmed { model, .. } => {
            format!("Confirmed: {}.", world.reference.model(model).map_or(model.clone(), |m| m.name.clone()))
        }
        FindState::NotKnown => "Not known. Kept with its measures, to be taken up later.".to_owned(),
    };
    view! {
        <h1>{heading}</h1>
        <p class="tag-small">{name}" · "{small}</p>
        <p class="tag-years">{range}</p>
        <Photos owner=Owner::Find(find.id.clone()) photos=find.photos.clone()/>
        <label>"Name of your own"<input prop:value=name_saved on:change=move |e| { let v = event_target_value(&e); change(Box::new(move |f| f.name = v)); }/></label>
        <label>"Place"<input prop:value=place autocomplete="off" on:change=move |e| {
            let v = event_target_value(&e);
            keeping::remember_place(shared, &v);
            change(Box::new(move |f| f.place = v));
        }/></label>
        <div class="price"><label>"Asking price"<input inputmode="decimal" autocomplete="off" prop:value=price on:change=move |e| set_price(event_target_value(&e))/></label>
            <label>"Currency"<input class="short" maxlength="3" autocapitalize="characters" prop:value=currency on:change=move |e| {
                let v = event_target_value(&e).trim().to_uppercase();
                if let Err(error) = Price::parse("1", &v) {
                    price_trouble.set(error.to_string());
                    return;
                }
                price_trouble.set(String::new());
                currency.set(v.clone());
                keeping::remember_currency(shared, &v);
                change(Box::new(move |f| if let Some(p) = &mut f.asking_price { p.currency = v }));
            }/></label></div>
        <p class="trouble" role="alert">{price_trouble}</p>
        <label>"Kept at, if you took it home"<input prop:value=lies_at autocomplete="off" placeholder="Drawer 3" on:change=move |e| { let v = event_target_value(&e); change(Box::new(move |f| f.lies_at = v)); }/></label>
        <Values all=valued add=move |valued| change(Box::new(move |f| f.valued.push(valued)))/>
        <label>"Note"<textarea rows="3" prop:value=note on:change=move |e| { let v = event_target_value(&e); change(Box::new(move |f| f.note = v)); }></textarea></label>
        <label>"Private note, never sent"<textarea rows="2" prop:value=private on:change=move |e| { let v = event_target_value(&e); change(Box::new(move |f| f.private_note = v)); }></textarea></label>
        {(!flaws.is_empty()).then(|| view! { <p class="trouble">"Stall check, flaws: "{flaws.join("; ")}"."</p> })}
        <h2>"What it is"</h2>
        <p>{state_words}</p>
        <div class="choices">
            {candidates.into_iter().map(|(model, name)| view! { <button class="choice plain" on:click=move |_| keeping::confirm(shared, id.get_value(), model.clone())>"It is the "{name}</button> }).collect_view()}
            <button class="choice plain" on:click=move |_| change(Box::new(|f| f.state = FindState::NotKnown))>"Not known"</button>
            {(state != FindState::Open).then(|| view! { <button class="choice plain" on:click=move |_| change(Box::new(|f| f.state = FindState::Open))>"Open it again"</button> })}
        </div>
        {donor.map(|model| view! { <crate::workshop::DonorOf model asking=asking.clone()/> })}
        <p class="how">"What you confirm teaches the key: it counts your own reels when it names the next."</p>
        <button class="quiet wide" on:click=move |_| { keeping::take_up(shared, id.get_value()); go(Route::OwnModel); }>"Add it as a model of your own"</button>
        <button class="quiet wide" on:click=move |_| if let Some(find) = words.get_untracked() { keeping::send_page(shared, world, find) }>"Send its page to a helper"</button>
        <button class="danger wide" on:click=move |_| { keeping::delete(shared, id.get_value()); go(Route::Finds); }>"Delete"</button>
        <div class="actions">
            <a class="button quiet" href=Route::Finds.href()>"All finds"</a>
            <button class="main" on:click=move |_| { keeping::take_up(shared, id.get_value()); go(Route::Identify); }>"Go on naming it"</button>
        </div>
    }
}
