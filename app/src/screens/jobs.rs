//! The board: which job waits for whom, overdue first.

use leptos::prelude::*;
use tailplate_core::record::Kind;
use tailplate_core::shop::board::WaitsFor;

use crate::keeping::{counter, demo};
use crate::later::later;
use crate::route::{Route, go};
use crate::state::shared;
use crate::store;
use crate::widgets::line::{Line, Picture};
use crate::widgets::windowed::Windowed;
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
                let at = move |n: usize| shown.read().get(n).copied();
                let line = move |at: usize| jobs.with_value(|jobs| jobs.get(at).map(line));
                view! {
                    <div class="choices" role="group" aria-label="What is waiting for whom">
                        {counts.into_iter().map(|(waits, n)| view! {
                            <button class="choice plain" aria-pressed=move || (only.get() == Some(waits)).to_string()
                                on:click=move |_| only.update(|now| *now = if *now == Some(waits) { None } else { Some(waits) })>{waits.words()}" "<b>{n}</b></button>
                        }).collect_view()}
                    </div>
                    <Windowed length at line/>
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

fn line(job: &counter::OnBoard) -> Line {
    let days = ((store::now_ms() - job.waits.since_ms) / 86_400_000).max(0) as usize;
    let since = if days == 0 { "today".to_owned() } else { words::count(days, "day", "days") };
    let reels = words::count(job.reels, "reel", "reels");
    let due = match words::written_day(&job.job.line) {
        day if day.is_empty() => String::new(),
        day => format!(" · due {day}"),
    };
    // A number without what it counts would be read as another: where there is no room, both fall away.
    let unbroken = |words: String| words.replace(' ', "\u{a0}");
    let waits = job.waits.waits_for.words();
    Line {
        href: Route::Job(job.job.id.clone()).href(),
        picture: if job.photo.is_empty() { Picture::Of(Kind::Job) } else { Picture::Photo(job.photo.clone()) },
        name: if job.customer.is_empty() { "No customer yet".to_owned() } else { job.customer.clone() },
        small: format!("{}{due}\n{waits} {}", unbroken(reels), unbroken(format!("({since})"))),
        word: if job.waits.overdue { "overdue".into() } else { String::new() },
        late: job.waits.overdue,
    }
}
