//! The ways to answer one question: drawn choices, a count, a measure; and always “not there” and “can’t tell”.

use leptos::prelude::*;
use tailplate_core::amount::parse_amount;
use tailplate_core::drawing;
use tailplate_core::observe::{About, Certainty, How, Observation, Unit, Value};
use tailplate_core::reference::{Feature, FeatureType};

use crate::drawn::Picture;
use crate::prefs::Units;
use crate::route::{Route, go};
use crate::state::shared;
use crate::words;

/// The answers to a feature. `done` runs after one was given.
#[component]
pub fn Answers(feature: &'static Feature, certainty: Certainty, #[prop(into)] done: Callback<()>) -> impl IntoView {
    let shared = shared();
    let give = move |value: Value, how: How| {
        let about = About::feature(feature.id.as_str());
        shared.see(Observation { how, ..Observation::of(about, value).with(certainty) });
        done.run(());
    };
    let given = shared.draft.with_untracked(|d| d.sheet.answer(&feature.id).map(|o| o.value.clone()));
    // A choice with a state for “none” has said it already; the kind of reel is never absent.
    let can_be_absent = feature.id != "reel_kind"
        && feature.kind != FeatureType::Count
        && !feature.states.iter().any(|s| matches!(s.id.as_str(), "none" | "no" | "absent"));
    let pressed = |value: &Value| if given.as_ref() == Some(value) { "true" } else { "false" };
    let answers = match feature.kind {
        FeatureType::Choice => {
            let kind = shared.kind().unwrap_or_default();
            feature.states.iter().map(|state| {
                let value = Value::State(state.id.clone());
                let pressed = pressed(&value);
                let picture = drawing::choice(&feature.id, &state.id, &kind);
                let plain = picture.is_none();
                view! {
                    <button class="choice" class:plain=plain aria-pressed=pressed title=state.look.clone() on:click=move |_| give(value.clone(), How::Eye)>
                        {picture.map(|svg| view! { <Picture svg/> })}
                        <span>{state.label.clone()}</span>
                    </button>
                }
            }).collect_view().into_any()
        }
        FeatureType::Count => {
            let (least, most) = feature.plausible.map_or((0, 10), |[a, b]| (a as u32, b as u32));
            (least..=most.min(least + 16)).map(|n| {
                let value = Value::Count(n);
                let pressed = pressed(&value);
                view! { <button class="choice number" aria-pressed=pressed on:click=move |_| give(value.clone(), How::Eye)>{n}</button> }
            }).collect_view().into_any()
        }
        FeatureType::Measure => ().into_any(),
    };
    view! {
        <div class="choices" role="group" aria-label=feature.ask.clone()>
            {answers}
            {(feature.kind == FeatureType::Measure).then(|| view! { <MeasureEntry feature certainty done/> })}
            {can_be_absent.then(|| view! { <button class="choice plain" aria-pressed=pressed(&Value::Absent) on:click=move |_| give(Value::Absent, How::Eye)>"Not there"</button> })}
            <button class="choice plain" aria-pressed=pressed(&Value::Unclear) on:click=move |_| give(Value::Unclear, How::Eye)>"Can’t tell"</button>
        </div>
    }
}

#[component]
fn MeasureEntry(feature: &'static Feature, certainty: Certainty, done: Callback<()>) -> impl IntoView {
    let shared = shared();
    let inch = shared.prefs.read_untracked().units == Units::Inch;
    let (units, hows): (Vec<Unit>, Vec<How>) = match feature.unit.as_deref() {
        Some("mm") => (vec![Unit::Mm, Unit::In], vec![How::Calliper, How::Ruler, How::Photo, How::Eye]),
        Some("g") => (vec![Unit::G, Unit::Oz], vec![How::Scale, How::Eye]),
        _ => (vec![Unit::Ratio], vec![How::Eye]),
    };
    let unit = RwSignal::new(if inch && units.len() > 1 { units[1] } else { units[0] });
    let how = RwSignal::new(hows[0]);
    let text = RwSignal::new(String::new());
    let trouble = RwSignal::new(String::new());
    let give = move || match parse_amount(&text.read_untracked()) {
        Err(error) => trouble.set(error.to_string()),
        Ok(amount) => {
            let seen = Observation::measure(&feature.id, amount, unit.get_untracked(), how.get_untracked());
            let base = seen.value.base_amount().unwrap_or(amount);
            // Outside what a reel can show it is kept all the same, but questioned once.
            let odd = feature.plausible.is_some_and(|[least, most]| base < least || base > most);
            let asked = !trouble.read_untracked().is_empty();
            if odd && !asked {
                let [least, most] = feature.plausible.unwrap_or_default();
                trouble.set(format!(
                    "{} would be unusual: most lie between {least} and {most}. Press “Note it” again if it is so.",
                    words::both_units(amount, unit.get_untracked())
                ));
            } else {
                shared.see(seen.with(certainty));
                done.run(());
            }
        }
    };
    // A length can be taken in a photo with a card or a coin in it.
    let in_photo = (units[0] == Unit::Mm).then(|| Route::Measure(format!("table/{}", feature.id)));
    let both = move || match parse_amount(&text.read()) {
        Ok(amount) => words::both_units(amount, unit.get()),
        Err(_) => String::new(),
    };
    view! {
        <form class="measure" on:submit=move |event| { event.prevent_default(); give(); }>
            <label>{feature.ask.clone()}
                <input inputmode="decimal" autocomplete="off" placeholder="63.5 or 2 1/2" prop:value=text
                    on:input=move |event| { text.set(event_target_value(&event)); trouble.set(String::new()); }/>
            </label>
            {(units.len() > 1).then(|| view! { <div class="segments" role="group" aria-label="Unit">
                {units.iter().map(|&u| view! { <button type="button" aria-pressed=move || (unit.get() == u).to_string() on:click=move |_| unit.set(u)>{u.symbol()}</button> }).collect_view()}
            </div> })}
            {(hows.len() > 1).then(|| view! { <div class="segments" role="group" aria-label="Measured with">
                {hows.iter().map(|&h| view! { <button type="button" aria-pressed=move || (how.get() == h).to_string() on:click=move |_| how.set(h)>{words::how_in_words(h)}</button> }).collect_view()}
            </div> })}
            <p class="both">{both}</p>
            <p class="trouble" role="alert">{trouble}</p>
            <button class="main" type="submit">"Note it"</button>
            {in_photo.map(|way| view! { <button type="button" class="quiet" on:click=move |_| { done.run(()); go(way.clone()); }>"From a photo"</button> })}
        </form>
    }
}
