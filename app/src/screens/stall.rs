//! Two minutes at a stall: cracks first, then hands; no returns, no time.

use leptos::prelude::*;

use crate::route::{Route, go};
use crate::state::shared;
use crate::keeping;

/// What was found at one step.
const FOUND: [(&str, &str); 3] = [("sound", "Sound"), ("flaw", "A flaw"), ("unseen", "Can’t see")];
const TWO_MINUTES_S: i32 = 120;

#[component]
pub fn Stall() -> impl IntoView {
    let shared = shared();
    let steps = shared.packs().reference.questions.stall.as_slice();
    let left_s = RwSignal::new(TWO_MINUTES_S);
    let running = RwSignal::new(false);
    let tick = set_interval_with_handle(
        move || {
            if running.get_untracked() {
                left_s.update(|s| *s -= 1);
            }
        },
        std::time::Duration::from_secs(1),
    );
    if let Ok(tick) = tick {
        on_cleanup(move || tick.clear());
    }
    let answer_of = move |id: &str| shared.draft.read().stall.iter().find(|(step, _)| step == id).map(|(_, found)| found.clone());
    let give = move |id: &str, found: &str| {
        running.set(true);
        let (id, found) = (id.to_owned(), found.to_owned());
        shared.change_draft(|draft| {
            draft.stall.retain(|(step, _)| *step != id);
            draft.stall.push((id, found));
        });
        keeping::save_sheet_of_find(shared);
    };
    let flaws = move || shared.draft.read().stall.iter().filter(|(_, found)| found == "flaw").count();
    let looked = move || shared.draft.read().stall.len();
    let clock = move || {
        let s = left_s.get();
        if s >= 0 { format!("{}:{:02}", s / 60, s % 60) } else { format!("+{}:{:02}", -s / 60, -s % 60) }
    };
    let summary = move || match (looked(), flaws()) {
        (0, _) => "Cracks first. Tilt it so that the light comes from the side.".to_owned(),
        (n, 0) => format!("{n} of {} looked at, no flaw found.", steps.len()),
        (n, flaws) => format!("{n} of {} looked at, {}.", steps.len(), crate::words::count(flaws, "flaw", "flaws")),
    };
    view! {
        <section class="paper">
            <h1>"Stall check"</h1>
            <p class="clock"><span class="figure">{clock}</span>
                <button class="quiet" on:click=move |_| running.update(|r| *r = !*r)>{move || if running.get() { "Pause" } else { "Start the two minutes" }}</button></p>
            <p role="status">{summary}</p>
            <ol class="stall">
                {steps.iter().map(|step| view! {
                    <li><p><b>{step.look.clone()}</b>{step.how.clone().map(|how| view! { <small>{how}</small> })}</p>
                        <div class="segments" role="group" aria-label=step.look.clone()>
                            {FOUND.into_iter().map(|(found, name)| view! {
                                <button aria-pressed=move || (answer_of(&step.id).as_deref() == Some(found)).to_string() on:click=move |_| give(&step.id, found)>{name}</button>
                            }).collect_view()}
                        </div></li>
                }).collect_view()}
            </ol>
            <h2>"What it would serve"</h2>
            <p>"Name the reel, then its find shows what it is and what it was asked for. The shop’s open needs are not kept on this phone yet."</p>
        </section>
        <div class="actions">
            <a class="button quiet" href=Route::Identify.href()>"Name it"</a>
            <button class="main" on:click=move |_| match shared.draft.get_untracked().find { Some(id) => go(Route::Find(id)), None => keeping::keep_draft(shared) }>"Keep as a find"</button>
        </div>
    }
}
