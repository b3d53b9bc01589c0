//! Everything that is kept, by any word of it.

use leptos::prelude::*;
use tailplate_core::record::Kind;

use crate::keeping::shelf;
use crate::later::later;
use crate::state::shared;
use crate::widgets::rows::{Rows, holds};

#[component]
pub fn Search() -> impl IntoView {
    let shared = shared();
    let world = shared.packs();
    let sought = RwSignal::new(String::new());
    let ready = later(|| Box::pin(shelf::ready()));
    let places = RwSignal::new(Vec::<u32>::new());
    // What was found for a beginning of these words: what goes on is among it.
    let before = StoredValue::new((String::new(), 0_u32));
    Effect::new(move |_| {
        let turn = shelf::turn();
        let (words, Some(Ok(()))) = (sought.get().to_lowercase(), ready.get()) else { return };
        let (last, last_turn) = before.get_value();
        let goes_on = !last.is_empty() && words.starts_with(&last) && last_turn == turn;
        let split: Vec<&str> = words.split_whitespace().collect();
        let found: Vec<u32> = shelf::with(|rows| {
            let fits = |at: &u32| {
                let row = &rows[*at as usize];
                row.kind != Kind::House && !row.deleted && holds(world, row, &split)
            };
            match goes_on {
                true => places.read_untracked().iter().copied().filter(fits).collect(),
                false => (0..rows.len() as u32).filter(fits).collect(),
            }
        });
        before.set_value((words.clone(), turn));
        places.set(found);
    });
    let how_many = move || match places.read().len() {
        0 if sought.read().trim().is_empty() => "Nothing is kept yet.".to_owned(),
        0 => "Nothing found. Try fewer letters, or another word of it.".to_owned(),
        n => crate::words::count(n, "record", "records"),
    };
    view! {
        <section class="paper">
            <h1>"Search everything"</h1>
            <input type="search" aria-label="Search everything" placeholder="Name, tag, customer, mark, note" autofocus=true on:input=move |event| sought.set(event_target_value(&event))/>
            <p class="how" role="status">{how_many}</p>
            <Rows places/>
        </section>
    }
}
