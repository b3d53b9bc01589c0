//! A list of which only the lines in sight are on the page: ten thousand scroll like ten.
//!
//! A thumb's fling, or a key of a search, writes twenty lines at once. They are filled by hand, and a line that has left
//! the screen serves again where the next one comes into sight.

use std::collections::VecDeque;
use std::ops::Range;

use leptos::prelude::*;
use wasm_bindgen::JsCast;
use wasm_bindgen::closure::Closure;
use wasm_bindgen_futures::spawn_local;
use web_sys::{Element, HtmlElement};

use crate::pace::shown;
use crate::widgets::line::{Line, Written};

/// A row's height; the style sheet says the same.
const ROW_PX: f64 = 76.0;
/// Rows kept ready above and below what is in sight, once somebody scrolls.
const SPARE: usize = 6;
/// What the smallest screens show; the others get more with the first frame.
const AT_FIRST: (usize, usize) = (0, 9);

/// What moves a list past the screen.
const MOVES: [&str; 2] = ["scroll", "resize"];

/// A list of `length` lines. `at`: what stands at a place; it may ask signals. `line`: how that is written; it is asked only
/// when something else stands there, and asks no signals.
#[component]
pub fn Windowed<T: PartialEq + Clone + 'static>(
    length: Signal<usize>,
    at: impl Fn(usize) -> Option<T> + 'static,
    line: impl Fn(T) -> Option<Line> + 'static,
) -> impl IntoView {
    let window = RwSignal::new(AT_FIRST);
    let list: NodeRef<leptos::html::Ul> = NodeRef::new();
    let look = move |spare: usize| {
        // The frame may come when the screen is gone.
        let (Some(list), Some(now)) = (list.try_get_untracked().flatten(), window.try_get_untracked()) else { return };
        let top = -list.get_bounding_client_rect().top();
        let height = leptos::prelude::window().inner_height().ok().and_then(|h| h.as_f64()).unwrap_or(800.0);
        let first = (top / ROW_PX).max(0.0) as usize;
        let end = ((top + height) / ROW_PX).max(0.0) as usize + 1;
        let new = (first.saturating_sub(spare), end + spare);
        if now != new {
            window.set(new);
        }
    };
    // When this frame has been shown: asked for now, the browser would have to lay the page out twice. None to spare: what a
    // search leaves changes with each key.
    let look_later = move || {
        spawn_local(async move {
            shown().await;
            look(0);
        });
    };
    // Before what is found is written: then the page is laid out already.
    look_later();
    // Whether it must be looked at again where the list stands: that costs the browser a layout.
    let moved = StoredValue::new(false);
    let on_move = Closure::<dyn FnMut()>::new(move || {
        let _ = moved.try_set_value(true);
        look(SPARE);
    });
    for event in MOVES {
        let _ = leptos::prelude::window().add_event_listener_with_callback(event, on_move.as_ref().unchecked_ref());
    }
    let held = StoredValue::new_local(Some(on_move));
    on_cleanup(move || {
        let Some(listener) = held.try_update_value(Option::take).flatten() else { return };
        for event in MOVES {
            let _ =
                leptos::prelude::window().remove_event_listener_with_callback(event, listener.as_ref().unchecked_ref());
        }
    });
    Effect::new(move |last: Option<usize>| {
        let length = length.get();
        // With the first lines, what stands above them may have changed too.
        if moved.get_value() || last == Some(0) {
            moved.set_value(false);
            look_later();
        }
        length
    });
    let mut lines = Lines { first: 0, there: VecDeque::new(), spare: Vec::new() };
    Effect::new(move |_| {
        let Some(list) = list.get() else { return };
        let ((first, end), length) = (window.get(), length.get());
        let _ = lines.stand_at(&list, first.min(length)..end.min(length));
        lines.fill(&at, &line);
    });
    let height = move || format!("{}px", length.get() as f64 * ROW_PX);
    view! { <ul class="rows" style:height=height node_ref=list></ul> }
}

/// The lines on the page, one below the other.
struct Lines<T> {
    /// Where the first of them stands.
    first: usize,
    there: VecDeque<Placed<T>>,
    /// Taken off the page, to serve again.
    spare: Vec<Placed<T>>,
}

struct Placed<T> {
    item: HtmlElement,
    line: Written,
    stands: Option<T>,
}

impl<T: PartialEq + Clone> Lines<T> {
    /// Puts lines at these places, in their order, and takes off all others. None: the browser makes no more of them.
    fn stand_at(&mut self, list: &Element, places: Range<usize>) -> Option<()> {
        let mut left = Vec::new();
        while self.first < places.start
            && let Some(line) = self.there.pop_front()
        {
            left.push(line);
            self.first += 1;
        }
        while self.first + self.there.len() > places.end
            && let Some(line) = self.there.pop_back()
        {
            left.push(line);
        }
        if self.there.is_empty() {
            self.first = places.start;
        }
        while self.first > places.start {
            let line = self.another(&mut left, self.first - 1)?;
            list.insert_before(&line.item, self.there.front().map(|first| &**first.item)).ok()?;
            self.there.push_front(line);
            self.first -= 1;
        }
        while self.first + self.there.len() < places.end {
            let line = self.another(&mut left, self.first + self.there.len())?;
            list.append_child(&line.item).ok()?;
            self.there.push_back(line);
        }
        left.iter().for_each(|line| line.item.remove());
        self.spare.append(&mut left);
        Some(())
    }

    /// A line to stand at `place`.
    fn another(&mut self, left: &mut Vec<Placed<T>>, place: usize) -> Option<Placed<T>> {
        let line = match left.pop().or_else(|| self.spare.pop()) {
            Some(line) => line,
            None => {
                let item: HtmlElement = document().create_element("li").ok()?.unchecked_into();
                let line = Written::new()?;
                item.append_child(line.link()).ok()?;
                Placed { item, line, stands: None }
            }
        };
        line.item.style().set_property("top", &format!("{}px", place as f64 * ROW_PX)).ok()?;
        Some(line)
    }

    fn fill(&mut self, at: impl Fn(usize) -> Option<T>, write: impl Fn(T) -> Option<Line>) {
        for (n, placed) in self.there.iter_mut().enumerate() {
            let stands = at(self.first + n);
            let line = if placed.stands == stands { None } else { stands.clone().and_then(&write) };
            if line.is_some() {
                placed.stands = stands;
            }
            placed.line.write(line);
        }
    }
}
