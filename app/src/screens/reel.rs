//! One reel in the shop: how it came, what is wrong with it, what is done to it, where it stands.

use leptos::prelude::*;
use tailplate_core::paper::reel_name;
use tailplate_core::reference::Reference;
use tailplate_core::reference::counter::GradeStep;
use tailplate_core::shop::{Condition, Done, FindState, Finding, Grade, MissingPart, OldPart, Reel, Said, Stage, Who};
use tailplate_core::tag::grouped;

use super::hand_back::go_on;
use super::job::{Money, SetAside, amount};
use crate::keeping;
use crate::route::Route;
use crate::state::{judge, shared};
use crate::store;
use crate::widgets::bench::{BenchWays, KeptSums, KindPick};
use crate::widgets::candidates::verdict_in_words;
use crate::widgets::live::{Field, Live, Opened, live};
use crate::widgets::photos::{Owner, Photos};
use crate::widgets::valued::Values;
use crate::widgets::when::range_in_words;

type Of = Live<Reel>;

#[component]
pub fn ReelScreen(id: String) -> impl IntoView {
    let reel: Of = live(id);
    let world = shared().packs();
    let reference = world.reference;
    let tag = reel.part(|reel| reel.tag.clone());
    let job = reel.part(|reel| reel.job.clone());
    let name =
        Memo::new(move |_| reel.record.read().as_ref().map(|reel| reel_name(reference, reel)).unwrap_or_default());
    view! {
        <Opened live=reel title="Reel">
            <div class="tag tag-code"><span class="hole" aria-hidden="true"></span><div><p class="code big-code">{move || grouped(&tag.read())}</p><h1>{name}</h1></div></div>
            <Stands reel/>
            <Pictures reel/>
            <Field label="What it is called" value=reel.part(|r| r.name.clone()) set=move |name: String| reel.change(move |r| r.name = name)/>
            <KindPick kind=reel.part(|reel| reel.kind.clone()) set=move |kind: String| reel.change(move |reel| reel.kind = kind)/>
            <Named reel/>
            <h2>"As it came"</h2>
            <Conditions reel/>
            <Missing reel/>
            <Field label="What the owner says of it" rows=2 value=reel.part(|r| r.complaint.clone()) set=move |words: String| reel.change(move |r| r.complaint = words)/>
            <Wish reel/>
            <details><summary>"Questions to the owner"</summary><Asks reel/>
                <Money label="What it is worth to its owner" value=reel.part(|r| amount(&r.worth)) set=move |price| reel.change(move |r| r.worth = price)/></details>
            <Grades reel/>
            <h2>"At the bench"</h2>
            <BenchWays id=reel.id()/>
            <KeptSums reel/>
            <Found reel/>
            <Work reel/>
            <OldParts reel/>
            <Wanted reel/>
            <Field label="To look at again" value=reel.part(|r| r.watch.clone()) set=move |words: String| reel.change(move |r| r.watch = words)/>
            <Field label="Next service due" kind="date" value=reel.part(|r| r.due.clone()) set=move |day: String| reel.change(move |r| r.due = day)/>
            <h2>"Kept"</h2>
            <Field label="Shelf, box or tray" value=reel.part(|r| r.lies_at.clone()) set=move |words: String| reel.change(move |r| r.lies_at = words)/>
            <Values all=reel.part(|r| r.valued.clone()) add=move |valued| reel.change(move |r| r.valued.push(valued))/>
            <Field label="Note" rows=2 value=reel.part(|r| r.note.clone()) set=move |words: String| reel.change(move |r| r.note = words)/>
            <Field label="Private note, never printed" rows=2 value=reel.part(|r| r.private_note.clone()) set=move |words: String| reel.change(move |r| r.private_note = words)/>
            <SetAside aside=reel.part(|r| r.set_aside.iter().map(|one| format!("{}: {}", one.what, one.was)).collect::<Vec<_>>())/>
            <Way reel/>
            <button class="quiet wide" on:click=move |_| if let Some(now) = reel.now() { keeping::send_page(shared(), world, now.as_find()) }>"Send its page to a helper"</button>
            <div class="actions">
                {move || job.get().map(|job| view! { <a class="button quiet" href=Route::Job(job).href()>"Its job"</a> })}
                <button class="main" on:click=move |_| if let Some(now) = reel.now() { keeping::take_up_reel(shared(), &now) }>"Name it"</button>
            </div>
        </Opened>
    }
}

/// Where it is on its way, and where it may go.
#[component]
fn Stands(reel: Of) -> impl IntoView {
    let stand = reel.part(|reel| Some(reel.stand()));
    move || {
        stand.get().map(|(stand, since_ms)| {
            view! {
                <p class="stand"><b>{stand.words()}</b>" since "{crate::words::day(since_ms as f64)}</p>
                <div class="choices">{stand.ways().iter().map(|(way, who)| {
                    let (way, who) = (*way, *who);
                    let words = if who == Who::Customer { format!("{}: the owner says", way.words()) } else { way.words().to_owned() };
                    view! { <button class="choice plain" on:click=move |_| go_on(reel.id(), way, who)>{words}</button> }
                }).collect_view()}</div>
            }
        })
    }
}

#[component]
fn Pictures(reel: Of) -> impl IntoView {
    let reference = shared().packs().reference;
    let photos = reel.part(|reel| reel.photos.clone());
    let stage = RwSignal::new(Stage::Arrival);
    let kind = reel.part(|reel| reel.kind.clone());
    let stages = [(Stage::Arrival, "As it came"), (Stage::Bench, "At the bench"), (Stage::After, "After")];
    let advice = move || reference.counter.photos_of(&kind.read()).map(|photo| photo.label.clone()).collect::<Vec<_>>();
    view! {
        <div class="segments">{stages.into_iter().map(|(one, words)| view! { <button aria-pressed=move || (stage.get() == one).to_string() on:click=move |_| stage.set(one)>{words}</button> }).collect_view()}</div>
        {move || { let stage = stage.get(); let of_stage = photos.read().iter().filter(|photo| photo.stage == stage).cloned().collect::<Vec<_>>();
            view! { <Photos owner=Owner::Reel(reel.id()) photos=of_stage stage/> } }}
        <details><summary>"Photos worth taking"</summary><ul>{move || advice().into_iter().map(|label| view! { <li>{label}</li> }).collect_view()}</ul></details>
    }
}

/// What the key says of what was seen on it.
#[component]
fn Named(reel: Of) -> impl IntoView {
    let world = shared().packs();
    let seen = reel.part(|reel| (reel.sheet.clone(), reel.which.clone()));
    move || {
        let (sheet, which) = seen.get();
        let known = match &which {
            FindState::Confirmed { model, .. } => {
                Some(world.reference.model(model).map_or_else(|| model.clone(), |m| m.name.clone()))
            }
            _ => None,
        };
        let marked = sheet.seen.len() > 1;
        (marked || known.is_some()).then(|| {
            let answer = judge(world, &sheet);
            let (name, small) = verdict_in_words(world, &answer);
            let best = answer.which.candidates.first().filter(|c| c.p >= 0.3).map(|c| c.model.clone());
            view! {
                <p class="note"><b>{known.clone().unwrap_or(name)}</b>" · "{small}" · "{range_in_words(&answer.when)}</p>
                <div class="choices">{match (known, best) {
                    (None, Some(model)) => {
                        let name = world.reference.model(&model).map_or_else(|| model.clone(), |m| m.name.clone());
                        view! { <button class="choice plain" on:click=move |_| { let model = model.clone(); reel.change(move |reel| reel.which = FindState::Confirmed { model, variant: None }); }>"It is the "{name}</button> }.into_any()
                    }
                    (Some(_), _) => view! { <button class="choice plain" on:click=move |_| reel.change(|reel| reel.which = FindState::Open)>"Not settled after all"</button> }.into_any(),
                    _ => ().into_any(),
                }}</div>
            }
        })
    }
}

#[component]
fn Conditions(reel: Of) -> impl IntoView {
    let reference = shared().packs().reference;
    let counter = &reference.counter;
    let noted = reel.part(|reel| reel.condition.clone());
    let toggle = move |what: String| {
        reel.change(move |reel| match reel.condition.iter().position(|one| one.what == what) {
            Some(at) => drop(reel.condition.remove(at)),
            None => reel.condition.push(Condition { what, words: String::new() }),
        });
    };
    let button = move |id: &str, label: &str, means: &str| {
        let (id, here) = (id.to_owned(), id.to_owned());
        view! { <button class="choice plain" title=means.to_owned() aria-pressed=move || noted.read().iter().any(|one| one.what == here).to_string() on:click=move |_| toggle(id.clone())>{label.to_owned()}</button> }
    };
    let advice = move || {
        let noted = noted.read();
        let mut advice: Vec<&str> = counter
            .flags
            .iter()
            .filter(|flag| noted.iter().any(|one| one.what == flag.id))
            .filter_map(|flag| flag.advice.as_deref())
            .collect();
        advice.dedup();
        advice.into_iter().map(|words| view! { <p class="note">{words}</p> }).collect_view()
    };
    view! {
        <div class="choices">{counter.conditions.iter().take(11).map(|one| button(&one.id, &one.label, &one.means)).collect_view()}</div>
        <details><summary>"More of its condition"</summary>
            <div class="choices">{counter.conditions.iter().skip(11).map(|one| button(&one.id, &one.label, &one.means)).collect_view()}
            {counter.flags.iter().map(|one| button(&one.id, &one.label, "")).collect_view()}</div></details>
        {advice}
        {move || noted.get().into_iter().map(|one| {
            let (what, now) = (one.what.clone(), one.words.clone());
            view! { <Field label=format!("{}: where, how bad", counter.label(&one.what)) value=Signal::derive(move || now.clone()) set=move |words: String| {
                let what = what.clone();
                reel.change(move |reel| if let Some(one) = reel.condition.iter_mut().find(|one| one.what == what) { one.words = words });
            }/> }
        }).collect_view()}
    }
}

/// A line to type, and a button that adds it.
#[component]
fn Adder(label: &'static str, button: &'static str, #[prop(into)] add: Callback<String>) -> impl IntoView {
    let typed = RwSignal::new(String::new());
    let go = move || {
        let words = typed.get_untracked().trim().to_owned();
        if !words.is_empty() {
            typed.set(String::new());
            add.run(words);
        }
    };
    view! { <form class="adder" on:submit=move |event| { event.prevent_default(); go(); }>
    <label>{label}<input autocomplete="off" prop:value=typed on:input=move |event| typed.set(event_target_value(&event))/></label>
    <button type="submit">{button}</button></form> }
}

#[component]
fn Missing(reel: Of) -> impl IntoView {
    let missing = reel.part(|reel| reel.missing.clone());
    view! {
        <Adder label="Came without" button="Add" add=move |part: String| reel.change(move |reel| if !reel.missing.iter().any(|one| one.part == part) { reel.missing.push(MissingPart { part, acknowledged_ms: None }) })/>
        <ul class="plain-list">{move || missing.get().into_iter().map(|one| {
            let (agree, gone) = (one.part.clone(), one.part.clone());
            view! { <li class="line"><span>{one.part.clone()}<small>{match one.acknowledged_ms { Some(ms) => format!("the owner agreed on {}", crate::words::day(ms as f64)), None => "not agreed yet".into() }}</small></span>
                {one.acknowledged_ms.is_none().then(|| view! { <button on:click=move |_| { let part = agree.clone(); reel.change(move |reel| if let Some(one) = reel.missing.iter_mut().find(|one| one.part == part) { one.acknowledged_ms = Some(store::now_ms()) }); }>"The owner agrees"</button> })}
                <button aria-label="It is there after all" on:click=move |_| { let part = gone.clone(); reel.change(move |reel| reel.missing.retain(|one| one.part != part)); }>"×"</button></li> }
        }).collect_view()}</ul>
    }
}

#[component]
fn Wish(reel: Of) -> impl IntoView {
    let wishes = &shared().packs().reference.counter.wishes;
    let wish = reel.part(|reel| reel.wish.clone());
    view! {
        <fieldset><legend>"How clean does the owner want it?"</legend><div class="choices">{wishes.iter().map(|one| {
            let (id, here) = (one.id.clone(), one.id.clone());
            view! { <button class="choice plain" title=one.means.clone() aria-pressed=move || (*wish.read() == here).to_string() on:click=move |_| { let id = id.clone(); reel.change(move |reel| reel.wish = id); }>{one.label.clone()}</button> }
        }).collect_view()}</div>
        <p class="how">{move || wishes.iter().find(|one| one.id == *wish.read()).map(|one| one.means.clone())}</p></fieldset>
    }
}

#[component]
fn Asks(reel: Of) -> impl IntoView {
    let asks = &shared().packs().reference.counter.asks;
    let said = reel.part(|reel| reel.said.clone());
    let say = move |ask: String, answer: String| {
        reel.change(move |reel| {
            reel.said.retain(|one| one.ask != ask);
            if !answer.is_empty() {
                reel.said.push(Said { ask, answer });
            }
        });
    };
    asks.iter().map(|one| {
        let id = StoredValue::new(one.id.clone());
        let now = Signal::derive(move || said.read().iter().find(|said| said.ask == id.get_value()).map(|said| said.answer.clone()).unwrap_or_default());
        match one.answer.strip_prefix("choice:") {
            Some(choices) => view! { <fieldset><legend>{one.ask.clone()}</legend><div class="choices">{choices.split('|').map(|choice| {
                let choice = choice.to_owned();
                let here = choice.clone();
                view! { <button class="choice plain" aria-pressed=move || (now.get() == here).to_string() on:click=move |_| say(id.get_value(), if now.get_untracked() == choice { String::new() } else { choice.clone() })>{choice.clone()}</button> }
            }).collect_view()}</div></fieldset> }.into_any(),
            None => view! { <Field label=one.ask.clone() value=now set=move |words: String| say(id.get_value(), words)/> }.into_any(),
        }
    }).collect_view()
}

#[component]
fn Grades(reel: Of) -> impl IntoView {
    let reference: &'static Reference = shared().packs().reference;
    let scale = RwSignal::new(0_usize);
    let (looks, works) = (reel.part(|r| r.looks.clone()), reel.part(|r| r.works.clone()));
    let words = move |grade: &Option<Grade>| {
        grade.as_ref().map_or("not graded".to_owned(), |grade| format!("{} ({})", grade.grade, grade.scale))
    };
    let steps = move |what: &'static str,
                      now: Memo<Option<Grade>>,
                      set: fn(&mut Reel, Option<Grade>),
                      of: fn(&'static Reference, usize) -> &'static [GradeStep]| {
        move || {
            let at = scale.get();
            let name = reference.counter.scales[at].id.clone();
            let steps = of(reference, at);
            view! { <fieldset><legend>{what}</legend>
            {steps.is_empty().then(|| view! { <p class="how">"This scale has no steps for it."</p> })}
            <div class="choices">{steps.iter().map(|step| {
                let (name, here) = (name.clone(), step.id.clone());
                let grade = Grade { scale: name.clone(), grade: step.id.clone(), words: String::new() };
                view! { <button class="choice plain" title=step.text.clone() aria-pressed=move || now.read().as_ref().is_some_and(|grade| grade.grade == here && grade.scale == name).to_string()
                    on:click=move |_| { let grade = grade.clone(); reel.change(move |reel| set(reel, Some(grade))); }>{step.id.clone()}</button> }
            }).collect_view()}</div>
            <p class="how">{move || now.read().as_ref().and_then(|grade| steps.iter().find(|step| step.id == grade.grade)).map(|step| step.text.clone())}</p></fieldset> }
        }
    };
    view! {
        <details><summary>"Grades"<small>{move || format!("looks {}, works {}", words(&looks.read()), words(&works.read()))}</small></summary>
            <div class="segments">{reference.counter.scales.iter().enumerate().map(|(n, one)| view! { <button aria-pressed=move || (scale.get() == n).to_string() on:click=move |_| scale.set(n)>{one.label.clone()}</button> }).collect_view()}</div>
            <p class="how">{move || reference.counter.scales[scale.get()].note.clone()}</p>
            {steps("Looks", looks, |reel, grade| reel.looks = grade, |reference, at| &reference.counter.scales[at].looks)}
            {steps("Works", works, |reel, grade| reel.works = grade, |reference, at| &reference.counter.scales[at].works)}
        </details>
    }
}

/// What the bench found, apart from what the owner says.
#[component]
fn Found(reel: Of) -> impl IntoView {
    let finding = reel.part(|reel| reel.finding);
    view! {
        <fieldset><legend>"What was found"</legend><div class="choices">{Finding::ALL.into_iter().map(|one| view! {
            <button class="choice plain" aria-pressed=move || (finding.get() == Some(one)).to_string() on:click=move |_| reel.change(move |reel| reel.finding = if reel.finding == Some(one) { None } else { Some(one) })>{one.words()}</button>
        }).collect_view()}</div></fieldset>
        <Field label="In words" rows=2 value=reel.part(|r| r.found.clone()) set=move |words: String| reel.change(move |r| r.found = words)/>
    }
}

#[component]
fn Work(reel: Of) -> impl IntoView {
    let (work, made) = (reel.part(|r| r.work.clone()), reel.part(|r| r.not_original.clone()));
    let list = |all: Memo<Vec<Done>>| move || view! { <ul>{all.get().into_iter().map(|done| view! { <li>{crate::words::day(done.at_ms as f64)}": "{done.what}</li> }).collect_view()}</ul> };
    let done = |what: String| Done { at_ms: store::now_ms(), what, minutes: None };
    view! {
        <Adder label="What was done" button="Add" add=move |what: String| reel.change(move |reel| reel.work.push(done(what)))/>
        {list(work)}
        <Adder label="Part made or from elsewhere, on record for good" button="Add" add=move |what: String| reel.change(move |reel| reel.not_original.push(done(what)))/>
        {list(made)}
    }
}

#[component]
fn OldParts(reel: Of) -> impl IntoView {
    let old = reel.part(|reel| reel.old_parts.clone());
    view! {
        <Adder label="Part taken out" button="Add" add=move |part: String| reel.change(move |reel| if !reel.old_parts.iter().any(|one| one.part == part) { reel.old_parts.push(OldPart { part, goes_back: true }) })/>
        <ul class="plain-list">{move || old.get().into_iter().map(|one| {
            let part = one.part.clone();
            view! { <li class="line"><span>{one.part.clone()}<small>{if one.goes_back { "goes back to the owner" } else { "stays here" }}</small></span>
                <button on:click=move |_| { let part = part.clone(); reel.change(move |reel| if let Some(one) = reel.old_parts.iter_mut().find(|one| one.part == part) { one.goes_back = !one.goes_back }); }>{if one.goes_back { "Stays here" } else { "Goes back" }}</button></li> }
        }).collect_view()}</ul>
    }
}

/// A part that is wanted for it.
#[component]
fn Wanted(reel: Of) -> impl IntoView {
    view! { <Adder label="Part wanted" button="Raise a need" add=move |part: String| {
        let Some(now) = reel.now() else { return };
        let model = match &now.which {
            FindState::Confirmed { model, .. } => model.clone(),
            _ => String::new(),
        };
        keeping::raise_need(shared(), Some(now.id), part, model);
    }/> }
}

/// Every step of its way, with its time.
#[component]
fn Way(reel: Of) -> impl IntoView {
    let way = reel.part(|reel| reel.way.clone());
    view! { <details><summary>"Its way through the shop"</summary><ol>{move || way.get().into_iter().map(|step| view! { <li>{step.to.words()}", "{crate::words::day(step.at_ms as f64)}{(step.by == Who::Customer).then_some(", the owner’s word")}</li> }).collect_view()}</ol></details> }
}
