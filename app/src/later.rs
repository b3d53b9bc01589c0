//! Values that come later, such as what the store holds.

use std::cell::Cell;
use std::future::Future;
use std::pin::Pin;
use std::rc::Rc;

use leptos::prelude::*;
use wasm_bindgen_futures::spawn_local;

pub type Coming<T> = Pin<Box<dyn Future<Output = T>>>;

/// None until it is there; asked for again when a signal that `ask` reads has changed. A later answer is never
/// overwritten by an earlier one that took longer.
pub fn later<T: 'static>(ask: impl Fn() -> Coming<T> + 'static) -> RwSignal<Option<T>, LocalStorage> {
    let there = RwSignal::new_local(None);
    let turn = Rc::new(Cell::new(0_u32));
    Effect::new(move |_| {
        let coming = ask();
        let mine = turn.get() + 1;
        turn.set(mine);
        let turn = turn.clone();
        spawn_local(async move {
            let value = coming.await;
            if turn.get() == mine {
                // The screen may be gone by now.
                let _ = there.try_set(Some(value));
            }
        });
    });
    there
}
