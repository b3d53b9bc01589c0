//! A job with its customer and reels on the screen, read again after each write.

use leptos::prelude::*;
use tailplate_core::shop::{Job, Reel};

use crate::keeping;
use crate::keeping::counter::{self, Opened};
use crate::later::later;
use crate::state::shared;

/// Copy it around: it is a handle.
#[derive(Clone, Copy)]
pub struct Visit {
    pub opened: RwSignal<Option<Opened>>,
    pub trouble: RwSignal<Option<String>>,
    id: StoredValue<String>,
}

pub fn visit(id: String) -> Visit {
    let shared = shared();
    let (opened, trouble) = (RwSignal::new(None::<Opened>), RwSignal::new(None));
    let wanted = id.clone();
    let read = later(move || {
        shared.changed.track();
        Box::pin(counter::open_job(wanted.clone()))
    });
    Effect::new(move |_| match read.get() {
        None => {}
        Some(Ok(Some(found))) => {
            let same = opened.with_untracked(|old| old.as_ref() == Some(&found));
            if !same {
                opened.set(Some(found));
            }
        }
        Some(Ok(None)) => trouble.set(Some("There is no such job. It may have been deleted elsewhere.".to_owned())),
        Some(Err(why)) => trouble.set(Some(why)),
    });
    Visit { opened, trouble, id: StoredValue::new(id) }
}

impl Visit {
    pub fn id(&self) -> String {
        self.id.get_value()
    }

    /// A part of it; what shows it is laid out anew only when that part has changed.
    pub fn part<T: PartialEq + Default + Send + Sync + 'static>(&self, of: fn(&Opened) -> T) -> Memo<T> {
        let opened = self.opened;
        Memo::new(move |_| opened.read().as_ref().map(of).unwrap_or_default())
    }

    pub fn change(&self, change: impl FnOnce(&mut Job) + 'static) {
        keeping::change::<Job>(shared(), self.id(), change);
    }

    pub fn reels(&self) -> Memo<Vec<Reel>> {
        self.part(|opened| opened.reels.clone())
    }
}

/// What stands in the way, or the screen.
#[component]
pub fn VisitScreen(visit: Visit, title: &'static str, children: ChildrenFn) -> impl IntoView {
    let here = Memo::new(move |_| visit.opened.read().is_some());
    view! {
        <section class="paper">
            {move || match (here.get(), visit.trouble.get()) {
                (true, _) => children().into_any(),
                (false, Some(why)) => view! { <h1>{title}</h1><p class="trouble" role="alert">{why}</p> }.into_any(),
                (false, None) => view! { <p role="status">"…"</p> }.into_any(),
            }}
        </section>
    }
}
