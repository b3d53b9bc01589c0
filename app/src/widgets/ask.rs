//! One question before the person, over the screen: a feature, or the lettering at a place.

use leptos::html::Dialog;
use leptos::prelude::*;
use tailplate_core::dating;
use tailplate_core::observe::{About, Certainty, Observation, Value};

use super::answer::Answers;
use crate::state::{shared, this_year};
use crate::words;

#[component]
pub fn AskDialog() -> impl IntoView {
    let shared = shared();
    let dialog = NodeRef::<Dialog>::new();
    Effect::new(move |_| {
        let Some(dialog) = dialog.get() else { return };
        match (shared.asking.read().is_some(), dialog.open()) {
            (true, false) => {
                let _ = dialog.show_modal();
            }
            (false, true) => dialog.close(),
            _ => {}
        }
    });
    let close = move || shared.asking.set(None);
    view! {
        <dialog node_ref=dialog class="ask" aria-label="A question" on:close=move |_| close()>
            {move || shared.asking.get().map(|about| match about {
                About::Feature(id) => view! { <AskFeature id/> }.into_any(),
                About::Mark(place) => view! { <AskMark place/> }.into_any(),
            })}
            <button class="quiet wide" on:click=move |_| close()>"Close"</button>
        </dialog>
    }
}

#[component]
fn AskFeature(id: String) -> impl IntoView {
    let shared = shared();
    let Some(feature) = shared.packs().reference.feature(&id) else {
        return view! { <p>"This question is no longer in the packs."</p> }.into_any();
    };
    let given = shared.draft.with_untracked(|d| d.sheet.answer(&id).cloned());
    let certainty = RwSignal::new(given.as_ref().map_or(Certainty::Sure, |o| o.certainty));
    let levels = [(Certainty::Sure, "Sure"), (Certainty::Likely, "Likely"), (Certainty::Guess, "A guess")];
    view! {
        <h2>{feature.ask.clone()}</h2>
        {feature.how.clone().map(|how| view! { <p class="how">{how}</p> })}
        <div class="segments" role="group" aria-label="How sure are you">
            {levels.into_iter().map(|(level, name)| view! {
                <button aria-pressed=move || (certainty.get() == level).to_string() on:click=move |_| certainty.set(level)>{name}</button>
            }).collect_view()}
        </div>
        {move || view! { <Answers feature certainty=certainty.get() done=move |()| shared.asking.set(None)/> }}
        {feature.states.iter().any(|s| s.look.is_some()).then(|| view! {
            <details><summary>"How they look"</summary><dl class="looks">
                {feature.states.iter().filter_map(|s| s.look.clone().map(|look| view! { <dt>{s.label.clone()}</dt><dd>{look}</dd> })).collect_view()}
            </dl></details>
        })}
        {given.map(|seen| view! { <button class="quiet wide" on:click=move |_| { shared.take_back(&seen); shared.asking.set(None); }>"Take this answer back"</button> })}
    }.into_any()
}

#[component]
fn AskMark(place: String) -> impl IntoView {
    let shared = shared();
    let reference = shared.packs().reference;
    let label = reference.mark_place(&place).map_or(place.clone(), |p| p.label.clone());
    let text = RwSignal::new(String::new());
    let input = NodeRef::<leptos::html::Input>::new();
    let about = About::mark(place.as_str());
    let before: Vec<Observation> =
        shared.draft.with_untracked(|d| d.sheet.current().into_iter().filter(|o| o.about == about).cloned().collect());
    let note = {
        let about = about.clone();
        move |value: Value| {
            shared.see(Observation::of(about.clone(), value));
            shared.asking.set(None);
        }
    };
    let keep = {
        let note = note.clone();
        move || {
            let read = text.get_untracked().trim().to_owned();
            if !read.is_empty() {
                note(Value::Text(read));
            }
        }
    };
    let add_sign = move |sign: &'static str| {
        text.update(|t| t.push_str(sign));
        if let Some(input) = input.get_untracked() {
            let _ = input.focus();
        }
    };
    // What the letters can mean, told while they are typed.
    let meaning = move || {
        let read = text.get();
        (read.trim().len() >= 3).then(|| dating::read_mark(reference, &read, this_year())).map(|reading| {
            let mut lines: Vec<String> = reading.numbers.iter().map(|n| n.words.clone()).collect();
            lines.extend(reading.dates.iter().map(date_in_words));
            lines.extend(reading.clues.iter().map(|c| format!("{}: {}", c.what, words::span(c.from, c.to))));
            lines.extend(reading.notes.iter().cloned());
            (!lines.is_empty()).then(|| view! { <ul class="meaning">{lines.into_iter().take(5).map(|line| view! { <li>{line}</li> }).collect_view()}</ul> })
        })
    };
    let (absent, unclear) = (note.clone(), note);
    Effect::new(move |_| {
        if let Some(input) = input.get() {
            let _ = input.focus();
        }
    });
    view! {
        <h2>{label}</h2>
        <p class="how">"Type what can be read. "<kbd>"?"</kbd>" for one letter you can’t read, "<kbd>"*"</kbd>" for several, "<kbd>"/"</kbd>" between lines."</p>
        <form on:submit=move |event| { event.prevent_default(); keep(); }>
            <input node_ref=input class="struck" autocomplete="off" autocapitalize="characters" spellcheck="false" enterkeyhint="done"
                maxlength="400" aria-label="Lettering" prop:value=text on:input=move |event| text.set(event_target_value(&event))/>
            <div class="signs">
                {["?", "*", " / "].into_iter().map(|sign| view! { <button type="button" on:click=move |_| add_sign(sign)>{sign.trim()}</button> }).collect_view()}
            </div>
            {meaning}
            <button class="main wide" type="submit">"Keep the reading"</button>
        </form>
        <div class="choices">
            <button class="choice plain" on:click=move |_| absent(Value::Absent)>"Nothing there"</button>
            <button class="choice plain" on:click=move |_| unclear(Value::Unclear)>"Can’t tell"</button>
        </div>
        {(!before.is_empty()).then(|| view! { <h3>"Read here so far"</h3><ul class="before">
            {before.into_iter().map(|seen| {
                let (_, answer) = words::seen_in_words(reference, &seen);
                view! { <li><span>{answer}</span><button class="quiet" on:click=move |_| { shared.take_back(&seen); shared.asking.set(None); }>"Take back"</button></li> }
            }).collect_view()}
        </ul> })}
    }
}

fn date_in_words(date: &dating::DateReading) -> String {
    if let Some(trouble) = &date.questioned {
        return trouble.clone();
    }
    let days: Vec<String> = date
        .dates
        .iter()
        .take(4)
        .map(|(y, m, d)| match (m, d) {
            (0, _) => y.to_string(),
            (m, 0) => format!("{} {y}", dating::MONTHS[(*m as usize + 11) % 12]),
            (m, d) => format!("{d} {} {y}", dating::MONTHS[(*m as usize + 11) % 12]),
        })
        .collect();
    let more = date.dates.len().saturating_sub(days.len());
    if more > 0 { format!("{} or {more} other days", days.join(", ")) } else { days.join(" or ") }
}
