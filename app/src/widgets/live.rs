//! A record on the screen: read again after each write, shown piece by piece, so that nothing moves under a finger.

use leptos::prelude::*;
use tailplate_core::record::Record;

use crate::keeping;
use crate::later::later;
use crate::state::shared;

/// A record as it now is. Copy it around: it is a handle.
pub struct Live<R: Send + Sync + 'static> {
    pub record: RwSignal<Option<R>>,
    /// Why there is nothing to show.
    pub trouble: RwSignal<Option<String>>,
    id: StoredValue<String>,
}

impl<R: Send + Sync + 'static> Clone for Live<R> {
    fn clone(&self) -> Self {
        *self
    }
}

impl<R: Send + Sync + 'static> Copy for Live<R> {}

pub fn live<R: Record + Send + Sync + 'static>(id: String) -> Live<R> {
    let shared = shared();
    let (record, trouble) = (RwSignal::new(None::<R>), RwSignal::new(None));
    let wanted = id.clone();
    let read = later(move || {
        shared.changed.track();
        Box::pin(keeping::one::<R>(wanted.clone()))
    });
    Effect::new(move |_| match read.get() {
        None => {}
        Some(Ok(Some(found))) if !found.is_deleted() => {
            let same = record.with_untracked(|old| old.as_ref() == Some(&found));
            if !same {
                record.set(Some(found));
            }
        }
        Some(Ok(_)) => {
            trouble.set(Some(format!("There is no such {}. It may have been deleted elsewhere.", R::KIND.word())))
        }
        Some(Err(why)) => trouble.set(Some(why)),
    });
    Live { record, trouble, id: StoredValue::new(id) }
}

impl<R: Record + Send + Sync + 'static> Live<R> {
    pub fn id(&self) -> String {
        self.id.get_value()
    }

    /// A part of it; what shows it is laid out anew only when that part has changed.
    pub fn part<T: PartialEq + Default + Send + Sync + 'static>(&self, of: fn(&R) -> T) -> Memo<T> {
        let record = self.record;
        Memo::new(move |_| record.read().as_ref().map(of).unwrap_or_default())
    }

    pub fn change(&self, change: impl FnOnce(&mut R) + 'static) {
        keeping::change::<R>(shared_of(), self.id(), change);
    }

    /// The record as it is now.
    pub fn now(&self) -> Option<R> {
        self.record.get_untracked()
    }

    pub fn is_here(&self) -> bool {
        self.record.with(Option::is_some)
    }
}

/// Handlers run outside of any owner: the shared state is the page's only one.
fn shared_of() -> crate::state::Shared {
    crate::state::the_shared()
}

/// A field that is kept as soon as it is left.
#[component]
pub fn Field(
    #[prop(into)] label: String,
    #[prop(into)] value: Signal<String>,
    #[prop(into)] set: Callback<String>,
    /// More than one: a field of so many lines.
    #[prop(default = 1)]
    rows: u32,
    /// Of the input, such as `date` or `tel`.
    #[prop(default = "text")]
    kind: &'static str,
) -> impl IntoView {
    let on = move |event: web_sys::Event| set.run(event_target_value(&event));
    view! {
        <label>{label}{if rows > 1 {
            view! { <textarea rows=rows prop:value=value on:change=on></textarea> }.into_any()
        } else {
            view! { <input type=kind autocomplete="off" prop:value=value on:change=on/> }.into_any()
        }}</label>
    }
}

/// What stands in the way, or the screen.
#[component]
pub fn Opened<R: Record + Send + Sync + 'static>(
    live: Live<R>,
    #[prop(into)] title: String,
    children: ChildrenFn,
) -> impl IntoView {
    let here = Memo::new(move |_| live.is_here());
    view! {
        <section class="paper">
            {move || match (here.get(), live.trouble.get()) {
                (true, _) => children().into_any(),
                (false, Some(why)) => view! { <h1>{title.clone()}</h1><p class="trouble" role="alert">{why}</p> }.into_any(),
                (false, None) => view! { <p role="status">"…"</p> }.into_any(),
            }}
        </section>
    }
}
