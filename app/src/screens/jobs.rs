//! The board: which job waits for whom, overdue first.

use leptos::prelude::*;
use tailplate_core::shop::board::WaitsFor;

use crate::keeping::{counter, demo};
use crate::later::later;
use crate::route::{Route, go};
use crate::state::shared;
use crate::store;
use crate::widgets::photos::Thumb;
use crate::widgets::rows::Windowed;
use crate::words;

#[component]
pub fn Jobs() -> impl IntoView {
    let shared = shared();
    let board = later(move || {
        shared.changed.track();
        Box::pin(counter::open_jobs())
    });
    let only = RwSignal::new(None::<WaitsFor>);
    let list = move || {
        board.get().map(|board| match board {
            Err(trouble) => view! { <p class="trouble" role="alert">{trouble}</p> }.into_any(),
            Ok(jobs) if jobs.is_empty() => view! { <div class="empty"><p>"No open jobs. A job is one visit of a customer: their words, their reels, what it costs, until every reel is handed back."</p>
                <button class="quiet" on:click=move |_| demo::set_up(shared)>"Look around in a demo shop"</button></div> }.into_any(),
            Ok(jobs) => {
                let counts: Vec<(WaitsFor, usize)> = WaitsFor::ALL.into_iter()
                    .map(|waits| (waits, jobs.iter().filter(|job| job.waits.waits_for == waits).count()))
                    .filter(|(_, n)| *n > 0).collect();
                let jobs = StoredValue::new(jobs);
                let shown = Memo::new(move |_| {
                    let only = only.get();
                    jobs.with_value(|jobs| (0..jobs.len()).filter(|n| only.is_none_or(|waits| jobs[*n].waits.waits_for == waits)).collect::<Vec<_>>())
                });
                let length = Signal::derive(move || shown.read().len());
                let job = move |n: usize| shown.read_untracked().get(n).and_then(|at| jobs.with_value(|jobs| jobs.get(*at).cloned()));
                let key = move |n| job(n).map(|job| format!("{}{}", job.job.id, job.job.changed_ms)).unwrap_or_default();
                let show = move |n| job(n).map(|job| view! { <OneJob job/> }).into_any();
                view! {
                    <div class="choices" role="group" aria-label="What is waiting for whom">
                        {counts.into_iter().map(|(waits, n)| view! {
                            <button class="choice plain" aria-pressed=move || (only.get() == Some(waits)).to_string()
                                on:click=move |_| only.update(|now| *now = if *now == Some(waits) { None } else { Some(waits) })>{waits.words()}" "<b>{n}</b></button>
                        }).collect_view()}
                    </div>
                    <Windowed length key show/>
                }.into_any()
            }
        })
    };
    view! {
        <section class="paper">
            <h1>"Jobs"</h1>
            {list}
            {move || { shared.changed.track(); (board.read().is_some() && demo::is_here()).then(|| view! { <p class="how">"This is the demo shop: nobody in it is real. "<button class="quiet" on:click=move |_| demo::clear(shared)>"Clear it away"</button></p> }) }}
        </section>
        <div class="actions">
            <button class="quiet" on:click=move |_| go(Route::Scan)>"Scan a tag"</button>
            <button class="main" on:click=move |_| counter::begin_job(shared, None)>"New job"</button>
        </div>
    }
}

#[component]
fn OneJob(job: counter::OnBoard) -> impl IntoView {
    let days = (store::now_ms() - job.waits.since_ms) / 86_400_000;
    let since = match days {
        0 => "since today".to_owned(),
        1 => "for a day".to_owned(),
        n => format!("for {n} days"),
    };
    let mut line = vec![words::count(job.reels, "reel", "reels"), format!("{} {since}", job.waits.waits_for.words())];
    if !job.job.promised.is_empty() {
        line.push(format!("promised {}", job.job.promised));
    }
    let name = if job.customer.is_empty() { "No customer yet".to_owned() } else { job.customer.clone() };
    view! {
        <a class="find-row" href=Route::Job(job.job.id.clone()).href()>
            <Thumb sha=(!job.photo.is_empty()).then(|| job.photo.clone())/>
            <span><b>{name}</b><small>{line.join(" · ")}</small></span>
            {job.waits.overdue.then(|| view! { <em class="late">"overdue"</em> })}
        </a>
    }
}
