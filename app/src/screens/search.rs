//! Everything that is kept, by any word of it.

use std::sync::Arc;

use leptos::prelude::*;
use tailplate_core::record::Kind;
use tailplate_core::reference::Reference;
use tailplate_core::shop::Sought;
use wasm_bindgen_futures::spawn_local;

use crate::keeping::shelf;
use crate::later::later;
use crate::pace::{breathe, shown};
use crate::state::shared;
use crate::widgets::rows::Rows;

/// Rows that are looked at first: they are written at once, and those below them a frame later.
const LOOKED_AT_FIRST: usize = 3;
/// More rows than any phone shows at once.
const A_SCREEN: usize = 24;
/// Rows looked at before the browser is let in again.
const AT_ONCE: usize = 1_000;

#[component]
pub fn Search() -> impl IntoView {
    let shared = shared();
    let reference = shared.packs().reference;
    let sought = RwSignal::new(String::new());
    let ready = later(|| Box::pin(shelf::ready()));
    let places = RwSignal::new(Vec::<u32>::new());
    let count = RwSignal::new(None::<usize>);
    // The count is still the one of the words before.
    let counting = RwSignal::new(true);
    let before = StoredValue::new(Vec::<Left>::new());
    let latest = StoredValue::new(0_u32);
    Effect::new(move |_| {
        let turn = shelf::turn();
        let (words, Some(Ok(()))) = (sought.get().to_lowercase(), ready.get()) else { return };
        let (among, same_turn, same_words) = before.with_value(|before| {
            let last = before.last();
            let same_turn = last.is_some_and(|last| last.turn == turn);
            // Nothing is left out where nothing was looked for.
            let whole = |left: &&Left| !left.words.is_empty() && words.starts_with(&left.words);
            let among = if same_turn { before.iter().rfind(whole).cloned() } else { None };
            (among, same_turn, last.is_some_and(|last| last.words == words))
        });
        let wanted = Sought::after(&words, among.as_ref().map_or("", |left| &left.words));
        let mut hunt =
            Hunt { wanted, reference, among: among.map(|left| left.places), looked_at: 0, found: Vec::new() };
        latest.update_value(|n| *n = n.wrapping_add(1));
        let mine = latest.get_value();
        let whole = move |words: String, found: Vec<u32>| {
            places.set(found.clone());
            count.set(Some(found.len()));
            counting.set(false);
            before.update_value(|before| {
                before.retain(|left| left.turn == turn && left.words != words && words.starts_with(&left.words));
                before.push(Left { words, turn, places: Arc::new(found) });
            });
        };
        // What was there before stays below it for a frame or two, if the shelf is still the one it was taken from.
        let begin = move |found: &[u32]| {
            places.update(|places| {
                let end = if same_turn { found.len().min(places.len()) } else { places.len() };
                places.splice(..end, found.iter().copied());
            });
        };
        // What is looked at first, at once; the rest when that has been shown. Where only the shelf has changed, somebody
        // may be far down the list, which must not become short for a moment.
        let enough = if same_words { usize::MAX } else { LOOKED_AT_FIRST };
        if hunt.go_on(usize::MAX, enough) {
            return whole(words, hunt.found);
        }
        begin(&hunt.found);
        counting.set(true);
        spawn_local(async move {
            shown().await;
            // None: the screen is gone.
            let goes_on = || latest.try_get_value() == Some(mine) && shelf::turn_now() == turn;
            if !goes_on() {
                return;
            }
            if hunt.go_on(usize::MAX, A_SCREEN) {
                return whole(words, hunt.found);
            }
            begin(&hunt.found);
            shown().await;
            // The next key finds them made.
            shelf::search(reference, |shelf| _ = shelf.texts());
            while goes_on() {
                if hunt.go_on(AT_ONCE, usize::MAX) {
                    return whole(words, hunt.found);
                }
                breathe().await;
            }
        });
    });
    let how_many = move || match count.get() {
        None => "…".to_owned(),
        Some(0) if sought.read().trim().is_empty() => "Nothing is kept yet.".to_owned(),
        Some(0) => "Nothing found. Try fewer letters, or another word of it.".to_owned(),
        Some(n) => crate::words::count(n, "record", "records"),
    };
    view! {
        <section class="paper">
            <h1>"Search everything"</h1>
            <input type="search" aria-label="Search everything" placeholder="Name, tag, customer, mark, note" autofocus=true on:input=move |event| sought.set(event_target_value(&event))/>
            <p class="how" role="status" aria-busy=move || counting.get().to_string()>{how_many}</p>
            <Rows places/>
        </section>
    }
}

/// What words left that were looked for to the end. Those of one word stand one letter after the other: what goes on is
/// among them, and so is what goes back.
#[derive(Clone)]
struct Left {
    words: String,
    /// The turn of the shelf.
    turn: u32,
    places: Arc<Vec<u32>>,
}

/// A search on its way through the shelf.
struct Hunt {
    wanted: Sought,
    reference: &'static Reference,
    /// Only these places are looked at; none: all.
    among: Option<Arc<Vec<u32>>>,
    looked_at: usize,
    found: Vec<u32>,
}

impl Hunt {
    /// Looks at so many rows more, or until so many are found; true: at all of them.
    fn go_on(&mut self, rows_more: usize, enough: usize) -> bool {
        shelf::search(self.reference, |shelf| {
            let length = self.among.as_ref().map_or(shelf.rows.len(), |among| among.len());
            let end = length.min(self.looked_at.saturating_add(rows_more));
            while self.looked_at < end && self.found.len() < enough {
                let rest = self.looked_at..end;
                let next = match &self.among {
                    None => shelf.first(&self.wanted, rest).map(|place| (place, place)),
                    Some(among) => {
                        let place = |at: usize| (at, among[at] as usize);
                        rest.map(place).find(|(_, place)| shelf.holds(&self.wanted, *place))
                    }
                };
                let Some((at, place)) = next else {
                    self.looked_at = end;
                    break;
                };
                self.looked_at = at + 1;
                if shelf.rows.get(place).is_some_and(|row| row.kind != Kind::House && !row.deleted) {
                    self.found.push(place as u32);
                }
            }
            self.looked_at >= length
        })
    }
}
