//! Two minutes at a stall: cracks first, then hands; no returns, no time.

use leptos::prelude::*;
use tailplate_core::shop::{Found, StallAnswer};

use crate::keeping;
use crate::route::{Route, go};
use crate::state::shared;

const FOUND: [(Found, &str); 3] =
    [(Found::Sound, "Sound"), (Found::Trouble, "A flaw"), (Found::CantTell, "Can’t tell")];
const TWO_MINUTES_S: i32 = 120;

#[component]
pub fn Stall() -> impl IntoView {
    let shared = shared();
    let steps = shared.packs().reference.care.stall.as_slice();
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
    let answers = move || shared.draft.read().stall.as_ref().map(|s| s.answers.clone()).unwrap_or_default();
    let answer_of = move |id: &str| answers().into_iter().find(|a| a.check == id).map(|a| a.found);
    let give = move |id: &str, found: Found| {
        running.set(true);
        let check = id.to_owned();
        shared.change_draft(|draft| {
            let answers = &mut draft.stall.get_or_insert_default().answers;
            answers.retain(|a| a.check != check);
            answers.push(StallAnswer { check, found, words: String::new() });
        });
        keeping::save_sheet_of_find(shared);
    };
    let flaws = move || answers().iter().filter(|a| a.found == Found::Trouble).count();
    let looked = move || answers().len();
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
                                <button aria-pressed=move || (answer_of(&step.id) == Some(found)).to_string() on:click=move |_| give(&step.id, found)>{name}</button>
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
