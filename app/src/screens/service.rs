//! What was done to it, and did it get better? The service list of its kind, and function tests before and after.

use leptos::prelude::*;
use tailplate_core::drawing;
use tailplate_core::reference::{FunctionTest, Phase, Reference, Task, applies};
use tailplate_core::service::{self, Marked, PlanItem, ReadWhen, Reading, change, figures_of, limits, newest};
use tailplate_core::shop::Reel;

use crate::drawn::Picture;
use crate::route::Route;
use crate::store;
use crate::widgets::bench::{BenchHead, Cautions, KeptSums, KindPick, Stopwatch, WithPacks, keep_awake};
use crate::widgets::live::{Field, Live, Opened, live};

type Of = Live<Reel>;

#[component]
pub fn ServiceScreen(id: String) -> impl IntoView {
    keep_awake();
    let reel: Of = live(id);
    let job = reel.part(|reel| reel.job.clone());
    view! {
        <div class="bench"><Opened live=reel title="Service & tests">
            <BenchHead reel title="Service & tests"/>
            <WithPacks show=move |bench| view! { <Work bench reel/> }.into_any()/>
            <div class="actions">
                <a class="button quiet" href=Route::Reel(reel.id()).href()>"The reel"</a>
                {move || job.get().map(|job| view! { <a class="button main" href=Route::Paper("report".into(), job).href()>"Service report"</a> })}
            </div>
        </Opened></div>
    }
}

#[component]
fn Work(bench: &'static Reference, reel: Of) -> impl IntoView {
    let kind = reel.part(|reel| reel.kind.clone());
    view! {
        <KindPick kind begins_open=kind.read_untracked().is_empty() set=move |kind: String| reel.change(move |reel| reel.kind = kind)/>
        {move || { let kind = kind.get(); match kind.is_empty() {
            true => view! { <p class="how">"Say first which kind of reel it is."</p> }.into_any(),
            false => view! { <Tests bench reel kind=kind.clone()/><List bench reel kind/> }.into_any(),
        } }}
        <KeptSums reel/>
    }
}

/// The service list, by its parts.
#[component]
fn List(bench: &'static Reference, reel: Of, kind: String) -> impl IntoView {
    let marks = reel.part(|reel| reel.service.clone());
    let of_kind = kind.clone();
    let open = Memo::new(move |_| service::plan(bench, &of_kind, &marks.read()).map(|plan| plan.open));
    let Some(plan) = service::plan(bench, &kind, &[]) else {
        return view! { <h2>"Service"</h2><p class="how">"The packs have no service list for this kind. Write what was done on the reel’s own page."</p> }.into_any();
    };
    // Marks of another list stay in the record, and are told.
    let prefix = format!("{}/", plan.list);
    let others = Memo::new(move |_| marks.read().iter().filter(|mark| !mark.item.starts_with(&prefix)).count());
    let mut items: Vec<PlanItem> = plan.items;
    items.sort_by_key(|item| item.phase);
    let mut last: Option<Phase> = None;
    let rows = items.into_iter().map(|item| {
        let head = (last != Some(item.phase)).then(|| item.phase.words());
        last = Some(item.phase);
        view! { {head.map(|words| view! { <h3>{words}</h3> })}<Item reel marks item/> }
    });
    view! {
        <h2>{format!("Service: {}", plan.label)}</h2>
        <p class="how">{format!("How often: {}. ", plan.interval)}{move || open.get().map(|open| match open { 0 => "All of it is marked.".to_owned(), n => format!("{n} still open.") })}</p>
        {move || (others.get() > 0).then(|| view! { <p class="note">{format!("{} more marks were made while the reel was taken for another kind; they are kept and not printed.", others.get())}</p> })}
        {rows.collect_view()}
    }
    .into_any()
}

#[component]
fn Item(reel: Of, marks: Memo<Vec<Marked>>, item: PlanItem) -> impl IntoView {
    let id = StoredValue::new(item.id.clone());
    let now = Memo::new(move |_| id.with_value(|id| marks.read().iter().rev().find(|mark| mark.item == *id).cloned()));
    let is = move |done: bool| now.read().as_ref().is_some_and(|mark| mark.done == done && !mark.taken_back);
    let mark = move |done: bool, reason: String| {
        // Pressed again, it is open as before.
        let taken_back = reason.is_empty() && untrack(|| is(done));
        let mark = Marked { item: id.get_value(), done, reason, at_ms: store::now_ms(), taken_back };
        reel.change(move |reel| reel.service.push(mark));
    };
    let mut with = Vec::new();
    if let Some(product) = item.product {
        let amount = item.amount.as_ref().map_or(String::new(), |amount| {
            format!(", {} (about {} to {} mm³)", amount.words, amount.mm3[0], amount.mm3[1])
        });
        with.push(format!("{product}{amount}"));
    } else if let Some(amount) = &item.amount {
        with.push(amount.words.clone());
    }
    with.extend(item.amount.map(|amount| amount.note).filter(|note| !note.is_empty()));
    with.extend(item.not_here.map(|words| format!("Not here: {words}")));
    with.extend(item.product_not_on.map(|words| format!("Not on: {words}")));
    with.extend(item.note);
    view! {
        <div class="check service-item">
            <p><b>{item.place}</b>": "{item.words.clone()}</p>
            <Cautions cautions=item.cautions/>
            <ul class="how">{with.into_iter().map(|line| view! { <li>{line}</li> }).collect_view()}</ul>
            <div class="segments">
                <button aria-label=format!("Done: {}", item.words) aria-pressed=move || is(true).to_string() on:click=move |_| mark(true, String::new())>"Done"</button>
                <button aria-label=format!("Not done: {}", item.words) aria-pressed=move || is(false).to_string() on:click=move |_| mark(false, String::new())>"Not done"</button>
            </div>
            {move || is(false).then(|| view! { <Field label="Why not" value=Signal::derive(move || now.read().as_ref().map(|mark| mark.reason.clone()).unwrap_or_default()) set=move |words: String| if !words.trim().is_empty() { mark(false, words) }/> })}
        </div>
    }
}

#[component]
fn Tests(bench: &'static Reference, reel: Of, kind: String) -> impl IntoView {
    let of_kind: Vec<&'static FunctionTest> =
        bench.work.function_tests.iter().filter(|test| applies(&test.kinds, &kind)).collect();
    view! {
        <h2>"Tests"</h2>
        <p class="how">"Before: as found, before any tool. After: closed and lubricated, by the same hands. Read again, the newest counts and the older stay."</p>
        {of_kind.into_iter().map(|test| view! { <OneTest bench reel test kind=kind.clone()/> }).collect_view()}
    }
}

#[component]
fn OneTest(bench: &'static Reference, reel: Of, test: &'static FunctionTest, kind: String) -> impl IntoView {
    let readings = {
        let record = reel.record;
        Memo::new(move |_| {
            let record = record.read();
            let mine = |when| record.as_ref().and_then(|reel| newest(&reel.tests, &test.id, when).cloned());
            (mine(ReadWhen::Before), mine(ReadWhen::After))
        })
    };
    let side = move |when: ReadWhen| match when {
        ReadWhen::Before => readings.read().0.clone(),
        ReadWhen::After => readings.read().1.clone(),
    };
    let in_words = test.unit == "text";
    let with = RwSignal::new(None::<String>);
    let with_now = move || {
        let known = side(ReadWhen::After).or(side(ReadWhen::Before)).map(|reading| reading.with).unwrap_or_default();
        with.get().unwrap_or(known)
    };
    let trouble = RwSignal::new(String::new());
    let keep = move |when: ReadWhen, typed: String| {
        let typed = typed.trim().to_owned();
        let (figures, words) = match in_words {
            true => (Vec::new(), typed),
            false => match figures_of(&typed) {
                Ok(figures) => (figures, String::new()),
                Err(why) => return trouble.set(why),
            },
        };
        trouble.set(String::new());
        // An emptied field takes its reading back.
        if figures.is_empty() && words.is_empty() && untrack(|| side(when)).is_none() {
            return;
        }
        let with = untrack(with_now);
        let reading = Reading { test: test.id.clone(), when, figures, words, with, at_ms: store::now_ms() };
        reel.change(move |reel| reel.tests.push(reading));
    };
    let set_with = move |words: String| {
        with.set(Some(words.clone()));
        // What was read already is read with it.
        if let Some(newest) = side(ReadWhen::After).or(side(ReadWhen::Before)) {
            let again = Reading { with: words, at_ms: store::now_ms(), ..newest };
            reel.change(move |reel| reel.tests.push(again));
        }
    };
    let shown = move |when: ReadWhen| {
        Signal::derive(move || {
            side(when).map_or_else(String::new, |reading| match in_words {
                true => reading.words,
                false => reading.figures.iter().map(f64::to_string).collect::<Vec<_>>().join(" "),
            })
        })
    };
    let unit = if in_words { String::new() } else { format!(", {}", test.unit) };
    let task = Task { kind: &kind, words: &test.how, named: &test.cautions, ..Task::default() };
    let cautions = bench.work.cautions_due(&task).into_iter().cloned().collect::<Vec<_>>();
    let notes = bench
        .work
        .test_notes
        .iter()
        .filter(|note| note.test == test.id)
        .map(|note| view! { <p class="how">{note.text.clone()}</p> });
    // What is counted in seconds has its watch: each stop is one more figure of the side that is chosen.
    let watched = RwSignal::new(if readings.read_untracked().0.is_some() { ReadWhen::After } else { ReadWhen::Before });
    let read_off = move |seconds: f64| {
        let when = watched.get_untracked();
        let so_far = untrack(|| side(when)).map(|reading| reading.figures).unwrap_or_default();
        let figures: Vec<String> = so_far.iter().chain([&seconds]).map(f64::to_string).collect();
        keep(when, figures.join(" "));
    };
    let watch = (test.unit == "s").then(|| view! {
        <div class="segments">{[(ReadWhen::Before, "Read it before"), (ReadWhen::After, "Read it after")].into_iter().map(|(when, words)| view! {
            <button aria-pressed=move || (watched.get() == when).to_string() on:click=move |_| watched.set(when)>{words}</button> }).collect_view()}</div>
        <Stopwatch stopped=read_off/>
    });
    let verdict = move || {
        let (before, after) = readings.get();
        before.zip(after).map(|(before, after)| {
            let change = change(test, &before, &after);
            view! { <p class="verdict" role="status"><b>{change.verdict.words()}</b></p><p>{change.words}</p> }
        })
    };
    let plot = move || {
        let (before, after) = readings.get();
        let figures = |reading: Option<Reading>| reading.map(|reading| reading.figures).unwrap_or_default();
        let (before, after) = (figures(before), figures(after));
        (!before.is_empty() || !after.is_empty())
            .then(|| view! { <Picture svg=drawing::readings(&test.label, &test.unit, &before, &after) class="picture readings"/> })
    };
    let state = move || match readings.get() {
        (None, None) => "",
        (Some(_), None) => "before",
        (None, Some(_)) => "after",
        _ => "before and after",
    };
    view! {
        <details class="test">
            <summary>{test.label.clone()}<small>{state}</small></summary>
            <Cautions cautions/>
            <p>{test.how.clone()}</p>
            <p class="how">{format!("So often: {}. Better: {}. Counts as a change (our own rule): {}.", test.repeats, test.better, test.counts_as_a_change)}</p>
            {notes.collect_view()}
            {limits(bench, test).into_iter().map(|limit| view! { <p class="note">{limit.applies}": "{limit.value}<small>" Source: "{limit.sources.join("; ")}</small></p> }).collect_view()}
            {watch}
            <Field label=format!("Before{unit}") value=shown(ReadWhen::Before) set=move |typed: String| keep(ReadWhen::Before, typed)/>
            <Field label=format!("After{unit}") value=shown(ReadWhen::After) set=move |typed: String| keep(ReadWhen::After, typed)/>
            <Field label=format!("Note with it: {}", test.record_with_it) value=Signal::derive(with_now) set=set_with/>
            <p class="trouble" role="alert">{trouble}</p>
            {plot}
            {verdict}
        </details>
    }
}
